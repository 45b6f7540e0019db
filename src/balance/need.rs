//! What a field needs and what its forage carries off, lb per acre and year.

use crate::balance::desk::Desk;
use crate::balance::{Npk, Op, StepId};
use crate::farm::{SoilValue, Use};
use crate::findings::{At, Origin};
use crate::tables::{Topic, class_of};
use crate::units::Quantity;

/// Nitrogen need of the plan's year: the yield goal's, or the place's rate, or
/// the smaller where the place has both; less other nitrogen.
pub(super) fn nitrogen(desk: &mut Desk<'_>, goal: StepId) -> StepId {
    if let Some(none) = enough_legume(desk) {
        return none;
    }
    let by_yield = by_yield(desk, goal);
    let by_rate =
        desk.number(Topic::NRate, &[]).map(|figure| desk.notes.figure("N rate of the place", &figure, "lb/ac"));
    let gross = match (by_yield, by_rate) {
        (Some(a), Some(b)) => desk.notes.reckon("N of the year, the smaller of the two", "lb/ac", Op::Least, &[a, b]),
        (Some(one), None) | (None, Some(one)) => one,
        (None, None) => return desk.lacking(Topic::NPerTon, "N need"),
    };
    let mut parts = vec![gross];
    if let Some(other) = &desk.field.written.other_n {
        parts.push(desk.notes.written("N from anything else this year", other.value.get(), "lb/ac", other));
    }
    parts.extend(carried_over(desk));
    if parts.len() == 1 { gross } else { desk.notes.reckon("N need", "lb/ac", Op::Less, &parts) }
}

/// Nitrogen that litter of earlier years still releases, where the place says
/// how much.
fn carried_over(desk: &mut Desk<'_>) -> Vec<StepId> {
    let mut steps = Vec::new();
    for earlier in &desk.field.written.earlier {
        let age = desk.ready.from.year() - earlier.year.value;
        let year = (age + 1).to_string();
        let scope = [("material", earlier.kind.value.as_str()), ("year", year.as_str())];
        let Some(share) = desk.book.number(Topic::NOrganicAvailable, &scope) else {
            let what = format!("N from the litter of {}", earlier.year.value);
            let none = Origin::Definition("the tables have no release for that year".into());
            desk.notes.given(what, 0.0, "lb/ac", none);
            continue;
        };
        let what = format!("litter of {}", earlier.year.value);
        let rate = desk.notes.written(what, earlier.rate.value.get(), "tons/ac", &earlier.rate);
        let held = &earlier.organic_n;
        let organic = desk.notes.written("organic N it held", held.value.get(), "lb/ton", held);
        let share = desk.notes.figure(format!("share of it released in year {year}"), &share, "");
        let what = format!("N from the litter of {}", earlier.year.value);
        steps.push(desk.notes.reckon(what, "lb/ac", Op::Times, &[rate, organic, share]));
    }
    steps
}

/// Yield goal times nitrogen per ton, less the share that grazing returns.
fn by_yield(desk: &mut Desk<'_>, goal: StepId) -> Option<StepId> {
    let figure = desk.number(Topic::NPerTon, &[])?;
    let per_ton = desk.notes.figure("N per ton of hay", &figure, "lb/ton");
    let full = desk.notes.reckon("N for the yield goal", "lb/ac", Op::Times, &[goal, per_ton]);
    let grazed = desk.field.written.usage.value != Use::Hay;
    let Some(cut) = desk.number(Topic::NGrazingCut, &[]).filter(|_| grazed) else {
        return Some(full);
    };
    let origin = Origin::Figure(cut.cite);
    let cut = desk.notes.given("share left off because it is grazed", cut.value * 100.0, "%", origin);
    let rest = desk.notes.reckon("share still needed", "", Op::Rest, &[cut]);
    Some(desk.notes.reckon("N after grazing returns", "lb/ac", Op::Times, &[full, rest]))
}

/// A stand with enough legume feeds itself.
fn enough_legume(desk: &mut Desk<'_>) -> Option<StepId> {
    let share = desk.field.written.legume.as_ref()?;
    let figure = desk.number(Topic::NLegumeNone, &[])?;
    if share.value.get() < figure.value {
        return None;
    }
    desk.notes.written("legume in the stand", share.value.get(), "%", share);
    desk.notes.figure("legume share from which no N is put on", &figure, "%");
    Some(desk.notes.given("N need", 0.0, "lb/ac", Origin::Figure(figure.cite)))
}

