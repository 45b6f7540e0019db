//! Scale tickets into the log: weights to the pound, all or nothing, none
//! twice.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{change, demo_folder, page};
use std::path::Path;
use sward::record::{What, read};
use sward::units::Pounds;

const NAMES: &str = "
tickets:
  columns: {ticket: Ticket, date: Date in month/day/year, lot: Material, field: Field, gross: Gross in lb,
    tare: Tare in lb, net: Net in lb, to: Customer, operator: Driver}
  lots: {clean-out: BROILER LITTER}
  fields: {B1: FARROW 1}
";
const NAMED: &str = "Ticket,Date,Material,Field,Gross,Tare,Net,Customer,Driver\n";
const FILE: &str = "Ticket,Date,Material,Field,Gross,Tare,Net,Customer,Driver\n\
    1201,3/1/2027,BROILER LITTER,FARROW 1,\"55,140\",26500,28640,\"Hollin Co-op, Inc.\",R. Haskett\n\
    1202,3/1/2027,BROILER LITTER,FARROW 1,54300,26500 lb,27800,Hollin Co-op,R. Haskett\n\
    1203,3/2/2027,crust,B2,54301,26500,,Hollin Co-op,R. Haskett\n";

/// The demo farm with the columns of a scale, and a file of tickets.
fn folder(tickets: &str) -> tempfile::TempDir {
    let folder = demo_folder();
    change(folder.path(), "farm.yaml", |farm| farm + NAMES);
    std::fs::write(folder.path().join("scale.csv"), tickets).unwrap();
    folder
}

/// Exit code, standard output and standard error.
fn sward(folder: &Path, args: &[&str]) -> (i32, String, String) {
    let ended = kit::sward(folder, args);
    page(&ended.out);
    page(&ended.err);
    ended.parts()
}

fn tickets(folder: &Path, more: &[&str]) -> (i32, String, String) {
    let args = ["log", "tickets", "scale.csv", ".", "--today", "2027-04-01", "--kind"];
    sward(folder, &[&args[..], more].concat())
}

/// Holds a screen against `tests/screens/tickets-NAME.txt`, ids made alike.
/// `UPDATE_EXPECTED=1` writes it again: read it before it is kept.
fn held(name: &str, (code, out, err): &(i32, String, String)) {
    let mut now = format!("exit {code}\n\n{out}");
    if !err.is_empty() {
        now.push_str(&format!("\non standard error:\n{err}"));
    }
    for day in ["270301-", "270302-"] {
        let whole = std::mem::take(&mut now);
        let parts: Vec<&str> = whole.split(day).collect();
        now.push_str(parts[0]);
        for part in &parts[1..] {
            let same = part.get(..6).is_some_and(|id| id.chars().all(|c| c.is_ascii_alphanumeric()));
            assert!(same, "{name}: no id behind {day}: {part}");
            now.push_str(&format!("{day}xxxxxx{}", &part[6..]));
        }
    }
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/screens").join(format!("tickets-{name}.txt"));
    if std::env::var_os("UPDATE_EXPECTED").is_some() {
        std::fs::write(&path, &now).unwrap();
    }
    let kept = std::fs::read_to_string(&path).unwrap_or_default().replace("\r\n", "\n");
    assert!(kept == now, "tickets-{name}.txt, expected:\n{kept}\nnow:\n{now}");
}

fn log(folder: &Path) -> Option<Vec<u8>> {
    std::fs::read(folder.join("log.csv")).ok()
}

