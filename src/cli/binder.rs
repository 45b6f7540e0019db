//! `sward binder -o FOLDER`.

use crate::cli::args::BinderArgs;
use crate::cli::exit::Exit;
use crate::cli::load;
use crate::cli::whole::{Document, documents};
use crate::pipeline::{Planned, Weighed};
use crate::plan::{self, days};
use crate::write;

pub(super) fn run(args: &BinderArgs) -> Exit {
    let planned = match load::planned(&args.folder, &args.basis, false) {
        Ok(planned) => planned,
        Err(exit) => return exit,
    };
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
    let html = Document { name: "binder.html", bytes: write::binder(&papers).into_bytes() };
    documents(&args.output, &[html], &args.folder, args.force)
}
