//! The day as of which a plan is made: `--on`, else `plan.as_of`, else today.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod demo;
mod kit;

use jiff::civil::{Date, date};
use kit::{at_root, root};
use sward::farm::FarmText;
use sward::pipeline::{Day, Folder, Planned, Question};
use sward::plan::Mends;
use sward::write;

const STATED: &str = "  as_of: 2027-02-01             # so that this demo plans the same on any day\n";

fn planned(question: &Question<'_>) -> Planned {
    question.plan().unwrap_or_else(|f| panic!("{:?}", f.sorted()))
}

/// The demo farm without its own day.
fn unstated() -> FarmText {
    demo::with_main(|main| demo::instead(&main, STATED, ""))
}

fn as_of(texts: &FarmText, day: Day) -> Date {
    planned(&Question::of(Folder::memory(texts), day)).audited.plan().as_of
}

#[test]
fn what_is_asked_goes_before_what_is_stated_and_that_before_today() {
    let (asked, today) = (Day::Asked(date(2027, 3, 9)), Day::Stated { today: date(2027, 4, 4) });
    assert_eq!(as_of(&demo::texts(), asked), date(2027, 3, 9));
    assert_eq!(as_of(&demo::texts(), today), date(2027, 2, 1));
    assert_eq!(as_of(&unstated(), asked), date(2027, 3, 9));
    assert_eq!(as_of(&unstated(), today), date(2027, 4, 4));
}

/// README's first command prints the same bytes on any day.
#[test]
fn the_demo_plans_the_same_whatever_day_it_is() {
    let folder = root().join("fields");
    let on = |today: Date| {
        let planned = planned(&Question::of(Folder::disk(&folder), Day::Stated { today }));
        let days = sward::plan::days::days(planned.audited.plan(), &planned.ready, planned.ready.from, &[]);
        (
            write::plan_json(&planned.audited),
            write::plan_with(&planned.audited, &write::Beside { days: days.as_ref(), mends: &Mends::default() }, 80),
        )
    };
    let [then, later] = [date(2027, 2, 1), date(2035, 8, 15)].map(on);
    assert_eq!(then, later);
    assert_eq!(then, on(date(2027, 11, 30)));
}

/// What was done later than the day that is asked for has not happened yet.
#[test]
fn the_log_ends_with_the_day_that_is_asked_for() {
    let texts = demo::texts();
    let log = "date,what,lot,field,tons\n2027-03-01,haul,clean-out,,10\n2027-03-09,haul,clean-out,,7\n";
    let hauled = |day| {
        let planned = planned(&Question::of(Folder::Memory { texts: &texts, log }, day));
        planned.audited.plan().lots[0].hauled.tons()
    };
    assert_eq!(hauled(Day::Asked(date(2027, 2, 28))), 0.0);
    assert_eq!(hauled(Day::Asked(date(2027, 3, 1))), 10.0);
    assert_eq!(hauled(Day::Asked(date(2027, 3, 9))), 17.0);
    // The day that farm.yaml states, and today, end it alike.
    let hauled = |texts: &FarmText, today| {
        let planned = planned(&Question::of(Folder::Memory { texts, log }, Day::Stated { today }));
        planned.audited.plan().lots[0].hauled.tons()
    };
    assert_eq!(hauled(&texts, date(2027, 3, 9)), 0.0);
    let stated = demo::with_main(|main| demo::instead(&main, "as_of: 2027-02-01", "as_of: 2027-03-01"));
    assert_eq!(hauled(&stated, date(2027, 2, 1)), 10.0);
    for (today, tons) in [(date(2027, 2, 28), 0.0), (date(2027, 3, 1), 10.0), (date(2027, 3, 9), 17.0)] {
        assert_eq!(hauled(&unstated(), today), tons, "{today}");
    }
}

