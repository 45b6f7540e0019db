//! The planner's table: phosphorus first.

use crate::audit::Audited;
use crate::plan::answer::{FieldPlan, Outlook, Plan, years_ahead};
use crate::units::{number_text, trimmed};
use crate::write::findings::warnings;
use crate::write::page::{drawn, from_memory, plain, table, widths, wrapped};
use crate::write::plan::typical_mark;

/// One row a field, then what bars a field.
#[must_use]
pub fn limits(audited: &Audited, width: usize) -> String {
    let plan = audited.plan();
    let Plan { from, to, as_of, place_name, .. } = plan;
    let head = format!("{}: limits {from} to {to}, as of {as_of}, {place_name}", plain(&plan.farm));
    let mut text = wrapped(&head, "", "  ", width);
    text.push_str("P2O5 and available N in lb per acre and plan.\n\n");
    let head = [
        "Field",
        "Soil\nP",
        "Class",
        "Rated",
        "Basis",
        "P2O5\nallow",
        "P2O5\nplan",
        "P2O5\ntaken",
        "N\nallow",
        "N\nplan",
        "Limited by",
    ];
    let mut t = table(&head, &[1, 5, 6, 7, 8, 9], width);
    for field in &plan.fields {
        t.add_row(row(plan, field));
    }
    text.push_str(&drawn(&t, 2, width));
    let unit = plan.fields.iter().find_map(|f| f.phosphorus.unit.clone()).unwrap_or_default();
    let legend = format!(
        "Soil P in {unit}. Basis: what caps phosphate (nitrogen: only the N need does; removal: what the forage carries off; soil test: what the test asks for, when the field has no risk rating). Removed: carried off by the forage."
    );
    text.push('\n');
    text.push_str(&wrapped(&legend, "", "  ", width));
    if plan.lots.iter().any(|l| l.typical) {
        text.push_str("* relies on typical contents from the tables: no analysis\n");
    }
    let check = warnings(&plan.findings, width);
    if !check.is_empty() {
        text.push_str("\nCHECK THESE\n");
        text.push_str(&check);
    }
    let barred: Vec<&FieldPlan> = plan.fields.iter().filter(|f| !f.bars.is_empty()).collect();
    if !barred.is_empty() {
        text.push_str("\nNO LITTER\n");
    }
    for field in barred {
        for bar in &field.bars {
            text.push_str(&wrapped(
                &plain(&format!("{} {}: {}; {}", field.id, field.name, bar.why, bar.fix)),
                "- ",
                "  ",
                width,
            ));
        }
    }
    text.push_str(&outlook(plan, width));
    text.push_str(&items(plan, width));
    text.push_str("\nFOR THE PLANNER\n");
    for note in &plan.planner_notes {
        text.push_str(&wrapped(&note.text, "- ", "  ", width));
    }
    text.push_str(&wrapped(&format!("Who decides: {}", plain(&plan.decides)), "- ", "  ", width));
    text.push_str(&from_memory(plan, width));
    text
}

/// Where phosphorus is heading, lime, soil loss, zinc and copper.
fn outlook(plan: &Plan, width: usize) -> String {
    let head = [
        "Field",
        "Soil P\na year",
        "next class\nand years",
        "Rests\nthrough",
        "Soil\nloss",
        "Zn\nlb/ac",
        "years\nto stop",
        "Cu\nlb/ac",
        "years\nto stop",
        "Lime\nt/ac",
    ];
    let mut t = table(&head, &[1, 4, 5, 6, 7, 8, 9], width);
    for field in &plan.fields {
        let or_dash = |v: Option<String>| v.unwrap_or_else(|| "-".to_string());
        let p = field.outlook.iter().find(|o| o.of == "P");
        let metal = |name| field.metals.iter().find(|m| m.metal == name);
        let load = |name| or_dash(metal(name).map(|m| number_text(m.load, 2)));
        let years = |name| or_dash(metal(name).and_then(|m| m.years).map(years_ahead));
        t.add_row(vec![
            plain(&field.id),
            or_dash(p.map(|p| signed(p.per_year))),
            or_dash(p.and_then(Outlook::next)),
            or_dash(field.phosphorus.rests_through.map(|y| y.to_string())),
            or_dash(field.soil_loss.map(|l| number_text(l, 2))),
            load("zinc"),
            years("zinc"),
            load("copper"),
            years("copper"),
            or_dash(field.lime.as_ref().map(|l| number_text(l.needed, 2))),
        ]);
    }
    let mut text = "\nWHERE IT LEADS, if every year were like this plan: an estimate\n".to_string();
    text.push_str(&drawn(&t, 2, width));
    text
}

fn signed(value: f64) -> String {
    let shown = number_text(value, 1);
    if value > 0.0 && shown != "0.0" { format!("+{shown}") } else { shown }
}

/// What a plan must hold, item by item.
fn items(plan: &Plan, width: usize) -> String {
    if plan.items.is_empty() {
        return String::new();
    }
    let mut t = table(&["The plan must include", "State", "What is there, or missing"], &[], width);
    let last = u16::try_from(width.saturating_sub(46)).unwrap_or(34);
    widths(&mut t, &[37, 9, last]);
    for item in &plan.items {
        t.add_row(vec![plain(&item.text), item.state.word().to_string(), plain(&item.remark)]);
    }
    let mut text = "\nPLAN CONTENT\n".to_string();
    text.push_str(&drawn(&t, 1, width));
    let mut sources: Vec<String> = plan.items.iter().map(|i| i.cite.to_string()).collect();
    sources.sort();
    sources.dedup();
    text.push_str(&wrapped(&format!("List after: {}", sources.join("; ")), "", "  ", width));
    text
}

fn row(plan: &Plan, field: &FieldPlan) -> Vec<String> {
    let p = &field.phosphorus;
    let whole = |v: f64| number_text(v, 0);
    let or_dash = |v: &Option<String>| v.as_deref().map_or_else(|| "-".to_string(), plain);
    vec![
        plain(&format!("{}{}", field.id, typical_mark(plan, field))),
        p.soil.map_or_else(|| "-".to_string(), trimmed),
        or_dash(&p.class),
        or_dash(&p.rating),
        p.basis.word().to_string(),
        p.allowed.map_or_else(|| "-".to_string(), whole),
        whole(p.planned),
        whole(field.removed.p2o5),
        whole(field.n_allowed),
        whole(field.done.n + field.supplied.n),
        field.held.by.word().to_string(),
    ]
}
