//! Litter on its days, reached again: what is to come by farm and log, that nothing is
//! used before it is there, that no storage is asked for more than it can keep, that
//! outlets take what they said, and that what must leave is told.

use crate::audit::fault::{fault, first_letters};
use crate::audit::outlets;
use crate::check::{Ready, SAME_WITHIN};
use crate::findings::Findings;
use crate::plan::answer::{ByWhen, MustGo, Plan};
use crate::record::{Entry, Happened, What};
use jiff::civil::Date;
use std::collections::BTreeSet;

/// Litter that comes to a lot on a day.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Arrival {
    day: Date,
    lot: String,
    pounds: i64,
}

/// Litter that the plan uses or sells between two days.
struct Out<'a> {
    lot: &'a str,
    first: Date,
    last: Date,
    pounds: i64,
    sold: bool,
}

pub(super) fn check(plan: &Plan, ready: &Ready, findings: &mut Findings) {
    let mut arrivals = arrivals(ready);
    let shown: BTreeSet<Arrival> =
        plan.coming.iter().map(|c| Arrival { day: c.day, lot: c.lot.clone(), pounds: c.pounds.0 }).collect();
    if shown != arrivals.iter().cloned().collect() || plan.coming.len() != arrivals.len() {
        findings.push(fault("stock", "what is to come is not what the farm plans and the log leaves open".to_string()));
    }
    arrivals.extend(day_by_day(ready));
    let outs = outs(plan);
    let books = Books { ready, arrivals, outs };
    for lot in &ready.lots {
        books.lot(&lot.id, plan, findings);
    }
    books.rooms(plan, findings);
    books.piles(plan, findings);
    outlets::check(plan, ready, findings);
}

fn outs(plan: &Plan) -> Vec<Out<'_>> {
    let spread = plan.fields.iter().flat_map(|f| &f.applications);
    let spread = spread.map(|a| Out { lot: &a.lot, first: a.first, last: a.last, pounds: a.pounds.0, sold: false });
    let sold =
        plan.sales.iter().map(|s| Out { lot: &s.lot, first: s.first, last: s.last, pounds: s.pounds.0, sold: true });
    spread.chain(sold).collect()
}

/// A clean-out, cake-out or load that the farm plans.
struct PlannedArrival<'a> {
    day: Date,
    lot: &'a str,
    pounds: i64,
    /// Of which house or farm, in small letters.
    whose: String,
    done_as: What,
}

/// Planned arrivals that are neither in a count nor done nor past.
fn arrivals(ready: &Ready) -> Vec<Arrival> {
    let mut planned: Vec<PlannedArrival<'_>> = Vec::new();
    for house in &ready.work.houses {
        for out in house.clean_outs.iter().chain(&house.cake_outs) {
            let (whose, done_as) = (house.name.to_lowercase(), What::CleanOut);
            planned.push(PlannedArrival { day: out.date, lot: &out.lot, pounds: out.pounds.0, whose, done_as });
        }
    }
    for b in &ready.work.brought {
        let done_as = What::Bring;
        planned.push(PlannedArrival {
            day: b.date,
            lot: &b.lot,
            pounds: b.pounds.0,
            whose: b.from.to_lowercase(),
            done_as,
        });
    }
    move_on(&mut planned, &ready.happened);
    let counted = |p: &PlannedArrival<'_>| {
        let count = ready.lot(p.lot).map(|lot| lot.count).unwrap_or_default();
        count.day.is_some_and(|day| p.day < day || (p.day == day && count.holds_day))
    };
    let done = |p: &PlannedArrival<'_>| came_as(&planned, p, &ready.happened).next().is_some();
    let open = planned.iter().filter(|p| p.day >= ready.as_of && p.day <= ready.to && !counted(p) && !done(p));
    open.map(|p| Arrival { day: p.day, lot: p.lot.to_string(), pounds: p.pounds }).collect()
}

