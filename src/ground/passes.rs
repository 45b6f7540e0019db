//! Driving lines over a field: which way to drive, and how many runs that makes.
//!
//! All in feet on the field's plane. Nothing here knows a spreader or a rate beyond a width.
//! The length driven hardly hangs on the heading, the number of turns does; so the heading with
//! the fewest runs is looked for.

use std::cmp::Ordering;

use geo::coord;
use geo::{Coord, CoordsIter, LineString, MultiPolygon, Polygon};

use super::plane::SQUARE_FEET_PER_ACRE;
use super::way::way;

/// Narrowest and widest swath that is taken, in feet.
pub const SWATH_FEET: std::ops::RangeInclusive<f64> = 5.0..=200.0;
/// Most lines side by side that are laid over one field.
pub const MOST_LINES: f64 = 10_000.0;

/// A last strip narrower than this share of a swath is within what a driver keeps his lines by.
const LEAST_STRIP: f64 = 0.05;
/// Slack, in swaths, within which a width counts as a whole number of swaths.
const EDGE: f64 = 1e-6;
/// A run shorter than this share of a swath is left out: a corner that a line just nicks.
pub(super) const LEAST_RUN: f64 = 0.5;
/// Steps of the search for the heading in degrees: first all around, then around the best.
const COARSE_DEGREES: f64 = 1.0;
const FINE_DEGREES: f64 = 0.25;
/// How many long edges of the field are tried as headings, besides.
const LONG_EDGES: usize = 12;
/// Of how many headings runs are laid.
const ALONG_EDGES: usize = 4;

/// One run, straight.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Run {
    /// From where to where it is driven, in feet on the plane.
    pub line: [Coord<f64>; 2],
    /// From the line to both edges of the strip that it covers: half a swath to either side, less
    /// on a last strip, and nothing to a side that is covered already.
    pub sides: [Coord<f64>; 2],
}

/// A strip at the side of the ground that gets no run, since it is too narrow.
#[derive(Debug, Clone, PartialEq)]
pub struct LeftStrip {
    /// Its width in feet.
    pub feet: f64,
    /// The side of the ground on which it lies, as an eighth of the compass.
    pub way: &'static str,
    /// The strip from end to end of the ground, in feet on the plane.
    pub strip: Polygon<f64>,
}

impl Run {
    /// Its length.
    #[must_use]
    pub fn feet(&self) -> f64 {
        let [from, to] = self.line;
        (to - from).x.hypot((to - from).y)
    }

    /// How wide it throws: the width of the strip that it covers and no run before it does.
    #[must_use]
    pub fn throw_ft(&self) -> f64 {
        let [one, other] = self.sides;
        (other - one).x.hypot((other - one).y)
    }

    /// Feet thrown to either side, each with its eighth of the compass.
    #[must_use]
    pub fn throws(&self) -> [(&'static str, f64); 2] {
        let [from, to] = self.line;
        let ahead = (to - from) / self.feet().max(f64::MIN_POSITIVE);
        let right = coord! { x: ahead.y, y: -ahead.x };
        let reach = self.sides.map(|side| side.x * right.x + side.y * right.y);
        let [left, right_feet] = [-reach[0].min(reach[1]), reach[0].max(reach[1])].map(|feet| feet.max(0.0));
        [(way(right * -1.0), left), (way(right), right_feet)]
    }

    /// Square feet thrown on: length by width.
    #[must_use]
    pub fn square_feet(&self) -> f64 {
        self.feet() * self.throw_ft()
    }

    /// The strip that it covers.
    #[must_use]
    pub fn strip(&self) -> Polygon<f64> {
        let ([from, to], [one, other]) = (self.line, self.sides);
        Polygon::new(LineString(vec![from + one, to + one, to + other, from + other]), Vec::new())
    }

    pub(super) fn along(self, line: [Coord<f64>; 2]) -> Run {
        Run { line, ..self }
    }
}

/// Driving lines over one field.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Passes {
    /// Heading of the lines in degrees clockwise from north, 0 to below 180.
    pub heading_deg: f64,
    /// Runs in the order and the direction in which they are driven, back and forth. Lines lie a
    /// swath apart, the first and the last half a swath inside the edge of the ground. What is left
    /// at one side may be narrower than a swath: the run there covers only that, from a line that
    /// lies on it or, where it is narrower than half a swath, along its inner edge.
    pub runs: Vec<Run>,
    /// What is left at one side where it is too narrow for a run.
    pub left: Option<LeftStrip>,
    /// Feet driven while spreading: the runs without the turns.
    pub run_ft: f64,
    /// Turns between runs: one less than runs.
    pub turns: usize,
}

