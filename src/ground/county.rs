//! Acres of very many fields: things to stay away from behind an index, and for every field its
//! acres and nothing else.
//!
//! [`cut`](super::spreadable::cut) says which thing takes which ground, with shapes; this only
//! says how much is left, many times faster. A field meets only those runs of a stream that can
//! reach it, and areas come from `round` in closed form; the overlay engine is
//! asked where rounding leaves doubt.

use geo::{Coord, CoordsIter, Geometry, LineString, MultiPolygon, Polygon, coord};
use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree};

use super::agree::Left;
use super::faults::{faults, too_wide};
use super::grid::{Broken, Ground};
use super::plane::{MOST_LATITUDE, Plane, SQUARE_FEET_PER_ACRE, feet_per_degree, in_range};
use super::reach::Reach;
use super::refused::{CutRefused, check_keep};
use super::round::{WholeField, ring_area};
use super::setback::{GeometryPart, KeepAway, MOST_PIECES, each_part, pieces, widened};
use super::shape::ShapeFault;
use super::simple::plainly_simple;
use super::union::united;

/// Most stretches of a line behind one entry of the index: few enough that a field meets little
/// of a stream that it need not, enough that the index stays small.
const RUN: usize = 8;
/// Around a polygon without a distance its sides are taken to be so wide, in feet.
const NO_DISTANCE_FEET: f64 = 1e-4;

/// A field with more corners of keep-outs within reach is always held against the overlay engine.
const UNCHECKED_PIECES: usize = 300;

/// A field's plane, and its rings in feet on it.
type FlatField = (Plane, Vec<Vec<Coord<f64>>>);

/// Where in the lists something stands. A county has less than four billion corners.
type Number = u32;

/// An entry of the index: a box in degrees that holds all ground within the distance.
type IndexEntry = GeomWithData<Rectangle<[f64; 2]>, IndexedPart>;

/// What stands behind an entry of the index.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum IndexedPart {
    /// Corners of the thing that hang together, from the first to the last; whether only the
    /// right side of them matters.
    Run { thing: Number, first: Number, last: Number, right: bool },
    /// The inside of a polygon.
    Inside { polygon: Number },
}

/// Rings in the list of corners, each from its first to past its last.
#[derive(Debug)]
struct Area {
    thing: Number,
    rings: Vec<std::ops::Range<Number>>,
}

/// Everything to stay away from, gathered one by one.
#[derive(Debug, Default)]
pub struct Gathered {
    corners: Vec<Coord<f64>>,
    feet: Vec<f64>,
    areas: Vec<Area>,
    entries: Vec<IndexEntry>,
}

/// Everything to stay away from, to be asked for the acres of fields.
#[derive(Debug)]
pub struct Surroundings {
    corners: Vec<Coord<f64>>,
    feet: Vec<f64>,
    areas: Vec<Area>,
    tree: RTree<IndexEntry>,
}

/// Acres of one field.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Acres {
    /// Inside the boundary, above 0.
    pub gross: f64,
    /// Left to spread on: from 0 to `gross`.
    pub spreadable: f64,
}

/// Why a field has no acres.
#[derive(Debug, Clone, PartialEq)]
pub enum Unfit {
    /// What is wrong with its boundary: the serious faults, one at least.
    Faults(Vec<ShapeFault>),
    /// It could not be cut.
    Refused(CutRefused),
}

impl Gathered {
    /// Adds a thing: where it is, longitude and latitude in degrees, and its distance in feet.
    /// Of a polygon the inside belongs to it; with a distance of 0 a point or a line takes nothing.
    ///
    /// # Errors
    /// When a corner is out of range, or the distance is not from 0 to [`MOST_FEET`](super::setback::MOST_FEET). The index
    /// in it is how many things were added before.
    pub fn add(&mut self, geometry: &Geometry<f64>, feet: f64) -> Result<(), CutRefused> {
        check_keep(&KeepAway { index: self.feet.len(), geometry, feet })?;
        self.feet.push(feet);
        each_part(geometry, &mut |part| {
            match part {
                GeometryPart::Line(line) => self.line(line, feet),
                GeometryPart::Polygon(polygon) => self.polygon(polygon, feet),
            }
            Ok(())
        })
    }

