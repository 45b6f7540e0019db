//! Laboratory results from CSV: the same numbers as written by hand, the newest
//! of several, and clear words for everything that such files bring along.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod demo;
mod kit;

use kit::{Blow, Dice, damaged, sward};
use std::collections::BTreeMap;
use sward::farm::{self, FarmText, Written};
use sward::findings::{Findings, Severity};

const SOIL: &str = "soil-tests.csv";
const LITTER: &str = "litter.csv";

/// How farm.yaml names the two files.
const BLOCKS: &str = "
soil_tests:
  file: soil-tests.csv
  lab: state agronomic lab
  extractant: mehlich-3
  columns:
    field: Sample
    sampled: Date in month/day/year
    p: P-I in index
    k: K-I in index
    ph: pH
    zinc: Zn-I in index
    copper: Cu-I in index
  samples: {B1: CB-1}
analyses:
  file: litter.csv
  lab: state agronomic lab
  basis: as received
  columns:
    lot: Sample
    sampled: Date
    moisture: Moisture in %
    total_n: TN in lb/ton
    ammonium_n: NH4-N in lb/ton
    p2o5: P2O5 in lb/ton
    k2o: K2O in lb/ton
    zinc: Zn in ppm
    copper: Cu in ppm
";
const SOIL_ROWS: &str = "Sample,Date,P-I,K-I,pH,Zn-I,Cu-I\nCB-1,11/12/2025,46,61,6.0,110,88\n\
                         B2,11/12/2025,96,74,6.2,160,130\n";
const LITTER_ROWS: &str = "Sample,Date,Moisture,TN,NH4-N,P2O5,K2O,Zn,Cu\n\
                           clean-out,2027-01-11,26,58,10,56,58,385,310\n";

/// The demo farm without what its fields B1 and B2 and its lot say themselves,
/// and with other rows and blocks.
fn texts(blocks: &str, soil: &str, litter: &str) -> FarmText {
    let mut main = demo::file(farm::MAIN);
    for sampled in ["B1", "B2"] {
        main = without(&main, &format!("  - id: {sampled}\n"), "    soil_test:\n");
    }
    main = without(&main, "  - lot: clean-out\n", "    analysis:\n");
    let sheets = BTreeMap::from([(SOIL.to_string(), soil.to_string()), (LITTER.to_string(), litter.to_string())]);
    FarmText { main: Some(main + blocks), sheets, ..demo::texts() }
}

/// The text without the block `key` that follows `after`.
fn without(text: &str, after: &str, key: &str) -> String {
    let entry = text.find(after).unwrap();
    let start = entry + text[entry..].find(key).unwrap();
    let inner = start + key.len();
    let rest = text[inner..].lines().take_while(|l| l.starts_with("      ")).map(|l| l.len() + 1).sum::<usize>();
    format!("{}{}", &text[..start], &text[inner + rest..])
}

fn read(blocks: &str, soil: &str, litter: &str) -> (Written, Findings) {
    farm::read_text(&texts(blocks, soil, litter))
}

/// Severity, code and place of every finding, and what was found.
fn told(findings: &Findings) -> Vec<String> {
    findings.sorted().iter().map(|f| format!("{} {} {}: {}", f.severity.word(), f.code, f.place, f.found)).collect()
}

/// The one finding of a soil file; everything else must be sound.
fn one(soil: &str) -> String {
    let (_, findings) = read(BLOCKS, soil, LITTER_ROWS);
    let mut list = told(&findings);
    assert_eq!(list.len(), 1, "{list:#?}");
    list.swap_remove(0)
}

fn soil_rows(rows: &str) -> String {
    format!("{SOIL_ROWS}{rows}")
}

