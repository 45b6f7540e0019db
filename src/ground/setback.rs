//! The ground within a distance of something: setbacks.
//!
//! Here lives what a geometry is to a setback: a point is a circle, a line its two sides, a
//! polygon its edge on both sides and its inside. How ground within a distance of a line is drawn
//! is in `outline`. Which distance a thing needs comes with it.

use geo::{Coord, CoordsIter, Geometry, LineString, MultiPolygon, Polygon};

use super::grid::{Broken, Ground};
use super::outline::{Outliner, RingGroup, SLACK_FEET};
use super::plane::Plane;
use super::reach::{Reach, clip_ring};
use super::union::united;

/// Largest distance that is taken, in feet: ten miles.
pub const MOST_FEET: f64 = 52_800.0;

/// Most stretches and spots of all things that may be within reach of one field. A river with a
/// corner every foot has so many in nine miles.
pub const MOST_PIECES: usize = 50_000;

/// Added to every distance above 0, in feet, so that rounding onto the grid cannot bite into it.
const ROUNDING_FEET: f64 = 0.001;

/// Corners of a line up to which its setback is drawn in one piece.
const SHORT: usize = 64;
/// Stretches of a longer line that are drawn at once. Where they are short for the distance, the
/// edges of a few dozen in one piece would cross each other thousands of times.
const RUN: usize = 8;

/// One thing to stay away from.
#[derive(Debug, Clone, Copy)]
pub struct KeepAway<'a> {
    /// Place in the caller's list; only handed back.
    pub index: usize,
    /// Where it is, longitude and latitude in degrees. Of a polygon the inside belongs to it.
    pub geometry: &'a Geometry<f64>,
    /// Distance in feet, 0 to [`MOST_FEET`]; 0 keeps out of the thing itself only, so that a
    /// point or a line then takes nothing.
    pub feet: f64,
}

/// The pieces of one setback that can touch a field, as rings in feet. `field` is the box around
/// the field, `room` how many more stretches may be near it. Empty when the thing is out of reach.
pub(super) fn pieces(keep: &KeepAway, plane: &Plane, field: Reach, room: &mut usize) -> Result<Vec<RingGroup>, Broken> {
    let radius = if keep.feet > 0.0 { widened(keep.feet, plane, field) } else { 0.0 };
    let mut walk = SetbackWalk { plane, outliner: Outliner::new(field, radius), groups: Vec::new(), room };
    each_part(keep.geometry, &mut |part| match part {
        GeometryPart::Line(line) => walk.line(line),
        GeometryPart::Polygon(polygon) => walk.polygon(polygon),
    })?;
    Ok(walk.groups)
}

