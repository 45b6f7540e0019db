//! What the loader refuses: each of these records alone, with its file and
//! line, and all of them at once.

use crate::made::{SOURCES, figure, file, good, load, place};
use sward::tables::ReferenceFile;

/// A broken record: its text under the id `bad`, and what is said of it.
struct Broken {
    name: &'static str,
    text: String,
    said: &'static str,
}

/// A good record with one line changed.
fn changed(name: &'static str, from: &str, to: &str, said: &'static str) -> Broken {
    let sound = figure("bad", "setback", "ft", "feature: pond", "value: 100");
    let text = sound.replacen(from, to, 1);
    assert_ne!(text, sound, "{name} changes nothing");
    Broken { name, text, said }
}

fn made(name: &'static str, topic: &str, unit: &str, applies: &str, value: &str, said: &'static str) -> Broken {
    Broken { name, text: figure("bad", topic, unit, applies, value), said }
}

fn broken() -> Vec<Broken> {
    let steps = |s: &str| format!("steps: [{s}]");
    let class = |name, s: &str| made(name, "soil_p_class", "ppm", "", &steps(s), "its steps overlap or leave a gap");
    vec![
        changed("no topic", "  topic: setback\n", "", "topic"),
        changed("unknown topic", "topic: setback", "topic: setbakc", "setbakc"),
        changed("no unit", "  unit: ft\n", "", "no `unit`"),
        changed("unknown unit", "unit: ft", "unit: yd", "unit `yd`"),
        changed("no what", "  what: of a test\n", "", "no `what`"),
        changed("no seen", "  seen: 2026-11-25\n", "", "no `seen`"),
        changed("half a date seen", "seen: 2026-11-25", "seen: 2026-11", "seen `2026-11` is not a date"),
        changed("half a date", "2020-01-01:", "2020-01:", "is not a date"),
        changed("a day that is not", "2020-01-01:", "2021-02-29:", "is not a date"),
        changed("no source", "      source: book\n", "", "lacks its papers: source"),
        changed("unknown source", "source: book", "source: leaflet", "source `leaflet` is not in sources.yaml"),
        changed("no at", "      at: p. 1\n", "", "lacks its papers: at"),
        changed("no known", "      known: read\n", "", "lacks its papers: known"),
        changed("known in another word", "known: read", "known: guessed", "lacks its papers: known"),
        changed("a key nobody knows", "  what: of a test\n", "  what: of a test\n  wat: x\n", "wat"),
        changed("scope key of another topic", "feature: pond", "forage: timothy", "scope key `forage`"),
        changed("no value", "      value: 100\n", "", "no value, or more than one"),
        changed("two values", "value: 100", "value: 100\n      words: far", "no value, or more than one"),
        changed("below zero", "value: 100", "value: -1", "lacks its papers: value"),
        changed("no number", "value: 100", "value: .nan", "lacks its papers: value"),
        changed("words for a number", "value: 100", "words: far", "lacks its papers: value"),
        changed(
            "no editions",
            "  from:\n    2020-01-01:\n      value: 100\n      source: book\n      at: p. 1\n      known: read\n",
            "",
            "no `from`",
        ),
        changed(
            "an unsigned clash",
            "  seen:",
            "  others: [{value: 50, source: book, at: p. 9, known: read}]\n  seen:",
            "others",
        ),
        class("steps that leave a gap", "{up_to: 10, is: low}, {up_to: 20, is: high}"),
        class("steps that overlap", "{up_to: 20, is: low}, {up_to: 10, is: medium}, {is: high}"),
        class("a step after the last", "{is: high}, {up_to: 10, is: low}"),
        class("no steps", ""),
        made(
            "a month that is not",
            "season",
            "none",
            "season: spring",
            "season: {opens: 13-01, closes: 04-01}",
            "lacks its papers",
        ),
        made(
            "a day that no year has",
            "season",
            "none",
            "season: fall",
            "season: {opens: 02-30, closes: 04-01}",
            "lacks its papers",
        ),
        made("the same question twice", "setback", "ft", "feature: well", "value: 90", "answer the same question"),
    ]
}

