//! Phosphate of earlier years: how much of it still counts, by what the forage carried
//! off in each of them, whatever day a plan begins on. Counted here a second way.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod demo;
#[allow(dead_code)]
#[path = "periods/farm.rs"]
mod farm;

use farm::*;
use jiff::ToSpan;
use jiff::civil::{Date, date};
use sward::audit;
use sward::farm::FarmText;
use sward::plan::Plan;

/// Pounds of P2O5 in a ton.
const P2O5: f64 = 55.0;
/// Virginia and Alabama hold a field that is rated high to what the hay carries off, over
/// calendar years and any twelve months; three years' at once by a row of the test.
const STATES: [[&str; 4]; 2] = [PLACES[2], PLACES[5]];

/// A farm with more keys of F1, its papers old enough for every day of this test.
fn texts_from(place: [&str; 4], from: Date, to: &str, more: &str) -> FarmText {
    let made = texts(place, ("FIRST", to), more);
    let main = made.main.as_ref().map(|main| main.replace("2027-01-20", "SAMPLED") + &demo::said_needs());
    let texts = early(FarmText { main, ..made });
    let main = texts.main.as_ref().map(|main| {
        let (from, sampled) = (from.to_string(), from.checked_sub(5.days()).unwrap().to_string());
        main.replace("FIRST", &from).replace("SAMPLED", &sampled)
    });
    as_of(&FarmText { main, ..texts }, &from.to_string())
}

fn sound(texts: &FarmText, log: &str) -> Plan {
    let (made, ready) = answer(texts, log, &BANKS);
    let faults = audit::faults(&made, &ready, &BANKS);
    assert!(faults.is_empty(), "{:?}\n{log}", faults.sorted());
    made
}

fn field_of(plan: &Plan) -> &sward::plan::answer::FieldPlan {
    &plan.fields[0]
}

/// An entry of the log that puts so much phosphate on.
fn put_on(day: &str, lb: f64, acres: f64) -> String {
    format!(",{day},spread,shed,F1,{:.4},\n", lb / P2O5 * acres)
}

/// Left when 2027 begins: year by year what is on, less what came off.
fn left(spread: &[(i16, f64)], off: impl Fn(i16) -> f64) -> f64 {
    (2024..2027).fold(0.0, |left: f64, year| {
        let on: f64 = spread.iter().filter(|(own, _)| *own == year).map(|(_, lb)| lb).sum();
        (left + on - off(year)).max(0.0)
    })
}

#[test]
fn what_earlier_years_left_does_not_depend_on_the_first_day() {
    for place in STATES {
        for (more, banks) in [("", 1.0), ("    bank_years: 3\n", 3.0)] {
            let bare = sound(&texts_from(place, date(2027, 2, 16), "2027-10-31", more), "");
            let (acres, a_year) = (bare.fields[0].acres, bare.fields[0].removed.p2o5);
            for spread in [vec![(2026, 1.4)], vec![(2025, 2.5), (2026, 0.3)], vec![(2026, 2.9)]] {
                let spread: Vec<(i16, f64)> = spread.into_iter().map(|(year, years)| (year, years * a_year)).collect();
                let log: String =
                    spread.iter().map(|(year, lb)| put_on(&format!("{year}-04-10"), *lb, acres)).collect();
                let carried = left(&spread, |_| a_year);
                let allowed = if carried > 0.0 { (a_year - carried).max(0.0) } else { banks * a_year };
                // Days of December and of January, and the days between.
                for from in (0..90).step_by(15).map(|n| date(2026, 12, 1).checked_add(n.days()).unwrap()) {
                    let plan = sound(&texts_from(place, from, "2027-10-31", more), &log);
                    let field = field_of(&plan);
                    let in_2027 = |first: Date| first.year() == 2027;
                    let planned: f64 =
                        field.applications.iter().filter(|a| in_2027(a.first)).map(|a| a.rate * P2O5).sum();
                    assert!(planned <= allowed + 0.01, "{place:?} {from} {spread:?}: {planned} of {allowed}");
                    if field.windows.iter().all(|w| in_2027(w.first)) {
                        let shown = field.phosphorus.allowed.unwrap();
                        assert!((shown - allowed).abs() < 0.05, "{place:?} {from} {spread:?}: {shown} {allowed}");
                    }
                }
            }
        }
    }
}

