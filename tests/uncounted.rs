//! No plan overspreads by forgetting: what the log shows and a limit counts
//! lies in the plan's days, or there is no plan.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod demo;

use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use std::collections::BTreeMap;
use std::sync::{Arc, LazyLock};
use sward::audit;
use sward::check::Ready;
use sward::farm::FarmText;
use sward::findings::{Finding, Findings};
use sward::pipeline::{Figures, Folder, Planned, Question};
use sward::plan::Plan;
use sward::record::{self, Happened, What};
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

/// A farm with a log, read and checked.
fn checked(texts: &FarmText, log: &str, tables: &Arc<Tables>) -> (Option<Ready>, Findings) {
    let log = format!("id,date,what,lot,field,tons,corrects\n{log}");
    let (folder, figures) = (Folder::Memory { texts, log: &log }, Figures::Loaded(Arc::clone(tables)));
    let checked = Question { folder, figures, ..demo::asked(texts) }.check();
    (checked.ready, checked.findings)
}

fn coded<'a>(findings: &'a Findings, code: &str) -> Vec<&'a Finding> {
    findings.sorted().into_iter().filter(|f| f.code == code).collect()
}

/// Whether the auditor, who did not see the check, finds the entries that were
/// forgotten: asked of the same farm, to whose log they come too late.
fn auditor_agrees(texts: &FarmText, log: &str, tables: &Arc<Tables>) -> bool {
    let (made, mut ready) = answer(texts, "", tables);
    ready.happened = record::read_text(&format!("id,date,what,lot,field,tons,corrects\n{log}")).0;
    audit::faults(&made, &ready, tables).sorted().iter().any(|f| f.code == "uncounted")
}

/// The plan of a farm with a log, and the farm.
fn answer(texts: &FarmText, log: &str, tables: &Arc<Tables>) -> (Plan, Ready) {
    let log = format!("id,date,what,lot,field,tons,corrects\n{log}");
    let (folder, figures) = (Folder::Memory { texts, log: &log }, Figures::Loaded(Arc::clone(tables)));
    let planned = Question { folder, figures, ..demo::asked(texts) }.plan();
    let Planned { audited, weighed } = planned.unwrap_or_else(|f| panic!("{:?}", f.sorted()));
    (audited.plan().clone(), weighed.ready)
}

/// Whether check and auditor stop for an entry on F1 of a day.
fn stops(texts: &FarmText, day: &str, tables: &Arc<Tables>) -> bool {
    let log = format!(",{day},spread,shed,F1,12,\n");
    let (ready, found) = checked(texts, &log, tables);
    let stops = !coded(&found, "spread-uncounted").is_empty() || !coded(&found, "bank-uncounted").is_empty();
    assert_eq!(stops, ready.is_none(), "{day}: {:?}", found.sorted());
    assert_eq!(stops, auditor_agrees(texts, &log, tables), "{day}: the auditor sees it otherwise");
    stops
}

#[test]
fn april_is_not_forgotten_in_august() {
    for place in PLACES {
        let log = "a1,2027-04-12,spread,shed,F1,14.4,\n";
        let spring = texts(place, ("2027-02-15", "2027-10-31"), "");
        let (ready, found) = checked(&spring, log, &TABLES);
        assert!(coded(&found, "spread-uncounted").is_empty());
        assert!(ready.is_some(), "{place:?} {:?}", found.sorted());
        let august = texts(place, ("2027-08-15", "2027-10-31"), "");
        let (ready, found) = checked(&august, log, &TABLES);
        assert!(ready.is_none(), "{place:?}");
        let [stop] = coded(&found, "spread-uncounted")[..] else { panic!("{place:?}") };
        assert!(stop.found.starts_with("14.40 tons of lot `shed` were spread on F1 on 2027-04-12"), "{}", stop.found);
        assert_eq!((stop.place.file.as_str(), stop.place.line), ("log.csv", 2));
        let accepted = stop.accepted.as_ref().unwrap();
        assert!(accepted.contains("nitrogen, phosphorus") && accepted.contains("of 2027"), "{place:?}: {accepted}");
        assert!(stop.fix.as_ref().unwrap().contains("`plan.from` to 2027-04-12"), "{stop:?}");
        assert!(auditor_agrees(&august, log, &TABLES), "{place:?}");
        // The same litter, taken back or on the field by another line, is as it stands.
        let void = format!("{log}a2,2027-04-12,void,,,,a1\n");
        assert!(checked(&august, &void, &TABLES).0.is_some(), "{place:?}");
        let moved = format!("{log}a2,2027-08-20,spread,shed,F1,14.4,a1\n");
        assert!(checked(&august, &moved, &TABLES).0.is_some(), "{place:?}");
        let into = "a1,2027-08-20,spread,shed,F1,14.4,\na2,2027-04-12,spread,shed,F1,14.4,a1\n";
        assert!(checked(&august, into, &TABLES).0.is_none(), "{place:?}");
    }
}

