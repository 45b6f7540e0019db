//! A cell of a foreign table as a number or a day, by the unit that farm.yaml
//! states for its column. Whatever a cell says against that is told.

use crate::findings::{At, Finding, Findings};
use crate::text::{Column, Sheet, day, shown};
use crate::units::number;

/// How the days of a column may be written, as its unit; the first where none
/// is stated.
pub const DAY_FORMS: [&str; 3] = ["year-month-day", "month/day/year", "day/month/year"];

/// The number of a cell that is filled, without its unit. The cell may carry
/// the unit itself; `same` says whether that is the one stated.
pub fn measured(
    column: &Column,
    unit: &str,
    cell: &At<String>,
    sheet: &Sheet,
    same: &dyn Fn(&str) -> bool,
    findings: &mut Findings,
) -> Option<String> {
    let (text, name) = (cell.value.as_str(), &column.name);
    let mut fault = |code: &'static str, found: String, accepts: &str, fix: &str| {
        findings.push(Finding::error(code, &cell.place, found).accepts(accepts).fix(fix));
        None
    };
    let end = text.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | '+' | '-'))).unwrap_or(text.len());
    // `1e999` is a number too large for any, not one with a unit behind it.
    let bare = text.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | ',' | '+' | '-' | 'e' | 'E'));
    let (digits, own) = if bare { (text, "") } else { (text[..end].trim(), text[end..].trim()) };
    if sheet.decimal_comma && digits.contains(',') {
        return fault(
            "cell-comma",
            format!(
                "`{name}` is `{}`; where semicolons separate the cells, the comma may be a decimal one",
                shown(text)
            ),
            "numbers with a point and without commas",
            "write 6.2 for 6,2, and 1200 for 1,200",
        );
    }
    if number(digits).is_none() {
        let (found, fix) = no_number(text);
        return fault("cell-number", format!("`{name}` is `{}`, {found}", shown(text)), "a plain number", fix);
    }
    if !own.is_empty() && !same(own) {
        let stated =
            if unit.is_empty() { "no unit is stated for it".to_string() } else { format!("its column is in {unit}") };
        return fault(
            "cell-unit",
            format!("`{name}` is `{}`, and in farm.yaml {stated}", shown(text)),
            "cells in the unit that is stated, with it or without",
            "check the paper: which of the two is right?",
        );
    }
    Some(digits.to_string())
}

/// What stands in a cell that holds no number, and what to do with it.
fn no_number(text: &str) -> (&'static str, &'static str) {
    if text.starts_with(['=', '@']) {
        ("a formula of a spreadsheet", "save the table with values in place of formulas")
    } else if text.starts_with(['<', '>']) {
        (
            "which only says on which side of a number it lies",
            "choose the number to work with, and write that in its place",
        )
    } else if text.starts_with('#') {
        ("an error of a spreadsheet", "go back to the file as it was sent")
    } else {
        ("which is not a number", "leave the cell empty where nothing was measured")
    }
}

/// The day of a cell that is filled, as year-month-day.
pub fn day_in(form: &str, cell: &At<String>, findings: &mut Findings) -> Option<String> {
    let text = cell.value.as_str();
    let form = if form.is_empty() { DAY_FORMS[0] } else { form };
    let parts: Vec<&str> = text.split('/').collect();
    let turned = match (form, parts.as_slice()) {
        ("month/day/year", [month, day, year]) | ("day/month/year", [day, month, year]) if year.len() == 4 => {
            format!("{year}-{month:0>2}-{day:0>2}")
        }
        ("year-month-day", _) => text.to_string(),
        _ => String::new(),
    };
    if day(&turned).is_some() {
        return Some(turned);
    }
    let found = format!("the day is `{}`, and in farm.yaml days are written {form}", shown(text));
    findings.push(
        Finding::error("date", &cell.place, found)
            .accepts("a day of the calendar, with four digits to the year")
            .fix(format!("say under `columns:` how the file writes days: `Date in` one of {}", DAY_FORMS.join(", "))),
    );
    None
}
