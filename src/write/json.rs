//! JSON: the same answers for other programs. Names stay; new ones may come.

use crate::audit::{Audited, sum_of};
use crate::balance::FieldBalance;
use crate::findings::{Findings, Known};
use crate::plan::answer::{FieldPlan, FieldSure, Plan, SCHEMA, Sure, YearRow};
use crate::plan::{Actual, Differences, Doubts, Tally, Trail, YearTally};
use crate::tables::{Book, CHECKS_NEEDED, Coverage, CoverageAnswer};
use crate::write::limits::{n_allowed, n_planned};
use crate::write::tables::{Listed, day_of};
use serde_json::{Value, json};

/// A document as text. Everything here is made of numbers, words and lists,
/// which always can be written.
pub(super) fn text(value: &impl serde::Serialize) -> String {
    serde_json::to_string_pretty(value).map(|t| t + "\n").unwrap_or_default()
}

/// A plan as text, with the mark over all of it.
fn marked(plan: &impl serde::Serialize) -> String {
    let bare = text(plan);
    let sum = serde_json::from_str(&bare).map(|document: Value| sum_of(&document)).unwrap_or_default();
    bare.replacen("\"sum\": \"\"", &format!("\"sum\": \"{sum}\""), 1)
}

/// The whole plan, as `plan::answer` documents it.
#[must_use]
pub fn plan_json(audited: &Audited) -> String {
    marked(audited.plan())
}

/// Several years, as `plan::answer::YearRow` documents them.
#[must_use]
pub fn years_json(farm: &str, rows: &[YearRow], assumed: &[&str]) -> String {
    text(&json!({ "schema": SCHEMA, "farm": farm, "years": rows, "taken_for_granted": assumed }))
}

/// A plan made with something changed, and what differs from the plan of the
/// file: the plan's own names, and `with` beside them.
#[must_use]
pub fn plan_with_json(audited: &Audited, changes: &[String], differs: &Differences, idle: &[String]) -> String {
    #[derive(serde::Serialize)]
    struct Changed<'a> {
        #[serde(flatten)]
        plan: &'a Plan,
        with: Value,
    }
    marked(&Changed { plan: audited.plan(), with: json!({ "changes": changes, "differs": differs, "idle": idle }) })
}

/// All findings.
#[must_use]
pub fn findings_json(findings: &Findings) -> String {
    text(&json!({ "schema": SCHEMA, "errors": findings.has_errors(), "findings": findings.sorted() }))
}

/// All findings, and which fields cannot get litter.
#[must_use]
pub fn check_json(findings: &Findings, without_litter: Option<&str>) -> String {
    let sorted = findings.sorted();
    text(
        &json!({ "schema": SCHEMA, "errors": findings.has_errors(), "findings": sorted, "without_litter": without_litter }),
    )
}

/// The tally, as `plan::tally` documents it.
#[must_use]
pub fn tally_json(tally: &Tally) -> String {
    text(tally)
}

/// The tally of a year, as `plan::tally_of_year` documents it.
#[must_use]
pub fn year_tally_json(tally: &YearTally) -> String {
    text(tally)
}

/// Where a truck was, as `plan::Trail` documents it.
#[must_use]
pub fn trail_json(trail: &Trail) -> String {
    text(trail)
}

/// The planner's table; fields on which the log shows litter have it beside
/// what they may get.
#[must_use]
pub fn limits_json(audited: &Audited, actual: &[Actual]) -> String {
    let plan = audited.plan();
    let fields: Vec<Value> = plan
        .fields
        .iter()
        .map(|f| {
            let mut field = json!({
                "id": f.id,
                "name": f.name,
                "phosphorus": f.phosphorus,
                "p2o5_removed": f.removed.get().p2o5,
                "put_on": f.put_on(),
                "total_n": f.total_n,
                "carried_off": f.carried_off(),
                "n_allowed": n_allowed(f),
                "n_planned": n_planned(f),
                "held": f.held,
                "bars": f.bars,
                "outlook": f.outlook,
                "metals": f.metals,
                "soil_loss": f.soil_loss,
                "lime": f.lime,
                "known": f.known,
            });
            if let Some(on) = actual.iter().find(|a| a.field == f.id) {
                field["actual"] = json!(on);
            }
            field
        })
        .collect();
    let (on, off) = plan.on_and_off();
    text(
        &json!({ "schema": SCHEMA, "farm": plan.farm, "place": plan.place, "from": plan.from, "to": plan.to, "as_of": plan.as_of, "fields": fields, "put_on": on, "carried_off": off, "findings": plan.findings }),
    )
}

/// What hangs on weakly known figures, as `plan::Doubts` documents it.
#[must_use]
pub fn doubts_json(doubts: &Doubts) -> String {
    text(doubts)
}

/// How sure the rates are, as `plan::answer` documents it.
#[must_use]
pub fn sure_json(sure: &Sure) -> String {
    text(sure)
}

/// The notebook of one field and what the plan does there.
#[must_use]
pub fn why_json(field: &FieldPlan, balance: &FieldBalance, sure: Option<&FieldSure>) -> String {
    let step = |(step, known)| {
        let mut step = json!(step);
        step["known"] = json!(known);
        step
    };
    let steps: Vec<Value> = balance.notes.steps().iter().zip(balance.notes.known().iter()).map(step).collect();
    text(&json!({ "schema": SCHEMA, "field": field, "steps": steps, "sure": sure }))
}

/// Figures of a place, and what its tables answer.
#[must_use]
pub fn tables_json(book: &Book<'_>, list: &[Listed], coverage: Option<&Coverage>) -> String {
    text(&json!({
        "schema": SCHEMA,
        "place": book.place().key,
        "name": book.place().name,
        "on": day_of(book),
        "figures": list,
        "coverage": coverage.map(counted),
    }))
}

/// What the tables of every place answer, question by question.
#[must_use]
pub fn coverage_json(all: &[Coverage]) -> String {
    let places: Vec<Value> = all
        .iter()
        .map(|c| {
            let mut place = counted(c);
            place["questions"] = json!(c.questions);
            place
        })
        .collect();
    text(&json!({ "schema": SCHEMA, "checks_needed": CHECKS_NEEDED, "places": places }))
}

fn counted(c: &Coverage) -> Value {
    json!({
        "place": c.place,
        "name": c.name,
        "status": c.status,
        "answered": {
            "own": c.count(CoverageAnswer::Own),
            "wider": c.count(CoverageAnswer::Wider),
            "asked": c.count(CoverageAnswer::Asked),
            "stops": c.count(CoverageAnswer::Stops),
            "nothing": c.count(CoverageAnswer::Nothing),
            "from_memory": c.known(Known::Memory).len(),
            "applied": c.known(Known::Applied).len(),
        },
        "figures": { "read": c.read, "applied": c.applied, "common_practice": c.common_practice, "memory": c.memory },
        "checks": c.checks,
    })
}
