//! A plan that was printed, held against its farm and against the plan that is
//! made again: as of the same day, with the same lines changed.

use crate::audit::{self, Standing, Verdicts};
use crate::farm::Change;
use crate::findings::{Finding, Findings, Place};
use crate::pipeline::folder::Folder;
use crate::pipeline::question::{Day, Figures, Question};
use crate::pipeline::stages::Planned;
use crate::plan::answer::{Certified, Plan};
use crate::plan::{self, Differences, Proven};
use jiff::civil::Date;
use serde_json::{Value, json};

/// A plan as it was printed.
#[derive(Clone, Debug)]
pub struct PrintedPlan {
    plan: Plan,
    /// The same, word for word.
    words: Value,
    changes: Vec<Change>,
}

impl PrintedPlan {
    /// Reads a plan that `sward plan --json` printed.
    ///
    /// # Errors
    /// When the text is no such plan.
    pub fn read(file: &str, text: &str) -> Result<PrintedPlan, Box<Finding>> {
        let (plan, words) = audit::read(file, text)?;
        let changes: Result<Vec<Change>, String> = plan.made.changes.iter().map(|change| change.parse()).collect();
        let changes = changes.map_err(|why| {
            let found = format!("the plan: `made.changes` holds what is no change: {why}");
            Box::new(Finding::error("plan-data", &Place::file(file), found).fix(audit::PRINT_AGAIN))
        })?;
        Ok(PrintedPlan { plan, words, changes })
    }

    /// The plan as it was printed; nothing in it is checked.
    #[must_use]
    pub fn plan(&self) -> &Plan {
        &self.plan
    }

    /// What was asked when it was made, of a folder as it is now.
    fn question<'a>(&'a self, folder: Folder<'a>, figures: &Figures<'a>) -> Question<'a> {
        Question { folder, changes: &self.changes, figures: figures.clone(), day: Day::Asked(self.plan.as_of) }
    }
}

/// A new plan of a farm, to hold a printed one against.
#[derive(Debug)]
pub struct Remade {
    planned: Planned,
    /// As it would be printed.
    words: Value,
}

/// Audits a printed plan, as of its own day and with its own changes; what has gone by since
/// then up to the day of the audit is told beside.
///
/// # Errors
/// Everything that was found, when the farm has no plan now.
pub fn audit(
    printed: &PrintedPlan,
    folder: Folder<'_>,
    figures: &Figures<'_>,
    today: Date,
) -> Result<Verdicts, Findings> {
    let remade = Remade::of(printed, folder, figures)?;
    let grown_old = audit::grown_old(&printed.plan, &remade.planned.ready, &remade.planned.tables, today);
    let verdicts = Verdicts { grown_old, ..remade.judge(printed) };
    let Plan { from, to, .. } = &printed.plan;
    // No line on a limit of one year says anything of a plan of another.
    let other_days = (*from, *to) != (verdicts.from, verdicts.to);
    if other_days && verdicts.new_plan.standing == Standing::FolderChanged {
        let found = format!(
            "the plan is of {from} to {to}, and farm.yaml plans {} to {} now: nothing in it can be calculated again",
            verdicts.from, verdicts.to
        );
        let fix =
            "set `from` and `to` of `plan:` back to the days of the plan to audit it, or print a plan of the new days";
        return Err(Finding::error("plan-days", &Place::file("plan.json"), found).fix(fix).into());
    }
    Ok(verdicts)
}

/// The ways to do each field that the proof of a printed plan is of, as text for other checkers.
///
/// # Errors
/// Everything that was found, when the farm has no plan now or the plan no proof.
pub fn ways(printed: &PrintedPlan, folder: Folder<'_>, figures: &Figures<'_>) -> Result<String, Findings> {
    let planned = printed.question(folder, figures).plan()?;
    let proven = audit::held(&printed.plan).and_then(|shown| proven(&planned, &printed.plan, shown));
    proven.map(|proven| proven.ways()).map_err(|why| {
        let found = format!("the plan's proof cannot be checked: {why}");
        Finding::error("no-proof", &Place::file("plan.json"), found).fix(audit::PRINT_AGAIN).into()
    })
}

/// What the proof of a printed plan is of.
fn proven(planned: &Planned, plan: &Plan, shown: &Certified) -> Result<Proven, String> {
    plan::proven(&plan::asked(&planned.ready, &planned.tables, &planned.balance), plan, shown)
}

/// Adds to the verdicts on a plan what the checker says of its proof; `planned` is the plan of the same
/// farm made again.
#[must_use]
pub fn proof(verdicts: Verdicts, planned: &Planned, plan: &Plan) -> Verdicts {
    match audit::held(plan).map(|shown| proven(planned, plan, shown)) {
        Err(why) => audit::no_proof(verdicts, why),
        Ok(Err(why)) => audit::proof(verdicts, plan, Err(why)),
        Ok(Ok(proven)) => {
            let dollars = |units, says| proven.dollars(units, says);
            audit::proof(verdicts, plan, Ok(audit::Asked { pool: &proven.pool, dollars: &dollars }))
        }
    }
}

impl Remade {
    /// Makes a new plan as of the day of a printed one, with its changes.
    ///
    /// # Errors
    /// Everything that was found, when the farm has no plan now.
    pub fn of(printed: &PrintedPlan, folder: Folder<'_>, figures: &Figures<'_>) -> Result<Remade, Findings> {
        let asked = printed.question(folder, figures);
        let planned = asked.plan()?;
        let plan = planned.audited.plan();
        let mut words = json!(plan);
        if !asked.changes.is_empty() {
            let before = Question { changes: &[], ..asked.clone() }.plan();
            let (differs, idle) = before.map_or_else(
                |_| (Differences::default(), Vec::new()),
                |b| plan::differs_or_why(b.audited.plan(), plan, asked.changes),
            );
            words["with"] = json!({ "changes": plan.made.changes, "differs": differs, "idle": idle });
        }
        // Through text and back, as the printed one came: both parse alike.
        let words = serde_json::from_str(&words.to_string()).unwrap_or(words);
        Ok(Remade { planned, words })
    }

    /// Every limit of a printed plan again, and every value of it against this
    /// plan.
    #[must_use]
    pub fn judge(&self, printed: &PrintedPlan) -> Verdicts {
        let planned = &self.planned;
        let verdicts = audit::verdicts(&printed.plan, &planned.ready, &planned.tables);
        let verdicts = proof(verdicts, planned, &printed.plan);
        let again = (planned.audited.plan(), &self.words);
        let verdicts = audit::against(verdicts, (&printed.plan, &printed.words), again, &planned.ready);
        let later = planned.findings.sorted().into_iter().find(|finding| finding.code == "log-later");
        // An audit goes by the plan's own day; another day takes another plan.
        let later = later.map(|finding| finding.clone().fix("to count them, make a new plan"));
        Verdicts { log_later: later.map(|finding| finding.in_words()), ..verdicts }
    }
}
