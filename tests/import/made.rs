//! Farms and files made for the tests, and what is asked of an import.

use geo::Coord;
use sward::exchange::{Imported, Options, Source, import};
use sward::findings::Severity;

/// South-west corner of the invented farm.
pub(crate) const HOME: (f64, f64) = (-79.5, 35.7);

/// A ring around a rectangle, counter-clockwise and closed; sizes in thousandths of a degree.
pub(crate) fn ring(x: f64, y: f64, wide: f64, high: f64) -> Vec<(f64, f64)> {
    let at = |dx: f64, dy: f64| (HOME.0 + (x + dx) * 1e-3, HOME.1 + (y + dy) * 1e-3);
    vec![at(0.0, 0.0), at(wide, 0.0), at(wide, high), at(0.0, high), at(0.0, 0.0)]
}

/// The same ring the other way around.
pub(crate) fn back(mut ring: Vec<(f64, f64)>) -> Vec<(f64, f64)> {
    ring.reverse();
    ring
}

/// Corners as GeoJSON writes them.
pub(crate) fn corners(ring: &[(f64, f64)]) -> String {
    let all: Vec<String> = ring.iter().map(|(x, y)| format!("[{x}, {y}]")).collect();
    format!("[{}]", all.join(", "))
}

/// A polygon feature.
pub(crate) fn feature(properties: &str, rings: &[Vec<(f64, f64)>]) -> String {
    let rings: Vec<String> = rings.iter().map(|r| corners(r)).collect();
    any(properties, &format!(r#"{{"type": "Polygon", "coordinates": [{}]}}"#, rings.join(", ")))
}

/// A feature with any geometry.
pub(crate) fn any(properties: &str, geometry: &str) -> String {
    format!(r#"{{"type": "Feature", "properties": {properties}, "geometry": {geometry}}}"#)
}

/// A collection, a feature a line.
pub(crate) fn collection(features: &[String]) -> Source {
    let text = format!("{{\"type\": \"FeatureCollection\", \"features\": [\n{}\n]}}\n", features.join(",\n"));
    source("fields.json", text.as_bytes())
}

/// A source with nothing beside it.
pub(crate) fn source(name: &str, bytes: &[u8]) -> Source {
    Source { name: name.to_string(), bytes: bytes.to_vec(), beside: Vec::new() }
}

/// A KML file with these placemarks.
pub(crate) fn kml(placemarks: &str) -> Source {
    let text = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<kml xmlns=\"http://www.opengis.net/kml/2.2\"><Document>\n{placemarks}\n</Document></kml>\n"
    );
    source("phone.kml", text.as_bytes())
}

/// A placemark with one ring, heights included.
pub(crate) fn placemark(name: &str, ring: &[(f64, f64)]) -> String {
    let corners: Vec<String> = ring.iter().map(|(x, y)| format!("{x},{y},210")).collect();
    format!(
        "<Placemark><name>{name}</name><Polygon><outerBoundaryIs><LinearRing><coordinates>\n{}\n</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark>",
        corners.join(" ")
    )
}

/// An import without options.
pub(crate) fn plain(source: Source) -> Imported {
    import(&[source], &Options::default())
}

/// An import that says where the farm lies.
pub(crate) fn near(source: Source) -> Imported {
    import(&[source], &Options { near: Some(Coord { x: HOME.0, y: HOME.1 }), ..Options::default() })
}

/// Every finding as `severity code found`.
pub(crate) fn told(imported: &Imported) -> Vec<String> {
    imported.findings.sorted().iter().map(|f| format!("{} {} {}", f.severity.word(), f.code, f.found)).collect()
}

/// The one finding with this code, with its severity.
#[track_caller]
pub(crate) fn found(imported: &Imported, severity: Severity, code: &str) -> String {
    let all = imported.findings.sorted();
    let own: Vec<_> = all.iter().filter(|f| f.code == code && f.severity == severity).collect();
    assert_eq!(own.len(), 1, "{code} in {:#?}", told(imported));
    own[0].found.clone()
}

/// Refused, with this code, the message holding all of these words.
#[track_caller]
pub(crate) fn refused(imported: &Imported, code: &str, words: &[&str]) {
    let all = imported.findings.sorted();
    let own: Vec<_> = all.iter().filter(|f| f.code == code && f.severity == Severity::Error).collect();
    assert!(!own.is_empty(), "no {code} in {:#?}", told(imported));
    for word in words {
        assert!(own.iter().any(|f| f.found.contains(word)), "no `{word}` in {:#?}", told(imported));
    }
    for finding in own {
        assert!(finding.accepted.is_some() || finding.fix.is_some(), "{finding:?} helps nobody");
    }
}

/// Let through without an error.
#[track_caller]
pub(crate) fn sound(imported: &Imported) {
    assert!(!imported.findings.has_errors(), "{:#?}", told(imported));
    assert!(!imported.fields.is_empty());
}

/// Acres of a rectangle in thousandths of a degree on the ellipsoid, by another way: Karney's
/// geodesic area.
pub(crate) fn acres(rings: &[Vec<(f64, f64)>]) -> f64 {
    use geographiclib_rs::{Geodesic, PolygonArea, Winding};
    let earth = Geodesic::wgs84();
    let area = |ring: &[(f64, f64)]| {
        let mut sum = PolygonArea::new(&earth, Winding::CounterClockwise);
        for (lon, lat) in &ring[..ring.len() - 1] {
            sum.add_point(*lat, *lon);
        }
        sum.compute(true).1.abs() / 4_046.856_422_4
    };
    rings.iter().enumerate().map(|(i, ring)| if i == 0 { area(ring) } else { -area(ring) }).sum()
}
