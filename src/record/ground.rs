//! The ground that an entry says was done: an area, or the way that was driven with the
//! width that it covered.

use crate::findings::Place;
use crate::units::{Feet, Quantity, quantity};
use geo::Geometry;

/// What may be written as the ground.
pub const GROUND_ACCEPTS: &str = "an area, POLYGON((lon lat, lon lat, ...)), or the way that was driven, \
                                  LINESTRING(lon lat, lon lat, ...): longitude, a space, latitude; a ring ends where it begins";
/// What may be written as the width of a way.
pub(super) const SWATH_ACCEPTS: &str = "a width from 5 to 200 ft, as in 30 ft";

/// Narrowest and widest swath that is taken, in feet.
const SWATH_FEET: std::ops::RangeInclusive<f64> = 5.0..=200.0;

/// The ground of one entry.
#[derive(Clone, Debug, PartialEq)]
pub struct LoggedGround {
    /// Where it is, in longitude and latitude: areas or lines.
    pub shape: Geometry<f64>,
    /// Feet that a way covered, where the entry says so.
    pub swath: Option<f64>,
    /// Where it stands.
    pub place: Place,
}

impl LoggedGround {
    /// Whether it is the way that was driven.
    #[must_use]
    pub fn is_line(&self) -> bool {
        matches!(self.shape, Geometry::LineString(_) | Geometry::MultiLineString(_))
    }
}

/// Feet; a bare number is feet.
pub(super) fn swath(text: &str) -> Option<f64> {
    let feet = quantity::<Feet>(text).or_else(|_| quantity::<Feet>(&format!("{text} ft"))).ok()?;
    Some(feet.get()).filter(|feet| SWATH_FEET.contains(feet))
}