/// What a geometry is made of.
#[derive(Debug, Clone, Copy)]
pub(super) enum GeometryPart<'a> {
    /// Corners that hang together; one alone is a spot.
    Line(&'a [Coord<f64>]),
    /// An outer ring and its holes.
    Polygon(&'a Polygon<f64>),
}

/// Hands over every line and polygon of a geometry, in order.
pub(super) fn each_part<E>(
    geometry: &Geometry<f64>,
    take: &mut impl FnMut(GeometryPart<'_>) -> Result<(), E>,
) -> Result<(), E> {
    use GeometryPart as P;
    match geometry {
        Geometry::Point(point) => take(P::Line(&[point.0])),
        Geometry::MultiPoint(points) => points.iter().try_for_each(|point| take(P::Line(&[point.0]))),
        Geometry::Line(line) => take(P::Line(&[line.start, line.end])),
        Geometry::LineString(line) => take(P::Line(&line.0)),
        Geometry::MultiLineString(lines) => lines.iter().try_for_each(|line| take(P::Line(&line.0))),
        Geometry::Polygon(polygon) => take(P::Polygon(polygon)),
        Geometry::MultiPolygon(polygons) => polygons.iter().try_for_each(|polygon| take(P::Polygon(polygon))),
        Geometry::Rect(rect) => take(P::Polygon(&rect.to_polygon())),
        Geometry::Triangle(triangle) => take(P::Polygon(&triangle.to_polygon())),
        Geometry::GeometryCollection(all) => all.iter().try_for_each(|one| each_part(one, take)),
    }
}

/// A line in runs that are drawn one by one: a short one whole.
fn runs<T>(line: &[T]) -> impl Iterator<Item = &[T]> {
    let step = if line.len() <= SHORT { line.len().max(1) } else { RUN };
    let starts = (0..line.len().saturating_sub(1).max(1)).step_by(step);
    starts.filter_map(move |start| line.get(start..line.len().min(start + step + 1)))
}

/// A distance above 0 in feet on the plane, for a field in this box: never less than on the ground.
pub(super) fn widened(feet: f64, plane: &Plane, field: Reach) -> f64 {
    let near = field.grown(feet + SLACK_FEET);
    feet * plane.overstates(near.low.y, near.high.y) + ROUNDING_FEET
}

/// All ground within `feet` of some closed rings (feet on the plane, the first corner not
/// repeated).
pub(super) fn within_of_rings(rings: &[Vec<Coord<f64>>], feet: f64) -> Result<Ground, Broken> {
    let Some(field) = Reach::around(rings.iter().flatten().copied()) else {
        return Ok(Ground::default());
    };
    let mut outliner = Outliner::new(field, feet);
    let mut groups = Vec::new();
    for ring in rings {
        let closed: Vec<Coord<f64>> = ring.iter().chain(ring.first()).copied().collect();
        for run in runs(&closed) {
            outliner.line(run.iter().copied());
            groups.push(std::mem::take(&mut outliner.rings));
        }
    }
    united(&groups)
}

/// Walks a geometry in degrees and hands its lines, in feet, to the outliner.
struct SetbackWalk<'a> {
    plane: &'a Plane,
    outliner: Outliner,
    groups: Vec<RingGroup>,
    /// How many more stretches may be near.
    room: &'a mut usize,
}

impl SetbackWalk<'_> {
    fn line(&mut self, line: &[Coord<f64>]) -> Result<(), Broken> {
        if self.outliner.radius > 0.0 && self.within_reach(line) {
            for run in runs(line).filter(|run| self.within_reach(run)).collect::<Vec<_>>() {
                self.count(run.len().saturating_sub(1).max(1))?;
                self.outliner.line(run.iter().map(|&at| self.plane.to_feet(at)));
                self.group();
            }
        }
        Ok(())
    }

    /// Makes a group of the rings drawn since the last one.
    fn group(&mut self) {
        let rings = std::mem::take(&mut self.outliner.rings);
        if !rings.is_empty() {
            self.groups.push(rings);
        }
    }

    /// Counts corners that are near.
    fn count(&mut self, corners: usize) -> Result<(), Broken> {
        *self.room = self.room.checked_sub(corners).ok_or(Broken::TooMany)?;
        Ok(())
    }

    /// A polygon: its inside, and what lies within the distance of its rings.
    fn polygon(&mut self, polygon: &Polygon<f64>) -> Result<(), Broken> {
        if !self.within_reach(&polygon.exterior().0) {
            // Holes are looked at all the same: a hole drawn outside is a mistake, not a leave.
            return polygon.interiors().iter().try_for_each(|hole| self.line(&hole.0));
        }
        let near = self.outliner.near;
        let ring = |line: &LineString<f64>| {
            let corners = line.0.iter().map(|&at| self.plane.to_feet(at)).collect();
            LineString(clip_ring(corners, &near))
        };
        let holes = polygon.interiors().iter().map(ring).collect();
        let near = Polygon::new(ring(polygon.exterior()), holes);
        let corners = near.coords_count();
        // Cleaned by itself first: a ring that runs the other way, or crosses itself, would
        // otherwise cancel what lies over it.
        let inside: Vec<_> = Ground::from_shape(&MultiPolygon(vec![near]))?.rings().collect();
        if self.outliner.radius > 0.0 {
            self.line(&polygon.exterior().0)?;
            polygon.interiors().iter().try_for_each(|hole| self.line(&hole.0))?;
        } else {
            self.count(corners)?;
        }
        self.outliner.rings.extend(inside);
        self.group();
        Ok(())
    }

    /// Whether a line in degrees can come within the distance of the field.
    fn within_reach(&self, line: &[Coord<f64>]) -> bool {
        Reach::around(line.iter().copied()).is_some_and(|degrees| {
            let low = self.plane.to_feet(degrees.low);
            let high = self.plane.to_feet(degrees.high);
            self.outliner.near.meets(&Reach { low, high })
        })
    }
}

/// Length around an open ring, in feet.
pub(super) fn perimeter(ring: &[Coord<f64>]) -> f64 {
    let next = ring.iter().cycle().skip(1);
    ring.iter().zip(next).map(|(&a, &b)| (b.x - a.x).hypot(b.y - a.y)).sum()
}
