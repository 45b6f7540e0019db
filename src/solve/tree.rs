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
use super::trace::Record;
use std::collections::BinaryHeap;

/// Ways to split a part that are priced before one is taken.
const WAYS: usize = 4;

/// A part of the pool: the options still allowed, group by group.
#[derive(Debug, PartialEq, Eq)]
struct Node {
    bound: i64,
    /// Later parts come first among equals: they are nearer to an end.
    number: u64,
    /// Its number in the record.
    part: usize,
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
    /// What is kept of the proof, where somebody wants to see it.
    pub(super) record: Option<Record>,
}

impl Tree<'_> {
    /// A part must pass this bound to matter.
    fn threshold(&self) -> i64 {
        ((self.worth + (self.tolerance)(self.worth)) << self.lean.bits) - self.base
    }

    fn offer(&mut self, part: &Lean, picks: &[u32]) {
        let own: i64 = picks.iter().map(|o| part.worth[*o as usize]).sum();
        let worth = own + (self.base >> part.bits);
        if worth > self.worth {
            self.worth = worth;
            self.picks = part.named(picks);
        }
    }

    /// Works until proven, or until `nodes` parts were opened or the meter is spent.
    pub(super) fn run(&mut self, root: &Prices, most: u64, nodes: u64, meter: &mut Meter) -> bool {
        let lean = self.lean;
        let mut open = BinaryHeap::new();
        open.push(Node {
            bound: root.bound,
            number: 0,
            part: 0,
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
        let Some(lean) = narrow(self.lean, &node.first, &node.options) else { return Vec::new() };
        let prices = self.price(&lean, &node, meter);
        if let Some(record) = &mut self.record {
            record.priced(node.part, &prices.price);
        }
        if prices.bound <= self.threshold() {
            return Vec::new();
        }
        let standing = greedy::standing(&lean, &prices.price);
        if let Some(picks) = greedy::plan(&lean, &prices.price, &standing, None) {
            self.offer(&lean, &picks);
        }
        let budget = prices.bound - self.threshold();
        if budget <= 0 {
            return Vec::new();
        }
        let part = Part { lean, prices, standing, budget };
        let halves = Halves::whole(&part.lean, &part.prices.price, &part.standing, budget, most);
        if halves.is_some_and(|halves| self.finish(&part, &halves, meter)) {
            return Vec::new();
        }
        self.split(&part, &node, meter)
    }

    fn price(&self, lean: &Lean, node: &Node, meter: &mut Meter) -> Prices {
        let plans = carry(lean, node);
        let aim =
            Aim { near: 1e-7, rounds: 60, low: self.threshold(), start: Some(&node.price), plans: &plans, mix: true };
        let prices = dual::lowest(lean, &aim);
        meter.labels += prices.rounds * (lean.worth.len() as u64 / 8 + 20);
        prices
    }

    /// Looks at all mixes of a part within the budget; false when it could not.
    fn finish(&mut self, part: &Part, halves: &Halves, meter: &mut Meter) -> bool {
        let lean = &part.lean;
        let mut stock = lean.stock.clone();
        let mut picks: Vec<u32> = part.standing.best.clone();
        let mut open = vec![false; lean.groups()];
        halves.groups.iter().flatten().for_each(|g| open[*g as usize] = true);
        for g in (0..lean.groups()).filter(|g| !open[*g]) {
            stock.iter_mut().zip(lean.row(picks[g] as usize)).for_each(|(s, u)| *s -= u);
        }
        if stock.iter().any(|s| *s < 0) {
            return true;
        }
        let core = Core { price: &part.prices.price, stock: &stock, uses: &lean.uses, budget: part.budget, enough: 0 };
        let met = halves::meet(&core, [&halves.slots[0], &halves.slots[1]], meter);
        if let Some(found) = met.picks {
            halves.put(&found, &mut picks);
            self.offer(lean, &picks);
        }
        met.whole
    }

    /// Two parts of a part: the best of a few ways to split is taken.
    fn split(&mut self, part: &Part, node: &Node, meter: &mut Meter) -> Vec<Node> {
        let kept = part.kept();
        let mut best: Option<(i64, Sides)> = None;
        for way in split::ways(&part.lean, &part.prices, &kept, WAYS) {
            let mut falls = [part.budget; 2];
            let mut sides = Sides { way, prices: [None, None], open: [None, None] };
            for (side, fall) in falls.iter_mut().enumerate() {
                let mut child = part.child(&kept, way, side == 1, node.number + 1);
                let Some(small) = narrow(self.lean, &child.first, &child.options) else { continue };
                let own = self.price(&small, &child, meter);
                *fall = part.prices.bound.saturating_sub(own.bound).clamp(0, part.budget);
                // A worse bound than that of the whole is none.
                sides.prices[side] = (own.bound <= part.prices.bound).then(|| own.price.clone());
                if own.bound > self.threshold() {
                    child.bound = own.bound.min(part.prices.bound);
                    child.plans = own.mix.iter().map(|p| small.named(&p.1)).collect();
                    child.price = own.price;
                    sides.open[side] = Some(child);
                }
            }
            let floor = part.budget / 1000 + 1;
            let score = falls.iter().map(|f| (*f).max(floor) as f64).product::<f64>().sqrt() as i64;
            if best.as_ref().is_none_or(|b| score > b.0) {
                let done = sides.open.iter().all(Option::is_none);
                best = Some((score, sides));
                if done {
                    break;
                }
            }
        }
        // Nothing to split, and not finished either: the effort ran out.
        let Some((_, sides)) = best else { return vec![part.again(node.number, node.part)] };
        let numbers = self.record.as_mut().map_or([0, 0], |record| record.split(node.part, sides.way, sides.prices));
        let open = sides.open.into_iter().zip(numbers);
        open.filter_map(|(child, part)| child.map(|child| Node { part, ..child })).collect()
    }
}

/// A way to split a part, with the prices of both sides and what of them is open.
struct Sides {
    way: (usize, usize, i64),
    prices: [Option<Vec<i64>>; 2],
    open: [Option<Node>; 2],
}

/// A part with its prices and what a plan may lose to matter.
struct Part {
    lean: Lean,
    prices: Prices,
    standing: Standing,
    budget: i64,
}

impl Part {
    /// Which options lose less than the budget.
    fn kept(&self) -> Vec<bool> {
        let price = &self.prices.price;
        let mut kept = Vec::with_capacity(self.lean.worth.len());
        for g in 0..self.lean.groups() {
            let best = self.lean.net(self.standing.best[g] as usize, price);
            kept.extend(self.lean.range(g).map(|o| best - self.lean.net(o, price) < self.budget));
        }
        kept
    }

    /// The part whose split group keeps the low or the high side.
    fn child(&self, kept: &[bool], (group, r, limit): (usize, usize, i64), high: bool, number: u64) -> Node {
        let mut node = Node { first: vec![0], options: Vec::new(), ..self.again(number, 0) };
        node.plans = self.prices.mix.iter().map(|p| self.lean.named(&p.1)).collect();
        for g in 0..self.lean.groups() {
            let side = |o: &usize| g != group || (self.lean.row(*o)[r] > limit) == high;
            node.options.extend(self.lean.range(g).filter(|o| kept[*o] && side(o)).map(|o| self.lean.source[o]));
            node.first.push(node.options.len() as u32);
        }
        node
    }

    fn again(&self, number: u64, part: usize) -> Node {
        Node {
            bound: self.prices.bound,
            number,
            part,
            price: self.prices.price.clone(),
            first: self.lean.first.clone(),
            options: self.lean.source.clone(),
            plans: Vec::new(),
        }
    }
}

/// The part of a pool that keeps the given options and drops those that no
/// longer fit beside the least of the other groups; none if nothing fits.
pub(super) fn narrow(lean: &Lean, first: &[u32], options: &[u32]) -> Option<Lean> {
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
    let mut part = Lean::part(lean, lean.stock.clone());
    for g in 0..groups {
        for o in &options[first[g] as usize..first[g + 1] as usize] {
            let row = lean.row(*o as usize);
            if (0..m).all(|r| sum[r] - least[g * m + r] + row[r] <= lean.stock[r]) {
                part.push(*o, lean.worth[*o as usize], row);
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
fn carry(part: &Lean, node: &Node) -> Vec<Vec<u32>> {
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
