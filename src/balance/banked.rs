//! Phosphate of earlier years that the forage has not carried off yet.

use crate::balance::desk::Desk;
use crate::balance::logged::Logged;
use crate::balance::periods::Periods;
use crate::balance::phosphorus::{Basis, Phosphorus};
use crate::balance::supply::Supplied;
use crate::balance::{Counts, Op, StepId};
use crate::findings::Finding;
use crate::units::number_text;
use jiff::civil::Date;
use std::collections::BTreeSet;

/// Takes off what is allowed by removal what the log of earlier years put on above
/// a year's removal: it was several years' phosphate, whatever it was meant as.
/// Earlier is what lies before the first calendar year in which more can go on.
pub(super) fn take_off(
    desk: &mut Desk<'_>,
    phosphorus: &mut Phosphorus,
    log: &mut Logged<'_>,
    supplied: &[Supplied<'_>],
    (removed, periods): (StepId, &Periods),
) -> f64 {
    let plan = periods.calendar.first().map_or(desk.ready.open_from(), |days| days.0).year();
    let until = desk.field.written.banked_until.as_ref().map(|until| until.value);
    let Some(allowed) = phosphorus.allowed.filter(|_| phosphorus.basis == Basis::Removal) else { return 0.0 };
    let mut carried: Option<StepId> = None;
    let mut last = plan;
    for year in years(log, plan).into_iter().filter(|year| until.is_none_or(|until| *year > until)) {
        carried = carried.and_then(|carried| after(desk, carried, removed, year - last - 1));
        let on = match (carried, put_on(desk, log, supplied, year)) {
            (Some(carried), Some(put)) => {
                let what = format!("P2O5 on in {year} with what was left");
                Some(desk.notes.reckon(what, "lb/ac", Op::Sum, &[carried, put]))
            }
            (carried, put) => carried.or(put),
        };
        carried = on.and_then(|on| after(desk, on, removed, 1));
        last = year;
    }
    let since = plan - last - 1;
    let Some(carried) = carried.and_then(|carried| after(desk, carried, removed, since)) else { return 0.0 };
    let left = desk.notes.reckon("P2O5 allowed after earlier years", "lb/ac", Op::Less, &[allowed, carried]);
    phosphorus.allowed = Some(left);
    let [carried, a_year, left] = [carried, removed, left].map(|step| desk.notes.value(step));
    tell(desk, carried, a_year, left);
    carried
}

/// What is left of some phosphate once the forage has carried off some years' share;
/// none where nothing is.
fn after(desk: &mut Desk<'_>, on: StepId, removed: StepId, years: i16) -> Option<StepId> {
    let mut of = vec![on];
    of.extend((0..years).map(|_| removed));
    if of.len() == 1 {
        return Some(on);
    }
    let left = desk.notes.reckon("P2O5 of earlier years, not carried off yet", "lb/ac", Op::Less, &of);
    (desk.notes.value(left) > 0.0).then_some(left)
}

/// Years before that of the plan in which phosphate went onto the field.
fn years(log: &Logged<'_>, plan: i16) -> BTreeSet<i16> {
    log.dates(Counts::P2o5).map(Date::year).filter(|year| *year < plan).collect()
}

/// Phosphate that the log put on in a year, lb/ac.
fn put_on(desk: &mut Desk<'_>, log: &mut Logged<'_>, supplied: &[Supplied<'_>], year: i16) -> Option<StepId> {
    let days = (Date::new(year, 1, 1).ok()?, Date::new(year, 12, 31).ok()?);
    log.on(desk, supplied, days, Counts::P2o5)
}

fn tell(desk: &mut Desk<'_>, carried: f64, a_year: f64, left: f64) {
    let field = desk.field;
    let one = |lb: f64| number_text(lb, 1);
    let found = format!(
        "{}: litter and fertilizer of earlier years put on more P2O5 than the forage carries off in a year, {} lb/ac; {} lb/ac of it still \
         count, so {} lb/ac are allowed",
        field.id(),
        one(a_year),
        one(carried),
        one(left)
    );
    desk.findings.push(
        Finding::warning("log-banked", &field.written.place, found)
            .fix("nothing to do; if an entry of the log is wrong, correct it with `sward log correct`"),
    );
}
