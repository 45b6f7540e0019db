//! Finding what is wrong with a boundary, and how far two boundaries lie over each other.
//!
//! Looks at shapes as they were written, in longitude and latitude; fixes nothing.

use geo::line_intersection::{LineIntersection, line_intersection};
use geo::{Area, Coord, CoordsIter, Line, LineString, MultiPolygon, Polygon};

use super::grid::Ground;
use super::plane::{MOST_SPAN_DEGREES, Plane, SQUARE_FEET_PER_ACRE, in_range};
use super::reach::Reach;
use super::shape::{RingPlace, ShapeFault};

/// Most faults that are listed for one boundary.
pub const MOST_FAULTS: usize = 50;

/// Overlaps of less than this many square feet are passed over: two lines meant to be the same
/// that were drawn twice differ by about as much.
pub const NOTICED_SQUARE_FEET: f64 = 50.0;

/// Holes that leave less than this share of a part are a slip: a strip of grass around other
/// ground has more. Our own choice.
const LEAST_LEFT: f64 = 0.01;

/// A ring and its place in the boundary.
type PlacedRing<'a> = (RingPlace, &'a LineString<f64>);

/// Everything wrong with a boundary (longitude and latitude in degrees), in order of rings; an
/// empty list when nothing is. At most [`MOST_FAULTS`]. When a corner or a ring is unusable by
/// itself, only faults of that kind are listed: the rest cannot be told before they are fixed.
#[must_use]
pub fn faults(shape: &MultiPolygon<f64>) -> Vec<ShapeFault> {
    let rings = rings_of(shape);
    if rings.is_empty() {
        return vec![ShapeFault::Empty];
    }
    let mut found: Vec<ShapeFault> = rings.iter().filter_map(|&ring| corner_fault(ring)).collect();
    if found.is_empty() {
        match Plane::for_shape(shape).filter(|_| !too_wide(shape)) {
            None => found.push(ShapeFault::TooWide),
            Some(plane) => {
                for &ring in &rings {
                    ring_faults(ring, &plane, &mut found);
                }
                overlaps(shape, &plane, &mut found);
            }
        }
    }
    found.truncate(MOST_FAULTS);
    found
}

/// Acres that lie in both of two boundaries (longitude and latitude in degrees), 0 or more. 0
/// too when one of them cannot be measured; [`faults`] says so.
#[must_use]
pub fn overlap_acres(a: &MultiPolygon<f64>, b: &MultiPolygon<f64>) -> f64 {
    let box_of = |shape: &MultiPolygon<f64>| Reach::around(shape.coords_iter());
    let near = box_of(a).zip(box_of(b)).is_some_and(|(one, other)| one.meets(&other));
    if !near || too_wide(a) || too_wide(b) || Plane::for_shape(b).is_none() {
        return 0.0;
    }
    let Some(plane) = Plane::for_shape(a) else {
        return 0.0;
    };
    let ground = |shape| Ground::from_shape(&plane.shape_to_feet(shape));
    let both = ground(a).and_then(|one| one.common(&ground(b)?));
    both.map_or(0.0, |both| both.square_feet() / SQUARE_FEET_PER_ACRE)
}

/// Whether a boundary spans more than one plane carries.
pub(super) fn too_wide(shape: &MultiPolygon<f64>) -> bool {
    Reach::around(shape.coords_iter()).is_some_and(|bounds| {
        let span = bounds.high - bounds.low;
        span.x > MOST_SPAN_DEGREES || span.y > MOST_SPAN_DEGREES
    })
}

/// All rings of a boundary in order.
fn rings_of(shape: &MultiPolygon<f64>) -> Vec<PlacedRing<'_>> {
    let mut rings = Vec::new();
    for (part, polygon) in shape.iter().enumerate() {
        let lines = std::iter::once(polygon.exterior()).chain(polygon.interiors());
        rings.extend(lines.enumerate().map(|(ring, line)| (RingPlace { part, ring }, line)));
    }
    rings
}

