//! `sward tally`.

use crate::cli::args::{FarmArgs, TallyArgs};
use crate::cli::exit::Exit;
use crate::cli::{audit, load, out};
use crate::pipeline::{Folder, Opened};
use crate::plan;
use crate::text;
use crate::write;
use std::path::Path;

pub(super) fn run(args: &TallyArgs) -> Result<Exit, Exit> {
    let farm = &args.farm;
    if let Some(year) = args.year {
        return of_year(farm, year);
    }
    if let Some(name) = &args.truck {
        return of_truck(farm, name, args.within);
    }
    if let Some(plan) = &args.against {
        return of_plan(farm, plan);
    }
    let folder = &farm.farm.folder;
    let opened = opened(farm);
    let planned = opened.plan().map_err(|findings| load::refuse(&findings, folder, farm.json))?;
    let tally = plan::tally(&planned.ready, &planned.tables, &planned.balance, planned.audited.plan());
    out::result(&if farm.json { write::tally_json(&tally) } else { write::tally(&tally, out::width()) });
    Ok(Exit::Done)
}

/// The farm of a tally: how the spreader is set is no part of what was done.
fn opened(args: &FarmArgs) -> Opened {
    load::question(Folder::disk(&args.farm.folder), &args.farm.basis).open().without_broken_calibration()
}

/// A calendar year needs no plan.
fn of_year(args: &FarmArgs, year: i16) -> Result<Exit, Exit> {
    let folder = &args.farm.folder;
    let basis = &args.farm.basis;
    let checked = opened(args).check_record();
    let weighed = checked.weigh_year(year, basis.on).map_err(|findings| load::refuse(&findings, folder, args.json))?;
    let Some(then) = weighed else { return Err(Exit::Usage) };
    let tally = plan::tally_of_year(&then.ready, &then.tables, &then.balance, &then.findings);
    out::result(&if args.json { write::year_tally_json(&tally) } else { write::year_tally(&tally, out::width()) });
    Ok(Exit::Done)
}

/// The log beside a plan that was handed out.
fn of_plan(args: &FarmArgs, path: &Path) -> Result<Exit, Exit> {
    let printed = audit::plan(path).map_err(|finding| load::refuse(&(*finding).into(), Path::new("."), args.json))?;
    let folder = &args.farm.folder;
    let checked = opened(args).check_record();
    let Some(ready) = checked.ready else { return Err(load::refuse(&checked.findings, folder, args.json)) };
    let against = plan::against(printed.plan(), &ready);
    out::result(&if args.json { write::against_json(&against) } else { write::against(&against, out::width()) });
    Ok(Exit::Done)
}

/// Where a truck was needs the log alone: errors of the farm are not in its way.
fn of_truck(args: &FarmArgs, name: &str, within: Option<u16>) -> Result<Exit, Exit> {
    let folder = &args.farm.folder;
    let opened = load::question(Folder::disk(folder), &args.farm.basis).open();
    let name = text::composed(name);
    let trail = opened.trail(&name, within).map_err(|findings| load::refuse(&findings, folder, args.json))?;
    if !plan::names_truck(&opened.happened, &name) {
        let known = plan::trucks_and_drivers(&opened.happened);
        return Err(load::unknown("the log names no truck or driver", &name, "trucks and drivers", known));
    }
    out::result(&if args.json { write::trail_json(&trail) } else { write::trail(&trail, out::width()) });
    Ok(Exit::Done)
}
