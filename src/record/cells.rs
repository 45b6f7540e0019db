//! One line of the log as cells, and cells as one line.

use crate::record::columns::{COLUMNS, Column, spreadsheet_safe};
use crate::text::{self, Cell};
use std::borrow::Cow;
use std::cmp::Ordering;
use std::sync::Arc;

/// The cells of an entry that are not empty, in the order of the columns' names. They are
/// few, and a log has very many: those of lines that are read together stand on one page.
#[derive(Clone, Default)]
pub struct Cells {
    page: Arc<Page>,
    /// Which cells of the page are its own.
    from: u32,
    to: u32,
}

/// Cells of one line after another, with all their words in one text.
#[derive(Debug, Default)]
pub(super) struct Page {
    words: String,
    filled: Vec<Filled>,
}

/// A cell of a page.
#[derive(Clone, Copy, Debug)]
struct Filled {
    column: Column,
    /// Where its words end in the text.
    end: u32,
    /// Where it stands in its line; 0 where it stands in none.
    at: u32,
}

impl Page {
    /// A page with room for the words of a text.
    pub(super) fn for_text(length: usize) -> Page {
        Page { words: String::with_capacity(length), filled: Vec::new() }
    }

    /// How many cells stand on it.
    pub(super) fn len(&self) -> u32 {
        self.filled.len() as u32
    }

    /// One more cell, with where it stands in its line. Those of a line come in the order
    /// of the columns' names.
    pub(super) fn put(&mut self, column: Column, words: &str, at: usize) {
        self.words.push_str(words);
        self.filled.push(Filled { column, end: self.words.len() as u32, at: at as u32 });
    }

    /// Where the words of a cell begin.
    fn start(&self, at: usize) -> usize {
        at.checked_sub(1).and_then(|before| self.filled.get(before)).map_or(0, |cell| cell.end as usize)
    }

    fn words(&self, at: usize) -> &str {
        let end = self.filled.get(at).map_or(0, |cell| cell.end as usize);
        self.words.get(self.start(at)..end).unwrap_or_default()
    }
}

impl Cells {
    /// None yet.
    #[must_use]
    pub fn new() -> Cells {
        Cells::default()
    }

    /// Some cells of a page.
    pub(super) fn of(page: &Arc<Page>, own: std::ops::Range<u32>) -> Cells {
        Cells { page: Arc::clone(page), from: own.start, to: own.end }
    }

    fn range(&self) -> std::ops::Range<usize> {
        self.from as usize..self.to as usize
    }

    fn own(&self) -> &[Filled] {
        self.page.filled.get(self.range()).unwrap_or_default()
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
        let at = self.own().iter().position(|cell| is_it(cell.column))?;
        Some(self.page.words(self.from as usize + at))
    }

    /// Where a filled cell stands in its line.
    pub(super) fn stands_at(&self, column: Column) -> Option<usize> {
        self.own().iter().find(|cell| cell.column == column).map(|cell| cell.at as usize)
    }

    /// Whether something stands under a column.
    #[must_use]
    pub fn contains_key(&self, column: &str) -> bool {
        self.get(column).is_some()
    }

    /// Writes a cell in place of what stood there.
    pub fn insert(&mut self, column: &'static str, words: impl AsRef<str>) {
        if let Some(column) = Column::named(column) {
            *self = self.with(column, Some(words.as_ref()));
        }
    }

    /// The cells with other words, or none, under one column, on a page of their own.
    fn with(&self, column: Column, words: Option<&str>) -> Cells {
        let others = || self.filled().filter(|(own, _)| *own != column);
        let before = others().take_while(|(own, _)| own.name() < column.name());
        let behind = others().skip_while(|(own, _)| own.name() < column.name());
        let mut page = Page::default();
        for (column, words) in before.chain(words.map(|words| (column, words))).chain(behind) {
            page.put(column, words, 0);
        }
        Cells { from: 0, to: page.len(), page: Arc::new(page) }
    }

    /// Writes a cell where nothing stands yet.
    pub fn fill(&mut self, column: &'static str, words: impl FnOnce() -> String) {
        if !self.contains_key(column) {
            self.insert(column, words());
        }
    }

    /// Empties a cell.
    pub fn remove(&mut self, column: &str) {
        if let Some(column) = Column::named(column) {
            *self = self.with(column, None);
        }
    }

    /// Every column that is filled, with its words.
    pub fn iter(&self) -> impl Iterator<Item = (&'static str, &str)> {
        self.filled().map(|(column, words)| (column.name(), words))
    }

    /// The same by columns.
    pub(super) fn filled(&self) -> impl Iterator<Item = (Column, &str)> {
        self.own().iter().zip(self.range()).map(|(cell, at)| (cell.column, self.page.words(at)))
    }

    /// The words of all cells.
    pub(super) fn words(&self) -> &str {
        let range = self.range();
        self.page.words.get(self.page.start(range.start)..self.page.start(range.end)).unwrap_or_default()
    }
}

impl std::fmt::Debug for Cells {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_map().entries(self.iter()).finish()
    }
}

impl PartialEq for Cells {
    fn eq(&self, other: &Cells) -> bool {
        self.cmp(other).is_eq()
    }
}

impl Eq for Cells {}

impl PartialOrd for Cells {
    fn partial_cmp(&self, other: &Cells) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Cells {
    /// By their words, wherever they stand.
    fn cmp(&self, other: &Cells) -> Ordering {
        self.words().cmp(other.words()).then_with(|| self.filled().cmp(other.filled()))
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
