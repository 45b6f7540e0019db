//! `sward sheets -o FOLDER`.

use crate::cli::args::SheetsArgs;
use crate::cli::{Exit, load, whole};
use crate::plan;
use crate::write;

pub(super) fn run(args: &SheetsArgs) -> Exit {
    let planned = match load::planned(&args.folder, args.reference.as_ref(), false) {
        Ok(planned) => planned,
        Err(exit) => return exit,
    };
    let driving = plan::driving(planned.audited.plan(), &planned.ready, &planned.ground);
    let html = write::sheets(&planned.audited, &planned.ready, &planned.ground, &driving);
    whole::document(&args.output, "sheets.html", &html, args.force)
}
