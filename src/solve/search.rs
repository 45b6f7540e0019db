//! From prices to a plan with a proven gap: a first plan, then by turns
//! better fillings of the stocks around the best plan, and branching on what
//! the best plan leaves open. Nothing here reads a clock: effort is counted.

use super::dual::{self, Aim, Prices};
use super::greedy::{self, Standing};
use super::halves::{self, Core, Meter, Slot};
use super::lean::Lean;
use super::split::{self, Halves};
use super::trace::{self, Record, Shown};
use super::tree::{self, Tree};

/// Largest remainder, in options, that is branched on.
const MOST_BRANCHED: usize = 20_000;
/// Turn by turn: fillings of up to two to this many mixes a half, then this
/// many parts branched on.
const STAGES: [(u32, u64); 7] =
    [(8, 30), (10, 100), (12, 500), (14, 3_000), (16, 20_000), (18, 200_000), (20, 2_000_000)];
/// Fillings tried in vain before branching.
const PATIENCE: u32 = 24;
/// A part with fewer mixes a half than two to this is finished at once.
const BRANCH_POWER: u32 = 12;

pub(super) struct Search<'a> {
    lean: &'a Lean,
    prices: &'a Prices,
    standing: Standing,
    /// The best plan so far: an option of the lean pool for each group.
    pub(super) picks: Vec<u32>,
    pub(super) worth: i64,
    /// Scaled: no plan is worth more.
    pub(super) bound: i64,
    /// How far from the bound a plan of a given worth may stay, in units of worth.
    tolerance: &'a dyn Fn(i64) -> i64,
    meter: &'a mut Meter,
    turn: u64,
    /// Parts branched on.
    pub(super) parts: u64,
    /// Most parts of a proof that are kept to be shown; 0 where nobody wants to see it.
    most_shown: usize,
    /// How the bound is known.
    by: By,
}

/// How a bound is known.
enum By {
    /// It was known before.
    Known,
    /// By what the prices leave.
    Prices,
    /// By branching; nothing where that is too long to be shown.
    Branching(Option<Vec<Shown>>),
}

/// The groups that the best plan and the tolerance leave open.
struct Rest {
    lean: Lean,
    groups: Vec<u32>,
    /// Worth of the groups that are decided.
    base: i64,
}

