//! The chooser: the plan that is worth most, with the proof of how much better
//! any other could be.
//!
//! Lives here: a farm's question put as a pool of options for `solve`, and its
//! answer read back. Never here: the search itself, or what a limit is.

use crate::plan::options::{FieldOption, all_options};
use crate::plan::problem::{Pick, Problem};
use crate::plan::resources::{Draw, Resource};
use crate::solve::{Answer, Pool, Target, solve};
use crate::units::{POUNDS_PER_TON, Pounds};

/// Anything that answers a `Problem`.
pub trait Choose: Sync {
    /// The applications to make. No limit may be passed.
    fn choose(&self, problem: &Problem) -> Chosen;

    /// The same where a ten-thousandth does not count: to say what one thing
    /// costs, to the dollar.
    fn roughly(&self, problem: &Problem) -> Chosen {
        self.choose(problem)
    }
}

/// A choice, and how good it is.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Chosen {
    /// The applications.
    pub entries: Vec<Pick>,
    /// What outlets take.
    pub sales: Vec<Sold>,
    /// What they are worth: needed nutrients replaced, less spreading and
    /// hauling, less what the litter would bring if it were left, and what the
    /// outlets pay. Dollars, or pounds of needed nutrients where the farm gives no
    /// prices.
    pub worth: f64,
    /// No plan is worth more than this.
    pub bound: f64,
    /// Whether the gap that was asked for is proven.
    pub proven: bool,
}

/// Litter of a lot that an outlet takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Sold {
    /// Which outlet.
    pub outlet: usize,
    /// Which lot.
    pub lot: usize,
    /// How much.
    pub pounds: Pounds,
}

/// Units of worth in a dollar (or a pound of nutrient): a thousandth of a cent.
const UNITS: f64 = 100_000.0;

/// What a trip counts in units of worth, a cent: of two plans worth the same
/// the one with fewer trips is taken.
const TRIP: i64 = 1_000;

/// The most worth, proven to a ten-millionth where the effort suffices.
#[derive(Clone, Copy, Debug)]
pub struct LeastCost {
    /// What the solver is asked for.
    pub target: Target,
}

impl Default for LeastCost {
    fn default() -> LeastCost {
        // Effort ends the search, never a clock.
        LeastCost { target: Target { gap: 100, floor: 0, effort: 20_000_000 } }
    }
}

impl Choose for LeastCost {
    fn roughly(&self, problem: &Problem) -> Chosen {
        let target = Target { gap: self.target.gap.max(100_000), floor: self.target.floor.max(1_000), ..self.target };
        LeastCost { target }.choose(problem)
    }

    fn choose(&self, problem: &Problem) -> Chosen {
        let resources = problem.resources();
        let mut all = all_options(problem, &resources);
        let mut must = None;
        if let Some((field, entries)) = &problem.not {
            all[*field].retain(|mix| mix.entries != *entries);
            must = entries.is_empty().then_some(*field);
        }
        let even = vec![0.0; problem.lots.len()];
        let farm = OnFarm { problem, resources: &resources, sales: sales(problem) };
        let plain = self.solved(&farm, &all, must, &even);
        if problem.lots.iter().any(|lot| lot.first) { self.first_lots(&farm, &all, must, plain) } else { plain }
    }
}

/// A question with what its choices draw on and what may be sold.
struct OnFarm<'a> {
    problem: &'a Problem,
    resources: &'a [Resource],
    /// By outlet and lot, the amounts that may go.
    sales: Vec<Vec<Sold>>,
}

/// Most amounts of one lot to one outlet: whole tons, or more at once.
const MOST_SALES: i64 = 500;

/// What each outlet may take of each lot.
fn sales(problem: &Problem) -> Vec<Vec<Sold>> {
    let mut sales = Vec::new();
    for (outlet, takes) in problem.outlets.iter().enumerate() {
        for &lot in &takes.lots {
            let there = problem.there(lot, takes.last);
            let most = takes.most.map_or(there, |most| most.min(there)).0.max(0);
            let tons = most / POUNDS_PER_TON;
            let step = (tons / MOST_SALES + 1) * POUNDS_PER_TON;
            let mut amounts: Vec<i64> = (1..=most / step).map(|n| n * step).collect();
            // The outlet's own bound, where it is not a whole number of steps.
            amounts.extend(takes.most.map(|most| most.0).filter(|bound| *bound == most && most % step != 0));
            sales.push(amounts.into_iter().map(|pounds| Sold { outlet, lot, pounds: Pounds(pounds) }).collect());
        }
    }
    sales
}

/// What a sale brings beyond what the litter would bring if it were left.
fn sale_worth(problem: &Problem, sold: &Sold) -> f64 {
    sold.pounds.tons() * (problem.outlets[sold.outlet].price - problem.lots[sold.lot].worth_left)
}

/// Dollars a ton by which a lot that is to be used first is favored, step by
/// step, until as much of it goes out as would if there were no other lot.
const FAVORS: [f64; 6] = [2.0, 5.0, 10.0, 20.0, 40.0, 80.0];

