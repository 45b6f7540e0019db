//! Soil and stand: the rating against the soil test, metals, legumes, classes,
//! soil loss and distances, each at its bound, a step below and a step above.

use crate::kit::{Farm, PLACES, Place, checked, figure, passed_limits, planned, rule, verdict_codes};
use serde_json::json;
use sward::tables::topic;

/// A farm whose place goes by the soil test too: nitrogen up to 100, removal
/// up to 200, nothing above.
fn by_test(place: &'static Place) -> Farm {
    let steps = [
        rule("of_a_test_low", "soil: {up_to: 100}", &["basis: nitrogen"]),
        rule("of_a_test_mid", "soil: {over: 100, up_to: 200}", &["basis: removal"]),
        rule("of_a_test_high", "soil: {over: 200}", &["basis: none"]),
        rule("low", "rating: low", &["basis: nitrogen"]),
        rule("high", "rating: high", &["basis: removal"]),
    ];
    steps.into_iter().fold(Farm::new(place), Farm::figure)
}

fn soil_p(farm: Farm, p: &str, rating: &str) -> Farm {
    let unit = farm.place.unit;
    let farm = farm.with("fields.A.soil_test.p", format!("{p} {unit}"));
    farm.with("fields.A.phosphorus_rating.rating", rating)
}

#[test]
fn the_stricter_of_rating_and_soil_test_holds() {
    for place in PLACES {
        for (p, rating, basis) in [
            ("100", "low", "nitrogen"),
            ("101", "low", "removal"),
            ("199", "low", "removal"),
            ("200", "low", "removal"),
            ("200.5", "low", "none"),
            ("100", "high", "removal"),
            ("100", "very high", "none"),
            ("200", "very high", "none"),
            ("201", "high", "none"),
        ] {
            let plan = planned(&soil_p(by_test(place), p, rating));
            assert_eq!(plan.field("A")["phosphorus"]["basis"], basis, "{}: {p} rated {rating}", place.key);
            assert_eq!(plan.rate("A") == 0.0, basis == "none", "{}: {p} rated {rating}", place.key);
        }
    }
}

#[test]
fn the_audit_takes_the_stricter_too() {
    for place in PLACES {
        // Heavy litter, of which removal allows next to nothing.
        let heavy = |p, rating| soil_p(by_test(place), p, rating).with("litter.heap.analysis.p2o5", "50 lb/ton");
        let plan = planned(&heavy("100", "low"));
        assert!(plan.rate("A") > 3.0, "{}", plan.rate("A"));
        let passed = |p, rating| passed_limits(&plan.text, &heavy(p, rating));
        assert!(passed("100", "low").is_empty());
        for (p, rating) in [("101", "low"), ("201", "low"), ("100", "high"), ("100", "very high")] {
            assert!(!passed(p, rating).is_empty(), "{}: {p} rated {rating}", place.key);
        }
    }
}

#[test]
fn metals_in_the_soil_stop_litter_at_the_stop() {
    for place in PLACES {
        for metal in ["zinc", "copper"] {
            let stop = figure(&format!("soil_{metal}_stop"), place.unit, "forage: tall_fescue", "value: 300");
            let tested = |value: &str| {
                let farm = Farm::new(place).figure(stop.clone());
                farm.with(&format!("fields.A.soil_test.{metal}"), format!("{value} {}", place.unit))
            };
            for (value, stopped) in [("299", false), ("299.9", false), ("300", true), ("300.1", true)] {
                let plan = planned(&tested(value));
                assert_eq!(plan.rate("A") == 0.0, stopped, "{}: {metal} {value}", place.key);
                assert_eq!(plan.bars("A") > 0, stopped, "{}: {metal} {value}", place.key);
            }
            let below = planned(&tested("299.9")).text;
            assert!(passed_limits(&below, &tested("299.9")).is_empty());
            assert!(!passed_limits(&below, &tested("300")).is_empty(), "{}: {metal} at the stop", place.key);
        }
    }
}

#[test]
fn a_stand_with_legume_at_the_bound_feeds_itself() {
    for place in PLACES {
        let bound = figure("n_legume_none", "%", "forage: tall_fescue", "value: 25");
        let stand = |share: &str| Farm::new(place).figure(bound.clone()).with("fields.A.legume", format!("{share} %"));
        for (share, feeds) in [("24", false), ("24.9", false), ("25", true), ("25.1", true), ("100", true)] {
            let plan = planned(&stand(share));
            assert_eq!(plan.number("A", "/need/n") == 0.0, feeds, "{}: {share} % of legume", place.key);
            assert_eq!(plan.rate("A") == 0.0, feeds, "{}: {share} % of legume", place.key);
        }
        let thin = planned(&stand("24.9")).text;
        assert!(passed_limits(&thin, &stand("24.9")).is_empty());
        assert!(!passed_limits(&thin, &stand("25")).is_empty(), "{}", place.key);
    }
}

