//! JSON: the same answers for other programs. Names stay; new ones may come.

use crate::audit::Audited;
use crate::balance::FieldBalance;
use crate::findings::Findings;
use crate::plan::answer::{FieldPlan, SCHEMA};
use crate::write::tables::Listed;
use serde_json::{Value, json};

/// A document as text. Everything here is made of numbers, words and lists,
/// which always can be written.
fn text(value: &impl serde::Serialize) -> String {
    serde_json::to_string_pretty(value).map(|t| t + "\n").unwrap_or_default()
}

/// The whole plan, as `plan::answer` documents it.
#[must_use]
pub fn plan_json(audited: &Audited) -> String {
    text(audited.plan())
}

/// All findings.
#[must_use]
pub fn findings_json(findings: &Findings) -> String {
    text(&json!({ "schema": SCHEMA, "errors": findings.has_errors(), "findings": findings.sorted() }))
}

/// The planner's table.
#[must_use]
pub fn limits_json(audited: &Audited) -> String {
    let plan = audited.plan();
    let fields: Vec<Value> = plan
        .fields
        .iter()
        .map(|f| {
            json!({
                "id": f.id,
                "name": f.name,
                "phosphorus": f.phosphorus,
                "p2o5_removed": f.removed.p2o5,
                "n_allowed": f.n_allowed,
                "n_planned": f.done.n + f.supplied.n,
                "held": f.held,
                "bars": f.bars,
            })
        })
        .collect();
    text(
        &json!({ "schema": SCHEMA, "farm": plan.farm, "place": plan.place, "from": plan.from, "to": plan.to, "fields": fields }),
    )
}

/// The notebook of one field and what the plan does there.
#[must_use]
pub fn why_json(field: &FieldPlan, balance: &FieldBalance) -> String {
    text(&json!({ "schema": SCHEMA, "field": field, "steps": balance.notes }))
}

/// Figures of a place.
#[must_use]
pub fn tables_json(list: &[Listed]) -> String {
    text(&json!({ "schema": SCHEMA, "figures": list }))
}
