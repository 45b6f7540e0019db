//! What to spread today: which field first, which not, and why.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Farm, NC, PLACES, figure, flat, planned, sward};
use sward::plan::Plan;
use sward::plan::days::{Ground, Today, Weather, Wind, today};
use sward::write;

fn on(farm: &Farm, day: &str, weather: Weather) -> Today {
    let planned = planned(&farm.clone().with("plan.as_of", day));
    let plan: Plan = serde_json::from_str(&planned.text).unwrap();
    let today = today(&plan, &planned.ready, &planned.tables, weather);
    let page = write::today(&today, 80);
    assert!(page.lines().all(|line| line.chars().count() <= 80), "{page}");
    assert!(page.contains(&format!("spreading on {day}")), "{page}");
    let json: serde_json::Value = serde_json::from_str(&write::today_json(&today)).unwrap();
    assert_eq!(json["day"], day);
    today
}

fn said(ground: Ground) -> Weather {
    Weather { ground: Some(ground), ..Weather::default() }
}

#[test]
fn ground_that_stops_work_stops_it_by_the_rule_of_the_place() {
    for place in PLACES {
        let farm = Farm::new(place);
        for (ground, stops) in [
            (Ground::Dry, false),
            (Ground::Moist, false),
            (Ground::Wet, true),
            (Ground::Frozen, true),
            (Ground::Snow, true),
        ] {
            let got = on(&farm, "2027-03-10", said(ground));
            assert_eq!(!got.stops.is_empty(), stops, "{} {ground:?}: {:?}", place.key, got.stops);
            assert!(got.stops.iter().all(|stop| stop.origin.is_some()), "{:?}", got.stops);
            // What comes first does not hang on the ground.
            assert!(!got.go.is_empty(), "{}", place.key);
            assert_eq!(write::today(&got, 80).contains("WHEN FIT AGAIN"), stops);
        }
    }
}

#[test]
fn wind_and_rain_ahead_are_the_places_own_words() {
    let farm = Farm::new(&NC);
    let got = |weather| on(&farm, "2027-03-10", weather);
    let wind = |wind| Weather { wind: Some(wind), ..Weather::default() };
    assert!(got(wind(Wind::Calm)).cautions.is_empty() && got(wind(Wind::Calm)).stops.is_empty());
    assert!(got(wind(Wind::Light)).cautions[0].text.contains("wind"));
    assert!(got(wind(Wind::Strong)).stops[0].text.contains("wind"));
    assert!(got(Weather { rain_ahead: true, ..Weather::default() }).cautions[0].text.contains("rain"));
}

#[test]
fn a_window_that_is_not_open_is_waited_for() {
    for place in PLACES {
        let farm = Farm::new(place);
        let before = on(&farm, "2027-02-01", Weather::default());
        assert!(before.go.is_empty() && !before.wait.is_empty(), "{}: {before:?}", place.key);
        let first = before.wait[0].from.unwrap();
        assert!(first > before.day && before.wait[0].why.contains(&first.to_string()), "{:?}", before.wait);
        let page = write::today(&before, 80);
        assert!(page.contains("NOT YET") && page.contains("Nothing that is planned can be spread"), "{page}");
        let then = on(&farm, &first.to_string(), Weather::default());
        assert!(then.go.iter().any(|go| go.field == before.wait[0].field), "{}: {then:?}", place.key);
    }
}

#[test]
fn the_record_is_heard() {
    let farm = Farm::new(&NC);
    let dry = on(&farm, "2027-03-10", Weather::default());
    let field = dry.go[0].field.clone();
    let rain = farm.clone().lines("date,what,inches,days\n2027-03-09,rain,0.4,1\n");
    assert!(on(&rain, "2027-03-10", Weather::default()).stops.is_empty(), "an entry without days is for its own day");
    assert!(on(&rain, "2027-03-09", Weather::default()).stops[0].text.contains("rain"));
    // Stock on the field keeps litter off.
    let grazed = farm.logged("2027-03-08", "graze", "", &field, "");
    let got = on(&grazed, "2027-03-10", Weather::default());
    assert!(got.go.iter().all(|go| go.field != field), "{got:?}");
}

#[test]
fn ten_lines_say_what_there_is_and_all_the_rest() {
    let (_, out, err) = kit::at_root(&["today", "fields", "--on", "2027-03-02"]);
    assert!(out.lines().count() <= 10, "{out}{err}");
    for word in ["FIRST: R1", "THEN: R2", "NOT YET: H1", "Nothing planned: H2", "Closes first"] {
        assert!(out.contains(word), "{word}: {out}");
    }
    // The dangers of the fields that can be worked on, and of no others.
    let watch = out.lines().find(|line| line.starts_with("WATCH: sheep")).unwrap();
    assert_eq!(watch, "WATCH: sheep and copper R2; grass tetany R1, R2; nitrate in the forage R1, R2.");
    let (_, all, _) = kit::at_root(&["today", "fields", "--on", "2027-03-02", "--all"]);
    for word in ["grass tetany: potash of", "sheep and copper: lot clean-out holds 310", "2027-04-12 to 2027-04-16"] {
        assert!(all.replace("\n  ", " ").contains(word), "{word}: {all}");
    }
    // Before anything can be worked on there is nothing to watch on it.
    let (_, early, _) = kit::at_root(&["today", "fields", "--on", "2027-01-10"]);
    assert!(!early.contains("grass tetany"), "{early}");
}

