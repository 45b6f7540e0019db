//! Areas with round edges in closed form: what is left of a field outside of all ground within a
//! distance of some stretches and inside some ponds.
//!
//! Method: Green's theorem. The edge of what is left consists of the parts of the field's edge
//! that no piece covers, and of the parts of the pieces' edges that lie in the field and that no
//! other piece covers. Every piece is the ground within a distance of one stretch (a capsule; a
//! disk where the stretch is a spot), so its edge is two straight sides and two half circles, and
//! what another piece covers of it is found by square roots. Arcs stay arcs: nothing is lost or
//! added by drawing them with corners, and a circle costs one curve in place of 64 edges. That is
//! what makes it ten times faster than an overlay of drawn outlines.
//!
//! Edges that fall on each other would make it a matter of rounding who keeps them. So the same
//! stretch is taken once, and each piece is widened by a millionth of a foot more than the one
//! before it (less where there are many), a thousand times what rounding can do; no two pieces
//! of a field are widened alike. The parts that are kept must close into rings, so their steps
//! must add up to zero. Where they do not, there is no answer, and the caller asks the overlay
//! engine. A whole ring that is lost leaves no gap; against that the caller compares the two.

use std::cmp::Ordering;
use std::f64::consts::PI;

use geo::Coord;

use super::agree::Left;
use super::curve::{Curve, Round, Stretch, cross};
use super::grid::Broken;
use super::outline::edges_of_circle;
use super::reach::Reach;

/// Widening from one piece to the next, in feet, and of the last piece at most: of 50,000 pieces
/// each gets a fifty-millionth of a foot more, still a thousand times what rounding can do.
const WIDENED_FEET: f64 = 1e-6;
const MOST_WIDENED_FEET: f64 = 1e-3;
/// Most pieces that are asked, for all pieces of a field together: some seconds of work. A river
/// with a corner every foot and 300 ft of setback has half as many in nine miles.
const MOST_LOOKS: usize = 100_000_000;
/// Feet by which the kept edges may fail to close.
const OPEN_FEET: f64 = 1e-3;
/// Parts of a curve shorter than this many feet are passed over.
const NO_LENGTH_FEET: f64 = 1e-9;

/// A field in feet, to take ground from.
#[derive(Debug)]
pub(super) struct WholeField {
    /// The sides of its rings: outer ones counter-clockwise, holes clockwise.
    edge: Vec<Stretch>,
    reach: Reach,
    taken: Vec<TakenStretch>,
    ponds: Vec<Pond>,
}

/// A stretch to stay away from, as it was handed over.
#[derive(Debug, Clone, Copy)]
struct TakenStretch {
    a: Coord<f64>,
    b: Coord<f64>,
    radius: f64,
    right: bool,
}

/// A field with its pieces made, each a little wider than the one before it.
#[derive(Debug)]
struct MadePieces {
    edge: Vec<Stretch>,
    reach: Reach,
    rounds: Vec<Round>,
    ponds: Vec<Pond>,
    /// Feet from west to east of the widest piece.
    widest: f64,
}

/// Ground inside of a polygon, whose rings all have pieces around them.
#[derive(Debug)]
struct Pond {
    reach: Reach,
    outer: Vec<Coord<f64>>,
    holes: Vec<Vec<Coord<f64>>>,
}

/// Twice an area, and the sum of the steps around it.
#[derive(Debug, Default)]
struct Sum {
    twice: f64,
    step: Coord<f64>,
    /// What arcs drawn with edges take more, in square feet.
    drawn: f64,
}

/// Lists that are filled again and again.
#[derive(Debug, Default)]
struct RoundLists {
    covered: Vec<(f64, f64)>,
    cuts: Vec<f64>,
    bare: Vec<(f64, f64)>,
    inside: Vec<(f64, f64)>,
    /// The pieces from west to east.
    order: Vec<usize>,
}

impl WholeField {
    /// A field by its rings, the first corner not repeated: outer ones counter-clockwise, holes
    /// clockwise. `None` without corners.
    pub(super) fn new(rings: &[Vec<Coord<f64>>]) -> Option<WholeField> {
        let reach = Reach::around(rings.iter().flatten().copied())?;
        let edge = rings.iter().flat_map(|ring| sides(ring)).map(|(a, b)| Stretch::new(a, b)).collect();
        Some(WholeField { edge, reach, taken: Vec::new(), ponds: Vec::new() })
    }

