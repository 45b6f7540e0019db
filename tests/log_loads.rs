//! Loads of a job: one that says its ground or its day stands by itself, one is taken back
//! without the others, and what lies on one spot adds up however it was entered.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Farm, NC, PLACES, flat, planned, sward};
use std::path::Path;
use sward::record::{self, Entry, What};
use sward::units::Pounds;

const SOUTH: [f64; 4] = [0.0, 0.0, 660.0, 330.0];
const NORTH: [f64; 4] = [0.0, 330.0, 660.0, 660.0];

/// What the record asks of a spreading, but how much, when and where.
const ASKED: [&str; 18] = [
    "--field",
    "A",
    "--lot",
    "heap",
    "--method",
    "surface",
    "--weather",
    "fair",
    "--before",
    "dry",
    "--wind",
    "S 3 mph",
    "--soil",
    "moist",
    "--operator",
    "RH",
    "--basis",
    "plan",
];

fn folder() -> tempfile::TempDir {
    Farm::new(&NC).with("plan.as_of", "2027-03-10").folder()
}

/// Logs something; the exit code, and all that was said.
fn log(folder: &Path, kind: &str, given: &[&str]) -> (i32, String) {
    let ended = sward(folder, &[&["log", kind][..], given, &["--today", "2027-03-10"]].concat());
    (ended.code, flat(&format!("{}{}", ended.out, ended.err)))
}

/// The same of something that must be logged; its id.
fn logged(folder: &Path, kind: &str, given: &[&str]) -> String {
    let (code, said) = log(folder, kind, given);
    assert_eq!(code, 0, "{kind} {given:?}: {said}");
    said.strip_prefix("logged ").unwrap().split(':').next().unwrap().to_string()
}

fn job(folder: &Path, given: &[&str]) -> String {
    logged(folder, "spread", &[&ASKED[..], given].concat())
}

fn entries(folder: &Path) -> Vec<Entry> {
    let (happened, findings) = record::read(folder);
    assert!(findings.is_empty(), "{findings:?}");
    happened.iter().cloned().collect()
}

/// What the plan says of the ground that got most of the litter, whether the loads were
/// entered as one job or each by itself.
#[test]
fn loads_on_one_spot_add_up_like_entries_of_their_own() {
    for place in PLACES {
        let farm = Farm::new(place).with("plan.as_of", "2027-03-10");
        let (south, north) = (farm.area(SOUTH), farm.area(NORTH));
        let loads = [(&south, "5"), (&north, "4"), (&south, "3")];
        let folder = farm.folder();
        let path = folder.path();
        let first = job(path, &["--loads", "1", "--tons", "5", "--ground", &south]);
        for (ground, tons) in &loads[1..] {
            let (code, said) = log(path, "load", &[&first, "--tons", tons, "--ground", ground]);
            assert!(code == 0 && said.contains(&format!("`{first}` stays as it is")), "{said}");
        }
        assert_eq!(entries(path).len(), 3);
        let by_itself =
            loads.iter().fold(farm.clone(), |farm, (ground, tons)| farm.on_ground("2027-03-10", tons, ground, ""));
        let plan = sward(path, &["plan", "--json"]);
        let plan: serde_json::Value = serde_json::from_str(&plan.out).unwrap_or_else(|_| panic!("{}", plan.err));
        let most = plan["fields"][0]["done"]["p2o5"].as_f64().unwrap();
        assert!((most - planned(&by_itself).number("A", "/done/p2o5")).abs() < 0.01, "{}: {most}", place.key);
        // The farm's line of the tally holds ground that two loads cover once.
        let tally = flat(&sward(path, &["tally"]).out);
        assert!(tally.contains("The farm: 12.00 tons on 10.0"), "{tally}");
    }
}

/// A limit that the densest ground is over is told at the load that brings it there.
#[test]
fn a_load_over_a_limit_on_ground_done_before_is_told() {
    let farm = Farm::new(&NC).with("plan.as_of", "2027-03-10").with("litter.heap.analysis.p2o5", "30 lb/ton");
    let farm = farm.with("fields.A.phosphorus_rating.rating", "high");
    let folder = farm.folder();
    let path = folder.path();
    let (strip, south) = (farm.area([0.0, 0.0, 660.0, 66.0]), farm.area(SOUTH));
    let first = job(path, &["--loads", "1", "--tons", "8", "--ground", &south, "--sure", "RH"]);
    // Over the whole ground of the job these 6 tons would be little.
    let (code, said) = log(path, "load", &[&first, "--tons", "6", "--ground", &strip, "--sure", "RH"]);
    assert!(code == 0 && said.contains("[logged-over]"), "{said}");
}

