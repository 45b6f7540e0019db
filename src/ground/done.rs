//! Ground that was gone over, as drawn: its acres, what of it lies where none may go, and
//! which of several lie on each other.
//!
//! A way that was driven covers half a swath on either side of it, and ends square where it
//! ends: rounded ends would make its acres more than a spreader covers.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use geo::{Coord, Geometry, LineString, MultiPolygon, coord};

use super::grid::{Broken, Ground};
use super::outline::RingGroup;
use super::plane::{Plane, SQUARE_FEET_PER_ACRE};
use super::refused::CutRefused;
use super::setback::within_of_rings;
use super::spreadable::Cut;
use super::union::united;

/// Feet by which an edge may have been drawn wrong: what a phone's position is good to. Our own
/// choice; two grounds that share less than twice as wide a strip lie beside each other.
pub const DRAWN_FEET: f64 = 5.0;

/// Strips of ground smaller than this many square feet are none.
const NOTICED_SQUARE_FEET: f64 = 50.0;
/// A bend is drawn with an edge for so much of a turn.
const BEND_STEP: f64 = PI / 16.0;
/// Stretches of a way that are put together at once.
const RUN: usize = 8;
/// Parts into which grounds may cut a field; whatever would make more is left out, and counts as
/// if nobody had said where it lies.
const MOST_PARTS: usize = 1_000;

/// Ground as it was drawn, in longitude and latitude.
#[derive(Clone, Copy, Debug)]
pub struct Driven<'a> {
    /// Areas or lines; all else covers nothing.
    pub shape: &'a Geometry<f64>,
    /// The width in feet that lines cover.
    pub swath_ft: f64,
}

/// One of several grounds on a field.
#[derive(Clone, Debug, PartialEq)]
pub struct GoneOver {
    /// Acres of it on the field's spreadable ground.
    pub acres: f64,
    /// Acres of it inside the boundary.
    pub inside: f64,
    /// That ground, in feet on the plane of the field.
    pub shape: MultiPolygon<f64>,
    /// Acres of it outside the boundary; 0 where an edge drawn a little wrong explains them.
    pub outside: f64,
    /// What of it lies in zones that are kept off: [`Zone::index`](super::Zone::index) and acres,
    /// by the same measure.
    pub kept_off: Vec<(usize, f64)>,
}

/// Ground that is covered by the same of several grounds, and by no other.
#[derive(Clone, Debug, PartialEq)]
pub struct Covered {
    /// Which of them, by their place in the list.
    pub by: Vec<usize>,
    /// How many acres.
    pub acres: f64,
}

/// Several grounds on one field.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct AllDone {
    /// Each by itself, in order.
    pub each: Vec<GoneOver>,
    /// The field's spreadable ground by what covers it, as drawn.
    pub covered: Vec<Covered>,
    /// The field by what covers it [`DRAWN_FEET`] inside of every edge: which lie on each other.
    pub shared: Vec<Covered>,
}

/// Lays several grounds over one field.
///
/// # Errors
/// [`CutRefused`] when the overlay fails on one of them.
pub fn all_done(cut: &Cut, driven: &[Driven<'_>]) -> Result<AllDone, CutRefused> {
    let grounds: Vec<Ground> = driven.iter().map(|one| ground(&cut.plane, one)).collect::<Result<_, Broken>>()?;
    let sure: Vec<Ground> = grounds.iter().map(shrunk).collect::<Result<_, Broken>>()?;
    let (boundary, spreadable) = (Ground::from_shape(&cut.boundary)?, Ground::from_shape(&cut.spreadable)?);
    let zones = cut.zones.iter().map(|zone| Ok((zone.index, Ground::from_shape(&zone.shape)?)));
    let zones: Vec<(usize, Ground)> = zones.collect::<Result<_, Broken>>()?;
    let one = |(own, sure): (&Ground, &Ground)| -> Result<GoneOver, Broken> {
        let noticed = |part: &Ground| part.square_feet() > NOTICED_SQUARE_FEET;
        let outside = if noticed(&sure.less(&boundary)?) { acres(&own.less(&boundary)?) } else { 0.0 };
        let mut kept_off = Vec::new();
        for (index, zone) in &zones {
            if noticed(&sure.common(zone)?) {
                kept_off.push((*index, acres(&own.common(zone)?)));
            }
        }
        let (on, inside) = (own.common(&spreadable)?, own.common(&boundary)?);
        Ok(GoneOver { acres: acres(&on), inside: acres(&inside), shape: inside.to_shape(), outside, kept_off })
    };
    Ok(AllDone {
        each: grounds.iter().zip(&sure).map(one).collect::<Result<_, Broken>>()?,
        covered: parts(spreadable, &grounds)?,
        shared: parts(boundary, &sure)?,
    })
}

/// The spreadable ground of a field that some shapes on its plane cover, and the rest of it.
///
/// # Errors
/// [`CutRefused`] when the overlay fails on one of them.
pub fn done_and_left<'a>(
    cut: &Cut,
    done: impl IntoIterator<Item = &'a MultiPolygon<f64>>,
) -> Result<[MultiPolygon<f64>; 2], CutRefused> {
    let mut left = Ground::from_shape(&cut.spreadable)?;
    let mut parts = Vec::new();
    for shape in done {
        let (under, rest) = left.split(&Ground::from_shape(shape)?)?;
        parts.push(under);
        left = rest;
    }
    Ok([Ground::union(&parts)?.to_shape(), left.to_shape()])
}

