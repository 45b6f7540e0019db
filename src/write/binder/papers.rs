//! What the binder is made from, and how its sections show names, gaps and tables.

use crate::audit::Audited;
use crate::balance::{Balance, Driving, Surveyed};
use crate::check::{Field, Ready};
use crate::findings::Cite;
use crate::plan::answer::{FieldPlan, Plan};
use crate::plan::days::Days;
use crate::plan::{Actual, Tally};
use crate::write::leaf::{Part, Table};
use crate::write::words::line::Line;

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
    pub driving: &'a [Vec<Driving>],
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

    /// Every field of the plan, with what the farm says of it.
    pub(super) fn fields(&self) -> impl Iterator<Item = (&Field, &FieldPlan)> {
        self.plan().fields.iter().filter_map(|plan| Some((self.ready.field(&plan.id)?.as_ref(), plan)))
    }
}

/// `B1 Creek Bottom`.
pub(super) fn shown(id: &str, name: &str) -> String {
    format!("{id} {name}")
}

pub(super) fn or_dash(text: Option<String>) -> String {
    text.unwrap_or_else(|| "-".to_string())
}

pub(super) fn say(text: impl Into<String>) -> Part {
    Part::Say(Line::plain(text))
}

pub(super) fn list(sentences: impl Iterator<Item = String>) -> Part {
    Part::List { steps: false, lines: sentences.map(Line::plain).collect() }
}

/// A table under its title, which may be empty; heads that end in `>` stand over numbers.
pub(super) fn table(title: &'static str, heads: &[&'static str], rows: impl IntoIterator<Item = Vec<String>>) -> Part {
    Part::Table(Table::grid(title, heads, rows))
}

/// The same, or what is wanting where it has no rows.
pub(super) fn table_or(
    wanting: &str,
    title: &'static str,
    heads: &[&'static str],
    rows: impl IntoIterator<Item = Vec<String>>,
) -> Part {
    let table = Table::grid(title, heads, rows);
    if table.rows.is_empty() { Part::Wanting(wanting.to_string()) } else { Part::Table(table) }
}

pub(super) fn form(title: &'static str, heads: &[&'static str], rows: usize) -> Part {
    Part::Table(Table::form(title, heads, rows))
}
