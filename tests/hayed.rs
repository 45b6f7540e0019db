//! Of a field that is cut and then grazed, what is cut leaves as hay and what stock eats
//! leaves by what animals keep.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Farm, PLACES, Place, checked, figure, planned};
use serde_json::json;

/// Animals keep a quarter of the phosphate that they eat.
fn farm(place: &'static Place, usage: &str) -> Farm {
    Farm::new(place).with("fields.A.use", usage).with("fields.A.yield_goal", "4 tons/ac").figure(figure(
        "grazing_keeps",
        "share",
        "nutrient: p2o5, use: pasture",
        "value: 0.25",
    ))
}

/// Phosphate that leaves in a year, lb/ac; the plan is audited on the way.
fn leaves(farm: &Farm) -> f64 {
    planned(farm).json["fields"][0]["removed"]["p2o5"].as_f64().unwrap()
}

#[test]
fn hay_leaves_whole_and_grazing_by_what_animals_keep() {
    for place in PLACES {
        let all = leaves(&farm(place, "hay then grazed"));
        assert!(all > 0.0 && (all - leaves(&farm(place, "hay"))).abs() < 1e-9, "{}", place.key);
        for (share, of) in [("100 %", 1.0), ("60 %", 0.6 + 0.4 * 0.25), ("0 %", 0.25)] {
            let mixed = farm(place, "hay then grazed").with("fields.A.hayed", share);
            let got = leaves(&mixed);
            assert!((got - all * of).abs() < 1e-6, "{} {share}: {got} of {all}", place.key);
        }
        assert!((leaves(&farm(place, "pasture")) - 0.25 * all).abs() < 1e-6, "{}", place.key);
    }
}

#[test]
fn what_is_allowed_by_removal_goes_by_it() {
    let allowed = |share: Option<&str>| {
        let mut farm = farm(PLACES[0], "hay then grazed")
            .with("fields.A.phosphorus_rating", json!({"rating": "high", "by": "a planner", "on": "2026-11-09"}));
        if let Some(share) = share {
            farm = farm.with("fields.A.hayed", share);
        }
        let plan = planned(&farm);
        assert_eq!(plan.json["fields"][0]["phosphorus"]["basis"], "removal");
        plan.json["fields"][0]["phosphorus"]["allowed"].as_f64().unwrap()
    };
    let all = allowed(None);
    assert!((allowed(Some("60 %")) - 0.7 * all).abs() < 1e-6);
}

#[test]
fn no_more_leaves_with_stock_than_it_takes() {
    let herd = json!([{"kind": "stocker cattle", "head": 1, "gain": "10 lb", "fields": ["A"]}]);
    for place in PLACES {
        let all = leaves(&farm(place, "hay"));
        let few = farm(place, "hay then grazed").with("fields.A.hayed", "60 %").with("livestock", herd.clone());
        let got = leaves(&few);
        // The hay leaves, and next to nothing with one steer.
        assert!(got >= 0.6 * all - 1e-6 && got < 0.61 * all, "{}: {got} of {all}", place.key);
    }
}

#[test]
fn nobody_guesses_how_much_is_cut() {
    for place in PLACES {
        let codes = |farm: &Farm| checked(farm).codes();
        assert!(codes(&farm(place, "hay then grazed")).contains("hayed-unsaid"));
        assert!(!codes(&farm(place, "hay then grazed").with("fields.A.hayed", "60 %")).contains("hayed-unsaid"));
        assert!(!codes(&farm(place, "hay")).contains("hayed-unsaid"));
        let found = checked(&farm(place, "hay").with("fields.A.hayed", "60 %")).found("no-effect");
        assert!(found.iter().any(|found| found.contains("`hayed` changes nothing")), "{found:?}");
    }
}
