//! What the log shows that somebody must look at, whatever is planned: names
//! that are not there, the same entry twice, soil on which the place has
//! spreading stop, lots out of which more went than was in them.

use crate::check::alike::{alike, void_later};
use crate::check::names::{house_there, unknown_id};
use crate::check::on_field::DONE;
use crate::check::ready::{Lot, Ready};
use crate::check::renamed::{field_known, part_has_acres};
use crate::check::stock::gains;
use crate::check::{broken, done_ground, stock_on};
use crate::farm::Written;
use crate::findings::{At, Finding, Findings, Place};
use crate::record::{Entry, Happened, Struck, What};
use crate::tables::{Book, topic};
use crate::text::same_name;
use crate::units::{Pounds, number};
use jiff::ToSpan;
use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet};

impl Ready {
    /// The first day whose entries rules are held against, a year before the plan; `check`
    /// looks at the years before it one by one.
    #[must_use]
    pub fn judged_from(&self) -> Date {
        self.from.checked_sub(1.year()).unwrap_or(Date::MIN)
    }

    /// Entries of the log that rules are held against.
    pub fn judged(&self) -> impl Iterator<Item = &Entry> {
        let since = self.judged_from();
        self.happened.iter().filter(move |e| e.date >= since)
    }
}

/// Lots and fields are those of the farm.
pub(super) fn names(written: &Written, happened: &Happened, on: Date, findings: &mut Findings) {
    let (lots, fields): (BTreeSet<&str>, BTreeSet<&str>) = (written.lot_ids().collect(), written.field_ids().collect());
    let keep_lot = "If the lot is used up, keep it in farm.yaml with `on_hand: 0 tons`";
    let keep_field = "If the field is given up, keep it in farm.yaml with `closed:` and the reason; if it has a new id, \
                      say so under `before:`";
    for entry in happened.iter() {
        if let Some(lot) = entry.lot.as_ref().filter(|lot| !lots.contains(lot.value.as_str())) {
            gone("lot", lot, (written.lot_ids(), keep_lot), findings);
        }
        if let Some(field) = entry.field.as_ref().filter(|field| !fields.contains(field.value.as_str())) {
            if written.once_called(&field.value).next().is_some() {
                field_known(field, entry.date, written, findings);
            } else {
                gone("field", field, (written.field_ids(), keep_field), findings);
            }
        }
        part_has_acres(entry, written, findings);
        let house = entry.word("house");
        if !house.is_empty() {
            house_there(&At { value: house.to_string(), place: entry.place.clone() }, written, findings);
        }
        put_off(entry, written, happened, on, findings);
    }
}

/// What is put off was planned, by farm.yaml or by an earlier entry that put it off.
fn put_off(entry: &Entry, written: &Written, happened: &Happened, on: Date, findings: &mut Findings) {
    let Some((planned, new_day)) = entry.moves else { return };
    let Some(house) = written.work.houses.iter().find(|h| h.name.value == entry.word("house")) else { return };
    let others = happened.iter().filter(|e| e.id != entry.id && e.word("house") == entry.word("house"));
    let moved = others.filter_map(|e| e.moves.map(|(_, new_day)| new_day));
    let outs = || house.clean_outs.iter().chain(&house.cake_outs).map(|out| out.date.value);
    let mut days: Vec<Date> = outs().chain(moved).collect();
    // Whoever wrote the new day into farm.yaml since has nothing to correct.
    if days.contains(&planned) || outs().any(|day| day == new_day) {
        return;
    }
    let found = format!("house {} has no clean-out planned for {planned}", house.name.value);
    // A day that is over moves nothing: farm.yaml is of another year by now.
    if new_day < on {
        let found = format!("{found}; it was put off to {new_day}, which is over");
        findings.push(Finding::note("log-put-off", &entry.place, found).fix("nothing needs to be done"));
        return;
    }
    days.sort();
    let days: Vec<String> = days.iter().map(ToString::to_string).collect();
    let accepts = if days.is_empty() {
        "a day under `clean_outs:` or `cake_outs:` of the house".to_string()
    } else {
        days.join(", ")
    };
    findings.push(
        Finding::error("log-put-off", &entry.place, found)
            .accepts(accepts)
            .fix("name the day that farm.yaml has, or as the last `put-off` left it"),
    );
}

/// A lot or field of an entry that the farm does not have: misspelt, or gone since.
fn gone<'a>(
    what: &str,
    id: &At<String>,
    (known, keep): (impl Iterator<Item = &'a str>, &str),
    findings: &mut Findings,
) {
    let mut told = Findings::new();
    unknown_id(what, id, known, &mut told);
    for finding in told.sorted() {
        let near = finding.fix.as_deref().filter(|fix| fix.starts_with("did"));
        findings.push(
            finding.clone().fix(format!("{} {keep}", near.unwrap_or("correct the entry with `sward log correct`."))),
        );
    }
}

