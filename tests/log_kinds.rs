//! Every kind of entry that is no litter: written by its command, read back the
//! same, shown by the tally, refused where it says too little.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod demo;
mod kit;

use jiff::civil::{Date, date};
use kit::{Ended, demo_folder, flat, sward};
use std::path::Path;
use sward::record::{self, Entry, What};
use sward::units::Pounds;

/// A whole entry of each kind: its options, and what is said when it stands.
const ENTRIES: [(&str, &[&str], &str); 10] = [
    (
        "put-off",
        &["--house", "1-3", "--from", "2027-06-14", "--to", "2027-07-05"],
        "put-off 1-3, 2027-04-10, from 2027-06-14 to 2027-07-05",
    ),
    (
        "put-off",
        &["--house", "1-3", "--from", "2027-07-05", "--to", "2027-06-21"],
        "put-off 1-3, 2027-04-10, from 2027-07-05 to 2027-06-21",
    ),
    (
        "fertilizer",
        &["--field", "B1", "--grade", "46-0-0", "--product", "urea", "--rate", "150 lb/ac", "--acres", "20"],
        "fertilizer B1, 2027-04-10, 150 lb/ac of urea 46-0-0, on 20.00 ac",
    ),
    (
        "lime",
        &["--field", "B1", "--rate", "1.5 tons/ac", "--material", "dolomitic lime"],
        "lime B1, 2027-04-10, 1.5 tons/ac of dolomitic lime",
    ),
    ("soil-sample", &["--field", "B1", "--lab", "state lab"], "soil-sample B1, 2027-04-10, laboratory: state lab"),
    ("lot-sample", &["--lot", "clean-out"], "lot-sample clean-out, 2027-04-10"),
    (
        "count",
        &["--lot", "clean-out", "--tons", "40", "--order", "after", "--how", "loader scale"],
        "count clean-out, 2027-04-10, 40.00 tons, counted after the day's other entries",
    ),
    ("head", &["--field", "R1", "--head", "40", "--animal", "cows"], "head R1, 2027-04-10, 40 cows"),
    ("feed-hay", &["--field", "R1", "--tons", "3", "--bales", "6"], "feed-hay R1, 2027-04-10, 3.00 tons of hay"),
    (
        "clean",
        &["--truck", "red spreader", "--where", "wash rack", "--from", "Oak Farm", "--operator", "RH"],
        "clean red spreader, 2027-04-10, at wash rack, after Oak Farm, by RH",
    ),
];

fn log(folder: &Path, kind: &str, given: &[&str]) -> Ended {
    let mut args = vec!["log", kind, "--today", "2027-04-10"];
    args.extend(given);
    sward(folder, &args)
}

fn entries(folder: &Path) -> Vec<Entry> {
    let (happened, findings) = record::read(folder);
    assert!(findings.is_empty(), "{findings:?}");
    happened.entries.to_vec()
}

#[test]
fn every_kind_is_written_read_and_shown() {
    let folder = demo_folder();
    for (kind, given, said) in ENTRIES {
        let ended = log(folder.path(), kind, given);
        assert_eq!(ended.code, 0, "{kind}: {}{}", ended.out, ended.err);
        assert!(flat(&ended.out).contains(said), "{kind}: {}", ended.out);
    }
    let list = entries(folder.path());
    assert_eq!(list.len(), ENTRIES.len());
    let of = |what: What| list.iter().find(|e| e.what == what).unwrap();
    let on = of(What::Fertilizer).fertilizer_on().unwrap();
    assert!((on[0] - 69.0).abs() < 1e-9 && on[1] == 0.0, "{on:?}");
    assert_eq!(of(What::Lime).rate, Some(3_000.0));
    let count = of(What::Count);
    assert!(count.amount == Pounds(80_000) && !count.counted_before());
    assert_eq!((of(What::Head).head, of(What::FeedHay).bales), (Some(40.0), Some(6.0)));
    let tally = flat(&sward(folder.path(), &["tally", "--on", "2027-04-10"]).out);
    for (kind, _, said) in ENTRIES {
        let words = said.rsplit(", ").next().unwrap().trim_end_matches(" of hay");
        assert!(tally.contains("ALSO LOGGED") && tally.contains(words), "{kind}: {words}: {tally}");
    }
}

