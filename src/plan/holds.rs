//! Which limit holds a field: what would be passed first by one more step.

use crate::balance::{Counts, LimitKind, Over};
use crate::plan::answer::{AlsoHolds, HeldBy};
use crate::plan::pick::Pick;
use crate::plan::problem::{Cap, Choice, Problem};
use crate::plan::resources::{Draw, Resource};
use crate::units::Pounds;

/// A limit that one more step would pass, with the most tons per acre that it
/// allows for the lot in question.
#[derive(Clone, Copy, Debug)]
struct Passed {
    by: LimitKind,
    /// Over what it is counted and what it counts, of a cap: two caps on the same
    /// stop the same.
    on: Option<(Over, Counts)>,
    rate: f64,
    /// Tons per acre of that lot that the whole plan leaves under it.
    left: f64,
}

impl Passed {
    /// What caps nothing by itself.
    fn other(by: LimitKind) -> Passed {
        Passed { by, on: None, rate: f64::INFINITY, left: f64::INFINITY }
    }

    fn same(&self, other: &Passed) -> bool {
        self.by == other.by || (self.on.is_some() && self.on == other.on)
    }
}

const SLACK: f64 = 1e-6;
/// What is shown alike, tons per acre.
const ALIKE: f64 = 0.005;

/// What holds a field after the choice was made.
pub(super) fn held(problem: &Problem, resources: &[Resource], entries: &[Pick], field: usize) -> HeldBy {
    held_on(problem, resources, entries, &|choice| choice.field == field)
}

/// What holds what goes on the rest of a field that was done in part.
pub(super) fn held_on_rest(problem: &Problem, resources: &[Resource], entries: &[Pick], field: usize) -> HeldBy {
    held_on(problem, resources, entries, &|choice| choice.field == field && choice.on_rest)
}

fn held_on(problem: &Problem, resources: &[Resource], entries: &[Pick], own: &dyn Fn(&Choice) -> bool) -> HeldBy {
    let plain = |by| HeldBy { by, days: None, logged: false, rate: None, below_even: false, also: None };
    let choices: Vec<usize> = (0..problem.choices.len()).filter(|c| own(&problem.choices[*c])).collect();
    let passed: Vec<Vec<Passed>> =
        choices.iter().map(|c| passed_by_one_more(problem, resources, entries, *c)).collect();
    // What stops every way of putting more on; of those first what leaves the least.
    let everywhere = |p: &Passed| passed.iter().all(|others| others.iter().any(|o| o.same(p)));
    let tightest = |list: &[Passed], only: &dyn Fn(&Passed) -> bool| {
        let order = |p: &Passed| ((p.left / ALIKE).round(), p.rate);
        list.iter().copied().filter(only).min_by(|a, b| {
            let ((left, rate), (other_left, other_rate)) = (order(a), order(b));
            left.total_cmp(&other_left).then(rate.total_cmp(&other_rate)).then(a.by.cmp(&b.by))
        })
    };
    // The field's main lot: the one it gets most of, else the first.
    let main =
        choices.iter().enumerate().max_by_key(|(i, c)| (steps_of(entries, **c), std::cmp::Reverse(*i))).map(|(i, _)| i);
    let Some(main) = main else {
        return plain(LimitKind::NoSeason);
    };
    if passed.iter().any(Vec::is_empty) {
        return plain(LimitKind::Value);
    }
    let found = tightest(&passed[main], &everywhere).or_else(|| tightest(&passed[main], &|_| true));
    let Some(found) = found else {
        return plain(LimitKind::Value);
    };
    let given: i64 = choices.iter().map(|c| steps_of(entries, *c)).sum();
    let counts = found.on.is_some();
    let as_little = |p: &Passed| {
        let alike = ((p.left - found.left) / ALIKE).abs() < 1.0 && p.left.is_finite();
        alike && p.by != found.by && p.on != found.on && everywhere(p)
    };
    let also = tightest(&passed[main], &as_little).filter(|_| counts);
    HeldBy {
        by: found.by,
        days: found.on.and_then(|(over, _)| over.days()),
        logged: false,
        rate: counts.then_some(found.rate),
        below_even: given == 0 && counts && found.rate > SLACK && found.rate < problem.least,
        also: also.map(|p| AlsoHolds { by: p.by, days: p.on.and_then(|(over, _)| over.days()) }),
    }
}

