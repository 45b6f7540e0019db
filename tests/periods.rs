//! Every limit counts by its own days, whatever days a plan is made for: what went on
//! before is never forgotten, and it is counted here a second way, day by day.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod demo;

use jiff::civil::Date;
use proptest::prelude::*;
use proptest::test_runner::{RngSeed, TestCaseError, TestRunner};
use std::sync::{Arc, LazyLock};
use sward::audit;
use sward::balance::{Balance, Limit, LimitKind};
use sward::check::Ready;
use sward::farm::FarmText;
use sward::findings::Severity;
use sward::pipeline::{Figures, Folder, Planned, Question};
use sward::plan::Plan;
use sward::record::{self, Happened};
use sward::tables::Tables;

static TABLES: LazyLock<Arc<Tables>> = LazyLock::new(|| Arc::new(demo::tables_with("")));

/// Place, region, extractant, unit of the soil test.
const PLACES: [[&str; 4]; 6] = [
    ["us-nc", "piedmont", "mehlich-3", "index"],
    ["us-ga", "piedmont", "mehlich-1", "lb/ac"],
    ["us-va", "piedmont", "mehlich-1", "lb/ac"],
    ["us-md", "piedmont", "mehlich-3", "index"],
    ["us-sc", "piedmont", "mehlich-1", "lb/ac"],
    ["us-al", "north", "mehlich-1", "lb/ac"],
];

/// Longitude and latitude well inside each of them, in their order.
const INSIDE: [(f64, f64); 6] =
    [(-79.5, 35.7), (-83.5, 32.9), (-78.5, 37.4), (-77.3, 39.4), (-81.2, 34.2), (-86.9, 34.5)];