impl LeastCost {
    /// Favors the lots that are to be used first until no more of them can be
    /// placed. A fixed tonnage would do instead, but a limit from below takes
    /// from the solver most of what it may leave out.
    fn first_lots(&self, farm: &OnFarm<'_>, all: &[Vec<FieldOption>], must: Option<usize>, plain: Chosen) -> Chosen {
        let problem = farm.problem;
        let first = |e: &Pick| problem.lots[problem.choices[e.choice].lot].first;
        let used = |chosen: &Chosen| -> i64 {
            let entries = chosen.entries.iter().filter(|e| first(e));
            entries.map(|e| problem.pounds(problem.choices[e.choice].field, e.steps).0).sum()
        };
        let alone: Vec<Vec<FieldOption>> =
            all.iter().map(|mixes| mixes.iter().filter(|m| m.entries.iter().all(first)).cloned().collect()).collect();
        let even = vec![0.0; problem.lots.len()];
        let goal = used(&self.solved(farm, &alone, None, &even));
        let mut best = plain;
        for favor in FAVORS {
            if used(&best) >= goal {
                break;
            }
            let favors: Vec<f64> = problem.lots.iter().map(|lot| if lot.first { favor } else { 0.0 }).collect();
            best = self.solved(farm, all, must, &favors);
        }
        best
    }

    /// Solves with each lot favored by so many dollars a ton; the worth told is
    /// without them. `must` is a field that has to get something.
    fn solved(&self, farm: &OnFarm<'_>, all: &[Vec<FieldOption>], must: Option<usize>, favors: &[f64]) -> Chosen {
        let problem = farm.problem;
        let favor = |mix: &FieldOption| -> f64 {
            let of = |e: &Pick| {
                let c = &problem.choices[e.choice];
                favors[c.lot] * problem.pounds(c.field, e.steps).tons()
            };
            mix.entries.iter().map(of).sum()
        };
        let units =
            |mix: &FieldOption| ((mix.worth + favor(mix)) * UNITS).round() as i64 - TRIP * mix.entries.len() as i64;
        // More than every mix of every other field together can bring.
        let push = all.iter().flatten().map(|mix| units(mix).max(0)).fold(1, i64::saturating_add);
        let push = must.map_or(0, |_| push.min(i64::MAX / 1_000));
        let pool = pool(farm, all, &|field, mix| units(mix) + if must == Some(field) { push } else { 0 });
        let nothing = Chosen { worth: f64::NEG_INFINITY, bound: f64::NEG_INFINITY, ..Chosen::default() };
        let answer = pool.and_then(|pool| solve(&pool, &self.target).ok());
        match answer {
            Some(answer) if must.is_none_or(|field| answer.taken[field].is_some()) => {
                read(farm, all, &answer, push, &favor)
            }
            // Only numbers past any farm do not fit the solver; then, as where
            // a field cannot get what it must, there is no such plan.
            _ if must.is_some() => nothing,
            _ => Chosen::default(),
        }
    }
}

/// The question as a pool: a group a field, and one for every outlet and lot.
fn pool(farm: &OnFarm<'_>, all: &[Vec<FieldOption>], units: &dyn Fn(usize, &FieldOption) -> i64) -> Option<Pool> {
    let OnFarm { problem, resources, sales } = farm;
    let mut pool = Pool::new(resources.iter().map(|resource| resource.pounds.0.max(0)).collect()).ok()?;
    let mut uses: Vec<(usize, i64)> = Vec::new();
    for (field, mixes) in all.iter().enumerate() {
        pool.group();
        for mix in mixes {
            uses.clear();
            uses.extend(mix.takes.iter().map(|(resource, pounds)| (*resource, pounds.0)));
            pool.option(units(field, mix), &uses).ok()?;
        }
    }
    for amounts in sales {
        pool.group();
        for sold in amounts {
            let outlet = &problem.outlets[sold.outlet];
            let of_it = |resource: &Resource| {
                resource.of == Draw::Outlet { outlet: sold.outlet }
                    || problem.draws(resource, sold.lot, (outlet.first, outlet.last))
            };
            uses.clear();
            uses.extend(resources.iter().enumerate().filter(|(_, r)| of_it(r)).map(|(r, _)| (r, sold.pounds.0)));
            pool.option((sale_worth(problem, sold) * UNITS).round() as i64, &uses).ok()?;
        }
    }
    Some(pool)
}

fn read(
    farm: &OnFarm<'_>,
    all: &[Vec<FieldOption>],
    answer: &Answer,
    push: i64,
    favor: &dyn Fn(&FieldOption) -> f64,
) -> Chosen {
    let taken: Vec<&FieldOption> =
        all.iter().zip(&answer.taken).filter_map(|(mixes, taken)| mixes.get((*taken)?)).collect();
    let sold = farm.sales.iter().zip(answer.taken.iter().skip(all.len()));
    let sales: Vec<Sold> = sold.filter_map(|(amounts, taken)| amounts.get((*taken)?)).copied().collect();
    let sold: f64 = sales.iter().map(|sold| sale_worth(farm.problem, sold)).sum();
    let worth: f64 = taken.iter().map(|mix| mix.worth).sum::<f64>() + sold;
    let favored: f64 = taken.iter().map(|mix| favor(mix)).sum();
    let entries: Vec<Pick> = taken.iter().flat_map(|mix| mix.entries.iter().copied()).collect();
    // The trips of the plan taken are given back; the bound counts them too.
    let trips = TRIP * entries.len() as i64;
    let bound = (answer.bound - i128::from(push - trips)) as f64 / UNITS - favored;
    Chosen { entries, sales, worth, bound: bound.max(worth), proven: answer.reached }
}
