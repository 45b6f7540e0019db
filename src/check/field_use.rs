//! When a field is cut and grazed: what the log shows, and what is still planned.
//!
//! A logged cutting replaces the planned one that it stands for. Grazing closes its
//! days whether it is logged or planned; logged grazing that nobody ended goes on to
//! the end of the plan.

use crate::check::ready::{Field, Ready};
use crate::check::used::{CutWait, Cutting, Grazing};
use crate::farm::{WrittenField, is_sheep};
use crate::findings::{Origin, Place};
use crate::record::{Happened, What};
use crate::tables::{Book, Scope, topic};
use crate::units::Quantity;
use jiff::ToSpan;
use jiff::civil::Date;

/// Days by which a cutting may come before or after the day it was planned for: our
/// own choice.
const MOVES_BY: i32 = 21;
/// Entries this many days apart are one cutting, done in parts: no stand is cut twice
/// in a week. Our own choice.
const ONE_CUTTING: i32 = 6;

impl Field {
    /// Sets the days of cutting and grazing to those of the log and those still planned.
    pub(super) fn use_by_log(&mut self, happened: &Happened, on: Date, to: Date) {
        let logged = logged_cuttings(happened, self.id());
        let planned = unpaired(self.written.cuttings.iter().map(planned_cutting).collect(), &logged);
        self.cuttings = sorted(logged.into_iter().chain(planned).collect());
        let days = happened.grazings(self.id());
        let grazed = logged_grazing(happened, self.id(), &days, to).into_iter().chain(planned_grazing(&self.written));
        self.grazed = grazed.collect();
        self.grazed.sort_by_key(|g| (g.first, g.last));
        let lately = on.checked_sub(1.year()).unwrap_or(Date::MIN);
        self.stock |= self.grazed.iter().any(|grazing| !grazing.logged || grazing.last >= lately);
        self.sheep |= sheep_logged(happened, self.id(), &days, (lately, to));
    }

    /// Sets them to what the log shows within some days.
    pub(super) fn use_of_log_alone(&mut self, happened: &Happened, (first, last): (Date, Date)) {
        let inside = |day: Date| (first..=last).contains(&day);
        self.cuttings = logged_cuttings(happened, self.id());
        self.cuttings.retain(|cutting| inside(cutting.day));
        let days = happened.grazings(self.id());
        self.grazed = logged_grazing(happened, self.id(), &days, last);
        self.grazed.retain(|grazing| grazing.first <= last && first <= grazing.last);
        self.stock |= !self.grazed.is_empty();
        self.sheep |= sheep_logged(happened, self.id(), &days, (first, last));
    }

    /// Plans the cuttings and grazing of farm.yaml anew, as for another year; what was
    /// logged stands.
    pub fn plan_use_anew(&mut self) {
        self.cuttings.retain(|cutting| cutting.logged);
        self.cuttings.extend(self.written.cuttings.iter().map(planned_cutting));
        self.cuttings.sort_by_key(|cutting| cutting.day);
        self.grazed.retain(|grazing| grazing.logged);
        self.grazed.extend(planned_grazing(&self.written));
        self.grazed.sort_by_key(|grazing| (grazing.first, grazing.last));
    }
}

impl Field {
    /// Since when stock is on it that the log has there to the end of the plan: nobody
    /// knows when it leaves.
    #[must_use]
    pub fn stock_since(&self, ready: &Ready) -> Option<Date> {
        let (on, to) = (ready.as_of, ready.to);
        let still = self.grazed.iter().filter(|g| g.logged && g.first <= on && g.last >= to.max(on));
        still.map(|g| g.first).min()
    }
}

impl Ready {
    /// The days from spreading to a cutting of a field: the grower's own, else those of
    /// the place; none where nobody says any.
    #[must_use]
    pub fn cut_wait(&self, field: &Field, book: &Book<'_>) -> Option<CutWait> {
        self.cut_wait_by(field, &self.scope(field), book)
    }

    /// The same for what grew on the field on some day.
    pub(super) fn cut_wait_by(&self, field: &Field, scope: &Scope<'_>, book: &Book<'_>) -> Option<CutWait> {
        if let Some(own) = &field.written.cut_wait {
            return Some(CutWait { days: own.value.get().ceil() as i32, origin: Origin::Line(own.place.clone()) });
        }
        let figure = book.get(topic::CUT_WAIT, scope)?;
        Some(CutWait { days: figure.value.get().ceil() as i32, origin: Origin::Figure(figure.cite) })
    }
}

