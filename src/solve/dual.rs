//! Prices for the resources: the bound of `prove`, made as low as it goes.
//!
//! The bound is a convex function of a few prices, flat between kinks. Plans
//! answered to earlier prices give a model of it from below (`master`); the
//! next prices are taken between the best so far and the model's own, which
//! keeps the steps from swinging (smoothing after Wentges 1997, from memory).
//! Every bound here is calculated in whole numbers.

use super::lean::Lean;
use super::master::Master;

/// Prices and what they prove.
#[derive(Debug, Clone)]
pub(super) struct Prices {
    pub(super) price: Vec<i64>,
    /// The bound, scaled by `2^bits`.
    pub(super) bound: i64,
    /// Evaluations made.
    pub(super) rounds: u64,
    /// Plans whose mix keeps the stocks on average, with their shares. Their
    /// worth is what the bound comes from. Kept only when asked for.
    pub(super) mix: Vec<(f64, Vec<u32>)>,
}

/// How far to go.
pub(super) struct Aim<'a> {
    /// The share of the bound that is not worth another round.
    pub(super) near: f64,
    pub(super) rounds: u64,
    /// A bound at or below this is low enough.
    pub(super) low: i64,
    /// Prices to begin at.
    pub(super) start: Option<&'a [i64]>,
    /// Plans to begin with.
    pub(super) plans: &'a [Vec<u32>],
    /// Whether the mix is wanted.
    pub(super) mix: bool,
}

/// What all groups do at given prices; `picks` is filled when wanted.
struct Response {
    bound: i64,
    worth: i64,
    used: Vec<i64>,
}

fn respond(lean: &Lean, price: &[i64], picks: Option<&mut Vec<u32>>) -> Response {
    let m = lean.m();
    let mut used = vec![0i64; m];
    let mut worth = 0i64;
    let mut bound: i64 = price.iter().zip(&lean.stock).map(|(p, s)| p * s).sum();
    let mut keep = picks;
    for g in 0..lean.groups() {
        let range = lean.range(g);
        let start = range.start;
        let mut best = (i64::MIN, start);
        for (o, row) in range.clone().zip(lean.uses[start * m..range.end * m].chunks_exact(m)) {
            let paid: i64 = row.iter().zip(price).map(|(u, p)| u * p).sum();
            let net = (lean.worth[o] << lean.bits) - paid;
            if net > best.0 {
                best = (net, o);
            }
        }
        bound += best.0;
        worth += lean.worth[best.1];
        for (all, one) in used.iter_mut().zip(lean.row(best.1)) {
            *all += one;
        }
        if let Some(picks) = keep.as_mut() {
            picks.push(best.1 as u32);
        }
    }
    Response { bound, worth, used }
}

/// The lowest bound found.
pub(super) fn lowest(lean: &Lean, aim: &Aim) -> Prices {
    let m = lean.m();
    let top = lean.top.max(1) as f64;
    let scale = top * (1u64 << lean.bits) as f64;
    // No price of the best bound makes its stock dearer than everything.
    let unit: Vec<f64> = lean.stock.iter().map(|s| scale / (*s).max(1) as f64).collect();
    let share = |used: &[i64]| -> Vec<f64> {
        used.iter().zip(&lean.stock).map(|(u, s)| (s - u) as f64 / (*s).max(1) as f64).collect()
    };
    let mut best = Prices { price: vec![0; m], bound: i64::MAX, rounds: 0, mix: Vec::new() };
    if m == 0 {
        best.bound = lean.top << lean.bits;
        return best;
    }
    let mut master = Master::new(m);
    let mut plans: Vec<Vec<u32>> = Vec::new();
    for plan in aim.plans {
        let mut used = vec![0i64; m];
        let mut worth = 0;
        for o in plan {
            worth += lean.worth[*o as usize];
            used.iter_mut().zip(lean.row(*o as usize)).for_each(|(all, one)| *all += one);
        }
        master.add(worth as f64 / top, &share(&used));
        plans.push(plan.clone());
    }
    let mut center = match aim.start {
        Some(price) => price.iter().zip(&unit).map(|(p, u)| *p as f64 / u).collect(),
        None => vec![0.0; m],
    };
    let mut next = center.clone();
    let mut pull = 0.0;
    while best.rounds < aim.rounds {
        best.rounds += 1;
        let at: Vec<f64> = next.iter().zip(&center).map(|(n, c)| n + pull * (c - n)).collect();
        let price: Vec<i64> = at.iter().zip(&unit).map(|(x, u)| (x * u) as i64).collect();
        let mut picks = Vec::new();
        let seen = respond(lean, &price, aim.mix.then_some(&mut picks));
        master.add(seen.worth as f64 / top, &share(&seen.used));
        plans.push(picks);
        let better = seen.bound < best.bound;
        if better {
            best.bound = seen.bound;
            best.price = price;
            center = at;
        }
        let (model, prices) = master.solve();
        let share = best.bound as f64 / scale;
        // What is left to gain, against what is left to close.
        let close = best.bound.saturating_sub(aim.low) as f64 / scale / 200.0;
        let near = if aim.low > i64::MIN { close.max(1e-9 * share) } else { aim.near * share.abs() };
        if best.bound <= aim.low || share - model <= near {
            break;
        }
        pull = if better { 0.5 } else { pull * 0.5 };
        next = prices;
    }
    if aim.mix {
        best.mix = master.shares().into_iter().map(|(k, share)| (share, plans[k].clone())).collect();
    }
    best
}
