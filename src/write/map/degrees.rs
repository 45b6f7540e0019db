//! Ground of a field in longitude and latitude, for other programs.

use crate::ground::Plane;
use geo::orient::Direction;
use geo::{LineString, MultiPolygon, Orient, Polygon};

/// Decimals of a coordinate: a hundredth of a meter.
const TENTH_MICRODEGREES: f64 = 1e7;

/// A shape on a field's plane (feet) in degrees of WGS84: outer rings
/// counter-clockwise, holes clockwise, as RFC 7946 asks for, seven decimals.
/// Rings of which the rounding leaves nothing are gone.
pub(in crate::write) fn in_degrees(plane: &Plane, shape: &MultiPolygon<f64>) -> MultiPolygon<f64> {
    let turned = plane.shape_to_lonlat(shape).orient(Direction::Default);
    turned.iter().filter_map(polygon).collect()
}

/// Hundredths, without the dust of the last bits.
pub(in crate::write) fn to_hundredths(acres: f64) -> f64 {
    (acres * 100.0).round() / 100.0
}

fn polygon(polygon: &Polygon<f64>) -> Option<Polygon<f64>> {
    let outer = ring(polygon.exterior())?;
    Some(Polygon::new(outer, polygon.interiors().iter().filter_map(ring).collect()))
}

/// A closed ring; none when rounding leaves nothing of it.
fn ring(line: &LineString<f64>) -> Option<LineString<f64>> {
    let round = |degrees: f64| (degrees * TENTH_MICRODEGREES).round() / TENTH_MICRODEGREES;
    let mut places: Vec<_> = line.0.iter().map(|at| geo::coord! { x: round(at.x), y: round(at.y) }).collect();
    places.dedup();
    (places.len() >= 4 && places.first() == places.last()).then_some(LineString(places))
}
