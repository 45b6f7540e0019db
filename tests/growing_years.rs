//! A plan over two growing years says what is needed in which, buys for one of them, and
//! shows what is allowed and planned over the same days; a need that no figure tells is
//! named, never shown as zero.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod demo;
#[allow(dead_code)]
#[path = "periods/farm.rs"]
mod farm;

use farm::*;
use std::sync::Arc;
use sward::plan::Plan;
use sward::tables::Tables;

/// Fescue whose growing year begins in September, in two states.
fn september() -> Arc<Tables> {
    with(&figure("growing_year", "forage: tall_fescue", "season: {opens: 09-01, closes: 08-31}"))
}

fn made(place: [&str; 4], days: (&str, &str), log: &str) -> Plan {
    let texts = texts(place, days, "");
    let (plan, ready) = answer(&texts, log, &september());
    let faults = sward::audit::faults(&plan, &ready, &september());
    assert!(faults.is_empty(), "{place:?}: {:?}", faults.sorted());
    plan
}

#[test]
fn nothing_is_bought_twice() {
    let mut counted = 0;
    for place in PLACES {
        // By hand: the year to August 2027 has 198 of the plan's 259 days.
        let plan = made(place, ("2027-02-15", "2027-10-31"), "");
        // Some states have no season for fescue in fall, or a year of their own.
        if plan.fields[0].years.len() < 2 || plan.fields[0].years[0].last.month() != 8 {
            continue;
        }
        counted += 1;
        let one = made(place, ("2027-02-15", "2027-08-31"), "");
        let (field, alone) = (&plan.fields[0], &one.fields[0]);
        let bought: Vec<bool> = field.years.iter().map(|year| year.bought_for).collect();
        assert_eq!(bought, [true, false], "{place:?}");
        assert_eq!((field.need.n, field.need.k2o), (alone.need.n, alone.need.k2o), "{place:?}");
        assert!((field.need.n - field.years[0].need.n).abs() < 1e-9);
        // What goes on in the second year lessens nothing that the first is short of.
        let year = &field.years[0];
        assert!((field.short.n - (year.need.n - year.supplied.n).max(0.0)).abs() < 1e-6, "{place:?}");
        let supplied: f64 = field.years.iter().map(|year| year.supplied.p2o5).sum();
        assert!((supplied - field.supplied.p2o5).abs() < 1e-6);
        // A plan that follows buys for the other one.
        let next = made(place, ("2027-11-01", "2028-10-31"), "");
        let ends = |plan: &Plan| -> Vec<String> {
            let years = plan.fields[0].years.iter().filter(|year| year.bought_for);
            years.map(|year| year.last.to_string()).collect()
        };
        assert_eq!((ends(&plan), ends(&next)), (vec!["2027-08-31".into()], vec!["2028-08-31".into()]), "{place:?}");
    }
    assert!(counted > 0);
    // Of a year that begins in April the plan has 214 days, and 45 of the one before.
    let april = with(&figure("growing_year", "forage: tall_fescue", "season: {opens: 04-01, closes: 03-31}"));
    let mut counted = 0;
    for place in PLACES {
        let (plan, ready) = answer(&texts(place, ("2027-02-15", "2027-10-31"), ""), "", &april);
        assert!(sward::audit::faults(&plan, &ready, &april).is_empty(), "{place:?}");
        let field = &plan.fields[0];
        // A state with a growing year of its own keeps that.
        if let [before, year] = &field.years[..]
            && year.first.month() == 4
        {
            counted += 1;
            assert!(!before.bought_for && year.bought_for, "{place:?}");
            assert!((field.need.n - year.need.n).abs() < 1e-9 && field.short == year.short, "{place:?}");
        }
    }
    assert!(counted > 0);
}

