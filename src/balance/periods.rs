//! The days over which the limits of a field count.
//!
//! Every limit has its own days, whatever days the plan is made for: a growing year,
//! a calendar year, any twelve months, the years since a soil test, the opening of a
//! season. A limit counts what the log shows in its days and every window that lies in
//! them, so windows are cut where its days begin or end.

use crate::balance::Window;
use crate::balance::desk::Desk;
pub(super) use crate::balance::windows::Span;
use crate::balance::windows::{self, Opening};
use crate::check::{Lot, Ready};
use crate::record::What;
use crate::tables::{GrowingYear, topic};
use jiff::ToSpan;
use jiff::civil::Date;
use std::collections::BTreeSet;

/// Entries this close to each other drop out of the last twelve months together, on
/// the day of the last of them: a window is not cut once a load.
const TOGETHER: i32 = 31;

/// Over what phosphorus is counted at a place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum PPeriod {
    /// Each such year.
    Year(GrowingYear),
    /// Any twelve months, as no period is named.
    TwelveMonths,
}

/// What is counted over which days on a field.
pub(super) struct Periods {
    /// The years of its forage that open windows touch, over which it needs nutrients.
    pub(super) needs: Vec<Span>,
    /// Years of its forage that no window touches any more, in which the log has litter since
    /// the plan's first day.
    pub(super) over: Vec<Span>,
    /// The days over which nitrogen is limited: the same, or any twelve months.
    pub(super) nitrogen: Vec<Span>,
    /// The calendar years that open windows touch.
    pub(super) calendar: Vec<Span>,
    /// The days over which phosphorus is limited.
    pub(super) phosphorus: Vec<Span>,
    /// For caps over several years, how many, and the days that hold any so many of them.
    pub(super) in_years: Vec<(u16, Vec<Span>)>,
    /// The days over which zinc and copper in a year are limited: any twelve months.
    pub(super) metals: Vec<Span>,
    /// Windows that were cut, from end to end: still gone over once.
    pub(super) whole: Vec<Span>,
    /// The first open day, where the log shows something on it already: what is planned
    /// for that day goes on at once with it, unless all of it lies beside what is left to do.
    pub(super) begun: Option<Date>,
    /// The seasons that the plan's days meet, also those in which no litter may go on:
    /// fertilizer may.
    pub(super) openings: Vec<Opening>,
}

impl Periods {
    /// The days whose entries are reported one by one: those of the plan and of the
    /// years that it touches.
    pub(super) fn told(&self, ready: &Ready) -> Span {
        let first = self.needs.iter().map(|days| days.0).fold(ready.from, Date::min);
        (first, self.needs.iter().map(|days| days.1).fold(ready.to, Date::max))
    }

    /// The years in which it needs nutrients, and those that are over.
    pub(super) fn years(&self) -> Vec<Span> {
        self.needs.iter().chain(&self.over).copied().collect()
    }

    /// The first and the last calendar year.
    pub(super) fn calendar_years(&self) -> (i16, i16) {
        let year = |days: Option<&Span>| days.map_or(0, |days| days.0.year());
        (year(self.calendar.first()), year(self.calendar.last()))
    }

    /// The calendar year in which the plan begins.
    pub(super) fn year(&self) -> Span {
        self.calendar.first().copied().unwrap_or((Date::MIN, Date::MAX))
    }
}

/// The growing year of the field's forage, where the tables name one.
pub(super) fn growing_year(desk: &Desk<'_>) -> Option<GrowingYear> {
    desk.get(topic::GROWING_YEAR).map(|figure| figure.value)
}

/// Over what the place counts phosphorus. A word that nobody knows is as none.
pub(super) fn p_period(desk: &Desk<'_>) -> PPeriod {
    let named = desk.book.get(topic::P_PERIOD, &desk.scope()).map(|figure| figure.value);
    match (named.as_deref(), growing_year(desk)) {
        (Some("calendar_year"), _) => PPeriod::Year(GrowingYear::CALENDAR),
        (Some("growing_year"), Some(year)) => PPeriod::Year(year),
        _ => PPeriod::TwelveMonths,
    }
}

