//! The log: what is read, what is refused, and what no order of lines, no
//! crash and no merging of two people's files may change.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "record/append.rs"]
mod append;
#[path = "record/histories.rs"]
mod histories;
#[path = "record/hostile.rs"]
mod hostile;
#[path = "record/kill.rs"]
mod kill;
#[path = "record/laws.rs"]
mod laws;

mod kit;

use std::collections::{BTreeMap, BTreeSet};
use sward::findings::{Findings, Severity};
use sward::record::{COLUMNS, Cells, Happened, What, asked, read_text};
use sward::tables::topic;
use sward::units::Pounds;

/// A line out of cells, written by another library than the program's.
fn line(cells: &[(&str, &str)]) -> String {
    let mut writer = csv::WriterBuilder::new().from_writer(Vec::new());
    let by_name: BTreeMap<&str, &str> = cells.iter().copied().collect();
    assert!(by_name.keys().all(|c| COLUMNS.contains(c)), "{by_name:?}");
    writer.write_record(COLUMNS.map(|c| by_name.get(c).copied().unwrap_or(""))).unwrap();
    String::from_utf8(writer.into_inner().unwrap()).unwrap()
}

fn header() -> String {
    format!("{}\n", COLUMNS.join(","))
}

fn cells(list: &[(&'static str, &str)]) -> Cells {
    list.iter().map(|(c, v)| (*c, (*v).to_string())).collect()
}

/// Code and line of every error.
fn errors(findings: &Findings) -> Vec<(&'static str, usize)> {
    let errors = findings.sorted().into_iter().filter(|f| f.severity == Severity::Error);
    let code = |f: &sward::findings::Finding| match f.code {
        std::borrow::Cow::Borrowed(code) => code,
        std::borrow::Cow::Owned(_) => panic!("{f:?}"),
    };
    errors.map(|f| (code(f), f.place.line)).collect()
}

fn sound(text: &str) -> Happened {
    let (happened, findings) = read_text(text);
    assert!(findings.is_empty(), "{text}\n{findings:?}");
    happened
}

#[test]
fn the_old_header_is_read_as_before() {
    let happened = sound(
        "date,what,lot,field,tons,note\n2027-03-01,spread,shed,B1,12.5,\n2027-03-02,haul,shed,,8,sold\n2027-03-03,bring,shed,,\"1,000 lb\"\n",
    );
    assert_eq!(happened.entries.len(), 3);
    assert_eq!(happened.moved("shed", What::Spread), Pounds(25_000));
    assert_eq!(happened.moved("shed", What::Haul), Pounds(16_000));
    assert_eq!(happened.moved("shed", What::Bring), Pounds(1_000));
    assert_eq!(happened.entries[0].field.as_ref().unwrap().value, "B1");
}

#[test]
fn columns_are_found_by_name() {
    let happened = sound("Tons,what,DATE,lot\n3,haul,2027-03-01,shed\n");
    assert_eq!(happened.moved("shed", What::Haul), Pounds(6_000));
    let (_, findings) = read_text("date,what,lot,feild,tons\n2027-03-01,haul,shed,,1\n");
    let list = findings.sorted();
    assert_eq!((list[0].code.as_ref(), list[0].place.line, list[0].place.column), ("log-header", 1, 15));
    assert_eq!(list[0].fix.as_deref(), Some("did you mean `field`?"));
    let (_, findings) = read_text("date,what,lot,lot,tons\n");
    assert_eq!(errors(&findings), [("log-header", 1)]);
}

#[test]
fn every_bad_line_is_named_and_the_good_ones_stay() {
    let (happened, findings) = read_text(
        "date,what,lot,field,tons,note\n2027-13-01,spred,shed,B1,-4,\n2027-03-02,haul,shed,,8,\n2027-03-02,haul\n",
    );
    assert_eq!(happened.entries.len(), 1);
    assert_eq!(errors(&findings).iter().filter(|(_, line)| *line == 2).count(), 3);
    assert_eq!(errors(&findings).iter().filter(|(_, line)| *line == 4).count(), 1);
}

#[test]
fn a_line_fills_what_belongs_to_its_kind() {
    for (bad, column) in [
        (vec![("what", "rain"), ("inches", "1"), ("lot", "shed")], "lot"),
        (vec![("what", "haul"), ("lot", "shed"), ("field", "B1"), ("tons", "1")], "field"),
        (vec![("what", "spread"), ("lot", "shed"), ("tons", "1")], "field"),
        (vec![("what", "spread"), ("field", "B1"), ("tons", "1")], "lot"),
        (vec![("what", "spread"), ("field", "B1"), ("lot", "shed")], "how much"),
        (vec![("what", "rain")], "rained"),
        (vec![("what", "void")], "void"),
        (vec![("what", "graze"), ("field", "B1"), ("until", "2027-02-01")], "before it begins"),
        (vec![("what", "spread"), ("field", "B1"), ("lot", "s"), ("tons", "1"), ("soil", "damp")], "soil"),
        (vec![("what", "spread"), ("field", "B1"), ("lot", "s"), ("tons", "1"), ("method", "surfac")], "surface"),
    ] {
        let mut all = vec![("date", "2027-03-01"), ("id", "x1")];
        all.extend(bad);
        let (happened, findings) = read_text(&(header() + &line(&all)));
        assert!(happened.entries.is_empty());
        assert_eq!(errors(&findings), [("log-line", 2)], "{all:?} {findings:?}");
        assert!(findings.sorted()[0].found.contains(column), "{findings:?}");
    }
}

#[test]
fn loads_and_scale_tickets_give_the_tons() {
    let base = [("date", "2027-03-01"), ("what", "haul"), ("lot", "shed")];
    for (more, pounds) in [
        (vec![("loads", "7"), ("load", "8.1 tons")], 113_400),
        (vec![("tickets", "14.32 + 27800 lb")], 56_440),
        (vec![("tons", "50"), ("loads", "7"), ("load", "8.1")], 100_000),
        (vec![("tons", "0.0005")], 1),
        (vec![("tons", "53.9")], 107_800),
    ] {
        let all: Vec<_> = base.iter().copied().chain(more).chain([("id", "x")]).collect();
        assert_eq!(sound(&(header() + &line(&all))).moved("shed", What::Haul), Pounds(pounds), "{all:?}");
    }
}

#[test]
fn rain_cuttings_and_grazing_are_kept() {
    let text = header()
        + &line(&[
            ("id", "a"),
            ("date", "2027-05-14"),
            ("what", "cut"),
            ("field", "B1"),
            ("tons", "60"),
            ("bales", "118"),
        ])
        + &line(&[("id", "b"), ("date", "2027-04-12"), ("what", "graze"), ("field", "R1"), ("until", "2027-06-25")])
        + &line(&[("id", "c"), ("date", "2027-03-02"), ("what", "rain"), ("inches", "1.2 in"), ("days", "2")])
        + &line(&[("id", "d"), ("date", "2027-02-20"), ("what", "clean-out"), ("lot", "shed"), ("tons", "30")]);
    let happened = sound(&text);
    let day = |d: &str| d.parse::<jiff::civil::Date>().unwrap();
    assert_eq!(happened.cuttings("B1"), [day("2027-05-14")]);
    assert_eq!(happened.grazings("R1"), [(day("2027-04-12"), Some(day("2027-06-25")))]);
    assert_eq!(happened.rain().collect::<Vec<_>>(), [(day("2027-03-02"), Some(1.2), Some(2.0))]);
    assert_eq!(happened.moved("shed", What::CleanOut), Pounds(60_000));
}

fn haul(id: &str, tons: &str, corrects: &str) -> String {
    line(&[
        ("id", id),
        ("date", "2027-03-01"),
        ("what", "haul"),
        ("lot", "shed"),
        ("tons", tons),
        ("corrects", corrects),
    ])
}

fn void(id: &str, corrects: &str) -> String {
    line(&[("id", id), ("date", "2027-03-01"), ("what", "void"), ("corrects", corrects), ("note", "typo")])
}

#[test]
fn the_last_correction_stands() {
    let happened = sound(&(header() + &haul("a", "5", "") + &haul("b", "6", "a") + &haul("c", "7", "b")));
    assert_eq!(happened.moved("shed", What::Haul), Pounds(14_000));
    assert_eq!(
        happened.struck.iter().map(|s| (s.id.as_str(), s.by.as_str())).collect::<Vec<_>>(),
        [("a", "b"), ("b", "c")]
    );
    // A correction may stand above what it corrects, as after merging.
    let turned = sound(&(header() + &haul("c", "7", "b") + &haul("b", "6", "a") + &haul("a", "5", "")));
    assert_eq!(turned.moved("shed", What::Haul), Pounds(14_000));
    let voided = sound(&(header() + &haul("a", "5", "") + &haul("b", "6", "a") + &void("v", "b")));
    assert!(voided.entries.is_empty());
    let back = sound(&(header() + &haul("a", "5", "") + &void("v", "a") + &haul("b", "5", "v")));
    assert_eq!(back.moved("shed", What::Haul), Pounds(10_000));
}

#[test]
fn corrections_that_lead_nowhere_are_named_by_line() {
    let (_, findings) = read_text(&(header() + &haul("first", "5", "") + &haul("b", "6", "frist")));
    assert_eq!(errors(&findings), [("log-corrects", 3)]);
    assert_eq!(findings.sorted()[0].fix.as_deref(), Some("did you mean `first`?"));
    for circle in [
        haul("a", "5", "a"),
        haul("a", "5", "b") + &haul("b", "6", "a"),
        haul("a", "5", "c") + &haul("b", "6", "a") + &haul("c", "7", "b"),
    ] {
        let (happened, findings) = read_text(&(header() + &circle));
        assert_eq!(errors(&findings).len(), 1, "{findings:?}");
        assert!(findings.sorted()[0].found.contains("circle") && happened.entries.is_empty());
    }
    // A tail that runs into a circle is told with it, once.
    let (_, findings) = read_text(&(header() + &haul("t", "1", "a") + &haul("a", "5", "b") + &haul("b", "6", "a")));
    assert_eq!(errors(&findings).len(), 1, "{findings:?}");
}

#[test]
fn two_corrections_of_one_entry_are_not_guessed_between() {
    for (text, fine) in [
        (haul("a", "5", "") + &haul("b", "6", "a") + &haul("c", "7", "a"), false),
        (haul("a", "5", "") + &haul("b", "6", "a") + &void("v", "a"), false),
        (haul("a", "5", "") + &void("v", "a") + &void("w", "a"), true),
        (haul("a", "5", "") + &haul("b", "6", "a") + &haul("c", "7", "a") + &void("v", "c"), true),
        (haul("a", "5", "") + &haul("b", "6", "a") + &void("v", "a") + &haul("d", "5", "v"), false),
        (haul("a", "5", "") + &haul("b", "6", "a") + &haul("c", "7", "b") + &haul("d", "8", "b"), false),
    ] {
        let (_, findings) = read_text(&(header() + &text));
        assert_eq!(findings.is_empty(), fine, "{text}{findings:?}");
        assert!(findings.sorted().len() <= 1, "told once: {findings:?}");
    }
}

/// Two people's files merged: a void of a void brings nothing back, and is told.
#[test]
fn a_void_of_a_void_is_told() {
    for text in
        [haul("a", "5", "") + &void("v", "a") + &void("w", "v"), void("w", "v") + &haul("a", "5", "") + &void("v", "a")]
    {
        let (happened, findings) = read_text(&(header() + &text));
        let found = findings.sorted();
        assert!(happened.entries.is_empty() && found.len() == 1, "{findings:?}");
        assert!(found[0].code == "log-void-of-void" && found[0].found.contains("`a` is not brought back"));
    }
}

#[test]
fn an_id_names_one_entry() {
    let happened = sound(&(header() + &haul("a", "5", "") + &header() + &haul("a", "5", "")));
    assert_eq!(happened.moved("shed", What::Haul), Pounds(10_000), "a copy counts once");
    let (_, findings) = read_text(&(header() + &haul("a", "5", "") + &haul("b", "1", "") + &haul("a", "6", "")));
    assert_eq!(errors(&findings), [("log-id-twice", 4)]);
    assert_eq!(findings.sorted()[0].also.as_ref().unwrap().0.line, 2);
}

#[test]
fn lines_without_an_id_all_count_and_have_a_name_that_stays() {
    let old = "date,what,lot,field,tons,note\n2027-03-01,haul,shed,,8,\n2027-03-01,haul,shed,,8,\n";
    let happened = sound(old);
    assert_eq!(happened.moved("shed", What::Haul), Pounds(32_000), "two equal loads are two loads");
    let ids: Vec<String> = happened.entries.iter().map(|e| e.id.clone()).collect();
    assert_ne!(ids[0], ids[1]);
    let later = format!("date,what,lot,field,tons,note\n2027-02-01,haul,shed,,1,\n{}", &old[30..]);
    let again: Vec<String> = sound(&later).entries.iter().skip(1).map(|e| e.id.clone()).collect();
    assert_eq!(ids, again);
    // The same line under another header may be a copy; check and tally tell that.
    assert_eq!(sound(&(old.to_string() + old)).moved("shed", What::Haul), Pounds(64_000));
    // It can be corrected by that name.
    let corrected = sound(&(old.to_string() + &header() + &haul("n", "7", &ids[0])));
    assert_eq!(corrected.moved("shed", What::Haul), Pounds(30_000));
}

/// What the log asks for is an item that some place's tables want in a record, and
/// such an item has its columns in the log. What a place wants besides, such as a
/// report or a certificate, is kept outside of the log, and is data alone.
#[test]
fn what_the_log_asks_for_is_what_the_tables_want() {
    let places: BTreeMap<&str, &[&str]> = BTreeMap::from([
        ("field_and_acres", &["field", "acres"][..]),
        ("field", &["field", "tons", "date", "analysis"]),
        ("date", &["date"]),
        ("material", &["lot"]),
        ("amount", &["loads", "load", "tons", "acres"]),
        ("method", &["method", "basis"]),
        ("weather", &["weather", "before", "after", "wind"]),
        ("soil_state", &["soil"]),
        ("tests", &["analysis", "soil_test"]),
        ("analysis", &["analysis", "soil_test"]),
        ("basis", &["basis"]),
        ("equipment", &["calibrated"]),
        ("calibration", &["calibrated"]),
        ("applicator", &["operator", "certificate"]),
        ("source", &["from", "address", "permit"]),
        ("use", &["use", "land"]),
        ("receipt", &["receipt", "analysis"]),
        ("broker", &["from", "to", "address", "analysis"]),
        ("crop", &["until", "bales"]),
        // Reckoned by `sward tally`, or kept outside the log.
        ("nutrients", &[]),
        ("plan", &[]),
        ("receipts", &[]),
        ("yield", &["tons", "bales"]),
        ("yearly_report", &[]),
        ("vendor", &[]),
        ("small_handler", &[]),
    ]);
    let (tables, _) = sward::tables::load(&sward::tables::built_in());
    let mut items = 0;
    let mut wanted = BTreeSet::new();
    for key in tables.places.keys() {
        let book = tables.book(key, jiff::civil::Date::constant(2027, 1, 1)).unwrap();
        for (item, _) in book.all_words(topic::RECORD_ITEM, "item") {
            items += 1;
            assert!(places.get(item.as_str()).is_none_or(|columns| columns.iter().all(|c| COLUMNS.contains(c))));
            wanted.insert(item);
        }
    }
    assert!(items > 12, "{items}");
    for what in What::ALL {
        assert_eq!(What::named(what.word()), Some(what));
        assert!(asked(what).iter().all(|(c, item, _)| what.columns().contains(c) && places.contains_key(item)));
        assert!(asked(what).iter().all(|(_, item, _)| wanted.contains(*item)), "{what:?}");
    }
    // A word here that no place wants is a misspelling.
    assert!(places.keys().all(|item| wanted.contains(*item)), "{:?}", places.keys());
}
