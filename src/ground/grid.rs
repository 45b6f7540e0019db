//! Ground on a fixed grid of whole steps: the one place that calls the overlay engine.
//!
//! All shapes of all fields sit on the same grid of 2^-20 ft (a third of a millionth of a meter),
//! so a shape that comes out of one cut goes into the next without a change, and areas are exact
//! sums of whole numbers. The fill rule is non-zero everywhere: pieces that lie over each other
//! add up and never cancel. What a setback is, is not known here.

use std::panic::{AssertUnwindSafe, catch_unwind};

use geo::{Coord, LineString, MultiPolygon, Polygon};
use i_overlay::core::extract::BooleanExtractionBuffer;
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay::{Overlay, ShapeType};
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::i_float::int::point::IntPoint;

/// Whole type of the grid.
type Whole = i64;
/// One closed ring of grid points.
type Ring = Vec<IntPoint<Whole>>;

/// Grid steps in a foot: a power of two, so that feet and steps change into each other exactly.
const STEPS_PER_FOOT: f64 = 1_048_576.0;
/// Farthest coordinate that is put on the grid, in feet (about 19,000 miles, far outside any plane).
const MOST_COORDINATE: f64 = 1e8;
/// Parts smaller than this many square feet are dust of rounding and dropped.
const DUST_SQUARE_FEET: f64 = 0.01;

/// The overlay engine failed on this input.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Broken;

/// Clean ground: parts that do not overlap, each an outer ring (counter-clockwise) and its holes
/// (clockwise).
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Ground(Vec<Vec<Ring>>);

impl Ground {
    /// Cleans a shape in feet. Every polygon is what its outer ring winds around, less what its
    /// holes wind around, whichever way the rings run; polygons that overlap count once.
    pub(super) fn from_shape(shape: &MultiPolygon<f64>) -> Result<Ground, Broken> {
        let parts = shape.iter().map(|polygon| {
            let outer = [snap(&polygon.exterior().0)];
            let holes: Vec<Ring> = polygon.interiors().iter().map(|hole| snap(&hole.0)).collect();
            Ok(overlay(&outer, &holes)?.1)
        });
        let mut parts = parts.collect::<Result<Vec<Ground>, Broken>>()?;
        if parts.len() == 1 {
            return Ok(parts.pop().unwrap_or_default());
        }
        let rings: Vec<Ring> = parts.into_iter().flat_map(|part| part.0).flatten().collect();
        Ok(overlay(&rings, &[])?.1)
    }

    /// Parts this ground into what lies under the pieces and what lies outside of them. The
    /// pieces are rings in feet, counter-clockwise (clockwise for a hole in one of them).
    pub(super) fn split(&self, pieces: &[Vec<Coord<f64>>]) -> Result<(Ground, Ground), Broken> {
        let subject: Vec<Ring> = self.0.iter().flatten().cloned().collect();
        let clip: Vec<Ring> = pieces.iter().map(|piece| snap(piece)).collect();
        overlay(&subject, &clip)
    }

    /// Area in square feet, exact on the grid.
    pub(super) fn square_feet(&self) -> f64 {
        let twice: i128 = self.0.iter().flatten().map(twice_area).sum();
        square_feet(twice)
    }

    /// True when nothing is left.
    pub(super) fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// The ground part by part.
    pub(super) fn into_parts(self) -> impl Iterator<Item = Ground> {
        self.0.into_iter().map(|part| Ground(vec![part]))
    }

    /// Puts ground that does not touch this one beside it.
    pub(super) fn add(&mut self, other: Ground) {
        self.0.extend(other.0);
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
        let line = |ring: &Ring| LineString(ring.iter().map(feet).collect());
        let polygon = |part: &Vec<Ring>| {
            let mut rings = part.iter().map(line);
            let outer = rings.next()?;
            Some(Polygon::new(outer, rings.collect()))
        };
        self.0.iter().filter_map(polygon).collect()
    }
}

/// Ground of the subject under the clip, and ground outside of it, dust left out.
fn overlay(subject: &[Ring], clip: &[Ring]) -> Result<(Ground, Ground), Broken> {
    // The engine is meant not to panic; if it does on some freak shape, one field fails and not
    // the whole farm.
    let work = || {
        let corners = subject.iter().chain(clip).map(Vec::len).sum();
        let mut overlay = Overlay::<Whole>::new(corners);
        for ring in subject {
            overlay.add_contour(ring, ShapeType::Subject);
        }
        for ring in clip {
            overlay.add_contour(ring, ShapeType::Clip);
        }
        let Some(graph) = overlay.build_graph_view(FillRule::NonZero) else {
            return (Ground::default(), Ground::default());
        };
        let mut buffer = BooleanExtractionBuffer::default();
        let under = graph.extract_shapes(OverlayRule::Intersect, &mut buffer);
        let outside = graph.extract_shapes(OverlayRule::Difference, &mut buffer);
        (without_dust(under), without_dust(outside))
    };
    catch_unwind(AssertUnwindSafe(work)).map_err(|_| Broken)
}

/// Leaves out parts and holes below [`DUST_SQUARE_FEET`].
fn without_dust(parts: Vec<Vec<Ring>>) -> Ground {
    let big = |ring: &Ring| square_feet(twice_area(ring)).abs() >= DUST_SQUARE_FEET;
    let mut kept: Vec<Vec<Ring>> = parts.into_iter().filter(|part| part.first().is_some_and(big)).collect();
    for part in &mut kept {
        part.retain(big);
    }
    Ground(kept)
}

/// Twice the signed area of a ring in grid steps, counter-clockwise positive.
fn twice_area(ring: &Ring) -> i128 {
    let next = ring.iter().cycle().skip(1);
    let cross = |(a, b): (&IntPoint<Whole>, &IntPoint<Whole>)| {
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
fn snap(ring: &[Coord<f64>]) -> Ring {
    let step = |feet: f64| (feet.clamp(-MOST_COORDINATE, MOST_COORDINATE) * STEPS_PER_FOOT).round() as Whole;
    ring.iter().map(|at| IntPoint::new(step(at.x), step(at.y))).collect()
}

/// A grid point in feet.
#[expect(clippy::cast_precision_loss, reason = "coordinates stay below 2^47 steps, exact in a double")]
fn feet(point: &IntPoint<Whole>) -> Coord<f64> {
    Coord { x: point.x as f64 / STEPS_PER_FOOT, y: point.y as f64 / STEPS_PER_FOOT }
}
