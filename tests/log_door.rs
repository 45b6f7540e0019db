//! `sward log` judges an entry before it is written, by the rules of check and
//! tally; and names are the same whichever way their accents are written.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod demo;
mod kit;

use kit::{Ended, change, demo_on, flat, sward};
use std::path::Path;

fn log_of(folder: &Path) -> String {
    std::fs::read_to_string(folder.join("log.csv")).unwrap_or_default()
}

fn log(folder: &Path, kind: &str, given: &[(&str, &str)]) -> Ended {
    let mut args = vec!["log", kind, "--today", "2027-11-30"];
    for (option, value) in given {
        args.extend([*option, *value]);
    }
    sward(folder, &args)
}

/// A spreading on B1, 24.71 acres, with some of it said otherwise.
fn spread(folder: &Path, other: &[(&str, &str)]) -> Ended {
    let plain = [
        ("--lot", "clean-out"),
        ("--field", "B1"),
        ("--acres", "24"),
        ("--tons", "54"),
        ("--loads", "7"),
        ("--method", "surface"),
        ("--weather", "clear"),
        ("--before", "dry"),
        ("--wind", "none"),
        ("--soil", "moist"),
        ("--operator", "RH"),
        ("--basis", "plan"),
        ("--date", "2027-03-15"),
    ];
    let said = plain.into_iter().filter(|(option, _)| !other.iter().any(|(new, _)| new == option));
    log(folder, "spread", &said.chain(other.iter().copied()).collect::<Vec<_>>())
}

fn haul(folder: &Path, other: &[(&str, &str)]) -> Ended {
    let plain = [("--lot", "clean-out"), ("--to", "x"), ("--address", "x"), ("--use", "x"), ("--analysis", "x")];
    log(folder, "haul", &plain.iter().chain(other).copied().chain([("--date", "2027-03-16")]).collect::<Vec<_>>())
}

/// The id of an entry that was logged.
fn id(ended: &Ended) -> String {
    assert_eq!(ended.code, 0, "{}{}", ended.out, ended.err);
    ended.out.strip_prefix("logged ").unwrap().split(':').next().unwrap().to_string()
}

/// The lot `clean-out` was piled on 2027-01-05, and could be hauled from that day on.
#[test]
fn litter_may_go_on_the_day_it_was_piled() {
    let folder = demo_on("2027-11-30");
    for (day, refused) in [("2027-01-04", true), ("2027-01-05", false)] {
        let told = flat(&spread(folder.path(), &[("--date", day)]).err);
        assert_eq!(told.contains("is before the lot was piled"), refused, "{day}: {told}");
    }
}

/// Grazing that is not over yet is still to come, though it has begun.
#[test]
fn grazing_is_logged_to_today_and_no_further() {
    for (until, refused) in [("2027-11-30", false), ("2027-12-01", true)] {
        let folder = demo_on("2027-11-30");
        let told = log(folder.path(), "graze", &[("--field", "B1"), ("--date", "2027-11-20"), ("--to", until)]);
        assert_eq!(told.err.contains("2027-12-01 is still to come"), refused, "{until}: {}{}", told.out, told.err);
        assert_eq!(log_of(folder.path()).is_empty(), refused, "{until}: {}", told.err);
    }
}

/// Papers of the day itself are no later ones.
#[test]
fn papers_of_a_later_day_are_told_and_those_of_the_day_are_not() {
    for (day, later) in [("2027-03-16", false), ("2027-03-17", true)] {
        let folder = demo_on("2027-11-30");
        let given = [("--lot", "clean-out"), ("--to", "x"), ("--address", "x"), ("--use", "x"), ("--tons", "8")];
        let papers = format!("lab {day}");
        let papers = [("--analysis", papers.as_str()), ("--date", "2027-03-16")];
        let told = log(folder.path(), "haul", &[&given[..], &papers].concat());
        assert_eq!(told.err.contains("papers-later"), later, "{day}: {}{}", told.out, told.err);
    }
}

