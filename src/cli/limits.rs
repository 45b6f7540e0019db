//! `sward limits`.

use crate::cli::args::FarmArgs;
use crate::cli::exit::Exit;
use crate::cli::{load, out};
use crate::plan;
use crate::write;

pub(super) fn run(args: &FarmArgs) -> Result<Exit, Exit> {
    let planned = load::reported(args)?;
    let actual = plan::actual(&planned.ready, &planned.balance);
    out::result(&if args.json {
        write::limits_json(&planned.audited, &actual)
    } else {
        write::limits(&planned.audited, out::width()) + &write::actual(&actual, out::width())
    });
    Ok(Exit::Done)
}
