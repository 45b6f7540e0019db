//! A hay analysis of the farm's own says what leaves with the hay, and a limit by removal
//! counts no more of it than the tables have, in two states.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Farm, NC, PLACES, Place, checked, planned};
use serde_json::{Value, json};
use sward::findings::Severity;

/// An analysis with so much protein, P and K, in percent of the dry hay.
fn hay(protein: f64, p: f64, k: f64) -> Value {
    json!({"lab": "a laboratory", "sampled": "2026-09-01", "basis": "dry", "moisture": "20 %",
        "protein": format!("{protein} %"), "p": format!("{p} %"), "k": format!("{k} %")})
}

/// Four tons of tall fescue hay, phosphate held to what it carries off.
fn farm(place: &'static Place) -> Farm {
    Farm::new(place).with("fields.A.phosphorus_rating.rating", "high")
}

fn removed(farm: &Farm) -> [f64; 3] {
    let removed = planned(farm).json["fields"][0]["removed"].clone();
    ["n", "p2o5", "k2o"].map(|key| removed[key].as_f64().unwrap())
}

fn allowed(farm: &Farm) -> Option<f64> {
    let plan = planned(farm);
    let phosphorus = &plan.json["fields"][0]["phosphorus"];
    assert_eq!(phosphorus["basis"], "removal");
    phosphorus["allowed"].as_f64()
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-6
}

#[test]
fn what_leaves_goes_by_the_analysis() {
    for place in PLACES {
        // Four dry tons: protein over 6.25, P times 2.2914, K times 1.2046.
        let expected = [8_000.0 * 0.125 / 6.25, 8_000.0 * 0.003 * 2.2914, 8_000.0 * 0.02 * 1.2046];
        let own = removed(&farm(place).with("fields.A.hay_analysis", hay(12.5, 0.3, 2.0)));
        assert!(own.iter().zip(expected).all(|(a, b)| near(*a, b)), "{}: {own:?}, not {expected:?}", place.key);
        // The same report as received, of hay with 20 % moisture.
        let mut wet = hay(10.0, 0.24, 1.6);
        wet["basis"] = json!("as received");
        let own = removed(&farm(place).with("fields.A.hay_analysis", wet));
        assert!(own.iter().zip(expected).all(|(a, b)| near(*a, b)), "{}: {own:?}, not {expected:?}", place.key);
        // Where it is silent the tables serve.
        let bare = removed(&farm(place));
        let mut protein = hay(12.5, 0.3, 2.0);
        for key in ["p", "k"] {
            protein.as_object_mut().unwrap().remove(key);
        }
        let own = removed(&farm(place).with("fields.A.hay_analysis", protein));
        assert_eq!([own[1], own[2]], [bare[1], bare[2]], "{}", place.key);
    }
}

#[test]
fn a_limit_counts_the_lesser_of_analysis_and_tables() {
    for place in PLACES {
        let tables = allowed(&farm(place)).unwrap();
        let with = |p: f64| farm(place).with("fields.A.hay_analysis", hay(12.5, p, 2.0));
        let of = |p: f64| 8_000.0 * p / 100.0 * 2.2914;
        // Hay richer than the tables leaves the limit as it was, and that is told.
        assert!(of(0.4) > tables && of(0.1) < tables, "{}: {tables}", place.key);
        assert!(near(allowed(&with(0.4)).unwrap(), tables), "{}", place.key);
        assert!(planned(&with(0.4)).codes().contains("hay-held"));
        // Poorer hay lowers it.
        assert!(near(allowed(&with(0.1)).unwrap(), of(0.1)), "{}", place.key);
        assert!(!planned(&with(0.1)).codes().contains("hay-held"));
    }
}

#[test]
fn a_place_may_take_the_farms_own() {
    for place in PLACES {
        let takes =
            kit::figure("hay_analysis_counts", "none", "", "words: \"the plan may use the farm's own analysis\"");
        let with = farm(place).with("fields.A.hay_analysis", hay(12.5, 0.4, 2.0)).figure(takes);
        assert!(near(allowed(&with).unwrap(), 8_000.0 * 0.004 * 2.2914), "{}", place.key);
    }
}

#[test]
fn the_newest_of_the_crop_counts_from_its_day() {
    let of = |day: &str, protein: f64| {
        let mut own = hay(protein, 0.3, 2.0);
        own["sampled"] = json!(day);
        own
    };
    let n = |list: Value| removed(&farm(&NC).with("fields.A.hay_analysis", list))[0];
    assert!(near(n(json!([of("2025-06-01", 10.0), of("2026-06-01", 15.0)])), 8_000.0 * 0.15 / 6.25));
    // One that nobody knew on the day of the plan does not count yet.
    let early = farm(&NC).with("plan.as_of", "2027-02-20");
    let list = json!([of("2026-06-01", 10.0), of("2027-03-01", 15.0)]);
    assert!(near(removed(&early.clone().with("fields.A.hay_analysis", list))[0], 8_000.0 * 0.10 / 6.25));
    let ahead = checked(&early.with("fields.A.hay_analysis", of("2027-03-01", 15.0)));
    assert!(ahead.codes().contains("not-yet-known"), "{:?}", ahead.codes());
    // Hay of what grew there before says nothing of what grows there now.
    let before = json!([{"forage": "orchardgrass", "yield_goal": "3 tons/ac", "until": "2026-08-01"}]);
    let other = farm(&NC).with("fields.A.before", before).with("fields.A.hay_analysis", of("2026-06-01", 15.0));
    assert_eq!(removed(&other), removed(&farm(&NC)));
}

#[test]
fn amounts_that_no_forage_holds_are_an_error() {
    for (key, usual, unusual, wrong) in [
        ("protein", "28 %", "29 %", "51 %"),
        ("p", "0.6 %", "0.61 %", "1.3 %"),
        ("k", "4.5 %", "4.6 %", "8.1 %"),
        ("moisture", "80 %", "81 %", "93 %"),
    ] {
        let told = |amount: &str| {
            let mut own = hay(12.5, 0.3, 2.0);
            own[key] = json!(amount);
            let farm = farm(&NC).with("fields.A.sure", Value::Null).with("fields.A.hay_analysis", own);
            let found = checked(&farm).findings;
            found.sorted().into_iter().find(|f| f.found.contains("hay analysis: `")).map(|f| f.severity)
        };
        assert_eq!(told(usual), None, "{key}");
        assert_eq!(told(unusual), Some(Severity::Warning), "{key}");
        assert_eq!(told(wrong), Some(Severity::Error), "{key}");
    }
    let mut water = hay(12.5, 0.3, 2.0);
    water["moisture"] = json!("100 %");
    assert!(checked(&farm(&NC).with("fields.A.hay_analysis", water)).codes().contains("all-water"));
}

#[test]
fn somebody_may_be_sure_of_an_analysis() {
    let mut own = hay(12.5, 3.0, 2.0);
    let bare = farm(&NC).with("fields.A.sure", Value::Null);
    let told =
        |own: &Value| checked(&bare.clone().with("fields.A.hay_analysis", own.clone())).codes().contains("implausible");
    assert!(told(&own));
    own["sure"] = json!({"by": "a planner", "on": "2026-11-09"});
    assert!(!told(&own));
}
