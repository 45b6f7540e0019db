//! Findings for a terminal: place, line, what was found, how to fix it.

use crate::findings::{Finding, Findings, Place, Severity};
use crate::write::page::{Page, plain};

/// More findings than these are counted, not shown: the first of them are to be
/// fixed first.
const MOST_SHOWN: usize = 100;

/// What a check found, and at the end which fields cannot get litter.
#[must_use]
pub fn checked(
    list: &Findings,
    without: Option<&str>,
    line_of: &dyn Fn(&Place) -> Option<String>,
    width: usize,
) -> String {
    let Some(without) = without else { return findings(list, line_of, width) };
    let last = super::wrapped(without, "", "  ", width);
    // That nothing is amiss would not be true of every field.
    if list.is_empty() { last } else { findings(list, line_of, width) + &last }
}

/// The findings, errors first. `line_of` gives a line of a file, when it is at
/// hand, so that it can be shown.
#[must_use]
pub fn findings(list: &Findings, line_of: &dyn Fn(&Place) -> Option<String>, width: usize) -> String {
    let sorted = list.sorted();
    let mut page = Page::new(width);
    for finding in sorted.iter().take(MOST_SHOWN) {
        one(&mut page, finding, line_of);
        page.line("");
    }
    if let Some(more) = sorted.len().checked_sub(MOST_SHOWN).filter(|more| *more > 0) {
        page.line(format!("and {more} more, which are not shown"));
        page.line("");
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
    page.line(if counts.is_empty() { "no problems found".to_string() } else { counts.join(", ") });
    page.done()
}

/// Tests, analyses and ratings that are missing or too old: a laboratory takes weeks, so that they
/// are told first.
const TO_BE_TESTED: [&str; 5] = ["soil-test-missing", "soil-test-old", "soil-test-ends", "no-analysis", "rating-old"];

/// Every warning in a line, as a list.
pub(super) fn warnings(page: &mut Page, list: &[Finding]) {
    let mut told: Vec<&Finding> = list.iter().filter(|f| f.severity == Severity::Warning).collect();
    told.sort_by_key(|finding| !TO_BE_TESTED.contains(&finding.code.as_ref()));
    told.into_iter().for_each(|finding| page.item(in_a_line(finding)));
}

/// What was found, where, and how to fix it.
pub(super) fn in_a_line(finding: &Finding) -> String {
    let fix = finding.fix.as_ref().map_or(String::new(), |fix| format!(": {fix}"));
    // Lines to paste would be torn by the wrap: the check has them.
    let fix = if finding.lines.is_empty() {
        fix
    } else {
        fix.replace("The lines to fill in:", "`sward check` has the lines to fill in")
    };
    format!("{} ({}){fix}", finding.found, finding.place)
}

fn one(page: &mut Page, finding: &Finding, line_of: &dyn Fn(&Place) -> Option<String>) {
    page.line(format!("{}: {} [{}]", finding.place, finding.severity.word(), finding.code));
    excerpt(page, &finding.place, line_of);
    page.wrapped(&finding.found, "  ", "  ");
    if let Some(accepted) = &finding.accepted {
        page.wrapped(accepted, "  accepted: ", "    ");
    }
    if let Some(fix) = &finding.fix {
        page.wrapped(fix, "  fix: ", "    ");
    }
    finding.lines.iter().for_each(|line| page.line(format!("      {line}")));
    if let Some((place, what)) = &finding.also {
        page.wrapped(format!("{place}: {what}"), "  see ", "    ");
        excerpt(page, place, line_of);
    }
}

/// The line itself, with a mark under the column. A long line, as in a
/// GeoJSON file, is cut around the mark.
fn excerpt(page: &mut Page, place: &Place, line_of: &dyn Fn(&Place) -> Option<String>) {
    let Some(line) = line_of(place).filter(|_| place.line > 0) else { return };
    let number = place.line.to_string();
    let room = page.width().saturating_sub(number.len() + 6).max(20);
    let column = place.column.max(1) - 1;
    let skip = if column + 10 > room { column - 10 } else { 0 };
    let shown: String = plain(&line.replace('\t', " ")).chars().skip(skip).take(room).collect();
    let gap = " ".repeat(number.len());
    page.line(format!("  {number} | {}", shown.trim_end()));
    page.line(format!("  {gap} | {}^", " ".repeat(column - skip)));
}
