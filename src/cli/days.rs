//! `sward days`.

use crate::cli::args::DaysArgs;
use crate::cli::exit::Exit;
use crate::cli::{load, out};
use crate::farm::MAIN;
use crate::findings::{Finding, Place};
use crate::plan::days;
use crate::write;

pub(super) fn run(args: &DaysArgs) -> Result<Exit, Exit> {
    let planned = load::reported(&args.farm)?;
    let plan = planned.audited.plan();
    let from = args.from.unwrap_or(plan.from);
    if from > plan.to {
        out::say(&format!("--from {from} lies after the plan's last day, {}\n", plan.to));
        return Err(Exit::Usage);
    }
    let Some(days) = days::days(plan, &planned.ready, from, &days::lost(&planned.ready)) else {
        let finding =
            Finding::error("days-missing", &Place::file(MAIN), "nothing says how fast the litter gets spread")
                .accepts("a block `days:` with `tons_per_day`, and `fit` where the tables have no share of fit days")
                .fix("add `days: {tons_per_day: 90 tons, fit: {february: 30 %}}` with your own figures");
        return Err(load::refuse(&finding.into(), &args.farm.farm.folder, args.farm.json));
    };
    out::result(&if args.farm.json { write::days_json(&days) } else { write::days(&days, out::width()) });
    Ok(Exit::Done)
}
