//! What outlets may take, to the pound.
//!
//! The solver knows whole options only. So each outlet and lot has a few groups of one
//! amount each, doubling from the smallest: together they make every amount up to the
//! most, in steps of the smallest, and what is left of a step is filled up afterwards.

use crate::plan::pick::Pick;
use crate::plan::problem::{Problem, ProblemOutlet};
use crate::plan::resources::{Draw, Resource};
use crate::plan::stock::StockRun;
use crate::units::Pounds;
use jiff::civil::Date;
use std::collections::{BTreeSet, VecDeque};

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

/// The smallest amount that the solver sells.
const STEP: Pounds = Pounds(8);

/// The amounts that each outlet may take of each lot, any of them together.
pub(super) fn amounts(problem: &Problem) -> Vec<Sold> {
    let mut all = Vec::new();
    for (outlet, takes) in problem.outlets.iter().enumerate() {
        for &lot in &takes.lots {
            let there = problem.there(lot, takes.last);
            let mut left = takes.most.map_or(there, |most| most.min(there));
            let mut step = STEP;
            while left.0 > 0 {
                let pounds = step.min(left);
                all.push(Sold { outlet, lot, pounds });
                left -= pounds;
                step += step;
            }
        }
    }
    all
}

/// What a sale brings beyond what its litter would bring if it were left.
pub(super) fn brings(problem: &Problem, sold: &Sold) -> f64 {
    sold.pounds.tons() * gain(problem, (sold.outlet, sold.lot))
}

/// What a ton brings beyond what it would bring if it were left.
fn gain(problem: &Problem, (outlet, lot): (usize, usize)) -> f64 {
    problem.outlets[outlet].price - problem.lots[lot].worth_left
}

/// The most that sales by the pound can bring beyond those by steps.
pub(super) fn slack(problem: &Problem) -> f64 {
    let pairs = problem.outlets.iter().enumerate().flat_map(|(o, takes)| takes.lots.iter().map(move |lot| (o, *lot)));
    pairs.map(|pair| STEP.tons() * (gain(problem, pair).max(0.0) + problem.rid)).sum()
}

/// What a sale takes of a resource.
fn takes(problem: &Problem, resource: &Resource, sold: &Sold) -> Pounds {
    let outlet = &problem.outlets[sold.outlet];
    let draws = resource.of == Draw::Outlet { outlet: sold.outlet }
        || problem.draws(resource, sold.lot, (outlet.first, outlet.last));
    if draws { sold.pounds } else { Pounds(0) }
}

/// What an amount uses of the resources.
pub(super) fn uses(problem: &Problem, resources: &[Resource], sold: &Sold) -> Vec<(usize, i64)> {
    let of = resources.iter().enumerate().map(|(index, resource)| (index, takes(problem, resource, sold).0));
    of.filter(|(_, pounds)| *pounds > 0).collect()
}

/// The sales of a choice, each outlet and lot once, filled up to the pound: the one that
/// brings most first.
pub(super) fn filled(problem: &Problem, resources: &[Resource], entries: &[Pick], taken: &[Sold]) -> Vec<Sold> {
    let mut sales: Vec<Sold> = Vec::new();
    for (outlet, takes) in problem.outlets.iter().enumerate() {
        let of = |lot: usize| taken.iter().filter(move |s| (s.outlet, s.lot) == (outlet, lot)).map(|s| s.pounds).sum();
        sales.extend(takes.lots.iter().map(|&lot| Sold { outlet, lot, pounds: of(lot) }));
    }
    let mut order: Vec<usize> = (0..sales.len()).collect();
    order.sort_by(|a, b| {
        let brings = |at: usize| gain(problem, (sales[at].outlet, sales[at].lot));
        brings(*b).total_cmp(&brings(*a))
    });
    for at in order {
        let sold = sales[at];
        if gain(problem, (sold.outlet, sold.lot)) <= 0.0 {
            continue;
        }
        let one = Sold { pounds: Pounds(1), ..sold };
        let room = |resource: &Resource| {
            let spread: Pounds = entries.iter().map(|entry| problem.takes(resource, entry)).sum();
            resource.pounds - spread - sales.iter().map(|sold| takes(problem, resource, sold)).sum()
        };
        let binding = resources.iter().filter(|resource| takes(problem, resource, &one).0 > 0);
        let more = binding.map(room).min().unwrap_or_default().max(Pounds(0));
        sales[at].pounds += more;
    }
    sales.retain(|sold| sold.pounds.0 > 0);
    sales
}

