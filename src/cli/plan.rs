//! `sward plan`.

use crate::audit;
use crate::cli::args::PlanArgs;
use crate::cli::load::{Planned, Source};
use crate::cli::{Exit, load, out};
use crate::plan::years::{self, ASSUMED, Year};
use crate::plan::{self, LeastCost, days};
use crate::write;

pub(super) fn run(args: &PlanArgs) -> Exit {
    let (folder, common) = (&args.farm.folder, &args.farm.common);
    let source = Source { changes: &args.changes, ..Source::folder(folder) };
    if !args.changes.is_empty() && args.years.is_none() {
        return changed(args, source);
    }
    let planned = load::made(source, common.reference.as_ref());
    let planned = match planned.map_err(|findings| load::refuse(&findings, folder, common.json)) {
        Ok(planned) => planned,
        Err(exit) => return exit,
    };
    match args.years {
        Some(count) => ahead(&planned, usize::from(count), common.json),
        None => {
            out::result(&if common.json { write::plan_json(&planned.audited) } else { told(&planned) });
            Exit::Done
        }
    }
}

/// The plan on the terminal.
fn told(planned: &Planned) -> String {
    let plan = planned.audited.plan();
    let days = days::days(plan, &planned.ready, plan.from, &days::lost(&planned.ready));
    write::plan_with_days(&planned.audited, days.as_ref(), out::width())
}

/// Several years; each year's plan passes the audit or nothing is printed.
fn ahead(planned: &Planned, count: usize, json: bool) -> Exit {
    let Planned { tables, ready, ground, .. } = planned;
    let ahead: Vec<Year> = years::years(ready, tables, ground, &LeastCost::default(), count);
    for year in &ahead {
        let faults = audit::faults(&year.plan, &year.ready, tables);
        if !faults.is_empty() {
            out::say(&write::findings(&faults, &|_| None, out::width()));
            return Exit::Errors;
        }
    }
    let rows = years::rows(&ahead);
    out::result(&if json {
        write::years_json(&ready.name, &rows, &ASSUMED)
    } else {
        write::years(&ready.name, &rows, &ASSUMED, out::width())
    });
    Exit::Done
}

/// The plan under `--with`, after what differs from the plan of the file.
fn changed(args: &PlanArgs, source: Source<'_>) -> Exit {
    let (folder, common) = (&args.farm.folder, &args.farm.common);
    let own = common.reference.as_ref();
    let under = match load::made(source, own) {
        Ok(planned) => planned,
        Err(findings) => return load::refuse(&findings, folder, common.json),
    };
    // The file itself may have errors that the change fixes.
    let before = load::made(Source::folder(folder), own);
    let differs = match &before {
        Ok(before) => plan::differences(before.audited.plan(), under.audited.plan()),
        Err(_) => plan::Differences::default(),
    };
    let changes: Vec<String> = args.changes.iter().map(ToString::to_string).collect();
    if common.json {
        out::result(&write::plan_with_json(&under.audited, &changes, &differs));
        return Exit::Done;
    }
    let width = out::width();
    let mut text = match &before {
        Ok(_) => {
            let (a, b) = ("the plan of the file as it is", format!("the plan with {}", changes.join(", ")));
            write::compared(&differs, a, &b, width)
        }
        Err(_) => {
            let line = format!("With {}. The file as it is gives no plan: `sward check` says why.", changes.join(", "));
            write::wrapped(&line, "", "  ", width)
        }
    };
    text.push('\n');
    text.push_str(&told(&under));
    out::result(&text);
    Exit::Done
}
