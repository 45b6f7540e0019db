//! The last count of every lot: what lies there now is that count and every
//! entry of the log after it, whatever days a plan is made for.

use crate::check::log::say_so;
use crate::check::ready::Lot;
use crate::check::stock::{Count, gains};
use crate::farm::{CountOrder, OnHand, Written, WrittenLot};
use crate::findings::{Finding, Findings, Place};
use crate::record::{Entry, Happened, What};
use crate::units::Pounds;
use jiff::civil::Date;

/// A count this share apart from the record is told, where it is some tons too. The
/// program's own measures; no rule.
const APART: f64 = 0.25;
/// Tons up to which nothing is told.
const LEAST_APART: f64 = 5.0;

/// The count that farm.yaml gives: `counted_on`, else the last scale ticket, else
/// the day since when the litter lies there.
pub(super) fn written(lot: &WrittenLot) -> Count {
    let day = counted_on(lot).map(|(day, _)| day);
    Count { day, holds_day: lot.count_order.as_ref().is_some_and(|order| order.value == CountOrder::After) }
}

fn counted_on(lot: &WrittenLot) -> Option<(Date, &Place)> {
    let tickets = match &lot.on_hand.value {
        OnHand::Tickets(tickets) => tickets.iter().map(|t| &t.date).max_by_key(|at| at.value),
        _ => None,
    };
    let at = lot.counted_on.as_ref().or(tickets).or(lot.since.as_ref())?;
    Some((at.value, &at.place))
}

pub(super) fn check(written: &Written, happened: &Happened, lots: &mut [Lot], findings: &mut Findings) {
    for lot in lots {
        let Some(at) = written.lots.iter().find(|own| own.id.value == lot.id) else { continue };
        apart(lot, happened, findings);
        at_once(&lot.id, happened, findings);
        let last = counts_of(&lot.id, happened).pop();
        if let Some(last) = last.filter(|e| lot.count.day.is_none_or(|day| day <= e.date)) {
            // The count in the log is the newer one, and says whether it holds its day.
            lot.on_hand = last.amount;
            lot.count = Count { day: Some(last.date), holds_day: !last.counted_before() };
            lot.counting = None;
            logged_since(lot, last, happened, findings);
            continue;
        }
        let entries: Vec<&Entry> = happened.moves_of(&at.id.value).collect();
        match lot.count.day {
            None => undated(at, &entries, findings),
            Some(day) => {
                if at.count_order.is_none() {
                    lot.count.holds_day = same_day(at, (lot.on_hand, day), &entries, findings);
                }
                held(at, lot.count, &entries, findings);
            }
        }
    }
}

/// When a count was made: its day, and whether after the other entries of that day.
fn made(count: &Entry) -> (Date, bool) {
    (count.date, !count.counted_before())
}

/// The counts of a lot, one after the other. Of those made at one time the smallest counts,
/// whichever stands last in the log: what may not be there is not planned.
fn counts_of<'a>(lot: &'a str, happened: &'a Happened) -> Vec<&'a Entry> {
    let mut counts: Vec<&Entry> = happened.on_lot(lot, What::Count).collect();
    counts.sort_by_key(|count| (made(count), count.amount));
    counts.dedup_by_key(|count| made(count));
    counts
}

/// Counts of one lot that were made at one time, and say two things.
fn at_once(lot: &str, happened: &Happened, findings: &mut Findings) {
    let mut all: Vec<&Entry> = happened.on_lot(lot, What::Count).collect();
    all.sort_by_key(|count| (made(count), count.amount));
    for same in all.chunk_by(|one, other| made(one) == made(other)) {
        let [least, .., most] = same else { continue };
        if least.amount == most.amount {
            continue;
        }
        let when = if least.counted_before() { "before" } else { "after" };
        let tons: Vec<String> = same.iter().map(|count| count.amount.in_tons()).collect();
        let found = format!(
            "lot `{lot}` was counted {} times on {}, {when} the day's other entries: {}; the smallest counts, {}",
            same.len(),
            least.date,
            tons.join(", "),
            least.amount.in_tons()
        );
        let finding = Finding::warning("count-twice", &most.place, found).accepts("one count at a time");
        let fix = "void the one that does not hold, or say its order: `sward log void ID`, `sward log correct ID --set order=before`";
        findings.push(finding.fix(fix).also(&least.place, "the smallest of them"));
    }
}

