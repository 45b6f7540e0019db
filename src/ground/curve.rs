//! Pieces of ground with straight and round edges, and what one covers of another's edge.
//!
//! Everything in feet on the plane. What is made of them is in [`round`](super::round).

use std::f64::consts::{PI, TAU};

use geo::{Coord, coord};

use super::reach::{Reach, clip_stretch};

/// The ground within a distance of one stretch.
#[derive(Debug, Clone, Copy)]
pub(super) struct Round {
    a: Coord<f64>,
    b: Coord<f64>,
    /// Direction from `a` to `b`, of length 1; zero for a spot.
    way: Coord<f64>,
    length: f64,
    pub(super) radius: f64,
    pub(super) reach: Reach,
    /// Whether its left side and the round end at `b` can be an edge of all that is taken.
    pub(super) left: bool,
    pub(super) end: bool,
    /// Whether the piece before it in the list ends where it begins.
    pub(super) follows: bool,
}

/// A piece of an edge, walked with the ground on its left. Its measure is feet along a side,
/// radians along an arc.
#[derive(Debug, Clone, Copy)]
pub(super) enum Curve {
    /// From a place in a direction (of length 1) for some feet.
    Side { from: Coord<f64>, way: Coord<f64>, length: f64 },
    /// Around a middle, from an angle (radians, counter-clockwise from east) over a sweep above 0.
    Arc { middle: Coord<f64>, radius: f64, from: f64, sweep: f64 },
}

impl Round {
    /// The ground within `radius` of a stretch, or of a spot when both ends are one; of a long
    /// stretch only that part which can reach into a box.
    pub(super) fn new(a: Coord<f64>, b: Coord<f64>, radius: f64, field: &Reach) -> Option<Round> {
        // A stretch of many miles would cost digits; what lies out of reach takes nothing.
        let (start, end) = clip_stretch(a, b, &field.grown(radius + 1.0))?;
        let (way, length) = direction(start, end);
        let reach = Reach::around([start, end])?.grown(radius);
        let whole = Round { a: start, b: end, way, length, radius, reach, left: true, end: true, follows: false };
        reach.meets(field).then_some(whole)
    }

    /// Whether a spot is where it ends, or where it begins.
    pub(super) fn ends_at(&self, at: Coord<f64>) -> bool {
        self.b == at
    }

    /// Where it begins.
    pub(super) fn start(&self) -> Coord<f64> {
        self.a
    }

    /// Its edge, counter-clockwise, the round beginning first, as far as it may lie in a box.
    pub(super) fn edge(&self, field: &Reach) -> [Option<Curve>; 4] {
        if self.length <= 0.0 {
            let middle = self.a;
            return [Some(Curve::Arc { middle, radius: self.radius, from: 0.0, sweep: TAU }), None, None, None];
        }
        let ahead = self.way * self.radius;
        let right = coord! { x: ahead.y, y: -ahead.x };
        let back = coord! { x: -self.way.x, y: -self.way.y };
        let near = |curve: &Curve| curve.reach().meets(field);
        // The half circle around a middle that begins in a direction: its box holds the ends of
        // the half square around it.
        let half = |middle: Coord<f64>, begins: Coord<f64>, top: Coord<f64>| {
            let ends = [middle + begins, middle + begins + top, middle - begins, middle - begins + top];
            let meets = Reach::around(ends).is_some_and(|own| own.meets(field));
            meets.then(|| Curve::Arc { middle, radius: self.radius, from: begins.y.atan2(begins.x), sweep: PI })
        };
        let left = coord! { x: -right.x, y: -right.y };
        [
            half(self.a, left, coord! { x: -ahead.x, y: -ahead.y }),
            Some(Curve::Side { from: self.a + right, way: self.way, length: self.length }).filter(near),
            self.end.then(|| half(self.b, right, ahead)).flatten(),
            Some(Curve::Side { from: self.b + left, way: back, length: self.length })
                .filter(|curve| self.left && near(curve)),
        ]
    }

    /// Square of the distance from a spot to the stretch.
    fn distance2(&self, at: Coord<f64>) -> f64 {
        let from = at - self.a;
        let along = dot(from, self.way).clamp(0.0, self.length);
        let off = from - self.way * along;
        dot(off, off)
    }

