//! What it costs to go out at all, a job and each load of it, besides what a ton costs; and to get
//! rid of a ton.

use crate::check::Ready;
use crate::farm::Prices;
use crate::plan::answer::Application;
use crate::units::{Pounds, Quantity};

/// A last load may be so much of one short of full, or over it.
const FULL: f64 = 0.02;
/// The least of a last load of a part of a field.
const LEAST_LOAD: f64 = 0.5;

/// The costs of jobs and loads; none where the farm gives no prices of them.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct TripCosts {
    /// Dollars of a job: moving to the field and setting up.
    pub job: f64,
    /// Dollars of a load, also of one that is not full.
    pub load: f64,
    /// What a load holds.
    pub holds: Pounds,
}

impl TripCosts {
    pub(super) fn of(ready: &Ready) -> TripCosts {
        let holds = Pounds::from_tons_down(ready.spreader.load.value.get());
        let [job, load] = ready.prices.as_ref().map_or([0.0; 2], a_job_and_a_load);
        TripCosts { job, load, holds: Pounds(holds.0.max(1)) }
    }

    /// The loads of a job, the last one filled or not.
    #[must_use]
    pub fn loads(&self, pounds: Pounds) -> i64 {
        (pounds.0 + self.holds.0 - 1).div_euclid(self.holds.0.max(1)).max(0)
    }

    /// Whether so many tons end in a full load, or in half of one at the least.
    pub(super) fn ends_full(&self, tons: f64) -> bool {
        let loads = tons / self.holds.tons();
        loads.fract() >= LEAST_LOAD || (loads.fract() <= FULL && loads >= 1.0)
    }

    /// Dollars of a job of so much.
    #[must_use]
    pub fn dollars(&self, pounds: Pounds) -> f64 {
        self.job + self.load * self.loads(pounds) as f64
    }
}

/// Where no outlet is named, what must leave sells as all litter does.
pub(super) fn rid(ready: &Ready) -> f64 {
    let price = ready.prices.as_ref().and_then(|prices| prices.disposal.as_ref());
    price.filter(|_| !ready.outlets.is_empty()).map_or(0.0, |price| price.value.get())
}

/// Dollars of a job and of a load, nothing where the farm gives no price of one.
pub(super) fn a_job_and_a_load(prices: &Prices) -> [f64; 2] {
    let [job, load] = [prices.job.as_ref().map(|p| p.value.get()), prices.load.as_ref().map(|p| p.value.get())];
    [job.unwrap_or(0.0), load.unwrap_or(0.0)]
}

/// Dollars of planned jobs and their loads; none where the farm gives no price of either.
pub(super) fn of_jobs<'a>(prices: &Prices, jobs: impl Iterator<Item = &'a Application>) -> Option<f64> {
    let [a_job, a_load] = a_job_and_a_load(prices);
    let priced = prices.job.is_some() || prices.load.is_some();
    priced.then(|| jobs.fold(0.0, |sum, own| sum + a_job + a_load * own.loads as f64))
}
