//! What must be gone by when: no more lies in a storage than goes in, and a pile
//! outside does not lie longer than it may.
//!
//! The plan's own spreading helps as far as it is done by that evening: by the calendar
//! where the farm plans its days, else as far as its window is open by then. So do sales.
//! Neither takes litter before it is there, and what leaves besides is litter that the
//! plan never uses: each ton is spread, sold or left once.

use crate::check::{Ready, Storage};
use crate::farm::Stored;
use crate::plan::answer::{Application, ByWhen, FieldPlan, Leaves, MustGo, Sale};
use crate::plan::days::calendar::{DayPiece, DayRow};
use crate::plan::stock::{LotRun, StockRun};
use crate::units::Pounds;
use jiff::civil::Date;
use std::collections::BTreeSet;

/// Litter that goes out as it is expected: lot, day, pounds, and the field, where it is
/// spread.
#[derive(Clone)]
pub(in crate::plan) struct Out<'a> {
    field: Option<&'a str>,
    lot: &'a str,
    day: Date,
    pounds: Pounds,
}

/// What goes out of a lot between two days.
struct Use<'a> {
    field: Option<&'a str>,
    lot: &'a str,
    first: Date,
    last: Date,
    pounds: Pounds,
}

/// Every application at once on the first day of its window on which its litter is
/// there; the litter that is there first goes to what closes first. Then the sales.
pub(in crate::plan) fn at_the_opening<'a>(
    fields: &'a [FieldPlan],
    sales: &'a [Sale],
    run: &StockRun,
    open: Date,
) -> Vec<Out<'a>> {
    let one = |field: &'a FieldPlan, a: &'a Application| {
        let Application { lot, first, last, pounds, .. } = a;
        Use { field: Some(&field.id), lot, first: *first.max(&open), last: *last, pounds: *pounds }
    };
    let mut uses: Vec<Use<'a>> =
        fields.iter().flat_map(|field| field.applications.iter().map(move |a| one(field, a))).collect();
    uses.extend(sales.iter().map(sold));
    uses.sort_by_key(|u| (u.last, u.first));
    let mut out = Vec::new();
    for lot in &run.lots {
        let mut batches = std::iter::once((Date::MIN, lot.on_hand)).chain(lot.comes.iter().copied());
        let mut batch = batches.next();
        for used in uses.iter().filter(|u| u.lot == lot.id) {
            let mut due = used.pounds;
            while let Some((day, there)) = batch.filter(|_| due.0 > 0) {
                let pounds = there.min(due);
                due -= pounds;
                batch = if pounds == there { batches.next() } else { Some((day, there - pounds)) };
                let Use { field, lot, first, .. } = *used;
                out.extend(field.map(|_| Out { field, lot, day: first.max(day), pounds }));
            }
        }
    }
    with_sales(out, sales, run)
}

/// Spreading by the calendar, and the sales. What is not expected to fit into its window
/// is still litter of that field, held for it to the window's last day.
pub(in crate::plan) fn by_calendar<'a>(rows: &'a [DayRow], sales: &'a [Sale], run: &StockRun) -> Vec<Out<'a>> {
    let mut out = Vec::new();
    for row in rows {
        let piece = |day: Date, pounds: Pounds| Out { field: Some(&row.field), lot: &row.lot, day, pounds };
        out.extend(row.by_day.iter().map(|p: &DayPiece| piece(p.date, p.pounds)));
        out.extend((row.unfit.0 > 0).then(|| piece(row.last, row.unfit)));
    }
    with_sales(out, sales, run)
}

fn sold(sale: &Sale) -> Use<'_> {
    let Sale { lot, first, last, pounds, .. } = sale;
    Use { field: None, lot, first: *first, last: *last, pounds: *pounds }
}

/// Adds the sales to the spreading, each as early as what is there can spare it: what
/// is spread before more comes stays.
fn with_sales<'a>(mut out: Vec<Out<'a>>, sales: &'a [Sale], run: &StockRun) -> Vec<Out<'a>> {
    let mut uses: Vec<Use<'a>> = sales.iter().map(sold).collect();
    uses.sort_by_key(|u| (u.last, u.first));
    for used in uses {
        let Some(lot) = run.lot(used.lot) else { continue };
        let later = lot.comes.iter().map(|(day, _)| *day).filter(|day| used.first < *day && *day <= used.last);
        let mut due = used.pounds;
        for day in std::iter::once(used.first).chain(later) {
            let pounds = spare(lot, &out, day).min(due);
            if pounds.0 > 0 {
                due -= pounds;
                out.push(Out { field: None, lot: used.lot, day, pounds });
            }
        }
    }
    out
}

