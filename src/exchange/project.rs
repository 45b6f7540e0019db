//! From the numbers of a map projection back to degrees.
//!
//! The arithmetic is that of `proj4rs`; what a projection is called in a file is not known here.
//! Longitude and latitude stay on the ellipsoid that the grid is drawn on: no datum is shifted.

use geo::{Coord, coord};
use proj4rs::Proj;
use proj4rs::transform::transform;

/// Farthest from the middle of a grid, in degrees of longitude, that anything is taken from it: a
/// zone is a few degrees wide.
const ZONE_DEGREES: f64 = 20.0;
/// The same for the grids that are drawn for a whole continent.
const CONTINENT_DEGREES: f64 = 60.0;
/// Half the way around the earth in meters, the farthest that a grid counts from its origin.
const HALF_AROUND: f64 = 20_037_509.0;
/// Most degrees of longitude that there are.
const WORLD_DEGREES: f64 = 180.0;

/// An ellipsoid of the earth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ellipsoid {
    /// Half the equatorial axis in meters.
    pub semi_major: f64,
    /// The inverse of the flattening.
    pub inverse_flattening: f64,
}

/// How a grid is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Method {
    /// Mercator on a sphere, as web maps draw it.
    WebMercator,
    /// UTM, and the State Plane zones that run north and south.
    TransverseMercator {
        /// Scale on the middle meridian.
        scale: f64,
    },
    /// The State Plane zones that run east and west.
    LambertConic {
        /// The two parallels; the same one twice where there is one only.
        parallels: (f64, f64),
        /// Scale on the parallel, 1 where there are two.
        scale: f64,
    },
    /// Equal areas on a cone, for whole countries.
    Albers {
        /// The two parallels.
        parallels: (f64, f64),
    },
    /// The State Plane zone and the state grid that run askew.
    ObliqueMercator {
        /// Azimuth of the middle line.
        azimuth: f64,
        /// Angle from the rectified to the skew grid.
        turn: f64,
        /// Scale on the middle line.
        scale: f64,
        /// Whether false easting and northing count from the center, not from the natural origin.
        centered: bool,
    },
}

/// A grid. Angles in degrees, lengths in meters.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Grid {
    /// How it is drawn.
    pub method: Method,
    /// What it is drawn on.
    pub ellipsoid: Ellipsoid,
    /// Latitude and longitude of the origin or center.
    pub origin: (f64, f64),
    /// False easting and northing.
    pub shift: (f64, f64),
    /// Meters in a unit of the file.
    pub unit: f64,
}

impl Grid {
    /// The grid in the words of `proj4rs`; `None` where a number is none that any grid has.
    fn definition(&self) -> Option<String> {
        let (lat, lon) = self.origin;
        let axis = |axis: f64| axis.is_finite() && (6.0e6..7.0e6).contains(&axis);
        let place = lat.abs() <= 90.0 && lon.abs() <= 360.0;
        let shift = self.shift.0.abs() < 1e9 && self.shift.1.abs() < 1e9;
        let flat = (100.0..=1000.0).contains(&self.ellipsoid.inverse_flattening);
        if !(axis(self.ellipsoid.semi_major) && flat && place && shift && (0.1..=1.1).contains(&self.unit)) {
            return None;
        }
        let scaled = |scale: f64| (0.5..=2.0).contains(&scale);
        // A cone needs its parallels off the equator and off the pole.
        let cone = |(one, two): (f64, f64)| (one + two).abs() > 1.0 && one.abs() <= 80.0 && two.abs() <= 80.0;
        let method = match self.method {
            Method::WebMercator => return Some("+proj=webmerc +a=6378137 +b=6378137".to_string()),
            Method::TransverseMercator { scale } if scaled(scale) => format!("tmerc +lon_0={lon} +k_0={scale}"),
            Method::LambertConic { parallels, scale } if scaled(scale) && cone(parallels) => {
                format!("lcc +lon_0={lon} +lat_1={} +lat_2={} +k_0={scale}", parallels.0, parallels.1)
            }
            Method::Albers { parallels } if cone(parallels) => {
                format!("aea +lon_0={lon} +lat_1={} +lat_2={}", parallels.0, parallels.1)
            }
            Method::ObliqueMercator { azimuth, turn, scale, centered }
                if scaled(scale)
                    && azimuth.abs() <= 360.0
                    && turn.abs() <= 360.0
                    && (0.1..=80.0).contains(&lat.abs()) =>
            {
                let from = if centered { "" } else { " +no_uoff" };
                format!("omerc +lonc={lon} +alpha={azimuth} +gamma={turn} +k_0={scale}{from}")
            }
            _ => return None,
        };
        Some(format!(
            "+proj={method} +lat_0={lat} +x_0={} +y_0={} +a={} +rf={} +to_meter={}",
            self.shift.0, self.shift.1, self.ellipsoid.semi_major, self.ellipsoid.inverse_flattening, self.unit
        ))
    }

