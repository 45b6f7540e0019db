//! The choice: how much of which lot goes on which field, and when.
//!
//! Lives here: the answer's types, the question a chooser is asked, the
//! chooser, and the tally. Never here: printing, or arithmetic of nutrients
//! beyond adding up what was chosen.

pub mod answer;
mod choose;
mod driving;
mod field;
mod holds;
mod items;
mod make;
mod outlook;
mod problem;
mod soils;

pub use answer::Plan;
pub use choose::{BestValueFirst, Choose};
pub use driving::driving;
pub use make::make;
pub use problem::{Choice, Entry, Problem, ProblemField, ProblemLot, problem};
