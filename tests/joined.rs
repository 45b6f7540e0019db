//! A field that was put together of others: two entries on one of those lie on each other,
//! unless the ground of both says otherwise; entries on two of them never do.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Farm, PLACES, Place, asked, planned};
use serde_json::json;

/// Ten acres that were `North` and `South` until 2027-03-05.
fn farm(place: &'static Place) -> Farm {
    let before = json!([{"id": "North", "until": "2027-03-05"}, {"id": "South", "until": "2027-03-05"}]);
    Farm::new(place).with("plan.as_of", "2027-03-10").with("fields.A.before", before)
}

/// Lines of the log on fields of before: day, field, tons, acres and ground.
fn on(farm: &Farm, lines: &[(&str, &str, &str, &str)]) -> Farm {
    let head = "date,what,lot,field,tons,acres,ground\n".to_string();
    let line = |(day, field, acres, ground): &(&str, &str, &str, &str)| {
        format!("2027-03-0{day},spread,heap,{field},10,{acres},\"{ground}\"\n")
    };
    farm.clone().lines(&(head + &lines.iter().map(line).collect::<String>()))
}

/// Pounds of phosphate on the ground that got most; the plan passes its audit.
fn most_on(farm: &Farm) -> f64 {
    planned(farm).number("A", "/done/p2o5")
}

const NORTH: [f64; 4] = [0.0, 330.0, 660.0, 660.0];
const WEST: [f64; 4] = [0.0, 330.0, 330.0, 660.0];
const EAST: [f64; 4] = [330.0, 330.0, 660.0, 660.0];

#[test]
fn two_entries_on_one_old_field_lie_on_each_other() {
    for place in PLACES {
        let farm = farm(place);
        let once = most_on(&on(&farm, &[("1", "North", "5", "")]));
        let near = |farm: &Farm, times: f64| {
            let most = most_on(farm);
            assert!((most - times * once).abs() < 0.02 * once, "{}: {most}, and once is {once}", place.key);
        };
        let (one, two, south) = (("1", "North", "5", ""), ("2", "North", "5", ""), ("1", "South", "5", ""));
        near(&on(&farm, &[one, two]), 2.0);
        // On the other one lies what goes there alone.
        near(&on(&farm, &[one, south]), 1.0);
        near(&on(&farm, &[one, two, south]), 2.0);
        near(&on(&farm, &[one, two, south, ("2", "South", "5", "")]), 2.0);
        // Of one day too.
        near(&on(&farm, &[one, ("1", "North", "5", "")]), 2.0);
        // One that does not say its acres counts as on all of the field, and so on the other.
        near(&on(&farm, &[one, ("2", "South", "", "")]), 1.5);
        // What is written under the new id fits beside one of them.
        near(&on(&farm, &[one, ("6", "A", "5", "")]), 1.0);
    }
}

#[test]
fn the_ground_of_both_says_otherwise() {
    for place in PLACES {
        let farm = farm(place);
        let (north, west, east) = (farm.area(NORTH), farm.area(WEST), farm.area(EAST));
        let half = most_on(&on(&farm, &[("1", "North", "", &west)]));
        let most = most_on(&on(&farm, &[("1", "North", "", &west), ("2", "North", "", &east)]));
        assert!((most - half).abs() < 0.02 * half, "{}: {most}, and {half}", place.key);
        let most = most_on(&on(&farm, &[("1", "North", "", &north), ("2", "North", "", &east)]));
        assert!((most - 1.5 * half).abs() < 0.03 * half, "{}: {most}, and {half}", place.key);
        // The ground of one alone says nothing of the other.
        let most = most_on(&on(&farm, &[("1", "North", "", &west), ("2", "North", "2.5", "")]));
        assert!((most - 2.0 * half).abs() < 0.04 * half, "{}: {most}, and {half}", place.key);
    }
}

/// Check tells what lies on one of the old fields, and counts how often it was gone over.
#[test]
fn the_log_over_on_an_old_field_is_told() {
    for place in PLACES {
        let codes = |lines: &[(&str, &str, &str, &str)]| {
            let farm = on(&farm(place).with("litter.heap.analysis.total_n", "30 lb/ton"), lines);
            let (texts, log) = (farm.texts(), farm.log_text());
            let weighed = asked(&texts, &log, &farm).check().weigh();
            let found = weighed.unwrap_or_else(|f| panic!("{:?}", f.sorted())).with_whole_record();
            let over = found.sorted().into_iter().filter(|f| f.code == "logged-over").count();
            let trips = found.sorted().into_iter().filter(|f| f.code == "logged-trips").count();
            (over > 0, trips > 0)
        };
        let north = |day| (day, "North", "5", "");
        assert_eq!(codes(&[north("1"), ("2", "South", "5", "")]), (false, false), "{}", place.key);
        assert_eq!(codes(&[north("1"), north("2"), north("3"), north("4"), north("5")]), (true, true), "{}", place.key);
    }
}
