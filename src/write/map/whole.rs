//! The ground of the whole farm, as the overview draws it.

use crate::check::Ready;
use crate::ground::Plane;
use crate::write::drawing::frame::Frame;
use crate::write::sight::FieldSight;
use geo::{Coord, MapCoords, MultiPolygon};

/// The ground of the whole farm: one plane for it, and a frame around it.
pub(super) struct Whole<'a> {
    pub(super) plane: Plane,
    pub(super) frame: Frame,
    pub(super) ready: &'a Ready,
    pub(super) sights: &'a [FieldSight<'a>],
}

impl Whole<'_> {
    /// A shape on a field's plane, in feet on the plane of the farm.
    pub(super) fn carried(&self, shape: &MultiPolygon<f64>, from: &Plane) -> MultiPolygon<f64> {
        shape.map_coords(|at| self.plane.to_feet(from.to_lonlat(at)))
    }

    /// A place in longitude and latitude, in the picture.
    pub(super) fn at(&self, place: Coord<f64>) -> Coord<f64> {
        self.frame.at(self.plane.to_feet(place))
    }
}
