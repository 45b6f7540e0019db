//! Setbacks against closed forms, brute force and the geodesic.

use std::f64::consts::PI;

use geo::{Contains, Coord, Geometry, GeometryCollection, MultiPolygon, Point, Polygon, coord};
use geographiclib_rs::{DirectGeodesic, Geodesic};

use crate::ground::spreadable::cut;
use crate::shapes::*;

#[test]
fn a_well_takes_its_circle() {
    for feet in [10.0, 35.0, 100.0, 101.0, 150.0, 300.0, 1000.0] {
        safe_side(taken(&square(3000.0), &point(40.0, -70.0), feet), PI * feet * feet, 1.2e-3);
    }
}

#[test]
fn a_stretch_of_stream_takes_a_stadium() {
    let real = taken(&square(3000.0), &path(&[[-400.0, 100.0], [300.0, -250.0]]), 100.0);
    let length = 700f64.hypot(350.0);
    safe_side(real, 2.0 * 100.0 * length + PI * 100.0 * 100.0, 3e-4);
}

#[test]
fn a_square_pond_takes_a_rounded_square() {
    // Steiner's formula for a convex shape: area + way around * r + pi r^2.
    let pond = pond(&rectangle(-100.0, -50.0, 200.0, 150.0));
    let ideal = 300.0 * 200.0 + 1000.0 * 35.0 + PI * 35.0 * 35.0;
    safe_side(taken(&square(3000.0), &pond, 35.0), ideal, 2e-4);
    // No distance: the pond alone.
    let alone = taken(&square(3000.0), &pond, 0.0);
    assert!((alone - 60_000.0).abs() < 0.1, "{alone}");
}

#[test]
fn area_error_stays_within_a_fiftieth_of_a_percent_of_the_field() {
    for (side, feet) in [(660.0, 100.0), (660.0, 200.0), (1044.0, 200.0), (1500.0, 500.0)] {
        let over = taken(&square(side), &point(0.0, 0.0), feet) - PI * feet * feet;
        assert!(over >= 0.0 && over < 2e-4 * side * side, "{feet} ft in {side} ft: {over}");
    }
}

#[test]
fn points_and_lines_take_nothing_without_a_distance() {
    assert_eq!(taken(&square(1000.0), &point(0.0, 0.0), 0.0), 0.0);
    assert_eq!(taken(&square(1000.0), &path(&[[-900.0, 0.0], [900.0, 0.0]]), 0.0), 0.0);
}

#[test]
fn a_line_that_doubles_back_is_as_wide_as_any() {
    // Out and back on itself: the stadium of the one stretch. A line offset can lose a third here.
    let there = taken(&square(3000.0), &path(&[[-300.0, 0.0], [300.0, 0.0]]), 100.0);
    let and_back = [[-300.0, 0.0], [300.0, 0.0], [-300.0, 0.0], [120.0, 0.0]];
    let back = taken(&square(3000.0), &path(&and_back), 100.0);
    assert!((there - back).abs() < 1.0, "{there} {back}");
    // Hairpins a few feet apart, and turns shorter than the distance.
    let pin = [[-300.0, 0.0], [300.0, 1.0], [-300.0, 2.0], [300.0, 3.0], [299.0, 4.0], [-300.0, 5.0]];
    covered(&pin, 100.0);
    covered(&[[0.0, 0.0], [50.0, 0.0], [50.0, 10.0], [0.0, 10.0], [0.0, 20.0], [50.0, 20.0], [0.0, 0.0]], 100.0);
}

#[test]
fn no_random_line_leaves_ground_within_its_distance() {
    let mut dice = Dice(11);
    for _ in 0..60 {
        let corners = 1 + (dice.roll() * 14.0) as usize;
        let size = [30.0, 150.0, 700.0][(dice.roll() * 3.0) as usize];
        let mut line: Vec<[f64; 2]> = Vec::new();
        for n in 0..corners {
            let next = match (n, dice.roll()) {
                // Straight back the way it came, or a part of it.
                (2.., roll) if roll < 0.3 => line[n - 2],
                (1.., roll) if roll < 0.4 => line[n - 1],
                (2.., roll) if roll < 0.6 => {
                    let share = dice.roll() * 1.5;
                    [0, 1].map(|i| line[n - 1][i] + (line[n - 2][i] - line[n - 1][i]) * share)
                }
                _ => [dice.between(-size, size), dice.between(-size, size)],
            };
            line.push(next);
        }
        let feet = [20.0, 100.0, 250.0][(dice.roll() * 3.0) as usize];
        covered(&line, feet);
    }
}

