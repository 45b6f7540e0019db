//! `sward check`.

use crate::cli::args::FarmArgs;
use crate::cli::exit::Exit;
use crate::cli::{load, out};
use crate::pipeline::Folder;
use crate::write;

pub(super) fn run(args: &FarmArgs) -> Exit {
    let checked = load::question(Folder::disk(&args.farm.folder), &args.farm.basis).check();
    // What shows only once every limit is calculated belongs here too.
    let findings = &checked.weigh().map_or_else(|found| found, |weighed| weighed.with_record());
    out::result(&if args.json {
        write::findings_json(findings)
    } else {
        write::findings(findings, &load::line_of(&args.farm.folder), out::width())
    });
    if findings.has_errors() { Exit::Errors } else { Exit::Done }
}
