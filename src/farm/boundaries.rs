//! `fields.geojson`: the fields' boundaries, their gates, and the stacks.

use crate::farm::FIELDS;
use crate::farm::geometry::{Feature, features};
use crate::farm::written::{Boundary, NamedPoint, Written};
use crate::findings::{At, Finding, Findings};
use crate::text::{Node, Walker};
use geo::{Geometry, MultiPolygon};

pub(super) fn read(text: &str, written: &mut Written, findings: &mut Findings) {
    let collection = features(FIELDS, text, findings);
    written.boundaries_lost = !collection.whole;
    written.boundaries_unread.extend(collection.unread);
    for feature in collection.features {
        let Some(node) = &feature.properties else {
            let found = "the feature has no properties";
            findings.push(Finding::error("boundary-id", &feature.place, found).accepts("an `id` that names the field"));
            continue;
        };
        match &feature.geometry {
            Geometry::Polygon(polygon) => {
                boundary(node, &feature, MultiPolygon(vec![polygon.clone()]), written, findings)
            }
            Geometry::MultiPolygon(shape) => boundary(node, &feature, shape.clone(), written, findings),
            Geometry::Point(point) => named_point(node, point.0, written, findings),
            _ => {
                let id = node.get("id").and_then(Node::scalar);
                written.boundaries_unread.extend(id.map(str::to_string));
                let found = "the feature is a line or a collection";
                findings.push(
                    Finding::error("boundary-shape", &feature.place, found)
                        .accepts("a Polygon or MultiPolygon for a field, a Point for a gate or a stack")
                        .fix("close the line into a polygon, or move it to keepouts.geojson"),
                );
            }
        }
    }
}

/// Offices' files carry other properties too; only `id` is asked for.
fn boundary(node: &Node, feature: &Feature, shape: MultiPolygon<f64>, written: &mut Written, findings: &mut Findings) {
    let id = node.get("id").and_then(|n| Some(At { value: n.scalar()?.trim().to_string(), place: n.place.clone() }));
    match id {
        Some(id) => written.boundaries.push(Boundary { id, shape }),
        None => findings.push(
            Finding::error("boundary-id", &feature.place, "the boundary does not say which field it is")
                .accepts("a property `id`, the same as in farm.yaml")
                .fix("add \"id\": \"...\" to its properties"),
        ),
    }
}

fn named_point(node: &Node, at: geo::Coord<f64>, written: &mut Written, findings: &mut Findings) {
    let Some(walk) = Walker::new("the point", node, findings) else {
        return;
    };
    let Some(kind) = walk.need_text("kind", "gate or stack", findings) else {
        return;
    };
    let stack = match kind.value.as_str() {
        "gate" => false,
        "stack" => true,
        other => {
            let found = format!("the point is a `{other}`");
            findings.push(
                Finding::error("word-unknown", &kind.place, found)
                    .accepts("gate (of a field) or stack (of a lot)")
                    .fix("wells and houses belong in keepouts.geojson"),
            );
            return;
        }
    };
    let of = if stack {
        walk.need_text("lot", "the lot that lies there", findings)
    } else {
        walk.need_text("field", "the field the gate opens to", findings)
    };
    if let Some(of) = of {
        written.points.push(NamedPoint { stack, of, at });
    }
}
