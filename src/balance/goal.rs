//! The yield goal: stated in tons or bushels, or the mean of the best of the latest years, or the
//! soil survey's, as one number or as soils mapped under the field.

use crate::balance::desk::Desk;
use crate::balance::{Op, SoilPart, StepId};
use crate::farm::{Bushels, Measure, Soil, YieldYear};
use crate::findings::{At, Origin, Place};
use crate::tables::topic;
use crate::units::{POUNDS_PER_TON, Quantity, Yield};

/// Writes the yield goal into the notebook, tons of dry hay per acre.
pub(super) fn of(desk: &mut Desk<'_>, soils: &[SoilPart]) -> StepId {
    let written = &desk.field.written;
    if let Some(goal) = &written.yield_goal {
        return stated(desk, written.usage.value.goal(), goal, written.bushels.as_ref());
    }
    if let Some(survey) = written.survey_yield.as_ref().filter(|_| written.yields.is_empty()) {
        return desk.notes.written("yield goal, from the soil survey", survey.value.get(), "tons/ac", survey);
    }
    if !written.says_yield() {
        return of_soils(desk, soils);
    }
    let best = desk.get(topic::YIELD_BEST);
    let of = desk.get(topic::YIELD_OF);
    let (Some(best), Some(of)) = (best, of) else { return desk.lacking(topic::YIELD_BEST, "yield goal") };
    let latest = written.yields.iter().map(|y| y.year.value).max().unwrap_or_default();
    let counts = desk.notes.figure("best years that make the goal", &best);
    desk.notes.figure("latest years that are looked at", &of);
    let mut years: Vec<StepId> = written
        .yields
        .iter()
        .filter(|y| f64::from(latest - y.year.value) < of.value.get())
        .map(|y| year(desk, y))
        .collect();
    years.sort_by(|a, b| desk.notes.value(*b).total_cmp(&desk.notes.value(*a)));
    years.truncate(crate::units::whole_down(best.value.get()).unsigned_abs() as usize);
    let sum = desk.notes.reckon("best years together", "tons/ac", Op::Sum, &years);
    desk.notes.reckon(written.usage.value.goal(), "tons/ac", Op::Over, &[sum, counts])
}

/// A yield goal as it is written: in tons, or in bushels by the weight of one.
pub(super) fn stated(
    desk: &mut Desk<'_>,
    what: impl Into<String>,
    goal: &At<Yield>,
    bushels: Option<&Bushels>,
) -> StepId {
    let Some((an_acre, weight)) = bushels.and_then(|own| Some((&own.an_acre, own.weight.as_ref()?))) else {
        return desk.notes.written(what, goal.value.get(), "tons/ac", goal);
    };
    let what = what.into();
    let number = desk.notes.written(format!("{what}, in bushels"), an_acre.value.get(), "bu/ac", an_acre);
    let weight = desk.notes.written("weight of a bushel", weight.value.get(), "lb", weight);
    let pounds = desk.notes.reckon(format!("{what}, in pounds"), "lb/ac", Op::Times, &[number, weight]);
    let ton = a_ton(desk);
    desk.notes.reckon(what, "tons/ac", Op::Over, &[pounds, ton])
}

fn a_ton(desk: &mut Desk<'_>) -> StepId {
    desk.notes.given("pounds in a ton", POUNDS_PER_TON as f64, "lb", Origin::Definition("a short ton".into()))
}

/// The mean of the mapped soils' yields, weighted by the acres under each.
fn of_soils(desk: &mut Desk<'_>, soils: &[SoilPart]) -> StepId {
    let forage = desk.field.written.forage.value.clone();
    weighted(desk, soils, "yield goal, from the soils under the field", "tons/ac", |soil| {
        soil.yield_for(&forage).map(|tons| (tons.value.get(), tons.place.clone()))
    })
    .unwrap_or_else(|| desk.lacking(topic::N_PER_TON, "yield goal"))
}

/// A property of the soils under a field, weighted by acres; soils that lack
/// it do not count. None where no soil has it.
pub(super) fn weighted(
    desk: &mut Desk<'_>,
    soils: &[SoilPart],
    what: &str,
    unit: &'static str,
    of: impl Fn(&Soil) -> Option<(f64, Place)>,
) -> Option<StepId> {
    let (mut acres, mut products) = (Vec::new(), Vec::new());
    for part in soils {
        let Some(soil) = desk.ready.soils.get(part.soil) else { continue };
        let Some((value, place)) = of(soil) else { continue };
        let under = desk.notes.given(format!("ground under {}", soil.name), part.acres, "ac", Origin::Measured);
        let value = desk.notes.given(format!("{}: as mapped", soil.name), value, unit, Origin::Line(place));
        products.push(desk.notes.reckon(format!("{}: acres times that", soil.name), "", Op::Times, &[under, value]));
        acres.push(under);
    }
    if acres.is_empty() {
        return None;
    }
    let total = desk.notes.reckon("ground with a mapped value", "ac", Op::Sum, &acres);
    let sum = desk.notes.reckon("all soils together", "", Op::Sum, &products);
    Some(desk.notes.reckon(what, unit, Op::Over, &[sum, total]))
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
            let ton = a_ton(desk);
            let dry = desk.notes.reckon("dry share of the hay", "", Op::Rest, &[wet]);
            let pounds = desk.notes.reckon("dry hay", "lb", Op::Times, &[rolls, weight, dry]);
            let tons = desk.notes.reckon("dry hay", "tons", Op::Over, &[pounds, ton]);
            desk.notes.reckon(format!("yield of {y}"), "tons/ac", Op::Over, &[tons, acres])
        }
        Measure::Logged { cuttings, acres } => {
            let mut dry_tons = Vec::new();
            for hay in cuttings {
                let tons = desk.notes.written(format!("hay cut in {y}, as weighed"), hay.tons.value, "tons", &hay.tons);
                let wet = desk.notes.written("moisture of the hay", hay.moisture, "%", &hay.tons);
                let dry = desk.notes.reckon("dry share of the hay", "", Op::Rest, &[wet]);
                dry_tons.push(desk.notes.reckon("dry hay", "tons", Op::Times, &[tons, dry]));
            }
            let tons = desk.notes.reckon(format!("dry hay of {y}"), "tons", Op::Sum, &dry_tons);
            let acres = desk.notes.given("acres of the field", *acres, "ac", Origin::Measured);
            desk.notes.reckon(format!("yield of {y}"), "tons/ac", Op::Over, &[tons, acres])
        }
    }
}
