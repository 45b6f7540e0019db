//! The ground confirms, or does not: published trials of many years against what the program
//! says of the same ground. How a soil test moves goes through a farm and its outlook, the share
//! of the litter's nitrogen through the balance of a farm in every place, removal through the
//! federal tables. The errors stand in `tests/ground_confirms/expected.txt`.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Farm, Place, asked, flat, own_figure, planned, sward};
use serde::Deserialize;
use serde_json::json;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;
use std::path::Path;
use sward::tables::{self, PlaceTable, Scope, Tables, topic};
use sward::units::Quantity;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Trials {
    sources: BTreeMap<String, Source>,
    soil_p: Vec<SoilP>,
    nitrogen: Vec<Nitrogen>,
    removal: Vec<Removal>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Source {
    title: String,
    publisher: String,
    year: serde_yaml::Value,
    address: String,
}

/// `read`: printed so. `worked`: calculated from what is printed.
#[derive(Deserialize, Clone, Copy)]
#[serde(rename_all = "snake_case")]
enum Known {
    Read,
    Worked,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SoilP {
    series: String,
    what: String,
    /// Soil test at the start, with its unit.
    start: String,
    years: f64,
    /// Put on less carried off in all the years, lb/ac.
    p2o5: f64,
    /// By how much the test moved, least and most.
    came: [f64; 2],
    /// The mean of the plots.
    mean: Option<f64>,
    known: Known,
    how: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Nitrogen {
    series: String,
    what: String,
    came: [f64; 2],
    known: Known,
    how: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Removal {
    series: String,
    what: String,
    nutrient: String,
    came: [f64; 2],
    known: Known,
    how: String,
}

/// The federal baseline, on a spot where no state says otherwise of a soil test.
fn federal(extractant: &'static str, unit: &'static str) -> &'static Place {
    let at = (-79.51, 35.72);
    Box::leak(Box::new(Place { key: "us", region: "", extractant, unit, asks_needs: true, at }))
}

/// What the program says of a year: a farm on which as much more is put on than its hay carries
/// off as in a year of the trial, or less.
fn outlook(row: &SoilP) -> f64 {
    let (_, unit) = row.start.split_once(' ').expect("a soil test has a unit");
    let place = if unit == "ppm" { federal("mehlich-3", "ppm") } else { federal("mehlich-1", "lb/ac") };
    let needs = ["p2o5_need", "k2o_need"].map(|need| own_figure(need, "0 lb/ac"));
    // Hay enough that its removal is more than any trial lost in a year.
    let bare = Farm::new(place)
        .with("fields.A.yield_goal", "8 tons/ac")
        .with("fields.A.soil_test.p", row.start.clone())
        .with("litter.heap.analysis.p2o5", "0 lb/ton")
        .with("figures", json!(needs));
    let put_on = row.p2o5 / row.years + planned(&bare).number("A", "/removed/p2o5");
    assert!(put_on > 0.0, "{}, {}: the farm's hay carries off too little", row.series, row.what);
    let fertilizer = format!(
        "date,what,lot,field,tons,grade,rate,acres,sure\n\
         2027-02-20,fertilizer,,A,,0-46-0,{} lb/ac,,\"a planner, 2026-11-09\"\n",
        put_on / 0.46
    );
    let made = planned(&bare.lines(&fertilizer));
    let outlooks = made.field("A")["outlook"].as_array().unwrap();
    outlooks.iter().find(|o| o["of"] == "P").expect("an outlook of P")["per_year"].as_f64().unwrap()
}

/// How far a number lies outside what came, with its sign.
fn miss(says: f64, [low, high]: [f64; 2]) -> f64 {
    if says > high { says - high } else { (says - low).min(0.0) }
}

fn verdict(says: f64, came: [f64; 2], decimals: usize) -> String {
    let miss = miss(says, came);
    let size = format!("{:.decimals$}", miss.abs());
    match miss {
        miss if miss > 0.0 => format!("{size} above"),
        miss if miss < 0.0 => format!("{size} below"),
        _ => "inside".to_string(),
    }
}

fn range([low, high]: [f64; 2], decimals: usize) -> String {
    if low == high { format!("{low:.decimals$}") } else { format!("{low:.decimals$} to {high:.decimals$}") }
}

fn marked(known: Known) -> &'static str {
    match known {
        Known::Read => "read",
        Known::Worked => "worked",
    }
}

fn soil_p(rows: &[SoilP], page: &mut String) {
    writeln!(page, "SOIL-TEST P: what the outlook says in so many years like these, and what came").unwrap();
    writeln!(page, "series, rows | start | years | P2O5 lb/ac | says | came | error | lb a unit that came | known")
        .unwrap();
    let mut inside = 0;
    for row in rows {
        let says = outlook(row) * row.years;
        let middle = row.mean.unwrap_or((row.came[0] + row.came[1]) / 2.0);
        let took = if middle * row.p2o5 > 0.0 { format!("{:.0}", row.p2o5 / middle) } else { "-".to_string() };
        inside += usize::from(miss(says, row.came) == 0.0);
        writeln!(
            page,
            "{}, {} | {} | {} | {} | {says:+.1} | {} | {} | {took} | {}: {}",
            row.series,
            row.what,
            row.start,
            row.years,
            row.p2o5,
            range(row.came, 1),
            verdict(says, row.came, 1),
            marked(row.known),
            row.how
        )
        .unwrap();
    }
    writeln!(page, "{inside} of {} rows inside what came\n", rows.len()).unwrap();
}

/// A spot in every place whose tables say what of the nitrogen counts, or take the wider place's.
const SPOTS: [(&str, f64, f64); 19] = [
    ("us", -79.51, 35.72),
    ("us-al", -86.8, 32.9),
    ("us-ar", -92.4, 34.8),
    ("us-de", -75.5, 38.9),
    ("us-fl", -81.7, 28.5),
    ("us-ga", -83.4, 33.2),
    ("us-ky", -85.3, 37.6),
    ("us-la", -92.4, 31.2),
    ("us-md", -76.9, 39.3),
    ("us-mo", -92.4, 38.3),
    ("us-ms", -89.7, 32.7),
    ("us-nc", -79.51, 35.72),
    ("us-ok", -97.2, 35.4),
    ("us-pa", -77.7, 40.8),
    ("us-sc", -80.9, 34.0),
    ("us-tn", -86.0, 36.0),
    ("us-tx", -97.8, 31.4),
    ("us-va", -78.92, 37.31),
    ("us-wv", -80.6, 38.7),
];

/// What of the litter's nitrogen counts there in spring, a fifth of it being ammonium.
fn share(table: &PlaceTable) -> f64 {
    let spot = SPOTS.iter().find(|(key, ..)| *key == table.key);
    let (_, lon, lat) = spot.unwrap_or_else(|| panic!("a spot in {}", table.key));
    let own = |text: String| -> &'static str { Box::leak(text.into_boxed_str()) };
    let place = Place {
        key: own(table.key.clone()),
        region: own(table.regions.first().cloned().unwrap_or_default()),
        extractant: own(table.extractant.as_deref().unwrap_or("mehlich-3").replace('_', "-")),
        unit: own(table.p_unit.map_or("ppm", |unit| unit.word()).to_string()),
        asks_needs: true,
        at: (*lon, *lat),
    };
    let farm = Farm::new(Box::leak(Box::new(place)));
    let (texts, log) = (farm.texts(), farm.log_text());
    let weighed = asked(&texts, &log, &farm).check().weigh();
    let weighed = weighed.unwrap_or_else(|found| panic!("{}: {:?}", table.key, found.sorted()));
    let field = &weighed.balance.fields[0];
    let supply = &field.lots[0].supply;
    field.notes.value(supply.per_ton.n) / field.notes.value(supply.total_n)
}

fn nitrogen(rows: &[Nitrogen], tables: &Tables, page: &mut String) {
    writeln!(page, "NITROGEN: share of the litter's total nitrogen that works like fertilizer").unwrap();
    for row in rows {
        let (came, how) = (range(row.came, 2), &row.how);
        writeln!(page, "{}, {} | came {came} | {}: {how}", row.series, row.what, marked(row.known)).unwrap();
    }
    writeln!(page, "place | says | error, trial by trial").unwrap();
    let (mut inside, mut all) = (0, 0);
    for table in tables.places.values().filter(|table| !table.bare) {
        let says = share(table);
        let errors = rows.iter().map(|row| verdict(says, row.came, 2)).collect::<Vec<_>>().join(" | ");
        inside += rows.iter().filter(|row| miss(says, row.came).abs() < 1e-9).count();
        all += rows.len();
        writeln!(page, "{} | {says:.2} | {errors}", table.key).unwrap();
    }
    writeln!(page, "{inside} of {all} inside what came\n").unwrap();
}

fn removal(rows: &[Removal], tables: &Tables, page: &mut String) {
    let book = tables.book("us", jiff::civil::date(2027, 3, 1)).expect("the federal tables");
    writeln!(page, "REMOVAL: lb carried off in a ton of dry hay, by the federal tables").unwrap();
    writeln!(page, "series, forage, nutrient | says | came | error | known").unwrap();
    let mut inside = 0;
    for row in rows {
        let of = match row.nutrient.as_str() {
            "n" => topic::N_REMOVED_PER_TON,
            "p2o5" => topic::P2O5_PER_TON,
            "k2o" => topic::K2O_PER_TON,
            other => panic!("no nutrient `{other}`"),
        };
        let forage = row.what.replace(' ', "_");
        let says = book.get(of, &Scope::new().forage(&forage)).expect("the tables have it").value.get();
        inside += usize::from(miss(says, row.came) == 0.0);
        let (series, what, nutrient) = (&row.series, &row.what, &row.nutrient);
        let (came, error) = (range(row.came, 1), verdict(says, row.came, 1));
        let (known, how) = (marked(row.known), &row.how);
        writeln!(page, "{series}, {what}, {nutrient} | {says} | {came} | {error} | {known}: {how}").unwrap();
    }
    writeln!(page, "{inside} of {} rows inside what came\n", rows.len()).unwrap();
}

#[test]
fn trials_of_many_years_stand_beside_what_the_program_says() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/ground_confirms");
    let trials: Trials = serde_yaml::from_str(&std::fs::read_to_string(folder.join("trials.yaml")).unwrap()).unwrap();
    let series = trials.soil_p.iter().map(|row| &row.series).chain(trials.nitrogen.iter().map(|row| &row.series));
    let series: BTreeSet<&String> = series.chain(trials.removal.iter().map(|row| &row.series)).collect();
    assert_eq!(
        series,
        trials.sources.keys().collect::<BTreeSet<_>>(),
        "every series has a source, and every source rows"
    );
    assert!(series.len() >= 5, "{series:?}");
    for (name, Source { title, publisher, year, address }) in &trials.sources {
        assert!([title, publisher, address].iter().all(|text| !text.is_empty()) && !year.is_null(), "{name}");
    }
    let (tables, faults) = tables::load(&tables::built_in());
    assert!(!faults.has_errors(), "{:?}", faults.sorted());
    let mut page = String::new();
    soil_p(&trials.soil_p, &mut page);
    nitrogen(&trials.nitrogen, &tables, &mut page);
    removal(&trials.removal, &tables, &mut page);
    writeln!(page, "{} series; sources in trials.yaml", series.len()).unwrap();
    let path = folder.join("expected.txt");
    if std::env::var_os("UPDATE_EXPECTED").is_some() {
        std::fs::write(&path, &page).unwrap();
    }
    let kept = std::fs::read_to_string(&path).unwrap_or_default().replace("\r\n", "\n");
    assert!(kept == page, "tests/ground_confirms/expected.txt, kept:\n{kept}\nnow:\n{page}");
}

/// The notes on how a soil test moves stand in a plan in which one moves so, and in no other; and
/// what is past the years foreseen is said where it is shown.
#[test]
fn a_forecast_says_how_far_it_can_be_trusted() {
    let place = federal("mehlich-3", "ppm");
    let with = |p2o5_on: Option<&str>| {
        let farm =
            Farm::new(place).with("litter.heap.analysis.p2o5", "0 lb/ton").with("fields.A.soil_test.p", "300 ppm");
        match p2o5_on {
            Some(rate) => farm.lines(&format!(
                "date,what,lot,field,tons,grade,rate,acres\n2027-02-20,fertilizer,,A,,0-46-0,{rate} lb/ac,\n"
            )),
            None => farm,
        }
    };
    let notes = |farm: &Farm| -> BTreeSet<String> {
        let made = planned(farm);
        let notes = made.json["planner_notes"].as_array().unwrap().iter();
        notes
            .filter_map(|note| note["about"].as_str())
            .filter(|about| about.starts_with("trend"))
            .map(String::from)
            .collect()
    };
    let (falls, rises) = (with(None), with(Some("400")));
    assert_eq!(notes(&falls), BTreeSet::from(["trend_down".to_string()]));
    assert_eq!(notes(&rises), BTreeSet::from(["trend_up".to_string()]));
    let limits = |farm: &Farm| flat(&sward(farm.folder().path(), &["limits", "."]).out);
    let (falling, rising) = (limits(&falls), limits(&rises));
    assert!(falling.contains("4.3 to 8.2 percent a year") && !falling.contains("A soil test that rises"), "{falling}");
    assert!(rising.contains("A soil test that rises") && !rising.contains("A soil test that falls"), "{rising}");
    assert_eq!(falling.contains("in over 30"), falling.contains("the forecast stops after 30 years"), "{falling}");
}
