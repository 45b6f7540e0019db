//! Every limit at its bound, one step below and one above, from the texts of a
//! farm to the plan, the findings and the audit's verdict, in two states.
//!
//! One step tells a limit that holds from one that is held a little off.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "../kit/mod.rs"]
mod kit;

mod ages;
mod books;
mod doors;
mod rates;
mod seasons;
mod soil;
mod sums;

/// First day of the kit's farms.
const FROM: &str = "2027-02-15";