#[test]
fn the_plan_is_the_same_as_with_the_tests_written_out() {
    let (written, findings) = read(BLOCKS, SOIL_ROWS, LITTER_ROWS);
    assert!(findings.is_empty(), "{:#?}", told(&findings));
    let by_hand = farm::read_text(&demo::texts()).0;
    for id in ["B1", "B2"] {
        let test = |of: &Written| of.fields.iter().find(|f| f.id.value == id).unwrap().soil_test.clone().unwrap();
        let (filed, own) = (test(&written), test(&by_hand));
        assert_eq!((&filed.lab, filed.sampled.value), (&own.lab, own.sampled.value));
        assert_eq!((&filed.p.value, &filed.k.value), (&own.p.value, &own.k.value));
        assert_eq!(filed.zinc.map(|z| z.value), own.zinc.map(|z| z.value));
        assert_eq!(filed.ph.map(|z| z.value), own.ph.map(|z| z.value));
    }
    let place = &written.fields[0].soil_test.as_ref().unwrap().p.place;
    assert_eq!(place.to_string(), "soil-tests.csv:2:17");
    let (filed, own) = (demo::made(&texts(BLOCKS, SOIL_ROWS, LITTER_ROWS)), demo::made(&demo::texts()));
    // What is to be looked at names lines of farm.yaml, which have moved.
    let page = |made: &demo::Made| {
        let text = sward::write::plan(&made.audited, 80);
        let (front, rest) = text.split_once("CHECK THESE").unwrap();
        front.to_string() + rest.split_once("CAUTIONS").unwrap().1
    };
    assert_eq!(page(&filed), page(&own));
}

#[test]
fn why_names_the_line_of_the_file() {
    let folder = tempfile::tempdir().unwrap();
    let texts = texts(BLOCKS, SOIL_ROWS, LITTER_ROWS);
    for name in [farm::FIELDS, farm::KEEPOUTS, farm::SOILS] {
        std::fs::write(folder.path().join(name), demo::file(name)).unwrap();
    }
    std::fs::write(folder.path().join(farm::MAIN), texts.main.unwrap()).unwrap();
    for (name, text) in &texts.sheets {
        std::fs::write(folder.path().join(name), text).unwrap();
    }
    let (code, page, _) = sward(folder.path(), &["why", "B1"]).parts();
    assert_eq!(code, 0, "{page}");
    assert!(page.contains("soil-tests.csv:2:17"), "{page}");
    assert!(page.contains("litter.csv:2:"), "{page}");
}

/// A byte order mark, line ends, quotes, semicolons, tabs, UTF-16: read alike.
#[test]
fn a_file_is_read_however_it_was_saved() {
    let by_commas = read(BLOCKS, SOIL_ROWS, LITTER_ROWS).0;
    let numbers = |of: &Written| {
        let tests = of.fields.iter().filter_map(|f| f.soil_test.as_ref());
        tests.map(|t| (t.sampled.value, t.p.value, t.k.value)).collect::<Vec<_>>()
    };
    let quoted = SOIL_ROWS.lines().map(|l| format!("\"{}\"\n", l.replace(',', "\",\""))).collect::<String>();
    for rows in [
        SOIL_ROWS.replace('\n', "\r\n"),
        SOIL_ROWS.replace('\n', "\n\n"),
        SOIL_ROWS.replace(',', ";"),
        SOIL_ROWS.replace(',', "\t"),
        SOIL_ROWS.replace(',', " , "),
        SOIL_ROWS.replace('\n', ",,\n"),
        SOIL_ROWS.replace("46", "46 index"),
        quoted,
    ] {
        let (written, findings) = read(BLOCKS, &rows, LITTER_ROWS);
        assert!(findings.is_empty(), "{rows}\n{:#?}", told(&findings));
        assert_eq!(numbers(&written), numbers(&by_commas), "{rows}");
    }
    let wide: Vec<u8> = [0xFF, 0xFE].into_iter().chain(SOIL_ROWS.encode_utf16().flat_map(u16::to_le_bytes)).collect();
    let marked = [b"\xEF\xBB\xBF", SOIL_ROWS.as_bytes()].concat();
    for bytes in [wide, marked] {
        assert_eq!(sward::text::decode(SOIL, bytes).unwrap(), SOIL_ROWS);
    }
}

