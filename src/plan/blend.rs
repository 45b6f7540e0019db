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
    pub(super) const NONE: Most = Most { n: f64::INFINITY, p2o5: f64::INFINITY };

    fn keeps(&self, held: impl Fn(usize) -> f64) -> bool {
        let within = |r: usize, most: f64| held(r) <= most * (1.0 + 1e-12) + NOTHING;
        within(N, self.n) && within(P2O5, self.p2o5)
    }
}

/// Halvings of a share of a need: a millionth of a pound and less is left over.
const HALVINGS: usize = 40;

/// Products with every corner that their mixes may have: for some of the nutrients, as many
/// products that meet just these.
#[derive(Clone, Debug)]
pub(super) struct Shelf {
    pub(super) products: Vec<Product>,
    corners: Vec<Corner>,
}

/// Nutrients met exactly, the products that meet them, and how: pounds of each product for a
/// pound of each nutrient.
#[derive(Clone, Debug)]
struct Corner {
    tight: Vec<usize>,
    products: Vec<usize>,
    pounds: [[f64; 3]; 3],
    /// What a pound of each of the nutrients costs.
    price: [f64; 3],
}

/// A mix at a corner: which, pounds of its products, dollars.
#[derive(Clone, Copy)]
struct At {
    corner: usize,
    pounds: [f64; 3],
    cost: f64,
}

impl Shelf {
    pub(super) fn new(products: Vec<Product>) -> Shelf {
        let rows: Vec<usize> = (0..3).filter(|r| products.iter().any(|p| row(&p.holds)[*r] > 0.0)).collect();
        let mut corners = Vec::new();
        for tight in subsets(&rows) {
            for chosen in choices(products.len(), tight.len()) {
                let cell = |r: &usize, p: &usize| row(&products[*p].holds)[*r];
                let system = tight.iter().map(|r| chosen.iter().map(|p| cell(r, p)).collect()).collect();
                let Some(pounds) = inverse(system) else { continue };
                let mut price = [0.0; 3];
                for (at, price) in price.iter_mut().enumerate().take(tight.len()) {
                    *price = chosen.iter().enumerate().map(|(p, own)| products[*own].price * pounds[p][at]).sum();
                }
                corners.push(Corner { tight: tight.clone(), products: chosen, pounds, price });
            }
        }
        Shelf { products, corners }
    }

    /// The cheapest mix. Of equal ones that with the fewest products, then the first by name.
    pub(super) fn cheapest(&self, need: &Npk<f64>) -> Blend {
        self.cheapest_within(need, Most::NONE).unwrap_or_else(|| Blend { unmet: *need, ..self.nothing() })
    }

    /// Nothing of any product.
    pub(super) fn nothing(&self) -> Blend {
        Blend { pounds: vec![0.0; self.products.len()], ..Blend::default() }
    }

    /// Whether each nutrient of a need is in some product.
    pub(super) fn holds_all(&self, need: &Npk<f64>) -> bool {
        self.meetable(need).1 == Npk::default()
    }

    /// Of a need, as much as can be met with no more than so much: where nitrogen that comes with
    /// phosphate or potash would pass it, as much of these as it leaves room for, phosphate given
    /// up first, unless it can be had without. None where the nitrogen alone cannot be met.
    pub(super) fn as_much_as_fits(&self, need: &Npk<f64>, most: Most) -> Option<Npk<f64>> {
        let part = |p: f64, k: f64| Npk { n: need.n, p2o5: need.p2o5 * p, k2o: need.k2o * k };
        let with = |p: f64, k: f64| Some(part(p, k)).filter(|need| self.meets(need, most));
        let largest = |meets: &dyn Fn(f64) -> Option<Npk<f64>>| {
            let (mut low, mut high) = (0.0, 1.0);
            let mut best = meets(low)?;
            for _ in 0..HALVINGS {
                let middle = (low + high) / 2.0;
                match meets(middle) {
                    Some(met) => (low, best) = (middle, met),
                    None => high = middle,
                }
            }
            Some(best)
        };
        let whole = with(1.0, 1.0);
        if whole.is_some() || most.n.is_infinite() {
            return whole;
        }
        let less_potash = || largest(&|k| with(1.0, k)).or_else(|| largest(&|k| with(0.0, k)));
        largest(&|p| with(p, 1.0)).or_else(less_potash)
    }

    /// Whether some mix meets a need with no more than so much.
    pub(super) fn meets(&self, need: &Npk<f64>, most: Most) -> bool {
        !self.sound(row(&self.meetable(need).0), most, None).is_empty()
    }

