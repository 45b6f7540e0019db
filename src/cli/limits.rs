//! `sward limits`.

use crate::cli::args::FarmArgs;
use crate::cli::exit::Exit;
use crate::cli::{load, out};
use crate::plan;
use crate::write;

pub(super) fn run(args: &FarmArgs) -> Exit {
    match load::planned(&args.folder, &args.basis, args.json) {
        Ok(planned) => {
            let actual = plan::actual(&planned.ready, &planned.balance);
            out::result(&if args.json {
                write::limits_json(&planned.audited, &actual)
            } else {
                write::limits(&planned.audited, out::width()) + &write::actual(&actual, out::width())
            });
            Exit::Done
        }
        Err(exit) => exit,
    }
}
