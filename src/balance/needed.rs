//! Pounds per acre of which some may not be known.

use crate::balance::Npk;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::ops::Deref;

/// Pounds per acre. What is not known, for want of a figure, counts as zero, is null in
/// JSON and is never shown as a number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Needed {
    lb: Npk<f64>,
    known: Npk<bool>,
}

impl Needed {
    /// So many pounds; zero of what is not known.
    #[must_use]
    pub fn new(lb: Npk<f64>, known: Npk<bool>) -> Needed {
        Needed { lb: lb.with(known, |lb, known| if known { lb } else { 0.0 }), known }
    }

    /// Which of them are known.
    #[must_use]
    pub fn known(&self) -> Npk<bool> {
        self.known
    }

    /// The pounds that are known.
    #[must_use]
    pub fn get(&self) -> Npk<Option<f64>> {
        self.lb.with(self.known, |lb, known| known.then_some(lb))
    }
}

impl Default for Needed {
    fn default() -> Needed {
        Needed { lb: Npk::default(), known: Npk { n: true, p2o5: true, k2o: true } }
    }
}

impl Deref for Needed {
    type Target = Npk<f64>;

    fn deref(&self) -> &Npk<f64> {
        &self.lb
    }
}

impl Serialize for Needed {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        self.get().serialize(to)
    }
}

impl<'de> Deserialize<'de> for Needed {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Needed, D::Error> {
        let read = Npk::<Option<f64>>::deserialize(from)?;
        Ok(Needed { lb: read.map(|lb| lb.unwrap_or(0.0)), known: read.map(|lb| lb.is_some()) })
    }
}
