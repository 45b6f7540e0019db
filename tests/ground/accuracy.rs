//! Acres and miles against the geodesic.

use geo::{Coord, MultiPolygon, Polygon, coord};
use geographiclib_rs::{Geodesic, InverseGeodesic, PolygonArea, Winding};

use crate::ground;
use crate::ground::plane::Plane;
use crate::ground::spreadable::cut;
use crate::shapes::*;

#[test]
fn geographiclib_gives_the_published_areas() {
    // Planimeter cases of the GeographicLib test suite, as its Rust port repeats them.
    let geodesic = Geodesic::wgs84();
    for (corners, around, area) in [
        (vec![(89.0, 0.0), (89.0, 90.0), (89.0, 180.0), (89.0, 270.0)], 631_819.874_5, 24_952_305_678.0),
        (vec![(89.0, 0.1), (89.0, 90.1), (89.0, -179.9)], 539_297.0, 12_476_152_838.5),
    ] {
        let mut polygon = PolygonArea::new(&geodesic, Winding::CounterClockwise);
        for &(lat, lon) in &corners {
            polygon.add_point(lat, lon);
        }
        let (real_around, real_area, _) = polygon.compute(true);
        assert!((real_around - around).abs() < 1.0, "{real_around}");
        assert!((real_area - area).abs() < 1.0, "{real_area}");
    }
}

/// Acres of a shape by the geodesic.
fn geodesic_acres(geodesic: &Geodesic, ring: &[Coord<f64>]) -> f64 {
    let mut polygon = PolygonArea::new(geodesic, Winding::CounterClockwise);
    for at in ring {
        polygon.add_point(at.y, at.x);
    }
    polygon.compute(true).1.abs() / (0.3048 * 0.3048) / 43_560.0
}

#[test]
fn acres_agree_with_the_geodesic() {
    let geodesic = Geodesic::wgs84();
    // With edges straight in longitude and latitude, as GeoJSON has them (walked in short steps),
    // and with each edge a geodesic, which bows out by an inch in half a mile.
    for (size, straight_limit, bowed_limit) in
        [(1000.0, 3e-8, 1e-5), (5_000.0, 3e-8, 5e-5), (15_000.0, 3e-7, 1e-4), (40_000.0, 3e-6, 5e-4)]
    {
        let mut dice = Dice(17);
        let (mut straight, mut bowed) = (0f64, 0f64);
        for _ in 0..150 {
            let corners = 6 + (dice.roll() * 40.0) as usize;
            let ring = star(&mut dice, corners, size / 4.0, size);
            let place = Plane::at(dice.between(-125.0, -66.0), dice.between(24.0, 50.0));
            let shape = place.shape_to_lonlat(&MultiPolygon(vec![Polygon::new(line(&ring), vec![])]));
            let real = cut(&shape, &[], 0.0).unwrap().gross;
            let corners = &shape.0[0].exterior().0;
            let steps: Vec<Coord<f64>> = corners
                .windows(2)
                .flat_map(|side| (0..40).map(|n| side[0] + (side[1] - side[0]) * (f64::from(n) / 40.0)))
                .collect();
            straight = straight.max((real / geodesic_acres(&geodesic, &steps) - 1.0).abs());
            bowed = bowed.max((real / geodesic_acres(&geodesic, &corners[1..]) - 1.0).abs());
        }
        println!("to {size} ft from the middle: worst error {straight:.1e}, with bowed edges {bowed:.1e}");
        assert!(straight < straight_limit, "{size}: {straight}");
        assert!(bowed < bowed_limit, "{size}: {bowed}");
    }
}

#[test]
fn miles_are_geodesic_miles() {
    let at = |x: f64, y: f64| coord! { x: x, y: y };
    let geodesic = Geodesic::wgs84();
    let meters: f64 = geodesic.inverse(36.0, -80.0, 36.2, -79.7);
    let real = ground::distance::miles(at(-80.0, 36.0), at(-79.7, 36.2));
    assert!((real - meters / 1609.344).abs() < 1e-9);
    assert_eq!(ground::distance::miles(at(-80.0, 36.0), at(-80.0, 36.0)), 0.0);
    for wrong in [f64::NAN, f64::INFINITY, 1e300] {
        assert!(ground::distance::miles(at(wrong, 36.0), at(-80.0, 36.0)).is_nan());
        assert!(ground::distance::miles(at(-80.0, 36.0), at(-80.0, wrong)).is_nan());
    }
}

#[test]
fn there_and_back_on_the_plane() {
    let plane = plane();
    assert_eq!(plane.middle(), coord! { x: LON, y: LAT });
    let at = coord! { x: -79.97, y: 36.04 };
    let back = plane.to_lonlat(plane.to_feet(at));
    assert!((back.x - at.x).abs() < 1e-12 && (back.y - at.y).abs() < 1e-12);
    // One degree of latitude at 36 degrees against the geodesic.
    let meters: f64 = Geodesic::wgs84().inverse(35.995, -80.0, 36.005, -80.0);
    let feet = plane.to_feet(coord! { x: -80.0, y: 36.005 }).y * 2.0;
    assert!((feet * 0.3048 / meters - 1.0).abs() < 1e-8);
}
