//! When litter may go on a field: the seasons of its forage, cut to the plan
//! and to the days that are still to come.

use crate::balance::desk::Desk;
use crate::check::{CutWait, Field, Ready};
use crate::findings::Cite;
use crate::tables::{Book, Season, Sourced, topic};
use crate::units::{Days, Quantity, Share};
use jiff::ToSpan;
use jiff::civil::Date;

/// First and last day.
pub(super) type Span = (Date, Date);

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
    /// The cutting that it follows, where one falls into the season.
    pub after_cutting: Option<Date>,
    /// The cutting before which it ends, with the days that are kept.
    pub before_cutting: Option<BeforeCutting>,
    /// First and last day of the whole season, whatever days the plan is for.
    pub season_days: (Date, Date),
}

/// What ends a window ahead of a cutting.
#[derive(Clone, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct BeforeCutting {
    /// The cutting.
    pub cutting: Date,
    /// The days that are kept before it.
    pub wait: CutWait,
}

/// The days of a piece before, between and after cuttings, when none of them may lie
/// within the days to keep before a cutting or on its day; each with the next cutting
/// that ended it.
fn around_cuttings(days: Span, cuttings: &[(Date, i32)]) -> Vec<(Span, Option<Date>)> {
    let mut first = days.0;
    let mut pieces = Vec::new();
    for (cut, wait) in cuttings.iter().copied().filter(|(cut, _)| *cut >= days.0) {
        let stop = cut.checked_sub(wait.max(1).days()).unwrap_or(Date::MIN);
        if stop >= days.1 {
            break;
        }
        if first <= stop {
            pieces.push(((first, stop), Some(cut)));
        }
        first = cut.tomorrow().unwrap_or(Date::MAX);
    }
    if first <= days.1 {
        pieces.push(((first, days.1), None));
    }
    pieces
}

/// What is left of some days when none of them may lie within `wait` days before others
/// or in those: what lies before them, and what lies after.
fn clear_of(days: Span, shut: Span, wait: i32) -> Vec<Span> {
    let stop = shut.0.checked_sub(wait.max(1).days()).unwrap_or(Date::MIN);
    let before = (days.0, days.1.min(stop));
    let after = (days.0.max(shut.1.tomorrow().unwrap_or(Date::MAX)), days.1);
    let mut left: Vec<Span> = [before, after].into_iter().filter(|(first, last)| first <= last).collect();
    left.dedup();
    left
}

/// The same for many such days, each with its own wait.
fn clear_of_all(pieces: Vec<Span>, shut: impl IntoIterator<Item = (Span, i32)>) -> Vec<Span> {
    let clear = |pieces: Vec<Span>, (shut, wait): (Span, i32)| {
        pieces.into_iter().flat_map(|days| clear_of(days, shut, wait)).collect()
    };
    shut.into_iter().fold(pieces, clear)
}

/// The place's closed days around some days.
fn closed_days((first, last): Span, closed: Option<Season>) -> Vec<(Span, i32)> {
    let years = first.year().saturating_sub(1)..=last.year();
    closed.map_or_else(Vec::new, |closed| years.filter_map(|year| Some((closed.days_in(year)?, 1))).collect())
}

/// The windows of a field, in order of days: those that are open on or after
/// the day of the plan, and the days before it that were open and are over.
pub(super) fn of(ready: &Ready, field: &Field, book: &Book<'_>) -> (Vec<Window>, Vec<Window>) {
    let open = within(ready, field, book, (ready.open_from(), ready.open_until(field)));
    let past = ready.open_from().yesterday().map(|last| within(ready, field, book, (ready.from, last.min(ready.to))));
    (open, past.unwrap_or_default())
}

/// What would be open after the field's soil test has expired.
pub(super) fn past_the_test(ready: &Ready, field: &Field, book: &Book<'_>) -> Vec<Window> {
    let first = ready.test_ends_within(field).and_then(|last| last.tomorrow().ok());
    first.map_or_else(Vec::new, |first| within(ready, field, book, (first, ready.to)))
}

/// The windows of a field within some days of the plan.
fn within(ready: &Ready, field: &Field, book: &Book<'_>, days: Span) -> Vec<Window> {
    let scope = ready.scope(field);
    let closed = book.get(topic::CLOSED_DAYS, &scope).map(|closed| closed.value);
    let wait = book.get(topic::GRAZE_WAIT, &scope);
    let clear_days = wait.as_ref().map_or(0.0, |w| w.value.get()).ceil() as i32;
    let cut_wait = ready.cut_wait(field, book);
    let keep = cut_wait.as_ref().map_or(0, |wait| wait.days);
    // Nobody knew on days that are over what was to be cut or grazed without a plan.
    let over = ready.is_past || days.1 < ready.open_from();
    let ahead = |logged: bool, wait: i32| if logged && over { 0 } else { wait };
    let cuttings: Vec<(Date, i32)> = field.cuttings.iter().map(|c| (c.day, ahead(c.logged, keep))).collect();
    let grazed = || field.grazed.iter().map(|g| ((g.first, g.last), ahead(g.logged, clear_days)));
    let mut windows = Vec::new();
    for (season, figure) in book.seasons(&scope) {
        let share = book.get(topic::N_SPLIT, &scope.clone().season(&season));
        // A season that opened last year may still be open when the plan starts.
        for year in days.0.year().saturating_sub(1)..=days.1.year() {
            let Some(season_days) = figure.value.days_in(year) else { continue };
            let open = (season_days.0.max(days.0), season_days.1.min(days.1));
            if open.0 > open.1 {
                continue;
            }
            let clear = clear_of_all(vec![open], grazed());
            let cut_by_grazing = clear != [open];
            let pieces = clear_of_all(clear, closed_days(open, closed));
            for ((first, last), next) in pieces.iter().flat_map(|days| around_cuttings(*days, &cuttings)) {
                let in_season = |(cut, _): &&(Date, i32)| *cut >= season_days.0 && *cut < first;
                windows.push(Window {
                    season: season.clone(),
                    first,
                    last,
                    n_share: share.as_ref().map_or(1.0, |s| s.value.get()),
                    n_done: 0.0,
                    n_share_cite: share.as_ref().map(|s| s.cite.clone()),
                    cite: figure.cite.clone(),
                    graze_wait: wait.clone().filter(|_| cut_by_grazing),
                    before_cutting: next.zip(cut_wait.clone()).map(|(cutting, wait)| BeforeCutting { cutting, wait }),
                    after_cutting: cuttings.iter().rev().find(in_season).map(|(cut, _)| *cut),
                    season_days,
                });
            }
        }
    }
    windows.sort_by(|a, b| (a.first, a.last, &a.season).cmp(&(b.first, b.last, &b.season)));
    windows
}

