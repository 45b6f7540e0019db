//! Acres of very many fields: held against closed forms, the overlay engine and `cut`.

use std::f64::consts::PI;

use crate::ground::spreadable::cut;
use crate::ground::{CutRefused, Gathered, Surroundings, Unfit};
use crate::shapes::*;
use geo::{Geometry, LineString, MapCoords, MultiPolygon, Point, Polygon};
use proptest::prelude::*;

fn around(things: &[(Geometry<f64>, f64)]) -> Surroundings {
    let mut gathered = Gathered::default();
    for (thing, feet) in things {
        gathered.add(thing, *feet).unwrap();
    }
    gathered.done()
}

/// Square feet that things take of a field.
fn takes(field: &MultiPolygon<f64>, things: &[(Geometry<f64>, f64)]) -> f64 {
    let acres = around(things).acres(field).unwrap();
    (acres.gross - acres.spreadable) * 43_560.0
}

/// Nothing is under-protected, and along an edge of some feet at most 0.006 ft are added: a
/// thousandth of a foot, and what the plane overstates at the far side of the field.
fn true_to(real: f64, ideal: f64, edge: f64) {
    assert!(real >= ideal - 1e-6, "{real} falls short of {ideal}");
    assert!(real <= ideal + edge * 0.006, "{real} is {} over {ideal}", real - ideal);
}

#[test]
fn closed_forms() {
    let field = square(2000.0);
    assert!((around(&[]).acres(&square(660.0)).unwrap().gross - 10.0).abs() < 1e-6);
    let r = 100.0;
    true_to(takes(&field, &[(point(0.0, 0.0), r)]), PI * r * r, 2.0 * PI * r);
    // On a side, on a corner, beside the field.
    true_to(takes(&field, &[(point(1000.0, 0.0), r)]), PI * r * r / 2.0, PI * r);
    true_to(takes(&field, &[(point(1000.0, 1000.0), r)]), PI * r * r / 4.0, PI * r);
    assert_eq!(takes(&field, &[(point(1100.1, 0.0), r)]), 0.0);
    assert_eq!(takes(&field, &[(point(1075.0, 1075.0), r)]), 0.0);
    // Two wells that share a lens.
    let lens = 2.0 * r * r * 0.5_f64.acos() - 50.0 * 3e4_f64.sqrt();
    let both = [(point(0.0, 0.0), r), (point(100.0, 0.0), r)];
    true_to(takes(&field, &both), 2.0 * PI * r * r - lens, 4.0 * PI * r);
    // A stream through, one that ends, one that bends, one that doubles back.
    true_to(takes(&field, &[(path(&[[-5000.0, 0.0], [5000.0, 0.0]]), r)]), 2000.0 * 200.0, 4000.0);
    let ended = 400.0 * 200.0 + PI * r * r;
    true_to(takes(&field, &[(path(&[[-200.0, 0.0], [200.0, 0.0]]), r)]), ended, 1500.0);
    let back = path(&[[-200.0, 0.0], [200.0, 0.0], [-200.0, 0.0], [100.0, 0.0]]);
    true_to(takes(&field, &[(back, r)]), ended, 1500.0);
    let bent = path(&[[-500.0, 0.0], [0.0, 0.0], [0.0, 500.0]]);
    true_to(takes(&field, &[(bent, r)]), 2.0 * 500.0 * 200.0 - r * r + (1.0 + 0.25) * PI * r * r, 3000.0);
    // A pond, with its inside; a wide one that holds the whole field; a hole that keeps its distance.
    let sides = 4.0 * 300.0 * r + PI * r * r;
    true_to(takes(&field, &[(pond(&square(300.0)), r)]), 90_000.0 + sides, 2000.0);
    true_to(takes(&field, &[(pond(&square(300.0)), 0.0)]), 90_000.0, 1200.0);
    assert_eq!(around(&[(pond(&square(9000.0)), r)]).acres(&field).unwrap().spreadable, 0.0);
    let mut lake = square(1500.0);
    lake.0[0].interiors_push(square(900.0).0[0].exterior().clone());
    true_to(
        takes(&field, &[(pond(&lake), r)]),
        1500.0 * 1500.0 - 700.0 * 700.0 + 4.0 * 1500.0 * r + PI * r * r,
        9000.0,
    );
}

