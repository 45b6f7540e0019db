//! The flat piece of ground on which one field is measured.
//!
//! Here lives the step from longitude and latitude (degrees, WGS84) to feet east and north of
//! the field's own middle, and back. Nothing here knows a setback or a rule.
//!
//! Method: ellipsoidal equirectangular. `x = N(lat0) cos(lat0) dlon`, `y = M(lat0) dlat`, with
//! N the radius of curvature in the prime vertical and M the one in the meridian (any text on
//! geodesy; given in closed form by the two defining constants of WGS84). The step is linear, so
//! an edge that is straight in longitude and latitude, as `GeoJSON` says it is (RFC 7946, section
//! 3.1.1), stays straight on the plane.

use geo::{Coord, CoordsIter, Geometry, LineString, MapCoords, MultiPolygon, coord};

use super::reach::Reach;

/// Meters in an international foot, exact by definition.
pub const METERS_PER_FOOT: f64 = 0.3048;

/// Square feet in an acre: 66 ft by 660 ft. Taken in international feet; an acre of survey feet
/// is larger by 4 parts in a million, which is below what a boundary can tell.
pub const SQUARE_FEET_PER_ACRE: f64 = 43_560.0;

/// Largest latitude, north or south, that is taken (degrees). A flat plane of this kind fails at
/// the poles; no hay is cut there.
pub const MOST_LATITUDE: f64 = 85.0;

/// Widest field that one plane may carry, in degrees of longitude or latitude (0.5 degrees of
/// latitude is 34 miles). The error of an area grows with the square of the span and stays near
/// 1 part in 100,000 here; a boundary wider than this is a mistake in the file.
pub const MOST_SPAN_DEGREES: f64 = 0.5;

/// WGS84, half the equatorial axis in meters (a defining constant).
const SEMI_MAJOR_M: f64 = 6_378_137.0;
/// WGS84, flattening (a defining constant).
const FLATTENING: f64 = 1.0 / 298.257_223_563;

/// Local plane of one field: feet east (`x`) and north (`y`) of its middle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plane {
    middle: Coord<f64>,
    feet_per_degree: Coord<f64>,
}

/// Feet in one degree of longitude (`x`) and of latitude (`y`) at a latitude in degrees.
pub(super) fn feet_per_degree(lat: f64) -> Coord<f64> {
    let e2 = FLATTENING * (2.0 - FLATTENING);
    let (sin, cos) = lat.to_radians().sin_cos();
    let w2 = 1.0 - e2 * sin * sin;
    let prime_vertical = SEMI_MAJOR_M / w2.sqrt();
    let meridian = SEMI_MAJOR_M * (1.0 - e2) / (w2 * w2.sqrt());
    let per_degree = 1.0_f64.to_radians() / METERS_PER_FOOT;
    coord! { x: prime_vertical * cos * per_degree, y: meridian * per_degree }
}

impl Plane {
    /// The plane that touches the earth at `lon`, `lat` (degrees). Takes any number; one that is
    /// not finite gives a plane that answers with numbers that are not finite.
    #[must_use]
    pub fn at(lon: f64, lat: f64) -> Plane {
        Plane { middle: coord! { x: lon, y: lat }, feet_per_degree: feet_per_degree(lat) }
    }

    /// The plane at the middle of a shape: the centroid of its area, because there the first
    /// order of the error of an area is zero; the middle of its box where the area is zero.
    /// `None` when the shape is empty, or holds a corner that is not finite or out of range.
    #[must_use]
    pub fn for_shape(shape: &MultiPolygon<f64>) -> Option<Plane> {
        let Reach { low, high } = Reach::around(shape.coords_iter()).filter(|_| shape.coords_iter().all(in_range))?;
        let middle = (low + high) / 2.0;
        let mut sum = [0.0; 3];
        for polygon in shape {
            add_moments(polygon.exterior(), middle, 1.0, &mut sum);
            for hole in polygon.interiors() {
                add_moments(hole, middle, -1.0, &mut sum);
            }
        }
        let [area, east, north] = sum;
        let centroid = middle + coord! { x: east / area, y: north / area };
        // A shape that crosses itself can throw its centroid anywhere, or nowhere (0 / 0).
        let inside = (low.x..=high.x).contains(&centroid.x) && (low.y..=high.y).contains(&centroid.y);
        let at = if inside { centroid } else { middle };
        Some(Plane::at(at.x, at.y))
    }

