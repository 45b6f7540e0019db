//! A field that is done in part, by entries of the log that say their ground: what is left is
//! told everywhere, and nothing is planned a second time on the ground that is done.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Farm, PLACES, Place, fit, flat, planned, sward, verdict_codes};
use serde_json::{Value, json};
use std::fs;

/// Litter with 30 lb of phosphate a ton, on a field of 660 by 660 ft.
fn farm(place: &'static Place) -> Farm {
    Farm::new(place).with("litter.heap.analysis.p2o5", "30 lb/ton").with("fields.A.phosphorus_rating.rating", "high")
}

const SOUTH: [f64; 4] = [0.0, 0.0, 660.0, 330.0];
const NORTH: [f64; 4] = [0.0, 330.0, 660.0, 660.0];
/// Half of it lies on the south.
const MIDDLE: [f64; 4] = [0.0, 198.0, 660.0, 462.0];
/// Season of both places in which the entries lie.
const DAY: &str = "2027-03-01";

/// The farm with tons on some areas, all on one day.
fn spread(place: &'static Place, areas: &[([f64; 4], f64)]) -> Farm {
    areas.iter().fold(farm(place), |farm, (area, tons)| {
        let ground = farm.area(*area);
        farm.on_ground(DAY, &format!("{tons:.3}"), &ground, "")
    })
}

fn part(farm: &Farm) -> Value {
    planned(farm).field("A").get("part").cloned().unwrap_or_default()
}

/// Acres done, acres left, and what the rest may get.
fn is(part: &Value, done: f64, left: f64, rate: Option<f64>) -> bool {
    let near = |at: &str, wanted: f64| (part[at].as_f64().unwrap() - wanted).abs() < 0.06;
    let rest = match (part.get("rest"), rate) {
        (None, None) => true,
        (Some(rest), Some(rate)) => {
            let own = rest["rate"].as_f64().unwrap();
            let tons = rest["pounds"].as_f64().unwrap() / 2000.0;
            (own - rate).abs() < 0.02 && (tons - own * part["left"].as_f64().unwrap()).abs() < 0.01
        }
        _ => false,
    };
    near("done", done) && near("left", left) && rest
}

#[test]
fn what_is_left_is_the_field_less_the_ground_that_is_done() {
    for place in PLACES {
        let one = part(&spread(place, &[(SOUTH, 5.0)]));
        assert!(is(&one, 5.0, 5.0, Some(1.0)), "{}: {one}", place.key);
        // A strip lies on the south with half of its ground.
        let two = part(&spread(place, &[(SOUTH, 2.0), (MIDDLE, 2.0)]));
        assert!(is(&two, 7.0, 3.0, Some(0.5)), "{}: {two}", place.key);
        // A way of 435.6 ft with 40 ft is 0.4 ac.
        let way = farm(place).way(&[[100.0, 330.0], [535.6, 330.0]]);
        let way = part(&farm(place).on_ground(DAY, "0.4", &way, "40 ft"));
        assert!(is(&way, 0.4, 9.6, Some(1.0)), "{}: {way}", place.key);
        // All of it: nothing is left.
        assert_eq!(part(&spread(place, &[(SOUTH, 2.0), (NORTH, 2.0)])), Value::Null, "{}", place.key);
        assert_eq!(part(&farm(place)), Value::Null, "{}", place.key);
    }
}

/// Two phones log the same part, not quite by the same edge: it is done once.
#[test]
fn a_part_that_is_logged_twice_is_done_once() {
    for place in PLACES {
        let other = [0.0, 0.0, 657.0, 333.0];
        let twice = part(&spread(place, &[(SOUTH, 2.0), (other, 2.0)]));
        assert!(is(&twice, 5.05, 4.95, Some(0.4)), "{}: {twice}", place.key);
    }
}

#[test]
fn nothing_is_planned_a_second_time_on_ground_that_is_done() {
    for place in PLACES {
        // So thin that every limit has room.
        let thin = spread(place, &[(SOUTH, 3.0)]).with("fields.A.phosphorus_rating", Value::Null);
        let plan = planned(&thin);
        let until = plan.field("A")["part"]["until"].as_str().unwrap_or_else(|| panic!("{}", plan.field("A")));
        let before = |(_, last): &(&str, &str)| *last <= until;
        assert!(!plan.days("A").iter().any(&before), "{}: {:?}", place.key, plan.days("A"));
        // As many acres that nobody drew may be gone over again.
        let acres = farm(place).part(DAY, "heap", "A", "3", "5").with("fields.A.phosphorus_rating", Value::Null);
        let again = planned(&acres);
        assert!(again.days("A").iter().any(before), "{}: {:?}", place.key, again.days("A"));
        // Where an entry does not say its ground nobody knows what is left.
        let unknown = thin.clone().part("2027-03-02", "heap", "A", "1", "1");
        assert_eq!(part(&unknown), Value::Null, "{}", place.key);
    }
}

