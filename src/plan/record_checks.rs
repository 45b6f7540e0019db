//! What the record shows that somebody must look at.

use crate::balance::{Balance, FieldBalance};
use crate::check::{self, Ready};
use crate::findings::{Finding, Findings, Place, listed};
use crate::record::{Entry, LOG, What};
use crate::tables::Tables;
use crate::units::{Pounds, Quantity, number_text};
use std::collections::BTreeSet;

/// Two counts of the same litter that lie further apart than this share are
/// told. The program's own measure, as is common in the trade; no rule.
const APART: f64 = 0.05;
/// Slack of a hundredth, as acres and pounds per acre are shown.
const SHOWN: f64 = 0.05;

/// What is found of entries before a tally, and a tally says too.
const OF_ENTRIES: [&str; 5] = ["logged-part", "logged-toxic", "count-apart", "tally-barred", FED_HAY];

/// What is found of all that somebody wrote down, and a tally says where it stands in the log.
const OF_CELLS: [&str; 2] = ["papers-later", "unusual"];

/// Whether a finding is of an entry, and found before a tally.
fn is_of_entry(finding: &Finding) -> bool {
    let code = &*finding.code;
    OF_ENTRIES.contains(&code) || (OF_CELLS.contains(&code) && finding.place.file.as_str() == LOG)
}

/// What says that hay was fed, and nothing else went on, where a stand needs no nitrogen.
const FED_HAY: &str = "fed-hay-over";

/// What says that the log is over a limit.
const OVERS: [&str; 4] = ["logged-over", "logged-at-once", "logged-trips", "logged-barred"];

/// Whether a finding says that the log is over a limit.
#[must_use]
pub fn is_over(finding: &Finding) -> bool {
    OVERS.contains(&&*finding.code)
}

/// Whether a finding is one of those that are made year by year, and by no days of a plan.
#[must_use]
pub fn is_of_its_year(finding: &Finding) -> bool {
    is_over(finding) || finding.code == FED_HAY
}

/// What the record shows that somebody must look at, beside what the checks found.
#[must_use]
pub fn shown_by_record(ready: &Ready, balance: &Balance) -> Findings {
    let mut findings = of_entries(ready, balance);
    outside(ready, balance, &mut findings);
    findings
}

/// The same with what the checks find of the entries.
pub(super) fn all(ready: &Ready, tables: &Tables, balance: &Balance) -> Findings {
    let mut findings = shown_by_record(ready, balance);
    if let Some(book) = ready.book(tables) {
        check::logged(ready, &book, &mut findings);
    }
    findings
}

/// Of what was found before a tally, all that it says too: limits that the log is over,
/// and entries that do not count yet.
pub fn told_before(found: &[Finding]) -> impl Iterator<Item = &Finding> {
    let also = ["metal-total", "log-empty", "log-later", "log-voided-since"];
    found.iter().filter(move |finding| is_of_entry(finding) || is_over(finding) || also.contains(&&*finding.code))
}

/// What the record of one year shows, with what was found in the balance of the farm as
/// it was then; what was on hand then is not known.
#[must_use]
pub fn shown_of_year(then: &Ready, tables: &Tables, balance: &Balance, found: &Findings) -> Findings {
    let mut findings = of_entries(then, balance);
    let mut told = Findings::new();
    if let Some(book) = then.book(tables) {
        check::entries(then, &book, &mut told);
    }
    let of_entries = found.sorted().into_iter().filter(|finding| is_of_entry(finding) || is_over(finding));
    let places: BTreeSet<&Place> = then.done().map(|entry| &entry.place).collect();
    let of_year = told.sorted().into_iter().chain(of_entries).filter(|finding| places.contains(&finding.place));
    let later =
        found.sorted().into_iter().filter(|finding| ["log-later", "log-voided-since"].contains(&&*finding.code));
    of_year.chain(later).for_each(|finding| findings.push(finding.clone()));
    findings
}

/// What single entries show.
fn of_entries(ready: &Ready, balance: &Balance) -> Findings {
    let mut findings = Findings::new();
    for entry in ready.done() {
        weights(entry, &mut findings);
        sampled_later(ready, entry, &mut findings);
        let Some(id) = entry.field.as_ref().filter(|_| entry.what == What::Spread) else { continue };
        if let Some(weighed) = balance.field(&id.value) {
            ground(entry, weighed, &mut findings);
            rate(ready, entry, weighed, &mut findings);
        }
    }
    findings
}

/// Litter that counts by a sample of a later day, since none was taken before.
fn sampled_later(ready: &Ready, entry: &Entry, findings: &mut Findings) {
    let lot = ready.lot_of(entry).filter(|_| entry.what == What::Spread);
    let Some(sampled) = lot.and_then(|lot| lot.analysis_on(entry.date)).map(|analysis| &analysis.sampled) else {
        return;
    };
    if sampled.value > entry.date {
        let found = format!(
            "the litter spread on {} counts by the analysis of {}: there is none from before it",
            entry.date, sampled.value
        );
        findings.push(
            Finding::note("tally-sampled-later", &entry.place, found)
                .accepts("an analysis sampled up to that day")
                .fix("add the earlier report under `analysis:`, where there is one")
                .also(&sampled.place, "the analysis"),
        );
    }
}

