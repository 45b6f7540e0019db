//! Driving lines against fields whose answer is plain.

use crate::ground::passes::{self, Passes, feet_per_load};
use crate::shapes::{Dice, line, star};
use geo::{Contains, MultiPolygon, Point, Polygon};

fn shape(corners: &[[f64; 2]]) -> MultiPolygon<f64> {
    MultiPolygon(vec![Polygon::new(line(corners), vec![])])
}

fn rectangle(width: f64, height: f64) -> MultiPolygon<f64> {
    shape(&[[0.0, 0.0], [width, 0.0], [width, height], [0.0, height]])
}

/// Laid from the left, every last strip with a run.
fn passes(field: &MultiPolygon<f64>, swath_ft: f64, heading: Option<f64>) -> Passes {
    passes::passes(field, swath_ft, heading, 0.0).remove(0)
}

fn turned(shape: &[[f64; 2]], degrees: f64) -> Vec<[f64; 2]> {
    let (sin, cos) = degrees.to_radians().sin_cos();
    // Clockwise, as headings count.
    shape.iter().map(|[x, y]| [x * cos + y * sin, y * cos - x * sin]).collect()
}

fn length([a, b]: &[geo::Coord<f64>; 2]) -> f64 {
    (b.x - a.x).hypot(b.y - a.y)
}

#[test]
fn a_rectangle_is_driven_the_long_way() {
    let laid = passes(&rectangle(300.0, 1000.0), 30.0, None);
    assert_eq!((laid.heading_deg, laid.runs.len(), laid.turns), (0.0, 10, 9));
    assert!((laid.run_ft - 10_000.0).abs() < 1e-6);
    let east = passes(&rectangle(1000.0, 300.0), 30.0, None);
    assert_eq!((east.heading_deg, east.turns), (90.0, 9));
}

#[test]
fn a_turned_rectangle_is_driven_along_its_edge() {
    for degrees in [0.0, 13.7, 45.0, 101.3, 179.9] {
        let corners = turned(&[[-150.0, -500.0], [150.0, -500.0], [150.0, 500.0], [-150.0, 500.0]], degrees);
        let laid = passes(&shape(&corners), 30.0, None);
        assert_eq!(laid.runs.len(), 10, "{degrees}: {}", laid.heading_deg);
        assert!((laid.run_ft - 10_000.0).abs() < 40.0, "{}", laid.run_ft);
    }
}

#[test]
fn lines_lie_a_swath_apart_and_half_a_swath_inside() {
    let laid = passes(&rectangle(310.0, 1000.0), 30.0, Some(0.0));
    let x: Vec<f64> = laid.runs.iter().map(|run| run.line[0].x).collect();
    assert_eq!(x.len(), 11);
    assert_eq!((x[0], x[1], x[9], x[10]), (15.0, 45.0, 285.0, 300.0));
    // A hair more than a whole number of swaths makes no line of its own.
    assert_eq!(passes(&rectangle(301.0, 1000.0), 30.0, Some(0.0)).runs.len(), 10);
    // Narrower than a swath: one line in the middle.
    let narrow = passes(&rectangle(20.0, 1000.0), 30.0, Some(0.0));
    assert_eq!((narrow.runs.len(), narrow.runs[0].line[0].x), (1, 10.0));
}

/// Whole runs do not fit the width: headings at a slant have as few runs and a few feet less, since
/// they cut corners off. The fence wins.
#[test]
fn a_tie_goes_to_the_long_side() {
    for (width, height, degrees) in
        [(80.0, 2600.0, 160.0), (880.0, 931.0, 0.0), (875.0, 1200.0, 0.0), (80.0, 300.0, 33.3)]
    {
        let (x, y) = (width / 2.0, height / 2.0);
        let corners = turned(&[[-x, -y], [x, -y], [x, y], [-x, y]], degrees);
        let laid = passes(&shape(&corners), 30.0, None);
        assert!((laid.heading_deg - degrees).abs() < 1e-6, "{width} x {height}: {}", laid.heading_deg);
        assert_eq!(laid.runs.len() as f64, (width / 30.0).ceil());
    }
}

#[test]
fn runs_go_back_and_forth() {
    let laid = passes(&rectangle(90.0, 1000.0), 30.0, Some(0.0));
    let ends: Vec<(f64, f64)> = laid.runs.iter().map(|run| (run.line[0].y, run.line[1].y)).collect();
    assert_eq!(ends, [(0.0, 1000.0), (1000.0, 0.0), (0.0, 1000.0)]);
}

