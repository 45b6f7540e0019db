//! Clean boundaries as the `fields.geojson` of a farm folder (RFC 7946).

use crate::exchange::import::Field;
use geo::{LineString, MultiPolygon, Polygon};
use std::fmt::Write;

/// One feature a line, outer rings counter-clockwise, seven decimals at most.
#[must_use]
pub fn geojson(fields: &[Field]) -> String {
    let mut text = String::from("{\n  \"type\": \"FeatureCollection\",\n  \"features\": [\n");
    for (i, field) in fields.iter().enumerate() {
        let name = field.name.as_ref().map_or_else(String::new, |name| format!(", \"name\": {}", quoted(name)));
        // Writing into a text cannot fail.
        let _ = write!(
            text,
            "    {{\"type\": \"Feature\", \"properties\": {{\"id\": {}{name}}}, \"geometry\": {}}}",
            quoted(&field.id),
            geometry(&field.shape)
        );
        text.push_str(if i + 1 < fields.len() { ",\n" } else { "\n" });
    }
    text.push_str("  ]\n}\n");
    text
}

fn quoted(text: &str) -> String {
    serde_json::Value::from(text).to_string()
}

fn geometry(shape: &MultiPolygon<f64>) -> String {
    let parts: Vec<String> = shape.iter().map(polygon).collect();
    match parts.as_slice() {
        [one] => format!("{{\"type\": \"Polygon\", \"coordinates\": {one}}}"),
        _ => format!("{{\"type\": \"MultiPolygon\", \"coordinates\": [{}]}}", parts.join(", ")),
    }
}

fn polygon(polygon: &Polygon<f64>) -> String {
    let rings: Vec<String> = std::iter::once(polygon.exterior()).chain(polygon.interiors()).map(ring).collect();
    format!("[{}]", rings.join(", "))
}

fn ring(ring: &LineString<f64>) -> String {
    let corners: Vec<String> = ring.0.iter().map(|at| format!("[{}, {}]", number(at.x), number(at.y))).collect();
    format!("[{}]", corners.join(", "))
}

/// A number of degrees without needless zeros.
fn number(degrees: f64) -> String {
    let text = format!("{degrees:.7}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}
