//! Shapefiles as offices send them, written by the `shapefile` crate.

use crate::made::*;
use shapefile::dbase::{FieldValue, Record, TableWriterBuilder};
use shapefile::{Point, PointZ, Polygon, PolygonRing, PolygonZ};
use std::path::Path;
use sward::exchange::{Source, fields_geojson};
use sward::findings::Severity;

const NAD83: &str = "GEOGCS[\"GCS_North_American_1983\",DATUM[\"D_North_American_1983\",SPHEROID[\"GRS_1980\",6378137.0,298.257222101]],PRIMEM[\"Greenwich\",0.0],UNIT[\"Degree\",0.0174532925199433]]";

/// Reads the files of a set; the `.prj` is given.
fn set(shp: &Path, prj: Option<&str>) -> Source {
    let dbf = std::fs::read(shp.with_extension("dbf")).unwrap();
    let mut beside = vec![("dbf".to_string(), dbf)];
    beside.extend(prj.map(|text| ("prj".to_string(), text.as_bytes().to_vec())));
    Source { name: "fields.shp".to_string(), bytes: std::fs::read(shp).unwrap(), beside }
}

fn points(ring: &[(f64, f64)]) -> Vec<Point> {
    ring.iter().map(|(x, y)| Point::new(*x, *y)).collect()
}

/// A shapefile of polygons; each an `Outer` or a hole, in this order, with its name and acres.
pub(crate) fn written(fields: &[(&str, f64, Vec<PolygonRing<Point>>)], prj: Option<&str>) -> Source {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("fields.shp");
    let table = TableWriterBuilder::new().add_character_field("NAME".try_into().unwrap(), 30).add_numeric_field(
        "ACRES".try_into().unwrap(),
        12,
        4,
    );
    let mut writer = shapefile::Writer::from_path(&path, table).unwrap();
    for (name, acres, rings) in fields {
        let mut record = Record::default();
        record.insert("NAME".to_string(), FieldValue::Character(Some((*name).to_string())));
        record.insert("ACRES".to_string(), FieldValue::Numeric(Some(*acres)));
        writer.write_shape_and_record(&Polygon::with_rings(rings.clone()), &record).unwrap();
    }
    drop(writer);
    set(&path, prj)
}

fn outer(ring: &[(f64, f64)]) -> PolygonRing<Point> {
    PolygonRing::Outer(points(ring))
}

fn inner(ring: &[(f64, f64)]) -> PolygonRing<Point> {
    PolygonRing::Inner(points(ring))
}

/// Two fields: one of two parts, whose hole comes last but lies in the first.
pub(crate) fn farm() -> Source {
    let (a, b, hole) = (ring(0.0, 0.0, 6.0, 6.0), ring(10.0, 0.0, 6.0, 6.0), ring(1.0, 1.0, 2.0, 2.0));
    let pair = acres(&[a.clone(), hole.clone()]) + acres(std::slice::from_ref(&b));
    let other = ring(20.0, 0.0, 6.0, 6.0);
    written(
        &[
            ("Twins", pair, vec![outer(&a), outer(&b), inner(&hole)]),
            ("Hill", acres(std::slice::from_ref(&other)), vec![outer(&other)]),
        ],
        Some(NAD83),
    )
}

#[test]
fn holes_out_of_order_go_to_the_part_they_lie_in() {
    let got = plain(farm());
    sound(&got);
    let shape = &got.fields[0].shape;
    let holes: Vec<usize> = shape.iter().map(|p| p.interiors().len()).collect();
    assert_eq!(holes, [1, 0], "the crate's own conversion gives the hole to the second part");
    for field in &got.fields {
        let claimed = field.claimed.as_ref().unwrap();
        assert!(claimed.difference.abs() < 0.01, "{}: {claimed:?}", field.id);
    }
    assert_eq!((got.fields[0].id.as_str(), got.fields[1].id.as_str()), ("Twins", "Hill"));
    // The same as GeoJSON: the same acres to a hundredth.
    let again = plain(source("a.json", fields_geojson(&got.fields, &got.things).as_bytes()));
    sound(&again);
    for (one, two) in got.fields.iter().zip(&again.fields) {
        assert!((one.acres - two.acres).abs() < 0.01 && one.id == two.id);
    }
}

#[test]
fn a_hole_that_runs_as_an_outer_ring_is_told() {
    let (a, hole) = (ring(0.0, 0.0, 6.0, 6.0), ring(1.0, 1.0, 2.0, 2.0));
    let got = plain(written(&[("A", 1.0, vec![outer(&a), outer(&hole)])], Some(NAD83)));
    assert!(
        found(&got, Severity::Warning, "import-turned")
            .contains("ring 2 runs as an outer ring does and lies as a hole")
    );
    assert!((got.fields[0].acres - acres(&[a, hole])).abs() < 0.01);
}