#[test]
fn a_load_of_another_day_is_judged_by_its_day() {
    let folder = folder();
    let path = folder.path();
    let first = job(path, &["--date", "2027-03-01", "--ticket", "8", "--ticket-number", "1", "--acres", "4"]);
    // The day of the job is not today: that the load counts there is said.
    let (code, said) = log(path, "load", &[&first, "--ticket", "8", "--ticket-number", "2", "--acres", "5"]);
    assert!(code == 0 && said.contains("this load counts on 2027-03-01"), "{said}");
    let (code, said) = log(path, "load", &[&first, "--date", "2027-03-01", "--ticket", "8", "--ticket-number", "3"]);
    assert!(code == 0 && !said.contains("this load counts on"), "{said}");
    // Of another day, weather and acres are asked.
    let third = ["--date", "2027-03-04", "--ticket", "7.5", "--ticket-number", "4"];
    let (code, said) = log(path, "load", &[&[first.as_str()][..], &third].concat());
    assert!(
        code == 2 && said.contains("--weather") && said.contains("--acres") && said.contains("`sward log load`"),
        "{said}"
    );
    assert!(!said.contains("--operator"), "{said}");
    let weather = ["--weather", "fair", "--before", "dry", "--wind", "S 3 mph", "--soil", "dry", "--acres", "3"];
    let own = logged(path, "load", &[&[first.as_str()][..], &third, &weather].concat());
    let list = entries(path);
    let days: Vec<String> = list.iter().map(|e| format!("{} {}", e.date, e.amount.in_tons())).collect();
    assert_eq!(days, ["2027-03-01 24.00 tons", "2027-03-04 7.50 tons"]);
    let new = &list[1];
    for (column, words) in [("operator", "RH"), ("soil", "dry"), ("ticket_number", "4"), ("basis", "plan")] {
        assert_eq!(new.word(column), words, "{column}");
    }
    // More of that day goes on with it.
    logged(path, "load", &[&own, "--ticket", "7", "--ticket-number", "5", "--acres", "6"]);
    assert_eq!(entries(path).iter().map(|e| e.tickets.len()).collect::<Vec<_>>(), [3, 2]);
    // A day to come is none.
    let to_come = [&[first.as_str(), "--date", "2027-04-01", "--ticket", "7"][..], &weather].concat();
    let (code, said) = log(path, "load", &to_come);
    assert!(code == 2 && said.contains("still to come"), "{said}");
}

/// A count made before a load of its day was driven does not hold that load, and one that
/// holds a load says so.
#[test]
fn a_count_between_two_days_holds_the_loads_before_it() {
    let folder = folder();
    let path = folder.path();
    let first = job(path, &["--date", "2027-03-04", "--loads", "1", "--load", "8 tons", "--acres", "8"]);
    logged(path, "count", &["--date", "2027-03-05", "--lot", "heap", "--tons", "480", "--order", "before"]);
    let moved = || {
        let tally: serde_json::Value = serde_json::from_str(&sward(path, &["tally", "--json"]).out).unwrap();
        tally["lots"][0]["spread"].as_i64().unwrap()
    };
    assert_eq!(moved(), 0);
    let (code, said) = log(path, "load", &[&first]);
    assert!(code == 0 && said.contains("[count-holds]") && said.contains("in the count of lot `heap`"), "{said}");
    assert_eq!(moved(), 0);
    let weather = ["--weather", "fair", "--before", "dry", "--wind", "S 3 mph", "--soil", "dry", "--acres", "2"];
    let (code, said) = log(path, "load", &[&[first.as_str(), "--date", "2027-03-05"][..], &weather].concat());
    assert!(code == 0 && !said.contains("count-holds"), "{said}");
    assert_eq!(moved(), 16_000);
}