#[test]
fn fields_with_holes_and_parts() {
    let mut field = square(2000.0);
    field.0[0].interiors_push(square(200.0).0[0].exterior().clone());
    let acres = around(&[]).acres(&field).unwrap();
    assert!((acres.gross * 43_560.0 - 3_960_000.0).abs() < 0.1);
    true_to(takes(&field, &[(point(0.0, 0.0), 300.0)]), PI * 90_000.0 - 40_000.0, 6000.0);
    let mut parts = rectangle(-900.0, -300.0, -300.0, 300.0);
    parts.0.extend(rectangle(300.0, -300.0, 900.0, 300.0));
    true_to(takes(&parts, &[(path(&[[-2000.0, 0.0], [2000.0, 0.0]]), 50.0)]), 2.0 * 600.0 * 100.0, 2400.0);
}

#[test]
fn a_hole_that_sticks_out_by_less_than_is_told_takes_nothing_outside() {
    // 12 square feet of the hole lie beyond the field's side, under the well's setback.
    let hole = line(&[[450.0, -3.0], [504.0, -3.0], [504.0, 0.0], [450.0, 0.0]]);
    let mut field = square(1000.0);
    field.0[0].interiors_push(hole.map_coords(|at| plane().to_lonlat(at)));
    let inside = 1_000_000.0 - 50.0 * 3.0;
    let bare = around(&[]).acres(&field).unwrap();
    assert!((bare.gross * 43_560.0 - inside).abs() < 0.05, "{bare:?}");
    for things in [vec![], vec![(point(500.0, 0.0), 100.0)], vec![(pond(&square(980.0)), 3.0)]] {
        let keep: Vec<_> = things.iter().enumerate().map(|(n, (thing, feet))| keep(n, thing, *feet)).collect();
        let (all, cut) = (around(&things), cut(&field, &keep, 0.0).unwrap());
        let fast = all.acres_checked(&field).unwrap();
        assert!((fast.gross - cut.gross).abs() < 1e-6);
        assert!((fast.spreadable - cut.acres).abs() < 1e-5, "{fast:?} {}", cut.acres);
        assert!((fast.spreadable - drawn(&cut)).abs() < 1e-3, "{fast:?} {}", drawn(&cut));
    }
    // Two parts that lie over each other by as little count that ground once.
    let mut parts = rectangle(-500.0, -500.0, 0.05, 500.0);
    parts.0.extend(rectangle(0.0, -500.0, 500.0, 500.0));
    let whole = around(&[]).acres(&parts).unwrap();
    assert!((whole.gross * 43_560.0 - 1_000_000.0).abs() < 0.05, "{whole:?}");
}

#[test]
fn a_field_is_never_larger_than_itself_and_nothing_is_not_minus_nothing() {
    let all = around(&[(pond(&square(900.0)), 10.0)]).acres(&square(500.0)).unwrap();
    assert!(all.spreadable == 0.0 && all.spreadable.is_sign_positive());
}

#[test]
fn what_cannot_be_used_is_refused() {
    let nothing = around(&[]);
    let tie = field(&[[-100.0, -100.0], [100.0, 100.0], [100.0, -100.0], [-100.0, 100.0]]);
    assert!(matches!(nothing.acres(&tie), Err(Unfit::Faults(_))));
    assert!(matches!(nothing.acres(&MultiPolygon(vec![])), Err(Unfit::Faults(_))));
    assert!(matches!(nothing.acres(&field(&[[0.0, 0.0], [100.0, 0.0]])), Err(Unfit::Faults(_))));
    let mut bad = square(100.0);
    bad.0[0].exterior_mut(|ring| ring.0[2].x = f64::NAN);
    assert!(matches!(nothing.acres(&bad), Err(Unfit::Faults(_))));
    let mut gathered = Gathered::default();
    for feet in [f64::NAN, f64::INFINITY, -1.0, 1e9] {
        assert!(matches!(gathered.add(&point(0.0, 0.0), feet), Err(CutRefused::KeepOutDistance { .. })));
    }
    for x in [f64::NAN, f64::INFINITY, 1e300, 200.0] {
        let lost = Geometry::Point(Point::new(x, 36.0));
        assert!(matches!(gathered.add(&lost, 10.0), Err(CutRefused::KeepOutPlace { .. })));
    }
    // A ring that touches itself is no fault, and one that runs the other way is none either.
    let mut turned = square(660.0);
    turned.0[0].exterior_mut(|ring| ring.0.reverse());
    assert!((nothing.acres(&turned).unwrap().gross - 10.0).abs() < 1e-6);
}

/// Numbers on a grid of 100 ft now and then, so that edges fall on each other and on the field's.
fn number() -> impl Strategy<Value = f64> {
    prop_oneof![3 => -1500.0..1500.0f64, 2 => (-15i32..15).prop_map(|n| f64::from(n) * 100.0)]
}

fn spots(most: usize) -> impl Strategy<Value = Vec<[f64; 2]>> {
    prop::collection::vec((number(), number()).prop_map(|(x, y)| [x, y]), 1..most)
}

