//! Where the log alone is over a limit, whatever is planned: every entry is held to what was in
//! force on its own day, and no list of it goes by the days of a plan.

use crate::audit::fault::fault;
use crate::audit::log::{self, LimitLoad, LoggedSpread};
use crate::audit::nutrients::{self, SHOWN};
use crate::audit::period::{Days, JANUARY, year_around};
use crate::check::{Field, Ready};
use crate::findings::Findings;
use crate::plan::answer::FieldPlan;
use crate::record::{KeptEntry, What};
use crate::tables::{Book, Tables, topic};
use crate::units::Quantity;
use jiff::civil::Date;
use std::collections::BTreeSet;

/// The farm as it stood on some days of its log.
pub(super) struct Then {
    days: Days,
    ready: Ready,
}

/// The farm on all days of its log, between which nothing changed on a field.
pub(super) fn all_days(ready: &Ready) -> Vec<Then> {
    let days = ready.judging_days(i16::MIN..=i16::MAX).into_iter();
    days.filter_map(|days| Some(Then { days, ready: ready.on_day(days.1)? })).collect()
}

/// Every limit that the log is over on a field.
pub(super) fn log_over(plan: &FieldPlan, at: usize, thens: &[Then], tables: &Tables) -> Findings {
    let mut findings = Findings::new();
    for Then { days, ready } in thens {
        let (Some(field), Some(book)) = (ready.fields.get(at), ready.book(tables)) else { continue };
        let kinds = [What::Spread, What::Fertilizer, What::FeedHay].into_iter();
        let mut entries = kinds.flat_map(|what| ready.happened.on_field(field.id(), what));
        if !entries.any(|entry| days.0 <= entry.date && entry.date <= days.1) {
            continue;
        }
        let (windows, past, applications) = Default::default();
        let then = FieldPlan { id: field.id().to_string(), windows, past, applications, ..plan.clone() };
        one(&then, field, (*days, ready), &book, &mut findings);
    }
    findings
}

/// What the entries of some days are over by.
fn one(plan: &FieldPlan, field: &Field, (days, ready): (Days, &Ready), book: &Book<'_>, findings: &mut Findings) {
    let mut say = |what: String| findings.push(fault("log-over", format!("field {}: the log puts on {what}", plan.id)));
    let own = |day: Date| days.0.max(field.in_force_since) <= day && day <= days.1;
    let all = log::spread(field, plan.acres, (Date::MIN, days.1), ready, book);
    let logged: Vec<LoggedSpread> = all.iter().filter(|s| own(s.date)).cloned().collect();
    if !logged.is_empty() && (!field.bars.is_empty() || nutrients::metals_stop(field, book)) {
        say("litter where none is allowed".to_string());
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
        say(format!("{:.2} {} {:.2}", load.logged, load.what, load.allowed));
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
            say(format!("{trips} applications of litter in {} where the most is {most:.0}", year.0.year()));
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