/// Holds every spot of a grid over a field against its distance to the line.
fn covered(line: &[[f64; 2]], feet: f64) {
    let field = square(1600.0);
    let thing = if let [[x, y]] = *line { point(x, y) } else { path(line) };
    let cut = cut(&field, &[keep(0, &thing, feet)], 0.0).unwrap();
    whole(&cut);
    for row in 0..50 {
        for column in 0..50 {
            let at = coord! { x: -797.0 + 32.0 * f64::from(column), y: -793.0 + 32.0 * f64::from(row) };
            let real = cut.plane.to_feet(plane().to_lonlat(at));
            let left = cut.spreadable.contains(&Point(real));
            let away = distance(at, line);
            assert!(!left || away >= feet, "{at:?} is {away} ft from {line:?}, not {feet}");
            assert!(left || away <= feet * 1.0013 + 0.02, "{at:?} is {away} ft from {line:?}, taken at {feet}");
        }
    }
}

#[test]
fn a_long_stream_is_clipped_without_losing_ground() {
    // 40 miles of zigzag through the field: only what is near counts, and all of it.
    let mut dice = Dice(3);
    let mut stream: Vec<[f64; 2]> = Vec::new();
    for n in -2000..2000 {
        stream.push([f64::from(n) * 50.0 + dice.between(-10.0, 10.0), dice.between(-200.0, 200.0)]);
    }
    covered(&stream, 100.0);
    covered(&[[-90_000.0, -50_000.0], [90_000.0, 50_100.0]], 50.0);
}

#[test]
fn a_lake_much_larger_than_the_field_is_clipped_without_losing_ground() {
    let mut dice = Dice(5);
    let shore = star(&mut dice, 4000, 29_000.0, 30_000.0);
    // The shore runs through the field's middle.
    let shift = shore[0];
    let moved: Vec<[f64; 2]> = shore.iter().map(|[x, y]| [x - shift[0], y - shift[1]]).collect();
    let lake = field(&moved);
    let field = square(1600.0);
    let cut = cut(&field, &[keep(4, &pond(&lake), 100.0)], 0.0).unwrap();
    whole(&cut);
    let lake_ft = cut.plane.shape_to_feet(&lake);
    let closed: Vec<[f64; 2]> = moved.iter().chain(moved.first()).copied().collect();
    for n in 0..1600 {
        let at = coord! { x: -797.0 + 40.0 * f64::from(n % 40), y: -793.0 + 40.0 * f64::from(n / 40) };
        let real = Point(cut.plane.to_feet(plane().to_lonlat(at)));
        let left = cut.spreadable.contains(&real);
        let away = if lake_ft.contains(&real) { 0.0 } else { distance(at, &closed) };
        assert!(!left || away >= 100.0, "{at:?} {away}");
        assert!(left || away <= 100.2, "{at:?} {away}");
    }
}

/// How often a ring winds around a spot.
fn winding(at: Coord<f64>, ring: &[[f64; 2]]) -> i32 {
    let next = ring.iter().cycle().skip(1);
    let crossed = ring.iter().zip(next).map(|(a, b)| {
        let side = (b[0] - a[0]) * (at.y - a[1]) - (at.x - a[0]) * (b[1] - a[1]);
        match (a[1] <= at.y, b[1] <= at.y) {
            (true, false) if side > 0.0 => 1,
            (false, true) if side < 0.0 => -1,
            _ => 0,
        }
    });
    crossed.sum()
}

/// Holds every spot of a grid over a field against a pond drawn as one ring.
fn pond_covered(ring: &[[f64; 2]], feet: f64) {
    let thing = pond(&field(ring));
    let cut = cut(&square(1600.0), &[keep(0, &thing, feet)], 0.0).unwrap();
    whole(&cut);
    let closed: Vec<[f64; 2]> = ring.iter().chain(ring.first()).copied().collect();
    for n in 0..2500 {
        let at = coord! { x: -797.0 + 32.0 * f64::from(n % 50), y: -793.0 + 32.0 * f64::from(n / 50) };
        let real = cut.plane.to_feet(plane().to_lonlat(at));
        let left = cut.spreadable.contains(&Point(real));
        let away = if winding(at, ring) == 0 { distance(at, &closed) } else { 0.0 };
        assert!(!left || away >= feet, "{at:?} is {away} ft from {ring:?}, not {feet}");
        assert!(left || away <= feet * 1.0013 + 0.02, "{at:?} is {away} ft from {ring:?}, taken at {feet}");
    }
}

#[test]
fn no_random_pond_leaves_ground_within_its_distance() {
    let mut dice = Dice(31);
    for n in 0..60 {
        let feet = [15.0, 100.0, 250.0][(dice.roll() * 3.0) as usize];
        let corners = 3 + (dice.roll() * 30.0) as usize;
        let size = dice.between(30.0, 900.0);
        if n % 2 == 0 {
            pond_covered(&star(&mut dice, corners, size / 8.0, size), feet);
        } else {
            // A scribble: crosses itself, doubles back, has spikes.
            let step = size / 4.0;
            let mut spot = || (dice.between(-4.0, 4.0)).round() * step + 0.3;
            let ring: Vec<[f64; 2]> = (0..corners.min(12)).map(|_| [spot(), spot()]).collect();
            pond_covered(&ring, feet);
        }
    }
}

