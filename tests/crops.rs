//! Crops that the tables lack: what they carry off and when litter may go on them stands in
//! `crops:`, what they need on the soil report, in two states.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Farm, NC, PLACES, Place, checked, made, own_figure, planned};
use serde_json::{Value, json};
use sward::findings::Severity;

/// What the farm says of corn.
fn crop(removal: Value) -> Value {
    json!({"crop": "corn", "bushel": "56 lb", "season": {"opens": "03-01", "closes": "04-15"}, "removal": removal,
        "by": "a county agent", "on": "2026-11-20"})
}

/// A field of corn that is to make 150 bushels, in a state without figures of its own for it.
fn corn(place: &'static Place) -> Farm {
    Farm::new(place)
        .with("figures", Value::Null)
        .with("crops", json!([crop(json!({"n": "0.7 lb/bu", "p2o5": "0.35 lb/bu", "k2o": "9 lb/ton"}))]))
        .with("fields.A.forage", "corn")
        .with("fields.A.use", "grain")
        .with("fields.A.yield_goal", "150 bu/ac")
        .with(
            "fields.A.soil_test.recommended",
            json!({"crop": "corn grain", "yield": "150 bu/ac", "n": "140 lb/ac", "p2o5": "40 lb/ac", "k2o": "60 lb/ac"}),
        )
}

fn number(value: &sward::balance::Worth) -> Option<f64> {
    match value {
        sward::balance::Worth::Number(value) => Some(*value),
        sward::balance::Worth::Word(_) => None,
    }
}

/// One crop changed.
fn with_crop(farm: Farm, key: &str, value: Value) -> Farm {
    let mut own = crop(json!({"n": "0.7 lb/bu", "p2o5": "0.35 lb/bu", "k2o": "9 lb/ton"}));
    match value {
        Value::Null => drop(own.as_object_mut().unwrap().remove(key)),
        value => own[key] = value,
    }
    farm.with("crops", json!([own]))
}

/// Nothing grazes what is cut for its grain, unless the farm says so.
#[test]
fn corn_for_grain_has_no_grazing_line() {
    let day = jiff::civil::date(2027, 3, 10);
    let today = |farm: &Farm| {
        let made = made(&farm.clone().with("plan.as_of", day.to_string()));
        let plan = made.audited.plan();
        let weather = sward::plan::days::Weather::default();
        let today = sward::plan::days::today(plan, &made.weighed.ready, &made.weighed.tables, weather);
        assert!(!today.go.is_empty(), "{today:?}");
        (sward::write::today(&today, 80), plan.cautions.iter().any(|caution| caution.about == "graze"))
    };
    for place in PLACES {
        let (page, caution) = today(&corn(place));
        assert!(!page.contains("Graze from") && !caution, "{}: {page}", place.key);
        let grazed = corn(place).with("fields.A.grazed", json!([{"from": "2027-10-01", "to": "2027-11-01"}]));
        let (page, caution) = today(&grazed);
        assert!(page.contains("Graze from") && caution, "{}: {page}", place.key);
    }
}

#[test]
fn corn_plans_by_the_report_and_what_the_farm_says() {
    for place in PLACES {
        let plan = planned(&corn(place));
        let field = &plan.json["fields"][0];
        // 150 bushels of 56 lb are 4.2 tons.
        assert!((field["goal"]["tons"].as_f64().unwrap() - 4.2).abs() < 1e-9, "{}: {}", place.key, field["goal"]);
        assert_eq!((field["need"]["n"].as_f64(), field["need"]["k2o"].as_f64()), (Some(140.0), Some(60.0)));
        // 0.7 and 0.35 lb a bushel on 150 bushels; 9 lb a ton on 4.2 tons.
        for (key, off) in [("n", 105.0), ("p2o5", 52.5), ("k2o", 37.8)] {
            let removed = field["removed"][key].as_f64().unwrap();
            assert!((removed - off).abs() < 1e-9, "{}: {key} {removed}", place.key);
        }
        let applications = field["applications"].as_array().unwrap();
        assert!(!applications.is_empty(), "{}: {}", place.key, field["bars"]);
        for one in applications {
            assert!(one["first"].as_str().unwrap() >= "2027-03-01" && one["last"].as_str().unwrap() <= "2027-04-15");
        }
        for code in ["report-crop", "report-yield", "bushel", "figure-missing"] {
            assert!(!plan.codes().contains(code), "{}: {code}", place.key);
        }
        // Corn has no sod.
        let binder = kit::binder(&corn(place));
        assert!(binder.contains("spread on top of the ground, not worked in"), "{}", place.key);
        assert!(!binder.contains("on top of the sod"), "{}", place.key);
    }
}