    /// Adds the parts of a curve that lie in this piece, from measure to measure; `true` when that
    /// is all of it.
    pub(super) fn covers(&self, curve: &Curve, cuts: &mut Vec<f64>, covered: &mut Vec<(f64, f64)>) -> bool {
        match *curve {
            Curve::Side { from, way, length } => {
                let (low, high) = self.on_line(from, way);
                if low < length && high > 0.0 && low < high {
                    covered.push((low.max(0.0), high.min(length)));
                }
                low <= 0.0 && high >= length
            }
            Curve::Arc { middle, radius, from, sweep } => {
                let near = self.distance2(middle).sqrt();
                if near >= self.radius + radius {
                    return false;
                }
                if near + radius <= self.radius {
                    covered.push((0.0, sweep));
                    return true;
                }
                cuts.clear();
                self.on_circle(middle, radius, &mut |angle| {
                    let along = turned(angle - from);
                    if along < sweep {
                        cuts.push(along);
                    }
                });
                cuts.push(sweep);
                cuts.sort_unstable_by(f64::total_cmp);
                let mut start = 0.0;
                for &end in cuts.iter() {
                    if end > start && self.distance2(curve.at(f64::midpoint(start, end))) < self.radius * self.radius {
                        covered.push((start, end));
                    }
                    start = end;
                }
                false
            }
        }
    }

    /// From where to where a line runs in this piece, in feet along it; a first number above the
    /// second when nowhere. The piece is convex, so it is one part: the hull of what lies in the
    /// two disks and in the strip between.
    fn on_line(&self, from: Coord<f64>, way: Coord<f64>) -> (f64, f64) {
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        let r2 = self.radius * self.radius;
        for end in self.ends() {
            let to = end - from;
            let off = cross(way, to);
            let half2 = r2 - off * off;
            if half2 > 0.0 {
                let (along, half) = (dot(way, to), half2.sqrt());
                low = low.min(along - half);
                high = high.max(along + half);
            }
        }
        if self.length > 0.0 {
            let start = from - self.a;
            let (mut enter, mut leave) = (f64::NEG_INFINITY, f64::INFINITY);
            for (at, step, least, most) in [
                (dot(self.way, start), dot(self.way, way), 0.0, self.length),
                (cross(self.way, start), cross(self.way, way), -self.radius, self.radius),
            ] {
                if step == 0.0 {
                    if at < least || at > most {
                        leave = f64::NEG_INFINITY;
                    }
                    continue;
                }
                let (one, other) = ((least - at) / step, (most - at) / step);
                enter = enter.max(one.min(other));
                leave = leave.min(one.max(other));
            }
            if enter < leave {
                low = low.min(enter);
                high = high.max(leave);
            }
        }
        (low, high)
    }

    /// Hands over every angle at which a circle may cross the edge of this piece.
    fn on_circle(&self, middle: Coord<f64>, radius: f64, found: &mut impl FnMut(f64)) {
        for end in self.ends() {
            let to = end - middle;
            let apart2 = dot(to, to);
            let cos = (apart2 + radius * radius - self.radius * self.radius) / (2.0 * apart2.sqrt() * radius);
            if cos.abs() < 1.0 {
                let (toward, half) = (to.y.atan2(to.x), cos.acos());
                found(toward - half);
                found(toward + half);
            }
        }
        if self.length > 0.0 {
            let left = coord! { x: -self.way.y, y: self.way.x };
            let off = dot(left, self.a - middle);
            let sides = [off - self.radius, off + self.radius].map(|side| side / radius);
            if sides.iter().any(|cos| cos.abs() < 1.0) {
                let toward = left.y.atan2(left.x);
                for half in sides.into_iter().filter(|cos| cos.abs() < 1.0).map(f64::acos) {
                    found(toward - half);
                    found(toward + half);
                }
            }
        }
    }

    /// Its two ends, or the one of a spot.
    fn ends(&self) -> impl Iterator<Item = Coord<f64>> {
        std::iter::once(self.a).chain((self.length > 0.0).then_some(self.b))
    }
}

impl Curve {
    /// Its whole measure.
    pub(super) fn length(&self) -> f64 {
        match *self {
            Curve::Side { length, .. } => length,
            Curve::Arc { sweep, .. } => sweep,
        }
    }

    /// Feet in one step of its measure.
    pub(super) fn feet(&self) -> f64 {
        match *self {
            Curve::Side { .. } => 1.0,
            Curve::Arc { radius, .. } => radius,
        }
    }

    /// The spot at some measure.
    pub(super) fn at(&self, along: f64) -> Coord<f64> {
        match *self {
            Curve::Side { from, way, .. } => from + way * along,
            Curve::Arc { middle, radius, from, .. } => {
                let (sin, cos) = (from + along).sin_cos();
                middle + coord! { x: cos, y: sin } * radius
            }
        }
    }

