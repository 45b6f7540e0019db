//! How old a test, an analysis or a pile may be, and which years count: on the
//! last good day, the day before and the day after.

use crate::FROM;
use crate::kit::{Farm, PLACES, checked, figure, later, passed_limits, planned, rule, verdict_codes, weighed_codes};
use serde_json::json;
use sward::tables::{Of, topic};
use sward::units::Days;

/// An age in days for a farm whose figure is `topic`.
fn days(farm: &Farm, topic: Of<Days>) -> i32 {
    planned(farm).figures().hay(topic, &[]).expect("the place has an age") as i32
}

#[test]
fn a_soil_test_on_its_last_good_day() {
    for place in PLACES {
        let farm = Farm::new(place);
        let most = days(&farm, topic::SOIL_SAMPLE_AGE);
        let aged = |days: i32| farm.clone().with("fields.A.soil_test.sampled", later(FROM, -days));
        for (age, good) in [(most - 1, true), (most, true), (most + 1, false)] {
            let plan = planned(&aged(age));
            assert_eq!(plan.bars("A") == 0, good, "{}, {age} days", place.key);
            assert_eq!(!plan.codes().contains("soil-test-old"), good, "{}, {age} days", place.key);
        }
    }
}

/// Days from a day to a later one.
fn between(from: &str, to: &str) -> i32 {
    let day = |text: &str| text.parse::<jiff::civil::Date>().expect("a day");
    (day(to) - day(from)).get_days()
}

#[test]
fn nothing_is_planned_after_the_last_day_of_a_soil_test() {
    for place in PLACES {
        let farm = Farm::new(place);
        let most = days(&farm, topic::SOIL_SAMPLE_AGE);
        let fresh = planned(&farm);
        let (first, last) = fresh.days("A")[0];
        let good_until = |day: &str| farm.clone().with("fields.A.soil_test.sampled", later(day, -most));
        for until in [first.to_string(), later(last, -1), last.to_string()] {
            let (plan, ends_early) = (planned(&good_until(&until)), until.as_str() < last);
            let at = format!("{}, {first} to {last}, good until {until}", place.key);
            assert_eq!(plan.spread("A")[0]["last"], until, "{at}");
            assert_eq!(plan.codes().contains("soil-test-ends"), ends_early, "{at}");
            assert_eq!(plan.field("A")["test_until"], until, "{at}");
            // Fertilizer goes by the needs of all the plan's days, whatever waits for a test.
            assert_eq!(plan.field("A")["need"], fresh.field("A")["need"], "{at}");
            let refused = passed_limits(&fresh.text, &good_until(&until));
            assert_eq!(refused.contains("soil-test"), ends_early, "{at}: {refused:?}");
        }
        let over = planned(&good_until("2027-05-31"));
        assert!(over.field("A")["test_until"].is_null() && !over.codes().contains("soil-test-ends"), "{}", place.key);
    }
}

#[test]
fn a_litter_analysis_on_its_last_good_day() {
    for place in PLACES {
        let farm = Farm::new(place);
        let most = days(&farm, topic::LITTER_SAMPLE_AGE);
        for (age, good) in [(most - 1, true), (most, true), (most + 1, false)] {
            let sampled = later(FROM, -age);
            let plan = planned(&farm.clone().with("litter.heap.analysis.sampled", sampled.clone()));
            assert_eq!(!plan.codes().contains("litter-sample-old"), good, "{}, {age} days", place.key);
            assert_eq!(plan.lot("heap")["analysis_good_until"], later(&sampled, most));
            assert!(plan.rate("A") > 0.0, "an old analysis is told and bars nothing");
        }
    }
}

#[test]
fn a_litter_analysis_on_the_last_day_a_plan_may_rest_on_it() {
    for place in PLACES {
        let most = 300;
        let stop = figure("litter_sample_stop", "days", "operation: ordinary", &format!("value: {most}"));
        let aged = |days: i32| {
            let farm = Farm::new(place).figure(stop.clone());
            farm.with("litter.heap.analysis.sampled", later(FROM, -days))
        };
        for (age, good) in [(most - 1, true), (most, true), (most + 1, false)] {
            let plan = planned(&aged(age));
            assert!(plan.codes().contains("litter-sample-stop"), "{}, {age} days", place.key);
            assert_eq!(plan.ready.lots.iter().all(|lot| lot.barred.is_none()), good, "{}, {age} days", place.key);
        }
        // Within the plan nothing goes on after it, and the audit sees it.
        let fresh = planned(&aged(1));
        let (first, last) = fresh.days("A")[0];
        for (until, ends) in [
            (later(first, -1), None),
            (later(last, -1), Some(later(last, -1))),
            (last.to_string(), Some(last.to_string())),
        ] {
            let farm = aged(most - between(FROM, &until));
            let to = planned(&farm).days("A").first().map(|days| days.1.to_string());
            assert_eq!(to, ends, "{}, until {until}", place.key);
            assert_eq!(
                verdict_codes(&fresh.text, &farm).contains("analysis"),
                until.as_str() < last,
                "{}, until {until}",
                place.key
            );
        }
        assert!(verdict_codes(&fresh.text, &aged(most + 1)).contains("tally"), "{}: barred and planned", place.key);
    }
}