#[test]
fn a_year_ends_with_december() {
    let august = texts(PLACES[0], ("2027-08-15", "2027-10-31"), "");
    for (day, counts) in [
        ("2026-08-14", false),
        ("2026-08-15", false),
        ("2026-12-31", false),
        ("2027-01-01", true),
        ("2027-08-14", true),
        ("2027-08-15", false),
        ("2027-10-31", false),
        ("2027-11-01", true),
        ("2027-12-31", true),
        ("2028-01-01", false),
    ] {
        assert_eq!(stops(&august, day, &TABLES), counts, "{day}");
    }
    // A plan over New Year counts for both of its years.
    let winter = texts(PLACES[0], ("2026-09-01", "2027-05-31"), "");
    for (day, counts) in [
        ("2025-12-31", false),
        ("2026-01-01", true),
        ("2026-08-31", true),
        ("2026-09-01", false),
        ("2027-06-01", true),
        ("2027-12-31", true),
        ("2028-01-01", false),
    ] {
        assert_eq!(stops(&winter, day, &TABLES), counts, "{day}");
    }
}

/// Fescue with a winter season over New Year in the first field's place.
fn with_winter() -> Arc<Tables> {
    let source = demo::any_source();
    let winter = format!(
        "season.tall_fescue.winter:\n  topic: season\n  what: winter, made up\n  unit: month-day\n  \
         applies: {{forage: tall_fescue, season: winter}}\n  from:\n    2000-01-01:\n      \
         season: {{opens: 11-10, closes: 01-20}}\n      source: {source}\n      at: made up\n      known: memory\n  \
         seen: 2026-11-01\n"
    );
    Arc::new(demo::tables_with(&winter))
}

#[test]
fn a_season_over_new_year_is_one_season() {
    let tables = with_winter();
    let year = texts(PLACES[0], ("2027-01-05", "2027-10-31"), "");
    for (day, counts) in [("2026-11-09", false), ("2026-11-10", true), ("2026-12-31", true), ("2026-01-20", false)] {
        assert_eq!(stops(&year, day, &tables), counts, "{day}");
    }
    // Once that opening is over, the one before is no matter; the next one is.
    let spring = texts(PLACES[0], ("2027-01-21", "2027-12-31"), "");
    for (day, counts) in [("2026-12-31", false), ("2028-01-20", true), ("2028-01-21", false)] {
        assert_eq!(stops(&spring, day, &tables), counts, "{day}");
    }
    // A plan from the last day of the opening on still belongs to it.
    assert!(stops(&texts(PLACES[0], ("2027-01-20", "2027-12-31"), ""), "2026-12-31", &tables));
    let (_, found) = checked(&year, ",2026-12-01,spread,shed,F1,5,\n", &tables);
    let stop = coded(&found, "spread-uncounted")[0];
    assert!(stop.accepted.as_ref().unwrap().contains("nitrogen of the winter season, 2026-11-10 to 2027-01-20"));
}

#[test]
fn the_days_that_the_fix_names_do_plan() {
    let tables = with_winter();
    let logs = [
        ",2027-04-12,spread,shed,F1,5,\n,2027-03-01,spread,shed,F2,5,\n",
        ",2027-11-20,spread,shed,F1,5,\n",
        ",2026-12-01,spread,shed,F1,5,\n",
        ",2026-12-01,spread,shed,F1,5,\n,2026-03-01,spread,shed,F1,5,\n",
        ",2026-11-20,spread,shed,F1,5,\n,2027-12-20,spread,shed,F1,5,\n",
    ];
    let mut stops = 0;
    for span in [("2027-08-15", "2027-10-31"), ("2027-01-10", "2027-12-31"), ("2026-12-20", "2027-12-01")] {
        for log in logs {
            let (_, found) = checked(&texts(PLACES[0], span, ""), log, &tables);
            let Some(stop) = coded(&found, "spread-uncounted").first().copied() else { continue };
            stops += 1;
            let fix = stop.fix.as_ref().unwrap();
            let day = |key: &str| fix.split(key).nth(1).map(|rest| rest[..10].to_string());
            let from = day("`plan.from` to ").or_else(|| day("may start is "));
            let to = day("`plan.to` to ").unwrap_or(span.1.to_string());
            let from = from.unwrap_or(span.0.to_string());
            let after = from.as_str() > span.1;
            assert!(!after || fix.contains("`plan.to` after it"), "{fix}");
            let to = to.max(from.clone());
            let (ready, found) = checked(&texts(PLACES[0], (&from, &to), ""), log, &tables);
            assert!(ready.is_some(), "{span:?} {log}{fix}\n{:?}", coded(&found, "spread-uncounted"));
        }
    }
    assert!(stops >= 8, "only {stops} plans were stopped");
}

