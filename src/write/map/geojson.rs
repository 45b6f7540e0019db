//! The ground to spread on, an application a feature, as `GeoJSON` (RFC 7946); then what is done
//! and what is left of fields that are done in part.

use super::degrees::to_hundredths;
use crate::audit::Audited;
use crate::balance::{Driving, Surveyed};
use crate::check::Ready;
use crate::ground::written;
use crate::write::sight::{FieldSight, sights};
use crate::write::words::title;
use geo::{MultiPolygon, Polygon};
use serde_json::{Value, json};

/// A `FeatureCollection` in longitude and latitude (WGS84): outer rings
/// counter-clockwise, holes clockwise, seven decimals.
#[must_use]
pub fn map_geojson(audited: &Audited, ready: &Ready, ground: &[Surveyed], driving: &[Vec<Driving>]) -> String {
    let mut features: Vec<Value> = Vec::new();
    let sights = sights(audited, ready, ground, driving);
    for sight in &sights {
        let plane = &sight.surveyed.cut.plane;
        for (at, a) in sight.plan.applications.iter().enumerate() {
            let geometry = geometry(&written(plane, &sight.ground_of(a)).shape);
            features.push(json!({
                "type": "Feature",
                "properties": {
                    "field": sight.plan.id,
                    "name": sight.plan.name,
                    "title": title(sight.plan, a),
                    "job": at + 1,
                    "lot": a.lot,
                    "season": a.season,
                    "rate_tons_per_acre": a.rate,
                    "acres": to_hundredths(a.acres(sight.plan)),
                    "tons": a.pounds.tons(),
                    "first": a.starts(),
                    "last": a.last,
                },
                "geometry": geometry,
            }));
        }
    }
    features.extend(sights.iter().flat_map(parts));
    let collection = json!({ "type": "FeatureCollection", "features": features });
    serde_json::to_string(&collection).map(|text| text + "\n").unwrap_or_default()
}

/// Ground of a field that is done, and ground that is left, where it is done in part.
fn parts(sight: &FieldSight<'_>) -> Vec<Value> {
    let (Some(part), Some(ground)) = (&sight.plan.part, sight.part()) else { return Vec::new() };
    let plane = &sight.surveyed.cut.plane;
    let one = |is: &str, acres: f64, shape: &MultiPolygon<f64>| {
        let properties = json!({
            "field": sight.plan.id,
            "name": sight.plan.name,
            "is": is,
            "acres": to_hundredths(acres),
            "until": part.until,
        });
        json!({ "type": "Feature", "properties": properties, "geometry": geometry(&written(plane, shape).shape) })
    };
    vec![one("done", part.done, &ground.done), one("left", part.left, &ground.left)]
}

fn geometry(shape: &MultiPolygon<f64>) -> Value {
    let polygons: Vec<_> = shape.iter().map(rings).collect();
    match polygons.as_slice() {
        [one] => json!({ "type": "Polygon", "coordinates": one }),
        many => json!({ "type": "MultiPolygon", "coordinates": many }),
    }
}

/// Rings of a polygon, the outer one first.
fn rings(polygon: &Polygon<f64>) -> Vec<Vec<[f64; 2]>> {
    let rings = std::iter::once(polygon.exterior()).chain(polygon.interiors());
    rings.map(|ring| ring.0.iter().map(|at| [at.x, at.y]).collect()).collect()
}
