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
    happened.iter().cloned().collect()
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

/// A haul of two loads to Oak Farm, and what a load more makes of it.
fn haul(folder: &Path, given: &[&str]) -> String {
    let plain = ["--lot", "clean-out", "--to", "Oak Farm", "--address", "x", "--use", "x", "--analysis", "x"];
    let ended = log(folder, "haul", &[&plain[..], given].concat());
    assert_eq!(ended.code, 0, "{}{}", ended.out, ended.err);
    ended.out.strip_prefix("logged ").unwrap().split(':').next().unwrap().to_string()
}

fn load(folder: &Path, id: &str, given: &[&str]) -> Ended {
    sward(folder, &[&["log", "load", id, "--today", "2027-04-10"][..], given].concat())
}

#[test]
fn a_job_is_entered_once_and_then_a_line_a_load() {
    type Job = (&'static [&'static str], &'static [&'static str], i64, &'static [(&'static str, &'static str)]);
    let jobs: [Job; 4] = [
        (&["--loads", "2", "--load", "8 tons"], &[], 48_000, &[("loads", "3"), ("load", "8")]),
        (&["--loads", "2", "--load", "8 tons"], &["--tons", "7.5"], 47_000, &[("loads", "3"), ("load", "")]),
        (
            &["--tons", "16"],
            &["--tons", "7.5", "--ticket-number", "12"],
            47_000,
            &[("loads", ""), ("ticket_number", "12")],
        ),
        (
            &["--ticket", "8", "--ticket", "8.5", "--ticket-number", "1, 2"],
            &["--ticket", "7.25", "--ticket-number", "3"],
            47_500,
            &[("tickets", "8 + 8.5 + 7.25"), ("ticket_number", "1, 2, 3"), ("to", "Oak Farm")],
        ),
    ];
    for (first, more, pounds, cells) in jobs {
        let folder = demo_folder();
        let id = haul(folder.path(), first);
        // The first id stays good, however many loads follow.
        for _ in 0..2 {
            let ended = load(folder.path(), &id, more);
            assert_eq!(ended.code, 0, "{first:?} {more:?}: {}{}", ended.out, ended.err);
            if entries(folder.path())[0].amount == Pounds(pounds) {
                let list = entries(folder.path());
                cells.iter().for_each(|(column, words)| assert_eq!(list[0].word(column), *words, "{column}"));
            }
        }
        let list = entries(folder.path());
        let two = 2 * pounds - if first.contains(&"--ticket") { 33_000 } else { 32_000 };
        assert_eq!((list.len(), list[0].amount), (1, Pounds(two)), "{first:?} {more:?}");
        assert_eq!(sward(folder.path(), &["check"]).code, 0);
    }
}

#[test]
fn a_load_that_cannot_be_added_is_refused_and_not_written() {
    let folder = demo_folder();
    let by_ticket = haul(folder.path(), &["--ticket", "8"]);
    let by_tons = haul(folder.path(), &["--tons", "8"]);
    let cut = log(folder.path(), "cut", &["--field", "B1", "--tons", "20"]);
    let cut = cut.out.strip_prefix("logged ").unwrap().split(':').next().unwrap().to_string();
    let void = haul(folder.path(), &["--tons", "9"]);
    assert_eq!(sward(folder.path(), &["log", "void", &void, "--note", "no", "--today", "2027-04-10"]).code, 0);
    let before = std::fs::read(folder.path().join("log.csv")).unwrap();
    for (id, given, says) in [
        (&by_ticket, &["--tons", "8"][..], "give --ticket"),
        (&by_ticket, &[], "--ticket"),
        (&by_tons, &[], "--tons"),
        (&by_tons, &["--tons", "much"], "no tons above 0"),
        (&by_tons, &["--tons", "0"], "no tons above 0"),
        (&by_tons, &["--tons", "16000"], "are they pounds"),
        (&cut, &["--tons", "8"], "only litter comes in loads"),
        (&void, &["--tons", "8"], "declared void"),
        (&"nothing".to_string(), &["--tons", "8"], "no entry `nothing`"),
    ] {
        let ended = load(folder.path(), id, given);
        assert_eq!(ended.code, 2, "{given:?}: {}{}", ended.out, ended.err);
        assert!(flat(&ended.err).contains(says), "{given:?}: {}", ended.err);
    }
    assert_eq!(std::fs::read(folder.path().join("log.csv")).unwrap(), before);
}

