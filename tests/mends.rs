//! What a new soil test, rating or sample would gain is what the plan with it gains more.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Farm, NC, PLACES, Place, flat, planned, sward};
use serde_json::json;
use sward::units::grouped;

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
        let dollars = format!("${}", grouped(gains as i64));
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
    let dollars = format!("${}", grouped(gains as i64));
    assert!(said.contains("A phosphorus rating of B, if it comes out low, would gain"), "{said}");
    assert!(gains > 0.0 && said.contains(&dollars), "{dollars} in {said}");
}

const PA: Place =
    Place { key: "us-pa", region: "", extractant: "mehlich-3", unit: "ppm", asks_needs: false, at: (-77.6, 40.8) };
const OK: Place =
    Place { key: "us-ok", asks_needs: true, region: "rest_of_state", unit: "index", at: (-97.0, 35.5), ..PA };

/// A farm with litter that is strong in phosphate.
fn strong(place: &'static Place) -> Farm {
    Farm::new(place)
        .with("litter.heap.analysis.p2o5", "40 lb/ton")
        .with("fields.A.soil_test.p", "50 index".replace("index", place.unit))
}

/// What a paper is said to gain, of one that bars nothing.
fn said_to_gain(farm: &Farm, better: &Farm, paper: &str) {
    let gains = (worth(better) - worth(farm)).round();
    let page = page(farm);
    assert!(gains > 0.0 && !page.contains("cannot get litter"), "{gains}: {page}");
    let said = page.split(HEADING).nth(1).unwrap_or_else(|| panic!("{page}")).split("CHECK THESE").next().unwrap();
    let told = format!("{paper} would gain ${}", grouped(gains as i64));
    assert!(said.contains(&told), "{told} in {said}");
}

/// A paper is priced where without it less goes on, and not only where nothing does.
#[test]
fn a_paper_that_only_holds_the_field_is_priced_too() {
    let low = strong(&OK);
    let none = low.clone().with("fields.A.phosphorus_rating", json!(null));
    said_to_gain(&none, &low, "A phosphorus rating of A, if it comes out low,");
    // Pennsylvania plans a field whose soil test has expired, by what is carried off.
    let fresh = strong(&PA).with("fields.A.phosphorus_rating", json!(null));
    let old = fresh.clone().with("fields.A.soil_test.sampled", "2021-03-01");
    said_to_gain(&old, &fresh, "A new soil test of A, if it reads like the old one,");
    // Where nothing goes on before both papers are there, they are priced together.
    let both = none.field("B").with("fields.A.soil_test.sampled", "2020-10-05");
    let page = page(&both);
    assert!(page.contains("A new soil test of A, if it reads like the old one, would gain"), "{page}");
    assert!(
        page.contains("reads like the old one, and a phosphorus rating that comes out low, would gain $"),
        "{page}"
    );
}

/// The five dearest of all that were priced are told, however large the fields are, and the others
/// counted.
#[test]
fn the_five_dearest_are_told_and_the_others_counted() {
    let goals = ["2", "5", "3", "4.5", "3.5", "2.5", "4"];
    let ids = ["B", "C", "D", "E", "F", "G", "H"];
    let mut fresh = Farm::new(PLACES[0]);
    for (id, goal) in ids.into_iter().zip(goals) {
        fresh = fresh.field(id).with(&format!("fields.{id}.yield_goal"), format!("{goal} tons/ac"));
    }
    let old = |ids: &[&str]| {
        ids.iter().fold(fresh.clone(), |farm, id| farm.with(&format!("fields.{id}.soil_test.sampled"), "2020-10-05"))
    };
    let all = old(&ids);
    let page = page(&all);
    assert_eq!(page.matches("A new soil test of ").count(), 5, "{page}");
    assert!(page.contains("2 more papers would gain no more than the last of these"), "{page}");
    // Each by itself, on the farm itself.
    let mut gains: Vec<(i64, &str)> = ids
        .into_iter()
        .map(|own| {
            let others: Vec<&str> = ids.into_iter().filter(|id| *id != own).collect();
            ((worth(&old(&others)) - worth(&all)).round() as i64, own)
        })
        .collect();
    gains.sort_by(|a, b| b.cmp(a));
    for (gain, id) in &gains[..5] {
        let told = format!("A new soil test of {id}, if it reads like the old one, would gain ${}", grouped(*gain));
        assert!(page.contains(&told), "{told}: {page}");
    }
}

/// Of very many those whose fields are short of most are priced, and the others counted.
#[test]
fn twelve_are_priced() {
    let mut farm = Farm::new(PLACES[0]);
    for at in 0..14 {
        let id = format!("B{at}");
        farm = farm.field(&id).with(&format!("fields.{id}.soil_test.sampled"), "2020-10-05");
    }
    let page = page(&farm);
    assert!(page.contains("7 more papers would gain no more than the last of these"), "{page}");
    assert!(page.contains("2 more papers are not priced: their fields are short of no more than these"), "{page}");
}