/// What does not count yet is told with what to do, by every report that plans, whichever
/// way the day was given; a record is shown whole.
#[test]
fn what_lies_after_the_day_is_told_everywhere() {
    let folder = kit::demo_folder();
    let path = folder.path();
    let log = "date,what,lot,field,tons\n2027-02-20,haul,clean-out,,4\n2027-03-01,haul,clean-out,,10\n2027-03-09,haul,clean-out,,7\n";
    std::fs::write(path.join("log.csv"), log).unwrap();
    let run = |args: &[&str]| {
        let ended = kit::sward(path, args);
        assert_eq!(ended.code, 0, "{args:?}: {}", ended.err);
        kit::flat(&format!("{}{}", ended.out, ended.err))
    };
    let plan = kit::sward(path, &["plan", "--json"]).out;
    std::fs::write(path.join("plan.json"), &plan).unwrap();
    let told = "3 entries of the log lie after the day of the plan, 2027-02-01, and do not count yet";
    let fix = "move `plan.as_of` in farm.yaml to 2027-03-09, or give `--on 2027-03-09`";
    for args in [
        &["plan"] as &[&str],
        &["check"],
        &["tally"],
        &["today"],
        &["limits"],
        &["audit", "plan.json", "."],
        &["plan", "--on", "2027-02-01"],
        &["tally", "--on", "2027-02-01"],
        &["tally", "--year", "2027", "--on", "2027-02-01"],
    ] {
        let said = run(args);
        // An audit takes no other day than the plan's own.
        let fix = if args[0] == "audit" { "to count them, make a new plan" } else { fix };
        assert!(said.contains(told) && said.contains(fix), "{args:?}: {said}");
    }
    let some = run(&["check", "--on", "2027-03-01"]);
    assert!(some.contains("1 entry of the log lies after the day of the plan, 2027-03-01, and does not"), "{some}");
    let json: serde_json::Value = serde_json::from_str(&plan).unwrap();
    assert!(json["findings"].as_array().unwrap().iter().any(|finding| finding["code"] == "log-later"));
    for args in
        [&["plan", "--on", "2027-03-09"] as &[&str], &["tally", "--year", "2027"], &["check", "--on", "2027-03-09"]]
    {
        assert!(!run(args).contains("do not count yet"), "{args:?}");
    }
    assert!(run(&["tally", "--year", "2027"]).contains("together 21.00 tons"));
    // A line that was logged after the stated day says so.
    let rain = ["log", "rain", "--inches", "0.2", "--date", "2027-03-10", "--today", "2027-03-10"];
    assert!(run(&rain).contains("this entry does not count before 2027-03-10. Move `plan.as_of`"), "{}", run(&rain));
}

fn run(args: &[&str]) -> String {
    let (code, out, err) = at_root(args);
    assert_eq!(code, 0, "{args:?}: {err}");
    out
}

#[test]
fn every_report_that_plans_takes_a_day_and_the_main_ones_show_it() {
    let told = run(&["plan", "fields", "--on", "2027-03-09"]);
    assert!(told.starts_with("Two Chimney Farm: litter plan 2027-02-15 to 2027-10-31, as of 2027-03-09\n"), "{told}");
    let json: serde_json::Value = serde_json::from_str(&run(&["plan", "fields", "--json"])).unwrap();
    assert_eq!(json["as_of"], "2027-02-01");
    assert!(run(&["limits", "fields", "--on", "2027-03-09"]).contains("as of 2027-03-09"));
    for args in [
        &["check", "fields"] as &[&str],
        &["why", "B1", "fields"],
        &["days", "fields"],
        &["today", "fields"],
        &["tally", "fields"],
        &["calibrate", "fields"],
        &["compare", "fields", "fields"],
        &["export", "csv", "fields", "--table", "plan"],
        &["map", "fields", "--json"],
    ] {
        run(&[args, &["--on", "2027-03-09"]].concat());
    }
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path().to_str().unwrap();
    run(&["sheets", "fields", "--pdf", "--on", "2027-03-09", "-o", at]);
    run(&["binder", "fields", "--on", "2027-03-09", "-o", at]);
    for name in ["sheets.html", "binder.html"] {
        assert!(std::fs::read_to_string(folder.path().join(name)).unwrap().contains("as of Mar 9, 2027"), "{name}");
    }
}
