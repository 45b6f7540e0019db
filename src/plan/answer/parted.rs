//! The answer on fields that the plan does in parts: types only.

use serde::{Deserialize, Serialize};

/// Fields that are done in parts, and what that gains.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct InParts {
    /// The fields, in the order of farm.yaml. Each of their parts stands among the plan's fields.
    pub fields: Vec<PartedField>,
    /// What the plan is worth beyond the best one in whole fields: dollars where the farm gives
    /// prices, otherwise pounds of needed nutrients.
    pub gains: f64,
}

/// A field that is done in parts.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PartedField {
    /// Its id in farm.yaml.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Heading of the line between its parts, degrees clockwise from north; it lies between two runs.
    pub heading_deg: f64,
    /// Runs of the first part.
    pub runs: usize,
    /// Their width together, in feet from the edge of the ground to spread on.
    pub feet: f64,
    /// The parts, that in front of the line first.
    pub parts: Vec<PartOf>,
}

/// A part of a field.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PartOf {
    /// Id among the plan's fields.
    pub id: String,
    /// The side of the field on which it lies, as an eighth of the compass.
    pub side: String,
    /// Its acres to spread on.
    pub acres: f64,
}

impl InParts {
    /// The field that something is a part of, and that part.
    #[must_use]
    pub fn whole_of(&self, id: &str) -> Option<(&PartedField, &PartOf)> {
        self.fields.iter().find_map(|field| Some((field, field.parts.iter().find(|part| part.id == id)?)))
    }
}