    /// Where the plane touches the earth: longitude (`x`) and latitude (`y`) in degrees.
    #[must_use]
    pub fn middle(&self) -> Coord<f64> {
        self.middle
    }

    /// Longitude and latitude (degrees) to feet.
    #[must_use]
    pub fn to_feet(&self, place: Coord<f64>) -> Coord<f64> {
        coord! {
            x: (place.x - self.middle.x) * self.feet_per_degree.x,
            y: (place.y - self.middle.y) * self.feet_per_degree.y,
        }
    }

    /// Feet to longitude and latitude (degrees).
    #[must_use]
    pub fn to_lonlat(&self, feet: Coord<f64>) -> Coord<f64> {
        coord! {
            x: self.middle.x + feet.x / self.feet_per_degree.x,
            y: self.middle.y + feet.y / self.feet_per_degree.y,
        }
    }

    /// A shape in degrees to feet.
    #[must_use]
    pub fn shape_to_feet(&self, shape: &MultiPolygon<f64>) -> MultiPolygon<f64> {
        shape.map_coords(|place| self.to_feet(place))
    }

    /// A shape in feet back to degrees (for maps).
    #[must_use]
    pub fn shape_to_lonlat(&self, shape: &MultiPolygon<f64>) -> MultiPolygon<f64> {
        shape.map_coords(|feet| self.to_lonlat(feet))
    }

    /// Any geometry in degrees to feet.
    #[must_use]
    pub fn geometry_to_feet(&self, geometry: &Geometry<f64>) -> Geometry<f64> {
        geometry.map_coords(|place| self.to_feet(place))
    }

    /// By how much the plane overstates a distance at worst, as a factor of 1 or more, between
    /// two heights on the plane (feet north of the middle). Away from the middle the meridians
    /// draw together and the plane does not, so that 100 ft on the plane can be 99.99 ft on the
    /// ground; a setback is widened by this factor and never falls short.
    #[must_use]
    pub fn overstates(&self, south_ft: f64, north_ft: f64) -> f64 {
        [south_ft, north_ft]
            .into_iter()
            .map(|y| self.middle.y + y / self.feet_per_degree.y)
            .map(|lat| feet_per_degree(lat.clamp(-MOST_LATITUDE - 1.0, MOST_LATITUDE + 1.0)))
            .map(|real| (self.feet_per_degree.x / real.x).max(self.feet_per_degree.y / real.y))
            .fold(1.0, f64::max)
    }
}

/// True when a corner is finite, its longitude within 180 degrees and its latitude within
/// [`MOST_LATITUDE`].
#[must_use]
pub fn in_range(place: Coord<f64>) -> bool {
    // A comparison with NaN is false, and infinity is beyond the range.
    place.x.abs() <= 180.0 && place.y.abs() <= MOST_LATITUDE
}

/// Adds a ring's area and first moments about `middle`, taken positive whichever way the ring
/// runs, times `sign`.
fn add_moments(ring: &LineString<f64>, middle: Coord<f64>, sign: f64, sum: &mut [f64; 3]) {
    let mut own = [0.0; 3];
    for line in ring.lines() {
        let (a, b) = (line.start - middle, line.end - middle);
        let cross = a.x * b.y - b.x * a.y;
        own[0] += cross / 2.0;
        own[1] += (a.x + b.x) * cross / 6.0;
        own[2] += (a.y + b.y) * cross / 6.0;
    }
    let sign = if own[0] < 0.0 { -sign } else { sign };
    for (total, part) in sum.iter_mut().zip(own) {
        *total += sign * part;
    }
}
