//! `sward ground acres`: the table, what is refused and how it is told, and the reader of large
//! GeoJSON files, held against another reader and fed with damaged text.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use geo::Geometry;
use kit::{Ended, flat, root, sward};
use proptest::prelude::*;
use sward::exchange::{Feature, features, places};
use sward::pipeline::{Day, Folder, Question};

/// Writes both files and runs the command on them.
fn acres(fields: &str, keepouts: &str, more: &[&str]) -> Ended {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("f.geojson"), fields).unwrap();
    std::fs::write(folder.path().join("k.geojson"), keepouts).unwrap();
    let mut args = vec!["ground", "acres", "f.geojson", "--keepouts", "k.geojson"];
    args.extend(more);
    sward(folder.path(), &args)
}

fn collection(features: &[String]) -> String {
    format!("{{\"type\": \"FeatureCollection\", \"features\": [\n{}\n]}}\n", features.join(",\n"))
}

fn feature(properties: &str, kind: &str, coordinates: &str) -> String {
    format!(
        r#"{{"type": "Feature", "properties": {properties}, "geometry": {{"type": "{kind}", "coordinates": {coordinates}}}}}"#
    )
}

/// A field some 1,000 ft square, a little east of the one before.
fn field(id: &str, east: f64) -> String {
    let (w, e) = (-79.5 + east, -79.4966 + east);
    feature(id, "Polygon", &format!("[[[{w}, 35.7], [{e}, 35.7], [{e}, 35.7027], [{w}, 35.7027], [{w}, 35.7]]]"))
}

fn well(properties: &str) -> String {
    feature(properties, "Point", "[-79.4985, 35.7013]")
}

