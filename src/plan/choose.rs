//! The chooser: the plan that is worth most, with the proof of how much better
//! any other could be.
//!
//! Lives here: a farm's question put as a pool of options for `solve`, and its
//! answer read back. Never here: the search itself, or what a limit is.

use crate::plan::certify::{self, MOST_PARTS, Shows};
use crate::plan::in_parts;
use crate::plan::must_leave::{Weights, cost, matters};
use crate::plan::options::{FieldOption, all_options};
use crate::plan::pick::Pick;
use crate::plan::pools::{Extra, OnFarm, UNITS, pool};
use crate::plan::problem::Problem;
use crate::plan::sales::{Sold, amounts, brings, filled};
use crate::plan::ties::{Likelier, jobs, likelier};
use crate::solve::{Answer, Target, prove, solve_and_show};

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
    /// outlets pay, less `disposal`. Dollars, or pounds of needed nutrients where the
    /// farm gives no prices.
    pub worth: f64,
    /// Dollars of getting rid of what must leave, as if all that may go out before a
    /// day does.
    pub disposal: f64,
    /// No plan is worth more than this; where some lots are to be used first, none that
    /// uses as much of them. Litter that waits while its storage is full costs in it as
    /// much as `disposal` says.
    pub bound: f64,
    /// No plan is worth more than this in which fields are done in parts too, each part by any of
    /// the ways to do the field; none where it was not asked for, or could not be said.
    pub in_parts: Option<f64>,
    /// Whether the gap that was asked for is proven.
    pub proven: bool,
    /// What it costs that some lots are to be used first.
    pub first_costs: f64,
    /// The proof of the bound for others to check.
    pub shows: Shows,
}

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
        let Target { gap, floor, effort } = self.target;
        let effort = if problem.outlets.is_empty() { effort } else { effort.min(SALES_EFFORT / 10) };
        let target = Target { gap: gap.max(ROUGH), floor: floor.max(1_000), effort };
        LeastCost { target }.choose(problem)
    }

    fn choose(&self, problem: &Problem) -> Chosen {
        let resources = problem.resources();
        let options = all_options(problem, &resources);
        let farm = OnFarm { problem, resources: &resources, sales: amounts(problem) };
        // What only explains a choice is asked of whole fields.
        let asked = self.asked(problem);
        // Where all ways fit, the prices of the answer do.
        let own_prices = options.over.iter().all(Vec::is_empty) && !options.over_lost;
        let in_parts = (asked && !own_prices).then(|| in_parts::bound(&farm, &options)).flatten();
        let (mut all, more) = (options.whole, options.more);
        let mut must = None;
        if let Some((field, entries)) = &problem.not {
            let told = jobs(problem, entries);
            all[*field].retain(|mix| jobs(problem, &mix.entries) != told);
            must = entries.is_empty().then_some(*field);
        }
        let even = vec![0.0; problem.lots.len()];
        let plain = self.solved(&farm, &all, must, &even);
        let first = problem.lots.iter().any(|lot| lot.first);
        let in_parts = if asked && own_prices { plain.in_parts } else { in_parts };
        let plain_worth = plain.worth;
        let chosen = if first { self.first_lots(&farm, &all, must, plain) } else { plain };
        let first_costs = (plain_worth - chosen.worth).max(0.0);
        let Likelier { entries, disposal, gained } =
            likelier(problem, &resources, &all, (&chosen.entries, &chosen.sales, chosen.disposal));
        let worth = chosen.worth + gained;
        let (bound, proven) = (chosen.bound.max(worth) + more, chosen.proven && more <= 0.0);
        let in_parts = in_parts.map(|most| most.max(bound) + more + loads_spared(&farm));
        let shows = certify::checked(&farm, &all, chosen.shows, &chosen.entries, more);
        let Chosen { sales, .. } = chosen;
        Chosen { entries, sales, disposal, worth, bound, in_parts, proven, first_costs, shows }
    }
}

/// What the loads of fields done in parts may cost less than those of whole ones: no last load of a
/// job is counted fuller than it is.
fn loads_spared(farm: &OnFarm<'_>) -> f64 {
    farm.problem.trips.load * farm.most_jobs() as f64
}

/// Where litter is sold by the pound, a gap this small is none, in units of worth: a
/// quarter of a dollar.
const SALES_GAP: u64 = 25_000;

/// What is sold by the pound makes very many plans that are worth nearly the same: the
/// search for a better one ends sooner, and the gap is told.
const SALES_EFFORT: u64 = 1_000_000;

/// So often are the weights of what must leave moved.
const ROUNDS: i32 = 4;

/// A plan that can be bettered by fewer dollars is not weighed again.
const NEAR: f64 = 1.0;

/// A gap that does for saying what one thing costs, in billionths of the worth.
const ROUGH: u64 = 100_000;

/// Dollars a ton by which a lot that is to be used first is favored, step by
/// step, until as much of it goes out as would if there were no other lot.
const FAVORS: [f64; 6] = [2.0, 5.0, 10.0, 20.0, 40.0, 80.0];

impl LeastCost {
    /// Whether the choice is the plan itself: how good it is, is to be shown.
    fn asked(&self, problem: &Problem) -> bool {
        problem.not.is_none() && self.target.gap < ROUGH
    }

