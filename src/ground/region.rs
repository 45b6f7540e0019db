//! How a place lies to a large region: inside or outside, and how many miles
//! from its edge.

use geo::{Coord, coord};

use super::distance::miles;

/// How a place lies to a region.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lie {
    /// Whether it lies inside.
    pub inside: bool,
    /// Miles to the nearest edge; infinite where there is none.
    pub edge_miles: f64,
}

impl Lie {
    /// Miles outside, 0 inside.
    #[must_use]
    pub fn outside(self) -> f64 {
        if self.inside { 0.0 } else { self.edge_miles }
    }
}

/// How a place (longitude and latitude in degrees) lies to the rings of a region, which are not
/// closed; inside is what lies in an odd number of them. Edges are straight in longitude and
/// latitude. The nearest place of an edge is found on a plane that touches the earth at `at`, and
/// its miles along the geodesic: exact near the edge, rough where half a continent lies between.
#[must_use]
pub fn lie(at: Coord<f64>, rings: &[Vec<Coord<f64>>]) -> Lie {
    let narrow = at.y.to_radians().cos().max(1e-3);
    let flat = |to: Coord<f64>| {
        // The shorter way around the earth.
        let east = (to.x - at.x + 540.0).rem_euclid(360.0) - 180.0;
        coord! { x: east * narrow, y: to.y - at.y }
    };
    let mut inside = false;
    let mut nearest: Option<(f64, Coord<f64>)> = None;
    for ring in rings {
        for (a, b) in ring.iter().zip(ring.iter().cycle().skip(1)) {
            if (a.y > at.y) != (b.y > at.y) && at.x < (b.x - a.x) * (at.y - a.y) / (b.y - a.y) + a.x {
                inside = !inside;
            }
            let (from, to) = (flat(*a), flat(*b));
            let along = to - from;
            let length = along.x * along.x + along.y * along.y;
            let share =
                if length > 0.0 { (-(from.x * along.x + from.y * along.y) / length).clamp(0.0, 1.0) } else { 0.0 };
            let close = from + along * share;
            let square = close.x * close.x + close.y * close.y;
            if nearest.is_none_or(|(least, _)| square < least) {
                nearest = Some((square, *a + (*b - *a) * share));
            }
        }
    }
    Lie { inside, edge_miles: nearest.map_or(f64::INFINITY, |(_, edge)| miles(at, edge)) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_is_inside_or_so_many_miles_outside() {
        let square = |west: f64, south: f64, wide: f64| {
            let at = |x, y| coord! { x: west + x * wide, y: south + y * wide };
            vec![at(0.0, 0.0), at(1.0, 0.0), at(1.0, 1.0), at(0.0, 1.0)]
        };
        let rings = [square(-80.0, 35.0, 2.0), square(-79.5, 35.5, 1.0)];
        assert!(lie(coord! { x: -79.75, y: 36.0 }, &rings).inside);
        assert!(!lie(coord! { x: -79.0, y: 36.0 }, &rings).inside, "in the hole");
        let north = lie(coord! { x: -79.0, y: 37.1 }, &rings);
        // A tenth of a degree of latitude is 6.9 miles.
        assert!(!north.inside && (north.outside() - 6.9).abs() < 0.02, "{north:?}");
        assert_eq!(lie(coord! { x: -79.75, y: 36.0 }, &rings).outside(), 0.0);
        assert!(lie(coord! { x: 0.0, y: 0.0 }, &[]).edge_miles.is_infinite());
    }
}
