//! The only place that asks what day it is: for the day of a log entry.

use jiff::civil::Date;
use jiff::{Timestamp, ZonedDateTime};
use std::hash::{BuildHasher, Hasher, RandomState};

/// Today, where the computer stands.
pub(super) fn today() -> Date {
    ZonedDateTime::now().date()
}

/// A number that another run on any machine hardly has: the time, this
/// process, and the system's own random numbers.
pub(super) fn salt() -> u64 {
    let mut hasher = RandomState::new().build_hasher();
    hasher.write_i128(Timestamp::now().as_nanosecond());
    hasher.write_u32(std::process::id());
    hasher.finish()
}