impl Passes {
    /// No lines: nothing to spread on, or an input out of range.
    fn none(heading_deg: f64) -> Passes {
        Passes::of(heading_deg, Vec::new(), None)
    }

    pub(super) fn of(heading_deg: f64, runs: Vec<Run>, left: Option<LeftStrip>) -> Passes {
        Passes {
            heading_deg,
            run_ft: runs.iter().fold(0.0, |sum, run| sum + run.feet()),
            turns: runs.len().saturating_sub(1),
            runs,
            left,
        }
    }

    /// The same driven from the other end.
    pub fn turn_round(&mut self) {
        self.runs.reverse();
        self.runs.iter_mut().for_each(|run| run.line.reverse());
    }
}

/// Lays driving lines over `spreadable` (feet on the plane) for a swath in feet: from the one side,
/// and where whole swaths do not fit also from the other, so that the strip that is left lies there.
/// Without a fixed heading the same along other long edges that need hardly more, after the first.
///
/// `fixed_heading`: degrees clockwise from north, any finite number; without it the heading with
/// the fewest runs is taken, at a tie that of the longest edge that has so few, else the one with
/// the fewest feet, then the lowest. `least`: the width in feet below which a last strip gets no
/// run. No lines come back when the shape is empty or not finite, the swath is not within
/// [`SWATH_FEET`], the heading is not finite, or more than [`MOST_LINES`] lines would be needed.
#[must_use]
pub fn passes(spreadable: &MultiPolygon<f64>, swath_ft: f64, fixed_heading: Option<f64>, least: f64) -> Vec<Passes> {
    let edges = edges(spreadable);
    let finite = spreadable.coords_iter().all(|at| at.x.is_finite() && at.y.is_finite());
    if edges.is_empty() || !finite || !SWATH_FEET.contains(&swath_ft) {
        return vec![Passes::none(0.0)];
    }
    let headings = match fixed_heading {
        Some(heading) if heading.is_finite() => vec![within_half_turn(heading)],
        Some(_) => return vec![Passes::none(0.0)],
        None => best_headings(&edges, swath_ft),
    };
    headings.into_iter().flat_map(|heading| from_both_sides(&edges, heading, swath_ft, least)).collect()
}

/// The runs of one heading from the one side and, where no whole swaths fit, from the other.
fn from_both_sides(edges: &[[Coord<f64>; 2]], heading: f64, swath_ft: f64, least: f64) -> Vec<Passes> {
    let frame = Frame::of(edges, heading);
    let first = laid(&frame, swath_ft, least, Side::Right);
    let both = first.runs.iter().any(|run| run.throw_ft() < swath_ft - EDGE) || first.left.is_some();
    let second = both.then(|| laid(&frame, swath_ft, least, Side::Left));
    std::iter::once(first).chain(second).collect()
}