/// The first fault of a ring that stands in the way of all other questions.
fn corner_fault((ring, line): PlacedRing<'_>) -> Option<ShapeFault> {
    for (corner, &at) in line.0.iter().enumerate() {
        if !at.x.is_finite() || !at.y.is_finite() {
            return Some(ShapeFault::NotFinite { ring, corner });
        }
        if !in_range(at) {
            return Some(ShapeFault::OutOfRange { ring, at });
        }
    }
    let mut different: Vec<Coord<f64>> = Vec::new();
    for &at in &line.0 {
        if different.len() < 3 && !different.contains(&at) {
            different.push(at);
        }
    }
    (different.len() < 3).then_some(ShapeFault::TooFewPoints { ring })
}

/// The faults that a ring has by itself.
fn ring_faults((ring, line): PlacedRing<'_>, plane: &Plane, found: &mut Vec<ShapeFault>) {
    let already = found.len();
    let sides = sides((ring, line), found);
    let spiked = found.iter().skip(already).any(|fault| matches!(fault, ShapeFault::Spike { .. }));
    let ground = ring_ground(line, plane);
    // A ring that touches itself without crossing over counts all its ground once and in one
    // direction; if the plain sum is anything else, it does cross over somewhere.
    let whole = plane.shape_to_feet(&alone(line)).unsigned_area();
    let crosses = (whole - ground.square_feet()).abs() > 1.0 + whole * 1e-6;
    for fault in meetings(ring, &sides) {
        match fault {
            ShapeFault::SelfTouch { ring, at } if crosses => {
                found.push(ShapeFault::SelfCrossing { ring, at });
            }
            // A spike touches what it comes back to; it has been told.
            ShapeFault::SelfTouch { .. } if spiked => {}
            other => found.push(other),
        }
    }
    if ground.is_empty() {
        found.push(ShapeFault::ZeroArea { ring });
    }
}

/// A ring as a shape without holes.
fn alone(line: &LineString<f64>) -> MultiPolygon<f64> {
    MultiPolygon(vec![Polygon::new(line.clone(), vec![])])
}

/// The ground that a ring winds around; none when the engine fails on it.
fn ring_ground(line: &LineString<f64>, plane: &Plane) -> Ground {
    Ground::from_shape(&plane.shape_to_feet(&alone(line))).unwrap_or_default()
}

/// The sides of a ring that are longer than nothing; repeated corners and spikes are noted.
fn sides((ring, line): PlacedRing<'_>, found: &mut Vec<ShapeFault>) -> Vec<Line<f64>> {
    let mut lines: Vec<Line<f64>> = Vec::new();
    // A ring that was not closed is closed here.
    let closing = line.0.last().zip(line.0.first()).filter(|(last, first)| last != first);
    for side in line.lines().chain(closing.map(|(&last, &first)| Line::new(last, first))) {
        if side.start == side.end {
            found.push(ShapeFault::DuplicatePoint { ring, at: side.start });
        } else {
            lines.push(side);
        }
    }
    let next = lines.iter().cycle().skip(1);
    let back = |(side, next): (&Line<f64>, &Line<f64>)| {
        let along = matches!(line_intersection(*side, *next), Some(LineIntersection::Collinear { .. }));
        along.then_some(ShapeFault::Spike { ring, at: side.end })
    };
    found.extend(lines.iter().zip(next).filter_map(back));
    lines
}

/// Where sides of a ring meet that are not neighbors. They are sorted by their western end, and
/// each is held against those that begin before it ends.
fn meetings(ring: RingPlace, sides: &[Line<f64>]) -> Vec<ShapeFault> {
    let west = |side: &Line<f64>| side.start.x.min(side.end.x);
    let mut order: Vec<(usize, &Line<f64>)> = sides.iter().enumerate().collect();
    order.sort_by(|a, b| west(a.1).total_cmp(&west(b.1)));
    let mut meetings: Vec<ShapeFault> = Vec::new();
    for (place, &(number, side)) in order.iter().enumerate() {
        let east = side.start.x.max(side.end.x);
        let later = order.iter().skip(place + 1).take_while(|other| west(other.1) <= east);
        for &(other_number, other) in later {
            let apart = number.abs_diff(other_number);
            if apart == 1 || apart + 1 == sides.len() {
                continue;
            }
            if let Some(fault) = meeting(ring, side, other).filter(|fault| !meetings.contains(fault)) {
                meetings.push(fault);
            }
            if meetings.len() >= MOST_FAULTS {
                return meetings;
            }
        }
    }
    meetings
}