#[test]
fn one_load_is_taken_back_and_the_others_stay() {
    type Job = (&'static [&'static str], &'static [&'static str], i64, [&'static str; 3]);
    let jobs: [Job; 6] = [
        (&["--loads", "3", "--load", "8 tons"], &["--acres", "6"], 32_000, ["2", "", ""]),
        (&["--loads", "3", "--tons", "24"], &["--tons", "7", "--acres", "6"], 34_000, ["2", "", ""]),
        (
            &["--ticket", "8", "--ticket", "8.5", "--ticket", "7", "--ticket-number", "1, 2, 3"],
            &["--acres", "6"],
            33_000,
            ["", "8 + 8.5", "1, 2"],
        ),
        (
            &["--ticket", "8", "--ticket", "8.5", "--ticket", "7", "--ticket-number", "1, 2, 3"],
            &["--ticket-number", "1", "--acres", "6"],
            31_000,
            ["", "8.5 + 7", "2, 3"],
        ),
        (
            &["--ticket", "8", "--ticket", "8.5", "--ticket", "7", "--ticket-number", "1, 2, 3"],
            &["--ticket", "8.5", "--acres", "6"],
            30_000,
            ["", "8 + 7", "1, 3"],
        ),
        (&["--ticket", "8", "--ticket", "8.5"], &["--acres", "6"], 16_000, ["", "8", ""]),
    ];
    for (given, back, pounds, cells) in jobs {
        let folder = folder();
        let path = folder.path();
        let id = job(path, &[given, &["--acres", "9"]].concat());
        // What the rest covers is not to be made up.
        let without: Vec<&str> = back.iter().copied().filter(|word| !["--acres", "6"].contains(word)).collect();
        let (code, said) = log(path, "unload", &[&[id.as_str()][..], &without].concat());
        assert!(code == 2 && said.contains("give --acres"), "{given:?}: {said}");
        logged(path, "unload", &[&[id.as_str()][..], back].concat());
        let list = entries(path);
        assert_eq!((list.len(), list[0].amount, list[0].acres), (1, Pounds(pounds), Some(6.0)), "{given:?} {back:?}");
        let [loads, tickets, numbers] = cells;
        let got = [list[0].word("loads"), list[0].word("tickets"), list[0].word("ticket_number")];
        assert_eq!(got, [loads, tickets, numbers], "{given:?} {back:?}");
    }
    let folder = folder();
    let path = folder.path();
    let one = job(path, &["--ticket", "8", "--acres", "4"]);
    let two = job(path, &["--ticket", "8", "--ticket", "7", "--acres", "4", "--ticket-number", "7"]);
    let tons = job(path, &["--tons", "8", "--loads", "2", "--acres", "4"]);
    for (id, given, says) in [
        (&one, &[][..], "no other load"),
        (&two, &["--ticket", "9"], "no ticket of 9.00 tons"),
        (&two, &["--ticket-number", "9"], "no ticket number `9`"),
        (&two, &["--acres", "3"], "say which goes"),
        (&tons, &["--acres", "3"], "--tons"),
        (&tons, &["--tons", "8", "--acres", "3"], "void the entry instead"),
        (&tons, &["--tons", "none", "--acres", "3"], "no tons above 0"),
    ] {
        let (code, said) = log(path, "unload", &[&[id.as_str()][..], given].concat());
        assert!(code == 2 && said.contains(says), "{given:?}: {said}");
    }
}

/// The id that a load prints is that of the whole job: nobody takes it back by mistake.
#[test]
fn a_void_says_what_it_takes_back_and_asks_where_it_is_a_job() {
    let folder = folder();
    let path = folder.path();
    let first = job(path, &["--ticket", "8", "--ticket-number", "1", "--acres", "4"]);
    let last = logged(path, "load", &[&first, "--ticket", "7.5", "--ticket-number", "2", "--acres", "8"]);
    let before = std::fs::read(path.join("log.csv")).unwrap();
    let (code, said) = log(path, "void", &[&last, "--note", "wrong field"]);
    assert!(code == 2 && said.contains("2 loads, 15.50 tons of heap, 8.00 acres"), "{said}");
    assert!(said.contains(&format!("sward log unload {last}")) && said.contains("--whole-job"), "{said}");
    assert_eq!(std::fs::read(path.join("log.csv")).unwrap(), before);
    let (code, said) = log(path, "void", &[&last, "--note", "wrong field", "--whole-job"]);
    assert!(code == 0 && said.contains(&format!("takes back {last}: spread of 2027-03-10, A, 2 loads")), "{said}");
    assert!(entries(path).is_empty());
    // A load with its own ground is no job.
    let ground = Farm::new(&NC).area(SOUTH);
    let first = job(path, &["--ticket", "8", "--ground", &ground]);
    let own = logged(path, "load", &[&first, "--ticket", "7", "--ground", &ground]);
    logged(path, "void", &[&own, "--note", "twice"]);
    assert_eq!(entries(path).iter().map(|e| e.id.clone()).collect::<Vec<_>>(), [first]);
}