#[test]
fn what_cannot_be_is_refused_and_not_written() {
    let folder = demo_on("2027-11-30");
    let path = folder.path();
    for (other, says) in [
        (&[("--tons", "71740")][..], "35.87 tons would be usual: are they pounds?"),
        (&[("--acres", "239")], "9.67 times the 24.71 ac of B1"),
        (&[("--acres", "0.02")], "[implausible]"),
        (&[("--tons", "500")], "20.83 tons/ac"),
        (&[("--tons", "54"), ("--loads", "1")], "a load of 54 tons"),
    ] {
        let ended = spread(path, other);
        assert_eq!(ended.code, 2, "{other:?}: {}{}", ended.out, ended.err);
        assert!(ended.err.starts_with("nothing was logged"), "{}", ended.err);
        let told = flat(&ended.err);
        assert!(told.contains(says) && told.contains("--sure NAME"), "{other:?}: {told}");
    }
    assert!(haul(path, &[("--tons", "48000")]).err.contains("are they pounds?"));
    assert!(log(path, "rain", &[("--inches", "80"), ("--date", "2027-03-01")]).err.contains("80 inches"));
    assert!(
        log(path, "cut", &[("--field", "B1"), ("--tons", "400"), ("--date", "2027-05-20")]).err.contains("tons/ac")
    );
    assert_eq!(log_of(path), "");
}

#[test]
fn whoever_is_sure_has_it_written_but_not_what_no_reader_takes() {
    let folder = demo_on("2027-11-30");
    let path = folder.path();
    let sure = [("--tons", "500"), ("--sure", "Dell Farrow")];
    let ended = spread(path, &sure);
    let entry = id(&ended);
    assert!(ended.err.contains("warning [sure]") && ended.err.contains("Dell Farrow is sure"), "{}", ended.err);
    assert!(log_of(path).contains("\"Dell Farrow, 2027-11-30\""));
    assert_eq!(sward(path, &["check"]).code, 0);
    let before = log_of(path);
    let ended = spread(path, &[("--acres", "1e-9"), ("--sure", "Dell Farrow")]);
    assert!(ended.code == 2 && ended.err.contains("the acres are `1e-9`"), "{}", ended.err);
    assert_eq!(log_of(path), before);
    // What is corrected later is not covered by what somebody was sure of.
    let more = sward(path, &["log", "correct", &entry, "--set", "tons=600", "--today", "2027-11-30"]);
    assert!(more.code == 2 && more.err.contains("[implausible]"), "{}", more.err);
    let more =
        sward(path, &["log", "correct", &entry, "--set", "tons=600", "--set", "sure=AL", "--today", "2027-11-30"]);
    assert!(more.code == 0 && log_of(path).contains("\"AL, 2027-11-30\""), "{}{}", more.out, more.err);
}

#[test]
fn the_place_the_field_and_the_lot_are_told_at_once() {
    let folder = demo_on("2027-11-30");
    let path = folder.path();
    for soil in ["frozen", "saturated", "snow"] {
        assert!(spread(path, &[("--soil", soil), ("--weather", soil)]).err.contains("warning [log-soil]"), "{soil}");
    }
    let late = spread(path, &[("--date", "2027-10-30"), ("--lot", "crust")]);
    assert!(late.err.contains("warning [log-window]"), "{}", late.err);
    assert!(late.err.contains("[logged-over]"), "{}", late.err);
    // The season's limit is said at the last entry that it counts.
    let early = spread(path, &[("--acres", "25.5"), ("--date", "2027-03-20")]).err;
    assert!(early.contains("[tally-acres]") && early.contains("[logged-over]"), "{early}");
    let over = haul(path, &[("--tons", "900")]);
    assert!(over.err.contains("lot `clean-out` is overdrawn on 2027-03-16"), "{}", over.err);
    // Also where another entry was the first to overdraw it.
    let more = haul(path, &[("--tons", "10"), ("--operator", "later")]);
    assert!(more.err.contains("with the last entry out of it"), "{}", more.err);
    let check = sward(path, &["check"]).out;
    assert!(check.contains("log-soil") && check.contains("log-overdrawn"), "{check}");
}

