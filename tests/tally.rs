//! `sward log` and `sward tally` as people use them, and the balance of every
//! lot to the pound on random logs.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod demo;
mod kit;

use jiff::civil::date;
use kit::{Ended, demo_on, flat};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use serde_json::Value;
use std::path::Path;
use std::sync::{Arc, LazyLock};
use sward::balance::Balance;
use sward::check::Ready;
use sward::pipeline::{Day, Figures, Folder, Planned, Question, Weighed};
use sward::plan::Tally;
use sward::tables::Tables;
use sward::{plan, record, tables};

/// A command in a farm folder, on a day of the demo farm's year.
fn sward(folder: &Path, args: &[&str]) -> Ended {
    let logging = args[0] == "log" && args[1] != "repair";
    let more: &[&str] = if logging { &["--today", "2027-11-30"] } else { &[] };
    let ended = kit::sward(folder, &[args, more].concat());
    for line in ended.out.lines().chain(ended.err.lines()).filter(|l| !l.starts_with('{')) {
        assert!(line.chars().count() <= 80 || args.contains(&"--json"), "too wide: {line}");
        assert!(!line.chars().any(char::is_control), "{line:?}");
    }
    ended
}

/// The id of an entry that must have been logged.
fn logged(folder: &Path, args: &[&str]) -> String {
    let ended = sward(folder, args);
    assert_eq!(ended.code, 0, "{args:?}\n{}{}", ended.out, ended.err);
    let rest = ended.out.strip_prefix("logged ").unwrap_or_else(|| panic!("{}", ended.out));
    rest.split(':').next().unwrap().to_string()
}

const SPREAD: [&str; 22] = [
    "log",
    "spread",
    "--lot",
    "clean-out",
    "--acres",
    "24",
    "--method",
    "surface",
    "--weather",
    "clear",
    "--before",
    "dry",
    "--wind",
    "SW 5 mph",
    "--soil",
    "moist",
    "--operator",
    "Rusty Haskett",
    "--basis",
    "plan",
    "--date",
    "2027-03-15",
];

fn spread(folder: &Path, more: &[&str]) -> String {
    logged(folder, &[&SPREAD[..], more].concat())
}

fn tally(folder: &Path, more: &[&str]) -> Value {
    let ended = sward(folder, &[&["tally", "--json"], more].concat());
    assert_eq!((ended.code, ended.err.as_str()), (0, ""), "{}", ended.out);
    serde_json::from_str(&ended.out).unwrap()
}

fn codes(tally: &Value) -> Vec<&str> {
    tally["findings"].as_array().unwrap().iter().map(|f| f["code"].as_str().unwrap()).collect()
}

fn lot<'a>(tally: &'a Value, id: &str) -> &'a Value {
    tally["lots"].as_array().unwrap().iter().find(|l| l["id"] == id).unwrap()
}

#[test]
fn everything_missing_is_asked_for_at_once() {
    let folder = demo_on("2027-11-30");
    let ended = sward(folder.path(), &["log", "spread", "--lot", "clean-out", "--tons", "54"]);
    assert_eq!(ended.code, 2);
    for option in ["field", "acres", "loads", "method", "weather", "before", "wind", "soil", "operator", "basis"] {
        assert!(ended.err.contains(&format!("\n  --{option}: ")), "{option}: {}", ended.err);
    }
    assert!(!ended.err.contains("--lot:") && !ended.err.contains("--tons:"));
    assert!(ended.err.contains("weather when spread, 24 hours before and 24 hours after"), "says who asks");
    for (kind, wanted) in [
        ("haul", &["lot", "tons", "to", "address", "use", "analysis"][..]),
        ("bring", &["lot", "tons", "from"]),
        ("clean-out", &["lot", "tons"]),
        ("rain", &["inches"]),
        ("cut", &["field"]),
        ("graze", &["field"]),
    ] {
        let ended = sward(folder.path(), &["log", kind]);
        assert_eq!(ended.code, 2);
        let asked: Vec<&str> = ended.err.lines().filter_map(|l| l.strip_prefix("  --")?.split(':').next()).collect();
        assert_eq!(asked, wanted, "{kind}: {}", ended.err);
    }
    assert!(!folder.path().join("log.csv").exists(), "nothing was written");
}

