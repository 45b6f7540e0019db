//! `sward sheets -o FOLDER`.

use crate::cli::args::{PaperSize, SheetsArgs};
use crate::cli::exit::Exit;
use crate::cli::whole::{FarmDocument, documents};
use crate::cli::{load, out};
use crate::plan;
use crate::write;

pub(super) fn run(args: &SheetsArgs) -> Result<Exit, Exit> {
    let planned = load::planned(&args.farm, false)?;
    let (audited, ready, ground) = (&planned.audited, &planned.ready, &planned.ground);
    // Whoever spreads by the sheets cannot see that the record went on.
    for finding in audited.plan().findings.iter().filter(|finding| finding.code == "log-later") {
        out::say(&write::wrapped(&finding.in_words(), "", "  ", out::width()));
    }
    let driving = plan::driving(audited.plan(), ready, ground);
    let html = write::sheets(audited, ready, ground, &driving);
    let mut list = vec![FarmDocument { name: "sheets.html", bytes: html.into_bytes() }];
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
        list.push(FarmDocument { name: "sheets.pdf", bytes: printed.bytes });
    }
    Ok(documents(&args.output, &list, &args.farm.folder, args.force))
}