#[test]
fn without_prj_or_dbf() {
    let a = ring(0.0, 0.0, 6.0, 6.0);
    let got = plain(written(&[("A", acres(std::slice::from_ref(&a)), vec![outer(&a)])], None));
    sound(&got);
    assert!(found(&got, Severity::Warning, "import-prj").contains("no .prj"));
    let feet: Vec<(f64, f64)> = a.iter().map(|(x, y)| (1.85e6 + x * 1e3, 7.2e5 + y * 1e3)).collect();
    refused(
        &plain(written(&[("A", 1.0, vec![outer(&feet)])], None)),
        "import-projected",
        &["A (record 1)", "State Plane"],
    );
    let mut bare = farm();
    bare.beside.retain(|(ending, _)| ending != "dbf");
    let got = plain(bare);
    sound(&got);
    assert!(found(&got, Severity::Warning, "import-dbf").contains("no .dbf"));
    assert_eq!(got.fields[1].id, "F2");
}

/// Forward transverse Mercator by Snyder's own series (USGS Professional Paper 1395, 1987,
/// equations 8-9 to 8-15), not by the series that the program inverts.
fn snyder(lon: f64, lat: f64, a: f64, e2: f64, middle: f64) -> (f64, f64) {
    let phi = lat.to_radians();
    let second = e2 / (1.0 - e2);
    let n = a / (1.0 - e2 * phi.sin().powi(2)).sqrt();
    let (t, c) = (phi.tan().powi(2), second * phi.cos().powi(2));
    let big = (lon - middle).to_radians() * phi.cos();
    let m = a
        * ((1.0 - e2 / 4.0 - 3.0 * e2.powi(2) / 64.0 - 5.0 * e2.powi(3) / 256.0) * phi
            - (3.0 * e2 / 8.0 + 3.0 * e2.powi(2) / 32.0 + 45.0 * e2.powi(3) / 1024.0) * (2.0 * phi).sin()
            + (15.0 * e2.powi(2) / 256.0 + 45.0 * e2.powi(3) / 1024.0) * (4.0 * phi).sin()
            - 35.0 * e2.powi(3) / 3072.0 * (6.0 * phi).sin());
    let x = 0.9996
        * n
        * (big
            + (1.0 - t + c) * big.powi(3) / 6.0
            + (5.0 - 18.0 * t + t * t + 72.0 * c - 58.0 * second) * big.powi(5) / 120.0);
    let y = 0.9996
        * (m + n
            * phi.tan()
            * (big.powi(2) / 2.0
                + (5.0 - t + 9.0 * c + 4.0 * c * c) * big.powi(4) / 24.0
                + (61.0 - 58.0 * t + t * t + 600.0 * c - 330.0 * second) * big.powi(6) / 720.0));
    (x, y)
}

#[test]
fn utm_with_its_prj_comes_back_to_the_same_ground() {
    // The published example of the same work, p. 269, Clarke ellipsoid, zone 18.
    let (x, y) = snyder(-73.5, 40.5, 6_378_206.4, 0.006_768_66, -75.0);
    assert!((x - 127_106.5).abs() < 0.06 && (y - 4_484_124.4).abs() < 0.06, "{x} {y}");
    let f = 1.0 / 298.257_222_101;
    let own = ring(0.0, 0.0, 6.0, 6.0);
    let grid: Vec<(f64, f64)> = own
        .iter()
        .map(|(lon, lat)| snyder(*lon, *lat, 6_378_137.0, f * (2.0 - f), -81.0))
        .map(|(x, y)| (x + 500_000.0, y))
        .collect();
    let prj = format!(
        "PROJCS[\"NAD_1983_UTM_Zone_17N\",{NAD83},PROJECTION[\"Transverse_Mercator\"],PARAMETER[\"False_Easting\",500000.0],PARAMETER[\"False_Northing\",0.0],PARAMETER[\"Central_Meridian\",-81.0],PARAMETER[\"Scale_Factor\",0.9996],PARAMETER[\"Latitude_Of_Origin\",0.0],UNIT[\"Meter\",1.0]]"
    );
    let got = plain(written(&[("A", acres(std::slice::from_ref(&own)), vec![outer(&grid)])], Some(&prj)));
    sound(&got);
    assert!(got.fields[0].claimed.as_ref().unwrap().difference.abs() < 0.01);
    for (lon, lat) in &own {
        let corners = || got.fields[0].shape.0[0].exterior().0.iter();
        assert!(corners().any(|c| (c.x - lon).abs() < 1.1e-7 && (c.y - lat).abs() < 1.1e-7), "{lon} {lat}");
    }
    // The same numbers in another zone lie elsewhere, and in no zone at all nowhere.
    let wild: Vec<(f64, f64)> = grid.iter().map(|(x, y)| (x * 1e4, *y)).collect();
    refused(
        &plain(written(&[("A", 1.0, vec![outer(&wild)])], Some(&prj))),
        "import-projected",
        &["does not lie in `NAD_1983_UTM_Zone_17N`"],
    );
}

