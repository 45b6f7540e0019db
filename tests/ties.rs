//! Of two windows in which a job is worth the same, it stands in the one with more days to do it.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Farm, PLACES, Place, planned};
use serde_json::json;

/// Hay that is cut on a day, with so many days to keep before it; nitrogen holds the rate.
fn farm(place: &'static Place, cutting: &str, wait: i32) -> Farm {
    Farm::new(place)
        .with("plan.as_of", "2027-02-15")
        .with("plan.to", "2027-03-31")
        .with("litter.heap.analysis.total_n", "60 lb/ton")
        .with("fields.A.cuttings", json!([cutting]))
        .with("fields.A.cut_wait", format!("{wait} days"))
}

#[test]
fn a_window_of_one_day_is_taken_only_where_no_longer_one_is_as_good() {
    for place in PLACES {
        let free = planned(&farm(place, "2027-05-25", 0));
        let (spring, rate) = (free.days("A")[0], free.rate("A"));
        // Kept so long that one day is left before a cutting, and two weeks after it.
        let cutting = kit::later("2027-03-31", -14);
        let first: jiff::civil::Date = spring.0.parse().unwrap();
        let wait = (cutting.parse::<jiff::civil::Date>().unwrap() - first).get_days();
        let plan = planned(&farm(place, &cutting, wait));
        assert_eq!(plan.field("A")["windows"].as_array().unwrap().len(), 2, "{}", place.key);
        assert_eq!(plan.days("A"), [(kit::later(&cutting, 1).as_str(), spring.1)], "{}", place.key);
        assert_eq!(plan.rate("A"), rate, "{}", place.key);
        // Ten days before it and fourteen after it are both enough: the first is kept.
        let plan = planned(&farm(place, &cutting, wait - 12));
        assert_eq!(plan.days("A")[0].0, spring.0, "{}", place.key);
        // Where the day alone is left, it is taken.
        let plan = planned(&farm(place, "2027-04-01", 45 - (first - jiff::civil::date(2027, 2, 15)).get_days()));
        assert_eq!(plan.days("A"), [(spring.0, spring.0)], "{}", place.key);
    }
}

/// A field is limited by what leaves the least once the plan is on, also where another limit
/// allows less in all; and by both of two that leave as little.
#[test]
fn a_field_is_limited_by_what_leaves_the_least() {
    let mut seen = 0;
    for place in PLACES {
        let year = Farm::new(place)
            .figure(kit::rule("low", "rating: low", &["basis: nitrogen"]))
            .with("plan.as_of", "2027-02-15")
            .with("plan.to", "2027-12-31")
            .with("litter.heap.analysis.total_n", "60 lb/ton");
        let free = planned(&year);
        let held = free.field("A")["held"].clone();
        let windows = free.days("A").len() as f64;
        let (rate, most) = (free.rate("A"), held["rate"].as_f64().unwrap());
        if held["by"] != "season_share" || windows < 2.0 {
            continue;
        }
        seen += 1;
        // What one season leaves, and a yearly limit that leaves half of it or as much.
        let left = most - rate / windows;
        assert!(left > 0.02, "{}: {most} {rate}", place.key);
        let with = |most: f64| planned(&year.clone().with("fields.A.most", format!("{most} tons/ac")));
        let half = with(rate + left / 2.0);
        assert_eq!(half.rate("A"), rate);
        assert_eq!(
            (&half.field("A")["held"]["by"], half.field("A")["held"].get("also")),
            (&json!("grower_most"), None)
        );
        let tied = with(rate + left);
        let held = &tied.field("A")["held"];
        let both = [held["by"].as_str().unwrap(), held["also"]["by"].as_str().unwrap()];
        assert!(both.contains(&"season_share") && both.contains(&"grower_most"), "{}: {held}", place.key);
        let made = kit::made(&year.clone().with("fields.A.most", format!("{} tons/ac", rate + left)));
        let pages = [sward::write::limits(&made.audited, 120), sward::write::plan(&made.audited, 120)];
        for page in pages {
            let flat = kit::flat(&page);
            assert!(flat.contains("and your own most") || flat.contains("season") && flat.contains("and "), "{page}");
        }
    }
    assert!(seen > 0);
}
