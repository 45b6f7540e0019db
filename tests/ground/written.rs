//! Ground as it is written for other programs: after rounding it is valid, and keeps its setbacks.

use crate::ground::spreadable::cut;
use crate::ground::{ROUNDED_FEET, written};
use crate::shapes::*;
use geo::{Area, Coord, Distance, Euclidean, Geometry, Line, LinesIter, MultiPolygon, Polygon, Validation};

/// Writes a shape in feet and looks at what came out; gives it back in feet with what is left out.
fn looked_at(shape: &MultiPolygon<f64>) -> (MultiPolygon<f64>, f64) {
    let out = written(&plane(), shape);
    assert!(out.shape.is_valid(), "{:?} of {shape:?}", out.shape);
    for at in out.shape.lines_iter().flat_map(|side| [side.start.x, side.start.y]) {
        assert_eq!(at, format!("{at:.7}").parse::<f64>().unwrap());
    }
    (plane().shape_to_feet(&out.shape), out.left_out)
}

/// A comb whose gaps and teeth are about as wide as what rounding moves.
fn comb(dice: &mut Dice) -> Vec<[f64; 2]> {
    let mut ring = vec![[0.0, -50.0], [0.0, 0.0]];
    for _ in 0..12 {
        let x = ring[ring.len() - 1][0];
        let (tooth, gap, deep) = (dice.between(0.0, 0.12), dice.between(0.0, 0.12), dice.between(0.0, 30.0));
        ring.extend([
            [x + dice.between(-0.02, 0.02), deep],
            [x + tooth, deep],
            [x + tooth + gap, dice.between(0.0, 0.1)],
        ]);
    }
    let x = ring[ring.len() - 1][0];
    ring.push([x.max(0.2) + 20.0, -50.0]);
    ring
}

#[test]
fn what_is_narrower_than_the_decimals_is_written_sound_or_left_out() {
    let mut dice = Dice(4);
    let (mut repaired, mut tried) = (0, 0);
    for _ in 0..300 {
        let shape = MultiPolygon(vec![Polygon::new(line(&comb(&mut dice)), vec![])]);
        if !shape.is_valid() {
            continue;
        }
        tried += 1;
        let plain = plane().shape_to_feet(&rounded(&shape));
        repaired += usize::from(!plain.is_valid());
        let (out, left_out) = looked_at(&shape);
        // Nothing reaches further than the tolerance.
        for at in out.lines_iter().map(|side| side.start) {
            let off = Euclidean.distance(&geo::Point(at), &shape);
            assert!(off <= ROUNDED_FEET + 0.02, "{off} ft beyond");
        }
        let lost = (shape.unsigned_area() - out.unsigned_area()) / 43_560.0;
        assert!(lost < 0.002 && (left_out == 0.0 || (left_out - lost).abs() < 1e-9), "{lost} {left_out}");
    }
    assert!(tried > 50 && repaired > 20, "{repaired} of {tried}");
}

fn rounded(shape: &MultiPolygon<f64>) -> MultiPolygon<f64> {
    let round = |degrees: f64| (degrees * 1e7).round() / 1e7;
    geo::MapCoords::map_coords(&degrees(shape), |at| Coord { x: round(at.x), y: round(at.y) })
}

#[test]
fn spread_ground_as_written_keeps_its_setbacks() {
    let mut dice = Dice(99);
    for case in 0..150 {
        let corners = 4 + (dice.roll() * 40.0) as usize;
        let field = field(&star(&mut dice, corners, 150.0, 900.0));
        let mut things: Vec<(Geometry<f64>, Vec<[f64; 2]>, f64)> = Vec::new();
        for _ in 0..12 {
            let spot = [dice.between(-900.0, 900.0), dice.between(-900.0, 900.0)];
            let mut way = vec![spot];
            for _ in 0..(dice.roll() * 20.0) as usize {
                let last = way[way.len() - 1];
                way.push([last[0] + dice.between(-120.0, 120.0), last[1] + dice.between(-120.0, 120.0)]);
            }
            let shape = if way.len() == 1 { point(spot[0], spot[1]) } else { path(&way) };
            things.push((shape, way, dice.between(5.0, 120.0)));
        }
        let keep: Vec<_> = things.iter().enumerate().map(|(n, (shape, _, feet))| keep(n, shape, *feet)).collect();
        let cut = cut(&field, &keep, if case % 2 == 0 { 0.0 } else { 30.0 }).unwrap();
        let out = written(&cut.plane, &cut.spreadable);
        assert!(out.shape.is_valid() && out.left_out < 0.01);
        let out = plane().shape_to_feet(&out.shape);
        for side in out.lines_iter() {
            // Corners, and spots between them.
            for share in [0.0, 0.25, 0.5, 0.75] {
                let Line { start, end } = side;
                let at = start + (end - start) * share;
                for (_, way, feet) in &things {
                    let near = distance(at, way);
                    assert!(near >= feet - ROUNDED_FEET, "{near} ft of {feet} ft");
                }
            }
        }
        assert!((out.unsigned_area() / 43_560.0 - cut.acres).abs() < 0.01);
    }
}