/// The runs of one heading, with what no whole swath fits on at one side.
fn laid(frame: &Frame, swath_ft: f64, least: f64, side: Side) -> Passes {
    let Some(mut lanes) = frame.lanes(swath_ft, side) else {
        return Passes::none(frame.heading);
    };
    let narrow = |lane: &Lane| lane.feet() < least - EDGE * swath_ft;
    let left = lanes.iter().find(|lane| narrow(lane)).map(|lane| frame.left_strip(lane, side));
    lanes.retain(|lane| !narrow(lane));
    let mut all: Vec<Run> = Vec::new();
    let mut forward = true;
    for on_line in frame.crossings(&lanes).chunk_by(|a, b| a.number == b.number) {
        let run = |[from, to]: [Crossing; 2]| Run {
            line: [from, to].map(|cross| frame.at(cross.lane.line, cross.along)),
            sides: from.lane.sides.map(|side| frame.across * (side - from.lane.line)),
        };
        let mut on_line: Vec<Run> = runs(on_line, swath_ft).map(run).collect();
        if on_line.is_empty() {
            continue;
        }
        if !forward {
            on_line.reverse();
            on_line.iter_mut().for_each(|run| run.line.reverse());
        }
        forward = !forward;
        all.extend(on_line);
    }
    Passes::of(frame.heading, all, left)
}

/// Feet driven on one load: `load_tons` spread at `tons_per_acre` over a swath in feet. `None`
/// when a number is not above 0 and finite.
#[must_use]
pub fn feet_per_load(load_tons: f64, tons_per_acre: f64, swath_ft: f64) -> Option<f64> {
    let feet = load_tons / tons_per_acre * SQUARE_FEET_PER_ACRE / swath_ft;
    let good = [load_tons, tons_per_acre, swath_ft, feet].iter().all(|n| n.is_finite() && *n > 0.0);
    good.then_some(feet)
}

/// A heading tried: how many runs it makes and how many whole feet. Not in parts of a foot, or
/// rounding would decide between headings that are the same.
struct Trial {
    runs: usize,
    feet: f64,
    heading: f64,
}

impl Trial {
    fn of(edges: &[[Coord<f64>; 2]], swath_ft: f64, heading: f64) -> Option<Trial> {
        let heading = within_half_turn(heading);
        let frame = Frame::of(edges, heading);
        // A strip that gets no run counts as one, or a heading would win by what it leaves.
        let crossings = frame.crossings(&frame.lanes(swath_ft, Side::Right)?);
        let mut trial = Trial { runs: 0, feet: 0.0, heading };
        for on_line in crossings.chunk_by(|a, b| a.number == b.number) {
            for [from, to] in runs(on_line, swath_ft) {
                trial.runs += 1;
                trial.feet += to.along - from.along;
            }
        }
        trial.feet = trial.feet.round();
        (trial.runs > 0).then_some(trial)
    }

    fn order(&self, other: &Trial) -> Ordering {
        let runs = self.runs.cmp(&other.runs);
        runs.then(self.feet.total_cmp(&other.feet)).then(self.heading.total_cmp(&other.heading))
    }
}

/// The heading with the fewest runs, in degrees: all around in coarse steps and along the long
/// edges first, then in fine steps around the best. After it those of other long edges with as few,
/// or with one more.
fn best_headings(edges: &[[Coord<f64>; 2]], swath_ft: f64) -> Vec<f64> {
    let best_of = |headings: Vec<f64>| {
        let trials = headings.into_iter().filter_map(|heading| Trial::of(edges, swath_ft, heading));
        trials.min_by(Trial::order)
    };
    let long = long_edge_headings(edges);
    let mut first = steps(0.0, 180.0, COARSE_DEGREES);
    first.extend(&long);
    let Some(coarse) = best_of(first) else {
        return vec![0.0];
    };
    let around = steps(coarse.heading - COARSE_DEGREES, coarse.heading + COARSE_DEGREES, FINE_DEGREES);
    let fine = best_of(around);
    let Some(best) = fine.into_iter().chain([coarse]).min_by(Trial::order) else {
        return vec![0.0];
    };
    // Of headings with as few runs, that of the longest edge: a driver keeps to a fence, and a
    // few feet less are only corners that runs at a slant to it leave.
    let along_fence = long.into_iter().filter_map(|heading| Trial::of(edges, swath_ft, heading));
    let mut along_fence: Vec<Trial> = along_fence.filter(|trial| trial.runs <= best.runs + 1).collect();
    along_fence.sort_by_key(|trial| trial.runs > best.runs);
    let first = along_fence.first().filter(|trial| trial.runs <= best.runs).map_or(best.heading, |trial| trial.heading);
    let mut headings = vec![first];
    for trial in along_fence {
        if headings.len() < ALONG_EDGES && headings.iter().all(|own| turn(*own, trial.heading) >= FINE_DEGREES) {
            headings.push(trial.heading);
        }
    }
    headings
}

