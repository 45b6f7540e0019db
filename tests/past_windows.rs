//! A window that is over on the day of the plan gets nothing, in no report;
//! the plan names it with what the log shows in it.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Farm, PLACES, checked, flat, later, passed_limits, planned, sward};
use serde_json::Value;

/// A farm over spring and fall, made on a day.
fn year(place: &'static kit::Place, as_of: &str) -> Farm {
    Farm::new(place)
        .with("plan.to", "2027-10-31")
        .with("plan.as_of", as_of)
        .with("days", serde_json::json!({"tons_per_day": "90 tons", "fit": "50 %"}))
}

/// Every first day of an application in a plan.
fn firsts(plan: &Value) -> Vec<String> {
    let fields = plan["fields"].as_array().unwrap();
    let all = fields.iter().flat_map(|f| f["applications"].as_array().unwrap());
    all.map(|a| a["first"].as_str().unwrap().to_string()).collect()
}

#[test]
fn august_plans_no_spring() {
    for place in PLACES {
        let plan = planned(&year(place, "2027-08-20"));
        let firsts = firsts(&plan.json);
        assert!(!firsts.is_empty(), "{}: the fall is still to come", place.key);
        assert!(firsts.iter().all(|first| first.as_str() >= "2027-08-20"), "{}: {firsts:?}", place.key);
        let windows = plan.field("A")["windows"].as_array().unwrap();
        assert!(windows.iter().all(|w| w["first"].as_str().unwrap() >= "2027-08-20"), "{}: {windows:?}", place.key);
        let past = plan.field("A")["past"].as_array().unwrap();
        assert!(!past.is_empty() && past.iter().all(|p| p["spread"] == 0), "{}: {past:?}", place.key);
        assert!(past.iter().all(|p| p["last"].as_str().unwrap() < "2027-08-20"), "{}: {past:?}", place.key);
    }
}

#[test]
fn a_plan_made_before_its_first_day_is_as_it_was() {
    for place in PLACES {
        let [before, on_it] = ["2027-01-25", "2027-02-15"].map(|day| planned(&year(place, day)));
        let fields = |plan: &kit::Planned| plan.json["fields"].clone();
        assert_eq!(fields(&before), fields(&on_it), "{}", place.key);
        assert!(before.field("A").get("past").is_none(), "{}", place.key);
    }
}

#[test]
fn the_last_day_of_a_window_is_still_open() {
    for place in PLACES {
        let spring = planned(&year(place, "2027-02-15"));
        let (_, last) = spring.figures().season("spring");
        let last = format!("2027-{last}");
        let days = |as_of: &str| {
            let plan = planned(&year(place, as_of));
            let windows = plan.field("A")["windows"].as_array().unwrap().clone();
            let of_spring: Vec<(String, String)> = windows
                .iter()
                .filter(|w| w["season"] == "spring")
                .map(|w| (w["first"].as_str().unwrap().to_string(), w["last"].as_str().unwrap().to_string()))
                .collect();
            of_spring
        };
        assert_eq!(days(&last), [(last.clone(), last.clone())], "{}", place.key);
        assert!(days(&later(&last, 1)).is_empty(), "{}", place.key);
    }
}

#[test]
fn what_was_spread_in_spring_is_shown_and_counts() {
    for place in PLACES {
        let farm = year(place, "2027-08-20").logged("2027-03-01", "spread", "heap", "A", "10");
        let plan = planned(&farm);
        let past = plan.field("A")["past"].as_array().unwrap();
        let logged: i64 = past.iter().map(|p| p["spread"].as_i64().unwrap()).sum();
        assert_eq!(logged, 20_000, "{}: {past:?}", place.key);
        assert!(plan.number("A", "/done/n") > 0.0, "{}", place.key);
        assert!(!plan.tally_codes().contains("log-window"), "{}: {:?}", place.key, plan.tally_codes());
        // On the first and the last day of a window that is over, and on the day after it.
        let window = |key: &str| past[0][key].as_str().unwrap().to_string();
        for (day, within) in [(window("first"), true), (window("last"), true), (later(&window("last"), 1), false)] {
            let plan = planned(&year(place, "2027-08-20").logged(&day, "spread", "heap", "A", "10"));
            let spread = plan.field("A")["past"][0]["spread"].as_i64().unwrap();
            assert_eq!(spread, if within { 20_000 } else { 0 }, "{}: {day}", place.key);
            assert_eq!(!plan.tally_codes().contains("log-window"), within, "{}: {day}", place.key);
        }
    }
}

