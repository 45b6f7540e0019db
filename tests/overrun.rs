//! What the log shows beyond a limit is reported by `check` and by the plan:
//! field, limit, what is allowed, what is logged.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Farm, PLACES, planned, sward};
use serde_json::Value;

/// Litter of 20 lb of total nitrogen and 2 lb of P2O5 a ton on ten acres.
fn spread(place: &'static kit::Place, tons: &str) -> Farm {
    Farm::new(place).with("plan.to", "2027-10-31").with("plan.as_of", "2027-04-30").logged(
        "2027-03-01",
        "spread",
        "heap",
        "A",
        tons,
    )
}

fn over(plan: &Value) -> Vec<String> {
    let findings = plan["findings"].as_array().unwrap();
    let over = findings.iter().filter(|f| f["code"] == "logged-over");
    over.map(|f| f["found"].as_str().unwrap().to_string()).collect()
}

/// Tons that use up so many pounds an acre of available nitrogen.
fn tons(plan: &kit::Planned, pounds: f64) -> f64 {
    plan.number("A", "/acres") * pounds / plan.figures().available(20.0, 4.0)
}

#[test]
fn a_season_that_got_more_than_its_share_is_reported() {
    for place in PLACES {
        let bare = planned(&Farm::new(place).with("plan.to", "2027-10-31"));
        let windows = bare.field("A")["windows"].as_array().unwrap();
        let spring = windows.iter().find(|w| w["season"] == "spring").unwrap();
        let share = spring["n_share"].as_f64().unwrap();
        assert!(share < 1.0, "{}: the season has a share", place.key);
        let need = bare.number("A", "/need/n");
        let just = tons(&bare, need * share);
        for (tons, reported) in [(just - 0.1, false), (just + 0.1, true)] {
            let plan = planned(&spread(place, &format!("{tons:.2}")));
            let over = over(&plan.json);
            assert_eq!(!over.is_empty(), reported, "{} {tons}: {over:?}", place.key);
            let allowed = sward::units::number_text(need * share, 1);
            for found in &over {
                assert!(found.starts_with("field A: the log shows "), "{found}");
                assert!(found.contains("lb/ac of available N in spring"), "{found}");
                let signs = ["", "?", "~", "^"].map(|sign| format!("and {allowed}{sign} are allowed"));
                assert!(signs.iter().any(|said| found.contains(said)), "{found}");
            }
        }
    }
}

/// Twelve months that the log is over are told on every day of a plan, whether a window or
/// the day lies in them or not: the record stays what it is.
#[test]
fn twelve_months_are_told_on_every_day() {
    for place in PLACES {
        for as_of in ["2027-02-20", "2027-09-15", "2027-09-25", "2027-10-19", "2027-10-21"] {
            let farm = Farm::new(place)
                .with("plan.to", "2027-12-31")
                .with("plan.as_of", as_of)
                .with("litter.heap.analysis.p2o5", "50 lb/ton")
                .with("fields.A.phosphorus_rating.rating", "high")
                .logged("2026-09-20", "spread", "heap", "A", "10")
                .logged("2026-10-20", "spread", "heap", "A", "10");
            let over = over(&planned(&farm).json);
            assert!(over.iter().any(|found| found.contains("P2O5")), "{} {as_of}: {over:?}", place.key);
        }
    }
}

#[test]
fn every_limit_of_the_year_is_reported() {
    for place in PLACES {
        let farm = spread(place, "140")
            .with("fields.A.phosphorus_rating.rating", "very high")
            .with("fields.A.yield_goal", "3 tons/ac")
            .with("fields.A.most", "3 tons/ac");
        let over = over(&planned(&farm).json);
        for what in
            ["available N in 2027,", "P2O5 in 2027,", "available N in spring from", "tons/ac of litter in 2027,"]
        {
            assert!(over.iter().any(|found| found.contains(what)), "{} {what}: {over:?}", place.key);
        }
        assert!(over.iter().any(|found| found.contains("and 3.00 are allowed")), "{}: {over:?}", place.key);
        let folder = farm.folder();
        let check = sward(folder.path(), &["check", "."]);
        assert_eq!(check.code, 0, "{}", check.err);
        assert!(check.out.contains("[logged-over]") && check.out.contains("log.csv:2"), "{}", check.out);
        let plan = sward(folder.path(), &["plan", "."]);
        assert!(plan.out.contains("available N in"), "{}", plan.out);
    }
}

#[test]
fn a_rain_costs_no_more_days_than_a_year_has() {
    for place in PLACES {
        let folder = Farm::new(place).folder();
        let rain = |days: &str| {
            sward(folder.path(), &["log", "rain", ".", "--date", "2027-03-01", "--today", "2027-12-31", "--days", days])
        };
        for days in ["2000", "367"] {
            let told = rain(days);
            assert_ne!(told.code, 0, "{days}");
            assert!(told.err.contains("days, from 0 to 366"), "{days}: {}", told.err);
        }
        assert_eq!(rain("366").code, 0, "{}", rain("366").err);
    }
}
