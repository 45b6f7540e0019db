//! Phosphate by removal, calendar year by calendar year: what is on and not carried off
//! yet lessens what may go on.
//!
//! More than a year's removal was several years' phosphate, whatever it was meant as: the
//! field rests until the forage has carried it off. Where the rule allows a multiple or a
//! part of removal, what counts is what went on above that; the forage carries off its
//! removal all the same, never a multiple of it. Several years at once may go on where
//! nothing is left of earlier years, and in the last year of the plan alone: before it,
//! each year of the plan gets its own.

use crate::balance::desk::Desk;
use crate::balance::logged::Logged;
use crate::balance::periods::{Periods, Span};
use crate::balance::phosphorus::{self, Basis, Phosphorus};
use crate::balance::removal::Removal;
use crate::balance::supply::Supplied;
use crate::balance::{Counts, Op, StepId};
use crate::findings::Finding;
use crate::units::{at_most, number_text, trimmed};
use jiff::civil::Date;
use std::collections::BTreeSet;

/// Slack of a hundredth, as pounds per acre are shown.
const SHOWN: f64 = 0.05;

/// What calendar years allow by removal.
#[derive(Default)]
pub(super) struct Banked {
    /// Phosphate of the years before the plan that is not carried off yet, with what the
    /// log shows in those of the plan, lb/ac.
    pub(super) on: f64,
    /// Years of the plan, alone and together, and the days over which the place counts
    /// phosphorus, each with what may go on in it.
    pub(super) spans: Vec<(Span, StepId)>,
}

/// The account of a field.
struct Account<'w, 'd, 'a> {
    desk: &'w mut Desk<'d>,
    log: &'w mut Logged<'a>,
    supplied: &'w [Supplied<'a>],
    removal: &'w mut Removal,
    /// The last year of rest, by the grower's own word.
    rested: i16,
    /// Years of removal that may go on at once.
    at_once: f64,
    /// Whether more than those went on.
    too_much: bool,
}

/// What the calendar years that the plan touches allow. `phosphorus` learns what the
/// first of them does.
pub(super) fn take_off<'a>(
    desk: &mut Desk<'_>,
    phosphorus: &mut Phosphorus,
    log: &mut Logged<'a>,
    supplied: &[Supplied<'a>],
    (goal, removed, periods): (StepId, StepId, &Periods),
) -> Banked {
    let allowed = (phosphorus.a_year.unwrap_or(removed), phosphorus.times);
    let (calendar, removal) = (&periods.calendar, &mut Removal::new(removed, allowed, goal, periods.year().0.year()));
    let Some(at_once) = phosphorus.at_once.filter(|_| phosphorus.basis == Basis::Removal) else {
        return Banked::default();
    };
    let (Some((first, _)), Some((begins_last, last))) = (calendar.first(), calendar.last()) else {
        return Banked::default();
    };
    let a_year = removal.a_year;
    let banks = desk.notes.value(at_once) > desk.notes.value(a_year) + SHOWN;
    let years_at_once = if banks { desk.notes.value(at_once) / desk.notes.value(a_year) } else { 1.0 };
    let rested = desk.field.written.banked_until.as_ref().map_or(i16::MIN, |until| until.value);
    let mut account = Account { desk, log, supplied, removal, rested, at_once: years_at_once, too_much: false };
    let carried = account.left_before(first.year());
    let mut spans = Vec::new();
    for (at, span) in calendar.iter().enumerate() {
        if banks && span.0 == *begins_last {
            // Of a plan of one calendar year it is written down already.
            let carried = if at == 0 { carried } else { account.left_before(last.year()) };
            spans.push((*span, carried.map_or(at_once, |carried| account.years(*span, Some(carried)))));
            continue;
        }
        for (begins, _) in &calendar[..=at] {
            let days = (*begins, span.1);
            spans.push((days, account.years(days, carried.filter(|_| begins == first))));
        }
    }
    let allowed = spans.first().map(|(_, allowed)| *allowed);
    phosphorus.allowed = allowed.or(phosphorus.allowed);
    let carried = carried.map_or(0.0, |carried| account.desk.notes.value(carried));
    if let Some(left) = allowed.filter(|_| carried > SHOWN) {
        account.tell(carried, left);
    }
    let logged = account.log.on(account.desk, supplied, (*first, *last), Counts::P2o5);
    let on = carried + logged.map_or(0.0, |on| account.desk.notes.value(on));
    spans.extend(by_period(desk, at_once, removal, periods));
    Banked { on, spans }
}

/// What a place's periods allow by removal: that of the plan, or that of a year before in
/// them, when the forage carried off more.
fn by_period(desk: &mut Desk<'_>, at_once: StepId, removal: &mut Removal, periods: &Periods) -> Vec<(Span, StepId)> {
    let of = |days: &Span| {
        let mut most = at_once;
        for year in days.0.year()..=days.1.year() {
            let then = removal.in_year(desk, year);
            if desk.notes.value(then) > desk.notes.value(most) {
                most = then;
            }
        }
        (*days, most)
    };
    periods.phosphorus.iter().map(of).collect()
}

