//! Cuttings and grazing of a field, and the days kept before a cutting. Types only.

use crate::findings::{Origin, Place};
use jiff::civil::Date;

/// A cutting.
#[derive(Clone, Debug, PartialEq)]
pub struct Cutting {
    /// Its day.
    pub day: Date,
    /// Whether the log shows it.
    pub logged: bool,
    /// Where it is written.
    pub place: Place,
}

/// Days of grazing.
#[derive(Clone, Debug, PartialEq)]
pub struct Grazing {
    /// First day.
    pub first: Date,
    /// Last day.
    pub last: Date,
    /// Whether the log shows it.
    pub logged: bool,
    /// Where it is written.
    pub place: Place,
}

/// The days from spreading to a cutting that are kept, with who says so.
#[derive(Clone, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct CutWait {
    /// How many.
    pub days: i32,
    /// The grower, or a figure.
    pub origin: Origin,
}

impl CutWait {
    /// Who says so.
    #[must_use]
    pub fn said(&self) -> String {
        match &self.origin {
            Origin::Figure(cite) => cite.to_string(),
            Origin::Line(place) => format!("your own, {place}"),
            _ => String::new(),
        }
    }

    /// Whose word it is, in few words.
    #[must_use]
    pub fn by(&self) -> &str {
        match &self.origin {
            Origin::Figure(cite) => cite.by(),
            _ => "the grower",
        }
    }
}
