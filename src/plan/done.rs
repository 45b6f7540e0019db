//! What the work done since the plan's first day has cost and brought, by the log:
//! done and to come together stay the same when work is logged as it was planned.

use crate::balance::{Balance, Npk};
use crate::check::{Laid, Ready, SAME_WITHIN};
use crate::farm::Prices;
use crate::plan::answer::MoneyDone;
use crate::plan::trips::a_job_and_a_load;
use crate::record::{Entry, What, loads_of};
use crate::tables::Book;
use crate::units::Quantity;

/// The dollars of the log within the plan's days; none where it moved no litter.
/// A pound has the price by which the plan's bill counts it.
pub(super) fn done(
    ready: &Ready,
    balance: &Balance,
    book: Option<&Book<'_>>,
    (prices, pound): (&Prices, Npk<f64>),
) -> Option<MoneyDone> {
    let moved: Vec<&Entry> = ready.done().filter(|e| e.what.moves_litter()).collect();
    if moved.is_empty() {
        return None;
    }
    let sum = |what: What, dollars: &dyn Fn(&Entry) -> f64| -> f64 {
        moved.iter().filter(|e| e.what == what).map(|e| e.amount.tons() * dollars(e)).sum()
    };
    let worth = |of: Npk<f64>| of.n * pound.n + of.p2o5 * pound.p2o5 + of.k2o * pound.k2o;
    let replaced = balance.fields.iter().filter_map(|f| {
        let laid = Laid::of(ready, f.field(), book?, f.acres, (ready.from, ready.to.max(ready.as_of)));
        Some(f.met_by_litter(&laid, ready.from, &worth))
    });
    Some(MoneyDone {
        replaced: replaced.sum(),
        spreading: sum(What::Spread, &|e| {
            prices.spreading.value.get() + prices.hauling.value.get() * miles(balance, e)
        }) + trips(prices, &moved),
        sold: moved.iter().filter(|e| e.what == What::Haul).map(|e| brought(ready, e)).sum(),
        bought: sum(What::Bring, &|e| cost_of(ready, e)),
    })
}

/// Jobs and their loads, as far as the entries say them: a job has one load at the least.
fn trips(prices: &Prices, moved: &[&Entry]) -> f64 {
    let [a_job, a_load] = a_job_and_a_load(prices);
    let jobs = moved.iter().filter(|entry| entry.what == What::Spread);
    jobs.fold(0.0, |sum, entry| sum + a_job + a_load * loads_of(entry).max(1.0))
}

/// Miles from the lot to the field, as for a planned application.
fn miles(balance: &Balance, entry: &Entry) -> f64 {
    let field = entry.field.as_ref().and_then(|field| balance.field(&field.value));
    let haul = field.zip(entry.lot.as_ref()).and_then(|(field, lot)| field.surveyed.hauls.get(&lot.value));
    haul.map_or(0.0, |haul| haul.miles)
}

/// What litter that left the farm brought: the price of the outlet that it went to for
/// what that takes, else that of litter left over.
fn brought(ready: &Ready, entry: &Entry) -> f64 {
    match ready.outlets.iter().find(|outlet| outlet.took(entry)) {
        Some(outlet) => outlet.paid.get(&entry.id).map_or(0.0, |paid| paid.tons() * outlet.price),
        None => entry.amount.tons() * ready.worth_left(entry.lot_id()).unwrap_or(0.0),
    }
}

/// What a ton cost that was brought: the price of the planned one that it was.
fn cost_of(ready: &Ready, entry: &Entry) -> f64 {
    let apart = |date: jiff::civil::Date| (date - entry.date).get_days().abs();
    let own = ready.work.brought.iter().filter(|b| entry.lot_id() == b.lot);
    let nearest = own.filter(|b| apart(b.date) <= SAME_WITHIN).min_by_key(|b| apart(b.date));
    nearest.and_then(|b| b.price).unwrap_or(0.0)
}
