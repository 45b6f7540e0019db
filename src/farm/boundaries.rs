//! `fields.geojson`: the fields' boundaries, their gates, and the stacks.

use crate::farm::files::FIELDS;
use crate::farm::geometry::{FarmFeature, features};
use crate::farm::properties::{PropertyReader, UnreadProperties, boundary_id_in};
use crate::farm::written::{Boundary, NamedPoint, Written};
use crate::findings::{At, Finding, Findings};
use crate::text::{Node, Walker};
use geo::{Geometry, MultiPolygon};

/// The properties of a boundary that are known. A name is for maps only: the
/// field's own stands in farm.yaml.
const OF_A_FIELD: &[&str] = &["id", "name"];
/// The properties of a gate.
const OF_A_GATE: &[&str] = &["kind", "field", "name"];
/// The properties of a stack.
const OF_A_STACK: &[&str] = &["kind", "lot", "name"];

pub(super) fn read(text: &str, written: &mut Written, findings: &mut Findings) {
    let mut collection = features(FIELDS, text, findings);
    collection.coarse(FIELDS, findings);
    written.boundaries_lost = !collection.whole;
    written.boundaries_unread.append(&mut collection.unread);
    let mut unread = UnreadProperties::default();
    for feature in collection.features {
        let Some(node) = &feature.properties else {
            let found = "the feature has no properties";
            findings.push(Finding::error("boundary-id", &feature.place, found).accepts("an `id` that names the field"));
            continue;
        };
        match &feature.geometry {
            Geometry::Polygon(polygon) => {
                boundary(node, &feature, MultiPolygon(vec![polygon.clone()]), written, &mut unread, findings)
            }
            Geometry::MultiPolygon(shape) => boundary(node, &feature, shape.clone(), written, &mut unread, findings),
            Geometry::Point(point) => named_point(node, point.0, written, &mut unread, findings),
            _ => {
                let id = node.get("id").and_then(Node::scalar);
                written.boundaries_unread.extend(id.map(str::to_string));
                let found = "the feature is a line, several points or a collection";
                findings.push(
                    Finding::error("boundary-shape", &feature.place, found)
                        .accepts("a Polygon or MultiPolygon for a field, a Point for a gate or a stack")
                        .fix("close the line into a polygon, or move it to keepouts.geojson"),
                );
            }
        }
    }
    unread.tell(&["id", "kind", "field", "lot", "name"], findings);
}

/// Offices' files carry other properties too; only `id` is asked for.
fn boundary(
    node: &Node,
    feature: &FarmFeature,
    shape: MultiPolygon<f64>,
    written: &mut Written,
    unread: &mut UnreadProperties,
    findings: &mut Findings,
) {
    let Some(walk) = Walker::new("the boundary", node, findings) else { return };
    let blank = |text: &str| text.trim().is_empty();
    let id = walk.ask("id").filter(|n| !n.scalar().is_some_and(blank));
    let Some(id) = id.and_then(|n| Some(At { value: n.scalar()?.trim().to_string(), place: n.place.clone() })) else {
        let elsewhere = match (&feature.own_id, boundary_id_in(node)) {
            (Some(own), _) => format!("move \"id\": \"{own}\" from the feature into its properties"),
            (None, Some((name, value))) => format!("if `{name}` names the field, write \"id\": \"{value}\""),
            (None, None) => "add \"id\": \"...\" to its properties".to_string(),
        };
        findings.push(
            Finding::error("boundary-id", &feature.place, "the boundary does not say which field it is")
                .accepts("a property `id`, the same as in farm.yaml")
                .fix(elsewhere),
        );
        return;
    };
    if let Some(kind) = node.get("kind").filter(|kind| kind.scalar() != Some("field")) {
        let found = format!("the boundary `{}` is of the kind {}", id.value, kind.describe());
        findings.push(
            Finding::error("boundary-kind", &kind.place, found)
                .accepts("fields, and the points of gates and stacks")
                .fix("move ponds, houses and the like to keepouts.geojson"),
        );
    }
    let what = format!("field {}", id.value);
    walk.ask("name");
    let (foreign, _) = walk.unread();
    let foreign = foreign.into_iter().filter(|(name, ..)| *name != "kind").collect();
    unread
        .of(&PropertyReader { what: &what, unread: foreign, known: OF_A_FIELD, given: OF_A_FIELD.to_vec() }, findings);
    written.boundaries.push(Boundary { id, shape });
}

fn named_point(
    node: &Node,
    at: geo::Coord<f64>,
    written: &mut Written,
    unread: &mut UnreadProperties,
    findings: &mut Findings,
) {
    let Some(walk) = Walker::new("the point", node, findings) else {
        return;
    };
    let kind = walk.need_text("kind", "gate or stack", findings);
    let stack = match kind.as_ref().map(|kind| kind.value.to_lowercase()).as_deref() {
        Some("gate") => Some(false),
        Some("stack") => Some(true),
        _ => None,
    };
    if let (Some(kind), None) = (&kind, stack) {
        let found = format!("the point is a `{}`", kind.value);
        findings.push(
            Finding::error("word-unknown", &kind.place, found)
                .accepts("gate (of a field) or stack (of a lot)")
                .fix("wells and houses belong in keepouts.geojson"),
        );
        return;
    }
    let of = match stack {
        Some(true) => walk.need_text("lot", "the lot that lies there", findings),
        Some(false) => walk.need_text("field", "the field the gate opens to", findings),
        None => None,
    };
    walk.ask("name");
    let known = if stack == Some(true) { OF_A_STACK } else { OF_A_GATE };
    let given = known.iter().copied().filter(|key| walk.ask(key).is_some()).collect();
    let (foreign, _) = walk.unread();
    unread.of(&PropertyReader { what: "the point", unread: foreign, known, given }, findings);
    if let (Some(of), Some(stack)) = (of, stack) {
        written.points.push(NamedPoint { stack, of, at });
    }
}