#[test]
fn the_order_is_that_of_the_calendar() {
    let (code, out, err) = kit::at_root(&["today", "fields", "--on", "2027-02-15", "--json"]);
    assert_eq!(code, 0, "{err}");
    let today: serde_json::Value = serde_json::from_str(&out).unwrap();
    let (_, out, _) = kit::at_root(&["days", "fields", "--on", "2027-02-15", "--json"]);
    let days: serde_json::Value = serde_json::from_str(&out).unwrap();
    let ids = |rows: &serde_json::Value| -> Vec<String> {
        rows.as_array().unwrap().iter().map(|row| row["field"].as_str().unwrap().to_string()).collect()
    };
    let first = ids(&today["go"]);
    let open = days["rows"].as_array().unwrap().iter().filter(|row| row["first"].as_str().unwrap() <= "2027-02-15");
    let mut open: Vec<String> = open.map(|row| row["field"].as_str().unwrap().to_string()).collect();
    // Its lot wants a new sample before anything goes on.
    let (old, expired) = ("B2".to_string(), &today["wait"]);
    assert!(open.contains(&old) && !first.contains(&old));
    let waits = expired.as_array().unwrap().iter().find(|wait| wait["field"] == "B2").unwrap();
    assert!(waits["why"].as_str().unwrap().contains("sample again"), "{waits}");
    open.retain(|id| *id != old);
    assert_eq!(first, open);
}

/// Litter that was to come and did not, and a window that went by, are told on the day, on the cover and
/// in the tally, in the same words; once it is logged or done, nothing is.
#[test]
fn what_is_not_in_the_log_is_told_everywhere() {
    for place in PLACES {
        let brought = serde_json::json!([{"date": "2027-03-20", "lot": "heap", "tons": "12 tons"}]);
        let farm = Farm::new(place).with("brought", brought).with("plan.as_of", "2027-04-02");
        let read = |farm: &Farm| {
            let folder = farm.folder();
            let run = |args: &[&str]| {
                let ended = sward(folder.path(), args);
                assert_eq!(ended.code, 0, "{args:?}: {}{}", ended.out, ended.err);
                flat(&ended.out)
            };
            run(&["sheets", "-o", "sheets"]);
            let html = std::fs::read_to_string(folder.path().join("sheets/sheets.html")).unwrap();
            [run(&["today", "--all", "--on", "2027-04-02"]), run(&["tally", "--on", "2027-04-02"]), flat(&html)]
        };
        let said = "was due before 2027-04-02, the day of the plan, and the log does not show it";
        for page in read(&farm) {
            assert!(page.contains(said) && page.contains("No job that needs it is planned."), "{}: {page}", place.key);
        }
        let done = farm.clone().logged("2027-03-20", "bring", "heap", "", "12 tons");
        for page in read(&done) {
            assert!(!page.contains("No job that needs it is planned."), "{}: {page}", place.key);
        }
        // The window of the year's first half is over in the fall.
        let late = Farm::new(place).with("fields.A.forage", "bermudagrass overseeded").with("plan.to", "2027-12-31");
        let late = on(&late, "2027-10-25", Weather::default());
        let windows = late.undone.iter().filter(|undone| undone.fields == ["A"]).count();
        assert!(windows > 0 && write::today(&late, 80).contains("NOT IN THE LOG: The "), "{late:?}");
    }
}

/// A season is told once, however many windows it had, and only where nothing went on in any of them and
/// the limits left room; ten lines name what they have room for and count the rest.
#[test]
fn a_season_is_not_in_the_log_once_and_where_there_was_room() {
    for place in PLACES {
        let farm = Farm::new(place).with("plan.to", "2027-12-31").logged("2027-04-10", "cut", "", "A", "");
        let undone = |farm: &Farm| on(farm, "2027-07-15", Weather::default()).undone;
        let none = undone(&farm);
        assert_eq!(none.len(), 1, "{}: {none:?}", place.key);
        let done = farm.clone().logged("2027-03-01", "spread", "heap", "A", "15");
        assert!(undone(&done).is_empty(), "{}: {:?}", place.key, undone(&done));
        let tight = farm.with("litter.heap.analysis.p2o5", "30 lb/ton").with("spreader.least", "6 tons/ac");
        let tight = tight.with("fields.A.phosphorus_rating.rating", "high");
        assert!(undone(&tight).is_empty(), "{}: {:?}", place.key, undone(&tight));
        // Ten lines hold some of them, and count all that they do not.
        let mut today = on(&done, "2027-07-15", Weather::default());
        today.undone = vec![none[0].clone(); 15];
        let page = write::today(&today, 80);
        assert!(page.lines().count() <= 10, "{page}");
        let (named, page) = (page.matches("NOT IN THE LOG").count(), flat(&page));
        let counted = page.split(" more: `sward today --all`.").next().unwrap().split(' ').next_back().unwrap();
        assert!(named >= 1 && named + counted.parse::<usize>().unwrap() >= 15, "{page}");
    }
}