/// The hay of the year in which a plan begins comes off for its windows in the next.
#[test]
fn a_plan_over_new_year_knows_the_harvest_between() {
    for place in STATES {
        let more = "    bank_years: 3\n";
        let plan = |from: Date, log: &str| sound(&texts_from(place, from, "2027-10-31", more), log);
        let bare = plan(date(2027, 1, 1), "");
        let (acres, a_year) = (bare.fields[0].acres, bare.fields[0].removed.p2o5);
        let log = put_on("2025-08-20", 2.6 * a_year, acres);
        let of_2027 = |plan: &Plan| -> f64 {
            let all = field_of(plan).applications.iter().filter(|a| a.first.year() == 2027);
            all.map(|a| a.rate).sum()
        };
        let (fall, winter) = (plan(date(2026, 11, 1), &log), plan(date(2027, 1, 1), &log));
        assert!((of_2027(&fall) - of_2027(&winter)).abs() < 0.051, "{} {}", of_2027(&fall), of_2027(&winter));
        assert!(of_2027(&winter) * P2O5 <= 0.4 * a_year + 0.01, "{} {a_year}", of_2027(&winter) * P2O5);
    }
}

/// Each year's removal is by the goal that was in force in it.
#[test]
fn earlier_years_go_by_their_own_yield_goal() {
    for place in STATES {
        let from = date(2027, 2, 16);
        let bare = sound(&texts_from(place, from, "2027-10-31", ""), "");
        let (acres, four_tons) = (bare.fields[0].acres, bare.fields[0].removed.p2o5);
        let now = bare.fields[0].phosphorus.allowed.unwrap();
        for (goal, years) in [(2.0, 0.9), (3.0, 1.2), (6.0, 1.4), (8.0, 1.9)] {
            let then = format!("    before: [{{until: 2026-12-31, yield_goal: {goal} tons/ac}}]\n");
            let on = years * four_tons;
            let log = put_on("2026-04-10", on, acres);
            let plan = sound(&texts_from(place, from, "2027-10-31", &then), &log);
            let carried = (on - four_tons * goal / 4.0).max(0.0);
            let shown = plan.fields[0].phosphorus.allowed.unwrap();
            assert!((shown - (now - carried).max(0.0)).abs() < 0.05, "{place:?} {goal}: {shown} {now} {carried}");
            let says = |code: &str| plan.findings.iter().any(|f| f.code == code);
            assert_eq!(says("log-banked"), carried > 0.0, "{place:?} {goal}");
            // What was within the limit of its year is no fault of the log.
            assert!(carried > 0.0 || !says("logged-over"), "{place:?} {goal}: {:?}", plan.findings);
        }
        // A forage that changed within the year: the smaller removal holds.
        let within = "    before: [{until: 2026-08-31, yield_goal: 2 tons/ac}]\n";
        let log = put_on("2026-04-10", 0.9 * four_tons, acres);
        let plan = sound(&texts_from(place, from, "2027-10-31", within), &log);
        let shown = plan.fields[0].phosphorus.allowed.unwrap();
        assert!((shown - (now - 0.4 * four_tons)).abs() < 0.05, "{place:?}: {shown} {now}");
        // The limit of some days of that year was the larger one: no more went on than was
        // allowed, and no rating of its day capped what went on while it was low.
        let high = "phosphorus_rating: {rating: high, by: a planner, on: 2024-12-20}";
        let lists = |then: &str| {
            format!(
                "phosphorus_rating: [{{rating: {then}, by: a planner, on: 2025-01-10}}, \
                 {{rating: high, by: a planner, on: 2026-12-10}}]"
            )
        };
        for (more, rated, years, fix) in [
            (within, high.to_string(), 0.9, "nothing to do"),
            (within, high.to_string(), 1.1, "more went on"),
            ("", lists("low"), 1.4, "nothing to do"),
            ("", lists("high"), 1.4, "more went on"),
        ] {
            let texts = texts_from(place, from, "2027-10-31", more);
            let main = texts.main.as_ref().map(|main| main.replace(high, &rated));
            let plan = sound(&FarmText { main, ..texts }, &put_on("2026-09-10", years * four_tons, acres));
            let told = plan.findings.iter().find(|f| f.code == "log-banked").unwrap();
            assert!(told.fix.as_deref().unwrap().starts_with(fix), "{place:?} {years} {rated}: {told:?}");
        }
    }
}