    /// A box that holds it.
    pub(super) fn reach(&self) -> Reach {
        let between = |one: Coord<f64>, other: Coord<f64>| Reach {
            low: coord! { x: one.x.min(other.x), y: one.y.min(other.y) },
            high: coord! { x: one.x.max(other.x), y: one.y.max(other.y) },
        };
        match *self {
            Curve::Side { from, way, length } => between(from, from + way * length),
            // Over a half circle the chord says too little.
            Curve::Arc { middle, radius, sweep, .. } if sweep > PI => Reach { low: middle, high: middle }.grown(radius),
            Curve::Arc { middle, radius, sweep, .. } => {
                // The chord, and as far beyond it as the arc rises over its half.
                let (start, half, end) = (self.at(0.0), self.at(sweep / 2.0), self.at(sweep));
                let rise = half - (start + end) / 2.0;
                let chord = between(start, end);
                let moved = Reach { low: chord.low + rise, high: chord.high + rise };
                let whole = Reach { low: middle, high: middle }.grown(radius);
                Reach {
                    low: coord! {
                        x: chord.low.x.min(moved.low.x).max(whole.low.x),
                        y: chord.low.y.min(moved.low.y).max(whole.low.y),
                    },
                    high: coord! {
                        x: chord.high.x.max(moved.high.x).min(whole.high.x),
                        y: chord.high.y.max(moved.high.y).min(whole.high.y),
                    },
                }
            }
        }
    }

    /// A part of it, from measure to measure.
    pub(super) fn part(&self, start: f64, end: f64) -> Curve {
        match *self {
            Curve::Side { from, way, .. } => Curve::Side { from: from + way * start, way, length: end - start },
            Curve::Arc { middle, radius, from, .. } => {
                Curve::Arc { middle, radius, from: from + start, sweep: end - start }
            }
        }
    }

    /// Twice the area that a part of it sweeps about the origin, and the step from its start to
    /// its end.
    pub(super) fn swept(&self, from: f64, to: f64) -> (f64, Coord<f64>) {
        let (start, end) = (self.at(from), self.at(to));
        let step = end - start;
        let twice = match *self {
            Curve::Side { .. } => cross(start, end),
            Curve::Arc { middle, radius, .. } => radius * radius * (to - from) + cross(middle, step),
        };
        (twice, step)
    }

    /// Adds the measures at which it may cross a stretch. One too many does no harm.
    pub(super) fn crossings(&self, stretch: &Stretch, cuts: &mut Vec<f64>) {
        let Stretch { from: a, way: along_it, length: long, .. } = *stretch;
        match *self {
            Curve::Side { from, way, length } => {
                let along = cross(a - from, along_it) / cross(way, along_it);
                // Parallel ones give no number, and none between the ends.
                if along > 0.0 && along < length {
                    cuts.push(along);
                }
            }
            Curve::Arc { middle, radius, from, sweep } => {
                let to = middle - a;
                let off = cross(along_it, to);
                let half2 = radius * radius - off * off;
                if half2 <= 0.0 {
                    return;
                }
                let (foot, half) = (dot(along_it, to), half2.sqrt());
                for along in [foot - half, foot + half] {
                    if (-1e-6..=long + 1e-6).contains(&along) {
                        let at = a + along_it * along - middle;
                        let angle = turned(at.y.atan2(at.x) - from);
                        if angle < sweep {
                            cuts.push(angle);
                        }
                    }
                }
            }
        }
    }
}

/// A straight stretch of a field's edge.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stretch {
    pub(super) from: Coord<f64>,
    pub(super) to: Coord<f64>,
    way: Coord<f64>,
    length: f64,
    pub(super) reach: Reach,
}

impl Stretch {
    /// From corner to corner.
    pub(super) fn new(from: Coord<f64>, to: Coord<f64>) -> Stretch {
        let (way, length) = direction(from, to);
        let side = Curve::Side { from, way, length };
        Stretch { from, to, way, length, reach: side.reach() }
    }

    /// As an edge.
    pub(super) fn curve(&self) -> Curve {
        Curve::Side { from: self.from, way: self.way, length: self.length }
    }
}

/// An angle of up to a few turns as one from 0 to a full turn.
fn turned(angle: f64) -> f64 {
    let mut angle = angle;
    while angle < 0.0 {
        angle += TAU;
    }
    while angle >= TAU {
        angle -= TAU;
    }
    angle
}

/// Direction of length 1 and length of a stretch; both zero for a spot.
fn direction(a: Coord<f64>, b: Coord<f64>) -> (Coord<f64>, f64) {
    let step = b - a;
    // On a plane of some miles nothing overflows that `hypot` would save.
    let length = dot(step, step).sqrt();
    (
        if length > 0.0 {
            step / length
        } else {
            coord! { x: 0.0, y: 0.0 }
        },
        length,
    )
}

fn dot(one: Coord<f64>, other: Coord<f64>) -> f64 {
    one.x * other.x + one.y * other.y
}

pub(super) fn cross(one: Coord<f64>, other: Coord<f64>) -> f64 {
    one.x * other.y - one.y * other.x
}
