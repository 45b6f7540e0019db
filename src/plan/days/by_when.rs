//! What must be gone by when: no more lies in a storage than goes in, and a pile
//! outside does not lie longer than it may.
//!
//! The plan's own spreading helps as far as it is done by then: by the calendar
//! where the farm plans its days, else as far as its window opens before.

use crate::check::{Ready, Storage};
use crate::farm::Stored;
use crate::plan::answer::{Application, ByWhen, FieldPlan, MustGo, Sale};
use crate::plan::days::calendar::{DayPiece, DayRow};
use crate::plan::stock::StockRun;
use crate::units::Pounds;
use jiff::civil::Date;
use std::collections::BTreeSet;

/// Spreading as it is expected: field, lot, day, pounds.
pub(in crate::plan) struct Spreading<'a> {
    pub(in crate::plan) field: &'a str,
    pub(in crate::plan) lot: &'a str,
    pub(in crate::plan) day: Date,
    pub(in crate::plan) pounds: Pounds,
}

/// Every application at once on the first day of its window.
pub(in crate::plan) fn at_the_opening<'a>(fields: &'a [FieldPlan], open: Date) -> Vec<Spreading<'a>> {
    let one = |field: &'a FieldPlan, a: &'a Application| Spreading {
        field: &field.id,
        lot: &a.lot,
        day: a.first.max(open),
        pounds: a.pounds,
    };
    fields.iter().flat_map(|field| field.applications.iter().map(move |a| one(field, a))).collect()
}

/// Spreading by the calendar.
pub(in crate::plan) fn by_calendar(rows: &[DayRow]) -> Vec<Spreading<'_>> {
    let mut spreading = Vec::new();
    for row in rows {
        let piece = |p: &DayPiece| Spreading { field: &row.field, lot: &row.lot, day: p.date, pounds: p.pounds };
        spreading.extend(row.by_day.iter().map(piece));
    }
    spreading
}

/// Everything that must be gone, by day.
pub(in crate::plan) fn by_when(
    ready: &Ready,
    run: &StockRun,
    spreading: &[Spreading<'_>],
    sales: &[Sale],
) -> Vec<ByWhen> {
    let mut rows: Vec<ByWhen> =
        ready.work.storage.iter().flat_map(|store| storage(store, ready, run, spreading, sales)).collect();
    rows.extend(ready.lots.iter().filter(|lot| lot.stored == Stored::OutsideUncovered).filter_map(|lot| {
        let by = lot.uncovered_until.as_ref()?.last;
        let lots = std::slice::from_ref(&lot.id);
        let lying = run.lot(&lot.id)?.on_hand;
        let helped = Helped::before_evening(by, lots, spreading, sales);
        helped.row(by, (&lot.id, MustGo::Uncovered), Pounds(0), lying)
    }));
    rows.retain(|row| row.lying > row.room);
    rows.sort_by(|a, b| (a.by, &a.about).cmp(&(b.by, &b.about)));
    rows
}

/// The days on which a storage would hold more than goes in. What had to leave
/// before is gone on later days.
fn storage(store: &Storage, ready: &Ready, run: &StockRun, spreading: &[Spreading<'_>], sales: &[Sale]) -> Vec<ByWhen> {
    let inside = run.lots.iter().filter(|lot| store.lots.contains(&lot.id));
    let mut days: BTreeSet<Date> = inside.clone().flat_map(|lot| lot.comes.iter().map(|(day, _)| *day)).collect();
    days.insert(ready.as_of);
    let by_day = days.len() > MOST_DAYS;
    let last = days.last().copied();
    let mut gone = Pounds(0);
    let mut rows: Vec<ByWhen> = Vec::new();
    for day in days {
        // Litter that comes day by day is told when the storage is full, then once a month.
        if by_day && !rows.is_empty() && day != day.last_of_month() && Some(day) != last {
            continue;
        }
        let lying = run.together(&store.lots, day) - gone;
        let helped = Helped::before(day, &store.lots, spreading, sales);
        let row = helped.row(day, (&store.name, MustGo::Room), store.room, lying);
        // What spreading alone makes room for is no news of a single day.
        if let Some(row) = row.filter(|row| !by_day || row.must_leave.0 > 0) {
            gone += row.must_leave;
            rows.push(row);
        }
    }
    rows
}

/// More arrivals than this come day by day.
const MOST_DAYS: usize = 40;

/// What helps by a day.
struct Helped {
    spread: Pounds,
    sold: Pounds,
    fields: Vec<String>,
}

impl Helped {
    /// What is done by the evening before a day.
    fn before(day: Date, lots: &[String], spreading: &[Spreading<'_>], sales: &[Sale]) -> Helped {
        Helped::of(&|on| on < day, lots, spreading, sales)
    }

    fn before_evening(day: Date, lots: &[String], spreading: &[Spreading<'_>], sales: &[Sale]) -> Helped {
        Helped::of(&|on| on <= day, lots, spreading, sales)
    }

    fn of(by: &dyn Fn(Date) -> bool, lots: &[String], spreading: &[Spreading<'_>], sales: &[Sale]) -> Helped {
        let own = |lot: &str| lots.iter().any(|own| own == lot);
        let done: Vec<&Spreading<'_>> = spreading.iter().filter(|s| own(s.lot) && by(s.day)).collect();
        let mut fields: Vec<String> = done.iter().map(|s| s.field.to_string()).collect();
        fields.dedup();
        let mut seen = BTreeSet::new();
        fields.retain(|field| seen.insert(field.clone()));
        Helped {
            spread: done.iter().map(|s| s.pounds).sum(),
            sold: sales.iter().filter(|s| own(&s.lot) && by(s.first)).map(|s| s.pounds).sum(),
            fields,
        }
    }

    /// The row of a day on which more would lie there than may.
    fn row(self, by: Date, (about, why): (&str, MustGo), room: Pounds, lying: Pounds) -> Option<ByWhen> {
        (lying > room).then(|| ByWhen {
            by,
            about: about.to_string(),
            why,
            room,
            lying,
            spread: self.spread,
            sold: self.sold,
            must_leave: (lying - room - self.spread - self.sold).max(Pounds(0)),
            fields: self.fields,
        })
    }
}
