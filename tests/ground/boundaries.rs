//! What is wrong with boundaries, and what is refused.

use std::f64::consts::PI;

use geo::{Geometry, GeometryCollection, LineString, MultiPolygon, Point, Polygon, coord};

use crate::ground::CutRefused;
use crate::ground::faults::{faults, overlap_acres};
use crate::ground::plane::Plane;
use crate::ground::shape::ShapeFault;
use crate::ground::spreadable::cut;
use crate::shapes::*;

#[test]
fn a_bow_tie_is_found_with_the_place_where_it_crosses() {
    let tie = field(&[[-100.0, -100.0], [100.0, 100.0], [100.0, -100.0], [-100.0, 100.0]]);
    let found = faults(&tie);
    assert_eq!(found.len(), 1, "{found:?}");
    let ShapeFault::SelfCrossing { at, .. } = found[0] else { panic!("{found:?}") };
    assert!((at.x - LON).abs() < 1e-9 && (at.y - LAT).abs() < 1e-9, "{at:?}");
    assert_eq!(found[0].to_string(), "the line crosses itself at longitude -80.000000, latitude 36.000000");
    // The same through a corner that both halves share.
    let corner = field(&[[-100.0, -100.0], [0.0, 0.0], [100.0, 100.0], [100.0, -100.0], [0.0, 0.0], [-100.0, 100.0]]);
    let found = faults(&corner);
    assert!(found.iter().any(|f| matches!(f, ShapeFault::SelfCrossing { .. })), "{found:?}");
    // Two halves that touch and do not cross are only told.
    let touch = field(&[[-100.0, -100.0], [0.0, 0.0], [100.0, -100.0], [100.0, 100.0], [0.0, 0.0], [-100.0, 100.0]]);
    let found = faults(&touch);
    assert!(matches!(found[..], [ShapeFault::SelfTouch { .. }]), "{found:?}");
    assert!(!found[0].serious());
    // A crossed boundary still gives all its ground.
    let gross = cut(&tie, &[], 0.0).unwrap().gross * 43_560.0;
    assert!((gross - 20_000.0).abs() < 0.1, "{gross}");
}

#[test]
fn every_fault_is_found() {
    let one = |found: Vec<ShapeFault>| {
        assert_eq!(found.len(), 1, "{found:?}");
        found[0]
    };
    assert_eq!(one(faults(&MultiPolygon(vec![]))), ShapeFault::Empty);
    let empty = MultiPolygon(vec![Polygon::new(LineString(vec![]), vec![])]);
    assert!(matches!(one(faults(&empty)), ShapeFault::TooFewPoints { .. }));
    let two = field(&[[0.0, 0.0], [100.0, 0.0]]);
    assert!(matches!(one(faults(&two)), ShapeFault::TooFewPoints { .. }));
    let mut bad = square(100.0);
    bad.0[0].exterior_mut(|ring| ring.0[2].x = f64::NAN);
    assert!(matches!(one(faults(&bad)), ShapeFault::NotFinite { corner: 2, .. }));
    let mut bad = square(100.0);
    bad.0[0].exterior_mut(|ring| ring.0[1].y = 91.0);
    assert!(matches!(one(faults(&bad)), ShapeFault::OutOfRange { .. }));
    let wide = MultiPolygon(vec![Polygon::new(line(&[[-179.0, 30.0], [179.0, 30.0], [0.0, 31.0]]), vec![])]);
    assert_eq!(one(faults(&wide)), ShapeFault::TooWide);
    let double = field(&[[0.0, 0.0], [100.0, 0.0], [100.0, 0.0], [100.0, 100.0]]);
    assert!(matches!(one(faults(&double)), ShapeFault::DuplicatePoint { .. }));
    let flat = MultiPolygon(vec![Polygon::new(line(&[[-80.0, 36.0], [-79.999, 36.0], [-79.998, 36.0]]), vec![])]);
    assert!(faults(&flat).iter().any(|f| matches!(f, ShapeFault::ZeroArea { .. })));
    let spike = MultiPolygon(vec![Polygon::new(
        line(&[[-80.0, 36.0], [-79.998, 36.0], [-79.998, 36.004], [-79.998, 36.002], [-80.0, 36.002]]),
        vec![],
    )]);
    let found = one(faults(&spike));
    assert!(matches!(found, ShapeFault::Spike { .. }));
    assert_eq!(found.at().unwrap().y, 36.004);
    let outer = line(&[[0.0, 0.0], [500.0, 0.0], [500.0, 500.0], [0.0, 500.0]]);
    let hole = |x: f64| line(&[[x, 100.0], [x + 100.0, 100.0], [x + 100.0, 200.0], [x, 200.0]]);
    let with = |holes: Vec<LineString<f64>>| degrees(&MultiPolygon(vec![Polygon::new(outer.clone(), holes)]));
    assert!(faults(&with(vec![hole(100.0), hole(300.0)])).is_empty());
    assert!(matches!(one(faults(&with(vec![hole(450.0)]))), ShapeFault::HoleOutside { .. }));
    assert!(matches!(one(faults(&with(vec![hole(900.0)]))), ShapeFault::HoleOutside { .. }));
    assert!(matches!(one(faults(&with(vec![hole(100.0), hole(150.0)]))), ShapeFault::HolesOverlap { .. }));
    let mut over = rectangle(0.0, 0.0, 500.0, 500.0);
    over.0.extend(rectangle(450.0, 0.0, 900.0, 500.0));
    assert!(matches!(one(faults(&over)), ShapeFault::PartsOverlap { .. }));
    // Parts that share a side are fine.
    let mut beside = rectangle(0.0, 0.0, 500.0, 500.0);
    beside.0.extend(rectangle(500.0, 0.0, 900.0, 500.0));
    assert!(faults(&beside).is_empty());
}

