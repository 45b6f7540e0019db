//! What may be done on one field in the plan's year: every mix of applications
//! that passes none of the field's own limits.

use crate::balance::{Npk, Over};
use crate::cores;
use crate::plan::must_leave::most_saved;
use crate::plan::pick::{Pick, Way, Ways};
use crate::plan::problem::{Cap, Choice, Problem};
use crate::plan::remembered;
use crate::plan::resources::{Draw, Resource};
use crate::units::Pounds;
use std::sync::Arc;

/// One way to treat a field.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct FieldOption {
    /// The applications, one a window at most.
    pub(super) entries: Arc<[Pick]>,
    /// What it is worth, in dollars (or pounds of nutrient).
    pub(super) worth: f64,
    /// Pounds of each resource that it takes.
    pub(super) takes: Vec<(usize, Pounds)>,
}

/// Limits are held with this much to spare for the last bits of a division,
/// a millionth of a pound per acre.
const SLACK: f64 = 1e-6;
/// So many mixes of one field that take more than there is of something are looked at.
const MOST_MIXES: usize = 60_000;
/// More mixes than this on one field, and fewer applications are mixed: what others could be
/// worth more is told with the proof.
const MOST_WAYS: usize = 2 * MOST_MIXES;

/// Every mix of every field.
pub(super) struct AllOptions {
    /// Those that what there is suffices for, by field.
    pub(super) whole: Vec<Vec<FieldOption>>,
    /// Those that take more than there is of something: only a part of the field can be done so.
    pub(super) over: Vec<Vec<FieldOption>>,
    /// Whether some of those were left out.
    pub(super) over_lost: bool,
    /// What those that were left out could be worth more.
    pub(super) more: f64,
}

/// Every mix of every field. Of the resources only those count that may run out.
pub(super) fn all_options(problem: &Problem, resources: &[Resource]) -> AllOptions {
    let binding = binding(problem);
    let binds = |resource: &Resource| match resource.of {
        Draw::Days { span } => binding[span],
        _ => true,
    };
    let counted: Vec<(usize, &Resource)> = resources.iter().enumerate().filter(|(_, r)| binds(r)).collect();
    let fields: Vec<usize> = (0..problem.fields.len()).collect();
    let ways = cores::each(&fields, |field| {
        remembered::ways(problem, *field).unwrap_or_else(|| Arc::new(ways(problem, *field)))
    });
    remembered::keep(problem, &ways);
    let mut all = AllOptions { whole: Vec::new(), over: Vec::new(), over_lost: false, more: 0.0 };
    for (whole, over, more) in cores::each(&fields, |field| by_stock(problem, *field, &ways[*field], &counted)) {
        all.over_lost |= over.len() >= MOST_MIXES;
        all.whole.push(whole);
        all.over.push(over);
        all.more += more;
    }
    all
}

/// The spans that could be overrun at all, were every field to get as much as
/// its own limits and all litter allow.
fn binding(problem: &Problem) -> Vec<bool> {
    let litter: f64 = problem.lots.iter().map(|lot| lot.pounds.0.max(0) as f64).sum();
    let runs_over = |index: usize| {
        let span = &problem.spans[index];
        if span.lot.is_some() {
            return true;
        }
        let inside = |c: &&Choice| span.first <= c.first && c.last <= span.last;
        let own = |field: usize| problem.choices.iter().filter(inside).filter(move |c| c.field == field);
        let (mut most, mut heaviest) = (0.0, 1.0_f64);
        for (field, limits) in problem.fields.iter().enumerate() {
            // What every choice uses some of caps the tons of all together, or of one.
            let by = |(index, cap): (usize, &Cap)| {
                let least = own(field).map(|c| c.uses[index]).fold(f64::INFINITY, f64::min);
                let times = if cap.over == Over::Once { limits.applications() as f64 } else { 1.0 };
                if least > 0.0 && cap.from.is_none() { cap.allowed / least * times } else { f64::INFINITY }
            };
            let rate = limits.caps.iter().enumerate().map(by).fold(f64::INFINITY, f64::min);
            let weight = own(field).map(|c| c.days_weight).fold(0.0, f64::max);
            heaviest = heaviest.max(weight);
            most += rate.max(0.0) * limits.hundredths as f64 / 100.0 * 2_000.0 * weight;
        }
        most.min(litter * heaviest) > span.pounds.0 as f64
    };
    (0..problem.spans.len()).map(runs_over).collect()
}