/// What the log shows on the day of the plan is no window that is over, and none the less there.
#[test]
fn what_went_on_today_is_shown() {
    for place in PLACES {
        let farm = year(place, "2027-03-10").part("2027-03-09", "heap", "A", "6", "3");
        let page = |farm: &Farm| {
            let folder = farm.folder();
            flat(&sward(folder.path(), &["plan", ".", "--on", "2027-03-10"]).out)
        };
        assert!(!page(&farm).contains("the day of the plan:"), "{}", place.key);
        let both = page(&farm.part("2027-03-10", "heap", "A", "5", "2"));
        assert!(both.contains("The log shows on Mar 10, the day of the plan: A 5.00 tons"), "{}: {both}", place.key);
        assert!(both.contains("A 6.00 tons"), "{}: {both}", place.key);
    }
}

#[test]
fn the_auditor_stops_a_window_that_is_over() {
    for place in PLACES {
        let spring = planned(&year(place, "2027-02-15"));
        assert!(passed_limits(&spring.text, &year(place, "2027-02-15")).is_empty(), "{}", place.key);
        let caught = passed_limits(&spring.text, &year(place, "2027-08-20"));
        assert!(caught.contains("season"), "{}: {caught:?}", place.key);
    }
}

#[test]
fn a_plan_that_is_over_is_reported() {
    for place in PLACES {
        let told = checked(&year(place, "2027-11-01"));
        assert!(told.codes().contains("plan-over"), "{}: {:?}", place.key, told.codes());
        assert!(!checked(&year(place, "2027-10-31")).codes().contains("plan-over"), "{}", place.key);
        let plan = planned(&year(place, "2027-11-01"));
        assert!(firsts(&plan.json).is_empty(), "{}", place.key);
    }
}

#[test]
fn every_report_keeps_to_the_days_still_to_come() {
    for place in PLACES {
        let folder = year(place, "2027-02-15").folder();
        let run = |args: &[&str]| {
            let done = sward(folder.path(), args);
            assert_eq!(done.code, 0, "{}: {args:?} {}{}", place.key, done.out, done.err);
            done.out
        };
        let on = "--on=2027-08-20";
        let json = |text: &str| -> Value { serde_json::from_str(text).unwrap() };
        let days = json(&run(&["days", ".", on, "--json"]));
        assert_eq!(days["from"], "2027-08-20", "{}", place.key);
        assert!(days["rows"].as_array().unwrap().iter().all(|r| r["first"].as_str().unwrap() >= "2027-08-20"));
        // Asked of an earlier day, the calendar still begins on the day of the plan.
        assert_eq!(json(&run(&["days", ".", on, "--from", "2027-03-01", "--json"]))["from"], "2027-08-20");
        let terminal = run(&["plan", ".", on]);
        assert!(
            terminal.contains("Over before Aug 20") && terminal.contains("A no litter"),
            "{}: {terminal}",
            place.key
        );
        let years = json(&run(&["plan", ".", on, "--years", "2", "--json"]));
        let rates = |year: usize| years["years"][year]["fields"][0]["rates"].as_array().unwrap().len();
        assert!(rates(0) < rates(1), "{}: the year after has its spring again: {years}", place.key);
        run(&["sheets", ".", on, "-o", "out"]);
        let sheets = std::fs::read_to_string(folder.path().join("out/sheets.html")).unwrap();
        let (_, last) = planned(&year(place, "2027-02-15")).figures().season("spring");
        let last: jiff::civil::Date = format!("2027-{last}").parse().unwrap();
        let last = last.strftime("%b %-d").to_string();
        assert!(!sheets.contains(&last), "{}: the spring's last day, {last}", place.key);
        std::fs::write(folder.path().join("plan.json"), run(&["plan", ".", on, "--json"])).unwrap();
        run(&["audit", "plan.json", "."]);
    }
}