    /// Favors the lots that are to be used first until no more of them can be
    /// placed. A fixed tonnage would do instead, but a limit from below takes
    /// from the solver most of what it may leave out.
    fn first_lots(&self, farm: &OnFarm<'_>, all: &[Vec<FieldOption>], must: Option<usize>, plain: Chosen) -> Chosen {
        let problem = farm.problem;
        let first = |e: &Pick| problem.lots[problem.choices[e.choice].lot].first;
        let used = |chosen: &Chosen| -> i64 {
            let entries = chosen.entries.iter().filter(|e| first(e));
            entries.map(|e| problem.pounds(e).0).sum()
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
    /// without them. `must` is a field that has to get something. Where litter must leave
    /// for money, its cost is weighed until the best plan is found or the rounds are over.
    fn solved(&self, farm: &OnFarm<'_>, all: &[Vec<FieldOption>], must: Option<usize>, favors: &[f64]) -> Chosen {
        let problem = farm.problem;
        let mut extra = Extra { favors, weights: Weights::none(problem) };
        let mut best = self.weighed(farm, all, must, &extra);
        if !matters(problem) || best.worth.is_infinite() {
            return best;
        }
        let mut last = best.clone();
        let rounds = if self.target.gap >= ROUGH { 1 } else { ROUNDS };
        for round in 0..rounds {
            if best.bound - best.worth <= NEAR {
                break;
            }
            extra.weights = extra.weights.moved(problem, (&last.entries, &last.sales), 0.5_f64.powi(round));
            last = self.weighed(farm, all, must, &extra);
            let lower = if last.bound < best.bound { &last } else { &best };
            let (bound, shows) = (lower.bound, lower.shows.clone());
            if last.worth > best.worth {
                best = last.clone();
            }
            (best.bound, best.shows) = (bound.max(best.worth), shows);
        }
        best
    }

    fn weighed(&self, farm: &OnFarm<'_>, all: &[Vec<FieldOption>], must: Option<usize>, extra: &Extra<'_>) -> Chosen {
        let problem = farm.problem;
        let units = |mix: &FieldOption| certify::units(farm, mix, extra);
        // More than every mix of every other field together can bring.
        let push = all.iter().flatten().map(|mix| units(mix).max(0)).fold(1, i64::saturating_add);
        let push = must.map_or(0, |_| push.min(i64::MAX / 1_000));
        let worth = |field, mix: &FieldOption| units(mix) + if must == Some(field) { push } else { 0 };
        let pool = pool(farm, all, &worth, extra);
        let nothing = Chosen { worth: f64::NEG_INFINITY, bound: f64::NEG_INFINITY, ..Chosen::default() };
        let Target { floor, effort, .. } = self.target;
        let target = match farm.sales.is_empty() {
            true => self.target,
            false => Target { floor: floor.max(SALES_GAP), effort: effort.min(SALES_EFFORT), ..self.target },
        };
        let parts = if self.asked(problem) { MOST_PARTS } else { 0 };
        let answer = pool.and_then(|pool| {
            let (answer, trace) = solve_and_show(&pool, &target, parts).ok()?;
            // Prices bound plans in parts too.
            let by_prices = prove(&pool, &answer.prices);
            let shows = if parts > 0 { certify::shows(&pool, trace.as_ref(), extra) } else { Shows::Nothing };
            Some((answer, by_prices, shows))
        });
        match answer {
            Some((answer, by_prices, shows)) if must.is_none_or(|field| answer.taken[field].is_some()) => {
                Chosen { shows, ..read(farm, all, (&answer, by_prices), push, extra) }
            }
            // Only numbers past any farm do not fit the solver; then, as where
            // a field cannot get what it must, there is no such plan.
            _ if must.is_some() => nothing,
            _ => Chosen::default(),
        }
    }
}

fn read(
    farm: &OnFarm<'_>,
    all: &[Vec<FieldOption>],
    (answer, by_prices): (&Answer, i128),
    push: i64,
    extra: &Extra<'_>,
) -> Chosen {
    let OnFarm { problem, resources, .. } = *farm;
    let taken: Vec<&FieldOption> =
        all.iter().zip(&answer.taken).filter_map(|(mixes, taken)| mixes.get((*taken)?)).collect();
    let entries: Vec<Pick> = taken.iter().flat_map(|mix| mix.entries.iter().copied()).collect();
    let sold = farm.sales.iter().zip(answer.taken.iter().skip(all.len()));
    let sold: Vec<Sold> = sold.filter(|(_, taken)| taken.is_some()).map(|(sold, _)| *sold).collect();
    let sales = filled(problem, resources, &entries, &sold);
    let disposal = cost(problem, &entries, &sales);
    let worth = taken.iter().map(|mix| mix.worth).sum::<f64>()
        + sales.iter().map(|sold| brings(problem, sold)).sum::<f64>()
        - disposal;
    let adds = certify::adds(farm, extra, &entries);
    let dollars = |units: i128| (units - i128::from(push)) as f64 / UNITS + adds;
    let (bound, in_parts) = (dollars(answer.bound), Some(dollars(by_prices)));
    Chosen {
        entries,
        sales,
        worth,
        disposal,
        bound: bound.max(worth),
        in_parts,
        proven: answer.reached,
        first_costs: 0.0,
        shows: Shows::Nothing,
    }
}