    /// The box around it.
    pub(super) fn reach(&self) -> Reach {
        self.reach
    }

    /// Its area in square feet, with nothing taken.
    pub(super) fn area(&self) -> f64 {
        self.edge.iter().map(|side| cross(side.from, side.to)).sum::<f64>() / 2.0
    }

    /// Takes the ground within `radius` (above 0) of a stretch, or of a spot when both ends are
    /// one. `right`: of its two sides only the right one can be an edge, because the left one is
    /// inside of a polygon.
    pub(super) fn take(&mut self, a: Coord<f64>, b: Coord<f64>, radius: f64, right: bool) {
        self.taken.push(TakenStretch { a, b, radius, right });
    }

    /// Takes the ground inside a polygon: what its outer ring winds around, less what its holes
    /// wind around. All its sides within reach must be [`take`](Whole::take)n too.
    pub(super) fn take_inside(&mut self, outer: Vec<Coord<f64>>, holes: Vec<Vec<Coord<f64>>>) {
        let Some(reach) = Reach::around(outer.iter().copied()) else { return };
        if reach.meets(&self.reach) {
            self.ponds.push(Pond { reach, outer, holes });
        }
    }

    /// Square feet that are left; `None` when rounding stands in the way of an answer.
    pub(super) fn left(self) -> Result<Option<Left>, Broken> {
        let gross = self.area();
        if self.taken.is_empty() && self.ponds.is_empty() {
            return Ok(Some(Left { square_feet: gross, drawn: 0.0 }));
        }
        let made = self.made();
        if made.looks() > MOST_LOOKS {
            return Err(Broken::Close);
        }
        let sum = made.walked();
        let open = sum.step.x.abs().max(sum.step.y.abs());
        let left = sum.twice / 2.0;
        // A hair beyond the bounds is rounding; more is a mistake. NaN fails both.
        let hair = 1e-3 + gross * 1e-9;
        let sound = open <= OPEN_FEET && (-hair..=gross + hair).contains(&left);
        Ok(sound.then(|| Left { square_feet: left.clamp(0.0, gross), drawn: sum.drawn }))
    }

    /// Makes the pieces.
    fn made(self) -> MadePieces {
        let taken = without_doubles(self.taken);
        #[expect(clippy::cast_precision_loss, reason = "a list has fewer than 2^52 items")]
        let step = WIDENED_FEET.min(MOST_WIDENED_FEET / taken.len().max(1) as f64);
        let mut rounds: Vec<Round> = Vec::with_capacity(taken.len());
        let mut widened = 0.0;
        for TakenStretch { a, b, radius, right } in taken {
            let Some(mut round) = Round::new(a, b, radius + widened, &self.reach) else { continue };
            widened += step;
            round.left = !right;
            if let Some(before) = rounds.last_mut().filter(|before| before.ends_at(round.start())) {
                round.follows = true;
                // Its round end lies in the wider beginning of this one.
                before.end = before.radius >= round.radius;
            }
            rounds.push(round);
        }
        let widest = rounds.iter().map(|round| round.reach.high.x - round.reach.low.x).fold(0.0, f64::max);
        MadePieces { edge: self.edge, reach: self.reach, rounds, ponds: self.ponds, widest }
    }
}

impl MadePieces {
    /// How many pieces are asked for all pieces together, at most.
    fn looks(&self) -> usize {
        let mut wests: Vec<f64> = self.rounds.iter().map(|round| round.reach.low.x).collect();
        wests.sort_unstable_by(f64::total_cmp);
        let before = |x: f64| wests.partition_point(|west| *west < x);
        let near = |round: &Round| before(round.reach.high.x).saturating_sub(before(round.reach.low.x - self.widest));
        self.rounds.iter().map(near).fold(0, usize::saturating_add)
    }

