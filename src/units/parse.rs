//! Reading a quantity the way a person writes it: a number and its unit.

use crate::units::{Quantity, trimmed};
use std::borrow::Cow;

/// Why a written quantity was not taken.
#[derive(Clone, Debug, PartialEq)]
pub enum Refusal {
    /// No number stands at the front, or it is not a finite one.
    NotANumber,
    /// A number without its unit.
    NoUnit,
    /// A unit that this quantity is not written in.
    ForeignUnit(String),
    /// A number outside the bounds, which are given in `unit`.
    OutOfRange {
        /// Least value allowed.
        least: f64,
        /// Most value allowed.
        most: f64,
        /// The unit both bounds are in.
        unit: &'static str,
    },
}

/// Reads a plain number. Commas between thousands are taken (`1,200`).
/// Hexadecimal, infinities and `nan` are not numbers here.
#[must_use]
pub fn number(text: &str) -> Option<f64> {
    let text = text.trim();
    let plain: Cow<'_, str> = if has_thousands(text) { text.replace(',', "").into() } else { text.into() };
    let ok = !plain.is_empty() && plain.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | '-' | '+' | 'e' | 'E'));
    if !ok {
        return None;
    }
    plain.parse::<f64>().ok().filter(|n| n.is_finite())
}

/// Whether commas stand only where thousands end: `1,200` but not `1,20`.
fn has_thousands(text: &str) -> bool {
    if !text.contains(',') {
        return false;
    }
    let whole = text.split('.').next().unwrap_or("");
    let mut groups = whole.trim_start_matches(['-', '+']).split(',');
    let first = groups.next().unwrap_or("");
    let rest: Vec<&str> = groups.collect();
    !rest.is_empty()
        && (1..=3).contains(&first.len())
        && rest.iter().all(|g| g.len() == 3 && g.chars().all(|c| c.is_ascii_digit()))
}

/// Splits `4.5 tons/ac` into its number and its unit.
fn split(text: &str) -> (&str, &str) {
    let text = text.trim();
    let text = text.strip_prefix('$').map_or(text, str::trim_start);
    let end = text
        .char_indices()
        .find(|&(i, c)| {
            let exponent = matches!(c, 'e' | 'E')
                && i > 0
                && text[i + 1..].starts_with(|n: char| n.is_ascii_digit() || n == '-' || n == '+');
            !(c.is_ascii_digit() || matches!(c, '.' | '-' | '+' | ',') || exponent)
        })
        .map_or(text.len(), |(i, _)| i);
    (&text[..end], text[end..].trim())
}

/// Reads a quantity with its unit, and converts it to the unit it is kept in.
///
/// # Errors
/// When there is no number, no unit, a unit that this quantity does not have,
/// or a value outside its bounds.
pub fn quantity<Q: Quantity>(text: &str) -> Result<Q, Refusal> {
    let (digits, unit) = split(text);
    let value = number(digits).ok_or(Refusal::NotANumber)?;
    if unit.is_empty() {
        return Err(Refusal::NoUnit);
    }
    in_unit(value, unit)
}

/// A number in one of the units that a quantity is written in.
///
/// # Errors
/// When the quantity does not have that unit, or the value is outside its bounds.
pub fn in_unit<Q: Quantity>(value: f64, unit: &str) -> Result<Q, Refusal> {
    let factor = factor(Q::SPELLINGS, unit).ok_or_else(|| Refusal::ForeignUnit(unit.to_string()))?;
    Q::new(value * factor)
}

/// The factor of a unit in a list of spellings.
#[must_use]
pub fn factor(spellings: &[(&str, f64)], unit: &str) -> Option<f64> {
    let exact = spellings.iter().find(|(spelling, _)| *spelling == unit);
    let same = || {
        let wanted = tidy_unit(unit);
        spellings.iter().find(|(spelling, _)| tidy_unit(spelling) == wanted)
    };
    exact.or_else(same).map(|(_, factor)| *factor)
}

/// Whether the unit of a written quantity is the letter t, which means the metric
/// ton and is often written for the short one.
#[must_use]
pub fn says_t(text: &str) -> bool {
    tidy_unit(split(text).1) == "t"
}

/// One spelling of a unit: lower case, no spaces, `per` as a slash, and no
/// dollar sign in front (a price may be written `0.62 $/lb` or `$0.62/lb`).
fn tidy_unit(unit: &str) -> String {
    unit.to_lowercase()
        .replace(" per ", "/")
        .chars()
        .filter(|c| !c.is_whitespace() && *c != '$')
        .collect::<String>()
        .replace("/acre", "/ac")
}

/// The spellings that a quantity accepts, as shown in a message.
#[must_use]
pub fn accepted<Q: Quantity>() -> String {
    let units: Vec<&str> = Q::SPELLINGS.iter().map(|(s, _)| *s).collect();
    format!(
        "a number from {} to {} {}, with its unit: {}",
        trimmed(Q::LEAST),
        trimmed(Q::MOST),
        Q::UNIT,
        units.join(", ")
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::*;

    #[test]
    fn written_the_way_a_grower_writes() {
        let tons: Tons = quantity("1,212.5 tons").unwrap();
        assert_eq!(tons.get(), 1212.5);
        let goal: Yield = quantity("4 tons per acre").unwrap();
        assert_eq!(goal.get(), 4.0);
        let price: DollarsPerLb = quantity("$0.62/lb").unwrap();
        assert_eq!(price.get(), 0.62);
        let share: LbPerTon = quantity("2.9%").unwrap();
        assert!((share.get() - 58.0).abs() < 1e-12);
    }

    #[test]
    fn refused_with_the_reason() {
        assert_eq!(quantity::<Tons>("212"), Err(Refusal::NoUnit));
        assert_eq!(quantity::<Tons>("212 bushels"), Err(Refusal::ForeignUnit("bushels".into())));
        assert_eq!(quantity::<Tons>("lots"), Err(Refusal::NotANumber));
        assert_eq!(quantity::<Tons>("1,20 tons"), Err(Refusal::NotANumber));
        assert!(matches!(quantity::<Tons>("-4 tons"), Err(Refusal::OutOfRange { .. })));
        assert_eq!(number("0x10"), None);
        assert_eq!(number("nan"), None);
        assert_eq!(number("1e999"), None);
    }

    #[test]
    fn units_come_back_the_same() {
        let acres: Acres = quantity("10 ha").unwrap();
        assert!((acres.get() - 24.710_538_146_716_5).abs() < 1e-9);
        let feet: Feet = quantity("30 m").unwrap();
        assert!((feet.get() - 98.425_196_850_393_7).abs() < 1e-9);
        let rate: TonsPerAcre = quantity("4.483 t/ha").unwrap();
        assert!((rate.get() - 2.0).abs() < 1e-3, "2 short tons an acre is 4.483 t/ha");
    }
}
