//! Every limit counts by its own days, whatever days a plan is made for: what went on
//! before is never forgotten.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod demo;
#[path = "periods/farm.rs"]
mod farm;

use farm::*;
use jiff::civil::Date;
use serde_json::{Value, json};
use std::sync::Arc;
use sward::audit;
use sward::balance::{Limit, LimitKind};
use sward::farm::FarmText;
use sward::pipeline::{Figures, Folder, Question};
use sward::plan::Plan;
use sward::record;
use sward::tables::Tables;

#[test]
fn april_is_not_forgotten_in_august() {
    for place in PLACES {
        let year = texts(place, ("2027-02-15", "2027-12-31"), "");
        let whole = answer(&year, "", &TABLES).0;
        let acres = whole.fields[0].acres;
        let log = format!(",2027-04-12,spread,shed,F1,{:.3},\n", 0.7 * rate(&whole) * acres);
        // As of August, whether the plan's days begin in spring or in August.
        let spring = answer(&as_of(&year, "2027-08-15"), &log, &TABLES).0;
        let august = as_of(&texts(place, ("2027-08-15", "2027-12-31"), ""), "2027-08-15");
        let (late, mut ready) = answer(&august, &log, &TABLES);
        assert!((rate(&spring) - rate(&late)).abs() < 1e-9, "{place:?}: {} and {}", rate(&spring), rate(&late));
        let field = &late.fields[0];
        let on = 0.7 * rate(&whole) + rate(&late);
        assert!(on * 29.0 <= field.need.n + 0.01 || place[0] != "us-nc", "{place:?}: {on} tons");
        assert!(on <= whole.fields[0].phosphorus.allowed.unwrap_or(f64::INFINITY) / 55.0 + 0.001, "{place:?}: {on}");
        assert!(audit::faults(&late, &ready, &TABLES).is_empty(), "{place:?}");
        // A plan that did not know of April is refused.
        let (blind, _) = answer(&august, "", &TABLES);
        assert!(rate(&blind) >= rate(&late), "{place:?}");
        ready.happened = read(&log);
        let faults = audit::faults(&blind, &ready, &TABLES);
        let over = faults.sorted().iter().any(|f| f.code == "nutrients" && f.found.contains("where"));
        assert_eq!(over, rate(&blind) > rate(&late), "{place:?} {:?}", faults.sorted());
    }
}

#[test]
fn nitrogen_counts_the_growing_year() {
    let august = as_of(&texts(PLACES[0], ("2027-08-15", "2027-10-31"), ""), "2027-08-15");
    for (day, on) in [("2026-12-31", false), ("2027-01-01", true), ("2027-08-14", true)] {
        assert_eq!(counts(&august, LimitKind::Nitrogen, day, &TABLES), on, "{day}");
    }
    // A place whose year begins in July counts from July to June.
    let tables = with(&figure("growing_year", "forage: tall_fescue", "season: {opens: 07-01, closes: 06-30}"));
    for (day, on) in [("2027-06-30", false), ("2027-07-01", true), ("2027-08-14", true)] {
        assert_eq!(counts(&august, LimitKind::Nitrogen, day, &tables), on, "{day}");
    }
}

#[test]
fn phosphorus_counts_twelve_months_where_no_period_is_named() {
    // The only window of these days begins on August 15.
    let august = as_of(&texts(PLACES[0], ("2027-08-01", "2027-10-31"), ""), "2027-08-15");
    for (day, on) in [("2026-08-14", false), ("2026-08-15", false), ("2026-08-16", true), ("2027-08-14", true)] {
        let log = format!(",{day},spread,shed,F1,6,\n");
        let (made, ready, balance) = weighed(&august, &log, &TABLES);
        let first = balance.field("F1").unwrap().windows[0].first;
        assert_eq!(first.to_string(), "2027-08-15");
        let rows = counted(&balance, LimitKind::Phosphorus);
        assert_eq!(rows.iter().any(|(_, put)| *put > 0.0), on, "{day}: {rows:?}");
        assert!(audit::faults(&made, &ready, &TABLES).is_empty(), "{day}");
    }
    // Where the place names the calendar year, last August is another year.
    let tables = with(&figure("p_period", "", "words: calendar_year"));
    for (day, on) in [("2026-12-31", false), ("2027-01-01", true), ("2027-08-14", true)] {
        assert_eq!(counts(&august, LimitKind::Phosphorus, day, &tables), on, "{day}");
    }
}