/// Every entry that puts one off moves it on, unless it had come by then, or came long
/// before the new day.
fn move_on(planned: &mut [PlannedArrival<'_>], happened: &Happened) {
    let written: Vec<Date> = planned.iter().map(|p| p.day).collect();
    for entry in happened.iter() {
        let Some((from, to)) = entry.moves else { continue };
        let whose = entry.word("house").trim().to_lowercase();
        let named = |i: usize, p: &PlannedArrival<'_>| {
            p.done_as == What::CleanOut && p.whose == whose && (p.day == from || written[i] == from)
        };
        let too_late = |out: &Entry| out.date <= entry.date || (to - out.date).get_days() > SAME_WITHIN;
        let moved = planned.iter().enumerate().map(|(i, p)| {
            let moves = named(i, p) && !came_as(planned, p, happened).any(too_late);
            if moves { to } else { p.day }
        });
        let days: Vec<Date> = moved.collect();
        planned.iter_mut().zip(days).for_each(|(p, day)| p.day = day);
    }
}

/// The entries of the log that an arrival was: those to which no other lies nearer.
fn came_as<'a>(
    planned: &[PlannedArrival<'_>],
    p: &PlannedArrival<'_>,
    happened: &'a Happened,
) -> impl Iterator<Item = &'a Entry> {
    let fits = |p: &PlannedArrival<'_>, entry: &Entry| {
        // Most of a long log is of another kind: what costs more is asked last.
        if entry.what != p.done_as || entry.amount.0 <= 0 || entry.lot_id() != p.lot {
            return false;
        }
        let from = entry.word(if entry.what == What::Bring { "from" } else { "house" }).trim().to_lowercase();
        let known = planned.iter().any(|o| o.done_as == entry.what && !o.whose.is_empty() && o.whose == from);
        !known || p.whose == from
    };
    let apart = |a: Date, b: Date| (a - b).get_days().abs();
    happened.iter().filter(move |entry| {
        let here = (apart(p.day, entry.date), p.day);
        let nearer = |o: &PlannedArrival<'_>| fits(o, entry) && (apart(o.day, entry.date), o.day) < here;
        fits(p, entry) && here.0 <= SAME_WITHIN && !planned.iter().any(nearer)
    })
}

/// What houses bring that are carried out as they make it: the whole pounds of each
/// day since that of the plan.
fn day_by_day(ready: &Ready) -> Vec<Arrival> {
    let mut all = Vec::new();
    for house in &ready.work.houses {
        let (Some(lot), Some(made)) = (&house.lot, &house.a_year) else { continue };
        let (mut day, mut before, mut n) = (ready.as_of, 0, 0);
        while let Some(next) = day.tomorrow().ok().filter(|next| *next <= ready.to) {
            n += 1;
            let now = (made.tons * 2_000.0 * f64::from(n) / 365.0 + 1e-6).floor() as i64;
            all.push(Arrival { day: next, lot: lot.clone(), pounds: now - before });
            (day, before) = (next, now);
        }
    }
    all
}

/// The sum of pounds; a stranger's plan may name any.
fn total(pounds: impl Iterator<Item = i64>) -> i64 {
    pounds.fold(0, i64::saturating_add)
}

struct Books<'a> {
    ready: &'a Ready,
    arrivals: Vec<Arrival>,
    outs: Vec<Out<'a>>,
}

