//! Need, supply and every limit, as pure arithmetic that shows its work.
//!
//! Lives here: what each field needs, what a ton of each lot supplies, what
//! caps the rate, and the notebook in which every number stands with its
//! formula and source. Never here: choices, reading, printing.

mod banked;
mod desk;
mod driving;
mod erosion;
mod field;
mod goal;
mod lime;
mod limits;
mod logged;
mod need;
mod notebook;
mod overrun;
mod phosphorus;
mod since_test;
mod supply;
mod survey;
mod untouched;
mod windows;

pub use driving::{Driving, LoadEnd, Loads, Spreading, driving};
pub use lime::Lime;
pub use limits::{Limit, LimitKind};
pub use notebook::{How, Notebook, Op, Step, StepId, Worth};
pub use phosphorus::{Basis, Phosphorus};
pub use supply::Supply;
pub use survey::{Haul, SoilPart, Surveyed, survey};
pub use untouched::{bare_keepouts, idle_keepouts};
pub use windows::Window;

use crate::check::{Bar, Ready};
use crate::findings::Findings;
use crate::tables::Tables;

/// Nitrogen, phosphate and potash, in that order everywhere.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Npk<T> {
    /// Nitrogen.
    pub n: T,
    /// Phosphate, P2O5.
    pub p2o5: T,
    /// Potash, K2O.
    pub k2o: T,
}

impl<T: Copy> Npk<T> {
    /// The same three, each changed.
    pub fn map<U>(self, change: impl Fn(T) -> U) -> Npk<U> {
        Npk { n: change(self.n), p2o5: change(self.p2o5), k2o: change(self.k2o) }
    }

    /// Two threes, one by one.
    pub fn with<U: Copy, V>(self, other: Npk<U>, join: impl Fn(T, U) -> V) -> Npk<V> {
        Npk { n: join(self.n, other.n), p2o5: join(self.p2o5, other.p2o5), k2o: join(self.k2o, other.k2o) }
    }
}

/// The balance of the whole farm; fields and lots in the order written.
#[derive(Clone, Debug)]
pub struct Balance {
    /// The fields.
    pub fields: Vec<FieldBalance>,
}

/// The balance of one field.
#[derive(Clone, Debug)]
pub struct FieldBalance {
    /// All steps, in the order they were taken.
    pub notes: Notebook,
    /// Acres to spread on, down to the hundredth.
    pub acres: f64,
    /// The yield goal, tons of dry hay per acre.
    pub goal: StepId,
    /// What the crop asks for in the plan's year, lb/ac.
    pub need: Npk<StepId>,
    /// Of that, what earlier spreading in the plan's year has not met, lb/ac.
    pub left: Npk<f64>,
    /// What the forage carries off, lb/ac.
    pub removed: Npk<StepId>,
    /// Class, basis and allowance of phosphorus.
    pub phosphorus: Phosphorus,
    /// Phosphate still allowed after what is already spread, lb/ac.
    pub p2o5_left: Option<f64>,
    /// Phosphate of earlier years that the forage has not carried off yet, lb/ac.
    pub p2o5_carried: f64,
    /// What the log put on the densest ground in the plan's days, lb/ac.
    pub done: Npk<f64>,
    /// The same in tons of litter per acre.
    pub tons_done: f64,
    /// Zinc and copper of it, lb/ac; none where an analysis does not say.
    pub metals_done: [Option<f64>; 2],
    /// How often the field was gone over by the log.
    pub trips_done: usize,
    /// What bars the field outright.
    pub bars: Vec<Bar>,
    /// Lime, where the soil test and the place say how much.
    pub lime: Option<Lime>,
    /// Soil loss, where the farm gives slope and soil.
    pub soil_loss: Option<StepId>,
    /// Most available nitrogen in one application, lb/ac.
    pub n_at_once: Option<StepId>,
    /// When litter may go on.
    pub windows: Vec<Window>,
    /// Days that were open and are over on the day of the plan.
    pub past: Vec<Window>,
    /// Per lot, what a ton supplies and what caps its rate.
    pub lots: Vec<LotBalance>,
}

/// One lot on one field.
#[derive(Clone, Debug)]
pub struct LotBalance {
    /// What a ton supplies in the first year.
    pub supply: Supply,
    /// Available nitrogen of a ton in each of the field's windows, those that are
    /// over last.
    pub n_in: Vec<StepId>,
    /// Every limit on its rate on this field.
    pub limits: Vec<Limit>,
}

/// Reckons the balance. Findings come back for figures that the tables lack;
/// such a field is barred, not guessed at.
#[must_use]
pub fn weigh(ready: &Ready, tables: &Tables, ground: &[Surveyed]) -> (Balance, Findings) {
    let mut findings = Findings::new();
    let mut fields = Vec::new();
    if let Some(book) = ready.book(tables) {
        for (farm_field, surveyed) in ready.fields.iter().zip(ground) {
            fields.push(field::weigh(ready, farm_field, surveyed, &book, &mut findings));
        }
    }
    (Balance { fields }, findings)
}