#[test]
fn a_cell_that_is_no_plain_number_is_named() {
    for (cell, says) in [
        ("<5", "cell-number soil-tests.csv:2:17: `P-I` is `<5`, which only says on which side"),
        ("n/a", "cell-number soil-tests.csv:2:17: `P-I` is `n/a`, which is not a number"),
        ("=1+1", "cell-number soil-tests.csv:2:17: `P-I` is `=1+1`, a formula"),
        ("@SUM(A1)", "cell-number soil-tests.csv:2:17: `P-I` is `@SUM(A1)`, a formula"),
        ("#N/A", "cell-number soil-tests.csv:2:17: `P-I` is `#N/A`, an error of a spreadsheet"),
        ("nan", "cell-number soil-tests.csv:2:17: `P-I` is `nan`"),
        ("1e999", "cell-number soil-tests.csv:2:17: `P-I` is `1e999`, which is not a number"),
        ("-46", "soil-value soil-tests.csv:2:17: the soil test: `p` is `-46 index`"),
        ("99999", "soil-value soil-tests.csv:2:17: the soil test: `p` is `99999 index`"),
        ("46 ppm", "cell-unit soil-tests.csv:2:17: `P-I` is `46 ppm`, and in farm.yaml its column is in index"),
        ("46 pots", "cell-unit soil-tests.csv:2:17: `P-I` is `46 pots`, and in farm.yaml its column is in index"),
        ("", "cell-empty soil-tests.csv:2:17: `P-I` is empty"),
        ("\0", "sheet-line soil-tests.csv:2:17: the cell holds the character U+0000, a zero byte"),
    ] {
        let line = one(&SOIL_ROWS.replace("46,61", &format!("{cell},61")));
        assert!(line.starts_with(&format!("error {says}")), "{cell:?}: {line}");
    }
    let long = "9".repeat(3_000);
    assert!(one(&SOIL_ROWS.replace("46,61", &format!("{long},61"))).contains("3000 characters long"));
    let comma = SOIL_ROWS.replace(',', ";").replace("6.0", "6,0");
    assert!(one(&comma).contains("cell-comma soil-tests.csv:2:23"), "{}", one(&comma));
    assert!(one(&SOIL_ROWS.replace("CB-1,", "CB-1,\"")).contains("a quote is opened and never closed"));
    assert!(one(&SOIL_ROWS.replace(",61", "")).contains("the line has 6 cells, and the line of names has 7"));
    for day in ["2025-11-12", "13/11/2025", "11/12/25", "Nov 12 2025", "=TODAY()"] {
        let line = one(&SOIL_ROWS.replacen("11/12/2025", day, 1));
        assert!(line.contains(&format!("error date soil-tests.csv:2:6: the day is `{day}`")), "{line}");
    }
}

#[test]
fn all_faults_of_all_rows_are_told_at_once() {
    let rows = "Sample,Date,P-I,K-I,pH,Zn-I,Cu-I\nCB-1,11/12/2025,<5,n/a,66,110,88\nB2,2025,96,-1,6.2,=1,130\n";
    let litter = LITTER_ROWS.replace("26,58,10", "126,58 %,60");
    let (written, findings) = read(BLOCKS, rows, &litter);
    let list = told(&findings).join("\n");
    for place in [":2:17", ":2:20", ":2:24", ":3:4", ":3:12", ":3:19"] {
        assert!(list.contains(&format!("{SOIL}{place}")), "{place} in\n{list}");
    }
    assert!(list.contains("litter.csv:2:22: the litter analysis: `moisture` is `126 %`"), "{list}");
    assert!(list.contains("litter.csv:2:26: `TN` is `58 %`"), "{list}");
    // Nobody complains of the tests that are there and could not be read.
    assert!(written.unread.iter().any(|id| id == "B1") && written.unread.iter().any(|id| id == "clean-out"));
    assert_eq!(findings.count(Severity::Error), told(&findings).len());
}