#[test]
fn tickets_become_entries_and_none_twice() {
    let folder = folder(FILE);
    let first = tickets(folder.path(), &["haul", "--use", "pasture"]);
    held("haul", &first);
    assert_eq!(first.0, 0);
    let (happened, findings) = read(folder.path());
    assert!(findings.is_empty(), "{findings:?}");
    assert_eq!(happened.moved("clean-out", What::Haul), Pounds(28_640 + 27_800));
    assert_eq!(happened.moved("crust", What::Haul), Pounds(27_801));
    let entry = &happened.entries[0];
    assert_eq!((entry.word("ticket_number"), entry.word("to")), ("1201", "Hollin Co-op, Inc."));
    assert_eq!(
        (entry.word("use"), entry.word("tons"), entry.date.to_string().as_str()),
        ("pasture", "14.32", "2027-03-01")
    );

    let before = log(folder.path());
    let again = tickets(folder.path(), &["haul"]);
    held("haul-again", &again);
    assert_eq!((again.0, log(folder.path())), (0, before));

    // A later file holds the old tickets too: only the new one is added.
    let more = format!("{FILE}1204,3/2/2027,crust,,,,20000,Hollin Co-op,\n");
    std::fs::write(folder.path().join("scale.csv"), more).unwrap();
    assert_eq!(tickets(folder.path(), &["haul"]).0, 0);
    assert_eq!(read(folder.path()).0.entries.len(), 4);
    assert_eq!(read(folder.path()).0.moved("crust", What::Haul), Pounds(47_801));
}

#[test]
fn one_bad_line_adds_nothing_and_every_bad_line_is_named() {
    let rows = "Ticket,Date,Material,Field,Gross,Tare,Net,Customer,Driver\n\
        1201,3/1/2027,BROILER LITTER,,55140,26500,28640,Hollin Co-op,\n\
        1202,3/1/2027,BROILER LITTER,,54300,26500,27801,Hollin Co-op,\n\
        1203,13/1/2027,crusd,,54300,26500,27800,Hollin Co-op,\n\
        ,3/2/2027,crust,,26500,54300,,Hollin Co-op,\n\
        1205,3/2/2027,crust,,<5,1,20000,Hollin Co-op,\n\
        1206,3/2/2027,crust,,,,,Hollin Co-op,\n\
        1201,3/2/2027,crust,,,,20000 kg,Hollin Co-op,\n\
        1207,3/2/2027,crust\n\
        1208,3/2/2027,crusd,,,,20000,,\n";
    let folder = folder(rows);
    let ended = tickets(folder.path(), &["haul"]);
    held("bad-lines", &ended);
    assert_eq!((ended.0, log(folder.path())), (1, None));
    for line in [3, 4, 5, 6, 7, 8, 9, 10] {
        assert!(ended.2.contains(&format!("scale.csv:{line}:")), "line {line}\n{}", ended.2);
    }
    assert!(!ended.2.contains("scale.csv:2:"), "{}", ended.2);
}

/// Gross less tare is the net weight to the pound: a pound more and a pound less are wrong.
#[test]
fn the_net_weight_is_gross_less_tare_to_the_pound() {
    for (net, sound) in [(27_799, false), (27_800, true), (27_801, false)] {
        let folder = folder(&format!("{}1202,3/1/2027,crust,,54300,26500,{net},Hollin Co-op,\n", NAMED));
        let (code, _, err) = tickets(folder.path(), &["haul"]);
        assert_eq!((code == 0, log(folder.path()).is_some()), (sound, sound), "{net}: {err}");
    }
}

/// A weight in another unit is taken to the nearest pound.
#[test]
fn a_metric_weight_is_taken_to_the_nearest_pound() {
    for (tonnes, pounds) in [("10", 22_046), ("9.999", 22_044), ("9.9997", 22_046)] {
        let folder = folder(&format!("{}1,3/1/2027,crust,,,,{tonnes},Hollin Co-op,\n", NAMED));
        change(folder.path(), "farm.yaml", |farm| farm.replace("net: Net in lb", "net: Net in t"));
        assert_eq!(tickets(folder.path(), &["haul"]).0, 0, "{tonnes}");
        assert_eq!(read(folder.path()).0.moved("crust", What::Haul), Pounds(pounds), "{tonnes}");
    }
}