/// What the forage carries off the field in a year.
pub(super) fn removed(desk: &mut Desk<'_>, goal: StepId) -> Npk<StepId> {
    let n = match desk.number(Topic::NRemovedPerTon, &[]) {
        Some(_) => carried_off(desk, goal, Topic::NRemovedPerTon, "N", "n"),
        None => desk.notes.given("N carried off", 0.0, "lb/ac", Origin::Definition("no figure in the tables".into())),
    };
    let p2o5 = carried_off(desk, goal, Topic::P2o5PerTon, "P2O5", "p2o5");
    let k2o = carried_off(desk, goal, Topic::K2oPerTon, "K2O", "k2o");
    Npk { n, p2o5, k2o }
}

fn carried_off(desk: &mut Desk<'_>, goal: StepId, topic: Topic, nutrient: &str, key: &str) -> StepId {
    let what = format!("{nutrient} carried off");
    let Some(figure) = desk.number(topic, &[]) else { return desk.lacking(topic, &what) };
    let per_ton = desk.notes.figure(format!("{what} per ton of hay"), &figure, "lb/ton");
    let mut of = vec![goal, per_ton];
    if desk.field.written.usage.value == Use::Pasture
        && let Some(keeps) = desk.number(Topic::GrazingKeeps, &[("nutrient", key)])
    {
        of.push(desk.notes.figure(format!("share of {nutrient} that grazing animals keep"), &keeps, ""));
    }
    desk.notes.reckon(what, "lb/ac", Op::Times, &of)
}

/// A soil-test value and the class it falls into.
#[derive(Clone, Copy)]
pub(super) struct Soil {
    pub(super) value: StepId,
    pub(super) class: Option<StepId>,
}

/// The soil test's phosphorus; none without a test.
pub(super) fn soil_p(desk: &mut Desk<'_>) -> Option<Soil> {
    let test = desk.field.written.soil_test.as_ref()?;
    Some(soil(desk, "soil-test P", &test.p, Topic::SoilPClass))
}

/// The soil test's potassium; none without a test.
pub(super) fn soil_k(desk: &mut Desk<'_>) -> Option<Soil> {
    let test = desk.field.written.soil_test.as_ref()?;
    Some(soil(desk, "soil-test K", &test.k, Topic::SoilKClass))
}

/// The soil test's magnesium and its class, for the notebook alone.
pub(super) fn soil_mg(desk: &mut Desk<'_>) {
    if let Some(mg) = desk.field.written.soil_test.as_ref().and_then(|t| t.mg.as_ref()) {
        soil(desk, "soil-test Mg", mg, Topic::SoilMgClass);
    }
}

fn soil(desk: &mut Desk<'_>, what: &str, written: &At<SoilValue>, topic: Topic) -> Soil {
    let value = desk.notes.written(what, written.value.value, written.value.unit, written);
    let class = desk.book.steps(topic, &desk.ready.soil_scope(desk.field)).and_then(|steps| {
        let class = class_of(&steps.value, written.value.value)?.to_string();
        Some(desk.notes.class(format!("class of {what}"), class, value, steps.cite))
    });
    Soil { value, class }
}

/// What the soil test asks for: a curve over its value, or a rate by class.
pub(super) fn asked(desk: &mut Desk<'_>, topic: Topic, soil: Option<Soil>, what: &str) -> StepId {
    let Some(soil) = soil else {
        return desk.notes.given(what, 0.0, "lb/ac", Origin::Definition("no soil test".into()));
    };
    let class = soil.class.map(|c| crate::text::key_of(&desk.notes.word_of(c)));
    let by: Vec<(&'static str, &str)> = class.iter().map(|c| ("class", c.as_str())).collect();
    let shape = desk.shape(topic, &by);
    let step = shape.and_then(|shape| desk.notes.shape(what, &shape, soil.value, "lb/ac"));
    step.unwrap_or_else(|| desk.lacking(topic, what))
}
