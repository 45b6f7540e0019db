//! What is wrong with a plan, and when two numbers are the same.

use crate::findings::{Finding, Place};

/// Whether two numbers are the same but for so much. What is no number is near
/// nothing.
pub(super) fn near(a: f64, b: f64, by: f64) -> bool {
    (a - b).abs() <= by
}

/// The first letters of what stands in a plan, which may be of any length.
pub(super) fn first_letters(text: &str) -> String {
    text.chars().take(60).collect()
}

/// A fault of the plan, not of the farm.
pub(super) fn fault(code: &'static str, found: String) -> Finding {
    Finding::error(code, &Place::file("plan"), found)
}
