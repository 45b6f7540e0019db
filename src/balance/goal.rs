//! The yield goal: stated, or the mean of the best of the latest years, or the
//! soil survey's.

use crate::balance::desk::Desk;
use crate::balance::{Op, StepId};
use crate::farm::{Measure, YieldYear};
use crate::findings::Origin;
use crate::tables::Topic;
use crate::units::{POUNDS_PER_TON, Quantity};

/// Writes the yield goal into the notebook, tons of dry hay per acre.
pub(super) fn of(desk: &mut Desk<'_>) -> StepId {
    let written = &desk.field.written;
    if let Some(goal) = &written.yield_goal {
        return desk.notes.written("yield goal, dry hay", goal.value.get(), "tons/ac", goal);
    }
    if let Some(survey) = written.survey_yield.as_ref().filter(|_| written.yields.is_empty()) {
        return desk.notes.written("yield goal, from the soil survey", survey.value.get(), "tons/ac", survey);
    }
    let best = desk.number(Topic::YieldBest, &[]);
    let of = desk.number(Topic::YieldOf, &[]);
    let (Some(best), Some(of)) = (best, of) else { return desk.lacking(Topic::YieldBest, "yield goal") };
    let latest = written.yields.iter().map(|y| y.year.value).max().unwrap_or_default();
    let counts = desk.notes.figure("best years that make the goal", &best, "years");
    desk.notes.figure("latest years that are looked at", &of, "years");
    let mut years: Vec<StepId> =
        written.yields.iter().filter(|y| f64::from(latest - y.year.value) < of.value).map(|y| year(desk, y)).collect();
    years.sort_by(|a, b| desk.notes.value(*b).total_cmp(&desk.notes.value(*a)));
    years.truncate(crate::units::whole_down(best.value).unsigned_abs() as usize);
    let sum = desk.notes.reckon("best years together", "tons/ac", Op::Sum, &years);
    desk.notes.reckon("yield goal, dry hay", "tons/ac", Op::Over, &[sum, counts])
}

/// One year's yield in tons of dry hay per acre.
fn year(desk: &mut Desk<'_>, year: &YieldYear) -> StepId {
    let y = year.year.value;
    match &year.measure {
        Measure::Tons(tons) => desk.notes.written(format!("yield of {y}"), tons.value.get(), "tons/ac", tons),
        Measure::Rolls { rolls, weight, moisture, acres } => {
            let rolls = desk.notes.written(format!("rolls of {y}"), rolls.value, "rolls", rolls);
            let weight = desk.notes.written("weight of a roll", weight.value.get(), "lb", weight);
            let wet = desk.notes.written("moisture of the hay", moisture.value.get(), "%", moisture);
            let acres = desk.notes.written("acres they came off", acres.value.get(), "ac", acres);
            let ton = Origin::Definition("a short ton");
            let ton = desk.notes.given("pounds in a ton", POUNDS_PER_TON as f64, "lb", ton);
            let dry = desk.notes.reckon("dry share of the hay", "", Op::Rest, &[wet]);
            let pounds = desk.notes.reckon("dry hay", "lb", Op::Times, &[rolls, weight, dry]);
            let tons = desk.notes.reckon("dry hay", "tons", Op::Over, &[pounds, ton]);
            desk.notes.reckon(format!("yield of {y}"), "tons/ac", Op::Over, &[tons, acres])
        }
    }
}
