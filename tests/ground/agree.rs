//! Edges that fall on each other: the closed form and the shapes drawn must leave the same acres.

use crate::ground::spreadable::cut;
use crate::ground::{CutRefused, Gathered, Surroundings, Unfit};
use crate::shapes::*;
use geo::{Geometry, MapCoords, MultiLineString, MultiPoint, MultiPolygon, Point, Polygon, coord};

type Thing = (Geometry<f64>, f64);

fn around(things: &[Thing]) -> Surroundings {
    let mut gathered = Gathered::default();
    for (thing, feet) in things {
        gathered.add(thing, *feet).unwrap();
    }
    gathered.done()
}

/// Acres that are left by three ways to count, which agree.
fn left(field: &MultiPolygon<f64>, things: &[Thing]) -> f64 {
    let all = around(things);
    let closed = all.acres_checked(field).unwrap_or_else(|why| panic!("{why:?}: {things:?}"));
    let keep: Vec<_> = things.iter().enumerate().map(|(n, (thing, feet))| keep(n, thing, *feet)).collect();
    let cut = cut(field, &keep, 0.0).unwrap_or_else(|why| panic!("{why}: {things:?}"));
    whole(&cut);
    // The shapes drawn take a little more for their arcs, never less.
    assert!(drawn(&cut) <= closed.spreadable + 1e-3, "{} {closed:?} {things:?}", drawn(&cut));
    closed.spreadable
}

/// What things take of a square of 2,000 ft, in square feet.
fn takes(things: &[Thing]) -> f64 {
    (4e6 / 43_560.0 - left(&square(2000.0), things)) * 43_560.0
}

fn multi(parts: &[&[[f64; 2]]]) -> Geometry<f64> {
    Geometry::MultiLineString(MultiLineString(
        parts.iter().map(|part| line(part).map_coords(|at| plane().to_lonlat(at))).collect(),
    ))
}

