//! KML, KMZ and GeoJSON as they are met in the wild, and the command itself.

use crate::kit;
use crate::made::*;
use sward::findings::Severity;

#[test]
fn kml_with_holes_heights_entities_and_folders() {
    let (outer, hole) = (ring(0.0, 0.0, 9.0, 9.0), ring(1.0, 1.0, 2.0, 2.0));
    let text = |ring: &[(f64, f64)]| ring.iter().map(|(x, y)| format!("{x},{y},0")).collect::<Vec<_>>().join("\n  ");
    let got = plain(kml(&format!(
        "<Folder><Placemark><name>Hill &amp; &#68;ale</name><ExtendedData><Data name=\"acres\"><value>99</value></Data></ExtendedData>\
         <MultiGeometry><Point><coordinates>-79.5,35.7</coordinates></Point><Polygon><innerBoundaryIs><LinearRing><coordinates>{}</coordinates></LinearRing></innerBoundaryIs>\
         <outerBoundaryIs><LinearRing><coordinates>{}</coordinates></LinearRing></outerBoundaryIs></Polygon></MultiGeometry></Placemark></Folder>",
        text(&hole),
        text(&outer)
    )));
    sound(&got);
    let field = &got.fields[0];
    assert_eq!((field.id.as_str(), field.name.as_deref()), ("Hill-Dale", Some("Hill & Dale")));
    assert!((field.acres - acres(&[outer, hole])).abs() < 0.01);
    assert!(found(&got, Severity::Note, "import-heights").contains("10 corners"));
    assert_eq!(field.claimed.as_ref().unwrap().acres, 99.0);
}

#[test]
fn kml_without_namespace_with_spaces_and_odd_prefixes() {
    let spaced: Vec<String> = ring(0.0, 0.0, 4.0, 3.0).iter().map(|(x, y)| format!("{x}, {y}, 0")).collect();
    let text = format!(
        "\u{feff}<Document><Placemark><name><![CDATA[North 40]]></name><gx:balloonVisibility>1</gx:balloonVisibility><Polygon><outerBoundaryIs><LinearRing><coordinates>{}</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark></Document>",
        spaced.join(" ")
    );
    let got = plain(source("a.kml", text.as_bytes()));
    sound(&got);
    assert!(found(&got, Severity::Note, "import-numbers").contains("spaces"));
    assert_eq!(got.fields[0].id, "North-40");
}

#[test]
fn broken_kml_is_refused_with_its_place() {
    let bad = placemark("Barn", &ring(0.0, 0.0, 4.0, 3.0)).replacen("-79.5,35.7,210", "-79,5,35,7", 1);
    let got = plain(kml(&bad));
    refused(&got, "import-numbers", &["Barn", "decimal commas"]);
    assert_eq!(got.findings.sorted()[0].place.to_string(), "phone.kml:4:1");
    let cut = kml(&placemark("Barn", &ring(0.0, 0.0, 4.0, 3.0)));
    let middle = String::from_utf8_lossy(&cut.bytes).find("210").unwrap();
    let half = source("cut.kml", &cut.bytes[..middle]);
    refused(&plain(half), "import-kml", &["cut off"]);
    refused(&plain(source("a.gpx", b"<?xml version=\"1.0\"?><gpx></gpx>")), "import-kml", &["GPX"]);
    refused(&plain(source("a.xml", b"<a><b></a>")), "import-kml", &["not whole XML"]);
}

/// What leads elsewhere or is only a picture is named, with its place.
#[test]
fn kml_that_points_elsewhere_is_named() {
    let barn = placemark("Barn", &ring(0.0, 0.0, 4.0, 3.0));
    let got = plain(kml(&format!(
        "<NetworkLink><name>County parcels</name><Link><href>http://example.invalid/a.kml</href></Link></NetworkLink>\
         {barn}<Folder><name>Scans</name><GroundOverlay><name>Soil map</name><LatLonBox><north>35.8</north></LatLonBox>\
         </GroundOverlay></Folder><ScreenOverlay/>"
    )));
    sound(&got);
    assert_eq!(got.fields.len(), 1);
    let told: Vec<String> =
        got.findings.sorted().iter().filter(|f| f.code == "import-unread").map(|f| f.found.clone()).collect();
    assert_eq!(
        told,
        [
            "the network link `County parcels` points to another file, which is not read",
            "the picture over the ground `Soil map` has no boundary in it, and is not read",
            "the picture over the screen has no boundary in it, and is not read",
        ]
    );
}

