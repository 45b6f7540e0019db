//! Grids against reference points of another program (`projections.json`, made by
//! `.ci/projections.py`; the versions stand in it), against published examples, and refusals.

use crate::made::{feature, found, plain, refused, ring, sound, source};
use geo::{Coord, coord};
use proptest::prelude::*;
use serde_json::Value;
use sward::exchange::{Ellipsoid, Grid, Method, Projection, Source, read_prj};
use sward::findings::Severity;

const US_FOOT: f64 = 1200.0 / 3937.0;
const GRS80: Ellipsoid = Ellipsoid { semi_major: 6_378_137.0, inverse_flattening: 298.257_222_101 };
const CLARKE_1866: Ellipsoid = Ellipsoid { semi_major: 6_378_206.4, inverse_flattening: 294.978_698_214 };
const AIRY_1830: Ellipsoid = Ellipsoid { semi_major: 6_377_563.396, inverse_flattening: 299.324_964_6 };

fn reference() -> Value {
    serde_json::from_str(include_str!("projections.json")).unwrap()
}

/// Feet between two places, near enough for a tenth of one.
fn feet(one: Coord<f64>, other: Coord<f64>) -> f64 {
    let east = (one.x - other.x) * 365_200.0 * one.y.to_radians().cos();
    east.hypot((one.y - other.y) * 364_600.0)
}

fn numbers(point: &Value) -> (Coord<f64>, Coord<f64>) {
    let n: Vec<f64> = point.as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect();
    (coord! { x: n[0], y: n[1] }, coord! { x: n[2], y: n[3] })
}

#[test]
fn every_grid_in_every_form_lies_within_a_tenth_of_a_foot_of_the_reference() {
    let reference = reference();
    let mut tried = 0;
    for system in reference["systems"].as_array().unwrap() {
        for (form, wkt) in system["wkt"].as_object().unwrap() {
            let at = format!("{} {form}", system["code"]);
            let read = read_prj(wkt.as_str().unwrap()).unwrap_or_else(|refused| panic!("{at}: {}", refused.why));
            assert_eq!(read.nad83.is_some(), system["datum"].as_str().unwrap().contains("83"), "{at}");
            for point in system["points"].as_array().unwrap() {
                let (grid, lonlat) = numbers(point);
                let off = feet(lonlat, read.projection.to_lonlat(grid).unwrap());
                assert!(off < 0.1, "{at}: {grid:?} lies {off} ft off");
                tried += 1;
            }
        }
    }
    assert!(tried > 1_000, "{tried}");
}

#[test]
fn a_grid_with_heights_above_it_is_taken_for_its_ground() {
    let reference = reference();
    let flat = reference["systems"].as_array().unwrap().iter().find(|s| s["code"] == "EPSG:2264").unwrap();
    let plain = read_prj(flat["wkt"]["WKT1_ESRI"].as_str().unwrap()).unwrap();
    let mut forms: Vec<String> =
        reference["compound"].as_object().unwrap().values().map(|w| w.as_str().unwrap().to_string()).collect();
    let heights =
        "VERTCS[\"NAVD_1988\",VDATUM[\"North_American_Vertical_Datum_1988\"],UNIT[\"Foot_US\",0.3048006096012192]]";
    forms.push(format!("{},{heights}", flat["wkt"]["WKT1_ESRI"].as_str().unwrap()));
    forms.push(format!("BOUNDCRS[SOURCECRS[{}],TARGETCRS[]]", flat["wkt"]["WKT2_2019_SIMPLIFIED"].as_str().unwrap()));
    assert_eq!(forms.len(), 5);
    for form in forms {
        let read = read_prj(&form).unwrap_or_else(|refused| panic!("{form:.60}: {}", refused.why));
        let (grid, _) = numbers(&flat["points"][4]);
        let (one, other) = (read.projection.to_lonlat(grid).unwrap(), plain.projection.to_lonlat(grid).unwrap());
        assert!(feet(one, other) < 0.001, "{form:.60}");
    }
    assert!(read_prj(heights).unwrap_err().why.contains("not a coordinate system of the ground"));
}

