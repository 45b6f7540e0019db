//! The field sheets as a PDF, for a printer or a phone without a browser: the
//! pages of the HTML file, drawn by hand in points.
//!
//! Lives here: layout on paper. Never here: a text or number that the HTML
//! sheets do not have; both are made from the same `Document`. The letters are
//! those of Helvetica in the Windows-1252 code: a letter outside of it is shown
//! as a question mark, and is named to whoever asked for the file.

mod desk;
mod ink;
mod shapes;
mod widths;

use crate::write::leaf::Document;
pub use desk::Paper;
use ink::Ink;
use pdf_writer::types::{ActionType, AnnotationType};
use pdf_writer::{Filter, Finish, Name, Pdf, Rect, Ref, Str, TextStr};
use std::collections::BTreeSet;

/// A finished file.
pub struct Printed {
    /// The file.
    pub bytes: Vec<u8>,
    /// The letters that it shows as question marks, each once.
    pub lacking: String,
}

/// The whole file.
pub(super) fn pdf(sheets: &Document, paper: Paper) -> Printed {
    let pages: Vec<Ink> = sheets.leaves.iter().flat_map(|leaf| desk::pages(sheets, leaf, paper)).collect();
    let lacking: BTreeSet<char> = pages.iter().flat_map(|page| page.lacking.iter().copied()).collect();
    Printed { bytes: bound(sheets, pages, paper), lacking: lacking.into_iter().collect() }
}

/// Numbers the objects of a file.
struct ObjectNumbers(i32);

impl ObjectNumbers {
    fn next(&mut self) -> Ref {
        self.0 += 1;
        Ref::new(self.0)
    }
}

/// Binds pages to a file.
fn bound(sheets: &Document, pages: Vec<Ink>, paper: Paper) -> Vec<u8> {
    let mut numbers = ObjectNumbers(0);
    let mut pdf = Pdf::new();
    let [catalog, tree, plain, bold, info] = std::array::from_fn(|_| numbers.next());
    pdf.catalog(catalog).pages(tree);
    pdf.document_info(info).title(TextStr(&sheets.title)).creator(TextStr("sward"));
    for (id, name) in [(plain, &b"Helvetica"[..]), (bold, &b"Helvetica-Bold"[..])] {
        pdf.type1_font(id).base_font(Name(name)).encoding_predefined(Name(b"WinAnsiEncoding"));
    }
    let mut kids = Vec::new();
    for Ink { content, links, .. } in pages {
        let (page, stream) = (numbers.next(), numbers.next());
        kids.push(page);
        let squeezed = miniz_oxide::deflate::compress_to_vec_zlib(&content.finish(), 8);
        pdf.stream(stream, &squeezed).filter(Filter::FlateDecode);
        let notes: Vec<Ref> = links.iter().map(|_| numbers.next()).collect();
        for (link, id) in links.iter().zip(&notes) {
            let mut note = pdf.annotation(*id);
            note.subtype(AnnotationType::Link).rect(link.over).border(0.0, 0.0, 0.0, None);
            note.action().action_type(ActionType::Uri).uri(Str(link.to.as_bytes()));
        }
        let mut leaf = pdf.page(page);
        leaf.media_box(Rect::new(0.0, 0.0, paper.wide, paper.tall)).parent(tree).contents(stream);
        leaf.annotations(notes);
        leaf.resources().fonts().pair(Name(b"F1"), plain).pair(Name(b"F2"), bold);
        leaf.finish();
    }
    let count = i32::try_from(kids.len()).unwrap_or(i32::MAX);
    pdf.pages(tree).kids(kids).count(count);
    pdf.finish()
}