fn steps_of(entries: &[Pick], choice: usize) -> i64 {
    entries.iter().filter(|e| e.choice == choice).map(|e| e.steps).sum()
}

/// Every limit that a choice would pass at its next step.
fn passed_by_one_more(problem: &Problem, resources: &[Resource], entries: &[Pick], choice: usize) -> Vec<Passed> {
    let c = &problem.choices[choice];
    let field = &problem.fields[c.field];
    let now = steps_of(entries, choice);
    let next = if now == 0 { problem.least_steps() } else { now + 1 };
    let own = |e: &&Pick| e.choice != choice && problem.choices[e.choice].field == c.field;
    let rate = problem.rate(next);
    let passes = |(cap, held): (usize, &f64)| {
        let Cap { kind, over, counts, allowed, .. } = field.caps[cap];
        let room = problem.room(cap, c, entries.iter().filter(own));
        (*held > 0.0 && rate * held > room + SLACK).then(|| Passed {
            by: kind,
            on: Some((over, counts)),
            rate: allowed / held,
            left: (room - problem.rate(now) * held) / held,
        })
    };
    let mut passed: Vec<Passed> = c.uses.iter().enumerate().filter_map(passes).collect();
    let on_same: Vec<&Pick> = entries.iter().filter(own).collect();
    let window_taken = on_same.iter().any(|e| problem.choices[e.choice].window == c.window);
    if now == 0 && (window_taken || !problem.another_trip(c, on_same.iter().copied())) {
        passed.push(Passed::other(LimitKind::Applications));
    }
    let runs_out = |resource: &Resource| {
        let others = entries.iter().filter(|e| e.choice != choice).map(|e| problem.takes(resource, e));
        let takes = problem.takes(resource, &Pick { choice, steps: next });
        takes.0 > 0 && others.sum::<Pounds>() + takes > resource.pounds
    };
    let out: Vec<&Resource> = resources.iter().filter(|resource| runs_out(resource)).collect();
    if out.iter().any(|resource| matches!(resource.of, Draw::Days { .. })) {
        passed.push(Passed::other(LimitKind::Days));
    }
    // What a storage cannot keep is not there when a later window opens.
    if out.iter().any(|resource| !matches!(resource.of, Draw::Days { .. })) {
        passed.push(Passed::other(lack_of_litter(problem, &out, entries, choice)));
    }
    passed
}

/// Whether litter runs out, or there is enough of the lot and it comes too late.
fn lack_of_litter(problem: &Problem, out: &[&Resource], entries: &[Pick], choice: usize) -> LimitKind {
    let c = &problem.choices[choice];
    let comes_later = |resource: &&Resource| match resource.of {
        Draw::Litter { lot, by } => problem.there(lot, by) < problem.lots[lot].pounds,
        Draw::Days { .. } => true,
        Draw::Room { .. } | Draw::Outlet { .. } => false,
    };
    let now = steps_of(entries, choice);
    let more = if now == 0 { problem.least_steps() } else { 1 };
    let used = entries.iter().filter(|e| problem.choices[e.choice].lot == c.lot);
    let used: Pounds = used.map(|e| problem.pounds(e)).sum();
    let enough = used + problem.pounds(&Pick { choice, steps: more }) <= problem.lots[c.lot].pounds;
    if enough && out.iter().copied().all(|r| comes_later(&r)) { LimitKind::LitterLate } else { LimitKind::TonsOnHand }
}