#[test]
fn a_datum_that_lies_elsewhere_is_refused_with_the_reason() {
    let wkt = |datum: &str| {
        format!(
            "GEOGCS[\"own\",DATUM[\"{datum}\",SPHEROID[\"GRS_1980\",6378137.0,298.257222101]],PRIMEM[\"Greenwich\",0.0],UNIT[\"Degree\",0.0174532925199433]]"
        )
    };
    for datum in ["D_North_American_1927", "North_American_Datum_1927", "NAD27", "D_NAD_1927_CGQ77"] {
        let refused = read_prj(&wkt(datum)).unwrap_err();
        assert!(refused.why.contains("NAD27") && refused.why.contains("hundreds of feet"), "{}", refused.why);
        assert!(refused.fix.contains("NADCON"), "{}", refused.fix);
    }
    for datum in ["D_Tokyo", "WGS_1972", "NAD83_National_Spatial_Reference_System_PA11", "European_Datum_1950", ""] {
        assert!(read_prj(&wkt(datum)).unwrap_err().why.contains("only WGS84 and NAD83"), "{datum}");
    }
    for datum in
        ["D_NAD_1983_HARN", "NAD83_Canadian_Spatial_Reference_System", "D_NAD_1983_NSRS2007", "D_NAD_1983_2011"]
    {
        assert_eq!(read_prj(&wkt(datum)).unwrap().nad83.as_deref(), Some(datum));
    }
    assert_eq!(read_prj(&wkt("D_WGS_1984")).unwrap().nad83, None);
    for broken in
        ["", "[", "GEOGCS", "GEOGCS[", "GEOGCS[\"a\"", &"A[".repeat(10_000), "GEOGCS[\"a\"]x", "é[", "BOUNDCRS[]"]
    {
        assert!(read_prj(broken).is_err(), "{broken:.20}");
    }
}