#[test]
fn the_same_entry_twice_is_told_with_the_way_out() {
    let folder = demo_on("2027-11-30");
    let path = folder.path();
    let first = id(&spread(path, &[]));
    let again = spread(path, &[]);
    let second = id(&again);
    assert!(
        again.err.contains("log-twice") && flat(&again.err).contains("void this one, the later: `sward log void ID"),
        "{}",
        again.err
    );
    assert!(sward(path, &["check"]).out.contains("log-twice"));
    assert!(sward(path, &["tally"]).out.contains("is in the log already"));
    // It was done twice, and somebody says so.
    assert_eq!(sward(path, &["log", "correct", &second, "--set", "sure=RH", "--today", "2027-11-30"]).code, 0);
    assert!(!sward(path, &["check"]).out.contains("warning [log-twice]"));
    // The way out that was named is one.
    let third = spread(path, &[]);
    for old in [id(&third), first] {
        assert_eq!(sward(path, &["log", "void", &old, "--note", "twice", "--today", "2027-11-30"]).code, 0, "{old}");
    }
    assert!(!sward(path, &["check"]).out.contains("log-twice"));
    // Another field, day or ticket is another entry; another person may have written down the same.
    for other in [("--field", "B2"), ("--date", "2027-03-17"), ("--ticket-number", "12")] {
        assert!(!spread(path, &[other]).err.contains("log-twice"), "{other:?}");
    }
    assert!(spread(path, &[]).out.contains("logged"));
    assert!(spread(path, &[("--operator", "AL")]).err.contains("log-twice"));
}

#[test]
fn a_void_says_nothing_of_the_plans_days() {
    let folder = demo_on("2027-11-30");
    let path = folder.path();
    let entry = id(&spread(path, &[]));
    let used = |path: &Path| sward(path, &["tally", "--json"]).out.contains("\"spread\": 108000");
    assert!(used(path));
    let ended = sward(path, &["log", "void", &entry, "--note", "no", "--today", "2027-11-30"]);
    assert!(ended.out.contains(&format!("takes back {entry}")), "{}", ended.out);
    assert_eq!(ended.err, "", "a void of a day after the plan counts");
    assert!(!used(path));
    // Rain before the plan may cost days of it; spreading then stops the plan, and that is told.
    let rain = log(path, "rain", &[("--days", "3"), ("--date", "2027-02-13")]);
    let said = flat(&rain.err);
    assert!(said.contains("2027-02-13 lies outside the plan's days") && said.contains("tally --year 2027"), "{said}");
    let early = spread(path, &[("--date", "2027-02-01")]);
    assert_eq!(early.code, 0, "{}{}", early.out, early.err);
    assert_eq!(sward(path, &["plan"]).code, 0, "a plan counts what went on before its days");
}

#[test]
fn a_farm_with_errors_says_what_was_not_judged() {
    let folder = demo_on("2027-11-30");
    let path = folder.path();
    let main = demo::file("farm.yaml").replace("on_hand: 430 tons", "on_hand: 430");
    std::fs::write(path.join("farm.yaml"), main).unwrap();
    let ended = spread(path, &[]);
    assert!(ended.code == 0 && ended.err.contains("the farm has errors elsewhere"), "{}{}", ended.out, ended.err);
}

const ELSEWHERE: &str = "the farm has errors elsewhere";

/// The log with a haul `a` of the lot, and two people's corrections of it.
fn rivals(folder: &Path) {
    let haul =
        |id: &str, tons: &str, corrects: &str| format!("{id},2027-03-16,haul,clean-out,{tons},x,x,x,x,{corrects}\n");
    let head = "id,date,what,lot,tons,to,address,use,analysis,corrects\n".to_string();
    let log = head + &haul("a", "5", "") + &haul("b", "6", "a") + &haul("c", "7", "a");
    std::fs::write(folder.join("log.csv"), log).unwrap();
}

fn void(folder: &Path, id: &str) -> Ended {
    sward(folder, &["log", "void", id, "--whole-job", "--note", "no", "--today", "2027-11-30"])
}