/// Litter of a growing year that nothing is bought for replaces what that year would have
/// been short of: the plan counts it, and the audit finds the same dollars.
#[test]
fn litter_of_the_year_after_replaces_fertilizer_too() {
    let mut counted = 0;
    for place in PLACES {
        for (log, days) in [
            (",2026-10-10,spread,shed,F1,40,\n", ("2027-02-15", "2027-10-31")),
            ("", ("2027-02-15", "2027-10-31")),
            (",2027-06-10,spread,shed,F1,40,\n,2027-06-10,spread,shed,F2,60,\n", ("2027-06-20", "2028-01-31")),
        ] {
            let mut texts = texts(place, days, "");
            let prices = "prices: {n: 0.62 $/lb, p2o5: 0.58 $/lb, k2o: 0.42 $/lb, litter_sold: 4 $/ton, \
                          loading_spreading: 3 $/ton, hauling: 0 $/ton-mile, \
                          sure: {by: a planner, on: 2027-01-10}}\n";
            texts.main = texts.main.map(|main| format!("{main}{prices}"));
            let (plan, ready) = answer(&texts, log, &september());
            let faults = sward::audit::faults(&plan, &ready, &september());
            assert!(faults.is_empty(), "{place:?}: {:?}", faults.sorted());
            let money = plan.money.as_ref().unwrap();
            let dollars = |lb: [f64; 3]| lb[0] * 0.62 + lb[1] * 0.58 + lb[2] * 0.42;
            let (mut replaced, mut of_others) = (0.0, 0.0);
            for field in &plan.fields {
                for year in &field.years {
                    let met = |need: f64, on: f64, put: f64| (need - on).max(0.0).min(put);
                    let (need, on, put) = (&year.need, year.done, year.supplied);
                    let all =
                        [met(need.n, on.n, put.n), met(need.p2o5, on.p2o5, put.p2o5), met(need.k2o, on.k2o, put.k2o)];
                    replaced += field.acres * dollars(all);
                    of_others += if year.bought_for { 0.0 } else { field.acres * dollars(all) };
                }
            }
            assert!((money.replaced - replaced).abs() < 2.0, "{place:?}: {money:?}, by hand {replaced}");
            counted += usize::from(of_others > 100.0);
        }
    }
    assert!(counted > 0);
}

#[test]
fn allowed_and_planned_are_of_the_same_days() {
    for place in [PLACES[0], PLACES[2]] {
        for log in ["", ",2026-10-10,spread,shed,F1,9,\n", ",2026-04-10,spread,shed,F1,12,\n"] {
            let plan = made(place, ("2027-02-15", "2027-10-31"), log);
            for field in &plan.fields {
                for used in [field.n_used, field.phosphorus.used].into_iter().flatten() {
                    let alone = field.applications.is_empty();
                    assert!(used.on <= used.allowed + 0.01 || alone, "{place:?} {}: {used:?}", field.id);
                }
                // Each growing year has its own need; no limit allows two of them at once.
                let used = field.n_used.unwrap();
                assert!((used.allowed - field.years[0].need.n).abs() < 1.0, "{place:?}: {used:?}");
            }
        }
    }
}

#[test]
fn a_need_without_a_figure_is_not_zero() {
    // Georgia's needs come with the laboratory's report.
    for place in [PLACES[1], PLACES[5]] {
        let texts = texts(place, ("2027-02-15", "2027-10-31"), "");
        let (made, ready) = answer(&texts, "", &TABLES);
        let Some(field) = made.fields.iter().find(|field| !field.need.known().k2o) else {
            panic!("{place:?} has a figure: {:?}", made.fields[0].need)
        };
        assert!(sward::audit::faults(&made, &ready, &TABLES).is_empty(), "{place:?}");
        let json = serde_json::to_value(&made).unwrap();
        let shown = json["fields"].as_array().unwrap().iter().find(|own| own["id"] == field.id.as_str()).unwrap();
        assert!(shown["need"]["k2o"].is_null() && shown["short"]["k2o"].is_null() && shown["need"]["n"].is_number());
        let missing = |code: &str| ["figure-missing", "need-unknown"].contains(&code);
        let told = made.findings.iter().filter(|f| missing(&f.code) && f.found.contains("k2o_need")).count();
        assert!(told > 0, "{:?}", made.findings);
        for finding in made.findings.iter().filter(|f| missing(&f.code)) {
            let lines = finding.lines.join("\n");
            let topic = if finding.found.contains("k2o_need") { "k2o_need" } else { "p2o5_need" };
            for part in ["figures:", &format!("- {{topic: {topic}"), "forage: tall fescue", "lb/ac, by: "] {
                assert!(lines.contains(part), "{part}: {lines}");
            }
            assert_eq!(lines.contains("class: "), finding.found.contains(" of class "), "{lines}");
            assert!(finding.fix.as_deref().unwrap().contains("soil report"), "{finding:?}");
        }
    }
}
