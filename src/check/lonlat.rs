//! Longitude and latitude: corners that lie on no ground, the two swapped, and
//! things that lie far from the rest of the farm.

use crate::farm::{Boundary, Written};
use crate::findings::{Finding, Findings, Place};
use crate::ground::lonlat::{FAR_MILES, NEAR_DEGREES, POLAR_DEGREES, most_lie, near, projected_hint};
use crate::ground::miles;
use crate::ground::plane::{self, MOST_LATITUDE};
use crate::units::{coordinate_text, number_text};
use geo::{BoundingRect, Coord, CoordsIter, Geometry, Line, LinesIter, MultiPoint, Rect};
use std::collections::BTreeSet;

/// Boundaries are held against the polar circles only: what else is wrong with
/// them `ground` says. All other things are held against the boundaries too. Gives the places in
/// the list of the keep-outs that were reported as lying far from every field.
pub(super) fn check(written: &Written, findings: &mut Findings) -> BTreeSet<usize> {
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
    let mut far = BTreeSet::new();
    for (number, keep) in written.keepouts.iter().enumerate() {
        let leap = leap_in(&keep.geometry);
        if one(&keep.name, &keep.place, keep.geometry.coords_iter().collect(), leap, &corners, findings) == Lies::Far {
            findings.push(far_thing(&keep.name, &keep.place, keep.geometry.bounding_rect(), &corners));
            far.insert(number);
        }
    }
    for soil in &written.soils {
        let name = format!("the soil {}", soil.name);
        let leap = soil.shape.lines_iter().find(leaping);
        if one(&name, &soil.place, soil.shape.coords_iter().collect(), leap, &corners, findings) == Lies::Far {
            findings.push(far_soil(&name, &soil.place, soil.shape.bounding_rect(), &corners));
        }
    }
    for point in &written.points {
        let what = if point.stack { "stack of lot" } else { "gate of field" };
        let name = format!("the {what} {}", point.of.value);
        // How far off it lies, `points` says.
        one(&name, &point.of.place, vec![point.at], None, &corners, findings);
    }
    far
}

/// How a thing lies to the fields.
#[derive(PartialEq)]
enum Lies {
    /// Near one of them.
    Near,
    /// Near none, and that is not reported yet.
    Far,
    /// So that its numbers are wrong, which is reported.
    Wrong,
}

/// Reports numbers that are wrong, once a thing.
fn one(
    name: &str,
    place: &Place,
    corners: Vec<Coord<f64>>,
    leap: Option<Line<f64>>,
    fields: &[Coord<f64>],
    findings: &mut Findings,
) -> Lies {
    let Some(&first) = corners.first() else { return Lies::Near };
    let near =
        |c: Coord<f64>| fields.iter().any(|f| (f.x - c.x).abs() < NEAR_DEGREES && (f.y - c.y).abs() < NEAR_DEGREES);
    // A long stream may begin far off.
    let passes = || {
        MultiPoint::from(corners.clone()).bounding_rect().is_some_and(|own| fields.iter().any(|f| near_box(*f, own)))
    };
    findings.push(if near(Coord { x: first.y, y: first.x }) && !near(first) {
        swapped(name, place, first)
    } else if let Some(at) = corners.iter().copied().find(|at| !plane::in_range(*at)) {
        let found = format!("{name}: {} is not a longitude and latitude of farm ground", numbers(at));
        Finding::error("off-the-map", place, found)
            .accepts(format!(
                "degrees: longitude from -180 to 180, then latitude from -{MOST_LATITUDE} to {MOST_LATITUDE}"
            ))
            .fix(again(at))
    } else if let Some(leap) = leap {
        leap_of(name, place, leap)
    } else if fields.is_empty() || passes() {
        return Lies::Near;
    } else if near(Coord { x: -first.x, y: first.y }) {
        unsigned(name, place, first)
    } else {
        return Lies::Far;
    });
    Lies::Wrong
}

/// Whether a side runs farther than anything on a farm does: one of its ends
/// has a slip in it.
fn leaping(side: &Line<f64>) -> bool {
    side.dx().abs() > NEAR_DEGREES || side.dy().abs() > NEAR_DEGREES
}

