//! What the binder is made from, and how it shows names and gaps.

use crate::audit::Audited;
use crate::balance::{Balance, Driving, Surveyed};
use crate::check::Ready;
use crate::findings::Cite;
use crate::plan::answer::Plan;
use crate::plan::days::Days;
use crate::plan::{Actual, Tally};
use crate::write::sheet::words::xml;

/// What the binder is made from.
#[derive(Clone, Copy, Debug)]
pub struct Papers<'a> {
    /// The plan, which passed the audit.
    pub audited: &'a Audited,
    /// The farm.
    pub ready: &'a Ready,
    /// The balance of every field.
    pub balance: &'a Balance,
    /// The ground of every field.
    pub ground: &'a [Surveyed],
    /// The runs of every field, as `plan::driving` lays them.
    pub driving: &'a [Option<Driving>],
    /// The calendar, where the farm says how fast it spreads.
    pub days: Option<&'a Days>,
    /// What the log comes to.
    pub tally: &'a Tally,
    /// What was done against what is allowed.
    pub actual: &'a [Actual],
    /// Every published figure that the plan rests on, each once.
    pub cites: &'a [Cite],
}

impl Papers<'_> {
    pub(super) fn plan(&self) -> &Plan {
        self.audited.plan()
    }
}

/// A name of the farm, fit to be shown.
pub(super) fn shown(id: &str, name: &str) -> String {
    xml(&format!("{id} {name}"))
}

pub(super) fn or_dash(text: Option<String>) -> String {
    text.unwrap_or_else(|| "-".to_string())
}