#[test]
fn xml_bombs_are_not_unfolded() {
    let bomb = "<?xml version=\"1.0\"?><!DOCTYPE kml [<!ENTITY a \"aaaaaaaaaa\"><!ENTITY b \"&a;&a;&a;&a;&a;&a;&a;&a;\">]><kml><Placemark><name>&b;</name></Placemark></kml>";
    refused(&plain(source("a.kml", bomb.as_bytes())), "import-kml", &["document type"]);
    let deep = "<a>".repeat(100_000);
    refused(&plain(source("a.kml", deep.as_bytes())), "import-kml", &["too deep"]);
}

/// A packed file with stored entries, or one deflated in a single stored block.
pub(crate) fn zipped(entries: &[(&str, &[u8])]) -> Vec<u8> {
    let (mut all, mut directory) = (Vec::new(), Vec::new());
    for (name, bytes) in entries {
        let start = all.len() as u32;
        let packed = miniz_oxide::deflate::compress_to_vec(bytes, 6);
        let sizes = [(packed.len() as u32).to_le_bytes(), (bytes.len() as u32).to_le_bytes()].concat();
        let crc = rawzip::crc32(bytes).to_le_bytes();
        let lengths = [(name.len() as u16).to_le_bytes(), [0, 0]].concat();
        let common = [&[20, 0, 0, 0, 8, 0, 0, 0, 0, 0][..], &crc, &sizes, &lengths].concat();
        all.extend([b"PK\x03\x04", common.as_slice(), name.as_bytes(), &packed].concat());
        directory.extend(
            [b"PK\x01\x02\x14\x00", common.as_slice(), &[0; 10], &start.to_le_bytes(), name.as_bytes()].concat(),
        );
    }
    let count = (entries.len() as u16).to_le_bytes();
    let end = [
        &[0; 4][..],
        &count,
        &count,
        &(directory.len() as u32).to_le_bytes(),
        &(all.len() as u32).to_le_bytes(),
        &[0, 0],
    ]
    .concat();
    [all, directory, b"PK\x05\x06".to_vec(), end].concat()
}

#[test]
fn kmz_is_unpacked_and_a_bomb_is_not() {
    let inner = kml(&placemark("Barn", &ring(0.0, 0.0, 4.0, 3.0)));
    let got = plain(source("phone.kmz", &zipped(&[("files/icon.png", b"x"), ("doc.kml", &inner.bytes)])));
    sound(&got);
    assert_eq!(got.fields[0].from.file, "phone.kmz/doc.kml");
    let bomb = zipped(&[("doc.kml", &vec![b' '; 150_000_000])]);
    refused(&plain(source("phone.kmz", &bomb)), "import-zip", &["grows beyond"]);
    refused(&plain(source("phone.kmz", &zipped(&[("a.txt", b"x")]))), "import-zip", &["no KML"]);
    let whole = zipped(&[("doc.kml", &inner.bytes)]);
    refused(&plain(source("phone.kmz", &whole[..whole.len() - 30])), "import-zip", &["cut off"]);
    // A letter that changed on the way: every length still fits.
    let mut changed = whole.clone();
    let crc = 14;
    changed[crc] ^= 1;
    let listed = whole.len() - 22 - (46 + "doc.kml".len()) + 16;
    changed[listed] ^= 1;
    refused(&plain(source("phone.kmz", &changed)), "import-zip", &["damaged"]);
}

