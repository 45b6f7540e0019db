//! The ground within a distance of a line, as rings that the overlay engine adds up.
//!
//! In thought it is a sum of simple pieces that may lie over each other: for every stretch the
//! strip on both sides of it, for every bend and every end the wedge of a circle. Together they
//! are exactly the ground within the distance: the nearest spot of the line is either inside a
//! stretch (its strip has it) or a corner (the wedge between the two perpendiculars has it).
//!
//! What is drawn is the edge of that sum: the sides where two pieces meet cancel, and one ring
//! runs around all of them. On the outer side of a bend it follows the arc; on the inner side it
//! goes in to the corner and out again. So every spot counts as often as pieces lie over it,
//! never less than once and never against another piece, and a line that doubles back needs no
//! special care. Where both stretches are long for the bend, the inner side is cut short at the
//! spot where the two strips' edges cross: what that takes from one strip lies nearer to the
//! other stretch, and the other strip has it.
//!
//! Arcs lie outside the circle, never inside: their edges touch it from without, so a setback
//! never falls short. Between the touching spots it is at most 0.12 % of the distance too wide
//! (64 edges a circle up to 100 ft) or 0.03 % (128 edges beyond).

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use geo::Coord;
use geo::coord;

use super::reach::{Reach, clip_stretch};

/// Feet by which clipping stays away from where it could matter.
pub(super) const SLACK_FEET: f64 = 1.0;
/// Edges of a full circle up to [`SMALL_FEET`], and beyond.
const SMALL_CIRCLE: f64 = 64.0;
const LARGE_CIRCLE: f64 = 128.0;
/// Largest distance in feet that is drawn with [`SMALL_CIRCLE`] edges; a little over the usual
/// 100 ft, which comes widened by a hair.
const SMALL_FEET: f64 = 101.0;

/// Edges of a circle as shapes are drawn, kept and shown with.
pub(super) fn edges_of_circle(radius: f64) -> f64 {
    if radius <= SMALL_FEET { SMALL_CIRCLE } else { LARGE_CIRCLE }
}

/// Rings that belong together: only their sum is right.
pub(super) type RingGroup = Vec<Vec<Coord<f64>>>;

/// A bend that opens a gap below this many feet is none.
const NO_GAP_FEET: f64 = 1e-6;

/// Draws rings around lines, all in feet on the plane.
pub(super) struct Outliner {
    /// Box around the field: a ring that does not meet it is left out.
    pub(super) field: Reach,
    /// The field's box grown by the distance: what lies outside cannot matter.
    pub(super) near: Reach,
    /// Distance in feet on the plane, 0 or more.
    pub(super) radius: f64,
    /// The rings drawn so far.
    pub(super) rings: RingGroup,
}

/// A stretch of a line, cut to what is near the field.
#[derive(Clone, Copy)]
struct LineStretch {
    start: Coord<f64>,
    end: Coord<f64>,
    /// Whether the ends are the line's own corners or cuts.
    own_start: bool,
    own_end: bool,
    length: f64,
    /// Direction in radians, counter-clockwise from east.
    heading: f64,
    /// From the line to its left side.
    left: Coord<f64>,
}

/// Stretches that hang together: both sides of the ring, each in the direction of the line.
struct OutlineRun {
    /// Whether it holds the beginning of its line.
    begins: bool,
    first: LineStretch,
    last: LineStretch,
    left: Vec<Coord<f64>>,
    right: Vec<Coord<f64>>,
}

impl OutlineRun {
    /// A run of one stretch.
    fn new(begins: bool, first: LineStretch) -> OutlineRun {
        let (left, right) = (vec![first.start + first.left], vec![first.start - first.left]);
        OutlineRun { begins, first, last: first, left, right }
    }
}

impl Outliner {
    /// An outliner for a distance in feet, for a field in this box.
    pub(super) fn new(field: Reach, radius: f64) -> Outliner {
        let near = field.grown(radius + SLACK_FEET);
        Outliner { field, near, radius, rings: Vec::new() }
    }

    /// Adds what lies within the distance of a line; one corner alone gives a circle.
    pub(super) fn line(&mut self, corners: impl Iterator<Item = Coord<f64>>) {
        let mut before = None;
        let mut run: Option<OutlineRun> = None;
        let mut begins = true;
        for b in corners {
            let Some(a) = before.replace(b).filter(|&a| a != b) else {
                continue;
            };
            let near = clip_stretch(a, b, &self.near);
            let stretch = near.and_then(|part| self.stretch(a, b, part));
            run = self.follow(run, stretch, begins);
            begins = false;
        }
        match (run, before) {
            (Some(run), _) => self.close(run, true),
            (None, Some(only)) if begins => self.circle(only),
            (None, _) => {}
        }
    }