/// Every mix of a field that is worth more than each smaller mix in it, in a fixed order.
fn ways(problem: &Problem, field: usize) -> Ways {
    let choices: Vec<usize> = (0..problem.choices.len()).filter(|c| problem.choices[*c].field == field).collect();
    let mut most = problem.fields[field].applications();
    if most == 0 {
        return Ways::default();
    }
    let whole = most;
    loop {
        let mut walk = Walk { problem, field, choices: &choices, most, taken: Vec::new(), found: Vec::new() };
        let nothing = walk.at(OnField::default());
        if walk.deeper(0, OnField::default(), nothing).is_some() || most == 1 {
            let most = (most < whole).then(|| walk.most_worth());
            return Ways { all: walk.found, most };
        }
        most -= 1;
    }
}

/// The mixes of a field that what there is suffices for; those that it does not, where a part of the
/// field may be done so; and what one that was left out could be worth more than the best of the first.
fn by_stock(
    problem: &Problem,
    field: usize,
    ways: &Ways,
    resources: &[(usize, &Resource)],
) -> (Vec<FieldOption>, Vec<FieldOption>, f64) {
    let acres = problem.fields[field].hundredths as f64 / 100.0;
    let (mut found, mut over) = (Vec::new(), Vec::new());
    for way in &ways.all {
        let mut takes: Vec<(usize, Pounds)> = Vec::new();
        // The share of the field that there is enough for.
        let mut share = 1.0_f64;
        for (index, resource) in resources {
            let sum: Pounds = way.entries.iter().map(|entry| problem.takes(resource, entry)).sum();
            if sum > resource.pounds {
                share = share.min(resource.pounds.0.max(0) as f64 / sum.0 as f64);
            }
            if sum.0 > 0 {
                takes.push((*index, sum));
            }
        }
        let mix = FieldOption { entries: Arc::clone(&way.entries), worth: way.worth, takes };
        if share >= 1.0 {
            found.push(mix);
        } else if share * acres >= problem.least_part && over.len() < MOST_MIXES {
            // Else not even the smallest part can be done so.
            over.push(mix);
        }
    }
    let best = found.iter().map(|mix| mix.worth).fold(0.0, f64::max);
    let more = ways.most.map_or(0.0, |most| (most - best).max(0.0));
    (found, over, more)
}

/// What some applications put on the field.
#[derive(Clone, Copy, Debug, Default)]
struct OnField {
    supplied: Npk<f64>,
    /// What goes on the rest of a field that was done in part, besides.
    on_rest: Npk<f64>,
    /// Loading, spreading and hauling, jobs and loads, and what the litter would be worth.
    spent: f64,
    /// The most that it can save of getting rid of litter.
    saved: f64,
}

/// A mix as the walk weighs it, in dollars (or pounds of nutrient).
#[derive(Clone, Copy, Debug)]
struct Node {
    worth: f64,
    /// No less than that but for a constant, and gained less by all that goes on later.
    upper: f64,
    /// By how much the worth may lie below it, here and with more on the field.
    above: f64,
}

struct Walk<'a> {
    problem: &'a Problem,
    field: usize,
    choices: &'a [usize],
    most: usize,
    /// The applications of the mix at hand.
    taken: Vec<Pick>,
    found: Vec<Way>,
}

