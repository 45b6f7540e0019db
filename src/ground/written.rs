//! Ground as it is written for other programs: longitude and latitude with seven decimals.
//!
//! Rounding moves a corner by up to a third of an inch, and a neck or a hole that is narrower
//! than that can come out crossing itself. So what was rounded is looked at again: no line may
//! cross or touch another, and nothing may lie nearer to a keep-out than the ground itself by
//! more than [`ROUNDED_FEET`]. What fails is cleaned where it stands, drawn a hair smaller, or
//! left out, in this order.

use std::cmp::Ordering;

use geo::orient::Direction;
use geo::{LineString, MultiPolygon, Orient, Polygon, coord};

use super::grid::{Broken, GridPlace, Ground, clean};
use super::plane::{Plane, SQUARE_FEET_PER_ACRE};
use super::setback::within_of_rings;

/// Steps in a degree: under half an inch.
const STEPS_PER_DEGREE: f64 = 1e7;
/// Feet by which ground as it is written may reach beyond the ground itself: an inch or so.
pub const ROUNDED_FEET: f64 = 0.1;
/// Feet by which ground that cannot be written is drawn smaller, one after the other.
const SMALLER_FEET: [f64; 3] = [0.0, 0.15, 0.5];
/// Ground of this many acres that is lost in writing is told.
const TOLD_ACRES: f64 = 1e-3;

/// Rings of polygons in steps, the first corner not repeated.
type Parts = Vec<Vec<Vec<GridPlace>>>;

/// Ground as it is written.
#[derive(Debug, Clone, PartialEq)]
pub struct WrittenGround {
    /// Longitude and latitude in degrees: outer rings counter-clockwise, holes clockwise.
    pub shape: MultiPolygon<f64>,
    /// Acres that are left out because they cannot be written; 0 when that is next to nothing.
    pub left_out: f64,
}

/// A shape on a field's plane (feet) as it is written.
#[must_use]
pub fn written(plane: &Plane, shape: &MultiPolygon<f64>) -> WrittenGround {
    // A part by itself where all together cannot be written.
    let parts = whole(plane, shape).unwrap_or_else(|| {
        let alone = |part: &Polygon<f64>| whole(plane, &MultiPolygon(vec![part.clone()])).unwrap_or_default();
        let mut kept = Parts::new();
        for part in shape.iter().map(alone) {
            kept.extend(part);
            if !sound(&kept, true) {
                kept.pop();
            }
        }
        kept
    });
    let degrees = in_degrees(&parts);
    let acres = |shape: &MultiPolygon<f64>| geo::Area::unsigned_area(shape) / SQUARE_FEET_PER_ACRE;
    let lost = acres(shape) - acres(&plane.shape_to_feet(&degrees));
    WrittenGround { shape: degrees, left_out: if lost > TOLD_ACRES { lost } else { 0.0 } }
}

/// All of a shape, rounded and sound; `None` when no way leads there.
fn whole(plane: &Plane, shape: &MultiPolygon<f64>) -> Option<Parts> {
    let rounded = in_steps(&plane.shape_to_lonlat(shape).orient(Direction::Default));
    if sound(&rounded, false) && kept(plane, &rounded, shape).unwrap_or(false) {
        return Some(rounded);
    }
    let ground = Ground::from_shape(shape).ok()?;
    let rings: Vec<_> = ground.rings().collect();
    SMALLER_FEET.into_iter().find_map(|feet| {
        let ground = if feet > 0.0 { ground.less(&within_of_rings(&rings, feet).ok()?).ok()? } else { ground.clone() };
        let parts = clean(&in_steps(&plane.shape_to_lonlat(&ground.to_shape()))).ok()?;
        (sound(&parts, true) && kept(plane, &parts, shape).ok()?).then_some(parts)
    })
}

/// Whether all that is written lies within [`ROUNDED_FEET`] of the ground that was meant.
fn kept(plane: &Plane, parts: &Parts, shape: &MultiPolygon<f64>) -> Result<bool, Broken> {
    let meant = Ground::from_shape(shape)?;
    let rings: Vec<_> = meant.rings().collect();
    let written = Ground::from_shape(&plane.shape_to_feet(&in_degrees(parts)))?;
    Ok(written.less(&meant)?.less(&within_of_rings(&rings, ROUNDED_FEET)?)?.is_empty())
}

/// A shape in degrees on steps; rings of which the rounding leaves nothing are gone.
#[expect(clippy::cast_possible_truncation, reason = "a longitude has 2^31 steps")]
fn in_steps(shape: &MultiPolygon<f64>) -> Parts {
    let ring = |line: &LineString<f64>| {
        let step = |degrees: f64| (degrees * STEPS_PER_DEGREE).round() as i64;
        let mut places: Vec<GridPlace> = line.0.iter().map(|at| [step(at.x), step(at.y)]).collect();
        places.dedup();
        if places.first() == places.last() {
            places.pop();
        }
        (places.len() >= 3).then_some(places)
    };
    let part = |polygon: &Polygon<f64>| {
        let outer = ring(polygon.exterior())?;
        Some(std::iter::once(outer).chain(polygon.interiors().iter().filter_map(ring)).collect())
    };
    shape.iter().filter_map(part).collect()
}