#[test]
fn coincidences_by_hand() {
    let well = || (point(0.0, 0.0), 100.0);
    let one = takes(&[well()]);
    assert!((one - std::f64::consts::PI * 1e4).abs() < 5.0, "{one}");
    let same = |things: &[Thing], ideal: f64| {
        let real = takes(things);
        assert!((real - ideal).abs() < 60.0, "{real} for {ideal}: {things:?}");
    };
    // One well many times, and with a creek of 996 stretches between it and its double.
    same(&vec![well(); 300], one);
    let creek: Vec<[f64; 2]> = (0..=996).map(|n| [f64::from(n) - 500.0, 700.0]).collect();
    let creek = (path(&creek), 50.0);
    let both = takes(std::slice::from_ref(&creek)) + one;
    same(&[well(), creek.clone(), well()], both);
    // Concentric disks, and a disk that touches another from inside.
    same(&[well(), (point(0.0, 0.0), 50.0), (point(0.0, 0.0), 99.9)], one);
    same(&[well(), (point(50.0, 0.0), 50.0), (point(0.0, -50.0), 50.0)], one);
    // Disks that touch each other, the field's side, and its corner.
    same(&[well(), (point(200.0, 0.0), 100.0), (point(100.0, 200.0), 100.0)], 3.0 * one);
    same(&[(point(900.0, 0.0), 100.0), (point(-900.0, -900.0), 100.0)], 2.0 * one);
    // A line there and back, in parts that overlap, and doubled the other way.
    let through = takes(&[(path(&[[-500.0, 0.0], [500.0, 0.0]]), 60.0)]);
    same(&[(path(&[[-500.0, 0.0], [500.0, 0.0], [-500.0, 0.0], [500.0, 0.0]]), 60.0)], through);
    same(&[(multi(&[&[[-500.0, 0.0], [100.0, 0.0]], &[[500.0, 0.0], [-300.0, 0.0]]]), 60.0)], through);
    same(&[(path(&[[500.0, 0.0], [-500.0, 0.0]]), 60.0), (path(&[[-500.0, 0.0], [500.0, 0.0]]), 60.0)], through);
    // A keep-out along the field's side, and one that runs around all of it.
    same(&[(path(&[[-1000.0, -1000.0], [1000.0, -1000.0]]), 50.0)], 100_000.0);
    let round = [[-1000.0, -1000.0], [1000.0, -1000.0], [1000.0, 1000.0], [-1000.0, 1000.0], [-1000.0, -1000.0]];
    same(&[(path(&round), 50.0)], 4e6 - 1900.0 * 1900.0);
    same(&[(pond(&rectangle(-1000.0, -1000.0, 0.0, 1000.0)), 0.0)], 2e6);
    // Ponds that share a side, one drawn twice, one traced twice, one the other way around.
    let half = |x: f64| pond(&rectangle(x, -100.0, x + 200.0, 100.0));
    let long = takes(&[(pond(&rectangle(-200.0, -100.0, 200.0, 100.0)), 35.0)]);
    same(&[(half(-200.0), 35.0), (half(0.0), 35.0)], long);
    same(&[(half(-200.0), 35.0), (half(0.0), 35.0), (half(0.0), 35.0), (half(-200.0), 10.0)], long);
    let alone = takes(&[(half(0.0), 35.0)]);
    let ring = [[0.0, -100.0], [200.0, -100.0], [200.0, 100.0], [0.0, 100.0]];
    let twice: Vec<[f64; 2]> = ring.iter().chain([ring[0]].iter()).chain(&ring).copied().collect();
    same(&[(pond(&field(&twice)), 35.0)], alone);
    let back: Vec<[f64; 2]> = ring.iter().rev().copied().collect();
    same(&[(pond(&field(&back)), 35.0), (pond(&field(&ring)), 35.0)], alone);
    // The field inside a pond, on a pond's island, and just as large as the pond.
    assert_eq!(left(&square(500.0), &[(pond(&square(900.0)), 35.0)]), 0.0);
    assert!(left(&square(500.0), &[(pond(&square(500.0)), 0.0)]) < 1e-3);
    let mut lake = square(3000.0);
    lake.0[0].interiors_push(square(2100.0).0[0].exterior().clone());
    same(&[(pond(&lake), 50.0)], 0.0);
    same(&[(pond(&lake), 100.0)], 4e6 - 1900.0 * 1900.0);
}

/// Things on a grid of 50 ft, so that sides, ends and rounds fall on each other.
fn thing(dice: &mut Dice, before: &[Thing]) -> Thing {
    let mut grid = |most: f64| (dice.between(-most, most) / 50.0).round() * 50.0;
    let (x, y) = (grid(800.0), grid(800.0));
    let spots: Vec<[f64; 2]> = (0..5).map(|_| [grid(700.0), grid(700.0)]).collect();
    let feet = [0.0, 50.0, 50.0, 100.0, 100.0, 150.0][(dice.roll() * 6.0) as usize];
    let (wide, tall) = (50.0 + (dice.roll() * 6.0).floor() * 50.0, 50.0 + (dice.roll() * 6.0).floor() * 50.0);
    let box_ = [[x, y], [x + wide, y], [x + wide, y + tall], [x, y + tall]];
    let shape = match (dice.roll() * 9.0) as usize {
        0 | 1 => point(x, y),
        2 => path(&spots),
        3 => path(&[[x, y], [x + wide * 2.0, y], [x, y], [x + wide, y]]),
        4 => path(&[[-500.0, -500.0], [500.0, -500.0], [x, -500.0]]),
        5 => pond(&field(&box_)),
        6 => {
            let mut ring = box_.to_vec();
            ring.extend(box_.iter().take(1).chain(&box_));
            pond(&field(&ring))
        }
        7 => Geometry::MultiPoint(MultiPoint(
            spots.iter().chain(&spots).map(|&[x, y]| Point(plane().to_lonlat(coord! { x: x, y: y }))).collect(),
        )),
        _ => return before.get((dice.roll() * before.len() as f64) as usize).cloned().unwrap_or((point(x, y), feet)),
    };
    (shape, feet)
}

