//! One field cut: what is left to spread on after everything it must stay away from.
//!
//! Here lives the order in which ground is charged, the sliver test and the check that the parts
//! add up. Which distance a thing needs is not known here; it comes with the [`KeepAway`].

use std::f64::consts::PI;

use geo::{CoordsIter, MultiPolygon};

use super::agree::Left;
use super::county::Gathered;
use super::faults::too_wide;
use super::grid::{Broken, Ground};
use super::plane::{Plane, SQUARE_FEET_PER_ACRE, in_range};
use super::reach::Reach;
use super::refused::{CutRefused, check_keep};
use super::setback::{KeepAway, MOST_FEET, MOST_PIECES, perimeter, pieces, within_of_rings};
use super::union::{ThingTree, united};

/// Ground that one thing takes out of a field.
#[derive(Debug, Clone, PartialEq)]
pub struct Zone {
    /// [`KeepAway::index`] of the thing.
    pub index: usize,
    /// Acres charged to it, above 0. Ground within reach of two things is charged once, to the
    /// one with the wider distance; at the same distance to the one with the lower index.
    pub acres: f64,
    /// The part of the field charged to it, in feet on the plane.
    pub shape: MultiPolygon<f64>,
}

/// One field cut. Acres of all zones + `acres` + `sliver_acres` are `gross`, within rounding and
/// what the arcs of the zones, drawn with edges, take more than true ones.
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
    /// Acres of it in closed form, 0 or more.
    pub acres: f64,
    /// How many parts were dropped as too small for the spreader.
    pub slivers: usize,
    /// Acres of those.
    pub sliver_acres: f64,
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
/// [`CutRefused`] says which input cannot be used. One unusable thing refuses the field, because a
/// setback left out would be worse than no answer.
pub fn cut(field: &MultiPolygon<f64>, keep: &[KeepAway], sliver_ft: f64) -> Result<Cut, CutRefused> {
    let plane = plane_of(field)?;
    keep.iter().try_for_each(check_keep)?;
    if !(0.0..=MOST_FEET).contains(&sliver_ft) {
        return Err(CutRefused::SliverWidth { feet: sliver_ft });
    }
    let boundary = Ground::from_shape(&plane.shape_to_feet(field))?;
    let reach = Reach::around(boundary.rings().flatten()).ok_or(CutRefused::Empty)?;

    let near = grounds(keep, &plane, reach)?;
    let closed = closed(field, &near, &plane, &boundary)?;
    let (mut zones, left) = charge(&boundary, near)?;
    if let Some(closed) = &closed {
        closed.agrees(left.square_feet(), boundary.square_feet())?;
    }
    // The figure is that of true arcs; the shapes lie within it by what arcs drawn with edges take.
    let more = closed.map_or(0.0, |closed| closed.square_feet - left.square_feet()) / SQUARE_FEET_PER_ACRE;
    let (spreadable, slivers) = drop_slivers(left, sliver_ft)?;
    let more = if spreadable.is_empty() { 0.0 } else { more };
    // Corners made by a cut are rounded onto the grid: a part that is all of
    // the field can come out larger than it by a hair.
    let gross = acres(&boundary);
    zones.iter_mut().for_each(|zone| zone.acres = zone.acres.min(gross));
    let cut = Cut {
        plane,
        boundary: boundary.to_shape(),
        gross,
        zones,
        acres: (acres(&spreadable) + more).clamp(0.0, gross),
        spreadable: spreadable.to_shape(),
        slivers: slivers.len(),
        // Not `sum`, which makes -0 of nothing.
        sliver_acres: slivers.iter().map(acres).fold(0.0, |sum, acres| sum + acres).min(gross),
    };
    if cut.adds_up(more) { Ok(cut) } else { Err(CutRefused::Broken) }
}

/// The things within reach with their ground, in the order in which it is charged to them.
fn grounds<'a>(keep: &'a [KeepAway], plane: &Plane, field: Reach) -> Result<Vec<(&'a KeepAway<'a>, Ground)>, Broken> {
    let mut order: Vec<&KeepAway> = keep.iter().collect();
    order.sort_by(|a, b| b.feet.total_cmp(&a.feet).then(a.index.cmp(&b.index)));
    let mut near = Vec::new();
    let mut room = MOST_PIECES;
    for thing in order {
        let groups = pieces(thing, plane, field, &mut room)?;
        if !groups.is_empty() {
            near.push((thing, united(&groups)?));
        }
    }
    Ok(near)
}

/// What is left in closed form; `None` where rounding stands in its way.
fn closed(
    field: &MultiPolygon<f64>,
    near: &[(&KeepAway, Ground)],
    plane: &Plane,
    boundary: &Ground,
) -> Result<Option<Left>, CutRefused> {
    let mut gathered = Gathered::default();
    near.iter().try_for_each(|(thing, _)| gathered.add(thing.geometry, thing.feet))?;
    if near.is_empty() {
        return Ok(None);
    }
    let rings: Vec<_> = boundary.rings().collect();
    Ok(gathered.done().left(field, plane, &rings)?)
}

/// What each thing takes of the ground, in order of index, and what is left.
fn charge(boundary: &Ground, near: Vec<(&KeepAway, Ground)>) -> Result<(Vec<Zone>, Ground), Broken> {
    let near = near.into_iter().map(|(thing, ground)| (thing.index, ground)).collect();
    let Some(things) = ThingTree::new(near)? else {
        return Ok((Vec::new(), boundary.clone()));
    };
    let (taken, left) = boundary.clone().split(things.ground())?;
    let mut parts = Vec::new();
    things.share(taken, &mut parts)?;
    let zone = |(index, ground): (usize, Ground)| Zone { index, acres: acres(&ground), shape: ground.to_shape() };
    let mut zones: Vec<Zone> = parts.into_iter().map(zone).collect();
    zones.sort_by_key(|zone| zone.index);
    Ok((zones, left))
}

impl Cut {
    /// Whether the parts make the whole, to a ten-thousandth of an acre plus a millionth, where
    /// the closed form has so many acres more than the shapes.
    fn adds_up(&self, more: f64) -> bool {
        let zones: f64 = self.zones.iter().map(|zone| zone.acres).sum();
        let parts = zones + self.acres - more + self.sliver_acres;
        (self.gross - parts).abs() <= 1e-4 + 1e-6 * self.gross
    }
}

/// The plane of a field, or why there is none.
pub(super) fn plane_of(field: &MultiPolygon<f64>) -> Result<Plane, CutRefused> {
    if field.coords_iter().any(|at| !at.x.is_finite() || !at.y.is_finite()) {
        return Err(CutRefused::NotFinite);
    }
    if !field.coords_iter().all(in_range) {
        return Err(CutRefused::OutOfRange);
    }
    if too_wide(field) {
        return Err(CutRefused::TooWide);
    }
    Plane::for_shape(field).ok_or(CutRefused::Empty)
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
    Ok(!part.less(&within_of_rings(&rings, radius)?)?.is_empty())
}

/// Acres of ground.
fn acres(ground: &Ground) -> f64 {
    ground.square_feet() / SQUARE_FEET_PER_ACRE
}