/// A class reaches up to its value; just above begins the next.
#[test]
fn soil_test_classes_end_where_the_table_says() {
    for place in PLACES {
        let plan = planned(&Farm::new(place));
        let steps = plan.figures().steps(topic::SOIL_P_CLASS);
        assert!(steps.len() > 1, "{} has classes", place.key);
        for (i, (up_to, is)) in steps.iter().enumerate() {
            let Some(up_to) = up_to else { continue };
            let class = |p: f64| {
                let plan = planned(&soil_p(Farm::new(place), &p.to_string(), "low"));
                plan.field("A")["phosphorus"]["class"].as_str().unwrap().to_string()
            };
            assert_eq!(class(*up_to), *is, "{}: {up_to}", place.key);
            assert_eq!(class(up_to + 0.1), steps[i + 1].1, "{}: just over {up_to}", place.key);
        }
    }
}

#[test]
fn soil_loss_bars_ground_above_the_most() {
    for place in PLACES {
        let most = figure("soil_loss_most", "tons/ac", "", "value: 5");
        let eroding = |rain: f64| {
            let farm = if place.key == "us-nc" { Farm::new(place) } else { Farm::new(place).figure(most.clone()) };
            let erosion = json!({"slope": "7 %", "length": "180 ft", "erodibility": "0.28",
                "rain": format!("{rain:.9}"), "cover": "60 %"});
            farm.with("fields.A.erosion", erosion)
        };
        let per_rain = planned(&eroding(10.0)).number("A", "/soil_loss") / 10.0;
        let at = |loss: f64| eroding(loss / per_rain);
        for (loss, barred) in [(4.9, false), (4.999, false), (5.001, true), (5.1, true)] {
            let plan = planned(&at(loss));
            assert!((plan.number("A", "/soil_loss") - loss).abs() < 1e-6, "{}", plan.number("A", "/soil_loss"));
            assert_eq!(plan.bars("A") > 0 && plan.rate("A") == 0.0, barred, "{}: {loss} tons/ac", place.key);
        }
        let below = planned(&at(4.99)).text;
        assert!(passed_limits(&below, &at(4.99)).is_empty());
        assert!(!passed_limits(&below, &at(5.01)).is_empty(), "{}", place.key);
    }
}

/// A well in the middle of the field, with a distance of the farm's own.
fn well(place: &'static Place, own: Option<f64>) -> Farm {
    let mut properties = json!({"kind": "well", "name": "the well"});
    if let Some(feet) = own {
        properties["setback"] = format!("{feet} ft").into();
        properties["setback_by"] = "a planner, 2026-11-09".into();
    }
    Farm::new(place).keepout(0.0, properties)
}

#[test]
fn no_distance_of_the_farms_own_undercuts_the_rule() {
    for place in PLACES {
        let kept = |own: Option<f64>| {
            let plan = planned(&well(place, own));
            let zone = &plan.field("A")["kept_off"][0];
            (zone["feet"].as_f64().unwrap(), plan.number("A", "/acres"))
        };
        let (rule, acres) = kept(None);
        assert!(rule > 1.0, "{}: {rule} ft", place.key);
        for own in [0.0, rule / 2.0, rule - 1.0, rule] {
            assert_eq!(kept(Some(own)), (rule, acres), "{}: {own} ft of its own", place.key);
        }
        let (feet, less) = kept(Some(rule + 1.0));
        assert_eq!(feet, rule + 1.0, "{}", place.key);
        assert!(less < acres, "{}: {less} and {acres} ac", place.key);
        // A circle of that many feet, in acres.
        let circle = std::f64::consts::PI * rule * rule / 43_560.0;
        let gross = planned(&well(place, None)).number("A", "/gross_acres");
        assert!((gross - acres - circle).abs() < 0.02, "{}: {gross} less {acres}, a circle of {circle}", place.key);
        let text = planned(&well(place, None)).text;
        assert!(!verdict_codes(&text, &well(place, None)).contains("acres"));
        assert!(verdict_codes(&text, &well(place, Some(2.0 * rule))).contains("acres"), "{}", place.key);
    }
}

/// A distance of the farm's own needs a word on who asked for it.
#[test]
fn a_distance_of_the_farms_own_says_who_asked_for_it() {
    let properties = json!({"kind": "well", "setback": "150 ft"});
    for place in PLACES {
        let codes = checked(&Farm::new(place).keepout(0.0, properties.clone())).codes();
        assert!(codes.contains("setback-by"), "{}: {codes:?}", place.key);
    }
}
