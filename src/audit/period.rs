//! The days over which limits count, found again by walking the calendar.

use crate::check::{Field, Ready};
use crate::plan::answer::FieldPlan;
use crate::record::What;
use crate::tables::{Book, Scope, Season, topic};
use crate::units::Quantity;
use jiff::ToSpan;
use jiff::civil::Date;
use std::collections::BTreeSet;

/// First and last day.
pub(super) type Days = (Date, Date);

/// More days than any year or season has.
const MOST: usize = 400;

/// Month and day on which a year begins.
pub(super) type Begins = (i8, i8);

/// The year that begins with January.
pub(super) const JANUARY: Begins = (1, 1);

/// When the growing year of a field's forage begins, where the tables say.
pub(super) fn growing(field: &Field, ready: &Ready, book: &Book<'_>) -> Option<Begins> {
    let year = book.get(topic::GROWING_YEAR, &ready.scope(field))?.value;
    Some((year.opens.month, year.opens.day))
}

/// When the year begins over which the place counts phosphorus; none where it counts
/// over any twelve months.
pub(super) fn of_phosphorus(field: &Field, ready: &Ready, book: &Book<'_>) -> Option<Begins> {
    match book.get(topic::P_PERIOD, &ready.scope(field))?.value.as_str() {
        "calendar_year" => Some(JANUARY),
        "growing_year" => growing(field, ready, book),
        _ => None,
    }
}

/// The year around a day: back to the day it begins, on to the day before the next.
pub(super) fn year_around(day: Date, begins: Begins) -> Days {
    let is_first = |day: &Date| (day.month(), day.day()) == begins;
    let back = std::iter::successors(Some(day), |day| day.yesterday().ok()).take(MOST).find(is_first);
    let on = std::iter::successors(day.tomorrow().ok(), |day| day.tomorrow().ok()).take(MOST).find(is_first);
    (back.unwrap_or(day), on.and_then(|next| next.yesterday().ok()).unwrap_or(day))
}

/// The opening of a season around a day on which it is open.
pub(super) fn opening_around(season: Season, day: Date) -> Days {
    let opens = |day: Date| (day.month(), day.day()) == (season.opens.month, season.opens.day);
    let back = |day: &Date| day.yesterday().ok().filter(|before| !opens(*day) && open_on(season, *before));
    let on = |day: &Date| day.tomorrow().ok().filter(|next| !opens(*next) && open_on(season, *next));
    let first = std::iter::successors(Some(day), back).take(MOST).last();
    let last = std::iter::successors(Some(day), on).take(MOST).last();
    (first.unwrap_or(day), last.unwrap_or(day))
}

/// The first of the days in a row before a day that are all so; that day where the one before
/// it is not. Never more than a year back.
pub(super) fn days_before(day: Date, so: impl Fn(Date) -> bool) -> Date {
    let back = |day: &Date| day.yesterday().ok().filter(|before| so(*before));
    std::iter::successors(Some(day), back).take(MOST).last().unwrap_or(day)
}

/// The first day on which the plan may still put something on.
pub(super) fn begins(ready: &Ready) -> Date {
    if ready.is_past { ready.from } else { ready.from.max(ready.as_of).min(ready.to) }
}

/// The days on which the log of a year that is looked back at put something on a field.
fn put_on(plan: &FieldPlan, ready: &Ready) -> Vec<Date> {
    let kinds = [What::Spread, What::Fertilizer, What::FeedHay].into_iter();
    let days = kinds.flat_map(|what| ready.happened.on_field(&plan.id, what)).map(|entry| entry.date);
    days.filter(|day| ready.is_past && ready.from <= *day && *day <= ready.to).collect()
}

/// The years that the plan's windows and applications touch.
pub(super) fn touched(plan: &FieldPlan, ready: &Ready, year: Begins) -> Vec<Days> {
    let windows = plan.windows.iter().map(|w| w.first).chain(put_on(plan, ready));
    let mut years: Vec<Days> =
        windows.chain(plan.applications.iter().map(|a| a.first)).map(|day| year_around(day, year)).collect();
    if years.is_empty() {
        years.push(year_around(begins(ready), year));
    }
    years.sort();
    years.dedup();
    years
}

/// The days that end the twelve months which the log alone may be over: its own, while any
/// day of their twelve months counts, and the first of each open window, or of the plan.
pub(super) fn ends_of_log(plan: &FieldPlan, ready: &Ready, dates: impl Iterator<Item = Date>) -> BTreeSet<Date> {
    ends_of_log_in_years(plan, ready, dates, 1)
}