/// Cuts the open windows where days of a limit begin, and says which days those are.
/// `dates`: the days of the log on which something went on, and whether what went on the first
/// open day lies beside all that is still to do. `capped`: whether phosphorus is limited at all.
/// `several`: over how many years together a row of its rule caps something, where it is more than one.
pub(super) fn of(
    desk: &Desk<'_>,
    (dates, lies_beside): (BTreeSet<Date>, bool),
    (capped, several): (bool, BTreeSet<u16>),
    open: &mut Vec<Window>,
) -> Periods {
    let (growing, p) = (growing_year(desk), p_period(desk));
    let plan = plan_days(desk.ready);
    let days = |windows: &[Window]| -> Vec<Span> { windows.iter().map(|w| (w.first, w.last)).collect() };
    let mut borders: BTreeSet<Date> = BTreeSet::new();
    let mut years = vec![GrowingYear::CALENDAR];
    years.extend(growing);
    if let PPeriod::Year(year) = p {
        years.push(year);
    }
    borders.extend(years.iter().flat_map(|year| year.touched(plan)).map(|(first, _)| first));
    let metals = [topic::ZINC_LOAD_YEAR, topic::COPPER_LOAD_YEAR].into_iter().any(|most| desk.get(most).is_some());
    let rolling = growing.is_none() || metals || (capped && p == PPeriod::TwelveMonths);
    if rolling {
        borders.extend(drop_outs(&dates, 1));
        borders.extend(dates.iter().filter(|day| **day >= plan.0).map(|day| year_to(*day).0));
    }
    borders.extend(several.iter().flat_map(|years| drop_outs(&dates, *years)));
    let stops = desk.ready.lots.iter().filter_map(|lot| lot.planned_until.as_ref());
    borders.extend(stops.filter_map(|stop| stop.last.tomorrow().ok()));
    borders.extend(desk.ready.goes_on_untested(desk.field));
    let begun = Some(plan.0).filter(|day| !desk.ready.is_past && dates.contains(day) && limited_at_once(desk));
    borders.extend(begun.filter(|_| !lies_beside).and_then(|day| day.tomorrow().ok()));
    let whole: Vec<Span> = days(open).into_iter().filter(|days| within(&borders, *days).next().is_some()).collect();
    *open = cut(std::mem::take(open), &borders);
    let windows = days(open);
    // A year that is looked back at is held to what went on, in a window or not.
    let on: Vec<Span> = dates
        .iter()
        .filter(|day| desk.ready.is_past && plan.0 <= **day && **day <= plan.1)
        .map(|day| (*day, *day))
        .collect();
    let rolled = if on.is_empty() { windows.clone() } else { on.clone() };
    let windows: Vec<Span> = windows.into_iter().chain(on).collect();
    let touched = |year: GrowingYear| touched(year, &windows, plan);
    let openings = windows::openings(desk.ready, desk.field, desk.book);
    // Stock of which nobody knows how long it stays keeps seasons shut, and so does a soil test
    // that expires: the forage needs nutrients in their years all the same.
    let shut = desk.field.stock_since(desk.ready).is_some() || desk.ready.test_ends_within(desk.field).is_some();
    let ends =
        openings.iter().filter(|_| shut).flat_map(|opening| [opening.days.0.max(plan.0), opening.days.1.min(plan.1)]);
    let in_season: Vec<Span> = windows.iter().copied().chain(ends.map(|day| (day, day))).collect();
    let grows = |year: GrowingYear| self::touched(year, &in_season, plan);
    let needs = growing.map_or_else(|| vec![(year_to(first(&windows, plan)).0, plan.1)], grows);
    let mut over: Vec<Span> = growing.map_or_else(Vec::new, |year| spread_in(desk, year));
    over.retain(|year| !needs.contains(year));
    let any = || any_years(&rolled, &dates, plan, 1);
    let in_years = several.into_iter().map(|years| (years, any_years(&rolled, &dates, plan, years))).collect();
    Periods {
        needs,
        over,
        nitrogen: growing.map_or_else(any, grows),
        calendar: touched(GrowingYear::CALENDAR),
        phosphorus: match p {
            PPeriod::Year(year) => touched(year),
            PPeriod::TwelveMonths => any(),
        },
        in_years,
        metals: any(),
        whole,
        begun,
        openings,
    }
}

