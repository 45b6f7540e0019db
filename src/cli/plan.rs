//! `sward plan`.

use crate::audit;
use crate::cli::args::PlanArgs;
use crate::cli::load::Planned;
use crate::cli::{Exit, load, out};
use crate::plan::years::{self, ASSUMED, Year};
use crate::plan::{LeastCost, days};
use crate::write;

pub(super) fn run(args: &PlanArgs) -> Exit {
    let farm = &args.farm;
    let planned = match load::planned(&farm.folder, farm.common.reference.as_ref(), farm.common.json) {
        Ok(planned) => planned,
        Err(exit) => return exit,
    };
    match args.years {
        Some(count) => ahead(&planned, usize::from(count), farm.common.json),
        None => one(&planned, farm.common.json),
    }
}

fn one(planned: &Planned, json: bool) -> Exit {
    out::result(&if json {
        write::plan_json(&planned.audited)
    } else {
        let plan = planned.audited.plan();
        let days = days::days(plan, &planned.ready, plan.from, &days::lost(&planned.ready));
        write::plan_with_days(&planned.audited, days.as_ref(), out::width())
    });
    Exit::Done
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
