//! What was found for a question is remembered for the same with one thing changed: how a field may
//! be done goes by its own limits, choices and costs, and not by how much there is of anything. Most
//! of the work on a large farm is to price each of these ways.

use crate::plan::pick::Ways;
use crate::plan::problem::{Choice, Problem, ProblemField, Remembered};
use std::sync::Arc;

/// The ways to do a field, where they were found for one like it.
pub(super) fn ways(problem: &Problem, field: usize) -> Option<Arc<Ways>> {
    let (first, ways) = problem.remembered.get()?;
    same(first, problem, field).then(|| ways.get(field).cloned()).flatten()
}

/// Keeps the ways of the first question.
pub(super) fn keep(problem: &Problem, ways: &[Arc<Ways>]) {
    // Without a memory of its own, which would hold itself for ever.
    let own = || Problem { remembered: Remembered::default(), ..problem.clone() };
    problem.remembered.get_or_init(|| (Box::new(own()), ways.to_vec()));
}

/// Whether a field may be done in the same ways in two questions.
fn same(one: &Problem, other: &Problem, field: usize) -> bool {
    let priced = |problem: &Problem| (problem.step, problem.least, problem.rid, problem.trips, problem.worth);
    let (Some(a), Some(b)) = (one.fields.get(field), other.fields.get(field)) else { return false };
    priced(one) == priced(other)
        && one.lots.iter().map(|lot| lot.worth_left).eq(other.lots.iter().map(|lot| lot.worth_left))
        && one.rooms == other.rooms
        && same_field(a, b)
        && choices(one, field).eq(choices(other, field))
}

fn choices(problem: &Problem, field: usize) -> impl Iterator<Item = (usize, &Choice)> {
    problem.choices.iter().enumerate().filter(move |(_, choice)| choice.field == field)
}

fn same_field(a: &ProblemField, b: &ProblemField) -> bool {
    let bill = match (&a.bill, &b.bill) {
        (Some(a), Some(b)) => a.is(b),
        (None, None) => true,
        _ => false,
    };
    bill && (a.hundredths, a.need, a.part) == (b.hundredths, b.need, b.part)
        && (&a.rest, &a.caps) == (&b.rest, &b.caps)
        && (&a.trips, &a.openings) == (&b.trips, &b.openings)
}
