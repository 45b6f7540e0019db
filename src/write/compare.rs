//! Two plans side by side: only what differs.

use crate::plan::answer::SCHEMA;
use crate::plan::{Differ, Differences, Fact};
use crate::units::number_text;
use crate::write::page::{drawn, plain, table, widths, wrapped};

/// The differences on a terminal. `a` and `b` name the two plans.
#[must_use]
pub fn compared(found: &Differences, a: &str, b: &str, width: usize) -> String {
    let mut text = String::new();
    text.push_str(&wrapped(&plain(&format!("A is {a}")), "", "  ", width));
    text.push_str(&wrapped(&plain(&format!("B is {b}")), "", "  ", width));
    if found.none() {
        text.push_str("\nThe two plans do not differ in anything that is compared.\n");
    }
    for (title, list, first) in
        [("THE FARM", &found.about, ""), ("FIELDS", &found.fields, "Field"), ("LITTER", &found.lots, "Lot")]
    {
        if !list.is_empty() {
            text.push_str(&format!("\n{title}, only what differs\n"));
            text.push_str(&rows(list, first, width));
        }
    }
    text.push_str("\nTONS AND DOLLARS\n");
    text.push_str(&rows(&found.sums, "", width));
    text
}

/// The differences for other programs.
#[must_use]
pub fn compared_json(found: &Differences, a: &str, b: &str) -> String {
    let value = serde_json::json!({ "schema": SCHEMA, "a": a, "b": b, "differs": found });
    serde_json::to_string_pretty(&value).map(|t| t + "\n").unwrap_or_default()
}

fn rows(list: &[Differ], first: &str, width: usize) -> String {
    let lone = first.is_empty();
    let head = [first, "", "A", "B", "B - A"];
    let mut t = table(&head[usize::from(lone)..], if lone { &[1, 2, 3] } else { &[2, 3, 4] }, width);
    let last = u16::try_from(width.saturating_sub(70)).unwrap_or(10);
    widths(&mut t, &if lone { vec![41, 15, 14, last] } else { vec![11, 30, 15, 14, last] });
    let mut before: Option<&str> = None;
    for differ in list {
        let of = differ.of.as_deref();
        let lead = if of == before { "" } else { of.unwrap_or("") };
        before = of;
        let what = match differ.unit {
            "" => differ.what.clone(),
            unit => format!("{}, {unit}", differ.what),
        };
        let change = differ.change().map_or(String::new(), |change| {
            let text = number_text(change, decimals(differ.unit));
            if change > 0.0 && text.chars().any(|c| matches!(c, '1'..='9')) { format!("+{text}") } else { text }
        });
        let row = [plain(lead), plain(&what), cell(&differ.a, differ.unit), cell(&differ.b, differ.unit), change];
        t.add_row(row[usize::from(lone)..].to_vec());
    }
    drawn(&t, 1, width)
}

fn decimals(unit: &str) -> usize {
    if matches!(unit, "$" | "lb" | "lb/ac") { 0 } else { 2 }
}

fn cell(cell: &Fact, unit: &str) -> String {
    match cell {
        Fact::Nothing => "-".to_string(),
        Fact::Number(n) => number_text(*n, decimals(unit)),
        Fact::Word(word) => plain(word),
    }
}