/// Faults that only the farm can see: a lot and a field that are not there, a
/// day to come, a day before the pile was made; a number that stands twice.
#[test]
fn tickets_are_held_to_the_farm() {
    let rows = "Ticket,Date,Material,Field,Gross,Tare,Net,Customer,Driver\n\
        1,3/1/2027,crusd,B1,,,20000,,\n\
        2,3/1/2027,crust,B99,,,20000,,\n\
        3,5/1/2027,crust,B1,,,20000,,\n\
        4,1/1/2027,clean-out,B1,,,20000,,\n\
        5,3/1/2027,,B1,,,20000,,\n\
        6,3/1/2027,crust,,,,20000,,\n";
    let folder = folder(rows);
    let ended = tickets(folder.path(), &["spread"]);
    held("farm", &ended);
    assert_eq!((ended.0, log(folder.path())), (1, None));
    for line in 2..=7 {
        assert!(ended.2.contains(&format!("scale.csv:{line}:")), "line {line}\n{}", ended.2);
    }
    // The lot and the field may be said once for all that name none.
    let twice =
        "Ticket,Date,Material,Field,Gross,Tare,Net,Customer,Driver\n7,3/1/2027,,,,,20000,,\n7,3/1/2027,,,,,2000,,\n";
    std::fs::write(folder.path().join("scale.csv"), twice).unwrap();
    let ended = tickets(folder.path(), &["spread", "--lot", "crust", "--field", "B1"]);
    assert!(ended.0 == 1 && ended.2.contains("the ticket `7` is here twice"), "{ended:?}");
    std::fs::write(folder.path().join("scale.csv"), twice.replace("\n7,3/1/2027,,,,,2000,,", "")).unwrap();
    let ended = tickets(folder.path(), &["spread", "--lot", "crust", "--field", "B1"]);
    assert_eq!(ended.0, 0, "{ended:?}");
    let entry = &read(folder.path()).0.entries[0];
    assert_eq!((entry.word("soil_test"), entry.word("field")), ("2025-11-12, state agronomic lab", "B1"));
    assert_eq!(tickets(folder.path(), &["haul", "--field", "B1"]).0, 2, "a load that is hauled has no field");
}

/// A ticket that was corrected or declared void since is still in the log; one
/// with another weight under its number is not let in.
#[test]
fn a_number_is_one_ticket() {
    let folder = folder(FILE);
    assert_eq!(tickets(folder.path(), &["haul"]).0, 0);
    let ids: Vec<String> = read(folder.path()).0.entries.iter().map(|e| e.id.clone()).collect();
    let today = ["--today", "2027-04-01"];
    let correct = ["log", "correct", &ids[0], "--set", "tons=14", "--set", "tickets="];
    let void = ["log", "void", &ids[1], ".", "--note", "not ours"];
    assert_eq!(sward(folder.path(), &[&correct[..], &today[..]].concat()).0, 0);
    assert_eq!(sward(folder.path(), &[&void[..], &today[..]].concat()).0, 0);
    let before = log(folder.path());
    assert_eq!(tickets(folder.path(), &["haul"]).0, 0);
    assert_eq!(log(folder.path()), before);

    let other = FILE.replace("54301,26500,,", "54401,26500,,").to_string() + "1209,3/2/2027,crust,,,,20000,X,\n";
    std::fs::write(folder.path().join("scale.csv"), other).unwrap();
    let ended = tickets(folder.path(), &["haul"]);
    held("other-weight", &ended);
    assert_eq!((ended.0, log(folder.path())), (1, before.clone()));

    // Half a line at the end stops it before anything is written.
    let torn = [before.unwrap(), b"half".to_vec()].concat();
    std::fs::write(folder.path().join("log.csv"), &torn).unwrap();
    std::fs::write(folder.path().join("scale.csv"), FILE).unwrap();
    let ended = tickets(folder.path(), &["haul"]);
    assert!(ended.0 == 1 && ended.2.contains("[log-half-line]"), "{ended:?}");
    assert_eq!(log(folder.path()), Some(torn));
}

