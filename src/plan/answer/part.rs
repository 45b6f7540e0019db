//! The answer on a field that is done in part: types only.

use crate::balance::Npk;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

/// A field of which the log shows the ground that was done, in a window that is still open.
/// In that window the plan goes over the ground that is left alone.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct FieldPart {
    /// Spreadable acres that are done.
    pub done: f64,
    /// Spreadable acres that are left.
    pub left: f64,
    /// Day of the first entry.
    pub first: Date,
    /// Day of the last entry.
    pub last: Date,
    /// The season of the window.
    pub season: String,
    /// Last day of the window.
    pub until: Date,
    /// The entries, by their ids.
    pub entries: Vec<String>,
    /// Why the plan puts nothing on the ground that is left, where it does not.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub why_not: Option<String>,
}

/// A field that was done in part in a window that is still open, where an entry does not say its
/// ground: nobody knows which ground is left, so nothing is planned for it alone.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct UndrawnPart {
    /// Spreadable acres that are done, by the log.
    pub done: f64,
    /// Spreadable acres that are left.
    pub left: f64,
    /// Day of the first entry of the window.
    pub first: Date,
    /// Day of the last entry.
    pub last: Date,
    /// The season of the window.
    pub season: String,
    /// Last day of the window.
    pub until: Date,
    /// The entries that do not say their ground, by their ids.
    pub entries: Vec<String>,
}

/// Ground of a field that the log does not show as done, where all of the field is counted by the
/// ground that got most: what it lacks more than that is in no sum of fertilizer.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Uncounted {
    /// Id of the field.
    pub field: String,
    /// Spreadable acres that the log does not show as done.
    pub acres: f64,
    /// What log puts on the ground that got most and counts toward the need, lb/ac: so much
    /// more may be short there.
    pub lacks: Npk<f64>,
}

/// One ground of a field in a growing year: the part that is done, the rest, or all of it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct GroundBudget {
    /// Its spreadable acres.
    pub acres: f64,
    /// Of what the log shows there, what counts toward the need, lb/ac.
    pub done_usable: Npk<f64>,
    /// The same of what the plan puts there.
    pub supplied_usable: Npk<f64>,
}
