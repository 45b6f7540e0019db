//! Cells that would do harm, and files that are not what they seem.

use super::{cells, errors, header, line};
use crate::kit::demo_folder;
use sward::record::{
    LOG, LONGEST_CELL, append, guarded, read, read_bytes, read_text, spreadsheet_safe, tidy, unguarded,
};

#[test]
fn a_spreadsheet_runs_nothing_and_the_words_come_back() {
    for words in [
        "=HYPERLINK(\"http://x\",\"y\")",
        "+1+1",
        "-2+3",
        "@SUM(A1)",
        "\u{ff1d}1+1",
        "'=quoted",
        "''",
        "<script>alert(1)</script>",
        "../../etc/passwd",
        "a,\"b\";c",
        "#remark",
        "{{ html }}",
    ] {
        let folder = demo_folder();
        let entry = cells(&[
            ("date", "2027-03-01"),
            ("what", "haul"),
            ("lot", "crust"),
            ("tons", "1"),
            ("note", words),
            ("to", words),
        ]);
        append(folder.path(), &entry, 1).unwrap();
        // What another CSV reader sees in the cell is what a spreadsheet gets.
        let bytes = std::fs::read(folder.path().join(LOG)).unwrap();
        let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(bytes.as_slice());
        let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
        assert_eq!(rows.len(), 2);
        assert!(rows[1].iter().all(spreadsheet_safe), "{rows:?}");
        let (happened, findings) = read(folder.path());
        assert!(findings.is_empty(), "{words}: {findings:?}");
        assert_eq!((happened.entries[0].word("note"), happened.entries[0].word("to")), (words, words));
    }
    assert_eq!(unguarded(&guarded("=1")), "=1");
}

#[test]
fn line_breaks_and_bells_do_not_get_into_a_cell() {
    assert_eq!(tidy(" a\tb\r\nc\u{7} \u{1b}[2J "), "a b c [2J");
    assert!(spreadsheet_safe(&tidy("\t=1").replace("=1", "x")));
}

#[test]
fn zero_bytes_and_other_control_characters_are_named() {
    let zero =
        header() + &line(&[("id", "a"), ("date", "2027-03-01"), ("what", "rain"), ("days", "1"), ("note", "a\0b")]);
    let (_, findings) = read_text(&zero);
    assert_eq!(errors(&findings), [("log-line", 2)]);
    assert!(findings.sorted()[0].fix.as_ref().unwrap().contains("UTF-16"));
    let bell = zero.replace('\0', "\u{1b}[2J");
    assert_eq!(errors(&read_text(&bell).1), [("log-line", 2)]);
}

#[test]
fn a_very_long_cell_is_refused_and_not_shown_whole() {
    let long = "x".repeat(LONGEST_CELL + 1);
    for column in ["note", "date", "tons", "lot", "what"] {
        let mut all = vec![("id", "a"), ("date", "2027-03-01"), ("what", "haul"), ("lot", "shed"), ("tons", "1")];
        all.retain(|(c, _)| *c != column);
        all.push((column, &long));
        let (happened, findings) = read_text(&(header() + &line(&all)));
        assert!(findings.has_errors() && happened.entries.is_empty());
        assert!(findings.sorted().iter().all(|f| f.found.len() < 200), "{column}");
    }
    let fits = "x".repeat(LONGEST_CELL);
    let text =
        header() + &line(&[("id", "a"), ("date", "2027-03-01"), ("what", "rain"), ("days", "1"), ("note", &fits)]);
    assert!(read_text(&text).1.is_empty());
}

#[test]
fn marks_line_ends_and_spreadsheet_leftovers_are_taken() {
    let entry = line(&[("id", "a"), ("date", "2027-03-01"), ("what", "rain"), ("days", "1")]);
    let commas = ",".repeat(34);
    for text in [
        format!("\u{feff}{}{entry}", header()),
        (header() + &entry).replace('\n', "\r\n"),
        format!("# a remark\n{}\n\n{commas}\n{entry}# another, with a comma\n", header()),
        format!("{}{}", header().replace("date", "\"date\""), entry),
    ] {
        let (happened, findings) = read_text(&text);
        assert!(findings.is_empty(), "{text:?} {findings:?}");
        assert_eq!(happened.entries.len(), 1);
    }
}

#[test]
fn what_is_no_log_is_told_at_its_line() {
    for (bytes, want) in [
        (&b"date;what;lot;field;tons;note\n"[..], ("log-header", 1)),
        (b"\n\n2027-03-01,haul,shed,,1\n", ("log-header", 3)),
        (b"date,what,lot,tons\n2027-03-01,haul,\"shed,1\n2027-03-02,haul,shed,1\n", ("log-line", 2)),
        (b"date,what,lot,tons,note\n2027-03-01,haul,shed,1,caf\xE9\n", ("log-line", 2)),
        (b"\xFE\xFF\0d\0a", ("log-utf-16", 0)),
        (b"date,what,lot,tons\n3/15/2027,haul,shed,1\n", ("log-line", 2)),
        (b"date,what,lot,tons\n2027-03-01,haul,shed,1 bushel\n", ("log-line", 2)),
        (b"date,what,lot,tons\n2027-03-01,haul,shed,1,extra\n", ("log-line", 2)),
    ] {
        let (_, findings) = read_bytes(bytes);
        assert_eq!(errors(&findings), [want], "{findings:?}");
    }
}
