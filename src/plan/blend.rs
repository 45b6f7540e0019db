//! The cheapest mix of fertilizers that meets what a field is short of.
//!
//! A linear program with a row a nutrient, and one more where phosphate or nitrogen is
//! capped: at its cheapest corner there are at most as many products as rows, each of the
//! nutrients met to the pound or met over by a product that another one needs. The corners are few, so all
//! of them are tried; nothing is left to a tolerance of an iteration.

use crate::balance::Npk;

/// A product: what a pound of it holds and costs.
#[derive(Clone, Debug, PartialEq)]
pub struct Product {
    /// Its name; of mixes that cost the same, the first by name is taken.
    pub name: String,
    /// Pounds of each nutrient in a pound.
    pub holds: Npk<f64>,
    /// Dollars a pound.
    pub price: f64,
}

/// A mix, in the order of the products.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Blend {
    /// Pounds of each product.
    pub pounds: Vec<f64>,
    /// What cannot be met, because no product holds it.
    pub unmet: Npk<f64>,
    /// Dollars.
    pub cost: f64,
}

/// A product too small to weigh: far below a pound, far above a rounding.
const NOTHING: f64 = 1e-9;
/// Costs closer than this share are the same.
const SAME: f64 = 1e-10;

/// The three in a row.
pub(super) fn row(npk: &Npk<f64>) -> [f64; 3] {
    [npk.n, npk.p2o5, npk.k2o]
}

/// Nitrogen and phosphate in a row of the three.
const N: usize = 0;
const P2O5: usize = 1;

/// The most that a mix may bring, pounds.
#[derive(Clone, Copy, Debug)]
pub(super) struct Most {
    pub(super) n: f64,
    pub(super) p2o5: f64,
}

impl Most {
    const NONE: Most = Most { n: f64::INFINITY, p2o5: f64::INFINITY };

    fn keeps(&self, held: impl Fn(usize) -> f64) -> bool {
        let within = |r: usize, most: f64| held(r) <= most * (1.0 + 1e-12) + NOTHING;
        within(N, self.n) && within(P2O5, self.p2o5)
    }
}

/// Halvings of a share of a need: a millionth of a pound and less is left over.
const HALVINGS: usize = 40;

/// A corner of the program: the products in it and the nutrients met exactly.
struct Corner {
    products: Vec<usize>,
    pounds: Vec<f64>,
    tight: Vec<usize>,
    cost: f64,
}

/// The cheapest mix. Of equal ones that with the fewest products, then the
/// first by name.
#[must_use]
pub fn cheapest(products: &[Product], need: &Npk<f64>) -> Blend {
    let none = || Blend { pounds: vec![0.0; products.len()], unmet: *need, cost: 0.0 };
    cheapest_within(products, need, Most::NONE).unwrap_or_else(none)
}

/// The cheapest mix that brings no more than so much; where nitrogen that comes with
/// phosphate or potash would pass it, as much of these as it leaves room for, phosphate given
/// up first. None where the nitrogen alone cannot be met.
#[must_use]
pub(super) fn as_much_as_fits(products: &[Product], need: &Npk<f64>, most: Most) -> Option<Blend> {
    let with =
        |p: f64, k: f64| cheapest_within(products, &Npk { n: need.n, p2o5: need.p2o5 * p, k2o: need.k2o * k }, most);
    let largest = |meets: &dyn Fn(f64) -> Option<Blend>| {
        let (mut low, mut high) = (0.0, 1.0);
        let mut best = meets(low)?;
        for _ in 0..HALVINGS {
            let middle = (low + high) / 2.0;
            match meets(middle) {
                Some(mix) => (low, best) = (middle, mix),
                None => high = middle,
            }
        }
        Some(best)
    };
    let whole = with(1.0, 1.0);
    if whole.is_some() || most.n.is_infinite() {
        return whole;
    }
    largest(&|p| with(p, 1.0)).or_else(|| largest(&|k| with(0.0, k)))
}

/// The cheapest mix that brings no more than so much; none where the needs cannot be met
/// without more.
#[must_use]
pub(super) fn cheapest_within(products: &[Product], need: &Npk<f64>, most: Most) -> Option<Blend> {
    let mut need = need.map(|lb| if lb.is_finite() { lb.max(0.0) } else { 0.0 });
    let mut unmet = Npk::default();
    for (need, unmet, holds) in [
        (&mut need.n, &mut unmet.n, (|p| p.holds.n) as fn(&Product) -> f64),
        (&mut need.p2o5, &mut unmet.p2o5, |p| p.holds.p2o5),
        (&mut need.k2o, &mut unmet.k2o, |p| p.holds.k2o),
    ] {
        if !products.iter().any(|p| holds(p) > 0.0) {
            *unmet = std::mem::take(need);
        }
    }
    let names = |c: &Corner| {
        let mut names: Vec<&str> = c.products.iter().map(|p| products[*p].name.as_str()).collect();
        names.sort_unstable();
        names.join("\n")
    };
    let all = corners(products, &need, most);
    let least = all.iter().map(|c| c.cost).fold(f64::INFINITY, f64::min);
    let cheap = all.into_iter().filter(|c| c.cost <= least + SAME * least.abs());
    let best = cheap.min_by_key(|c| (c.products.len(), names(c)))?;
    let mut mix = Blend { pounds: vec![0.0; products.len()], unmet, cost: best.cost };
    for (product, pounds) in best.products.iter().zip(best.pounds) {
        mix.pounds[*product] = pounds;
    }
    Some(mix)
}