#[test]
fn a_window_is_cut_where_last_falls_litter_drops_out() {
    let august = as_of(&texts(PLACES[0], ("2027-08-01", "2027-10-31"), ""), "2027-08-15");
    let (made, ready, balance) = weighed(&august, ",2026-09-10,spread,shed,F1,8,\n", &TABLES);
    let windows: Vec<String> =
        balance.field("F1").unwrap().windows.iter().map(|w| format!("{} {}", w.first, w.last)).collect();
    assert_eq!(windows, ["2027-08-15 2027-09-09", "2027-09-10 2027-09-30"]);
    assert!(audit::faults(&made, &ready, &TABLES).is_empty());
    // The full rate goes on once it is a year ago.
    let field = &made.fields[0];
    let on = |from: &str| -> f64 {
        field.applications.iter().filter(|a| a.first.to_string() == from).map(|a| a.rate * 55.0).sum()
    };
    let allowed = field.phosphorus.allowed.unwrap();
    assert!(on("2027-08-15") + 8.0 * 55.0 / field.acres <= allowed + 0.01);
    assert!(on("2027-08-15") + on("2027-09-10") <= allowed + 0.01);
}

#[test]
fn a_season_over_new_year_is_one_opening() {
    let tables = with_winter();
    let year = as_of(&early(texts(PLACES[0], ("2027-01-05", "2027-10-31"), "")), "2027-01-05");
    // What went on after the season before, which ends with September, feeds it too.
    let days =
        [("2026-09-30", 0.0), ("2026-10-01", 1.0), ("2026-11-10", 1.0), ("2026-12-31", 1.0), ("2026-01-20", 0.0)];
    for (day, on) in days {
        let (made, ready, balance) = weighed(&year, &format!(",{day},spread,shed,F1,6,\n"), &tables);
        let field = balance.field("F1").unwrap();
        let winter = |row: &&Limit| row.season.as_deref() == Some("winter") && row.windows.contains(&0);
        let done = field.limits.iter().find(winter).unwrap().done.map_or(0.0, |_| 1.0);
        assert_eq!(done, on, "{day}");
        assert!(audit::faults(&made, &ready, &tables).is_empty(), "{day}");
    }
}

#[test]
fn a_plan_over_new_year_has_two_needs() {
    let tables = with_winter();
    let days = |from, to, day| as_of(&early(texts(PLACES[0], (from, to), "")), day);
    let one = answer(&days("2027-02-01", "2027-10-31", "2027-02-01"), "", &tables).0;
    let (made, ready) = answer(&days("2026-08-01", "2027-05-31", "2026-08-01"), "", &tables);
    assert!(audit::faults(&made, &ready, &tables).is_empty());
    let (one, two) = (&one.fields[0], &made.fields[0]);
    let needs: Vec<f64> = two.years.iter().map(|year| year.need.n).collect();
    assert_eq!(needs, [one.need.n, one.need.n]);
    // Fertilizer is bought for the year of which the plan holds more days: 153 and 151.
    assert!(two.years[0].bought_for && !two.years[1].bought_for);
    assert_eq!((two.need.n, two.left.n), (one.need.n, one.need.n));
    // No window lies in both years.
    assert!(two.windows.iter().all(|w| w.first.year() == w.last.year()), "{:?}", two.windows);
}