#[test]
fn a_report_for_other_bushels_is_a_warning() {
    for (bushels, other) in [(150, false), (164, false), (166, true), (100, true)] {
        let farm = corn(&NC).with("fields.A.soil_test.recommended.yield", format!("{bushels} bu/ac"));
        assert_eq!(planned(&farm).codes().contains("report-yield"), other, "{bushels}");
    }
}

#[test]
fn what_nobody_says_of_a_crop_is_asked_and_stops_its_field_alone() {
    for place in PLACES {
        let bare = |key: &str| with_crop(corn(place).field("B"), key, Value::Null);
        // Without what it carries off: where the phosphorus rule goes by that nothing goes on.
        let plan = planned(&bare("removal").with("fields.A.yield_goal", "4.2 tons/ac"));
        let field = plan.field("A");
        let stops = field["phosphorus"]["basis"] != "nitrogen" && plan.codes().contains("figure-missing");
        assert!(stops || plan.codes().contains("need-unknown"), "{}: {:?}", place.key, plan.codes());
        assert_eq!(field["applications"].as_array().unwrap().is_empty(), stops, "{}", place.key);
        assert!(field["removed"]["k2o"].is_null() && field["removed"]["p2o5"].is_null(), "{}", place.key);
        assert!(field["outlook"].as_array().unwrap().is_empty(), "{}: {}", place.key, field["outlook"]);
        // Without days nothing goes on.
        let plan = planned(&bare("season"));
        assert!(plan.json["fields"][0]["applications"].as_array().unwrap().is_empty(), "{}", place.key);
    }
}

#[test]
fn what_the_farm_says_never_takes_the_place_of_the_tables() {
    for place in PLACES {
        let all_year = json!([{"crop": "tall fescue", "season": {"opens": "01-01", "closes": "12-31"},
            "removal": {"p2o5": "30 lb/ton"}, "by": "a county agent", "on": "2026-11-20"}]);
        let (own, with) = (planned(&Farm::new(place)), planned(&Farm::new(place).with("crops", all_year)));
        for key in ["windows", "removed", "applications"] {
            assert_eq!(own.json["fields"][0][key], with.json["fields"][0][key], "{}: {key}", place.key);
        }
        assert_eq!(with.findings.sorted().iter().filter(|f| f.code == "figure-there").count(), 2, "{}", place.key);
    }
}

#[test]
fn bushels_ask_for_their_weight() {
    for place in PLACES {
        let told = |farm: Farm| checked(&farm).codes().contains("bushel");
        assert!(!told(corn(place)));
        // A goal in bushels, a removal by the bushel, a report in bushels, and nobody says what one weighs.
        let by_ton = json!({"n": "25 lb/ton", "p2o5": "12 lb/ton", "k2o": "9 lb/ton"});
        let unweighed =
            |removal: Value| json!([{"crop": "corn", "removal": removal, "by": "a county agent", "on": "2026-11-20"}]);
        let tons = corn(place).with("fields.A.yield_goal", "4 tons/ac");
        let no_report = |farm: Farm| farm.with("fields.A.soil_test.recommended.yield", Value::Null);
        assert!(told(no_report(corn(place)).with("crops", unweighed(by_ton.clone()))));
        assert!(told(tons.clone().with("crops", unweighed(by_ton.clone()))));
        let tons = no_report(tons);
        assert!(told(tons.clone().with("crops", unweighed(json!({"p2o5": "0.35 lb/bu"})))));
        assert!(!told(tons.with("crops", unweighed(by_ton))));
        // More tons than any crop makes; and what no quantity is.
        assert!(told(corn(place).with("fields.A.yield_goal", "900 bu/ac")));
        for goal in ["-5 bu/ac", "x bu/ac", "90000 bu/ac", "150 bushels"] {
            let found = checked(&corn(place).with("fields.A.yield_goal", goal)).findings;
            let of_goal =
                |f: &&sward::findings::Finding| f.severity == Severity::Error && f.found.contains("yield_goal");
            assert!(found.sorted().iter().any(of_goal), "{goal}");
        }
    }
}

