//! Litter in whole pounds, so that every tally balances exactly.

use crate::units::show::number_text;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Sub, SubAssign};

/// Pounds in a short ton.
pub const POUNDS_PER_TON: i64 = 2_000;

/// A mass of litter in whole pounds. May be negative in a difference.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
#[serde(transparent)]
pub struct Pounds(pub i64);

impl Pounds {
    /// Whole pounds in so many short tons, down to the pound.
    #[must_use]
    pub fn from_tons_down(tons: f64) -> Pounds {
        Pounds(crate::units::whole_down(tons * 2_000.0))
    }

    /// The same in short tons.
    #[must_use]
    pub fn tons(self) -> f64 {
        self.0 as f64 / 2_000.0
    }

    /// Tons in words, as in `52.50 tons`.
    #[must_use]
    pub fn in_tons(self) -> String {
        format!("{} tons", number_text(self.tons(), 2))
    }
}

impl Add for Pounds {
    type Output = Pounds;
    fn add(self, other: Pounds) -> Pounds {
        Pounds(self.0.saturating_add(other.0))
    }
}

impl Sub for Pounds {
    type Output = Pounds;
    fn sub(self, other: Pounds) -> Pounds {
        Pounds(self.0.saturating_sub(other.0))
    }
}

impl AddAssign for Pounds {
    fn add_assign(&mut self, other: Pounds) {
        *self = *self + other;
    }
}

impl SubAssign for Pounds {
    fn sub_assign(&mut self, other: Pounds) {
        *self = *self - other;
    }
}

impl Sum for Pounds {
    fn sum<I: Iterator<Item = Pounds>>(iter: I) -> Pounds {
        iter.fold(Pounds(0), |a, b| a + b)
    }
}

impl std::fmt::Display for Pounds {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} lb", crate::units::grouped(self.0))
    }
}
