//! Soil loss by the Universal Soil Loss Equation, A = R K LS C P with P = 1
//! (no practice), where the farm gives slope, soil and cover. Ground that
//! loses more than the place allows is barred.

use crate::balance::desk::Desk;
use crate::balance::{Op, SoilPart, StepId, goal};
use crate::check::{Bar, Wants};
use crate::findings::Origin;
use crate::tables::{Classes, topic};
use crate::units::{Percent, Quantity, number, trimmed};

/// Writes the soil loss in tons per acre and year; none where the farm does
/// not give slope and soil, or the tables lack a factor.
pub(super) fn of(desk: &mut Desk<'_>, soils: &[SoilPart]) -> Option<StepId> {
    let erosion = desk.field.written.erosion.as_ref()?;
    let length_0 = desk.get(topic::SOIL_LOSS_LENGTH)?;
    let curve = desk.get(topic::SOIL_LOSS_SLOPE)?;
    let exponents = desk.get(topic::SOIL_LOSS_EXPONENT)?;
    let covers = desk.get(topic::SOIL_LOSS_COVER)?;
    let slope = match &erosion.slope {
        Some(slope) => desk.notes.written("slope", slope.value.get(), "%", slope),
        None => goal::weighted(desk, soils, "slope, from the soils under the field", "%", |soil| {
            soil.slope.as_ref().map(|slope| (slope.value.get(), slope.place.clone()))
        })?,
    };
    let length = desk.notes.written("length of the slope", erosion.length.value.get(), "ft", &erosion.length);
    let reference = desk.notes.figure("length of the reference slope", &length_0);
    let ratio = desk.notes.reckon("length over the reference", "", Op::Over, &[length, reference]);
    let m = number_of(&exponents.value, Percent::new(desk.notes.value(slope)).ok()?)?;
    let m = desk.notes.given("exponent at this slope", m, "", Origin::Figure(exponents.cite));
    let by_length = desk.notes.reckon("length factor", "", Op::Power, &[ratio, m]);
    let sine = desk.notes.reckon("sine of the slope", "", Op::Sine, &[slope]);
    let by_slope = desk.notes.rate("slope factor", &curve, sine);
    let c = number_of(&covers.value, erosion.cover.value)?;
    desk.notes.written("ground covered by grass", erosion.cover.value.get(), "%", &erosion.cover);
    let c = desk.notes.given("cover factor C", c, "", Origin::Figure(covers.cite));
    let r = desk.notes.written("rain factor R", erosion.rain.value, "", &erosion.rain);
    let k = desk.notes.written("erodibility K", erosion.erodibility.value, "", &erosion.erodibility);
    let loss = desk.notes.reckon("soil loss", "tons/ac", Op::Times, &[r, k, by_length, by_slope, c]);
    bar(desk, loss);
    Some(loss)
}

fn bar(desk: &mut Desk<'_>, loss: StepId) {
    let Some(most) = desk.get(topic::SOIL_LOSS_MOST) else { return };
    desk.notes.figure("most soil loss of ground that gets litter", &most);
    let loss = desk.notes.value(loss);
    if loss > most.value.get() {
        desk.bars.push(Bar {
            wants: Wants::Nothing,
            why: format!("soil loss {} tons/ac a year is over {}", trimmed(loss), trimmed(most.value.get())),
            fix: "better cover or a shorter slope; ask the planner".to_string(),
            origin: Origin::Figure(most.cite),
        });
    }
}

/// The number that stands for the step a value falls into.
fn number_of(steps: &Classes<Percent>, value: Percent) -> Option<f64> {
    steps.class_of(value).and_then(number)
}
