//! What a pound of nutrient costs in litter and in a bag, calculated again.

use crate::audit::budget::{holds, toward_need};
use crate::audit::fault::{fault, first_letters, near};
use crate::audit::shown::{jobs_and_loads, left_price};
use crate::check::Ready;
use crate::findings::Findings;
use crate::plan::answer::{PerPound, Plan};
use crate::tables::Book;
use crate::units::Quantity;

/// A figure that strays by more than this share is another one: factors between elements and
/// oxides are kept to five figures elsewhere.
const STRAYS: f64 = 2e-4;
/// Nothing smaller than this is paid or weighed.
const LEAST: f64 = 1e-6;

/// What is paid for a ton, and its usable nitrogen, phosphate and potash, lb.
type Ton = (f64, [f64; 3]);

/// Every lot that goes on and every product, once and in order, each at its cost.
pub(super) fn check(plan: &Plan, ready: &Ready, book: &Book<'_>, findings: &mut Findings) {
    let lots = ready.lots.iter().filter_map(|lot| Some((lot.id.as_str(), true, of_lot(plan, &lot.id, ready, book)?)));
    let bags = ready.shop.products.iter().map(|product| {
        let ton = product.analysis.value.map(|percent| percent * 20.0);
        (product.name.value.as_str(), false, (product.price.value.get(), ton))
    });
    let found: Vec<(&str, bool, Ton)> = lots.chain(bags).collect();
    let names = plan.per_pound.iter().map(|row| (row.of.as_str(), row.litter));
    if !names.eq(found.iter().map(|(of, litter, _)| (*of, *litter))) {
        let what = "what a pound costs is not shown of every lot that goes on and every product, once and in order";
        findings.push(fault("money", what.to_string()));
        return;
    }
    for (row, (_, _, ton)) in plan.per_pound.iter().zip(found) {
        one(row, ton, ready, findings);
    }
}

fn one(row: &PerPound, (dollars, held): Ton, ready: &Ready, findings: &mut Findings) {
    let mut same = |what: &str, shown: Option<f64>, found: Option<f64>| {
        let alike = match (shown, found) {
            (Some(shown), Some(found)) => near(shown, found, LEAST + STRAYS * found.abs()),
            (shown, found) => shown.is_none() && found.is_none(),
        };
        if !alike {
            let said = |value: Option<f64>| value.map_or("nothing".to_string(), |value| format!("{value:.4}"));
            let (shown, found) = (said(shown), said(found));
            let of = first_letters(&row.of);
            findings.push(fault("money", format!("{of}: {what} is {shown}; recalculated it is {found}")));
        }
    };
    same("dollars of a ton", Some(row.a_ton), Some(dollars));
    let shown = [row.usable.n, row.usable.p2o5, row.usable.k2o];
    let each = [row.each.n, row.each.p2o5, row.each.k2o];
    let pounds: f64 = held.iter().sum();
    same("dollars of a usable pound", row.all, (pounds > 0.0).then(|| dollars / pounds));
    for (at, nutrient) in ["N", "P2O5", "K2O"].into_iter().enumerate() {
        same(&format!("usable {nutrient} in a ton"), Some(shown[at]), Some(held[at]));
        same(&format!("dollars of a pound of {nutrient}"), each[at], of_nutrient(at, dollars, held, ready));
    }
}

/// What a pound of one nutrient costs: it bears as much of the ton's dollars as its pounds are
/// worth by the farm's prices; all of them where it is alone.
fn of_nutrient(at: usize, dollars: f64, held: [f64; 3], ready: &Ready) -> Option<f64> {
    let own = held.get(at).copied().filter(|own| *own > 0.0)?;
    if held.iter().enumerate().all(|(other, lb)| other == at || *lb <= 0.0) {
        return Some(dollars / own);
    }
    let prices = ready.prices.as_ref()?;
    let worth = [prices.n.value.get(), prices.p2o5.value.get(), prices.k2o.value.get()];
    let ton: f64 = held.iter().zip(worth).map(|(lb, price)| lb * price).sum();
    (ton > 0.0).then(|| dollars * (own * worth[at] / ton) / own)
}

/// What a ton of a lot costs spread and hauled, with what it would have sold for, and what of it
/// counts toward the need, on the mean of the tons that go on.
fn of_lot(plan: &Plan, id: &str, ready: &Ready, book: &Book<'_>) -> Option<Ton> {
    let (prices, lot) = (ready.prices.as_ref()?, ready.lot(id)?);
    let jobs = plan.fields.iter().flat_map(|field| field.applications.iter().map(move |job| (field, job)));
    let (mut tons, mut paid, mut lb) = (0.0, 0.0, [0.0; 3]);
    for (field, job) in jobs.filter(|(_, job)| job.lot == id && job.rate > 0.0) {
        let own = job.pounds.tons();
        let miles = job.haul.as_ref().map_or(0.0, |haul| haul.miles);
        paid += own * (prices.spreading.value.get() + miles * prices.hauling.value.get());
        paid += jobs_and_loads(std::iter::once(job), prices);
        let held = holds(lot, ready.field(&field.id)?, Some(&job.season), ready, book)?;
        let (n, p2o5, k2o) = toward_need(held, lot, book);
        lb = [lb[0] + own * n, lb[1] + own * p2o5, lb[2] + own * k2o];
        tons += own;
    }
    (tons > 0.0).then(|| (paid / tons + left_price(id, ready), lb.map(|lb| lb / tons)))
}
