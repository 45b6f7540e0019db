//! A proof that others can check: a certificate of what no plan is worth more than, and a checker
//! that reaches its bound again.
//!
//! Lives here: the certificate, its text, and the checker: whole numbers only, and none of the
//! solver's code. Of `solve` only the pool is read, number by number. Never here: how a bound is
//! found.

mod check;
mod count;
mod lines;
mod part;
mod rows;

pub use crate::solve::Pool;
pub use check::{Checked, Refused, check};
pub use count::{Count, count, text};
pub use lines::{Split, Step, read, write};

use serde::{Deserialize, Serialize};

/// A proof for which more ways have to be looked at one by one is not told, and not checked to its end.
pub const MOST_LOOKED_AT: u64 = 2_000_000;

/// A certificate that no plan of a pool is worth more than `bound`.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Certificate {
    /// In units of worth.
    pub bound: i64,
    /// The pool that it is of.
    pub of: Count,
    /// What is counted: resources of the pool, each alone or some together.
    pub rows: Vec<Vec<usize>>,
    /// Resources in whose place alone ways of a group may differ: such ways count as one that uses the
    /// least that any of them uses of each row.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub alike: Vec<usize>,
    /// The other resources that such ways must use alike.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub beside: Vec<usize>,
    /// Binary places of the prices.
    pub bits: u32,
    /// The steps: prices, splits and ends.
    pub steps: Vec<String>,
}