#[test]
fn a_pile_on_the_last_day_it_may_lie_open() {
    for place in PLACES {
        let farm = Farm::new(place).with("litter.heap.stored", "outside uncovered");
        let most = days(&farm.clone().with("litter.heap.since", FROM), topic::STOCKPILE_DAYS);
        for (age, good) in [(most - 1, true), (most, true), (most + 1, false)] {
            let codes = planned(&farm.clone().with("litter.heap.since", later(FROM, -age))).codes();
            assert_eq!(!codes.contains("stockpile-old"), good, "{}, {age} days", place.key);
        }
    }
}

#[test]
fn earlier_litter_lies_before_the_plans_year() {
    for place in PLACES {
        let earlier = |year: i32| {
            let entry = json!([{"year": year.to_string(), "kind": "broiler litter", "rate": "2 tons/ac",
                "organic_n": "40 lb/ton"}]);
            checked(&Farm::new(place).with("fields.A.earlier", entry)).codes().contains("not-earlier")
        };
        assert_eq!([2025, 2026, 2027, 2028].map(earlier), [false, false, true, true], "{}", place.key);
    }
}

/// Phosphate of several years at once, as many as the place allows.
#[test]
fn phosphate_is_banked_for_the_years_the_place_allows() {
    for place in PLACES {
        let years = rule("high", "rating: high", &["basis: removal", "years: 3"]);
        let farm = Farm::new(place).figure(years).with("fields.A.phosphorus_rating.rating", "high");
        let banked = |years: i32| farm.clone().with("fields.A.bank_years", years.to_string());
        let allowed = |farm: &Farm| planned(farm).number("A", "/phosphorus/allowed");
        let one = allowed(&farm);
        for years in 1..=3 {
            let ratio = allowed(&banked(years)) / one;
            assert!((ratio - f64::from(years)).abs() < 1e-9, "{}: {years} years allow {ratio}", place.key);
        }
        assert!(weighed_codes(&banked(4)).contains("banked-too-long"), "{}", place.key);
        // Heavy litter: three years' worth is refused where one is allowed.
        let heavy = |farm: Farm| farm.with("litter.heap.analysis.p2o5", format!("{} lb/ton", one));
        let three = planned(&heavy(banked(3)));
        assert!((three.rate("A") - 3.0).abs() < 1e-9, "{}: {}", place.key, three.rate("A"));
        assert!(passed_limits(&three.text, &heavy(banked(3))).is_empty());
        assert!(!passed_limits(&three.text, &heavy(banked(2))).is_empty(), "{}", place.key);
    }
}

/// A field that was banked rests through a year, and may get phosphate again
/// in the next.
#[test]
fn a_field_rests_through_its_last_year() {
    for place in PLACES {
        let farm = Farm::new(place).with("fields.A.phosphorus_rating.rating", "high");
        let until = |year: i32| farm.clone().with("fields.A.banked_until", year.to_string());
        for (year, rests) in [(2026, false), (2027, true), (2028, true)] {
            let plan = planned(&until(year));
            assert_eq!(plan.number("A", "/phosphorus/allowed") == 0.0, rests, "{}: through {year}", place.key);
            assert_eq!(plan.rate("A") == 0.0, rests, "{}: through {year}", place.key);
        }
        let rested = planned(&until(2026)).text;
        assert!(passed_limits(&rested, &until(2026)).is_empty());
        assert!(!passed_limits(&rested, &until(2027)).is_empty(), "{}: it rests, and the audit passes it", place.key);
    }
}