#[test]
fn amounts_far_from_any_crop_are_an_error() {
    let removal = |n: &str, p2o5: &str, k2o: &str| json!({"n": n, "p2o5": p2o5, "k2o": k2o});
    let usual = ("26 lb/ton", "12 lb/ton", "9 lb/ton");
    for (removal, bushel, told) in [
        (removal(usual.0, usual.1, usual.2), "56 lb", None),
        (removal("141 lb/ton", usual.1, usual.2), "56 lb", Some(Severity::Warning)),
        (removal("201 lb/ton", usual.1, usual.2), "56 lb", Some(Severity::Error)),
        (removal(usual.0, "36 lb/ton", usual.2), "56 lb", Some(Severity::Warning)),
        (removal(usual.0, "3.5 lb/bu", usual.2), "56 lb", Some(Severity::Error)),
        (removal(usual.0, usual.1, "81 lb/ton"), "56 lb", Some(Severity::Warning)),
        (removal(usual.0, usual.1, "1 lb/ton"), "56 lb", Some(Severity::Error)),
        (removal(usual.0, usual.1, usual.2), "66 lb", Some(Severity::Warning)),
        (removal(usual.0, usual.1, usual.2), "560 lb", Some(Severity::Error)),
    ] {
        let mut own = crop(removal.clone());
        own["bushel"] = json!(bushel);
        let farm = corn(&NC).with("crops", json!([own])).with("fields.A.yield_goal", "4.2 tons/ac");
        let found = checked(&farm).findings;
        let own = found.sorted().into_iter().find(|f| f.found.starts_with("crop corn")).map(|f| f.severity);
        assert_eq!(own, told, "{removal} {bushel}");
    }
}

#[test]
fn somebody_may_be_sure_of_a_crop() {
    let mut own = crop(json!({"n": "0.7 lb/bu", "p2o5": "3.5 lb/bu", "k2o": "9 lb/ton"}));
    let told = |own: &Value| checked(&corn(&NC).with("crops", json!([own]))).codes().contains("implausible");
    assert!(told(&own));
    own["sure"] = json!({"by": "a county agent", "on": "2026-11-20"});
    assert!(!told(&own));
}

#[test]
fn a_crop_stands_once_and_on_some_field() {
    let other = json!({"crop": "milo", "by": "a county agent", "on": "2026-11-20"});
    let found = checked(&Farm::new(&NC).with("crops", json!([other, other])));
    assert!(found.codes().contains("crop-twice") && found.codes().contains("no-effect"), "{:?}", found.codes());
    let mut figure = own_figure("p2o5_per_ton", "12 lb/ton");
    figure["applies"] = json!({"forage": "corn"});
    assert!(checked(&corn(&NC).with("figures", json!([figure]))).codes().contains("figure-twice"));
}

#[test]
fn corn_that_grew_before_counts_by_its_own_bushels() {
    // Corn until the plan's year: what went on then is held to what corn carried off.
    let before = json!([{"forage": "corn", "use": "grain", "yield_goal": "150 bu/ac", "until": "2026-12-31"}]);
    for place in PLACES {
        let mut rate = own_figure("n_rate", "140 lb/ac");
        rate["applies"] = json!({"forage": "corn"});
        let mut figures = vec![rate];
        if place.asks_needs {
            figures.extend([own_figure("p2o5_need", "50 lb/ac"), own_figure("k2o_need", "80 lb/ac")]);
        }
        let farm = Farm::new(place)
            .with("figures", json!(figures))
            .with("crops", json!([crop(json!({"n": "0.7 lb/bu", "p2o5": "0.35 lb/bu", "k2o": "9 lb/ton"}))]))
            .with("fields.A.before", before.clone())
            .with("fields.A.phosphorus_rating.rating", "high")
            .logged("2026-03-10", "spread", "heap", "A", "20");
        assert!(!planned(&farm).codes().contains("bushel"));
        let made = made(&farm);
        let steps = made.balance.fields[0].notes.steps();
        let of = |what: &str| steps.iter().find(|s| s.what == what).and_then(|s| number(&s.value));
        assert_eq!(of("yield goal in 2026, in bushels"), Some(150.0), "{}", place.key);
        assert!(of("P2O5 carried off in 2026").is_some_and(|off| (off - 52.5).abs() < 1e-9), "{}", place.key);
    }
}

