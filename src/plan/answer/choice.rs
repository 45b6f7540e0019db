//! The answer on the choice itself: types only.

use crate::balance::LimitKind;
use crate::proof::Certificate;
use crate::units::Pounds;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

/// How good the choice is, and what it rests on. Worth is in dollars where
/// the farm gives prices, otherwise in pounds of needed nutrients.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ChoiceRow {
    /// Whether worth is in dollars.
    pub in_dollars: bool,
    /// How much better another plan could be.
    pub proof: Proof,
    /// What one more load of each lot would bring.
    pub loads: Vec<LoadWorth>,
    /// What each kind of limit that holds somewhere costs the farm.
    pub limits: Vec<LimitCost>,
    /// What one more day of spreading would bring, where days are planned.
    pub day: Option<DayWorth>,
    /// The chance with which each job can be done in its days, and what that costs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub in_time: Option<InTime>,
    /// The next-best plan, when it comes within a hundredth.
    pub next: Option<NextBest>,
}

/// How much better another plan could be.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Proof {
    /// What the plan is worth. Where fertilizers have prices, the bill without litter less the
    /// bill with it; else nutrients replaced, less spreading and hauling, less what the litter
    /// would bring if it were left, and what outlets pay, less what getting rid of litter costs.
    pub worth: f64,
    /// No plan is worth more that uses as much of the lots in `first`; where `full`, by
    /// a count in which litter that waits costs as much as litter to get rid of.
    pub bound: f64,
    /// The difference as a share of the worth.
    pub gap: f64,
    /// Whether the gap that was asked for was reached.
    pub proven: bool,
    /// The lots that the grower wants used before the others, in the order of the lots.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub first: Vec<usize>,
    /// What that costs.
    #[serde(default, skip_serializing_if = "nothing")]
    pub first_costs: f64,
    /// Whether the bound counts litter of other plans that waits for its use while its
    /// storage is full as if somebody had to get rid of it.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub full: bool,
    /// No plan is worth more in which fields are done in parts too; none where that is not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub in_parts: Option<f64>,
    /// The proof of the bound for others to check.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shown: Option<Certified>,
    /// Why it is not there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub not_shown: Option<String>,
}

/// What no plan is worth more than, with its certificate. The certificate counts in hundred
/// thousandths of a dollar (or of a pound of nutrients).
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Certified {
    /// Dollars between what is counted there and what plans are worth: a hundred thousandth of the
    /// certificate's bound and these are the bound of the plan, or less where the plan itself is worth
    /// more by the roundings of its bill.
    pub adds: f64,
    /// Ways that the checker looked at one by one.
    pub looked_at: u64,
    /// Dollars a ton more that each lot counts, in the order of the lots; none where none does.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub favors: Vec<f64>,
    /// Dollars a ton more that counts what is out of a storage by a day, by storage and day; none where
    /// nothing does.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub weights: Vec<Vec<f64>>,
    /// What the checker goes by.
    pub certificate: Certificate,
}

fn nothing(of: &f64) -> bool {
    *of == 0.0
}

impl Proof {
    /// The same against the bill without litter: all that a plan can be worth moves as one.
    pub(in crate::plan) fn by_bill(&mut self, saved: f64) {
        let moved = saved - self.worth;
        (self.worth, self.bound) = (saved, self.bound + moved);
        self.in_parts = self.in_parts.map(|most| most + moved);
        self.shown.iter_mut().for_each(|shown| shown.adds += moved);
        self.gap = if saved.abs() > 1.0 { (self.bound - saved) / saved.abs() } else { 0.0 };
    }
}

/// One more load of a lot.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct LoadWorth {
    /// Which lot, in the order of the lots.
    pub lot: usize,
    /// Weight of the load.
    pub pounds: Pounds,
    /// What it would bring.
    pub worth: f64,
}

/// One kind of limit.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct LimitCost {
    /// Which.
    pub limit: LimitKind,
    /// On how many fields it holds.
    pub fields: usize,
    /// What the plan would gain without it, the other limits kept.
    pub worth: f64,
}

/// One more day of spreading.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct DayWorth {
    /// First day of the span in which days are scarcest.
    pub first: Date,
    /// Last day of it.
    pub last: Date,
    /// What a day spreads.
    pub pounds: Pounds,
    /// What it would bring.
    pub worth: f64,
}

/// How sure it is that jobs get done in their days.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct InTime {
    /// The chance that is planned by, 0 to 1.
    pub chance: f64,
    /// What a plan would gain that counts on as many days as come in an average year.
    pub costs: f64,
}

/// The next-best plan.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct NextBest {
    /// By how much it is worth less.
    pub less: f64,
    /// Whether it was looked for with less effort, so that another may come nearer.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub roughly: bool,
    /// Where it differs.
    pub swaps: Vec<Swap>,
}

/// A rate that differs in another plan.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Swap {
    /// Which field, in the order of the fields.
    pub field: usize,
    /// Which lot, in the order of the lots.
    pub lot: usize,
    /// Which window of the field.
    pub window: usize,
    /// Tons per acre in the plan; 0 for none.
    pub rate: f64,
    /// Tons per acre in the other.
    pub instead: f64,
}
