//! Phosphate of earlier years that the forage has not carried off yet.

use crate::balance::desk::Desk;
use crate::balance::phosphorus::{Basis, Phosphorus};
use crate::balance::supply::Supplied;
use crate::balance::{Op, StepId};
use crate::check::Laid;
use crate::findings::{Finding, Origin};
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
    let a_year = desk.notes.value(removed);
    let (mut carried, mut last) = (0.0_f64, None);
    for year in years(desk).into_iter().filter(|year| until.is_none_or(|until| *year > until)) {
        let between = last.map_or(0, |last: i16| year - last - 1);
        carried = (carried - a_year * f64::from(between)).max(0.0);
        carried = (carried + put_on(desk, supplied, acres, year) - a_year).max(0.0);
        last = Some(year);
    }
    let since = last.map_or(0, |last| desk.ready.from.year() - last - 1);
    carried = (carried - a_year * f64::from(since)).max(0.0);
    if carried <= 0.0 {
        return 0.0;
    }
    let logged = Origin::Definition("log.csv".into());
    let step = desk.notes.given("P2O5 of earlier years, not carried off yet", carried, "lb/ac", logged);
    let left = desk.notes.reckon("P2O5 allowed after earlier years", "lb/ac", Op::Less, &[allowed, step]);
    phosphorus.allowed = Some(left);
    tell(desk, carried, a_year, left);
    carried
}

/// Years before the plan in which litter was spread on the field.
fn years(desk: &Desk<'_>) -> BTreeSet<i16> {
    let first = desk.ready.from.year();
    let days = (Date::MIN, desk.ready.from);
    let laid = Laid::of(desk.ready, desk.field, desk.book, 1.0, days);
    laid.entries().map(|(_, e)| e.date.year()).filter(|year| *year < first).collect()
}

/// Phosphate that the log put on in a year, lb/ac.
fn put_on(desk: &Desk<'_>, supplied: &[Supplied<'_>], acres: f64, year: i16) -> f64 {
    let day = |month, day| Date::new(year, month, day).unwrap_or(desk.ready.from);
    let laid = Laid::of(desk.ready, desk.field, desk.book, acres, (day(1, 1), day(12, 31)));
    laid.densest(&|entry| {
        let own = Supplied::of_entry(supplied, entry);
        own.map_or(0.0, |own| desk.notes.value(own.supply.per_ton.p2o5))
    })
}

fn tell(desk: &mut Desk<'_>, carried: f64, a_year: f64, left: StepId) {
    let field = desk.field;
    let one = |lb: f64| number_text(lb, 1);
    let found = format!(
        "{}: litter of earlier years put on more P2O5 than the forage carries off in a year, {} lb/ac; {} lb/ac of it still \
         count, so {} lb/ac are allowed",
        field.id(),
        one(a_year),
        one(carried),
        one(desk.notes.value(left))
    );
    desk.findings.push(
        Finding::warning("log-banked", &field.written.place, found)
            .fix("nothing to do; if an entry of the log is wrong, correct it with `sward log correct`"),
    );
}
