//! The field sheets as a PDF: the pages of the HTML sheets, on either paper,
//! whatever a grower writes.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod demo;

use demo::{Made, instead};
use sward::audit::Audited;
use sward::units::number_text;
use sward::write::{self, Paper};

fn pdf(paper: Paper, change: impl Fn(String) -> String) -> (Audited, Vec<u8>) {
    let Made { audited, ready, ground, driving, .. } = demo::made(&demo::with_main(change));
    let printed = write::sheets_pdf(&audited, &ready, &ground, &driving, paper);
    (audited, printed.bytes)
}

fn places(bytes: &[u8], of: &[u8]) -> Vec<usize> {
    (0..bytes.len().saturating_sub(of.len())).filter(|at| bytes[*at..].starts_with(of)).collect()
}

/// What is drawn on every page, unpacked: Latin letters only.
fn drawn(bytes: &[u8]) -> Vec<String> {
    let starts = places(bytes, b"stream\n");
    let own = starts.into_iter().filter(|at| !bytes[..*at].ends_with(b"end"));
    own.map(|at| {
        let body = &bytes[at + 7..];
        let end = places(body, b"\nendstream")[0];
        let plain = miniz_oxide::inflate::decompress_to_vec_zlib(&body[..end]).unwrap();
        plain.into_iter().map(char::from).collect()
    })
    .collect()
}

/// Every piece of text of a page, in the order in which it is set.
fn texts(page: &str) -> Vec<String> {
    page.lines().filter_map(|line| line.strip_suffix(" Tj")).map(text).collect()
}

/// A string of the file: in brackets, or in hexadecimal where it is not ASCII.
fn text(written: &str) -> String {
    if let Some(hex) = written.strip_prefix('<').and_then(|w| w.strip_suffix('>')) {
        let digits: Vec<char> = hex.chars().collect();
        let byte = |pair: &[char]| u8::from_str_radix(&pair.iter().collect::<String>(), 16).unwrap();
        return digits.chunks(2).map(|pair| char::from(byte(pair))).collect();
    }
    let inner = written.strip_prefix('(').and_then(|w| w.strip_suffix(')')).unwrap();
    inner.replace("\\(", "(").replace("\\)", ")").replace("\\\\", "\\")
}

#[test]
fn every_field_with_litter_has_one_page_with_its_rates_and_tons() {
    let (audited, bytes) = pdf(Paper::LETTER, |main| main);
    let plan = audited.plan();
    let pages: Vec<Vec<String>> = drawn(&bytes).iter().map(|p| texts(p)).collect();
    let with: Vec<_> = plan.fields.iter().filter(|f| !f.applications.is_empty()).collect();
    // Cover, what to take care of, and the fields that get none.
    assert_eq!(pages.len(), with.len() + 3);
    for field in with {
        let own: Vec<_> = pages.iter().filter(|p| p.contains(&field.id) && p.contains(&field.name)).collect();
        assert_eq!(own.len(), 1, "{}", field.id);
        let page = own[0];
        for a in &field.applications {
            assert!(page.contains(&format!("{:.2}", a.rate)), "{} {}", field.id, a.rate);
            assert!(page.contains(&format!("{} tons", number_text(a.pounds.tons(), 2))), "{}", field.id);
        }
        for kept in &field.kept_off {
            assert!(
                page.concat().contains(&kept.name.replace(' ', "")) || page.concat().contains(&kept.name),
                "{}",
                kept.name
            );
        }
        assert_eq!(page.iter().filter(|t| *t == "Remarks").count(), 2, "{}", field.id);
        let all = page.join(" ");
        for stop in &plan.stops {
            assert!(all.contains(stop.text.split_whitespace().next().unwrap()), "{}", stop.text);
        }
        assert!(all.contains("911") && all.contains("Local codes"), "{}", field.id);
    }
    assert!(places(&bytes, b"(geo:35.").len() > 8, "gates and stacks are links");
}

#[test]
fn the_paper_is_the_one_asked_for_and_the_bytes_are_the_same_every_time() {
    let (_, letter) = pdf(Paper::LETTER, |main| main);
    let (_, again) = pdf(Paper::LETTER, |main| main);
    let (_, a4) = pdf(Paper::A4, |main| main);
    assert_eq!(letter, again);
    let boxes = |bytes: &[u8], size: &[u8]| places(bytes, size).len();
    assert_eq!(boxes(&letter, b"/MediaBox [0 0 612 792]"), drawn(&letter).len());
    assert_eq!(boxes(&a4, b"/MediaBox [0 0 595.28 841.89]"), drawn(&a4).len());
    assert!(letter.starts_with(b"%PDF-1.") && letter.ends_with(b"%%EOF"));
}

