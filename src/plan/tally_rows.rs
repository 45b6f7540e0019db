//! The tally of the log: types only.

use crate::balance::Npk;
use crate::check::Counting;
use crate::findings::{Cite, Finding, Place};
use crate::plan::undone::Undone;
use crate::record::What;
use crate::units::Pounds;
use jiff::civil::Date;
use serde::Serialize;
use std::ops::Deref;

/// A whole tally.
#[derive(Clone, Debug, Serialize)]
pub struct Tally {
    /// Version of this form.
    pub schema: u32,
    /// Name of the farm.
    pub farm: String,
    /// Name of the place whose rules hold.
    pub place_name: String,
    /// First day that counts.
    pub from: Date,
    /// Last day that counts.
    pub to: Date,
    /// The day up to which the log counts.
    pub as_of: Date,
    /// The lots, in the order of farm.yaml.
    pub lots: Vec<LotRow>,
    /// The last count of each lot whose day is known: its row shows what moved since.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub since: Vec<Since>,
    /// Where the opening tons of a lot come from, unless the grower says them
    /// outright.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub counted: Vec<Opening>,
    /// What was to be done before that day and is not in the log.
    pub undone: Vec<Undone>,
    /// All lots together.
    pub all_lots: LotRow,
    /// What was done.
    #[serde(flatten)]
    pub done: Done,
}

impl Deref for Tally {
    type Target = Done;

    fn deref(&self) -> &Done {
        &self.done
    }
}

/// The tally of one calendar year: by what was in force then, whatever the plan's
/// days are.
#[derive(Clone, Debug, Serialize)]
pub struct YearTally {
    /// Version of this form.
    pub schema: u32,
    /// Name of the farm.
    pub farm: String,
    /// Name of the place whose rules hold.
    pub place_name: String,
    /// The year.
    pub year: i16,
    /// What was moved of the lots, in the order of farm.yaml.
    pub lots: Vec<MovedRow>,
    /// Of all lots together.
    pub all_lots: MovedRow,
    /// What was done.
    #[serde(flatten)]
    pub done: Done,
}

/// What was moved of one lot in a year.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct MovedRow {
    /// Id.
    pub id: String,
    /// Cleaned out into it.
    pub made: Pounds,
    /// Brought.
    pub brought: Pounds,
    /// Spread.
    pub spread: Pounds,
    /// Hauled off.
    pub hauled: Pounds,
}

/// What was done in some days.
#[derive(Clone, Debug, Serialize)]
pub struct Done {
    /// Fields with an entry, in the order of farm.yaml.
    pub fields: Vec<FieldRow>,
    /// Nutrients put on the whole farm, in pounds.
    pub pounds_on: Npk<f64>,
    /// Total nitrogen put on the whole farm, in pounds.
    pub total_n_on: f64,
    /// Litter that left the farm.
    pub hauled: Vec<Hauled>,
    /// Litter that came to the farm or out of its houses.
    pub gained: Vec<Hauled>,
    /// Everything else that was logged: fertilizer, lime, samples, counts, animals, cleaning.
    pub others: Vec<OtherRow>,
    /// Inches of rain written down, and days lost to it.
    pub rain: (f64, f64),
    /// How long the place has the record kept.
    pub keep: Option<Kept>,
    /// What the record still lacks.
    pub gaps: Vec<Gap>,
    /// What somebody must look at.
    pub findings: Vec<Finding>,
}

/// The last count of a lot.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Since {
    /// Id of the lot.
    pub lot: String,
    /// The day on which it was counted.
    pub counted_on: Date,
}

/// Where the opening tons of a lot come from.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Opening {
    /// Id of the lot.
    pub lot: String,
    /// What was counted, and how sure it is.
    #[serde(flatten)]
    pub counting: Counting,
}