    /// Puts everything behind an index.
    #[must_use]
    pub fn done(mut self) -> Surroundings {
        self.corners.shrink_to_fit();
        Surroundings { corners: self.corners, feet: self.feet, areas: self.areas, tree: RTree::bulk_load(self.entries) }
    }

    fn line(&mut self, line: &[Coord<f64>], feet: f64) {
        if feet > 0.0 {
            let corners = self.put(line.iter().copied());
            self.runs(&corners, feet, false);
        }
    }

    fn polygon(&mut self, polygon: &Polygon<f64>, feet: f64) {
        let outer = polygon.exterior();
        let rings = std::iter::once(outer).chain(polygon.interiors());
        let mut area = Area { thing: self.thing(), rings: Vec::new() };
        for ring in rings {
            // The ring of a polygon without holes, when it is plainly simple, is walked with the
            // inside on its left: only its right side can be an edge. Of any other both can.
            let mut corners = ring.0.clone();
            let simple = polygon.interiors().is_empty() && inside_on_left(&mut corners);
            let closing = corners.first().copied().filter(|first| corners.last() != Some(first));
            let corners = self.put(corners.into_iter().chain(closing));
            self.runs(&corners, feet, simple);
            area.rings.push(corners);
        }
        let polygon = number(self.areas.len());
        if let Some(reach) = Reach::around(outer.0.iter().copied()) {
            self.entries.push(entry(reach, feet, IndexedPart::Inside { polygon }));
            self.areas.push(area);
        }
    }

    /// Puts down corners, each that repeats the one before it once.
    fn put(&mut self, corners: impl Iterator<Item = Coord<f64>>) -> std::ops::Range<Number> {
        let first = number(self.corners.len());
        let mut before = None;
        for at in corners {
            if before.replace(at) != Some(at) {
                self.corners.push(at);
            }
        }
        first..number(self.corners.len())
    }

    /// Enters corners that hang together run by run.
    fn runs(&mut self, corners: &std::ops::Range<Number>, feet: f64, right: bool) {
        let thing = self.thing();
        let mut first = corners.start;
        while first < corners.end {
            let last = (first + number(RUN)).min(corners.end - 1);
            let run = self.corners.get(first as usize..=last as usize).unwrap_or_default();
            if let Some(reach) = Reach::around(run.iter().copied()) {
                self.entries.push(entry(reach, feet, IndexedPart::Run { thing, first, last, right }));
            }
            // The next run begins where this one ends; the last corner alone is no run.
            first = if last + 1 == corners.end { corners.end } else { last };
        }
    }

    /// The thing that is being added.
    fn thing(&self) -> Number {
        number(self.feet.len().saturating_sub(1))
    }
}

/// An entry whose box, in degrees, is `feet` wider on every side than what it is around.
fn entry(Reach { low, high }: Reach, feet: f64, what: IndexedPart) -> IndexEntry {
    // A setback is widened a little on the plane, by less than a thousandth and a foot.
    let feet = feet * 1.001 + 1.0;
    let lat = low.y.abs().max(high.y.abs()).min(MOST_LATITUDE);
    let degree = feet_per_degree((lat + feet / 300_000.0).min(MOST_LATITUDE + 1.0));
    // A degree of latitude is shortest at the equator: 362,700 ft.
    let by = coord! { x: feet / degree.x, y: feet / 362_000.0 };
    GeomWithData::new(Rectangle::from_corners((low - by).into(), (high + by).into()), what)
}

impl Surroundings {
    /// Acres of a field (longitude and latitude in degrees), as
    /// [`cut`](super::spreadable::cut) has them with slivers kept, but for its arcs: those here
    /// are true circles.
    ///
    /// # Errors
    /// When its boundary has serious faults, or cannot be measured.
    pub fn acres(&self, field: &MultiPolygon<f64>) -> Result<Acres, Unfit> {
        self.counted(field, false)
    }

    /// The same, held against the shape that the overlay engine cuts; slower.
    ///
    /// # Errors
    /// As [`acres`](Surroundings::acres), and where the two differ.
    pub fn acres_checked(&self, field: &MultiPolygon<f64>) -> Result<Acres, Unfit> {
        self.counted(field, true)
    }