/// Where text is set on a page: x, y and size of every piece.
fn set(page: &str) -> Vec<(f32, f32)> {
    page.lines()
        .filter_map(|line| line.strip_suffix(" Tm"))
        .map(|m| {
            let numbers: Vec<f32> = m.split(' ').map(|n| n.parse().unwrap()).collect();
            (numbers[4], numbers[5])
        })
        .collect()
}

#[test]
fn long_and_hostile_names_stay_on_the_paper_and_inside_their_strings() {
    let name = "A) Tj (very \\\\ long name ".repeat(12);
    let (audited, bytes) = pdf(Paper::LETTER, |main| {
        let main = instead(&main, "name: Creek Bottom", &format!("name: '{name}'"));
        instead(&main, "farm: Two Chimney Farm", "farm: 'Ørsted ☃ Farm (north) \\'")
    });
    let field = audited.plan().fields.iter().find(|f| f.id == "B1").unwrap();
    let pages = drawn(&bytes);
    assert!(pages.iter().any(|p| texts(p).contains(&field.name)), "the name is one string");
    for page in &pages {
        assert!(set(page).iter().all(|(x, y)| (0.0..612.0).contains(x) && (0.0..792.0).contains(y)));
        let (open, close) = (page.matches("BT").count(), page.matches("ET").count());
        assert!(open > 0 && open >= close);
    }
    // A letter that the fonts lack is a question mark, not a broken file.
    assert!(pages.iter().any(|p| texts(p).iter().any(|t| t.starts_with("\u{d8}rsted ? Farm"))));
}

/// The same without the rims of words on a map, which are set twice.
fn filled(page: &str) -> Vec<String> {
    let pieces = page.split("BT\n").skip(1).filter(|piece| !piece.contains("\n1 Tr"));
    pieces.flat_map(texts).collect()
}

/// Words by letters and digits alone, sorted.
fn words(text: &str) -> Vec<String> {
    let plain = |word: &str| word.chars().filter(|c| c.is_alphanumeric()).collect::<String>().to_lowercase();
    let mut words: Vec<String> = text.split_whitespace().map(plain).filter(|word| !word.is_empty()).collect();
    words.sort();
    words
}

/// The letters and words of HTML, each element apart.
fn read(html: &str) -> String {
    let mut text = String::new();
    for part in html.split('<').skip(1) {
        text.push(' ');
        text.push_str(part.split_once('>').map_or("", |(_, after)| after));
    }
    text.replace("&#38;", "&").replace("&#39;", "'").replace("&#34;", "\"").replace("&#60;", "<").replace("&#62;", ">")
}

/// Both are written from one description: a word in one alone is lost in the other.
#[test]
fn the_pdf_has_the_words_of_the_html() {
    let lost = |main: String| {
        let main = instead(&main, "name: Creek Bottom", "name: 'Prés & Champs d''Été <b>bas</b>'");
        instead(&main, "name: Dell Farrow", "name: 'Zoë Núñez'")
    };
    let Made { audited, ready, ground, driving, .. } = demo::made(&demo::with_main(lost));
    let html = write::sheets(&audited, &ready, &ground, &driving);
    let printed = write::sheets_pdf(&audited, &ready, &ground, &driving, Paper::LETTER);
    let pages = drawn(&printed.bytes);
    let sections: Vec<&str> = html.split("<section").skip(1).collect();
    assert_eq!(sections.len(), pages.len(), "every sheet is one page");
    for (section, page) in sections.iter().zip(&pages) {
        // The browser numbers the steps by itself.
        let own = |t: &String| section.contains("<ol") && ["1.", "2.", "3.", "4.", "5."].contains(&t.as_str());
        let set: Vec<String> = filled(page).into_iter().filter(|t| !own(t)).collect();
        assert_eq!(words(&set.join(" ")), words(&read(section)), "{section:.60}");
    }
    assert_eq!(printed.lacking, "");
}

#[test]
fn letters_that_the_fonts_lack_are_named() {
    let texts = demo::with_main(|main| instead(&main, "farm: Two Chimney Farm", "farm: 'Żółw Łódź ☃ é'"));
    let Made { audited, ready, ground, driving, .. } = demo::made(&texts);
    let printed = write::sheets_pdf(&audited, &ready, &ground, &driving, Paper::LETTER);
    assert_eq!(printed.lacking, "łŁźŻ☃".chars().collect::<std::collections::BTreeSet<_>>().iter().collect::<String>());
}
