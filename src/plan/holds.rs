//! Which limit holds a field: what would be passed first by one more step.

use crate::plan::answer::{Held, HeldBy};
use crate::plan::problem::{Entry, Problem};
use crate::units::Pounds;

/// A limit that one more step would pass, with the most tons per acre that it
/// allows for the lot in question.
#[derive(Clone, Copy, Debug)]
struct Passed {
    by: Held,
    rate: f64,
}

const SLACK: f64 = 1e-6;

/// What holds a field after the choice was made.
pub(super) fn held(problem: &Problem, entries: &[Entry], field: usize) -> HeldBy {
    let plain = |by| HeldBy { by, rate: None, below_even: false };
    let choices: Vec<usize> = (0..problem.choices.len()).filter(|c| problem.choices[*c].field == field).collect();
    let passed: Vec<Vec<Passed>> = choices.iter().map(|c| passed_by_one_more(problem, entries, *c)).collect();
    // What stops every way of putting more on; the tightest of those first.
    let everywhere = |p: &Passed| passed.iter().all(|others| others.iter().any(|o| o.by == p.by));
    let tightest = |list: &[Passed], only: &dyn Fn(&Passed) -> bool| {
        list.iter().copied().filter(only).min_by(|a, b| a.rate.total_cmp(&b.rate).then(a.by.cmp(&b.by)))
    };
    // The field's main lot: the one it gets most of, else the first.
    let main =
        choices.iter().enumerate().max_by_key(|(i, c)| (steps_of(entries, **c), std::cmp::Reverse(*i))).map(|(i, _)| i);
    let Some(main) = main else {
        return plain(Held::NoSeason);
    };
    if passed.iter().any(Vec::is_empty) {
        return plain(Held::Value);
    }
    let found = tightest(&passed[main], &everywhere).or_else(|| tightest(&passed[main], &|_| true));
    let Some(found) = found else {
        return plain(Held::Value);
    };
    let given: i64 = choices.iter().map(|c| steps_of(entries, *c)).sum();
    let counts = !matches!(found.by, Held::TonsOnHand | Held::Applications | Held::Days);
    HeldBy {
        by: found.by,
        rate: counts.then_some(found.rate),
        below_even: given == 0 && counts && found.rate > SLACK && found.rate < problem.least,
    }
}

fn steps_of(entries: &[Entry], choice: usize) -> i64 {
    entries.iter().filter(|e| e.choice == choice).map(|e| e.steps).sum()
}

/// Every limit that a choice would pass at its next step.
fn passed_by_one_more(problem: &Problem, entries: &[Entry], choice: usize) -> Vec<Passed> {
    let c = &problem.choices[choice];
    let field = &problem.fields[c.field];
    let now = steps_of(entries, choice);
    let next = if now == 0 { problem.least_steps() } else { now + 1 };
    let others: Vec<(&Entry, f64)> =
        entries.iter().filter(|e| e.choice != choice).map(|e| (e, problem.rate(e.steps))).collect();
    let on_field = |get: &dyn Fn(usize) -> f64| -> f64 {
        others
            .iter()
            .filter(|(e, _)| problem.choices[e.choice].field == c.field)
            .map(|(e, rate)| rate * get(e.choice))
            .sum()
    };
    let in_window = |get: &dyn Fn(usize) -> f64| -> f64 {
        on_field(&|other| {
            if problem.choices[other].season == c.season { get(other) } else { 0.0 }
        })
    };
    let rate = problem.rate(next);
    let n = |i: usize| problem.choices[i].per_ton.n;
    let p2o5 = |i: usize| problem.choices[i].per_ton.p2o5;
    let tests = [
        (Held::Nitrogen, on_field(&n) + rate * c.per_ton.n, field.n_allowed, c.per_ton.n),
        (Held::SeasonShare, in_window(&n) + rate * c.per_ton.n, c.n_window, c.per_ton.n),
        (Held::NAtOnce, rate * c.per_ton.n, c.n_at_once, c.per_ton.n),
        (Held::Phosphorus, on_field(&p2o5) + rate * c.per_ton.p2o5, field.p2o5_allowed, c.per_ton.p2o5),
        (Held::YearMost, on_field(&|_| 1.0) + rate, field.rate_allowed, 1.0),
        (Held::ApplicationMost, rate, c.most, 1.0),
    ];
    let mut passed: Vec<Passed> = tests
        .into_iter()
        .filter(|(_, would, allowed, _)| *would > allowed + SLACK)
        .map(|(by, _, allowed, held)| Passed { by, rate: if held > 0.0 { allowed / held } else { f64::INFINITY } })
        .collect();
    let on_same: Vec<&Entry> =
        entries.iter().filter(|e| e.choice != choice && problem.choices[e.choice].field == c.field).collect();
    let window_taken = on_same.iter().any(|e| problem.choices[e.choice].window == c.window);
    if now == 0 && (window_taken || on_same.len() >= field.applications) {
        passed.push(Passed { by: Held::Applications, rate: f64::INFINITY });
    }
    let time = |steps| problem.time_pounds(&Entry { choice, steps });
    let more = time(next) - time(now);
    let full = |span: usize| problem.pounds_in(span, entries) + more > problem.spans[span].pounds;
    if problem.spans_around(c).any(full) {
        passed.push(Passed { by: Held::Days, rate: f64::INFINITY });
    }
    let elsewhere: Pounds = entries
        .iter()
        .filter(|e| e.choice != choice && problem.choices[e.choice].lot == c.lot)
        .map(|e| problem.pounds(problem.choices[e.choice].field, e.steps))
        .sum();
    if elsewhere + problem.pounds(c.field, next) > problem.lots[c.lot].pounds {
        passed.push(Passed { by: Held::TonsOnHand, rate: f64::INFINITY });
    }
    passed
}