/// Acres of ground inside a field's boundary; 0 where one of the two cannot be measured.
#[must_use]
pub fn acres_inside(field: &geo::MultiPolygon<f64>, driven: &Driven<'_>) -> f64 {
    let Some(plane) = Plane::for_shape(field) else { return 0.0 };
    let both = Ground::from_shape(&plane.shape_to_feet(field)).and_then(|own| own.common(&ground(&plane, driven)?));
    both.map_or(0.0, |both| acres(&both))
}

/// Parts a field by what covers it; what nothing covers is left out.
fn parts(field: Ground, grounds: &[Ground]) -> Result<Vec<Covered>, Broken> {
    let mut parts: Vec<(Vec<usize>, Ground)> = vec![(Vec::new(), field)];
    for (number, ground) in grounds.iter().enumerate() {
        if parts.len() > MOST_PARTS {
            break;
        }
        let mut next = Vec::with_capacity(parts.len() + 1);
        for (by, part) in parts {
            let (under, rest) = part.split(ground)?;
            if !under.is_empty() {
                next.push((by.iter().copied().chain([number]).collect(), under));
            }
            if !rest.is_empty() {
                next.push((by, rest));
            }
        }
        parts = next;
    }
    let covered = parts.into_iter().filter(|(by, _)| !by.is_empty());
    Ok(covered.map(|(by, part)| Covered { by, acres: acres(&part) }).collect())
}

/// What of ground lies [`DRAWN_FEET`] and more inside of its edges.
fn shrunk(ground: &Ground) -> Result<Ground, Broken> {
    let rings: Vec<_> = ground.rings().collect();
    ground.less(&within_of_rings(&rings, DRAWN_FEET)?)
}

/// Ground as drawn, on a plane.
fn ground(plane: &Plane, driven: &Driven<'_>) -> Result<Ground, Broken> {
    let radius = driven.swath_ft / 2.0;
    match driven.shape {
        Geometry::Polygon(one) => Ground::from_shape(&plane.shape_to_feet(&one.clone().into())),
        Geometry::MultiPolygon(all) => Ground::from_shape(&plane.shape_to_feet(all)),
        Geometry::LineString(line) => united(&way(plane, line, radius)),
        Geometry::MultiLineString(lines) => {
            united(&lines.iter().flat_map(|line| way(plane, line, radius)).collect::<Vec<_>>())
        }
        _ => Ok(Ground::default()),
    }
}

/// The strips on both sides of a way, and the wedges outside of its bends.
fn way(plane: &Plane, line: &LineString<f64>, radius: f64) -> Vec<RingGroup> {
    let mut corners: Vec<Coord<f64>> = line.0.iter().map(|at| plane.to_feet(*at)).collect();
    corners.dedup();
    let mut rings: RingGroup = Vec::new();
    let heading = |a: Coord<f64>, b: Coord<f64>| (b.y - a.y).atan2(b.x - a.x);
    for (a, b) in corners.iter().zip(corners.iter().skip(1)) {
        let side = spoke(heading(*a, *b) + FRAC_PI_2, radius);
        rings.push(vec![*a - side, *b - side, *b + side, *a + side]);
    }
    for ((a, at), b) in corners.iter().zip(corners.iter().skip(1)).zip(corners.iter().skip(2)) {
        let turn = (heading(*at, *b) - heading(*a, *at) + PI).rem_euclid(TAU) - PI;
        // Turning left, the right side is the outer one.
        let from = heading(*a, *at) - FRAC_PI_2.copysign(turn);
        let steps = (turn.abs() / BEND_STEP).ceil().max(1.0);
        let mut wedge = vec![*at];
        let mut step = 0.0;
        while step <= steps {
            wedge.push(*at + spoke(from + turn * step / steps, radius));
            step += 1.0;
        }
        if turn < 0.0 {
            wedge.reverse();
        }
        rings.push(wedge);
    }
    rings.chunks(RUN).map(<[_]>::to_vec).collect()
}

