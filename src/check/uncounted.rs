//! Spreading that the plan's days leave out although a limit of the plan must
//! count it: such a plan would put a second full rate on the field.
//!
//! Which limit counts over which days:
//! - nitrogen, phosphorus, zinc and copper, tons and applications of the year:
//!   over each calendar year that the plan's days touch;
//! - nitrogen of a season: over each opening of the season that the plan's days
//!   touch, also over New Year;
//! - phosphate banked with `bank_years`: over as many calendar years before and
//!   after, unless `banked_until` says that the entry was rested off.

use crate::check::ready::{Field, Lot, Ready};
use crate::findings::{Finding, Findings};
use crate::record::{Entry, What};
use crate::tables::{Book, Of, Scope, Season, topic};
use crate::units::{LbPerAcre, Pounds, Quantity, number_text};
use jiff::ToSpan;
use jiff::civil::Date;
use std::collections::BTreeMap;

/// The errors by which a plan leaves out entries that it must count.
pub const UNCOUNTED: [&str; 2] = ["spread-uncounted", "bank-uncounted"];

/// First and last day of a plan.
type PlanDays = (Date, Date);

/// Rounds of moving a plan's days that are tried before giving up.
const ROUNDS: usize = 50;

/// Days after a plan's first that are tried as a new first day.
const DAYS_AHEAD: usize = 800;

pub(super) fn check(ready: &Ready, book: &Book<'_>, findings: &mut Findings) {
    let record = LoggedSpreading::of(ready, book);
    let span = (ready.from, ready.to);
    let left_out = record.left_out(span);
    if !left_out.is_empty() {
        let fix = other_days(&record, span);
        left_out.iter().for_each(|(field, entries)| spread(field, entries, span, &fix, findings));
    }
    for field in &record.fields {
        banked(field, span, findings);
    }
}

/// A field with its spreadings and what its limits count over.
struct FieldSpreadings<'a> {
    field: &'a Field,
    entries: Vec<&'a Entry>,
    seasons: Vec<LimitedSeason>,
    /// The limits that count over a calendar year.
    of_year: Vec<&'static str>,
    /// Years of removal that the plan may put on at once.
    bank_years: i16,
}

/// A season whose nitrogen is limited by itself.
struct LimitedSeason {
    name: String,
    season: Season,
}

/// Every spreading of the log, by field.
struct LoggedSpreading<'a> {
    fields: Vec<FieldSpreadings<'a>>,
}

impl<'a> LoggedSpreading<'a> {
    fn of(ready: &'a Ready, book: &Book<'_>) -> LoggedSpreading<'a> {
        let mut on: BTreeMap<&str, Vec<&Entry>> = BTreeMap::new();
        for entry in ready.happened.entries.iter().filter(|e| e.what == What::Spread && e.amount.0 > 0) {
            entry.field.iter().for_each(|field| on.entry(&field.value).or_default().push(entry));
        }
        let with_entries = ready.fields.iter().filter_map(|field| {
            let mut entries = on.remove(field.id())?;
            entries.sort_by_key(|e| e.date);
            let (capped, banks) = phosphorus(ready, field, book);
            let asked = field.written.bank_years.as_ref();
            Some(FieldSpreadings {
                field,
                entries,
                seasons: seasons(ready, field, book),
                of_year: limits_of_year(ready, field, capped, book),
                bank_years: if banks {
                    asked.and_then(|years| i16::try_from(years.value).ok()).unwrap_or(1)
                } else {
                    1
                },
            })
        });
        LoggedSpreading { fields: with_entries.collect() }
    }

    /// The entries that some days leave out and a limit must count, by field.
    fn left_out(&self, span: PlanDays) -> Vec<(&FieldSpreadings<'a>, Vec<&'a Entry>)> {
        let of = |field: &FieldSpreadings<'a>| -> Vec<&'a Entry> {
            let entries = field.entries.iter().copied();
            entries.filter(|e| !within(span, e.date) && !field.limits_that_count(span, e.date).is_empty()).collect()
        };
        self.fields.iter().map(|field| (field, of(field))).filter(|(_, entries)| !entries.is_empty()).collect()
    }

    /// Days of at most a year around the plan's first day that count every
    /// entry they must.
    fn days_that_count_all(&self, plan: PlanDays) -> Option<PlanDays> {
        let mut days = plan;
        for _ in 0..ROUNDS {
            let out: Vec<Date> = self.left_out(days).iter().flat_map(|(_, e)| e).map(|e| e.date).collect();
            let (Some(first), Some(last)) = (out.iter().min(), out.iter().max()) else {
                return Some(days);
            };
            let end = a_year_after(days.0.min(*first));
            days = if *first < days.0 { (*first, days.1.min(end)) } else { (days.0, *last) };
            if days.1 > end || days.1 < plan.0 {
                return None;
            }
        }
        None
    }

    /// The first day after the plan's own from which nothing is left out.
    fn clear_from(&self, plan: PlanDays) -> Option<Date> {
        let later = std::iter::successors(plan.0.tomorrow().ok(), |day| day.tomorrow().ok()).take(DAYS_AHEAD);
        let clear = |day: &Date| self.left_out((*day, plan.1.max(*day))).is_empty();
        later.into_iter().find(clear)
    }
}

