//! Longitude and latitude: corners that lie on no ground, the two swapped, and
//! things that lie far from the rest of the farm.

use crate::farm::{Boundary, Written};
use crate::findings::{Finding, Findings, Place};
use crate::ground::lonlat::{FAR_MILES, NEAR_DEGREES, POLAR_DEGREES, most_lie, near, projected_hint};
use crate::ground::{miles, plane};
use crate::units::number_text;
use geo::{BoundingRect, Coord, CoordsIter, Geometry, Line, LinesIter};

/// Boundaries are held against the polar circles only: what else is wrong with
/// them `ground` says. All other things are held against the boundaries too.
pub(super) fn check(written: &Written, findings: &mut Findings) {
    let mut corners = Vec::new();
    for boundary in &written.boundaries {
        let polar = |c: &Coord<f64>| c.y.abs() > POLAR_DEGREES && c.y.abs() <= 90.0 && c.x.abs() < POLAR_DEGREES;
        if let Some(at) = boundary.shape.coords_iter().find(polar) {
            findings.push(swapped(&format!("field {}", boundary.id.value), &boundary.id.place, at));
        } else {
            corners.extend(boundary.shape.coords_iter().filter(|at| plane::in_range(*at)));
        }
    }
    far_fields(&written.boundaries, findings);
    for keep in &written.keepouts {
        one(&keep.name, &keep.place, keep.geometry.coords_iter(), &corners, findings);
        leaps(&keep.name, &keep.place, &keep.geometry, findings);
    }
    for soil in &written.soils {
        let name = format!("the soil {}", soil.name);
        one(&name, &soil.place, soil.shape.coords_iter(), &corners, findings);
        if let Some(leap) = soil.shape.lines_iter().find(leaping) {
            findings.push(leap_of(&name, &soil.place, leap));
        }
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
    let near =
        |c: Coord<f64>| fields.iter().any(|f| (f.x - c.x).abs() < NEAR_DEGREES && (f.y - c.y).abs() < NEAR_DEGREES);
    if !(at.x.abs() <= 180.0 && at.y.abs() <= 90.0) {
        findings.push(
            Finding::error("off-the-map", place, format!("{name}: {}, {} is not a longitude and latitude", at.x, at.y))
                .accepts("degrees: longitude from -180 to 180, then latitude from -90 to 90")
                .fix(again(at)),
        );
        return;
    }
    if near(at) || fields.is_empty() {
        return;
    }
    findings.push(if near(Coord { x: at.y, y: at.x }) {
        swapped(name, place, at)
    } else if near(Coord { x: -at.x, y: at.y }) {
        unsigned(name, place, at)
    } else {
        far_thing(name, place, at, fields)
    });
}

/// Whether a side runs farther than anything on a farm does: one of its ends
/// has a slip in it.
fn leaping(side: &Line<f64>) -> bool {
    side.dx().abs() > NEAR_DEGREES || side.dy().abs() > NEAR_DEGREES
}

/// The first such side of a thing.
fn leaps(name: &str, place: &Place, geometry: &Geometry<f64>, findings: &mut Findings) {
    let leap = match geometry {
        Geometry::LineString(line) => line.lines().find(leaping),
        Geometry::MultiLineString(lines) => lines.lines_iter().find(leaping),
        Geometry::Polygon(polygon) => polygon.lines_iter().find(leaping),
        Geometry::MultiPolygon(polygons) => polygons.lines_iter().find(leaping),
        Geometry::GeometryCollection(all) => return all.iter().for_each(|one| leaps(name, place, one, findings)),
        _ => None,
    };
    if let Some(leap) = leap {
        findings.push(leap_of(name, place, leap));
    }
}

fn leap_of(name: &str, place: &Place, leap: Line<f64>) -> Finding {
    let (from, to) = (leap.start, leap.end);
    let found = format!(
        "{name}: one side runs from {}, {} to {}, {}: {} miles",
        from.x,
        from.y,
        to.x,
        to.y,
        number_text(miles(from, to), 0)
    );
    Finding::error("corner-far", place, found)
        .accepts("corners no more than a degree from the one before")
        .fix("fix the longitude or latitude of one of the two corners")
}

/// How to fix numbers that are no degrees, with what they look like.
pub(super) fn again(at: Coord<f64>) -> String {
    let export = "export the file again as WGS84 (EPSG:4326)";
    projected_hint(at).map_or_else(|| export.to_string(), |hint| format!("{hint}; {export}"))
}

/// Fields that do not lie where the others do. Corners that are no longitude
/// and latitude are told with the boundary.
fn far_fields(boundaries: &[Boundary], findings: &mut Findings) {
    let middle = |b: &Boundary| b.shape.bounding_rect().map(|rect| rect.center());
    let on_map = |at: &Coord<f64>| at.x.abs() <= 180.0 && at.y.abs() <= POLAR_DEGREES;
    let middles: Vec<Coord<f64>> = boundaries.iter().filter_map(middle).filter(on_map).collect();
    let Some(farm) = most_lie(&middles) else {
        two_apart(boundaries, &middles, findings);
        return;
    };
    for boundary in boundaries {
        let Some(at) = middle(boundary).filter(on_map) else { continue };
        let close = |c: Coord<f64>| near(c, farm);
        let name = format!("field {}", boundary.id.value);
        let far = miles(at, farm);
        if close(at) {
            continue;
        }
        findings.push(if close(Coord { x: -at.x, y: at.y }) {
            unsigned(&name, &boundary.id.place, at)
        } else {
            let found = format!("{name} lies {} miles from the other fields", number_text(far, 0));
            let place = &boundary.id.place;
            if far > FAR_MILES {
                Finding::error("far-away", place, found).fix("fix its coordinates, or plan it as a farm of its own")
            } else {
                Finding::warning("far-away", place, found).fix("check it on a map")
            }
        });
    }
}

/// Fields of which no more than one lies anywhere.
fn two_apart(boundaries: &[Boundary], middles: &[Coord<f64>], findings: &mut Findings) {
    let (Some(first), Some(one)) = (boundaries.first(), middles.first()) else { return };
    let far = middles.iter().map(|at| miles(*one, *at)).fold(0.0, f64::max);
    if far > FAR_MILES {
        let far = number_text(far, 0);
        let found = format!("the fields lie up to {far} miles apart, and nothing says which of them lie right");
        findings.push(
            Finding::error("far-away", &first.id.place, found).fix("fix the coordinates of those that lie wrong"),
        );
    }
}

/// A keep-out, gate or stack that is nowhere near any field.
fn far_thing(name: &str, place: &Place, at: Coord<f64>, fields: &[Coord<f64>]) -> Finding {
    let far = fields.iter().map(|field| miles(*field, at)).fold(f64::INFINITY, f64::min);
    let found = format!("{name} lies {} miles from the nearest field, and takes no ground", number_text(far, 0));
    Finding::warning("far-away", place, found).fix("check it on a map: in the wrong place it protects nothing")
}

pub(super) fn unsigned(name: &str, place: &Place, at: Coord<f64>) -> Finding {
    let found = format!("{name} lies at longitude {}: the minus sign seems to be missing", at.x);
    Finding::error("lonlat-sign", place, found)
        .accepts("longitude west of Greenwich below 0, as in -79.5")
        .fix("put the minus sign in front of the longitude of every corner")
}

pub(super) fn swapped(name: &str, place: &Place, at: Coord<f64>) -> Finding {
    let found = format!("{name} lies at longitude {}, latitude {}: the two look swapped", at.x, at.y);
    Finding::error("lonlat-swapped", place, found)
        .accepts("longitude first, then latitude, as RFC 7946 has it")
        .fix("export the file again, or swap the two numbers of every corner")
}
