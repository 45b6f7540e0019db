//! What litter keeps away from, gates and stacks: every kind, every way of saying it, every shape,
//! and the way through to a farm that checks clean.

use crate::kit;
use crate::made::{
    HOME, any, back, collection, corners, feature, found, kml, placemark, plain, refused, ring, source, told,
};
use geo::Geometry;
use std::collections::BTreeSet;
use std::path::Path;
use sward::exchange::{Imported, Options, Source, Take, import, keepouts_geojson};
use sward::findings::Severity;

/// A place on the farm as GeoJSON writes it; sizes in thousandths of a degree.
fn at(x: f64, y: f64) -> String {
    format!("[{}, {}]", HOME.0 + x * 1e-3, HOME.1 + y * 1e-3)
}

fn point(properties: &str, x: f64, y: f64) -> String {
    any(properties, &format!(r#"{{"type": "Point", "coordinates": {}}}"#, at(x, y)))
}

fn line(properties: &str, places: &[(f64, f64)]) -> String {
    let all: Vec<String> = places.iter().map(|(x, y)| at(*x, *y)).collect();
    any(properties, &format!(r#"{{"type": "LineString", "coordinates": [{}]}}"#, all.join(", ")))
}

fn named(name: &str) -> String {
    format!(r#"{{"name": "{name}"}}"#)
}

fn keepouts(source: Source) -> Imported {
    import(&[source], &Options { take: Take::KeepOuts, ..Options::default() })
}

fn with(source: &Source, options: Options) -> Imported {
    import(std::slice::from_ref(source), &options)
}

fn kinds(got: &Imported) -> Vec<(&str, &str)> {
    got.things.iter().map(|t| (t.kind.as_str(), t.name.as_deref().unwrap_or_default())).collect()
}

/// No error among the findings.
fn sound(got: &Imported) {
    assert!(!got.findings.has_errors(), "{:#?}", told(got));
}

#[test]
fn every_kind_of_the_farm_can_be_told_by_its_own_word() {
    for kind in sward::farm::FEATURES {
        let properties = format!(r#"{{"kind": "{kind}", "name": "X"}}"#);
        let ways = [
            point(&properties, 0.0, 0.0),
            line(&properties, &[(0.0, 0.0), (1.0, 0.0)]),
            feature(&properties, &[ring(0.0, 0.0, 1.0, 1.0)]),
        ];
        let taken: Vec<Imported> = ways.into_iter().map(|way| keepouts(collection(&[way]))).collect();
        assert!(taken.iter().any(|got| kinds(got) == [(*kind, "X")]), "{kind}");
        for got in &taken {
            // Taken, or refused with how it should be drawn: never passed over.
            assert_eq!(got.things.len() == 1, !got.findings.has_errors(), "{kind}");
            if got.findings.has_errors() {
                refused(got, "import-drawn", &["drawn as", kind]);
            }
        }
    }
}

/// What the farm's files take and what an import can make are one list.
#[test]
fn no_kind_is_known_to_one_side_only() {
    let got = keepouts(collection(&[point(&named("Spot 4"), 0.0, 0.0)]));
    let asked = got.findings.sorted().into_iter().find(|f| f.code == "import-what").unwrap();
    let accepted = asked.accepted.clone().unwrap();
    let offered: BTreeSet<&str> = accepted.split(", ").collect();
    let known = sward::farm::FEATURES.iter().copied().chain(["field", "gate", "stack"]);
    assert_eq!(offered, known.collect());
}

#[test]
fn kinds_by_attribute_folder_layer_file_and_name() {
    sound(&keepouts(collection(&[point(r#"{"TYPE": "Wells", "label": "Old one"}"#, 0.0, 0.0)])));
    let by_folder = kml(
        "<Folder><name>Ditches</name><Folder><name>1998</name><Placemark><name>Long one</name><LineString><coordinates>-79.5,35.7 -79.5,35.701</coordinates></LineString></Placemark></Folder></Folder>",
    );
    assert_eq!(kinds(&keepouts(by_folder)), [("ditch", "Long one")]);
    let late = kml(
        "<Folder><Placemark><name>Long one</name><LineString><coordinates>-79.5,35.7 -79.5,35.701</coordinates></LineString></Placemark><name>Roads</name></Folder>",
    );
    assert_eq!(kinds(&keepouts(late)), [("road", "Long one")]);
    let mut by_file = collection(&[point("{}", 0.0, 0.0), point("{}", 0.0, 1.0)]);
    by_file.name = "maps/farm_wells.geojson".to_string();
    let got = keepouts(by_file);
    assert_eq!(kinds(&got), [("well", "well 1"), ("well", "well 2")]);
    assert!(found(&got, Severity::Warning, "import-id").contains("well 1, well 2"));
    let layer = r#"{"type": "FeatureCollection", "name": "hydro_ponds", "features": [FEATURE]}"#
        .replace("FEATURE", &feature("{}", &[ring(0.0, 0.0, 1.0, 1.0)]));
    assert_eq!(kinds(&keepouts(source("a.json", layer.as_bytes()))), [("pond", "pond 1")]);
}

#[test]
fn what_cannot_be_told_is_asked_about_and_never_guessed() {
    let file = collection(&[
        point(&named("Spot 4"), 0.0, 0.0),
        line(&named("Mill Creek Road"), &[(0.0, 0.0), (1.0, 0.0)]),
        point("{}", 1.0, 0.0),
        point(&named("Broiler house 3"), 2.0, 0.0),
        point(&named("House well"), 3.0, 0.0),
    ]);
    let got = keepouts(file.clone());
    assert_eq!(got.findings.sorted().iter().filter(|f| f.code == "import-what").count(), 4);
    refused(&got, "import-what", &["Spot 4 (feature 1) (a point in fields)", "nothing says"]);
    let asked = format!("{:?}", got.findings.sorted());
    for words in [
        r#"--kind \"Spot 4=KIND\""#,
        r#"--leave-out \"Spot 4\""#,
        "speak of perennial stream and of road",
        r#"--leave-out \"feature 3\""#,
    ] {
        assert!(asked.contains(words), "{words}: {asked}");
    }
    let said = |name: &str, kind: &str| (name.to_string(), kind.to_string());
    let choices = Options {
        take: Take::KeepOuts,
        kinds: vec![said("spot 4", "Sinkhole"), said("Mill Creek Road", "road"), said("feature 3", "well")],
        leave_out: vec!["Broiler house 3".to_string()],
        ..Options::default()
    };
    let got = with(&file, choices.clone());
    sound(&got);
    assert_eq!(
        kinds(&got),
        [("sinkhole", "Spot 4"), ("road", "Mill Creek Road"), ("well", "well 1"), ("well", "House well")]
    );
    assert!(found(&got, Severity::Note, "import-left-out").contains("Broiler house 3"));
    let rest = with(&file, Options { rest: Some("dwelling".to_string()), take: Take::KeepOuts, ..Options::default() });
    assert_eq!(rest.things.iter().filter(|t| t.kind == "dwelling").count(), 3);
    refused(&rest, "import-drawn", &["Mill Creek Road", "dwelling drawn as a line"]);
    // A slip in a choice is told, not passed over.
    let slip = |options: Options| with(&file, Options { take: Take::KeepOuts, ..options });
    let got = slip(Options { leave_out: vec!["Spt 4".to_string()], ..Options::default() });
    refused(&got, "import-choice", &["--leave-out", "`Spt 4`"]);
    let got = slip(Options { kinds: vec![said("Spot 4", "sinkhol")], ..Options::default() });
    refused(&got, "import-choice", &["`sinkhol` is not a kind"]);
    let got = slip(Options { kinds: vec![said("Spott", "well")], ..Options::default() });
    refused(&got, "import-choice", &["--kind", "`Spott`"]);
}

#[test]
fn a_folder_and_a_name_that_disagree_are_asked_about() {
    let spot = |name: &str| {
        kml(&format!(
            "<Folder><name>Wells</name><Placemark><name>{name}</name><Point><coordinates>-79.5,35.7</coordinates></Point></Placemark></Folder>"
        ))
    };
    assert_eq!(kinds(&keepouts(spot("Barn"))), [("well", "Barn")]);
    refused(&keepouts(spot("Church")), "import-what", &["public building and of well"]);
    let kinds_said = vec![("wells".to_string(), "well".to_string())];
    let got = with(&spot("Church"), Options { take: Take::KeepOuts, kinds: kinds_said, ..Options::default() });
    assert_eq!(kinds(&got), [("well", "Church")]);
}

#[test]
fn only_and_leave_out_take_kinds_shapes_and_names() {
    let file = collection(&[
        point(&named("House well"), 0.0, 0.0),
        line(&named("Mill Creek"), &[(0.0, 0.0), (1.0, 0.0)]),
        feature(&named("Dam Pond"), &[ring(0.0, 0.0, 1.0, 1.0)]),
    ]);
    let take = |only: &[&str], leave_out: &[&str]| {
        let own = |all: &[&str]| all.iter().map(ToString::to_string).collect();
        let options =
            Options { take: Take::KeepOuts, only: own(only), leave_out: own(leave_out), ..Options::default() };
        let got = with(&file, options);
        sound(&got);
        got.things.iter().map(|t| t.kind.clone()).collect::<Vec<_>>().join(", ")
    };
    assert_eq!(take(&[], &[]), "well, perennial stream, pond");
    assert_eq!(take(&["wells"], &[]), "well");
    assert_eq!(take(&["points", "pond"], &[]), "well, pond");
    assert_eq!(take(&[], &["lines"]), "well, pond");
    assert_eq!(take(&[], &["mill creek", "Pond"]), "well");
    assert_eq!(take(&[], &["gate"]), "well, perennial stream, pond");
}

#[test]
fn shapes_that_protect_too_little_are_refused_and_the_others_told() {
    let one = |feature: String| keepouts(collection(&[feature]));
    refused(&one(point(&named("Mill Creek"), 0.0, 0.0)), "import-drawn", &["perennial stream drawn as a point"]);
    refused(&one(point(&named("Dam Pond"), 0.0, 0.0)), "import-drawn", &["pond drawn as a point"]);
    refused(&one(line(&named("House well"), &[(0.0, 0.0), (1.0, 0.0)])), "import-drawn", &["well drawn as a line"]);
    let open = line(&named("Dam Pond"), &[(0.0, 0.0), (1.0, 0.0), (1.0, 1.0)]);
    refused(&one(open.clone()), "import-drawn", &["pond drawn as a line"]);
    let closed = with(&collection(&[open]), Options { take: Take::KeepOuts, close: true, ..Options::default() });
    assert!(matches!(closed.things[0].shape, Geometry::Polygon(_)));
    // Out and back is no way around anything.
    let there_and_back = line(&named("Dam Pond"), &[(0.0, 0.0), (1.0, 0.0), (0.0, 0.0)]);
    refused(&one(there_and_back), "import-drawn", &["pond drawn as a line"]);
    let around = one(line(&named("Dam Pond"), &[(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 0.0)]));
    assert!(matches!(around.things[0].shape, Geometry::Polygon(_)));
    assert!(found(&around, Severity::Warning, "import-closed").contains("Dam Pond"));
    let loose = one(feature(&named("House well"), &[ring(0.0, 0.0, 1.0, 1.0)]));
    sound(&loose);
    assert!(found(&loose, Severity::Warning, "import-drawn").contains("a well is a point"));
    // A parcel is the line around it: as an area it would take the whole farm.
    let parcel = one(feature(&named("Parcel 12"), &[ring(0.0, 0.0, 9.0, 9.0), back(ring(1.0, 1.0, 2.0, 2.0))]));
    assert!(matches!(&parcel.things[0].shape, Geometry::MultiLineString(lines) if lines.0.len() == 2));
    assert!(found(&parcel, Severity::Warning, "import-outline").contains("the line around it"));
    let labeled = any(
        &named("Farm house"),
        &format!(
            r#"{{"type": "GeometryCollection", "geometries": [{{"type": "Point", "coordinates": {}}}, {{"type": "Polygon", "coordinates": [{}]}}]}}"#,
            at(0.5, 0.5),
            corners(&ring(0.0, 0.0, 1.0, 1.0))
        ),
    );
    let got = one(labeled);
    assert!(matches!(got.things[0].shape, Geometry::Polygon(_)));
    assert!(found(&got, Severity::Note, "import-points").contains("in its own area"));
}

#[test]
fn geometry_is_put_in_order_as_that_of_fields() {
    let one = |feature: String| keepouts(collection(&[feature]));
    let doubled = one(line(&named("Bottom ditch"), &[(0.0, 0.0), (1.0, 0.0), (1.0, 0.0), (2.0, 0.0), (1.0, 0.0)]));
    sound(&doubled);
    assert!(found(&doubled, Severity::Note, "import-doubles").contains("1 corner"));
    // A line that runs back on itself stays: a spur is a spur.
    assert!(matches!(&doubled.things[0].shape, Geometry::LineString(line) if line.0.len() == 4));
    refused(&one(line(&named("Bottom ditch"), &[(0.0, 0.0), (0.0, 0.0)])), "import-ring", &["single place"]);
    let open = ring(0.0, 0.0, 1.0, 1.0)[..4].to_vec();
    let got = one(feature(&named("Dam Pond"), &[open]));
    sound(&got);
    assert!(found(&got, Severity::Note, "import-closed").contains("ring was open"));
    refused(&one(any(&named("House well"), "null")), "import-empty", &["House well"]);
    let left = with(
        &collection(&[any(&named("House well"), "null"), point(&named("Barn well"), 0.0, 0.0)]),
        Options { take: Take::KeepOuts, leave_out: vec!["House well".to_string()], ..Options::default() },
    );
    sound(&left);
    let bow = vec![
        ring(0.0, 0.0, 1.0, 1.0)[0],
        ring(0.0, 0.0, 1.0, 1.0)[2],
        ring(0.0, 0.0, 1.0, 1.0)[1],
        ring(0.0, 0.0, 1.0, 1.0)[3],
    ];
    refused(&one(feature(&named("Dam Pond"), &[bow])), "import-shape", &["Dam Pond"]);
    // Swapped and unsigned among others: as with fields, only when it is certain.
    let home = [point(&named("A well"), 0.0, 0.0), point(&named("B well"), 1.0, 0.0)];
    let odd = |coordinates: &str| {
        let odd = any(&named("C well"), &format!(r#"{{"type": "Point", "coordinates": {coordinates}}}"#));
        keepouts(collection(&[home[0].clone(), home[1].clone(), odd]))
    };
    for (coordinates, words) in [("[35.7, -79.5]", "were swapped"), ("[79.5, 35.7]", "lacked its minus sign")] {
        let got = odd(coordinates);
        sound(&got);
        assert!(found(&got, Severity::Warning, "import-fixed-place").contains(words));
        assert!(matches!(got.things[2].shape, Geometry::Point(at) if (at.x() + 79.5).abs() < 1e-9));
    }
    refused(&odd("[1850000, 720000]"), "import-projected", &["C well"]);
    refused(&odd("[200, 35.7]"), "import-projected", &["C well"]);
}

#[test]
fn names_that_are_missing_or_stand_twice_are_told() {
    let got = keepouts(collection(&[
        line(&named("Peña Branch"), &[(0.0, 0.0), (1.0, 0.0)]),
        line(&named("Peña Branch"), &[(1.0, 0.0), (2.0, 0.0)]),
        point(r#"{"kind": "well"}"#, 0.0, 0.0),
    ]));
    sound(&got);
    assert_eq!(
        kinds(&got),
        [("perennial stream", "Peña Branch"), ("perennial stream", "Peña Branch"), ("well", "well 1")]
    );
    assert!(found(&got, Severity::Note, "import-twice").contains("2 times"));
    assert!(found(&got, Severity::Warning, "import-taken").contains("runs all year"));
    let sure =
        keepouts(collection(&[line(r#"{"kind": "Perennial", "name": "Mill Creek"}"#, &[(0.0, 0.0), (1.0, 0.0)])]));
    assert!(sure.findings.sorted().iter().all(|f| f.code != "import-taken"));
}

#[test]
fn fields_gates_and_keepouts_in_one_file_go_where_they_belong() {
    let file = collection(&[
        feature(&named("Creek Bottom"), &[ring(0.0, 0.0, 6.0, 6.0)]),
        feature(&named("Mill Pond"), &[ring(8.0, 0.0, 1.0, 1.0)]),
        point(r#"{"kind": "gate", "field": "Creek-Bottom"}"#, 0.0, 1.0),
        point(&named("House well"), 9.0, 3.0),
    ]);
    let both = with(&file, Options { take: Take::Both, ..Options::default() });
    sound(&both);
    assert_eq!(both.fields.len(), 1);
    assert_eq!(kinds(&both), [("pond", "Mill Pond"), ("gate", ""), ("well", "House well")]);
    let out = keepouts(file.clone());
    assert_eq!(kinds(&out), [("pond", "Mill Pond"), ("well", "House well")]);
    assert!(found(&out, Severity::Note, "import-fields").contains("2 features (Creek Bottom"));
    let fields = plain(file);
    sound(&fields);
    // An area is a field where fields are wanted; what its name says is told.
    assert_eq!(fields.fields.len(), 2);
    assert!(found(&fields, Severity::Warning, "import-what").contains("Mill Pond (feature 2) is called like a pond"));
    assert!(found(&fields, Severity::Warning, "import-points").contains("House well"));
    assert_eq!(kinds(&fields), [("gate", "")]);
}

/// Every feature is taken, asked about, or named among those left out.
#[test]
fn no_feature_is_lost_without_a_word() {
    let names =
        ["House well", "Spot 4", "Mill Creek", "Dam Pond", "Gate 2", "North pasture", "Mill Creek Road", "Peña"];
    for take in [Take::Fields, Take::KeepOuts, Take::Both] {
        for (i, name) in names.iter().enumerate() {
            for own in [
                point(&named(name), 0.0, 0.0),
                line(&named(name), &[(0.0, 0.0), (1.0, 0.0)]),
                feature(&named(name), &[ring(0.0, 0.0, 1.0, 1.0)]),
            ] {
                let anchor = feature(r#"{"kind": "pond", "name": "Anchor"}"#, &[ring(20.0, 0.0, 1.0, 1.0)]);
                let got = with(&collection(&[own, anchor]), Options { take, ..Options::default() });
                let taken = got.fields.iter().any(|f| f.name.as_deref() == Some(*name))
                    || got.things.iter().any(|t| t.name.as_deref() == Some(*name));
                let told = told(&got).iter().any(|text| text.contains(name));
                assert!(taken || told, "{take:?} {i} {name}");
            }
        }
    }
}

/// The demo farm's own keep-outs come back with all that is said of them.
#[test]
fn keepouts_come_back_as_they_were_written() {
    let own = std::fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("fields/keepouts.geojson")).unwrap();
    let got = keepouts(source("keepouts.geojson", &own));
    sound(&got);
    let parse = |text: &str| -> Vec<(String, String)> {
        let value: serde_json::Value = serde_json::from_str(text).unwrap();
        let features = value["features"].as_array().unwrap();
        features.iter().map(|f| (f["properties"].to_string(), f["geometry"]["type"].to_string())).collect()
    };
    assert_eq!(parse(&keepouts_geojson(&got.things)), parse(std::str::from_utf8(&own).unwrap()));
}

/// A phone's map becomes a farm: what is asked is answered, what is left is filled in, and the
/// check finds nothing more.
#[test]
fn a_map_becomes_a_farm_that_checks_clean() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    let sward = |args: &[&str]| {
        let (code, out, err) = kit::sward(folder.path(), args).parts();
        (code, err + &out)
    };
    let marks = format!(
        "<Folder><name>Hay ground</name>{}</Folder><Folder><name>Keep off</name>\
         <Placemark><name>Peña Creek</name><LineString><coordinates>-79.5008,35.7 -79.5008,35.706</coordinates></LineString></Placemark>\
         <Placemark><name>House well</name><Point><coordinates>-79.4931,35.7021,210</coordinates></Point></Placemark>\
         <Placemark><name>Old cabin</name><Point><coordinates>-79.4930,35.7023</coordinates></Point></Placemark>\
         <Placemark><name>Main gate</name><Point><coordinates>-79.494,35.703</coordinates></Point></Placemark>\
         <Placemark><name>Pin 7</name><Point><coordinates>-79.49,35.703</coordinates></Point></Placemark></Folder>",
        placemark("F1", &ring(0.0, 0.0, 6.0, 6.0))
    );
    std::fs::write(at("phone.kml"), kml(&marks).bytes).unwrap();
    let base = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/errors/geojson-single-feature/farm.yaml");
    std::fs::copy(base, at("farm.yaml")).unwrap();
    let (code, text) = sward(&["ground", "import", "phone.kml", "--farm", "."]);
    assert_eq!(code, 1, "{text}");
    assert!(text.contains("--kind \"Old cabin=KIND\"") && text.contains("nothing was written"), "{text}");
    assert!(!at("fields.geojson").exists() && !at("keepouts.geojson").exists());
    let answered =
        ["ground", "import", "phone.kml", "--farm", ".", "--kind", "Old cabin=dwelling", "--leave-out", "Pin 7"];
    let (code, text) = sward(&answered);
    assert_eq!(code, 0, "{text}");
    for words in ["no owner given: House well, Old cabin", "no field given", "Peña Creek", "1 feature (Pin 7)"] {
        assert!(text.contains(words), "{words}: {text}");
    }
    // Not over a file that is there, and never half.
    assert_eq!(sward(&answered).0, 2);
    let fill = |name: &str, was: &str, is: &str| {
        let text = std::fs::read_to_string(at(name)).unwrap();
        assert!(text.contains(was), "{text}");
        std::fs::write(at(name), text.replace(was, is)).unwrap();
    };
    fill("fields.geojson", r#""kind": "gate""#, r#""kind": "gate", "field": "F1""#);
    fill("keepouts.geojson", r#""kind": "well""#, r#""kind": "well", "owner": "own""#);
    fill("keepouts.geojson", r#""kind": "dwelling""#, r#""kind": "dwelling", "owner": "neighbor""#);
    fill("keepouts.geojson", r#""kind": "perennial stream""#, r#""kind": "perennial stream", "vegetated_strip": true"#);
    let (code, text) = sward(&["check", ".", "--on", "2027-02-15"]);
    assert_eq!(code, 0, "{text}");
    assert_eq!(sward(&["plan", ".", "--on", "2027-02-15"]).0, 0);
    let kinds: BTreeSet<&str> = ["perennial stream", "well", "dwelling"].into();
    let written = std::fs::read_to_string(at("keepouts.geojson")).unwrap();
    assert!(kinds.iter().all(|kind| written.contains(kind)) && !written.contains("Pin 7"));
}