#[test]
fn a_hole_and_a_second_part_break_runs() {
    let ring = |x0: f64, x1: f64| line(&[[x0, x0], [x1, x0], [x1, x1], [x0, x1]]);
    let field = MultiPolygon(vec![Polygon::new(ring(0.0, 300.0), vec![ring(120.0, 180.0)])]);
    let broken = passes(&field, 30.0, Some(0.0));
    // 10 lines, of which the two over the hole are in two runs.
    assert_eq!(broken.runs.len(), 12);
    assert!((broken.run_ft - (300.0 * 10.0 - 2.0 * 60.0)).abs() < 1e-6);
    // The second of the two is driven southward, top run first.
    let over: Vec<_> =
        broken.runs.iter().map(|run| run.line).filter(|run| (120.0..180.0).contains(&run[0].x)).collect();
    assert!(over[0][0].y < over[1][0].y && over[2][0].y > over[3][0].y);
}

#[test]
fn a_fixed_heading_is_kept() {
    for (given, kept) in [(45.0, 45.0), (225.0, 45.0), (-90.0, 90.0), (180.0, 0.0), (-1e-20, 0.0)] {
        assert_eq!(passes(&rectangle(300.0, 1000.0), 30.0, Some(given)).heading_deg, kept);
    }
}

#[test]
fn runs_lie_in_the_field_and_cover_about_its_acres() {
    let mut dice = Dice(23);
    for _ in 0..40 {
        let field = shape(&star(&mut dice, 24, 400.0, 900.0));
        let laid = passes(&field, 30.0, None);
        let swept = laid.run_ft * 30.0;
        let area = geo::Area::unsigned_area(&field);
        assert!((swept / area - 1.0).abs() < 0.03, "{swept} of {area}");
        for [a, b] in laid.runs.iter().map(|run| run.line) {
            assert!(field.contains(&Point((a + b) / 2.0)) && length(&[a, b]) >= 15.0);
        }
        assert_eq!(laid.turns + 1, laid.runs.len());
    }
}

#[test]
fn the_search_is_no_worse_than_a_fine_one() {
    let mut dice = Dice(29);
    let (mut found, mut least) = (0, 0);
    for _ in 0..60 {
        let field = shape(&star(&mut dice, 12, 300.0, 900.0));
        found += passes(&field, 30.0, None).runs.len();
        let all = (0..720).map(|n| passes(&field, 30.0, Some(f64::from(n) / 4.0)).runs.len());
        least += all.min().unwrap();
    }
    println!("runs found {found}, by a quarter-degree search {least}");
    assert!(f64::from(found as u32) <= 1.005 * f64::from(least as u32), "{found} {least}");
}

#[test]
fn nothing_comes_of_nothing() {
    let none = |laid: Passes| laid.runs.is_empty() && laid.turns == 0 && laid.run_ft == 0.0;
    let field = rectangle(300.0, 1000.0);
    assert!(none(passes(&MultiPolygon(vec![]), 30.0, None)));
    for swath in [f64::NAN, f64::INFINITY, 0.0, -30.0, 1e-9, 1e9] {
        assert!(none(passes(&field, swath, None)));
    }
    assert!(none(passes(&field, 30.0, Some(f64::NAN))));
    assert!(none(passes(&rectangle(f64::INFINITY, 10.0), 30.0, None)));
    assert!(none(passes(&rectangle(1e300, 1e300), 30.0, None)));
    assert!(none(passes(&rectangle(0.0, 0.0), 30.0, None)));
}

#[test]
fn a_load_lasts_so_many_feet() {
    // 8 tons at 2 tons an acre is 4 acres: 5,808 ft of 30 ft.
    assert!((feet_per_load(8.0, 2.0, 30.0).unwrap() - 5808.0).abs() < 1e-9);
    for wrong in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert_eq!(feet_per_load(wrong, 2.0, 30.0), None);
        assert_eq!(feet_per_load(8.0, wrong, 30.0), None);
        assert_eq!(feet_per_load(8.0, 2.0, wrong), None);
    }
}

