//! The planner's table: phosphorus first.

use crate::audit::Audited;
use crate::balance::Basis;
use crate::plan::answer::{FieldPlan, HeldBy, Outlook, Plan, years_ahead};
use crate::units::{number_text, trimmed};
use crate::write::findings::warnings;
use crate::write::page::{Page, from_memory, known, or_dash, whole};
use crate::write::plan::{counted_since, typical_mark};

/// One row a field, then what bars a field.
#[must_use]
pub fn limits(audited: &Audited, width: usize) -> String {
    let plan = audited.plan();
    let Plan { farm, from, to, as_of, place_name, .. } = plan;
    let mut page = Page::titled(format!("{farm}: limits {from} to {to}, as of {as_of}, {place_name}"), width);
    page.line("P2O5 and available N in lb per acre, by the limit that leaves the least room.");
    page.line("");
    fields(&mut page, plan);
    let mut warned = Page::new(width);
    warnings(&mut warned, &plan.findings);
    if !warned.is_empty() {
        page.heading("CHECK THESE");
        page.list(warned);
    }
    if plan.fields.iter().any(|f| !f.bars.is_empty()) {
        page.heading("NO LITTER");
    }
    for field in &plan.fields {
        for bar in &field.bars {
            page.item(format!("{} {}: {}; {}", field.id, field.name, bar.why, bar.fix));
        }
    }
    outlook(&mut page, plan);
    items(&mut page, plan);
    page.heading("FOR THE PLANNER");
    plan.planner_notes.iter().for_each(|note| page.item(&note.text));
    page.item(format!("Who decides: {}", plan.decides));
    from_memory(&mut page, plan);
    page.done()
}

fn fields(page: &mut Page, plan: &Plan) {
    let rows = plan.fields.iter().map(|field| {
        let p = &field.phosphorus;
        vec![
            format!("{}{}", field.id, typical_mark(plan, field)),
            or_dash(p.soil.map(trimmed)),
            or_dash(p.class.clone()),
            or_dash(p.rating.clone()),
            p.basis.word().to_string(),
            p2o5_allowed(field),
            whole(p.used.map_or(p.planned, |used| used.on)),
            whole(field.removed.p2o5),
            known(field.need.get().n.map(|_| field.n_used.map_or(field.n_allowed, |used| used.allowed))),
            whole(field.n_used.map_or(field.done.n + field.supplied.n, |used| used.on)),
            limited_by(&field.held, plan),
        ]
    });
    let heads = [
        "Field",
        "Soil\nP>",
        "Class",
        "Rated",
        "Basis",
        "P2O5\nallow>",
        "P2O5\nplan>",
        "P2O5\ntaken>",
        "N\nallow>",
        "N\nplan>",
        "Limited by",
    ];
    page.table(&heads, rows);
    let unit = plan.fields.iter().find_map(|f| f.phosphorus.unit.clone()).unwrap_or_default();
    page.line("");
    page.say(format!(
        "Soil P in {unit}. Basis: what caps phosphate (nitrogen: only the N need does; removal: what the forage carries off; soil test: what the test asks for, where neither a risk rating nor a rule of the place for the soil test says more). Plan: log and plan together over the days of that limit (`sward why FIELD` names them), or over the growing years of the plan where no limit counts an open day. Taken: carried off by the forage in a year."
    ));
    if plan.lots.iter().any(|l| l.typical) {
        page.line("* relies on typical contents from the tables: no analysis");
    }
}

/// Phosphate allowed; a dash where nitrogen alone caps the rate.
fn p2o5_allowed(field: &FieldPlan) -> String {
    let p = &field.phosphorus;
    if p.basis == Basis::SoilTest && !field.need.known().p2o5 {
        return known(None);
    }
    or_dash(p.used.map(|used| used.allowed).or(p.allowed).map(whole))
}

/// `phosphorus`, and since when it counts where that is a year before the plan's.
fn limited_by(held: &HeldBy, plan: &Plan) -> String {
    let since = counted_since(held, plan).map_or(String::new(), |day| format!("\nsince {day}"));
    format!("{}{since}", held.by.word())
}

/// Where phosphorus is heading, lime, soil loss, zinc and copper.
fn outlook(page: &mut Page, plan: &Plan) {
    let rows = plan.fields.iter().map(|field| {
        let p = field.outlook.iter().find(|o| o.of == "P");
        let metal = |name| field.metals.iter().find(|m| m.metal == name);
        let load = |name| or_dash(metal(name).map(|m| number_text(m.load, 2)));
        let years = |name| or_dash(metal(name).and_then(|m| m.years).map(years_ahead));
        vec![
            field.id.clone(),
            or_dash(p.map(|p| signed(p.per_year))),
            or_dash(p.and_then(Outlook::next)),
            or_dash(field.phosphorus.rests_through.map(|y| y.to_string())),
            or_dash(field.soil_loss.map(|l| number_text(l, 2))),
            load("zinc"),
            years("zinc"),
            load("copper"),
            years("copper"),
            or_dash(field.lime.as_ref().map(|l| number_text(l.needed, 2))),
        ]
    });
    let heads = [
        "Field",
        "Soil P\na year>",
        "next class\nand years",
        "Rests\nthrough",
        "Soil\nloss>",
        "Zn\nlb/ac>",
        "years\nto stop>",
        "Cu\nlb/ac>",
        "years\nto stop>",
        "Lime\nt/ac>",
    ];
    page.heading("WHERE IT LEADS, if every year were like this plan: an estimate");
    page.table(&heads, rows);
}

fn signed(value: f64) -> String {
    let shown = number_text(value, 1);
    if value > 0.0 && shown != "0.0" { format!("+{shown}") } else { shown }
}

/// What a plan must hold, item by item.
fn items(page: &mut Page, plan: &Plan) {
    if plan.items.is_empty() {
        return;
    }
    let rows = plan.items.iter().map(|i| vec![i.text.clone(), i.state.word().to_string(), i.remark.clone()]);
    page.heading("PLAN CONTENT");
    page.table_of(&["The plan must include", "State", "What is there, or missing"], &[37, 9, 0], rows);
    let mut sources: Vec<String> = plan.items.iter().map(|i| i.cite.to_string()).collect();
    sources.sort();
    sources.dedup();
    page.say(format!("List after: {}", sources.join("; ")));
}
