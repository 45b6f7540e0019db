//! Which groups a search opens, how they are dealt to two halves, and which
//! group a branching splits.

use super::dual::Prices;
use super::greedy::Standing;
use super::halves::{Choice, Slot};
use super::lean::Lean;

/// Bins of the count of mixes by loss.
const BINS: usize = 64;

/// Groups dealt to two halves, with their options.
pub(super) struct Halves {
    pub(super) groups: [Vec<u32>; 2],
    pub(super) slots: [Vec<Slot>; 2],
    count: [Count; 2],
    budget: i64,
}

impl Halves {
    pub(super) fn new(budget: i64) -> Halves {
        Halves {
            groups: [Vec::new(), Vec::new()],
            slots: [Vec::new(), Vec::new()],
            count: [Count::new(), Count::new()],
            budget,
        }
    }

    /// Adds a group to the half with fewer mixes, unless that makes more than
    /// `most`.
    pub(super) fn deal(&mut self, group: u32, slot: Slot, most: u64) -> bool {
        let side = usize::from(self.count[1].sum < self.count[0].sum);
        let next = self.count[side].with(&slot, self.budget);
        if next.sum > most as f64 {
            return false;
        }
        self.count[side] = next;
        self.slots[side].push(slot);
        self.groups[side].push(group);
        true
    }

    /// Writes what was found for the halves into a plan.
    pub(super) fn put(&self, found: &[Vec<u32>; 2], picks: &mut [u32]) {
        for (groups, found) in self.groups.iter().zip(found) {
            for (g, o) in groups.iter().zip(found) {
                picks[*g as usize] = *o;
            }
        }
    }

    /// All groups with more than one option within the budget; none if the
    /// mixes are more than `most` a half.
    pub(super) fn whole(lean: &Lean, price: &[i64], standing: &Standing, budget: i64, most: u64) -> Option<Halves> {
        let mut order: Vec<u32> = (0..lean.groups() as u32).filter(|g| standing.clear[*g as usize] < budget).collect();
        order.sort_unstable_by_key(|g| (standing.clear[*g as usize], *g));
        let mut halves = Halves::new(budget);
        for g in order {
            let slot = slot(lean, price, standing, g as usize, budget);
            if !halves.deal(g, slot, most) {
                return None;
            }
        }
        Some(halves)
    }
}

/// The options of a group that lose less than the budget, least loss first.
pub(super) fn slot(lean: &Lean, price: &[i64], standing: &Standing, group: usize, budget: i64) -> Slot {
    let best = lean.net(standing.best[group] as usize, price);
    let mut slot: Slot = lean
        .range(group)
        .map(|o| Choice { loss: best - lean.net(o, price), option: o as u32 })
        .filter(|c| c.loss < budget)
        .collect();
    slot.sort_unstable_by_key(|c| (c.loss, c.option));
    slot
}

/// How many mixes there are by loss, in bins of the budget.
#[derive(Clone)]
struct Count {
    bins: Vec<f64>,
    sum: f64,
}

impl Count {
    fn new() -> Count {
        let mut bins = vec![0.0; BINS];
        bins[0] = 1.0;
        Count { bins, sum: 1.0 }
    }

    fn with(&self, slot: &Slot, budget: i64) -> Count {
        let mut bins = vec![0.0; BINS];
        let width = budget / BINS as i64 + 1;
        for choice in slot {
            let by = (choice.loss / width) as usize;
            for (all, one) in bins.iter_mut().skip(by).zip(&self.bins) {
                *all += one;
            }
        }
        let sum = bins.iter().sum();
        Count { bins, sum }
    }
}

/// Ways to split a group in two by how much of a resource its options use:
/// group, resource and the most that the first part may use. The mix behind
/// the prices shows which groups are torn; those torn farthest, in worth, come
/// first. At least one way as long as any group has two options kept.
pub(super) fn ways(lean: &Lean, prices: &Prices, kept: &[bool], most: usize) -> Vec<(usize, usize, i64)> {
    let m = lean.m();
    let mut ways: Vec<(i64, usize, usize, i64)> = Vec::new();
    for g in 0..lean.groups() {
        for r in 0..m {
            let of = |plan: &Vec<u32>| lean.row(plan[g] as usize)[r] as f64;
            let shares: f64 = prices.mix.iter().map(|p| p.0).sum();
            let mean = prices.mix.iter().map(|(share, plan)| share * of(plan)).sum::<f64>() / shares.max(1e-9);
            let torn: f64 = prices.mix.iter().map(|(share, plan)| share * (of(plan) - mean).abs()).sum();
            let limit = mean as i64;
            let splits = |high: bool| lean.range(g).any(|o| kept[o] && (lean.row(o)[r] > limit) == high);
            if torn >= 1.0 && splits(true) && splits(false) {
                ways.push((-((torn * (prices.price[r] + 1) as f64) as i64), g, r, limit));
            }
        }
    }
    ways.sort_unstable();
    ways.truncate(most);
    if ways.is_empty() {
        ways.extend(any_way(lean, kept));
    }
    ways.into_iter().map(|w| (w.1, w.2, w.3)).collect()
}

/// The first group whose kept options differ in some use, split halfway.
fn any_way(lean: &Lean, kept: &[bool]) -> Option<(i64, usize, usize, i64)> {
    for g in 0..lean.groups() {
        for r in 0..lean.m() {
            let uses = lean.range(g).filter(|o| kept[*o]).map(|o| lean.row(o)[r]);
            let (low, high) = (uses.clone().min()?, uses.max()?);
            if low < high {
                return Some((0, g, r, low + (high - low) / 2));
            }
        }
    }
    None
}
