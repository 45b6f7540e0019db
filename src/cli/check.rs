//! `sward check`.

use crate::cli::args::FarmArgs;
use crate::cli::{Exit, load, out};
use crate::write;

pub(super) fn run(args: &FarmArgs) -> Exit {
    let checked = load::checked(&args.folder, args.common.reference.as_ref());
    let findings = &checked.findings;
    out::result(&if args.common.json {
        write::findings_json(findings)
    } else {
        write::findings(findings, &load::line_of(&args.folder), out::width())
    });
    if findings.has_errors() { Exit::Errors } else { Exit::Done }
}
