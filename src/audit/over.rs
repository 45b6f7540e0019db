//! Where the log alone is over a limit, whatever is planned: every entry is held to what was in
//! force on its own day, and no list of it goes by the days of a plan.

use crate::audit::log::{self, LimitLoad, LoggedSpread};
use crate::audit::nutrients::{self, SHOWN};
use crate::audit::period::{Days, JANUARY, year_around};
use crate::check::{Field, Ready};
use crate::findings::Finding;
use crate::plan::answer::FieldPlan;
use crate::record::{KeptEntry, What};
use crate::tables::{Book, Tables, topic};
use crate::units::{Quantity, number};
use jiff::civil::Date;
use serde::Serialize;
use std::collections::BTreeSet;

/// By so much a number of a plan, shown in tenths and rounded down, differs from what was found.
const TOLD: f64 = 0.101;

/// The farm as it stood on some days of its log.
pub(super) struct Then {
    days: Days,
    ready: Ready,
}

/// A limit that the log alone is over.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LogOver {
    /// A stable code.
    pub code: &'static str,
    /// What was found, by the audit's own sums.
    pub found: String,
    /// The same as the new plan tells it, where it tells of the same.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub told: Option<String>,
    /// What is on and what is allowed.
    #[serde(skip)]
    pub amounts: (f64, f64),
}

impl LogOver {
    /// Whether a finding of the new plan tells of the same: as much of the same on the same field,
    /// where as much is allowed.
    fn is_told_by(&self, found: &str) -> bool {
        let Some(rest) = found.strip_prefix("the log shows ") else { return false };
        let (on, allowed) = self.amounts;
        let nouns = [("nitrogen in litter", "total N of litter"), ("nitrogen", "available N")];
        let nouns = nouns.into_iter().chain(["P2O5", "zinc", "copper", "applications"].map(|noun| (noun, noun)));
        let noun = nouns.into_iter().find(|(own, _)| self.found.contains(own)).map_or("litter", |(_, told)| told);
        if on <= 0.0 {
            return rest.starts_with("litter, and none is allowed");
        }
        let Some((shown, most)) = rest.split_once(' ').zip(rest.split(", and ").last()) else { return false };
        let near = |text: &str, own: f64| number(text).is_some_and(|told| (told - own).abs() < TOLD);
        let most = most.split(' ').next().map(|text| text.trim_end_matches(['?', '~', '^', '@']));
        near(shown.0, on) && most.is_some_and(|most| near(most, allowed)) && shown.1.contains(noun)
    }
}

/// Puts the words of the new plan to what is over, and all of it into the plan's order; what the
/// plan does not tell of stands behind it.
pub(super) fn as_told(overs: &mut [LogOver], field: &str, findings: &[Finding]) {
    let own = format!("field {field}: ");
    let told: Vec<&str> = findings.iter().filter_map(|finding| finding.found.strip_prefix(&own)).collect();
    let of = |over: &LogOver| told.iter().position(|found| over.is_told_by(found));
    overs.sort_by_key(|over| of(over).unwrap_or(usize::MAX));
    let mut used = BTreeSet::new();
    for over in overs {
        // Of two that are told alike each has its own finding, as long as there is one.
        let free = (0..told.len()).find(|at| !used.contains(at) && over.is_told_by(told[*at]));
        let at = free.or_else(|| of(over));
        used.extend(at);
        over.told = at.map(|at| told[at].to_string());
    }
}

/// The farm on all days of its log, between which nothing changed on a field.
pub(super) fn all_days(ready: &Ready) -> Vec<Then> {
    let days = ready.judging_days(i16::MIN..=i16::MAX).into_iter();
    days.filter_map(|days| Some(Then { days, ready: ready.on_day(days.1)? })).collect()
}

