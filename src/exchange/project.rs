//! From the numbers of a map projection back to degrees.
//!
//! The formulas are those of IOGP Publication 373-7-2 (Geomatics Guidance Note 7, part 2):
//! transverse Mercator in the form of Krueger's series, Lambert conic conformal with one and two
//! parallels, and the web maps' Mercator on a sphere. What a projection is called in a file is
//! not known here.

use geo::{Coord, coord};
use std::f64::consts::{FRAC_PI_2, FRAC_PI_4};

/// Farthest from the middle of a projection, in degrees of longitude, that anything is taken
/// from it: a zone is a few degrees wide.
const MOST_OFF_MIDDLE: f64 = 20.0;

/// An ellipsoid of the earth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ellipsoid {
    /// Half the equatorial axis in meters.
    pub semi_major: f64,
    /// The inverse of the flattening.
    pub inverse_flattening: f64,
}

impl Ellipsoid {
    fn flattening(self) -> f64 {
        1.0 / self.inverse_flattening
    }

    fn eccentricity(self) -> f64 {
        let f = self.flattening();
        (f * (2.0 - f)).sqrt()
    }
}

/// How the numbers of a file become degrees. Angles in degrees, lengths in meters.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Projection {
    /// The numbers are degrees.
    Degrees,
    /// Mercator on a sphere, as web maps draw it.
    WebMercator,
    /// UTM, and the State Plane zones that run north and south.
    TransverseMercator {
        /// The ellipsoid.
        ellipsoid: Ellipsoid,
        /// Latitude and longitude of the origin.
        origin: (f64, f64),
        /// Scale on the middle meridian.
        scale: f64,
        /// False easting and northing.
        shift: (f64, f64),
        /// Meters in a unit of the file.
        unit: f64,
    },
    /// The State Plane zones that run east and west.
    Lambert {
        /// The ellipsoid.
        ellipsoid: Ellipsoid,
        /// Latitude and longitude of the origin.
        origin: (f64, f64),
        /// The two parallels; the same one twice where there is one only.
        parallels: (f64, f64),
        /// Scale on the parallel, 1 where there are two.
        scale: f64,
        /// False easting and northing.
        shift: (f64, f64),
        /// Meters in a unit of the file.
        unit: f64,
    },
}

impl Projection {
    /// Longitude and latitude in degrees. `None` when the numbers lie nowhere near the ground
    /// that the projection is made for.
    #[must_use]
    pub fn to_lonlat(&self, at: Coord<f64>) -> Option<Coord<f64>> {
        let (lonlat, middle) = match *self {
            Projection::Degrees => return Some(at),
            Projection::WebMercator => return web_mercator(at),
            Projection::TransverseMercator { ellipsoid, origin, scale, shift, unit } => {
                (transverse_mercator(meters(at, unit, shift), ellipsoid, origin, scale), origin.1)
            }
            Projection::Lambert { ellipsoid, origin, parallels, scale, shift, unit } => {
                (lambert(meters(at, unit, shift), ellipsoid, origin, parallels, scale), origin.1)
            }
        };
        // Comparisons with NaN are false.
        let near = (lonlat.x - middle).abs() <= MOST_OFF_MIDDLE && lonlat.y.abs() <= 90.0;
        near.then_some(lonlat)
    }
}

/// Meters from the true origin.
fn meters(at: Coord<f64>, unit: f64, shift: (f64, f64)) -> Coord<f64> {
    coord! { x: at.x * unit - shift.0, y: at.y * unit - shift.1 }
}

fn web_mercator(at: Coord<f64>) -> Option<Coord<f64>> {
    const RADIUS: f64 = 6_378_137.0;
    let lat = FRAC_PI_2 - 2.0 * (-at.y / RADIUS).exp().atan();
    let lonlat = coord! { x: (at.x / RADIUS).to_degrees(), y: lat.to_degrees() };
    (lonlat.x.abs() <= 180.0 && lonlat.y.abs() < 86.0).then_some(lonlat)
}

