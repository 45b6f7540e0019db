//! A first plan: groups with the clearest choice take first, then whatever
//! still fits and gains is added.

use super::lean::Lean;

/// How each group stands at the prices.
pub(super) struct Standing {
    /// Best option at the prices, by group.
    pub(super) best: Vec<u32>,
    /// What the second best option loses, by group; `i64::MAX` for none.
    pub(super) clear: Vec<i64>,
    /// What the best option that spends clearly more or less loses. The same
    /// litter in another season at the same price is no way to fill a stock.
    pub(super) margin: Vec<i64>,
}

pub(super) fn standing(lean: &Lean, price: &[i64]) -> Standing {
    let n = lean.groups();
    let mut standing =
        Standing { best: Vec::with_capacity(n), clear: Vec::with_capacity(n), margin: Vec::with_capacity(n) };
    for g in 0..n {
        let mut first = (i64::MIN, 0usize);
        for o in lean.range(g) {
            let net = lean.net(o, price);
            if net > first.0 {
                first = (net, o);
            }
        }
        let spends = |o: usize| (lean.worth[o] << lean.bits) - lean.net(o, price);
        let (mut clear, mut margin) = (i64::MAX, i64::MAX);
        for o in lean.range(g).filter(|o| *o != first.1) {
            let loss = first.0 - lean.net(o, price);
            clear = clear.min(loss);
            if loss < margin && (spends(o) - spends(first.1)).abs() > spends(first.1) / 64 {
                margin = loss;
            }
        }
        standing.best.push(first.1 as u32);
        standing.clear.push(clear);
        standing.margin.push(margin);
    }
    standing
}

/// A plan that keeps the stocks. A group takes what is wanted for it, if that
/// is given and fits, else the best at the prices that fits.
pub(super) fn plan(lean: &Lean, price: &[i64], standing: &Standing, wanted: Option<&[u32]>) -> Option<Vec<u32>> {
    let mut order: Vec<u32> = (0..lean.groups() as u32).collect();
    order.sort_by_key(|g| (std::cmp::Reverse(standing.margin[*g as usize]), *g));
    let mut left = lean.stock.clone();
    let mut picks = vec![0u32; lean.groups()];
    for g in order {
        let g = g as usize;
        let mut best = (i64::MIN, 0);
        let fits = |o: usize| lean.row(o).iter().zip(&left).all(|(u, l)| u <= l);
        let own = wanted.map(|w| w[g] as usize).filter(|o| fits(*o));
        let range = own.map_or(lean.range(g), |o| o..o + 1);
        for o in range {
            if fits(o) {
                let net = lean.net(o, price);
                if net > best.0 {
                    best = (net, o);
                }
            }
        }
        if best.0 == i64::MIN {
            return None;
        }
        picks[g] = best.1 as u32;
        for (l, u) in left.iter_mut().zip(lean.row(best.1)) {
            *l -= u;
        }
    }
    fill(lean, &mut left, &mut picks);
    Some(picks)
}

/// Takes a better option wherever one fits into what is left.
fn fill(lean: &Lean, left: &mut [i64], picks: &mut [u32]) {
    for _ in 0..4 {
        let mut moved = false;
        for (g, pick) in picks.iter_mut().enumerate() {
            let held = *pick as usize;
            let mut best = (lean.worth[held], held);
            for o in lean.range(g) {
                let fits = lean.row(o).iter().zip(lean.row(held)).zip(left.iter()).all(|((u, h), l)| u - h <= *l);
                if fits && lean.worth[o] > best.0 {
                    best = (lean.worth[o], o);
                }
            }
            if best.1 != held {
                for ((l, u), h) in left.iter_mut().zip(lean.row(best.1)).zip(lean.row(held)) {
                    *l += h - u;
                }
                *pick = best.1 as u32;
                moved = true;
            }
        }
        if !moved {
            break;
        }
    }
}
