//! What was to be done before the day of a plan and the log does not show: litter that was to come, and
//! windows that are over. One list for everything that tells of it.

use crate::plan::answer::{FieldPlan, Past, Plan};
use jiff::civil::Date;
use serde::Serialize;
use std::collections::BTreeMap;

/// One thing that was not done, or not logged.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Undone {
    /// What kind of thing.
    pub kind: UndoneKind,
    /// The sentence.
    pub text: String,
    /// Fields whose window it is.
    pub fields: Vec<String>,
}

/// What was not done.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum UndoneKind {
    /// Litter that was to come.
    Litter,
    /// A window in which no litter went on.
    Window,
}

/// The code of the finding on litter that was to come.
const OVERDUE: &str = "coming-overdue";

/// What was to be done before the day of a plan, litter first, windows by their days.
#[must_use]
pub fn undone(plan: &Plan) -> Vec<Undone> {
    let overdue = plan.findings.iter().filter(|finding| finding.code == OVERDUE);
    let litter = overdue.map(|finding| Undone {
        kind: UndoneKind::Litter,
        text: format!("{} No job that needs it is planned.", finding.in_words()),
        fields: Vec::new(),
    });
    let mut windows: BTreeMap<(Date, Date, &str), Vec<String>> = BTreeMap::new();
    for field in plan.fields.iter().filter(|field| field.bars.is_empty()) {
        let over = field.past.iter().filter(|over| over.spread.0 == 0 && !goes_on(field, over, plan.as_of));
        over.for_each(|over| windows.entry((over.first, over.last, &over.season)).or_default().push(field.id.clone()));
    }
    let window = |((first, last, season), fields): ((Date, Date, &str), Vec<String>)| Undone {
        kind: UndoneKind::Window,
        text: format!(
            "The {} window of {first} to {last} is over, and the log has no litter in it on {}: log what was spread.",
            season.replace('_', " "),
            fields.join(", ")
        ),
        fields,
    };
    litter.chain(windows.into_iter().map(window)).collect()
}

/// Whether a season goes on: its days that are over say nothing where nothing was done.
#[must_use]
pub fn goes_on(field: &FieldPlan, over: &Past, as_of: Date) -> bool {
    field.windows.iter().any(|w| w.season == over.season && w.first > over.last && w.first <= as_of)
}
