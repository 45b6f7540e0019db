//! A second pair of eyes: every limit reached again, another way, from the
//! finished plan.
//!
//! Lives here: checks of a plan against the farm and the tables, written
//! without the chooser's, the balance's or the ground's code. Never here:
//! choices. Only an `Audited` plan can be printed as a plan.

mod acres;
mod nutrients;
mod pounds;
mod season;
mod soil;
mod under;

use crate::check::Ready;
use crate::findings::{Finding, Findings, Place};
use crate::plan::answer::{Application, FieldPlan, Plan};
use crate::tables::Tables;

/// A plan that passed the audit.
#[derive(Clone, Debug)]
pub struct Audited(Plan);

impl Audited {
    /// The plan.
    #[must_use]
    pub fn plan(&self) -> &Plan {
        &self.0
    }
}

/// Audits a plan.
///
/// # Errors
/// The findings, when any limit is passed or any sum does not come out.
pub fn audit(plan: Plan, ready: &Ready, tables: &Tables) -> Result<Audited, Findings> {
    let findings = faults(&plan, ready, tables);
    if findings.is_empty() { Ok(Audited(plan)) } else { Err(findings) }
}

/// Everything wrong with a plan.
#[must_use]
pub fn faults(plan: &Plan, ready: &Ready, tables: &Tables) -> Findings {
    let mut findings = Findings::new();
    let Some(book) = ready.book(tables) else {
        findings.push(fault("tables", "the tables of the farm's place are gone".to_string()));
        return findings;
    };
    if plan.fields.len() != ready.fields.len() || plan.lots.len() != ready.lots.len() {
        findings.push(fault("whole", "the plan does not hold every field and lot of the farm once".to_string()));
        return findings;
    }
    for (field, written) in plan.fields.iter().zip(&ready.fields) {
        if field.id != written.id() {
            findings.push(fault("whole", format!("field {} stands where {} should", field.id, written.id())));
            continue;
        }
        whole(field, &mut findings);
        acres::check(field, written, ready, &mut findings);
        under::check(field, written, ready, &book, &mut findings);
        nutrients::check(field, written, ready, &book, &mut findings);
        season::check(field, written, ready, &book, &mut findings);
        pounds::field(field, written, ready, &mut findings);
    }
    pounds::lots(plan, ready, &mut findings);
    findings
}

/// Every number is a number, and no application stands there twice: each of two
/// would keep a limit on one application that both together pass.
fn whole(field: &FieldPlan, findings: &mut Findings) {
    let rates = field.applications.iter().map(|a| a.rate);
    if ![field.acres, field.gross_acres].into_iter().chain(rates).all(|n| n.is_finite() && n >= 0.0) {
        findings.push(fault("number", format!("field {}: acres or a rate is no number", field.id)));
    }
    let same = |a: &Application, b: &Application| (&a.lot, &a.season, a.first) == (&b.lot, &b.season, b.first);
    for (i, one) in field.applications.iter().enumerate() {
        if field.applications[..i].iter().any(|other| same(one, other)) {
            findings.push(fault("twice", format!("field {} gets lot {} twice in one season", field.id, one.lot)));
        }
    }
}

/// A fault of the plan, not of the farm: it must never be seen.
fn fault(code: &'static str, found: String) -> Finding {
    Finding::error(code, &Place::file("plan"), format!("the audit refuses the plan: {found}"))
        .mend("this is a fault of the program; please report it with the farm folder")
}