/// So far in a direction, in radians counter-clockwise from east.
fn spoke(direction: f64, feet: f64) -> Coord<f64> {
    let (sin, cos) = direction.sin_cos();
    coord! { x: cos * feet, y: sin * feet }
}

fn acres(ground: &Ground) -> f64 {
    ground.square_feet() / SQUARE_FEET_PER_ACRE
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ground::cut;
    use geo::polygon;

    const AT: (f64, f64) = (-79.5, 35.7);

    fn degrees(corners: &[(f64, f64)]) -> LineString<f64> {
        let plane = Plane::at(AT.0, AT.1);
        corners.iter().map(|&(x, y)| plane.to_lonlat(coord! { x: x, y: y })).collect()
    }

    fn square(west: f64, south: f64, east: f64, north: f64) -> Geometry<f64> {
        let ring = degrees(&[(west, south), (east, south), (east, north), (west, north), (west, south)]);
        geo::Polygon::new(ring, Vec::new()).into()
    }

    /// A field of 660 ft on a side, and what is laid over it.
    fn laid(shapes: &[(Geometry<f64>, f64)]) -> AllDone {
        let Geometry::Polygon(field) = square(0.0, 0.0, 660.0, 660.0) else { unreachable!() };
        let cut = cut(&MultiPolygon(vec![field]), &[], 30.0).expect("a square can be cut");
        let driven: Vec<Driven<'_>> =
            shapes.iter().map(|(shape, swath_ft)| Driven { shape, swath_ft: *swath_ft }).collect();
        all_done(&cut, &driven).expect("squares can be laid")
    }

    fn close(a: f64, b: f64) -> bool {
        (a - b).abs() < 0.002
    }

    #[test]
    fn a_way_covers_half_a_swath_on_either_side_and_ends_square() {
        let straight = laid(&[(degrees(&[(100.0, 330.0), (500.0, 330.0)]).into(), 40.0)]);
        assert!(close(straight.each[0].acres, 400.0 * 40.0 / 43_560.0), "{straight:?}");
        // There and back one swath over: the bend adds two quarters of a circle.
        let back = degrees(&[(100.0, 330.0), (500.0, 330.0), (500.0, 370.0), (100.0, 370.0)]);
        let back = laid(&[(back.into(), 40.0)]).each[0].acres * 43_560.0;
        let real = 400.0 * 80.0 + 20.0 * 40.0 + 2.0 * PI * 400.0 / 4.0;
        assert!((back - real).abs() < 5.0, "{back} {real}");
        let same = laid(&[(degrees(&[(100.0, 330.0), (500.0, 330.0), (100.0, 330.0)]).into(), 40.0)]);
        assert!(same.each[0].acres * 43_560.0 - 16_000.0 < 700.0, "over the same ground: {same:?}");
    }

    #[test]
    fn grounds_beside_each_other_share_nothing_and_a_strip_is_shared() {
        let shared = |east: f64| {
            let done = laid(&[(square(0.0, 0.0, east, 660.0), 0.0), (square(330.0, 0.0, 660.0, 660.0), 0.0)]);
            done.shared.iter().filter(|part| part.by == [0, 1]).map(|part| part.acres).sum::<f64>()
        };
        assert_eq!(shared(330.0), 0.0);
        assert_eq!(shared(339.0), 0.0, "an edge drawn a little wrong");
        assert!(close(shared(430.0), 90.0 * 650.0 / 43_560.0), "{}", shared(430.0));
    }

    #[test]
    fn what_lies_outside_is_told_unless_an_edge_was_drawn_a_little_wrong() {
        let outside = |west: f64| laid(&[(square(west, 0.0, 330.0, 660.0), 0.0)]).each[0].outside;
        assert_eq!(outside(-4.0), 0.0);
        assert!(close(outside(-66.0), 1.0), "{}", outside(-66.0));
        let done = laid(&[(square(-66.0, 0.0, 330.0, 660.0), 0.0)]);
        assert!(close(done.each[0].acres, 5.0) && close(done.covered[0].acres, 5.0), "{done:?}");
        let around = polygon![(x: -79.5, y: 35.7), (x: -79.4, y: 35.7), (x: -79.4, y: 35.8)];
        assert!(
            acres_inside(&MultiPolygon(vec![around]), &Driven { shape: &square(0.0, 0.0, 9.0, 9.0), swath_ft: 0.0 })
                > 0.0
        );
    }
}
