//! `sward tally`.

use crate::cli::args::TallyArgs;
use crate::cli::exit::Exit;
use crate::cli::{load, out};
use crate::plan;
use crate::write;

pub(super) fn run(args: &TallyArgs) -> Exit {
    let planned = match load::planned(&args.folder, &args.basis, args.json) {
        Ok(planned) => planned,
        Err(exit) => return exit,
    };
    let tally = plan::tally(&planned.ready, &planned.tables, &planned.balance, planned.audited.plan());
    out::result(&if args.json { write::tally_json(&tally) } else { write::tally(&tally, args.basis.on, out::width()) });
    Exit::Done
}