/// Krueger's series to the fourth order of the third flattening: good to fractions of a
/// millimeter within some degrees of the middle meridian.
fn transverse_mercator(at: Coord<f64>, ellipsoid: Ellipsoid, origin: (f64, f64), scale: f64) -> Coord<f64> {
    let f = ellipsoid.flattening();
    let e = ellipsoid.eccentricity();
    let n = f / (2.0 - f);
    let (n2, n3, n4) = (n * n, n * n * n, n * n * n * n);
    let b = ellipsoid.semi_major / (1.0 + n) * (1.0 + n2 / 4.0 + n4 / 64.0);
    let forth = [
        n / 2.0 - 2.0 * n2 / 3.0 + 5.0 * n3 / 16.0 + 41.0 * n4 / 180.0,
        13.0 * n2 / 48.0 - 3.0 * n3 / 5.0 + 557.0 * n4 / 1440.0,
        61.0 * n3 / 240.0 - 103.0 * n4 / 140.0,
        49_561.0 * n4 / 161_280.0,
    ];
    let back = [
        n / 2.0 - 2.0 * n2 / 3.0 + 37.0 * n3 / 96.0 - n4 / 360.0,
        n2 / 48.0 + n3 / 15.0 - 437.0 * n4 / 1440.0,
        17.0 * n3 / 480.0 - 37.0 * n4 / 840.0,
        4_397.0 * n4 / 161_280.0,
    ];
    let conformal = isometric(origin.0.to_radians(), e).sinh().atan();
    let start = conformal + terms(&forth, |k| (k * conformal).sin());
    let eta = at.x / (b * scale);
    let xi = at.y / (b * scale) + start;
    let xi0 = xi - terms(&back, |k| (k * xi).sin() * (k * eta).cosh());
    let eta0 = eta - terms(&back, |k| (k * xi).cos() * (k * eta).sinh());
    let beta = (xi0.sin() / eta0.cosh()).asin();
    let goal = beta.tan().asinh();
    let mut q = goal;
    for _ in 0..8 {
        q = goal + e * (e * q.tanh()).atanh();
    }
    let lon = (eta0.tanh() / beta.cos()).asin();
    coord! { x: origin.1 + lon.to_degrees(), y: q.sinh().atan().to_degrees() }
}

/// The sum of a series in twice, four, six and eight times an angle.
fn terms(series: &[f64; 4], of: impl Fn(f64) -> f64) -> f64 {
    series.iter().zip([2.0, 4.0, 6.0, 8.0]).map(|(factor, k)| factor * of(k)).sum()
}

/// The isometric latitude.
fn isometric(lat: f64, e: f64) -> f64 {
    lat.tan().asinh() - e * (e * lat.sin()).atanh()
}

fn lambert(at: Coord<f64>, ellipsoid: Ellipsoid, origin: (f64, f64), parallels: (f64, f64), scale: f64) -> Coord<f64> {
    let e = ellipsoid.eccentricity();
    let m = |lat: f64| lat.cos() / (1.0 - (e * lat.sin()).powi(2)).sqrt();
    let t = |lat: f64| (FRAC_PI_4 - lat / 2.0).tan() / bend(lat, e);
    let (one, two) = (parallels.0.to_radians(), parallels.1.to_radians());
    let n = if (one - two).abs() < 1e-10 { one.sin() } else { (m(one) / m(two)).ln() / (t(one) / t(two)).ln() };
    let size = ellipsoid.semi_major * scale * m(one) / (n * t(one).powf(n));
    let north = size * t(origin.0.to_radians()).powf(n) - at.y;
    let radius = at.x.hypot(north) * n.signum();
    let goal = (radius / size).powf(1.0 / n);
    let turn = (at.x * n.signum()).atan2(north * n.signum());
    let mut lat = FRAC_PI_2 - 2.0 * goal.atan();
    for _ in 0..12 {
        lat = FRAC_PI_2 - 2.0 * (goal * bend(lat, e)).atan();
    }
    coord! { x: origin.1 + (turn / n).to_degrees(), y: lat.to_degrees() }
}

