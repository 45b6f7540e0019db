//! Findings for a terminal: place, line, what was found, how to fix it.

use crate::findings::{Finding, Findings, Place, Severity};
use crate::write::page::{plain, wrapped};

/// More findings than these are counted, not shown: the first of them are to be
/// fixed first.
const MOST_SHOWN: usize = 100;

/// The findings, errors first. `line_of` gives a line of a file, when it is at
/// hand, so that it can be shown.
#[must_use]
pub fn findings(list: &Findings, line_of: &dyn Fn(&Place) -> Option<String>, width: usize) -> String {
    let sorted = list.sorted();
    let mut text = String::new();
    for finding in sorted.iter().take(MOST_SHOWN) {
        text.push_str(&one(finding, line_of, width));
        text.push('\n');
    }
    if let Some(more) = sorted.len().checked_sub(MOST_SHOWN).filter(|more| *more > 0) {
        text.push_str(&format!("and {more} more, which are not shown\n\n"));
    }
    let of = |severity| sorted.iter().filter(|f| f.severity == severity).count();
    let count = |severity, word: &str| match of(severity) {
        0 => None,
        1 => Some(format!("1 {word}")),
        n => Some(format!("{n} {word}s")),
    };
    let counts: Vec<String> = [(Severity::Error, "error"), (Severity::Warning, "warning"), (Severity::Note, "note")]
        .into_iter()
        .filter_map(|(s, w)| count(s, w))
        .collect();
    if counts.is_empty() {
        text.push_str("no problems found\n");
    } else {
        text.push_str(&format!("{}\n", counts.join(", ")));
    }
    text
}

/// Every warning in a line, as a list; nothing where there is none.
pub(super) fn warnings(list: &[Finding], width: usize) -> String {
    let warnings = list.iter().filter(|f| f.severity == Severity::Warning);
    warnings.map(|f| wrapped(&plain(&in_a_line(f)), "- ", "  ", width)).collect()
}

/// What was found, where, and how to fix it.
pub(super) fn in_a_line(finding: &Finding) -> String {
    let fix = finding.fix.as_ref().map_or(String::new(), |fix| format!(": {fix}"));
    format!("{} ({}){fix}", finding.found, finding.place)
}

fn one(finding: &Finding, line_of: &dyn Fn(&Place) -> Option<String>, width: usize) -> String {
    let mut text = format!("{}: {} [{}]\n", finding.place, finding.severity.word(), finding.code);
    text.push_str(&excerpt(&finding.place, line_of, width));
    text.push_str(&wrapped(&plain(&finding.found), "  ", "  ", width));
    if let Some(accepted) = &finding.accepted {
        text.push_str(&wrapped(&plain(accepted), "  accepted: ", "    ", width));
    }
    if let Some(fix) = &finding.fix {
        text.push_str(&wrapped(&plain(fix), "  fix: ", "    ", width));
    }
    if let Some((place, what)) = &finding.also {
        text.push_str(&wrapped(&plain(&format!("{place}: {what}")), "  see ", "    ", width));
        text.push_str(&excerpt(place, line_of, width));
    }
    text
}

/// The line itself, with a mark under the column. A long line, as in a
/// GeoJSON file, is cut around the mark.
fn excerpt(place: &Place, line_of: &dyn Fn(&Place) -> Option<String>, width: usize) -> String {
    let Some(line) = line_of(place).filter(|_| place.line > 0) else {
        return String::new();
    };
    let number = place.line.to_string();
    let room = width.saturating_sub(number.len() + 6).max(20);
    let column = place.column.max(1) - 1;
    let skip = if column + 10 > room { column - 10 } else { 0 };
    let shown: String = plain(&line.replace('\t', " ")).chars().skip(skip).take(room).collect();
    let gap = " ".repeat(number.len());
    format!("  {number} | {}\n  {gap} | {}^\n", shown.trim_end(), " ".repeat(column - skip))
}
