//! What the log says of stock on the fields, and of hay fed there, that somebody must
//! know: stock that an entry ends without saying so, more of it than the farm has, hay
//! whose protein is not known or not in the table.

use crate::check::ready::{Field, Ready};
use crate::farm::{Herd, Use, Written, WrittenField, is_sheep};
use crate::findings::{At, Finding, Findings, Place, distinct, listed};
use crate::record::{Entry, Happened, KeptEntry, What};
use crate::tables::{Book, Scope, topic};
use crate::units::{Quantity, number_text};
use jiff::ToSpan;
use jiff::civil::Date;
use std::borrow::Cow;
use std::collections::BTreeMap;

pub(super) fn check(ready: &Ready, book: &Book<'_>, findings: &mut Findings) {
    for field in &ready.fields {
        ended_unsaid(field, ready, findings);
    }
    findings.extend(more_than_there_are(ready));
    findings.extend(by_livestock_alone(ready).into_iter().collect());
    findings.extend(days_unsaid(ready).into_iter().collect());
    fed_hay(ready, book, findings);
}

/// Days by which stock may go onto a field before the grazing that was planned: our own choice.
const EARLY: i64 = 21;

/// The last day of the grazing that farm.yaml plans on a field, where stock that goes on on a day
/// is that grazing.
pub(super) fn planned_end(field: &WrittenField, on: Date) -> Option<&At<Date>> {
    let covers = |(from, to): &&(At<Date>, At<Date>)| from.value.saturating_sub(EARLY.days()) <= on && on <= to.value;
    field.grazed.iter().find(covers).map(|(_, to)| to)
}

/// Grazing that does not say its last day, and began in one that farm.yaml plans, ends with it
/// unless the log ends it before; that is said.
pub(super) fn planned_ends(written: &Written, happened: &mut Cow<'_, Happened>, findings: &mut Findings) {
    // What is long over needs no word: the same days as of all that entries are judged by.
    let since = written.span.as_ref().and_then(|(from, _)| from.value.checked_sub(1.year()).ok());
    let mut ends: BTreeMap<&Place, Date> = BTreeMap::new();
    for field in &written.fields {
        let logged = happened.grazings(&field.id.value);
        for entry in happened.on_field(&field.id.value, What::Graze).filter(|entry| entry.until.is_none()) {
            let now = planned_end(field, entry.date).filter(|_| entry.planned_end.is_none());
            let Some(to) = entry.planned_end.or(now.map(|now| now.value)) else { continue };
            let ended = logged.iter().find(|(first, _)| *first == entry.date).and_then(|(_, last)| *last);
            let sooner = match entry.planned_end {
                Some(planned) => ended != Some(planned),
                None => ended.is_some_and(|last| last <= to),
            };
            if sooner {
                continue;
            }
            if now.is_some() {
                ends.insert(&entry.place, to);
            }
            if since.is_none_or(|since| since <= to) {
                findings.push(ends_as_planned(field, entry, (to, now)));
            }
        }
    }
    if ends.is_empty() {
        return;
    }
    let ended = |entry: &KeptEntry| match ends.get(&entry.place).filter(|_| entry.what == What::Graze) {
        Some(last) => KeptEntry::from(Entry { until: Some(*last), ..Entry::clone(entry) }),
        None => entry.clone(),
    };
    *happened = Cow::Owned(happened.of_entries(happened.entries.iter().map(ended).collect()));
}

/// Grazing that ends on a planned day: that of farm.yaml now, or of then, which stands in the entry.
fn ends_as_planned(field: &WrittenField, entry: &Entry, (to, now): (Date, Option<&At<Date>>)) -> Finding {
    let (id, on) = (&field.id.value, entry.date);
    let has = if now.is_some() { "has it end" } else { "had it end when it was logged" };
    let found = format!("grazing of {id} from {on} does not say its last day: {to}, where farm.yaml {has}, counts");
    let finding = Finding::note("log-graze-planned", &entry.place, found);
    let Some(now) = now else { return finding.fix("log the last day once it is known") };
    let own = if entry.id.is_empty() { "ID" } else { &entry.id };
    finding
        .fix(format!(
            "log the last day once it is known; until then `sward log correct {own} --set planned={to}` keeps this one, \
             whatever farm.yaml says later"
        ))
        .also(&now.place, "the planned grazing")
}

