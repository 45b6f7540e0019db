//! The allocation solved with a proof: groups, each with options that are
//! worth something and use up stocks; at most one option a group; the most
//! worth within the stocks. In the books this is the multiple-choice knapsack
//! problem with several constraints. Whole numbers go in and come out; what a
//! field, a lot or a season is stays outside this room, and so do files,
//! clocks and chance: the same pool gives the same answer everywhere.
//!
//! How it goes, and where each step lives:
//! 1. `pool`: the question; `check` and `prove` recheck any answer in one pass.
//! 2. `lean`: options and resources that cannot matter are dropped.
//! 3. `twins`: resources that are as good as each other are pooled, and the
//!    pooled plan is dealt to them afterwards.
//! 4. `dual`, `master`: prices for the resources that make the bound lowest.
//! 5. `greedy`: a first plan at those prices.
//! 6. `halves`, `split`: fillings that lose less than a budget, by meeting in
//!    the middle. Small pools are proven here.
//! 7. `tree`: branching on what is left open, for the gaps that prices leave.
//!
//! Read for this: Pisinger, "A minimal algorithm for the multiple-choice
//! knapsack problem", 1994 (start from the linear solution, open a small core,
//! reduce by bounds); Mansini and Speranza, "CORAL", INFORMS Journal on
//! Computing 24(3), 2012 (abstract: fix by reduced cost, enumerate what is
//! left); Boussier and others, Discrete Applied Mathematics 158, 2010
//! (abstract: branch first where reduced costs are smallest). From memory:
//! Sinha and Zoltners 1979; Balas and Zemel 1980; Horowitz and Sahni 1974;
//! Wentges 1997; Geoffrion 1974 for the bound by prices.

mod dual;
mod greedy;
mod halves;
mod lean;
mod master;
mod pool;
mod search;
mod split;
mod trace;
mod tree;
mod twins;

pub use pool::{Broken, Group, Opt, PRICE_BITS, Pool, check, prove};
pub use trace::{Shown, Trace};

use dual::Aim;
use halves::Meter;
use lean::Lean;
use search::Search;
use twins::Merged;

/// When the search may stop. A plan is good enough when it is within either
/// gap of the bound.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Target {
    /// Gap in billionths of the plan's worth: 100,000 is 0.01 %.
    pub gap: u64,
    /// Gap in units of worth, whatever the plan is worth.
    pub floor: u64,
    /// Most effort: about the number of mixes of options looked at. Ten
    /// million take in the order of a second.
    pub effort: u64,
}

impl Default for Target {
    /// 0.01 % of the worth, with a few seconds of effort.
    fn default() -> Target {
        Target { gap: 100_000, floor: 0, effort: 30_000_000 }
    }
}

/// What a search took. Counts, not times: the same on every machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Effort {
    /// Times the groups of the whole pool answered to prices.
    pub rounds: u64,
    /// Mixes of options made, and answers to prices in branching.
    pub labels: u64,
    /// Pairs of mixes looked at.
    pub pairs: u64,
    /// Parts of the pool that were branched on.
    pub parts: u64,
}

/// How the bound of an answer is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Proof {
    /// From the prices: `prove` gives it in one pass.
    Prices,
    /// From the search, which looked at everything above it. `prove` gives a
    /// higher one.
    Search,
}

/// A plan and how good it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    /// The option taken, by group.
    pub taken: Vec<Option<usize>>,
    /// What the plan is worth; `check` gives the same.
    pub worth: i128,
    /// No plan is worth more.
    pub bound: i128,
    /// How the bound is known.
    pub by: Proof,
    /// A price for each resource, in units of `1 / 2^PRICE_BITS`.
    pub prices: Vec<i128>,
    /// Whether a gap asked for was reached.
    pub reached: bool,
    /// What it took.
    pub effort: Effort,
}

/// The best plan found for a pool, with a bound that no plan can pass.
/// Says what is wrong with a pool whose numbers are too large to add up.
pub fn solve(pool: &Pool, target: &Target) -> Result<Answer, Broken> {
    Ok(solve_and_show(pool, target, 0)?.0)
}

/// The same, with the proof of the bound where it has fewer than `most` parts.
pub fn solve_and_show(pool: &Pool, target: &Target, most: usize) -> Result<(Answer, Option<Trace>), Broken> {
    let lean = Lean::new(pool)?;
    let effort = Effort::default();
    let mut found = Found { picks: Vec::new(), worth: 0, bound: i64::MAX, price: Vec::new(), effort, trace: None };
    let mut meter = Meter { limit: target.effort, ..Meter::default() };
    if let Some(merged) = Merged::new(&lean) {
        // Half the effort at most: should the dealing fail, the rest is needed.
        meter.limit = target.effort / 2;
        let show = Show { most, as_pool: &|parts| in_pooled(&lean, &merged, parts) };
        let pooled = run(&merged.lean, target, None, &mut meter, &show);
        found.price = merged.prices(&pooled.price, lean.m());
        found.bound = pooled.bound;
        found.effort = pooled.effort;
        found.trace = pooled.trace;
        found.picks = merged.deal(&lean, &pooled.picks, &mut meter).unwrap_or_default();
        meter.limit = target.effort;
    }
    if found.picks.is_empty() || !within(target, found.worth_in(&lean), found.bound, lean.bits) {
        let known = (!found.price.is_empty()).then_some(&found);
        let show = Show { most, as_pool: &|parts| in_lean(&lean, parts) };
        let own = run(&lean, target, known, &mut meter, &show);
        found = Found { effort: own.effort.plus(&found.effort), ..own };
    }
    found.worth = found.worth_in(&lean);
    found.effort.labels = meter.labels;
    found.effort.pairs = meter.pairs;
    let trace = found.trace.take();
    let by_prices = in_lean(&lean, trace::by_prices(&found.price));
    let answer = found.answer(pool, &lean, target);
    let trace = if answer.by == Proof::Prices { Some(by_prices) } else { trace };
    let trace = trace.filter(|_| most > 0).map(|trace| Trace { bound: answer.bound, ..trace });
    Ok((answer, trace))
}

