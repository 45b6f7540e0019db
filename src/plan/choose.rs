//! A simple, honest chooser: the best value per ton first, no limit passed.
//! It does not claim to find the least cost; the order of its picks is the
//! same on every machine.

use crate::balance::Npk;
use crate::plan::problem::{Entry, Problem};
use crate::units::Pounds;

/// Anything that answers a `Problem`.
pub trait Choose {
    /// The applications to make, in the order chosen. No limit may be passed.
    fn choose(&self, problem: &Problem) -> Vec<Entry>;
}

/// Takes the application with the most gain per ton, again and again, until
/// none gains anything.
#[derive(Clone, Copy, Debug, Default)]
pub struct BestValueFirst;

/// What is still open while choosing.
struct Open {
    need: Vec<Npk<f64>>,
    n: Vec<f64>,
    p2o5: Vec<f64>,
    rate: Vec<f64>,
    pounds: Vec<Pounds>,
    /// Nitrogen still allowed per field and season.
    window: std::collections::BTreeMap<(usize, usize), f64>,
    taken: Vec<bool>,
}

/// Limits are held with this much to spare for the last bits of a division,
/// a millionth of a pound per acre.
const SLACK: f64 = 1e-6;

impl Choose for BestValueFirst {
    fn choose(&self, problem: &Problem) -> Vec<Entry> {
        let mut open = Open::new(problem);
        let mut entries = Vec::new();
        while let Some(entry) = best(problem, &open) {
            open.take(problem, entry);
            entries.push(entry);
        }
        entries
    }
}

impl Open {
    fn new(problem: &Problem) -> Open {
        Open {
            need: problem.fields.iter().map(|f| f.need).collect(),
            n: problem.fields.iter().map(|f| f.n_allowed).collect(),
            p2o5: problem.fields.iter().map(|f| f.p2o5_allowed).collect(),
            rate: problem.fields.iter().map(|f| f.rate_allowed).collect(),
            pounds: problem.lots.iter().map(|l| l.pounds).collect(),
            window: problem.choices.iter().map(|c| ((c.field, c.season), c.n_window)).collect(),
            taken: vec![false; problem.choices.len()],
        }
    }

    /// Most steps that a choice may still take.
    fn most_steps(&self, problem: &Problem, choice: usize) -> i64 {
        let c = &problem.choices[choice];
        let by = |left: f64, held: f64| {
            if held > 0.0 { (left + SLACK).max(0.0) / held } else { f64::INFINITY }
        };
        let window = self.window.get(&(c.field, c.season)).copied().unwrap_or(0.0);
        let most = [
            c.most,
            self.rate[c.field],
            by(self.n[c.field], c.per_ton.n),
            by(window, c.per_ton.n),
            by(c.n_at_once, c.per_ton.n),
            by(self.p2o5[c.field], c.per_ton.p2o5),
        ]
        .into_iter()
        .fold(f64::INFINITY, f64::min);
        // A spreader never goes past 100 tons an acre: the bound of a rate.
        let mut steps = (most.min(100.0) / problem.step + 1e-9).floor() as i64;
        while steps > 0 && problem.pounds(c.field, steps) > self.pounds[c.lot] {
            let per_step = (problem.pounds(c.field, steps).0 / steps).max(1);
            let fit = self.pounds[c.lot].0 / per_step;
            steps = fit.min(steps - 1);
        }
        steps.max(0)
    }

    fn take(&mut self, problem: &Problem, entry: Entry) {
        let c = &problem.choices[entry.choice];
        let rate = problem.rate(entry.steps);
        let need = &mut self.need[c.field];
        need.n = (need.n - rate * c.per_ton.n).max(0.0);
        need.p2o5 = (need.p2o5 - rate * c.per_ton.p2o5).max(0.0);
        need.k2o = (need.k2o - rate * c.per_ton.k2o).max(0.0);
        self.n[c.field] -= rate * c.per_ton.n;
        self.p2o5[c.field] -= rate * c.per_ton.p2o5;
        self.rate[c.field] -= rate;
        if let Some(left) = self.window.get_mut(&(c.field, c.season)) {
            *left -= rate * c.per_ton.n;
        }
        self.pounds[c.lot] -= problem.pounds(c.field, entry.steps);
        // One pass over a field with a lot in a window is one application.
        self.taken[entry.choice] = true;
    }
}

