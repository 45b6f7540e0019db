//! `sward limits`.

use crate::cli::args::FarmArgs;
use crate::cli::{Exit, load, out};
use crate::plan;
use crate::write;

pub(super) fn run(args: &FarmArgs) -> Exit {
    match load::planned(&args.folder, args.common.reference.as_ref(), args.common.json) {
        Ok(planned) => {
            let actual = plan::actual(&planned.ready, &planned.balance);
            out::result(&if args.common.json {
                write::limits_json(&planned.audited, &actual)
            } else {
                write::limits(&planned.audited, out::width()) + &write::actual(&actual, out::width())
            });
            Exit::Done
        }
        Err(exit) => exit,
    }
}
