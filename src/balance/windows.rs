//! When litter may go on a field: the seasons of its forage, cut to the plan.

use crate::check::{Field, Ready};
use crate::findings::Cite;
use crate::tables::{Book, Topic};
use jiff::civil::Date;

/// A span of days on which litter may go on.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
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
}

/// The windows of a field that fall into the plan, in order of days.
pub(super) fn of(ready: &Ready, field: &Field, book: &Book<'_>) -> Vec<Window> {
    let words = field.scope();
    let scope = ready.scope(&words);
    let mut windows = Vec::new();
    for (season, figure) in book.seasons(&scope) {
        let mut with_season = scope.clone();
        with_season.push(("season", &season));
        let share = book.number(Topic::NSplit, &with_season);
        // A season that opened last year may still be open when the plan starts.
        for year in ready.from.year().saturating_sub(1)..=ready.to.year() {
            let Some((opens, closes)) = figure.value.days_in(year) else {
                continue;
            };
            let (first, last) = (opens.max(ready.from), closes.min(ready.to));
            if first <= last {
                windows.push(Window {
                    season: season.clone(),
                    first,
                    last,
                    n_share: share.as_ref().map_or(1.0, |s| s.value),
                    n_done: 0.0,
                    n_share_cite: share.as_ref().map(|s| s.cite.clone()),
                    cite: figure.cite.clone(),
                });
            }
        }
    }
    windows.sort_by(|a, b| (a.first, a.last, &a.season).cmp(&(b.first, b.last, &b.season)));
    windows
}