/// A plan made in August counts the spring, whether its days begin then or in spring.
#[test]
fn a_plan_from_august_counts_the_spring() {
    for place in PLACES {
        let august = year(place, "2027-08-20").logged("2027-03-01", "spread", "heap", "A", "10");
        let whole = planned(&august);
        let late = planned(&august.with("plan.from", "2027-08-20"));
        let firsts = firsts(&late.json);
        assert!(!firsts.is_empty() && firsts.iter().all(|f| f.as_str() >= "2027-08-20"), "{}: {firsts:?}", place.key);
        assert!((whole.rate("A") - late.rate("A")).abs() < 1e-9, "{}", place.key);
    }
}

/// Litter on a part of a field replaces what that part needs, each part by its own rate.
#[test]
fn litter_on_a_part_replaces_what_that_part_needs() {
    for place in kit::PLACES {
        let farm = || year(place, "2027-05-01").with("plan.from", "2027-02-15");
        let acres = planned(&farm()).json["fields"][0]["acres"].as_f64().unwrap();
        // Tons per acre on a share of the field.
        let replaced = |parts: &[(f64, f64)]| {
            let logged = parts.iter().fold(farm(), |farm, (rate, share)| {
                let on = acres * share;
                farm.part("2027-03-10", "heap", "A", &format!("{:.4}", rate * on), &format!("{on:.4}"))
            });
            planned(&logged).json["money"]["done"]["replaced"].as_f64().unwrap()
        };
        let (dense, thin) = (replaced(&[(2.0, 1.0)]), replaced(&[(1.0, 1.0)]));
        assert!(thin > 50.0 && thin < dense, "{}: {thin} {dense}", place.key);
        for (parts, by_hand) in [
            (vec![(2.0, 0.4)], dense * 0.4),
            (vec![(2.0, 0.4), (1.0, 0.6)], dense * 0.4 + thin * 0.6),
            // More than the field: one lies on the other.
            (vec![(1.0, 1.0), (1.0, 0.4)], dense * 0.4 + thin * 0.6),
        ] {
            let found = replaced(&parts);
            assert!((found - by_hand).abs() < 0.5, "{}: {parts:?}: {found}, by hand {by_hand}", place.key);
        }
    }
}

/// What litter done has replaced stays what it was, whatever year the plan has left.
#[test]
fn what_litter_has_replaced_stays_at_the_turn_of_the_year() {
    for place in kit::PLACES {
        let on = |as_of: &str| {
            let farm = kit::Farm::new(place)
                .with("plan.from", "2027-02-15")
                .with("plan.to", "2028-02-10")
                .with("plan.as_of", as_of)
                .logged("2027-03-10", "spread", "heap", "A", "20");
            kit::planned(&farm).json["money"]["done"].clone()
        };
        let june = on("2027-06-01");
        assert!(june["replaced"].as_f64().unwrap() > 100.0, "{}: {june}", place.key);
        for day in ["2027-12-31", "2028-01-02", "2028-02-10"] {
            assert_eq!(on(day), june, "{} {day}", place.key);
        }
    }
}

/// A season that goes on is not over, and what went on a field stands before the reason that
/// no more does.
#[test]
fn a_season_that_goes_on_is_not_told_as_over() {
    for place in kit::PLACES {
        let page = |farm: &kit::Farm| {
            let farm = farm.clone().with("plan.as_of", "2027-03-10");
            kit::flat(&sward::write::plan(&kit::made(&farm).audited, 80))
        };
        let farm = kit::Farm::new(place);
        assert!(!page(&farm).contains("Over before"), "{}", page(&farm));
        let done = page(&farm.logged("2027-03-01", "spread", "heap", "A", "100"));
        assert!(!done.contains("Over before") && done.contains("in seasons that are still open"), "{done}");
        assert!(done.contains("A 100.00 tons") && done.contains("100.00 tons went on by 2027-03-01; "), "{done}");
    }
}