/// Fields that a herd of `livestock:` grazes, and no days of it are known: nothing is kept clear of
/// them.
fn days_unsaid(ready: &Ready) -> Option<Finding> {
    let unsaid = |id: &&At<String>| {
        let field = ready.field(&id.value);
        field.is_some_and(|field| field.grazed.is_empty() && field.bars.is_empty() && field.written.closed.is_none())
    };
    let unsaid: Vec<&At<String>> = ready.herds.iter().flat_map(|herd| &herd.fields).filter(unsaid).collect();
    let first = unsaid.first()?;
    let ids: Vec<&str> = distinct(unsaid.iter().map(|id| id.value.as_str())).into_iter().collect();
    let found = format!(
        "stock of `livestock:` grazes {}, and no days of it are written: no spreading is kept clear of them",
        listed(&ids)
    );
    let finding = Finding::note("grazed-unsaid", &first.place, found);
    Some(
        finding
            .accepts("`grazed:` of the field, with the days in the plan on which stock is on it")
            .fix("add the days, such as `grazed: [{from: YYYY-MM-DD, to: YYYY-MM-DD}]`; until then the field sheet says how long to keep stock off after litter"),
    )
}

/// Stock that nobody logged off, and that a cutting or another grazing ends.
fn ended_unsaid(field: &Field, ready: &Ready, findings: &mut Findings) {
    let since = ready.judged_from();
    let on = |what: What| ready.happened.on_field(field.id(), what);
    let began = |day: Date| {
        let mut entries = on(What::Graze).chain(on(What::Head));
        entries.find(|e| e.date == day && e.head != Some(0.0))
    };
    let none_left = |day: Date| on(What::Head).any(|e| e.date == day && e.head == Some(0.0));
    for (first, last) in ready.happened.grazings(field.id()) {
        let (Some(graze), Some(last)) = (began(first), last) else { continue };
        let (id, open) = (field.id(), graze.until.is_none());
        let while_on = |cut: &&Entry| first < cut.date && (cut.date < last || open && cut.date == last);
        let cut = on(What::Cut).find(|cut| while_on(cut) && cut.date >= since && !none_left(cut.date));
        if let Some(cut) = cut {
            let found = format!(
                "{id} was cut on {}, and the log has stock on it since {first}: it counts as gone from that day",
                cut.date
            );
            let finding = Finding::warning("log-cut-stock", &cut.place, found).accepts("stock that left before");
            findings.push(
                finding
                    .fix(format!("log the day it left: `sward log head --field {id} --head 0 --date DAY`"))
                    .also(&graze.place, "the stock"),
            );
            continue;
        }
        let other = on(What::Graze).find(|e| open && e.date == last && e.until.is_some());
        if let Some((other, until)) = other
            .and_then(|e| Some((e, e.until?)))
            .filter(|(other, _)| other.date >= since && !none_left(last) && other.date > first)
        {
            let found = format!(
                "grazing of {id} from {last} to {until} ends the one since {first}: after it no stock counts as on it"
            );
            let finding = Finding::warning("log-graze-ends", &other.place, found);
            findings.push(
                finding
                    .accepts("one herd at a time, the last of whose days is known")
                    .fix(format!("if the first herd stays, log it again: `sward log graze --field {id} --date DAY`"))
                    .also(&graze.place, "the grazing that it ends"),
            );
        }
    }
}

/// Stock of the log on ground that no herd of `livestock:` grazes: what leaves with it goes by
/// `livestock:`, since no record says that it holds all the days of a year.
fn by_livestock_alone(ready: &Ready) -> Option<Finding> {
    let counts = |entry: &&Entry| matches!(entry.what, What::Graze | What::Head) && entry.head != Some(0.0);
    let alone = |entry: &&Entry| {
        let field = ready.field(entry.field_id());
        field.is_some_and(|field| {
            let usage = field.written.usage.value;
            let cut = field.written.hayed_of(usage);
            let eaten = usage == Use::Pasture || cut.is_some_and(|cut| cut < 1.0);
            eaten && !ready.herds.iter().any(|herd| herd.grazes(field.id()))
        })
    };
    let own: Vec<&Entry> = ready.judged().filter(counts).filter(alone).collect();
    let last = own.last()?;
    let mut ids = distinct(own.iter().map(|entry| entry.field_id()));
    ids.sort_unstable();
    let found = format!(
        "the log has stock on {}, and no herd of `livestock:` grazes there: the log does not change what leaves with \
         stock, and all of the forage that is not cut counts as eaten",
        listed(&ids)
    );
    let finding = Finding::note("log-no-herd", &last.place, found);
    Some(
        finding
            .accepts("`livestock:` with head and fields")
            .fix("add the herd to `livestock:`, with the fields it grazes"),
    )
}

/// Head on a field, and the last day on which they are.
type OnField<'a> = BTreeMap<&'a str, (f64, Option<Date>)>;

