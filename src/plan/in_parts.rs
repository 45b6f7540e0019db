//! Fields done in parts: the most that any plan in parts of fields is worth, and the lines along
//! which it pays to part one.
//!
//! The worth and the litter of a way to do a field go by its acres, so a part of a field is worth
//! that part of it, and the prices of the stocks that bound the plans in whole fields bound those
//! in parts too.

use crate::balance::HeadedLine;
use crate::plan::options::{AllOptions, FieldOption, all_options};
use crate::plan::pools::{OnFarm, TRIP, UNITS, group, sell, stocks};
use crate::plan::problem::Problem;
use crate::plan::sales::{self, amounts, slack};
use crate::solve::{PRICE_BITS, Pool, Target, prove, solve};
use crate::units::Pounds;
use std::sync::Arc;

/// So many strips, all fields together, are enough to price stocks of which a field takes more
/// than there is.
const STRIPS: usize = 64;
/// Most strips of one field.
const MOST_STRIPS: usize = 8;

/// The most that a plan is worth whose fields may be done in parts.
pub(super) fn bound(farm: &OnFarm<'_>, all: &AllOptions) -> Option<f64> {
    if all.over_lost {
        return None;
    }
    let priced = Priced::of(farm, all)?;
    Some((priced.bound + i128::from(TRIP * farm.most_jobs() as i64)) as f64 / UNITS + slack(farm.problem))
}

/// The stocks with their prices.
struct Priced {
    /// Of each resource, in units of worth a pound.
    prices: Vec<f64>,
    /// What no plan in parts is worth more than, in units of worth.
    bound: i128,
}

impl Priced {
    fn of(farm: &OnFarm<'_>, all: &AllOptions) -> Option<Priced> {
        let fields = farm.problem.fields.len().max(1);
        let over = all.over.iter().any(|mixes| !mixes.is_empty());
        let strips = if over { (STRIPS / fields).clamp(1, MOST_STRIPS) } else { 1 };
        let answer = solve(&pool(farm, all, strips as i64, true)?, &PRICES_ALONE).ok()?;
        let bound = prove(&pool(farm, all, 1, false)?, &answer.prices);
        let one = (1_u64 << PRICE_BITS) as f64;
        Some(Priced { prices: answer.prices.iter().map(|price| *price as f64 / one).collect(), bound })
    }

    /// What a way to do a field is worth, less what it draws on.
    fn net(&self, mix: &FieldOption) -> f64 {
        let drawn = mix.takes.iter().map(|(resource, pounds)| self.prices[*resource] * pounds.0 as f64);
        drawn.fold(mix.worth * UNITS, |net, drawn| net - drawn)
    }
}

/// Prices are wanted, no plan.
const PRICES_ALONE: Target = Target { gap: 1_000_000_000, floor: 0, effort: 0 };

/// The share of a field, at most that of a strip, for which there is enough of everything that a way
/// to do it takes.
fn share(farm: &OnFarm<'_>, mix: &FieldOption, strips: i64) -> f64 {
    let enough =
        |(resource, pounds): &(usize, Pounds)| farm.resources[*resource].pounds.0.max(0) as f64 / pounds.0 as f64;
    mix.takes.iter().map(enough).fold(1.0 / strips as f64, f64::min)
}

/// Every field in so many strips, a group each, with the ways that only a part of it can be done, cut
/// down to what there is where prices are wanted; and a group for every amount to be sold.
fn pool(farm: &OnFarm<'_>, all: &AllOptions, strips: i64, cut_down: bool) -> Option<Pool> {
    let mut pool = stocks(farm)?;
    for (whole, over) in all.whole.iter().zip(&all.over) {
        let ways = || {
            whole.iter().chain(over).map(|mix| {
                let part = if cut_down { share(farm, mix, strips) } else { 1.0 };
                (((mix.worth * UNITS).round() * part).floor() as i64, mix, part)
            })
        };
        (0..strips).try_for_each(|_| group(&mut pool, ways()))?;
    }
    sell(&mut pool, farm, &|sold| sales::brings(farm.problem, sold))?;
    Some(pool)
}

/// What is asked of the parts of fields.
pub struct Parting<'a> {
    /// What a part must gain, in the problem's worth.
    pub gain: f64,
    /// The lines between the runs of a field along which it may be parted.
    pub lines: &'a dyn Fn(usize) -> Vec<HeadedLine>,
}

/// A field that is parted.
#[derive(Clone, Copy, Debug)]
pub struct Parted {
    /// Which.
    pub field: usize,
    /// The line between its parts.
    pub line: HeadedLine,
}

/// So many fields are looked at: plans in parts need no more parted fields than stocks run short.
const MOST_FIELDS: usize = 4;
/// So many ways to do a field are paired, those first that lose least at the prices.
const MOST_WAYS: usize = 12;
/// Effort for the plan of the pairs.
const PAIRS: Target = Target { gap: 100_000, floor: 0, effort: 2_000_000 };

