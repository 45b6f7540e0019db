//! Litter that is still to come: planned clean-outs and cake-outs that the log does
//! not show yet, and litter that is to be brought. One that should be there by now
//! is told, and counted only where the grower puts it off.

use crate::check::days::{CleanOut, House, Work};
use crate::check::ready::Lot;
use crate::check::stock::{Comes, Coming};
use crate::findings::{Finding, Findings};
use crate::record::{Entry, Happened};
use crate::units::Pounds;
use jiff::civil::Date;

/// An entry of the log within so many days of a planned one is that one: the
/// program's own measure.
pub const SAME_WITHIN: i32 = 21;

/// What is still to come as of a day. Of what was to come before the plan's first day
/// nothing is said once it is done.
pub(super) fn check(
    work: &Work,
    lots: &[Lot],
    happened: &Happened,
    (on, from): (Date, Date),
    findings: &mut Findings,
) -> Vec<Coming> {
    let mut planned = planned(work);
    put_off(&mut planned, happened);
    let done = done(&planned, happened);
    let mut coming = Vec::new();
    for (event, done) in planned.into_iter().zip(done) {
        let Some(lot) = lots.iter().find(|lot| lot.id == event.lot) else { continue };
        if let Some(counted) = lot.count.day.filter(|_| !lot.count.comes_before(event.day) && done.is_empty()) {
            in_count(&event, counted, findings);
        } else if !done.is_empty() {
            if event.day >= from {
                replaced(&event, &done, findings);
            }
        } else if event.day < on {
            overdue(&event, on, findings);
        } else {
            coming.push(event);
        }
    }
    coming.sort_by(|a, b| (a.day, &a.lot, &a.from, a.what).cmp(&(b.day, &b.lot, &b.from, b.what)));
    coming
}

impl House {
    /// Its planned clean-outs, then its cake-outs, as litter that comes.
    pub fn comes(&self) -> impl Iterator<Item = Coming> {
        let of = |what: Comes| {
            move |out: &CleanOut| Coming {
                day: out.date,
                lot: out.lot.clone(),
                pounds: out.pounds,
                what,
                from: self.name.clone(),
                price: None,
                place: out.place.clone(),
            }
        };
        let clean = self.clean_outs.iter().map(of(Comes::CleanOut));
        clean.chain(self.cake_outs.iter().map(of(Comes::CakeOut)))
    }
}

/// Everything that is planned to come, the clean-outs house by house.
fn planned(work: &Work) -> Vec<Coming> {
    let outs = work.houses.iter().flat_map(House::comes);
    let brought = work.brought.iter().map(|b| Coming {
        day: b.date,
        lot: b.lot.clone(),
        pounds: b.pounds,
        what: Comes::Brought,
        from: b.from.clone(),
        price: b.price,
        place: b.place.clone(),
    });
    outs.chain(brought).collect()
}

/// A clean-out that is put off comes on its new day. Where it was put off before,
/// either day names it. One that names no day is told with the log.
fn put_off(planned: &mut [Coming], happened: &Happened) {
    let first: Vec<Date> = planned.iter().map(|event| event.day).collect();
    for entry in happened.entries.iter() {
        let Some((from, to)) = entry.moves else { continue };
        let house = entry.word("house").trim();
        for (event, first) in planned.iter_mut().zip(&first) {
            let of_house = event.what != Comes::Brought && event.from.eq_ignore_ascii_case(house);
            if of_house && (event.day == from || *first == from) {
                event.day = to;
            }
        }
    }
}

/// By planned event, the entries of the log that it was: each entry goes to the
/// nearest of its house or, where it names none, of its lot.
fn done<'a>(planned: &[Coming], happened: &'a Happened) -> Vec<Vec<&'a Entry>> {
    let mut done: Vec<Vec<&Entry>> = vec![Vec::new(); planned.len()];
    for entry in happened.entries.iter() {
        let apart = |event: &Coming| (event.day - entry.date).get_days().abs();
        let near = planned.iter().enumerate().filter(|(_, event)| is_of(event, entry, planned));
        let nearest = near.min_by_key(|(_, event)| (apart(event), event.day));
        if let Some((index, _)) = nearest.filter(|(_, event)| apart(event) <= SAME_WITHIN) {
            done[index].push(entry);
        }
    }
    done
}

/// Whether an entry may be a planned event: the same house where it names one of
/// the plan's, else the same lot.
fn is_of(event: &Coming, entry: &Entry, planned: &[Coming]) -> bool {
    if entry.what != event.what.logged_as() || entry.amount.0 == 0 {
        return false;
    }
    let from = entry.word(event.what.named_in()).trim();
    let same = |name: &str| !name.is_empty() && name.eq_ignore_ascii_case(from);
    let named = planned.iter().any(|other| other.what.logged_as() == entry.what && same(&other.from));
    entry.lot_id() == event.lot && (!named || same(&event.from))
}

/// `the clean-out of house 1-3 planned for 2027-06-14 (190 tons into \`clean-out\`)`.
fn named(event: &Coming) -> String {
    let whose = match (event.what, event.from.as_str()) {
        (_, "") => String::new(),
        (Comes::Brought, from) => format!(" from {from}"),
        (_, house) => format!(" of house {house}"),
    };
    format!(
        "the {}{whose} planned for {} ({} into `{}`)",
        event.what.word(),
        event.day,
        event.pounds.in_tons(),
        event.lot
    )
}

fn in_count(event: &Coming, counted: Date, findings: &mut Findings) {
    let found = format!("{} is in the count of {counted} already", named(event));
    findings
        .push(Finding::note("coming-counted", &event.place, found).fix("take it out of farm.yaml, or correct its day"));
}

/// What was logged stands for what was planned.
fn replaced(event: &Coming, done: &[&Entry], findings: &mut Findings) {
    let Some(first) = done.iter().min_by_key(|e| e.date) else { return };
    let sum: Pounds = done.iter().map(|e| e.amount).sum();
    let found = format!("{} is done: the log has {} of it since {}", named(event), sum.in_tons(), first.date);
    findings.push(
        Finding::note("coming-done", &event.place, found)
            .fix("nothing needs to be done; where it is another one, write their days more than 21 days apart")
            .also(&first.place, "its entry"),
    );
}

fn overdue(event: &Coming, on: Date, findings: &mut Findings) {
    let found = format!("{} was due before {on}, the day of the plan, and the log does not show it", named(event));
    findings.push(
        Finding::warning("coming-overdue", &event.place, found)
            .accepts("an entry of the log, or a later day")
            .fix("log it, or put it off to a later day; until then its litter is not counted"),
    );
}