/// A farm of three fields; F1 may carry more keys.
fn texts([place, region, extractant, unit]: [&str; 4], (from, to): (&str, &str), more: &str) -> FarmText {
    let mut main = format!(
        "farm: Any Farm\nplace: {place}\nregion: {region}\nplan: {{from: {from}, to: {to}}}\n\
         spreader: {{swath: 30 ft, load: 8 tons, step: 0.05 tons/ac, least: 0.1 tons/ac, most: 4 tons/ac}}\n\
         litter:\n  - lot: shed\n    kind: broiler litter\n    on_hand: 4000 tons\n    stored: shed\n    analysis:\n      \
         lab: state lab\n      sampled: 2027-01-20\n      basis: as received\n      moisture: 25 %\n      \
         total_n: 58 lb/ton\n      ammonium_n: 10 lb/ton\n      p2o5: 55 lb/ton\n      k2o: 56 lb/ton\n\
         fields:\n"
    );
    let mut features = Vec::new();
    let at = PLACES.iter().position(|other| other[0] == place).unwrap();
    let (lon, south) = INSIDE[at];
    let north = south + 0.0027;
    for (i, more) in [more, "", "    most: 0.9 tons/ac\n"].iter().enumerate() {
        main.push_str(&format!(
            "  - id: F{}\n    forage: tall fescue\n    use: hay\n    texture: fine\n    yield_goal: 4 tons/ac\n    \
             phosphorus_rating: {{rating: high, by: a planner, on: 2027-01-10}}\n    soil_test:\n      lab: state lab\n      \
             sampled: 2026-12-20\n      extractant: {extractant}\n      p: 90 {unit}\n      k: 60 {unit}\n{more}",
            i + 1
        ));
        let west = lon + 0.01 * i as f64;
        let east = west + 0.0033;
        features.push(format!(
            r#"{{"type":"Feature","properties":{{"id":"F{}"}},"geometry":{{"type":"Polygon","coordinates":[[[{west},{south}],[{east},{south}],[{east},{north}],[{west},{north}],[{west},{south}]]]}}}}"#,
            i + 1
        ));
    }
    let all = |features: &str| Some(format!(r#"{{"type":"FeatureCollection","features":[{features}]}}"#));
    FarmText { main: Some(main), fields: all(&features.join(",")), keepouts: all(""), ..FarmText::default() }
}

/// One more figure, made up.
fn figure(topic: &str, applies: &str, value: &str) -> String {
    let unit = match topic {
        "growing_year" => "month-day",
        "metal_load_total" => "lb/ac",
        "applications" => "times",
        _ => "none",
    };
    format!(
        "{topic}.made:\n  topic: {topic}\n  what: made up\n  unit: {unit}\n  applies: {{{applies}}}\n  from:\n    \
         2000-01-01:\n      {value}\n      source: {}\n      at: made up\n      known: memory\n  seen: 2026-11-01\n",
        demo::any_source()
    )
}

fn with(figures: &str) -> Arc<Tables> {
    Arc::new(demo::tables_with(figures))
}

/// The log as it is read.
fn read(log: &str) -> Happened {
    record::read_text(&format!("id,date,what,lot,field,tons,corrects\n{log}")).0
}

/// The plan of a farm with a log, the farm and its balance.
fn weighed(texts: &FarmText, log: &str, tables: &Arc<Tables>) -> (Plan, Ready, Balance) {
    let log = format!("id,date,what,lot,field,tons,corrects\n{log}");
    let (folder, figures) = (Folder::Memory { texts, log: &log }, Figures::Loaded(Arc::clone(tables)));
    let planned = Question { folder, figures, ..demo::asked(texts) }.plan();
    let Planned { audited, weighed } = planned.unwrap_or_else(|f| {
        panic!("{:?}", f.sorted().iter().filter(|f| f.severity == Severity::Error).collect::<Vec<_>>())
    });
    (audited.plan().clone(), weighed.ready, weighed.balance)
}

fn answer(texts: &FarmText, log: &str, tables: &Arc<Tables>) -> (Plan, Ready) {
    let (plan, ready, _) = weighed(texts, log, tables);
    (plan, ready)
}

/// Fescue with a winter season over New Year in the first field's place.
fn winter() -> String {
    let source = demo::any_source();
    format!(
        "season.tall_fescue.winter:\n  topic: season\n  what: winter, made up\n  unit: month-day\n  \
         applies: {{forage: tall_fescue, season: winter}}\n  from:\n    2000-01-01:\n      \
         season: {{opens: 11-10, closes: 01-20}}\n      source: {source}\n      at: made up\n      known: memory\n  \
         seen: 2026-11-01\n"
    )
}

fn with_winter() -> Arc<Tables> {
    with_winter_share()
}

/// The same with a share of its own for the winter.
fn with_winter_share() -> Arc<Tables> {
    let source = demo::any_source();
    let winter = winter();
    let share = format!(
        "n_split.tall_fescue.winter:\n  topic: n_split\n  what: winter share, made up\n  unit: share\n  \
         applies: {{forage: tall_fescue, season: winter}}\n  from:\n    2000-01-01:\n      value: 0.4\n      \
         source: {source}\n      at: made up\n      known: memory\n  seen: 2026-11-01\n"
    );
    Arc::new(demo::tables_with(&(winter + &share)))
}

/// The plan as of a day.
fn as_of(texts: &FarmText, day: &str) -> FarmText {
    let main = texts.main.as_ref().map(|main| demo::instead(main, "plan: {", &format!("plan: {{as_of: {day}, ")));
    FarmText { main, ..texts.clone() }
}

/// The same farm, sampled and rated at the end of 2024.
fn early(texts: FarmText) -> FarmText {
    let main = texts.main.as_ref().map(|main| {
        ["2027-01-20", "2027-01-10", "2026-12-20"]
            .iter()
            .fold(main.clone(), |main, day| main.replace(day, "2024-12-20"))
    });
    FarmText { main, ..texts }
}

/// What is planned on F1, tons per acre.
fn rate(plan: &Plan) -> f64 {
    plan.fields[0].applications.iter().map(|a| a.rate).sum()
}

/// What the rows of a kind on F1 count of the log, by their days.
fn counted(balance: &Balance, kind: LimitKind) -> Vec<((Date, Date), f64)> {
    let field = balance.field("F1").unwrap();
    let rows = field.limits.iter().filter(|row| row.kind == kind);
    rows.map(|row| (row.over.days().unwrap(), row.done.map_or(0.0, |step| field.value(step)))).collect()
}

/// Whether any row of a kind on F1 counts an entry of a day.
fn counts(texts: &FarmText, kind: LimitKind, day: &str, tables: &Arc<Tables>) -> bool {
    let (made, ready, balance) = weighed(texts, &format!(",{day},spread,shed,F1,6,\n"), tables);
    assert!(audit::faults(&made, &ready, tables).is_empty(), "{day}");
    counted(&balance, kind).iter().any(|(_, on)| *on > 0.0)
}

#[test]
fn april_is_not_forgotten_in_august() {
    for place in PLACES {
        let year = texts(place, ("2027-02-15", "2027-12-31"), "");
        let whole = answer(&year, "", &TABLES).0;
        let acres = whole.fields[0].acres;
        let log = format!(",2027-04-12,spread,shed,F1,{:.3},\n", 0.7 * rate(&whole) * acres);
        // As of August, whether the plan's days begin in spring or in August.
        let spring = answer(&as_of(&year, "2027-08-15"), &log, &TABLES).0;
        let august = texts(place, ("2027-08-15", "2027-12-31"), "");
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
    let august = texts(PLACES[0], ("2027-08-15", "2027-10-31"), "");
    for (day, on) in
        [("2026-12-31", false), ("2027-01-01", true), ("2027-08-14", true), ("2027-12-31", true), ("2028-01-01", false)]
    {
        assert_eq!(counts(&august, LimitKind::Nitrogen, day, &TABLES), on, "{day}");
    }
    // A place whose year begins in July counts from July to June.
    let tables = with(&figure("growing_year", "forage: tall_fescue", "season: {opens: 07-01, closes: 06-30}"));
    for (day, on) in [("2027-06-30", false), ("2027-07-01", true), ("2028-06-30", true), ("2028-07-01", false)] {
        assert_eq!(counts(&august, LimitKind::Nitrogen, day, &tables), on, "{day}");
    }
}

#[test]
fn phosphorus_counts_twelve_months_where_no_period_is_named() {
    // The only window of these days begins on August 15.
    let august = texts(PLACES[0], ("2027-08-01", "2027-10-31"), "");
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
    for (day, on) in [("2026-12-31", false), ("2027-01-01", true), ("2027-12-31", true), ("2028-01-01", false)] {
        assert_eq!(counts(&august, LimitKind::Phosphorus, day, &tables), on, "{day}");
    }
}

#[test]
fn a_window_is_cut_where_last_falls_litter_drops_out() {
    let august = texts(PLACES[0], ("2027-08-01", "2027-10-31"), "");
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
    for (day, on) in [("2026-11-09", 0.0), ("2026-11-10", 1.0), ("2026-12-31", 1.0), ("2026-01-20", 0.0)] {
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
    assert!((two.need.n - 2.0 * one.need.n).abs() < 1e-9 && (two.left.n - two.need.n).abs() < 1e-9);
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
        let bare = answer(&banks, "", &TABLES).0;
        let Some(allowed) = bare.fields[0].phosphorus.allowed.filter(|lb| *lb > 0.0) else { continue };
        let a_year = bare.fields[0].removed.p2o5;
        let tons = format!("{:.3}", 1.5 * a_year / 55.0 * bare.fields[0].acres);
        let (made, ready) = answer(&banks, &format!(",2026-01-10,spread,shed,F1,{tons},\n"), &TABLES);
        let left = made.fields[0].phosphorus.allowed.unwrap();
        assert!((allowed - left - 0.5 * a_year).abs() < 0.1, "{place:?}: {allowed} {left} {a_year}");
        assert!(audit::faults(&made, &ready, &TABLES).is_empty(), "{place:?}");
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

/// One spreading of F1: day, tons per acre, season's nitrogen of a ton.
type Spread = (Date, f64);

/// Every year's nitrogen, every twelve months of phosphate and every opening of the
/// winter, added up day by day; the log's own excess aside, what was planned keeps them.
fn check_days(all: &[Spread], planned: &[Date], most: &Most) -> Result<(), String> {
    let sum = |own: &dyn Fn(Date) -> bool| all.iter().filter(|s| own(s.0)).map(|s| s.1).sum::<f64>();
    for day in planned {
        let n = 29.0 * sum(&|d| d.year() == day.year());
        if n > most.n + 0.02 {
            return Err(format!("{n} of nitrogen in {}", day.year()));
        }
        if sum(&|d| d.year() == day.year()) > most.tons + 0.001 {
            return Err(format!("tons in {}", day.year()));
        }
        // Every twelve months that hold the day.
        for ahead in 0..365 {
            let end = day.checked_add(jiff::Span::new().days(ahead)).unwrap();
            let begin = end.checked_sub(jiff::Span::new().years(1)).unwrap();
            let p = 55.0 * sum(&|d| begin < d && d <= end);
            if p > most.p2o5 + 0.03 {
                return Err(format!("{p} of phosphate in the year to {end}, {} allowed", most.p2o5));
            }
        }
        let winter = |year: i16| (jiff::civil::date(year, 11, 10), jiff::civil::date(year + 1, 1, 20));
        for (opens, closes) in [winter(day.year() - 1), winter(day.year())] {
            let n = 29.0 * sum(&|d| opens <= d && d <= closes);
            if opens <= *day && *day <= closes && n > most.winter + 0.02 {
                return Err(format!("{n} of nitrogen in the winter of {opens}"));
            }
        }
    }
    Ok(())
}

/// What may go on F1, each by its period.
#[derive(Debug)]
struct Most {
    n: f64,
    p2o5: f64,
    winter: f64,
    tons: f64,
}

fn day(n: i32) -> Date {
    jiff::civil::date(2025, 1, 1).checked_add(jiff::Span::new().days(n)).unwrap()
}

/// Plans over random parts of three years, one after another, each put on in full on the
/// first or the last day of its windows.
fn cut_at_random(
    place: [&str; 4],
    more: &str,
    tables: &Arc<Tables>,
    before: &[(i32, u32)],
    parts: &[(i32, i32, i32, bool)],
    winter: f64,
) -> Result<usize, String> {
    let whole = early(texts(place, ("2026-01-01", "2026-12-31"), more));
    let a_year = answer(&as_of(&whole, "2026-01-01"), "", tables).0;
    let field = &a_year.fields[0];
    let p2o5 = field.phosphorus.allowed.unwrap_or(f64::INFINITY);
    // Nitrogen of a ton is known here for the first place alone.
    let n = if place == PLACES[0] { field.need.n } else { f64::INFINITY };
    let most = Most { n, p2o5, winter: winter * field.need.n, tons: f64::INFINITY };
    let mut all: Vec<Spread> = before.iter().map(|(n, tons)| (day(*n), f64::from(*tons) / field.acres)).collect();
    let mut log: String = before.iter().map(|(n, tons)| format!(",{},spread,shed,F1,{tons},\n", day(*n))).collect();
    let mut count = 0;
    for (first, length, later, last) in parts {
        let (from, to) = (day(*first), day((first + length).min(1094)));
        let part = early(texts(place, (&from.to_string(), &to.to_string()), more));
        let part = as_of(&part, &day((first + later).min(1094)).to_string());
        let (made, ready) = answer(&part, &log, tables);
        let faults = audit::faults(&made, &ready, tables);
        if !faults.is_empty() {
            return Err(format!("{:?}", faults.sorted()));
        }
        let on: Vec<Spread> =
            made.fields[0].applications.iter().map(|a| (if *last { a.last } else { a.first }, a.rate)).collect();
        for (date, rate) in &on {
            log.push_str(&format!(",{date},spread,shed,F1,{:.4},\n", rate * made.fields[0].acres));
        }
        all.extend(&on);
        count += on.len();
        let days: Vec<Date> = on.iter().map(|s| s.0).collect();
        check_days(&all, &days, &most).map_err(|why| format!("{why}\n{from} to {to}\n{log}"))?;
    }
    Ok(count)
}

#[test]
fn however_the_years_are_cut_no_limit_is_passed() {
    // More of them on a long run.
    let cases = std::env::var_os("SWARD_CASES").map_or(10, |cases| cases.to_str().unwrap().parse().unwrap());
    let config = ProptestConfig {
        cases,
        rng_seed: RngSeed::Fixed(2027),
        failure_persistence: None,
        ..ProptestConfig::default()
    };
    let before = prop::collection::vec((0_i32..1000, 1_u32..6), 0..4);
    let parts = prop::collection::vec((0_i32..900, 90_i32..366, 0_i32..60, any::<bool>()), 2..5);
    let winter = with_winter_share();
    let planned = std::cell::Cell::new(0);
    let run = TestRunner::new(config).run(&(before, parts), |(before, parts)| {
        for (place, tables, share) in [
            (PLACES[0], &*TABLES, f64::INFINITY),
            (PLACES[0], &winter, 0.4),
            (PLACES[2], &*TABLES, f64::INFINITY),
            (PLACES[5], &*TABLES, f64::INFINITY),
        ] {
            let found = cut_at_random(place, "", tables, &before, &parts, share);
            let on = found.map_err(|why| TestCaseError::fail(format!("{place:?} {why}")))?;
            planned.set(planned.get() + on);
        }
        Ok(())
    });
    run.unwrap();
    assert!(planned.get() > 10, "only {} applications were planned", planned.get());
}