/// What passes a limit is no guide for the rest.
#[test]
fn the_rest_gets_no_rate_where_the_ground_done_is_over_a_limit() {
    for place in PLACES {
        let over = part(&spread(place, &[(SOUTH, 40.0)]));
        assert!(is(&over, 5.0, 5.0, None), "{}: {over}", place.key);
    }
}

#[test]
fn the_audit_holds_what_is_told_to_the_log() {
    for place in PLACES {
        let half = spread(place, &[(SOUTH, 5.0)]);
        let plan = planned(&half);
        assert!(!verdict_codes(&plan.text, &half).contains("part"), "{}", place.key);
        for (at, value) in [
            ("/part/left", json!(6.0)),
            ("/part/rest/rate", json!(1.5)),
            ("/part/rest/pounds", json!(20_000)),
            ("/part/entries", json!([])),
        ] {
            let mut changed = plan.json.clone();
            let field = changed["fields"].as_array_mut().unwrap().iter_mut().find(|f| f["id"] == "A").unwrap();
            *field.pointer_mut(at).unwrap() = value;
            let codes = verdict_codes(&changed.to_string(), &half);
            assert!(codes.contains("part"), "{} {at}: {codes:?}", place.key);
        }
    }
}

#[test]
fn every_page_names_the_acres_that_are_left() {
    for place in PLACES {
        let days = json!({"tons_per_day": "90 tons", "fit": fit("40 %")});
        let farm = spread(place, &[(SOUTH, 5.0)]).with("days", days);
        let folder = farm.folder();
        let run = |args: &[&str]| {
            let ended = sward(folder.path(), args);
            assert_eq!(ended.code, 0, "{args:?}: {}{}", ended.out, ended.err);
            ended.out
        };
        let told = "5.02 of 10.04 acres are done (2027-03-01); keep off them until ";
        for command in ["plan", "today"] {
            let page = flat(&run(&[command]));
            assert!(page.contains(told) && page.contains("at most 0.99 tons/ac of heap"), "{command}: {page}");
        }
        for command in ["days", "check"] {
            let page = flat(&run(&[command]));
            assert!(page.contains("5.02 of 10.04 ac were done, 5.02 ac are left"), "{command}: {page}");
        }
        let made: Value = serde_json::from_str(&run(&["map", "--geojson"])).unwrap();
        let acres = |is: &str| {
            let feature = made["features"].as_array().unwrap().iter().find(|f| f["properties"]["is"] == is).unwrap();
            assert_eq!(feature["geometry"]["type"], "Polygon", "{feature}");
            feature["properties"]["acres"].as_f64().unwrap()
        };
        assert_eq!((acres("done"), acres("left")), (5.02, 5.02), "{}", place.key);
        run(&["map", "-o", "maps"]);
        let map = fs::read_to_string(folder.path().join("maps/field-A.svg")).unwrap();
        for words in ["LEFT TO DO", ">DONE<", "Done: keep off", "class=\"done\""] {
            assert!(map.contains(words), "{words}: {map}");
        }
        run(&["sheets", "-o", "sheets"]);
        let sheets = fs::read_to_string(folder.path().join("sheets/sheets.html")).unwrap();
        assert!(sheets.contains("Done in part") && sheets.contains("5.02 acres are left until then"), "{}", place.key);
    }
}

/// A job of a later window goes over the whole field again: its sheet draws no ground to keep
/// off, and says where the rest of the earlier window stands.
#[test]
fn the_sheet_of_a_later_job_has_the_whole_field() {
    let farm = spread(PLACES[0], &[(SOUTH, 2.0)]);
    let farm = farm.with("plan.to", "2027-10-31").with("fields.A.phosphorus_rating", Value::Null);
    let jobs = planned(&farm).field("A")["applications"].clone();
    let until = part(&farm)["until"].clone();
    assert!(jobs[0]["first"].as_str() > until.as_str(), "{jobs} {until}");
    let folder = farm.folder();
    let ended = sward(folder.path(), &["sheets", "-o", "sheets"]);
    assert_eq!(ended.code, 0, "{}", ended.err);
    let sheets = fs::read_to_string(folder.path().join("sheets/sheets.html")).unwrap();
    assert!(sheets.contains("then the job of this sheet") && !sheets.contains("LEFT TO DO"), "{sheets}");
}
