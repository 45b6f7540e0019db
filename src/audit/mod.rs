//! A second pair of eyes: every limit reached again, another way, from the
//! finished plan.
//!
//! Lives here: checks of a plan against the farm and the tables, written
//! without the chooser's, the balance's or the ground's code. Never here:
//! choices. Only an `Audited` plan can be printed as a plan.

mod acres;
mod aged;
mod bill;
mod budget;
mod buy;
mod fault;
mod file;
mod goal;
mod hay;
mod held;
mod herds;
mod lines;
mod log;
mod new_plan;
mod nutrients;
mod outlets;
mod over;
mod p_rule;
mod part;
mod parts;
mod per_pound;
mod period;
mod phosphorus;
mod pounds;
mod proof;
mod rated;
mod rest;
mod season;
mod shown;
mod soil;
mod spots;
mod stock;
mod under;
mod verdict;

pub use crate::text::sum_of;
pub use aged::{GrownOld, Reason, grown_old};
pub use file::{PRINT_AGAIN, read};
pub use new_plan::against;
pub use over::LogOver;
pub use proof::{Asked, held, no_proof, proof};
pub use verdict::{Difference, NewPlan, Seen, Standing, Verdict, Verdicts, verdicts};

use crate::check::Ready;
use crate::findings::Findings;
use crate::plan::answer::Plan;
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

/// Everything wrong with a plan that this program made: it must never be seen.
#[must_use]
pub fn faults(plan: &Plan, ready: &Ready, tables: &Tables) -> Findings {
    let mut findings = Findings::new();
    for (_, part) in parts::parts(plan, ready, tables) {
        for fault in part.sorted() {
            let mut fault = fault.clone();
            fault.found = format!("the audit refuses the plan: {}", fault.found);
            findings.push(fault.fix("this is a fault of the program; please report it with the farm folder"));
        }
    }
    findings
}