/// The tally of one lot: on hand = opening + made + brought - spread - hauled,
/// left = on hand + coming - planned - sold. On hand is below 0 where more went out than was
/// there; left never is.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct LotRow {
    /// Id.
    pub id: String,
    /// What the last count found.
    pub opening: Pounds,
    /// Cleaned out into it.
    pub made: Pounds,
    /// Brought.
    pub brought: Pounds,
    /// Spread.
    pub spread: Pounds,
    /// Hauled off.
    pub hauled: Pounds,
    /// On hand.
    pub on_hand: Pounds,
    /// Still to come within the plan.
    pub coming: Pounds,
    /// Still planned to be spread.
    pub planned: Pounds,
    /// Still to be taken by outlets.
    pub sold: Pounds,
    /// Left.
    pub left: Pounds,
}

/// What was put on a field against what is allowed, per acre to spread on.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Actual {
    /// Id of the field.
    pub field: String,
    /// Its name.
    pub name: String,
    /// Acres to spread on.
    pub acres: f64,
    /// How many spreadings.
    pub entries: usize,
    /// Litter.
    pub pounds: Pounds,
    /// Available nitrogen, phosphate, potash of the litter, lb/ac.
    pub on: Npk<f64>,
    /// The same with fertilizer and fed hay, on the densest ground that the entries can
    /// make: this is held against the limits.
    pub densest: Npk<f64>,
    /// Total nitrogen, lb/ac.
    pub total_n: f64,
    /// Available nitrogen allowed in the plan's year, lb/ac.
    pub n_allowed: f64,
    /// Phosphate allowed, lb/ac; none where nitrogen alone caps the rate.
    pub p2o5_allowed: Option<f64>,
}

impl Actual {
    /// Whether the log put anything on.
    pub(super) fn has_any(&self) -> bool {
        self.entries > 0 || self.densest != Npk::default()
    }
}

/// A field of the tally.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FieldRow {
    /// The sums.
    #[serde(flatten)]
    pub sums: Actual,
    /// Acres that litter went on, no more than the field has to spread on.
    pub covered: f64,
    /// Every spreading.
    pub spread: Vec<SpreadRow>,
    /// Days on which it was cut, with tons of hay and bales.
    pub cut: Vec<(Date, Pounds, Option<f64>)>,
    /// First and last days of grazing.
    pub grazed: Vec<(Date, Option<Date>)>,
}

/// One spreading.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SpreadRow {
    /// Id of the entry.
    pub id: String,
    /// The day.
    pub date: Date,
    /// Which lot.
    pub lot: String,
    /// How much.
    pub pounds: Pounds,
    /// Acres covered, as written; else the acres to spread on.
    pub acres: f64,
    /// Tons per acre covered.
    pub rate: f64,
    /// Available nitrogen, phosphate, potash, lb per acre covered.
    pub on: Npk<f64>,
    /// Total nitrogen, lb per acre covered.
    pub total_n: f64,
}

/// Litter that came or went.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Hauled {
    /// Id of the entry.
    pub id: String,
    /// The day.
    pub date: Date,
    /// Which lot.
    pub lot: String,
    /// How much.
    pub pounds: Pounds,
    /// Receiver or source, with the address.
    pub who: String,
    /// What it is used for.
    pub usage: String,
    /// The analysis given along.
    pub analysis: String,
}

/// An entry without a table of its own.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct OtherRow {
    /// Id of the entry.
    pub id: String,
    /// The day.
    pub date: Date,
    /// fertilizer, count ...
    pub what: What,
    /// Its field, lot, house or truck.
    pub about: String,
    /// Tons, where they are the point of it.
    pub pounds: Option<Pounds>,
    /// What it says.
    pub said: String,
}

/// How long records are kept.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Kept {
    /// Years.
    pub years: f64,
    /// Who says so.
    pub cite: Cite,
}

/// What an entry lacks.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Gap {
    /// Id of the entry.
    pub id: String,
    /// The day.
    pub date: Date,
    /// spread, haul ...
    pub what: What,
    /// Where it stands.
    pub place: Place,
    /// The columns still empty.
    pub columns: Vec<&'static str>,
}