#[test]
fn values_are_checked_at_the_door() {
    let folder = demo_on("2027-11-30");
    let fine = ["--field", "B1", "--loads", "7", "--tons", "54"];
    for (change, word) in [
        (&["--field", "B11"][..], "did you mean `B1`?"),
        (&["--lot", "../../etc"], "no lot is called `../../etc`"),
        (&["--date", "2027-12-24"], "2027-12-24 is still to come"),
        (&["--date", "2017-03-15"], "more than 9 years before"),
        (&["--date", "2027-01-04"], "before the lot was piled"),
        (&["--date", "3/15/2027"], "a day of the calendar, written as 2027-03-15"),
        (&["--tons", "0"], "more than 0 tons"),
        (&["--tons", "-3"], "tons of litter, 0 to 1,000,000"),
        (&["--tons", "12 bushels"], "the tons are `12 bushels`"),
        (&["--acres", "0"], "acres, 0.01 or more"),
        (&["--soil", "satured"], "did you mean `saturated`?"),
        (&["--method", "thrown"], "surface, incorporated"),
        (&["--loads", "many"], "a number of loads above 0"),
    ] {
        let mut args: Vec<String> = SPREAD.iter().chain(&fine).map(|a| (*a).to_string()).collect();
        let at = args.iter().position(|a| a == change[0]).unwrap();
        args[at] = format!("{}={}", change[0], change[1]);
        args.remove(at + 1);
        let ended = sward(folder.path(), &args.iter().map(String::as_str).collect::<Vec<_>>());
        assert_eq!(ended.code, 2, "{change:?} {}", ended.out);
        let said = flat(&ended.err);
        assert!(said.contains(word) && said.contains("nothing was logged"), "{change:?}: {}", ended.err);
    }
    assert!(!folder.path().join("log.csv").exists());
    spread(folder.path(), &fine);
    let nowhere = sward(folder.path(), &["log", "rain", "nowhere", "--days", "1"]);
    assert_eq!(nowhere.code, 1, "{}", nowhere.err);
}

#[test]
fn the_tally_balances_and_says_what_was_put_on() {
    let folder = demo_on("2027-11-30");
    let path = folder.path();
    let first = spread(path, &["--field", "B1", "--loads", "7", "--load", "7.7 tons"]);
    logged(
        path,
        &[
            "log",
            "haul",
            "--lot",
            "crust",
            "--ticket",
            "14.32",
            "--ticket",
            "27800 lb",
            "--to",
            "Ola Pruitt",
            "--address",
            "12 Tin Cup Road",
            "--use",
            "corn ground",
            "--analysis",
            "none given",
            "--date",
            "2027-03-16",
        ],
    );
    logged(path, &["log", "bring", "--lot", "crust", "--tons", "12", "--from", "Neighbor", "--date", "2027-03-20"]);
    logged(path, &["log", "clean-out", "--lot", "clean-out", "--tons", "30", "--date", "2027-04-20"]);
    let now = tally(path, &[]);
    let clean = lot(&now, "clean-out");
    let get = |l: &Value, key: &str| l[key].as_i64().unwrap();
    assert_eq!(
        ["opening", "made", "brought", "spread", "hauled", "on_hand"].map(|k| get(clean, k)),
        [860_000, 60_000, 0, 107_800, 0, 812_200]
    );
    let crust = lot(&now, "crust");
    assert_eq!(
        ["opening", "made", "brought", "spread", "hauled", "on_hand"].map(|k| get(crust, k)),
        [192_000, 0, 24_000, 0, 56_440, 159_560]
    );
    for l in [clean, crust, &now["all_lots"]] {
        assert_eq!(get(l, "left"), get(l, "on_hand") + get(l, "coming") - get(l, "planned") - get(l, "sold"));
    }
    // 53.9 tons on 24 acres of 58, 56 and 58 lb/ton; half of the nitrogen counts this year.
    let field = &now["fields"][0];
    let near = |v: &Value, want: f64| assert!((v.as_f64().unwrap() - want).abs() < 1e-6, "{v} is not {want}");
    let rate = 53.9 / 24.0;
    assert_eq!(field["field"], "B1");
    near(&field["spread"][0]["rate"], rate);
    near(&field["total_n"], rate * 58.0);
    near(&field["on"]["n"], rate * 29.0);
    near(&field["on"]["p2o5"], rate * 56.0);
    near(&field["on"]["k2o"], rate * 58.0);
    near(&now["pounds_on"]["p2o5"], 53.9 * 56.0);
    assert_eq!(now["hauled"][0]["who"], "Ola Pruitt, 12 Tin Cup Road");
    assert_eq!(now["keep"]["years"], 3.0);
    assert_eq!(now["keep"]["cite"]["known"], "read");
    assert_eq!(now["gaps"][0]["columns"], serde_json::json!(["after"]));
    // The plan, the tally and the limits tell the same.
    let planned: Value = serde_json::from_str(&sward(path, &["plan", "--json"]).out).unwrap();
    for l in planned["lots"].as_array().unwrap() {
        let id = l["id"].as_str().unwrap();
        assert_eq!((&l["on_hand"], &l["planned"], &l["left"]), {
            let own = lot(&now, id);
            (&own["on_hand"], &own["planned"], &own["left"])
        });
    }
    let limits: Value = serde_json::from_str(&sward(path, &["limits", "--json"]).out).unwrap();
    near(&limits["fields"][0]["actual"]["on"]["n"], rate * 29.0);
    assert!(limits["fields"][1].get("actual").is_none());
    let screen = sward(path, &["tally"]).out;
    for words in ["812,200", "159,560", "Ola Pruitt", &first, "3 years", "STILL TO WRITE DOWN"] {
        assert!(screen.contains(words), "{words}: {screen}");
    }
    assert!(sward(path, &["limits"]).out.contains("ON THE GROUND, by the log"));
    // On an earlier day the later entries are not there.
    let before = tally(path, &["--on", "2027-03-15"]);
    assert_eq!(get(lot(&before, "crust"), "on_hand"), 192_000);
    assert_eq!(get(lot(&before, "clean-out"), "on_hand"), 752_200);
}

