//! What must hold for any field and anything to stay away from.

use crate::ground::faults::{faults, overlap_acres};
use crate::ground::passes::passes;
use crate::ground::spreadable::cut;
use crate::shapes::{Dice, degrees, drawn, field, keep, line, pond, rectangle, star, whole};
use geo::{Coord, Geometry, LineString, MapCoords, MultiPolygon, Point, Polygon};
use proptest::prelude::*;

/// A field, with a hole now and then.
fn fields() -> impl Strategy<Value = MultiPolygon<f64>> {
    (any::<u64>(), 3usize..40, any::<bool>()).prop_map(|(seed, corners, hole)| {
        let mut dice = Dice(seed);
        let outer = line(&star(&mut dice, corners, 300.0, 1200.0));
        let holes = if hole { vec![line(&star(&mut dice, 7, 20.0, 100.0))] } else { vec![] };
        degrees(&MultiPolygon(vec![Polygon::new(outer, holes)]))
    })
}

/// Something to stay away from: a well, a stream, a pond.
fn things() -> impl Strategy<Value = Geometry<f64>> {
    let at = (-1500.0..1500.0f64, -1500.0..1500.0f64).prop_map(|(x, y)| [x, y]);
    let shift = |[x, y]: [f64; 2], corners: Vec<[f64; 2]>| -> Vec<[f64; 2]> {
        corners.into_iter().map(|[a, b]| [a + x, b + y]).collect()
    };
    prop_oneof![
        at.clone().prop_map(|[x, y]| crate::shapes::point(x, y)),
        prop::collection::vec(at.clone(), 1..12).prop_map(|corners| crate::shapes::path(&corners)),
        (at, any::<u64>(), 3usize..20).prop_map(move |(at, seed, corners)| {
            pond(&field(&shift(at, star(&mut Dice(seed), corners, 50.0, 400.0))))
        }),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_parts_add_up(field in fields(), things in prop::collection::vec((things(), 0.0..400.0f64), 0..8), sliver in 0.0..60.0f64) {
        let keep: Vec<_> = things.iter().enumerate().map(|(n, (thing, feet))| keep(n, thing, *feet)).collect();
        let cut = cut(&field, &keep, sliver).unwrap();
        whole(&cut);
        let inside = overlap_acres(&cut.plane.shape_to_lonlat(&cut.spreadable), &field);
        prop_assert!((inside - drawn(&cut)).abs() < 1e-4 * cut.gross, "{inside} of {} lie in the field", drawn(&cut));
    }

    #[test]
    fn a_wider_distance_never_adds_ground(field in fields(), thing in things(), feet in 0.0..300.0f64, more in 0.0..100.0f64) {
        let narrow = cut(&field, &[keep(0, &thing, feet)], 0.0).unwrap().acres;
        let wide = cut(&field, &[keep(0, &thing, feet + more)], 0.0).unwrap().acres;
        // The arcs change from 64 to 128 edges at 100 ft, where a hair more may give back a hair.
        let arcs = if feet < 101.1 && feet + more > 100.9 { 1e-3 * cut(&field, &[], 0.0).unwrap().gross } else { 1e-6 };
        prop_assert!(wide <= narrow + arcs, "{feet} + {more} ft: {narrow} to {wide} acres");
    }

    #[test]
    fn one_thing_more_never_adds_ground(field in fields(), first in things(), second in things(), feet in 0.0..300.0f64) {
        let one = cut(&field, &[keep(0, &first, 100.0)], 0.0).unwrap().acres;
        let two = cut(&field, &[keep(0, &first, 100.0), keep(1, &second, feet)], 0.0).unwrap().acres;
        prop_assert!(two <= one + 1e-6);
    }

    #[test]
    fn the_order_of_the_list_does_not_matter(field in fields(), first in things(), second in things(), feet in 0.0..300.0f64) {
        let (a, b) = (keep(3, &first, feet), keep(8, &second, 150.0));
        prop_assert_eq!(cut(&field, &[a, b], 20.0), cut(&field, &[b, a], 20.0));
    }

    #[test]
    fn moving_east_changes_nothing(field in fields(), thing in things(), feet in 0.0..300.0f64, east in -20.0..20.0f64) {
        let there = |at: Coord<f64>| Coord { x: at.x + east, y: at.y };
        let moved = (field.map_coords(there), thing.map_coords(there));
        let here = cut(&field, &[keep(0, &thing, feet)], 0.0).unwrap();
        let there = cut(&moved.0, &[keep(0, &moved.1, feet)], 0.0).unwrap();
        prop_assert!((here.gross - there.gross).abs() < 1e-6 * here.gross);
        prop_assert!((here.acres - there.acres).abs() < 1e-6 * here.gross);
    }

    #[test]
    fn which_way_a_ring_runs_does_not_matter(field in fields(), thing in things(), feet in 0.0..300.0f64) {
        let turned: MultiPolygon<f64> = field.iter().map(|part| {
            let back = |ring: &LineString<f64>| LineString(ring.0.iter().rev().copied().collect());
            Polygon::new(back(part.exterior()), part.interiors().iter().map(back).collect())
        }).collect();
        let one = cut(&field, &[keep(0, &thing, feet)], 0.0).unwrap();
        let two = cut(&turned, &[keep(0, &thing, feet)], 0.0).unwrap();
        prop_assert!((one.acres - two.acres).abs() < 1e-6);
    }

    #[test]
    fn a_star_has_no_serious_fault(field in fields()) {
        let outer = MultiPolygon(vec![Polygon::new(field.0[0].exterior().clone(), vec![])]);
        prop_assert!(faults(&outer).is_empty(), "{:?}", faults(&outer));
    }

    #[test]
    fn a_field_overlaps_itself_wholly(field in fields()) {
        let gross = cut(&field, &[], 0.0).unwrap().gross;
        prop_assert!((overlap_acres(&field, &field) - gross).abs() < 1e-6);
    }

    #[test]
    fn no_numbers_make_a_panic(
        corners in prop::collection::vec(prop::collection::vec((odd(), odd()), 0..7), 0..5),
        feet in odd(), sliver in odd(), swath in odd(), heading in odd(),
    ) {
        let ring = |corners: &Vec<(f64, f64)>| corners.iter().copied().collect::<LineString<f64>>();
        let rings: Vec<LineString<f64>> = corners.iter().map(ring).collect();
        let shape = MultiPolygon(rings.iter().map(|ring| Polygon::new(ring.clone(), rings.clone())).collect());
        let _ = faults(&shape);
        let _ = overlap_acres(&shape, &shape);
        let _ = passes(&shape, swath, None, 6.0);
        let _ = passes(&shape, swath, Some(heading), 6.0);
        for thing in rings.iter().cloned().map(Geometry::LineString).chain([Geometry::MultiPolygon(shape.clone()), Geometry::Point(Point::new(feet, sliver))]) {
            let _ = cut(&shape, &[keep(0, &thing, feet)], sliver);
            let _ = cut(&rectangle(0.0, 0.0, 500.0, 500.0), &[keep(0, &thing, feet)], sliver);
        }
    }

    #[test]
    fn any_scribble_is_cut_and_judged(corners in prop::collection::vec((-600i32..600, -600i32..600), 3..14), feet in 0.0..200.0f64) {
        // Corners on a coarse grid, so that rings touch, double back and cross at corners.
        let corners: Vec<[f64; 2]> = corners.iter().map(|&(x, y)| [f64::from(x / 100) * 100.0, f64::from(y / 100) * 100.0]).collect();
        let scribble = field(&corners);
        let found = faults(&scribble);
        let thing = Geometry::MultiPolygon(scribble.clone());
        match cut(&scribble, &[keep(0, &crate::shapes::point(0.0, 0.0), feet)], 10.0) {
            Ok(cut) => whole(&cut),
            Err(_) => prop_assert!(!found.is_empty()),
        }
        let square = crate::shapes::square(2500.0);
        let all = cut(&square, &[keep(0, &thing, feet)], 0.0).unwrap();
        whole(&all);
        for corner in &corners {
            // Nothing may be left near a corner of the scribble.
            let at = all.plane.to_feet(crate::shapes::plane().to_lonlat(Coord { x: corner[0], y: corner[1] }));
            prop_assert!(feet < 0.1 || !geo::Contains::contains(&all.spreadable, &Point(at)));
        }
    }
}

/// Numbers of all sizes, good ones among them.
fn odd() -> impl Strategy<Value = f64> {
    prop_oneof![
        4 => -80.01..-80.0f64,
        4 => 36.0..36.01f64,
        2 => 0.0..300.0f64,
        1 => prop::num::f64::ANY,
        1 => prop::sample::select(vec![0.0, -0.0, f64::NAN, f64::INFINITY, f64::NEG_INFINITY, f64::MAX, f64::MIN_POSITIVE, 85.0, 180.0, 36.0]),
    ]
}
