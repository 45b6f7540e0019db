//! Every figure of every place, as a reader sees it: a change of any figure,
//! or of its papers, fails the test of its place and shows the line.
//!
//! Rewrite after a wanted change: `UPDATE_EXPECTED=1 cargo test --test figures`,
//! then read the difference against the sources.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use jiff::civil::Date;
use std::path::Path;
use sward::{tables, write};

fn listing(place: &str) -> String {
    // Read from the folder, not from the program, so that a figure changed in
    // a copy of `reference/` shows without a new build.
    let files = tables::read_folder(&Path::new(env!("CARGO_MANIFEST_DIR")).join("reference")).expect("reference/");
    let (tables, findings) = tables::load(&files);
    assert!(findings.is_empty(), "{:?}", findings.sorted());
    let mut whole = String::new();
    let figures = &tables.places.get(place).expect("the place").figures;
    assert!(!figures.is_empty());
    // Own figures only, with every scope, value, date and remark.
    let mut own: Vec<_> = figures.iter().collect();
    own.sort_by(|a, b| a.id.cmp(&b.id));
    for f in own {
        whole.push_str(&format!("{} | {} | {} | {:?} | seen {}\n", f.id, f.what, f.unit, f.applies, f.seen));
        for e in &f.editions {
            whole.push_str(&format!("    {} {:?} | {} | {} | {}\n", e.from, e.shape, e.source, e.at, e.known.word()));
        }
        for o in &f.others {
            whole.push_str(&format!("    other {} | {} | {} | {}\n", o.value, o.source, o.at, o.why_not));
        }
    }
    // And the list that a reader is shown, once, so that it stays readable.
    let book = tables.book(place, Date::MAX).expect("a book");
    let shown = write::listed(&tables, &book, None);
    assert!(shown.len() >= figures.len() / 2, "{place}: {} listed", shown.len());
    assert!(shown.iter().all(|l| !l.value.is_empty() && !l.cite.title.is_empty()), "{place}");
    whole
}

fn same(place: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("tests/figures/{place}.txt"));
    let found = listing(place);
    if std::env::var_os("UPDATE_EXPECTED").is_some() {
        std::fs::write(&path, &found).expect("tests/figures/");
    }
    let expected = std::fs::read_to_string(&path).unwrap_or_default();
    let changed = found.lines().find(|l| !expected.lines().any(|e| e == *l));
    let lost = expected.lines().find(|l| !found.lines().any(|f| f == *l));
    assert!(found == expected, "{place}: now {changed:?}, was {lost:?}");
}

macro_rules! places {
    ($($name:ident = $place:literal),+ $(,)?) => {
        $(#[test]
        fn $name() {
            same($place);
        })+

        #[test]
        fn every_place_has_its_list() {
            let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("reference");
            let mut there: Vec<String> = std::fs::read_dir(folder)
                .expect("reference/")
                .map(|e| e.expect("an entry"))
                .filter(|e| e.path().is_dir())
                .map(|e| e.file_name().to_string_lossy().to_string())
                .collect();
            there.sort();
            assert_eq!(there, [$($place),+]);
        }
    };
}

places! {
    federal_baseline = "us",
    alabama = "us-al",
    georgia = "us-ga",
    maryland = "us-md",
    north_carolina = "us-nc",
    south_carolina = "us-sc",
    virginia = "us-va",
}
