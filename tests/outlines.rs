//! Where the states end: the outlines as data, and what is said of a farm that
//! lies elsewhere than its place.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::panic)]

mod demo;

use geo::Coord;
use std::sync::{Arc, LazyLock};
use sward::farm::{self, FarmText};
use sward::findings::{Finding, Findings, Severity};
use sward::ground::lie;
use sward::pipeline::{Figures, Question};
use sward::tables::{self, Tables};

static TABLES: LazyLock<Arc<Tables>> = LazyLock::new(|| Arc::new(demo::tables_with("")));

/// Towns, to the tenth of a degree, and the state each lies in: the capitals.
const TOWNS: &[(&str, f64, f64)] = &[
    ("us-al", 32.4, -86.3),
    ("us-ak", 58.4, -134.6),
    ("us-az", 33.4, -112.1),
    ("us-ar", 34.7, -92.3),
    ("us-ca", 38.6, -121.5),
    ("us-co", 39.7, -105.0),
    ("us-ct", 41.8, -72.7),
    ("us-de", 39.2, -75.5),
    ("us-dc", 38.9, -77.0),
    ("us-fl", 30.4, -84.3),
    ("us-ga", 33.7, -84.4),
    ("us-hi", 21.4, -157.9),
    ("us-id", 43.6, -116.2),
    ("us-il", 39.8, -89.6),
    ("us-in", 39.8, -86.2),
    ("us-ia", 41.6, -93.6),
    ("us-ks", 39.0, -95.7),
    ("us-ky", 38.2, -84.9),
    ("us-la", 30.5, -91.1),
    ("us-me", 44.3, -69.8),
    ("us-md", 39.0, -76.5),
    ("us-ma", 42.4, -71.1),
    ("us-mi", 42.7, -84.6),
    ("us-mn", 45.0, -93.1),
    ("us-ms", 32.3, -90.2),
    ("us-mo", 38.6, -92.2),
    ("us-mt", 46.6, -112.0),
    ("us-ne", 40.8, -96.7),
    ("us-nv", 39.2, -119.8),
    ("us-nh", 43.2, -71.5),
    ("us-nj", 40.2, -74.7),
    ("us-nm", 35.7, -106.0),
    ("us-ny", 42.7, -73.8),
    ("us-nc", 35.8, -78.6),
    ("us-nd", 46.8, -100.8),
    ("us-oh", 40.0, -83.0),
    ("us-ok", 35.5, -97.5),
    ("us-or", 44.9, -123.0),
    ("us-pa", 40.3, -76.9),
    ("us-pr", 18.4, -66.1),
    ("us-ri", 41.8, -71.4),
    ("us-sc", 34.0, -81.0),
    ("us-sd", 44.4, -100.3),
    ("us-tn", 36.2, -86.8),
    ("us-tx", 30.3, -97.7),
    ("us-ut", 40.8, -111.9),
    ("us-vt", 44.3, -72.6),
    ("us-va", 37.5, -77.4),
    ("us-wa", 47.0, -122.9),
    ("us-wv", 38.3, -81.6),
    ("us-wi", 43.1, -89.4),
    ("us-wy", 41.1, -104.8),
];

#[test]
fn every_town_lies_in_its_own_state_and_in_no_other() {
    let mut findings = Findings::new();
    for (state, y, x) in TOWNS {
        let at = Coord { x: *x, y: *y };
        let around = TABLES.outlines.around(at, 0.0, &mut findings);
        let inside: Vec<&str> = around.iter().filter(|o| lie(at, &o.rings).inside).map(|o| o.key.as_str()).collect();
        assert_eq!(inside, [*state], "{at:?}");
    }
    assert!(findings.is_empty(), "{findings:?}");
}

/// Lines that run along a parallel or a meridian by law are where they should be, within what the
/// file says of itself.
#[test]
fn straight_lines_are_as_true_as_the_file_says() {
    let true_to = TABLES.outlines.true_to();
    assert!(true_to > 0.0 && true_to < 5.0);
    let mut findings = Findings::new();
    for (state, y, x) in [
        ("us-wy", 41.0, -107.0),
        ("us-wy", 45.0, -107.0),
        ("us-co", 37.0, -105.0),
        ("us-ks", 40.0, -98.0),
        ("us-nd", 49.0, -100.0),
        ("us-ok", 37.0, -97.0),
        ("us-ut", 42.0, -113.0),
    ] {
        let outline = TABLES.outlines.of(state, &mut findings).unwrap();
        let edge = lie(Coord { x, y }, &outline.rings).edge_miles;
        assert!(edge <= true_to, "{state}: {edge} miles off");
    }
    assert!(TABLES.outlines.of("us-xx", &mut findings).is_none() && findings.is_empty());
}

