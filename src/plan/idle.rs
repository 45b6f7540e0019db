//! Why a change of one line of farm.yaml changes nothing in the plan.

use crate::farm::Change;
use crate::plan::answer::{FieldPlan, Plan};
use crate::plan::compare::{Differences, differences};
use crate::text::same_name;

/// What a plan with some changes differs in from the one without; where it
/// does not differ, the reasons.
#[must_use]
pub fn differs_or_why(before: &Plan, with: &Plan, changes: &[Change]) -> (Differences, Vec<String>) {
    let differs = differences(before, with);
    let why = if differs.none() { idle(with, changes) } else { Vec::new() };
    (differs, why)
}

/// For every change a reason, where the plan itself has one: what was found of
/// that line, or why its field or its lot gets no litter.
fn idle(plan: &Plan, changes: &[Change]) -> Vec<String> {
    changes.iter().map(|change| format!("{}: {}", change.key, reason(plan, change))).collect()
}

fn reason(plan: &Plan, change: &Change) -> String {
    let file = change.file();
    let about = |place: &crate::findings::Place| place.file.as_str() == file;
    let found = plan.findings.iter().find(|f| about(&f.place) || f.also.as_ref().is_some_and(|(also, _)| about(also)));
    if let Some(found) = found {
        return found.found.clone();
    }
    let mut parts = change.key.split('.');
    match (parts.next(), parts.next()) {
        (Some("fields"), Some(id)) => {
            plan.fields.iter().find(|f| same_name(&f.id, id)).and_then(of_field).unwrap_or_else(|| NOTHING.to_string())
        }
        (Some("litter"), Some(id)) => match plan.lots.iter().find(|lot| same_name(&lot.id, id)) {
            Some(lot) if lot.planned.0 == 0 => format!("the plan spreads nothing of lot {}", lot.id),
            _ => NOTHING.to_string(),
        },
        _ => NOTHING.to_string(),
    }
}

/// What is said where no more is known.
const NOTHING: &str = "no limit, choice or sum of this plan depends on it, or the file says the same";

fn of_field(field: &FieldPlan) -> Option<String> {
    field.why_none().first().map(|why| format!("field {} gets no litter: {why}", field.id))
}
