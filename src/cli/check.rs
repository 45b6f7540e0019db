//! `sward check`.

use crate::cli::args::FarmArgs;
use crate::cli::exit::Exit;
use crate::cli::{load, out};
use crate::findings::Findings;
use crate::pipeline::Folder;
use crate::write;

pub(super) fn run(args: &FarmArgs) -> Exit {
    let checked = load::question(Folder::disk(&args.farm.folder), &args.farm.basis).check();
    // What shows only once every limit is calculated belongs here too.
    let (findings, without): (Findings, Option<String>) = match checked.weigh() {
        Ok(weighed) => (weighed.with_whole_record(), weighed.without_litter()),
        Err(found) => (found, None),
    };
    out::result(&if args.json {
        write::check_json(&findings, without.as_deref())
    } else {
        write::checked(&findings, without.as_deref(), &load::line_of(&args.farm.folder), out::width())
    });
    if findings.has_errors() { Exit::Errors } else { Exit::Done }
}
