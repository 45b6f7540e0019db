//! When litter may go on a field: the seasons of its forage, cut to the plan
//! and to the days that are still to come.

use crate::check::{Field, Ready};
use crate::findings::Cite;
use crate::tables::{Book, Season, Sourced, topic};
use crate::units::{Days, Quantity};
use jiff::ToSpan;
use jiff::civil::Date;

/// A span of days on which litter may go on.
#[derive(Clone, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Window {
    /// Name of the season.
    pub season: String,
    /// First day.
    pub first: Date,
    /// Last day.
    pub last: Date,
    /// Largest share of the year's nitrogen need that may go on in it.
    pub n_share: f64,
    /// Available nitrogen that the log shows in it already, lb/ac.
    pub n_done: f64,
    /// The figure behind the share, when there is one.
    pub n_share_cite: Option<Cite>,
    /// The figure behind the days.
    pub cite: Cite,
    /// The days that stock must wait, where planned grazing cut the window.
    pub graze_wait: Option<Sourced<Days>>,
    /// The planned cutting that it follows, where one falls into the season.
    pub after_cutting: Option<Date>,
    /// First and last day of the whole season, whatever days the plan is for.
    pub season_days: (Date, Date),
}

/// The days of a season before, between and after the cuttings that fall into
/// it, each with the cutting it follows.
fn around_cuttings(days: (Date, Date), cuttings: &mut [Date]) -> Vec<(Date, Date, Option<Date>)> {
    cuttings.sort();
    let (mut first, mut after) = (days.0, None);
    let mut pieces = Vec::new();
    for cut in cuttings.iter().copied().filter(|c| (days.0..=days.1).contains(c)) {
        if let Ok(before) = cut.yesterday()
            && first <= before
        {
            pieces.push((first, before, after));
        }
        let Ok(next) = cut.tomorrow() else { return pieces };
        (first, after) = (next, Some(cut));
    }
    if first <= days.1 {
        pieces.push((first, days.1, after));
    }
    pieces
}

/// What is left of some days when none may lie within `wait` days before a
/// grazing or in it: the days before the grazing, else those after it.
fn clear_of(days: (Date, Date), grazed: (Date, Date), wait: i32) -> Option<(Date, Date)> {
    let (first, last) = days;
    let stop = grazed.0.checked_sub(wait.days()).unwrap_or(Date::MIN);
    if last <= stop || first > grazed.1 {
        return Some(days);
    }
    if first <= stop {
        return Some((first, stop));
    }
    let after = grazed.1.checked_add(1.day()).unwrap_or(Date::MAX);
    (after <= last).then_some((after, last))
}

/// What is left of some days outside the place's closed days.
fn clear_of_closed(open: (Date, Date), closed: Option<Season>) -> Option<(Date, Date)> {
    let Some(closed) = closed else { return Some(open) };
    let years = open.0.year().saturating_sub(1)..=open.1.year();
    years.filter_map(|year| closed.days_in(year)).try_fold(open, |open, shut| {
        // The day before the closed days is the last, as no wait lies between.
        clear_of(open, shut, 1)
    })
}

/// The windows of a field, in order of days: those that are open on or after
/// the day of the plan, and the days before it that were open and are over.
pub(super) fn of(ready: &Ready, field: &Field, book: &Book<'_>) -> (Vec<Window>, Vec<Window>) {
    let open = within(ready, field, book, (ready.open_from(), ready.to));
    let past = ready.open_from().yesterday().map(|last| within(ready, field, book, (ready.from, last.min(ready.to))));
    (open, past.unwrap_or_default())
}

/// The windows of a field within some days of the plan.
fn within(ready: &Ready, field: &Field, book: &Book<'_>, days: (Date, Date)) -> Vec<Window> {
    let scope = ready.scope(field);
    let closed = book.get(topic::CLOSED_DAYS, &scope);
    let wait = book.get(topic::GRAZE_WAIT, &scope);
    let mut windows = Vec::new();
    for (season, figure) in book.seasons(&scope) {
        let share = book.get(topic::N_SPLIT, &scope.clone().season(&season));
        // A season that opened last year may still be open when the plan starts.
        for year in days.0.year().saturating_sub(1)..=days.1.year() {
            let Some((opens, closes)) = figure.value.days_in(year) else {
                continue;
            };
            let season_days = (opens, closes);
            let open = (opens.max(days.0), closes.min(days.1));
            if open.0 > open.1 {
                continue;
            }
            let clear_days = (wait.as_ref().map_or(0.0, |w| w.value.get()) as i32).max(0);
            let clear = field
                .written
                .grazed
                .iter()
                .try_fold(open, |open, (from, to)| clear_of(open, (from.value, to.value), clear_days));
            let clear = clear.and_then(|open| clear_of_closed(open, closed.as_ref().map(|c| c.value)));
            let Some((first, last)) = clear.filter(|(first, last)| first <= last) else { continue };
            let cut = (first, last) != open;
            let mut cuttings: Vec<Date> = field.written.cuttings.iter().map(|c| c.value).collect();
            for (first, last, after_cutting) in around_cuttings((first, last), &mut cuttings) {
                windows.push(Window {
                    season: season.clone(),
                    first,
                    last,
                    n_share: share.as_ref().map_or(1.0, |s| s.value.get()),
                    n_done: 0.0,
                    n_share_cite: share.as_ref().map(|s| s.cite.clone()),
                    cite: figure.cite.clone(),
                    graze_wait: wait.clone().filter(|_| cut),
                    after_cutting,
                    season_days,
                });
            }
        }
    }
    windows.sort_by(|a, b| (a.first, a.last, &a.season).cmp(&(b.first, b.last, &b.season)));
    windows
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn grazing_cuts_a_window_with_its_wait() {
        let spring = (date(2027, 2, 15), date(2027, 3, 31));
        let clear = |from, to| clear_of(spring, (from, to), 21);
        // Grazed from April 12: the last day is 21 days before.
        assert_eq!(clear(date(2027, 4, 12), date(2027, 6, 25)), Some((spring.0, date(2027, 3, 22))));
        // Grazed long after, or before: nothing is cut.
        assert_eq!(clear(date(2027, 7, 1), date(2027, 8, 1)), Some(spring));
        assert_eq!(clear(date(2026, 12, 1), date(2027, 2, 14)), Some(spring));
        // Grazed at its start: the days after it are left.
        assert_eq!(clear(date(2027, 2, 1), date(2027, 3, 1)), Some((date(2027, 3, 2), spring.1)));
        // Grazed all through it: nothing is left.
        assert_eq!(clear(date(2027, 2, 20), date(2027, 5, 1)), None);
    }

    #[test]
    fn cuttings_part_a_season() {
        let season = (date(2027, 4, 1), date(2027, 8, 31));
        let mut cuttings = [date(2027, 7, 13), date(2027, 6, 8), date(2027, 10, 1)];
        assert_eq!(
            around_cuttings(season, &mut cuttings),
            [
                (date(2027, 4, 1), date(2027, 6, 7), None),
                (date(2027, 6, 9), date(2027, 7, 12), Some(date(2027, 6, 8))),
                (date(2027, 7, 14), date(2027, 8, 31), Some(date(2027, 7, 13))),
            ]
        );
        assert_eq!(around_cuttings(season, &mut []), [(season.0, season.1, None)]);
        assert_eq!(around_cuttings((season.0, season.0), &mut [season.0]), []);
    }
}
