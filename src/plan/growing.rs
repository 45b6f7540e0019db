//! The seasons in which fertilizer that is bought can still go on.
//!
//! Lives here: the days of a forage's seasons that are left, with what each may take.
//! Never here: where litter is kept off, by stock or by a cutting.

use crate::balance::YearNeed;
use crate::check::{Field, Ready};
use crate::tables::{Book, topic};
use crate::units::Quantity;
use jiff::ToSpan;
use jiff::civil::Date;

type Days = (Date, Date);

/// A season of a forage, as far as it is left.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Opening {
    pub(super) season: String,
    pub(super) first: Date,
    pub(super) last: Date,
    /// The share of the year's nitrogen that it may take, where the place has one.
    pub(super) n_share: Option<f64>,
}

/// The seasons of a field's forage.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Seasons {
    /// Those in the days that fertilizer is bought for, the first one first.
    pub(super) open: Vec<Opening>,
    /// The first day on which one is open after them.
    pub(super) next: Option<Date>,
}

impl Seasons {
    /// None where the place names no season of the forage. Fertilizer is bought for the
    /// growing years that are `bought_for`.
    pub(super) fn of(ready: &Ready, field: &Field, book: &Book<'_>, years: &[YearNeed]) -> Option<Seasons> {
        let scope = ready.scope(field);
        let seasons = book.seasons(&scope);
        let (first, last) = days_bought_for(years, (ready.open_from(), ready.to));
        let after = last.max(ready.open_from().yesterday().unwrap_or(Date::MIN)).tomorrow().unwrap_or(Date::MAX);
        let (mut open, mut next) = (Vec::new(), None);
        for (season, figure) in &seasons {
            let n_share = book.get(topic::N_SPLIT, &scope.clone().season(season)).map(|share| share.value.get());
            for year in first.year().saturating_sub(1)..=last.year().saturating_add(1) {
                let Some(days) = figure.value.days_in(year) else { continue };
                if days.1 >= after {
                    let begins = days.0.max(after);
                    next = Some(next.map_or(begins, |next: Date| next.min(begins)));
                }
                let (first, last) = (days.0.max(first), days.1.min(last));
                if first <= last {
                    open.push(Opening { season: season.clone(), first, last, n_share });
                }
            }
        }
        open.sort_by(|a, b| (a.first, a.last, &a.season).cmp(&(b.first, b.last, &b.season)));
        (!seasons.is_empty()).then_some(Seasons { open, next })
    }

    /// Whether the place has a share for any season that is open.
    pub(super) fn shared(&self) -> bool {
        self.open.iter().any(|opening| opening.n_share.is_some())
    }

    /// Whether fertilizer can go on after a day, while the season of that day is open.
    pub(super) fn grows_after(&self, day: Date) -> bool {
        self.open.iter().any(|opening| opening.first <= day && day < opening.last)
    }
}

/// The first day of the plan on which the tables name a season of a forage, where they name
/// none on its first day.
pub(super) fn seasons_from(ready: &Ready, field: &Field, book: &Book<'_>) -> Option<Date> {
    let scope = ready.scope(field);
    let named = |day: &Date| !book.as_on(*day).seasons(&scope).is_empty();
    if named(&ready.from) {
        return None;
    }
    ready.from.series(1.day()).take_while(|day| *day <= ready.to).find(named)
}

/// The days of a plan that lie in the growing years that it buys for.
fn days_bought_for(years: &[YearNeed], (first, last): Days) -> Days {
    let bought = || years.iter().filter(|year| year.bought_for);
    let from = bought().map(|year| year.days.0).min().map_or(first, |from| from.max(first));
    let to = bought().map(|year| year.days.1).max().map_or(last, |to| to.min(last));
    (from, to)
}