/// Entries of more head than `livestock:` has, and the last one since which more are on
/// all fields together.
fn more_than_there_are(ready: &Ready) -> Findings {
    let Some(herd) = ready.herds.iter().find(|h| !h.is_sheep()) else { return Findings::new() };
    let most: f64 = ready.herds.iter().filter(|h| !h.is_sheep()).map(|h| f64::from(h.head.value)).sum();
    let mut by_day: BTreeMap<Date, Vec<&Entry>> = BTreeMap::new();
    for entry in ready.happened.iter().filter(|e| matches!(e.what, What::Graze | What::Head | What::Cut)) {
        by_day.entry(entry.date).or_default().push(entry);
    }
    let mut on: OnField<'_> = BTreeMap::new();
    let mut over: Option<(&Entry, f64, Vec<&str>)> = None;
    for (day, entries) in by_day {
        on.retain(|_, (_, until)| until.is_none_or(|until| until > day));
        for entry in &entries {
            match (entry.what, entry.head) {
                (What::Cut, _) | (_, Some(0.0) | None) => drop(on.remove(entry.field_id())),
                _ if is_sheep(entry.word("animal")) => {}
                (_, Some(head)) => {
                    // A count changes nothing about when they leave.
                    let known = on.get(entry.field_id()).and_then(|(_, until)| *until);
                    let until = entry.until.or(entry.planned_end).or(known.filter(|_| entry.what == What::Head));
                    on.insert(entry.field_id(), (head, until));
                }
            }
        }
        let all: f64 = on.values().map(|(head, _)| *head).sum();
        let came =
            entries.iter().rev().find(|e| e.head.is_some_and(|head| head > 0.0) && on.contains_key(e.field_id()));
        over = match (all > most, came) {
            (false, _) => None,
            (true, Some(entry)) => Some((entry, all, on.keys().copied().collect())),
            (true, None) => over,
        };
    }
    let at_once = |entry: &&Entry| entry.head.is_some_and(|head| head > most) && !is_sheep(entry.word("animal"));
    let over = over.filter(|(entry, ..)| !at_once(entry));
    let alone = ready.happened.iter().filter(at_once);
    let alone = alone.map(|entry| (entry, entry.head.unwrap_or_default(), vec![entry.field_id()]));
    let since = ready.judged_from();
    let all = alone.chain(over).filter(|(entry, ..)| entry.date >= since);
    all.map(|(entry, head, fields)| too_many(entry, (head, &fields), (most, herd))).collect()
}

fn too_many(entry: &Entry, (head, fields): (f64, &[&str]), (most, herd): (f64, &Herd)) -> Finding {
    let most = number_text(most, 0);
    let found = format!(
        "the log has {} head on {} on {}, and `livestock:` has {most}",
        number_text(head, 0),
        fields.join(", "),
        entry.date
    );
    let finding = match &entry.sure {
        Some(sure) => Finding::note("log-head", &entry.place, format!("{found}; {sure} is sure of it")),
        None => Finding::warning("log-head", &entry.place, found).accepts(format!("at most {most} head")).fix(
            "where some have left, log it: `sward log head --field FIELD --head 0 --date DAY`; else correct `head` in one or the other",
        ),
    };
    finding.also(&herd.head.place, "the herd")
}

/// Hay that counts by another protein than its own: one finding each, at the last entry.
fn fed_hay(ready: &Ready, book: &Book<'_>, findings: &mut Findings) {
    let fed = || ready.judged().filter(|e| e.what == What::FeedHay && e.amount.0 > 0);
    let entries = |n: usize| if n == 1 { "1 entry".to_string() } else { format!("{n} entries") };
    let usual = book.get(topic::HAY_PROTEIN, &Scope::new());
    if let (Some(last), Some(usual)) = (fed().filter(|e| e.protein.is_none()).last(), usual) {
        let found = format!(
            "{} of hay fed without its protein: counted as hay of {} %",
            entries(fed().filter(|e| e.protein.is_none()).count()),
            number_text(usual.value.get(), 0)
        );
        let finding = Finding::note("hay-protein", &last.place, found).accepts(usual.cite.to_string());
        findings.push(finding.fix("add `--protein` by the hay's analysis"));
    }
    let Some(classes) = book.get(topic::HAY_CLASS, &Scope::new()) else { return };
    // The last class goes by the protein of the last row of the table.
    let Some(end) = classes.value.iter().last().and_then(|(_, is)| is.parse::<f64>().ok()) else { return };
    let above = || fed().filter(|e| e.protein.is_some_and(|protein| protein > end));
    let Some(last) = above().last() else { return };
    let found = format!(
        "{} of hay fed with more protein than the table goes up to, {} % on {}: counted as {} %, so it brings more nitrogen than is counted",
        entries(above().count()),
        number_text(last.protein.unwrap_or_default(), 1),
        last.date,
        number_text(end, 0)
    );
    let finding = Finding::warning("hay-protein", &last.place, found).accepts(classes.cite.to_string());
    findings.push(finding.fix("check the protein; if it is right, tell the planner"));
}
