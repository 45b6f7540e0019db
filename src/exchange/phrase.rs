//! Pieces of sentences: counts and lists.

use crate::findings::is_hidden;

/// Most names in one list.
const MOST_NAMED: usize = 40;

/// A count with its noun: `1 corner`, `3 corners`.
pub(super) fn counted(count: usize, noun: &str) -> String {
    if count == 1 { format!("1 {noun}") } else { format!("{count} {noun}s") }
}

/// Names in a row; of very many the first, and how many more there are.
pub(super) fn listed<S: AsRef<str>>(all: &[S]) -> String {
    let names: Vec<&str> = all.iter().take(MOST_NAMED).map(AsRef::as_ref).collect();
    let more = all.len().saturating_sub(MOST_NAMED);
    if more > 0 { format!("{} and {more} more", names.join(", ")) } else { names.join(", ") }
}

/// A text on one line.
pub(super) fn tidy(text: &str) -> String {
    text.split_whitespace()
        .collect::<Vec<_>>()
        .join(" ")
        .chars()
        .filter(|c| !c.is_control() && !is_hidden(*c))
        .collect()
}
