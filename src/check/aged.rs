//! How long a paper stands.

use crate::findings::Cite;
use crate::tables::{Book, Of, Scope};
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

/// The last day of something that may be so many days old.
pub(super) fn last_day(since: Date, topic: Of<Days>, large: bool, book: &Book<'_>) -> Option<Aged> {
    let figure = book.get(topic, &Scope::new().large(large))?;
    let days = figure.value.get();
    let last = since.checked_add((days as i32).days()).ok()?;
    Some(Aged { since, last, days, cite: figure.cite })
}
