//! Ground on a fixed grid of whole steps: the one place that calls the overlay engine.
//!
//! All shapes of all fields sit on the same grid of 2^-20 ft (a third of a millionth of a meter),
//! so a shape that comes out of one cut goes into the next without a change, and areas are exact
//! sums of whole numbers. The fill rule is non-zero everywhere: pieces that lie over each other
//! add up and never cancel. What a setback is, is not known here.

use std::borrow::Borrow;
use std::panic::{AssertUnwindSafe, catch_unwind};

use geo::{Coord, LineString, MultiPolygon, Polygon};
use i_overlay::core::extract::BooleanExtractionBuffer;
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay::{IntOverlayOptions, Overlay, ShapeType};
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::core::solver::{Precision, Solver};
use i_overlay::i_float::int::point::IntPoint;

use super::reach::Reach;

/// Whole type of the grid.
type GridStep = i64;
/// One closed ring of grid points.
type GridRing = Vec<IntPoint<GridStep>>;

/// Grid steps in a foot: a power of two, so that feet and steps change into each other exactly.
const STEPS_PER_FOOT: f64 = 1_048_576.0;
/// Farthest coordinate that is put on the grid, in feet (about 19,000 miles, far outside any plane).
const MOST_COORDINATE: f64 = 1e8;
/// How the engine snaps sides that all but meet: from two steps on (a millionth of a foot), nearly
/// three times as far in every round. With its own setting, a freak of a few corners took a second.
const SOLVER: Solver = Solver { precision: Precision::LOW, ..Solver::AUTO };
/// Parts smaller than this many square feet are dust of rounding and dropped.
const DUST_SQUARE_FEET: f64 = 0.01;
/// Most pairs of sides that may come near each other in one overlay: some 200 MB of work. So many
/// only a scribble has; a river and its setback have a few for each corner.
pub(super) const MOST_MEETINGS: usize = 2_000_000;

/// Why there is no overlay.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Broken {
    /// The engine failed on this input.
    Engine,
    /// More sides than [`MOST_MEETINGS`] come near each other.
    Crowded,
    /// More stretches than [`MOST_PIECES`](super::setback::MOST_PIECES) are near.
    TooMany,
    /// So many lie close together that adding up their edges would not end soon.
    Close,
}

/// Clean ground: parts that do not overlap, each an outer ring (counter-clockwise) and its holes
/// (clockwise).
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Ground(Vec<Vec<GridRing>>);

impl Ground {
    /// Cleans a shape in feet. Every polygon is what its outer ring winds around, less what its
    /// holes wind around, whichever way the rings run; polygons that overlap count once.
    pub(super) fn from_shape(shape: &MultiPolygon<f64>) -> Result<Ground, Broken> {
        let parts = shape.iter().map(|polygon| {
            let outer = snap(&polygon.exterior().0);
            let holes: Vec<GridRing> = polygon.interiors().iter().map(|hole| snap(&hole.0)).collect();
            overlay(&[&outer], &holes.iter().collect::<Vec<_>>(), OverlayRule::Difference)
        });
        let mut parts = parts.collect::<Result<Vec<Ground>, Broken>>()?;
        if parts.len() == 1 {
            return Ok(parts.pop().unwrap_or_default());
        }
        let rings: Vec<&GridRing> = parts.iter().flat_map(Ground::all).collect();
        overlay(&rings, &[], OverlayRule::Subject)
    }

