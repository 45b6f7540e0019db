//! `sward audit PLAN.json`.

use crate::audit;
use crate::cli::args::AuditArgs;
use crate::cli::load::{question, refuse};
use crate::cli::{Exit, input, out};
use crate::findings::{Finding, Findings, Place};
use crate::pipeline::{Checked, Folder};
use crate::plan::Plan;
use crate::{text, write};
use std::path::Path;

pub(super) fn run(args: &AuditArgs) -> Exit {
    let plan = match plan(&args.plan) {
        Ok(plan) => plan,
        Err(finding) => {
            let mut findings = Findings::new();
            findings.push(*finding);
            return refuse(&findings, Path::new("."), args.json);
        }
    };
    let Checked { tables, ready, findings, .. } = question(Folder::disk(&args.folder), &args.basis).check();
    let Some(ready) = ready else {
        return refuse(&findings, &args.folder, args.json);
    };
    let verdicts = audit::verdicts(&plan, &ready, &tables);
    out::result(&if args.json { write::audited_json(&verdicts) } else { write::audited(&verdicts, out::width()) });
    if verdicts.passes { Exit::Done } else { Exit::Errors }
}

fn plan(path: &Path) -> Result<Plan, Box<Finding>> {
    let name = input::name(path);
    let cannot = |why: String| {
        let finding = Finding::error("cannot-read", &Place::file(&name), format!("the plan cannot be read: {why}"));
        Box::new(finding.fix("`sward plan FOLDER --json > plan.json` prints one"))
    };
    let bytes = input::read(path, text::file::MOST_PLAN).map_err(|e| cannot(e.to_string()))?;
    audit::read(&name, &text::decode(&name, bytes)?)
}
