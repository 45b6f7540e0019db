//! Litter that is still to come: planned clean-outs and cake-outs that the log does
//! not show yet, and litter that is to be brought. One that should be there by now
//! is told, and counted only where the grower puts it off.

use crate::check::days::{CleanOut, House, Work};
use crate::check::ready::{Lot, Ready};
use crate::check::stock::{Comes, Coming};
use crate::findings::{Finding, Findings};
use crate::record::{Entry, Happened, What};
use crate::text::same_name;
use crate::units::{Pounds, in_days, number_text};
use jiff::ToSpan;
use jiff::civil::Date;

/// An entry of the log within so many days of a planned one is that one: the
/// program's own measure.
pub const SAME_WITHIN: i32 = 21;

/// A clean-out of the log within so many days of one that is still to come may be that one,
/// and is asked about: our own measure.
const NEAR_WITHIN: i32 = 45;

const DAYS_A_YEAR: f64 = 365.0;

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
    put_off(&mut planned, happened, findings);
    let done = done(&planned, happened);
    let cleaned = cleaned(&planned, &done);
    let near: Vec<Option<&Entry>> = planned.iter().map(|event| near(event, &planned, &done, happened)).collect();
    let mut coming = Vec::new();
    for ((event, done), near) in planned.into_iter().zip(done).zip(near) {
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
            cake_soon(&event, &cleaned, work, findings);
            near.into_iter().for_each(|entry| both_count(&event, entry, findings));
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
/// either day names it. One that names no day is told with the log, and one that was
/// done already stays done.
pub(super) fn put_off(planned: &mut [Coming], happened: &Happened, findings: &mut Findings) {
    let first: Vec<Date> = planned.iter().map(|event| event.day).collect();
    for entry in happened.iter() {
        let Some((from, to)) = entry.moves else { continue };
        let house = entry.word("house").trim();
        let is_named = |(event, first): (&Coming, &Date)| {
            let of_house = event.what != Comes::Brought && same_name(&event.from, house);
            of_house && (event.day == from || *first == from)
        };
        let named = planned.iter().zip(&first).enumerate().filter(|(_, pair)| is_named(*pair));
        let named: Vec<usize> = named.map(|(index, _)| index).collect();
        let done = if named.is_empty() { Vec::new() } else { done(planned, happened) };
        for index in named {
            // What came after it was put off, about the new day, is the one put off.
            let before = |out: &&&Entry| out.date <= entry.date || (to - out.date).get_days() > SAME_WITHIN;
            match done[index].iter().find(before) {
                Some(out) => put_off_in_vain(&planned[index], entry, out, to, findings),
                None => planned[index].day = to,
            }
        }
    }
}

/// By planned event, the entries of the log that it was: each entry goes to the
/// nearest of its house or, where it names none, of its lot.
fn done<'a>(planned: &[Coming], happened: &'a Happened) -> Vec<Vec<&'a Entry>> {
    let mut done: Vec<Vec<&Entry>> = vec![Vec::new(); planned.len()];
    for entry in happened.iter() {
        let apart = |event: &Coming| (event.day - entry.date).get_days().abs();
        let near = planned.iter().enumerate().filter(|(_, event)| is_of(event, entry, planned));
        let nearest = near.min_by_key(|(_, event)| (apart(event), event.day));
        if let Some((index, _)) = nearest.filter(|(_, event)| apart(event) <= SAME_WITHIN) {
            done[index].push(entry);
        }
    }
    done
}

/// A clean-out of the log that is no planned one and lies so near to one that is still to
/// come that the two may be one.
fn near<'a>(event: &Coming, planned: &[Coming], done: &[Vec<&'a Entry>], happened: &'a Happened) -> Option<&'a Entry> {
    if event.what != Comes::CleanOut {
        return None;
    }
    let is_near = |entry: &Entry| (event.day - entry.date).get_days().abs() <= NEAR_WITHIN;
    let is_done = |entry: &Entry| done.iter().flatten().any(|one| std::ptr::eq(*one, entry));
    let mut outs = happened.iter().filter(|entry| entry.what == event.what.logged_as());
    outs.find(|entry| is_near(entry) && is_of(event, entry, planned) && !is_done(entry))
}

fn both_count(event: &Coming, entry: &Entry, findings: &mut Findings) {
    let found = format!(
        "{} is still to come, and the log has a clean-out of {} from {}: both count",
        named(event),
        entry.amount.in_tons(),
        entry.date
    );
    let fix = format!(
        "where it is the same one, write a day within {SAME_WITHIN} days of {} in farm.yaml; where both come, nothing needs to be done",
        entry.date
    );
    let finding = Finding::warning("coming-near", &event.place, found).accepts("every clean-out once").fix(fix);
    findings.push(finding.also(&entry.place, "the one in the log"));
}

