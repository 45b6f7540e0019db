//! Phosphate leaves a pasture with the cattle that leave it: none, 50 or 500 cows differ,
//! by sums worked out beside the program's.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Farm, PLACES, checked, passed_limits, planned, verdict_codes};
use serde_json::{Value, json};

/// Two pastures of ten acres whose phosphate is held to what leaves, and litter that
/// brings more than that.
fn farm(place: &'static kit::Place, livestock: Value) -> Farm {
    let mut farm = Farm::new(place).field("B").with("litter.heap.analysis.p2o5", "20 lb/ton");
    for field in ["A", "B"] {
        farm.set(&format!("fields.{field}.use"), "pasture");
        farm.set(&format!("fields.{field}.phosphorus_rating.rating"), "high");
    }
    farm.set("spreader.least", "0.25 tons/ac");
    farm.with("livestock", livestock)
}

fn herd(kind: &str, head: u32, fields: &[&str]) -> Value {
    json!({"kind": kind, "head": head, "fields": fields})
}

/// Phosphate that leaves an acre of a field in a year.
fn leaves(farm: &Farm, field: &str) -> f64 {
    let plan = planned(farm);
    let limits = plan.field(field)["phosphorus"]["allowed"].as_f64().unwrap();
    let years = plan.number(field, "/removed/p2o5") / limits;
    assert!((years - years.round()).abs() < 1e-9 && years >= 1.0 || limits == 0.0, "{}", plan.field(field));
    limits
}

#[test]
fn none_fifty_and_five_hundred_cows_differ() {
    for place in PLACES {
        let gross = |farm: &Farm| planned(farm).number("A", "/gross_acres");
        let none = farm(place, json!([herd("cow-calf pairs", 0, &["A", "B"])]));
        let few = farm(place, json!([herd("cow-calf pairs", 5, &["A", "B"])]));
        let many = farm(place, json!([herd("cow-calf pairs", 500, &["A", "B"])]));
        let unsaid = farm(place, json!([]));
        let acres = gross(&few);
        // Nothing leaves with no cow, 9 lb with a pair.
        assert_eq!(leaves(&none, "A"), 0.0, "{}", place.key);
        assert!((leaves(&few, "A") - 5.0 * 9.0 / (2.0 * acres)).abs() < 1e-6, "{}", place.key);
        // No more than the animals would keep of all that grows.
        assert_eq!(leaves(&many, "A"), leaves(&unsaid, "A"), "{}", place.key);
        assert!(leaves(&few, "A") < leaves(&unsaid, "A"), "{}", place.key);
        assert_eq!(planned(&none).rate("A"), 0.0, "{}", place.key);
        assert!(planned(&few).rate("A") < planned(&many).rate("A"), "{}", place.key);
        // More head than the ground feeds are asked about, and only they.
        let asked = |farm: &Farm| planned(farm).codes().contains("herd-too-many");
        assert_eq!([&none, &few, &many, &unsaid].map(asked), [false, false, true, false], "{}", place.key);
        // The audit reaches it by itself: what 500 cows allow is too much for 5.
        let found = passed_limits(&planned(&many).text, &few);
        assert!(found.contains("nutrients"), "{}: {found:?}", place.key);
    }
}

#[test]
fn what_leaves_is_parted_by_the_forage_of_the_fields() {
    for place in PLACES {
        let farm = farm(place, json!([herd("beef cows", 4, &["A", "B"])])).with("fields.A.yield_goal", "2 tons/ac");
        let plan = planned(&farm);
        let part = |field: &str, grown: f64, other: f64| {
            let (own, two) = (plan.number(field, "/gross_acres"), if field == "A" { "B" } else { "A" });
            let all = own * grown + plan.number(two, "/gross_acres") * other;
            4.0 * 9.0 * (own * grown / all) / own
        };
        assert!((leaves(&farm, "A") - part("A", 2.0, 4.0)).abs() < 1e-6, "{}", place.key);
        assert!((leaves(&farm, "B") - part("B", 4.0, 2.0)).abs() < 1e-6, "{}", place.key);
        // A plan that parts it in another way is not passed.
        let mut altered: Value = serde_json::from_str(&plan.text).unwrap();
        altered["fields"][0]["stock"][0]["part"] = json!(0.9);
        assert!(!verdict_codes(&altered.to_string(), &farm).is_empty(), "{}", place.key);
    }
}

#[test]
fn cattle_that_gain_take_their_gain_and_others_change_nothing() {
    for place in PLACES {
        let stockers = |gain: &str| json!([{"kind": "stocker cattle", "head": 10, "gain": gain, "fields": ["A"]}]);
        let gaining = farm(place, stockers("300 lb"));
        let acres = planned(&gaining).number("A", "/gross_acres");
        assert!((leaves(&gaining, "A") - 10.0 * 300.0 * 0.0183 / acres).abs() < 1e-6, "{}", place.key);
        let unsaid = leaves(&farm(place, json!([])), "A");
        for kind in ["stocker cattle", "ewes", "horses", "dairy cows", "goats"] {
            assert_eq!(leaves(&farm(place, json!([herd(kind, 10, &["A"])])), "A"), unsaid, "{}: {kind}", place.key);
        }
        // On hay the crop leaves as hay, whatever grazes it once.
        let hay = |livestock: Value| leaves(&farm(place, livestock).with("fields.A.use", "hay"), "A");
        assert_eq!(hay(json!([herd("cow-calf pairs", 5, &["A"])])), hay(json!([])), "{}", place.key);
        let odd = farm(place, json!([{"kind": "horses", "head": 3, "gain": "300 lb", "fields": ["A"]}]));
        assert!(checked(&odd).codes().contains("no-effect"), "{}", place.key);
    }
}