#[test]
fn what_the_soil_test_asks_for_is_for_a_year_and_counts_since_sampling() {
    // Unrated: phosphate is held to what the soil test asks for.
    let unrated = |days, sampled: &str| {
        let texts = texts(["us-nc", "piedmont", "mehlich-3", "index"], days, "");
        let main = texts.main.as_ref().unwrap();
        let rating = "    phosphorus_rating: {rating: high, by: a planner, on: 2027-01-10}\n";
        let main = main.replace(rating, "").replace("p: 90 index", "p: 20 index");
        FarmText { main: Some(main.replace("sampled: 2026-12-20", &format!("sampled: {sampled}"))), ..texts }
    };
    // Sampled in fall 2025: by 2027 two growing years have begun since.
    let days = ("2027-08-01", "2027-10-31");
    let asked = answer(&unrated(days, "2025-11-12"), "", &TABLES).0.fields[0].need.p2o5;
    assert!(asked > 20.0, "{asked}");
    let acres = answer(&unrated(days, "2025-11-12"), "", &TABLES).0.fields[0].acres;
    let tons = |years: f64| format!("{:.3}", years * asked / 55.0 * acres);
    let left = |log: &str, sampled: &str| {
        let (made, ready, balance) = weighed(&unrated(days, sampled), log, &TABLES);
        assert!(audit::faults(&made, &ready, &TABLES).is_empty());
        let field = balance.field("F1").unwrap();
        let rows = field.limits.iter().filter(|row| row.kind == LimitKind::Phosphorus);
        rows.map(|row| field.value(row.left)).fold(f64::INFINITY, f64::min) / asked
    };
    // One and a half years' worth went on in spring 2026, more than a year before August.
    let spring = format!(",2026-03-01,spread,shed,F1,{},\n", tons(1.5));
    assert!((left(&spring, "2025-11-12") - 0.5).abs() < 0.01);
    // A test taken after it has seen it; one taken on its day has not.
    assert!((left(&spring, "2026-03-02") - 1.0).abs() < 0.01);
    assert!(left(&spring, "2026-03-01") < 0.01);
}

#[test]
fn metals_count_for_ever_in_the_choice() {
    let tables = with(&figure("metal_load_total", "nutrient: zinc", "value: 4"));
    let year = texts(PLACES[0], ("2027-02-15", "2027-10-31"), "");
    let zinc = FarmText {
        main: year
            .main
            .as_ref()
            .map(|main| demo::instead(main, "p2o5: 55 lb/ton", "zinc: 400 ppm\n      p2o5: 55 lb/ton")),
        ..year
    };
    // 0.8 lb a ton: 4 tons/ac in 2019 leave one ton for all years to come.
    let (bare, _, _) = weighed(&zinc, "", &tables);
    let acres = bare.fields[0].acres;
    let log = format!(",2019-03-01,spread,shed,F1,{:.3},\n", 4.0 * acres);
    let (made, mut ready, balance) = weighed(&zinc, &log, &tables);
    let [(days, on)] = counted(&balance, LimitKind::ZincTotal)[..] else { panic!() };
    assert_eq!(days, (Date::MIN, Date::MAX));
    assert!((on - 3.2).abs() < 0.01 && rate(&made) <= 1.0 + 1e-9, "{on} {}", rate(&made));
    assert!(audit::faults(&made, &ready, &tables).is_empty());
    ready.happened = read(&format!("{log},2020-03-01,spread,shed,F1,{:.3},\n", 0.5 * acres));
    let faults = audit::faults(&made, &ready, &tables);
    let told = faults.sorted().iter().any(|f| f.found.contains("zinc in all years"));
    assert!(told || rate(&made) <= 0.5, "{:?}", faults.sorted());
}

#[test]
fn applications_count_by_the_calendar_year() {
    let tables = with(&figure("applications", "forage: tall_fescue, use: hay", "value: 1"));
    let year = texts(PLACES[0], ("2027-02-15", "2027-10-31"), "");
    for (day, planned) in [("2026-12-31", true), ("2027-01-01", false)] {
        let (made, ready) = answer(&year, &format!(",{day},spread,shed,F1,0.5,\n"), &tables);
        assert_eq!(!made.fields[0].applications.is_empty(), planned, "{day}");
        assert!(audit::faults(&made, &ready, &tables).is_empty());
    }
}