/// The growing years of what the log spread on the field in the plan's days.
fn spread_in(desk: &Desk<'_>, year: GrowingYear) -> Vec<Span> {
    let ready = desk.ready;
    let own = ready.happened.on_field(desk.field.id(), What::Spread);
    let own = own.filter(|entry| ready.from <= entry.date && entry.date <= ready.to);
    own.map(|entry| year.around(entry.date)).collect::<BTreeSet<Span>>().into_iter().collect()
}

/// Whether anything limits what goes on at once, but what the spreader can do.
fn limited_at_once(desk: &Desk<'_>) -> bool {
    let tons = |lot: &Lot| desk.book.get(topic::RATE_MOST, &desk.scope().material(&lot.kind)).is_some();
    desk.get(topic::N_AT_ONCE).is_some() || desk.ready.lots.iter().any(tons)
}

/// The days of the plan that are still to come.
pub(super) fn plan_days(ready: &Ready) -> Span {
    (ready.open_from().min(ready.to), ready.to)
}

fn first(windows: &[Span], plan: Span) -> Date {
    windows.iter().map(|days| days.0).min().unwrap_or(plan.0)
}

/// The years that windows touch; without a window the year in which the plan begins.
fn touched(year: GrowingYear, windows: &[Span], plan: Span) -> Vec<Span> {
    let mut years: BTreeSet<Span> = windows.iter().map(|days| year.around(days.0)).collect();
    if years.is_empty() {
        years.insert(year.around(plan.0));
    }
    years.into_iter().collect()
}

/// The twelve months that end with a day. What went on just a year before is not in
/// them.
pub(super) fn year_to(day: Date) -> Span {
    years_to(day, 1)
}

/// So many years that end with a day.
fn years_to(day: Date, years: u16) -> Span {
    (day.checked_sub(i32::from(years).years()).and_then(Date::tomorrow).unwrap_or(Date::MIN), day)
}

/// The spans that hold every so many years in which a window lies: back from its first
/// day, to its last; and those up to each entry that still counts, so that what the log is
/// over by is told as long as any of it does.
fn any_years(windows: &[Span], dates: &BTreeSet<Date>, plan: Span, years: u16) -> Vec<Span> {
    let to = |day: Date| years_to(day, years);
    let counts_since = to(plan.0).0;
    let back = |(first, last): &Span| (to(*first).0, *last);
    let logged = dates.iter().filter(|day| **day >= counts_since).map(|day| to(*day));
    let mut spans: BTreeSet<Span> = windows.iter().map(back).chain(logged).collect();
    if windows.is_empty() {
        spans.insert(to(plan.0));
    }
    spans.into_iter().collect()
}

/// The places of those growing years for which a plan buys fertilizer: that of which it
/// holds more than half of the days, or else the most. So no two plans that follow each
/// other buy for the same year.
pub(super) fn bought_for(years: &[Span], plan: Span) -> Vec<usize> {
    let count = |(first, last): Span| i64::from((last - first).get_days()) + 1;
    let held = |days: &Span| count((days.0.max(plan.0), days.1.min(plan.1))).max(0);
    let most = years.iter().map(held).max().unwrap_or(0);
    let half = |days: &Span| 2 * held(days) > count(*days);
    let any = years.iter().any(half);
    let first = years.iter().position(|days| held(days) == most);
    let own = |(at, days): (usize, &Span)| (if any { half(days) } else { Some(at) == first }).then_some(at);
    years.iter().enumerate().filter_map(own).collect()
}

/// The first days on which entries are no longer in the last so many years.
fn drop_outs(dates: &BTreeSet<Date>, years: u16) -> Vec<Date> {
    let mut last: Vec<Date> = Vec::new();
    let mut since = Date::MIN;
    for &date in dates {
        match last.last_mut() {
            Some(last) if (date - since).get_days() <= TOGETHER => *last = date,
            _ => {
                last.push(date);
                since = date;
            }
        }
    }
    last.into_iter().filter_map(|day| out_of(day, years)).collect()
}

/// The first day whose last so many years no longer hold another: the same day of a later
/// year, and of February 29 the day after the last of a February.
fn out_of(day: Date, years: u16) -> Option<Date> {
    let out = day.checked_add(i32::from(years).years()).ok()?;
    if out.day() == day.day() { Some(out) } else { out.tomorrow().ok() }
}

