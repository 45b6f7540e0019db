//! `sward plan`.

use crate::audit;
use crate::cli::args::PlanArgs;
use crate::cli::exit::Exit;
use crate::cli::{load, out};
use crate::pipeline::{self, Folder, Opened, Planned, Question, Weighed};
use crate::plan::years::{self, ASSUMED, Year};
use crate::plan::{self, LeastCost, days};
use crate::write::{self, Beside};

pub(super) fn run(args: &PlanArgs) -> Exit {
    let (folder, json) = (&args.farm.farm.folder, args.farm.json);
    let question = load::question(Folder::disk(folder), &args.farm.farm.basis);
    let question = Question { changes: &args.changes, ..question };
    if !args.changes.is_empty() && args.years.is_none() {
        return changed(args, &question);
    }
    let (opened, planned) = match question.open().planned() {
        Ok(planned) => planned,
        Err(findings) => return load::refuse(&findings, folder, json),
    };
    if planned.nowhere().is_some() {
        return load::refuse(&planned.with_record(), folder, json);
    }
    match args.years {
        Some(count) => ahead(&planned, usize::from(count), json),
        None => {
            out::result(&if json { write::plan_json(&planned.audited) } else { told(&opened, &planned) });
            Exit::Done
        }
    }
}

/// The plan on the terminal.
fn told(opened: &Opened, planned: &Planned) -> String {
    let plan = planned.audited.plan();
    let days = days::days(plan, &planned.ready, plan.from, &days::lost(&planned.ready));
    let mends = pipeline::mends(opened, planned);
    write::plan_with(&planned.audited, &Beside { days: days.as_ref(), mends: &mends }, out::width())
}

/// Several years; each year's plan passes the audit or nothing is printed.
fn ahead(planned: &Planned, count: usize, json: bool) -> Exit {
    let Weighed { tables, ready, ground, .. } = &planned.weighed;
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
fn changed(args: &PlanArgs, question: &Question<'_>) -> Exit {
    let (folder, json) = (&args.farm.farm.folder, args.farm.json);
    let (opened, under) = match question.open().planned() {
        Ok(planned) => planned,
        Err(findings) => return load::refuse(&findings, folder, json),
    };
    if under.nowhere().is_some() {
        return load::refuse(&under.with_record(), folder, json);
    }
    // The file itself may have errors that the change fixes.
    let before = Question { changes: &[], ..question.clone() }.plan();
    let (differs, idle) = match &before {
        Ok(before) => plan::differs_or_why(before.audited.plan(), under.audited.plan(), &args.changes),
        Err(_) => Default::default(),
    };
    let changes: Vec<String> = args.changes.iter().map(ToString::to_string).collect();
    if json {
        out::result(&write::plan_with_json(&under.audited, &changes, &differs, &idle));
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
    if !idle.is_empty() {
        text.push_str("\nWHY NOTHING CHANGES\n");
        for reason in &idle {
            text.push_str(&write::wrapped(&write::plain(reason), "- ", "  ", width));
        }
    }
    text.push('\n');
    text.push_str(&told(&opened, &under));
    out::result(&text);
    Exit::Done
}
