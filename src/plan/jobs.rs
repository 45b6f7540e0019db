//! What one application puts on.

use crate::balance::{FieldBalance, Npk};
use crate::plan::answer::Application;

/// Nutrients that an application puts on the field, lb/ac: nitrogen as far as
/// it is available in the plan's year, in the season it goes on.
#[must_use]
pub fn put_on(weighed: &FieldBalance, application: &Application) -> Npk<f64> {
    let Some(lot) = weighed.lot(&application.lot) else { return Npk::default() };
    let window = weighed.windows.iter().position(|w| w.first == application.first && w.season == application.season);
    weighed.npk_per_ton(lot, window).map(|lb| application.rate * lb)
}
