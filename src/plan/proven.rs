//! What the certificate of a printed plan is of: the pool made anew, and what the plan is worth in
//! its count. Nothing of a printed plan is believed.

use crate::plan::answer::{Application, Certified, FieldPlan, Plan, Sale};
use crate::plan::certify::{adds, priced_pool};
use crate::plan::must_leave::{Weights, cost};
use crate::plan::options::{AllOptions, all_options};
use crate::plan::pick::Pick;
use crate::plan::pools::{Extra, OnFarm, UNITS};
use crate::plan::problem::{Problem, Room};
use crate::plan::sales::{Sold, amounts, brings};
use crate::proof;
use crate::solve::Pool;

/// What a certificate is of.
#[derive(Clone, Debug)]
pub struct Proven {
    /// The pool.
    pub pool: Pool,
    /// What the plan is worth; in words, why it is none of the pool's.
    count: Result<Count, String>,
}

/// What is between the count of a pool and the dollars (or pounds of nutrients) of a plan.
#[derive(Clone, Copy, Debug)]
struct Count {
    /// What a bound of the pool counts more as dollars.
    adds: f64,
    /// What ways that nobody looked at could be worth more.
    more: f64,
    /// What the plan is worth in this count.
    worth: f64,
    /// The same with what must leave as the plan's days go.
    with_days: f64,
}

impl Proven {
    /// The pool as text, for other checkers.
    #[must_use]
    pub fn ways(&self) -> String {
        proof::text(&self.pool)
    }

    /// Dollars by which no plan gains more than this one, if no plan of the pool is worth more
    /// than so many units; and those between the units and what the plan says that it gains.
    ///
    /// # Errors
    /// In words, where the plan is none of the pool's.
    pub fn dollars(&self, units: i64, says: f64) -> Result<(f64, f64), String> {
        let Count { adds, more, worth, with_days } = self.count.clone()?;
        let dollars = units as f64 / UNITS + adds;
        let most = (dollars.max(worth) + more).max(with_days);
        Ok((most - with_days, adds + more + says - with_days))
    }
}

/// What the certificate of a plan is of.
///
/// # Errors
/// In words, where the plan says what its farm does not have.
pub fn proven(problem: &Problem, plan: &Plan, shown: &Certified) -> Result<Proven, String> {
    sound(problem, shown)?;
    let resources = problem.resources();
    let all = all_options(problem, &resources);
    let farm = OnFarm { problem, resources: &resources, sales: amounts(problem) };
    let extra = Extra { favors: &shown.favors, weights: Weights::of_list(&shown.weights) };
    let pool = priced_pool(&farm, &all.whole, &extra).ok_or_else(|| "its numbers are past any farm".to_string())?;
    Ok(Proven { pool, count: counted(&farm, &all, plan, &extra) })
}

/// The question as the pool that the solver is first asked; none where its numbers are past any farm.
#[must_use]
pub fn pool_of(problem: &Problem) -> Option<Pool> {
    let resources = problem.resources();
    let all = all_options(problem, &resources);
    let even = vec![0.0; problem.lots.len()];
    let extra = Extra { favors: &even, weights: Weights::none(problem) };
    priced_pool(&OnFarm { problem, resources: &resources, sales: amounts(problem) }, &all.whole, &extra)
}

/// What a plan is worth, each field by the way in which it is done.
fn counted(farm: &OnFarm<'_>, all: &AllOptions, plan: &Plan, extra: &Extra<'_>) -> Result<Count, String> {
    let problem = farm.problem;
    let (mut entries, mut worth) = (Vec::new(), 0.0);
    for (at, field) in plan.fields.iter().enumerate() {
        let none = || format!("what goes on {} is none of the ways to do it that the proof is of", field.id);
        let own = picks(problem, plan, (at, field)).ok_or_else(none)?;
        if own.is_empty() {
            continue;
        }
        let alike = |entries: &[Pick]| {
            let mut entries = entries.to_vec();
            entries.sort_by_key(|pick| (pick.choice, pick.steps));
            entries == own
        };
        let mix = all.whole.get(at).and_then(|mixes| mixes.iter().find(|mix| alike(&mix.entries)));
        let mix = mix.ok_or_else(none)?;
        worth += mix.worth;
        entries.extend(mix.entries.iter().copied());
    }
    let sales: Vec<Sold> = sold(problem, plan).ok_or_else(|| "it sells to an outlet that is not there".to_string())?;
    let disposal = cost(problem, &entries, &sales);
    let worth = worth + sales.iter().map(|sold| brings(problem, sold)).sum::<f64>() - disposal;
    let with_days = worth + disposal - plan.money.as_ref().map_or(0.0, |money| money.disposal);
    Ok(Count { adds: adds(farm, extra, &entries), more: all.more, worth, with_days })
}

/// Favors only for lots that are to be used first, and weights that are no more in all than what
/// getting rid of a ton costs: else the bound would be none.
fn sound(problem: &Problem, shown: &Certified) -> Result<(), String> {
    let favored = |(at, favor): (usize, &f64)| {
        let first = problem.lots.get(at).map(|lot| lot.first);
        favor.is_finite() && (*favor == 0.0 || (*favor > 0.0 && first == Some(true)))
    };
    let fits = shown.favors.is_empty() || shown.favors.len() == problem.lots.len();
    if !fits || !shown.favors.iter().enumerate().all(favored) {
        return Err("its proof favors lots that do not go first".to_string());
    }
    let of_room = |(room, weights): (&Room, &Vec<f64>)| {
        let all: f64 = weights.iter().sum();
        room.must.len() == weights.len()
            && weights.iter().all(|weight| weight.is_finite() && *weight >= 0.0)
            && all <= problem.rid * (1.0 + 1e-9)
    };
    let fits = shown.weights.is_empty() || shown.weights.len() == problem.rooms.len();
    if !fits || !problem.rooms.iter().zip(&shown.weights).all(of_room) {
        return Err("its proof weighs what must leave by more than getting rid of it costs".to_string());
    }
    Ok(())
}

/// What a plan puts on a field, as picks in order.
fn picks(problem: &Problem, plan: &Plan, (at, field): (usize, &FieldPlan)) -> Option<Vec<Pick>> {
    let pick = |job: &Application| {
        let choice = problem.choices.iter().position(|choice| {
            choice.field == at
                && plan.lots.get(choice.lot).is_some_and(|lot| lot.id == job.lot)
                && (choice.first, choice.last, choice.on_rest) == (job.first, job.last, job.rest_acres.is_some())
                && field.windows.get(choice.window).is_some_and(|window| window.season == job.season)
        })?;
        let steps = (job.rate / problem.step).round();
        let whole = (steps * problem.step - job.rate).abs() < 1e-6 && (0.0..1e6).contains(&steps);
        whole.then_some(Pick { choice, steps: steps as i64 })
    };
    let mut own: Vec<Pick> = field.applications.iter().map(pick).collect::<Option<_>>()?;
    own.sort_by_key(|pick| (pick.choice, pick.steps));
    Some(own)
}

/// What a plan sells; none where no such outlet takes it.
fn sold(problem: &Problem, plan: &Plan) -> Option<Vec<Sold>> {
    let one = |sale: &Sale| {
        let lot = plan.lots.iter().position(|lot| lot.id == sale.lot)?;
        let outlet = problem.outlets.iter().position(|outlet| {
            outlet.lots.contains(&lot)
                && (outlet.price - sale.price).abs() < 1e-9
                && (outlet.first, outlet.last) == (sale.first, sale.last)
        })?;
        Some(Sold { outlet, lot, pounds: sale.pounds })
    };
    plan.sales.iter().map(one).collect()
}