    /// Every mix at a corner that meets a need with no more than so much.
    pub(super) fn mixes(&self, need: &Npk<f64>, most: Most) -> Vec<Blend> {
        self.mixes_with(need, most, None)
    }

    /// Those of which some pounds of one product are a part, the rest met by the others.
    pub(super) fn mixes_of(&self, (product, pounds): (usize, f64), need: &Npk<f64>, most: Most) -> Vec<Blend> {
        let brings = self.products[product].holds.map(|holds| pounds * holds);
        let rest = need.with(brings, |need, brings| (need - brings).max(0.0));
        let most = Most { n: most.n - brings.n, p2o5: most.p2o5 - brings.p2o5 };
        let mut all =
            if most.n < 0.0 || most.p2o5 < 0.0 { Vec::new() } else { self.mixes_with(&rest, most, Some(product)) };
        for mix in &mut all {
            mix.pounds[product] = pounds;
            mix.cost += pounds * self.products[product].price;
        }
        all
    }

    fn mixes_with(&self, need: &Npk<f64>, most: Most, without: Option<usize>) -> Vec<Blend> {
        let (need, unmet) = self.meetable(need);
        self.sound(row(&need), most, without).iter().map(|at| self.blend(at, unmet)).collect()
    }

    fn blend(&self, at: &At, unmet: Npk<f64>) -> Blend {
        let mut mix = Blend { pounds: vec![0.0; self.products.len()], unmet, cost: at.cost };
        for (product, pounds) in self.corners[at.corner].products.iter().zip(at.pounds) {
            mix.pounds[*product] = pounds;
        }
        mix
    }

    /// Of some mixes with what they cost in all the least; of equal ones that with the fewest
    /// products, then the first by name.
    pub(super) fn least<T>(&self, all: Vec<(f64, Blend, T)>) -> Option<(Blend, T)> {
        let least = all.iter().map(|(cost, ..)| *cost).fold(f64::INFINITY, f64::min);
        let names = |mix: &Blend| {
            let own = self.products.iter().zip(&mix.pounds).filter(|(_, pounds)| **pounds > 0.0);
            let mut names: Vec<&str> = own.map(|(p, _)| p.name.as_str()).collect();
            names.sort_unstable();
            (names.len(), names)
        };
        let cheap = all.into_iter().filter(|(cost, ..)| *cost <= least + SAME * least.abs());
        let best = cheap.reduce(|best, one| if names(&one.1) < names(&best.1) { one } else { best });
        best.map(|(_, mix, of)| (mix, of))
    }

    /// The cheapest mix that brings no more than so much; none where the needs cannot be met
    /// without more.
    fn cheapest_within(&self, need: &Npk<f64>, most: Most) -> Option<Blend> {
        self.cheapest_of(&self.mixes(need, most))
    }

    /// The cheapest of some mixes.
    pub(super) fn cheapest_of(&self, all: &[Blend]) -> Option<Blend> {
        let all = all.iter().map(|mix| (mix.cost, mix.clone(), ()));
        self.least(all.collect()).map(|(mix, ())| mix)
    }

    /// Of a need, what some product holds, and what none does.
    fn meetable(&self, need: &Npk<f64>) -> (Npk<f64>, Npk<f64>) {
        let need = need.map(|lb| if lb.is_finite() { lb.max(0.0) } else { 0.0 });
        let held = self.products.iter().fold(Npk::default(), |sum: Npk<f64>, p| sum.with(p.holds, |a, b| a + b));
        let met = need.with(held, |need, held| if held > 0.0 { need } else { 0.0 });
        (met, need.with(met, |need, met| need - met))
    }

    /// Every corner at which all needs are met, with no more than so much, and without one of the
    /// products where that is asked.
    fn sound(&self, need: [f64; 3], most: Most, without: Option<usize>) -> Vec<At> {
        let open = |most: f64, need: f64| Some(most).filter(|most| most.is_finite() && *most > need + NOTHING);
        let most_of = [open(most.n, need[N]), open(most.p2o5, need[P2O5]), None];
        let mut found = Vec::new();
        let with = |corner: &&Corner| without.is_none_or(|out| !corner.products.contains(&out));
        for (index, corner) in self.corners.iter().enumerate().filter(|(_, corner)| with(corner)) {
            // Each of the nutrients at its need, or at its most where there is one.
            for at_most in 0..1_usize << corner.tight.len() {
                let met = |(at, r): (usize, &usize)| match at_most >> at & 1 {
                    0 => Some(need[*r]).filter(|lb| *lb > NOTHING),
                    _ => most_of[*r],
                };
                let mut lb = [0.0; 3];
                let all = corner.tight.iter().enumerate().zip(&mut lb).all(|(at, lb)| match met(at) {
                    Some(met) => {
                        *lb = met;
                        true
                    }
                    None => false,
                });
                if all {
                    found.extend(self.at(index, lb, need, most));
                }
            }
        }
        found
    }

