//! How the figures behind a field's numbers are known: types only.

use crate::balance::Npk;
use crate::findings::Known;
use serde::{Deserialize, Serialize};

/// How the figures behind a field's numbers are known: of several the worst. What
/// rests on the farm's own lines alone counts as read.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct FieldKnown {
    /// Soil-test phosphorus.
    #[serde(default)]
    pub soil: Known,
    /// Class of soil-test phosphorus.
    pub class: Known,
    /// What caps phosphate.
    pub basis: Known,
    /// Phosphate allowed, with what caps it.
    pub p2o5_allowed: Known,
    /// On a nitrogen basis, the phosphate that comes with litter up to the first limit.
    #[serde(default)]
    pub with_n: Known,
    /// Needed.
    pub need: Npk<Known>,
    /// Put on by what the log shows.
    pub done: Npk<Known>,
    /// Put on by the plan.
    pub supplied: Npk<Known>,
    /// All nitrogen put on by log and plan, available or not.
    #[serde(default)]
    pub total_n: Known,
    /// Carried off.
    pub removed: Npk<Known>,
    /// The limit that holds the field.
    pub held: Known,
    /// The limit that leaves as little.
    #[serde(default)]
    pub also: Known,
    /// Soil loss.
    pub soil_loss: Known,
    /// Lime.
    pub lime: Known,
}

impl FieldKnown {
    /// Those of all amounts of nutrients.
    pub fn amounts(&self) -> impl Iterator<Item = Known> + use<> {
        let threes = [self.need, self.done, self.supplied, self.removed];
        threes.into_iter().flat_map(|of| [of.n, of.p2o5, of.k2o]).chain([self.total_n])
    }
}
