//! Two plans side by side: only what differs.

use crate::plan::answer::SCHEMA;
use crate::plan::{Differ, Differences, Fact};
use crate::units::number_text;
use crate::write::json::text;
use crate::write::page::Page;

/// The differences on a terminal. `a` and `b` name the two plans.
#[must_use]
pub fn compared(found: &Differences, a: &str, b: &str, width: usize) -> String {
    let mut page = Page::titled(format!("A is {a}"), width);
    page.say(format!("B is {b}"));
    if found.none() {
        page.heading("The two plans do not differ in anything that is compared.");
    }
    for (title, list, first) in
        [("THE FARM", &found.about, ""), ("FIELDS", &found.fields, "Field"), ("LITTER", &found.lots, "Lot")]
    {
        if !list.is_empty() {
            page.heading(format!("{title}, only what differs"));
            rows(&mut page, list, first);
        }
    }
    page.heading("TONS AND DOLLARS");
    rows(&mut page, &found.sums, "");
    page.done()
}

/// The differences for other programs.
#[must_use]
pub fn compared_json(found: &Differences, a: &str, b: &str) -> String {
    text(&serde_json::json!({ "schema": SCHEMA, "a": a, "b": b, "differs": found }))
}

fn rows(page: &mut Page, list: &[Differ], first: &str) {
    let lone = usize::from(first.is_empty());
    let mut before: Option<&str> = None;
    let rows = list.iter().map(|differ| {
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
        let row = [lead.to_string(), what, cell(&differ.a, differ.unit), cell(&differ.b, differ.unit), change];
        row[lone..].to_vec()
    });
    let widths: &[usize] = if first.is_empty() { &[36, 17, 16, 11] } else { &[10, 27, 17, 16, 10] };
    page.table_of(&[first, "", "A>", "B>", "B - A>"][lone..], widths, rows);
}

fn decimals(unit: &str) -> usize {
    if matches!(unit, "$" | "lb" | "lb/ac") { 0 } else { 2 }
}

fn cell(cell: &Fact, unit: &str) -> String {
    match cell {
        Fact::Nothing => "-".to_string(),
        Fact::Number(n) => number_text(*n, decimals(unit)),
        Fact::Word(word) => word.clone(),
    }
}
