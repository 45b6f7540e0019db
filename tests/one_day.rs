//! What the log put on a day and what is planned for it go on at once: their sum keeps
//! what may go on at once.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Farm, PLACES, Place, figure, planned};
use serde_json::Value;

const DAY: &str = "2027-03-10";

/// Ten acres on which only what goes on at once is limited, and a plan of one day.
fn farm(place: &'static Place, last: &str) -> Farm {
    Farm::new(place).with("plan.as_of", DAY).with("plan.to", last)
}

/// Rates of the first and the last application, tons/ac.
fn rates(farm: &Farm) -> Vec<(String, f64)> {
    let planned = planned(farm);
    let list = planned.json["fields"][0]["applications"].as_array().unwrap().clone();
    let rate = |a: &Value| a["rate"].as_f64().unwrap();
    list.iter().map(|a| (a["first"].as_str().unwrap().to_string(), rate(a))).collect()
}

#[test]
fn nitrogen_of_log_and_plan_on_one_day() {
    for place in PLACES {
        let most = |farm: Farm, lb: &str| {
            farm.figure(figure("n_at_once", "lb/ac", "forage: tall_fescue, use: hay", &format!("value: {lb}")))
        };
        let free = rates(&farm(place, DAY));
        let n = {
            let planned = planned(&farm(place, DAY));
            planned.json["fields"][0]["supplied"]["n"].as_f64().unwrap() / free[0].1
        };
        // Two tons an acre may go on at once, and one went on this morning.
        let two = format!("{}", (2.0 * n * 1e6).ceil() / 1e6);
        assert_eq!(rates(&most(farm(place, DAY), &two))[0].1, 2.0, "{}", place.key);
        let begun = most(farm(place, DAY), &two).logged(DAY, "spread", "heap", "A", "10.05");
        let left = rates(&begun);
        assert!(left.iter().all(|(_, rate)| *rate <= 1.0 + 1e-6), "{}: {left:?}", place.key);
        // On the next day it may go on whole.
        let next = most(farm(place, "2027-03-25"), &two).logged(DAY, "spread", "heap", "A", "10.05");
        let planned = rates(&next);
        assert!(planned.iter().any(|(first, rate)| first.as_str() > DAY && *rate == 2.0), "{}: {planned:?}", place.key);
        // Fertilizer of the day counts as well.
        let bag = most(farm(place, DAY), &two).lines(&format!(
            "date,what,lot,field,product,grade,rate\n{DAY},fertilizer,,A,urea,46-0-0,{} lb/ac\n",
            (n / 0.46).ceil()
        ));
        assert!(rates(&bag).iter().all(|(_, rate)| *rate < 1.0 + 1e-6), "{}: {:?}", place.key, rates(&bag));
    }
}

#[test]
fn tons_of_log_and_plan_on_one_day() {
    for place in PLACES {
        let farm =
            farm(place, DAY).figure(figure("rate_most", "tons/ac", "forage: tall_fescue, use: hay", "value: 2.5"));
        assert_eq!(rates(&farm)[0].1, 2.5, "{}", place.key);
        let begun = rates(&farm.logged(DAY, "spread", "heap", "A", "10.05"));
        assert!(begun.iter().all(|(_, rate)| *rate <= 1.5 + 1e-6), "{}: {begun:?}", place.key);
    }
}
