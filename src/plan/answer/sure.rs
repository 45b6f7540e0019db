//! The answer on how sure the rates are: types only.

use crate::balance::LimitKind;
use crate::findings::{Cite, Known};
use jiff::civil::Date;
use serde::Serialize;

/// How sure the rates of a plan are: what is counted on scatters, and these are the bands.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Sure {
    /// Version of this form.
    pub schema: u32,
    /// Name of the farm.
    pub farm: String,
    /// Name of the place.
    pub place_name: String,
    /// The day as of which the plan is made.
    pub as_of: Date,
    /// So many draws were made.
    pub draws: usize,
    /// Whether worth is in dollars; else in pounds of nitrogen.
    pub in_dollars: bool,
    /// The fields, in the order of the plan.
    pub fields: Vec<FieldSure>,
    /// The lots that the plan spreads or the log shows on its fields in their growing years, in
    /// the order of farm.yaml.
    pub lots: Vec<LotSure>,
    /// What a field gets as a whole around the rate that is set.
    pub rate: Spread,
    /// What lies on a spot around what the field got.
    pub placement: Spread,
    /// What has no figure, or no known scatter, and is counted as if it did not scatter or not at
    /// all; a sentence each.
    pub not_counted: Vec<String>,
    /// The figures that these bands rest on.
    pub figures: Vec<Cite>,
}

/// How far something scatters.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Spread {
    /// What.
    pub of: String,
    /// Its standard deviation in percent of the mean; none where nobody knows it.
    pub percent: Option<f64>,
    /// Who says so.
    pub from: SpreadFrom,
    /// So many values of the farm's own it is made of; 0 where it is published.
    pub values: usize,
    /// How it is known.
    pub known: Known,
}

/// Where a scatter comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum SpreadFrom {
    /// The farm's own samples, yields or pans.
    Own,
    /// The tables.
    Tables,
    /// Nobody.
    Nobody,
}

/// A lot.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LotSure {
    /// Id.
    pub id: String,
    /// Samples of the litter that lies there; 0 where the tables' typical contents serve.
    pub samples: usize,
    /// What it holds.
    pub contents: Vec<ContentSure>,
    /// What not knowing it exactly costs now, in dollars or pounds of nitrogen: short of the need
    /// and beyond it, on the mean of the draws, with the yields and the spreader as they scatter.
    pub costs: f64,
    /// The same with one more sample, by the same rates.
    pub costs_with_one_more: f64,
    /// What one more sample is worth: the difference.
    pub one_more: f64,
}

/// What a lot holds of something.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ContentSure {
    /// Scatter of one sample, or of lots between farms where there is none.
    pub spread: Spread,
    /// The mean of the samples over what the plan counts with, which is the newest.
    pub mean: f64,
    /// Standard deviation of what is known of the lot, in percent of what the plan counts with.
    pub now: f64,
    /// The same with one more sample.
    pub with_one_more: f64,
}

/// A field.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FieldSure {
    /// Id.
    pub id: String,
    /// Name.
    pub name: String,
    /// Scatter of its yield.
    pub yields: Spread,
    /// Nitrogen in each growing year that fertilizer is bought for.
    pub years: Vec<YearSure>,
    /// Every limit that its planned litter draws on, in the order of the limits.
    pub limits: Vec<LimitSure>,
    /// Which of these is most at risk; none where there is none.
    pub most_at_risk: Option<usize>,
}

/// Available nitrogen in a growing year, lb/ac.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct YearSure {
    /// First day.
    pub first: Date,
    /// Last day.
    pub last: Date,
    /// What the crop asks for, by the yield that it makes.
    pub needed: Band,
    /// What log, litter and fertilizer of the plan put on, as the mean of the field: its litter
    /// and the spreader's rate scatter.
    pub on_the_field: Band,
    /// The same on a spot of it, where the litter lies more or less thick besides.
    pub on_a_spot: Band,
    /// What is put on less what is needed, on the mean of the field.
    pub over: Band,
    /// Of that, what fertilizer of the plan brings; it is counted as exact.
    pub fertilizer: f64,
    /// The chance that the field is short by more than `SHORT_BY`, on its mean.
    pub short: f64,
}

/// So many pounds an acre short are told. Our own measure.
pub const SHORT_BY: f64 = 20.0;

/// What a plan counts with, and between which numbers 80 of 100 draws lie.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Band {
    /// By the plan's own figures.
    pub planned: f64,
    /// One in ten lies below.
    pub low: f64,
    /// One in ten lies above.
    pub high: f64,
}

/// A limit that planned litter draws on.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LimitSure {
    /// Which.
    pub kind: LimitKind,
    /// Its days in words; empty of one application.
    pub when: String,
    /// What it counts.
    pub counts: &'static str,
    /// Unit of what it counts.
    pub unit: &'static str,
    /// All that it allows.
    pub allowed: f64,
    /// What log, litter and fertilizer of the plan put on of it, on the mean of the ground that is
    /// most at risk.
    pub put_on: Band,
    /// The chance that what is truly put on is more than it allows, on the mean of the field.
    pub over: f64,
}