#[test]
fn parts_of_nitrogen_are_held_to_the_whole() {
    let (_, findings) = read(BLOCKS, SOIL_ROWS, &LITTER_ROWS.replace("58,10", "58,60"));
    assert!(told(&findings)[0].starts_with("error nitrogen-parts litter.csv:2:"), "{:?}", told(&findings));
}

#[test]
fn names_of_columns_and_their_units_are_held_to_the_file() {
    let block = BLOCKS.replace("p: P-I in index", "p: P-Index in index").replace("k: K-I in index", "k: K-I");
    let (_, findings) = read(&block, SOIL_ROWS, LITTER_ROWS);
    let list = told(&findings);
    assert_eq!(list.len(), 2, "{list:#?}");
    assert!(list.iter().any(|l| l.contains("has no column `P-Index`")), "{list:#?}");
    assert!(list.iter().any(|l| l.contains("the unit of the column `K-I` is not stated")), "{list:#?}");
    let block = BLOCKS.replace("p: P-I in index", "p: P-I in bushels").replace("ph: pH", "ph: pH in index");
    let list = told(&read(&block, SOIL_ROWS, LITTER_ROWS).1);
    assert!(list.len() == 2 && list.iter().all(|l| l.starts_with("error column-unit")), "{list:#?}");
    let twice = SOIL_ROWS.replacen("K-I", "P-I", 1);
    let list = told(&read(BLOCKS, &twice, LITTER_ROWS).1);
    assert!(list[0].contains("column-twice") || list[1].contains("column-twice"), "{list:#?}");
    // A column whose own name holds ` in `.
    let (written, findings) =
        read(&BLOCKS.replace("ph: pH", "ph: pH in water"), &SOIL_ROWS.replacen("pH", "pH in water", 1), LITTER_ROWS);
    assert!(findings.is_empty() && written.fields[0].soil_test.as_ref().unwrap().ph.is_some());
    for (old, new, says) in [
        ("    k: K-I in index\n", "", "`k` is missing"),
        ("    k2o: K2O in lb/ton\n", "", "`k2o` or `k` is missing"),
        ("    k2o: K2O in lb/ton\n", "    k2o: K2O in lb/ton\n    k: K2O in %\n", "both columns are named"),
        ("  extractant: mehlich-3\n", "", "`extractant:` is missing"),
        ("  basis: as received\n", "  basis: wet\n", "the basis `wet` is not known"),
        ("    ph: pH\n", "    pH: pH\n", "the key `pH` is not known"),
        ("  samples: {B1: CB-1}\n", "  samples: {B1: CB-11}\n", "has no sample `CB-11` for `B1`"),
        ("  samples: {B1: CB-1}\n", "  samples: {B9: CB-1}\n", "no field is called `B9`"),
        ("  samples: {B1: CB-1}\n", "  samples: [CB-1]\n", "`samples` is a list of 1"),
    ] {
        let list = told(&read(&demo::instead(BLOCKS, old, new), SOIL_ROWS, LITTER_ROWS).1);
        assert!(list.iter().any(|l| l.contains(says)), "{says}: {list:#?}");
    }
}

