//! GeoJSON of other programs: a collection, a single feature or a bare geometry, with or without
//! ids, with the `crs` member of before RFC 7946.

use crate::exchange::given::{Bundle, Corners, Given};
use crate::exchange::prj::{self, ACCEPTED};
use crate::findings::{Finding, Findings, Place};
use crate::text::{self, crs_name};
use geo::{Coord, coord};
use serde_json::Value;

/// Deepest nesting of geometry collections that is read.
const DEEPEST: usize = 8;

/// Reads the text of a GeoJSON file. `None` when it is none.
pub(super) fn read(name: &str, text: &str, findings: &mut Findings) -> Option<Bundle> {
    let whole = Place::file(name);
    let value: Value = match serde_json::from_str(text) {
        Ok(value) => value,
        Err(e) => {
            let place = Place { file: name.into(), line: e.line(), column: e.column().max(1) };
            findings.push(
                Finding::error("geojson", &place, format!("the file is not JSON: {}", said(&e)))
                    .accepts("GeoJSON (RFC 7946) in longitude and latitude")
                    .fix("export it again, or look near this place for a missing comma or bracket"),
            );
            return None;
        }
    };
    let mut file = Bundle { name: name.to_string(), ..Bundle::default() };
    if let Some(crs) = value.get("crs").filter(|crs| !crs.is_null()) {
        match prj::by_name(&crs_name(crs)) {
            Ok(system) => file.system = Some(system),
            Err(refused) => {
                findings.push(
                    Finding::error("import-crs", &whole, format!("its `crs` cannot be used: {}", refused.why))
                        .accepts(ACCEPTED)
                        .fix(refused.fix),
                );
                return None;
            }
        }
    }
    let single = std::slice::from_ref(&value);
    let features: &[Value] = match value.get("type").and_then(Value::as_str) {
        Some("FeatureCollection") => value.get("features").and_then(Value::as_array).map_or(&[], Vec::as_slice),
        Some("Feature") => single,
        Some(kind) if is_geometry(kind) => single,
        other => {
            let found = other.map_or("it has no `type`".to_string(), |kind| format!("its type is `{kind}`"));
            findings.push(
                Finding::error("geojson", &whole, format!("the file is JSON but not GeoJSON: {found}"))
                    .accepts("a FeatureCollection, a Feature or a geometry (RFC 7946)"),
            );
            return None;
        }
    };
    // Programs write the layer's name beside the features.
    let layer = value.get("name").and_then(Value::as_str).map(str::to_string);
    let places = places(name, text);
    for (i, feature) in features.iter().enumerate() {
        let place = places.get(i).cloned().unwrap_or_else(|| whole.clone());
        let given = one(i + 1, feature, place, findings);
        file.features.extend(given.map(|given| Given { within: layer.iter().cloned().collect(), ..given }));
    }
    Some(file)
}

/// The parser's words without its line and column, which are shown as a place.
fn said(error: &serde_json::Error) -> String {
    let text = error.to_string();
    text.split(" at line ").next().unwrap_or_default().to_string()
}

/// Where the features begin, when the reader that knows places can read the text.
fn places(name: &str, text: &str) -> Vec<Place> {
    let mut unheard = Findings::new();
    let tree = text::parse(name, text, &mut unheard);
    let features = tree.as_ref().and_then(|t| t.get("features"));
    features.map(|f| f.items().iter().map(|n| n.place.clone()).collect()).unwrap_or_default()
}

fn is_geometry(kind: &str) -> bool {
    ["Polygon", "MultiPolygon", "LineString", "MultiLineString", "Point", "MultiPoint", "GeometryCollection"]
        .contains(&kind)
}

