//! Branching: where the prices of the whole pool leave too wide a gap, the
//! options of one group are split in two and both parts get prices of their
//! own. A part whose bound is no better than the best plan and the tolerance
//! is dropped; a part whose mixes within the budget are few is finished by
//! `halves`. The part with the highest bound is always next, so the bound of
//! the whole falls steadily and is known whenever the effort runs out.

use super::dual::{self, Aim, Prices};
use super::greedy::{self, Standing};
use super::halves::{self, Core, Meter};
use super::lean::Lean;
use super::split::{self, Halves};
use std::collections::BinaryHeap;

/// A part of the pool: the options still allowed, group by group.
#[derive(Debug, PartialEq, Eq)]
struct Node {
    bound: i64,
    /// Later parts come first among equals: they are nearer to an end.
    number: u64,
    price: Vec<i64>,
    first: Vec<u32>,
    options: Vec<u32>,
    plans: Vec<Vec<u32>>,
}

impl Ord for Node {
    fn cmp(&self, other: &Node) -> std::cmp::Ordering {
        (self.bound, self.number).cmp(&(other.bound, other.number))
    }
}

impl PartialOrd for Node {
    fn partial_cmp(&self, other: &Node) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

/// What the tree is told from outside and tells back.
pub(super) struct Tree<'a> {
    /// Open groups only.
    pub(super) lean: &'a Lean,
    /// Scaled worth of the groups decided already.
    pub(super) base: i64,
    pub(super) picks: Vec<u32>,
    /// Worth of the best plan, with the groups decided already.
    pub(super) worth: i64,
    pub(super) tolerance: &'a dyn Fn(i64) -> i64,
    /// Scaled; no plan of the pool is worth more.
    pub(super) bound: i64,
    pub(super) nodes: u64,
}

impl Tree<'_> {
    /// A part must pass this bound to matter.
    fn threshold(&self) -> i64 {
        ((self.worth + (self.tolerance)(self.worth)) << self.lean.bits) - self.base
    }

    fn offer(&mut self, picks: Vec<u32>) {
        let worth: i64 =
            picks.iter().map(|o| self.lean.worth[*o as usize]).sum::<i64>() + (self.base >> self.lean.bits);
        if worth > self.worth {
            self.worth = worth;
            self.picks = picks;
        }
    }

    /// Works until proven, or until `nodes` parts were opened or the meter is spent.
    pub(super) fn run(&mut self, root: &Prices, most: u64, nodes: u64, meter: &mut Meter) -> bool {
        let lean = self.lean;
        let mut open = BinaryHeap::new();
        open.push(Node {
            bound: root.bound,
            number: 0,
            price: root.price.clone(),
            first: lean.first.clone(),
            options: (0..lean.worth.len() as u32).collect(),
            plans: root.mix.iter().map(|p| p.1.clone()).collect(),
        });
        while let Some(node) = open.pop() {
            if node.bound <= self.threshold() {
                open.clear();
                break;
            }
            if self.nodes >= nodes || meter.spent() {
                open.push(node);
                break;
            }
            self.nodes += 1;
            for child in self.work(node, most, meter) {
                open.push(child);
            }
        }
        let left = open.peek().map_or(i64::MIN, |n| n.bound);
        let proven = left.max(self.threshold()).saturating_add(self.base);
        self.bound = self.bound.min(proven);
        open.is_empty()
    }

    /// Prices a part again, finishes it or splits it.
    fn work(&mut self, node: Node, most: u64, meter: &mut Meter) -> Vec<Node> {
        let Some(part) = narrow(self.lean, &node.first, &node.options) else { return Vec::new() };
        let plans = carry(&part, self.lean, &node);
        let prices = self.price(&part, Some(&node.price), &plans, 1e-7, meter);
        let threshold = self.threshold();
        if prices.bound <= threshold {
            return Vec::new();
        }
        let standing = greedy::standing(&part, &prices.price);
        if let Some(picks) = greedy::plan(&part, &prices.price, &standing) {
            self.offer(picks.iter().map(|o| part.source[*o as usize]).collect());
        }
        let budget = prices.bound - self.threshold();
        if budget <= 0 {
            return Vec::new();
        }
        if let Some(halves) = Halves::whole(&part, &prices.price, &standing, budget, most) {
            if self.finish(&part, &prices, &standing, budget, &halves, meter) {
                return Vec::new();
            }
        }
        self.split(&part, &prices, &standing, budget, node.number, meter)
    }

    fn price(&self, part: &Lean, start: Option<&[i64]>, plans: &[Vec<u32>], near: f64, meter: &mut Meter) -> Prices {
        let aim = Aim { near, rounds: 60, low: self.threshold(), start, plans, mix: true };
        let prices = dual::lowest(part, &aim);
        meter.labels += prices.rounds * (part.worth.len() as u64 / 8 + 20);
        prices
    }

    /// Looks at all mixes of a part within the budget.
    fn finish(
        &mut self,
        part: &Lean,
        prices: &Prices,
        standing: &Standing,
        budget: i64,
        halves: &Halves,
        meter: &mut Meter,
    ) -> bool {
        let mut stock = part.stock.clone();
        let mut picks: Vec<u32> = standing.best.clone();
        let mut is_open = vec![false; part.groups()];
        for g in halves.groups.iter().flatten() {
            is_open[*g as usize] = true;
        }
        for g in (0..part.groups()).filter(|g| !is_open[*g]) {
            stock.iter_mut().zip(part.row(picks[g] as usize)).for_each(|(s, u)| *s -= u);
        }
        if stock.iter().any(|s| *s < 0) {
            return true;
        }
        let core = Core { price: &prices.price, stock: &stock, uses: &part.uses, budget, enough: 0 };
        let met = halves::meet(&core, [&halves.slots[0], &halves.slots[1]], meter);
        if let Some(found) = met.picks {
            for (groups, found) in halves.groups.iter().zip(found) {
                for (g, o) in groups.iter().zip(found) {
                    picks[*g as usize] = o;
                }
            }
            self.offer(picks.iter().map(|o| part.source[*o as usize]).collect());
        }
        met.whole
    }

    /// Two parts of a part: the best of a few ways to split is taken.
    fn split(
        &mut self,
        part: &Lean,
        prices: &Prices,
        standing: &Standing,
        budget: i64,
        number: u64,
        meter: &mut Meter,
    ) -> Vec<Node> {
        let kept: Vec<bool> = (0..part.groups())
            .flat_map(|g| part.range(g).map(move |o| (g, o)))
            .map(|(g, o)| part.net(standing.best[g] as usize, &prices.price) - part.net(o, &prices.price) < budget)
            .collect();
        let mut best: Option<(i64, Vec<Node>)> = None;
        for (g, r, limit) in split::ways(part, prices, &kept, 4) {
            let mut children = Vec::new();
            let mut falls = [budget, budget];
            for side in 0..2 {
                let allowed = |at: usize, o: usize| kept[o] && (at != g || (part.row(o)[r] > limit) == (side == 1));
                let mut node = Node {
                    bound: 0,
                    number: number + 1,
                    price: prices.price.clone(),
                    first: vec![0],
                    options: Vec::new(),
                    plans: prices.mix.iter().map(|p| p.1.iter().map(|o| part.source[*o as usize]).collect()).collect(),
                };
                for at in 0..part.groups() {
                    node.options.extend(part.range(at).filter(|o| allowed(at, *o)).map(|o| part.source[o]));
                    node.first.push(node.options.len() as u32);
                }
                let Some(small) = narrow(self.lean, &node.first, &node.options) else { continue };
                let plans = carry(&small, self.lean, &node);
                let own = self.price(&small, Some(&prices.price), &plans, 1e-6, meter);
                falls[side] = prices.bound.saturating_sub(own.bound).clamp(0, budget);
                if own.bound > self.threshold() {
                    node.bound = own.bound.min(prices.bound);
                    node.price = own.price;
                    node.plans =
                        own.mix.iter().map(|p| p.1.iter().map(|o| small.source[*o as usize]).collect()).collect();
                    children.push(node);
                }
            }
            let floor = budget / 1000 + 1;
            let score = ((falls[0].max(floor) as f64) * (falls[1].max(floor) as f64)).sqrt() as i64;
            if best.as_ref().is_none_or(|b| score > b.0) {
                let done = children.is_empty();
                best = Some((score, children));
                if done {
                    break;
                }
            }
        }
        // Nothing left to split, and not finished either: the effort ran out.
        best.map_or_else(
            || {
                vec![Node {
                    bound: prices.bound,
                    number,
                    price: prices.price.clone(),
                    first: part.first.clone(),
                    options: part.source.clone(),
                    plans: Vec::new(),
                }]
            },
            |b| b.1,
        )
    }
}

