//! `sward tally`.

use crate::cli::args::TallyArgs;
use crate::cli::{Exit, load, out};
use crate::plan;
use crate::write;

pub(super) fn run(args: &TallyArgs) -> Exit {
    let planned = match load::planned_on(&args.folder, args.common.reference.as_ref(), args.common.json, args.on) {
        Ok(planned) => planned,
        Err(exit) => return exit,
    };
    let tally = plan::tally(&planned.ready, &planned.tables, &planned.balance, planned.audited.plan());
    out::result(&if args.common.json {
        write::tally_json(&tally)
    } else {
        write::tally(&tally, args.on, out::width())
    });
    Exit::Done
}
