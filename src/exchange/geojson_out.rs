//! Clean boundaries and things as the `fields.geojson` and `keepouts.geojson` of a farm folder
//! (RFC 7946).

use crate::exchange::import::Field;
use crate::exchange::things::Thing;
use geo::{Coord, Geometry, LineString, Polygon};

/// The fields, and behind them the gates and stacks among the things. One feature a line, outer
/// rings counter-clockwise, seven decimals at most.
#[must_use]
pub fn fields_geojson(fields: &[Field], things: &[Thing]) -> String {
    let boundaries = fields.iter().map(|field| {
        let name = field.name.as_ref().map_or_else(String::new, |name| format!(", \"name\": {}", quoted(name)));
        let shape = Geometry::MultiPolygon(field.shape.clone());
        feature(&format!("\"id\": {}{name}", quoted(&field.id)), &shape)
    });
    let points = things.iter().filter(|thing| thing.with_fields).map(thing_feature);
    collection(boundaries.chain(points))
}

/// What litter keeps away from, in the same form.
#[must_use]
pub fn keepouts_geojson(things: &[Thing]) -> String {
    collection(things.iter().filter(|thing| !thing.with_fields).map(thing_feature))
}

fn thing_feature(thing: &Thing) -> String {
    let mut properties = format!("\"kind\": {}", quoted(&thing.kind));
    if let Some(name) = &thing.name {
        properties.push_str(&format!(", \"name\": {}", quoted(name)));
    }
    for (key, value) in &thing.said {
        let value = match (key.as_str(), value.to_lowercase().as_str()) {
            ("vegetated_strip", "true" | "yes") => "true".to_string(),
            ("vegetated_strip", _) => "false".to_string(),
            _ => quoted(value),
        };
        properties.push_str(&format!(", {}: {value}", quoted(key)));
    }
    feature(&properties, &thing.shape)
}

fn feature(properties: &str, shape: &Geometry<f64>) -> String {
    format!("    {{\"type\": \"Feature\", \"properties\": {{{properties}}}, \"geometry\": {}}}", geometry(shape))
}

fn collection(features: impl Iterator<Item = String>) -> String {
    let features: Vec<String> = features.collect();
    let mut text = String::from("{\n  \"type\": \"FeatureCollection\",\n  \"features\": [\n");
    text.push_str(&features.join(",\n"));
    text.push_str(if features.is_empty() { "  ]\n}\n" } else { "\n  ]\n}\n" });
    text
}

fn quoted(text: &str) -> String {
    serde_json::Value::from(text).to_string()
}

/// A geometry; `null` for those that no import makes.
fn geometry(shape: &Geometry<f64>) -> String {
    let of = |kind: &str, coordinates: String| format!("{{\"type\": \"{kind}\", \"coordinates\": {coordinates}}}");
    let list = |all: Vec<String>| format!("[{}]", all.join(", "));
    match shape {
        Geometry::Point(point) => of("Point", corner(point.0)),
        Geometry::MultiPoint(points) => of("MultiPoint", list(points.iter().map(|point| corner(point.0)).collect())),
        Geometry::LineString(own) => of("LineString", line(own)),
        Geometry::MultiLineString(lines) => of("MultiLineString", list(lines.iter().map(line).collect())),
        Geometry::Polygon(own) => of("Polygon", polygon(own)),
        Geometry::MultiPolygon(parts) => match parts.0.as_slice() {
            [one] => of("Polygon", polygon(one)),
            _ => of("MultiPolygon", list(parts.iter().map(polygon).collect())),
        },
        Geometry::GeometryCollection(all) => {
            format!(
                "{{\"type\": \"GeometryCollection\", \"geometries\": {}}}",
                list(all.iter().map(geometry).collect())
            )
        }
        _ => "null".to_string(),
    }
}

fn polygon(polygon: &Polygon<f64>) -> String {
    let rings: Vec<String> = std::iter::once(polygon.exterior()).chain(polygon.interiors()).map(line).collect();
    format!("[{}]", rings.join(", "))
}

fn line(line: &LineString<f64>) -> String {
    let corners: Vec<String> = line.0.iter().copied().map(corner).collect();
    format!("[{}]", corners.join(", "))
}

fn corner(at: Coord<f64>) -> String {
    format!("[{}, {}]", number(at.x), number(at.y))
}

/// A number of degrees without needless zeros.
fn number(degrees: f64) -> String {
    let text = format!("{degrees:.7}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}
