//! The answer on litter left over: types only.

use crate::units::Pounds;
use serde::{Deserialize, Serialize};

/// What the leftover could mean.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Leftover {
    /// All lots, in pounds.
    pub pounds: Pounds,
    /// Average planned rate, tons per acre.
    pub average_rate: f64,
    /// Acres more that the leftover would cover at that rate.
    pub acres_more: f64,
    /// Acres of this farm that could take more, had there been litter.
    pub acres_wanting: f64,
    /// Dollars at the shed, when prices are given.
    pub sale_value: Option<f64>,
    /// The field that stands for outside ground.
    #[serde(default)]
    pub like: Option<Like>,
    /// Each lot of which something is left.
    #[serde(default)]
    pub lots: Vec<LeftLot>,
    /// Acres of such ground at the phosphate that hay carries off.
    #[serde(default)]
    pub acres_by_p2o5: Option<f64>,
    /// Acres of such ground at its nitrogen need.
    #[serde(default)]
    pub acres_by_n: Option<f64>,
    /// Dollars that it is worth next year, nitrogen lost on the way taken off.
    #[serde(default)]
    pub next_year: Option<f64>,
    /// Who says what share of its nitrogen litter keeps, and which.
    #[serde(default)]
    pub keeps: Option<Keeps>,
    /// Tons for which the farm has dry room; none when it does not say.
    #[serde(default)]
    pub room: Option<f64>,
    /// What of it lies in a storage that farm.yaml names.
    #[serde(default)]
    pub stored: Pounds,
    /// What of it must leave by the plan's last day, since its storage has no room for it.
    #[serde(default)]
    pub over: Pounds,
}

/// Ground that stands for ground outside the farm: a field of the farm's most
/// common forage.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Like {
    /// Id of the field.
    pub field: String,
    /// Forage.
    pub forage: String,
    /// Use.
    pub usage: String,
    /// Yield goal, tons of dry hay per acre.
    pub goal: f64,
    /// Nitrogen needed, lb/ac.
    pub n: f64,
    /// Phosphate carried off, lb/ac.
    pub p2o5: f64,
    /// Potash carried off, lb/ac.
    pub k2o: f64,
}

/// The leftover of one lot.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct LeftLot {
    /// Which lot.
    pub lot: String,
    /// What is left.
    pub pounds: Pounds,
    /// Why it is not sold, and whom to ask where it may go.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub where_to: Option<String>,
    /// Tons per acre that bring the phosphate carried off.
    pub rate_by_p2o5: Option<f64>,
    /// Acres at that rate.
    pub acres_by_p2o5: Option<f64>,
    /// Tons per acre that meet the nitrogen need.
    pub rate_by_n: Option<f64>,
    /// Acres at that rate.
    pub acres_by_n: Option<f64>,
    /// Dollars that a ton replaces on such ground at the phosphate carried
    /// off, when prices are given.
    pub worth: Option<f64>,
    /// Miles at which hauling eats that up; 0 when it never pays.
    pub break_even_miles: Option<f64>,
    /// Dollars at the shed.
    pub sale_value: Option<f64>,
    /// Dollars that it is worth next year.
    pub next_year: Option<f64>,
}

/// The share of its nitrogen that litter keeps until next year.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Keeps {
    /// Percent.
    pub percent: f64,
    /// Who says so.
    pub by: String,
    /// When.
    pub on: jiff::civil::Date,
}