impl Walk<'_> {
    /// Adds one more application from `start` on; `None` when there are too
    /// many mixes.
    fn deeper(&mut self, start: usize, load: OnField, node: Node) -> Option<()> {
        if self.taken.len() >= self.most {
            return Some(());
        }
        for place in start..self.choices.len() {
            let choice = self.choices[place];
            let window = self.problem.choices[choice].window;
            if self.taken.iter().any(|e| self.problem.choices[e.choice].window == window) {
                continue;
            }
            if !self.problem.another_trip(&self.problem.choices[choice], self.taken.iter()) {
                continue;
            }
            for steps in self.problem.least_steps()..=self.most_steps(choice) {
                let entry = Pick { choice, steps };
                if self.ends_thin(&entry) {
                    continue;
                }
                let more = self.with(load, entry);
                self.taken.push(entry);
                let at = self.at(more);
                // Needs that are met pay once: what gains nothing here gains
                // nothing on top of more.
                let deeper = if at.upper - node.upper + node.above > 0.0 {
                    if self.every_part_pays(at.worth) {
                        let entries = Arc::from(self.taken.as_slice());
                        self.found.push(Way { entries, worth: at.worth - more.saved });
                    }
                    self.deeper(place + 1, more, at)
                } else {
                    Some(())
                };
                self.taken.pop();
                deeper?;
            }
            if self.found.len() > MOST_WAYS {
                return None;
            }
        }
        Some(())
    }

    /// Whether a job is on a part of a field and ends in less than half a load: nobody parts a field
    /// to drive such a load.
    fn ends_thin(&self, pick: &Pick) -> bool {
        self.problem.fields[self.field].part && !self.problem.trips.ends_full(self.problem.pounds(pick).tons())
    }

    /// Whether the mix is worth more than nothing, and than itself without any one application.
    fn every_part_pays(&self, worth: f64) -> bool {
        worth > 0.0
            && (0..self.taken.len()).all(|without| {
                let others = self.taken.iter().enumerate().filter(|(i, _)| *i != without);
                let others: Vec<Pick> = others.map(|(_, e)| *e).collect();
                let less = others.iter().fold(OnField::default(), |less, e| self.with(less, *e));
                self.worth(less, &others) < worth
            })
    }

    fn with(&self, load: OnField, entry: Pick) -> OnField {
        let rate = self.problem.rate(entry.steps);
        let Choice { per_ton, cost, lot, first, on_rest, .. } = &self.problem.choices[entry.choice];
        let pounds = self.problem.pounds(&entry);
        let tons = pounds.tons();
        let more = |on: Npk<f64>| on.with(*per_ton, |sum, per_ton| sum + rate * per_ton);
        OnField {
            supplied: if *on_rest { load.supplied } else { more(load.supplied) },
            on_rest: if *on_rest { more(load.on_rest) } else { load.on_rest },
            spent: load.spent + tons * (cost + self.problem.lots[*lot].worth_left) + self.problem.trips.dollars(pounds),
            saved: load.saved + tons * most_saved(self.problem, *lot, *first),
        }
    }

    /// Most steps that a choice may take on top of what is taken.
    fn most_steps(&self, choice: usize) -> i64 {
        let (problem, c) = (self.problem, &self.problem.choices[choice]);
        let by = |(cap, held): (usize, &f64)| {
            let room = || problem.room(cap, c, self.taken.iter());
            if *held > 0.0 { (room() + SLACK).max(0.0) / held } else { f64::INFINITY }
        };
        let most = c.uses.iter().enumerate().map(by).fold(f64::INFINITY, f64::min);
        // A spreader never goes past 100 tons an acre: the bound of a rate.
        (most.clamp(0.0, 100.0) / problem.step + 1e-9).floor() as i64
    }

    /// More than any mix of the field is worth: every need met for nothing.
    fn most_worth(&self) -> f64 {
        let field = &self.problem.fields[self.field];
        match &field.bill {
            Some(bill) => bill.most_saved(),
            None => {
                let met = |need: Npk<f64>, hundredths: i64| {
                    let dollars = need.with(self.problem.worth, |lb, price| lb * price);
                    hundredths as f64 / 100.0 * (dollars.n + dollars.p2o5 + dollars.k2o)
                };
                let rest = field.rest.as_ref().map_or(0.0, |rest| met(rest.need, rest.hundredths));
                met(field.need, field.hundredths) + rest
            }
        }
    }

    /// The mix at hand.
    fn at(&self, load: OnField) -> Node {
        let Some(bill) = &self.problem.fields[self.field].bill else {
            let worth = self.by_the_pound(load);
            return Node { worth, upper: worth, above: 0.0 };
        };
        let left = bill.left(self.problem, &self.taken);
        let (upper, above) = bill.at_most(&left);
        let spent = load.spent - load.saved;
        Node { worth: bill.saved(&left) - spent, upper: upper - spent, above }
    }

    /// What some applications are worth, less what is spent on them, with what they can save at
    /// most of getting rid of litter.
    fn worth(&self, load: OnField, picks: &[Pick]) -> f64 {
        match &self.problem.fields[self.field].bill {
            Some(bill) => bill.saved(&bill.left(self.problem, picks)) - load.spent + load.saved,
            None => self.by_the_pound(load),
        }
    }

    /// The same where a pound that is met has one price.
    fn by_the_pound(&self, load: OnField) -> f64 {
        let field = &self.problem.fields[self.field];
        let saved = |need: Npk<f64>, on: Npk<f64>, hundredths: i64| {
            let saved = need.with(on, f64::min).with(self.problem.worth, |lb, price| lb * price);
            hundredths as f64 / 100.0 * (saved.n + saved.p2o5 + saved.k2o)
        };
        let rest = field.rest.as_ref();
        let on_rest = rest.map_or(0.0, |rest| {
            saved(rest.need, load.supplied.with(load.on_rest, |all, own| all + own), rest.hundredths)
        });
        let hundredths = field.hundredths - rest.map_or(0, |rest| rest.hundredths);
        saved(field.need, load.supplied, hundredths) + on_rest - load.spent + load.saved
    }
}