/// Whether the note of errors elsewhere stands, in every way that an entry can meet
/// them: `check` must agree once the entry is in the log.
#[test]
fn the_note_of_errors_elsewhere_is_true_of_the_log_with_the_new_entry() {
    type Meeting = (&'static str, fn(&Path) -> Ended, bool);
    let meetings: [Meeting; 7] = [
        ("a void that ends the quarrel", |folder| void(folder, "b"), false),
        (
            "a correction of one rival",
            |folder| sward(folder, &["log", "correct", "c", "--set", "tons=8", "--today", "2027-11-30"]),
            true,
        ),
        ("an entry that has nothing to do with it", |folder| haul(folder, &[("--tons", "3")]), true),
        (
            "a void of the one entry with an unknown field",
            |folder| {
                std::fs::write(folder.join("log.csv"), "id,date,what,field\na,2027-05-16,cut,B77\n").unwrap();
                void(folder, "a")
            },
            false,
        ),
        (
            "a void beside a line that cannot be read",
            |folder| {
                std::fs::write(folder.join("log.csv"), "id,date,what,field\na,2027-05-16,cut,B1\nb,x,cut,B1\n")
                    .unwrap();
                void(folder, "a")
            },
            true,
        ),
        (
            "a void beside an error of farm.yaml",
            |folder| {
                change(folder, "farm.yaml", |main| main.replace("on_hand: 430 tons", "on_hand: 430"));
                void(folder, "b")
            },
            true,
        ),
        (
            "the first entry of an emptied log",
            |folder| {
                std::fs::write(folder.join("log.csv"), "id,date,what,lot\n").unwrap();
                haul(folder, &[("--tons", "3")])
            },
            false,
        ),
    ];
    for (name, meet, stands) in meetings {
        let folder = demo_on("2027-11-30");
        rivals(folder.path());
        let ended = meet(folder.path());
        assert_eq!(ended.code, 0, "{name}: {}{}", ended.out, ended.err);
        assert_eq!(ended.err.contains(ELSEWHERE), stands, "{name}: {}", ended.err);
        let check = sward(folder.path(), &["check"]);
        assert_eq!(check.code == 1, stands, "{name}: {}", check.out);
    }
}

const COMPOSED: &str = "Pr\u{e9}";
const PARTED: &str = "Pre\u{301}";

/// The demo farm with a field and a lot of such names, each file in its own form.
#[test]
fn accents_match_in_either_form_through_every_door() {
    for (ours, theirs) in [(COMPOSED, PARTED), (PARTED, COMPOSED)] {
        let folder = demo_on("2027-11-30");
        let path = folder.path();
        let files =
            [("farm.yaml", ours), ("fields.geojson", theirs), ("keepouts.geojson", theirs), ("soils.geojson", ours)];
        for (file, name) in files {
            let named = |text: String| text.replace("B1", name).replace("clean-out", &format!("{name} tas"));
            change(path, file, named);
        }
        let check = sward(path, &["check"]);
        assert_eq!(check.code, 0, "{}", check.out);
        let lot = format!("{theirs} tas");
        let entry = id(&spread(path, &[("--field", theirs), ("--lot", &lot)]));
        let hand = format!("date,what,lot,field,tons\n2027-03-18,spread,{theirs} tas,{theirs},1\n");
        std::fs::write(path.join("log.csv"), log_of(path) + &hand).unwrap();
        let tally: serde_json::Value = serde_json::from_str(&sward(path, &["tally", "--json"]).out).unwrap();
        assert_eq!(tally["lots"][0]["spread"], 110_000, "{tally}");
        // The same entry in the other form is the same entry.
        let again = spread(path, &[("--field", ours), ("--lot", &format!("{ours} tas"))]);
        assert!(again.err.contains("log-twice") && again.err.contains(&entry), "{}", again.err);
        assert_eq!(sward(path, &["why", theirs]).code, 0);
        let with = format!("fields.{theirs}.most=1 ton/ac");
        assert_eq!(sward(path, &["plan", "--with", &with]).code, 0);
        let scale = format!("Ticket,Date,Stoff,Net\n71,2027-03-20,{theirs} tas,16000\n");
        std::fs::write(path.join("scale.csv"), scale).unwrap();
        let columns =
            "tickets:\n  columns: {ticket: Ticket, date: Date in year-month-day, lot: Stoff, net: Net in lb}\n";
        change(path, "farm.yaml", |text| text + columns);
        let args = ["log", "tickets", "scale.csv", "--kind", "haul", "--to", "x", "--today", "2027-11-30"];
        let tickets = sward(path, &args);
        assert_eq!(tickets.code, 0, "{}{}", tickets.out, tickets.err);
    }
}

/// Names of foreign boundaries, and what the command line calls them.
#[test]
fn imported_names_match_in_either_form() {
    let folder = tempfile::tempdir().unwrap();
    let ring = "[[[-79.50,35.70],[-79.49,35.70],[-79.49,35.71],[-79.50,35.70]]]";
    let layer = format!(
        r#"{{"type":"FeatureCollection","features":[{{"type":"Feature","properties":{{"id":"{PARTED}"}},"geometry":{{"type":"Polygon","coordinates":{ring}}}}}]}}"#
    );
    std::fs::write(folder.path().join("layer.geojson"), layer).unwrap();
    let ended = sward(folder.path(), &["ground", "import", "layer.geojson", "--only", COMPOSED]);
    assert!(ended.code == 0 && ended.out.contains(COMPOSED), "{}{}", ended.out, ended.err);
}
