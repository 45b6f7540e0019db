//! A table that a laboratory, a scale or a spreadsheet saved as CSV: a line of
//! names, then rows whose cells know their places.

use crate::findings::{At, Finding, Findings, Place, hidden};
use crate::text::cells::{Cell, cells};

/// Longest cell, in characters.
const LONGEST_CELL: usize = 2_000;
/// What cells are parted by, the commonest first.
const COMMAS: [char; 3] = [',', ';', '\t'];

/// A table as text.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// Its file.
    pub file: String,
    /// The names of its columns.
    pub names: Vec<At<String>>,
    /// Its rows.
    pub rows: Vec<Row>,
    /// Whether a comma in a number may be a decimal comma: where cells are
    /// parted by semicolons, it often is.
    pub decimal_comma: bool,
}

/// One row; it has a cell for every name.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Where it starts.
    pub place: Place,
    /// Its cells.
    pub cells: Vec<At<String>>,
}

/// Reads a table. A faulty line is a finding and is left out; whether all
/// lines were sound comes back with it. None when there is no table at all.
pub fn sheet(file: &str, text: &str, findings: &mut Findings) -> Option<(Sheet, bool)> {
    // Some old programs end a line with a carriage return alone.
    let text = if text.contains('\n') { text.to_string() } else { text.replace('\r', "\n") };
    let mut lines = text.lines().enumerate().map(|(i, line)| (i + 1, line)).filter(|(_, line)| !blank(line));
    let mut first = lines.next();
    let mut told = None;
    // What a spreadsheet program writes in front of the names.
    if let Some(comma) = first.and_then(|(_, line)| line.trim().strip_prefix("sep=")).and_then(|c| c.chars().next()) {
        told = Some(comma);
        first = lines.next();
    }
    let Some((number, line)) = first else {
        let finding = Finding::error("sheet-empty", &Place::file(file), "the file has no line in it");
        findings
            .push(finding.accepts("a first line with the names of the columns, then a line for each sample or load"));
        return None;
    };
    let comma = told.unwrap_or_else(|| parted_by(line));
    let mut names = row(file, number, line, comma, findings)?;
    while names.cells.last().is_some_and(|n| n.value.is_empty()) {
        names.cells.pop();
    }
    let mut rows = Vec::new();
    let mut sound = true;
    for (number, line) in lines {
        match row(file, number, line, comma, findings).and_then(|r| fitted(r, names.cells.len(), findings)) {
            Some(row) if row.cells.iter().all(|c| c.value.is_empty()) => {}
            Some(row) => rows.push(row),
            None => sound = false,
        }
    }
    Some((Sheet { file: file.to_string(), names: names.cells, rows, decimal_comma: comma == ';' }, sound))
}

fn blank(line: &str) -> bool {
    line.chars().all(|c| c.is_whitespace() || COMMAS.contains(&c))
}

/// What the line of names is parted by: what makes the most of it.
fn parted_by(line: &str) -> char {
    let count = |comma: char| cells(line, comma).map_or(0, |cells| cells.len());
    COMMAS.into_iter().rev().max_by_key(|comma| count(*comma)).unwrap_or(',')
}

fn row(file: &str, number: usize, line: &str, comma: char, findings: &mut Findings) -> Option<Row> {
    let place = |column| Place { file: file.into(), line: number, column };
    let mut fault = |column: usize, found: String, accepts: &str, fix: &str| {
        findings.push(Finding::error("sheet-line", &place(column), found).accepts(accepts).fix(fix));
    };
    let Some(list) = cells(line, comma) else {
        fault(
            1,
            "a quote is opened and never closed in this line".to_string(),
            "a row on one line; a quote in a quoted cell is doubled",
            "close the quote; a cell may not run over the end of its line",
        );
        return None;
    };
    let mut sound = true;
    for Cell { text, column } in &list {
        if let Some(what) =
            hidden(text).or_else(|| text.contains(char::is_control).then(|| "U+0009, a tab".to_string()))
        {
            fault(*column, format!("the cell holds the character {what}"), "plain text", "take it out of the line");
            sound = false;
        }
        let length = text.chars().count();
        if length > LONGEST_CELL {
            let most = format!("at most {LONGEST_CELL} characters");
            fault(*column, format!("the cell is {length} characters long"), &most, "is a quote left open?");
            sound = false;
        }
    }
    let cells = list.into_iter().map(|cell| At { value: cell.text.into_owned(), place: place(cell.column) }).collect();
    sound.then_some(Row { place: place(1), cells })
}

/// A row with as many cells as there are names. Cells beyond that were filled
/// by nobody may go; any other count says that the cells have moved.
fn fitted(mut row: Row, names: usize, findings: &mut Findings) -> Option<Row> {
    let cells = row.cells.len();
    while row.cells.len() > names && row.cells.last().is_some_and(|c| c.value.is_empty()) {
        row.cells.pop();
    }
    if row.cells.len() == names {
        return Some(row);
    }
    let found = format!("the line has {cells} cells, and the line of names has {names}");
    findings.push(
        Finding::error("sheet-line", &row.place, found)
            .accepts(format!("{names} cells, as many as there are names; empty ones count"))
            .fix("a comma may be in a cell without quotes; or take the line out if it is a remark"),
    );
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> (Option<(Sheet, bool)>, Findings) {
        let mut findings = Findings::new();
        let sheet = sheet("lab.csv", text, &mut findings);
        (sheet, findings)
    }

    #[test]
    fn cells_know_their_places_however_they_are_parted() {
        for text in ["a,b c\r\n\r\nx,\"1,5\"\r\n", "sep=;\n a;b c\nx;1,5\n", "a\tb c\n\nx\t1,5\n", "a;b c\r\rx;1,5\r"] {
            let (sheet, findings) = read(text);
            let (sheet, sound) = sheet.unwrap();
            assert!(sound && findings.is_empty(), "{text:?} {findings:?}");
            assert_eq!(sheet.names.iter().map(|n| n.value.as_str()).collect::<Vec<_>>(), ["a", "b c"], "{text:?}");
            assert_eq!(sheet.rows.len(), 1, "{text:?}");
            let cell = &sheet.rows[0].cells[1];
            assert_eq!((cell.value.as_str(), cell.place.line, cell.place.column), ("1,5", 3, 3), "{text:?}");
            assert_eq!(sheet.decimal_comma, text.contains(';'));
        }
    }

    #[test]
    fn every_faulty_line_is_named() {
        let long = "y".repeat(LONGEST_CELL + 1);
        let text = format!("a,b\n1,2\n1\n1,2,3\n1,\"2\n1,\0\n1,{long}\n1,2,,\n");
        let (sheet, findings) = read(&text);
        let (sheet, sound) = sheet.unwrap();
        assert!(!sound);
        assert_eq!(sheet.rows.iter().map(|r| r.place.line).collect::<Vec<_>>(), [2, 8]);
        let lines: Vec<usize> = findings.sorted().iter().map(|f| f.place.line).collect();
        assert_eq!(lines, [3, 4, 5, 6, 7]);
        assert!(read("").0.is_none() && read("\n ,,\n").0.is_none() && read("\"a\n").0.is_none());
    }
}