    /// Walks along everything that is an edge of what is left.
    fn walked(&self) -> Sum {
        let mut sum = Sum::default();
        let mut work = RoundLists { order: (0..self.rounds.len()).collect(), ..RoundLists::default() };
        work.order.sort_unstable_by(|one, other| self.west(*one).total_cmp(&self.west(*other)));
        for side in &self.edge {
            let curve = side.curve();
            self.bare(&curve, &side.reach, usize::MAX, &mut work);
            for &(from, to) in &work.bare {
                if !self.in_pond(curve.at(f64::midpoint(from, to))) {
                    sum.add(&curve, from, to, 1.0);
                }
            }
        }
        for (number, round) in self.rounds.iter().enumerate() {
            let [begin, others @ ..] = round.edge(&self.reach);
            if let Some(begin) = begin {
                self.round_begin(&begin, number, &mut work, &mut sum);
            }
            for curve in others.into_iter().flatten() {
                self.edge_of_piece(&curve, number, &mut work, &mut sum);
            }
        }
        sum
    }

    /// The western end of a piece.
    fn west(&self, number: usize) -> f64 {
        self.rounds.get(number).map_or(0.0, |round| round.reach.low.x)
    }

    /// The round beginning of a piece. Where a piece ends that it follows, all but the wedge
    /// between the two lies under that one; so it is asked first, and the others about the wedge.
    fn round_begin(&self, begin: &Curve, number: usize, work: &mut RoundLists, sum: &mut Sum) {
        let before = self.rounds.get(number.wrapping_sub(1));
        let follows = self.rounds.get(number).is_some_and(|round| round.follows);
        let Some(before) = before.filter(|_| follows) else {
            return self.edge_of_piece(begin, number, work, sum);
        };
        work.covered.clear();
        before.covers(begin, &mut work.cuts, &mut work.covered);
        uncovered(begin.length(), &mut work.covered, &mut work.bare);
        for (start, end) in std::mem::take(&mut work.bare) {
            self.edge_of_piece(&begin.part(start, end), number, work, sum);
        }
    }

    /// Takes off what counts of a part of a piece's edge: what lies in the field first, because
    /// that is asked sooner, and of that what no other piece covers.
    fn edge_of_piece(&self, curve: &Curve, number: usize, work: &mut RoundLists, sum: &mut Sum) {
        let reach = curve.reach();
        if !reach.meets(&self.reach) {
            return;
        }
        work.cuts.clear();
        for side in self.edge.iter().filter(|side| side.reach.meets(&reach)) {
            curve.crossings(side, &mut work.cuts);
        }
        work.cuts.push(curve.length());
        work.cuts.sort_unstable_by(f64::total_cmp);
        work.inside.clear();
        let mut start = 0.0;
        for &end in &work.cuts {
            let long = (end - start) * curve.feet() > NO_LENGTH_FEET;
            if long && self.holds(curve.at(f64::midpoint(start, end))) {
                work.inside.push((start, end));
            }
            start = end;
        }
        let inside = std::mem::take(&mut work.inside);
        for &(start, end) in &inside {
            let part = curve.part(start, end);
            self.bare(&part, &part.reach(), number, work);
            for &(from, to) in &work.bare {
                if !self.in_pond(part.at(f64::midpoint(from, to))) {
                    sum.add(&part, from, to, -1.0);
                }
            }
        }
        work.inside = inside;
    }

    /// Puts the parts of a curve that no piece but its own covers into `work.bare`.
    fn bare(&self, curve: &Curve, reach: &Reach, own: usize, work: &mut RoundLists) {
        let RoundLists { covered, cuts, bare, order, .. } = work;
        covered.clear();
        bare.clear();
        // What begins more than the widest piece's width farther west ends before the curve begins.
        let first = order.partition_point(|&number| self.west(number) < reach.low.x - self.widest);
        for &number in order.iter().skip(first) {
            let Some(round) = self.rounds.get(number) else { continue };
            if round.reach.low.x > reach.high.x {
                break;
            }
            if number != own && round.reach.meets(reach) && round.covers(curve, cuts, covered) {
                return;
            }
        }
        uncovered(curve.length(), covered, bare);
    }

