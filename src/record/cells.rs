//! One line of the log as cells, and cells as one line.

use crate::record::columns::{COLUMNS, spreadsheet_safe};
use crate::text::{self, Cell};

/// The cells of an entry that are not empty, in the order of the columns' names. They
/// are few: looking them through is quicker than a tree, and a log has very many.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Cells(Vec<(&'static str, String)>);

impl Cells {
    /// None yet.
    #[must_use]
    pub fn new() -> Cells {
        Cells::default()
    }

    /// What stands under a column.
    #[must_use]
    pub fn get(&self, column: &str) -> Option<&String> {
        self.0.iter().find(|(own, _)| *own == column).map(|(_, words)| words)
    }

    /// The same, to be altered.
    pub fn get_mut(&mut self, column: &str) -> Option<&mut String> {
        self.0.iter_mut().find(|(own, _)| *own == column).map(|(_, words)| words)
    }

    /// Whether something stands under a column.
    #[must_use]
    pub fn contains_key(&self, column: &str) -> bool {
        self.get(column).is_some()
    }

    /// Writes a cell in place of what stood there.
    pub fn insert(&mut self, column: &'static str, words: String) {
        match self.0.binary_search_by_key(&column, |(own, _)| *own) {
            Ok(i) => self.0[i].1 = words,
            Err(i) => self.0.insert(i, (column, words)),
        }
    }

    /// Writes a cell where nothing stands yet.
    pub fn fill(&mut self, column: &'static str, words: impl FnOnce() -> String) {
        if !self.contains_key(column) {
            self.insert(column, words());
        }
    }

    /// Empties a cell.
    pub fn remove(&mut self, column: &str) {
        self.0.retain(|(own, _)| *own != column);
    }

    /// Every column that is filled, with its words.
    pub fn iter(&self) -> impl Iterator<Item = (&'static str, &str)> {
        self.0.iter().map(|(column, words)| (*column, words.as_str()))
    }
}

impl FromIterator<(&'static str, String)> for Cells {
    fn from_iter<I: IntoIterator<Item = (&'static str, String)>>(list: I) -> Cells {
        let mut cells = Cells::new();
        list.into_iter().for_each(|(column, words)| cells.insert(column, words));
        cells
    }
}

/// Longest cell, in characters.
pub const LONGEST_CELL: usize = 2_000;

/// Longest ground: what a spreadsheet keeps in one cell, with room to spare.
pub(super) const LONGEST_GROUND: usize = 32_000;

/// Parts a line at its commas; what keeps a spreadsheet from running a cell is
/// taken off. None when a quote is never closed.
pub(super) fn split(line: &str) -> Option<Vec<Cell>> {
    let bare = |cell: Cell| Cell { text: unguarded(&cell.text).to_string(), column: cell.column };
    Some(text::cells(line, ',')?.into_iter().map(bare).collect())
}

/// A cell as it is written: an apostrophe in front of whatever a spreadsheet
/// would take for a formula, and of an apostrophe that would be taken off.
#[must_use]
pub fn guarded(cell: &str) -> String {
    if spreadsheet_safe(cell) && !cell.starts_with('\'') { cell.to_string() } else { format!("'{cell}") }
}

/// A written cell as it was meant.
#[must_use]
pub fn unguarded(cell: &str) -> &str {
    match cell.strip_prefix('\'') {
        Some(rest) if rest.starts_with('\'') || !spreadsheet_safe(rest) => rest,
        _ => cell,
    }
}

/// A value as it may stand in a cell: one line, no control characters, no
/// space at its ends, accents composed.
#[must_use]
pub fn tidy(value: &str) -> String {
    let spaced: String = value.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    text::composed(spaced.split_whitespace().collect::<Vec<_>>().join(" "))
}

fn quoted(cell: &str) -> String {
    if cell.contains([',', '"', ';']) { format!("\"{}\"", cell.replace('"', "\"\"")) } else { cell.to_string() }
}

/// The first line of a log.
pub(super) fn header() -> String {
    format!("{}\n", COLUMNS.join(","))
}

/// An entry as a line.
pub(super) fn line(cells: &Cells) -> String {
    let cell = |column: &&str| cells.get(column).map_or(String::new(), |c| quoted(&guarded(c)));
    let all: Vec<String> = COLUMNS.iter().map(cell).collect();
    format!("{}\n", all.join(","))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_spreadsheet_would_run_is_guarded_and_reads_back() {
        for cell in ["=1+1", "+1", "-2", "@SUM(A1)", "'quoted", "''", "plain", "'=x", "", "\u{ff1d}1"] {
            let written = guarded(cell);
            assert!(spreadsheet_safe(&written), "{written}");
            assert_eq!(unguarded(&written), cell);
        }
    }
}