#[test]
fn old_geojson_with_a_crs() {
    let with = |crs: &str, ring: &[(f64, f64)]| {
        let own = feature(r#"{"id": "A"}"#, &[ring.to_vec()]);
        let crs = format!(r#"{{"type": "name", "properties": {{"name": "{crs}"}}}}"#);
        source("old.json", format!(r#"{{"type": "FeatureCollection", "crs": {crs}, "features": [{own}]}}"#).as_bytes())
    };
    let own = ring(0.0, 0.0, 4.0, 3.0);
    sound(&plain(with("urn:ogc:def:crs:OGC:1.3:CRS84", &own)));
    refused(&plain(with("urn:ogc:def:crs:EPSG::2036", &own)), "import-crs", &["Oblique_Stereographic"]);
    refused(&plain(with("EPSG:99", &own)), "import-crs", &["EPSG:99", "not known here"]);
    let radius = 6_378_137.0_f64;
    let web = |&(lon, lat): &(f64, f64)| {
        (lon.to_radians() * radius, (std::f64::consts::FRAC_PI_4 + lat.to_radians() / 2.0).tan().ln() * radius)
    };
    let got = plain(with("EPSG:3857", &own.iter().map(web).collect::<Vec<_>>()));
    sound(&got);
    assert!((got.fields[0].acres - acres(&[own])).abs() < 0.01);
}

#[test]
fn what_is_no_geojson_is_refused() {
    for (text, words) in [
        ("{\"type\": \"Topology\"}", "Topology"),
        ("{", "not JSON"),
        (
            "{\"type\": \"FeatureCollection\", \"features\": [{\"geometry\": {\"type\": \"Point\", \"coordinates\": [1e999, 2]}}]}",
            "not JSON",
        ),
        (
            "{\"type\": \"Feature\", \"geometry\": {\"type\": \"Polygon\", \"coordinates\": [[[1], [2, 3]]]}}",
            "fewer than two",
        ),
        ("{\"type\": \"Feature\", \"geometry\": {\"type\": \"Curve\"}}", "`Curve`"),
    ] {
        refused(&plain(source("a.json", text.as_bytes())), "geojson", &[words]);
    }
    refused(&plain(source("a.json", b"")), "import-kind", &["empty"]);
    refused(&plain(source("a.doc", b"hello")), "import-kind", &["no kind"]);
}

#[test]
fn the_command_writes_whole_files_and_never_over_another() {
    let folder = tempfile::tempdir().unwrap();
    let path = |name: &str| folder.path().join(name);
    std::fs::write(path("phone.kml"), kml(&placemark("Barn", &ring(0.0, 0.0, 4.0, 3.0))).bytes).unwrap();
    std::fs::write(path("bad.kml"), kml(&placemark("Barn", &ring(0.0, 0.0, 4.0, 3.0)[..2])).bytes).unwrap();
    let run = |args: &[&str]| kit::sward(folder.path(), &[&["ground", "import"], args].concat()).parts();
    let (code, out, err) = run(&["phone.kml"]);
    assert_eq!(code, 0, "{err}");
    assert!(out.starts_with("{\n  \"type\": \"FeatureCollection\"") && err.contains("1 field, 29.7"), "{err}");
    assert!(
        out.contains("[[[-79.5, 35.7], [-79.496, 35.7], [-79.496, 35.703], [-79.5, 35.703], [-79.5, 35.7]]]"),
        "{out}"
    );
    assert_eq!(run(&["phone.kml", "-o", "fields.geojson"]).0, 0);
    assert_eq!(std::fs::read_to_string(path("fields.geojson")).unwrap(), out);
    let (code, _, err) = run(&["phone.kml", "-o", "fields.geojson"]);
    assert!(code == 2 && err.contains("--force"), "{err}");
    let (code, report, _) = run(&["phone.kml", "-o", "fields.geojson", "--force", "--json"]);
    let report: serde_json::Value = serde_json::from_str(&report).unwrap();
    assert_eq!((code, &report["fields"][0]["id"]), (0, &serde_json::Value::from("Barn")));
    let (code, out, err) = run(&["bad.kml", "-o", "bad.geojson"]);
    assert!(
        code == 1 && out.is_empty() && err.contains("nothing was written") && !path("bad.geojson").exists(),
        "{err}"
    );
    assert!(err.contains("bad.kml:3:1: error [import-ring]"), "{err}");
    assert_eq!(run(&["no-such.kml"]).0, 1);
    assert_eq!(run(&["phone.kml", "--json"]).0, 2);
    assert_eq!(run(&["phone.kml", "--near=35.7,-99.5"]).0, 2);
    assert_eq!(run(&[]).0, 2);
}