/// A crop that grows twice a year has a season for each, and litter may go on in both.
#[test]
fn a_crop_may_have_several_seasons() {
    let two = json!([{"opens": "03-01", "closes": "04-15"}, {"opens": "09-10", "closes": "10-20"}]);
    for place in PLACES {
        let farm = with_crop(corn(place), "season", two.clone()).with("plan.to", "2027-12-31");
        let plan = planned(&farm);
        let windows = plan.field("A")["windows"].as_array().unwrap();
        let days: Vec<(&str, &str, &str)> = windows
            .iter()
            .map(|w| (w["season"].as_str().unwrap(), w["first"].as_str().unwrap(), w["last"].as_str().unwrap()))
            .collect();
        let seasons = [("season 1", "2027-03-01", "2027-04-15"), ("season 2", "2027-09-10", "2027-10-20")];
        for (name, first, last) in seasons {
            assert!(days.iter().any(|(own, ..)| *own == name), "{}: {days:?}", place.key);
            let inside = |(own, from, to): &(&str, &str, &str)| *own != name || (first <= *from && *to <= last);
            assert!(days.iter().all(inside), "{}: {days:?}", place.key);
        }
        // One alone keeps its name, also in a list.
        let one = with_crop(corn(place), "season", json!([{"opens": "03-01", "closes": "04-15"}]));
        let windows = planned(&one).field("A")["windows"].clone();
        assert!(windows.as_array().unwrap().iter().all(|w| w["season"] == "season"), "{windows}");
        let codes = |season: Value| checked(&with_crop(corn(place), "season", season)).codes();
        for (first, second, meets) in [
            (("03-01", "04-15"), ("04-15", "05-01"), true),
            (("03-01", "04-15"), ("04-16", "05-01"), false),
            (("11-01", "02-15"), ("02-01", "03-01"), true),
            (("11-01", "02-15"), ("03-01", "10-31"), false),
            (("03-01", "10-31"), ("05-01", "06-01"), true),
        ] {
            let season = |(opens, closes): (&str, &str)| json!({"opens": opens, "closes": closes});
            let both = codes(json!([season(first), season(second)]));
            assert_eq!(both.contains("seasons-overlap"), meets, "{}: {first:?} {second:?}", place.key);
        }
        assert!(codes(json!([])).contains("list-empty"), "{}", place.key);
    }
}

/// A crop with a season of its own grows from one opening to the next: litter of the season
/// before is that year's, and cuts no window in two, nor is it taken off this year's need.
#[test]
fn what_went_on_a_season_before_is_another_years() {
    for place in PLACES {
        let farm = |log: &str| {
            let farm = with_crop(corn(place), "season", json!({"opens": "03-01", "closes": "05-15"}));
            farm.logged(log, "spread", "heap", "A", "20")
        };
        for (day, counts) in [("2026-03-02", false), ("2026-05-10", false), ("2027-03-01", true)] {
            let plan = planned(&farm(day));
            let of_this_year = |year: &&Value| year["first"] == "2027-03-01" && year["last"] == "2028-02-29";
            let year = plan.field("A")["years"].as_array().unwrap().iter().find(of_this_year).unwrap();
            assert_eq!(year["done"]["n"].as_f64().unwrap() > 0.0, counts, "{}: {day}: {year}", place.key);
            let ends: Vec<&str> = plan.days("A").into_iter().map(|days| days.1).collect();
            assert_eq!(ends.last(), Some(&"2027-05-15"), "{}: {day}", place.key);
        }
    }
}

/// A report that names phosphate and potash alone stops its own field and no other: nobody knows
/// the nitrogen of the crop.
#[test]
fn a_report_without_nitrogen_stops_its_field_alone() {
    for place in PLACES {
        for amounts in [json!({"k2o": "60 lb/ac"}), json!({"p2o5": "50 lb/ac", "k2o": "60 lb/ac"})] {
            let mut report = json!({"crop": "corn grain", "yield": "150 bu/ac"});
            report.as_object_mut().unwrap().extend(amounts.as_object().unwrap().clone());
            let farm = corn(place).field("B").with("fields.A.soil_test.recommended", report);
            let farm = with_crop(farm, "removal", json!({"p2o5": "0.35 lb/bu", "k2o": "9 lb/ton"}));
            let plan = planned(&farm);
            assert_eq!(plan.rate("A"), 0.0, "{}", place.key);
            assert!(plan.rate("B") > 0.0, "{}", place.key);
        }
    }
}