impl FieldSpreadings<'_> {
    /// The limits of a plan for some days that count an entry of a day.
    fn limits_that_count(&self, span: PlanDays, day: Date) -> Vec<String> {
        let mut limits = Vec::new();
        if (span.0.year()..=span.1.year()).contains(&day.year()) {
            limits.push(format!("{} of {}", listed(&self.of_year), day.year()));
        }
        for counting in &self.seasons {
            let years = [day.year().saturating_sub(1), day.year()];
            let opening = years.into_iter().filter_map(|year| counting.season.days_in(year)).find(|o| within(*o, day));
            if let Some((opens, closes)) = opening.filter(|(opens, closes)| *opens <= span.1 && span.0 <= *closes) {
                limits.push(format!("nitrogen of the {} season, {opens} to {closes}", counting.name.replace('_', " ")));
            }
        }
        limits
    }
}

fn within((first, last): PlanDays, day: Date) -> bool {
    first <= day && day <= last
}

/// The last day of the longest plan that starts on a day.
fn a_year_after(day: Date) -> Date {
    day.checked_add(1.year()).unwrap_or(Date::MAX)
}

fn listed(words: &[&str]) -> String {
    match words {
        [] => String::new(),
        [one] => (*one).to_string(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

/// The seasons that limit nitrogen by themselves: those with a share of their
/// own, and those that a calendar year cuts in two.
fn seasons(ready: &Ready, field: &Field, book: &Book<'_>) -> Vec<LimitedSeason> {
    let scope = ready.scope(field);
    let limited = |name: &str, season: &Season| {
        let over_new_year = season.closes < season.opens;
        over_new_year
            || book.get(topic::N_SPLIT, &scope.clone().season(name)).is_some_and(|share| share.value.get() < 1.0)
    };
    let all = book.seasons(&scope).into_iter().map(|(name, season)| LimitedSeason { name, season: season.value });
    all.filter(|c| limited(&c.name, &c.season)).collect()
}

fn limits_of_year(ready: &Ready, field: &Field, capped: bool, book: &Book<'_>) -> Vec<&'static str> {
    let scope = ready.scope(field);
    let most = |lot: &Lot| book.get(topic::RATE_MOST_YEAR, &scope.clone().material(&lot.kind)).is_some();
    let has = |topic: Of<LbPerAcre>| book.get(topic, &scope).is_some();
    let all = [
        ("nitrogen", true),
        ("phosphorus", capped),
        ("tons", field.written.most.is_some() || ready.lots.iter().any(most)),
        ("zinc", has(topic::ZINC_LOAD_YEAR)),
        ("copper", has(topic::COPPER_LOAD_YEAR)),
        ("applications", true),
    ];
    all.into_iter().filter(|(_, holds)| *holds).map(|(name, _)| name).collect()
}

/// Whether phosphate is capped on a field, and whether by what the forage
/// carries off, which may be banked.
fn phosphorus(ready: &Ready, field: &Field, book: &Book<'_>) -> (bool, bool) {
    let rating = |r: crate::farm::Rating| book.get(topic::P_BASIS_RATING, &Scope::new().rating(r.key()));
    let rated = field.rating.and_then(rating).map(|w| w.value);
    let tested = field.written.soil_test.as_ref().and_then(|test| {
        let basis = book.get(topic::P_BASIS_TEST, &ready.soil_scope(field))?.value;
        basis.class_of(test.p.value).map(str::to_string)
    });
    let words: Vec<String> = rated.into_iter().chain(tested).collect();
    let rests = field.written.resting(ready.from.year()).is_some();
    (rests || words.is_empty() || words.iter().any(|w| w != "nitrogen"), words.iter().any(|w| w == "removal"))
}

fn tons(pounds: Pounds) -> String {
    format!("{} tons", number_text(pounds.tons(), 2))
}

/// What was spread, as in `28.80 tons of lot \`shed\` were spread on B1 on 2027-04-10`.
fn what(entry: &Entry) -> String {
    let word = |at: &Option<crate::findings::At<String>>| at.as_ref().map_or(String::new(), |a| a.value.clone());
    let (lot, field) = (word(&entry.lot), word(&entry.field));
    format!("{} of lot `{lot}` were spread on {field} on {}", tons(entry.amount), entry.date)
}

/// One finding a field; the first of its entries stands for all.
fn spread(on: &FieldSpreadings<'_>, entries: &[&Entry], span: PlanDays, fix: &str, findings: &mut Findings) {
    let Some(first) = entries.first() else { return };
    let side = if first.date < span.0 { "before the plan's first day" } else { "after the plan's last day" };
    let more = match entries.len() {
        1 => String::new(),
        2 => "; 1 more entry of this field is left out the same way".to_string(),
        n => format!("; {} more entries of this field are left out the same way", n - 1),
    };
    let counted = on.limits_that_count(span, first.date).join("; ");
    let finding = Finding::error("spread-uncounted", &first.place, format!("{}, {side}{more}", what(first)))
        .accepts(format!("a plan whose days hold every spreading that its limits count, here {counted}"));
    findings.push(finding.fix(fix));
}

/// The days to plan instead.
fn other_days(record: &LoggedSpreading<'_>, span: PlanDays) -> String {
    let Some((from, to)) = record.days_that_count_all(span) else {
        let start = match record.clear_from(span) {
            Some(day) if day > span.1 => {
                format!(
                    "the first day on which a plan may start is {day}: set `plan.from` to {day} and `plan.to` after it"
                )
            }
            Some(day) => format!("the first day on which a plan may start is {day}: set `plan.from` to {day}"),
            None => "see that the dates of the log are right".to_string(),
        };
        return format!("no plan of a year holds every entry that counts; {start}");
    };
    let mut set = Vec::new();
    if from != span.0 {
        set.push(format!("`plan.from` to {from}, with `on_hand` as it was on that day"));
    }
    if to > span.1 {
        set.push(format!("`plan.to` to {to}"));
    }
    if to < span.1 {
        set.push(format!("`plan.to` to {to}, as a plan runs a year at most; plan the days after it once they come"));
    }
    format!("set {}", set.join(", and "))
}

/// Phosphate of several years at once counts what went on in all of them.
fn banked(on: &FieldSpreadings<'_>, span: PlanDays, findings: &mut Findings) {
    let (years, written) = (on.bank_years, &on.field.written);
    let rested = written.banked_until.as_ref().map(|until| until.value);
    if years < 2 || rested.is_some_and(|until| span.0.year() <= until) {
        return;
    }
    let planned = span.0.year()..=span.1.year();
    let counts = |year: i16| {
        let near = planned.start() - (years - 1) <= year && year <= planned.end() + (years - 1);
        near && !planned.contains(&year) && rested.is_none_or(|until| year > until)
    };
    let out = |e: &&&Entry| !within(span, e.date) && counts(e.date.year());
    let Some(entry) = on.entries.iter().filter(out).max_by_key(|e| e.date) else { return };
    let last = entry.date.year().saturating_add(years - 1);
    let around = if years == 2 { "calendar year".to_string() } else { format!("{} calendar years", years - 1) };
    let found = format!("{}, and the plan may put on phosphate for {years} years at once", what(entry));
    let mut finding = Finding::error("bank-uncounted", &entry.place, found)
        .accepts(format!("`bank_years` on a field that got no litter in the {around} before or after the plan"))
        .fix(format!(
            "set `banked_until:` to the last year whose phosphate was put on then, {last} at most; \
             if it was one year's, take `bank_years` out: what is over one year's removal still counts"
        ));
    if let Some(keys) = &written.bank_years {
        finding = finding.also(&keys.place, "the years at once");
    }
    findings.push(finding);
}