/// A season of the forage as it opens once, whether litter may go on in it or not.
pub(super) struct Opening {
    pub(super) season: String,
    pub(super) days: Span,
    /// Largest share of the year's nitrogen that may go on in it.
    pub(super) share: Option<Sourced<Share>>,
}

/// The first day after the season before, whichever of the forage that was: what goes on from
/// it until a season opens feeds that one. The opening day itself where none is closed between.
pub(super) fn since_season_before(desk: &Desk<'_>, opens: Date) -> Date {
    let seasons = desk.book.seasons(&desk.scope());
    let years = opens.year().saturating_sub(2)..=opens.year();
    let days = seasons.iter().flat_map(|(_, season)| years.clone().filter_map(|year| season.value.days_in(year)));
    let closed = days.filter(|days| days.0 < opens).map(|days| days.1).max();
    closed.and_then(|closed| closed.tomorrow().ok()).map_or(opens, |next| next.min(opens))
}

/// Every opening that the days of the plan that are still to come meet.
pub(super) fn openings(ready: &Ready, field: &Field, book: &Book<'_>) -> Vec<Opening> {
    let scope = ready.scope(field);
    // What went on after the last season of a year that is over feeds the first of the next.
    let last = if ready.is_past { ready.to.saturating_add(1.year()) } else { ready.to };
    let first = ready.open_from();
    let mut openings = Vec::new();
    for (season, figure) in book.seasons(&scope) {
        let years = first.year().saturating_sub(1)..=last.year();
        let days = years.filter_map(|year| figure.value.days_in(year));
        let share = book.get(topic::N_SPLIT, &scope.clone().season(&season));
        openings.extend(days.filter(|days| days.0 <= last && first <= days.1).map(|days| Opening {
            season: season.clone(),
            days,
            share: share.clone(),
        }));
    }
    openings
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
        assert_eq!(clear(date(2027, 4, 12), date(2027, 6, 25)), [(spring.0, date(2027, 3, 22))]);
        // Grazed long after, or before: nothing is cut.
        assert_eq!(clear(date(2027, 7, 1), date(2027, 8, 1)), [spring]);
        assert_eq!(clear(date(2026, 12, 1), date(2027, 2, 14)), [spring]);
        // Grazed at its start: the days after it are left.
        assert_eq!(clear(date(2027, 2, 1), date(2027, 3, 1)), [(date(2027, 3, 2), spring.1)]);
        // Grazed all through it: nothing is left.
        assert_eq!(clear(date(2027, 2, 20), date(2027, 5, 1)), []);
    }

    #[test]
    fn the_days_before_and_after_a_short_grazing_are_left() {
        let fall = (date(2027, 8, 1), date(2027, 9, 30));
        let grazed = (date(2027, 9, 8), date(2027, 9, 12));
        assert_eq!(clear_of(fall, grazed, 21), [(fall.0, date(2027, 8, 18)), (date(2027, 9, 13), fall.1)]);
        // Without a wait nothing goes on while stock is there, nor on its first day.
        assert_eq!(clear_of(fall, grazed, 0), [(fall.0, date(2027, 9, 7)), (date(2027, 9, 13), fall.1)]);
        let again = (date(2027, 8, 20), date(2027, 8, 21));
        assert_eq!(
            clear_of_all(vec![fall], [(grazed, 5), (again, 5)]),
            [(fall.0, date(2027, 8, 15)), (date(2027, 8, 22), date(2027, 9, 3)), (date(2027, 9, 13), fall.1),]
        );
    }

    #[test]
    fn cuttings_part_a_season() {
        let season = (date(2027, 4, 1), date(2027, 8, 31));
        let cuttings = [date(2027, 6, 8), date(2027, 7, 13), date(2027, 10, 1)];
        let keep = |days: i32| cuttings.map(|cut| (cut, days));
        assert_eq!(
            around_cuttings(season, &keep(0)),
            [
                ((season.0, date(2027, 6, 7)), Some(cuttings[0])),
                ((date(2027, 6, 9), date(2027, 7, 12)), Some(cuttings[1])),
                ((date(2027, 7, 14), season.1), None),
            ]
        );
        // With days to keep, also before a cutting that falls past the season.
        assert_eq!(
            around_cuttings(season, &keep(34)),
            [
                ((season.0, date(2027, 5, 5)), Some(cuttings[0])),
                ((date(2027, 6, 9), date(2027, 6, 9)), Some(cuttings[1])),
                ((date(2027, 7, 14), date(2027, 8, 28)), Some(cuttings[2])),
            ]
        );
        assert_eq!(around_cuttings(season, &[]), [(season, None)]);
        assert_eq!(around_cuttings((season.0, season.0), &[(season.0, 0)]), []);
    }
}