#[test]
fn litter_of_the_log_releases_nitrogen_where_the_tables_say_how_much() {
    // Maryland names the second and third year.
    let year = texts(PLACES[3], ("2027-02-16", "2027-10-31"), "");
    let need = |log: &str, more: &str| {
        let year = if more.is_empty() { year.clone() } else { texts(PLACES[3], ("2027-02-16", "2027-10-31"), more) };
        let (made, ready) = answer(&year, log, &TABLES);
        assert!(audit::faults(&made, &ready, &TABLES).is_empty());
        (made.fields[0].need.n, made.fields[0].acres, made.findings)
    };
    let (bare, acres, _) = need("", "");
    let log = format!(",2026-04-01,spread,shed,F1,{:.3},\n", 2.0 * acres);
    let (after, _, _) = need(&log, "");
    // 2 tons of 48 lb of organic nitrogen, times the share of the second year.
    let share = (bare - after) / 96.0;
    assert!(share > 0.05 && share < 0.3, "{bare} {after}");
    // A line of the same year and kind holds instead, and is not added.
    let line = "    earlier: [{year: 2026, kind: broiler litter, rate: 1 tons/ac, organic_n: 48 lb/ton}]\n";
    let (said, _, _) = need(&log, line);
    assert!((bare - said - 48.0 * share).abs() < 0.01, "{bare} {said}");
    // Two years before, the third year's share.
    let (third, _, _) = need(&log.replace("2026-04", "2025-04"), "");
    assert!(third > after && third < bare, "{after} {third} {bare}");
    // Where the tables say nothing, that is said once.
    let nc = texts(PLACES[0], ("2027-02-15", "2027-10-31"), "");
    let log = ",2026-04-01,spread,shed,F1,20,\n,2026-04-02,spread,shed,F2,20,\n";
    let told = answer(&nc, log, &TABLES).0.findings;
    assert_eq!(told.iter().filter(|f| f.code == "residual-unknown").count(), 1);
    assert!(!answer(&nc, "", &TABLES).0.findings.iter().any(|f| f.code == "residual-unknown"));
}

#[test]
fn banked_phosphate_counts_from_the_record() {
    for place in [PLACES[2], PLACES[5]] {
        let span = ("2027-02-16", "2027-10-31");
        let banks = texts(place, span, "    bank_years: 3\n");
        let bare = answer(&banks, "", &BANKS).0;
        assert!(bare.fields[0].phosphorus.allowed.is_some_and(|lb| lb > 0.0), "{place:?}");
        let a_year = bare.fields[0].removed.p2o5;
        let tons = format!("{:.3}", 1.5 * a_year / 55.0 * bare.fields[0].acres);
        let (made, ready) = answer(&banks, &format!(",2026-01-10,spread,shed,F1,{tons},\n"), &BANKS);
        let left = made.fields[0].phosphorus.allowed.unwrap();
        // It rests until that is carried off: the half of a year that is left comes off a
        // year's removal, not off what may go on at once.
        assert!((left - 0.5 * a_year).abs() < 0.1, "{place:?}: {left} {a_year}");
        assert!(audit::faults(&made, &ready, &BANKS).is_empty(), "{place:?}");
        // A plan that begins on the last day of the year before knows as much.
        let eve = texts(place, ("2026-12-31", "2027-10-31"), "    bank_years: 3\n");
        let (made, ready) = answer(&eve, &format!(",2026-01-10,spread,shed,F1,{tons},\n"), &BANKS);
        assert!(made.fields[0].windows.iter().all(|w| w.first.year() == 2027), "{place:?}");
        assert_eq!(made.fields[0].phosphorus.allowed, Some(left), "{place:?}");
        assert!(audit::faults(&made, &ready, &BANKS).is_empty(), "{place:?}");
    }
}

#[test]
fn the_auditor_counts_the_log_towards_the_tons_of_the_year() {
    let (made, mut ready) = answer(&texts(PLACES[0], ("2027-02-15", "2027-10-31"), ""), "", &TABLES);
    assert!(audit::faults(&made, &ready, &TABLES).is_empty());
    ready.happened = record::read_text("date,what,lot,field,tons\n2027-02-20,spread,shed,F3,8\n").0;
    let faults = audit::faults(&made, &ready, &TABLES);
    assert!(
        faults.sorted().iter().any(|f| f.found.contains("tons/ac in 2027 where the most is 0.90")),
        "{:?}",
        faults.sorted()
    );
}

