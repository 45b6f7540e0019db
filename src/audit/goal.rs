//! The yield goal, calculated again.

use crate::check::Field;
use crate::farm::Measure;
use crate::plan::answer::FieldPlan;
use crate::tables::{Book, Scope, topic};
use crate::units::Quantity;

/// The yield goal as stated, or the mean of the best years, tons/ac. That of
/// the mapped soils is counted by itself, in `under`.
pub(super) fn yield_goal(plan: &FieldPlan, field: &Field, book: &Book<'_>) -> Option<f64> {
    let written = &field.written;
    if !written.says_yield() {
        return Some(plan.goal.tons);
    }
    if let Some(bushels) = &written.bushels {
        return Some(bushels.an_acre.value.get() * bushels.weight.as_ref()?.value.get() / 2_000.0);
    }
    if let Some(goal) = &written.yield_goal {
        return Some(goal.value.get());
    }
    if written.yields.is_empty() {
        return written.survey_yield.as_ref().map(|s| s.value.get());
    }
    let best = book.get(topic::YIELD_BEST, &Scope::new())?.value.get();
    let of = book.get(topic::YIELD_OF, &Scope::new())?.value.get();
    let last = written.yields.iter().map(|y| y.year.value).max()?;
    let mut tons: Vec<f64> = written
        .yields
        .iter()
        .filter(|y| f64::from(y.year.value) > f64::from(last) - of)
        .map(|y| match &y.measure {
            Measure::Tons(t) => t.value.get(),
            Measure::Rolls { rolls, weight, moisture, acres } => {
                let dry_pounds = rolls.value * weight.value.get() * (100.0 - moisture.value.get()) / 100.0;
                dry_pounds / 2_000.0 / acres.value.get()
            }
            Measure::Logged { cuttings, acres } => {
                cuttings.iter().fold(0.0, |sum, hay| sum + hay.tons.value * (1.0 - hay.moisture / 100.0)) / acres
            }
        })
        .collect();
    tons.sort_by(|a, b| b.total_cmp(a));
    Some(tons.iter().take(best.max(0.0) as usize).sum::<f64>() / best)
}
