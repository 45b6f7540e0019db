//! Pages of a given width for a terminal: lines, lists, headings and tables.

use crate::balance::NOT_KNOWN;
use crate::findings::is_hidden;
use crate::plan::answer::{FieldPlan, Plan};
use crate::units::{Pounds, number_text};
use comfy_table::{CellAlignment, ColumnConstraint, ContentArrangement, Table, Width, presets};
use std::borrow::Cow;

/// A page that grows from the top down. Nothing that a farm is called can move
/// the cursor in it, hide what follows or show it backwards.
pub(super) struct Page {
    text: String,
    width: usize,
}

impl Page {
    /// A page without a line.
    pub(super) fn new(width: usize) -> Page {
        Page { text: String::new(), width }
    }

    /// A page that begins by saying what it is.
    pub(super) fn titled(title: impl AsRef<str>, width: usize) -> Page {
        let mut page = Page::new(width);
        page.say(title);
        page
    }

    /// Letters across it.
    pub(super) fn width(&self) -> usize {
        self.width
    }

    /// Whether nothing stands on it yet.
    pub(super) fn is_empty(&self) -> bool {
        self.text.is_empty()
    }

    /// What stands on it.
    pub(super) fn done(self) -> String {
        self.text
    }

    /// A heading, apart from what stands above it.
    pub(super) fn heading(&mut self, text: impl AsRef<str>) {
        self.line("");
        self.line(text);
    }

    /// A line as long as it is.
    pub(super) fn line(&mut self, text: impl AsRef<str>) {
        self.text.push_str(&plain(text.as_ref()));
        self.text.push('\n');
    }

    /// A sentence.
    pub(super) fn say(&mut self, text: impl AsRef<str>) {
        self.wrapped(text, "", "  ");
    }

    /// A sentence of a list.
    pub(super) fn item(&mut self, text: impl AsRef<str>) {
        self.wrapped(text, "- ", "  ");
    }

    /// A sentence that belongs to the one above.
    pub(super) fn under(&mut self, text: impl AsRef<str>) {
        self.wrapped(text, "  ", "    ");
    }

    /// A sentence whose first and further lines begin so.
    pub(super) fn wrapped(&mut self, text: impl AsRef<str>, first: &str, indent: &str) {
        self.text.push_str(&wrapped(text.as_ref(), first, indent, self.width));
    }

    /// A list that says so where there is nothing in it.
    pub(super) fn list(&mut self, list: Page) {
        if list.is_empty() {
            self.item("nothing");
        }
        self.text.push_str(&list.text);
    }

    /// A table without frames: a rule under the heads, columns apart by space.
    /// Heads that end in `>` stand over numbers.
    pub(super) fn table(&mut self, heads: &[&str], rows: impl IntoIterator<Item = Vec<String>>) {
        self.table_of(heads, &[], rows);
    }

    /// The same with the width of every column, spacing included; 0 takes what is left.
    pub(super) fn table_of(&mut self, heads: &[&str], widths: &[usize], rows: impl IntoIterator<Item = Vec<String>>) {
        let rows: Vec<Vec<String>> = rows.into_iter().collect();
        let widths = wide_enough(heads, widths, &rows);
        let mut table = Table::new();
        table.load_style(presets::NOTHING);
        table.set_content_arrangement(ContentArrangement::Dynamic);
        table.set_width(u16::try_from(self.width).unwrap_or(80));
        table.set_header(heads.iter().map(|head| head.trim_end_matches('>')));
        for row in rows {
            let clean = |cell: &String| cell.lines().map(plain).collect::<Vec<_>>().join("\n");
            table.add_row(row.iter().map(clean));
        }
        for (column, head) in table.column_iter_mut().zip(heads) {
            column.set_padding((0, 1));
            if head.ends_with('>') {
                column.set_cell_alignment(CellAlignment::Right);
                column.set_constraint(ColumnConstraint::ContentWidth);
            }
        }
        let left = self.width.saturating_sub(widths.iter().sum());
        for (column, width) in table.column_iter_mut().zip(widths) {
            let width = if width == 0 { left } else { width };
            column.set_constraint(ColumnConstraint::Absolute(Width::Fixed(u16::try_from(width).unwrap_or(u16::MAX))));
        }
        let head_lines = heads.iter().map(|head| head.lines().count()).max().unwrap_or(1);
        for (i, line) in table.lines().enumerate() {
            if i == head_lines {
                self.line("-".repeat(self.width));
            }
            self.text.push_str(line.trim_end());
            self.text.push('\n');
        }
    }
}

/// Letters of the widest line of a cell.
pub(super) fn across(cell: &str) -> usize {
    cell.lines().map(|line| line.chars().count()).max().unwrap_or(0)
}