#[test]
fn metals_of_a_year_count_any_twelve_months() {
    let tables = with(&figure("zinc_load_year", "", "value: 0.5"));
    let august = as_of(&texts(PLACES[0], ("2027-08-01", "2027-10-31"), ""), "2027-08-15");
    let main = august.main.as_ref().map(|main| main.replace("p2o5: 55 lb/ton", "zinc: 400 ppm\n      p2o5: 55 lb/ton"));
    let zinc = FarmText { main, ..august };
    for (day, on) in [("2026-08-15", false), ("2026-08-16", true), ("2026-12-31", true), ("2027-08-14", true)] {
        assert_eq!(counts(&zinc, LimitKind::Zinc, day, &tables), on, "{day}");
    }
    // 0.8 lb a ton: what went on last fall leaves the rest of the half pound.
    let log = ",2026-10-05,spread,shed,F1,8,\n";
    let (made, mut ready) = answer(&zinc, log, &tables);
    let acres = made.fields[0].acres;
    assert!(0.8 * (rate(&made) + 8.0 / acres) <= 0.5 + 1e-6, "{}", rate(&made));
    // A plan that did not know of it is refused.
    let (blind, _) = answer(&zinc, "", &tables);
    assert!(rate(&blind) > rate(&made));
    ready.happened = read(log);
    let faults = audit::faults(&blind, &ready, &tables);
    assert!(faults.sorted().iter().any(|f| f.found.contains("zinc in the twelve months to")), "{:?}", faults.sorted());
}

/// A season over New Year is cut where the years begin, and is still gone over once.
#[test]
fn a_window_that_is_cut_is_gone_over_once() {
    let tables = with_winter();
    let low = "    phosphorus_rating: {rating: low, by: a planner, on: 2027-01-10}\n".to_string();
    let farm = |from: &str| {
        let texts = texts_of(PLACES[0], (from, "2027-05-31"), &[(90, low.clone())]);
        let day = from.parse::<Date>().unwrap().yesterday().unwrap();
        as_of(&early(sampled(texts, &day.to_string())), from)
    };
    let texts = farm("2026-11-01");
    let winter = |plan: &Plan| plan.fields[0].applications.iter().filter(|a| a.season == "winter").count();
    let (made, ready) = answer(&texts, "", &tables);
    let pieces = made.fields[0].windows.iter().filter(|w| w.season == "winter");
    let days: Vec<String> = pieces.map(|w| format!("{} {}", w.first, w.last)).collect();
    assert_eq!(days, ["2026-11-10 2026-12-31", "2027-01-01 2027-01-20"]);
    assert_eq!(winter(&made), 1, "{:?}", made.fields[0].applications);
    // A plan that goes over it in both pieces is refused.
    let mut twice = made.clone();
    let field = &mut twice.fields[0];
    let mut other = field.applications.iter().find(|a| a.season == "winter").unwrap().clone();
    let piece = field.windows.iter().find(|w| w.season == "winter" && w.first != other.first).unwrap();
    (other.first, other.last) = (piece.first, piece.last);
    field.applications.push(other);
    let faults = audit::faults(&twice, &ready, &tables);
    assert!(
        faults.sorted().iter().any(|f| f.found.contains("two applications in one window")),
        "{:?}",
        faults.sorted()
    );
    // Where one application a year is allowed, one in December was that of the opening:
    // the rest of it is closed, and the spring of the new year is not.
    let tables = with(&(winter_share() + &figure("applications", "forage: tall_fescue, use: hay", "value: 1")));
    for (day, open) in [("2026-12-15", false), ("2026-11-09", true)] {
        let log = format!(",{day},spread,shed,F1,6,\n");
        let (made, ready) = answer(&farm("2027-01-02"), &log, &tables);
        assert!(audit::faults(&made, &ready, &tables).is_empty());
        assert_eq!(made.fields[0].applications.len(), 1, "{day}");
        assert!(open || winter(&made) == 0, "{day}");
        let mut in_winter = made.clone();
        let piece = made.fields[0].windows.iter().find(|w| w.season == "winter").unwrap();
        let only = &mut in_winter.fields[0].applications[0];
        (only.season, only.first, only.last) = ("winter".to_string(), piece.first, piece.last);
        let faults = audit::faults(&in_winter, &ready, &tables);
        let told = faults.sorted().iter().any(|f| f.found.contains("applications from 2026-11-10 to 2027-01-20"));
        assert_eq!(told, !open, "{day}: {:?}", faults.sorted());
    }
}

