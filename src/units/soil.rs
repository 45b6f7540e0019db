//! Soil-test values, each with the scale of its laboratory. Two of different
//! scales cannot be compared: no factor turns one laboratory's index into
//! pounds, and a limit in the other scale would be met too late or never.

use crate::units::trimmed;

/// The scale that a laboratory reports in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SoilScale {
    /// An index of the laboratory's own.
    Index,
    /// Parts per million.
    Ppm,
    /// Pounds on an acre.
    LbPerAcre,
}

impl SoilScale {
    /// How the scales may be written.
    pub const SPELLINGS: [(&str, SoilScale); 5] = [
        ("index", SoilScale::Index),
        ("ppm", SoilScale::Ppm),
        ("mg/kg", SoilScale::Ppm),
        ("lb/ac", SoilScale::LbPerAcre),
        ("lb/acre", SoilScale::LbPerAcre),
    ];

    /// The scale that a spelling means.
    #[must_use]
    pub fn named(spelling: &str) -> Option<SoilScale> {
        SoilScale::SPELLINGS.iter().find(|(known, _)| *known == spelling).map(|(_, scale)| *scale)
    }

    /// The word for people.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            SoilScale::Index => "index",
            SoilScale::Ppm => "ppm",
            SoilScale::LbPerAcre => "lb/ac",
        }
    }
}

/// A soil-test value. It has no order of its own: see [`SoilValue::on`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SoilValue {
    number: f64,
    /// Its scale.
    pub scale: SoilScale,
}

impl SoilValue {
    /// Most that a soil test shows on any scale.
    pub const MOST: f64 = 20_000.0;

    /// A value on a scale; none when no soil test can show it.
    #[must_use]
    pub fn new(number: f64, scale: SoilScale) -> Option<SoilValue> {
        (0.0..=SoilValue::MOST).contains(&number).then_some(SoilValue { number, scale })
    }

    /// The number on a scale; none on any other than its own.
    #[must_use]
    pub fn on(self, scale: SoilScale) -> Option<f64> {
        (self.scale == scale).then_some(self.number)
    }

    /// The value after so many units more, or less, of its own scale.
    #[must_use]
    pub fn moved(self, by: f64) -> SoilValue {
        SoilValue { number: (self.number + by).clamp(0.0, SoilValue::MOST), ..self }
    }

    /// The number, to be shown with its unit.
    #[must_use]
    pub fn shown(self) -> (f64, &'static str) {
        (self.number, self.scale.word())
    }
}

impl std::fmt::Display for SoilValue {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} {}", trimmed(self.number), self.scale.word())
    }
}
