//! A box around ground, and cutting lines and rings to it.
//!
//! Works in any flat coordinates; what is inside the box is the caller's matter.

use geo::Coord;
use geo::coord;

/// A box, sides along the axes.
#[derive(Debug, Clone, Copy)]
pub(super) struct Reach {
    /// Its south-west corner.
    pub(super) low: Coord<f64>,
    /// Its north-east corner.
    pub(super) high: Coord<f64>,
}

impl Reach {
    /// The box around some corners; `None` without corners.
    pub(super) fn around(corners: impl IntoIterator<Item = Coord<f64>>) -> Option<Reach> {
        corners.into_iter().fold(None, |reach: Option<Reach>, at| {
            let Reach { low, high } = reach.unwrap_or(Reach { low: at, high: at });
            Some(Reach {
                low: coord! { x: low.x.min(at.x), y: low.y.min(at.y) },
                high: coord! { x: high.x.max(at.x), y: high.y.max(at.y) },
            })
        })
    }

    /// The box with this much more on every side.
    pub(super) fn grown(self, feet: f64) -> Reach {
        let by = coord! { x: feet, y: feet };
        Reach { low: self.low - by, high: self.high + by }
    }

    /// Whether two boxes touch or lie over each other.
    pub(super) fn meets(&self, other: &Reach) -> bool {
        self.low.x <= other.high.x
            && other.low.x <= self.high.x
            && self.low.y <= other.high.y
            && other.low.y <= self.high.y
    }

    /// Whether a spot is in the box or on its edge.
    pub(super) fn holds(&self, at: Coord<f64>) -> bool {
        self.meets(&Reach { low: at, high: at })
    }
}

/// The part of a stretch inside a box (Liang and Barsky's method), `None` when there is none.
pub(super) fn clip_stretch(a: Coord<f64>, b: Coord<f64>, within: &Reach) -> Option<(Coord<f64>, Coord<f64>)> {
    let way = b - a;
    let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
    for (step, room_low, room_high) in
        [(way.x, within.low.x - a.x, within.high.x - a.x), (way.y, within.low.y - a.y, within.high.y - a.y)]
    {
        if step == 0.0 {
            if room_low > 0.0 || room_high < 0.0 {
                return None;
            }
            continue;
        }
        let (first, second) = (room_low / step, room_high / step);
        enter = enter.max(first.min(second));
        leave = leave.min(first.max(second));
    }
    let at = |share: f64| match share {
        0.0 => a,
        1.0 => b,
        _ => a + way * share,
    };
    (enter <= leave).then(|| (at(enter), at(leave)))
}

/// A ring cut to a box, side by side (Sutherland and Hodgman's method). It may run along the
/// sides of the box, which changes nothing inside: how often it winds around a spot there stays.
pub(super) fn clip_ring(ring: Vec<Coord<f64>>, within: &Reach) -> Vec<Coord<f64>> {
    if ring.iter().all(|&at| within.holds(at)) {
        return ring;
    }
    // Each side: how far inside of it a spot lies.
    let sides: [&dyn Fn(Coord<f64>) -> f64; 4] =
        [&|at| at.x - within.low.x, &|at| within.high.x - at.x, &|at| at.y - within.low.y, &|at| within.high.y - at.y];
    sides.into_iter().fold(ring, |ring, depth| {
        let mut kept = Vec::with_capacity(ring.len() + 4);
        let mut before = ring.last().copied();
        for at in ring {
            let from = before.unwrap_or(at);
            let (deep_from, deep) = (depth(from), depth(at));
            if (deep_from < 0.0) != (deep < 0.0) {
                kept.push(from + (at - from) * (deep_from / (deep_from - deep)));
            }
            if deep >= 0.0 {
                kept.push(at);
            }
            before = Some(at);
        }
        kept
    })
}
