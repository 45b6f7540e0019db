//! Packed files of several layers, letters of other code pages, and files too large for a farm.

use crate::formats::zipped;
use crate::made::{any, collection, corners, found, kml, ring, source, told};
use crate::shapefiles::farm;
use sward::exchange::{Imported, Options, Source, Take, import};
use sward::findings::Severity;

fn all(source: &Source) -> Imported {
    let got = import(std::slice::from_ref(source), &Options { take: Take::Both, ..Options::default() });
    assert!(!got.findings.has_errors(), "{:#?}", told(&got));
    got
}

fn mark(name: &str, shape: &str) -> String {
    format!("<Placemark><name>{name}</name>{shape}</Placemark>")
}

fn names(got: &Imported) -> Vec<String> {
    let fields = got.fields.iter().map(|f| format!("field {}", f.name.as_deref().unwrap_or_default()));
    let things = got.things.iter().map(|t| format!("{} {}", t.kind, t.name.as_deref().unwrap_or_default()));
    fields.chain(things).collect()
}

/// Puts some bytes in the place of others.
fn put(bytes: &mut [u8], was: &[u8], is: &[u8]) {
    let at = bytes.windows(was.len()).position(|own| own == was).unwrap();
    bytes[at..at + was.len()].copy_from_slice(is);
}

#[test]
fn a_kmz_of_several_layers_is_read_whole() {
    let spot = "<Point><coordinates>-79.4931,35.7021</coordinates></Point>";
    let way = "<LineString><coordinates>-79.5008,35.7 -79.5008,35.706</coordinates></LineString>";
    let (wells, water) = (kml(&mark("Old one", spot)), kml(&mark("Peña", way)));
    let packed = zipped(&[("layers/wells.kml", &wells.bytes), ("layers/ditches.kml", &water.bytes), ("doc.png", b"x")]);
    assert_eq!(names(&all(&source("map.kmz", &packed))), ["well Old one", "ditch Peña"]);
}

#[test]
fn a_zip_of_several_shapefiles_keeps_each_with_its_own_table() {
    let (one, other) = (farm(), farm());
    let beside = |source: &Source, ending: &str| source.beside.iter().find(|(own, _)| own == ending).unwrap().1.clone();
    let (dbf, prj) = (beside(&one, "dbf"), beside(&one, "prj"));
    let mut lake = dbf.clone();
    put(&mut lake, b"Twins", b"Lakes");
    put(&mut lake, b"Hill", b"Rest");
    let packed = zipped(&[
        ("fields.shp", &one.bytes),
        ("fields.dbf", &dbf),
        ("fields.prj", &prj),
        ("water/ponds.shp", &other.bytes),
        ("water/ponds.DBF", &lake),
        ("water/ponds.prj", &prj),
    ]);
    assert_eq!(names(&all(&source("office.zip", &packed))), ["field Twins", "field Hill", "pond Lakes", "pond Rest"]);
}

#[test]
fn letters_of_a_table_follow_its_code_page() {
    let with = |name: &[u8], cpg: Option<&str>| {
        let mut source = farm();
        for (ending, bytes) in &mut source.beside {
            if ending == "dbf" {
                put(bytes, b"Twins", name);
                // No mark of a code page in the head.
                bytes[29] = 0;
            }
        }
        source.beside.extend(cpg.map(|cpg| ("cpg".to_string(), cpg.as_bytes().to_vec())));
        all(&source)
    };
    assert_eq!(with(b"R\xEDo 2", Some("1252")).fields[0].name.as_deref(), Some("Río 2"));
    assert_eq!(with("Río2".as_bytes(), Some("UTF-8")).fields[0].name.as_deref(), Some("Río2"));
    assert_eq!(with(b"R\xEDo 2", None).fields[0].name.as_deref(), Some("Río 2"));
    let dos = with(b"R\xA1o 2", Some("850"));
    assert_eq!(dos.fields[0].name.as_deref(), Some("R\u{fffd}o 2"));
    assert!(found(&dos, Severity::Warning, "import-letters").contains("1 cell"));
}

#[test]
fn a_county_is_refused_with_how_to_get_the_farm() {
    let point = any(r#"{"kind": "well"}"#, r#"{"type": "Point", "coordinates": [-79.5, 35.7]}"#);
    let refused = |source: &Source, words: &str| {
        let got = import(std::slice::from_ref(source), &Options { take: Take::KeepOuts, ..Options::default() });
        assert!(found(&got, Severity::Error, "import-too-large").contains(words));
        assert!(got.things.is_empty() && got.fields.is_empty());
    };
    refused(&collection(&vec![point; 20_001]), "20001 features");
    let heavy = format!("{{\"type\": \"FeatureCollection\", \"features\": []}}{}", " ".repeat(51_000_000));
    refused(&source("county.geojson", heavy.as_bytes()), "51 MB");
}

/// Hundreds that nothing is known of are asked about in a list that ends.
#[test]
fn many_unknown_features_are_asked_about_in_a_list_that_ends() {
    let area = format!(r#"{{"type": "Polygon", "coordinates": [{}]}}"#, corners(&ring(0.0, 0.0, 1.0, 1.0)));
    let many: Vec<String> = (0..300).map(|i| any(&format!(r#"{{"name": "Spot {i}"}}"#), &area)).collect();
    let mut file = collection(&many);
    file.name = "map.json".to_string();
    let got = import(std::slice::from_ref(&file), &Options { take: Take::KeepOuts, ..Options::default() });
    let asked: Vec<String> = told(&got).into_iter().filter(|text| text.contains("import-what")).collect();
    assert_eq!(asked.len(), 41);
    assert!(asked.iter().any(|text| text.contains("260 more features")), "{asked:?}");
    let rest = Options { take: Take::KeepOuts, rest: Some("rock outcrop".to_string()), ..Options::default() };
    assert_eq!(import(&[file], &rest).things.len(), 300);
}