/// What the loader says of broken outlines.
#[test]
fn broken_outlines_are_refused_all_at_once() {
    let about = "about:\n  source: trade\n  at: x\n  known: read\n  seen: 2026-11-27\n  true_to: 3 miles\n";
    let sound = "us-zz:\n  name: Zed\n  box: \"-80 35 -79 36\"\n  rings:\n    - \"-80 35, -79 35, -79 36, -80 36\"\n";
    let said = |text: String| {
        let mut files = tables::built_in();
        files.push(("states.yaml".to_string(), text));
        let (tables, found) = tables::load(&files);
        // A file of one's own adds to the built-in ones.
        assert!(tables.outlines.of("us-nc", &mut Findings::new()).is_some());
        found.sorted().iter().map(|f| format!("{}: {}", f.place.line, f.found)).collect::<Vec<_>>().join("\n")
    };
    assert_eq!(said(format!("{about}{sound}")), "");
    let rows = [
        ("  name: Zed\n", "", "`name:` is missing"),
        ("  name: Zed\n", "  name: Zed\n  area: 4\n", "the key `area` is not known"),
        ("-80 35 -79 36", "-80 35 -79 40", "`box` does not fit"),
        ("-80 35 -79 36", "-80 35 -79", "`box` does not fit"),
        ("-80 35, -79 35, -79 36, -80 36", "-80 35, -79 35", "ring 1 cannot be read"),
        ("-80 35, -79 35,", "-80 35, -79 north,", "ring 1 cannot be read"),
        ("-80 35, -79 35,", "-80 35, -790 35,", "ring 1 cannot be read"),
        ("us-zz", "Zed County", "is no key of a place"),
        ("  rings:\n    - \"-80 35, -79 35, -79 36, -80 36\"\n", "", "ring"),
    ];
    for (old, new, expected) in rows {
        let text = said(format!("{about}{}", demo::instead(sound, old, new)));
        assert!(text.contains(expected), "{new}: {text}");
    }
    let all =
        said(format!("{about}us-yy:\n  rings:\n    - \"1 2\"\n{}", demo::instead(sound, "name: Zed", "names: Zed")));
    assert!(all.matches("outline `us-yy`").count() >= 3 && all.contains("the key `names`"), "{all}");
    assert!(
        said(format!("{}{sound}", demo::instead(about, "3 miles", "3"))).contains("`true_to` is `3`, without a unit")
    );
    assert!(said(format!("{}{sound}", demo::instead(about, "source: trade", "source: nowhere"))).contains("`nowhere`"));
}

/// The demo farm moved by so many degrees, under a place.
fn moved(east: f64, north: f64, place: &str) -> FarmText {
    let shift = |name: &str| {
        let mut file: serde_json::Value = serde_json::from_str(&demo::file(name)).unwrap();
        shift(&mut file, east, north);
        Some(file.to_string())
    };
    let main = demo::instead(&demo::file(farm::MAIN), "place: us-nc", &format!("place: {place}"));
    let main = if place == "us" { demo::instead(&main, "region: piedmont\n", "") } else { main };
    FarmText {
        main: Some(main),
        fields: shift(farm::FIELDS),
        keepouts: shift(farm::KEEPOUTS),
        soils: shift(farm::SOILS),
        ..demo::texts()
    }
}

fn shift(value: &mut serde_json::Value, east: f64, north: f64) {
    match value {
        serde_json::Value::Array(items) if items.len() == 2 && items.iter().all(serde_json::Value::is_number) => {
            for (item, by) in items.iter_mut().zip([east, north]) {
                *item = serde_json::json!(((item.as_f64().unwrap() + by) * 1e6).round() / 1e6);
            }
        }
        serde_json::Value::Array(items) => items.iter_mut().for_each(|item| shift(item, east, north)),
        serde_json::Value::Object(map) => map.values_mut().for_each(|item| shift(item, east, north)),
        _ => {}
    }
}

fn told(texts: &FarmText, tables: &Arc<Tables>) -> Findings {
    Question { figures: Figures::Loaded(tables.clone()), ..demo::asked(texts) }.check().findings
}

/// What is said of where the farm lies.
fn said(texts: &FarmText) -> Vec<Finding> {
    let found = told(texts, &TABLES);
    let codes = ["place-elsewhere", "place-line", "lonlat-sign", "lonlat-swapped"];
    found.sorted().into_iter().filter(|f| codes.contains(&f.code.as_ref())).cloned().collect()
}