/// The borders on which a later piece of some days begins.
fn within(borders: &BTreeSet<Date>, (first, last): Span) -> impl Iterator<Item = Date> {
    borders.range(first..=last).copied().filter(move |day| *day > first)
}

/// Windows in pieces that begin on the borders within them.
fn cut(windows: Vec<Window>, borders: &BTreeSet<Date>) -> Vec<Window> {
    let mut pieces = Vec::new();
    for mut window in windows {
        for border in within(borders, (window.first, window.last)).collect::<Vec<_>>() {
            let Ok(before) = border.yesterday() else { continue };
            pieces.push(Window { last: before, ..window.clone() });
            window.first = border;
        }
        pieces.push(window);
    }
    pieces.sort_by(|a, b| (a.first, a.last, &a.season).cmp(&(b.first, b.last, &b.season)));
    pieces
}

/// Days in words, as in `in 2027` or `from 2026-09-01 to 2027-08-31`.
#[must_use]
pub fn days_in_words((first, last): (Date, Date)) -> String {
    let whole = GrowingYear::CALENDAR;
    if first == last {
        return format!("on {first}");
    }
    if first == Date::MIN {
        return if last == Date::MAX { "in all years".to_string() } else { format!("up to {last}") };
    }
    let (one, other) = (whole.around(first), whole.around(last));
    match (first, last) == (one.0, other.1) {
        true if one == other => format!("in {}", first.year()),
        true => format!("in {} to {}", first.year(), last.year()),
        false => format!("from {first} to {last}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn twelve_months_leave_out_the_same_day_a_year_before() {
        assert_eq!(year_to(date(2027, 8, 15)), (date(2026, 8, 16), date(2027, 8, 15)));
        assert_eq!(year_to(date(2028, 2, 29)), (date(2027, 3, 1), date(2028, 2, 29)));
        assert_eq!(year_to(date(2029, 2, 28)), (date(2028, 2, 29), date(2029, 2, 28)));
    }

    #[test]
    fn what_went_on_on_february_29_drops_out_on_march_1() {
        let leap = date(2024, 2, 29);
        let out = drop_outs(&BTreeSet::from([leap]), 1);
        assert_eq!(out, [date(2025, 3, 1)]);
        assert!(year_to(out[0]).0 > leap && year_to(out[0].yesterday().unwrap_or(leap)).0 <= leap);
    }

    #[test]
    fn entries_of_one_month_drop_out_together() {
        let dates = BTreeSet::from([date(2026, 3, 1), date(2026, 3, 20), date(2026, 4, 2), date(2026, 9, 1)]);
        assert_eq!(drop_outs(&dates, 1), [date(2027, 3, 20), date(2027, 4, 2), date(2027, 9, 1)]);
    }

    #[test]
    fn fertilizer_is_bought_once_for_a_growing_year() {
        let year = |year: i16| (date(year, 9, 1), date(year + 1, 8, 31));
        let of = |from, to| bought_for(&[year(2026), year(2027)], (from, to));
        assert_eq!(of(date(2027, 2, 15), date(2027, 10, 31)), [0]);
        assert_eq!(of(date(2027, 7, 1), date(2028, 6, 30)), [1]);
        // Of a short plan the year that it holds most of, and of two alike the first.
        assert_eq!(of(date(2027, 8, 25), date(2027, 10, 31)), [1]);
        assert_eq!(of(date(2027, 8, 30), date(2027, 9, 2)), [0]);
        assert_eq!(of(date(2026, 9, 1), date(2028, 8, 31)), [0, 1]);
        assert_eq!(bought_for(&[year(2026)], (date(2027, 8, 1), date(2027, 8, 31))), [0]);
    }

    #[test]
    fn days_are_named_by_their_years_where_they_are_whole() {
        let words = |first, last| days_in_words((first, last));
        assert_eq!(words(date(2027, 1, 1), date(2027, 12, 31)), "in 2027");
        assert_eq!(words(date(2025, 1, 1), date(2027, 12, 31)), "in 2025 to 2027");
        assert_eq!(words(date(2026, 9, 1), date(2027, 8, 31)), "from 2026-09-01 to 2027-08-31");
        assert_eq!(words(Date::MIN, Date::MAX), "in all years");
    }
}
