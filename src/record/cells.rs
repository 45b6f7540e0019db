//! One line of the log as cells, and cells as one line.

use crate::record::columns::{COLUMNS, Column, spreadsheet_safe};
use crate::text::{self, Cell};
use std::borrow::Cow;

/// The cells of an entry that are not empty, in the order of the columns' names. They
/// are few, and a log has very many: all their words stand in one text.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Cells {
    words: String,
    /// The columns that are filled, each with where its words end.
    filled: Vec<(Column, u32)>,
}

impl Cells {
    /// None yet.
    #[must_use]
    pub fn new() -> Cells {
        Cells::default()
    }

    /// Cells with words, in the order of the columns' names.
    pub(super) fn in_order<'a>(many: usize, length: usize, cells: impl Iterator<Item = (Column, &'a str)>) -> Cells {
        let mut own = Cells { words: String::with_capacity(length), filled: Vec::with_capacity(many) };
        for (column, words) in cells {
            own.words.push_str(words);
            own.filled.push((column, own.words.len() as u32));
        }
        own
    }

    /// What stands under a column.
    #[must_use]
    pub fn get(&self, column: &str) -> Option<&str> {
        self.find(|own| own.name() == column)
    }

    /// The same of a column that the program names.
    pub(super) fn at(&self, column: Column) -> Option<&str> {
        self.find(|own| own == column)
    }

    fn find(&self, is_it: impl Fn(Column) -> bool) -> Option<&str> {
        let at = self.filled.iter().position(|(own, _)| is_it(*own))?;
        self.words.get(self.range(at))
    }

    /// Where the words of a filled column stand.
    fn range(&self, at: usize) -> std::ops::Range<usize> {
        let end = |at: usize| self.filled.get(at).map_or(self.words.len(), |(_, end)| *end as usize);
        at.checked_sub(1).map_or(0, end)..end(at)
    }

    /// Whether something stands under a column.
    #[must_use]
    pub fn contains_key(&self, column: &str) -> bool {
        self.get(column).is_some()
    }

    /// Writes a cell in place of what stood there.
    pub fn insert(&mut self, column: &'static str, words: impl AsRef<str>) {
        let Some(column) = Column::named(column) else { return };
        match self.filled.binary_search_by_key(&column.name(), |(own, _)| own.name()) {
            Ok(at) => self.replace(at, words.as_ref()),
            Err(at) => {
                let end = self.range(at).start as u32;
                self.filled.insert(at, (column, end));
                self.replace(at, words.as_ref());
            }
        }
    }

    /// Other words for a filled column; what stands behind them moves.
    fn replace(&mut self, at: usize, words: &str) {
        let range = self.range(at);
        for (_, end) in self.filled.iter_mut().skip(at) {
            *end = *end - range.len() as u32 + words.len() as u32;
        }
        self.words.replace_range(range, words);
    }

    /// Writes a cell where nothing stands yet.
    pub fn fill(&mut self, column: &'static str, words: impl FnOnce() -> String) {
        if !self.contains_key(column) {
            self.insert(column, words());
        }
    }

    /// Empties a cell.
    pub fn remove(&mut self, column: &str) {
        if let Some(at) = self.filled.iter().position(|(own, _)| own.name() == column) {
            self.replace(at, "");
            self.filled.remove(at);
        }
    }

    /// Every column that is filled, with its words.
    pub fn iter(&self) -> impl Iterator<Item = (&'static str, &str)> {
        self.filled().map(|(column, words)| (column.name(), words))
    }

    /// The same by columns.
    pub(super) fn filled(&self) -> impl Iterator<Item = (Column, &str)> {
        let words = |at: usize| self.words.get(self.range(at)).unwrap_or_default();
        self.filled.iter().enumerate().map(move |(at, (column, _))| (*column, words(at)))
    }

    /// The words of all cells.
    pub(super) fn words(&self) -> &str {
        &self.words
    }
}

impl<W: AsRef<str>> FromIterator<(&'static str, W)> for Cells {
    fn from_iter<I: IntoIterator<Item = (&'static str, W)>>(list: I) -> Cells {
        let mut cells = Cells::new();
        list.into_iter().for_each(|(column, words)| cells.insert(column, words));
        cells
    }
}

/// Longest cell, in characters.
pub const LONGEST_CELL: usize = 2_000;

/// Longest ground: what a spreadsheet keeps in one cell, with room to spare.
pub(super) const LONGEST_GROUND: usize = 32_000;

/// Parts a line at its commas, into a list that is used again for every line; what keeps
/// a spreadsheet from running a cell is taken off. False when a quote is never closed.
pub(super) fn split<'a>(line: &'a str, cells: &mut Vec<Cell<'a>>) -> bool {
    if !text::part(line, ',', cells) {
        return false;
    }
    for cell in cells.iter_mut().filter(|cell| cell.text.starts_with('\'')) {
        cell.text = match &cell.text {
            Cow::Borrowed(text) => Cow::Borrowed(unguarded(text)),
            Cow::Owned(text) => Cow::Owned(unguarded(text).to_string()),
        };
    }
    true
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

    #[test]
    fn cells_are_written_over_and_emptied() {
        let mut cells: Cells = [("what", "haul"), ("date", "2027-03-15"), ("lot", "shed")].into_iter().collect();
        assert_eq!(cells.iter().collect::<Vec<_>>(), [("date", "2027-03-15"), ("lot", "shed"), ("what", "haul")]);
        cells.insert("lot", "the old stack");
        cells.insert("acres", "9");
        cells.insert("date", "");
        assert_eq!(
            (cells.get("lot"), cells.get("acres"), cells.get("date")),
            (Some("the old stack"), Some("9"), Some(""))
        );
        cells.remove("lot");
        cells.remove("tons");
        let other: Cells = [("what", "haul"), ("date", ""), ("acres", "9")].into_iter().collect();
        assert_eq!(cells, other);
        assert_eq!(
            (cells.get("lot"), cells.get("what"), cells.at(Column::of("what"))),
            (None, Some("haul"), Some("haul"))
        );
    }
}
