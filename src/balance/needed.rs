//! Pounds per acre of which some may not be known.

use crate::balance::Npk;
use crate::findings::listed;
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

    /// The names of those that are not known.
    #[must_use]
    pub fn not_known(&self) -> Vec<&'static str> {
        let each = [("N", self.known.n), ("P2O5", self.known.p2o5), ("K2O", self.known.k2o)];
        each.into_iter().filter(|(_, known)| !known).map(|(name, _)| name).collect()
    }

    /// That some litter costs more than it saves, and what of it a need that nobody knows hides.
    #[must_use]
    pub fn costs_more(&self, litter: &str) -> String {
        match self.not_known()[..] {
            [] => format!("{litter} would cost more than it saves"),
            ref names => format!(
                "{litter} would cost more than it saves; its {}, of which the need is not known, counts as nothing",
                listed(names)
            ),
        }
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
