//! How far it is from one place to another, for hauling.
//!
//! Straight over the ground. A road is longer; how much longer is for the caller to say.

use geo::{Coord, Distance, Geodesic, Point};

use super::plane::in_range;

/// Meters in an international mile: 5,280 ft of 0.3048 m.
pub const METERS_PER_MILE: f64 = 1_609.344;

/// Miles between two places (longitude and latitude in degrees) along the geodesic of WGS84
/// (Karney 2013, as `geo` has it). NaN when a place is not finite or out of range; never below 0.
#[must_use]
pub fn miles(a: Coord<f64>, b: Coord<f64>) -> f64 {
    if !in_range(a) || !in_range(b) {
        return f64::NAN;
    }
    Geodesic.distance(Point(a), Point(b)) / METERS_PER_MILE
}