/// Loads, scale and what was written down as tons.
fn weights(entry: &Entry, findings: &mut Findings) {
    let (by_loads, by_scale) = entry.counted();
    let mut known: Vec<(&str, Pounds)> = Vec::new();
    if !entry.word("tons").is_empty() {
        known.push(("tons written down", entry.amount));
    }
    known.extend(by_scale.map(|p| ("scale tickets", p)));
    known.extend(by_loads.map(|p| ("loads times the weight of a load", p)));
    for (i, (what, one)) in known.iter().enumerate() {
        for (other_what, other) in &known[i + 1..] {
            let apart = (one.0 - other.0).abs() as f64;
            if entry.what.moves_litter() && apart > APART * one.0.max(other.0) as f64 {
                let found = format!(
                    "the {what} total {}, the {other_what} {}: more than {} % apart",
                    one.in_tons(),
                    other.in_tons(),
                    number_text(APART * 100.0, 0)
                );
                let fix = format!("count again; the tally takes {}", entry.amount.in_tons());
                findings.push(Finding::warning("tally-weights", &entry.place, found).fix(fix));
            }
        }
    }
}

/// The field itself: bars and acres.
fn ground(entry: &Entry, weighed: &FieldBalance, findings: &mut Findings) {
    let (id, date) = (weighed.field().id(), entry.date);
    let own_day = date >= weighed.field().in_force_since;
    for bar in weighed.bars.iter().filter(|bar| own_day && bar.is_of_the_log()) {
        let found = format!("litter was spread on {id} on {date}, and the plan allows no litter there: {}", bar.why);
        findings.push(Finding::warning("tally-barred", &entry.place, found).fix(bar.fix.clone()));
    }
    if let Some(acres) = entry.acres.filter(|a| *a > weighed.acres + SHOWN) {
        let found = format!(
            "litter was spread on {} acres of {id}, which has {} spreadable acres",
            number_text(acres, 2),
            number_text(weighed.acres, 2)
        );
        let fix = "see that the acres are right and that the setbacks were kept";
        findings.push(Finding::warning("tally-acres", &entry.place, found).fix(fix));
    }
}

/// More tons on an acre than the spreader puts down: a slip of the pen, or ground that was gone over
/// twice. What a plan said on that day is not kept, and nothing is held against it here.
fn rate(ready: &Ready, entry: &Entry, weighed: &FieldBalance, findings: &mut Findings) {
    let (most, acres) = (&ready.spreader.most, entry.acres.map_or(weighed.acres, |own| own.min(weighed.acres)));
    let rate = if acres > 0.0 { entry.amount.tons() / acres } else { return };
    if rate <= most.value.get() * (1.0 + APART) {
        return;
    }
    let (id, date) = (weighed.field().id(), entry.date);
    let [acres, rate] = [acres, rate].map(|number| number_text(number, 2));
    let most_told = number_text(most.value.get(), 2);
    let found = format!(
        "{} on {acres} acres of {id} on {date} are {rate} tons/ac, and the spreader in farm.yaml puts down {most_told} at most",
        entry.amount.in_tons()
    );
    findings.push(
        Finding::note("tally-rate", &entry.place, found)
            .accepts(format!("at most {most_told} tons/ac each time over"))
            .fix("see that tons and acres are right; if the ground was gone over more than once, nothing needs to be done")
            .also(&most.place, "the spreader"),
    );
}

/// Entries that no list of the tally shows: of other days than those of the plan, before
/// the last count of their lot, and in no growing year of the plan.
fn outside(ready: &Ready, balance: &Balance, findings: &mut Findings) {
    // Of new entries nothing is listed yet.
    if ready.happened.asks_of_new() {
        return;
    }
    let days = (ready.from, ready.to);
    let on_field = |e: &Entry| {
        let weighed = e.field.as_ref().and_then(|id| balance.field(&id.value));
        weighed.map(|weighed| weighed.listed(days)).is_some_and(|(first, last)| first <= e.date && e.date <= last)
    };
    let out = |e: &&Entry| if e.what == What::Spread { !on_field(e) } else { !ready.lists(e) };
    let list: Vec<&Entry> = ready.happened.iter().filter(out).collect();
    if let Some(first) = list.first() {
        let years: BTreeSet<i16> = list.iter().map(|entry| entry.date.year()).collect();
        let tallies = years.iter().map(|year| format!("`sward tally --year {year}`")).collect::<Vec<_>>();
        let found = format!(
            "{} not listed here, outside the plan's days, {} to {}. Every limit still counts what falls into its own days; the entries of a year are listed by {}",
            if list.len() == 1 {
                "1 entry of the log is".to_string()
            } else {
                format!("{} entries of the log are", list.len())
            },
            ready.from,
            ready.to,
            listed(&tallies)
        );
        findings.push(Finding::note("tally-outside", &first.place, found));
    }
}
