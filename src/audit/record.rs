//! The log again: no spreading that a limit must count lies outside the plan's
//! days, where the sums of the other checks would miss it.

use crate::audit::fault::fault;
use crate::audit::season::open_on;
use crate::check::{Field, Ready};
use crate::findings::Findings;
use crate::plan::answer::FieldPlan;
use crate::record::{Entry, What};
use crate::tables::{Book, Scope, Season, topic};
use crate::units::number_text;
use jiff::civil::Date;

pub(super) fn check(plan: &FieldPlan, field: &Field, ready: &Ready, book: &Book<'_>, findings: &mut Findings) {
    let seasons = book.seasons(&ready.scope(field));
    let outside = |e: &&Entry| e.date < ready.from || ready.to < e.date;
    for entry in ready.happened.on_field(field.id(), What::Spread).filter(outside) {
        let same_year = [ready.from, ready.to].iter().any(|day| day.year() == entry.date.year());
        let limit = if same_year {
            "its year"
        } else if seasons.iter().any(|(_, s)| joined(s.value, entry.date, ready)) {
            "its season"
        } else if banked(field, entry.date, ready, book) {
            "the years of phosphate put on at once"
        } else {
            continue;
        };
        let found = format!(
            "field {}: {} tons of {} ({}, line {}) lie outside the plan's days, and the limits of {limit} count them",
            plan.id,
            number_text(entry.amount.tons(), 2),
            entry.date,
            entry.place.file,
            entry.place.line
        );
        findings.push(fault("uncounted", found));
    }
}

/// Whether a season that was open on a day stays open, without opening anew,
/// until a day of the plan. One within a calendar year is no matter here.
fn joined(season: Season, day: Date, ready: &Ready) -> bool {
    if season.opens <= season.closes || !open_on(season, day) {
        return false;
    }
    let opens = |day: Date| (day.month(), day.day()) == (season.opens.month, season.opens.day);
    let mut here = day;
    while here < ready.from {
        let Ok(next) = here.tomorrow() else { return false };
        if !open_on(season, next) || opens(next) {
            return false;
        }
        here = next;
    }
    while here > ready.to {
        let Ok(before) = here.yesterday() else { return false };
        if !open_on(season, before) || opens(here) {
            return false;
        }
        here = before;
    }
    true
}

/// Whether phosphate of several years at once is allowed, and a day lies in
/// one of the years that it is for, not rested off since.
fn banked(field: &Field, day: Date, ready: &Ready, book: &Book<'_>) -> bool {
    let written = &field.written;
    let Some(years) = written.bank_years.as_ref().map(|y| i32::try_from(y.value).unwrap_or(i32::MAX)) else {
        return false;
    };
    let until = written.banked_until.as_ref().map_or(i16::MIN, |until| until.value);
    if until >= ready.from.year().min(day.year()) {
        return false;
    }
    let rating = written.rating.as_ref().map(|r| r.rating.value.key()).unwrap_or_default();
    let by_removal =
        book.get(topic::P_BASIS_RATING, &Scope::new().rating(rating)).is_some_and(|w| w.value == "removal")
            || written.soil_test.as_ref().is_some_and(|test| {
                let basis = book.get(topic::P_BASIS_TEST, &ready.soil_scope(field));
                basis.is_some_and(|basis| basis.value.class_of(test.p.value) == Some("removal"))
            });
    let apart =
        (i32::from(ready.from.year()) - i32::from(day.year())).max(i32::from(day.year()) - i32::from(ready.to.year()));
    by_removal && apart < years
}
