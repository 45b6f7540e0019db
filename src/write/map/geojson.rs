//! The ground to spread on, an application a feature, as `GeoJSON` (RFC 7946).

use super::sights;
use crate::audit::Audited;
use crate::balance::{Driving, Surveyed};
use crate::check::Ready;
use geo::orient::Direction;
use geo::{LineString, MultiPolygon, Orient, Polygon};
use serde_json::{Value, json};

/// Decimals of a coordinate: a hundredth of a meter.
const TENTH_MICRODEGREES: f64 = 1e7;

/// A `FeatureCollection` in longitude and latitude (WGS84): outer rings
/// counter-clockwise, holes clockwise, seven decimals.
#[must_use]
pub fn map_geojson(audited: &Audited, ready: &Ready, ground: &[Surveyed], driving: &[Option<Driving>]) -> String {
    let mut features: Vec<Value> = Vec::new();
    for sight in sights(audited, ready, ground, driving) {
        let shape = sight.surveyed.cut.plane.shape_to_lonlat(&sight.surveyed.cut.spreadable);
        let polygons = polygons(&shape);
        let geometry = match polygons.as_slice() {
            [one] => json!({ "type": "Polygon", "coordinates": one }),
            many => json!({ "type": "MultiPolygon", "coordinates": many }),
        };
        for a in &sight.plan.applications {
            features.push(json!({
                "type": "Feature",
                "properties": {
                    "field": sight.plan.id,
                    "name": sight.plan.name,
                    "lot": a.lot,
                    "season": a.season,
                    "rate_tons_per_acre": a.rate,
                    // Hundredths, without the dust of the last bits.
                    "acres": (sight.plan.acres * 100.0).round() / 100.0,
                    "tons": a.pounds.tons(),
                    "first": a.first,
                    "last": a.last,
                },
                "geometry": geometry,
            }));
        }
    }
    let collection = json!({ "type": "FeatureCollection", "features": features });
    serde_json::to_string(&collection).map(|text| text + "\n").unwrap_or_default()
}

/// Rings of a ring list of polygons.
type Rings = Vec<Vec<[f64; 2]>>;

fn polygons(shape: &MultiPolygon<f64>) -> Vec<Rings> {
    // The default of `orient` is what the RFC asks for.
    let turned = shape.orient(Direction::Default);
    turned.iter().map(rings).filter(|rings| !rings.is_empty()).collect()
}

fn rings(polygon: &Polygon<f64>) -> Rings {
    let Some(outer) = ring(polygon.exterior()) else { return Vec::new() };
    std::iter::once(outer).chain(polygon.interiors().iter().filter_map(ring)).collect()
}

/// A closed ring; none when rounding leaves nothing of it.
fn ring(line: &LineString<f64>) -> Option<Vec<[f64; 2]>> {
    let round = |degrees: f64| (degrees * TENTH_MICRODEGREES).round() / TENTH_MICRODEGREES;
    let mut places: Vec<[f64; 2]> = line.0.iter().map(|at| [round(at.x), round(at.y)]).collect();
    places.dedup();
    (places.len() >= 4 && places.first() == places.last()).then_some(places)
}
