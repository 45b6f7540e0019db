//! The only place that asks what day and time it is: for the day of a log
//! entry, and for the age of files that a killed run left.

use jiff::civil::Date;
use jiff::{Timestamp, ZonedDateTime};
use std::hash::{BuildHasher, Hasher, RandomState};
use std::time::{Duration, SystemTime};

/// Today, where the computer stands.
pub(super) fn today() -> Date {
    ZonedDateTime::now().date()
}

/// Whether so much time is over since.
#[expect(clippy::disallowed_methods, reason = "the age of a left-over file is no matter of the plan")]
pub(super) fn is_over(since: SystemTime, time: Duration) -> bool {
    SystemTime::now().duration_since(since).is_ok_and(|age| age > time)
}

/// A number that another run on any machine hardly has: the time, this
/// process, and the system's own random numbers.
pub(super) fn salt() -> u64 {
    let mut hasher = RandomState::new().build_hasher();
    hasher.write_i128(Timestamp::now().as_nanosecond());
    hasher.write_u32(std::process::id());
    hasher.finish()
}
