//! One shape from a GeoJSON file: the ground that somebody drew on a phone or recorded while
//! driving.

use super::corners::shape;
use crate::text::{Named, crs_name, named};
use geo::Geometry;
use serde_json::Value;

/// The only geometry of a GeoJSON text, in longitude and latitude: bare, of a feature, or of a
/// collection with one feature.
///
/// # Errors
/// Why there is no such geometry.
pub fn one_shape(text: &str) -> Result<Geometry<f64>, String> {
    let whole: Value = serde_json::from_str(text).map_err(|e| format!("it is not JSON: {e}"))?;
    if let Some(crs) = whole.get("crs").filter(|crs| !crs.is_null()) {
        let name = crs_name(crs);
        if let Named::Other(name) = named(&name) {
            return Err(format!("its `crs` is `{name}`; `sward ground import` turns it into longitude and latitude"));
        }
    }
    let feature = match whole.get("features").and_then(Value::as_array).map(Vec::as_slice) {
        None => &whole,
        Some([one]) => one,
        Some(all) => return Err(format!("it has {} features, and the ground is one", all.len())),
    };
    let geometry = match feature.get("type").and_then(Value::as_str) {
        Some("Feature") => feature.get("geometry").ok_or("the feature has no geometry")?,
        _ => feature,
    };
    shape(geometry, 0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_geometry_is_read_in_any_wrapping() {
        let line = r#"{"type": "LineString", "coordinates": [[-79.5, 35.7], [-79.4, 35.7]]}"#;
        let feature = format!(r#"{{"type": "Feature", "properties": {{}}, "geometry": {line}}}"#);
        let list = |features: &str| format!(r#"{{"type": "FeatureCollection", "features": [{features}]}}"#);
        for text in [line, &feature, &list(&feature)] {
            assert!(matches!(one_shape(text), Ok(Geometry::LineString(_))), "{text}");
        }
        for (text, why) in [
            ("", "not JSON"),
            (&*list(""), "0 features"),
            (&*list(&format!("{feature}, {feature}")), "2 features"),
            (r#"{"type": "Feature", "geometry": null}"#, "no geometry"),
            (r#"{"type": "LineString", "coordinates": [[1], [2]]}"#, "two numbers"),
            (&*line.replace('{', r#"{"crs": {"properties": {"name": "EPSG:2264"}}, "#), "EPSG:2264"),
        ] {
            assert!(one_shape(text).is_err_and(|said| said.contains(why)), "{text}");
        }
    }
}