impl<'a> Search<'a> {
    pub(super) fn new(
        lean: &'a Lean,
        prices: &'a Prices,
        tolerance: &'a dyn Fn(i64) -> i64,
        meter: &'a mut Meter,
        most_shown: usize,
    ) -> Search<'a> {
        let standing = greedy::standing(lean, &prices.price);
        let picks =
            greedy::plan(lean, &prices.price, &standing, None).unwrap_or_else(|| lean.first[..lean.groups()].to_vec());
        let worth = picks.iter().map(|o| lean.worth[*o as usize]).sum();
        let (bound, by) = (prices.bound, By::Prices);
        Search { lean, prices, standing, picks, worth, bound, tolerance, meter, turn: 0, parts: 0, most_shown, by }
    }

    /// Takes over a plan and a bound known already.
    pub(super) fn begin(&mut self, picks: &[u32], bound: i64) {
        self.proven(bound, By::Known);
        let worth: i64 = picks.iter().map(|o| self.lean.worth[*o as usize]).sum();
        if picks.len() == self.lean.groups() && worth > self.worth {
            self.picks = picks.to_vec();
            self.worth = worth;
        }
    }

    /// Scaled loss, against the bound of the prices, that a plan must stay
    /// below to matter: any plan worth more than the best and the tolerance.
    fn budget(&self) -> i64 {
        self.prices.bound - ((self.worth + (self.tolerance)(self.worth)) << self.lean.bits)
    }

    fn proven(&mut self, bound: i64, by: By) {
        if bound < self.bound {
            (self.bound, self.by) = (bound, by);
        }
    }

    /// Whether the bound was known before the search.
    pub(super) fn is_known(&self) -> bool {
        matches!(self.by, By::Known)
    }

    /// The proof of the bound, unless it was known before or is too long.
    pub(super) fn shown(&mut self) -> Option<Vec<Shown>> {
        match &mut self.by {
            By::Known => None,
            By::Prices => Some(trace::by_prices(&self.prices.price)),
            By::Branching(parts) => parts.take(),
        }
    }

    pub(super) fn reached(&self) -> bool {
        (self.bound >> self.lean.bits) - self.worth <= (self.tolerance)(self.worth)
    }

    fn done(&self) -> bool {
        self.reached() || self.meter.spent()
    }

    pub(super) fn run(&mut self) {
        self.raise();
        for (power, nodes) in STAGES {
            self.fill(power);
            if self.done() {
                return;
            }
            self.branch(nodes, BRANCH_POWER);
            if self.done() {
                return;
            }
        }
    }

    /// More first plans. In a large pool many groups sit at the edge between
    /// two options, and those that take last would be left with nothing: so
    /// they are dealt by the shares of the mix behind the prices, or the
    /// prices are raised a little.
    fn raise(&mut self) {
        let price = &self.prices.price;
        for turn in 0..4 {
            if !self.done() && self.prices.mix.len() > 1 {
                let wanted: Vec<u32> = (0..self.lean.groups()).map(|g| self.share(g, turn)).collect();
                let plan = greedy::plan(self.lean, price, &self.standing, Some(&wanted));
                self.offer(plan);
            }
        }
        for part in [10_000_000, 1_000_000, 100_000, 30_000, 10_000, 3_000, 1_000, 300] {
            if !self.done() {
                let price: Vec<i64> = price.iter().map(|p| p + p / part).collect();
                let plan = greedy::plan(self.lean, &price, &self.standing, None);
                self.offer(plan);
            }
        }
    }

    /// What the mix gives a group, dealt evenly (steps of the golden section).
    fn share(&self, group: usize, turn: u64) -> u32 {
        let lot = (group as u64 + turn * 31).wrapping_mul(0x9e37_79b9_7f4a_7c15) >> 11;
        let all: f64 = self.prices.mix.iter().map(|p| p.0).sum();
        let mut left = lot as f64 / (1u64 << 53) as f64 * all;
        for (share, plan) in &self.prices.mix {
            left -= share;
            if left < 0.0 {
                return plan[group];
            }
        }
        self.standing.best[group]
    }

    fn offer(&mut self, plan: Option<Vec<u32>>) {
        self.meter.labels += self.lean.worth.len() as u64 / 8;
        let Some(picks) = plan else { return };
        let worth = picks.iter().map(|o| self.lean.worth[*o as usize]).sum();
        if worth > self.worth {
            self.worth = worth;
            self.picks = picks;
        }
    }

    /// Better fillings with up to `2^power` mixes a half, until none is found.
    fn fill(&mut self, power: u32) {
        let patience = if power <= 12 { PATIENCE } else { PATIENCE / 2 };
        let mut misses = 0;
        while misses < patience && !self.done() {
            let before = self.worth;
            if misses == 0 {
                for shift in [6, 4, 2, 0] {
                    let budget = self.budget() >> shift;
                    if budget > 0 && !self.done() {
                        self.attempt(budget, 1 << power, 0);
                    }
                }
            } else {
                self.turn += 1;
                self.attempt(self.prices.bound - (self.worth << self.lean.bits), 1 << power, self.turn);
            }
            misses = if self.worth > before { 0 } else { misses + 1 };
        }
    }

    /// Branches on what is left open.
    fn branch(&mut self, nodes: u64, power: u32) {
        let Some(Rest { lean, groups, base }) = self.rest() else { return };
        // Beside what is decided some options fit no more; prices of a stock that is
        // nearly gone would overflow on them.
        let all: Vec<u32> = (0..lean.worth.len() as u32).collect();
        let Some(mut fits) = tree::narrow(&lean, &lean.first, &all) else {
            // Nothing fits: nothing beats the best plan.
            self.proven((self.worth + (self.tolerance)(self.worth)) << self.lean.bits, By::Prices);
            return;
        };
        fits.source = lean.named(&fits.source);
        let rest = Rest { lean: fits, groups, base };
        let plain =
            Aim { near: 1e-9, rounds: 400, low: i64::MIN, start: Some(&self.prices.price), plans: &[], mix: true };
        let root = dual::lowest(&rest.lean, &plain);
        let mut tree = Tree {
            lean: &rest.lean,
            base: rest.base << self.lean.bits,
            picks: Vec::new(),
            worth: self.worth,
            tolerance: self.tolerance,
            bound: self.bound,
            nodes: 0,
            record: (self.most_shown > 0).then(|| Record::new(self.most_shown)),
        };
        tree.run(&root, 1 << power, nodes, self.meter);
        let parts = tree.record.as_ref().and_then(|record| record.parts(&rest.groups, &self.prices.price));
        self.proven(tree.bound.max(tree.worth << self.lean.bits), By::Branching(parts));
        self.parts += tree.nodes;
        if tree.worth > self.worth {
            for g in 0..self.lean.groups() {
                self.picks[g] = self.standing.best[g];
            }
            for (g, o) in rest.groups.iter().zip(&tree.picks) {
                self.picks[*g as usize] = rest.lean.source[*o as usize];
            }
            self.worth = tree.worth;
        }
    }

    fn rest(&self) -> Option<Rest> {
        let lean = self.lean;
        let budget = self.budget();
        let mut part = Lean::part(lean, lean.stock.clone());
        let mut groups = Vec::new();
        let mut base = 0;
        for g in 0..lean.groups() {
            if self.standing.clear[g] >= budget {
                let best = self.standing.best[g] as usize;
                base += lean.worth[best];
                part.stock.iter_mut().zip(lean.row(best)).for_each(|(s, u)| *s -= u);
                continue;
            }
            let mut kept: Vec<u32> =
                split::slot(lean, &self.prices.price, &self.standing, g, budget).iter().map(|c| c.option).collect();
            undominated(lean, &mut kept);
            for o in kept {
                part.push(o, lean.worth[o as usize], lean.row(o as usize));
            }
            part.first.push(part.source.len() as u32);
            groups.push(g as u32);
            if part.source.len() > MOST_BRANCHED {
                return None;
            }
        }
        Some(Rest { lean: part, groups, base })
    }

    /// Looks for a plan that loses less than `budget`, with about `most` mixes
    /// a half; notes what is proven when every group that matters was open.
    /// Turn 0 opens the groups nearest to another choice, other turns a draw.
    fn attempt(&mut self, budget: i64, most: u64, turn: u64) {
        let lean = self.lean;
        // Groups left out keep what they hold; their loss comes off the budget.
        let (order, mut held) = self.order(budget, turn);
        let mut halves = Halves::new(budget);
        let mut complete = turn == 0;
        for g in order {
            let slot = self.draw(g, budget, turn);
            if !halves.deal(g, slot, most) {
                complete = false;
                break;
            }
            held -= self.loss(g as usize, self.picks[g as usize] as usize);
        }
        if budget <= held {
            return;
        }
        let mut stock = lean.stock.clone();
        let mut open = vec![false; lean.groups()];
        halves.groups.iter().flatten().for_each(|g| open[*g as usize] = true);
        for g in (0..lean.groups()).filter(|g| !open[*g]) {
            stock.iter_mut().zip(lean.row(self.picks[g] as usize)).for_each(|(s, u)| *s -= u);
        }
        // Within the tolerance of the bound known: no need to look further.
        let slack = (self.tolerance)(self.worth).min(lean.top) << lean.bits;
        let enough = (self.prices.bound - self.bound).saturating_add(slack) - held;
        let core = Core { price: &self.prices.price, stock: &stock, uses: &lean.uses, budget: budget - held, enough };
        let met = halves::meet(&core, [&halves.slots[0], &halves.slots[1]], self.meter);
        if let Some(picks) = met.picks {
            halves.put(&picks, &mut self.picks);
            self.worth = self.picks.iter().map(|o| lean.worth[*o as usize]).sum();
        }
        if complete && met.whole {
            let proven = (self.prices.bound - budget).max(self.worth << lean.bits);
            self.proven(proven, By::Prices);
        }
    }

    /// The groups to open, first things first, and what all groups lose now.
    fn order(&self, budget: i64, turn: u64) -> (Vec<u32>, i64) {
        let cap = budget >> (2 * (turn % 4));
        let mut order: Vec<(bool, i64, u32)> = Vec::new();
        let mut held = 0i64;
        for g in 0..self.lean.groups() {
            let away = self.loss(g, self.picks[g] as usize);
            held += away;
            let far = away > budget / 64;
            if turn == 0 {
                if away > 0 || self.standing.clear[g] < budget {
                    order.push((!far, self.standing.margin[g], g as u32));
                }
            } else if far || self.standing.margin[g] < cap {
                let lot = shuffle(g as u64, turn);
                order.push((!far || lot & 1 == 0, (lot >> 1) as i64, g as u32));
            }
        }
        order.sort_unstable();
        (order.into_iter().map(|o| o.2).collect(), held)
    }

    /// The options of a group that a turn looks at.
    fn draw(&self, group: u32, budget: i64, turn: u64) -> Slot {
        let mut slot = split::slot(self.lean, &self.prices.price, &self.standing, group as usize, budget);
        if turn > 0 {
            let cap = budget >> (2 * (turn % 4));
            let held = self.picks[group as usize];
            let mut rank = 0;
            slot.retain(|c| {
                rank += 1;
                let chance = turn & 4 == 0 || shuffle(u64::from(c.option), turn) & 3 == 0;
                c.option == held || rank <= 2 || c.loss < cap && chance
            });
        }
        slot
    }

    fn loss(&self, group: usize, option: usize) -> i64 {
        let price = &self.prices.price;
        self.lean.net(self.standing.best[group] as usize, price) - self.lean.net(option, price)
    }
}

/// Drops options that use no less of everything and are worth no more than
/// another; of equals the first stays. Leaves the rest in their order.
fn undominated(lean: &Lean, options: &mut Vec<u32>) {
    options.sort_unstable_by_key(|o| {
        (std::cmp::Reverse(lean.worth[*o as usize]), lean.row(*o as usize).iter().sum::<i64>(), *o)
    });
    let mut kept: Vec<u32> = Vec::new();
    for o in options.iter() {
        let row = lean.row(*o as usize);
        if !kept.iter().any(|k| lean.row(*k as usize).iter().zip(row).all(|(a, b)| a <= b)) {
            kept.push(*o);
        }
    }
    kept.sort_unstable();
    *options = kept;
}

/// A number that looks drawn by lot, the same on every run (splitmix64).
pub(super) fn shuffle(group: u64, turn: u64) -> u64 {
    let mut z = (group + 1).wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ turn.wrapping_mul(0xd1b5_4a32_d192_ed03);
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}
