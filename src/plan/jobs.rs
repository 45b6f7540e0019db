//! What one application puts on, and how that is known.

use crate::balance::{FieldBalance, Limit, Npk, StepId, StepsKnown};
use crate::findings::Known;
use crate::plan::answer::Application;

/// Nutrients that an application puts on the field, lb/ac: nitrogen as far as
/// it is available in the plan's year, in the season it goes on.
#[must_use]
pub fn put_on(weighed: &FieldBalance, application: &Application) -> Npk<f64> {
    let Some(lot) = weighed.lot(&application.lot) else { return Npk::default() };
    weighed.npk_per_ton(lot, window(weighed, application)).map(|lb| application.rate * lb)
}

/// What of it counts toward the need, lb/ac.
pub(super) fn usable(weighed: &FieldBalance, application: &Application) -> Npk<f64> {
    let Some(lot) = weighed.lot(&application.lot) else { return Npk::default() };
    weighed.usable_per_ton(lot, window(weighed, application)).map(|lb| application.rate * lb)
}

/// All of its nitrogen, lb/ac.
pub(super) fn total_n(weighed: &FieldBalance, application: &Application) -> f64 {
    weighed.lot(&application.lot).map_or(0.0, |lot| application.rate * weighed.value(lot.supply.total_n))
}

/// The window of the field that it goes on in.
pub(super) fn window(weighed: &FieldBalance, application: &Application) -> Option<usize> {
    weighed.windows.iter().position(|w| w.first == application.first && w.season == application.season)
}

/// What a limit counts of jobs, by what an acre that they go on gets.
fn counted<'a>(weighed: &FieldBalance, row: &Limit, jobs: impl Iterator<Item = &'a Application>) -> f64 {
    let put = |a: &Application| {
        let window = window(weighed, a)?;
        let own = weighed.lot(&a.lot).filter(|_| row.windows.contains(&window))?;
        Some(a.rate * weighed.per_ton(own, row.counts, Some(window))?)
    };
    jobs.filter_map(put).fold(0.0, |sum, one| sum + one)
}

/// The jobs that go on all of the field.
pub(super) fn on_all(jobs: &[Application]) -> impl Iterator<Item = &Application> {
    jobs.iter().filter(|job| job.rest_acres.is_none())
}

/// What a limit counts of log and jobs on the ground that gets most of it.
pub(super) fn on_with_log(weighed: &FieldBalance, row: &Limit, jobs: &[Application]) -> f64 {
    let of = |step: Option<StepId>| step.map_or(0.0, |step| weighed.value(step));
    let whole = of(row.done) + counted(weighed, row, on_all(jobs));
    let rest = row.on_rest.map(|on| of(on.done) + counted(weighed, row, jobs.iter()));
    rest.map_or(whole, |rest| rest.max(whole))
}

/// How the worst known figures behind that are known.
pub(super) fn known(weighed: &FieldBalance, application: &Application, steps: &StepsKnown) -> Npk<Known> {
    let Some(lot) = weighed.lot(&application.lot) else { return Npk::default() };
    lot.npk_in_window(window(weighed, application)).map(|step| steps.of(step))
}