/// Whether an entry may be a planned event: the same house where it names one of
/// the plan's, else the same lot.
fn is_of(event: &Coming, entry: &Entry, planned: &[Coming]) -> bool {
    if entry.what != event.what.logged_as() || entry.amount.0 == 0 {
        return false;
    }
    let from = entry.word(event.what.named_in()).trim();
    let same = |name: &str| !name.is_empty() && same_name(name, from);
    let named = planned.iter().any(|other| other.what.logged_as() == entry.what && same(&other.from));
    entry.lot_id() == event.lot && (!named || same(&event.from))
}

/// The clean-outs of every house, done or planned: its name and the day.
fn cleaned(planned: &[Coming], done: &[Vec<&Entry>]) -> Vec<(String, Date)> {
    let outs = planned.iter().zip(done).filter(|(event, _)| event.what == Comes::CleanOut);
    outs.map(|(event, done)| (event.from.clone(), done.iter().map(|e| e.date).min().unwrap_or(event.day))).collect()
}

/// A cake-out so soon after a clean-out that no flock makes its cake in between: under
/// half the time of a flock, our own measure.
fn cake_soon(event: &Coming, cleaned: &[(String, Date)], work: &Work, findings: &mut Findings) {
    let house = work.houses.iter().find(|house| event.what == Comes::CakeOut && house.name == event.from);
    let Some(flocks) = house.and_then(|house| house.flocks).filter(|flocks| *flocks > 0.0) else { return };
    let before = cleaned.iter().filter(|(house, day)| *house == event.from && *day <= event.day);
    let Some(clean) = before.map(|(_, day)| *day).max() else { return };
    let (days, flock) = ((event.day - clean).get_days(), DAYS_A_YEAR / flocks);
    if f64::from(days) * 2.0 >= flock {
        return;
    }
    let found = format!(
        "{} comes {} after the clean-out of {clean}, and a flock takes some {} days: no flock makes its cake in between",
        named(event),
        in_days(days),
        number_text(flock, 0)
    );
    findings.push(
        Finding::warning("cake-soon", &event.place, found)
            .accepts("a cake-out after a flock")
            .fix("put it off with `sward log put-off`, or take it out of farm.yaml; until then its litter is counted"),
    );
}

/// A house that makes more in a year than its clean-outs and cake-outs bring: more than
/// a quarter is told, our own measure.
pub(super) fn kept_in_houses(ready: &Ready, findings: &mut Findings) {
    let Ok(last) = ready.from.checked_add(1.year()) else { return };
    for house in ready.work.houses.iter().filter(|house| house.lot.is_none()) {
        let first = house.comes().find(|out| ready.from <= out.day && out.day < last);
        let (Some(made), Some(first)) = (&house.a_year, first) else { continue };
        let brought = came_from(ready, &house.name, (ready.from, last)).tons();
        if made.tons - brought <= 0.25 * made.tons {
            continue;
        }
        let tons = |tons: f64| number_text(tons, 0);
        let found = format!(
            "house {} makes {} tons in a year, and its clean-outs and cake-outs in the year from {}, planned and logged, bring {}: the other {} tons stay in it, in no plan",
            house.name,
            tons(made.tons),
            ready.from,
            tons(brought),
            tons(made.tons - brought)
        );
        let finding = Finding::note("house-keeps", &first.place, found);
        findings
            .push(finding.fix("where more comes out, write it under `clean_outs` or `cake_outs`, or correct its tons"));
    }
}

/// What comes out of a house from one day to before another: by the log where it shows that it
/// was done, else as planned.
fn came_from(ready: &Ready, house: &str, (first, last): (Date, Date)) -> Pounds {
    let mut planned = planned(&ready.work);
    // What is wrong with putting off was told with the log.
    put_off(&mut planned, &ready.happened, &mut Findings::new());
    let done = done(&planned, &ready.happened);
    let inside = |day: Date| first <= day && day < last;
    let own = planned.iter().zip(&done).filter(|(out, _)| out.what != Comes::Brought && out.from == house);
    let of_plan = own.clone().filter(|(out, done)| done.is_empty() && inside(out.day)).map(|(out, _)| out.pounds);
    let is_planned = |entry: &Entry| done.iter().flatten().any(|one| std::ptr::eq(*one, entry));
    let besides = ready.happened.iter().filter(|e| e.what == What::CleanOut && same_name(e.word("house"), house));
    let besides = besides.filter(|entry| !is_planned(entry));
    let logged = own.flat_map(|(_, done)| done.iter().copied()).chain(besides).filter(|entry| inside(entry.date));
    of_plan.chain(logged.map(|entry| entry.amount)).sum()
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

fn put_off_in_vain(event: &Coming, entry: &Entry, out: &Entry, to: Date, findings: &mut Findings) {
    let found = format!("{} was done on {}: it cannot be put off to {to}", named(event), out.date);
    let void = match entry.id.as_str() {
        "" => "void this entry again with `sward log void`".to_string(),
        id => format!("void it with `sward log void {id}`"),
    };
    findings.push(
        Finding::warning("put-off-done", &entry.place, found)
            .accepts("a clean-out that the log does not have yet")
            .fix(format!("{void}; write another clean-out with its own day under the house in farm.yaml"))
            .also(&out.place, "its entry"),
    );
}
