//! Which ring is a hole, and in which ring it lies.
//!
//! A shapefile tells an outer ring from a hole by the way it runs only, and writers get that
//! wrong; so where a ring lies decides, and a ring that runs the other way is told.

use crate::exchange::given::{Corners, Given};
use crate::exchange::rings::twice_area;
use crate::findings::{Finding, Findings};
use geo::coordinate_position::{CoordPos, CoordinatePosition};
use geo::{Coord, LineString, Polygon, coord};

/// Corners of a ring that are asked where they lie before it is given up.
const ASKED: usize = 24;

/// A ring to be held against others.
struct PlacedRing {
    polygon: Polygon<f64>,
    low: Coord<f64>,
    high: Coord<f64>,
    area: f64,
}

impl PlacedRing {
    /// `None` when it has no corner or one that is not finite.
    fn new(corners: &Corners) -> Option<PlacedRing> {
        let &first = corners.first()?;
        if !corners.iter().all(|at| at.x.is_finite() && at.y.is_finite()) {
            return None;
        }
        let (low, high) = corners.iter().fold((first, first), |(low, high), at| {
            (coord! { x: low.x.min(at.x), y: low.y.min(at.y) }, coord! { x: high.x.max(at.x), y: high.y.max(at.y) })
        });
        let polygon = Polygon::new(LineString(corners.clone()), Vec::new());
        Some(PlacedRing { polygon, low, high, area: twice_area(corners) })
    }

    /// Whether another ring lies in this one. Corners on the line are passed over.
    fn holds(&self, other: &PlacedRing) -> bool {
        let boxed = self.low.x <= other.low.x
            && self.low.y <= other.low.y
            && self.high.x >= other.high.x
            && self.high.y >= other.high.y;
        boxed && self.area.abs() > other.area.abs() && self.holds_corner(other)
    }

    fn holds_corner(&self, other: &PlacedRing) -> bool {
        let lines = other.polygon.exterior().lines().take(ASKED);
        let asked = lines.flat_map(|line| [line.start, (line.start + line.end) / 2.0]);
        let mut told = asked.map(|at| self.polygon.coordinate_position(&at)).filter(|p| *p != CoordPos::OnBoundary);
        told.next() == Some(CoordPos::Inside)
    }
}

/// Turns the loose rings of a feature into parts with their holes.
pub(super) fn sort(given: &mut Given, clockwise: bool, findings: &mut Findings) {
    let loose = std::mem::take(&mut given.loose);
    let placed: Option<Vec<PlacedRing>> = loose.iter().map(PlacedRing::new).collect();
    let Some(placed) = placed else {
        // A ring that is unusable by itself is told later.
        given.parts.extend(loose.into_iter().map(|ring| vec![ring]));
        return;
    };
    // For every ring those that hold it, the smallest first.
    let holders: Vec<Vec<usize>> = placed.iter().map(|ring| holders(&placed, ring)).collect();
    let hole = |i: usize| holders.get(i).is_some_and(|h| h.len() % 2 == 1);
    let mut parts: Vec<(usize, Vec<Corners>)> = Vec::new();
    for (i, ring) in loose.iter().enumerate().filter(|(i, _)| !hole(*i)) {
        parts.push((i, vec![ring.clone()]));
    }
    for (i, ring) in loose.iter().enumerate().filter(|(i, _)| hole(*i)) {
        let owner = holders.get(i).and_then(|h| h.iter().find(|own| !hole(**own)));
        if let Some((_, part)) = parts.iter_mut().find(|(own, _)| Some(own) == owner) {
            part.push(ring.clone());
        }
    }
    given.parts.extend(parts.into_iter().map(|(_, part)| part));
    tell_way(given, &placed, &hole, clockwise, findings);
}

fn holders(placed: &[PlacedRing], ring: &PlacedRing) -> Vec<usize> {
    let mut held: Vec<usize> = (0..placed.len()).filter(|i| placed.get(*i).is_some_and(|p| p.holds(ring))).collect();
    held.sort_by(|a, b| {
        let area = |i: &usize| placed.get(*i).map_or(0.0, |p| p.area.abs());
        area(a).total_cmp(&area(b))
    });
    held
}

/// Tells rings that run another way than where they lie asks for.
fn tell_way(
    given: &Given,
    placed: &[PlacedRing],
    hole: &dyn Fn(usize) -> bool,
    clockwise: bool,
    findings: &mut Findings,
) {
    let wrong: Vec<usize> = placed
        .iter()
        .enumerate()
        .filter(|(i, ring)| ring.area != 0.0 && ((ring.area < 0.0) == clockwise) == hole(*i))
        .map(|(i, _)| i)
        .collect();
    let label = &given.label;
    if wrong.len() == placed.len() && !wrong.is_empty() {
        let found = format!("{label}: its rings ran the wrong way around; turned");
        findings.push(Finding::note("import-turned", &given.place, found));
        return;
    }
    for i in wrong {
        let (runs, lies) = if hole(i) { ("an outer ring", "a hole") } else { ("a hole", "an outer ring") };
        let found = format!("{label}: ring {} runs as {runs} does and lies as {lies}; taken as {lies}", i + 1);
        findings.push(
            Finding::warning("import-turned", &given.place, found)
                .fix("check it on a map: the ground in it is left out only where it is a hole"),
        );
    }
}

/// Moves holes that lie in another part of the feature than the one they are written under.
pub(super) fn rehome(given: &mut Given, findings: &mut Findings) {
    if given.parts.len() < 2 || given.parts.iter().all(|part| part.len() < 2) {
        return;
    }
    let outers: Vec<Option<PlacedRing>> =
        given.parts.iter().map(|part| part.first().and_then(PlacedRing::new)).collect();
    let mut moves: Vec<(usize, Corners)> = Vec::new();
    for (i, part) in given.parts.iter_mut().enumerate() {
        let mut number = 0;
        part.retain(|ring| {
            number += 1;
            let Some(hole) = PlacedRing::new(ring).filter(|_| number > 1) else { return true };
            let holds = |own: &Option<PlacedRing>| own.as_ref().is_some_and(|own| own.holds(&hole));
            if outers.get(i).is_some_and(holds) {
                return true;
            }
            let others: Vec<usize> = (0..outers.len()).filter(|o| outers.get(*o).is_some_and(holds)).collect();
            if let [other] = others.as_slice() {
                moves.push((*other, ring.clone()));
                return false;
            }
            true
        });
    }
    for (to, hole) in moves {
        let found = format!("{}: a hole was written under another part than the one it lies in; moved", given.label);
        findings.push(Finding::warning("import-hole", &given.place, found));
        if let Some(part) = given.parts.get_mut(to) {
            part.push(hole);
        }
    }
}