/// A setback that cuts the field at a slant, and a round one in its middle: no part of any swath
/// lies over them, and hardly more is left than the corners that a square end cannot reach.
#[test]
fn no_half_swath_lies_over_a_setback() {
    let slanted = [[0.0, 0.0], [600.0, 0.0], [600.0, 200.0], [0.0, 500.0]];
    let round: Vec<[f64; 2]> = (0..64)
        .map(|n| f64::from(n) / 32.0 * std::f64::consts::PI)
        .map(|at| [300.0 + 100.0 * at.cos(), 700.0 + 100.0 * at.sin()])
        .collect();
    let zones = [shape(&slanted), shape(&round)];
    let ground = MultiPolygon(vec![Polygon::new(
        line(&[[0.0, 500.0], [600.0, 200.0], [600.0, 1200.0], [0.0, 1200.0]]),
        vec![line(&round)],
    )]);
    let off: Vec<&Polygon<f64>> = zones.iter().flat_map(|zone| zone.iter()).collect();
    let corners = |[a, b]: &[geo::Coord<f64>; 2]| {
        let way = *b - *a;
        let right = geo::coord! { x: way.y, y: -way.x } / way.x.hypot(way.y) * 14.5;
        Polygon::new(geo::LineString(vec![*a - right, *b - right, *b + right, *a + right]), vec![])
    };
    let over = |laid: &Passes| {
        let swaths = laid.runs.iter().map(|run| &run.line).map(corners);
        swaths
            .flat_map(|swath| {
                off.iter().map(move |zone| geo::Area::unsigned_area(&geo::BooleanOps::intersection(&swath, *zone)))
            })
            .sum::<f64>()
    };
    for heading in [0.0, 25.0, 63.4, 90.0, 150.0] {
        let laid = passes(&ground, 30.0, Some(heading));
        let before = over(&laid);
        let clear = laid.clone().clear_of(zones.iter(), 30.0);
        assert!(before > 100.0, "{heading}: the shapes show it: {before}");
        assert!(over(&clear) < 1.0, "{heading}: {} sq ft over a setback", over(&clear));
        let lost = (laid.run_ft - clear.run_ft) * 30.0 / geo::Area::unsigned_area(&ground);
        assert!((0.0..0.08).contains(&lost), "{heading}: {lost} of the ground is left");
        assert_eq!(clear.turns + 1, clear.runs.len());
    }
    let none = passes(&ground, 30.0, Some(0.0));
    assert_eq!(none.clone().clear_of([].iter(), 30.0), none, "a plain fence cuts no run");
}

/// What is left beside the last whole swath: a run on it that throws on nothing else, and none where it
/// is too narrow. 100 ft at 30 ft: runs at 15, 45 and 75, and the last 10 ft from the line at 90.
#[test]
fn a_last_run_lies_where_the_ground_is_left() {
    let least = 7.5;
    for (width, line, throws) in [
        (100.0, Some(90.0), [("west", 0.0), ("east", 10.0)]),
        (98.0, Some(90.0), [("west", 0.0), ("east", 8.0)]),
        (105.0, Some(90.0), [("west", 0.0), ("east", 15.0)]),
        (110.0, Some(95.0), [("west", 5.0), ("east", 15.0)]),
        (97.0, None, [("west", 0.0), ("east", 7.0)]),
        (92.0, None, [("west", 0.0), ("east", 2.0)]),
    ] {
        let both = passes::passes(&rectangle(width, 1000.0), 30.0, Some(0.0), least);
        let [right, left] = both.as_slice() else { panic!("{width}: {both:?}") };
        let x: Vec<f64> = right.runs.iter().map(|run| run.line[0].x).collect();
        assert_eq!(x[..3], [15.0, 45.0, 75.0]);
        assert_eq!(x.get(3).copied(), line, "{width}");
        let narrow = throws[0].1 + throws[1].1;
        if line.is_some() {
            let mut said = right.runs[3].throws();
            said.sort_by(|a, b| b.0.cmp(a.0));
            assert_eq!(said, throws, "{width}");
            assert_eq!((right.runs[3].throw_ft(), &right.left), (narrow, &None));
        } else {
            let strip = right.left.as_ref().unwrap();
            assert_eq!((strip.feet, strip.way), (narrow, "east"));
            assert!((geo::Area::unsigned_area(&strip.strip) - narrow * 1000.0).abs() < 1e-6);
            assert_eq!(left.left.as_ref().unwrap().way, "west");
        }
        // From the other side the same, mirrored.
        let mirrored: Vec<f64> = left.runs.iter().rev().map(|run| width - run.line[0].x).collect();
        assert_eq!(mirrored, x, "{width}");
    }
    // Whole swaths leave nothing, and there is one way to lay them.
    assert_eq!(passes::passes(&rectangle(90.0, 1000.0), 30.0, Some(0.0), least).len(), 1);
}