    /// What some rings in feet wind around: counter-clockwise, or clockwise for a hole in one of
    /// them.
    pub(super) fn around<'a>(rings: impl IntoIterator<Item = &'a Vec<Coord<f64>>>) -> Result<Ground, Broken> {
        let rings: Vec<GridRing> = rings.into_iter().map(|ring| snap(ring)).collect();
        overlay(&rings.iter().collect::<Vec<_>>(), &[], OverlayRule::Subject)
    }

    /// Some grounds as one.
    pub(super) fn union(all: &[impl Borrow<Ground>]) -> Result<Ground, Broken> {
        if let [one] = all {
            return Ok(one.borrow().clone());
        }
        let rings: Vec<&GridRing> = all.iter().flat_map(|ground| ground.borrow().all()).collect();
        overlay(&rings, &[], OverlayRule::Subject)
    }

    /// The ground in both of two.
    pub(super) fn common(&self, other: &Ground) -> Result<Ground, Broken> {
        overlay(&self.all(), &other.all(), OverlayRule::Intersect)
    }

    /// The part of this ground outside of other ground.
    pub(super) fn less(&self, other: &Ground) -> Result<Ground, Broken> {
        overlay(&self.all(), &other.all(), OverlayRule::Difference)
    }

    /// Parts this ground into what lies under other ground and what does not; cheaper than both.
    pub(super) fn split(self, other: &Ground) -> Result<(Ground, Ground), Broken> {
        let Some(around) = other.reach() else {
            return Ok((Ground::default(), self));
        };
        // Parts out of reach need no overlay.
        let (near, far): (Vec<Ground>, Vec<Ground>) =
            self.into_parts().partition(|part| part.reach().is_some_and(|own| own.meets(&around)));
        let near: Ground = near.into_iter().collect();
        if near.is_empty() {
            return Ok((near, far.into_iter().collect()));
        }
        let (under, outside) = near.parted(other)?;
        Ok((under, far.into_iter().chain([outside]).collect()))
    }

    fn parted(&self, other: &Ground) -> Result<(Ground, Ground), Broken> {
        let (own, clip) = (self.all(), other.all());
        roomy(&own, &clip)?;
        guarded(|| {
            let mut overlay = loaded(&own, &clip);
            let mut buffer = BooleanExtractionBuffer::default();
            let graph = overlay.build_graph_view(FillRule::NonZero);
            let mut extract = |rule| match &graph {
                Some(graph) => without_dust(graph.extract_shapes(rule, &mut buffer)),
                None => Ground::default(),
            };
            (extract(OverlayRule::Intersect), extract(OverlayRule::Difference))
        })
    }

    fn all(&self) -> Vec<&GridRing> {
        self.0.iter().flatten().collect()
    }

    /// Area in square feet, exact on the grid.
    pub(super) fn square_feet(&self) -> f64 {
        let twice: i128 = self.0.iter().flatten().map(twice_area).sum();
        square_feet(twice)
    }

    /// The box around it; `None` around nothing.
    pub(super) fn reach(&self) -> Option<Reach> {
        Reach::around(self.0.iter().filter_map(|part| part.first()).flatten().map(feet))
    }

    /// True when nothing is left.
    pub(super) fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// The ground part by part.
    pub(super) fn into_parts(self) -> impl Iterator<Item = Ground> {
        self.0.into_iter().map(|part| Ground(vec![part]))
    }

    /// All rings in feet, open (the first corner is not repeated), outer ones counter-clockwise
    /// and holes clockwise.
    pub(super) fn rings(&self) -> impl Iterator<Item = Vec<Coord<f64>>> {
        self.0.iter().flatten().map(|ring| ring.iter().map(feet).collect())
    }

    /// Number of holes.
    pub(super) fn holes(&self) -> usize {
        self.0.iter().map(|part| part.len().saturating_sub(1)).sum()
    }

    /// The shape in feet.
    pub(super) fn to_shape(&self) -> MultiPolygon<f64> {
        let line = |ring: &GridRing| LineString(ring.iter().map(feet).collect());
        let polygon = |part: &Vec<GridRing>| {
            let mut rings = part.iter().map(line);
            let outer = rings.next()?;
            Some(Polygon::new(outer, rings.collect()))
        };
        self.0.iter().filter_map(polygon).collect()
    }
}

impl FromIterator<Ground> for Ground {
    /// Puts together ground that does not lie over each other.
    fn from_iter<I: IntoIterator<Item = Ground>>(grounds: I) -> Ground {
        Ground(grounds.into_iter().flat_map(|ground| ground.0).collect())
    }
}

/// A place in whole steps of any size.
pub(super) type GridPlace = [i64; 2];

/// Cleans polygons in whole steps, whose rings may cross after rounding: what their outer rings
/// wind around, less what their holes wind around. What comes out neither crosses itself nor
/// touches itself but at a spot, and stands on whole steps again.
pub(super) fn clean(parts: &[Vec<Vec<GridPlace>>]) -> Result<Vec<Vec<Vec<GridPlace>>>, Broken> {
    let turned = |(number, ring): (usize, &Vec<GridPlace>)| {
        let mut ring: GridRing = ring.iter().map(|&[x, y]| IntPoint::new(x, y)).collect();
        if (twice_area(&ring) < 0) == (number == 0) {
            ring.reverse();
        }
        ring
    };
    let rings: Vec<GridRing> = parts.iter().flat_map(|part| part.iter().enumerate().map(turned)).collect();
    let rings: Vec<&GridRing> = rings.iter().collect();
    roomy(&rings, &[])?;
    let shapes = guarded(|| {
        let corners = rings.iter().map(|ring| ring.len()).sum();
        let mut overlay = Overlay::new_custom(corners, IntOverlayOptions::ogc(), Solver::AUTO);
        rings.iter().for_each(|ring| overlay.add_contour(ring, ShapeType::Subject));
        overlay.overlay(OverlayRule::Subject, FillRule::Positive)
    })?;
    let places = |ring: GridRing| ring.into_iter().map(|at| [at.x, at.y]).collect();
    Ok(shapes.into_iter().map(|shape| shape.into_iter().map(places).collect()).collect())
}

