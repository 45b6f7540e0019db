//! Geometry of fields: the local plane, setbacks, spreadable ground, faults of
//! a boundary, distances and passes.
//!
//! Lives here: shapes in, acres and shapes out. Never here: agronomy, the
//! distance that a place asks for, anything of a farm's words.

mod across;
mod agree;
mod clear;
pub mod county;
mod cover;
mod curve;
pub mod distance;
pub mod done;
pub mod faults;
mod grid;
pub mod halves;
pub mod lonlat;
mod outline;
pub mod passes;
pub mod plane;
mod reach;
mod refused;
pub mod region;
mod round;
pub mod setback;
pub mod shape;
mod simple;
pub mod spreadable;
mod union;
mod way;
pub mod written;

pub use across::{Across, across};
pub use county::{Acres, Gathered, Surroundings, Unfit};
pub use cover::{acres_on, acres_reached, covered};
pub use distance::miles;
pub use done::{AllDone, Covered, DRAWN_FEET, Driven, GoneOver, acres_inside, all_done, done_and_left};
pub use faults::{faults, overlap_acres};
pub use halves::{RunLine, halved};
pub use passes::{LeftStrip, Passes, Run, feet_per_load, passes};
pub use plane::{Plane, SQUARE_FEET_PER_ACRE};
pub use refused::CutRefused;
pub use region::lie;
pub use setback::{KeepAway, MOST_PIECES};
pub use shape::{RingPlace, ShapeFault};
pub use spreadable::{Cut, Zone, cut};
pub use written::{ROUNDED_FEET, WrittenGround, written};
