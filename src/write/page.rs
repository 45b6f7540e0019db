//! Lines and tables of a page of a given width.

use crate::findings::is_hidden;
use crate::units::{Pounds, number_text};
use comfy_table::{CellAlignment, Table, presets};

/// A table without frames: a rule under the head, columns apart by space.
/// Columns named in `right` hold numbers.
pub(super) fn table(head: &[&str], right: &[usize], width: usize) -> Table {
    let mut table = Table::new();
    table.load_style(presets::NOTHING);
    table.set_content_arrangement(comfy_table::ContentArrangement::Dynamic);
    table.set_width(u16::try_from(width).unwrap_or(80));
    table.set_header(head.to_vec());
    for (i, column) in table.column_iter_mut().enumerate() {
        column.set_padding((0, 1));
        if right.contains(&i) {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
    table
}

/// Gives every column its width, spacing included.
pub(super) fn widths(table: &mut Table, widths: &[u16]) {
    for (column, width) in table.column_iter_mut().zip(widths) {
        column.set_constraint(comfy_table::ColumnConstraint::Absolute(comfy_table::Width::Fixed(*width)));
    }
}

/// A table as text, without spaces at the ends of its lines, a rule under its
/// head.
pub(super) fn drawn(table: &Table, head_lines: usize, width: usize) -> String {
    let mut text = String::new();
    for (i, line) in table.lines().enumerate() {
        if i == head_lines {
            text.push_str(&"-".repeat(width));
            text.push('\n');
        }
        text.push_str(line.trim_end());
        text.push('\n');
    }
    text
}

/// Text broken at spaces to lines of at most `width`, each with `indent` in
/// front; the first with `first` instead.
pub fn wrapped(text: &str, first: &str, indent: &str, width: usize) -> String {
    let mut out = String::new();
    let mut line = first.to_string();
    let mut empty = true;
    for word in text.split_whitespace() {
        let length = line.chars().count() + word.chars().count() + usize::from(!empty);
        if !empty && length > width {
            out.push_str(line.trim_end());
            out.push('\n');
            line = indent.to_string();
            empty = true;
        }
        if !empty {
            line.push(' ');
        }
        line.push_str(word);
        empty = false;
    }
    out.push_str(line.trim_end());
    out.push('\n');
    out
}

/// A day as `Feb 15`.
pub(super) fn day(date: jiff::civil::Date) -> String {
    date.strftime("%b %-d").to_string()
}

/// Which figures from memory the plan rests on: by topic, with their count.
pub(super) fn from_memory(plan: &crate::plan::answer::Plan, width: usize) -> String {
    let mut topics: std::collections::BTreeMap<&str, usize> = std::collections::BTreeMap::new();
    for cite in &plan.from_memory {
        *topics.entry(cite.figure.split('.').next().unwrap_or(&cite.figure)).or_default() += 1;
    }
    let mut text = String::new();
    if !topics.is_empty() {
        let names: Vec<String> = topics.iter().map(|(topic, n)| format!("{topic} ({n})")).collect();
        let line = format!(
            "Relies on figures from memory, not read in their source: {}. Check them first; `sward why FIELD` marks each.",
            names.join(", ")
        );
        text.push_str(&wrapped(&line, "- ", "  ", width));
    }
    for said in &plan.said {
        let line = format!("Relies on the farm's own {}, given by {}, {}.", said.figure, said.publisher, said.year);
        text.push_str(&wrapped(&plain(&line), "- ", "  ", width));
    }
    text
}

/// Text without control characters and without the marks that turn the
/// direction of writing, so that nothing in a name can move the cursor, hide
/// what follows or show it backwards.
#[must_use]
pub fn plain(text: &str) -> String {
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
        assert_eq!(plain("a\u{1b}[2Jb\u{7}"), "a[2Jb");
    }
}