/// Nor a job of tons alone that took in a load, whose loads nobody counts.
#[test]
fn a_void_of_tons_that_took_in_a_load_asks_too() {
    let tons_alone = || Farm::new(&NC).with("plan.as_of", "2027-03-10");
    let tons_alone = || tons_alone().lines("date,what,lot,field,tons,acres\n2027-03-10,spread,heap,A,16,8\n").folder();
    let folder = tons_alone();
    let path = folder.path();
    let first = entries(path)[0].id.clone();
    let last = logged(path, "load", &[&first, "--tons", "8", "--acres", "10"]);
    let (code, said) = log(path, "void", &[&last, "--note", "wrong field"]);
    assert!(code == 2 && said.contains("holds more tons than when it was first logged"), "{said}");
    assert!(said.contains(&format!("sward log unload {last} --tons TONS")) && said.contains("24.00 tons"), "{said}");
    let back = logged(path, "unload", &[&last, "--tons", "8", "--acres", "8"]);
    // What it weighed at first is all of it again.
    logged(path, "void", &[&back, "--note", "wrong field"]);
    assert!(entries(path).is_empty());
    // Tons that were put right, and are fewer, are no job.
    let folder = tons_alone();
    let path = folder.path();
    let less = logged(path, "correct", &[&entries(path)[0].id, "--set", "tons=15", "--note", "misread"]);
    logged(path, "void", &[&less, "--note", "wrong field"]);
    assert!(entries(path).is_empty());
}

#[test]
fn tickets_and_their_numbers_are_as_many() {
    let folder = folder();
    let path = folder.path();
    let id = job(path, &["--ticket", "8", "--ticket", "7.5", "--ticket-number", "1, 2", "--acres", "8"]);
    let (code, said) = log(path, "correct", &[&id, "--set", "tickets=8", "--note", "one was hauled"]);
    assert!(code == 0 && said.contains("[log-ticket-numbers]"), "{said}");
    assert!(said.contains("1 scale ticket and 2 ticket numbers"), "{said}");
    let list = entries(path);
    assert_eq!((list[0].what, list[0].word("note")), (What::Spread, "one was hauled"));
}

/// Which of two entries with one ticket is wrong, nobody knows: the later one, more likely.
#[test]
fn a_ticket_used_twice_does_not_send_the_right_entry_away() {
    let folder = folder();
    let path = folder.path();
    let first = job(path, &["--ticket", "8", "--ticket-number", "511", "--acres", "8"]);
    let (code, said) =
        log(path, "spread", &[&ASKED[..], &["--ticket", "7", "--ticket-number", "511", "--acres", "8"]].concat());
    assert!(code == 0 && said.contains("[log-ticket-twice]"), "{said}");
    assert!(!said.contains(&format!("sward log void {first}")), "{said}");
    let check = flat(&sward(path, &["check"]).out);
    let second = entries(path)[1].id.clone();
    assert!(check.contains(&format!("sward log void {second}")), "{check}");
}

/// A load that no spreader carries is refused or told, also where a job only keeps its sum; the
/// rest of a job is a load, however small.
#[test]
fn a_load_is_held_against_the_spreader() {
    let folder = folder();
    let path = folder.path();
    for weighed in ["--tons", "--ticket"] {
        let first = job(path, &["--tons", "24", "--loads", "3", "--acres", "10"]);
        let before = std::fs::read(path.join("log.csv")).unwrap();
        let (code, said) = log(path, "load", &[&first, weighed, "100"]);
        assert!(code == 2 && said.contains("a load of 100 tons"), "{weighed}: {said}");
        assert_eq!(std::fs::read(path.join("log.csv")).unwrap(), before);
        let (code, said) = log(path, "load", &[&first, weighed, "24"]);
        assert!(code == 0 && said.contains("24 tons, 3 times a load of the spreader"), "{weighed}: {said}");
    }
    for (given, told) in [
        (&["--ticket", "24", "--acres", "10"][..], true),
        (&["--loads", "1", "--load", "14 tons", "--acres", "10"], true),
        (&["--ticket", "8", "--ticket", "0.9", "--acres", "10"], false),
        (&["--loads", "1", "--tons", "0.85", "--acres", "0.8"], false),
        (&["--ticket", "0.9", "--ticket", "0.8", "--acres", "2"], true),
        (&["--loads", "2", "--load", "8 tons", "--acres", "10"], false),
    ] {
        let (code, said) = log(path, "spread", &[&ASKED[..], given].concat());
        assert!(code == 0 && (said.contains("[unusual]") == told), "{given:?}: {said}");
    }
}

