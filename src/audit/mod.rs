//! A second pair of eyes: every limit reached again, another way, from the
//! finished plan.
//!
//! Lives here: checks of a plan against the farm and the tables, written
//! without the chooser's, the balance's or the ground's code. Never here:
//! choices. Only an `Audited` plan can be printed as a plan.

mod acres;
mod buy;
mod file;
mod log;
mod new_plan;
mod nutrients;
mod pounds;
mod record;
mod season;
mod shown;
mod soil;
mod under;
mod verdict;

pub use crate::text::sum_of;
pub use file::{PRINT_AGAIN, read};
pub use new_plan::{Difference, NewPlan, Standing, against};
pub use verdict::{Reason, Verdict, Verdicts, verdicts};

use crate::check::{Field, Ready};
use crate::cores;
use crate::findings::{Finding, Findings, Place};
use crate::plan::answer::{Application, FieldPlan, Plan};
use crate::tables::Tables;

/// More applications of one field are nobody's plan: what is checked pair by
/// pair would never end.
const MANY: usize = 1_000;

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

/// Everything wrong with a plan that this program made: it must never be seen.
#[must_use]
pub fn faults(plan: &Plan, ready: &Ready, tables: &Tables) -> Findings {
    let mut findings = Findings::new();
    for (_, part) in parts(plan, ready, tables) {
        for fault in part.sorted() {
            let mut fault = fault.clone();
            fault.found = format!("the audit refuses the plan: {}", fault.found);
            findings.push(fault.fix("this is a fault of the program; please report it with the farm folder"));
        }
    }
    findings
}

/// What is wrong, part by part: every field of the farm by its place in the
/// list, and the plan as a whole.
fn parts(plan: &Plan, ready: &Ready, tables: &Tables) -> Vec<(Option<usize>, Findings)> {
    let mut whole = Findings::new();
    let Some(book) = ready.book(tables) else {
        whole.push(fault("tables", "the tables of the farm's place are gone".to_string()));
        return vec![(None, whole)];
    };
    let one = |written: &Field| {
        let mut findings = Findings::new();
        match plan.fields.iter().find(|f| f.id == written.id()) {
            None => findings.push(fault("whole", format!("field {}: it is missing from the plan", written.id()))),
            Some(field) if field.applications.len() > MANY => {
                findings.push(fault("whole", format!("field {}: more than {MANY} applications", field.id)));
            }
            Some(field) => {
                sound(field, &mut findings);
                acres::check(field, written, ready, &mut findings);
                under::check(field, written, ready, &book, &mut findings);
                nutrients::check(field, written, ready, &book, &mut findings);
                season::check(field, written, ready, &book, &mut findings);
                record::check(field, written, ready, &book, &mut findings);
                pounds::field(field, written, ready, &book, &mut findings);
                shown::field(field, written, ready, &book, &mut findings);
                buy::field(plan, field, ready, &mut findings);
            }
        }
        findings
    };
    let mut parts: Vec<(Option<usize>, Findings)> =
        cores::each(&ready.fields, one).into_iter().enumerate().map(|(index, found)| (Some(index), found)).collect();
    let ids = plan.fields.iter().map(|f| f.id.as_str());
    if !ids.clone().eq(ready.fields.iter().map(|f| f.id())) {
        let found = format!("its fields are {}, not every field of the farm once and in order", listed(ids));
        whole.push(fault("whole", found));
    }
    let ids = plan.lots.iter().map(|l| l.id.as_str());
    if !ids.clone().eq(ready.lots.iter().map(|l| l.id.as_str())) {
        whole.push(fault("whole", format!("its lots are {}, not every lot of the farm once", listed(ids))));
    }
    pounds::lots(plan, ready, &mut whole);
    if whole.is_empty() || (plan.fields.len() == ready.fields.len() && plan.lots.len() == ready.lots.len()) {
        shown::plan(plan, ready, &mut whole);
        buy::plan(plan, ready, &mut whole);
    }
    parts.push((None, whole));
    parts
}

/// The first of some ids; a stranger may have written a million.
fn listed<'a>(ids: impl Iterator<Item = &'a str> + Clone) -> String {
    let first: Vec<&str> = ids.clone().take(20).collect();
    let more = if ids.count() > first.len() { ", ..." } else { "" };
    format!("{}{more}", first.join(", "))
}

/// Every number is a number, and no application stands there twice: each of two
/// would keep a limit on one application that both together pass.
fn sound(field: &FieldPlan, findings: &mut Findings) {
    let rates = field.applications.iter().map(|a| a.rate);
    if ![field.acres, field.gross_acres].into_iter().chain(rates).all(|n| n.is_finite() && n >= 0.0) {
        findings.push(fault("number", format!("field {}: acres or a rate is not a number", field.id)));
    }
    if field.acres <= 0.0 && !field.applications.is_empty() {
        findings.push(fault("number", format!("field {}: it has no acres and gets litter", field.id)));
    }
    let same = |a: &Application, b: &Application| (&a.lot, &a.season, a.first) == (&b.lot, &b.season, b.first);
    for (i, one) in field.applications.iter().enumerate() {
        if field.applications[..i].iter().any(|other| same(one, other)) {
            findings.push(fault("twice", format!("field {} gets lot {} twice in one season", field.id, one.lot)));
        }
    }
}

/// Whether two numbers are the same but for so much. What is no number is near
/// nothing.
fn near(a: f64, b: f64, by: f64) -> bool {
    (a - b).abs() <= by
}

/// A fault of the plan, not of the farm.
fn fault(code: &'static str, found: String) -> Finding {
    Finding::error(code, &Place::file("plan"), found)
}
