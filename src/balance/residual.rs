//! Nitrogen that litter of earlier years still releases, where the tables say how much.
//!
//! It is fed by the grower's `earlier:` lines and by the log. Where both speak of a year
//! and a kind of litter, the line holds: the grower may know of litter that was never
//! logged, and nothing counts twice.

use crate::balance::desk::Desk;
use crate::balance::logged::Logged;
use crate::balance::periods::{Span, growing_year};
use crate::balance::{Op, StepId, supply};
use crate::check::Lot;
use crate::findings::{Finding, Origin, Place};
use crate::record::Entry;
use crate::tables::{GrowingYear, Scope, Sourced, topic};
use crate::units::{Quantity, Share};
use jiff::civil::Date;
use std::collections::BTreeMap;

/// The warning where the tables say nothing of earlier years.
const UNKNOWN: &str = "residual-unknown";

/// Nitrogen that a growing year gets from litter of the years before it.
pub(super) fn of(desk: &mut Desk<'_>, log: &Logged<'_>, year: Span) -> Vec<StepId> {
    let mut steps = written(desk, year);
    let growing = growing_year(desk).unwrap_or(GrowingYear::CALENDAR);
    let mut before: BTreeMap<(i16, &str, Option<Date>), Vec<&Entry>> = BTreeMap::new();
    for (_, entry) in log.laid.entries().filter(|(_, entry)| entry.date < year.0) {
        let Some(lot) = &entry.lot else { continue };
        let of = growing.around(entry.date).1.year();
        let analysis = desk.ready.lot(&lot.value).and_then(|lot| lot.analysis_on(entry.date));
        let sampled = analysis.map(|analysis| analysis.sampled.value);
        before.entry((of, lot.value.as_str(), sampled)).or_default().push(entry);
    }
    for ((of, lot, _), entries) in before {
        let Some(lot) = desk.ready.lot(lot) else { continue };
        let said = desk.field.written.earlier.iter();
        if said.into_iter().any(|e| e.year.value == of && e.kind.value == lot.kind) {
            continue;
        }
        let age = year.1.year() - of;
        match (released(desk, &lot.kind, age), entries.first()) {
            (Some(share), _) => steps.extend(logged(desk, log.acres, (lot, &entries), (of, age), &share)),
            (None, Some(entry)) if age == 1 => unknown(desk, &lot.kind, &entry.place),
            _ => {}
        }
    }
    steps
}

/// What the grower's own lines tell.
fn written(desk: &mut Desk<'_>, year: Span) -> Vec<StepId> {
    let mut steps = Vec::new();
    for earlier in &desk.field.written.earlier {
        let age = year.1.year() - earlier.year.value;
        let what = format!("N from the litter of {}", earlier.year.value);
        let Some(share) = released(desk, &earlier.kind.value, age) else {
            let none = Origin::Definition("the tables have no release for that year".into());
            desk.notes.given(what, 0.0, "lb/ac", none);
            if age == 1 {
                unknown(desk, &earlier.kind.value, &earlier.year.place);
            }
            continue;
        };
        let litter = format!("litter of {}", earlier.year.value);
        let rate = desk.notes.written(litter, earlier.rate.value.get(), "tons/ac", &earlier.rate);
        let held = &earlier.organic_n;
        let organic = desk.notes.written("organic N it held", held.value.get(), "lb/ton", held);
        let share = desk.notes.figure(format!("share of it released in year {}", age + 1), &share);
        steps.push(desk.notes.reckon(what, "lb/ac", Op::Times, &[rate, organic, share]));
    }
    steps
}

/// The share of organic nitrogen that is released so many years after it went on.
fn released(desk: &Desk<'_>, kind: &str, age: i16) -> Option<Sourced<Share>> {
    let year = (age + 1).to_string();
    desk.book.get(topic::N_ORGANIC_AVAILABLE, &Scope::new().material(kind).year(&year))
}

/// What the log shows of one lot in one year, over the whole field.
fn logged(
    desk: &mut Desk<'_>,
    acres: f64,
    (lot, entries): (&Lot, &[&Entry]),
    (year, age): (i16, i16),
    share: &Sourced<Share>,
) -> Option<StepId> {
    let first = entries.first()?;
    let organic = supply::organic_n(desk, &lot.id, lot.analysis_on(first.date)?)?;
    let pounds: f64 = entries.iter().map(|entry| entry.amount.tons()).sum();
    let line = Origin::Line(first.place.clone());
    let tons = desk.notes.given(format!("litter of {}, logged in {year}", lot.id), pounds, "tons", line);
    let acres = desk.notes.given("ground that it went on", acres, "ac", Origin::Measured);
    let rate = desk.notes.reckon(format!("litter of {year}"), "tons/ac", Op::Over, &[tons, acres]);
    let share = desk.notes.figure(format!("share of it released in year {}", age + 1), share);
    let what = format!("N from the litter of {year}");
    Some(desk.notes.reckon(what, "lb/ac", Op::Times, &[rate, organic, share]))
}

/// Says once that nothing is counted.
fn unknown(desk: &mut Desk<'_>, kind: &str, at: &Place) {
    if desk.findings.sorted().iter().any(|finding| finding.code == UNKNOWN) {
        return;
    }
    let (kind, place) = (kind.replace('_', " "), &desk.book.place().name);
    let found = format!(
        "the tables of {place} do not say how much nitrogen {kind} gives in its second year: litter of earlier years, in \
         `earlier` or in the log, lowers no nitrogen need"
    );
    let figure = "{topic: n_organic_available, applies: {year: 2}, value: ... %, by: \"name\", on: YYYY-MM-DD}";
    desk.findings.push(
        Finding::warning(UNKNOWN, at, found).accepts("a figure with its source").fix(format!(
            "to count it, ask the planner for the figure and write it under `figures:`, as in `{figure}`"
        )),
    );
}