/// Degrees between two headings of lines.
fn turn(one: f64, other: f64) -> f64 {
    let between = (one - other).abs();
    between.min(180.0 - between)
}

/// Numbers from the first to below the last, a step apart.
fn steps(first: f64, last: f64, step: f64) -> Vec<f64> {
    let next = |&at: &f64| Some(at + step).filter(|&at| at < last);
    std::iter::successors(Some(first), next).collect()
}

/// Headings of the longest edges, in degrees.
fn long_edge_headings(edges: &[[Coord<f64>; 2]]) -> Vec<f64> {
    let mut ways: Vec<Coord<f64>> = edges.iter().map(|&[a, b]| b - a).collect();
    ways.sort_by(|a, b| b.x.hypot(b.y).total_cmp(&a.x.hypot(a.y)));
    ways.truncate(LONG_EDGES);
    ways.into_iter().map(|way| way.x.atan2(way.y).to_degrees()).collect()
}

/// A heading as one of a line, which has no front: 0 to below 180 degrees.
fn within_half_turn(heading: f64) -> f64 {
    let half = heading.rem_euclid(180.0);
    // A heading a hair below 0 rounds up to 180 itself.
    if half < 180.0 { half } else { 0.0 }
}

/// One step along a heading, and one to the right of it.
pub(super) fn directions(heading: f64) -> (Coord<f64>, Coord<f64>) {
    let (sin, cos) = heading.to_radians().sin_cos();
    (coord! { x: sin, y: cos }, coord! { x: cos, y: -sin })
}

/// All edges of a shape.
fn edges(shape: &MultiPolygon<f64>) -> Vec<[Coord<f64>; 2]> {
    let rings = shape.iter().flat_map(|polygon| std::iter::once(polygon.exterior()).chain(polygon.interiors()));
    rings.flat_map(LineString::lines).map(|line| [line.start, line.end]).collect()
}

/// A side of the ground, seen along the heading.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Side {
    Left,
    Right,
}

/// A driving line and the strip that it covers, in feet to the right of the plane's middle.
#[derive(Debug, Clone, Copy)]
struct Lane {
    line: f64,
    sides: [f64; 2],
}

impl Lane {
    fn feet(&self) -> f64 {
        self.sides[1] - self.sides[0]
    }

    /// The same seen backward.
    fn mirrored(self) -> Lane {
        let [low, high] = self.sides;
        Lane { line: -self.line, sides: [-high, -low] }
    }
}

/// A spot where a driving line crosses the edge of the ground.
#[derive(Debug, Clone, Copy)]
struct Crossing {
    /// Number of the line, from the left.
    number: usize,
    lane: Lane,
    /// How far ahead on the line, in feet.
    along: f64,
}

/// The ground seen along a heading.
struct Frame {
    heading: f64,
    /// A foot ahead, and one to the right.
    along: Coord<f64>,
    across: Coord<f64>,
    /// The edges: feet to the right, and ahead.
    edges: Vec<[Coord<f64>; 2]>,
}

impl Frame {
    fn of(edges: &[[Coord<f64>; 2]], heading: f64) -> Frame {
        let (along, across) = directions(heading);
        let place =
            |at: Coord<f64>| coord! { x: at.x * across.x + at.y * across.y, y: at.x * along.x + at.y * along.y };
        Frame { heading, along, across, edges: edges.iter().map(|edge| edge.map(place)).collect() }
    }

