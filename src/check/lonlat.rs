//! Longitude and latitude: corners that lie on no ground, and the two swapped.

use crate::farm::Written;
use crate::findings::{Finding, Findings, Place};
use geo::{Coord, CoordsIter};

/// Degrees from the equator past which no hay is cut: the polar circles.
const POLAR: f64 = 66.6;
/// Degrees, some 60 miles, within which a farm's things lie.
const NEAR: f64 = 1.0;

/// Boundaries are held against the polar circles only: what else is wrong with
/// them `ground` says. All other things are held against the boundaries too.
pub(super) fn check(written: &Written, findings: &mut Findings) {
    let mut corners = Vec::new();
    for boundary in &written.boundaries {
        let polar = |c: &Coord<f64>| c.y.abs() > POLAR && c.y.abs() <= 90.0 && c.x.abs() < POLAR;
        if let Some(at) = boundary.shape.coords_iter().find(polar) {
            findings.push(swapped(&format!("field {}", boundary.id.value), &boundary.id.place, at));
        } else {
            corners.extend(boundary.shape.coords_iter());
        }
    }
    for keep in &written.keepouts {
        one(&keep.name, &keep.place, keep.geometry.coords_iter(), &corners, findings);
    }
    for point in &written.points {
        let what = if point.stack { "stack of lot" } else { "gate of field" };
        let name = format!("the {what} {}", point.of.value);
        one(&name, &point.of.place, std::iter::once(point.at), &corners, findings);
    }
}

fn one(
    name: &str,
    place: &Place,
    mut at: impl Iterator<Item = Coord<f64>>,
    fields: &[Coord<f64>],
    findings: &mut Findings,
) {
    // One corner tells: a thing is not half in feet and half in degrees.
    let Some(at) = at.next() else { return };
    let near = |c: Coord<f64>| fields.iter().any(|f| (f.x - c.x).abs() < NEAR && (f.y - c.y).abs() < NEAR);
    if !(at.x.abs() <= 180.0 && at.y.abs() <= 90.0) {
        findings.push(
            Finding::error("off-the-map", place, format!("{name}: {}, {} is no longitude and latitude", at.x, at.y))
                .accepts("degrees: longitude from -180 to 180, then latitude from -90 to 90")
                .mend("export the file again as WGS84 (EPSG:4326)"),
        );
    } else if !near(at) && near(Coord { x: at.y, y: at.x }) {
        findings.push(swapped(name, place, at));
    }
}

fn swapped(name: &str, place: &Place, at: Coord<f64>) -> Finding {
    let found = format!("{name} lies at longitude {}, latitude {}: the two look swapped", at.x, at.y);
    Finding::error("lonlat-swapped", place, found)
        .accepts("longitude first, then latitude, as RFC 7946 has it")
        .mend("export the file again, or swap the two numbers of every corner")
}
