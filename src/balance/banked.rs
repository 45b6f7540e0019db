//! Phosphate of earlier years that the forage has not carried off yet.

use crate::balance::desk::Desk;
use crate::balance::logged::Logged;
use crate::balance::phosphorus::{Basis, Phosphorus};
use crate::balance::supply::Supplied;
use crate::balance::{Counts, Op, StepId};
use crate::check::Laid;
use crate::findings::Finding;
use crate::units::number_text;
use jiff::civil::Date;
use std::collections::BTreeSet;

/// Takes off what is allowed by removal what the log of earlier years put on above
/// a year's removal: it was several years' phosphate, whatever it was meant as.
pub(super) fn take_off(
    desk: &mut Desk<'_>,
    phosphorus: &mut Phosphorus,
    supplied: &[Supplied<'_>],
    removed: StepId,
    acres: f64,
) -> f64 {
    let until = desk.field.written.banked_until.as_ref().map(|until| until.value);
    let Some(allowed) = phosphorus.allowed.filter(|_| phosphorus.basis == Basis::Removal) else { return 0.0 };
    let mut carried: Option<StepId> = None;
    let mut last = desk.ready.from.year();
    for year in years(desk).into_iter().filter(|year| until.is_none_or(|until| *year > until)) {
        carried = carried.and_then(|carried| after(desk, carried, removed, year - last - 1));
        let on = match (carried, put_on(desk, supplied, acres, year)) {
            (Some(carried), Some(put)) => {
                let what = format!("P2O5 on in {year} with what was left");
                Some(desk.notes.reckon(what, "lb/ac", Op::Sum, &[carried, put]))
            }
            (carried, put) => carried.or(put),
        };
        carried = on.and_then(|on| after(desk, on, removed, 1));
        last = year;
    }
    let since = desk.ready.from.year() - last - 1;
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

/// Years before the plan in which litter was spread on the field.
fn years(desk: &Desk<'_>) -> BTreeSet<i16> {
    let first = desk.ready.from.year();
    let days = (Date::MIN, desk.ready.from);
    let laid = Laid::of(desk.ready, desk.field, desk.book, 1.0, days);
    laid.entries().map(|(_, e)| e.date.year()).filter(|year| *year < first).collect()
}

/// Phosphate that the log put on in a year, lb/ac.
fn put_on(desk: &mut Desk<'_>, supplied: &[Supplied<'_>], acres: f64, year: i16) -> Option<StepId> {
    let day = |month, day| Date::new(year, month, day).unwrap_or(desk.ready.from);
    let mut log = Logged::of(desk, acres, (day(1, 1), day(12, 31)));
    log.write(desk, supplied, &[Counts::P2o5]);
    log.densest(desk, &log.laid, format!("P2O5 that the log put on in {year}"), Counts::P2o5)
}

fn tell(desk: &mut Desk<'_>, carried: f64, a_year: f64, left: f64) {
    let field = desk.field;
    let one = |lb: f64| number_text(lb, 1);
    let found = format!(
        "{}: litter of earlier years put on more P2O5 than the forage carries off in a year, {} lb/ac; {} lb/ac of it still \
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
