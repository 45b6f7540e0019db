//! What the loader refuses: each of these records alone, with its file and
//! line, and all of them at once.

use crate::made::{SOURCES, figure, file, good, load, place};
use sward::tables::ReferenceFile;

/// A broken record: its text under the id `bad`, what is said of it, and at
/// which line and column.
struct Broken {
    name: &'static str,
    text: String,
    said: &'static str,
    at: (usize, usize),
}

/// A good record with one line changed.
fn changed(name: &'static str, from: &str, to: &str, said: &'static str, at: (usize, usize)) -> Broken {
    let sound = figure("bad", "setback", "ft", "feature: pond", "value: 100");
    let text = sound.replacen(from, to, 1);
    assert_ne!(text, sound, "{name} changes nothing");
    Broken { name, text, said, at }
}

fn made(
    name: &'static str,
    (topic, unit, applies): (&str, &str, &str),
    value: &str,
    said: &'static str,
    at: (usize, usize),
) -> Broken {
    Broken { name, text: figure("bad", topic, unit, applies, value), said, at }
}

fn broken() -> Vec<Broken> {
    let class = |name, steps: &str| {
        let steps = format!("steps: [{steps}]");
        made(name, ("soil_p_class", "ppm", ""), &steps, "its steps overlap or leave a gap", (9, 14))
    };
    let season = |name, days: &str, said, at| {
        made(name, ("season", "none", "season: spring"), &format!("season: {{{days}}}"), said, at)
    };
    let from = "  from:\n    2020-01-01:\n      value: 100\n      source: book\n      at: p. 1\n      known: read\n";
    vec![
        changed("no topic", "  topic: setback\n", "", "`topic:` is missing", (3, 3)),
        changed("unknown topic", "topic: setback", "topic: setbakc", "`setbakc` is not known", (3, 10)),
        changed("no unit", "  unit: ft\n", "", "`unit:` is missing", (3, 3)),
        changed("unknown unit", "unit: ft", "unit: lb", "`unit` is `lb`", (5, 9)),
        changed("no what", "  what: of a test\n", "", "`what:` is missing", (3, 3)),
        changed("no seen", "  seen: 2026-11-25\n", "", "`seen:` is missing", (3, 3)),
        changed(
            "half a date seen",
            "seen: 2026-11-25",
            "seen: 2026-11",
            "`seen` is `2026-11`, which is not a date",
            (13, 9),
        ),
        changed("half a date", "2020-01-01:", "2020-01:", "`2020-01` is not a date", (8, 5)),
        changed("a day that is not", "2020-01-01:", "2021-02-29:", "`2021-02-29` is not a date", (8, 5)),
        changed("no source", "      source: book\n", "", "`source:` is missing", (9, 7)),
        changed("unknown source", "source: book", "source: boook", "source `boook` is not in sources.yaml", (10, 15)),
        changed("no at", "      at: p. 1\n", "", "`at:` is missing", (9, 7)),
        changed("no known", "      known: read\n", "", "`known:` is missing", (9, 7)),
        changed("known in another word", "known: read", "known: guessed", "`guessed` is not known", (12, 14)),
        changed(
            "a key nobody knows",
            "  what: of a test\n",
            "  what: of a test\n  wat: x\n",
            "the key `wat` is not known",
            (5, 3),
        ),
        changed(
            "scope key of another topic",
            "feature: pond",
            "forage: timothy",
            "the key `forage` is not known",
            (6, 13),
        ),
        changed("no value", "      value: 100\n", "", "`value:` is missing", (9, 7)),
        changed("two values", "value: 100", "value: 100\n      words: far", "the key `words` is not known", (10, 7)),
        changed("below zero", "value: 100", "value: -1", "-1 ft is out of bounds", (9, 14)),
        changed("no number", "value: 100", "value: .nan", "`value` is `.nan`", (9, 14)),
        changed("words for a number", "value: 100", "words: far", "`value:` is missing", (9, 7)),
        changed("no editions", from, "", "`from:` is missing", (3, 3)),
        changed(
            "an unsigned clash",
            "  seen:",
            "  others: [{value: 50, source: book, at: p. 9, known: read}]\n  seen:",
            "an entry of `others`: `why_not:` is missing",
            (13, 13),
        ),
        class("steps that leave a gap", "{up_to: 10, is: low}, {up_to: 20, is: high}"),
        class("steps that overlap", "{up_to: 20, is: low}, {up_to: 10, is: medium}, {is: high}"),
        class("a step after the last", "{is: high}, {up_to: 10, is: low}"),
        class("no steps", ""),
        season("a month that is not", "opens: 13-01, closes: 04-01", "`13-01`, which is no day of a year", (9, 23)),
        season("a day that no year has", "opens: 03-01, closes: 02-30", "`02-30`, which is no day of a year", (9, 38)),
        season("a key of days misspelt", "open: 03-01, closes: 04-01", "the key `open` is not known", (9, 16)),
        made(
            "the same question twice",
            ("setback", "ft", "feature: well"),
            "value: 90",
            "answer the same question",
            (2, 1),
        ),
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
        assert_eq!(hit.place.file.as_str(), "reference/zz/bad.yaml", "{}", record.name);
        assert_eq!((hit.place.line, hit.place.column), record.at, "{}: {all:?}", record.name);
        assert!(hit.accepted.is_some(), "{}: says nothing of what is accepted", record.name);
    }
}