/// Tables that are in order, with one more file in the place.
fn with(text: &str) -> Vec<ReferenceFile> {
    vec![file("sources.yaml", SOURCES), place("zz", ""), file("zz/a.yaml", &good()), file("zz/bad.yaml", text)]
}

#[test]
fn each_broken_record_is_refused_with_its_line() {
    for record in broken() {
        let (_, findings) = load(&with(&format!("# a line above\n{}", record.text)));
        let all: Vec<String> = findings.sorted().iter().map(|f| format!("{}: {}", f.place, f.found)).collect();
        let hit = findings.sorted().into_iter().find(|f| f.found.contains(record.said));
        let hit = hit.unwrap_or_else(|| panic!("{}: not refused: {all:?}", record.name));
        assert!(findings.has_errors(), "{}", record.name);
        assert_eq!(hit.place.file, "reference/zz/bad.yaml", "{}", record.name);
        assert_eq!(hit.place.line, 2, "{}: {all:?}", record.name);
        assert!(hit.accepted.is_some(), "{}: says nothing of what is accepted", record.name);
    }
}

#[test]
fn all_of_them_are_refused_at_once() {
    let records = broken();
    let mut text = String::new();
    let mut lines = Vec::new();
    for (i, record) in records.iter().enumerate() {
        lines.push(text.lines().count() + 1);
        text.push_str(&record.text.replacen("bad:", &format!("bad{i}:"), 1));
    }
    let (_, findings) = load(&with(&text));
    let hit: Vec<usize> = findings.sorted().iter().map(|f| f.place.line).collect();
    for (record, line) in records.iter().zip(lines) {
        assert!(hit.contains(&line), "{} in line {line} is not among {hit:?}", record.name);
    }
}

/// Faults of a whole folder or file.
#[test]
fn folders_and_files_are_held_too() {
    let base = || vec![file("sources.yaml", SOURCES), place("zz", ""), file("zz/a.yaml", &good())];
    let (_, none) = load(&base());
    assert!(none.is_empty(), "{:?}", none.sorted());
    let nowhere = place("zz-b", "within: zy\n");
    let asks = place("zz-b", "asks: [settback]\n");
    let how = place("zz-b", "inherits: {setback: sometimes}\n");
    let topic = place("zz-b", "inherits: {settback: replaces}\n");
    let key = place("zz-b", "nmae: x\n");
    let unused = file("sources.yaml", "spare: {title: A, publisher: B, year: 2020}\n");
    let half = file("sources.yaml", "spare: {title: A}\n");
    for (more, path, said) in [
        (nowhere, "zz-b/place.yaml", "`zy` is not a place"),
        (asks, "zz-b/place.yaml", "asks: `settback`"),
        (how, "zz-b/place.yaml", "setback: sometimes"),
        (topic, "zz-b/place.yaml", "settback: replaces"),
        (key, "zz-b/place.yaml", "nmae"),
        (file("zz-b/place.yaml", "name: B\n"), "zz-b/place.yaml", "lacks `name` or `decides`"),
        (file("zz-c/a.yaml", &good()), "zz-c/a.yaml", "has no place.yaml"),
        (unused, "sources.yaml", "no figure uses the source `spare`"),
        (half, "sources.yaml", "lacks title, publisher or year"),
        (file("notes.yaml", "a: 1\n"), "notes.yaml", "a file beside the places"),
        (file("zz/list.yaml", "- a\n"), "zz/list.yaml", "not a block of records"),
    ] {
        let mut files = base();
        files.push(more);
        let (_, findings) = load(&files);
        let all: Vec<String> = findings.sorted().iter().map(|f| format!("{}: {}", f.place, f.found)).collect();
        let hit = findings.sorted().into_iter().find(|f| f.found.contains(said));
        let hit = hit.unwrap_or_else(|| panic!("`{said}` is not said: {all:?}"));
        assert_eq!(hit.place.file, format!("reference/{path}"), "{all:?}");
    }
}