/// Nothing outside the farm folder is read.
#[test]
fn a_path_is_no_file_of_the_folder() {
    for name in [
        "../soil-tests.csv",
        "/etc/passwd",
        "labs/soil-tests.csv",
        "..\\soil-tests.csv",
        "C:soil-tests.csv",
        "soil-tests",
        ".csv",
        "..csv",
        "\"\"",
    ] {
        let block = BLOCKS.replace("file: soil-tests.csv", &format!("file: {name}"));
        let list = told(&read(&block, SOIL_ROWS, LITTER_ROWS).1);
        let code = if name == "\"\"" { "empty-text" } else { "file-name" };
        assert!(list.len() == 1 && list[0].starts_with(&format!("error {code} farm.yaml:")), "{name}: {list:#?}");
    }
    let block = BLOCKS.replace("file: soil-tests.csv", "file: other.csv");
    let list = told(&read(&block, SOIL_ROWS, LITTER_ROWS).1);
    assert!(list.len() == 1 && list[0].contains("the folder has no file other.csv"), "{list:#?}");
}

/// What is a test of the field's own in farm.yaml.
fn with_own(sampled: &str, p: &str) -> (Written, Findings) {
    let own = format!(
        "  - id: B1\n    soil_test: {{lab: state agronomic lab, sampled: {sampled}, extractant: mehlich-3, p: {p} index, k: 61 index, ph: 6.0, zinc: 110 index, copper: 88 index}}\n"
    );
    let mut texts = texts(BLOCKS, SOIL_ROWS, LITTER_ROWS);
    texts.main = texts.main.map(|main| demo::instead(&main, "  - id: B1\n", &own));
    farm::read_text(&texts)
}

#[test]
fn the_newer_of_two_tests_is_used_and_the_same_twice_is_told() {
    for (sampled, p, used, file) in
        [("2026-01-05", "50", 50.0, "farm.yaml"), ("2024-01-05", "50", 46.0, SOIL), ("2025-11-12", "46", 46.0, SOIL)]
    {
        let same_day = sampled == "2025-11-12";
        let (written, findings) = with_own(sampled, p);
        let test = written.fields[0].soil_test.clone().unwrap();
        assert_eq!((test.p.value.shown().0, test.p.place.file.as_str()), (used, file));
        let list = told(&findings);
        let told = list.len() == 1 && list[0].starts_with(&format!("note report-used {file}:"));
        assert!(if same_day { told } else { list.is_empty() }, "{list:#?}");
        // Each counts from its own day on.
        let kept: Vec<_> = written.fields[0].soil_tests.iter().map(|test| test.sampled.value.to_string()).collect();
        assert!(kept.len() == if same_day { 1 } else { 2 } && kept.contains(&sampled.to_string()), "{kept:?}");
    }
    let (_, findings) = with_own("2025-11-12", "50");
    let sorted = findings.sorted();
    let finding = sorted.iter().find(|f| f.code == "reports-disagree").unwrap();
    assert!(finding.found.contains("p is 46 index and 50 index"), "{}", finding.found);
    let places = [&finding.place, &finding.also.as_ref().unwrap().0];
    assert!(places.iter().any(|p| p.file == SOIL) && places.iter().any(|p| p.file == "farm.yaml"));
}

#[test]
fn of_several_rows_the_newest_holds_and_two_of_a_day_agree() {
    let (written, findings) =
        read(BLOCKS, &soil_rows("CB-1,2/3/2026,60,70,6.1,1,1\nCB-1,2/3/2024,1,1,6,1,1\n"), LITTER_ROWS);
    assert!(findings.is_empty(), "{:#?}", told(&findings));
    assert_eq!(written.fields[0].soil_test.as_ref().unwrap().p.value.shown().0, 60.0);
    let all: Vec<f64> = written.fields[0].soil_tests.iter().map(|test| test.p.value.shown().0).collect();
    assert_eq!(all, [1.0, 46.0, 60.0], "each counts from its day on");
    let (_, findings) = read(BLOCKS, &soil_rows("CB-1,11/12/2025,46,61,6,110,88\n"), LITTER_ROWS);
    assert!(findings.is_empty(), "the same twice is the same: {:#?}", told(&findings));
    let line = one(&soil_rows("CB-1,11/12/2025,46,62,6,110,88\n"));
    assert!(
        line.contains("reports-disagree soil-tests.csv:4:6") && line.contains("k is 61 index and 62 index"),
        "{line}"
    );
}

