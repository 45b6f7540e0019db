//! Fertilizer and lime of the log count like litter: against every need and limit of
//! their field, in the plan, in what to buy, in `why`, and in the audit's own way.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod demo;
mod kit;

use kit::{Dice, Farm, PLACES, Place, demo_on, flat, passed_limits, planned, sward, verdict_codes};
use serde_json::{Value, json};
use std::path::Path;

const HEAD: &str = "date,what,lot,field,tons,grade,rate,acres\n";

/// The log of a farm: day, grade, rate, acres.
fn fertilized(farm: Farm, entries: &[(&str, &str, &str, &str)]) -> Farm {
    let line = |(date, grade, rate, acres): &(&str, &str, &str, &str)| {
        format!("{date},fertilizer,,A,,{grade},{rate} lb/ac,{acres}\n")
    };
    farm.lines(&(HEAD.to_string() + &entries.iter().map(line).collect::<String>()))
}

/// A farm that phosphorus limits, made for August to October.
fn in_august(place: &'static Place) -> Farm {
    Farm::new(place)
        .with("plan.from", "2027-08-15")
        .with("plan.to", "2027-10-31")
        .with("litter.heap.analysis.p2o5", "55 lb/ton")
        .with("litter.heap.analysis.total_n", "58 lb/ton")
        .with("spreader.least", "0.25 tons/ac")
        .with("spreader.step", "0.05 tons/ac")
        .with("fields.A.phosphorus_rating.rating", "high")
}

/// DAP in April is phosphate that litter may not bring again in August.
#[test]
fn fertilizer_in_spring_holds_the_phosphorus_of_litter_in_august() {
    for place in PLACES {
        let bare = planned(&in_august(place));
        let allowed = bare.number("A", "/phosphorus/allowed");
        assert!(bare.rate("A") > 0.4, "{}: {}", place.key, bare.rate("A"));
        let some = fertilized(in_august(place), &[("2027-04-10", "18-46-0", "60", "")]);
        let held = planned(&some);
        let (put, litter) = (60.0 * 0.46, held.number("A", "/supplied/p2o5"));
        assert!(litter <= allowed - put + 1e-6, "{}: {litter} and {put} of {allowed}", place.key);
        assert!(held.rate("A") < bare.rate("A") - 0.2, "{}: {}", place.key, held.rate("A"));
        let all = fertilized(in_august(place), &[("2027-04-10", "18-46-0", "300", "")]);
        let none = planned(&all);
        assert_eq!(none.rate("A"), 0.0, "{}", place.key);
        assert!(none.codes().contains("logged-over"), "{}: fertilizer alone is over", place.key);
        // A plan that does not know of it passes the limit, and the audit says so.
        assert!(passed_limits(&bare.text, &some).contains("nutrients"), "{}", place.key);
        assert!(passed_limits(&held.text, &some).is_empty(), "{}", place.key);
    }
}

/// What lies a growing year back is no nitrogen of this one; its phosphate may be.
#[test]
fn nitrogen_counts_in_its_own_year() {
    for place in PLACES {
        let left = |date: &str| {
            let farm = Farm::new(place).with("plan.to", "2027-05-31");
            planned(&fertilized(farm, &[(date, "46-0-0", "50", "")])).number("A", "/left/n")
        };
        let whole = planned(&Farm::new(place)).number("A", "/left/n");
        assert!((whole - left("2027-02-20") - 23.0).abs() < 1e-6, "{}: {whole}", place.key);
        assert!((whole - left("2025-03-01")).abs() < 1e-6, "{}", place.key);
    }
}

/// A plan that leaves the fertilizer out of what is on already is found out.
#[test]
fn a_figure_that_leaves_the_fertilizer_out_is_noticed() {
    for place in PLACES {
        let farm = fertilized(Farm::new(place), &[("2027-02-20", "15-15-15", "60", "")]);
        let made = planned(&farm);
        for (nutrient, word) in [("n", "N"), ("p2o5", "P2O5"), ("k2o", "K2O")] {
            assert!((made.number("A", &format!("/done/{nutrient}")) - 9.0).abs() < 1e-6, "{} {word}", place.key);
            let mut altered: Value = made.json.clone();
            altered["fields"][0]["done"][nutrient] = json!(0.0);
            assert!(verdict_codes(&altered.to_string(), &farm).contains("shown"), "{} {word}", place.key);
        }
        assert!(verdict_codes(&made.text, &farm).is_empty(), "{}", place.key);
    }
}