/// A truck's way over three farms, and one entry that does not name its truck.
fn trucked() -> tempfile::TempDir {
    let folder = demo_folder();
    let lines = [
        "a1,2027-03-01,haul,clean-out,,8,RH,T4,Old Farm,",
        "a2,2027-03-20,haul,clean-out,,8,RH,t4,Oak Farm,",
        "a3,2027-03-22,clean,,,,RH,T4,Birch Farm,Oak  farm",
        "a4,2027-03-25,spread,clean-out,B1,8,AL,T4,,",
        "a5,2027-03-26,haul,clean-out,,8,AL,T4,Elm Farm,",
        "a6,2027-03-26,clean,,,,AL,T4,,",
        "a7,2027-03-27,haul,clean-out,,8,AL,T9,Ash Farm,",
        "a8,2027-03-28,spread,clean-out,B1,8,,,,",
    ];
    let head = "id,date,what,lot,field,tons,operator,truck,to,from";
    std::fs::write(folder.path().join("log.csv"), format!("{head}\n{}\n", lines.join("\n"))).unwrap();
    folder
}

#[test]
fn where_a_truck_was_is_told_with_what_the_log_cannot_tell() {
    let folder = trucked();
    let ask = |given: &[&str]| sward(folder.path(), &[&["tally", "--on", "2027-03-31", "--json"][..], given].concat());
    let farms = |given: &[&str]| -> Vec<(String, String, Option<String>)> {
        let ended = ask(given);
        let trail: serde_json::Value = serde_json::from_str(&ended.out).expect(&ended.err);
        let word = |v: &serde_json::Value| v.as_str().map(str::to_string);
        let of = |f: &serde_json::Value| (word(&f["farm"]).unwrap(), word(&f["last"]).unwrap(), word(&f["cleaned"]));
        trail["farms"].as_array().unwrap().iter().map(of).collect()
    };
    let own = sward(folder.path(), &["tally", "--json"]).out;
    let own: serde_json::Value = serde_json::from_str(&own).unwrap();
    let own = own["farm"].as_str().unwrap().to_string();
    let told = |farm: &str, last: &str, cleaned: &str| {
        let cleaned = (!cleaned.is_empty()).then(|| format!("2027-03-{cleaned}"));
        (farm.to_string(), format!("2027-03-{last}"), cleaned)
    };
    // Clean on the way to Birch Farm is not clean after it; Oak Farm is one, however it is spaced.
    let within = [
        told(&own, "26", "26"),
        told("Elm Farm", "26", "26"),
        told("Birch Farm", "22", "26"),
        told("Oak Farm", "22", "22"),
    ];
    let mut seen = farms(&["--truck", "T4", "--within", "21"]);
    seen[..2].sort_by_key(|(name, _, _)| *name != own);
    assert_eq!(seen, within);
    assert_eq!(farms(&["--truck", "T4"]).len(), 5, "Old Farm is further back");
    assert_eq!(farms(&["--truck", "T9"]), [told(&own, "27", ""), told("Ash Farm", "27", "")]);
    assert!(farms(&["--truck", "al"]).iter().any(|(farm, _, _)| farm == "Ash Farm"), "by who drove");
    assert_eq!(farms(&["--truck", "RH", "--within", "5"]), []);
    let page = flat(&sward(folder.path(), &["tally", "--on", "2027-03-31", "--truck", "T4"]).out);
    for words in [
        "log of one farm",
        "1 entry of these days names no truck: a8",
        "cleaned that last day",
        "Old Farm: on 2027-03-01; cleaned 2027-03-22",
    ] {
        assert!(page.contains(words), "{words}: {page}");
    }
    let unknown = sward(folder.path(), &["tally", "--truck", "T44"]);
    assert!(unknown.code == 2 && unknown.err.contains("T4"), "{}{}", unknown.out, unknown.err);
    // A line that cannot be read may name the truck.
    let log = std::fs::read_to_string(folder.path().join("log.csv")).unwrap()
        + "a9,2027-03-32,haul,clean-out,,8,AL,T4,Fir Farm,\n";
    std::fs::write(folder.path().join("log.csv"), log).unwrap();
    assert_eq!(ask(&["--truck", "T4"]).code, 1);
}