/// Every limit that the log is over on a field.
pub(super) fn log_over(plan: &FieldPlan, at: usize, thens: &[Then], tables: &Tables) -> Vec<LogOver> {
    let mut overs = Vec::new();
    for Then { days, ready } in thens {
        let (Some(field), Some(book)) = (ready.fields.get(at), ready.book(tables)) else { continue };
        let kinds = [What::Spread, What::Fertilizer, What::FeedHay].into_iter();
        let mut entries = kinds.flat_map(|what| ready.happened.on_field(field.id(), what));
        if !entries.any(|entry| days.0 <= entry.date && entry.date <= days.1) {
            continue;
        }
        let (windows, past, applications) = Default::default();
        let then = FieldPlan { id: field.id().to_string(), windows, past, applications, ..plan.clone() };
        one(&then, field, (*days, ready), &book, &mut overs);
    }
    overs
}

/// What the entries of some days are over by.
fn one(plan: &FieldPlan, field: &Field, (days, ready): (Days, &Ready), book: &Book<'_>, overs: &mut Vec<LogOver>) {
    let mut say = |what: String, amounts: (f64, f64)| {
        let over = LogOver { code: "log-over", found: format!("the log puts on {what}"), told: None, amounts };
        if !overs.contains(&over) {
            overs.push(over);
        }
    };
    let own = |day: Date| days.0.max(field.in_force_since) <= day && day <= days.1;
    let all = log::spread(field, plan.acres, (Date::MIN, days.1), ready, book);
    let logged: Vec<LoggedSpread> = all.iter().filter(|s| own(s.date)).cloned().collect();
    if !logged.is_empty() && (!field.bars.is_empty() || nutrients::metals_stop(field, book)) {
        say("litter where none is allowed".to_string(), (0.0, 0.0));
    }
    let passed = |load: &&LimitLoad| load.logged > load.allowed + SHOWN && load.last.is_some_and(own);
    let without = without_hay(ready, field);
    let without = without.map(|bare| nutrients::loads(plan, field, &bare, book, true));
    // A stand that needs no nitrogen is over by no application where only hay was fed on it.
    let hay_alone = |load: &&LimitLoad| {
        let same = |bare: &&LimitLoad| bare.what == load.what && bare.logged > SHOWN;
        let none_needed = load.allowed <= 0.0 && load.what.contains("nitrogen");
        none_needed && without.as_ref().is_some_and(|bare| !bare.iter().any(|bare| same(&bare)))
    };
    for load in nutrients::loads(plan, field, ready, book, true).iter().filter(passed).filter(|load| !hay_alone(load)) {
        let amounts = (load.logged, load.allowed);
        say(format!("{:.2} {} {:.2}", load.logged, load.what, load.allowed), amounts);
    }
    let bags = log::besides(&[What::Fertilizer], (field, plan.acres), days, ready, book);
    let dates: BTreeSet<Date> = logged.iter().chain(&bags).map(|s| s.date).filter(|day| own(*day)).collect();
    for day in dates {
        let of_day = |list: &[LoggedSpread]| list.iter().filter(|s| s.date == day).cloned().collect::<Vec<_>>();
        nutrients::day_at_once((&of_day(&logged), &of_day(&bags)), day, field, ready, book, &mut say);
    }
    let Some(most) = book.get(topic::APPLICATIONS, &ready.scope(field)).map(|figure| figure.value.get()) else {
        return;
    };
    let years: BTreeSet<Days> = logged.iter().map(|s| year_around(s.date, JANUARY)).collect();
    for year in years {
        let of_year: Vec<LoggedSpread> = all.iter().filter(|s| year.0 <= s.date && s.date <= year.1).cloned().collect();
        let trips = log::trips(&of_year);
        if trips as f64 > most {
            let what = format!("{trips} applications of litter in {} where the most is {most:.0}", year.0.year());
            say(what, (trips as f64, most));
        }
    }
}

/// The farm as if no hay had been fed on a field; none where the log shows none there.
fn without_hay(ready: &Ready, field: &Field) -> Option<Ready> {
    ready.happened.on_field(field.id(), What::FeedHay).next()?;
    let fed = |entry: &&KeptEntry| entry.what == What::FeedHay && entry.field_id() == field.id();
    let others = ready.happened.entries.iter().filter(|entry| !fed(entry)).cloned().collect();
    Some(Ready { happened: ready.happened.of_entries(others), ..ready.clone() })
}
