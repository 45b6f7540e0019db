//! What a pound of usable nutrient costs on the field, in litter and in a bag.

use crate::balance::{Balance, Npk};
use crate::check::Ready;
use crate::plan::answer::{FieldPlan, PerPound};
use crate::plan::{jobs, trips};
use crate::units::{POUNDS_PER_TON, Quantity};

/// Dollars of a pound of nutrient: of all three together, and of each, parted by what a pound
/// of each is worth; none of what a ton does not hold or where no prices part it.
#[must_use]
pub fn dollars_per_pound(cost: f64, lb: &Npk<f64>, prices: Option<&Npk<f64>>) -> (Option<f64>, Npk<Option<f64>>) {
    let all = lb.n + lb.p2o5 + lb.k2o;
    let held = [lb.n, lb.p2o5, lb.k2o].into_iter().filter(|lb| *lb > 0.0).count();
    let worth = prices.map(|prices| lb.n * prices.n + lb.p2o5 * prices.p2o5 + lb.k2o * prices.k2o);
    let each = |lb: f64, price: Option<f64>| match (held, price.zip(worth)) {
        _ if lb <= 0.0 => None,
        (1, _) => Some(cost / lb),
        (_, Some((price, worth))) if worth > 0.0 => Some(cost * price / worth),
        _ => None,
    };
    let of = Npk {
        n: each(lb.n, prices.map(|prices| prices.n)),
        p2o5: each(lb.p2o5, prices.map(|prices| prices.p2o5)),
        k2o: each(lb.k2o, prices.map(|prices| prices.k2o)),
    };
    ((all > 0.0).then(|| cost / all), of)
}

/// Of every lot that goes on, as it is planned, and of every product of the farm.
pub(super) fn of(ready: &Ready, balance: &Balance, fields: &[FieldPlan]) -> Vec<PerPound> {
    let prices = ready.prices.as_ref();
    let worth = prices.map(|p| Npk { n: p.n.value.get(), p2o5: p.p2o5.value.get(), k2o: p.k2o.value.get() });
    let row = |name: &str, litter, (cost, usable): (f64, Npk<f64>)| {
        let (all, each) = dollars_per_pound(cost, &usable, worth.as_ref());
        PerPound { of: name.to_string(), litter, a_ton: cost, usable, all, each }
    };
    let lots = ready.lots.iter().filter_map(|lot| Some(row(&lot.id, true, a_ton(ready, balance, fields, &lot.id)?)));
    let products = ready.shop.products.iter().map(|product| {
        let [n, p2o5, k2o] = product.analysis.value.map(|percent| percent / 100.0 * POUNDS_PER_TON as f64);
        row(&product.name.value, false, (product.price.value.get(), Npk { n, p2o5, k2o }))
    });
    lots.chain(products).collect()
}

/// What a ton of a lot costs on the fields that it goes on, and what of it is of use there;
/// none where none is planned or the farm gives no prices.
fn a_ton(ready: &Ready, balance: &Balance, fields: &[FieldPlan], lot: &str) -> Option<(f64, Npk<f64>)> {
    let prices = ready.prices.as_ref()?;
    let (mut tons, mut cost, mut usable) = (0.0, 0.0, Npk::<f64>::default());
    for field in fields {
        let Some(weighed) = balance.field(&field.id) else { continue };
        for a in field.applications.iter().filter(|a| a.lot == lot && a.rate > 0.0) {
            let (own, miles) = (a.pounds.tons(), a.haul.as_ref().map_or(0.0, |haul| haul.miles));
            tons += own;
            cost += own * (prices.spreading.value.get() + prices.hauling.value.get() * miles);
            cost += trips::of_jobs(prices, std::iter::once(a)).unwrap_or(0.0);
            usable = usable.with(jobs::usable(weighed, a), |sum, lb| sum + own * lb / a.rate);
        }
    }
    let sells_for = ready.worth_left(lot).unwrap_or(0.0);
    (tons > 0.0).then(|| (cost / tons + sells_for, usable.map(|lb| lb / tons)))
}