#[test]
fn what_encloses_nothing_keeps_its_distance_too() {
    // A square pond with a spike of 300 ft, one of two corners, one of one corner thrice.
    pond_covered(&[[0.0, 0.0], [100.0, 0.0], [400.0, 0.0], [100.0, 0.0], [100.0, 100.0], [0.0, 100.0]], 50.0);
    pond_covered(&[[0.0, 0.0], [100.0, 70.0]], 50.0);
    pond_covered(&[[30.0, 20.0], [30.0, 20.0], [30.0, 20.0]], 50.0);
    // A hole drawn outside of its pond is water for all we know.
    let ring = |x: f64| line(&[[x, 0.0], [x + 100.0, 0.0], [x + 100.0, 100.0], [x, 100.0]]);
    let lost = degrees(&MultiPolygon(vec![Polygon::new(ring(0.0), vec![ring(300.0)])]));
    let both = taken(&square(2000.0), &pond(&lost), 60.0);
    let one = taken(&square(2000.0), &pond(&degrees(&MultiPolygon(vec![Polygon::new(ring(0.0), vec![])]))), 60.0);
    assert!((both - 2.0 * one).abs() < 1.0, "{both} {one}");
}

#[test]
fn the_distance_holds_on_the_ground_and_not_only_on_the_plane() {
    // The far north edge of a field two miles tall, where the plane overstates most.
    let geodesic = Geodesic::wgs84();
    let field = rectangle(-2000.0, -5280.0, 2000.0, 5280.0);
    for (x, y) in [(0.0, 5200.0), (300.0, -5200.0), (-1900.0, 0.0), (2050.0, 5300.0)] {
        for feet in [50.0, 100.0, 500.0] {
            let well = point(x, y);
            let cut = cut(&field, &[keep(0, &well, feet)], 0.0).unwrap();
            let Geometry::Point(Point(at)) = well else { unreachable!() };
            for bearing in 0..3600 {
                // Just inside the distance nothing may be left.
                let (lat, lon) = geodesic.direct(at.y, at.x, f64::from(bearing) / 10.0, feet * 0.3048);
                let spot = cut.plane.to_feet(coord! { x: lon, y: lat });
                assert!(!cut.spreadable.contains(&Point(spot)), "{feet} ft at {bearing}");
            }
        }
    }
}

#[test]
fn a_pond_with_an_island_and_a_pond_that_runs_the_wrong_way() {
    let ring = |r: f64| line(&[[-r, -r], [r, -r], [r, r], [-r, r]]);
    let island = degrees(&MultiPolygon(vec![Polygon::new(ring(400.0), vec![ring(200.0)])]));
    let real = taken(&square(2000.0), &pond(&island), 50.0);
    let ideal = 900f64.powi(2) - (4.0 - PI) * 2500.0 - 300f64.powi(2);
    safe_side(real, ideal, 1e-4);
    let mut backwards = ring(400.0);
    backwards.0.reverse();
    let whole = degrees(&MultiPolygon(vec![Polygon::new(backwards, vec![])]));
    safe_side(taken(&square(2000.0), &pond(&whole), 50.0), 900f64.powi(2) - (4.0 - PI) * 2500.0, 1e-4);
}

#[test]
fn a_pond_drawn_as_a_bow_tie_is_kept_out_of_on_both_sides() {
    let bow = pond(&field(&[[-200.0, -200.0], [200.0, 200.0], [200.0, -200.0], [-200.0, 200.0]]));
    let alone = taken(&square(2000.0), &bow, 0.0);
    assert!((alone - 80_000.0).abs() < 1.0, "{alone}");
    assert!(taken(&square(2000.0), &bow, 30.0) > 80_000.0 + 30.0 * 1000.0);
}

#[test]
fn every_kind_of_geometry_is_taken() {
    let Geometry::Point(well) = point(-300.0, 0.0) else { unreachable!() };
    let Geometry::LineString(run) = path(&[[0.0, -2000.0], [0.0, 2000.0]]) else { unreachable!() };
    let Geometry::Point(corner) = point(300.0, 300.0) else { unreachable!() };
    let Geometry::Point(far) = point(400.0, 400.0) else { unreachable!() };
    let third = plane().to_lonlat(coord! { x: 400.0, y: 300.0 });
    let all = Geometry::GeometryCollection(GeometryCollection(vec![
        Geometry::MultiPoint(vec![well].into()),
        Geometry::MultiLineString(geo::MultiLineString(vec![run.clone()])),
        Geometry::Rect(geo::Rect::new(corner.0, far.0)),
    ]));
    let ideal = PI * 2500.0 + 100.0 * 1000.0 + (10_000.0 + 400.0 * 50.0 + PI * 2500.0);
    safe_side(taken(&square(1000.0), &all, 50.0), ideal, 1e-3);
    let line = Geometry::Line(geo::Line::new(run.0[0], run.0[1]));
    safe_side(taken(&square(1000.0), &line, 50.0), 100_000.0, 1e-4);
    let triangle = Geometry::Triangle(geo::Triangle::new(corner.0, far.0, third));
    assert!((taken(&square(1000.0), &triangle, 0.0) - 5000.0).abs() < 0.5);
}
