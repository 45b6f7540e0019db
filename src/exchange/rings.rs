//! One ring put in order: closed, without repeated corners and spikes.

use crate::exchange::given::Corners;
use crate::ground::Plane;
use geo::{Coord, coord};

/// Decimals of a degree that are written: under half an inch on the ground.
const STEP: f64 = 1e7;
/// Feet: a line that runs out and comes back this near to itself is a spike.
const SPIKE_FEET: f64 = 0.1;
/// Most rounds over a ring in search of spikes; what is left then is refused later.
const ROUNDS: usize = 20;

/// A ring in order. The first corner is not repeated at the end.
#[derive(Debug, Default, PartialEq)]
pub(super) struct Ring {
    /// Its corners.
    pub(super) corners: Corners,
    /// Feet by which it stood open.
    pub(super) open: Option<f64>,
    /// Repeated corners that were taken out.
    pub(super) doubles: usize,
    /// Tips of the spikes that were taken out.
    pub(super) spikes: Corners,
}

/// Why a ring cannot be put in order.
#[derive(Debug, PartialEq)]
pub(super) enum Useless {
    /// This corner, counted from 1, is not a number.
    NotANumber(usize),
    /// It has only so many different corners.
    TooFew(usize),
}

/// A place on the decimals that are written.
pub(super) fn rounded(at: Coord<f64>) -> Coord<f64> {
    coord! { x: (at.x * STEP).round() / STEP, y: (at.y * STEP).round() / STEP }
}

/// Whether a line runs back to where it began, around ground.
pub(super) fn closed(line: &[Coord<f64>]) -> bool {
    line.len() > 3 && line.first() == line.last()
}

/// Puts a ring in order.
pub(super) fn fix(corners: &[Coord<f64>]) -> Result<Ring, Useless> {
    if let Some(at) = corners.iter().position(|at| !at.x.is_finite() || !at.y.is_finite()) {
        return Err(Useless::NotANumber(at + 1));
    }
    let mut ring = Ring { corners: corners.iter().map(|at| rounded(*at)).collect(), ..Ring::default() };
    let Some((&first, &last)) = ring.corners.first().zip(ring.corners.last()) else {
        return Err(Useless::TooFew(0));
    };
    let plane = Plane::at(first.x, first.y);
    if first == last {
        ring.corners.pop();
    } else {
        let gap = plane.to_feet(last);
        ring.open = Some(gap.x.hypot(gap.y));
    }
    let before = ring.corners.len();
    ring.corners.dedup();
    while ring.corners.len() > 1 && ring.corners.first() == ring.corners.last() {
        ring.corners.pop();
    }
    ring.doubles = before - ring.corners.len();
    if ring.corners.len() >= 3 {
        take_spikes(&mut ring, &plane);
    }
    let mut different: Corners = Vec::new();
    for at in &ring.corners {
        if different.len() < 3 && !different.contains(at) {
            different.push(*at);
        }
    }
    // A ring that is one spike from end to end has two corners that count.
    if different.len() < 3 { Err(Useless::TooFew(different.len().max(1))) } else { Ok(ring) }
}

/// Takes out every corner where the line turns back on itself.
fn take_spikes(ring: &mut Ring, plane: &Plane) {
    for _ in 0..ROUNDS {
        let before = ring.corners.len();
        let mut kept: Corners = Vec::with_capacity(before);
        for &at in &ring.corners {
            while let [.., from, tip] = kept.as_slice() {
                if !turns_back(*from, *tip, at, plane) {
                    break;
                }
                ring.spikes.push(*tip);
                kept.pop();
            }
            if kept.last() != Some(&at) {
                kept.push(at);
            }
        }
        // Where the ring ends it begins.
        while kept.len() > 1 && kept.first() == kept.last() {
            kept.pop();
        }
        ring.corners = kept;
        if ring.corners.len() < 3 {
            return;
        }
        // A spike at the seam is turned away from it, and found in the next round.
        if seam_turns_back(&ring.corners, plane) {
            ring.corners.rotate_left(2);
        } else if ring.corners.len() == before {
            return;
        }
    }
}

/// Whether the line turns back at the last or the first corner.
fn seam_turns_back(corners: &[Coord<f64>], plane: &Plane) -> bool {
    match corners {
        [first, second, .., before, last] => {
            turns_back(*before, *last, *first, plane) || turns_back(*last, *first, *second, plane)
        }
        _ => false,
    }
}

/// Whether the way out to the tip and the way on from it lie on each other.
fn turns_back(from: Coord<f64>, tip: Coord<f64>, to: Coord<f64>, plane: &Plane) -> bool {
    let (from, tip, to) = (plane.to_feet(from), plane.to_feet(tip), plane.to_feet(to));
    let (back, on) = (from - tip, to - tip);
    let (long, short) = (back.x.hypot(back.y), on.x.hypot(on.y));
    let along = back.x * on.x + back.y * on.y;
    let across = (back.x * on.y - back.y * on.x).abs();
    // How far the end of the shorter arm lies from the longer one.
    along > 0.0 && across / long.max(short) < SPIKE_FEET
}

/// Twice the area of a ring in square degrees, counter-clockwise positive.
pub(super) fn twice_area(corners: &[Coord<f64>]) -> f64 {
    let Some(&first) = corners.first() else { return 0.0 };
    let next = corners.iter().cycle().skip(1);
    corners.iter().zip(next).map(|(a, b)| (a.x - first.x) * (b.y - first.y) - (b.x - first.x) * (a.y - first.y)).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ring(pairs: &[(f64, f64)]) -> Corners {
        pairs.iter().map(|&(x, y)| coord! { x: -79.5 + x * 1e-3, y: 35.7 + y * 1e-3 }).collect()
    }

    #[test]
    fn a_ring_is_closed_and_cleared_wherever_it_begins() {
        let square = [(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (9.0, 4.0), (4.0, 4.0), (0.0, 4.0)];
        for start in 0..square.len() {
            let mut turned = square;
            turned.rotate_left(start);
            let fixed = fix(&ring(&turned)).unwrap();
            assert_eq!((fixed.corners.len(), fixed.spikes.len()), (4, 1), "{start}: {fixed:?}");
            assert!(fixed.open.is_some());
        }
        let doubled = ring(&[(0.0, 0.0), (4.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0), (0.0, 0.0), (0.0, 0.0)]);
        let fixed = fix(&doubled).unwrap();
        assert_eq!((fixed.corners.len(), fixed.doubles, fixed.open), (4, 2, None));
    }

    #[test]
    fn a_ring_of_two_points_is_useless() {
        assert_eq!(fix(&ring(&[(0.0, 0.0), (1.0, 1.0), (0.0, 0.0)])), Err(Useless::TooFew(2)));
        assert_eq!(fix(&[]), Err(Useless::TooFew(0)));
        assert_eq!(fix(&[coord! { x: 0.0, y: 0.0 }, coord! { x: f64::NAN, y: 0.0 }]), Err(Useless::NotANumber(2)));
    }
}
