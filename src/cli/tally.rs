//! `sward tally`.

use crate::cli::args::FarmArgs;
use crate::cli::exit::Exit;
use crate::cli::{load, out};
use crate::plan;
use crate::write;

pub(super) fn run(args: &FarmArgs) -> Result<Exit, Exit> {
    let planned = load::reported(args)?;
    let tally = plan::tally(&planned.ready, &planned.tables, &planned.balance, planned.audited.plan());
    out::result(&if args.json {
        write::tally_json(&tally)
    } else {
        write::tally(&tally, args.farm.basis.on, out::width())
    });
    Ok(Exit::Done)
}
