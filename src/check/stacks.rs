//! Stacks of litter outside, against the keep-outs: where the tables ask how far
//! a pile stays from a thing, a stack that stands nearer is reported.

use crate::farm::{NamedPoint, Stored, Written, WrittenKeepOut};
use crate::findings::{Finding, Findings};
use crate::ground::Plane;
use crate::tables::{Book, Scope, topic};
use crate::units::{Quantity, number_text, trimmed};
use geo::{BoundingRect, Coord, Distance, Euclidean, Geometry, Intersects, MapCoords, Point};

/// Feet by which a stack may stand nearer before it is told: a point drawn by
/// hand is no truer.
const SLACK_FEET: f64 = 0.5;

pub(super) fn check(written: &Written, book: &Book<'_>, findings: &mut Findings) {
    let large = written.large.as_ref().is_some_and(|large| large.value);
    let outside = |point: &&NamedPoint| {
        let lot = written.lots.iter().find(|lot| lot.id.value == point.of.value);
        // A roof is no pile to these rules.
        point.stack && lot.is_some_and(|lot| lot.stored.value != Stored::Shed)
    };
    for stack in written.points.iter().filter(outside) {
        for keep in &written.keepouts {
            near(stack, keep, large, book, findings);
        }
    }
}

fn near(stack: &NamedPoint, keep: &WrittenKeepOut, large: bool, book: &Book<'_>, findings: &mut Findings) {
    let own = keep.neighbor.as_ref().is_some_and(|neighbor| !neighbor.value);
    let owner = if own { "own" } else { "neighbor" };
    let scope = Scope::new().feature(keep.kind.value.as_str()).owner(owner).large(large);
    let Some(asked) = book.get(topic::STOCKPILE_SETBACK, &scope) else { return };
    let least = asked.value.get();
    let Some(feet) = feet_to(stack.at, &keep.geometry).filter(|feet| feet + SLACK_FEET < least) else { return };
    let (lot, kind) = (&stack.of.value, keep.kind.value.replace('_', " "));
    let named = if keep.name == kind { format!("the {kind}") } else { format!("{} ({kind})", keep.name) };
    let stands = if feet < SLACK_FEET { "on".to_string() } else { format!("{} ft from", number_text(feet, 0)) };
    findings.push(
        Finding::warning("stack-near", &stack.of.place, format!("the stack of lot {lot} stands {stands} {named}"))
            .accepts(format!("{} ft or more: {}", trimmed(least), asked.cite))
            .fix("move the stack, or correct its point in fields.geojson")
            .also(&keep.place, &keep.name),
    );
}

/// Feet from a place to a thing, 0 inside; none where either is not drawn.
fn feet_to(at: Coord<f64>, thing: &Geometry<f64>) -> Option<f64> {
    thing.bounding_rect()?;
    let plane = Plane::at(at.x, at.y);
    let flat = thing.map_coords(|corner| plane.to_feet(corner));
    let here = Geometry::Point(Point(plane.to_feet(at)));
    let feet = if flat.intersects(&here) { 0.0 } else { Euclidean.distance(&here, &flat) };
    Some(feet).filter(|feet| feet.is_finite())
}