    /// Whether a spot lies in the field.
    fn holds(&self, at: Coord<f64>) -> bool {
        self.reach.holds(at) && self.edge.iter().map(|side| turns(side.from, side.to, at)).sum::<i32>() != 0
    }

    /// Whether a spot lies inside one of the polygons.
    fn in_pond(&self, at: Coord<f64>) -> bool {
        let mut near = self.ponds.iter().filter(|pond| pond.reach.holds(at));
        near.any(|pond| winding(&pond.outer, at) != 0 && pond.holes.iter().all(|hole| winding(hole, at) == 0))
    }
}

/// Every stretch once, whichever way it runs, with the largest distance that it has: that one
/// covers the others. The order of the rest stays.
fn without_doubles(taken: Vec<TakenStretch>) -> Vec<TakenStretch> {
    // Zero and minus zero are one place.
    let ends = |own: &TakenStretch| {
        let [a, b] = [own.a, own.b].map(|at| (at.x + 0.0, at.y + 0.0));
        if a <= b { [a.0, a.1, b.0, b.1] } else { [b.0, b.1, a.0, a.1] }
    };
    let same = |one: [f64; 4], other: [f64; 4]| {
        one.iter().zip(&other).map(|(a, b)| a.total_cmp(b)).find(|way| way.is_ne()).unwrap_or(Ordering::Equal)
    };
    let mut order: Vec<(usize, [f64; 4], f64)> =
        taken.iter().enumerate().map(|(number, own)| (number, ends(own), own.radius)).collect();
    order.sort_unstable_by(|one, other| same(one.1, other.1).then(other.2.total_cmp(&one.2)).then(one.0.cmp(&other.0)));
    order.dedup_by(|later, first| same(later.1, first.1).is_eq());
    if order.len() < taken.len() {
        let mut kept: Vec<usize> = order.into_iter().map(|(number, ..)| number).collect();
        kept.sort_unstable();
        return kept.into_iter().filter_map(|number| taken.get(number).copied()).collect();
    }
    taken
}

impl Sum {
    /// Adds a part of a curve, `sign` times.
    fn add(&mut self, curve: &Curve, from: f64, to: f64, sign: f64) {
        let (twice, step) = curve.swept(from, to);
        self.twice += twice * sign;
        self.step = self.step + step * sign;
        if let Curve::Arc { radius, .. } = *curve {
            let half = PI / edges_of_circle(radius);
            self.drawn += radius * radius * (to - from) / 2.0 * (half.tan() / half - 1.0);
        }
    }
}

/// What some parts leave of a measure.
fn uncovered(length: f64, covered: &mut [(f64, f64)], bare: &mut Vec<(f64, f64)>) {
    bare.clear();
    covered.sort_unstable_by(|one, other| one.0.total_cmp(&other.0));
    let mut done = 0.0_f64;
    for &(from, to) in covered.iter() {
        if from > done {
            bare.push((done, from));
        }
        done = done.max(to);
    }
    if done < length {
        bare.push((done, length));
    }
}

/// The sides of an open ring.
pub(super) fn sides(ring: &[Coord<f64>]) -> impl Iterator<Item = (Coord<f64>, Coord<f64>)> + '_ {
    let before = ring.last().copied().into_iter().chain(ring.iter().copied());
    before.zip(ring.iter().copied())
}

/// Area inside an open ring, counter-clockwise positive.
pub(super) fn ring_area(ring: &[Coord<f64>]) -> f64 {
    sides(ring).map(|(a, b)| cross(a, b)).sum::<f64>() / 2.0
}

/// How often an open ring winds around a spot, counter-clockwise positive.
fn winding(ring: &[Coord<f64>], at: Coord<f64>) -> i32 {
    sides(ring).map(|(a, b)| turns(a, b, at)).sum()
}

/// What one side of a ring adds to how often it winds around a spot.
fn turns(a: Coord<f64>, b: Coord<f64>, at: Coord<f64>) -> i32 {
    match (a.y <= at.y, b.y <= at.y) {
        (true, false) if cross(b - a, at - a) > 0.0 => 1,
        (false, true) if cross(b - a, at - a) < 0.0 => -1,
        _ => 0,
    }
}

#[cfg(test)]
mod tests;
