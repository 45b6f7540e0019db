//! The planner's table: phosphorus first.

use crate::audit::Audited;
use crate::plan::answer::FieldPlan;
use crate::units::{number_text, trimmed};
use crate::write::page::{drawn, from_memory, plain, table, wrapped};

/// One row a field, then what bars a field.
#[must_use]
pub fn limits(audited: &Audited, width: usize) -> String {
    let plan = audited.plan();
    let mut text = format!("{}: limits {} to {}, {}\n", plain(&plan.farm), plan.from, plan.to, plan.place_name);
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
        "Held by",
    ];
    let mut t = table(&head, &[1, 5, 6, 7, 8, 9], width);
    for field in &plan.fields {
        t.add_row(row(field));
    }
    text.push_str(&drawn(&t, 2, width));
    let unit = plan.fields.iter().find_map(|f| f.phosphorus.unit.clone()).unwrap_or_default();
    let legend = format!(
        "Soil P in {unit}. Basis: what caps phosphate (nitrogen: only the N need does; removal: what the forage carries off; soil test: what the test asks for, as nobody rated the field). Taken: carried off by the forage."
    );
    text.push('\n');
    text.push_str(&wrapped(&legend, "", "  ", width));
    let barred: Vec<&FieldPlan> = plan.fields.iter().filter(|f| !f.bars.is_empty()).collect();
    if !barred.is_empty() {
        text.push_str("\nBARRED\n");
    }
    for field in barred {
        for bar in &field.bars {
            text.push_str(&wrapped(
                &plain(&format!("{} {}: {}; {}", field.id, field.name, bar.why, bar.mend)),
                "- ",
                "  ",
                width,
            ));
        }
    }
    text.push_str("\nFOR THE PLANNER\n");
    for note in &plan.planner_notes {
        text.push_str(&wrapped(&note.text, "- ", "  ", width));
    }
    text.push_str(&wrapped(&format!("Who decides: {}", plain(&plan.decides)), "- ", "  ", width));
    text.push_str(&from_memory(plan, width));
    text
}

fn row(field: &FieldPlan) -> Vec<String> {
    let p = &field.phosphorus;
    let whole = |v: f64| number_text(v, 0);
    let or_dash = |v: &Option<String>| v.as_deref().map_or_else(|| "-".to_string(), plain);
    vec![
        plain(&field.id),
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
