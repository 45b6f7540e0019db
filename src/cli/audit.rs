//! `sward audit PLAN.json`.

use crate::cli::args::AuditArgs;
use crate::cli::clock;
use crate::cli::exit::Exit;
use crate::cli::load::{figures, refuse};
use crate::cli::{input, out};
use crate::findings::{Finding, Place};
use crate::pipeline::{self, Folder, PrintedPlan};
use crate::{text, write};
use std::path::Path;

pub(super) fn run(args: &AuditArgs) -> Exit {
    let json = args.common.json;
    let printed = match plan(&args.plan) {
        Ok(printed) => printed,
        Err(finding) => {
            return refuse(&(*finding).into(), Path::new("."), json);
        }
    };
    let today = args.today.unwrap_or_else(clock::today);
    let figures = figures(args.common.reference.as_deref());
    if args.ways {
        return match pipeline::ways(&printed, Folder::disk(&args.folder), &figures) {
            Ok(text) => {
                out::result(&text);
                Exit::Done
            }
            Err(findings) => refuse(&findings, &args.folder, json),
        };
    }
    let verdicts = match pipeline::audit(&printed, Folder::disk(&args.folder), &figures, today) {
        Ok(verdicts) => verdicts,
        Err(findings) => return refuse(&findings, &args.folder, json),
    };
    out::result(&if json { write::audited_json(&verdicts) } else { write::audited(&verdicts, out::width()) });
    if verdicts.passes { Exit::Done } else { Exit::Errors }
}

/// A plan as `sward plan --json` printed it.
pub(super) fn plan(path: &Path) -> Result<PrintedPlan, Box<Finding>> {
    let name = input::name(path);
    let cannot = |why: String| {
        let finding = Finding::error("cannot-read", &Place::file(&name), format!("the plan cannot be read: {why}"));
        Box::new(finding.fix("`sward plan FOLDER --json > plan.json` prints one"))
    };
    let bytes = input::read(path, text::file::MOST_PLAN).map_err(|e| cannot(e.to_string()))?;
    PrintedPlan::read(&name, &text::decode(&name, bytes)?)
}
