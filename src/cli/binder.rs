//! `sward binder -o FOLDER`.

use crate::cli::args::BinderArgs;
use crate::cli::exit::Exit;
use crate::cli::load;
use crate::cli::whole::{FarmDocument, documents};
use crate::pipeline::{Planned, Weighed};
use crate::plan::{self, days};
use crate::write;

pub(super) fn run(args: &BinderArgs) -> Result<Exit, Exit> {
    let planned = load::planned(&args.farm, false)?;
    let Planned { weighed: Weighed { tables, ready, ground, balance, .. }, audited } = &planned;
    let plan = audited.plan();
    let calendar = days::days(plan, ready, plan.from, &days::lost(ready));
    let papers = write::Papers {
        audited,
        ready,
        balance,
        ground,
        driving: &plan::driving(plan, ready, ground),
        days: calendar.as_ref(),
        tally: &plan::tally(ready, tables, balance, plan),
        actual: &plan::actual(ready, balance),
        cites: &plan::cites(ready, balance),
    };
    let html = FarmDocument { name: "binder.html", bytes: write::binder(&papers).into_bytes() };
    Ok(documents(&args.output, &[html], &args.farm.folder, args.force))
}
