//! What may be done on one field in the plan's year: every mix of applications
//! that passes none of the field's own limits.

use crate::balance::Npk;
use crate::plan::problem::{Choice, Entry, Problem};
use crate::units::Pounds;

/// One way to treat a field.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Mix {
    /// The applications, one a window at most.
    pub(super) entries: Vec<Entry>,
    /// What it is worth, in dollars (or pounds of nutrient).
    pub(super) worth: f64,
    /// Pounds of each lot that it takes.
    pub(super) lots: Vec<(usize, Pounds)>,
    /// Pounds that must go out within each span of days.
    pub(super) spans: Vec<(usize, Pounds)>,
}

/// Limits are held with this much to spare for the last bits of a division,
/// a millionth of a pound per acre.
const SLACK: f64 = 1e-6;
/// More mixes than this on one field, and fewer applications are mixed: no
/// field of a real farm comes near it.
const MOST_MIXES: usize = 60_000;

/// Every mix that is worth more than each smaller mix in it, in a fixed order.
pub(super) fn mixes(problem: &Problem, field: usize) -> Vec<Mix> {
    let choices: Vec<usize> = (0..problem.choices.len()).filter(|c| problem.choices[*c].field == field).collect();
    let mut most = problem.fields[field].applications;
    if most == 0 {
        return Vec::new();
    }
    loop {
        let mut walk = Walk { problem, field, choices: &choices, most, found: Vec::new() };
        if walk.deeper(0, &Load::default(), 0.0).is_some() || most == 1 {
            return walk.found;
        }
        most -= 1;
    }
}

/// What a mix has put on the field so far.
#[derive(Clone, Debug, Default)]
struct Load {
    entries: Vec<Entry>,
    supplied: Npk<f64>,
    rate: f64,
}

struct Walk<'a> {
    problem: &'a Problem,
    field: usize,
    choices: &'a [usize],
    most: usize,
    found: Vec<Mix>,
}

impl Walk<'_> {
    /// Adds one more application from `start` on; `None` when there are too
    /// many mixes.
    fn deeper(&mut self, start: usize, load: &Load, worth: f64) -> Option<()> {
        if load.entries.len() >= self.most {
            return Some(());
        }
        for place in start..self.choices.len() {
            let choice = self.choices[place];
            let window = self.problem.choices[choice].window;
            if load.entries.iter().any(|e| self.problem.choices[e.choice].window == window) {
                continue;
            }
            for steps in self.problem.least_steps()..=self.most_steps(choice, load) {
                let more = self.with(load, Entry { choice, steps });
                let gained = self.worth(&more);
                // Needs that are met pay once: what gains nothing here gains
                // nothing on top of more.
                if gained <= worth {
                    continue;
                }
                if self.every_part_pays(&more, gained) {
                    self.keep(&more, gained);
                }
                self.deeper(place + 1, &more, gained)?;
            }
            if self.found.len() > MOST_MIXES {
                return None;
            }
        }
        Some(())
    }

    /// Whether the mix is worth more than itself without any one application.
    fn every_part_pays(&self, load: &Load, worth: f64) -> bool {
        load.entries.len() < 2
            || (0..load.entries.len()).all(|without| {
                let others = load.entries.iter().enumerate().filter(|(i, _)| *i != without);
                let less = others.fold(Load::default(), |less, (_, e)| self.with(&less, *e));
                self.worth(&less) < worth
            })
    }

    fn with(&self, load: &Load, entry: Entry) -> Load {
        let mut more = load.clone();
        let rate = self.problem.rate(entry.steps);
        let per_ton = self.problem.choices[entry.choice].per_ton;
        more.supplied = more.supplied.with(per_ton, |sum, per_ton| sum + rate * per_ton);
        more.rate += rate;
        more.entries.push(entry);
        more
    }

    /// Most steps that a choice may take on top of a load.
    fn most_steps(&self, choice: usize, load: &Load) -> i64 {
        let (problem, c) = (self.problem, &self.problem.choices[choice]);
        let field = &problem.fields[self.field];
        let by = |left: f64, held: f64| {
            if held > 0.0 { (left + SLACK).max(0.0) / held } else { f64::INFINITY }
        };
        let same_season = |e: &&Entry| problem.choices[e.choice].season == c.season;
        let in_season: f64 = load.entries.iter().filter(same_season).map(|e| n_of(problem, e)).sum();
        let most = [
            c.most,
            field.rate_allowed - load.rate,
            by(field.n_allowed - load.supplied.n, c.per_ton.n),
            by(c.n_window - in_season, c.per_ton.n),
            by(c.n_at_once, c.per_ton.n),
            by(field.p2o5_allowed - load.supplied.p2o5, c.per_ton.p2o5),
        ]
        .into_iter()
        .fold(f64::INFINITY, f64::min);
        // A spreader never goes past 100 tons an acre: the bound of a rate.
        (most.clamp(0.0, 100.0) / problem.step + 1e-9).floor() as i64
    }

    /// Needed nutrients that a load replaces, less its cost and less what the
    /// litter is worth when it is left.
    fn worth(&self, load: &Load) -> f64 {
        let problem = self.problem;
        let acres = problem.fields[self.field].hundredths as f64 / 100.0;
        let replaced = problem.fields[self.field].need.with(load.supplied, f64::min);
        let saved = replaced.with(problem.worth, |lb, price| lb * price);
        let spent: f64 = load
            .entries
            .iter()
            .map(|e| {
                let Choice { cost, lot, .. } = problem.choices[e.choice];
                problem.pounds(self.field, e.steps).tons() * (cost + problem.lots[lot].worth_left)
            })
            .sum();
        acres * (saved.n + saved.p2o5 + saved.k2o) - spent
    }

    fn keep(&mut self, load: &Load, worth: f64) {
        let problem = self.problem;
        let (mut lots, mut spans): (Vec<(usize, Pounds)>, Vec<(usize, Pounds)>) = (Vec::new(), Vec::new());
        let add = |list: &mut Vec<(usize, Pounds)>, key: usize, pounds: Pounds| match list
            .iter_mut()
            .find(|(own, _)| *own == key)
        {
            Some((_, sum)) => *sum += pounds,
            None => list.push((key, pounds)),
        };
        for entry in &load.entries {
            let c = &problem.choices[entry.choice];
            let pounds = problem.pounds(self.field, entry.steps);
            add(&mut lots, c.lot, pounds);
            for span in problem.spans_around(c) {
                add(&mut spans, span, problem.time_pounds(entry));
            }
        }
        // More than there is of a lot, or than can be hauled in time, never fits.
        let fits = lots.iter().all(|(lot, pounds)| *pounds <= problem.lots[*lot].pounds)
            && spans.iter().all(|(span, pounds)| *pounds <= problem.spans[*span].pounds);
        if fits {
            self.found.push(Mix { entries: load.entries.clone(), worth, lots, spans });
        }
    }
}

fn n_of(problem: &Problem, entry: &Entry) -> f64 {
    problem.rate(entry.steps) * problem.choices[entry.choice].per_ton.n
}
