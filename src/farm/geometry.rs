//! GeoJSON (RFC 7946) features with the place of each in the file.

use crate::findings::{Finding, Findings, Place, Severity};
use crate::text::{self, Node};
use geo::Geometry;

/// A feature: its properties with places, and its geometry.
pub(super) struct Feature {
    /// The properties, as a tree.
    pub(super) properties: Option<Node>,
    /// The geometry in longitude and latitude.
    pub(super) geometry: Geometry<f64>,
    /// Where the feature starts.
    pub(super) place: Place,
}

/// The features of a file.
#[derive(Default)]
pub(super) struct Collection {
    /// Those that could be read.
    pub(super) features: Vec<Feature>,
    /// Ids of those that could not.
    pub(super) unread: Vec<String>,
    /// False when the file as a whole could not be read.
    pub(super) whole: bool,
}

/// A line that is only a dot was not drawn to its end.
fn dot_for_a_line(geometry: &Geometry<f64>) -> bool {
    match geometry {
        Geometry::LineString(line) => line.0.len() < 2,
        Geometry::MultiLineString(lines) => lines.0.iter().any(|l| l.0.len() < 2),
        Geometry::GeometryCollection(all) => all.0.iter().any(dot_for_a_line),
        _ => false,
    }
}

/// Reads the features of a collection; each one that cannot be read is a
/// finding of its own.
pub(super) fn features(file: &str, text: &str, findings: &mut Findings) -> Collection {
    let collection = match text.parse::<geojson::GeoJson>() {
        Ok(geojson::GeoJson::FeatureCollection(collection)) => {
            if refused_crs(file, &collection, findings) {
                return Collection::default();
            }
            collection
        }
        Ok(_) => {
            let found = "the file holds a single feature or geometry";
            findings.push(
                Finding::error("geojson", &Place::file(file), found)
                    .accepts("a FeatureCollection (RFC 7946)")
                    .fix("put it into the list `features` of a FeatureCollection"),
            );
            return Collection::default();
        }
        Err(e) => {
            findings.push(not_geojson(file, &e.to_string()));
            return Collection::default();
        }
    };
    let tree = text::parse(file, text, findings);
    let nodes = tree.as_ref().and_then(|t| t.get("features")).map(Node::items).unwrap_or_default();
    let mut read = Collection { whole: true, ..Collection::default() };
    for (i, feature) in collection.features.into_iter().enumerate() {
        let node = nodes.get(i);
        let place = node.map_or_else(|| Place::file(file), |n| n.place.clone());
        if let Some(place) = node.and_then(|n| short_position(n.get("geometry")?)) {
            read.unread.extend(node.and_then(id_of));
            findings.push(
                Finding::error("geojson", place, "a corner of the feature has fewer than two numbers")
                    .accepts("longitude and latitude, as in [-79.5, 35.7]"),
            );
            continue;
        }
        let geometry = feature.geometry.map(|g| Geometry::<f64>::try_from(g.value));
        if !matches!(geometry, Some(Ok(_))) {
            read.unread.extend(node.and_then(id_of));
        }
        match geometry {
            Some(Ok(geometry)) if dot_for_a_line(&geometry) => findings.push(
                Finding::error("geojson", &place, "a line of the feature has a single corner")
                    .accepts("two corners or more in every line; a Point for a single place")
                    .fix("draw the line again, or make it a Point"),
            ),
            Some(Ok(geometry)) => {
                let properties = node.and_then(|n| n.get("properties")).cloned();
                read.features.push(Feature { properties, geometry, place });
            }
            Some(Err(e)) => {
                findings.push(Finding::error("geojson", &place, format!("the feature's geometry cannot be read: {e}")))
            }
            None => findings.push(
                Finding::error("geojson", &place, "the feature has no geometry").fix("draw it again or take it out"),
            ),
        }
    }
    read
}

/// Whether the file names a system of coordinates, from before RFC 7946, in which nothing of it
/// can be read.
fn refused_crs(file: &str, collection: &geojson::FeatureCollection, findings: &mut Findings) -> bool {
    let crs = collection.foreign_members.as_ref().and_then(|members| members.get("crs")).filter(|crs| !crs.is_null());
    let found = crs.and_then(|crs| text::crs_finding(file, &text::named(&text::crs_name(crs))));
    let refused = found.as_ref().is_some_and(|finding| finding.severity == Severity::Error);
    if let Some(finding) = found {
        findings.push(finding);
    }
    refused
}

/// A position with fewer than two numbers, on which the conversion would fail.
fn short_position(geometry: &Node) -> Option<&Place> {
    if let Some(inner) = geometry.get("geometries") {
        return inner.items().iter().find_map(short_position);
    }
    // How many lists stand around a position.
    let around = match geometry.get("type")?.scalar()? {
        "Point" => 0,
        "MultiPoint" | "LineString" => 1,
        "Polygon" | "MultiLineString" => 2,
        "MultiPolygon" => 3,
        _ => return None,
    };
    short_inside(geometry.get("coordinates")?, around)
}

fn short_inside(node: &Node, around: usize) -> Option<&Place> {
    if around > 0 {
        return node.items().iter().find_map(|inner| short_inside(inner, around - 1));
    }
    (node.items().len() < 2).then_some(&node.place)
}

/// The property `id` of a feature.
pub(super) fn id_of(feature: &Node) -> Option<String> {
    let id = feature.get("properties")?.get("id")?.scalar()?;
    Some(id.trim().to_string())
}

/// The parser's message, with the line and column that it ends on as a place.
fn not_geojson(file: &str, message: &str) -> Finding {
    let message = message.strip_prefix("Error while deserializing GeoJSON: ").unwrap_or(message);
    let split = message.rsplit_once(" at line ").and_then(|(what, at)| {
        let (line, column) = at.split_once(" column ")?;
        Some((what, line.parse().ok()?, column.parse().ok()?))
    });
    let (what, line, column) = split.unwrap_or((message, 0, 0));
    let place = Place { file: file.to_string(), line, column: column.max(usize::from(line > 0)) };
    Finding::error("geojson", &place, format!("the file is not GeoJSON: {what}"))
        .accepts("a FeatureCollection (RFC 7946) in longitude and latitude")
        .fix("export it again, or look near this place for a missing comma or bracket")
}
