//! Lime from the soil test, as the report recommends it or by the place's formula:
//! acidity x (target pH - pH) / (pH without acidity - pH).

use crate::balance::desk::Desk;
use crate::balance::{Op, StepId};
use crate::farm::SoilTest;
use crate::findings::Origin;
use crate::record::What;
use crate::tables::topic;
use crate::units::{POUNDS_PER_TON, Quantity};
use jiff::civil::Date;

/// Lime for a field.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lime {
    /// All that the formula asks for, less what the log shows, tons per acre.
    pub needed: StepId,
    /// Lime that went on since the soil was sampled, by the log, tons per acre.
    pub logged: Option<StepId>,
    /// Of that, as much as goes on at once, tons per acre.
    pub at_once: StepId,
    /// Months before more may follow.
    pub again: Option<StepId>,
}

/// Writes the lime into the notebook: what the soil report recommends, else by the place's
/// formula; none where the report gives neither that nor an acidity, or the place has no
/// formula. What the log shows since the soil was sampled is off; a credit for lime before
/// that is for the planner to take off.
pub(super) fn of(desk: &mut Desk<'_>, acres: f64) -> Option<Lime> {
    let test = desk.field.written.soil_test.as_ref()?;
    let needed = match desk.advised("lime", desk.advice().and_then(|advice| advice.lime.as_ref())) {
        Some(advised) => advised,
        None => by_formula(desk, test)?,
    };
    let logged = logged(desk, test.sampled.value, acres);
    let needed = match logged {
        Some(on) => desk.notes.reckon("lime still to go on", "tons/ac", Op::Less, &[needed, on]),
        None => needed,
    };
    let at_once = match desk.get(topic::LIME_MOST) {
        Some(most) => {
            let most = desk.notes.figure("most lime on a stand at once", &most);
            desk.notes.reckon("lime at once", "tons/ac", Op::Least, &[needed, most])
        }
        None => needed,
    };
    let again = desk.get(topic::LIME_EVERY);
    let again = again.map(|every| desk.notes.figure("months before more lime", &every));
    Some(Lime { needed, logged, at_once, again })
}

/// Lime by the place's formula.
fn by_formula(desk: &mut Desk<'_>, test: &SoilTest) -> Option<StepId> {
    let ph = test.ph.as_ref()?;
    let target = desk.get(topic::TARGET_PH)?;
    let zero = desk.get(topic::LIME_ZERO_PH)?;
    if test.buffer_ph.is_none() && test.acidity.is_none() {
        return None;
    }
    let target_step = desk.notes.figure("pH that the forage is limed to", &target);
    let zero_step = desk.notes.figure("buffer pH without acidity", &zero);
    let ph_step = desk.notes.written("pH", ph.value, "pH", ph);
    let acidity = match (&test.acidity, &test.buffer_ph) {
        (Some(acidity), _) => desk.notes.written("acidity", acidity.value, "meq/100 cm3", acidity),
        (None, Some(buffer)) => {
            let per = desk.get(topic::LIME_PER_PH)?;
            let buffer = desk.notes.written("buffer pH", buffer.value, "pH", buffer);
            let below = desk.notes.reckon("buffer pH below that", "pH", Op::Less, &[zero_step, buffer]);
            let per = desk.notes.figure("acidity per unit of buffer pH", &per);
            desk.notes.reckon("acidity", "meq/100 cm3", Op::Times, &[below, per])
        }
        (None, None) => return None,
    };
    Some(if ph.value >= target.value.get() || ph.value >= zero.value.get() {
        desk.notes.given("lime", 0.0, "tons/ac", Origin::Definition("the pH is high enough".into()))
    } else {
        let up = desk.notes.reckon("pH to gain", "pH", Op::Less, &[target_step, ph_step]);
        let span = desk.notes.reckon("pH without acidity less pH", "pH", Op::Less, &[zero_step, ph_step]);
        let factor = desk.notes.reckon("share of the acidity to take up", "", Op::Over, &[up, span]);
        desk.notes.reckon("lime", "tons/ac", Op::Times, &[acidity, factor])
    })
}

/// Lime that the log shows since a day, over the whole field; none where it shows none.
fn logged(desk: &mut Desk<'_>, since: Date, acres: f64) -> Option<StepId> {
    let (ready, field) = (desk.ready, desk.field);
    let limed = ready.happened.on_field(field.id(), What::Lime).filter(|entry| entry.date >= since && acres > 0.0);
    let mut steps = Vec::new();
    for entry in limed {
        let line = || Origin::Line(entry.place.clone());
        let tons = entry.rate.unwrap_or_default() / POUNDS_PER_TON as f64;
        let rate = desk.notes.given(format!("lime spread on {}", entry.date), tons, "tons/ac", line());
        steps.push(match entry.acres.filter(|own| *own < acres) {
            Some(own) => {
                let share = desk.notes.given("share of the field that it went on", own / acres, "", line());
                desk.notes.reckon(
                    format!("lime of {} over the field", entry.date),
                    "tons/ac",
                    Op::Times,
                    &[rate, share],
                )
            }
            None => rate,
        });
    }
    match steps[..] {
        [] => None,
        [one] => Some(one),
        _ => Some(desk.notes.reckon("lime since the soil was sampled", "tons/ac", Op::Sum, &steps)),
    }
}