/// How somebody says that an entry is right as it is.
pub(super) fn say_so(entry: &Entry) -> String {
    match entry.id.as_str() {
        "" => "say who is sure: `--sure NAME` here, or `sward log correct ID --set sure=NAME` later".to_string(),
        id => format!("say who is sure of it: `sward log correct {id} --set sure=NAME`"),
    }
}

/// Columns in which two jobs of one kind and day differ. Two people may log one job, so that
/// who wrote it down is none of them.
const SAME: [&str; 21] = [
    "lot",
    "field",
    "ground",
    "to",
    "from",
    "ticket_number",
    "until",
    "inches",
    "days",
    "bales",
    "head",
    "animal",
    "product",
    "grade",
    "rate",
    "lab",
    "order",
    "truck",
    "where",
    "house",
    "planned",
];

/// Those of them that hold a number.
const NUMBERS: [&str; 5] = ["inches", "days", "bales", "head", "rate"];

/// Whether two entries of one kind, day and amount look like one that was logged
/// twice. A scale gives every ticket another number.
fn same(one: &Entry, other: &Entry) -> bool {
    let own = one.what.columns().iter().filter(|column| SAME.contains(column));
    own.into_iter().all(|column| match NUMBERS.contains(column) {
        true => figure(one.word(column)) == figure(other.word(column)),
        false => same_name(one.word(column), other.word(column)),
    })
}

/// A typed number with its unit, so that `5` and `5.0` are one; the words where it is none.
fn figure(words: &str) -> (Option<f64>, String) {
    let end = words.find(|c: char| !c.is_ascii_digit() && !matches!(c, '.' | ',')).unwrap_or(words.len());
    match number(&words[..end]) {
        Some(number) => (Some(number), words[end..].trim().to_lowercase()),
        None => (None, words.to_lowercase()),
    }
}

/// Entries that say the same as one before them.
fn twice(happened: &Happened, findings: &mut Findings) {
    let key = |e: &Entry| (e.date, e.what, e.amount);
    let new: Option<BTreeSet<_>> = happened.asks_of_new().then(|| happened.asked().map(key).collect());
    let near = |entry: &&Entry| new.as_ref().is_none_or(|new| new.contains(&key(entry)));
    let entries: Vec<&Entry> = happened.iter().filter(near).collect();
    alike(&entries, |entry| shared(entry)).into_iter().for_each(|alike| twice_among(&alike, happened, findings));
}

/// What two entries share that say the same: day, kind, pounds, field and ticket.
fn shared(entry: &Entry) -> (Date, What, Pounds, &str, &str) {
    (entry.date, entry.what, entry.amount, entry.word("field"), entry.word("ticket_number"))
}

/// Entries that say the same as one before them, in the order written.
fn twice_among(entries: &[&&Entry], happened: &Happened, findings: &mut Findings) {
    let mut seen: BTreeMap<(Date, What, Pounds, &str, &str), Vec<&Entry>> = BTreeMap::new();
    for entry in entries {
        let alike = seen.entry(shared(entry)).or_default();
        // The parts of an entry on a field that was split stand in one line.
        let first = alike.iter().rev().find(|one| one.place != entry.place && same(one, entry)).copied();
        alike.push(entry);
        let Some(first) = first.filter(|_| happened.is_asked(entry)) else { continue };
        let on = entry.field.as_ref().map_or(String::new(), |field| format!(" on {}", field.value));
        let how_much = if entry.what.moves_litter() { format!(", {},", entry.amount.in_tons()) } else { String::new() };
        let found = format!(
            "this {}{on} of {}{how_much} is in the log already, as `{}`: both count",
            entry.what.word(),
            entry.date,
            first.id
        );
        let finding = match &entry.sure {
            Some(sure) => {
                Finding::note("log-twice", &entry.place, format!("{found}; {} is sure of it ({})", sure.by, sure.on))
            }
            None => Finding::warning("log-twice", &entry.place, found).accepts("every entry once").fix(format!(
                "if it was done once, {}; if it was done twice, {}",
                void_later(entry),
                say_so(entry)
            )),
        };
        findings.push(finding.also(&first.place, "the first of them"));
    }
}

