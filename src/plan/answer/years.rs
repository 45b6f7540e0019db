//! The answer for several years: types only.

use super::Money;
use crate::balance::LimitKind;
use crate::units::Pounds;
use jiff::civil::Date;
use serde::Serialize;

/// One year.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct YearRow {
    /// First day of its plan.
    pub from: Date,
    /// Last day of its plan.
    pub to: Date,
    /// The fields, in the order of farm.yaml.
    pub fields: Vec<YearField>,
    /// The lots, in the order of farm.yaml.
    pub lots: Vec<YearLot>,
    /// Litter that does not fit its storage before the next plan starts.
    pub leaving: Vec<Leaving>,
    /// Dollars; none when the farm gives no prices.
    pub money: Option<Money>,
}

/// A field in one year.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct YearField {
    /// Id.
    pub id: String,
    /// Tons per acre of each application.
    pub rates: Vec<f64>,
    /// Litter in all.
    pub pounds: Pounds,
    /// Nitrogen still short, lb/ac.
    pub n_short: f64,
    /// Soil-test phosphorus with which the year begins.
    pub soil_p: Option<f64>,
    /// Its unit.
    pub soil_p_unit: Option<String>,
    /// Whether it rests from phosphate banked earlier.
    pub rests: bool,
    /// Last year in which it rests, when this year banks phosphate.
    pub rests_through: Option<i16>,
    /// What holds it.
    pub held: LimitKind,
    /// What is stated for an earlier year and no longer counts.
    pub no_longer: Vec<String>,
    /// Why the soil test's phosphorus is not moved on, where it is not.
    pub not_forecast: Option<String>,
    /// Why it gets no litter, a sentence a reason; empty when it gets some.
    pub why_none: Vec<String>,
}

/// A lot in one year.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct YearLot {
    /// Id.
    pub id: String,
    /// On hand when the year's plan starts.
    pub opening: Pounds,
    /// What comes within the plan.
    pub made: Pounds,
    /// Planned to be spread.
    pub planned: Pounds,
    /// To be taken by outlets.
    pub sold: Pounds,
    /// Left when the plan is done.
    pub left: Pounds,
    /// What comes after the plan and before the next.
    pub comes_after: Pounds,
    /// What of both must leave, since its storage has no room for it.
    pub leaves: Pounds,
}

/// Litter over the room of a storage.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Leaving {
    /// Which storage.
    pub storage: String,
    /// Its room.
    pub room: Pounds,
    /// What must leave the farm.
    pub pounds: Pounds,
}