#[test]
fn a_farm_far_from_its_place_is_an_error_that_names_the_state_it_lies_in() {
    assert_eq!(said(&demo::texts()), []);
    for (east, north, place, severity, words) in [
        // Texas, under the rules of North Carolina.
        (-18.0, -4.0, "us-nc", Severity::Error, "lie in Texas, "),
        // The same farm under the rules of South Carolina: some 40 miles away.
        (0.0, 0.0, "us-sc", Severity::Error, "lie in North Carolina, "),
        // China, east of Greenwich but not where a lost sign would put it.
        (190.0, -2.0, "us-nc", Severity::Error, "no state that is drawn here, "),
        (190.0, -2.0, "us", Severity::Error, "no state that is drawn here, "),
        // Some 10 miles into Virginia.
        (0.0, 0.96, "us-nc", Severity::Warning, "lie in Virginia, "),
        // Off the coast of North Carolina, 30 miles and more.
        (5.0, -2.0, "us-nc", Severity::Error, "no state that is drawn here, "),
    ] {
        let told = said(&moved(east, north, place));
        assert_eq!(told.len(), 1, "{east} {north} {place}: {told:?}");
        assert!(told[0].severity == severity && told[0].found.contains(words), "{told:?}");
        assert_eq!(told[0].also.as_ref().unwrap().0.file, "farm.yaml");
    }
    // Anywhere in the country under the federal baseline.
    for (east, north) in [(0.0, 0.0), (-18.0, -4.0), (-41.0, 10.0)] {
        assert_eq!(said(&moved(east, north, "us")), [], "{east} {north}");
    }
}

#[test]
fn a_lost_minus_sign_is_told_of_the_whole_farm() {
    let mut texts = demo::texts();
    for text in [&mut texts.fields, &mut texts.keepouts, &mut texts.soils] {
        *text = text.as_ref().map(|text| text.replace("-79.", "79."));
    }
    let told = said(&texts);
    assert!(told.iter().any(|f| f.code == "lonlat-sign" && f.severity == Severity::Error), "{told:?}");
}

/// The line to Virginia lies at 36.54 to 36.55; the farm at 35.73.
#[test]
fn on_a_state_line_nothing_passes_in_silence() {
    // All of it within what the outlines can tell.
    let told = said(&moved(0.0, 0.81, "us-nc"));
    assert!(told.len() == 1 && told[0].severity == Severity::Note, "{told:?}");
    assert!(told[0].found.contains("the line between North Carolina and Virginia"), "{told:?}");
    // All of it four miles across: told, and no more than that.
    let told = said(&moved(0.0, 0.875, "us-nc"));
    assert!(told.len() == 1 && told[0].severity == Severity::Note && told[0].found.contains("Virginia"), "{told:?}");
    // Two fields four miles across, the others well inside: each is named, with what to do.
    let mut texts = demo::texts();
    let mut fields: serde_json::Value = serde_json::from_str(texts.fields.as_ref().unwrap()).unwrap();
    for feature in fields["features"].as_array_mut().unwrap() {
        let away = feature["properties"]["id"] == "B1" || feature["properties"]["id"] == "B2";
        shift(feature, 0.0, if away { 0.875 } else { 0.7 });
    }
    texts.fields = Some(fields.to_string());
    let told = said(&texts);
    let warned: Vec<&Finding> = told.iter().filter(|f| f.severity == Severity::Warning).collect();
    assert_eq!(warned.len(), 2, "{told:?}");
    for (finding, id) in warned.iter().zip(["B1", "B2"]) {
        assert!(finding.found.starts_with(&format!("field {id} lies in Virginia, ")), "{finding:?}");
        assert!(finding.fix.as_ref().unwrap().contains("a farm folder of their own"), "{finding:?}");
    }
}

/// A place without an outline of its own takes that of the place it is within.
#[test]
fn a_county_lies_where_its_state_does() {
    let mut files = tables::built_in();
    let county = "name: Hollin County\nwithin: us-nc\ndecides: \"made up for this test\"\n";
    files.push(("us-nc-hollin/place.yaml".to_string(), county.to_string()));
    let tables = tables::load(&files).0;
    let texts = moved(-18.0, -4.0, "us-nc-hollin");
    let said = told(&texts, &Arc::new(tables))
        .sorted()
        .into_iter()
        .find(|f| f.code == "place-elsewhere")
        .unwrap()
        .found
        .clone();
    assert!(said.contains("outside North Carolina (`place: us-nc-hollin`)"), "{said}");
}
