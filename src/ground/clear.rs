//! Runs cut so that the whole width of the swath stays off what litter must keep away from.
//!
//! A run is laid by its middle, which ends at the edge of the ground. Where that edge runs at a
//! slant, or a round setback reaches in beside the run, half of the swath would lie over it. Off
//! ground that has its litter a run keeps with what it throws, which may be less than that.

use super::passes::{LEAST_RUN, Passes, Run};
use geo::{Coord, LineString, MultiPolygon};

/// Feet by which the swath may touch the edge: arcs are drawn with edges, and the first and the
/// last run lie just half a swath inside.
const TOUCH_FEET: f64 = 0.25;
/// The same for ground that has its litter, whose edge is the edge of what is left.
const TOUCH_DONE_FEET: f64 = 0.02;

impl Passes {
    /// The same runs without the stretches on which half a swath to either side meets one of
    /// some shapes, in feet on the plane; what is left of a run is driven in its order.
    #[must_use]
    pub fn clear_of<'a>(self, shapes: impl Iterator<Item = &'a MultiPolygon<f64>>, swath_ft: f64) -> Passes {
        let half = swath_ft / 2.0 - TOUCH_FEET;
        self.cut_beside(shapes, swath_ft, |_| [half, half])
    }

    /// The same runs without the stretches on which what they throw to either side meets one of
    /// some shapes that have their litter.
    #[must_use]
    pub fn off_done<'a>(self, shapes: impl Iterator<Item = &'a MultiPolygon<f64>>, swath_ft: f64) -> Passes {
        self.cut_beside(shapes, swath_ft, |run| run.throws().map(|(_, feet)| feet - TOUCH_DONE_FEET))
    }

    fn cut_beside<'a>(
        self,
        shapes: impl Iterator<Item = &'a MultiPolygon<f64>>,
        swath_ft: f64,
        reach: impl Fn(&Run) -> [f64; 2],
    ) -> Passes {
        let rings = shapes.flat_map(|shape| shape.iter());
        let rings = rings.flat_map(|part| std::iter::once(part.exterior()).chain(part.interiors()));
        let sides: Vec<[Coord<f64>; 2]> =
            rings.flat_map(LineString::lines).map(|side| [side.start, side.end]).collect();
        if sides.is_empty() {
            return self;
        }
        let cut = |run: &Run| -> Vec<Run> {
            let left = clear(run.line, &sides, reach(run), LEAST_RUN * swath_ft);
            left.into_iter().map(|line| run.along(line)).collect()
        };
        let runs: Vec<Run> = self.runs.iter().flat_map(cut).collect();
        Passes::of(self.heading_deg, runs, self.left)
    }
}

/// The stretches of a run beside which no side lies within reach, in feet to the left and to the right,
/// but for those shorter than the least.
fn clear(run: [Coord<f64>; 2], sides: &[[Coord<f64>; 2]], reach: [f64; 2], least: f64) -> Vec<[Coord<f64>; 2]> {
    let way = run[1] - run[0];
    let length = way.x.hypot(way.y);
    if length <= 0.0 {
        return Vec::new();
    }
    let ahead = way / length;
    // How far along the run a spot lies, and how far to the right of it.
    let place = |at: &Coord<f64>| {
        let from = *at - run[0];
        (from.x * ahead.x + from.y * ahead.y, from.x * ahead.y - from.y * ahead.x)
    };
    let met = |side: &[Coord<f64>; 2]| beside(side.each_ref().map(place), [-reach[0], reach[1]]);
    let mut blocked: Vec<(f64, f64)> = sides.iter().filter_map(met).collect();
    blocked.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut left = Vec::new();
    let mut from = 0.0;
    for (first, last) in blocked.into_iter().chain([(length, length)]) {
        let to = first.min(length);
        if to - from >= least {
            left.push([from, to].map(|feet: f64| run[0] + ahead * feet));
        }
        from = last.max(from);
    }
    left
}

/// From where to where along a run a side lies between two lines beside it, in feet to the right.
fn beside([a, b]: [(f64, f64); 2], [left, right]: [f64; 2]) -> Option<(f64, f64)> {
    let (low, high) = if a.1 <= b.1 { (a, b) } else { (b, a) };
    if left >= right || low.1 >= right || high.1 <= left {
        return None;
    }
    let wide = high.1 - low.1;
    let at = |across: f64| if wide > 0.0 { low.0 + (high.0 - low.0) * ((across - low.1) / wide) } else { low.0 };
    let one = if low.1 < left { at(left) } else { low.0 };
    let other = if high.1 > right { at(right) } else { high.0 };
    Some((one.min(other), one.max(other)))
}