/// Widths in which no number is broken: a column of numbers that needs more takes it from
/// the widest column of words.
fn wide_enough(heads: &[&str], widths: &[usize], rows: &[Vec<String>]) -> Vec<usize> {
    let mut widths = widths.to_vec();
    for at in 0..widths.len() {
        // A word in such a column may be broken at its spaces.
        let unbroken = |cell: &String| cell.lines().flat_map(|line| line.split(' ')).map(across).max().unwrap_or(0);
        let needs = rows.iter().filter_map(|row| row.get(at)).map(|cell| unbroken(cell) + 1).max().unwrap_or(0);
        if !heads[at].ends_with('>') || widths[at] == 0 || needs <= widths[at] {
            continue;
        }
        let more = needs - widths[at];
        widths[at] = needs;
        let words = (0..widths.len()).filter(|i| !heads[*i].ends_with('>') && widths[*i] > 0);
        if widths.contains(&0) {
            continue;
        }
        if let Some(widest) = words.max_by_key(|i| widths[*i]) {
            widths[widest] = widths[widest].saturating_sub(more).max(6);
        }
    }
    widths
}

/// Text broken at spaces to lines of at most `width`, each with `indent` in
/// front; the first with `first` instead.
pub fn wrapped(text: &str, first: &str, indent: &str, width: usize) -> String {
    let mut out = String::with_capacity(first.len() + text.len() + 1);
    out.push_str(first);
    // Letters of the last line, and whether it has no word yet.
    let (mut long, mut empty) = (first.chars().count(), true);
    for word in text.split_whitespace().map(seen).filter(|word| !word.is_empty()) {
        let own = word.chars().count();
        if !empty && long + 1 + own > width {
            out.push('\n');
            out.push_str(indent);
            (long, empty) = (indent.chars().count(), true);
        }
        if !empty {
            out.push(' ');
        }
        out.push_str(&word);
        long += own + usize::from(!empty);
        empty = false;
    }
    out.truncate(out.trim_end().len());
    out.push('\n');
    out
}

/// A day as `Feb 15`.
pub(super) fn day(date: jiff::civil::Date) -> String {
    date.strftime("%b %-d").to_string()
}

/// What may be missing from a table.
pub(super) fn or_dash(text: Option<String>) -> String {
    text.unwrap_or_else(|| "-".to_string())
}

/// `B1 K2O, P2O5`: needs that no figure tells.
pub(super) fn not_known(plan: &Plan) -> Vec<String> {
    let of = |field: &FieldPlan| {
        let names = field.need.not_known();
        (!names.is_empty()).then(|| format!("{} {}", field.id, names.join(", ")))
    };
    plan.fields.iter().filter(|field| field.acres > 0.0).filter_map(of).collect()
}

/// A number without decimals, or that nobody knows it.
pub(super) fn known(value: Option<f64>) -> String {
    value.map_or_else(|| NOT_KNOWN.to_string(), whole)
}

/// `B1 Creek Bottom`; the id alone where no other name is given.
pub(super) fn named(id: &str, name: &str) -> String {
    if name == id || name.is_empty() { id.to_string() } else { format!("{id} {name}") }
}

/// A number without decimals.
pub(super) fn whole(value: f64) -> String {
    number_text(value, 0)
}

/// Text without control characters and without the marks that turn the
/// direction of writing, so that nothing in a name can move the cursor, hide
/// what follows or show it backwards.
#[must_use]
pub fn plain(text: &str) -> String {
    seen(text).into_owned()
}

/// The same, as it is where everything in it is seen.
fn seen(text: &str) -> Cow<'_, str> {
    // Nearly all texts are plain ASCII.
    if text.bytes().all(|b| (b' '..=b'~').contains(&b)) {
        return Cow::Borrowed(text);
    }
    text.chars().filter(|c| !c.is_control() && !is_hidden(*c)).collect()
}

/// Tons to the hundredth.
pub(in crate::write) fn tons(pounds: Pounds) -> String {
    number_text(pounds.tons(), 2)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_keep_to_the_width() {
        let text = wrapped("Keep stock off for at least 21 days after spreading", "- ", "  ", 20);
        assert!(text.lines().all(|l| l.len() <= 20), "{text}");
        assert!(text.starts_with("- Keep stock off"));
        assert_eq!(wrapped("Peña Ñandú\u{1b} 3½ ac\n", "", "  ", 10), "Peña Ñandú\n  3½ ac\n");
        assert_eq!(wrapped(" \u{7} ", "- ", "  ", 10), "-\n");
        assert_eq!(plain("a\u{1b}[2Jb\u{7}"), "a[2Jb");
    }
}