    fn counted(&self, field: &MultiPolygon<f64>, check: bool) -> Result<Acres, Unfit> {
        let (plane, rings) = judged(field)?;
        let gross = WholeField::new(&rings).ok_or(Unfit::Refused(CutRefused::Empty))?.area();
        let near = self.near(field);
        let corners: usize = near.iter().map(|what| self.corners_of(*what)).sum();
        if corners > MOST_PIECES {
            return Err(Unfit::Refused(CutRefused::TooMany));
        }
        let overlaid = || self.overlaid(field, &plane, &near).map_err(Unfit::Refused);
        let left = self.left_of(&near, &plane, &rings).map_err(|broken| Unfit::Refused(broken.into()))?;
        let Some(left) = left else {
            return Ok(acres(gross, overlaid()?));
        };
        if !near.is_empty() && (check || corners > UNCHECKED_PIECES) {
            left.agrees(overlaid()?, gross).map_err(Unfit::Refused)?;
        }
        Ok(acres(gross, left.square_feet))
    }

    /// What is left of a field in closed form, by its rings on a plane; `None` where rounding
    /// stands in its way.
    pub(super) fn left(
        &self,
        field: &MultiPolygon<f64>,
        plane: &Plane,
        rings: &[Vec<Coord<f64>>],
    ) -> Result<Option<Left>, Broken> {
        self.left_of(&self.near(field), plane, rings)
    }

    fn left_of(&self, near: &[IndexedPart], plane: &Plane, rings: &[Vec<Coord<f64>>]) -> Result<Option<Left>, Broken> {
        let Some(mut whole) = WholeField::new(rings) else { return Ok(None) };
        self.take(near, plane, &mut whole);
        whole.left()
    }

    /// How many corners stand behind an entry.
    fn corners_of(&self, what: IndexedPart) -> usize {
        match what {
            IndexedPart::Run { first, last, .. } => (last - first).max(1) as usize,
            IndexedPart::Inside { .. } => 0,
        }
    }

    /// Takes everything near out of a field.
    fn take(&self, near: &[IndexedPart], plane: &Plane, whole: &mut WholeField) {
        let field = whole.reach();
        let feet_of = |thing: Number| self.feet.get(thing as usize).copied().unwrap_or_default();
        // Most things near a field have one of two or three distances.
        let mut known: Vec<(f64, f64)> = Vec::new();
        let mut radius_of = |feet: f64| match known.iter().find(|(own, _)| *own == feet) {
            Some((_, radius)) => *radius,
            None => {
                let radius = if feet > 0.0 { widened(feet, plane, field) } else { NO_DISTANCE_FEET };
                known.push((feet, radius));
                radius
            }
        };
        for what in near {
            match *what {
                IndexedPart::Run { thing, first, last, right } => {
                    let radius = radius_of(feet_of(thing));
                    let run = self.corners.get(first as usize..=last as usize).unwrap_or_default();
                    let mut before = None;
                    for at in run.iter().map(|&at| plane.to_feet(at)) {
                        match before.replace(at) {
                            Some(from) => whole.take(from, at, radius, right),
                            None if run.len() == 1 => whole.take(at, at, radius, false),
                            None => {}
                        }
                    }
                }
                IndexedPart::Inside { polygon } => {
                    let rings = self.areas.get(polygon as usize).map(|area| area.rings.as_slice()).unwrap_or_default();
                    let mut rings = rings.iter().map(|ring| opened(self.degrees(ring), plane));
                    if let Some(outer) = rings.next() {
                        whole.take_inside(outer, rings.collect());
                    }
                }
            }
        }
    }

    fn degrees(&self, range: &std::ops::Range<Number>) -> &[Coord<f64>] {
        self.corners.get(range.start as usize..range.end as usize).unwrap_or_default()
    }

    /// What can reach a field, in order of entry.
    fn near(&self, field: &MultiPolygon<f64>) -> Vec<IndexedPart> {
        let Some(reach) = Reach::around(field.coords_iter()) else {
            return Vec::new();
        };
        let around = AABB::from_corners(reach.low.into(), reach.high.into());
        let mut near: Vec<IndexedPart> =
            self.tree.locate_in_envelope_intersecting(&around).map(|entry| entry.data).collect();
        near.sort_unstable();
        near
    }

