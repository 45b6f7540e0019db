//! Shapes for the tests, drawn in feet around a place and handed out in degrees.

use crate::ground::plane::Plane;
use crate::ground::setback::KeepAway;
use crate::ground::spreadable::{Cut, cut};
pub(crate) use crate::kit::Dice;
use geo::{Coord, Geometry, LineString, MapCoords, MultiPolygon, Point, Polygon, coord};

/// Middle of the made-up farm.
pub(crate) const LON: f64 = -80.0;
pub(crate) const LAT: f64 = 36.0;

pub(crate) fn plane() -> Plane {
    Plane::at(LON, LAT)
}

pub(crate) fn line(corners: &[[f64; 2]]) -> LineString<f64> {
    corners.iter().map(|&[x, y]| coord! { x: x, y: y }).collect()
}

/// A shape in feet to degrees.
pub(crate) fn degrees(shape: &MultiPolygon<f64>) -> MultiPolygon<f64> {
    plane().shape_to_lonlat(shape)
}

/// A one-part field from corners in feet, in degrees.
pub(crate) fn field(corners: &[[f64; 2]]) -> MultiPolygon<f64> {
    degrees(&MultiPolygon(vec![Polygon::new(line(corners), vec![])]))
}

/// A square field around the middle, `side` ft long, in degrees.
pub(crate) fn square(side: f64) -> MultiPolygon<f64> {
    rectangle(-side / 2.0, -side / 2.0, side / 2.0, side / 2.0)
}

pub(crate) fn rectangle(x0: f64, y0: f64, x1: f64, y1: f64) -> MultiPolygon<f64> {
    field(&[[x0, y0], [x1, y0], [x1, y1], [x0, y1]])
}

pub(crate) fn point(x: f64, y: f64) -> Geometry<f64> {
    Geometry::Point(Point(plane().to_lonlat(coord! { x: x, y: y })))
}

pub(crate) fn path(corners: &[[f64; 2]]) -> Geometry<f64> {
    Geometry::LineString(line(corners).map_coords(|at| plane().to_lonlat(at)))
}

pub(crate) fn pond(shape: &MultiPolygon<f64>) -> Geometry<f64> {
    Geometry::MultiPolygon(shape.clone())
}

pub(crate) fn keep(index: usize, geometry: &Geometry<f64>, feet: f64) -> KeepAway<'_> {
    KeepAway { index, geometry, feet }
}

/// Cuts with one thing and gives the square feet it takes.
pub(crate) fn taken(field: &MultiPolygon<f64>, geometry: &Geometry<f64>, feet: f64) -> f64 {
    let cut = cut(field, &[keep(0, geometry, feet)], 0.0).expect("a good field");
    whole(&cut);
    cut.zones.iter().map(|zone| zone.acres).sum::<f64>() * 43_560.0
}

/// Acres of the ground to spread on as it is drawn.
pub(crate) fn drawn(cut: &Cut) -> f64 {
    geo::Area::unsigned_area(&cut.spreadable) / 43_560.0
}

/// Asserts that the parts of a cut make the whole, and that its acres are those of the shapes but
/// for their arcs, which take up to 0.12 % of a distance too much.
pub(crate) fn whole(cut: &Cut) {
    let zones: f64 = cut.zones.iter().map(|zone| zone.acres).sum();
    let parts = zones + drawn(cut) + cut.sliver_acres;
    assert!((cut.gross - parts).abs() < 1e-6 * cut.gross + 1e-6, "{} is not {parts}", cut.gross);
    let more = cut.acres - drawn(cut);
    assert!((-1e-3..=1e-3 + 0.0012 * zones).contains(&more), "{} is not {}", cut.acres, drawn(cut));
    assert!(cut.acres <= cut.gross + 1e-9);
    assert!(cut.zones.iter().all(|zone| zone.acres > 0.0));
}

/// Asserts that `real` is `ideal` or more, by at most the share `over`.
pub(crate) fn safe_side(real: f64, ideal: f64, over: f64) {
    assert!(real >= ideal, "{real} falls short of {ideal}");
    assert!(real <= ideal * (1.0 + over), "{real} is {} over {ideal}", real / ideal - 1.0);
}

/// Distance in feet from a place to a line on the plane, by brute force.
pub(crate) fn distance(at: Coord<f64>, line: &[[f64; 2]]) -> f64 {
    let to = |a: Coord<f64>, b: Coord<f64>| {
        let (way, from) = (b - a, at - a);
        let length2 = way.x * way.x + way.y * way.y;
        let share = if length2 > 0.0 { ((from.x * way.x + from.y * way.y) / length2).clamp(0.0, 1.0) } else { 0.0 };
        (from - way * share).x.hypot((from - way * share).y)
    };
    let corners: Vec<Coord<f64>> = line.iter().map(|&[x, y]| coord! { x: x, y: y }).collect();
    if corners.len() == 1 {
        return to(corners[0], corners[0]);
    }
    corners.windows(2).map(|pair| to(pair[0], pair[1])).fold(f64::INFINITY, f64::min)
}

/// A field of random corners around a middle, star-shaped, so that it never crosses itself.
pub(crate) fn star(dice: &mut Dice, corners: usize, least: f64, most: f64) -> Vec<[f64; 2]> {
    (0..corners)
        .map(|n| {
            let angle = std::f64::consts::TAU * (n as f64 + 0.8 * dice.roll()) / corners as f64;
            let radius = dice.between(least, most);
            [radius * angle.cos(), radius * angle.sin()]
        })
        .collect()
}
