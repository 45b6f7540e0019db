//! GeoJSON (RFC 7946) features with the place of each in the file.

use crate::findings::{Finding, Findings, Place};
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

/// Reads the features of a collection; each one that cannot be read is a
/// finding of its own.
pub(super) fn features(file: &str, text: &str, findings: &mut Findings) -> Vec<Feature> {
    let collection = match text.parse::<geojson::GeoJson>() {
        Ok(geojson::GeoJson::FeatureCollection(collection)) => collection,
        Ok(_) => {
            let found = "the file holds a single feature or geometry";
            findings
                .push(Finding::error("geojson", &Place::file(file), found).accepts("a FeatureCollection (RFC 7946)"));
            return Vec::new();
        }
        Err(e) => {
            findings.push(
                Finding::error("geojson", &Place::file(file), format!("the file is not GeoJSON: {e}"))
                    .accepts("a FeatureCollection (RFC 7946) in longitude and latitude"),
            );
            return Vec::new();
        }
    };
    let tree = text::parse(file, text, findings);
    let nodes = tree.as_ref().and_then(|t| t.get("features")).map(Node::items).unwrap_or_default();
    let mut read = Vec::new();
    for (i, feature) in collection.features.into_iter().enumerate() {
        let node = nodes.get(i);
        let place = node.map_or_else(|| Place::file(file), |n| n.place.clone());
        let geometry = feature.geometry.map(|g| Geometry::<f64>::try_from(g.value));
        match geometry {
            Some(Ok(geometry)) => {
                let properties = node.and_then(|n| n.get("properties")).cloned();
                read.push(Feature { properties, geometry, place });
            }
            Some(Err(e)) => {
                findings.push(Finding::error("geojson", &place, format!("the feature's geometry cannot be read: {e}")))
            }
            None => findings.push(
                Finding::error("geojson", &place, "the feature has no geometry").mend("draw it again or take it out"),
            ),
        }
    }
    read
}
