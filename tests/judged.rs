//! An entry of the log is judged by what was in force on its own day, however long ago:
//! soil test, rating, forage, sample; never by what the plan's day goes by.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Farm, NC, PLACES, Place, asked, figure};
use serde_json::json;

/// Code and line of what `sward check` finds in the log.
fn told(farm: &Farm) -> Vec<(String, usize)> {
    let (texts, log) = (farm.texts(), farm.log_text());
    let weighed = asked(&texts, &log, farm).check().weigh();
    let weighed = weighed.unwrap_or_else(|f| panic!("{}\n{:?}", farm.main(), f.sorted()));
    let found = weighed.with_whole_record();
    let of_log = found.sorted().into_iter().filter(|f| f.place.file.ends_with("log.csv"));
    of_log.map(|f| (f.code.to_string(), f.place.line)).filter(|(code, _)| code != "tally-sampled-later").collect()
}

/// Codes of what the tally of a year finds.
fn told_of_year(farm: &Farm, year: i16) -> Vec<String> {
    let (texts, log) = (farm.texts(), farm.log_text());
    let then = asked(&texts, &log, farm).open().check_record().weigh_year(year, None).unwrap().unwrap();
    let found = sward::plan::shown_of_year(&then.ready, &then.tables, &then.balance, &then.findings);
    found.sorted().into_iter().map(|f| f.code.to_string()).filter(|code| code != "tally-sampled-later").collect()
}

fn rated(farm: Farm, ratings: &[(&str, &str)]) -> Farm {
    let one = |(on, rating): &(&str, &str)| json!({"rating": rating, "by": "a planner", "on": on});
    farm.with("fields.A.phosphorus_rating", ratings.iter().map(one).collect::<Vec<_>>())
}

#[test]
fn a_rating_counts_from_its_day_on() {
    let log = |farm: Farm| farm.logged("2027-03-10", "spread", "heap", "A", "10");
    let (low, none) = (("2026-11-09", "low"), ("2027-03-20", "very high"));
    // Litter under the old rating is no fault by the new one.
    let farm = log(rated(Farm::new(&NC), &[low, none]));
    assert_eq!(told(&farm), [], "{}", farm.main());
    assert!(told_of_year(&farm, 2027).is_empty());
    // Nor does a better rating make good what the old one did not allow.
    let farm = log(rated(Farm::new(&NC), &[("2026-11-09", "very high"), ("2027-03-20", "low")]));
    assert_eq!(told(&farm), [("logged-over".to_string(), 2)]);
    assert_eq!(told_of_year(&farm, 2027), ["logged-over"]);
    // What goes on after the change is judged by the change, once.
    let farm = rated(Farm::new(&NC), &[low, none]).logged("2027-03-21", "spread", "heap", "A", "10");
    assert_eq!(told(&farm), [("logged-over".to_string(), 2)]);
    assert_eq!(told_of_year(&farm, 2027), ["logged-over"]);
}

#[test]
fn a_soil_test_that_expired_since_bars_no_litter_of_before() {
    let farm = |place: &'static Place, day: &str| {
        let farm = Farm::new(place).figure(figure("soil_sample_age", "days", "operation: ordinary", "value: 150"));
        told(&farm.logged(day, "spread", "heap", "A", "10"))
    };
    for place in PLACES {
        // Sampled 2026-10-06, and good for 150 days, to 2027-03-05.
        assert_eq!(farm(place, "2027-03-05"), []);
        assert_eq!(farm(place, "2027-03-06"), [("log-soil-test-old".to_string(), 2)]);
    }
}

#[test]
fn a_sample_that_expired_since_bars_no_litter_of_before() {
    let farm = |place: &'static Place, day: &str| {
        let farm = Farm::new(place).figure(figure("litter_sample_stop", "days", "operation: ordinary", "value: 60"));
        told(&farm.logged(day, "spread", "heap", "A", "10"))
    };
    for place in PLACES {
        // Sampled 2027-01-20, and good for 60 days, to 2027-03-21.
        assert_eq!(farm(place, "2027-03-21"), []);
        assert_eq!(farm(place, "2027-03-22"), [("tally-barred".to_string(), 2)]);
    }
}

#[test]
fn check_judges_every_year_of_the_log() {
    let over = |day: &str| Farm::new(&NC).logged(day, "spread", "heap", "A", "140");
    for day in ["2020-03-10", "2024-03-10", "2026-03-10", "2027-03-10"] {
        let codes = told(&over(day));
        let of = |code: &str| codes.iter().filter(|(own, line)| own == code && *line == 2).count();
        assert!(of("logged-over") >= 1, "{day}: {codes:?}");
        assert_eq!(of("logged-at-once"), usize::from(of("logged-at-once") > 0), "{day}: {codes:?}");
    }
    // What broke a rule of its day is told however long ago that was.
    let rain = Farm::new(&NC).lines(
        "date,what,lot,field,tons,weather\n2021-03-10,spread,heap,A,10,steady rain\n2022-03-10,spread,heap,A,10,no drizzle or rain\n",
    );
    // The kit writes a line of names of its own above.
    assert_eq!(told(&rain), [("log-weather".to_string(), 3)], "{}", rain.log_text());
}

#[test]
fn what_grew_then_says_how_much_it_needed() {
    // Bermudagrass takes more nitrogen than what grows now.
    let farm = |tons: &str| {
        Farm::new(&NC)
            .with(
                "fields.A.before",
                json!([{"until": "2027-03-15", "forage": "hybrid bermudagrass", "yield_goal": "8 tons/ac"}]),
            )
            .with("litter.heap.analysis.total_n", "60 lb/ton")
            .logged("2027-03-10", "spread", "heap", "A", tons)
    };
    let needs = |tons: &str| told(&farm(tons)).iter().filter(|(code, _)| code == "logged-over").count();
    let fescue = |tons: &str| {
        let farm = Farm::new(&NC).with("litter.heap.analysis.total_n", "60 lb/ton").logged(
            "2027-03-10",
            "spread",
            "heap",
            "A",
            tons,
        );
        told(&farm).iter().filter(|(code, _)| code == "logged-over").count()
    };
    let between =
        (1..15).map(|t| (t * 10).to_string()).find(|tons| fescue(tons) > 0).expect("a rate that fescue is over");
    assert_eq!(needs(&between), 0, "{between} tons");
}

#[test]
fn a_long_log_of_many_fields_is_judged_once_an_entry() {
    let farm = (2019..2027).fold(Farm::new(&NC).field("B"), |farm, year| {
        farm.logged(&format!("{year}-03-10"), "spread", "heap", "A", "140").logged(
            &format!("{year}-03-12"),
            "spread",
            "heap",
            "B",
            "140",
        )
    });
    let mut found = told(&farm);
    let all = found.len();
    found.dedup();
    assert_eq!(all, found.len(), "{found:?}");
}