/// Counts of the log that are far from what the count before and the entries since come
/// to: a slip, or an entry that was forgotten.
fn apart(lot: &Lot, happened: &Happened, findings: &mut Findings) {
    let counts = counts_of(&lot.id, happened);
    let (mut last, mut amount) = (lot.count, lot.on_hand);
    let newest = counts.last().map(|entry| &entry.id);
    for entry in &counts {
        if last.day.is_some_and(|day| entry.date < day) {
            continue;
        }
        let count = Count { day: Some(entry.date), holds_day: !entry.counted_before() };
        let moved = happened.moves_of(&lot.id);
        let between: Vec<&Entry> = moved.filter(|e| last.comes_before(e.date) && !count.comes_before(e.date)).collect();
        let by_record = between.iter().fold(amount, |sum, e| if gains(e) { sum + e.amount } else { sum - e.amount });
        let off = Pounds((entry.amount.0 - by_record.0).abs());
        if off.tons() > LEAST_APART && off.tons() > APART * entry.amount.max(by_record).tons() {
            findings.push(far_off(entry, (by_record, off), &between));
        } else if off.0 > 0 && newest == Some(&entry.id) {
            findings.push(differs(entry, (by_record, off)));
        }
        (last, amount) = (count, entry.amount);
    }
}

/// What a count found, and by how much the record had more or less.
fn beside_record(entry: &Entry, (by_record, off): (Pounds, Pounds)) -> String {
    format!(
        "lot `{}`: {} were counted on {}, and the count before it with the log since comes to {}: {} apart",
        entry.lot_id(),
        entry.amount.in_tons(),
        entry.date,
        by_record.in_tons(),
        off.in_tons()
    )
}

/// A count that is near the record: by how much it differs is told all the same, since it takes
/// the record's place.
fn differs(entry: &Entry, (by_record, off): (Pounds, Pounds)) -> Finding {
    let (found, off) = (beside_record(entry, (by_record, off)), off.in_tons());
    let more = if entry.amount > by_record { "more" } else { "less" };
    Finding::note("count-differs", &entry.place, format!("{found}; from here on the lot holds {off} {more}"))
        .fix("nothing needs to be done if the count is right; else log what came or went in between")
}

fn far_off(entry: &Entry, (by_record, off): (Pounds, Pounds), between: &[&Entry]) -> Finding {
    let found = beside_record(entry, (by_record, off));
    let finding = match &entry.sure {
        Some(sure) => {
            Finding::note("count-apart", &entry.place, format!("{found}; {} is sure of it ({})", sure.by, sure.on))
        }
        None => Finding::warning("count-apart", &entry.place, found)
            .accepts("a count within a quarter of the record, or somebody who is sure of it")
            .fix(format!("log what came or went in between, or correct the count; if it is right, {}", say_so(entry))),
    };
    match between.last() {
        Some(last) => finding.also(&last.place, "the entry between them that was written last"),
        None => finding,
    }
}

/// Entries that were written behind the last count and lie before it: whoever wrote them may
/// not know that the count has them already.
fn logged_since(lot: &Lot, last: &Entry, happened: &Happened, findings: &mut Findings) {
    let behind = happened.iter().skip_while(|entry| entry.id != last.id).skip(1);
    let of_lot = behind.filter(|entry| entry.lot_id() == lot.id && entry.what.moves_litter());
    for entry in of_lot.filter(|entry| !lot.count.comes_before(entry.date)) {
        let when = if last.counted_before() {
            "before the other entries of that day"
        } else {
            "after the other entries of that day"
        };
        let found = format!(
            "the {} of {} is in the count of lot `{}` of {} already, made {when}: what lies there stays {}",
            entry.what.word(),
            entry.date,
            lot.id,
            last.date,
            last.amount.in_tons()
        );
        let finding = Finding::note("count-holds", &entry.place, found);
        let fix = "nothing needs to be done; if it was moved after the count, correct its date or the count's `order`";
        findings.push(finding.fix(fix).also(&last.place, "the count"));
    }
}