/// Litter of a lot that is there from a day on.
struct Parcel {
    lot: usize,
    day: Option<Date>,
    left: i64,
}

/// What outlets take of litter none of which is spread, with the most that they can pay: each,
/// the dearest first, takes what it can, and what others took before is handed on where they
/// can take other litter in its place.
pub(super) fn all_sold(outlets: &[ProblemOutlet], run: &StockRun) -> Vec<Sold> {
    let mut parcels: Vec<Parcel> = Vec::new();
    for (lot, own) in run.lots.iter().enumerate() {
        parcels.push(Parcel { lot, day: None, left: own.on_hand.0.max(0) });
        parcels.extend(own.comes.iter().map(|(day, pounds)| Parcel { lot, day: Some(*day), left: pounds.0.max(0) }));
    }
    let serves = |outlet: &ProblemOutlet, parcel: &Parcel| {
        outlet.lots.contains(&parcel.lot) && parcel.day.is_none_or(|day| day <= outlet.last)
    };
    let mut takes = vec![vec![0; parcels.len()]; outlets.len()];
    let mut order: Vec<usize> = (0..outlets.len()).collect();
    order.sort_by(|a, b| outlets[*b].price.total_cmp(&outlets[*a].price));
    for outlet in order {
        let mut room = outlets[outlet].most.map_or(i64::MAX, |most| most.0.max(0));
        while room > 0
            && let Some(path) = handed_on(outlet, &parcels, &takes, |o, p| serves(&outlets[o], &parcels[p]))
        {
            // Each of the path takes its parcel, all but the last from the one after it.
            let from_others = path.windows(2).map(|pair| takes[pair[1].0][pair[0].1]);
            let Some(&(_, last)) = path.last() else { break };
            let pounds = from_others.fold(room.min(parcels[last].left), i64::min);
            for pair in path.windows(2) {
                takes[pair[1].0][pair[0].1] -= pounds;
            }
            path.iter().for_each(|(taker, parcel)| takes[*taker][*parcel] += pounds);
            parcels[last].left -= pounds;
            room -= pounds;
        }
    }
    let of = |outlet: usize, lot: usize| {
        let own = parcels.iter().zip(&takes[outlet]).filter(|(parcel, _)| parcel.lot == lot);
        Sold { outlet, lot, pounds: Pounds(own.map(|(_, pounds)| *pounds).sum()) }
    };
    let all = outlets.iter().enumerate().flat_map(|(o, takes)| takes.lots.iter().map(move |lot| (o, *lot)));
    all.map(|(outlet, lot)| of(outlet, lot)).filter(|sold| sold.pounds.0 > 0).collect()
}

/// Who takes which parcel so that an outlet gets one more pound: the outlet itself a parcel of
/// which something is left, or one of another outlet, which takes another in its place, and so
/// on. The shortest way; none where there is none.
fn handed_on(
    outlet: usize,
    parcels: &[Parcel],
    takes: &[Vec<i64>],
    serves: impl Fn(usize, usize) -> bool,
) -> Option<Vec<(usize, usize)>> {
    let mut seen = BTreeSet::from([outlet]);
    let mut ways: VecDeque<(usize, Vec<(usize, usize)>)> = VecDeque::from([(outlet, Vec::new())]);
    while let Some((taker, way)) = ways.pop_front() {
        let own: Vec<usize> = (0..parcels.len()).filter(|parcel| serves(taker, *parcel)).collect();
        let with = |parcel: usize| [way.as_slice(), &[(taker, parcel)]].concat();
        if let Some(free) = own.iter().find(|parcel| parcels[**parcel].left > 0) {
            return Some(with(*free));
        }
        for parcel in own {
            let others = (0..takes.len()).filter(|other| takes[*other][parcel] > 0);
            for other in others {
                if seen.insert(other) {
                    ways.push_back((other, with(parcel)));
                }
            }
        }
    }
    None
}
