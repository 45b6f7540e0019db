//! Windows of a field that are over on the day of a plan.

use crate::units::Pounds;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

/// A window that was over on the day of the plan: nothing is planned there.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Past {
    /// Name of the season.
    pub season: String,
    /// First day.
    pub first: Date,
    /// Last day before the day of the plan.
    pub last: Date,
    /// The day on which its season opens.
    pub opens: Date,
    /// What the log shows in it.
    pub spread: Pounds,
    /// Whether the log of its year left no room in it: nobody has to have spread then.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub no_room: bool,
}
