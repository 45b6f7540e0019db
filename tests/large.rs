//! What binds large operations alone: distances of the federal rule, and what the
//! planner is told of them.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Farm, NC, checked, planned};
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
