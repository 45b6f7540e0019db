//! The answer for the phosphorus of one field: types only.

use crate::balance::Basis;
use crate::findings::Cite;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

/// Phosphorus of a field.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct PhosphorusRow {
    /// Soil-test value.
    pub soil: Option<f64>,
    /// Its unit.
    pub unit: Option<String>,
    /// Its class.
    pub class: Option<String>,
    /// The planner's rating.
    pub rating: Option<String>,
    /// What caps phosphate.
    pub basis: Basis,
    /// Phosphate allowed, lb/ac; none where nitrogen alone caps the rate.
    pub allowed: Option<f64>,
    /// Phosphate planned, with what is already on, lb/ac.
    pub planned: f64,
    /// The rows of the place's rule that hold, with what each allows.
    #[serde(default)]
    pub rows: Vec<PhosphorusRule>,
    /// Those for bought phosphorus alone.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub for_bought: Vec<PhosphorusRule>,
    /// Rows that only say something.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cautions: Vec<PhosphorusCaution>,
    /// The limit on phosphate that leaves the least room.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub used: Option<Used>,
    /// Last year in which the field then rests from phosphate, where several
    /// years of removal are on.
    pub rests_through: Option<i16>,
}

/// A row of the place's phosphorus rule on a field.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct PhosphorusRule {
    /// What it is for.
    pub what: String,
    /// What it says.
    pub says: String,
    /// What it allows in a year, lb/ac; none where it sets no pounds.
    pub allows: Option<f64>,
    /// Whether it is the one that binds.
    pub binds: bool,
    /// Its papers.
    pub cite: Cite,
    /// What it says instead where somebody states a condition.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub ways: Vec<OtherWay>,
}

/// What a row says instead where somebody states a condition.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct OtherWay {
    /// The word for `stated:` of farm.yaml.
    pub stated: String,
    /// The condition.
    pub words: String,
    /// Who may say so.
    pub by: String,
    /// What the row then says.
    pub then: String,
}

/// A row of the phosphorus rule that only says something.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PhosphorusCaution {
    /// What it is for.
    pub what: String,
    /// What it says.
    pub words: String,
}

/// What one limit allows over its days, and what log and plan put on in them.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Used {
    /// First day.
    pub first: Date,
    /// Last day.
    pub last: Date,
    /// Allowed, lb/ac.
    pub allowed: f64,
    /// Put on, lb/ac.
    pub on: f64,
}
