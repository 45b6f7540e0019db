//! `sward sheets -o FOLDER`.

use crate::cli::args::{PaperSize, SheetsArgs};
use crate::cli::whole::{Document, documents};
use crate::cli::{Exit, load};
use crate::plan;
use crate::write;

pub(super) fn run(args: &SheetsArgs) -> Exit {
    let planned = match load::planned(&args.folder, &args.basis, false) {
        Ok(planned) => planned,
        Err(exit) => return exit,
    };
    let (audited, ready, ground) = (&planned.audited, &planned.ready, &planned.ground);
    let driving = plan::driving(audited.plan(), ready, ground);
    let html = write::sheets(audited, ready, ground, &driving);
    let mut list = vec![Document { name: "sheets.html", bytes: html.into_bytes() }];
    if args.pdf {
        let paper = match args.paper {
            PaperSize::Letter => write::Paper::LETTER,
            PaperSize::A4 => write::Paper::A4,
        };
        let bytes = write::sheets_pdf(audited, ready, ground, &driving, paper);
        list.push(Document { name: "sheets.pdf", bytes });
    }
    documents(&args.output, &list, &args.folder, args.force)
}