/// The first such side of a thing.
fn leap_in(geometry: &Geometry<f64>) -> Option<Line<f64>> {
    match geometry {
        Geometry::LineString(line) => line.lines().find(leaping),
        Geometry::MultiLineString(lines) => lines.lines_iter().find(leaping),
        Geometry::Polygon(polygon) => polygon.lines_iter().find(leaping),
        Geometry::MultiPolygon(polygons) => polygons.lines_iter().find(leaping),
        Geometry::GeometryCollection(all) => all.iter().find_map(leap_in),
        _ => None,
    }
}

fn leap_of(name: &str, place: &Place, leap: Line<f64>) -> Finding {
    let (from, to) = (leap.start, leap.end);
    let found = format!(
        "{name}: one side runs from {} to {}: {} miles",
        numbers(from),
        numbers(to),
        number_text(miles(from, to), 0)
    );
    Finding::error("corner-far", place, found)
        .accepts("corners no more than a degree from the one before")
        .fix("fix the longitude or latitude of one of the two corners")
}

/// How to fix numbers that are no degrees, with what they look like.
pub(super) fn again(at: Coord<f64>) -> String {
    let export = "export the file again as WGS84 (EPSG:4326)";
    // A longitude west of 90 in the place of the latitude.
    if at.x.abs() <= POLAR_DEGREES && (90.0..=180.0).contains(&at.y.abs()) {
        return format!("longitude and latitude look swapped; {export}, longitude first");
    }
    projected_hint(at).map_or_else(|| export.to_string(), |hint| format!("{hint}; {export}"))
}

/// The two numbers of a place as they stand in the file.
fn numbers(at: Coord<f64>) -> String {
    format!("{}, {}", coordinate_text(at.x), coordinate_text(at.y))
}

/// The same in a sentence.
pub(super) fn lonlat_text(at: Coord<f64>) -> String {
    format!("longitude {}, latitude {}", coordinate_text(at.x), coordinate_text(at.y))
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

/// The place of a box that is nearest to another.
fn nearest_in(own: Rect<f64>, to: Coord<f64>) -> Coord<f64> {
    Coord { x: to.x.clamp(own.min().x, own.max().x), y: to.y.clamp(own.min().y, own.max().y) }
}

/// Whether the box around a thing comes near a corner of a field.
fn near_box(field: Coord<f64>, own: Rect<f64>) -> bool {
    let at = nearest_in(own, field);
    (field.x - at.x).abs() < NEAR_DEGREES && (field.y - at.y).abs() < NEAR_DEGREES
}

/// Miles from the box around a thing to the nearest corner of a field.
fn far_off(own: Option<Rect<f64>>, fields: &[Coord<f64>]) -> String {
    let far = |field: &Coord<f64>| own.map_or(f64::INFINITY, |own| miles(*field, nearest_in(own, *field)));
    number_text(fields.iter().map(far).fold(f64::INFINITY, f64::min), 0)
}

/// A keep-out that is nowhere near any field.
fn far_thing(name: &str, place: &Place, own: Option<Rect<f64>>, fields: &[Coord<f64>]) -> Finding {
    let found = format!("{name} lies {} miles from the nearest field, and takes no ground", far_off(own, fields));
    Finding::warning("far-away", place, found).fix("check it on a map: in the wrong place it protects nothing")
}

/// A mapped soil that is nowhere near any field.
fn far_soil(name: &str, place: &Place, own: Option<Rect<f64>>, fields: &[Coord<f64>]) -> Finding {
    let found = format!("{name} lies {} miles from the nearest field", far_off(own, fields));
    Finding::warning("far-away", place, found)
        .fix("check it on a map; take it out where the soil map holds more than the farm")
}

pub(super) fn unsigned(name: &str, place: &Place, at: Coord<f64>) -> Finding {
    let found = format!("{name} lies at longitude {}: the minus sign seems to be missing", coordinate_text(at.x));
    Finding::error("lonlat-sign", place, found)
        .accepts("longitude west of Greenwich below 0, as in -79.5")
        .fix("put the minus sign in front of the longitude of every corner")
}

pub(super) fn swapped(name: &str, place: &Place, at: Coord<f64>) -> Finding {
    let found = format!("{name} lies at {}: the two look swapped", lonlat_text(at));
    Finding::error("lonlat-swapped", place, found)
        .accepts("longitude first, then latitude, as RFC 7946 has it")
        .fix("export the file again, or swap the two numbers of every corner")
}
