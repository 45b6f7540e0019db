//! Days of the calendar in one form alone.

use jiff::civil::Date;

/// What is said of a word that `day` does not take.
pub const NO_DAY: &str = "not a date; write YYYY-MM-DD";

/// A day written as year-month-day in ten characters, and in no other way.
#[must_use]
pub fn day(text: &str) -> Option<Date> {
    let plain = text.len() == 10 && text.is_ascii();
    text.parse().ok().filter(|_| plain)
}
