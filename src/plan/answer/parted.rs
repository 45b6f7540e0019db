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
    /// The ends of the line, longitude and latitude, from the one to the other along the heading.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub line: Vec<[f64; 2]>,
    /// The parts, that to the left of the line first.
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

impl PartedField {
    /// Which of its parts some place (longitude and latitude) lies on.
    #[must_use]
    pub fn part_at(&self, at: [f64; 2]) -> Option<&PartOf> {
        let [from, to] = self.line[..] else { return None };
        // As far as a degree of longitude is narrower than one of latitude, both sides shrink alike.
        let cross = (to[0] - from[0]) * (at[1] - from[1]) - (to[1] - from[1]) * (at[0] - from[0]);
        if cross > 0.0 { self.parts.first() } else { self.parts.get(1) }
    }
}

impl InParts {
    /// The field that something is a part of, and that part.
    #[must_use]
    pub fn whole_of(&self, id: &str) -> Option<(&PartedField, &PartOf)> {
        self.fields.iter().find_map(|field| Some((field, field.parts.iter().find(|part| part.id == id)?)))
    }
}
