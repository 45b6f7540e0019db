//! The answer on a field that is done in part: types, and the sentence that tells it.

use crate::plan::answer::Application;
use crate::units::{Pounds, number_text};
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

/// A field of which the log shows the ground that was done, in a window that is still open.
/// The plan goes over a field once a window, so it plans nothing more on it there.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct FieldPart {
    /// Spreadable acres that are done.
    pub done: f64,
    /// Spreadable acres that are left.
    pub left: f64,
    /// Day of the first entry.
    pub first: Date,
    /// Day of the last entry.
    pub last: Date,
    /// The season of the window.
    pub season: String,
    /// Last day of the window.
    pub until: Date,
    /// The entries, by their ids.
    pub entries: Vec<String>,
    /// What may go on the ground that is left; none where nobody can tell by the ground done.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rest: Option<RestOfField>,
}

/// What may go on the rest of a field: as much as its last entry put on.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct RestOfField {
    /// Which lot.
    pub lot: String,
    /// At most so many tons per acre.
    pub rate: f64,
    /// What that is on the acres left.
    pub pounds: Pounds,
}

impl FieldPart {
    /// Whether a job is planned while the part that is done is to be kept off. A job of a later
    /// window goes over the whole field again.
    #[must_use]
    pub fn stands_beside(&self, jobs: &[Application]) -> bool {
        jobs.iter().any(|job| job.first <= self.until)
    }

    /// What is done, what is left, and what may go on it.
    #[must_use]
    pub fn sentence(&self) -> String {
        let days =
            if self.first == self.last { self.last.to_string() } else { format!("{} to {}", self.first, self.last) };
        let [done, left, all] = [self.done, self.left, self.done + self.left].map(|acres| number_text(acres, 2));
        let rest = match &self.rest {
            Some(rest) => format!(
                "at most {} tons/ac of {}, as on the ground that is done: {} tons. The plan sets no litter aside for \
                 that; re-run it when the rest is logged",
                number_text(rest.rate, 2),
                rest.lot,
                number_text(rest.pounds.tons(), 2)
            ),
            None => "the rate of the ground that is done is no guide for them: ask the planner first".to_string(),
        };
        format!(
            "{done} of {all} acres are done ({days}); keep off them until {until}. {left} acres are left until then: {rest}",
            until = self.until
        )
    }
}
