//! A quick look at a ring: is it plainly simple?
//!
//! Sound boundaries are told from the rest in a microsecond. A ring of which this is not certain,
//! by rounding or by more, is for [`faults`](super::faults::faults) to judge.

use geo::Coord;

use super::round::sides;

/// Feet of room below which two sides may touch.
const CLOSE_FEET: f64 = 1e-5;

/// A side and the ends of its box.
struct BoxedSide {
    number: usize,
    a: Coord<f64>,
    b: Coord<f64>,
    west: f64,
    east: f64,
    south: f64,
    north: f64,
}

/// Whether the sides of an open ring, in feet, plainly meet nowhere but at the corners that they
/// share, and plainly enclose some ground.
pub(super) fn plainly_simple(ring: &[Coord<f64>]) -> bool {
    if ring.len() < 3 {
        return false;
    }
    let side = |(number, (a, b)): (usize, (Coord<f64>, Coord<f64>))| BoxedSide {
        number,
        a,
        b,
        west: a.x.min(b.x),
        east: a.x.max(b.x),
        south: a.y.min(b.y),
        north: a.y.max(b.y),
    };
    let mut order: Vec<BoxedSide> = sides(ring).enumerate().map(side).collect();
    order.sort_unstable_by(|one, other| one.west.total_cmp(&other.west));
    let clear = |(place, side): (usize, &BoxedSide)| {
        let later = order.iter().skip(place + 1).take_while(|other| other.west <= side.east + CLOSE_FEET);
        later.into_iter().all(|other| {
            let apart = other.south > side.north + CLOSE_FEET || side.south > other.north + CLOSE_FEET;
            let steps = side.number.abs_diff(other.number);
            apart || if steps == 1 || steps + 1 == ring.len() { bend(side, other) } else { plainly_apart(side, other) }
        })
    };
    order.iter().enumerate().all(clear)
}

/// Whether two sides that share a corner plainly do not run back over each other.
fn bend(one: &BoxedSide, other: &BoxedSide) -> bool {
    // Which one comes first matters not: both directions are turned together. A triangle's sides
    // are all neighbors, and share but one corner each.
    let (first, next) = if one.b == other.a { (one, other) } else { (other, one) };
    if first.b != next.a {
        return false;
    }
    let (way, on) = (first.b - first.a, next.b - next.a);
    let forward = way.x * on.x + way.y * on.y > 0.0;
    let room = cross(way, on).abs();
    forward || room > CLOSE_FEET * way.x.hypot(way.y).max(on.x.hypot(on.y))
}

/// Whether one of the two has both ends of the other plainly on one side of its line.
fn plainly_apart(one: &BoxedSide, other: &BoxedSide) -> bool {
    parts(one, other) || parts(other, one)
}

fn parts(line: &BoxedSide, other: &BoxedSide) -> bool {
    let way = line.b - line.a;
    let room = CLOSE_FEET * (way.x.abs() + way.y.abs());
    let (first, second) = (cross(way, other.a - line.a), cross(way, other.b - line.a));
    (first > room && second > room) || (first < -room && second < -room)
}

fn cross(one: Coord<f64>, other: Coord<f64>) -> f64 {
    one.x * other.y - one.y * other.x
}