/// Entries that said the same, stood at one time and were both declared void: two people may each
/// have taken out the other's. What was logged again since stands.
fn both_void(ready: &Ready, findings: &mut Findings) {
    let happened = &ready.happened;
    if happened.asks_of_new() {
        return;
    }
    let since = ready.judged_from();
    let void = happened.struck.iter().filter(|struck| struck.void);
    let void: Vec<(&Struck, &Entry)> = void.filter_map(|struck| Some((struck, &**struck.entry.as_ref()?))).collect();
    let void: Vec<(&Struck, &Entry)> = void.into_iter().filter(|(_, entry)| since <= entry.date).collect();
    let mut told: BTreeSet<&Place> = BTreeSet::new();
    for (at, (later, entry)) in void.iter().enumerate() {
        let says_the_same = |other: &Entry| shared(other) == shared(entry) && same(other, entry);
        let both = |(first, other): &&(&Struck, &Entry)| {
            says_the_same(other) && later.place.line < first.by_place.line && !told.contains(&first.place)
        };
        let Some((first, _)) = void[..at].iter().find(both) else { continue };
        if happened.iter().any(says_the_same) {
            continue;
        }
        told.extend([&first.place, &later.place]);
        let last = if first.by_place.line < later.by_place.line { later } else { first };
        let on = entry.field.as_ref().map_or(String::new(), |field| format!(" on {}", field.value));
        let found = format!(
            "both of a double entry are void, `{}` by `{}` and `{}` by `{}`: the {}{on} of {} does not count at all",
            first.id,
            first.by,
            later.id,
            later.by,
            entry.what.word(),
            entry.date
        );
        let finding = Finding::warning("log-both-void", &last.by_place, found).accepts("one of the two in force");
        let fix = "if it was done, log it again; if it was not done at all, nothing needs to be done";
        findings.push(finding.fix(fix).also(&last.place, "the entry that was declared void last"));
    }
}

/// What the log shows beside a farm that is known.
pub fn logged(ready: &Ready, book: &Book<'_>, findings: &mut Findings) {
    entries(ready, book, findings);
    for lot in &ready.lots {
        overdrawn(ready, lot, findings);
    }
}

/// The same of the entries alone, whatever the lots held.
pub fn entries(ready: &Ready, book: &Book<'_>, findings: &mut Findings) {
    twice(&ready.happened, findings);
    both_void(ready, findings);
    done_ground::told(ready, findings);
    broken::rules(ready, book, findings);
    stock_on::check(ready, book, findings);
    not_on(ready, findings);
    let stops = book.all_words(topic::STOP, "when");
    for entry in ready.judged().filter(|e| e.what == What::Spread) {
        let state = entry.word("soil");
        // Wet ground is saturated for whoever asks whether to spread today, and so it is here.
        let met = if state == "wet" { "saturated" } else { state };
        let Some((_, words)) = stops.iter().find(|(when, _)| when == met) else { continue };
        let found = format!("the soil is written down as `{state}`: {}", words.value.trim_end_matches('.'));
        let finding = Finding::warning("log-soil", &entry.place, found).accepts(words.cite.to_string());
        findings.push(finding.fix(DONE));
    }
}

/// Litter on a day of the week on which the farm wants none.
fn not_on(ready: &Ready, findings: &mut Findings) {
    let Some(pace) = &ready.work.pace else { return };
    let spread = |entry: &&Entry| entry.what == What::Spread && entry.amount.0 > 0;
    for entry in ready.judged().filter(spread).filter(|entry| pace.not_on.contains(&entry.date.weekday())) {
        let weekday = entry.date.weekday();
        let found = format!("{} is a {weekday:?}, and `not_on` under `days:` wants nothing spread on one", entry.date);
        let finding = Finding::warning("log-not-on", &entry.place, found).accepts("another day of the week");
        let fix = "a wrong date: `sward log correct`; else nothing needs to be done, or take the day out of `not_on`";
        findings.push(finding.fix(fix));
    }
}

/// The first day on which more went out of a lot than was in it. What came in
/// on a day counts before what went out on it.
fn overdrawn(ready: &Ready, lot: &Lot, findings: &mut Findings) {
    let mut entries: Vec<&Entry> = ready.since_count(&lot.id).collect();
    entries.sort_by(|a, b| (a.date, !gains(a), &a.id).cmp(&(b.date, !gains(b), &b.id)));
    let mut left = lot.on_hand;
    let mut first: Option<(&Entry, Pounds)> = None;
    for entry in entries {
        left = if gains(entry) { left + entry.amount } else { left - entry.amount };
        first = first.or_else(|| (left.0 < 0).then_some((entry, left)));
    }
    let Some((entry, then)) = first else { return };
    let found = format!("lot `{}` is overdrawn on {} by {}", lot.id, entry.date, Pounds(-then.0).in_tons());
    let finding = Finding::warning("log-overdrawn", &entry.place, found)
        .fix("more went out than was there: count the lot again, or correct an entry");
    let written_last = ready.since_count(&lot.id).filter(|e| !gains(e)).last().filter(|e| e.id != entry.id);
    findings.push(match written_last.filter(|_| left.0 < 0) {
        Some(last) => {
            finding.also(&last.place, format!("with the last entry out of it, {} short", Pounds(-left.0).in_tons()))
        }
        None => finding.also(&lot.place, "the lot"),
    });
}