    /// Square feet that are left by the overlay engine.
    fn overlaid(&self, field: &MultiPolygon<f64>, plane: &Plane, near: &[IndexedPart]) -> Result<f64, CutRefused> {
        let boundary = Ground::from_shape(&plane.shape_to_feet(field))?;
        let reach = Reach::around(boundary.rings().flatten()).ok_or(CutRefused::Empty)?;
        let mut all = Vec::new();
        // They were counted; the rings of a polygon come once as its inside and once as lines.
        let mut room = usize::MAX;
        for what in near {
            let (thing, geometry) = self.geometry(*what);
            let feet = self.feet.get(thing as usize).copied().unwrap_or_default();
            let thing = KeepAway { index: 0, geometry: &geometry, feet };
            all.extend(pieces(&thing, plane, reach, &mut room)?);
        }
        Ok(boundary.less(&united(&all)?)?.square_feet())
    }

    /// What stands behind an entry, as a geometry in degrees, and the thing that it belongs to.
    fn geometry(&self, what: IndexedPart) -> (Number, Geometry<f64>) {
        match what {
            IndexedPart::Run { thing, first, last, .. } => {
                (thing, LineString(self.degrees(&(first..last + 1)).to_vec()).into())
            }
            IndexedPart::Inside { polygon } => {
                let Some(area) = self.areas.get(polygon as usize) else {
                    return (0, LineString(Vec::new()).into());
                };
                let mut rings = area.rings.iter().map(|ring| LineString(self.degrees(ring).to_vec()));
                let outer = rings.next().unwrap_or(LineString(Vec::new()));
                (area.thing, Polygon::new(outer, rings.collect()).into())
            }
        }
    }
}

/// The plane and the rings in feet of a field, or the serious faults that it has.
fn judged(field: &MultiPolygon<f64>) -> Result<FlatField, Unfit> {
    if let Some(sound) = plainly_sound(field) {
        return Ok(sound);
    }
    // Only what is not plainly sound pays for the full look.
    let mut found = faults(field);
    found.retain(ShapeFault::serious);
    if !found.is_empty() {
        return Err(Unfit::Faults(found));
    }
    let plane = Plane::for_shape(field).ok_or(Unfit::Refused(CutRefused::Empty))?;
    // A hole may stick out of its ring by less than is told as a fault, and parts may lie over
    // each other by as little. What that means is decided in one place, for both ways to count.
    let ground = Ground::from_shape(&plane.shape_to_feet(field)).map_err(|broken| Unfit::Refused(broken.into()))?;
    Ok((plane, ground.rings().collect()))
}

/// The plane and the rings in feet of a field of one ring that plainly meets itself nowhere.
fn plainly_sound(field: &MultiPolygon<f64>) -> Option<FlatField> {
    let [part] = field.0.as_slice() else { return None };
    let whole = part.interiors().is_empty() && field.coords_iter().all(in_range);
    let plane = Plane::for_shape(field).filter(|_| whole && !too_wide(field))?;
    let mut ring = opened(&part.exterior().0, &plane);
    if ring_area(&ring) < 0.0 {
        ring.reverse();
    }
    plainly_simple(&ring).then(|| (plane, vec![ring]))
}

/// A ring in feet, no corner repeated.
fn opened(ring: &[Coord<f64>], plane: &Plane) -> Vec<Coord<f64>> {
    let mut corners: Vec<Coord<f64>> = ring.iter().map(|&at| plane.to_feet(at)).collect();
    corners.dedup();
    if corners.len() > 1 && corners.first() == corners.last() {
        corners.pop();
    }
    corners
}

/// Turns a ring in degrees so that its inside is on its left; `false` when it is not plainly simple.
fn inside_on_left(ring: &mut [Coord<f64>]) -> bool {
    let Some(&first) = ring.first() else { return false };
    let feet = opened(ring, &Plane::at(first.x, first.y));
    let simple = plainly_simple(&feet);
    if simple && ring_area(&feet) < 0.0 {
        ring.reverse();
    }
    simple
}

/// Square feet to acres, what is left within what there is.
fn acres(gross: f64, left: f64) -> Acres {
    let gross = gross / SQUARE_FEET_PER_ACRE;
    Acres { gross, spreadable: (left / SQUARE_FEET_PER_ACRE).clamp(0.0, gross.max(0.0)) }
}

/// A place in a list as it is kept.
fn number(place: usize) -> Number {
    Number::try_from(place).unwrap_or(Number::MAX)
}