/// The number of a ticket stands once in a job, as it does in all of the log.
#[test]
fn a_ticket_added_twice_to_one_job_is_told() {
    let folder = folder();
    let path = folder.path();
    let first = job(path, &["--ticket", "8", "--ticket-number", "1301", "--acres", "8"]);
    let (code, said) = log(path, "load", &[&first, "--ticket", "8", "--ticket-number", "1302", "--acres", "9"]);
    assert!(code == 0 && !said.contains("[log-ticket-twice]"), "{said}");
    for weight in ["8", "7.5"] {
        let (code, said) = log(path, "load", &[&first, "--ticket", weight, "--ticket-number", "1302", "--acres", "9"]);
        assert!(code == 0 && said.contains("[log-ticket-twice]") && said.contains("`1302`"), "{weight}: {said}");
        assert!(said.contains("sward log load:") && said.contains("with the id of this entry"), "{said}");
    }
    let last = entries(path)[0].id.clone();
    let check = flat(&sward(path, &["check"]).out);
    assert_eq!(check.matches("[log-ticket-twice]").count(), 1, "{check}");
    assert!(check.contains(&format!("sward log unload {last} --ticket-number 1302")), "{check}");
    // What is printed works as it stands: the later of the two goes, and the job was driven no less.
    let (code, said) = log(path, "unload", &[&last, "--ticket-number", "1302"]);
    assert_eq!(code, 0, "{said}");
    let left = &entries(path)[0];
    assert!(left.acres == Some(9.0) && left.amount == Pounds(48_000), "{left:?}");
}

/// Acres that stay while loads come are said, and are what an absurd rate is first asked for;
/// acres that fall are a warning.
#[test]
fn the_acres_of_a_job_follow_its_loads() {
    let folder = folder();
    let path = folder.path();
    let first = job(path, &["--tons", "8", "--loads", "1", "--acres", "6.4"]);
    for _ in 0..5 {
        let (code, said) = log(path, "load", &[&first, "--tons", "8"]);
        assert!(code == 0 && said.contains("the job stays on 6.40 acres"), "{said}");
    }
    let said = flat(&sward(path, &["check"]).out);
    assert!(said.contains("7.5 tons/ac") && said.contains("are the acres those of all its loads?"), "{said}");
    assert!(!said.contains("has the decimal point slipped?"), "{said}");
    let (code, said) = log(path, "load", &[&first, "--tons", "8", "--acres", "10"]);
    assert!(code == 0 && !said.contains("[load-acres]") && !said.contains("the job stays"), "{said}");
    let (code, said) = log(path, "load", &[&first, "--tons", "8", "--acres", "9.99"]);
    assert!(code == 0 && said.contains("[load-acres]") && said.contains("10.00 acres"), "{said}");
}

/// Loads that several people add to one job at the same time all get in.
#[test]
fn loads_added_at_the_same_time_all_count() {
    let folder = folder();
    let path = folder.path();
    let first = job(path, &["--tons", "8", "--loads", "1", "--acres", "8"]);
    let all = std::thread::scope(|scope| {
        let add = || scope.spawn(|| log(path, "load", &[&first, "--tons", "7"]));
        let running: Vec<_> = (0..6).map(|_| add()).collect();
        running.into_iter().map(|one| one.join().unwrap()).collect::<Vec<_>>()
    });
    for (code, said) in &all {
        assert!(*code == 0 && said.starts_with("logged "), "{said}");
    }
    let list = entries(path);
    assert_eq!((list.len(), list[0].amount, list[0].loads), (1, Pounds(100_000), Some(7.0)));
}