/// One feature; `None` when it cannot be read, which is told.
fn one(number: usize, feature: &Value, place: Place, findings: &mut Findings) -> Option<Given> {
    let mut given = Given { label: format!("feature {number}"), place, ..Given::default() };
    if let Some(properties) = feature.get("properties").and_then(Value::as_object) {
        given.properties = properties.iter().filter_map(|(k, v)| Some((k.clone(), plain(v)?))).collect();
    }
    // A feature may carry its id beside its properties.
    if let Some(id) = feature.get("id").and_then(plain).filter(|_| given.property("id").is_none()) {
        given.properties.push(("id".to_string(), id));
    }
    if let Some(called) = given.property("name").map(str::to_string) {
        given.label = format!("{called} (feature {number})");
    }
    let geometry = match feature.get("type").and_then(Value::as_str) {
        Some("Feature") => feature.get("geometry").filter(|g| !g.is_null()),
        _ => Some(feature),
    };
    let read = geometry.map_or(Ok(()), |geometry| shape(geometry, &mut given, 0));
    if let Err(why) = read {
        findings.push(
            Finding::error("geojson", &given.place, format!("{}: {why}", given.label))
                .accepts("corners as [longitude, latitude]"),
        );
        return None;
    }
    Some(given)
}

/// A property as text; `None` for nothing, a list or a block.
fn plain(value: &Value) -> Option<String> {
    match value {
        Value::String(text) => Some(text.clone()),
        Value::Bool(yes) => Some(yes.to_string()),
        Value::Number(number) => {
            let text = number.to_string();
            Some(text.strip_suffix(".0").unwrap_or(&text).to_string())
        }
        _ => None,
    }
}

fn shape(geometry: &Value, given: &mut Given, depth: usize) -> Result<(), String> {
    let kind = geometry.get("type").and_then(Value::as_str).unwrap_or_default();
    let coordinates = geometry.get("coordinates").unwrap_or(&Value::Null);
    match kind {
        "Polygon" => given.parts.extend(polygon(coordinates, &mut given.heights)?),
        "MultiPolygon" => {
            for own in list(coordinates)? {
                given.parts.extend(polygon(own, &mut given.heights)?);
            }
        }
        "LineString" => given.lines.push(line(coordinates, &mut given.heights)?),
        "MultiLineString" => {
            for own in list(coordinates)? {
                given.lines.push(line(own, &mut given.heights)?);
            }
        }
        "Point" => given.spots.push(position(coordinates, "its point", &mut given.heights)?),
        "MultiPoint" => given.spots.extend(line(coordinates, &mut given.heights)?),
        "GeometryCollection" if depth < DEEPEST => {
            for own in list(geometry.get("geometries").unwrap_or(&Value::Null))? {
                shape(own, given, depth + 1)?;
            }
        }
        other => return Err(format!("its geometry is `{other}`")),
    }
    given.lines.retain(|line| !line.is_empty());
    Ok(())
}

fn list(value: &Value) -> Result<&[Value], String> {
    match value {
        Value::Array(items) => Ok(items),
        _ => Err("a list of corners is missing in its geometry".to_string()),
    }
}

/// A polygon; none when it has no ring at all.
fn polygon(value: &Value, heights: &mut usize) -> Result<Option<Vec<Corners>>, String> {
    let rings: Vec<Corners> = list(value)?.iter().map(|ring| line(ring, heights)).collect::<Result<_, _>>()?;
    Ok(Some(rings).filter(|rings| rings.iter().any(|ring| !ring.is_empty())))
}

fn line(value: &Value, heights: &mut usize) -> Result<Corners, String> {
    let mut corners = Corners::new();
    for (i, position) in list(value)?.iter().enumerate() {
        corners.push(self::position(position, &format!("corner {}", i + 1), heights)?);
    }
    Ok(corners)
}

fn position(value: &Value, what: &str, heights: &mut usize) -> Result<Coord<f64>, String> {
    let numbers = list(value)?;
    let pair = numbers.first().and_then(Value::as_f64).zip(numbers.get(1).and_then(Value::as_f64));
    let (x, y) = pair.ok_or_else(|| format!("{what} has fewer than two numbers"))?;
    *heights += usize::from(numbers.len() > 2);
    Ok(coord! { x: x, y: y })
}