#[test]
fn what_is_wrong_with_the_record_is_told() {
    let folder = demo_on("2027-11-30");
    let path = folder.path();
    // The scale and the loads disagree by more than a twentieth.
    spread(path, &["--field", "B1", "--loads", "7", "--load", "8", "--tons", "50"]);
    // The sample of January was good for 60 days.
    assert_eq!(codes(&tally(path, &[])), ["log-analysis-old", "tally-weights"]);
    // A field whose soil test had expired by then, past what it may get, on more acres than
    // it has.
    spread(path, &["--field", "D1", "--loads", "30", "--tons", "240"]);
    let now = tally(path, &[]);
    for code in ["log-soil-test-old", "logged-over", "tally-acres"] {
        assert!(codes(&now).contains(&code), "{code}: {:?}", codes(&now));
    }
    // More than there is, outside a window, on soil where spreading stops.
    let late = [
        "log",
        "spread",
        "--lot",
        "crust",
        "--field",
        "B1",
        "--acres",
        "20",
        "--method",
        "surface",
        "--weather",
        "rain",
        "--before",
        "rain",
        "--wind",
        "none",
        "--soil",
        "saturated",
        "--operator",
        "RH",
        "--basis",
        "none",
        "--loads",
        "13",
        "--tons",
        "100",
        "--date",
        "2027-07-01",
    ];
    let said = sward(path, &late);
    assert!(said.err.contains("lot `crust` is overdrawn on 2027-07-01 by 4.00 tons"), "{}", said.err);
    let now = tally(path, &[]);
    for code in ["log-overdrawn", "log-window", "log-soil"] {
        assert!(codes(&now).contains(&code), "{code}: {:?}", codes(&now));
    }
    assert_eq!(lot(&now, "crust")["on_hand"], -8_000);
    // Outside the plan's days: told, not counted.
    let ended = sward(
        path,
        &[
            "log",
            "haul",
            "--lot",
            "clean-out",
            "--tons",
            "1",
            "--to",
            "x",
            "--address",
            "x",
            "--use",
            "x",
            "--analysis",
            "x",
            "--date",
            "2027-11-20",
        ],
    );
    assert!(ended.code == 0 && ended.err.contains("outside the plan's days"), "{}", ended.err);
    let now = tally(path, &[]);
    // What was hauled off is gone, whatever days the plan is made for, and it is listed.
    assert_eq!(lot(&now, "clean-out")["hauled"], 2_000);
    let listed = now["hauled"].as_array().unwrap();
    assert!(listed.iter().any(|h| h["date"] == "2027-11-20" && h["pounds"] == 2_000), "{listed:?}");
    assert!(!codes(&now).contains(&"tally-outside"));
}