/// One job logged at two terminals at once is told at once, and whoever reads of it is sent to the
/// later entry: both follow, and one of them stands.
#[test]
fn a_job_logged_twice_at_once_is_told_and_the_later_one_goes() {
    for _ in 0..3 {
        let folder = folder();
        let path = folder.path();
        let given = [&ASKED[..], &["--ticket", "8", "--acres", "8", "--ticket-number", "771"]].concat();
        let all = std::thread::scope(|scope| {
            let running: Vec<_> = (0..2).map(|_| scope.spawn(|| log(path, "spread", &given))).collect();
            running.into_iter().map(|one| one.join().unwrap()).collect::<Vec<_>>()
        });
        let list = entries(path);
        assert_eq!(list.len(), 2, "{all:?}");
        let later = format!("sward log void {}", list[1].id);
        let told: Vec<&String> = all.iter().map(|(_, said)| said).filter(|said| said.contains("[log-twice]")).collect();
        assert!(told.len() == 1 && told[0].starts_with(&format!("logged {}", list[1].id)), "{all:?}");
        assert!(!told[0].contains(&format!("void {}", list[0].id)), "{}", told[0]);
        // Whoever checks the farm later reads the same, by the entry and by its ticket.
        let check = || flat(&sward(path, &["check"]).out);
        let said = check();
        assert!(said.matches(&later).count() >= 2, "{said}");
        assert!(!said.contains(&format!("void {}", list[0].id)), "{said}");
        let (code, said) = log(path, "void", &[&list[1].id, "--note", "logged twice"]);
        assert!(code == 0 && !check().contains("[log-both-void]"), "{said}");
        let (code, said) = log(path, "void", &[&list[0].id, "--note", "logged twice"]);
        assert!(code == 0, "{said}");
        let said = check();
        assert_eq!(said.matches("both of a double entry are void").count(), 1, "{said}");
        // Logged again, nothing is missing.
        job(path, &["--ticket", "8", "--acres", "8", "--ticket-number", "771"]);
        assert!(!check().contains("[log-both-void]"), "{}", check());
    }
}

/// An older id of a job names the entry that stands for it now, and that is said.
#[test]
fn an_older_id_leads_to_the_entry_in_force() {
    let folder = folder();
    let path = folder.path();
    let first = job(path, &["--tons", "8", "--loads", "1", "--acres", "8"]);
    let second = logged(path, "load", &[&first, "--tons", "8", "--acres", "8"]);
    let third = logged(path, "load", &[&second, "--tons", "8", "--acres", "8"]);
    let (code, said) = log(path, "correct", &[&first, "--set", "tons=23", "--note", "misread"]);
    assert!(code == 0 && said.contains(&format!("`{third}` stands for it now")), "{said}");
    assert_eq!(entries(path)[0].amount, Pounds(46_000));
    // Still a whole job, which is asked for.
    let (code, said) = log(path, "void", &[&second, "--note", "wrong farm"]);
    assert!(code == 2 && said.contains("--whole-job"), "{said}");
    let (code, said) = log(path, "void", &[&second, "--note", "wrong farm", "--whole-job"]);
    assert!(code == 0 && entries(path).is_empty(), "{said}");
    let (code, said) = log(path, "correct", &[&first, "--set", "tons=8"]);
    assert!(code == 2 && said.contains("was declared void by"), "{said}");
}

/// An entry that is refused says what is wrong with it, and nothing of what it would mean.
#[test]
fn a_refused_entry_says_nothing_of_others() {
    let folder = folder();
    let path = folder.path();
    job(path, &["--tons", "8", "--loads", "1", "--acres", "8"]);
    let (code, said) = log(path, "rain", &["--inches", "80", "--date", "2027-03-10"]);
    assert!(code == 2 && said.contains("are they millimeters?") && !said.contains("pounds"), "{said}");
    assert!(!said.contains("[log-rain]"), "{said}");
}

/// An option that a script left empty is no answer: without its ground an entry counts
/// elsewhere.
#[test]
fn an_empty_option_is_refused() {
    let folder = folder();
    let path = folder.path();
    let log_is_there = || path.join("log.csv").exists();
    for (option, words) in [("--ground", ""), ("--acres", " "), ("--note", "\t")] {
        let given = [&ASKED[..], &["--tons", "8", "--loads", "1", option, words]].concat();
        let (code, said) = log(path, "spread", &given);
        assert!(code == 2 && said.contains(option) && said.contains("it says nothing"), "{option}: {said}");
        assert!(!log_is_there(), "{option}");
    }
}