    fn at(&self, across: f64, along: f64) -> Coord<f64> {
        self.across * across + self.along * along
    }

    /// From where to where the ground reaches, by one of the two measures of a spot.
    fn reach(&self, of: impl Fn(&Coord<f64>) -> f64) -> (f64, f64) {
        let spots = self.edges.iter().flatten().map(of);
        spots.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), at| (low.min(at), high.max(at)))
    }

    /// Where lines lie between the ends of the ground, from the left; the strip on which no whole
    /// swath fits lies on the side that is asked for.
    fn lanes(&self, swath_ft: f64, side: Side) -> Option<Vec<Lane>> {
        let (left, right) = self.reach(|at| at.x);
        match side {
            Side::Right => lanes(left, right, swath_ft),
            Side::Left => {
                let mirrored = lanes(-right, -left, swath_ft)?;
                Some(mirrored.into_iter().rev().map(Lane::mirrored).collect())
            }
        }
    }

    /// The strip of a lane that gets no run.
    fn left_strip(&self, lane: &Lane, side: Side) -> LeftStrip {
        let (back, ahead) = self.reach(|at| at.y);
        let [low, high] = lane.sides;
        let ring = [(low, back), (low, ahead), (high, ahead), (high, back)].map(|(x, y)| self.at(x, y));
        let out = if side == Side::Right { self.across } else { self.across * -1.0 };
        LeftStrip { feet: lane.feet(), way: way(out), strip: Polygon::new(LineString(ring.to_vec()), Vec::new()) }
    }

    /// All crossings of the lines with the edges, line by line and in order along each.
    fn crossings(&self, lanes: &[Lane]) -> Vec<Crossing> {
        let mut crossings = Vec::new();
        for &[a, b] in &self.edges {
            let (low, high) = if a.x <= b.x { (a, b) } else { (b, a) };
            // A line through a corner is counted with the edge on its right side only.
            let first = lanes.partition_point(|lane| lane.line < low.x);
            let on_edge = lanes.iter().enumerate().skip(first).take_while(|(_, lane)| lane.line < high.x);
            crossings.extend(on_edge.map(|(number, &lane)| {
                let share = (lane.line - low.x) / (high.x - low.x);
                Crossing { number, lane, along: low.y + share * (high.y - low.y) }
            }));
        }
        crossings.sort_by(|a, b| a.number.cmp(&b.number).then(a.along.total_cmp(&b.along)));
        crossings
    }
}

/// Where lines lie between the left and the right end of the ground; see [`Passes::runs`].
fn lanes(left: f64, right: f64, swath_ft: f64) -> Option<Vec<Lane>> {
    let width = right - left;
    let whole = (width / swath_ft + EDGE).floor();
    if !(0.0..=MOST_LINES).contains(&whole) {
        return None;
    }
    if whole < 1.0 {
        return Some(vec![Lane { line: f64::midpoint(left, right), sides: [left, right] }]);
    }
    let lane = |number: f64| {
        let sides = [number, number + 1.0].map(|side| left + swath_ft * side);
        Lane { line: left + swath_ft * (number + 0.5), sides }
    };
    let mut lanes: Vec<Lane> = steps(0.0, whole, 1.0).into_iter().map(lane).collect();
    let covered = left + whole * swath_ft;
    if right - covered > LEAST_STRIP * swath_ft {
        lanes.push(Lane { line: covered.max(right - swath_ft / 2.0), sides: [covered, right] });
    }
    Some(lanes)
}

/// The runs on one line: from each crossing into the ground to the next one out of it.
fn runs(on_line: &[Crossing], swath_ft: f64) -> impl Iterator<Item = [Crossing; 2]> {
    let run = |pair: &[Crossing]| match *pair {
        [from, to] => Some([from, to]),
        _ => None,
    };
    let long = move |[from, to]: &[Crossing; 2]| to.along - from.along >= LEAST_RUN * swath_ft;
    on_line.chunks(2).filter_map(run).filter(long)
}
