//! `sward days`.

use crate::cli::args::DaysArgs;
use crate::cli::exit::Exit;
use crate::cli::{load, out};
use crate::farm::MAIN;
use crate::findings::{Finding, Findings, Place};
use crate::plan::days;
use crate::write;

pub(super) fn run(args: &DaysArgs) -> Exit {
    let planned = match load::planned(&args.folder, &args.basis, args.json) {
        Ok(planned) => planned,
        Err(exit) => return exit,
    };
    let plan = planned.audited.plan();
    let from = args.from.unwrap_or(plan.from);
    if from > plan.to {
        out::say(&format!("--from {from} lies after the plan's last day, {}\n", plan.to));
        return Exit::Usage;
    }
    match days::days(plan, &planned.ready, from, &days::lost(&planned.ready)) {
        Some(days) => {
            out::result(&if args.json { write::days_json(&days) } else { write::days(&days, out::width()) });
            Exit::Done
        }
        None => {
            let mut findings = Findings::new();
            findings.push(
                Finding::error("days-missing", &Place::file(MAIN), "nothing says how fast the litter gets spread")
                    .accepts(
                        "a block `days:` with `tons_per_day`, and `fit` where the tables have no share of fit days",
                    )
                    .fix("add `days: {tons_per_day: 90 tons, fit: {february: 30 %}}` with your own figures"),
            );
            load::refuse(&findings, &args.folder, args.json)
        }
    }
}