#[test]
fn all_of_them_are_refused_at_once() {
    let records = broken();
    let mut text = String::new();
    let mut lines = Vec::new();
    for (i, record) in records.iter().enumerate() {
        // The record alone began in line 2.
        lines.push(text.lines().count() + record.at.0 - 1);
        text.push_str(&record.text.replacen("bad:", &format!("bad{i}:"), 1));
    }
    let (_, findings) = load(&with(&text));
    let all: Vec<(usize, &str)> = findings.sorted().iter().map(|f| (f.place.line, f.found.as_str())).collect();
    for (record, line) in records.iter().zip(lines) {
        let hit = all.iter().any(|(at, found)| *at == line && found.contains(record.said));
        assert!(hit, "{} in line {line} is not among {all:?}", record.name);
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
        (asks, "zz-b/place.yaml", "the topic `settback` is not known"),
        (how, "zz-b/place.yaml", "the word after `setback:` `sometimes` is not known"),
        (topic, "zz-b/place.yaml", "the topic `settback` is not known"),
        (key, "zz-b/place.yaml", "the key `nmae` is not known"),
        (file("zz-b/place.yaml", "name: B\n"), "zz-b/place.yaml", "`decides:` is missing"),
        (file("zz-c/a.yaml", &good()), "zz-c/a.yaml", "has no place.yaml"),
        (unused, "sources.yaml", "no figure uses the source `spare`"),
        (half, "sources.yaml", "source `spare`: `publisher:` is missing"),
        (file("notes.yaml", "a: 1\n"), "notes.yaml", "a file beside the places"),
        (file("zz/list.yaml", "- a\n"), "zz/list.yaml", "the file is a list of 1"),
    ] {
        let mut files = base();
        files.push(more);
        let (_, findings) = load(&files);
        let all: Vec<String> = findings.sorted().iter().map(|f| format!("{}: {}", f.place, f.found)).collect();
        let hit = findings.sorted().into_iter().find(|f| f.found.contains(said));
        let hit = hit.unwrap_or_else(|| panic!("`{said}` is not said: {all:?}"));
        assert_eq!(hit.place.file.as_str(), format!("reference/{path}"), "{all:?}");
    }
}

/// A word under `applies` that no farm can say would leave its figure unused, and
/// the limit that it sets would never hold.
#[test]
fn a_misspelt_word_of_a_scope_is_refused() {
    let told = |figures: String| {
        let wells = good() + &figure("setback.large", "setback", "ft", "feature: well, operation: large", "value: 150");
        let text = wells + &figures;
        let (_, findings) =
            load(&[file("sources.yaml", SOURCES), place("zz", "regions: [hills]\n"), file("zz/a.yaml", &text)]);
        let sorted = findings.sorted();
        sorted.iter().map(|f| format!("{} {}", f.code, f.fix.clone().unwrap_or_default())).collect::<Vec<_>>()
    };
    let spring = |region: &str| {
        let applies = format!("region: {region}, season: spring");
        figure("season.a", "season", "none", &applies, "season: {opens: 03-01, closes: 04-01}")
    };
    assert!(told(spring("hills")).is_empty());
    assert_eq!(told(spring("hlils")), ["applies-unknown did you mean `hills`?"]);
    let other = |feature: &str| figure("setback.x", "setback", "ft", &format!("feature: {feature}"), "value: 9");
    assert!(told(other("pond")).is_empty());
    assert_eq!(told(other("wel")), ["applies-unknown did you mean `well`?"]);
}