/// One result of overlaying two sets of rings under the non-zero rule, dust left out.
fn overlay(subject: &[&GridRing], clip: &[&GridRing], rule: OverlayRule) -> Result<Ground, Broken> {
    roomy(subject, clip)?;
    guarded(|| without_dust(loaded(subject, clip).overlay(rule, FillRule::NonZero)))
}

/// Refuses rings of which more sides come near each other than there is room for.
fn roomy(subject: &[&GridRing], clip: &[&GridRing]) -> Result<(), Broken> {
    let rings = || subject.iter().chain(clip).copied();
    let corners: usize = rings().map(Vec::len).sum();
    // So few cannot meet more often.
    if corners.saturating_mul(corners) / 2 <= MOST_MEETINGS {
        return Ok(());
    }
    let sides = rings().flat_map(|ring| ring.iter().zip(ring.iter().cycle().skip(1)));
    let mut boxes: Vec<[GridStep; 4]> =
        sides.map(|(a, b)| [a.x.min(b.x), a.x.max(b.x), a.y.min(b.y), a.y.max(b.y)]).collect();
    boxes.sort_unstable();
    let mut open: Vec<[GridStep; 4]> = Vec::new();
    let mut meetings = 0;
    for own in boxes {
        let [west, _, south, north] = own;
        open.retain(|other| other[1] >= west);
        meetings += open.iter().filter(|other| other[2] <= north && south <= other[3]).count();
        if meetings > MOST_MEETINGS {
            return Err(Broken::Crowded);
        }
        open.push(own);
    }
    Ok(())
}

/// The engine with two sets of rings.
fn loaded(subject: &[&GridRing], clip: &[&GridRing]) -> Overlay<GridStep> {
    let corners = subject.iter().chain(clip).map(|ring| ring.len()).sum();
    let mut overlay = Overlay::new_custom(corners, IntOverlayOptions::default(), SOLVER);
    for ring in subject {
        overlay.add_contour(ring, ShapeType::Subject);
    }
    for ring in clip {
        overlay.add_contour(ring, ShapeType::Clip);
    }
    overlay
}

/// Runs the engine. It is meant not to panic; if it does on some freak shape, one field fails
/// and not the whole farm.
fn guarded<T>(work: impl FnOnce() -> T) -> Result<T, Broken> {
    catch_unwind(AssertUnwindSafe(work)).map_err(|_| Broken::Engine)
}

/// Leaves out parts and holes below [`DUST_SQUARE_FEET`].
fn without_dust(parts: Vec<Vec<GridRing>>) -> Ground {
    let big = |ring: &GridRing| square_feet(twice_area(ring)).abs() >= DUST_SQUARE_FEET;
    let mut kept: Vec<Vec<GridRing>> = parts.into_iter().filter(|part| part.first().is_some_and(big)).collect();
    for part in &mut kept {
        part.retain(big);
    }
    Ground(kept)
}

/// Twice the signed area of a ring in grid steps, counter-clockwise positive.
fn twice_area(ring: &GridRing) -> i128 {
    let next = ring.iter().cycle().skip(1);
    let cross = |(a, b): (&IntPoint<GridStep>, &IntPoint<GridStep>)| {
        i128::from(a.x) * i128::from(b.y) - i128::from(b.x) * i128::from(a.y)
    };
    ring.iter().zip(next).map(cross).sum()
}

/// Square feet from twice an area in steps.
#[expect(clippy::cast_precision_loss, reason = "an area needs no more digits than a double has")]
fn square_feet(twice: i128) -> f64 {
    twice as f64 / (2.0 * STEPS_PER_FOOT * STEPS_PER_FOOT)
}

/// A ring in feet onto the grid, to the nearest step.
#[expect(clippy::cast_possible_truncation, reason = "clamped first; NaN becomes 0 by the language")]
fn snap(ring: &[Coord<f64>]) -> GridRing {
    let step = |feet: f64| (feet.clamp(-MOST_COORDINATE, MOST_COORDINATE) * STEPS_PER_FOOT).round() as GridStep;
    ring.iter().map(|at| IntPoint::new(step(at.x), step(at.y))).collect()
}

/// A grid point in feet.
#[expect(clippy::cast_precision_loss, reason = "coordinates stay below 2^47 steps, exact in a double")]
fn feet(point: &IntPoint<GridStep>) -> Coord<f64> {
    Coord { x: point.x as f64 / STEPS_PER_FOOT, y: point.y as f64 / STEPS_PER_FOOT }
}
