//! The eighths of the compass.

use geo::Coord;

/// From north on.
const WAYS: [&str; 8] = ["north", "northeast", "east", "southeast", "south", "southwest", "west", "northwest"];

/// The eighth of the compass in which something lies.
pub(super) fn way(to: Coord<f64>) -> &'static str {
    let turned = to.x.atan2(to.y).rem_euclid(std::f64::consts::TAU) / std::f64::consts::FRAC_PI_4;
    WAYS.iter().enumerate().find(|(at, _)| turned.round() as usize % WAYS.len() == *at).map_or("north", |(_, way)| way)
}