/// What a pound more of each nutrient costs where all three are bought in this
/// proportion: the price that the products imply. None for a nutrient that is
/// not wanted, cannot be had, or comes free with another.
#[must_use]
pub fn implied(products: &[Product], need: &Npk<f64>) -> Npk<Option<f64>> {
    let least = cheapest(products, need);
    let wanted = need.with(least.unmet, |need, unmet| (need - unmet).max(0.0));
    let mut all = corners(products, &wanted, Most::NONE);
    all.sort_by(|a, b| a.cost.total_cmp(&b.cost).then_with(|| a.products.cmp(&b.products)));
    let prices = all.iter().filter(|c| c.cost <= least.cost + SAME * least.cost).find_map(|corner| {
        // The nutrients met exactly carry the products' whole price.
        let system: Vec<Vec<f64>> = corner
            .products
            .iter()
            .map(|p| corner.tight.iter().map(|r| row(&products[*p].holds)[*r]).collect())
            .collect();
        let right = corner.products.iter().map(|p| products[*p].price).collect();
        let solved = solve(system, right)?;
        let mut price = [0.0; 3];
        for (nutrient, dollars) in corner.tight.iter().zip(solved) {
            price[*nutrient] = dollars;
        }
        let fair = |p: &Product| row(&p.holds).iter().zip(price).map(|(h, y)| h * y).sum::<f64>() <= p.price + 1e-9;
        (price.iter().all(|y| *y >= -1e-9) && products.iter().all(fair)).then_some(price)
    });
    let get = |i: usize| prices.map(|p| p[i]).filter(|y| *y > 1e-9 && row(&wanted)[i] > 0.0);
    Npk { n: get(0), p2o5: get(1), k2o: get(2) }
}

/// Every corner at which all needs are met, with no more than so much.
fn corners(products: &[Product], need: &Npk<f64>, most: Most) -> Vec<Corner> {
    let need = row(need);
    let wanted: Vec<usize> = (0..3).filter(|r| need[*r] > NOTHING).collect();
    let mut bounds: Vec<(usize, f64)> = wanted.iter().map(|r| (*r, need[*r])).collect();
    for (r, most) in [(N, most.n), (P2O5, most.p2o5)] {
        if most.is_finite() && most > need[r] + NOTHING {
            bounds.push((r, most));
        }
    }
    let mut found = Vec::new();
    for met in subsets(&bounds) {
        let tight: Vec<usize> = met.iter().map(|(r, _)| *r).collect();
        for chosen in choices(products.len(), tight.len()) {
            let system = tight.iter().map(|r| chosen.iter().map(|p| row(&products[*p].holds)[*r]).collect()).collect();
            let Some(pounds) = solve(system, met.iter().map(|(_, lb)| *lb).collect()) else { continue };
            let held =
                |r: usize| -> f64 { chosen.iter().zip(&pounds).map(|(p, lb)| row(&products[*p].holds)[r] * lb).sum() };
            let sound = pounds.iter().all(|lb| lb.is_finite() && *lb > NOTHING) && most.keeps(held);
            if sound && wanted.iter().all(|r| held(*r) >= need[*r] * (1.0 - 1e-12) - NOTHING) {
                let cost = chosen.iter().zip(&pounds).map(|(p, lb)| products[*p].price * lb).sum();
                found.push(Corner { products: chosen, pounds, tight: tight.clone(), cost });
            }
        }
    }
    found
}

/// Every part of a few things, the whole and nothing included.
fn subsets<T: Copy>(of: &[T]) -> Vec<Vec<T>> {
    (0..1_usize << of.len())
        .map(|bits| of.iter().enumerate().filter(|(i, _)| bits >> i & 1 == 1).map(|(_, one)| *one).collect())
        .collect()
}

/// Every choice of so many out of so many, in order; of five at most.
fn choices(count: usize, size: usize) -> Vec<Vec<usize>> {
    let mut all: Vec<Vec<usize>> = vec![Vec::new()];
    for _ in 0..size {
        all = all
            .into_iter()
            .flat_map(|part| {
                let from = part.last().map_or(0, |last| last + 1);
                (from..count).map(move |next| [part.as_slice(), &[next]].concat())
            })
            .collect();
    }
    all
}

/// Solves a system of a few rows; none when it has no single answer.
fn solve(mut rows: Vec<Vec<f64>>, mut right: Vec<f64>) -> Option<Vec<f64>> {
    let n = right.len();
    for column in 0..n {
        let pivot = (column..n).max_by(|a, b| rows[*a][column].abs().total_cmp(&rows[*b][column].abs()))?;
        if rows[pivot][column].abs() < 1e-12 {
            return None;
        }
        rows.swap(column, pivot);
        right.swap(column, pivot);
        let top = rows[column].clone();
        for below in (0..n).filter(|r| *r != column) {
            let times = rows[below][column] / top[column];
            rows[below].iter_mut().zip(&top).for_each(|(cell, above)| *cell -= times * above);
            right[below] -= times * right[column];
        }
    }
    Some((0..n).map(|i| right[i] / rows[i][i]).collect())
}
