//! A field cut: what is left, who is charged, what is a sliver.

use std::f64::consts::PI;

use geo::{MultiPolygon, Polygon};

use crate::ground;
use crate::ground::faults::faults;
use crate::ground::spreadable::cut;
use crate::shapes::*;

#[test]
fn a_square_of_660_feet_is_ten_acres() {
    let cut = cut(&square(660.0), &[], 0.0).unwrap();
    assert!((cut.gross - 10.0).abs() < 1e-6, "{}", cut.gross);
    assert_eq!(cut.acres, cut.gross);
}

#[test]
fn a_thing_beside_the_field_takes_only_what_lies_in_the_field() {
    // Half a circle on the edge.
    safe_side(taken(&square(1000.0), &point(500.0, 0.0), 100.0), PI * 5000.0, 1.2e-3);
    // Just out of reach.
    assert_eq!(taken(&square(1000.0), &point(600.1, 0.0), 100.0), 0.0);
    // In reach of the box of the field, but not of the field.
    assert_eq!(taken(&square(1000.0), &point(575.0, 575.0), 100.0), 0.0);
}

#[test]
fn nothing_is_not_minus_nothing() {
    let cut = cut(&square(500.0), &[keep(0, &pond(&square(900.0)), 10.0)], 10.0).unwrap();
    assert!(cut.acres.is_sign_positive() && cut.sliver_acres.is_sign_positive());
}

#[test]
fn ground_is_charged_once_and_to_the_wider_distance() {
    let (near, far) = (point(0.0, 0.0), point(50.0, 0.0));
    let field = square(2000.0);
    let both = cut(&field, &[keep(7, &near, 100.0), keep(3, &far, 200.0)], 0.0).unwrap();
    whole(&both);
    // The circle of 100 ft lies inside the one of 200 ft: all goes to the wider.
    assert_eq!(both.zones.len(), 1);
    assert_eq!(both.zones[0].index, 3);
    // Same distance: the lower index has it, whatever the order in the list.
    let tie = cut(&field, &[keep(9, &near, 100.0), keep(2, &near, 100.0)], 0.0).unwrap();
    assert_eq!(tie.zones.iter().map(|zone| zone.index).collect::<Vec<_>>(), [2]);
    // Zones come in order of index.
    let apart = cut(&field, &[keep(9, &point(500.0, 0.0), 200.0), keep(2, &near, 100.0)], 0.0).unwrap();
    assert_eq!(apart.zones.iter().map(|zone| zone.index).collect::<Vec<_>>(), [2, 9]);
}

#[test]
fn a_hole_in_the_field_is_no_ground() {
    let hole = line(&[[-100.0, -100.0], [100.0, -100.0], [100.0, 100.0], [-100.0, 100.0]]);
    let outer = line(&[[-500.0, -500.0], [500.0, -500.0], [500.0, 500.0], [-500.0, 500.0]]);
    for turned in [false, true] {
        let mut hole = hole.clone();
        if turned {
            hole.0.reverse();
        }
        let field = degrees(&MultiPolygon(vec![Polygon::new(outer.clone(), vec![hole])]));
        assert!(faults(&field).is_empty());
        let gross = cut(&field, &[], 0.0).unwrap().gross * 43_560.0;
        assert!((gross - 960_000.0).abs() < 0.5, "{gross}");
        // A well in the middle of the hole takes a ring around the hole.
        let real = taken(&field, &point(0.0, 0.0), 300.0);
        safe_side(real, PI * 90_000.0 - 40_000.0, 1e-3);
    }
}

#[test]
fn a_field_in_parts_is_their_sum() {
    let mut parts = rectangle(-900.0, -300.0, -300.0, 300.0);
    parts.0.extend(rectangle(300.0, -300.0, 900.0, 300.0));
    assert!(faults(&parts).is_empty());
    let cut = cut(&parts, &[keep(0, &path(&[[-2000.0, 0.0], [2000.0, 0.0]]), 50.0)], 0.0).unwrap();
    whole(&cut);
    assert!((cut.gross * 43_560.0 - 720_000.0).abs() < 0.5);
    safe_side(cut.zones[0].acres * 43_560.0, 2.0 * 600.0 * 100.0, 1e-4);
    assert_eq!(cut.spreadable.0.len(), 4);
}

#[test]
fn a_part_in_the_hole_of_another_counts() {
    let ring = |r: f64| line(&[[-r, -r], [r, -r], [r, r], [-r, r]]);
    let field =
        degrees(&MultiPolygon(vec![Polygon::new(ring(500.0), vec![ring(300.0)]), Polygon::new(ring(100.0), vec![])]));
    assert!(faults(&field).is_empty(), "{:?}", faults(&field));
    let gross = cut(&field, &[], 0.0).unwrap().gross * 43_560.0;
    assert!((gross - 680_000.0).abs() < 0.5, "{gross}");
}

#[test]
fn a_thing_that_covers_the_field_leaves_nothing() {
    let cut = cut(&square(500.0), &[keep(0, &pond(&square(900.0)), 10.0)], 15.0).unwrap();
    whole(&cut);
    assert_eq!(cut.acres, 0.0);
    assert!(cut.spreadable.0.is_empty());
    assert_eq!(cut.zones.len(), 1);
    let wide = ground::spreadable::cut(&square(500.0), &[keep(0, &point(0.0, 0.0), 52_800.0)], 0.0).unwrap();
    assert_eq!(wide.acres, 0.0);
}

#[test]
fn slivers_are_dropped_whole_and_counted() {
    // A line 30 ft inside the edge with 20 ft on both sides leaves a strip 10 ft wide.
    let hedge = path(&[[-2000.0, 470.0], [2000.0, 470.0]]);
    let things = [keep(0, &hedge, 20.0)];
    let field = square(1000.0);
    let all = cut(&field, &things, 0.0).unwrap();
    assert_eq!((all.slivers, all.spreadable.0.len()), (0, 2));
    let kept = cut(&field, &things, 9.9).unwrap();
    assert_eq!(kept.slivers, 0);
    let dropped = cut(&field, &things, 10.1).unwrap();
    whole(&dropped);
    assert_eq!((dropped.slivers, dropped.spreadable.0.len()), (1, 1));
    assert!((dropped.sliver_acres * 43_560.0 - 10_000.0).abs() < 3.0);
    // A ring 10 ft wide has a hole, and no circle of 15 ft fits into it however long it is.
    let ring = cut(&field, &[keep(0, &pond(&square(980.0)), 0.0)], 15.0).unwrap();
    whole(&ring);
    assert_eq!((ring.slivers, ring.acres), (1, 0.0));
    assert_eq!(cut(&field, &[keep(0, &pond(&square(980.0)), 0.0)], 9.0).unwrap().slivers, 0);
}
