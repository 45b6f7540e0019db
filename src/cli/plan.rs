//! `sward plan`.

use crate::cli::args::FarmArgs;
use crate::cli::{Exit, load, out};
use crate::write;

pub(super) fn run(args: &FarmArgs) -> Exit {
    match load::planned(&args.folder, args.common.reference.as_ref(), args.common.json) {
        Ok(planned) => {
            out::result(&if args.common.json {
                write::plan_json(&planned.audited)
            } else {
                write::plan(&planned.audited, out::width())
            });
            Exit::Done
        }
        Err(exit) => exit,
    }
}