    /// The mix of a corner that meets some pounds of its nutrients, where it is one.
    fn at(&self, index: usize, lb: [f64; 3], need: [f64; 3], most: Most) -> Option<At> {
        let corner = &self.corners[index];
        let size = corner.products.len();
        let mut pounds = [0.0; 3];
        let mut held = [0.0; 3];
        for (of, (own, product)) in pounds.iter_mut().zip(corner.pounds.iter().zip(&corner.products)) {
            *of = own.iter().zip(lb).take(size).map(|(share, lb)| share * lb).sum();
            if !(of.is_finite() && *of > NOTHING) {
                return None;
            }
            for (held, holds) in held.iter_mut().zip(row(&self.products[*product].holds)) {
                *held += *of * holds;
            }
        }
        let met = held.iter().zip(need).all(|(held, need)| need <= NOTHING || *held >= need * (1.0 - 1e-12) - NOTHING);
        let cost = corner.price.iter().zip(lb).take(size).map(|(price, lb)| price * lb).sum();
        (met && most.keeps(|r| held[r])).then_some(At { corner: index, pounds, cost })
    }
}

/// The cheapest mix. Of equal ones that with the fewest products, then the
/// first by name.
#[must_use]
pub fn cheapest(products: &[Product], need: &Npk<f64>) -> Blend {
    Shelf::new(products.to_vec()).cheapest(need)
}

/// What a pound more of each nutrient costs where all three are bought in this
/// proportion: the price that the products imply. None for a nutrient that is
/// not wanted, cannot be had, or comes free with another.
#[must_use]
pub fn implied(products: &[Product], need: &Npk<f64>) -> Npk<Option<f64>> {
    let shelf = Shelf::new(products.to_vec());
    let (wanted, _) = shelf.meetable(need);
    let mut all = shelf.sound(row(&wanted), Most::NONE, None);
    all.sort_by(|a, b| {
        let products = |at: &At| &shelf.corners[at.corner].products;
        a.cost.total_cmp(&b.cost).then_with(|| products(a).cmp(products(b)))
    });
    let least = all.first().map_or(0.0, |at| at.cost);
    // The nutrients met exactly carry the products' whole price.
    let prices = all.iter().filter(|at| at.cost <= least + SAME * least).find_map(|at| {
        let corner = &shelf.corners[at.corner];
        let mut price = [0.0; 3];
        for (nutrient, dollars) in corner.tight.iter().zip(corner.price) {
            price[*nutrient] = dollars;
        }
        let fair = |p: &Product| row(&p.holds).iter().zip(price).map(|(h, y)| h * y).sum::<f64>() <= p.price + 1e-9;
        (price.iter().all(|y| *y >= -1e-9) && products.iter().all(fair)).then_some(price)
    });
    let get = |i: usize| prices.map(|p| p[i]).filter(|y| *y > 1e-9 && row(&wanted)[i] > 0.0);
    Npk { n: get(0), p2o5: get(1), k2o: get(2) }
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

/// The inverse of a system of three rows at most; none when it has no single answer.
fn inverse(mut rows: Vec<Vec<f64>>) -> Option<[[f64; 3]; 3]> {
    let n = rows.len();
    let mut right = [[0.0; 3]; 3];
    for (at, row) in right.iter_mut().enumerate() {
        row[at] = 1.0;
    }
    for column in 0..n {
        let pivot = (column..n).max_by(|a, b| rows[*a][column].abs().total_cmp(&rows[*b][column].abs()))?;
        if rows[pivot][column].abs() < 1e-12 {
            return None;
        }
        rows.swap(column, pivot);
        right.swap(column, pivot);
        let (top, own) = (rows[column].clone(), right[column]);
        for below in (0..n).filter(|r| *r != column) {
            let times = rows[below][column] / top[column];
            rows[below].iter_mut().zip(&top).for_each(|(cell, above)| *cell -= times * above);
            right[below].iter_mut().zip(own).for_each(|(cell, above)| *cell -= times * above);
        }
    }
    for (at, row) in right.iter_mut().enumerate().take(n) {
        row.iter_mut().for_each(|cell| *cell /= rows[at][at]);
    }
    Some(right)
}