/// How two sides of a ring meet, `None` when they do not.
fn meeting(ring: RingPlace, a: &Line<f64>, b: &Line<f64>) -> Option<ShapeFault> {
    let apart = a.start.y.max(a.end.y) < b.start.y.min(b.end.y) || b.start.y.max(b.end.y) < a.start.y.min(a.end.y);
    if apart {
        return None;
    }
    match line_intersection(*a, *b)? {
        LineIntersection::SinglePoint { intersection: at, is_proper: false } => {
            Some(ShapeFault::SelfTouch { ring, at })
        }
        LineIntersection::SinglePoint { intersection: at, .. } => Some(ShapeFault::SelfCrossing { ring, at }),
        LineIntersection::Collinear { intersection } => Some(ShapeFault::SelfCrossing { ring, at: intersection.start }),
    }
}

/// Ground to be held against other ground: its ring, its box and itself.
struct PlacedGround {
    ring: RingPlace,
    reach: Reach,
    ground: Ground,
}

impl PlacedGround {
    fn new(ring: RingPlace, ground: Ground) -> Option<PlacedGround> {
        let reach = Reach::around(ground.rings().flatten())?;
        Some(PlacedGround { ring, reach, ground })
    }
}

/// Holes that reach out of their part, and holes and parts that lie over each other.
fn overlaps(shape: &MultiPolygon<f64>, plane: &Plane, found: &mut Vec<ShapeFault>) {
    let mut parts = Vec::new();
    for (part, polygon) in shape.iter().enumerate() {
        let hole = |(number, line)| PlacedGround::new(RingPlace { part, ring: number + 1 }, ring_ground(line, plane));
        let holes: Vec<PlacedGround> = polygon.interiors().iter().enumerate().filter_map(hole).collect();
        if !holes.is_empty() {
            let inside = ring_ground(polygon.exterior(), plane);
            filled(part, polygon, &inside, plane, found);
            for PlacedGround { ring, ground, .. } in &holes {
                let outside = ground.less(&inside).unwrap_or_default();
                found.extend(noticed(&outside, plane).map(|at| ShapeFault::HoleOutside { ring: *ring, at }));
            }
            for (ring, other, at) in pairs(&holes, plane) {
                found.push(ShapeFault::HolesOverlap { ring, other, at });
            }
        }
        if shape.0.len() > 1 {
            let whole = Ground::from_shape(&plane.shape_to_feet(&MultiPolygon(vec![polygon.clone()])));
            parts.extend(PlacedGround::new(RingPlace { part, ring: 0 }, whole.unwrap_or_default()));
        }
    }
    for (ring, other, at) in pairs(&parts, plane) {
        found.push(ShapeFault::PartsOverlap { ring, other, at });
    }
}

/// Whether the holes of a part leave next to nothing of it.
fn filled(part: usize, polygon: &Polygon<f64>, inside: &Ground, plane: &Plane, found: &mut Vec<ShapeFault>) {
    let whole = Ground::from_shape(&plane.shape_to_feet(&MultiPolygon(vec![polygon.clone()]))).unwrap_or_default();
    let acres = |ground: &Ground| ground.square_feet() / SQUARE_FEET_PER_ACRE;
    let (inside, left) = (acres(inside), acres(&whole));
    if inside > 0.0 && left < LEAST_LEFT * inside {
        found.push(ShapeFault::HolesFill { ring: RingPlace { part, ring: 0 }, inside, left });
    }
}

/// Every pair that lies over each other, with a place in both.
fn pairs(all: &[PlacedGround], plane: &Plane) -> Vec<(RingPlace, RingPlace, Coord<f64>)> {
    let mut over = Vec::new();
    for (number, one) in all.iter().enumerate() {
        for other in all.iter().skip(number + 1).filter(|other| one.reach.meets(&other.reach)) {
            let both = one.ground.common(&other.ground).unwrap_or_default();
            over.extend(noticed(&both, plane).map(|at| (one.ring, other.ring, at)));
            if over.len() >= MOST_FAULTS {
                return over;
            }
        }
    }
    over
}

/// A corner of some ground in degrees, if the ground is more than [`NOTICED_SQUARE_FEET`].
fn noticed(ground: &Ground, plane: &Plane) -> Option<Coord<f64>> {
    let corner = ground.rings().next()?.first().copied()?;
    (ground.square_feet() > NOTICED_SQUARE_FEET).then(|| plane.to_lonlat(corner))
}