/// Steps in degrees, rings closed.
#[expect(clippy::cast_precision_loss, reason = "a longitude has 2^31 steps")]
fn in_degrees(parts: &Parts) -> MultiPolygon<f64> {
    let ring = |places: &Vec<GridPlace>| {
        let mut line: LineString<f64> = places
            .iter()
            .map(|&[x, y]| coord! { x: x as f64 / STEPS_PER_DEGREE, y: y as f64 / STEPS_PER_DEGREE })
            .collect();
        line.close();
        line
    };
    let part = |rings: &Vec<Vec<GridPlace>>| {
        let mut rings = rings.iter().map(ring);
        Some(Polygon::new(rings.next()?, rings.collect()))
    };
    parts.iter().filter_map(part).collect()
}

/// A side of a ring, with the ring's number, its own in the ring, and how many the ring has.
struct StepSide {
    ring: usize,
    number: usize,
    of: usize,
    a: GridPlace,
    b: GridPlace,
}

/// Whether no line crosses or runs along another, or touches its own ring. `touching`: rings may
/// touch each other at a spot. In whole numbers, so that nothing is a matter of rounding.
fn sound(parts: &Parts, touching: bool) -> bool {
    let mut sides: Vec<StepSide> = Vec::new();
    for (ring, places) in parts.iter().flatten().enumerate() {
        let next = places.iter().cycle().skip(1);
        let of = places.len();
        sides.extend(places.iter().zip(next).enumerate().map(|(number, (&a, &b))| StepSide { ring, number, of, a, b }));
    }
    sides.sort_by_key(|side| (side.a[0].min(side.b[0]), side.ring, side.number));
    sides.iter().enumerate().all(|(place, one)| {
        let east = one.a[0].max(one.b[0]);
        let later = sides.iter().skip(place + 1).take_while(|other| other.a[0].min(other.b[0]) <= east);
        later.into_iter().all(|other| apart(one, other, touching))
    })
}

/// Whether two sides meet nowhere but where they may.
fn apart(one: &StepSide, other: &StepSide, touching: bool) -> bool {
    match meeting(one, other) {
        Meeting::None => true,
        Meeting::Spot if one.ring == other.ring => {
            let steps = one.number.abs_diff(other.number);
            steps == 1 || steps + 1 == one.of
        }
        Meeting::Spot => touching,
        Meeting::Line => false,
    }
}

/// What two sides have in common.
enum Meeting {
    None,
    /// A spot at which one of them ends.
    Spot,
    /// A stretch, or a spot inside of both.
    Line,
}

fn meeting(one: &StepSide, other: &StepSide) -> Meeting {
    let span = |side: &StepSide| (side.a[1].min(side.b[1]), side.a[1].max(side.b[1]));
    let ((south, north), (low, high)) = (span(one), span(other));
    if north < low || high < south {
        return Meeting::None;
    }
    let ends = [turn(one, other.a), turn(one, other.b)];
    let own = [turn(other, one.a), turn(other, one.b)];
    if ends == [0, 0] {
        // On one line: from where to where.
        let from = one.a.min(one.b).max(other.a.min(other.b));
        return match from.cmp(&one.a.max(one.b).min(other.a.max(other.b))) {
            Ordering::Less => Meeting::Line,
            Ordering::Equal => Meeting::Spot,
            Ordering::Greater => Meeting::None,
        };
    }
    if ends[0] * ends[1] > 0 || own[0] * own[1] > 0 {
        Meeting::None
    } else if ends[0] * ends[1] < 0 && own[0] * own[1] < 0 {
        Meeting::Line
    } else {
        Meeting::Spot
    }
}

/// On which side of a line a place lies: 1 left, 0 on it, -1 right.
fn turn(side: &StepSide, at: GridPlace) -> i128 {
    let [way, to] = [[side.a, side.b], [side.a, at]].map(|[from, to]| [0, 1].map(|i| i128::from(to[i] - from[i])));
    (way[0] * to[1] - way[1] * to[0]).signum()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parts(rings: &[&[(i64, i64)]]) -> Parts {
        vec![rings.iter().map(|ring| ring.iter().map(|&(x, y)| [x, y]).collect()).collect()]
    }

    #[test]
    fn what_crosses_or_touches_itself_is_not_sound() {
        let square: &[(i64, i64)] = &[(0, 0), (9, 0), (9, 9), (0, 9)];
        assert!(sound(&parts(&[square]), false));
        assert!(sound(&parts(&[&[(0, 0), (9, 0), (0, 9)]]), false));
        assert!(sound(&parts(&[&[(0, 0), (4, 0), (9, 0), (9, 9), (0, 9)]]), false), "a corner on a side");
        assert!(!sound(&parts(&[&[(0, 0), (9, 9), (9, 0), (0, 9)]]), true), "a bow-tie");
        assert!(!sound(&parts(&[&[(0, 0), (9, 0), (9, 9), (12, 9), (9, 9), (0, 9)]]), true), "a spike");
        assert!(!sound(&parts(&[&[(0, 0), (9, 0), (9, 9), (4, 0), (0, 9)]]), true), "it touches its own side");
        let hole: &[(i64, i64)] = &[(2, 2), (2, 5), (5, 5)];
        assert!(sound(&parts(&[square, hole]), false));
        let at_side: &[(i64, i64)] = &[(0, 4), (3, 5), (3, 3)];
        assert!(!sound(&parts(&[square, at_side]), false) && sound(&parts(&[square, at_side]), true));
        let across: &[(i64, i64)] = &[(-1, 4), (3, 5), (3, 3)];
        assert!(!sound(&parts(&[square, across]), true));
        let along: &[(i64, i64)] = &[(0, 4), (0, 6), (3, 3)];
        assert!(!sound(&parts(&[square, along]), true));
    }
}
