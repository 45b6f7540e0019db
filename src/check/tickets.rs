//! Scale tickets of the log: each once, and a number for each.

use crate::check::alike::{alike, void_later};
use crate::check::ready::Ready;
use crate::findings::{Finding, Findings, Place, distinct, listed};
use crate::record::{self, Entry};
use std::collections::{BTreeMap, BTreeSet};

/// One scale ticket in two entries, or twice in one.
pub(super) fn check(ready: &Ready, findings: &mut Findings) {
    let happened = &ready.happened;
    // The parts of an entry on a field that was split stand in one line.
    let mut told: BTreeSet<&Place> = BTreeSet::new();
    for entry in happened.asked().filter(|entry| !entry.word("ticket_number").is_empty() && told.insert(&entry.place)) {
        findings.extend(unpaired(entry).into_iter().chain(doubled(entry)).collect());
    }
    let of = |entry| record::numbers(entry).into_iter();
    let new: Option<BTreeSet<&str>> = happened.asks_of_new().then(|| happened.asked().flat_map(of).collect());
    if new.as_ref().is_some_and(BTreeSet::is_empty) {
        return;
    }
    let is_asked = |number: &&str| new.as_ref().is_none_or(|new| new.contains(number));
    let all = happened.iter().flat_map(|entry| of(entry).filter(is_asked).map(move |number| (number, entry)));
    let all: Vec<(&str, &Entry)> = all.collect();
    for same in alike(&all, |(number, _)| number) {
        let mut seen: BTreeMap<&str, &Entry> = BTreeMap::new();
        for (number, entry) in same {
            let first: &Entry = seen.entry(number).or_insert(entry);
            // A line that names it twice is told by itself; the parts of an entry on a field that
            // was split stand in one.
            if first.place == entry.place || !happened.is_asked(entry) {
                continue;
            }
            let found = format!("the scale ticket `{number}` stands in two entries, `{}` and this one", first.id);
            let finding = Finding::warning("log-ticket-twice", &entry.place, found).accepts("every ticket once");
            findings.push(finding.fix(one_of_two(entry)).also(&first.place, "the first of them"));
        }
    }
}

/// How a ticket that stands in two entries is put right: which of them is wrong nobody knows,
/// and the later one more likely is.
fn one_of_two(entry: &Entry) -> String {
    let later = void_later(entry);
    format!(
        "compare the paper ticket: if the load was logged twice, {later}; else correct the number in the entry \
         that has the wrong one (`sward log correct ID --set ticket_number=...`)"
    )
}

/// A number that stands twice in one entry: a load that was added to its job twice.
fn doubled(entry: &Entry) -> Option<Finding> {
    let numbers = record::numbers(entry);
    let again = numbers.iter().enumerate().filter(|(at, number)| numbers[..*at].contains(number));
    let twice = distinct(again.map(|(_, number)| *number));
    let first = twice.first()?;
    let named = listed(&twice.iter().map(|number| format!("`{number}`")).collect::<Vec<_>>());
    let found = format!("the {} of {} has the scale ticket {named} more than once", entry.what.word(), entry.date);
    // One that is being logged is told of before it has an id.
    let (id, whose) = match entry.id.as_str() {
        "" => ("ID", ", with the id of this entry"),
        id => (id, ""),
    };
    let fix = format!(
        "compare the paper ticket: if the load was added twice, `sward log unload {id} --ticket-number {first}`, \
         else correct the number (`sward log correct {id} --set ticket_number=...`){whose}"
    );
    Some(Finding::warning("log-ticket-twice", &entry.place, found).accepts("every ticket once").fix(fix))
}

/// Scale tickets and their numbers of one entry, where there are not as many of both.
fn unpaired(entry: &Entry) -> Option<Finding> {
    let tickets = entry.tickets.len();
    // Most entries have none.
    if tickets == 0 {
        return None;
    }
    let numbers = record::numbers(entry).len();
    if numbers == 0 || tickets == numbers {
        return None;
    }
    let many = |n: usize, what: &str| if n == 1 { format!("1 {what}") } else { format!("{n} {what}s") };
    let (number, ticket) = (many(numbers, "ticket number"), many(tickets, "scale ticket"));
    let found = format!("the {} of {} has {ticket} and {number}", entry.what.word(), entry.date);
    let id = if entry.id.is_empty() { "ID" } else { &entry.id };
    Some(
        Finding::warning("log-ticket-numbers", &entry.place, found)
            .accepts("a number for every ticket, in the same order")
            .fix(format!(
                "`sward log correct {id} --set tickets=\"8.1 + 7.9\" --set \"ticket_number=1201, 1202\"`, with your own"
            )),
    )
}