/// The same of so many years.
pub(super) fn ends_of_log_in_years(
    plan: &FieldPlan,
    ready: &Ready,
    dates: impl Iterator<Item = Date>,
    years: u16,
) -> BTreeSet<Date> {
    let begins = begins(ready);
    let counts = |date: &Date| begins.checked_sub(i32::from(years).years()).is_ok_and(|out| out < *date);
    let mut ends: BTreeSet<Date> = dates.filter(counts).chain(plan.windows.iter().map(|w| w.first)).collect();
    if plan.windows.is_empty() && !ready.is_past {
        ends.insert(begins);
    }
    ends
}

/// The days that end the twelve months which log and plan together may be over: those on which
/// something goes on, and the first of the plan.
pub(super) fn ends_of_plan(plan: &FieldPlan, ready: &Ready, logged: impl Iterator<Item = Date>) -> BTreeSet<Date> {
    let begins = begins(ready);
    let planned = plan.applications.iter().flat_map(|a| [a.first, a.last]);
    logged.filter(|day| *day >= begins).chain(planned).chain([begins]).collect()
}

/// The twelve months that end with a day.
pub(super) fn twelve_months_to(day: Date) -> Days {
    (day.checked_sub(1.year()).and_then(Date::tomorrow).unwrap_or(day), day)
}

/// The years in which the forage needs nutrients: those, and where stock is on the field that
/// nobody saw leave, or its soil test expires, those in which a season is still to open.
pub(super) fn grown_in(plan: &FieldPlan, (field, ready, book): (&Field, &Ready, &Book<'_>), year: Begins) -> Vec<Days> {
    if stock_since(field, ready).is_none() && test_until(field, ready, book).is_none() {
        return touched(plan, ready, year);
    }
    let seasons = book.seasons(&ready.scope(field));
    let open = |day: &Date| seasons.iter().any(|(_, season)| open_on(season.value, *day));
    let mut years: Vec<Days> = days(begins(ready), ready.to).filter(open).map(|day| year_around(day, year)).collect();
    if years.is_empty() || !plan.windows.is_empty() || !plan.applications.is_empty() {
        years.extend(touched(plan, ready, year));
    }
    years.sort();
    years.dedup();
    years
}

/// The day since which the log has stock on a field to the end of the plan.
pub(super) fn stock_since(field: &Field, ready: &Ready) -> Option<Date> {
    let on = |(first, last): &(Date, Option<Date>)| {
        *first <= ready.as_of && last.is_none_or(|last| last >= ready.to.max(ready.as_of))
    };
    ready.happened.grazings(field.id()).into_iter().filter(on).map(|(first, _)| first).min()
}

/// The last day on which the soil test stands, where the plan goes on after it.
pub(super) fn test_until(field: &Field, ready: &Ready, book: &Book<'_>) -> Option<Date> {
    let until = test_good_until(field, ready, book)?;
    (ready.from.max(ready.as_of) <= until && until < ready.to).then_some(until)
}

/// The last day on which the soil test stands.
pub(super) fn test_good_until(field: &Field, ready: &Ready, book: &Book<'_>) -> Option<Date> {
    let days = book.get(topic::SOIL_SAMPLE_AGE, &Scope::new().large(ready.large))?.value.get();
    let sampled = field.written.soil_test.as_ref()?.sampled.value;
    sampled.checked_add((days as i64).days()).ok()
}

/// Every day from the first to the last.
pub(super) fn days(first: Date, last: Date) -> impl Iterator<Item = Date> {
    std::iter::successors(Some(first), |day| day.tomorrow().ok()).take_while(move |day| *day <= last)
}

/// Whether what went on on a day is in the twelve months that end with another.
pub(super) fn in_twelve_months(went_on: Date, day: Date) -> bool {
    went_on <= day && day.checked_sub(1.year()).is_ok_and(|out| out < went_on)
}

/// Whether a season is open on a day, by month and day alone.
pub(super) fn open_on(season: Season, day: Date) -> bool {
    let number = |month: i8, day: i8| i32::from(month) * 100 + i32::from(day);
    let (opens, closes) =
        (number(season.opens.month, season.opens.day), number(season.closes.month, season.closes.day));
    let on = number(day.month(), day.day());
    if opens <= closes { (opens..=closes).contains(&on) } else { on >= opens || on <= closes }
}
