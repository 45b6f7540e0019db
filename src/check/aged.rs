//! How long a paper stands.

use crate::findings::{At, Cite, Finding};
use crate::tables::{Book, Of, Scope, Topic};
use crate::units::{Days, Quantity};
use jiff::ToSpan;
use jiff::civil::Date;

/// A last day, and the figure behind it.
#[derive(Clone, Debug, PartialEq)]
pub struct Aged {
    /// The day counted from.
    pub since: Date,
    /// The last day.
    pub last: Date,
    /// Days allowed.
    pub days: f64,
    /// The figure.
    pub cite: Cite,
}

impl Aged {
    /// The last day, were it counted from another one.
    #[must_use]
    pub fn last_from(&self, since: Date) -> Date {
        since.checked_add((self.days as i32).days()).unwrap_or(Date::MAX)
    }
}

/// Nobody says how old such papers may be, so that none is told as too old: asked of the grower.
pub(super) fn ask(
    papers: &str,
    first: Option<&At<Date>>,
    topic: Of<Days>,
    large: bool,
    book: &Book<'_>,
) -> Option<Finding> {
    let first = first.filter(|_| book.get(topic, &Scope::new().large(large)).is_none())?;
    let topic = Topic::from(topic);
    let found = format!(
        "the tables of {} do not say how old {papers} may be, so none is reported as too old",
        book.place().name
    );
    let fix = "ask the planner, and give the figure with who said so. The lines to fill in:";
    let line = format!("  - {{topic: {}, value: ... days, by: ..., on: ...}}", topic.key());
    Some(Finding::note("age-unsaid", &first.place, found).fix(fix).lines(vec!["figures:".to_string(), line]))
}

/// The last day of something that may be so many days old.
pub(super) fn last_day(since: Date, topic: Of<Days>, large: bool, book: &Book<'_>) -> Option<Aged> {
    let figure = book.get(topic, &Scope::new().large(large))?;
    let days = figure.value.get();
    let last = since.checked_add((days as i32).days()).ok()?;
    Some(Aged { since, last, days, cite: figure.cite })
}
