//! Over which days phosphate is limited, and how much may go on in each.

use crate::balance::desk::Desk;
use crate::balance::periods::{self, PPeriod, Periods, Span};
use crate::balance::{Basis, Phosphorus, StepId};
use crate::tables::GrowingYear;
use crate::tables::p_rule::PMost;
use jiff::civil::Date;

/// What a limit allows in all: some years' worth, the first of them and those after it.
#[derive(Clone, Copy)]
pub(super) struct Allowed {
    /// That of the first.
    pub(super) first: StepId,
    /// What each more year adds, and how many there are.
    pub(super) more: (StepId, u16),
}

impl Allowed {
    /// That of one year alone.
    pub(super) fn once(first: StepId) -> Allowed {
        Allowed { first, more: (first, 0) }
    }

    pub(super) fn value(self, desk: &Desk<'_>) -> f64 {
        desk.notes.value(self.first) + desk.notes.value(self.more.0) * f64::from(self.more.1)
    }
}

/// What the spans of phosphorus go by.
pub(super) struct PGiven<'x> {
    pub(super) phosphorus: &'x Phosphorus,
    /// Years of the plan and the days over which the place counts phosphorus, with what may
    /// go on in them by removal.
    pub(super) years: &'x [(Span, StepId)],
}

/// The days over which phosphate is limited, with what each allows in all.
///
/// By removal and by the soil test: the period of the place, or any twelve months.
/// Besides, by removal what is carried off in the years of the plan (`banked`); by the
/// soil test what it asks for in the years since.
pub(super) fn of(desk: &Desk<'_>, periods: &Periods, given: &PGiven<'_>) -> Vec<(Span, Allowed)> {
    let phosphorus = given.phosphorus;
    let (Some(allowed), Some(at_once)) = (phosphorus.allowed, phosphorus.at_once) else { return Vec::new() };
    match phosphorus.basis {
        Basis::Nitrogen => Vec::new(),
        Basis::None | Basis::Rests => periods.calendar.iter().map(|days| (*days, Allowed::once(allowed))).collect(),
        Basis::Removal => given.years.iter().map(|(days, allowed)| (*days, Allowed::once(*allowed))).collect(),
        Basis::SoilTest => {
            let of_period = periods.phosphorus.iter().map(|days| (*days, Allowed::once(at_once)));
            of_period.chain(since_test(desk, periods, at_once)).collect()
        }
    }
}

/// The days over which a row of the rule caps phosphate or litter beside its basis: each
/// calendar year, or any so many years, day by day.
pub(super) fn capped(periods: &Periods, phosphorus: &Phosphorus) -> Vec<(Span, PMost, StepId)> {
    let spans = |(step, most): &(StepId, PMost)| {
        let (step, most) = (*step, *most);
        let several = periods.in_years.iter().find(|(years, _)| *years == most.over).map(|(_, spans)| spans);
        several.unwrap_or(&periods.calendar).iter().map(move |days| (*days, most, step))
    };
    phosphorus.most.iter().flat_map(spans).collect()
}

/// The days over which fertilizer is held to the same, whenever it goes on.
pub(super) fn to_buy(desk: &Desk<'_>, periods: &Periods, given: &PGiven<'_>) -> Vec<(Span, Allowed)> {
    let phosphorus = given.phosphorus;
    let (Some(allowed), Some(at_once)) = (phosphorus.allowed, phosphorus.at_once) else { return Vec::new() };
    let plan = periods::plan_days(desk.ready);
    let mut spans = vec![(periods.year(), Allowed::once(allowed))];
    match periods::p_period(desk) {
        PPeriod::Year(_) => spans.extend(periods.phosphorus.iter().map(|days| (*days, Allowed::once(at_once)))),
        PPeriod::TwelveMonths => spans.push(((periods::year_to(plan.0).0, Date::MAX), Allowed::once(at_once))),
    }
    match phosphorus.basis {
        Basis::Nitrogen => Vec::new(),
        Basis::None | Basis::Rests => spans.into_iter().take(1).collect(),
        Basis::Removal => {
            // Nor more than what earlier years leave in any calendar year of the plan.
            let ends = |days: &Span| periods.calendar.iter().any(|year| year.1 == days.1);
            let in_years = |(days, _): &&(Span, StepId)| periods.calendar.iter().any(|y| y.0 == days.0) && ends(days);
            spans.extend(given.years.iter().filter(in_years).map(|(days, allowed)| (*days, Allowed::once(*allowed))));
            spans
        }
        Basis::SoilTest => {
            spans.into_iter().skip(1).chain(since_test(desk, periods, at_once).into_iter().take(1)).collect()
        }
    }
}

/// A recommendation is for a year: since the soil was sampled, as many may go on as
/// growing years began.
fn since_test(desk: &Desk<'_>, periods: &Periods, a_year: StepId) -> Vec<(Span, Allowed)> {
    let Some(sampled) = desk.field.written.soil_test.as_ref().map(|test| test.sampled.value) else { return Vec::new() };
    let year = periods::growing_year(desk).unwrap_or(GrowingYear::CALENDAR);
    let last = periods.needs.iter().map(|days| days.1).filter(|last| sampled <= *last);
    let span = |last: Date| {
        let begun = year.touched((sampled, last)).len().saturating_sub(1).max(1);
        ((sampled, last), Allowed { first: a_year, more: (a_year, u16::try_from(begun - 1).unwrap_or(0)) })
    };
    last.map(span).collect()
}