#[test]
fn an_entry_is_corrected_by_another_and_never_changed() {
    let folder = demo_on("2027-11-30");
    let path = folder.path();
    let id = spread(path, &["--field", "B1", "--loads", "7", "--load", "8"]);
    let before = std::fs::read_to_string(path.join("log.csv")).unwrap();
    let newer = logged(path, &["log", "correct", &id, "--set", "loads=6", "--set", "after=dry, no rain"]);
    let text = std::fs::read_to_string(path.join("log.csv")).unwrap();
    assert!(text.starts_with(&before), "append only");
    let now = tally(path, &[]);
    assert_eq!(lot(&now, "clean-out")["spread"], 96_000, "tons follow the loads");
    assert_eq!(now["gaps"], serde_json::json!([]));
    for (args, word) in [
        (vec!["log", "correct", id.as_str(), "--set", "tons=1"], "stands for it now"),
        (vec!["log", "correct", "270315-xxxxxx", "--set", "tons=1"], "has no entry"),
        (vec!["log", "correct", newer.as_str(), "--set", "tonnes=1"], "no column that can be set"),
        (vec!["log", "correct", newer.as_str(), "--set", "id=1"], "no column that can be set"),
        (vec!["log", "correct", newer.as_str(), "--set", "tons"], "COLUMN=WORDS"),
        (vec!["log", "correct", newer.as_str(), "--set", "field=B9"], "no field is called"),
        (vec!["log", "void", newer.as_str()], "--note"),
    ] {
        let ended = sward(path, &args);
        assert_eq!(ended.code, 2, "{args:?}");
        assert!(ended.err.contains(word), "{args:?}: {}", ended.err);
    }
    logged(path, &["log", "void", &newer, "--note", "was another field"]);
    assert_eq!(lot(&tally(path, &[]), "clean-out")["spread"], 0);
    assert!(sward(path, &["log", "void", &newer, "--note", "again"]).err.contains("declared void"));
}

#[test]
fn half_a_line_is_told_and_set_aside() {
    let folder = demo_on("2027-11-30");
    let path = folder.path();
    logged(path, &["log", "rain", "--days", "1", "--date", "2027-03-01"]);
    let whole = std::fs::read(path.join("log.csv")).unwrap();
    std::fs::write(path.join("log.csv"), &whole[..whole.len() - 20]).unwrap();
    let refused = sward(path, &["log", "rain", "--days", "2", "--date", "2027-03-02"]);
    assert_eq!(refused.code, 1);
    assert!(refused.err.contains("log.csv:2:1: error [log-half-line]"), "{}", refused.err);
    assert_eq!(sward(path, &["tally"]).code, 1);
    assert_eq!(sward(path, &["log", "repair"]).code, 0);
    logged(path, &["log", "rain", "--days", "2", "--date", "2027-03-02"]);
    assert_eq!(tally(path, &[])["rain"], serde_json::json!([0.0, 2.0]));
    let check = sward(path, &["check"]).out;
    assert!(check.contains("log-set-aside"), "{check}");
}

#[test]
fn two_writers_at_once_and_two_logs_put_together() {
    let (folder, other) = (demo_on("2027-11-30"), demo_on("2027-11-30"));
    let path = folder.path();
    let rain = |path: &Path, day: usize| {
        logged(path, &["log", "rain", "--inches", "0.1", "--date", &format!("2027-03-{:02}", day + 1)])
    };
    std::thread::scope(|scope| {
        for writer in 0..4 {
            scope.spawn(move || (0..6).for_each(|i| drop(rain(path, writer * 6 + i))));
        }
    });
    (0..5).for_each(|day| drop(rain(other.path(), day)));
    let inches = |path: &Path| tally(path, &[])["rain"][0].as_f64().unwrap();
    assert!((inches(path) - 2.4).abs() < 1e-9);
    let text = |path: &Path| std::fs::read_to_string(path.join("log.csv")).unwrap();
    std::fs::write(path.join("log.csv"), text(path) + &text(other.path()) + &text(path)).unwrap();
    assert!((inches(path) - 2.9).abs() < 1e-9);
}

#[test]
fn a_farm_that_did_nothing_has_its_opening_on_hand() {
    let folder = demo_on("2027-11-30");
    let now = tally(folder.path(), &[]);
    assert_eq!(lot(&now, "crust")["on_hand"], 192_000);
    assert!(codes(&now).is_empty() && now["fields"] == serde_json::json!([]));
    assert!(sward(folder.path(), &["tally"]).out.contains("no litter left the farm"));
}

static TABLES: LazyLock<Arc<Tables>> = LazyLock::new(|| Arc::new(tables::load(&tables::built_in()).0));