    /// A stretch from corner to corner of a line, of which only a part may be asked for.
    fn stretch(&self, a: Coord<f64>, b: Coord<f64>, (start, end): (Coord<f64>, Coord<f64>)) -> Option<LineStretch> {
        let (way, cut) = (b - a, end - start);
        let whole = way.x.hypot(way.y);
        (whole > 0.0).then(|| LineStretch {
            start,
            end,
            own_start: start == a,
            own_end: end == b,
            length: cut.x.hypot(cut.y),
            heading: way.y.atan2(way.x),
            left: coord! { x: -way.y, y: way.x } * (self.radius / whole),
        })
    }

    /// Goes on with the next stretch; a run that it does not hang on to is closed. `begins`: it
    /// is the first stretch of its line.
    fn follow(&mut self, run: Option<OutlineRun>, next: Option<LineStretch>, begins: bool) -> Option<OutlineRun> {
        match (run, next) {
            (Some(mut run), Some(next)) if run.last.own_end && next.own_start => {
                self.bend(&mut run, next);
                Some(run)
            }
            (run, next) => {
                if let Some(run) = run {
                    self.close(run, false);
                }
                next.map(|next| OutlineRun::new(begins && next.own_start, next))
            }
        }
    }

    /// Leads both sides around the corner to the next stretch.
    fn bend(&self, run: &mut OutlineRun, next: LineStretch) {
        let (last, corner) = (run.last, next.start);
        run.last = next;
        let turn = (next.heading - last.heading + PI).rem_euclid(TAU) - PI;
        if turn.abs() * self.radius < NO_GAP_FEET {
            run.left.push(corner + next.left);
            run.right.push(corner - next.left);
            return;
        }
        // Turning left, the right side is the outer one.
        let (outer, inner, out) =
            if turn > 0.0 { (&mut run.right, &mut run.left, -1.0) } else { (&mut run.left, &mut run.right, 1.0) };
        outer.push(corner + last.left * out);
        self.arc(corner, last.heading + FRAC_PI_2 * out, turn, outer);
        outer.push(corner + next.left * out);
        // Twice the length that the cut takes from each strip: all that it takes then lies
        // beside the other stretch and not beyond its far end.
        let room = 2.0 * self.radius * (turn.abs() / 2.0).tan();
        if room <= last.length.min(next.length) {
            inner.push(corner - (last.left + next.left) * (out / (1.0 + turn.cos())));
        } else {
            inner.extend([corner - last.left * out, corner, corner - next.left * out]);
        }
    }

    /// Closes a run into one ring. `ends`: its last stretch is the last of the line.
    fn close(&mut self, run: OutlineRun, ends: bool) {
        let OutlineRun { begins, first, last, left, right } = run;
        let mut ring = Vec::with_capacity(left.len() + right.len() + 2);
        if begins {
            self.arc(first.start, first.heading + FRAC_PI_2, PI, &mut ring);
        }
        ring.extend(right);
        ring.push(last.end - last.left);
        if ends && last.own_end {
            self.arc(last.end, last.heading - FRAC_PI_2, PI, &mut ring);
        }
        ring.push(last.end + last.left);
        ring.extend(left.into_iter().rev());
        self.push(ring);
    }

    /// A full circle.
    fn circle(&mut self, middle: Coord<f64>) {
        let mut ring = Vec::new();
        self.arc(middle, 0.0, TAU, &mut ring);
        self.push(ring);
    }

    /// The corners of an arc outside the circle around `middle`: from the direction `from` over
    /// `sweep` (radians, counter-clockwise above 0), without its two ends on the circle.
    fn arc(&self, middle: Coord<f64>, from: f64, sweep: f64, side: &mut Vec<Coord<f64>>) {
        let steps = (sweep.abs() / TAU * edges_of_circle(self.radius)).ceil().max(1.0);
        let step = sweep / steps;
        let outside = self.radius / (step / 2.0).cos();
        let mut at = 0.5;
        while at < steps {
            let (sin, cos) = (from + at * step).sin_cos();
            side.push(middle + coord! { x: cos, y: sin } * outside);
            at += 1.0;
        }
    }

    /// Keeps a ring that can touch the field: another winds around no spot of it.
    fn push(&mut self, ring: Vec<Coord<f64>>) {
        let own = Reach::around(ring.iter().copied());
        if own.is_some_and(|own| self.field.meets(&own)) {
            self.rings.push(ring);
        }
    }
}