/// The lines along which fields are parted in the plan that gains most by it; none where none
/// gains enough.
#[must_use]
pub fn parted(problem: &Problem, asked: &Parting<'_>) -> Vec<Parted> {
    let resources = problem.resources();
    let all = all_options(problem, &resources);
    let farm = OnFarm { problem, resources: &resources, sales: amounts(problem) };
    pairs(&farm, &all, asked).unwrap_or_default()
}

fn pairs(farm: &OnFarm<'_>, all: &AllOptions, asked: &Parting<'_>) -> Option<Vec<Parted>> {
    let priced = Priced::of(farm, all)?;
    let nothing = FieldOption { entries: Arc::from([]), worth: 0.0, takes: Vec::new() };
    let mut ways: Vec<(f64, usize, Vec<&FieldOption>)> = Vec::new();
    for field in 0..farm.problem.fields.len() {
        let mut own: Vec<&FieldOption> = all.whole[field].iter().chain(&all.over[field]).chain([&nothing]).collect();
        own.sort_by(|a, b| priced.net(b).total_cmp(&priced.net(a)));
        own.truncate(MOST_WAYS);
        if let [first, second, ..] = own[..] {
            ways.push((priced.net(first) - priced.net(second), field, own));
        }
    }
    // Where two ways are worth the same at the prices, a plan in parts takes some of both.
    ways.sort_by(|(a, own, _), (b, other, _)| a.total_cmp(b).then(own.cmp(other)));
    ways.truncate(MOST_FIELDS);
    let mut mixed: Vec<(usize, Parted, FieldOption)> = Vec::new();
    for (_, field, own) in &ways {
        let acres = farm.problem.fields[*field].hundredths as f64 / 100.0;
        for line in (asked.lines)(*field) {
            let (of, left) = (Parted { field: *field, line }, line.line.left_acres);
            let two = own.iter().flat_map(|left_way| own.iter().map(move |right_way| (*left_way, *right_way)));
            let two = two.filter(|(one, other)| one.entries != other.entries);
            let fits = two.filter(|(one, other)| {
                ends_full(farm.problem, one, left) && ends_full(farm.problem, other, acres - left)
            });
            mixed.extend(fits.map(|(one, other)| (*field, of, beside(one, other, left / acres, asked.gain))));
        }
    }
    let (pool, first) = with_pairs(farm, all, &mixed)?;
    let answer = solve(&pool, &PAIRS).ok()?;
    let own = |field: usize| {
        let taken = answer.taken.get(field).copied().flatten()?.checked_sub(all.whole[field].len())?;
        Some(mixed[first[field] + taken].1)
    };
    Some((0..all.whole.len()).filter_map(own).collect())
}

/// One way on so much of a field, another on the rest.
fn beside(one: &FieldOption, other: &FieldOption, share: f64, gain: f64) -> FieldOption {
    let mut takes: Vec<(usize, Pounds)> = Vec::new();
    for (mix, part) in [(one, share), (other, 1.0 - share)] {
        for (resource, pounds) in &mix.takes {
            let own = Pounds((pounds.0 as f64 * part).ceil() as i64);
            match takes.iter_mut().find(|(index, _)| index == resource) {
                Some((_, sum)) => *sum += own,
                None => takes.push((*resource, own)),
            }
        }
    }
    let worth = share * one.worth + (1.0 - share) * other.worth - gain;
    FieldOption { entries: Arc::from([]), worth, takes }
}

/// Whether each spreading on so many acres ends in a full load, or in half of one at the least.
fn ends_full(problem: &Problem, mix: &FieldOption, acres: f64) -> bool {
    mix.entries.iter().all(|pick| problem.trips.ends_full(problem.rate(pick.steps) * acres))
}

/// The ways to do whole fields, behind those of each field its pairs; and where those of each field
/// begin.
fn with_pairs(
    farm: &OnFarm<'_>,
    all: &AllOptions,
    mixed: &[(usize, Parted, FieldOption)],
) -> Option<(Pool, Vec<usize>)> {
    let mut pool = stocks(farm)?;
    let mut first = Vec::new();
    for (field, whole) in all.whole.iter().enumerate() {
        let own = mixed.iter().filter(|(of, _, _)| *of == field).map(|(_, _, mix)| mix);
        first.push(mixed.iter().position(|(of, _, _)| *of == field).unwrap_or(0));
        let units = |mix: &FieldOption| (mix.worth * UNITS).round() as i64 - TRIP * mix.entries.len() as i64;
        group(&mut pool, whole.iter().chain(own).map(|mix| (units(mix), mix, 1.0)))?;
    }
    sell(&mut pool, farm, &|sold| sales::brings(farm.problem, sold))?;
    Some((pool, first))
}
