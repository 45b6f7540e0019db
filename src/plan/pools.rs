//! A farm's question as a pool of options for `solve`: what each way to do a field is worth
//! and draws on, and each amount that may be sold.

use crate::plan::must_leave::Weights;
use crate::plan::options::FieldOption;
use crate::plan::pick::Pick;
use crate::plan::problem::{Problem, ProblemField};
use crate::plan::resources::Resource;
use crate::plan::sales::{self, Sold, brings};
use crate::solve::Pool;

/// Units of worth in a dollar (or a pound of nutrient): a thousandth of a cent.
pub(super) const UNITS: f64 = 100_000.0;

/// What a trip counts in units of worth, a cent: of two plans worth the same
/// the one with fewer trips is taken.
pub(super) const TRIP: i64 = 1_000;

/// A question with what its choices draw on and what may be sold.
pub(super) struct OnFarm<'a> {
    pub(super) problem: &'a Problem,
    pub(super) resources: &'a [Resource],
    /// The amounts that may go to outlets.
    pub(super) sales: Vec<Sold>,
}

impl OnFarm<'_> {
    /// The most jobs that any plan has.
    pub(super) fn most_jobs(&self) -> usize {
        self.problem.fields.iter().map(ProblemField::applications).sum()
    }
}

/// What is added to the worth of what goes out.
pub(super) struct Extra<'a> {
    /// Dollars a ton by which each lot is favored.
    pub(super) favors: &'a [f64],
    /// What getting rid of litter costs, by storage and day.
    pub(super) weights: Weights,
}

impl Extra<'_> {
    pub(super) fn of_mix(&self, problem: &Problem, mix: &FieldOption) -> f64 {
        let favors: f64 = mix.entries.iter().map(|entry| self.favor(problem, entry)).sum();
        self.weights.saved_by(problem, &mix.entries, &[]) + favors
    }

    /// Dollars by which an application is favored.
    pub(super) fn favor(&self, problem: &Problem, entry: &Pick) -> f64 {
        let lot = problem.choices[entry.choice].lot;
        self.favors.get(lot).map_or(0.0, |favor| favor * problem.pounds(entry).tons())
    }

    /// What a sale brings beyond what the litter would bring if it were left.
    pub(super) fn of_sale(&self, problem: &Problem, sold: &Sold) -> f64 {
        brings(problem, sold) + self.weights.saved_by(problem, &[], std::slice::from_ref(sold))
    }
}

/// The question as a pool: a group a field, and one for every amount to be sold.
pub(super) fn pool(
    farm: &OnFarm<'_>,
    all: &[Vec<FieldOption>],
    units: &dyn Fn(usize, &FieldOption) -> i64,
    extra: &Extra<'_>,
) -> Option<Pool> {
    let mut pool = stocks(farm)?;
    for (field, mixes) in all.iter().enumerate() {
        group(&mut pool, mixes.iter().map(|mix| (units(field, mix), mix, 1.0)))?;
    }
    sell(&mut pool, farm, &|sold| extra.of_sale(farm.problem, sold))?;
    Some(pool)
}

/// What there is of everything, and no group yet.
pub(super) fn stocks(farm: &OnFarm<'_>) -> Option<Pool> {
    Pool::new(farm.resources.iter().map(|resource| resource.pounds.0.max(0)).collect()).ok()
}

/// One more group of ways, each with its worth in units and the share of what it takes that it draws.
pub(super) fn group<'m>(pool: &mut Pool, ways: impl Iterator<Item = (i64, &'m FieldOption, f64)>) -> Option<()> {
    pool.group();
    let mut uses: Vec<(usize, i64)> = Vec::new();
    for (units, mix, share) in ways {
        uses.clear();
        uses.extend(mix.takes.iter().map(|(resource, pounds)| (*resource, (pounds.0 as f64 * share).floor() as i64)));
        pool.option(units, &uses).ok()?;
    }
    Some(())
}

/// A group for every amount that may be sold.
pub(super) fn sell(pool: &mut Pool, farm: &OnFarm<'_>, dollars: &dyn Fn(&Sold) -> f64) -> Option<()> {
    for sold in &farm.sales {
        pool.group();
        let worth = (dollars(sold) * UNITS).round() as i64;
        pool.option(worth, &sales::uses(farm.problem, farm.resources, sold)).ok()?;
    }
    Some(())
}