/// A square of 1,320 survey feet drawn near the middle of the zone: 40 acres of survey feet on
/// the grid, and a little more or less on the ground by the square of the grid's scale.
#[test]
fn state_plane_feet_are_taken_with_their_prj() {
    let (x, y, side) = (1_850_000.0, 720_000.0, 1_320.0);
    let square = vec![(x, y), (x + side, y), (x + side, y + side), (x, y + side), (x, y)];
    let prj = format!(
        "PROJCS[\"NAD_1983_StatePlane_North_Carolina_FIPS_3200_Feet\",{NAD83},PROJECTION[\"Lambert_Conformal_Conic\"],PARAMETER[\"False_Easting\",2000000.002616666],PARAMETER[\"False_Northing\",0.0],PARAMETER[\"Central_Meridian\",-79.0],PARAMETER[\"Standard_Parallel_1\",34.33333333333334],PARAMETER[\"Standard_Parallel_2\",36.16666666666666],PARAMETER[\"Latitude_Of_Origin\",33.75],UNIT[\"Foot_US\",0.3048006096012192]]"
    );
    let got = plain(written(&[("A", 40.0, vec![outer(&square)])], Some(&prj)));
    sound(&got);
    assert!((got.fields[0].acres - 40.0).abs() < 0.02, "{}", got.fields[0].acres);
    let at = got.fields[0].shape.0[0].exterior().0[0];
    assert!((at.x + 79.5).abs() < 0.1 && (at.y - 35.7).abs() < 0.1, "{at:?}");
}

#[test]
fn other_projections_are_refused_by_name() {
    let a = ring(0.0, 0.0, 6.0, 6.0);
    let own = |prj: &str| plain(written(&[("A", 1.0, vec![outer(&a)])], Some(prj)));
    let polar = format!("PROJCS[\"North_Pole\",{NAD83},PROJECTION[\"Stereographic\"],UNIT[\"Meter\",1.0]]");
    refused(&own(&polar), "import-prj", &["North_Pole", "Stereographic"]);
    refused(
        &own(&NAD83.replace("D_North_American_1983", "D_Tokyo")),
        "import-prj",
        &["D_Tokyo", "only WGS84 and NAD83"],
    );
    refused(&own("hello"), "import-prj", &["well-known text"]);
}

#[test]
fn heights_and_points_in_shapefiles() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("fields.shp");
    let table = TableWriterBuilder::new().add_character_field("NAME".try_into().unwrap(), 30);
    let mut writer = shapefile::Writer::from_path(&path, table).unwrap();
    let high = ring(0.0, 0.0, 4.0, 3.0).iter().map(|(x, y)| PointZ::new(*x, *y, 210.0, 0.0)).collect();
    let mut record = Record::default();
    record.insert("NAME".to_string(), FieldValue::Character(Some("Hill".to_string())));
    writer.write_shape_and_record(&PolygonZ::new(PolygonRing::Outer(high)), &record).unwrap();
    drop(writer);
    let got = plain(set(&path, Some(NAD83)));
    sound(&got);
    assert!(found(&got, Severity::Note, "import-heights").contains("5 corners"));
}

#[test]
fn hostile_shapefiles_are_refused() {
    let whole = farm();
    let cut = |bytes: Vec<u8>| plain(Source { bytes, ..whole.clone() });
    refused(&cut(whole.bytes[..whole.bytes.len() - 7].to_vec()), "import-shp", &["the file says it has"]);
    refused(&cut(whole.bytes[..60].to_vec()), "import-shp", &["no head"]);
    let with = |at: usize, bytes: &[u8]| {
        let mut changed = whole.bytes.clone();
        changed[at..at + bytes.len()].copy_from_slice(bytes);
        cut(changed)
    };
    // Billions of corners, of rings, of bytes; a number that is none; a kind that is none.
    refused(&with(100 + 8 + 40, &[0xFF, 0xFF, 0xFF, 0x7F]), "import-shp", &["record 1", "which are not there"]);
    refused(&with(100 + 8 + 36, &[0xFF, 0xFF, 0xFF, 0xFF]), "import-shp", &["record 1"]);
    refused(&with(100 + 4, &[0x7F, 0xFF, 0xFF, 0xFF]), "import-shp", &["runs beyond the end"]);
    refused(&with(100 + 8 + 56, &f64::NAN.to_le_bytes()), "import-ring", &["is not a number"]);
    refused(&with(100 + 8, &[99]), "import-shp", &["its kind is 99"]);
    refused(&with(100 + 8, &[31]), "import-shp", &["MultiPatch"]);
    assert!(with(100 + 8 + 56, &1e300_f64.to_le_bytes()).findings.has_errors());
    let mut short = whole.clone();
    for (_, bytes) in short.beside.iter_mut().filter(|(ending, _)| ending == "dbf") {
        bytes.truncate(bytes.len() - 30);
    }
    refused(&plain(short), "import-dbf", &["it says it has 2 rows, and has 1"]);
    let mut fewer = whole.clone();
    for (_, bytes) in fewer.beside.iter_mut().filter(|(ending, _)| ending == "dbf") {
        bytes[4] = 1;
    }
    refused(&plain(fewer), "import-dbf", &["1 rows and the .shp file 2 shapes"]);
}