/// A limit of every period, broken in a printed plan, is named with its days.
#[test]
fn a_broken_limit_of_every_period_is_named() {
    let planted = |texts: &FarmText, log: &str, tables: &Arc<Tables>, named: &[&str]| {
        let log = format!("id,date,what,lot,field,tons,corrects\n{log}");
        let (folder, figures) = (Folder::Memory { texts, log: &log }, Figures::Loaded(Arc::clone(tables)));
        let planned = Question { folder, figures, ..demo::asked(texts) }.plan().unwrap();
        let mut bad: Value = serde_json::from_str(&sward::write::plan_json(&planned.audited)).unwrap();
        let list = bad["fields"][0]["applications"].as_array_mut().unwrap();
        assert!(!list.is_empty(), "{named:?}");
        list.iter_mut().for_each(|a| a["rate"] = json!(a["rate"].as_f64().unwrap() + 6.0));
        let (plan, _) = audit::read("plan.json", &bad.to_string()).unwrap();
        let verdicts = audit::verdicts(&plan, &planned.ready, tables);
        let told: Vec<&str> = verdicts.fields[0].reasons.iter().map(|r| r.found.as_str()).collect();
        for named in named {
            assert!(told.iter().any(|why| why.contains(named)), "{named}: {told:#?}");
        }
    };
    let nc = PLACES[0];
    let last_fall = ",2026-09-10,spread,shed,F1,8,\n";
    let august = texts(nc, ("2027-08-01", "2027-10-31"), "");
    let twelve =
        ["of P2O5 in the twelve months to 2027-09-10", "nitrogen from 2027-01-01 to 2027-12-31 where the crop"];
    planted(&august, last_fall, &TABLES, &twelve);
    planted(&august, last_fall, &TABLES, &["P2O5 from 2027-01-01 to 2027-12-31"]);
    // Two growing years, each with its need.
    let low = "    phosphorus_rating: {rating: low, by: a planner, on: 2027-01-10}\n".to_string();
    let farm = |from: &str, to: &str, day: &str| {
        as_of(&early(sampled(texts_of(nc, (from, to), &[(90, low.clone())]), day)), from)
    };
    let both = farm("2026-08-01", "2027-05-31", "2026-07-20");
    let july = with(&figure("growing_year", "forage: tall_fescue", "season: {opens: 07-01, closes: 06-30}"));
    planted(&both, "", &july, &["nitrogen from 2026-07-01 to 2027-06-30 where the crop needs"]);
    let years = ["nitrogen from 2026-01-01 to 2026-12-31", "nitrogen from 2027-01-01 to 2027-12-31"];
    planted(&both, "", &TABLES, &years);
    // Since the soil test.
    let tested = texts_of(nc, ("2027-08-01", "2027-10-31"), &[(20, String::new())]);
    planted(&tested, "", &TABLES, &["P2O5 from 2026-12-20 to 2027-12-31"]);
    // Metals for ever.
    let tables = with(&figure("metal_load_total", "nutrient: zinc", "value: 4"));
    let main = august.main.as_ref().map(|main| main.replace("p2o5: 55 lb/ton", "zinc: 400 ppm\n      p2o5: 55 lb/ton"));
    let zinc = FarmText { main, ..august.clone() };
    planted(&zinc, ",2019-03-01,spread,shed,F1,20,\n", &tables, &["zinc in all years"]);
    // A season over New Year.
    let winter = farm("2026-11-01", "2027-01-31", "2026-10-20");
    planted(
        &winter,
        "",
        &with_winter(),
        &["in winter from 2026-11-10 to 2027-01-20, with what went on from 2026-10-01 on, where the season may take"],
    );
}