/// The old `crs` member with the numbers of a field in that grid.
fn old(crs: &str, ring: &[(f64, f64)]) -> Source {
    let own = feature(r#"{"id": "A"}"#, &[ring.to_vec()]);
    let crs = format!(r#"{{"type": "name", "properties": {{"name": {}}}}}"#, Value::from(crs));
    source("old.json", format!(r#"{{"type": "FeatureCollection", "crs": {crs}, "features": [{own}]}}"#).as_bytes())
}

#[test]
fn a_crs_member_names_any_grid() {
    let reference = reference();
    for system in reference["systems"].as_array().unwrap() {
        let code = system["code"].as_str().unwrap();
        let (grid, lonlat) = numbers(&system["points"][system["points"].as_array().unwrap().len() / 2]);
        let side = 1_000.0;
        let square =
            [(0.0, 0.0), (side, 0.0), (side, side), (0.0, side), (0.0, 0.0)].map(|(x, y)| (grid.x + x, grid.y + y));
        let wkt = system["wkt"]["WKT2_2019_SIMPLIFIED"].as_str().unwrap().to_string();
        let urn = code.replace("EPSG:", "urn:ogc:def:crs:EPSG::");
        for name in [code.to_string(), urn, wkt] {
            if name.starts_with("ESRI") {
                continue;
            }
            let got = plain(old(&name, &square));
            sound(&got);
            let corners = || got.fields[0].shape.0[0].exterior().0.iter();
            assert!(corners().any(|at| feet(*at, lonlat) < 0.1), "{name:.60}: {lonlat:?}");
            let notes = got.findings.sorted().iter().filter(|f| f.code == "import-datum").count();
            assert_eq!(notes, usize::from(system["datum"].as_str().unwrap().contains("83")), "{name:.60}");
        }
    }
}

#[test]
fn codes_on_other_datums_and_numbers_that_do_not_fit_are_refused() {
    let own = ring(0.0, 0.0, 4.0, 3.0);
    for nad27 in ["EPSG:26717", "EPSG:4267", "urn:ogc:def:crs:OGC:1.3:CRS27", "EPSG:32019"] {
        refused(&plain(old(nad27, &own)), "import-crs", &["NAD27"]);
    }
    refused(&plain(old("EPSG:2264", &own)), "import-projected", &["its numbers are degrees", "North Carolina"]);
    let nad83 = plain(old("EPSG:4269", &own));
    sound(&nad83);
    assert!(found(&nad83, Severity::Note, "import-datum").contains("a few feet from it"));
}

/// A grid with the most common numbers.
fn grid(method: Method, ellipsoid: Ellipsoid, origin: (f64, f64), shift: (f64, f64), unit: f64) -> Projection {
    Projection::of(Grid { method, ellipsoid, origin, shift, unit }).unwrap()
}

fn meets(projection: &Projection, x: f64, y: f64, lon: f64, lat: f64, within: f64) {
    let at = projection.to_lonlat(coord! { x: x, y: y }).unwrap();
    assert!((at.x - lon).abs() < within && (at.y - lat).abs() < within, "{at:?} is not {lon}, {lat}");
}

/// Snyder, Map Projections, a Working Manual (USGS Professional Paper 1395, 1987), p. 269: UTM
/// zone 18 on the Clarke ellipsoid, printed to a tenth of a meter. IOGP 373-7-2: transverse
/// Mercator with an origin off the equator; Lambert conic conformal with two parallels in US
/// survey feet; popular visualisation pseudo-Mercator.
#[test]
fn grids_meet_the_published_examples() {
    let utm = Method::TransverseMercator { scale: 0.9996 };
    let utm = grid(utm, CLARKE_1866, (0.0, -75.0), (500_000.0, 0.0), 1.0);
    meets(&utm, 627_106.5, 4_484_124.4, -73.5, 40.5, 1e-6);
    let british = Method::TransverseMercator { scale: 0.999_601_271_7 };
    let british = grid(british, AIRY_1830, (49.0, -2.0), (400_000.0, -100_000.0), 1.0);
    meets(&british, 577_274.99, 69_740.50, 0.5, 50.5, 1e-7);
    let parallels = (28.0 + 23.0 / 60.0, 30.0 + 17.0 / 60.0);
    let texas = Method::LambertConic { parallels, scale: 1.0 };
    let texas = grid(texas, CLARKE_1866, (27.0 + 50.0 / 60.0, -99.0), (2_000_000.0 * US_FOOT, 0.0), US_FOOT);
    meets(&texas, 2_963_503.91, 254_759.80, -96.0, 28.5, 1e-7);
    let web = grid(Method::WebMercator, GRS80, (0.0, 0.0), (0.0, 0.0), 1.0);
    let (lon, lat) = (-(100.0 + 20.0 / 60.0), 24.0 + 22.0 / 60.0 + 54.433 / 3600.0);
    meets(&web, -11_169_055.58, 2_800_000.0, lon, lat, 1e-7);
    for (x, y) in [(1e300, 1e300), (f64::NAN, 0.0), (f64::INFINITY, 1.0), (-1.2e7, 4.0e6), (0.0, 1e12)] {
        assert_eq!(utm.to_lonlat(coord! { x: x, y: y }).filter(|at| at.x.abs() > 180.0), None);
    }
    assert_eq!(web.to_lonlat(coord! { x: 1e300, y: 0.0 }), None);
}

fn methods() -> impl Strategy<Value = Method> {
    let pair = (20.0..50.0_f64, 20.0..50.0_f64);
    prop_oneof![
        (0.9..1.1_f64).prop_map(|scale| Method::TransverseMercator { scale }),
        pair.clone().prop_map(|parallels| Method::LambertConic { parallels, scale: 1.0 }),
        pair.prop_map(|parallels| Method::Albers { parallels }),
        (10.0..80.0_f64).prop_map(|azimuth| Method::ObliqueMercator {
            azimuth,
            turn: azimuth,
            scale: 1.0,
            centered: true
        }),
    ]
}

proptest! {
    /// The same place counted in meters, survey feet or international feet is the same place.
    #[test]
    fn a_unit_changes_no_place(method in methods(), lat in 25.0..45.0_f64, lon in -120.0..-70.0_f64, x in -9e4..9e4_f64, y in -9e4..9e4_f64) {
        let shift = (609_601.2, 30_000.0);
        let of = |unit| grid(method, GRS80, (lat, lon), shift, unit);
        let at = |unit: f64| of(unit).to_lonlat(coord! { x: (x + shift.0) / unit, y: (y + shift.1) / unit }).unwrap();
        for unit in [0.3048, US_FOOT] {
            prop_assert!(feet(at(1.0), at(unit)) < 1e-3);
        }
        // The two feet taken for each other move a place by two parts in a million.
        let slip = of(0.3048).to_lonlat(coord! { x: (x + shift.0) / US_FOOT, y: (y + shift.1) / US_FOOT }).unwrap();
        let expected = (x + shift.0).hypot(y + shift.1) / 0.3048 * 2e-6;
        prop_assert!((feet(at(1.0), slip) - expected).abs() < 0.2 * expected + 0.01);
    }

    /// Any numbers at all are answered.
    #[test]
    fn no_numbers_of_a_grid_make_it_fall(kind in 0..5_u8, n in proptest::collection::vec(prop_oneof![any::<f64>(), -1e3..1e3_f64, -90.0..90.0_f64, Just(0.0), Just(1.0)], 13)) {
        let method = match kind {
            0 => Method::WebMercator,
            1 => Method::TransverseMercator { scale: n[0] },
            2 => Method::LambertConic { parallels: (n[0], n[1]), scale: n[2] },
            3 => Method::Albers { parallels: (n[0], n[1]) },
            _ => Method::ObliqueMercator { azimuth: n[0], turn: n[1], scale: n[2], centered: n[3] > 0.0 },
        };
        for ellipsoid in [GRS80, Ellipsoid { semi_major: n[11], inverse_flattening: n[12] }] {
            for unit in [1.0, n[4]] {
                if let Ok(made) = Projection::of(Grid { method, ellipsoid, origin: (n[5], n[6]), shift: (n[7], n[8]), unit }) {
                    if let Some(at) = made.to_lonlat(coord! { x: n[9], y: n[10] }) {
                        prop_assert!(at.x.is_finite() && at.y.abs() <= 90.0);
                    }
                    let _ = made.to_lonlat(coord! { x: n[9] * 1e4, y: n[10] * 1e4 });
                }
            }
        }
    }
}