#[test]
fn the_auditor_counts_the_log_towards_the_tons_of_the_year() {
    let (made, mut ready) = answer(&texts(PLACES[0], ("2027-02-15", "2027-10-31"), ""), "", &TABLES);
    assert!(audit::faults(&made, &ready, &TABLES).is_empty());
    ready.happened = record::read_text("date,what,lot,field,tons\n2027-02-20,spread,shed,F3,8\n").0;
    let faults = audit::faults(&made, &ready, &TABLES);
    assert!(
        faults.sorted().iter().any(|f| f.found.contains("tons/ac where the most is 0.90")),
        "{:?}",
        faults.sorted()
    );
}

#[test]
fn banked_phosphate_counts_over_the_years_it_is_for() {
    for place in [PLACES[2], PLACES[5]] {
        let span = ("2027-02-16", "2027-10-31");
        let banks = texts(place, span, "    bank_years: 3\n");
        for (day, counts) in [
            ("2024-12-31", false),
            ("2025-01-01", true),
            ("2026-05-01", true),
            ("2029-12-31", true),
            ("2030-01-01", false),
        ] {
            assert_eq!(stops(&banks, day, &TABLES), counts, "{place:?} {day}");
        }
        let log = ",2026-05-01,spread,shed,F1,12,\n";
        let (_, found) = checked(&banks, log, &TABLES);
        let stop = coded(&found, "bank-uncounted")[0];
        assert!(stop.fix.as_ref().unwrap().contains("`banked_until:`") && stop.fix.as_ref().unwrap().contains("2028"));
        // Said to be rested off, or resting, or a year at a time: nothing is forgotten.
        for more in ["    bank_years: 3\n    banked_until: 2026\n", "    bank_years: 3\n    banked_until: 2028\n", ""] {
            assert!(!stops(&texts(place, span, more), "2026-05-01", &TABLES), "{place:?} {more}");
        }
        // Another field's litter is no matter of this one.
        let other = ",2026-05-01,spread,shed,F2,12,\n";
        assert!(checked(&banks, other, &TABLES).0.is_some());
    }
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 40, rng_seed: RngSeed::Fixed(2027), failure_persistence: None, ..ProptestConfig::default()
    })]

    /// Plans over random parts of two years, one after another, each put on in
    /// full: where one could be made, the field's year stays within its limits.
    #[test]
    fn no_year_is_overspread(
        before in prop::collection::vec((0_i32..730, 1_usize..=3, 1_u32..8), 0..4),
        parts in prop::collection::vec((0_i32..700, 10_i32..366), 1..5),
    ) {
        let day = |n: i32| jiff::civil::date(2026, 1, 1).checked_add(jiff::Span::new().days(n)).unwrap();
        let mut log: String =
            before.iter().map(|(n, field, tons)| format!(",{},spread,shed,F{field},{tons},\n", day(*n))).collect();
        for (first, length) in parts {
            let (from, to) = (day(first), day((first + length).min(729)));
            let part = texts(PLACES[0], (&from.to_string(), &to.to_string()), "");
            if checked(&part, &log, &TABLES).0.is_none() {
                continue;
            }
            let (made, ready) = answer(&part, &log, &TABLES);
            prop_assert!(audit::faults(&made, &ready, &TABLES).is_empty());
            for field in &made.fields {
                for a in &field.applications {
                    log.push_str(&format!(",{},spread,shed,{},{} lb,\n", a.first, field.id, a.pounds.0));
                }
                let gets = field.applications.iter().map(|a| a.first.year()).collect::<Vec<_>>();
                let on = of_years(&log, &field.id);
                for year in gets {
                    let tons = on[&year].0 / field.acres;
                    let most = [
                        (field.need.n, tons * 29.0, "nitrogen"),
                        (field.phosphorus.allowed.unwrap_or(f64::INFINITY), tons * 55.0, "phosphate"),
                        (if field.id == "F3" { 0.9 } else { f64::INFINITY }, tons, "tons"),
                        (2.0, on[&year].1 as f64, "applications"),
                    ];
                    for (most, on, what) in most {
                        prop_assert!(on <= most + 0.01, "{} {year}: {on} of {what}, {most} allowed\n{log}", field.id);
                    }
                }
            }
        }
    }
}

/// Tons and days of spreading on a field, by calendar year.
fn of_years(log: &str, field: &str) -> BTreeMap<i16, (f64, usize)> {
    let (happened, _): (Happened, _) = record::read_text(&format!("id,date,what,lot,field,tons,corrects\n{log}"));
    let mut years: BTreeMap<i16, (f64, Vec<jiff::civil::Date>)> = BTreeMap::new();
    for entry in happened.on_field(field, What::Spread) {
        let year = years.entry(entry.date.year()).or_default();
        year.0 += entry.amount.tons();
        year.1.push(entry.date);
    }
    let days = |mut days: Vec<jiff::civil::Date>| {
        days.sort();
        days.dedup();
        days.len()
    };
    years.into_iter().map(|(year, (tons, on))| (year, (tons, days(on)))).collect()
}