/// Stock that the log has on a field before the days after its litter are over comes off.
#[test]
fn stock_on_a_field_inside_its_wait_is_taken_off() {
    for place in PLACES {
        let farm = Farm::new(place).logged("2027-03-01", "spread", "heap", "A", "20");
        let farm = farm.logged("2027-03-08", "graze", "", "A", "");
        let told = |day: &str| {
            let cautions = on(&farm, day, Weather::default()).cautions;
            cautions.into_iter().find(|caution| caution.text.contains("take stock off until"))
        };
        let text = told("2027-03-10").map(|caution| caution.text).unwrap_or_default();
        assert!(
            text.starts_with("A: stock has been on it since 2027-03-08, and litter went on it on 2027-03-01: "),
            "{}: {text}",
            place.key
        );
        let until = text.split("until ").nth(1).unwrap()[..10].to_string();
        assert!(told(&until).is_none(), "{}: {until}", place.key);
    }
}

#[test]
fn rain_of_the_day_before_counts() {
    let farm = Farm::new(&NC).lines("date,what,inches\n2027-03-09,rain,1.25\n");
    let told = on(&farm, "2027-03-10", Weather::default());
    assert!(told.cautions.iter().any(|c| c.text.contains("1.25 in. on 2027-03-09")), "{:?}", told.cautions);
    assert!(told.cautions.iter().any(|c| c.origin.is_some() && c.text.contains("rain")), "{:?}", told.cautions);
    let later = on(&farm, "2027-03-11", Weather::default());
    assert!(later.cautions.is_empty(), "{:?}", later.cautions);
}

/// A word of the log for the ground is one of the day too.
#[test]
fn the_ground_is_saturated_by_either_word() {
    let folder = Farm::new(&NC).folder();
    let run = |ground: &str| sward(folder.path(), &["today", "--on", "2027-03-10", "--ground", ground]);
    let (wet, saturated) = (run("wet"), run("saturated"));
    assert_eq!((wet.code, saturated.code), (0, 0), "{}", saturated.err);
    assert_eq!(wet.out, saturated.out);
}

/// A field that has its applications of the year, or has used up a limit, missed nothing.
#[test]
fn a_field_without_room_on_the_day_missed_no_season() {
    for place in PLACES {
        let farm = Farm::new(place).with("plan.to", "2028-02-10");
        let of = |farm: &Farm| -> Vec<String> {
            let undone = on(farm, "2027-12-20", Weather::default()).undone;
            undone.into_iter().filter(|undone| undone.fields == ["A"]).map(|undone| undone.text).collect()
        };
        let fall = |farm: &Farm| of(farm).iter().any(|text| text.contains("The fall window of 2027"));
        let some = farm.clone().logged("2027-03-01", "spread", "heap", "A", "5");
        assert!(fall(&some), "{}: {:?}", place.key, of(&some));
        let once = some.figure(figure("applications", "times", "forage: tall_fescue, use: hay", "value: 1"));
        assert!(!fall(&once), "{}: {:?}", place.key, of(&once));
        // Ahead of the fall, in its growing year.
        let heap = farm.clone().with("litter.heap.on_hand", "400 tons");
        let full = heap.logged("2027-08-01", "spread", "heap", "A", "85");
        let full = full.logged("2027-08-05", "spread", "heap", "A", "85");
        assert!(!fall(&full), "{}: {:?}", place.key, of(&full));
    }
}

/// Where litter comes after its window opens, both days are told and the later one binds.
#[test]
fn what_waits_for_window_and_litter_tells_both() {
    let farm = Farm::new(&NC).with("plan.to", "2027-12-31");
    let planned = planned(&farm.clone().with("plan.as_of", "2027-02-10"));
    let mut plan: Plan = serde_json::from_str(&planned.text).unwrap();
    let a = &mut plan.fields[0].applications[0];
    let (opens, comes) = (a.first, a.first.saturating_add(jiff::ToSpan::days(9)));
    assert!(plan.as_of < opens);
    a.litter_from = Some(comes);
    let wait = today(&plan, &planned.ready, &planned.tables, Weather::default()).wait.remove(0);
    assert_eq!(wait.from, Some(comes));
    assert!(wait.why.contains(&format!("opens {opens}, and enough of lot heap is there from {comes}")), "{}", wait.why);
}
