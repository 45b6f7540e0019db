//! A soil test that expires within the plan, at a place that plans a field without one: what goes
//! on after its last day is limited by the row for such fields, with all that is on by then.

use crate::balance::desk::Desk;
use crate::balance::logged::Logged;
use crate::balance::p_rules::{self, Given};
use crate::balance::p_spans::{self, Allowed, PGiven};
use crate::balance::periods::{Periods, Span};
use crate::balance::supply::Supplied;
use crate::balance::{Basis, Phosphorus, StepId, banked, phosphorus};
use jiff::civil::Date;

/// The days over which phosphate is limited from the day after the test's last, with what each
/// allows in all; none where the place has no row for it, or the field rests anyhow.
pub(super) fn of<'a>(
    desk: &mut Desk<'_>,
    now: &Phosphorus,
    (log, supplied): (&mut Logged<'a>, &[Supplied<'a>]),
    (need, goal, removed, periods): (StepId, StepId, StepId, &Periods),
) -> Option<(Date, Vec<(Span, Allowed)>)> {
    let (from, holding) = p_rules::holding_after_test(desk).filter(|_| now.basis != Basis::Rests)?;
    let rating = p_rules::rating(desk, &holding);
    let given = Given { need, removed, soil: None, rating };
    let rows = p_rules::weighed(desk, &holding, given);
    let mut then = phosphorus::by_rows(desk, now, rows, need);
    // What earlier years left is told of what counts now.
    let told = std::mem::take(desk.findings);
    let banked = banked::take_off(desk, &mut then, log, supplied, (goal, removed, periods));
    *desk.findings = told;
    let given = PGiven { phosphorus: &then, years: &banked.spans };
    Some((from, p_spans::of(desk, periods, &given)))
}