fn tallied(log: &str) -> (Ready, Balance, Tally) {
    let texts = demo::texts();
    let folder = Folder::Memory { texts: &texts, log };
    let question = Question {
        folder,
        figures: Figures::Loaded(Arc::clone(&TABLES)),
        day: Day::Asked(date(2027, 3, 28)),
        ..demo::asked(&texts)
    };
    let Planned { weighed: Weighed { ready, balance, .. }, audited } =
        question.plan().unwrap_or_else(|f| panic!("{log}\n{f:?}"));
    let tally = plan::tally(&ready, &TABLES, &balance, audited.plan());
    (ready, balance, tally)
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 24, rng_seed: RngSeed::Fixed(2027), failure_persistence: None, ..ProptestConfig::default()
    })]

    /// On hand = opening + made + brought - spread - hauled, to the pound, and
    /// the fields' entries come to what was spread.
    #[test]
    fn every_lot_balances(
        moves in prop::collection::vec((0_usize..4, 0_usize..2, 0_usize..11, 1_i64..120_000, 1_u8..=28), 0..30)
    ) {
        let kinds = ["clean-out", "bring", "spread", "haul"];
        let lots = [("clean-out", 860_000_i64), ("crust", 192_000)];
        let fields = ["B1", "B2", "H1", "N1", "N2", "H2", "R1", "R2", "C1", "J1", "D1"];
        let mut log = String::from("date,what,lot,field,tons\n");
        for (kind, lot, field, pounds, day) in &moves {
            let field = if kinds[*kind] == "spread" { fields[*field] } else { "" };
            log.push_str(&format!("2027-03-{day:02},{},{},{field},{pounds} lb\n", kinds[*kind], lots[*lot].0));
        }
        let (ready, _, tally) = tallied(&log);
        for (i, (id, opening)) in lots.iter().enumerate() {
            let sum = |kind: usize| moves.iter().filter(|m| m.0 == kind && m.1 == i).map(|m| m.3).sum::<i64>();
            let row = tally.lots.iter().find(|l| l.id == *id).unwrap();
            prop_assert_eq!(row.on_hand.0, opening + sum(0) + sum(1) - sum(2) - sum(3));
            prop_assert_eq!(row.left.0, (row.on_hand.0 + row.coming.0 - row.planned.0 - row.sold.0).max(0));
            let lowest = tally.findings.iter().any(|f| f.code == "log-overdrawn" && f.found.contains(&format!("`{id}`")));
            prop_assert!(lowest || row.on_hand.0 >= 0, "an overdrawn lot is told");
        }
        let all = &tally.all_lots;
        prop_assert_eq!(all.on_hand, all.opening + all.made + all.brought - all.spread - all.hauled);
        let on_fields: i64 = tally.fields.iter().map(|f| f.sums.pounds.0).sum();
        prop_assert_eq!(on_fields, all.spread.0);
        let rows: usize = tally.fields.iter().map(|f| f.spread.len()).sum();
        prop_assert_eq!(rows, ready.happened.entries.iter().filter(|e| e.what == record::What::Spread).count());
    }
}

/// A rate that no pass of the spreader puts down is told of the entry: more tons or fewer acres than
/// there were.
#[test]
fn more_than_the_spreader_puts_down_is_told() {
    for place in kit::PLACES {
        let told = |tons: &str, acres: &str| {
            let farm = kit::Farm::new(place).with("plan.as_of", "2027-04-01").with("spreader.most", "4 tons/ac");
            let made = kit::made(&farm.part("2027-03-01", "heap", "A", tons, acres));
            let found = sward::plan::shown_by_record(&made.ready, &made.balance);
            let found: Vec<String> =
                found.sorted().iter().filter(|f| f.code == "tally-rate").map(|f| f.found.clone()).collect();
            found.first().cloned()
        };
        // Ten acres.
        assert_eq!(told("40", ""), None, "{}", place.key);
        assert_eq!(told("20", "5"), None, "{}", place.key);
        let said = told("20", "4").unwrap();
        assert!(said.contains("5.00 tons/ac") && said.contains("puts down 4.00 at most"), "{said}");
        let said = told("60", "").unwrap();
        assert!(said.contains("puts down 4.00 at most"), "{said}");
    }
}

/// What `check` says of a cell of an entry stands in the tally too, of the whole record and of its year.
#[test]
fn what_the_checks_say_of_an_entry_stands_in_the_tally() {
    for place in kit::PLACES {
        let lines = "date,what,lot,field,tons,analysis\n2027-03-01,spread,heap,A,90,2027-06-01\n";
        let farm = kit::Farm::new(place).with("plan.as_of", "2027-04-01").lines(lines);
        let (checked, all) = (kit::checked(&farm).codes(), kit::planned(&farm).tally_codes());
        let folder = farm.folder();
        let year = tally(folder.path(), &["--year", "2027"]);
        for code in ["papers-later", "unusual"] {
            assert!(checked.contains(code), "{}: {code} of {checked:?}", place.key);
            assert!(all.contains(code), "{}: {code} of {all:?}", place.key);
            assert_eq!(codes(&year).iter().filter(|own| **own == code).count(), 1, "{}: {code}: {year}", place.key);
        }
    }
}
