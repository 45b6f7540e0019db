//! The acres that a file itself says a field has.

use crate::exchange::given::Given;
use serde::Serialize;

/// Acres in a hectare: 10,000 m2 over the acre of 4,046.8564224 m2.
const ACRES_PER_HECTARE: f64 = 10_000.0 / 4_046.856_422_4;

/// What the file says of a field's size.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Claimed {
    /// The property that says it.
    pub property: String,
    /// Acres.
    pub acres: f64,
    /// Acres measured, less these.
    pub difference: f64,
}

/// The first property that is a size of ground, held against the acres measured.
pub(super) fn claimed(given: &Given, measured: f64) -> Option<Claimed> {
    given.properties.iter().find_map(|(name, value)| {
        let bare: String = name.chars().filter(char::is_ascii_alphabetic).collect::<String>().to_ascii_lowercase();
        let factor = match bare.as_str() {
            "ac" | "areaac" | "acareage" => 1.0,
            "ha" | "areaha" => ACRES_PER_HECTARE,
            other if other.contains("acre") => 1.0,
            other if other.contains("hectare") => ACRES_PER_HECTARE,
            _ => return None,
        };
        let plain = value.replace(',', "");
        let number = plain.split_whitespace().next()?.parse::<f64>().ok()?;
        let acres = number * factor;
        // Nought is an empty cell; beyond a million acres it is another unit.
        (acres > 0.0 && acres < 1e6).then(|| Claimed { property: name.clone(), acres, difference: measured - acres })
    })
}
