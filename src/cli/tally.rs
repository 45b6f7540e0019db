//! `sward tally`.

use crate::cli::args::{FarmArgs, TallyArgs};
use crate::cli::exit::Exit;
use crate::cli::{load, out};
use crate::pipeline::Folder;
use crate::plan;
use crate::write;

pub(super) fn run(args: &TallyArgs) -> Result<Exit, Exit> {
    let farm = &args.farm;
    if let Some(year) = args.year {
        return of_year(farm, year);
    }
    let planned = load::reported(farm)?;
    let tally = plan::tally(&planned.ready, &planned.tables, &planned.balance, planned.audited.plan());
    out::result(&if farm.json {
        write::tally_json(&tally)
    } else {
        write::tally(&tally, farm.farm.basis.on, out::width())
    });
    Ok(Exit::Done)
}

/// A calendar year needs no plan.
fn of_year(args: &FarmArgs, year: i16) -> Result<Exit, Exit> {
    let folder = &args.farm.folder;
    let checked = load::question(Folder::disk(folder), &args.farm.basis).check();
    let weighed = checked.weigh_year(year).map_err(|findings| load::refuse(&findings, folder, args.json))?;
    let Some(then) = weighed else { return Err(Exit::Usage) };
    let tally = plan::tally_of_year(&then.ready, &then.tables, &then.balance);
    out::result(&if args.json { write::year_tally_json(&tally) } else { write::year_tally(&tally, out::width()) });
    Ok(Exit::Done)
}
