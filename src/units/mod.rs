//! The quantities of the trade, each a type of its own.
//!
//! Lives here: one table of quantities with their word, unit, least and most
//! value and the units a person may write them in; reading and showing them;
//! named rounding. Never here: rules, files, anything about one farm.

mod grade;
mod parse;
mod pounds;
mod quantity;
mod round;
mod show;
mod soil;

pub use grade::Grade;
pub use parse::{Refusal, accepted, factor, in_unit, number, quantity, says_t};
pub use pounds::{POUNDS_PER_TON, Pounds};
pub use quantity::*;
pub use round::{acres_left, down_to, whole_down};
pub use show::{
    at_most, change_text, coordinate_text, grouped, in_days, number_text, rate_text, to_cents, trimmed, within,
};
pub use soil::{SoilScale, SoilValue};