#[test]
fn a_sample_of_no_field_is_told_and_left_alone() {
    let line = one(&soil_rows("garden,11/12/2025,<5,1,6,1,1\n"));
    assert!(
        line.starts_with("warning sample-unknown soil-tests.csv:4:1: the sample `garden` is not a field"),
        "{line}"
    );
}

/// A list of blocks: each year's file with its own columns.
/// Contents by volume, with the column that says what a gallon weighs.
#[test]
fn contents_by_volume_are_read() {
    let more = BLOCKS
        .replace("TN in lb/ton", "TN in lb/1000 gal")
        .replace("Moisture in %", "Moisture in %\n    density: D in lb/gal");
    let rows = LITTER_ROWS.replace("Moisture,TN", "Moisture,D,TN").replace(",26,58,", ",26,8,232,");
    let (written, findings) = read(&more, SOIL_ROWS, &rows);
    assert!(findings.is_empty(), "{:#?}", told(&findings));
    let lot = written.lots.iter().find(|lot| lot.id.value == "clean-out").unwrap();
    assert_eq!(sward::units::Quantity::get(lot.analysis.as_ref().unwrap().total_n.value), 58.0);
}

#[test]
fn several_files_are_read() {
    let more = BLOCKS.replace("soil_tests:\n  file", "soil_tests:\n- file").replace(
        "analyses:\n",
        "- file: older.csv\n  lab: old lab\n  extractant: mehlich-3\n  columns: {field: F, sampled: D, p: P in index, k: K in index}\nanalyses:\n",
    );
    let mut texts = texts(&more, SOIL_ROWS, LITTER_ROWS);
    texts.sheets.insert("older.csv".to_string(), "F,D,P,K\nB1,2022-01-01,1,1\nB2,2026-01-01,77,7\n".to_string());
    let (written, findings) = farm::read_text(&texts);
    assert!(findings.is_empty(), "{:#?}", told(&findings));
    let p = |i: usize| written.fields[i].soil_test.as_ref().unwrap().p.value.shown().0;
    assert_eq!((p(0), p(1)), (46.0, 77.0));
}

/// Whatever comes in, findings come out, never a panic, and nothing that was
/// not in the file.
#[test]
fn damaged_files_are_read_without_a_panic() {
    const PIECES: [&[u8]; 12] =
        [b"\"", b",", b";", b"\t", b"\n", b"\r", b"\0", b"=1+1", b"<5", b"1e999", b"\xff", b"\xe2\x80\xae"];
    const BLOWS: [Blow; 7] =
        [Blow::Lose, Blow::LoseRun, Blow::PutIn, Blow::Change, Blow::Swap, Blow::Digit, Blow::LineTwice];
    let base = texts(BLOCKS, SOIL_ROWS, LITTER_ROWS);
    let (mut sound, mut refused) = (0, 0);
    for case in 0..1_500 {
        let mut dice = Dice::of_case(case);
        let mut texts = base.clone();
        for (name, rows) in [(SOIL, SOIL_ROWS), (LITTER, LITTER_ROWS)] {
            let bytes = damaged(rows.as_bytes(), &mut dice, &BLOWS, &PIECES);
            match sward::text::decode(name, bytes) {
                Ok(text) => drop(texts.sheets.insert(name.to_string(), text)),
                Err(_) => drop(texts.sheets.remove(name)),
            }
        }
        let (written, findings) = farm::read_text(&texts);
        let _ = sward::write::findings(&findings, &|_| None, 80);
        if findings.has_errors() {
            refused += 1;
        } else {
            sound += 1;
            assert_eq!(written.fields.len(), farm::read_text(&demo::texts()).0.fields.len());
        }
    }
    assert!(sound > 20 && refused > 500, "{sound} sound, {refused} refused");
}