#[test]
fn what_an_entry_lacks_is_asked_at_once() {
    let folder = demo_folder();
    for (kind, lacking) in [
        ("fertilizer", &["--field", "--grade", "--rate"][..]),
        ("lime", &["--field", "--rate"]),
        ("soil-sample", &["--field"]),
        ("lot-sample", &["--lot"]),
        ("count", &["--lot", "--tons", "--order"]),
        ("head", &["--field", "--head"]),
        ("feed-hay", &["--field", "--tons"]),
        ("clean", &["--truck"]),
        ("put-off", &["--house", "--from", "--to"]),
    ] {
        let ended = log(folder.path(), kind, &[]);
        assert_eq!(ended.code, 2, "{kind}: {}", ended.out);
        assert!(lacking.iter().all(|option| ended.err.contains(option)), "{kind}: {}", ended.err);
    }
    for (kind, given, said) in [
        (
            "fertilizer",
            &["--field", "B1", "--grade", "46-0", "--rate", "150"][..],
            "for example 150 lb/ac|150 lb/ac or",
        ),
        ("fertilizer", &["--field", "B1", "--grade", "60-30-20", "--rate", "1 lb/ac"], "as on the bag"),
        ("fertilizer", &["--field", "B1", "--product", "no such", "--rate", "1 lb/ac"], "--grade"),
        ("lime", &["--field", "B1", "--rate", "90 tons/ac"], "a rate with its unit"),
        ("lime", &["--field", "B1", "--rate", "1 tons/ac", "--acres", "1e-9"], "acres"),
        ("count", &["--lot", "clean-out", "--tons", "1", "--order", "noon"], "before, after"),
        ("head", &["--field", "R1", "--head", "2.5"], "whole number"),
        (
            "put-off",
            &["--house", "nowhere", "--from", "2027-05-01", "--to", "2027-05-20"],
            "no house is called `nowhere`",
        ),
    ] {
        let ended = log(folder.path(), kind, given);
        let told = flat(&ended.err);
        assert_eq!(ended.code, 2, "{kind} {given:?}: {}{}", ended.out, ended.err);
        assert!(said.split('|').any(|said| told.contains(said)), "{kind} {given:?}: {told}");
    }
    assert!(!folder.path().join("log.csv").exists());
}

/// farm.yaml says what a product holds, so that the bag is read once.
#[test]
fn the_grade_of_a_product_comes_from_the_farm() {
    let folder = demo_folder();
    let ended = log(folder.path(), "fertilizer", &["--field", "B1", "--product", "dap", "--rate", "100 lb/ac"]);
    assert_eq!(ended.code, 0, "{}{}", ended.out, ended.err);
    assert!(ended.out.contains("grade, from farm.yaml"), "{}", ended.out);
    assert_eq!(entries(folder.path())[0].grade.unwrap().0, [18.0, 46.0, 0.0]);
}

/// Stock that went onto a field are there until a later entry says otherwise.
#[test]
fn grazing_without_an_end_ends_with_a_later_entry() {
    let grazings = |after: &str| {
        let text = format!("date,what,field,until,head\n2027-04-10,graze,R1,,40\n{after}");
        let (happened, findings) = record::read_text(&text);
        assert!(findings.is_empty(), "{findings:?}");
        happened.grazings("R1")
    };
    let first = date(2027, 4, 10);
    let one = |last: Option<Date>| vec![(first, last)];
    assert_eq!(grazings(""), one(None));
    assert_eq!(grazings("2027-05-01,cut,R1,,\n"), one(Some(date(2027, 5, 1))));
    assert_eq!(grazings("2027-05-02,head,R1,,0\n"), one(Some(date(2027, 5, 2))));
    assert_eq!(grazings("2027-05-02,head,R1,,20\n2027-05-02,head,R2,,0\n2027-04-01,head,R1,,0\n"), one(None));
    let twice = grazings("2027-06-01,graze,R1,2027-06-09,\n");
    assert_eq!(twice, [(first, Some(date(2027, 6, 1))), (date(2027, 6, 1), Some(date(2027, 6, 9)))]);
}