#[test]
fn things_on_a_grid_leave_the_same_by_both_ways_to_count() {
    let mut dice = Dice(20_271_101);
    let mut island = square(1000.0);
    island.0[0].interiors_push(square(300.0).0[0].exterior().clone());
    let mut parts = rectangle(-500.0, -500.0, 0.0, 500.0);
    parts.0.extend(rectangle(50.0, -500.0, 500.0, 500.0));
    let corner = field(&[[-500.0, -500.0], [500.0, -500.0], [500.0, 0.0], [0.0, 0.0], [0.0, 500.0], [-500.0, 500.0]]);
    let fields = [square(1000.0), island, parts, corner];
    for case in 0..1500 {
        let mut things = Vec::new();
        for _ in 0..1 + (dice.roll() * 10.0) as usize {
            things.push(thing(&mut dice, &things));
        }
        let some = left(&fields[case % fields.len()], &things);
        // The same again takes nothing more.
        let again: Vec<Thing> = things.iter().chain(&things).cloned().collect();
        assert!((left(&fields[case % fields.len()], &again) - some).abs() < 1e-3, "{things:?}");
    }
}

#[test]
fn very_many_corners_in_one_field_are_cut_or_refused_and_never_too_much() {
    // A river with a corner every half foot, its edges a thousandfold over each other.
    let river = |corners: usize| {
        let spot = |n: usize| {
            // To and fro through the field.
            let (row, along) = (n / 3600, (n % 3600) as f64 * 0.5);
            let along = if row.is_multiple_of(2) { along } else { 1800.0 - along };
            [along - 900.0, 40.0 * (along / 60.0).sin() + row as f64 * 50.0 - 400.0]
        };
        path(&(0..corners).map(spot).collect::<Vec<_>>())
    };
    let some = left(&square(2000.0), &[(river(3000), 100.0)]);
    assert!((80.0..86.0).contains(&some), "{some}");
    let refused = |thing: Geometry<f64>| {
        let one = around(&[(thing.clone(), 35.0)]).acres_checked(&square(2000.0));
        let other = cut(&square(2000.0), &[keep(0, &thing, 35.0)], 0.0);
        (one, other)
    };
    let (one, other) = refused(river(60_000));
    assert_eq!(one.unwrap_err(), Unfit::Refused(CutRefused::TooMany));
    assert_eq!(other.unwrap_err(), CutRefused::TooMany);
    // A pond that is a scribble of 4,000 lines through each other.
    let mut dice = Dice(3);
    let ring: Vec<[f64; 2]> = (0..4000).map(|_| [dice.between(-900.0, 900.0), dice.between(-900.0, 900.0)]).collect();
    let (_, other) = refused(Geometry::Polygon(Polygon::new(field(&ring).0[0].exterior().clone(), vec![])));
    assert_eq!(other.unwrap_err(), CutRefused::Crowded);
}

#[test]
fn hundreds_of_wells_in_one_field_are_charged_once_each() {
    let mut dice = Dice(8);
    let wells: Vec<Thing> =
        (0..600).map(|_| (point(dice.between(-900.0, 900.0), dice.between(-900.0, 900.0)), 30.0)).collect();
    let keep: Vec<_> = wells.iter().enumerate().map(|(n, (thing, feet))| keep(n, thing, *feet)).collect();
    let all = cut(&square(2000.0), &keep, 0.0).unwrap();
    whole(&all);
    assert!(all.zones.windows(2).all(|pair| pair[0].index < pair[1].index));
    // Ground within reach of two wells is the first one's: the first well has all of its disk.
    let disk = all.zones[0].acres * 43_560.0;
    assert!((disk / (std::f64::consts::PI * 900.0) - 1.0).abs() < 0.01, "{disk}");
}