#[test]
fn a_table_in_the_order_of_the_file() {
    let fields = [field(r#"{"id": "B"}"#, 0.01), field(r#"{"id": "A, east"}"#, 0.0), field(r#"{"id": 7}"#, 0.02)];
    let ended = acres(&collection(&fields), &collection(&[well(r#"{"setback": "100 ft"}"#)]), &[]);
    assert_eq!(ended.code, 0, "{}", ended.err);
    let lines: Vec<&str> = ended.out.lines().collect();
    assert_eq!(lines[0], "field,gross_acres,spreadable_acres");
    assert!(lines[1].starts_with("B,") && lines[2].starts_with("\"A, east\",") && lines[3].starts_with("7,"));
    let numbers = |line: &str| -> Vec<f64> { line.rsplit(',').take(2).map(|n| n.parse().unwrap()).collect() };
    assert_eq!(numbers(lines[1])[0], numbers(lines[1])[1]);
    // A circle of 100 ft: 0.7212 ac.
    assert!((numbers(lines[2])[1] - numbers(lines[2])[0] - 0.7212).abs() < 2e-4, "{}", lines[2]);
    assert!(ended.err.contains("3 fields, "), "{}", ended.err);
    let json = acres(&collection(&fields), &collection(&[]), &["--json"]);
    let json: serde_json::Value = serde_json::from_str(&json.out).unwrap();
    assert_eq!(json["fields"][2]["id"], "7");
    assert_eq!(json["gross_acres"], json["spreadable_acres"]);
}

#[test]
fn everything_wrong_is_told_at_once_and_no_table_is_printed() {
    let tie = "[[[-79.5, 35.7], [-79.49, 35.71], [-79.49, 35.7], [-79.5, 35.71], [-79.5, 35.7]]]";
    let fields = collection(&[
        field(r#"{"id": "A"}"#, 0.0),
        feature(r#"{"id": "tie"}"#, "Polygon", tie),
        field("{}", 0.01),
        field(r#"{"id": "A"}"#, 0.02),
        feature(r#"{"id": "L"}"#, "LineString", "[[-79.5, 35.7], [-79.4, 35.7]]"),
        feature(r#"{"id": "S"}"#, "Polygon", "[[[35.7, -79.5], [35.701, -79.5], [35.701, -79.501], [35.7, -79.5]]]"),
        feature(r#"{"id": "U"}"#, "Polygon", "[[[600000, 4000000], [600100, 4000000], [600100, 4000100]]]"),
        feature(r#"{"id": "N"}"#, "Polygon", "[[[null, 35.7], [-79.49, 35.7], [-79.49, 35.71]]]"),
        r#"{"type": "Feature", "properties": {"id": "G"}, "geometry": null}"#.to_string(),
    ]);
    let keepouts = collection(&[
        well(r#"{"kind": "well", "name": "old well"}"#),
        well(r#"{"setback": 100}"#),
        well(r#"{"setback": "100 rods"}"#),
        well(r#"{"setback": "-5 ft"}"#),
        feature(r#"{"setback": "10 ft"}"#, "Point", "[35.7, -79.5]"),
        feature(r#"{"setback": "10 ft"}"#, "Point", "[79.5, 35.7]"),
        feature(r#"{"setback": "10 ft"}"#, "Point", "[-279.5, 35.7]"),
        feature(r#"{"setback": "10 ft"}"#, "LineString", "[[-79.5], [-79.5, 35.7]]"),
    ]);
    let ended = acres(&fields, &keepouts, &[]);
    assert_eq!((ended.code, ended.out.as_str()), (1, ""));
    let all = flat(&ended.err);
    for part in [
        "f.geojson:3:1: error [boundary]",
        "field tie: the line crosses itself",
        "feature 3: the boundary does not say which field it is",
        "field A: features 1 and 4 both have this id",
        "field L: it is a line",
        "field S lies at longitude 35.7",
        "the numbers look like UTM meters",
        "feature 8: something among its coordinates is not a corner",
        "feature 9: the feature has no geometry",
        "k.geojson:2:1: error [keepout-distance]",
        "old well (feature 1): it has no `setback`",
        "feature 2: its setback `100` is without its unit",
        "feature 3: its setback `100 rods` is no distance",
        "feature 4: its setback `-5 ft` is out of range",
        "feature 5 lies at longitude 35.7, latitude -79.5: the two look swapped",
        "feature 6 lies at longitude 79.5: the minus sign seems to be missing",
        "feature 7: a corner of the thing to stay away from is not a longitude",
        "feature 8: a corner of it has fewer than two numbers",
    ] {
        assert!(all.contains(part), "`{part}` is not in\n{}", ended.err);
    }
    let json = acres(&fields, &keepouts, &["--json"]);
    assert_eq!(json.code, 1);
    let json: serde_json::Value = serde_json::from_str(&json.out).unwrap();
    assert_eq!(json["errors"], true);
}

#[test]
fn files_that_are_none() {
    let good = collection(&[field(r#"{"id": "A"}"#, 0.0)]);
    for (text, part) in [
        ("", "the file is not GeoJSON"),
        ("{\"type\": \"FeatureCollection\", \"features\": [", "the file is not GeoJSON"),
        ("[1, 2]", "no FeatureCollection"),
        ("7", "no FeatureCollection"),
        ("{\"type\": \"Topology\"}", "no FeatureCollection"),
        ("{\"type\": \"FeatureCollection\"}", "no FeatureCollection"),
        ("{\"type\": \"FeatureCollection\", \"features\": [7, [], null, \"x\"]}", "feature 2"),
        (
            "{\"type\": \"FeatureCollection\", \"crs\": {\"properties\": {\"name\": \"EPSG:2264\"}}, \"features\": []}",
            "its `crs` is `EPSG:2264`",
        ),
    ] {
        for ended in [acres(text, &good, &[]), acres(&good, text, &[])] {
            assert_eq!(ended.code, 1, "{text}: {}", ended.err);
            assert!(ended.err.contains(part), "{text}: {}", ended.err);
        }
    }
    let ended = sward(root(), &["ground", "acres", "none.geojson", "--keepouts", "neither.geojson"]);
    assert_eq!(ended.code, 1);
    assert!(ended.err.contains("none.geojson: error [cannot-read]"), "{}", ended.err);
    assert!(ended.err.contains("neither.geojson: error [cannot-read]"), "{}", ended.err);
}

#[test]
fn a_thousand_faults_do_not_flood_the_screen() {
    let bad = vec![well("{}"); 1000];
    let ended = acres(&collection(&[field(r#"{"id": "A"}"#, 0.0)]), &collection(&bad), &[]);
    assert_eq!(ended.code, 1);
    assert!(ended.err.contains("900 more findings"), "{}", ended.err);
}

#[test]
fn properties_that_are_not_read_are_named_once() {
    let fields: Vec<String> = (0..300)
        .map(|n| field(&format!(r#"{{"OBJECTID": {n}, "id": "F{n}", "Soil": "a"}}"#), 0.01 * f64::from(n)))
        .collect();
    let wells = [
        well(r#"{"kind": "well", "setback": "100 ft", "setback_by": "Dell Farrow, 2026-10-20", "Driller": "x"}"#),
        well(r#"{"kind": "well", "setback": "100 ft", "consent": "Dell Farrow, 2026-10-20"}"#),
    ];
    let done = acres(&collection(&fields), &collection(&wells), &[]);
    assert_eq!(done.code, 0, "{}", done.err);
    let err = flat(&done.err);
    for said in ["`OBJECTID` (300 features)", "`Soil` (300 features)", "`Driller` (1 feature)"] {
        assert_eq!(err.matches(said).count(), 1, "{said}: {err}");
    }
    assert!(err.contains("`consent`, `setback_by` count in a farm's plan only"), "{err}");
    assert!(err.contains("k.geojson:2:1: warning") && err.contains("f.geojson:2:1: note"), "{err}");
    // What reads as a distance would be taken for one.
    let buffer = well(r#"{"kind": "well", "setback": "100 ft", "buffer": 300}"#);
    let done = acres(&collection(&fields), &collection(&[wells[0].clone(), buffer]), &[]);
    assert_eq!((done.code, done.out.as_str()), (1, ""), "{}", done.err);
    assert!(done.err.contains("k.geojson:3:1: error [property-unknown]"), "{}", done.err);
    // Very many names do not flood the screen.
    let many: Vec<String> = (0..2_000).map(|n| format!("\"p{n}\": 1")).collect();
    let done = acres(
        &collection(&[field(&format!("{{\"id\": 1, {}}}", many.join(", ")), 0.0)]),
        &collection(&wells[..1]),
        &[],
    );
    assert!(done.code == 0 && done.err.len() < 3_000, "{}", done.err.len());
}

#[test]
fn a_keepout_far_away_is_a_warning() {
    let far = feature(r#"{"setback": "10 ft"}"#, "Point", "[-90, 40]");
    let ended = acres(&collection(&[field(r#"{"id": "A"}"#, 0.0)]), &collection(&[far]), &[]);
    assert_eq!(ended.code, 0);
    assert!(ended.err.contains("a keep-out lies far from all fields"), "{}", ended.err);
}

/// The demo farm's files, with the distances of its place, come to what the farm's own way says.
#[test]
fn the_demo_farm_has_the_same_acres() {
    let root = root();
    let ended = sward(
        root,
        &[
            "ground",
            "acres",
            "fields/fields.geojson",
            "--keepouts",
            "fields/keepouts.geojson",
            "--place",
            "us-nc",
            "--json",
        ],
    );
    assert_eq!(ended.code, 0, "{}{}", ended.out, ended.err);
    let json: serde_json::Value = serde_json::from_str(&ended.out).unwrap();
    let today = Day::Stated { today: jiff::civil::date(2027, 2, 1) };
    let checked = Question::of(Folder::disk(&root.join("fields")), today).check();
    let (ready, surveyed) = (checked.ready.unwrap(), checked.ground);
    assert!(surveyed.len() > 3 && surveyed.len() == ready.fields.len());
    for (field, own) in ready.fields.iter().zip(&surveyed) {
        let same = |found: &&serde_json::Value| found["id"] == field.id();
        let found = json["fields"].as_array().unwrap().iter().find(same).unwrap();
        let [gross, left] = ["gross_acres", "spreadable_acres"].map(|key| found[key].as_f64().unwrap());
        let cut = own.cut.acres + own.cut.sliver_acres;
        assert!((gross - own.cut.gross).abs() < 1e-5);
        // The farm's arcs are drawn with edges that lie outside of the circle.
        assert!(cut <= left + 1e-3 && left <= cut + 1e-3 + 0.0012 * (own.cut.gross - cut), "{found} {cut}");
    }
}

#[test]
fn a_place_without_a_kind_is_asked() {
    let fields = collection(&[field(r#"{"id": "A"}"#, 0.0)]);
    let asked = |properties: &str| acres(&fields, &collection(&[well(properties)]), &["--place", "us-nc"]);
    assert!(asked(r#"{"setback": "100 ft"}"#).err.contains("it has no `kind`"));
    assert!(asked(r#"{"kind": "wel"}"#).err.contains("did you mean `well`?"));
    assert!(asked(r#"{"kind": "well", "owner": "mine"}"#).err.contains("the owner `mine` is not known"));
    assert!(asked(r#"{"kind": "pond", "vegetated_strip": "yes"}"#).err.contains("true or false"));
    let taken = |properties: &str| {
        let ended = asked(properties);
        assert_eq!(ended.code, 0, "{properties}: {}", ended.err);
        let line = ended.out.lines().nth(1).unwrap().to_string();
        let numbers: Vec<f64> = line.split(',').skip(1).map(|n| n.parse().unwrap()).collect();
        numbers[0] - numbers[1]
    };
    // The wider of the place's distance and the one written holds.
    let place = taken(r#"{"kind": "well"}"#);
    assert!(place > 0.7);
    assert!((taken(r#"{"kind": "well", "setback": "1 ft"}"#) - place).abs() < 1e-9);
    assert!(taken(r#"{"kind": "well", "setback": "300 ft"}"#) > 6.0);
    assert_eq!(acres(&fields, &collection(&[]), &["--place", "us-xx"]).code, 2);
}

/// All features of a text.
fn read(text: &str) -> Result<Vec<Feature>, serde_json::Error> {
    let mut all = Vec::new();
    features(text, &["id"], &mut |feature| all.push(feature)).map(|_| all)
}

#[test]
fn keys_may_stand_in_any_order_and_others_are_passed_over() {
    let text = r#"{"bbox": [1, {"a": []}], "features": [{"geometry": {"coordinates": [[[1, 2, 9], [3, 4, 9], [5, 7, 9], [1, 2, 9]]],
        "bbox": [1], "type": "Polygon"}, "x": {"type": "y"}, "properties": {"n\u0061me": null, "i\u0064": "A"}, "type": "Feature"},
        {"type": "Feature", "id": 3, "properties": null, "geometry": {"type": "GeometryCollection", "geometries":
        [{"type": "Point", "coordinates": [1, 2]}, {"type": "MultiPoint", "coordinates": [[1, 2], [3, 4]]}]}}], "type": "FeatureCollection"}"#;
    let all = read(text).unwrap();
    assert_eq!(all.len(), 2);
    assert_eq!(all[0].properties, [(0, serde_json::json!("A"))]);
    let Ok(Geometry::Polygon(polygon)) = &all[0].geometry else { panic!("{:?}", all[0]) };
    assert_eq!(polygon.exterior().0[2], geo::Coord { x: 5.0, y: 7.0 });
    assert_eq!(all[1].id, Some(serde_json::json!(3)));
    assert!(matches!(&all[1].geometry, Ok(Geometry::GeometryCollection(inner)) if inner.0.len() == 2));
    let at = places("f", text, &[1, 2, 3]);
    assert_eq!((at[0].line, at[1].line, at[2].line), (1, 3, 0));
}

#[test]
fn coordinates_that_are_none_are_told_and_do_not_stop_the_rest() {
    let good = ("Point", "[1, 2]");
    for (kind, coordinates) in [
        ("Point", "[]"),
        ("Point", "[1]"),
        ("Point", "[[1, 2]]"),
        ("Point", "\"x\""),
        ("Point", "{}"),
        ("Point", "null"),
        ("Point", "[1, \"2\"]"),
        ("Point", "[[], 2]"),
        ("LineString", "[1, 2]"),
        ("LineString", "[[1, 2], 3]"),
        ("Polygon", "[]"),
        ("Polygon", "[[]]"),
        ("Polygon", "[[], [[1, 2], [3, 4], [5, 7]]]"),
        ("Polygon", "[[1, 2], [3, 4]]"),
        ("Polygon", "[[[1, 2], [3, 4], [[5, 6]]]]"),
        ("MultiPolygon", "[[[1, 2], [3, 4]]]"),
        ("MultiPolygon", "[[[[[1, 2]]]]]"),
        ("Circle", "[1, 2]"),
        ("GeometryCollection", "[]"),
    ] {
        let text = collection(&[feature("{}", kind, coordinates), feature("{}", good.0, good.1)]);
        let all = read(&text).unwrap_or_else(|e| panic!("{kind} {coordinates}: {e}"));
        assert!(all[0].geometry.is_err(), "{kind} {coordinates}: {:?}", all[0]);
        assert!(all[1].geometry.is_ok());
    }
}

/// Coordinates of a kind.
fn geometry() -> impl Strategy<Value = Geometry<f64>> {
    let at = || (-180.0..180.0f64, -85.0..85.0f64);
    let line = move || prop::collection::vec(at(), 3..9).prop_map(|all| all.into_iter().collect::<geo::LineString>());
    let polygon = move || {
        prop::collection::vec(line(), 1..4).prop_map(|mut rings| {
            rings.iter_mut().for_each(|ring| ring.close());
            geo::Polygon::new(rings.remove(0), rings)
        })
    };
    prop_oneof![
        at().prop_map(|(x, y)| geo::Point::new(x, y).into()),
        line().prop_map(Geometry::LineString),
        polygon().prop_map(Geometry::Polygon),
        prop::collection::vec(at(), 1..5).prop_map(|all| geo::MultiPoint::from(all).into()),
        prop::collection::vec(line(), 1..5).prop_map(|all| geo::MultiLineString(all).into()),
        prop::collection::vec(polygon(), 1..5).prop_map(|all| geo::MultiPolygon(all).into()),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 500, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn another_reader_reads_the_same(geometry in geometry()) {
        let text = collection(&[format!(r#"{{"type": "Feature", "properties": {{}}, "geometry": {}}}"#, geojson::GeometryValue::from(&geometry))]);
        let theirs: geojson::FeatureCollection = text.parse::<geojson::GeoJson>().unwrap().try_into().unwrap();
        let theirs: Geometry<f64> = theirs.features[0].geometry.clone().unwrap().value.try_into().unwrap();
        let ours = read(&text).unwrap().remove(0).geometry.unwrap();
        prop_assert_eq!(ours, theirs);
    }

    #[test]
    fn damaged_text_makes_no_panic(geometry in geometry(), at in any::<prop::sample::Index>(), with in "[\\[\\]{}\",:0-9a-z\\\\. -]{0,3}", cut in 0usize..4) {
        let text = collection(&[format!(r#"{{"type": "Feature", "properties": {{"id": "A"}}, "geometry": {}}}"#, geojson::GeometryValue::from(&geometry)), well(r#"{"id": 5}"#)]);
        let place = at.index(text.len());
        let damaged = format!("{}{with}{}", &text[..place], &text[(place + cut).min(text.len())..]);
        let _ = read(&damaged);
        let _ = places("f", &damaged, &[0, 1, 2, 3]);
    }
}