/// Gain per acre of an application: needed nutrients that it replaces, less
/// its cost and less what the litter is worth when it is left.
pub(super) fn gain(problem: &Problem, need: &Npk<f64>, choice: usize, steps: i64) -> f64 {
    let c = &problem.choices[choice];
    let rate = problem.rate(steps);
    let replaced = need.n.min(rate * c.per_ton.n) * problem.worth.n
        + need.p2o5.min(rate * c.per_ton.p2o5) * problem.worth.p2o5
        + need.k2o.min(rate * c.per_ton.k2o) * problem.worth.k2o;
    replaced - rate * (c.cost + problem.lots[c.lot].worth_left)
}

/// The choice and setting with the most gain per ton; of equal ones the
/// larger setting, then the earlier choice.
fn best(problem: &Problem, open: &Open) -> Option<Entry> {
    let least = problem.least_steps();
    let mut best: Option<(f64, Entry)> = None;
    for choice in (0..problem.choices.len()).filter(|c| !open.taken[*c]) {
        let need = &open.need[problem.choices[choice].field];
        let most = open.most_steps(problem, choice);
        // The setting with the most gain for the field, not the first small
        // one that pays best per ton: a pass costs the driver a trip.
        let setting = (least..=most).map(|steps| (gain(problem, need, choice, steps), steps)).fold(
            None,
            |top: Option<(f64, i64)>, one| match top {
                Some(top) if one.0 <= top.0 + 1e-9 => Some(top),
                _ => Some(one),
            },
        );
        let Some((worth, steps)) = setting.filter(|(worth, _)| *worth > 1e-9) else {
            continue;
        };
        let per_ton = worth / problem.rate(steps);
        if best.as_ref().is_none_or(|(top, _)| per_ton > *top + 1e-9) {
            best = Some((per_ton, Entry { choice, steps }));
        }
    }
    best.map(|(_, entry)| entry)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::problem::{Choice, ProblemField, ProblemLot};

    fn one_field(pounds: i64) -> Problem {
        let need = Npk { n: 100.0, p2o5: 40.0, k2o: 100.0 };
        Problem {
            fields: vec![ProblemField {
                hundredths: 1_000,
                need,
                n_allowed: 100.0,
                p2o5_allowed: f64::INFINITY,
                rate_allowed: 10.0,
            }],
            lots: vec![ProblemLot { pounds: Pounds(pounds), worth_left: 0.0 }],
            choices: vec![Choice {
                field: 0,
                lot: 0,
                window: 0,
                season: 0,
                per_ton: Npk { n: 30.0, p2o5: 50.0, k2o: 50.0 },
                most: 4.0,
                n_window: 100.0,
                n_at_once: f64::INFINITY,
                cost: 1.0,
            }],
            step: 0.25,
            least: 1.0,
            worth: Npk { n: 1.0, p2o5: 1.0, k2o: 1.0 },
        }
    }

    #[test]
    fn nitrogen_stops_it_on_the_grid() {
        // 100 / 30 = 3.33, on the grid 3.25.
        let entries = BestValueFirst.choose(&one_field(1_000_000));
        assert_eq!(entries, vec![Entry { choice: 0, steps: 13 }]);
    }

    #[test]
    fn tons_on_hand_stop_it_on_the_grid() {
        // 26 tons on 10 acres: 2.6, on the grid 2.5.
        let entries = BestValueFirst.choose(&one_field(52_000));
        assert_eq!(entries, vec![Entry { choice: 0, steps: 10 }]);
    }

    #[test]
    fn less_than_the_lowest_even_rate_is_nothing() {
        assert!(BestValueFirst.choose(&one_field(19_999)).is_empty());
    }
}
