//! A GeoJSON geometry, read without knowing how deep its coordinates are nested.
//!
//! Corners go into one list; where a list of them ends, and a list of such lists, is noted. What
//! is not as it should be is kept as words, since it is wrong with one feature and not with the
//! file.

use geo::{Coord, Geometry, GeometryCollection, LineString, MultiLineString, MultiPoint, MultiPolygon, Point, Polygon};
use serde_json::Value;

/// Deepest nesting of coordinates: a MultiPolygon's corners stand in four lists.
const DEEPEST: usize = 4;
/// Deepest nesting of geometry collections that is read.
const DEEPEST_COLLECTION: usize = 8;

/// The geometry in a text of JSON.
///
/// # Errors
/// Says why it is none.
pub(super) fn geometry(text: &str) -> Result<Geometry<f64>, String> {
    let value = serde_json::from_str(text).map_err(|e| {
        let said = e.to_string();
        format!("its geometry cannot be read: {}", said.split(" at line ").next().unwrap_or_default())
    })?;
    shape(&value, 0)
}

/// The geometry in a value; `depth` counts the collections around it.
pub(super) fn shape(value: &Value, depth: usize) -> Result<Geometry<f64>, String> {
    let Some(members) = value.as_object() else {
        let why =
            if value.is_array() { "a list is where the geometry should be" } else { "the feature has no geometry" };
        return Err(why.to_string());
    };
    let kind = members.get("type").and_then(Value::as_str).ok_or("the geometry has no `type`")?;
    match members.get("geometries").filter(|_| kind == "GeometryCollection" && depth < DEEPEST_COLLECTION) {
        Some(Value::Array(all)) => {
            let all: Result<_, _> = all.iter().map(|own| shape(own, depth + 1)).collect();
            Ok(Geometry::GeometryCollection(GeometryCollection(all?)))
        }
        Some(_) => Err("`geometries` is not a list".to_string()),
        None => {
            let coordinates = members.get("coordinates").ok_or_else(|| format!("the {kind} has no coordinates"))?;
            let mut flat = Flat::default();
            flat.read(coordinates.as_array().map_or(&[], Vec::as_slice), 0);
            flat.into_geometry(kind)
        }
    }
}

/// Corners in one list.
#[derive(Debug, Default)]
struct Flat {
    corners: Vec<Coord<f64>>,
    /// How many lists stand around a corner's own.
    depth: Option<usize>,
    /// How many corners there were at the end of each list of corners.
    lines: Vec<usize>,
    /// How many such lists there were at the end of each list of them.
    parts: Vec<usize>,
    wrong: Option<&'static str>,
}

impl Flat {
    /// Reads a list that stands in so many others.
    fn read(&mut self, list: &[Value], depth: usize) {
        match list {
            _ if depth >= DEEPEST => self.wrong = Some("its coordinates are nested in too many lists"),
            [] if depth > 0 => self.wrong = Some("a list among its coordinates is empty"),
            // A height and anything after it are passed over.
            [Value::Number(x), rest @ ..] => match (x.as_f64(), rest.first().map(Value::as_f64)) {
                (Some(x), Some(Some(y))) => self.corner(depth, Coord { x, y }),
                (_, None) => self.wrong = Some("a corner of it has fewer than two numbers"),
                _ => self.wrong = Some("a corner of it has something that is not a number"),
            },
            all => {
                for element in all {
                    match element {
                        Value::Array(inner) => self.read(inner, depth + 1),
                        _ => self.wrong = Some("something among its coordinates is not a corner"),
                    }
                }
                self.end(depth);
            }
        }
    }

    fn corner(&mut self, depth: usize, at: Coord<f64>) {
        if *self.depth.get_or_insert(depth) != depth {
            self.wrong = Some("its corners are nested at different depths");
        }
        self.corners.push(at);
    }

    /// A list ends that holds no numbers itself.
    fn end(&mut self, depth: usize) {
        match self.depth.map(|own| own.checked_sub(depth)) {
            Some(Some(1)) => self.lines.push(self.corners.len()),
            Some(Some(2)) => self.parts.push(self.lines.len()),
            _ => {}
        }
    }

    /// The geometry of a type.
    fn into_geometry(self, kind: &str) -> Result<Geometry<f64>, String> {
        let wanted = match kind {
            "Point" => 0,
            "MultiPoint" | "LineString" => 1,
            "Polygon" | "MultiLineString" => 2,
            "MultiPolygon" => 3,
            other => return Err(format!("its type is `{other}`, which is not a geometry with coordinates")),
        };
        if let Some(wrong) = self.wrong {
            return Err(wrong.to_string());
        }
        let Some(depth) = self.depth else {
            return Err(format!("the {kind} has no corner"));
        };
        if depth != wanted {
            return Err(format!("its coordinates are not those of a {kind}"));
        }
        let Flat { corners, lines, parts, .. } = self;
        let mut start = 0;
        let all = corners.as_slice();
        let mut lines = lines.iter().map(|&end| {
            let line = all.get(start..end).unwrap_or_default();
            start = end;
            LineString(line.to_vec())
        });
        Ok(match kind {
            "Point" => Point(corners.first().copied().unwrap_or_default()).into(),
            "MultiPoint" => MultiPoint(corners.into_iter().map(Point).collect()).into(),
            "LineString" => LineString(corners).into(),
            "MultiLineString" => MultiLineString(lines.collect()).into(),
            "Polygon" => polygon(lines).into(),
            _ => {
                let mut start = 0;
                let parts = parts.iter().map(|&end| {
                    let part = polygon(lines.by_ref().take(end.saturating_sub(start)));
                    start = end;
                    part
                });
                MultiPolygon(parts.collect()).into()
            }
        })
    }
}

fn polygon(mut rings: impl Iterator<Item = LineString<f64>>) -> Polygon<f64> {
    let outer = rings.next().unwrap_or(LineString(Vec::new()));
    Polygon::new(outer, rings.collect())
}