/// The part of a pool that keeps the given options and drops those that no
/// longer fit beside the least of the other groups; none if nothing fits.
fn narrow(lean: &Lean, first: &[u32], options: &[u32]) -> Option<Lean> {
    let m = lean.m();
    let groups = first.len() - 1;
    let mut least = vec![0i64; groups * m];
    let mut sum = vec![0i64; m];
    for g in 0..groups {
        let of = &options[first[g] as usize..first[g + 1] as usize];
        if of.is_empty() {
            return None;
        }
        for r in 0..m {
            let low = of.iter().map(|o| lean.row(*o as usize)[r]).min().unwrap_or(0);
            least[g * m + r] = low;
            sum[r] += low;
        }
    }
    if sum.iter().zip(&lean.stock).any(|(u, s)| u > s) {
        return None;
    }
    let mut part = Lean {
        bits: lean.bits,
        kept: Vec::new(),
        stock: lean.stock.clone(),
        first: vec![0],
        source: Vec::new(),
        worth: Vec::new(),
        uses: Vec::new(),
        top: lean.top,
    };
    for g in 0..groups {
        for o in &options[first[g] as usize..first[g + 1] as usize] {
            let row = lean.row(*o as usize);
            if (0..m).all(|r| sum[r] - least[g * m + r] + row[r] <= lean.stock[r]) {
                part.source.push(*o);
                part.worth.push(lean.worth[*o as usize]);
                part.uses.extend_from_slice(row);
            }
        }
        part.first.push(part.source.len() as u32);
        if part.range(g).is_empty() {
            return None;
        }
    }
    Some(part)
}

/// The plans of a wider part, with options that are gone replaced by the best
/// that is left.
fn carry(part: &Lean, _lean: &Lean, node: &Node) -> Vec<Vec<u32>> {
    let best = greedy::standing(part, &node.price).best;
    node.plans
        .iter()
        .map(|plan| {
            plan.iter()
                .enumerate()
                .map(|(g, wanted)| {
                    let range = part.range(g);
                    let start = range.start;
                    part.source[range].binary_search(wanted).map_or(best[g], |i| (start + i) as u32)
                })
                .collect()
        })
        .collect()
}