/// Numbers of tickets that were logged by hand count too.
#[test]
fn tickets_logged_by_hand_are_known() {
    let folder = folder(FILE);
    let by_hand = [
        "log",
        "haul",
        ".",
        "--date",
        "2027-03-01",
        "--today",
        "2027-04-01",
        "--lot",
        "clean-out",
        "--ticket",
        "28640 lb",
        "--ticket",
        "27800 lb",
        "--ticket-number",
        "1201, 1202",
        "--to",
        "Co-op",
        "--address",
        "x",
        "--use",
        "y",
        "--analysis",
        "none given",
    ];
    let ended = sward(folder.path(), &by_hand);
    assert_eq!(ended.0, 0, "{ended:?}");
    let ended = tickets(folder.path(), &["haul"]);
    assert!(ended.0 == 0 && ended.1.starts_with("logged 1 ticket of scale.csv"), "{ended:?}");
    assert_eq!(read(folder.path()).0.entries.len(), 2);
}

/// Many at once: one line each, in the order of the file, under the old log.
#[test]
fn a_year_of_tickets_is_one_write() {
    let mut rows = "Ticket,Date,Material,Field,Gross,Tare,Net,Customer,Driver\n".to_string();
    for n in 0..500 {
        rows.push_str(&format!("{n},3/1/2027,crust,,{},26500,,\"=HYPERLINK(\"\"x\"\")\",+1\n", 36_501 + n));
    }
    let folder = folder(&rows);
    let old = "date,what,lot,field,tons,note\r\n2027-03-02,haul,crust,,8,sold\r\n";
    std::fs::write(folder.path().join("log.csv"), old).unwrap();
    assert_eq!(tickets(folder.path(), &["haul"]).0, 0);
    let text = String::from_utf8(log(folder.path()).unwrap()).unwrap();
    assert!(text.starts_with(old) && text.matches('\n').count() == text.matches("\r\n").count());
    let (happened, findings) = read(folder.path());
    assert!(!findings.has_errors(), "{findings:?}");
    assert_eq!(happened.entries.len(), 501);
    assert_eq!(happened.entries[500].word("to"), "=HYPERLINK(\"x\")");
    assert!(!text.contains(",=") && !text.contains(",\"="), "no cell runs in a spreadsheet");
    assert_eq!(happened.moved("crust", What::Haul), Pounds(16_000 + (10_001..=10_500).sum::<i64>()));
}

#[test]
fn a_farm_that_names_no_columns_is_told_how() {
    let folder = folder(FILE);
    std::fs::copy(Path::new(env!("CARGO_MANIFEST_DIR")).join("fields/farm.yaml"), folder.path().join("farm.yaml"))
        .unwrap();
    let ended = tickets(folder.path(), &["haul"]);
    held("no-columns", &ended);
    assert_eq!(ended.0, 1);
    let farm = std::fs::read_to_string(folder.path().join("farm.yaml")).unwrap();
    for (names, says) in [
        (NAMES.replace("date: Date in month/day/year, ", ""), "`date` is missing"),
        (NAMES.replace("net: Net in lb, ", "").replace("tare: Tare in lb, ", ""), "neither `net` nor both"),
        (NAMES.replace("Tare in lb", "Tare in bushels"), "`tare` is not written in `bushels`"),
        (NAMES.replace("Tare in lb", "Tare"), "the unit of the column `Tare` is not stated"),
        (NAMES.replace("operator: Driver", "operator: Diver"), "did you mean `Driver`?"),
        (NAMES.replace("operator: Driver", "driver: Driver"), "the key `driver` is not known"),
    ] {
        std::fs::write(folder.path().join("farm.yaml"), format!("{farm}{names}")).unwrap();
        let ended = tickets(folder.path(), &["haul"]);
        assert!(ended.0 == 1 && ended.2.contains(says), "{says}: {}", ended.2);
        assert_eq!(log(folder.path()), None);
    }
    let ended = sward(folder.path(), &["log", "tickets", "nowhere.csv", ".", "--kind", "haul"]);
    assert_eq!(ended.0, 1, "{ended:?}");
}
