//! One field cut: what is left to spread on after everything it must stay away from.
//!
//! Here lives the order in which ground is charged, the sliver test and the check that the parts
//! add up. Which distance a thing needs is not known here; it comes with the [`KeepOut`].

use std::f64::consts::PI;
use std::fmt;

use geo::{CoordsIter, MultiPolygon};

use super::grid::{Broken, Ground};
use super::outline::Arcs;
use super::plane::{MOST_LATITUDE, MOST_SPAN_DEGREES, Plane, SQUARE_FEET_PER_ACRE, in_range};
use super::reach::Reach;
use super::setback::{KeepOut, MOST_FEET, perimeter, pieces, within_of_rings};

/// Ground that one thing takes out of a field.
#[derive(Debug, Clone, PartialEq)]
pub struct Zone {
    /// [`KeepOut::index`] of the thing.
    pub index: usize,
    /// Acres charged to it, above 0. Ground within reach of two things is charged once, to the
    /// one with the wider distance; at the same distance to the one with the lower index.
    pub acres: f64,
    /// The part of the field charged to it, in feet on the plane.
    pub shape: MultiPolygon<f64>,
}

/// One field cut. `gross` = acres of all zones + `acres` + `sliver_acres`, within rounding.
#[derive(Debug, Clone, PartialEq)]
pub struct Cut {
    /// The plane on which all shapes here lie.
    pub plane: Plane,
    /// The field's own boundary in feet, cleaned: a part that lies over another counts once.
    pub boundary: MultiPolygon<f64>,
    /// Acres inside the boundary, above 0.
    pub gross: f64,
    /// What takes ground, in order of index; things that take none are not listed.
    pub zones: Vec<Zone>,
    /// The ground left to spread on, in feet. May be empty.
    pub spreadable: MultiPolygon<f64>,
    /// Acres of it, 0 or more.
    pub acres: f64,
    /// How many parts were dropped as too small for the spreader.
    pub slivers: usize,
    /// Acres of those.
    pub sliver_acres: f64,
}

/// Why a field could not be cut.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Refused {
    /// No corner, or no ground inside the boundary.
    Empty,
    /// A coordinate of the boundary is not a finite number.
    NotFinite,
    /// A coordinate of the boundary is no longitude and latitude, or beyond [`MOST_LATITUDE`].
    OutOfRange,
    /// The boundary spans more than [`MOST_SPAN_DEGREES`] (so does one across the date line).
    TooWide,
    /// A coordinate of the thing with this index is not finite or out of range.
    KeepOutPlace {
        /// [`KeepOut::index`].
        index: usize,
    },
    /// The distance of the thing with this index is not between 0 and [`MOST_FEET`].
    KeepOutDistance {
        /// [`KeepOut::index`].
        index: usize,
        /// The distance as given, in feet.
        feet: f64,
    },
    /// The sliver width is not between 0 and [`MOST_FEET`].
    SliverWidth {
        /// The width as given, in feet.
        feet: f64,
    },
    /// The overlay engine failed, or its parts did not add up to the field.
    Broken,
}

impl fmt::Display for Refused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Refused::Empty => write!(f, "the boundary encloses no ground"),
            Refused::NotFinite => write!(f, "a corner of the boundary is not a number"),
            Refused::OutOfRange => write!(
                f,
                "a corner of the boundary is not a longitude (-180 to 180) and latitude (-{MOST_LATITUDE} to {MOST_LATITUDE})"
            ),
            Refused::TooWide => write!(f, "the boundary spans more than {MOST_SPAN_DEGREES} degrees"),
            Refused::KeepOutPlace { .. } => write!(
                f,
                "a corner of the thing to stay away from is not a longitude (-180 to 180) and latitude (-{MOST_LATITUDE} to {MOST_LATITUDE})"
            ),
            Refused::KeepOutDistance { feet, .. } => {
                write!(f, "the distance {feet} ft is not between 0 and {MOST_FEET} ft")
            }
            Refused::SliverWidth { feet } => {
                write!(f, "the sliver width {feet} ft is not between 0 and {MOST_FEET} ft")
            }
            Refused::Broken => write!(f, "the shape could not be cut; draw the boundary again"),
        }
    }
}

impl std::error::Error for Refused {}

impl From<Broken> for Refused {
    fn from(_: Broken) -> Self {
        Refused::Broken
    }
}

/// Cuts everything in `keep` out of `field` (longitude and latitude in degrees).
///
/// `sliver_ft`: parts left over into which no circle of this diameter (feet) fits are dropped
/// and counted; 0 keeps all. Only whole parts are dropped; a thin tail of a wide part stays.
///
/// A boundary that crosses itself is taken as all the ground it winds around; whether that is
/// what was meant is for [`faults`](super::faults::faults) to ask first.
///
/// # Errors
/// [`Refused`] says which input cannot be used. One unusable thing refuses the field, because a
/// setback left out would be worse than no answer.
pub fn cut(field: &MultiPolygon<f64>, keep: &[KeepOut], sliver_ft: f64) -> Result<Cut, Refused> {
    let plane = plane_of(field)?;
    check_keep(keep)?;
    if !(0.0..=MOST_FEET).contains(&sliver_ft) {
        return Err(Refused::SliverWidth { feet: sliver_ft });
    }
    let boundary = Ground::from_shape(&plane.shape_to_feet(field))?;
    let reach = Reach::around(boundary.rings().flatten()).ok_or(Refused::Empty)?;

    let (mut zones, left) = charge(&boundary, keep, &plane, reach)?;
    let (spreadable, slivers) = drop_slivers(left, sliver_ft)?;
    // Corners made by a cut are rounded onto the grid: a part that is all of
    // the field can come out larger than it by a hair.
    let gross = acres(&boundary);
    zones.iter_mut().for_each(|zone| zone.acres = zone.acres.min(gross));
    let cut = Cut {
        plane,
        boundary: boundary.to_shape(),
        gross,
        zones,
        acres: acres(&spreadable).min(gross),
        spreadable: spreadable.to_shape(),
        slivers: slivers.len(),
        // Not `sum`, which makes -0 of nothing.
        sliver_acres: slivers.iter().map(acres).fold(0.0, |sum, acres| sum + acres).min(gross),
    };
    if cut.adds_up() { Ok(cut) } else { Err(Refused::Broken) }
}