fn thing() -> impl Strategy<Value = Geometry<f64>> {
    prop_oneof![
        2 => spots(2).prop_map(|all| point(all[0][0], all[0][1])),
        2 => spots(12).prop_map(|all| path(&all)),
        // Any scribble is a pond, crossing itself or not.
        1 => spots(7).prop_map(|all| pond(&field(&all))),
        1 => (any::<u64>(), spots(2), 3usize..25).prop_map(|(seed, at, corners)| {
            let ring = star(&mut Dice(seed), corners, 50.0, 400.0);
            pond(&field(&ring.iter().map(|[x, y]| [x + at[0][0], y + at[0][1]]).collect::<Vec<_>>()))
        }),
    ]
}

fn things() -> impl Strategy<Value = Vec<(Geometry<f64>, f64)>> {
    let feet = prop_oneof![2 => 1.0..300.0f64, 2 => prop::sample::select(vec![35.0, 100.0, 200.0]), 1 => Just(0.0)];
    prop::collection::vec((thing(), feet), 0..10)
}

fn fields() -> impl Strategy<Value = MultiPolygon<f64>> {
    let round = (any::<u64>(), 3usize..60, any::<bool>()).prop_map(|(seed, corners, hole)| {
        let mut dice = Dice(seed);
        let outer = line(&star(&mut dice, corners, 400.0, 1200.0));
        let holes = if hole { vec![line(&star(&mut dice, 7, 20.0, 80.0))] } else { vec![] };
        degrees(&MultiPolygon(vec![Polygon::new(outer, holes)]))
    });
    let grid = (1i32..12, 1i32..12).prop_map(|(x, y)| {
        rectangle(f64::from(-x) * 100.0, f64::from(-y) * 100.0, f64::from(x) * 100.0, f64::from(y) * 100.0)
    });
    // Three corners may leave the hole outside, which is a fault and refused.
    prop_oneof![3 => round, 1 => grid].prop_filter("sound", |field| around(&[]).acres(field).is_ok())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_plan_has_the_same_acres_and_draws_a_little_less_for_its_arcs(field in fields(), things in things()) {
        let keep: Vec<_> = things.iter().enumerate().map(|(n, (thing, feet))| keep(n, thing, *feet)).collect();
        let cut = cut(&field, &keep, 0.0).unwrap();
        let fast = around(&things).acres(&field).unwrap();
        prop_assert!((cut.gross - fast.gross).abs() < 1e-5);
        prop_assert!((cut.acres - fast.spreadable).abs() < 1e-3, "{} {fast:?}", cut.acres);
        // Its arcs take up to 0.08 % too much of a circle.
        let arcs = 0.0012 * (cut.gross - cut.acres);
        prop_assert!(drawn(&cut) <= fast.spreadable + 1e-3, "{} {fast:?}", drawn(&cut));
        prop_assert!(fast.spreadable <= drawn(&cut) + arcs + 1e-3, "{} {fast:?}", drawn(&cut));
    }

    #[test]
    fn a_wider_setback_never_adds_ground(field in fields(), things in things(), more in 0.0..100.0f64) {
        let wider: Vec<_> = things.iter().map(|(thing, feet)| (thing.clone(), feet + more)).collect();
        let (narrow, wide) = (around(&things).acres(&field).unwrap(), around(&wider).acres(&field).unwrap());
        prop_assert!(wide.spreadable <= narrow.spreadable + 1e-4, "{narrow:?} {wide:?}");
    }

    #[test]
    fn acres_lie_within_gross_and_order_matters_not(field in fields(), mut things in things()) {
        let acres = around(&things).acres(&field).unwrap();
        prop_assert!(acres.gross > 0.0 && acres.spreadable >= 0.0 && acres.spreadable <= acres.gross);
        things.reverse();
        prop_assert!((around(&things).acres(&field).unwrap().spreadable - acres.spreadable).abs() < 1e-4);
    }

    #[test]
    fn no_numbers_make_a_panic(corners in prop::collection::vec(prop::collection::vec((any::<f64>(), -180.0..180.0f64), 0..6), 0..4), feet in any::<f64>()) {
        let rings: Vec<LineString<f64>> = corners.iter().map(|ring| ring.iter().copied().collect()).collect();
        let shape = MultiPolygon(rings.iter().map(|ring| Polygon::new(ring.clone(), rings.clone())).collect());
        let mut gathered = Gathered::default();
        let _ = gathered.add(&Geometry::MultiPolygon(shape.clone()), feet);
        let all = gathered.done();
        let _ = (all.acres(&shape), all.acres(&square(500.0)));
    }
}
