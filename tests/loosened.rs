//! What somebody states never loosens the phosphorus rule in silence, and the answer of whoever a
//! row asks has its key: with the rate that was allowed, or it does not count.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Farm, PLACES, checked, flat, made, passed_limits, planned, rule};
use serde_json::json;

fn said(key: &str, word: serde_json::Value) -> serde_json::Value {
    json!({key: word, "by": "a planner", "on": "2026-11-09"})
}

#[test]
fn what_loosens_the_rule_is_said_everywhere() {
    for place in PLACES {
        let farm = |says: &[&str]| {
            Farm::new(place)
                .figure(rule("low", "rating: low", &["basis: removal"]))
                .figure(rule("none", "plan: none", says))
                .with("fields.A.phosphorus_rule", said("plan", json!("none")))
        };
        let told = |farm: &Farm| {
            let weighed = kit::asked(&farm.texts(), &farm.log_text(), farm).check().weigh().unwrap();
            let found =
                weighed.findings.sorted().into_iter().filter(|f| f.code == "rule-loosened").map(|f| f.found.clone());
            found.collect::<Vec<_>>()
        };
        // The row drops the one that holds without it.
        let loose = farm(&["basis: nitrogen", "wins: first"]);
        let found = told(&loose);
        assert_eq!(found.len(), 1, "{}: {found:?}", place.key);
        assert!(found[0].contains("stated on 2026-11-09, plan none") && found[0].contains("removal"), "{found:?}");
        let plan = made(&loose);
        let words = "more phosphate may go on by what a planner stated";
        for page in [sward::write::limits(&plan.audited, 80), sward::write::plan(&plan.audited, 80)] {
            assert!(flat(&page).contains(words), "{}: {page}", place.key);
        }
        // What leaves the rule as strict, or makes it stricter, is no loosening.
        for says in [&["basis: nitrogen"][..], &["basis: none"], &["basis: removal", "wins: first"]] {
            assert_eq!(told(&farm(says)), Vec::<String>::new(), "{}: {says:?}", place.key);
        }
    }
}

#[test]
fn a_rate_that_was_allowed_counts_with_that_rate() {
    let way = "unless:\n        - {stated: certified, words: the plan sets the rate, by: the planner, with_most: \"yes\", then: {basis: nitrogen}}";
    for place in PLACES {
        let asks = Farm::new(place).figure(rule("low", "rating: low", &["basis: ask", "by: the planner", way]));
        let fix = |farm: &Farm| {
            let weighed = kit::asked(&farm.texts(), &farm.log_text(), farm).check().weigh();
            let found = weighed.map_or_else(|found| found, |weighed| weighed.findings);
            let asks = found.sorted().iter().find(|f| f.code == "phosphorus-ask").map(|f| format!("{f:?}"));
            asks.unwrap_or_default()
        };
        let lines = "write `most: ... tons/ac` and `phosphorus_rule: {stated: [certified], by: ..., on: ...}`";
        assert!(fix(&asks).contains(lines), "{}: {}", place.key, fix(&asks));
        let stated = asks.clone().with("fields.A.phosphorus_rule", said("stated", json!(["certified"])));
        assert!(!fix(&stated).is_empty());
        assert_eq!(checked(&stated).found("stated-rate").len(), 1, "{}", place.key);
        let whole = stated.clone().with("fields.A.most", "1.5 tons/ac");
        let plan = planned(&whole);
        assert!(plan.rate("A") > 0.0 && plan.rate("A") <= 1.5, "{}: {}", place.key, plan.rate("A"));
        assert!(passed_limits(&plan.text, &whole).is_empty());
        assert!(!passed_limits(&plan.text, &stated).is_empty(), "{}: the audit asks for the rate too", place.key);
    }
}

/// Fields that wait for the same are told once, each by its own bar.
#[test]
fn what_a_row_asks_of_many_fields_is_told_once() {
    for place in PLACES {
        let asks = rule("low", "rating: low", &["basis: ask", "by: the planner"]);
        let farm =
            Farm::new(place).field("B").field("C").figure(asks).with("fields.C.phosphorus_rating.rating", "high");
        let weighed = kit::asked(&farm.texts(), &farm.log_text(), &farm).check().weigh();
        let found = weighed.map_or_else(|found| found, |weighed| weighed.findings);
        let asked: Vec<&str> =
            found.sorted().into_iter().filter(|f| f.code == "phosphorus-ask").map(|f| f.found.as_str()).collect();
        assert_eq!(asked.len(), 1, "{}: {asked:?}", place.key);
        assert!(asked[0].starts_with("fields A and B: no litter: the phosphorus rule asks first"), "{asked:?}");
    }
}

/// A saturation that was measured and that no row in force goes by is named; one that lifts the
/// field under the end of its row is not.
#[test]
fn a_saturation_that_changes_nothing_is_named() {
    let told = |farm: &Farm| {
        let weighed = kit::asked(&farm.texts(), &farm.log_text(), farm).check().weigh();
        let found = weighed.map_or_else(|found| found, |weighed| weighed.findings);
        found.sorted().into_iter().filter(|f| f.code == "saturation-idle").map(|f| f.found.clone()).collect::<Vec<_>>()
    };
    let with = |place, share: &str, more: &str| {
        let said = json!({"saturation": share, "by": "a planner", "on": "2026-11-09"});
        let farm = Farm::new(place).with("fields.A.phosphorus_rule", said);
        if more.is_empty() { farm } else { farm.with("fields.A.phosphorus_rule.stated", json!([more])) }
    };
    // North Carolina's rule has no saturation.
    let found = told(&with(&kit::NC, "20 %", ""));
    assert!(found.len() == 1 && found[0].contains("no row of the phosphorus rule of North Carolina"), "{found:?}");
    // Virginia's has, and on a high soil test a row stands for it until the measurement is stated.
    assert_eq!(told(&with(&kit::VA, "20 %", "")), Vec::<String>::new());
    let high = |farm: Farm| farm.with("fields.A.soil_test.p", "400 lb/ac");
    let found = told(&high(with(&kit::VA, "20 %", "")));
    assert!(found.len() == 1 && found[0].contains("stands for 65 percent"), "{found:?}");
    assert_eq!(told(&high(with(&kit::VA, "20 %", "saturation_65_or_less"))), Vec::<String>::new());
}