impl Account<'_, '_, '_> {
    /// What the rule allows for each of some years of the plan, less what was left before
    /// them; while something is left, a year after the first adds what the forage carries off.
    fn years(&mut self, (first, last): Span, carried: Option<StepId>) -> StepId {
        let a_year = self.removal.a_year;
        let more = if carried.is_some() { self.removal.one_more(self.desk) } else { a_year };
        let notes = &mut self.desk.notes;
        let years = usize::try_from(last.year() - first.year()).unwrap_or(0) + 1;
        let all = match years {
            1 => a_year,
            _ => {
                let what = format!("P2O5 allowed in {} to {}", first.year(), last.year());
                let mut of = vec![more; years];
                of[0] = a_year;
                notes.reckon(what, "lb/ac", Op::Sum, &of)
            }
        };
        let Some(carried) = carried else { return all };
        notes.reckon("P2O5 allowed after earlier years", "lb/ac", Op::Less, &[all, carried])
    }

    /// What went on in the years before one and is not carried off when it begins; none
    /// where nothing is.
    fn left_before(&mut self, plan: i16) -> Option<StepId> {
        let dates = self.log.dates(Counts::P2o5).map(Date::year);
        let years: BTreeSet<i16> = dates.filter(|year| *year < plan && *year > self.rested).collect();
        let mut carried: Option<StepId> = None;
        let mut next = plan;
        for year in years {
            carried = carried.and_then(|carried| self.rested(carried, next..year));
            let days = (Date::new(year, 1, 1).ok()?, Date::new(year, 12, 31).ok()?);
            let put = self.log.on(self.desk, self.supplied, days, Counts::P2o5);
            let on = match (carried, put) {
                (Some(carried), Some(put)) => {
                    let what = format!("P2O5 on in {year} with what was left");
                    Some(self.desk.notes.reckon(what, "lb/ac", Op::Sum, &[carried, put]))
                }
                (carried, put) => carried.or(put),
            };
            let most = self.removal.most_in_year(self.desk, year);
            let value = |step: StepId| self.desk.notes.value(step);
            let over = on.is_some_and(|on| value(on) > value(most) * self.at_once + SHOWN);
            self.too_much |= over && self.was_capped(year);
            let done_with = self.removal.done_with(self.desk, year, put);
            carried = on.and_then(|on| self.less(&[on, done_with]));
            next = year + 1;
        }
        carried.and_then(|carried| self.rested(carried, next..plan))
    }

    /// Whether the rule capped phosphate on any day of a year on which some went on.
    fn was_capped(&self, year: i16) -> bool {
        let mut days = self.log.dates(Counts::P2o5).filter(|day| day.year() == year);
        days.any(|day| !phosphorus::was_free(self.desk, day))
    }

    /// What is left of some phosphate after years in which none went on; none where nothing
    /// is.
    fn rested(&mut self, on: StepId, years: std::ops::Range<i16>) -> Option<StepId> {
        if years.is_empty() {
            return Some(on);
        }
        let mut of = vec![on];
        of.extend(years.map(|year| self.removal.done_with(self.desk, year, None)));
        self.less(&of)
    }

    fn less(&mut self, of: &[StepId]) -> Option<StepId> {
        let what = match self.removal.times {
            None => "P2O5 of earlier years, not carried off yet",
            Some(_) => "P2O5 of earlier years above what the rule allows for them",
        };
        let notes = &mut self.desk.notes;
        let left = notes.reckon(what, "lb/ac", Op::Less, of);
        (notes.value(left) > 0.0).then_some(left)
    }

    fn tell(&mut self, carried: f64, left: StepId) {
        let (field, a_year) = (self.desk.field, self.desk.notes.value(self.removal.now));
        let (one, left) = (|lb: f64| number_text(lb, 1), self.desk.notes.value(left));
        let left_to_go = if left > 0.0 { format!("only {}", at_most(left, 1)) } else { "0".to_string() };
        let why = match self.removal.times {
            None => format!("is not carried off yet; the forage takes {} lb/ac a year", one(a_year)),
            Some(times) => format!(
                "is above what the rule allows for them and still counts; the forage takes {} lb/ac a year, and the \
                 rule allows {} x that",
                one(a_year),
                trimmed(self.desk.notes.value(times))
            ),
        };
        let found = format!(
            "field {}: {} lb/ac of P2O5 put on in earlier years {why}, so {left_to_go} lb/ac may go on",
            field.id(),
            one(carried),
        );
        let fix = match self.too_much {
            true => {
                "more went on than was allowed: check the entries with `sward tally`; if they are right, tell the planner"
            }
            false if left > 0.0 => {
                "nothing to do: the plan keeps to that; if an entry is wrong, correct it with `sward log correct`"
            }
            false => "nothing to do: the field rests; if an entry is wrong, correct it with `sward log correct`",
        };
        self.desk.findings.push(Finding::warning("log-banked", &field.written.place, found).fix(fix));
    }
}