impl Books<'_> {
    fn held(&self, lot: &str) -> i64 {
        self.ready.lot(lot).map_or(0, |own| self.ready.on_hand(own).0.max(0))
    }

    /// What more went out of a lot than was there.
    fn short_of(&self, lot: &str) -> i64 {
        self.ready.lot(lot).map_or(0, |own| self.ready.on_hand(own).0.saturating_neg().max(0))
    }

    /// All that is to come to a lot by the end of a day.
    fn all_to_come(&self, lot: &str, by: Date) -> i64 {
        total(self.arrivals.iter().filter(|a| a.lot == lot && a.day <= by).map(|a| a.pounds))
    }

    /// The same of some lots, without what only makes up for what went out too much.
    fn came(&self, lots: &[&str], by: Date) -> i64 {
        total(lots.iter().map(|lot| (self.all_to_come(lot, by) - self.short_of(lot)).max(0)))
    }

    /// By every day on which something must be out, what is due by then is there.
    fn lot(&self, id: &str, plan: &Plan, findings: &mut Findings) {
        let mut say = |what: String| findings.push(fault("stock", format!("lot {id}: {what}")));
        let own: Vec<&Out<'_>> = self.outs.iter().filter(|o| o.lot == id).collect();
        let days: BTreeSet<Date> = own.iter().map(|o| o.last).collect();
        for day in days {
            let due = total(own.iter().filter(|o| o.last <= day).map(|o| o.pounds));
            let there = self.held(id) + self.came(&[id], day);
            if due > there {
                say(format!("{due} lb are to be out by {day}, and {there} lb are there by then"));
            }
        }
        let tally = plan.lots.iter().find(|l| l.id == id);
        let (coming, sold) = tally.map(|l| (l.coming.0, l.sold.0)).unwrap_or_default();
        let (all, sales) = (self.all_to_come(id, self.ready.to), plan.sales.iter().filter(|s| s.lot == id));
        let sales = total(sales.map(|s| s.pounds.0));
        if (coming, sold) != (all, sales) {
            say(format!("{coming} lb to come and {sold} lb to sell; the farm has {all} and the plan {sales}"));
        }
        for a in plan.fields.iter().flat_map(|f| &f.applications).filter(|a| a.lot == id) {
            if a.litter_from.is_some_and(|day| day <= a.first || day > a.last) {
                say(format!("an application of {} to {} waits for a day outside of it", a.first, a.last));
            }
        }
    }

    /// What opens on a day or later can only use what a storage keeps to the day before
    /// and what comes from then on; and what must leave is told.
    fn rooms(&self, plan: &Plan, findings: &mut Findings) {
        for store in &self.ready.work.storage {
            let lots: Vec<&str> = store.lots.iter().map(String::as_str).collect();
            let held: i64 = lots.iter().map(|lot| self.held(lot)).sum();
            let room = store.room.0.max(held);
            let own: Vec<&Out<'_>> = self.outs.iter().filter(|o| lots.contains(&o.lot)).collect();
            for first in own.iter().map(|o| o.first).collect::<BTreeSet<Date>>() {
                for last in own.iter().filter(|o| o.first >= first).map(|o| o.last).collect::<BTreeSet<Date>>() {
                    let used = total(own.iter().filter(|o| o.first >= first && o.last <= last).map(|o| o.pounds));
                    let before = first.yesterday().map_or(0, |eve| self.came(&lots, eve));
                    let most = (held + before).min(room) + self.came(&lots, last) - before;
                    if used > most {
                        let what = format!("{used} lb out from {first} to {last}, and it keeps {most} lb of them");
                        findings.push(fault("room", format!("storage {}: {what}", store.name)));
                    }
                }
            }
            self.must_leave(plan, &store.name, (held, store.room.0), &lots, findings);
        }
    }

    /// What is said to go out by a day has come by then, and some use of it has begun;
    /// of a pile it is no more than lies there.
    fn moved_by(&self, row: &ByWhen, lots: &[&str], findings: &mut Findings) {
        let begun = |sold: bool| {
            total(
                self.outs
                    .iter()
                    .filter(|o| o.sold == sold && lots.contains(&o.lot) && o.first <= row.by)
                    .map(|o| o.pounds),
            )
        };
        let there = total(lots.iter().map(|lot| self.held(lot))).saturating_add(self.came(lots, row.by));
        let out = row.spread.0.saturating_add(row.sold.0);
        if out > there || row.spread.0 > begun(false) || row.sold.0 > begun(true) || row.spread.0 < 0 || row.sold.0 < 0
        {
            let (spread, sold) = (row.spread, row.sold);
            let what = format!("{spread} spread and {sold} sold by {} are more than can be by then", row.by);
            findings.push(fault("room", format!("{}: {what}", first_letters(&row.about))));
        }
    }

    /// A pile that may not lie any longer: all of it leaves, one way or another.
    fn piles(&self, plan: &Plan, findings: &mut Findings) {
        for row in plan.by_when.iter().filter(|row| row.why == MustGo::Uncovered) {
            let held = self.held(&row.about);
            let helps = row.spread.0.saturating_add(row.sold.0).saturating_add(row.must_leave.0);
            if row.lying.0 != held || helps != held {
                let what =
                    format!("{} lie there and {helps} lb are to leave by {}; it is {held} lb", row.lying, row.by);
                findings.push(fault("room", format!("lot {}: {what}", first_letters(&row.about))));
            }
            self.moved_by(row, &[row.about.as_str()], findings);
        }
    }

    /// Every day on which more lies in a storage than goes in has its row.
    fn must_leave(&self, plan: &Plan, store: &str, (held, room): (i64, i64), lots: &[&str], findings: &mut Findings) {
        let rows = || plan.by_when.iter().filter(|row| row.about == store && row.why == MustGo::Room);
        for row in rows() {
            let gone = total(rows().filter(|other| other.by < row.by).map(|other| other.must_leave.0));
            let lying = (held + self.came(lots, row.by)).saturating_sub(gone);
            let helps = (row.room + row.spread + row.sold + row.must_leave + row.waits).0;
            if row.lying.0 != lying || row.room.0 != room || helps < lying {
                let what = format!("{} lie there by {} for {}; it is {lying} lb", row.lying, row.by, row.room);
                findings.push(fault("room", format!("storage {store}: {what}")));
            }
        }
        for row in rows() {
            self.moved_by(row, lots, findings);
            // Each ton once: what waits for its use can still be used.
            let later = total(self.outs.iter().filter(|o| lots.contains(&o.lot) && o.last > row.by).map(|o| o.pounds));
            let parts = total(row.from_lots.iter().map(|part| part.pounds.0));
            if row.waits.0 < 0 || row.waits.0 > later || parts != row.must_leave.0 {
                let what = format!("{} wait for a later use and {} leave by {}", row.waits, row.must_leave, row.by);
                findings.push(fault("room", format!("storage {store}: {what}, which cannot be")));
            }
        }
        // What must leave is litter that nothing else uses.
        for lot in lots {
            let parts = rows().flat_map(|row| &row.from_lots).filter(|part| part.lot == *lot);
            let gone = total(parts.map(|part| part.pounds.0));
            let used = total(self.outs.iter().filter(|o| o.lot == *lot).map(|o| o.pounds));
            let left = self.held(lot).saturating_add(self.came(&[*lot], plan.to)).saturating_sub(used);
            if gone > left.max(0) {
                findings.push(fault(
                    "room",
                    format!("storage {store}: {gone} lb of lot {lot} must leave, and the plan uses all but {left} lb"),
                ));
            }
        }
        // Litter that comes day by day is told once a month.
        let by_day = self.ready.work.houses.iter().any(|h| h.lot.as_deref().is_some_and(|lot| lots.contains(&lot)));
        if by_day {
            return;
        }
        let planned: BTreeSet<Date> =
            plan.coming.iter().filter(|c| lots.contains(&c.lot.as_str())).map(|c| c.day).collect();
        for day in planned {
            let gone = total(rows().filter(|row| row.by < day).map(|row| row.must_leave.0));
            if (held + self.came(lots, day)).saturating_sub(gone) > room && !rows().any(|row| row.by == day) {
                findings
                    .push(fault("room", format!("storage {store}: it is full on {day}, and the plan does not say so")));
            }
        }
    }
}