/// How a proof is shown.
struct Show<'a> {
    most: usize,
    as_pool: &'a dyn Fn(Vec<Shown>) -> Trace,
}

/// Of a search in a pool as it is.
fn in_lean(lean: &Lean, parts: Vec<Shown>) -> Trace {
    let rows = lean.kept.iter().map(|r| vec![*r]).collect();
    Trace { rows, alike: Vec::new(), beside: Vec::new(), bits: lean.bits, bound: 0, parts }
}

/// Of a search in a pool whose twins are pooled.
fn in_pooled(lean: &Lean, merged: &Merged, parts: Vec<Shown>) -> Trace {
    let of_pool = |own: &[usize]| -> Vec<usize> { own.iter().map(|r| lean.kept[*r]).collect() };
    let (alike, beside) = merged.apart();
    let rows = merged.rows().iter().map(|row| of_pool(row)).collect();
    Trace { rows, alike: of_pool(alike), beside: of_pool(beside), bits: lean.bits, bound: 0, parts }
}

/// What one search gave.
struct Found {
    picks: Vec<u32>,
    worth: i64,
    bound: i64,
    price: Vec<i64>,
    effort: Effort,
    /// The proof of the bound, where it can be shown.
    trace: Option<Trace>,
}

impl Effort {
    fn plus(&self, other: &Effort) -> Effort {
        Effort { rounds: self.rounds + other.rounds, parts: self.parts + other.parts, ..*self }
    }
}

impl Found {
    fn worth_in(&self, lean: &Lean) -> i64 {
        self.picks.iter().map(|o| lean.worth[*o as usize]).sum()
    }

    fn answer(self, pool: &Pool, lean: &Lean, target: &Target) -> Answer {
        let mut prices = vec![0i128; pool.stock().len()];
        for (r, p) in lean.kept.iter().zip(&self.price) {
            prices[*r] = i128::from(*p) << (PRICE_BITS - lean.bits);
        }
        let source = |o: &u32| lean.source[*o as usize];
        let taken = self.picks.iter().map(source).map(|s| (s != lean::NOTHING).then_some(s as usize)).collect();
        let by_prices = prove(pool, &prices);
        let by_search = i128::from(self.bound >> lean.bits);
        Answer {
            taken,
            worth: i128::from(self.worth),
            bound: by_prices.min(by_search),
            by: if by_search < by_prices { Proof::Search } else { Proof::Prices },
            prices,
            reached: within(target, self.worth, self.bound, lean.bits),
            effort: self.effort,
        }
    }
}

/// Units of worth that a plan may stay below the bound.
fn tolerance(target: &Target, worth: i64) -> i64 {
    let share = i128::from(worth) * i128::from(target.gap) / 1_000_000_000;
    i64::try_from(share.max(i128::from(target.floor))).unwrap_or(i64::MAX)
}

fn within(target: &Target, worth: i64, bound: i64, bits: u32) -> bool {
    (bound >> bits) - worth <= tolerance(target, worth)
}

/// Prices, then the search; `known` gives a plan or a bound to begin with.
fn run(lean: &Lean, target: &Target, known: Option<&Found>, meter: &mut Meter, show: &Show) -> Found {
    let start = known.map(|k| &k.price[..]);
    // A thousandth of the gap is near enough; small pools are cheap to do well.
    let near = if lean.groups() < 200 { 1e-9 } else { (target.gap as f64 * 1e-12).clamp(1e-9, 1e-5) };
    let aim = Aim { near, rounds: 400, low: i64::MIN, start, plans: &[], mix: true };
    let prices = dual::lowest(lean, &aim);
    // More than everything is worth would only overflow.
    let tolerance = |worth: i64| tolerance(target, worth).min(lean.top);
    let mut search = Search::new(lean, &prices, &tolerance, meter, show.most);
    if let Some(known) = known {
        search.begin(&known.picks, known.bound);
    }
    search.run();
    let was_known = search.is_known();
    let trace = search.shown().map(show.as_pool);
    let trace = if was_known { known.and_then(|known| known.trace.clone()) } else { trace };
    let effort = Effort { rounds: prices.rounds, parts: search.parts, ..Effort::default() };
    Found { worth: search.worth, bound: search.bound, picks: search.picks, price: prices.price, effort, trace }
}