/// Without a day of the count every entry counts after it, which is told.
fn undated(lot: &WrittenLot, entries: &[&Entry], findings: &mut Findings) {
    let Some(first) = entries.iter().min_by_key(|e| e.date) else { return };
    let found = format!(
        "lot `{}`: no day says when its tons were counted, so that {} {} added to them or taken off",
        lot.id.value,
        many(entries.len()),
        if entries.len() == 1 { "is" } else { "are" }
    );
    findings.push(
        Finding::warning("count-undated", &lot.on_hand.place, found)
            .accepts("`counted_on`, the day of the count; entries before it are in the count")
            .fix("add a line `counted_on:` with the day on which you counted")
            .also(&first.place, "the first of them"),
    );
}

/// Whether entries of the count's own day are in it. Where nobody says, the answer
/// that leaves less litter holds: what may not be there is not planned.
fn same_day(
    lot: &WrittenLot,
    (tons_counted, day): (Pounds, Date),
    entries: &[&Entry],
    findings: &mut Findings,
) -> bool {
    let of_day: Vec<&&Entry> = entries.iter().filter(|e| e.date == day && e.amount.0 > 0).collect();
    let Some(first) = of_day.first() else { return false };
    let change: Pounds = of_day.iter().map(|e| if gains(e) { e.amount } else { Pounds(-e.amount.0) }).sum();
    let before = tons_counted + change;
    let holds = before > tons_counted;
    let (less, word) = if holds { (tons_counted, "after") } else { (before, "before") };
    let found = format!(
        "lot `{}` was counted on {day}, and the log has {} of that day: counted before they moved, {} lay there that evening; counted after, {}. Until you say which, the plan goes by {}",
        lot.id.value,
        if of_day.len() == 1 { "1 entry".to_string() } else { format!("{} entries", of_day.len()) },
        before.in_tons(),
        tons_counted.in_tons(),
        less.in_tons()
    );
    findings.push(
        Finding::warning("count-same-day", counted_on(lot).map_or(&lot.place, |(_, place)| place), found)
            .accepts("`count_order: before` or `count_order: after`")
            .fix(format!("add a line `count_order: {word}` if {} is right, else the other", less.in_tons()))
            .also(&first.place, "the first of them"),
    );
    holds
}

/// What the count holds already: entries up to its day are not added again.
fn held(lot: &WrittenLot, count: Count, entries: &[&Entry], findings: &mut Findings) {
    let inside: Vec<&&Entry> = entries.iter().filter(|e| !count.comes_before(e.date)).collect();
    let (Some(last), Some(day)) = (inside.iter().max_by_key(|e| e.date), count.day) else { return };
    let sum = |came: bool| -> Pounds { inside.iter().filter(|e| gains(e) == came).map(|e| e.amount).sum() };
    let found = format!(
        "lot `{}`: the count of {day} holds {} up to then already ({} came, {} went), so they do not count twice",
        lot.id.value,
        many(inside.len()),
        sum(true).in_tons(),
        sum(false).in_tons()
    );
    let place = counted_on(lot).map_or(&lot.place, |(_, place)| place);
    findings.push(
        Finding::note("count-holds", place, found)
            .fix("nothing needs to be done; where the count is older, correct its day")
            .also(&last.place, "the last of them"),
    );
}

fn many(entries: usize) -> String {
    if entries == 1 { "1 entry of the log".to_string() } else { format!("{entries} entries of the log") }
}
