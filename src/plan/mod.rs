//! The choice: how much of which lot goes on which field, and when.
//!
//! Lives here: the answer's types, the question a chooser is asked, the
//! chooser, and the tally. Never here: printing, or arithmetic of nutrients
//! beyond adding up what was chosen.

mod against;
pub mod answer;
mod blend;
mod buy;
mod cautions;
mod certify;
mod choose;
mod comes_and_goes;
mod compare;
pub mod days;
mod done;
mod doubt;
mod draws;
mod driving;
mod explain;
mod field;
mod goes;
mod growing;
mod hay_lost;
mod holds;
mod idle;
mod in_parts;
mod items;
mod jobs;
mod known;
mod leftover;
mod make;
mod mend;
mod mixes;
mod must_leave;
mod options;
mod outlook;
mod part;
mod per_pound;
mod phosphorus;
mod pick;
mod pools;
mod problem;
mod proven;
mod rated;
mod record_checks;
mod remembered;
mod resources;
mod sales;
mod scatter;
mod shares;
mod sight;
mod site;
mod soils;
pub mod stock;
mod tally;
mod tally_rows;
mod ties;
mod trail;
mod trips;
mod undone;
pub mod years;

pub use against::{Against, AgainstRow, Progress, Unplanned, against};
pub use answer::Plan;
pub use blend::{Blend, Product, cheapest, implied};
pub use certify::{Shows, certificate_of};
pub use choose::{Choose, Chosen, LeastCost};
pub use compare::{Differ, Differences, Fact, differences};
pub use doubt::{Doubt, Doubts, Moved, Outcome, weakly_known};
pub use driving::driving;
pub use idle::differs_or_why;
pub use in_parts::{Parted, Parting, parted};
pub use jobs::put_on;
pub use leftover::break_even_miles;
pub use make::{asked, cites, make};
pub use mend::{Mend, Mends, Paper, Wanted, wanted};
pub use per_pound::dollars_per_pound;
pub use pick::{Pick, Way, Ways};
pub use problem::{
    Cap, Choice, FieldBill, Problem, ProblemField, ProblemLot, ProblemOutlet, ProblemRest, Remembered, Room, Span,
};
pub use proven::{Proven, pool_of, proven};
pub use record_checks::{is_of_its_year, is_over, shown_by_record, shown_of_year, told_before};
pub use resources::{Draw, Resource};
pub use sales::Sold;
pub use scatter::how_sure;
pub use tally::{actual, tally, tally_of_year};
pub use tally_rows::{
    Actual, Done, FieldRow, Gap, Hauled, Kept, LotRow, MovedRow, Opening, OtherRow, SpreadRow, Tally, YearTally,
};
pub use trail::{TouchedFarm, Trail, TruckStop, names_truck, trail, trucks_and_drivers};
pub use trips::TripCosts;
pub use undone::{Undone, UndoneKind, goes_on, undone};