/// Whatever limits the phosphate else: rated to go by nitrogen, or not rated. No
/// phosphate is bought for it either.
#[test]
fn a_field_rests_on_any_basis() {
    for place in PLACES {
        let farm = Farm::new(place).with(
            "fertilizer",
            json!([
                {"name": "urea", "analysis": "46-0-0", "price": "520 $/ton"},
                {"name": "triple super", "analysis": "0-46-0", "price": "640 $/ton"},
            ]),
        );
        let unrated = farm.clone().with("fields.A.phosphorus_rating", serde_json::Value::Null);
        for farm in [farm, unrated.with("fields.A.soil_test.p", format!("5 {}", place.unit))] {
            let until = |year: i32| farm.clone().with("fields.A.banked_until", year.to_string());
            let bought = |plan: &crate::kit::Planned| {
                let all = plan.json["buy"]["products"].as_array().unwrap().clone();
                all.iter().find(|p| p["name"] == "triple super").map_or(0.0, |p| p["tons"].as_f64().unwrap())
            };
            let before = planned(&until(2026));
            assert!(before.rate("A") > 0.0, "{}", place.key);
            let rests = planned(&until(2027));
            assert_eq!(rests.rate("A"), 0.0, "{}", place.key);
            assert_eq!(rests.number("A", "/phosphorus/allowed"), 0.0, "{}", place.key);
            assert_eq!(rests.field("A")["phosphorus"]["basis"], "rests", "{}", place.key);
            assert_eq!(bought(&rests), 0.0, "{}", place.key);
            assert!(passed_limits(&before.text, &until(2026)).is_empty());
            assert!(!passed_limits(&before.text, &until(2027)).is_empty(), "{}: the audit passes it", place.key);
        }
    }
}

/// The year through which a field rests afterward: until the forage has carried
/// off what was put on.
#[test]
fn rest_lasts_until_the_forage_has_carried_it_off() {
    for place in PLACES {
        let years = rule("high", "rating: high", &["basis: removal", "years: 3"]);
        let farm = Farm::new(place).figure(years).with("fields.A.phosphorus_rating.rating", "high");
        let farm = farm.with("fields.A.bank_years", "3").with("fields.A.most", "2 tons/ac");
        let a_year = planned(&farm).number("A", "/removed/p2o5");
        let through = |years_worth: f64| {
            let content = format!("{:.9} lb/ton", a_year * years_worth / 2.0);
            let plan = planned(&farm.clone().with("litter.heap.analysis.p2o5", content));
            assert!((plan.rate("A") - 2.0).abs() < 1e-9);
            plan.field("A")["phosphorus"]["rests_through"].as_i64()
        };
        assert_eq!(through(0.999), None, "{}", place.key);
        assert_eq!(through(1.001), Some(2028), "{}", place.key);
        assert_eq!(through(1.999), Some(2028), "{}", place.key);
        assert_eq!(through(2.001), Some(2029), "{}", place.key);
    }
}

/// A goal from past years: as many of them as the place asks for, none older
/// than it looks at.
#[test]
fn a_goal_needs_the_years_the_place_asks_for() {
    for place in PLACES {
        let stated = planned(&Farm::new(place));
        let number = |topic| stated.figures().hay(topic, &[]).unwrap() as i32;
        let (best, of) = (number(topic::YIELD_BEST), number(topic::YIELD_OF));
        assert!(1 < best && best < of);
        let few = |years: &[i32]| {
            let year = |y: &i32| json!({"year": y.to_string(), "tons": "4 tons/ac"});
            let yields: Vec<_> = years.iter().map(year).collect();
            let farm = Farm::new(place).with("fields.A.yield_goal", json!(null)).with("fields.A.yields", yields);
            checked(&farm).codes().contains("yield-years")
        };
        let latest: Vec<i32> = (0..best).map(|back| 2026 - back).collect();
        assert!(!few(&latest), "{}: {latest:?}", place.key);
        assert!(few(&latest[1..]), "{}: {:?}", place.key, &latest[1..]);
        let with =
            |back: i32| -> Vec<i32> { latest[..latest.len() - 1].iter().copied().chain([2026 - back]).collect() };
        assert!(!few(&with(of - 1)), "{}: the oldest that counts", place.key);
        assert!(few(&with(of)), "{}: a year too old", place.key);
        assert!(few(&with(0)), "{}: a year twice", place.key);
        // A bumper year counts as long as it is looked at.
        let goal = |bumper: i32| {
            let year = |y: i32, tons: i32| json!({"year": y.to_string(), "tons": format!("{tons} tons/ac")});
            let yields: Vec<_> = latest.iter().map(|y| year(*y, 2)).chain([year(2026 - bumper, 2 + best)]).collect();
            let farm = Farm::new(place).with("fields.A.yield_goal", json!(null)).with("fields.A.yields", yields);
            planned(&farm).number("A", "/goal/tons")
        };
        assert!((goal(of - 1) - 3.0).abs() < 1e-9, "{}: {}", place.key, goal(of - 1));
        assert!((goal(of) - 2.0).abs() < 1e-9, "{}: {}", place.key, goal(of));
    }
}