/// What a lot can spare on a day, of all that goes out of it on this day and later.
fn spare(lot: &LotRun, out: &[Out<'_>], day: Date) -> Pounds {
    let mut own: Vec<(Date, Pounds)> = out.iter().filter(|o| o.lot == lot.id).map(|o| (o.day, o.pounds)).collect();
    own.sort_by_key(|(on, _)| *on);
    let mut gone: Pounds = own.iter().filter(|(on, _)| *on <= day).map(|(_, pounds)| *pounds).sum();
    let mut spare = lot.by(day) - gone;
    for (on, pounds) in own.into_iter().filter(|(on, _)| *on > day) {
        gone += pounds;
        spare = spare.min(lot.by(on) - gone);
    }
    spare
}

/// Everything that must be gone, by day.
pub(in crate::plan) fn by_when(ready: &Ready, run: &StockRun, out: &[Out<'_>]) -> Vec<ByWhen> {
    let mut rows: Vec<ByWhen> = ready.work.storage.iter().flat_map(|store| storage(store, ready, run, out)).collect();
    rows.extend(ready.lots.iter().filter(|lot| lot.stored == Stored::OutsideUncovered).filter_map(|lot| {
        let by = lot.uncovered_until.as_ref()?.last;
        let lots = std::slice::from_ref(&lot.id);
        let lying = run.lot(&lot.id)?.on_hand;
        let helped = Helped::of(&|on| on <= by, lots, out).of_those(lying);
        helped.row(by, (&lot.id, MustGo::Uncovered), Pounds(0), lying)
    }));
    rows.retain(|row| row.lying > row.room);
    rows.sort_by(|a, b| (a.by, &a.about).cmp(&(b.by, &b.about)));
    rows
}

/// The days on which a storage would hold more than goes in. What had to leave
/// before is gone on later days.
fn storage(store: &Storage, ready: &Ready, run: &StockRun, out: &[Out<'_>]) -> Vec<ByWhen> {
    let days = run.days(&store.lots, ready.as_of);
    let (by_day, told): (bool, BTreeSet<Date>) = (days.by_day(), days.told().collect());
    let lots = leave_first(store, ready, run);
    // What must leave goes out of its lot like all else.
    let mut out_with = out.to_vec();
    let mut gone = Pounds(0);
    let mut rows: Vec<ByWhen> = Vec::new();
    for &day in days.iter() {
        // Litter that comes day by day is told when the storage is full, then once a month.
        if !rows.is_empty() && !told.contains(&day) {
            continue;
        }
        let lying = run.together(&store.lots, day) - gone;
        let helped = Helped::of(&|on| on <= day, &store.lots, out);
        let Some(mut row) = helped.row(day, (&store.name, MustGo::Room), store.room, lying) else { continue };
        let over = row.must_leave;
        row.must_leave = Pounds(0);
        for lot in &lots {
            let pounds = spare(lot, &out_with, day).min(over - row.must_leave);
            if pounds.0 > 0 {
                row.must_leave += pounds;
                row.from_lots.push(Leaves { lot: lot.id.clone(), pounds });
                out_with.push(Out { field: None, lot: &lot.id, day, pounds });
            }
        }
        row.waits = over - row.must_leave;
        // What spreading alone makes room for is no news of a single day.
        if !by_day || row.presses() {
            gone += row.must_leave;
            rows.push(row);
        }
    }
    rows
}

/// The lots of a storage in the order in which they leave it: what may not be sold stays
/// the longest, and else the last one goes first.
fn leave_first<'a>(store: &Storage, ready: &Ready, run: &'a StockRun) -> Vec<&'a LotRun> {
    let kept = |lot: &LotRun| ready.lot(&lot.id).is_some_and(|lot| lot.never_sold.is_some());
    let inside = run.lots.iter().filter(|lot| store.lots.contains(&lot.id));
    let (kept, sold): (Vec<&LotRun>, Vec<&LotRun>) = inside.rev().partition(|lot| kept(lot));
    sold.into_iter().chain(kept).collect()
}

/// What helps by a day.
struct Helped {
    spread: Pounds,
    sold: Pounds,
    fields: Vec<String>,
}

impl Helped {
    /// What is done on the days that count.
    fn of(by: &dyn Fn(Date) -> bool, lots: &[String], out: &[Out<'_>]) -> Helped {
        let own = |o: &&Out<'_>| lots.iter().any(|own| own == o.lot) && by(o.day);
        let sum = |spread: bool| out.iter().filter(own).filter(|o| o.field.is_some() == spread).map(|o| o.pounds).sum();
        let mut seen = BTreeSet::new();
        let fields = out.iter().filter(own).filter_map(|o| o.field).filter(|field| seen.insert(*field));
        Helped { spread: sum(true), sold: sum(false), fields: fields.map(str::to_string).collect() }
    }

    /// Of what lies there now alone: what comes later goes out later.
    fn of_those(self, lying: Pounds) -> Helped {
        let spread = self.spread.min(lying);
        Helped { spread, sold: self.sold.min(lying - spread), ..self }
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
            from_lots: Vec::new(),
            waits: Pounds(0),
            fields: self.fields,
        })
    }
}
