//! What binds large operations alone: distances of the federal rule, and what the
//! planner is told of them.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Farm, NC, Place, checked, flat, planned};
use serde_json::{Value, json};

/// Acres in a circle of so many feet.
fn circle(feet: f64) -> f64 {
    std::f64::consts::PI * feet * feet / 43_560.0
}

fn with_intake(strip: bool) -> Farm {
    Farm::new(&NC).keepout(0.0, json!({"kind": "tile intake", "name": "Riser", "vegetated_strip": strip}))
}

fn notes(plan: &Value) -> Vec<String> {
    let notes = plan["planner_notes"].as_array().unwrap().iter();
    notes.map(|note| note["text"].as_str().unwrap().to_string()).collect()
}

#[test]
fn an_open_tile_intake_keeps_litter_off_as_the_federal_rule_says() {
    for (strip, feet) in [(false, 100.0), (true, 35.0)] {
        let large = planned(&with_intake(strip).with("large_operation", true));
        let open = planned(&Farm::new(&NC).with("large_operation", true));
        let taken = open.number("A", "/acres") - large.number("A", "/acres");
        assert!((taken - circle(feet)).abs() < 0.03, "{feet} ft: {taken} of {}", circle(feet));
    }
    // Below that size nobody says how far: the grower is asked, and nothing is guessed.
    let small = checked(&with_intake(false));
    assert!(small.ready.is_none() && small.found("setback-asked")[0].contains("tile intake"), "{:?}", small.codes());
}

#[test]
fn notes_on_large_operations_stand_in_their_plans_alone() {
    let large = notes(&planned(&Farm::new(&NC).with("large_operation", true)).json);
    for said in ["A buyer's hay field is bound by its state alone", "along the contour", "for 5 years"] {
        assert!(large.iter().any(|note| note.contains(said)), "{said}: {large:?}");
    }
    let small = notes(&planned(&Farm::new(&NC)).json);
    assert!(small.len() + 3 == large.len(), "{small:?}");
}

/// The federal list of what a spreading record holds is the law of a large operation, and stands
/// there as read; elsewhere it is the list of another case, and is told as that. The analysis of
/// the litter is no older than a year there, and records of what left the farm are kept five years.
#[test]
fn the_federal_records_of_a_large_operation_are_its_own() {
    static US: Place =
        Place { key: "us", region: "", extractant: "mehlich-3", unit: "index", asks_needs: true, at: (-98.6, 39.8) };
    let farm = |large: &str| Farm::new(&US).with("large_operation", large);
    let items = |large: &str| planned(&farm(large)).json["record_items"].as_array().unwrap().clone();
    let of = |items: &[Value], known: &str| -> Vec<String> {
        let own = items.iter().filter(|item| item.to_string().contains(&format!("\"known\":\"{known}\"")));
        own.map(|item| item["text"].as_str().unwrap().to_string()).collect()
    };
    let (large, small) = (items("yes"), items("no"));
    let law = of(&large, "read");
    for words in [
        "expected yields",
        "dates on which litter went on",
        "24 hours before and 24 hours after",
        "sampled and tested",
        "results of the litter analysis",
        "what the rate is based on",
        "with the arithmetic",
        "how it was put on",
        "gear was inspected",
    ] {
        assert!(law.iter().any(|text| text.contains(words)), "{words}: {law:?}");
    }
    assert_eq!(law.len(), 9, "{law:?}");
    assert!(of(&small, "read").is_empty(), "{small:?}");
    assert_eq!(large.len(), small.len());
    let old = |large: &str| {
        let farm = farm(large).with("litter.heap.analysis.sampled", "2026-01-20");
        flat(&checked(&farm).findings.sorted().iter().map(|f| f.in_words()).collect::<String>())
    };
    assert!(old("yes").contains("is 391 days old") && !old("no").contains("391 days old"), "{}", old("yes"));
    assert!(
        notes(&planned(&farm("yes")).json).iter().any(|note| note.contains("takes litter") && note.contains("5 years"))
    );
}
