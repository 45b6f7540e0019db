//! What a new soil test, rating or sample would gain is what the plan with it gains more.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Farm, NC, PLACES, flat, planned, sward};
use serde_json::json;

fn page(farm: &Farm) -> String {
    let folder = farm.folder();
    let ended = sward(folder.path(), &["plan"]);
    assert_eq!(ended.code, 0, "{}{}", ended.out, ended.err);
    flat(&ended.out)
}

fn worth(farm: &Farm) -> f64 {
    planned(farm).json["choice"]["proof"]["worth"].as_f64().unwrap()
}

const HEADING: &str = "WHAT A NEW TEST OR RATING WOULD GAIN";

#[test]
fn an_old_soil_test_costs_what_a_new_one_like_it_gains() {
    for place in PLACES {
        let fresh = Farm::new(place).field("B");
        assert!(!page(&fresh).contains(HEADING), "{}", place.key);
        let old = fresh.clone().with("fields.B.soil_test.sampled", "2020-10-05");
        let page = page(&old);
        let gains = (worth(&fresh) - worth(&old)).round();
        assert!(gains > 0.0, "{}: {gains}", place.key);
        let dollars = format!("${}", sward::units::grouped(gains as i64));
        assert!(page.contains(HEADING), "{}: {page}", place.key);
        let said = page.split(HEADING).nth(1).unwrap().split("CHECK THESE").next().unwrap();
        assert!(
            said.contains("A new soil test of B, if it reads like the old one, would gain") && said.contains(&dollars),
            "{}: {dollars} in {said}",
            place.key
        );
    }
}

/// Nobody knows what a rating would come out at: the most that it can gain is told.
#[test]
fn a_rating_costs_what_a_low_one_gains() {
    let low = Farm::new(&NC).with("large_operation", "yes").field("B");
    let low = low.with("fields.B.phosphorus_rating.rating", "low");
    let none = low.clone().with("fields.B.phosphorus_rating", json!(null));
    let page = page(&none);
    let said = page.split(HEADING).nth(1).unwrap_or_else(|| panic!("{page}"));
    let gains = (worth(&low) - worth(&none)).round();
    let dollars = format!("${}", sward::units::grouped(gains as i64));
    assert!(said.contains("A phosphorus rating of B, if it comes out low, would gain"), "{said}");
    assert!(gains > 0.0 && said.contains(&dollars), "{dollars} in {said}");
}

/// Of very many the five with most acres are priced, and the others counted.
#[test]
fn five_are_priced_and_the_others_counted() {
    let mut farm = Farm::new(PLACES[0]);
    for id in ["B", "C", "D", "E", "F", "G", "H"] {
        farm = farm.field(id).with(&format!("fields.{id}.soil_test.sampled"), "2020-10-05");
    }
    let page = page(&farm);
    assert_eq!(page.matches("A new soil test of ").count(), 5, "{page}");
    assert!(page.contains("2 more fields of fewer acres are left out of this list"), "{page}");
}