/// What each thing takes of the ground, in order of index, and what is left.
fn charge(boundary: &Ground, keep: &[KeepOut], plane: &Plane, reach: Reach) -> Result<(Vec<Zone>, Ground), Broken> {
    let mut order: Vec<&KeepOut> = keep.iter().collect();
    order.sort_by(|a, b| b.feet.total_cmp(&a.feet).then(a.index.cmp(&b.index)));
    let mut left = boundary.clone();
    let mut zones = Vec::new();
    for thing in order {
        let pieces = pieces(thing, plane, reach, Arcs::Usual)?;
        let Some(around) = Reach::around(pieces.iter().flatten().copied()) else {
            continue;
        };
        // Parts out of reach need no overlay.
        let (near, mut rest): (Vec<Ground>, Vec<Ground>) = left
            .into_parts()
            .partition(|part| Reach::around(part.rings().flatten()).is_some_and(|own| own.meets(&around)));
        let (taken, outside) = near.into_iter().collect::<Ground>().split(&pieces)?;
        if !taken.is_empty() {
            zones.push(Zone { index: thing.index, acres: acres(&taken), shape: taken.to_shape() });
        }
        rest.push(outside);
        left = rest.into_iter().collect();
    }
    zones.sort_by_key(|zone| zone.index);
    Ok((zones, left))
}

impl Cut {
    /// Whether the parts make the whole, to a ten-thousandth of an acre plus a millionth.
    fn adds_up(&self) -> bool {
        let zones: f64 = self.zones.iter().map(|zone| zone.acres).sum();
        let parts = zones + self.acres + self.sliver_acres;
        (self.gross - parts).abs() <= 1e-4 + 1e-6 * self.gross
    }
}

/// The plane of a field, or why there is none.
pub(super) fn plane_of(field: &MultiPolygon<f64>) -> Result<Plane, Refused> {
    if field.coords_iter().any(|at| !at.x.is_finite() || !at.y.is_finite()) {
        return Err(Refused::NotFinite);
    }
    if !field.coords_iter().all(in_range) {
        return Err(Refused::OutOfRange);
    }
    let bounds = Reach::around(field.coords_iter()).ok_or(Refused::Empty)?;
    let span = bounds.high - bounds.low;
    if span.x > MOST_SPAN_DEGREES || span.y > MOST_SPAN_DEGREES {
        return Err(Refused::TooWide);
    }
    Plane::for_shape(field).ok_or(Refused::Empty)
}

/// Refuses a thing whose place or distance cannot be used.
fn check_keep(keep: &[KeepOut]) -> Result<(), Refused> {
    for &KeepOut { index, geometry, feet } in keep {
        if !(0.0..=MOST_FEET).contains(&feet) {
            return Err(Refused::KeepOutDistance { index, feet });
        }
        if !geometry.coords_iter().all(in_range) {
            return Err(Refused::KeepOutPlace { index });
        }
    }
    Ok(())
}

/// Parts the ground into what is wide enough and the slivers.
fn drop_slivers(ground: Ground, width_ft: f64) -> Result<(Ground, Vec<Ground>), Broken> {
    let mut kept = Vec::new();
    let mut slivers = Vec::new();
    for part in ground.into_parts() {
        if width_ft <= 0.0 || holds_circle(&part, width_ft)? {
            kept.push(part);
        } else {
            slivers.push(part);
        }
    }
    Ok((kept.into_iter().collect(), slivers))
}

/// Whether a circle of this diameter (feet) fits into one part.
fn holds_circle(part: &Ground, width_ft: f64) -> Result<bool, Broken> {
    let area = part.square_feet();
    let radius = width_ft / 2.0;
    if area < PI * radius * radius {
        return Ok(false);
    }
    let rings: Vec<_> = part.rings().collect();
    let around: f64 = rings.iter().map(|ring| perimeter(ring)).sum();
    // Drawing the edge inward sweeps the area, until at the widest circle's radius nothing is
    // left. On the way the edge never gets longer, but for the edge of a hole, which grows by a
    // circle's worth. So ground with more area than that holds a wider circle (Sz.-Nagy 1959, on
    // inner parallel curves; from memory).
    #[expect(clippy::cast_precision_loss, reason = "no part has 2^52 holes")]
    let holes = part.holes() as f64;
    if area >= radius * around + PI * radius * radius * holes {
        return Ok(true);
    }
    Ok(!part.without(&within_of_rings(&rings, radius))?.is_empty())
}

/// Acres of ground.
fn acres(ground: &Ground) -> f64 {
    ground.square_feet() / SQUARE_FEET_PER_ACRE
}
