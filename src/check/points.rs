//! Checks of the gates and the stacks: one gate a field, at the field; one
//! stack a lot, within hauling distance.

use crate::check::names::few;
use crate::farm::{NamedPoint, Written};
use crate::findings::{Finding, Findings, Place};
use crate::ground::{Plane, miles};
use crate::units::number_text;
use geo::{BoundingRect, Contains, Coord, Distance, Euclidean, MapCoords, Point};

/// Feet from its field past which a gate looks misplaced: our own choice.
const GATE_FEET: f64 = 500.0;
/// Feet past which it is no gate of that field: two miles.
const GATE_WRONG_FEET: f64 = 2.0 * 5_280.0;
/// Miles from the nearest field past which litter is not hauled: our own choice.
const STACK_MILES: f64 = 25.0;
/// The same, past which the stack is drawn wrong.
const STACK_WRONG_MILES: f64 = 100.0;

pub(super) fn check(written: &Written, findings: &mut Findings) {
    twice(written, findings);
    for point in &written.points {
        if point.stack { stack(point, written, findings) } else { gate(point, written, findings) }
    }
    without_a_gate(written, findings);
}

/// The first one counts, and the others are told.
fn twice(written: &Written, findings: &mut Findings) {
    for (number, point) in written.points.iter().enumerate() {
        let same = |other: &&NamedPoint| other.stack == point.stack && other.of.value == point.of.value;
        let Some(first) = written.points.iter().take(number).find(same) else { continue };
        let what = if point.stack { "lot" } else { "field" };
        let thing = if point.stack { "stacks" } else { "gates" };
        let found = format!("{what} {} has two {thing}; the first one is used", point.of.value);
        findings.push(
            Finding::warning("point-twice", &point.of.place, found)
                .accepts(format!("one of the {thing}, the one that loads go through"))
                .fix("take the other out")
                .also(&first.of.place, "the first one"),
        );
    }
}

/// Feet from a place to a shape, 0 inside.
fn feet_to(at: Coord<f64>, shape: &geo::MultiPolygon<f64>) -> f64 {
    let plane = Plane::at(at.x, at.y);
    let flat = shape.map_coords(|corner| plane.to_feet(corner));
    let here = Point(plane.to_feet(at));
    if flat.contains(&here) { 0.0 } else { Euclidean.distance(&here, &flat) }
}

fn gate(point: &NamedPoint, written: &Written, findings: &mut Findings) {
    let Some(field) = written.boundaries.iter().find(|b| b.id.value == point.of.value) else { return };
    let feet = feet_to(point.at, &field.shape);
    if !feet.is_finite() || feet <= GATE_FEET {
        return;
    }
    let far = if feet > 5_280.0 {
        format!("{} miles", number_text(feet / 5_280.0, 1))
    } else {
        format!("{} ft", number_text(feet, 0))
    };
    let found = format!("the gate of field {} lies {far} from the field", point.of.value);
    let place = &point.of.place;
    let finding = if feet > GATE_WRONG_FEET {
        Finding::error("gate-far", place, found)
    } else {
        Finding::warning("gate-far", place, found)
    };
    findings.push(finding.accepts("a gate on the field's fence; hauls are measured to it").fix("check it on a map"));
}

fn stack(point: &NamedPoint, written: &Written, findings: &mut Findings) {
    let middles = written.boundaries.iter().filter_map(|b| b.shape.bounding_rect()).map(|rect| rect.center());
    let far = middles.map(|at| miles(at, point.at)).filter(|far| far.is_finite()).fold(f64::INFINITY, f64::min);
    if !far.is_finite() || far <= STACK_MILES {
        return;
    }
    let found =
        format!("the stack of lot {} lies {} miles from the nearest field", point.of.value, number_text(far, 0));
    let place = &point.of.place;
    let finding = if far > STACK_WRONG_MILES {
        Finding::error("stack-far", place, found)
    } else {
        Finding::warning("stack-far", place, found)
    };
    let accepts = format!("a stack within {} miles; hauls are measured from it", number_text(STACK_MILES, 0));
    findings.push(finding.accepts(accepts).fix("check it on a map"));
}

/// Fields whose haul is measured to their middle, because no gate is drawn.
fn without_a_gate(written: &Written, findings: &mut Findings) {
    let gates = |id: &str| written.points.iter().any(|p| !p.stack && p.of.value == id);
    let hauled = |lot: &str| written.points.iter().any(|p| p.stack && p.of.value == lot);
    let measured = |field: &&crate::farm::WrittenField| {
        !gates(&field.id.value)
            && written.lots.iter().any(|lot| hauled(&lot.id.value) && field.miles_from(&lot.id.value).is_none())
    };
    let without: Vec<&str> = written.fields.iter().filter(measured).map(|field| field.id.value.as_str()).collect();
    if without.is_empty() {
        return;
    }
    let fields = if without.len() == 1 { "field has" } else { "fields have" };
    let found = format!(
        "{} {fields} no gate ({}); the haul is measured to the middle of the field",
        without.len(),
        few(&without)
    );
    findings.push(
        Finding::warning("gate-missing", &Place::file(crate::farm::FIELDS), found)
            .accepts("a Point with \"kind\": \"gate\" and \"field\": the field's id; or `miles:` in farm.yaml")
            .fix("draw the gates that loads go through"),
    );
}
