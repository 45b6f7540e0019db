//! What numbers look like that should be longitude and latitude, and where
//! most of some places lie.

use crate::ground::plane;
use geo::{Coord, coord};

/// Degrees, some 60 miles, within which the fields of one farm lie.
pub const NEAR_DEGREES: f64 = 1.0;
/// Miles from the rest past which a field is no part of the farm.
pub const FAR_MILES: f64 = 300.0;
/// Degrees from the equator past which no hay is cut: the polar circles.
pub const POLAR_DEGREES: f64 = 66.6;

/// What numbers beyond all degrees look like, as a hint; `None` when they are degrees.
#[must_use]
pub fn projected_hint(at: Coord<f64>) -> Option<&'static str> {
    if at.x.abs() <= 180.0 && at.y.abs() <= 180.0 || !at.x.is_finite() || !at.y.is_finite() {
        return None;
    }
    let metric = (100_000.0..=900_000.0).contains(&at.x) && (1_000_000.0..=10_000_000.0).contains(&at.y);
    let ground = at.x.abs() < 2.1e7 && at.y.abs() < 2.1e7;
    Some(if metric {
        "the numbers look like UTM meters, not degrees"
    } else if ground && at.x < -1_000_000.0 {
        "the numbers look like web Mercator meters, not degrees"
    } else if ground {
        "the numbers look like feet or meters of a State Plane or another local grid, not degrees"
    } else {
        "the numbers are not coordinates on this earth"
    })
}

/// Where more than half of the fields lie that lie on farmed ground at all; `None` when nothing
/// says so.
#[must_use]
pub fn most_lie(middles: &[Coord<f64>]) -> Option<Coord<f64>> {
    let known: Vec<Coord<f64>> = middles.iter().copied().filter(|at| credible(*at)).collect();
    let median = |of: fn(&Coord<f64>) -> f64| {
        let mut all: Vec<f64> = known.iter().map(of).collect();
        all.sort_by(f64::total_cmp);
        all.get(all.len() / 2).copied()
    };
    let at = coord! { x: median(|at| at.x)?, y: median(|at| at.y)? };
    let together = known.iter().filter(|own| near(**own, at)).count();
    (together * 2 > known.len()).then_some(at)
}

/// Whether two places can lie on one farm.
#[must_use]
pub fn near(one: Coord<f64>, other: Coord<f64>) -> bool {
    (one.x - other.x).abs() <= NEAR_DEGREES && (one.y - other.y).abs() <= NEAR_DEGREES
}

/// A place where a farm can lie.
#[must_use]
pub fn credible(at: Coord<f64>) -> bool {
    plane::in_range(at) && at.y.abs() <= POLAR_DEGREES && !null_island(at)
}

/// Whether a place lies in the sea off Africa where longitude and latitude are both zero: what
/// an empty cell or a number of kilometers makes of a field.
fn null_island(at: Coord<f64>) -> bool {
    at.x.abs() < 1.0 && at.y.abs() < 1.0
}