#[test]
fn the_overlap_of_two_fields() {
    let real = overlap_acres(&rectangle(0.0, 0.0, 660.0, 660.0), &rectangle(330.0, 330.0, 900.0, 900.0));
    assert!((real - 2.5).abs() < 1e-4, "{real}");
    assert_eq!(overlap_acres(&rectangle(0.0, 0.0, 100.0, 100.0), &rectangle(200.0, 0.0, 300.0, 100.0)), 0.0);
    assert_eq!(overlap_acres(&MultiPolygon(vec![]), &square(100.0)), 0.0);
    let mut bad = square(100.0);
    bad.0[0].exterior_mut(|ring| ring.0[2].x = f64::NAN);
    assert_eq!(overlap_acres(&bad, &square(100.0)), 0.0);
    assert_eq!(overlap_acres(&square(100.0), &bad), 0.0);
}

#[test]
fn what_cannot_be_used_is_refused_and_never_panics() {
    let good = square(500.0);
    let well = point(0.0, 0.0);
    assert_eq!(cut(&MultiPolygon(vec![]), &[], 0.0), Err(CutRefused::Empty));
    let hollow = MultiPolygon(vec![Polygon::new(LineString(vec![]), vec![LineString(vec![])])]);
    assert_eq!(cut(&hollow, &[], 0.0), Err(CutRefused::Empty));
    assert_eq!(cut(&field(&[[0.0, 0.0], [100.0, 0.0]]), &[], 0.0), Err(CutRefused::Empty));
    assert_eq!(cut(&field(&[[0.0, 0.0]]), &[], 0.0), Err(CutRefused::Empty));
    for (wrong, why) in [
        (f64::NAN, CutRefused::NotFinite),
        (f64::INFINITY, CutRefused::NotFinite),
        (1e300, CutRefused::OutOfRange),
        (-181.0, CutRefused::OutOfRange),
        (-100.0, CutRefused::TooWide),
    ] {
        let mut bad = good.clone();
        bad.0[0].exterior_mut(|ring| ring.0[2].x = wrong);
        assert_eq!(cut(&bad, &[], 0.0), Err(why));
        let _ = (faults(&bad), Plane::for_shape(&bad), overlap_acres(&bad, &good));
    }
    for wrong in [f64::NAN, f64::INFINITY, -1.0, 1e9] {
        assert!(matches!(cut(&good, &[keep(5, &well, wrong)], 0.0), Err(CutRefused::KeepOutDistance { index: 5, .. })));
        assert!(matches!(cut(&good, &[], wrong), Err(CutRefused::SliverWidth { .. })));
    }
    for wrong in [f64::NAN, f64::INFINITY, 1e300, 200.0] {
        let lost = Geometry::Point(Point::new(wrong, 36.0));
        assert_eq!(cut(&good, &[keep(6, &lost, 10.0)], 0.0), Err(CutRefused::KeepOutPlace { index: 6 }));
    }
    // Things without corners take nothing.
    for nothing in [
        Geometry::MultiPoint(geo::MultiPoint(vec![])),
        Geometry::LineString(LineString(vec![])),
        Geometry::Polygon(Polygon::new(LineString(vec![]), vec![LineString(vec![])])),
        Geometry::GeometryCollection(GeometryCollection(vec![])),
    ] {
        assert_eq!(taken(&good, &nothing, 100.0), 0.0);
    }
    // A line or a pond that is one spot is a circle.
    for spot in [path(&[[0.0, 0.0], [0.0, 0.0]]), path(&[[0.0, 0.0]]), pond(&field(&[[0.0, 0.0]]))] {
        safe_side(taken(&good, &spot, 50.0), PI * 2500.0, 1e-3);
    }
    for odd in [f64::NAN, f64::INFINITY, 90.0, -1e300] {
        let plane = Plane::at(odd, odd);
        let _ = (plane.to_feet(coord! { x: 1.0, y: 1.0 }), plane.to_lonlat(coord! { x: odd, y: 1.0 }));
        let _ = plane.overstates(odd, -odd);
    }
}