fn sorted(mut cuttings: Vec<Cutting>) -> Vec<Cutting> {
    cuttings.sort_by_key(|cutting| cutting.day);
    cuttings
}

fn planned_cutting(day: &crate::findings::At<Date>) -> Cutting {
    Cutting { day: day.value, logged: false, place: day.place.clone() }
}

fn logged_cuttings(happened: &Happened, field: &str) -> Vec<Cutting> {
    let cut = happened.on_field(field, What::Cut);
    let mut all = sorted(cut.map(|e| Cutting { day: e.date, logged: true, place: e.place.clone() }).collect());
    all.dedup_by_key(|cutting| cutting.day);
    all
}

/// The planned cuttings for which no logged one stands. Those nearest each other are
/// put together first, and a cutting that was done in parts stands for one.
fn unpaired(mut planned: Vec<Cutting>, logged: &[Cutting]) -> Vec<Cutting> {
    let apart = |a: Date, b: Date| (a - b).get_days().abs();
    let mut pairs: Vec<(i32, Date, Date)> = Vec::new();
    for plan in &planned {
        let near = logged.iter().map(|cut| (apart(plan.day, cut.day), plan.day, cut.day));
        pairs.extend(near.filter(|(days, _, _)| *days <= MOVES_BY));
    }
    pairs.sort();
    let mut stands_for: Vec<(Date, Date)> = Vec::new();
    for (_, plan, cut) in pairs {
        let taken = |(p, c): &(Date, Date)| *p == plan || apart(*c, cut) <= ONE_CUTTING;
        if !stands_for.iter().any(taken) {
            stands_for.push((plan, cut));
        }
    }
    planned.retain(|plan| !stands_for.iter().any(|(replaced, _)| *replaced == plan.day));
    planned
}

fn planned_grazing(written: &WrittenField) -> impl Iterator<Item = Grazing> {
    written.grazed.iter().map(|(from, to)| Grazing {
        first: from.value,
        last: to.value,
        logged: false,
        place: from.place.clone(),
    })
}

/// First and last days of grazing by the log, as the record has them.
type Grazed = (Date, Option<Date>);

fn logged_grazing(happened: &Happened, field: &str, days: &[Grazed], to: Date) -> Vec<Grazing> {
    let one = |&(first, last): &Grazed| {
        let last = last.unwrap_or(to.max(first));
        Grazing { first, last, logged: true, place: placed(happened, field, first) }
    };
    days.iter().map(one).collect()
}

/// Whether the log has sheep on a field on some of these days.
fn sheep_logged(happened: &Happened, field: &str, days: &[Grazed], (from, to): (Date, Date)) -> bool {
    let still = |first: Date| {
        let grazing = days.iter().find(|(began, last)| *began <= first && last.is_none_or(|last| first <= last));
        grazing.is_some_and(|(_, last)| last.is_none_or(|last| last >= from))
    };
    let entries = [What::Graze, What::Head].into_iter().flat_map(|what| happened.on_field(field, what));
    let mut sheep = entries.filter(|e| is_sheep(e.word("animal")) && e.head != Some(0.0) && e.date <= to);
    sheep.any(|e| e.date >= from || still(e.date))
}

/// Where the grazing that began on a day is logged.
fn placed(happened: &Happened, field: &str, day: Date) -> Place {
    let began = |what| happened.on_field(field, what).find(|e| e.date == day);
    let entry = began(What::Graze).or_else(|| began(What::Head));
    entry.map_or_else(Place::default, |e| e.place.clone())
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn a_logged_cutting_stands_for_the_planned_one_next_to_it() {
        let cut = |day: Date, logged| Cutting { day, logged, place: Place::default() };
        let planned = [date(2027, 6, 8), date(2027, 7, 6), date(2027, 8, 10)];
        let left = |logged: &[Date]| -> Vec<Date> {
            let logged: Vec<Cutting> = logged.iter().map(|day| cut(*day, true)).collect();
            let days: Vec<Cutting> = planned.iter().map(|day| cut(*day, false)).collect();
            unpaired(days, &logged).into_iter().map(|c| c.day).collect()
        };
        assert_eq!(left(&[]), planned);
        // Ten days late, and done in two parts: it stands for the first alone.
        assert_eq!(left(&[date(2027, 6, 18), date(2027, 6, 20)]), planned[1..]);
        // Each logged cutting stands for one, and the nearest goes first.
        assert_eq!(left(&[date(2027, 6, 15), date(2027, 7, 8)]), planned[2..]);
        // More than three weeks from any: a cutting of its own.
        assert_eq!(left(&[date(2027, 5, 1)]), planned);
    }
}
