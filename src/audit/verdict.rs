//! What the audit says of a plan from a file: pass or fail, field by field.

use crate::audit::aged::{GrownOld, Reason};
use crate::audit::over::{self, LogOver};
use crate::audit::parts::parts;
use crate::audit::rated;
use crate::check::Ready;
use crate::findings::Findings;
use crate::plan::answer::{Plan, SCHEMA};
use crate::tables::Tables;
use jiff::civil::Date;
use serde::Serialize;

/// The verdict on a whole plan.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Verdicts {
    /// Version of this form.
    pub schema: u32,
    /// Name of the farm.
    pub farm: String,
    /// First day of the farm's plan.
    pub from: Date,
    /// Its last day.
    pub to: Date,
    /// The day as of which the plan was made.
    pub as_of: Date,
    /// Lines of farm.yaml that read otherwise for it, as `--with` takes them.
    pub changes: Vec<String>,
    /// Whether nothing is wrong.
    pub passes: bool,
    /// The verdict on every field of the farm.
    pub fields: Vec<Verdict>,
    /// What is wrong with the plan as a whole: lots, sums, dollars.
    pub whole: Vec<Reason>,
    /// What the new plan says.
    pub new_plan: NewPlan,
    /// What the checker says of its proof, where it was asked.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub proof: Option<Seen>,
    /// Entries of the log that do not count yet on the day of the plan.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub log_later: Option<String>,
    /// What has gone by since the plan was made.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub grown_old: Option<GrownOld>,
}

/// The verdict on one field.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Verdict {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Whether nothing is wrong.
    pub passes: bool,
    /// What the plan puts on, tons per acre in all; none where the plan does
    /// not hold the field.
    pub rate: Option<f64>,
    /// What is wrong.
    pub reasons: Vec<Reason>,
    /// Where the log alone is over a limit: no fault of the plan, and no plan can
    /// take it back.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub log_over: Vec<LogOver>,
    /// What its rating does not answer for: no fault of the plan either.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub rating: Vec<Reason>,
}

/// What the new plan says of a printed one.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct NewPlan {
    /// How the printed plan stands to it.
    pub standing: Standing,
    /// Files of the farm folder that are not as they were.
    pub files: Vec<String>,
    /// What else is not as it was: the program, the tables.
    pub editions: Vec<String>,
    /// How many values differ.
    pub differ: usize,
    /// The first of them.
    pub differences: Vec<Difference>,
}

/// What the checker says of the proof.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Seen {
    /// The plan holds no proof, for this reason.
    NotThere(String),
    /// It leads to the bound that is printed.
    Reached {
        /// The bound, in dollars (or pounds of nutrients).
        bound: f64,
        /// Parts of the proof.
        parts: usize,
        /// Ways that were looked at one by one.
        looked_at: u64,
    },
    /// It does not, for this reason.
    Refused(String),
}

/// How a printed plan stands to the new plan.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Standing {
    /// Every value is the same.
    #[default]
    Same,
    /// Values are not those that were printed: the mark over all of it is
    /// another's, or nothing else changed.
    Altered,
    /// Files of the folder are not those it was made from.
    FolderChanged,
    /// The tables or the program are not those it was made with.
    OtherEdition,
}

/// A value that differs.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Difference {
    /// Where it is in the plan.
    pub at: String,
    /// What the printed plan says.
    pub shown: String,
    /// What the new plan says.
    pub new: String,
}

/// Audits a plan against its farm and the tables.
#[must_use]
pub fn verdicts(plan: &Plan, ready: &Ready, tables: &Tables) -> Verdicts {
    let (mut fields, mut whole) = (Vec::new(), Vec::new());
    let thens = over::all_days(ready);
    for (index, findings) in parts(plan, ready, tables) {
        let Some(field) = index.and_then(|i| ready.fields.get(i)) else {
            whole.extend(reasons(&findings, None));
            continue;
        };
        let planned = plan.fields.iter().find(|f| f.id == field.id());
        let over = planned.zip(index).map(|(plan, at)| over::log_over(plan, at, &thens, tables));
        let log_over = over.unwrap_or_default();
        let book = ready.book(tables);
        let doubts = planned.zip(book).map(|(plan, book)| rated::doubts(plan, field, ready, &book));
        let rating = doubts.map_or_else(Vec::new, |doubts| reasons(&doubts, Some(field.id())));
        let reasons = reasons(&findings, Some(field.id()));
        fields.push(Verdict {
            id: field.id().to_string(),
            name: field.written.name.clone(),
            passes: reasons.is_empty(),
            rate: planned.map(|f| f.applications.iter().map(|a| a.rate).fold(0.0, |sum, rate| sum + rate)),
            reasons,
            log_over,
            rating,
        });
    }
    Verdicts {
        schema: SCHEMA,
        farm: ready.name.clone(),
        from: ready.from,
        to: ready.to,
        as_of: plan.as_of,
        changes: plan.made.changes.clone(),
        passes: whole.is_empty() && fields.iter().all(|f| f.passes),
        fields,
        whole,
        new_plan: NewPlan::default(),
        proof: None,
        log_later: None,
        grown_old: None,
    }
}

/// The findings as reasons; the field that they are filed under is not named
/// again.
fn reasons(findings: &Findings, field: Option<&str>) -> Vec<Reason> {
    let own = |found: &str| {
        let id = field?;
        let rest = found.strip_prefix("field ")?.strip_prefix(id)?;
        rest.strip_prefix(": ")
            .or_else(|| rest.strip_prefix(", "))
            .or_else(|| rest.strip_prefix(' '))
            .map(str::to_string)
    };
    findings
        .sorted()
        .into_iter()
        .map(|f| Reason { code: f.code.to_string(), found: own(&f.found).unwrap_or_else(|| f.found.clone()) })
        .collect()
}