/// Whatever was logged, plan and audit come to the same by their own ways.
#[test]
fn plan_and_audit_agree_on_any_log() {
    for place in PLACES {
        for case in 0..12 {
            let mut dice = Dice::of_case(case);
            let mut lines = HEAD.to_string();
            for _ in 0..dice.pick(1, 5) {
                let day = format!("20{}-{:02}-{:02}", dice.pick(25, 27), dice.pick(1, 12), dice.pick(1, 28));
                let acres = ["", "3", "4.5", "8"][dice.below(4)];
                lines.push_str(&match dice.pick(0, 2) {
                    0 => format!("{day},spread,heap,A,{},,,{acres}\n", dice.pick(1, 20)),
                    _ => {
                        let grade = ["46-0-0", "18-46-0", "0-0-60", "10-10-10"][dice.below(4)];
                        format!("{day},fertilizer,,A,,{grade},{} lb/ac,{acres}\n", dice.pick(20, 200))
                    }
                });
            }
            let rating = ["low", "medium", "high"][dice.below(3)];
            let farm = in_august(place)
                .with("plan.from", "2027-02-15")
                .with("fields.A.phosphorus_rating.rating", rating)
                .lines(&lines);
            let made = planned(&farm);
            assert!(verdict_codes(&made.text, &farm).is_empty(), "{} {case}: {lines}", place.key);
        }
    }
}

fn plan_json(folder: &Path) -> Value {
    let ended = sward(folder, &["plan", "--json"]);
    assert_eq!(ended.code, 0, "{}{}", ended.out, ended.err);
    serde_json::from_str(&ended.out).unwrap()
}

fn of_field<'a>(plan: &'a Value, id: &str) -> &'a Value {
    plan["fields"].as_array().unwrap().iter().find(|f| f["id"] == id).unwrap()
}

/// Urea on H2, which gets no litter: less to buy by just its nitrogen, and the line of
/// the log is shown.
#[test]
fn urea_in_the_log_is_not_bought_again() {
    let folder = demo_on("2027-03-20");
    let before = plan_json(folder.path());
    let urea = ["log", "fertilizer", "--today", "2027-11-30", "--field", "H2", "--grade", "46-0-0"];
    let ended = sward(folder.path(), &[&urea[..], &["--rate", "100 lb/ac", "--date", "2027-03-20"]].concat());
    assert!(ended.code == 0 && !ended.err.contains("uncounted"), "{}{}", ended.out, ended.err);
    let after = plan_json(folder.path());
    let short = |plan: &Value| of_field(plan, "H2")["short"]["n"].as_f64().unwrap();
    assert!((short(&before) - short(&after) - 46.0).abs() < 1e-6, "{} {}", short(&before), short(&after));
    let dollars = |plan: &Value| plan["buy"]["with_litter"]["fertilizer"].as_f64().unwrap();
    assert!(dollars(&after) < dollars(&before) - 100.0, "{} {}", dollars(&before), dollars(&after));
    let why = flat(&sward(folder.path(), &["why", "H2"]).out);
    assert!(why.contains("fertilizer of 2027-03-20") && why.contains("log.csv:2"), "{why}");
    assert_eq!(sward(folder.path(), &["check"]).code, 0);
}

/// Lime that went on since the soil was sampled is off the lime to put on.
#[test]
fn lime_in_the_log_is_off_the_lime_that_is_advised() {
    let folder = demo_on("2027-03-20");
    let lime = |plan: &Value| of_field(plan, "N2")["lime"].clone();
    let needed = lime(&plan_json(folder.path()))["needed"].as_f64().unwrap();
    let log = |date: &str, rate: &str| {
        let line = format!("date,what,field,rate\n{date},lime,N2,{rate}\n");
        std::fs::write(folder.path().join("log.csv"), line).unwrap();
        lime(&plan_json(folder.path()))
    };
    let some = log("2027-02-20", "800 lb/ac");
    assert!((some["needed"].as_f64().unwrap() - (needed - 0.4)).abs() < 1e-9, "{some}");
    assert_eq!(some["logged"], 0.4);
    let page = flat(&sward(folder.path(), &["plan"]).out);
    assert!(page.contains("N2 0.19 tons/ac after 0.40 in the log"), "{page}");
    let enough = log("2027-02-20", "2 tons/ac");
    assert_eq!(enough["at_once"], 0.0, "{enough}");
    let long_ago = log("2020-02-20", "2 tons/ac");
    assert!(long_ago["needed"] == needed && long_ago["logged"].is_null(), "the test shows it: {long_ago}");
}