/// Several years at once are followed by rest, in allowance, table and words alike.
#[test]
fn a_banked_field_rests_until_it_is_carried_off() {
    for place in STATES {
        let more = "    bank_years: 3\n";
        let plan =
            |year: i16, log: &str| sound(&texts_from(place, date(year, 2, 16), &format!("{year}-10-31"), more), log);
        let bare = plan(2027, "");
        let (acres, a_year) = (bare.fields[0].acres, bare.fields[0].removed.p2o5);
        let told = |plan: &Plan| plan.findings.iter().find(|f| f.code == "log-banked").cloned().unwrap();
        for (years, allowed, next, through, fix) in [
            (2.9, 0.0, 0.1, Some(2028), "nothing to do: the field rests"),
            (1.6, 0.4, 3.0, None, "nothing to do: the plan keeps to that"),
            (4.5, 0.0, 0.0, Some(2030), "more went on than was allowed"),
        ] {
            let log = put_on("2026-04-10", years * a_year, acres);
            let made = plan(2027, &log);
            let shown = made.fields[0].phosphorus.allowed.unwrap();
            assert!((shown - allowed * a_year).abs() < 0.05, "{place:?} {years}: {shown}");
            assert_eq!(made.fields[0].phosphorus.rests_through, through, "{place:?} {years}");
            let told = told(&made);
            assert!(told.fix.as_deref().unwrap().starts_with(fix), "{told:?}");
            let after = plan(2028, &log).fields[0].phosphorus.allowed.unwrap();
            assert!((after - next * a_year).abs() < 0.05, "{place:?} {years}: {after}");
        }
    }
}

/// Where the rule allows 1.5 times what the hay carries off, a year within it leaves nothing,
/// what is above it still counts, and a year without litter takes off the hay's own removal,
/// not 1.5 times it.
#[test]
fn a_factor_of_the_rule_carries_nothing_off() {
    let place = PLACES[2];
    let from = date(2027, 2, 16);
    let medium = |texts: FarmText| {
        let main = texts.main.map(|main| main.replace("rating: high", "rating: medium"));
        FarmText { main, ..texts }
    };
    let plan = |to: &str, log: &str| sound(&medium(texts_from(place, from, to, "")), log);
    let bare = plan("2027-10-31", "");
    let (acres, off) = (bare.fields[0].acres, bare.fields[0].removed.p2o5);
    let allowed = bare.fields[0].phosphorus.allowed.unwrap();
    assert!((allowed - 1.5 * off).abs() < 0.01, "{allowed} {off}");
    // Years of removal that went on in 2025 and 2026, and how many still count.
    for (in_2025, in_2026, left) in [
        (0.0, 1.5, 0.0),
        (1.4, 1.4, 0.0),
        (0.0, 2.0, 0.5),
        (3.0, 0.0, 0.5),
        (3.0, 0.5, 1.0),
        (3.0, 1.2, 1.5),
        (2.0, 2.0, 1.0),
    ] {
        let put = |day: &str, years: f64| if years > 0.0 { put_on(day, years * off, acres) } else { String::new() };
        let log = put("2025-04-10", in_2025) + &put("2026-04-10", in_2026);
        let made = plan("2027-10-31", &log);
        let shown = made.fields[0].phosphorus.allowed.unwrap();
        let asked = ((1.5 - left) * off).max(0.0);
        assert!((shown - asked).abs() < 0.05, "{in_2025} {in_2026}: {shown}, not {asked}");
        let told = made.findings.iter().find(|f| f.code == "log-banked").map(|f| f.found.clone());
        assert_eq!(told.is_some(), left > 0.0, "{told:?}");
        if let Some(told) = told {
            let pounds = sward::units::number_text(left * off, 1);
            assert!(told.contains(&format!("{pounds} lb/ac of P2O5")), "{told}");
            assert!(told.contains("above what the rule allows") && !told.contains("not carried off"), "{told}");
        }
        // Over the end of a year too, by balance and audit alike.
        sound(&medium(texts_from(place, date(2026, 11, 1), "2027-10-31", "")), &log);
    }
}
