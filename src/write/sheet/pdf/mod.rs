//! The field sheets as a PDF, for a printer or a phone without a browser: the
//! pages of the HTML file, drawn by hand in points.
//!
//! Lives here: layout on paper. Never here: a text or number that the HTML
//! sheets do not have; both are made from the same `Sheets`. The letters are
//! those of Helvetica in the Windows-1252 code: a letter outside of it is shown
//! as a question mark.

mod cover;
mod ink;
mod map;
mod page;
mod parts;
mod widths;

use super::Sheets;
use ink::Ink;
use pdf_writer::types::{ActionType, AnnotationType};
use pdf_writer::{Filter, Finish, Name, Pdf, Rect, Ref, Str, TextStr};

/// A sheet of paper, in points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Paper {
    wide: f32,
    tall: f32,
    margin: f32,
}

impl Paper {
    /// 8.5 by 11 inches.
    pub const LETTER: Paper = Paper { wide: 612.0, tall: 792.0, margin: 36.0 };
    /// 210 by 297 millimetres.
    pub const A4: Paper = Paper { wide: 595.28, tall: 841.89, margin: 36.0 };
}

/// The whole file.
pub(super) fn pdf(sheets: &Sheets, paper: Paper) -> Vec<u8> {
    let mut pages = cover::front(sheets, paper);
    pages.extend(sheets.pages.iter().map(|page| page::draw(sheets, page, paper)));
    pages.extend(cover::without(sheets, paper));
    bound(sheets, pages, paper)
}

/// Numbers the objects of a file.
struct Numbers(i32);

impl Numbers {
    fn next(&mut self) -> Ref {
        self.0 += 1;
        Ref::new(self.0)
    }
}

/// Binds pages to a file.
fn bound(sheets: &Sheets, pages: Vec<Ink>, paper: Paper) -> Vec<u8> {
    let mut numbers = Numbers(0);
    let mut pdf = Pdf::new();
    let [catalog, tree, plain, bold, info] = std::array::from_fn(|_| numbers.next());
    pdf.catalog(catalog).pages(tree);
    let title = format!("Field sheets: {}, {}", sheets.farm, sheets.span);
    pdf.document_info(info).title(TextStr(&title)).creator(TextStr("sward"));
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