    /// Degrees of longitude from its middle that it reaches.
    fn reach(&self) -> f64 {
        match self.method {
            Method::WebMercator => WORLD_DEGREES,
            Method::Albers { .. } | Method::LambertConic { .. } => CONTINENT_DEGREES,
            Method::TransverseMercator { .. } | Method::ObliqueMercator { .. } => ZONE_DEGREES,
        }
    }
}

/// How the numbers of a file become degrees.
#[derive(Clone)]
pub enum Projection {
    /// The numbers are degrees.
    Degrees,
    /// The numbers are those of a grid.
    DrawnGrid(Box<DrawnGrid>),
}

/// A grid that can be calculated back.
#[derive(Clone)]
pub struct DrawnGrid {
    grid: Grid,
    from: Proj,
    to: Proj,
}

impl std::fmt::Debug for Projection {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Projection::Degrees => write!(f, "degrees"),
            Projection::DrawnGrid(drawn) => write!(f, "{:?}", drawn.grid),
        }
    }
}

impl PartialEq for Projection {
    fn eq(&self, other: &Projection) -> bool {
        match (self, other) {
            (Projection::Degrees, Projection::Degrees) => true,
            (Projection::DrawnGrid(one), Projection::DrawnGrid(other)) => one.grid == other.grid,
            _ => false,
        }
    }
}

impl Projection {
    /// The way back from a grid.
    ///
    /// # Errors
    /// Says why nothing can be drawn with its numbers.
    pub fn of(grid: Grid) -> Result<Projection, String> {
        let text = grid.definition().ok_or("its numbers are none that a map is drawn with")?;
        let axes: Vec<&str> =
            text.split(' ').filter(|part| ["+a=", "+b=", "+rf="].iter().any(|own| part.starts_with(own))).collect();
        let read = |text: &str| Proj::from_proj_string(text).map_err(|e| e.to_string());
        let to = read(&format!("+proj=longlat {}", axes.join(" ")))?;
        Ok(Projection::DrawnGrid(Box::new(DrawnGrid { grid, from: read(&text)?, to })))
    }

    /// Longitude and latitude in degrees. `None` when the numbers lie nowhere near the ground
    /// that the projection is made for.
    #[must_use]
    pub fn to_lonlat(&self, at: Coord<f64>) -> Option<Coord<f64>> {
        let Projection::DrawnGrid(drawn) = self else { return Some(at) };
        let Grid { shift, unit, .. } = drawn.grid;
        let on_earth = |number: f64, shift: f64| (number * unit - shift).abs() <= HALF_AROUND;
        if !(on_earth(at.x, shift.0) && on_earth(at.y, shift.1)) {
            return None;
        }
        let mut point = (at.x, at.y, 0.0);
        transform(&drawn.from, &drawn.to, &mut point).ok()?;
        let lonlat = coord! { x: point.0.to_degrees(), y: point.1.to_degrees() };
        let off = (lonlat.x - drawn.grid.origin.1 + 180.0).rem_euclid(360.0) - 180.0;
        // Comparisons with NaN are false.
        (off.abs() <= drawn.grid.reach() && lonlat.y.abs() <= 90.0).then_some(lonlat)
    }
}
