//! `sward sheets -o FOLDER`.

use crate::cli::args::{PaperSize, SheetsArgs};
use crate::cli::exit::Exit;
use crate::cli::whole::{Document, documents};
use crate::cli::{load, out};
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
        let printed = write::sheets_pdf(audited, ready, ground, &driving, paper);
        if !printed.lacking.is_empty() {
            let letters: Vec<String> = printed.lacking.chars().map(String::from).collect();
            out::say(&format!(
                "sheets.pdf shows {} as ?: its fonts lack these letters; print sheets.html from a browser instead\n",
                letters.join(" ")
            ));
        }
        list.push(Document { name: "sheets.pdf", bytes: printed.bytes });
    }
    documents(&args.output, &list, &args.folder, args.force)
}