/// By how much the ellipsoid bends a conformal latitude.
fn bend(lat: f64, e: f64) -> f64 {
    let s = e * lat.sin();
    ((1.0 - s) / (1.0 + s)).powf(e / 2.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    const CLARKE_1866: Ellipsoid = Ellipsoid { semi_major: 6_378_206.4, inverse_flattening: 294.978_698_214 };
    const AIRY_1830: Ellipsoid = Ellipsoid { semi_major: 6_377_563.396, inverse_flattening: 299.324_964_6 };
    const US_FOOT: f64 = 1200.0 / 3937.0;

    fn meets(projection: Projection, x: f64, y: f64, lon: f64, lat: f64, within: f64) {
        let at = projection.to_lonlat(coord! { x: x, y: y }).unwrap();
        assert!((at.x - lon).abs() < within && (at.y - lat).abs() < within, "{at:?} is not {lon}, {lat}");
    }

    /// Snyder, Map Projections, a Working Manual (USGS Professional Paper 1395, 1987), p. 269:
    /// UTM zone 18 on the Clarke ellipsoid; printed to a tenth of a meter.
    #[test]
    fn utm_meets_the_published_example() {
        let zone = Projection::TransverseMercator {
            ellipsoid: CLARKE_1866,
            origin: (0.0, -75.0),
            scale: 0.9996,
            shift: (500_000.0, 0.0),
            unit: 1.0,
        };
        meets(zone, 627_106.5, 4_484_124.4, -73.5, 40.5, 1e-6);
    }

    /// IOGP 373-7-2, transverse Mercator (British National Grid): an origin off the equator.
    #[test]
    fn transverse_mercator_meets_the_published_example() {
        let grid = Projection::TransverseMercator {
            ellipsoid: AIRY_1830,
            origin: (49.0, -2.0),
            scale: 0.999_601_271_7,
            shift: (400_000.0, -100_000.0),
            unit: 1.0,
        };
        meets(grid, 577_274.99, 69_740.50, 0.5, 50.5, 1e-7);
    }

    /// IOGP 373-7-2, Lambert conic conformal with two parallels (Texas South Central, US survey
    /// feet).
    #[test]
    fn lambert_meets_the_published_example() {
        let zone = Projection::Lambert {
            ellipsoid: CLARKE_1866,
            origin: (27.0 + 50.0 / 60.0, -99.0),
            parallels: (28.0 + 23.0 / 60.0, 30.0 + 17.0 / 60.0),
            scale: 1.0,
            shift: (2_000_000.0 * US_FOOT, 0.0),
            unit: US_FOOT,
        };
        meets(zone, 2_963_503.91, 254_759.80, -96.0, 28.5, 1e-7);
    }

    /// IOGP 373-7-2, popular visualisation pseudo-Mercator.
    #[test]
    fn web_mercator_meets_the_published_example() {
        let (lon, lat) = (-(100.0 + 20.0 / 60.0), 24.0 + 22.0 / 60.0 + 54.433 / 3600.0);
        meets(Projection::WebMercator, -11_169_055.58, 2_800_000.0, lon, lat, 1e-7);
    }

    #[test]
    fn numbers_from_elsewhere_are_refused() {
        let zone = Projection::TransverseMercator {
            ellipsoid: CLARKE_1866,
            origin: (0.0, -75.0),
            scale: 0.9996,
            shift: (500_000.0, 0.0),
            unit: 1.0,
        };
        for (x, y) in [(1e300, 1e300), (f64::NAN, 0.0), (f64::INFINITY, 1.0), (-1.2e7, 4.0e6), (0.0, 1e12)] {
            assert_eq!(zone.to_lonlat(coord! { x: x, y: y }).filter(|at| at.x.abs() > 180.0), None);
        }
        assert_eq!(Projection::WebMercator.to_lonlat(coord! { x: 1e300, y: 0.0 }), None);
    }
}
