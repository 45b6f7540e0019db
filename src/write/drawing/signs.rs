//! The signs of maps and legends, each around its place.

use super::frame::Frame;
use super::{
    BAR, DONE, DOT, Drawing, FOOT, FULL, GO, HOUSE, IDLE, LOAD, LOAD_NUMBER, NORTH, NUMBER, NUMERAL, OFF, PIN,
    PIN_LETTER, Pen, RULE, RUN, SPOT, SPREAD, Shape, Side, around, rect, text,
};
use crate::units::number_text;
use crate::write::words::en;
use geo::{Coord, coord};
use std::f64::consts::SQRT_2;

/// The number of a zone, on its disc.
pub(in crate::write) fn number(at: Coord<f64>, what: &str) -> Vec<Shape> {
    vec![Shape::Disc(at, 8.5, NUMBER), text(at, 4.0, Side::Middle, NUMERAL, what)]
}

pub(in crate::write) fn gate(at: Coord<f64>, half: f64) -> Vec<Shape> {
    let square = around(at, 0.0, &[(-half, -half), (half, -half), (half, half), (-half, half)]);
    vec![Shape::Area(square, PIN), text(at, 4.5, Side::Middle, PIN_LETTER, en::GATE_LETTER)]
}

pub(in crate::write) fn stack(at: Coord<f64>) -> Vec<Shape> {
    let triangle = around(at, 0.0, &[(-9.0, 7.0), (0.0, -9.0), (9.0, 7.0)]);
    vec![Shape::Area(triangle, PIN), text(at, 5.0, Side::Middle, PIN_LETTER, en::STACK_LETTER)]
}

/// Where a load runs out.
pub(in crate::write) fn load(at: Coord<f64>, what: &str) -> Vec<Shape> {
    let diamond = around(at, 0.0, &[(0.0, -9.0), (9.0, 0.0), (0.0, 9.0), (-9.0, 0.0)]);
    vec![Shape::Area(diamond, LOAD), text(at, 3.4, Side::Middle, LOAD_NUMBER, what)]
}

/// Where the first run starts, and its direction.
pub(in crate::write) fn start(at: Coord<f64>, degrees: f64) -> Shape {
    Shape::Area(around(at, degrees, &[(0.0, -9.0), (6.0, 5.0), (-6.0, 5.0)]), GO)
}

/// Where the last run ends.
pub(in crate::write) fn end(at: Coord<f64>) -> Shape {
    Shape::Area(rect(at.x - 4.5, at.y - 4.5, 9.0, 9.0), GO)
}

pub(in crate::write) fn house(at: Coord<f64>) -> Vec<Shape> {
    vec![Shape::Area(around(at, 0.0, &[(-6.0, 6.0), (-6.0, -1.0), (0.0, -7.0), (6.0, -1.0), (6.0, 6.0)]), HOUSE)]
}

pub(in crate::write) fn well(at: Coord<f64>) -> Vec<Shape> {
    vec![Shape::Disc(at, 5.0, SPOT), Shape::Disc(at, 1.7, FULL)]
}

pub(in crate::write) fn spot(at: Coord<f64>) -> Vec<Shape> {
    vec![Shape::Disc(at, 5.0, SPOT)]
}

/// A cross: a point that litter keeps away from.
pub(in crate::write) fn cross(at: Coord<f64>) -> Shape {
    let stroke = |turned: f64| around(at, turned, &[(-4.0 * SQRT_2, 0.0), (4.0 * SQRT_2, 0.0)]);
    Shape::Lines([stroke(45.0), stroke(-45.0)].concat(), DOT)
}

/// A patch of ground in a legend, its upper left corner at `x`.
pub(in crate::write) fn patch(pen: &'static Pen, x: f64) -> Shape {
    Shape::Area(rect(x, 1.0, 24.0, 14.0), pen)
}

/// The same with runs over it.
pub(in crate::write) fn patch_with_runs(x: f64) -> Vec<Shape> {
    let run = |y: f64| vec![coord! { x: x, y: y }, coord! { x: x + 24.0, y: y }];
    vec![patch(SPREAD, x), Shape::Lines(vec![run(4.5), run(8.0), run(11.5)], RUN)]
}

/// What a row of a sheet's legend shows before its words.
#[derive(Clone, Debug)]
pub(in crate::write) enum Swatch {
    Spread,
    Runs,
    Done,
    Zone(usize),
    Blank,
}

/// The sign before a row of a sheet's legend; `index` names the hatching.
pub(in crate::write) fn swatch(kind: &Swatch, index: usize) -> Drawing {
    let at = coord! { x: 8.5, y: 8.0 };
    let shapes = match kind {
        Swatch::Spread => vec![patch(SPREAD, 19.0)],
        Swatch::Runs => [patch_with_runs(19.0), load(coord! { x: 9.0, y: 8.0 }, "1")].concat(),
        Swatch::Done => vec![patch(DONE, 19.0)],
        Swatch::Zone(n) => [vec![patch(OFF, 19.0)], number(at, &n.to_string())].concat(),
        Swatch::Blank => vec![patch(BAR, 19.0)],
    };
    Drawing { index, wide: 44.0, tall: 16.0, shapes }
}

/// The foot of a map: north and the scale bar.
pub(in crate::write) fn foot(frame: &Frame) -> Vec<Shape> {
    let top = frame.height;
    let rule = vec![vec![coord! { x: 0.0, y: top }, coord! { x: frame.width, y: top }]];
    let north = coord! { x: 20.0, y: top + 19.0 };
    let (feet, length) = frame.bar();
    let below = coord! { x: 46.0, y: top + 32.0 };
    let far = below + coord! { x: length, y: 0.0 };
    vec![
        Shape::Lines(rule, RULE),
        Shape::Area(around(north, 0.0, &[(0.0, -14.0), (6.0, 10.0), (0.0, 5.0), (-6.0, 10.0)]), NORTH),
        text(north + coord! { x: 9.0, y: 0.0 }, -3.0, Side::Left, FOOT, en::NORTH),
        Shape::Area(rect(46.0, top + 15.0, length, 5.0), BAR),
        Shape::Area(rect(46.0, top + 15.0, length / 2.0, 5.0), FULL),
        text(below, 0.0, Side::Left, FOOT, "0"),
        text(far, 0.0, Side::Right, FOOT, &en::feet(number_text(feet, 0))),
    ]
}

/// An arrow towards what lies outside the map.
pub(in crate::write) fn away(at: Coord<f64>, degrees: f64) -> Shape {
    let arrow = [(0.0, -9.0), (6.0, 3.0), (2.0, 2.0), (2.0, 9.0), (-2.0, 9.0), (-2.0, 2.0), (-6.0, 3.0)];
    Shape::Area(around(at, degrees, &arrow), NORTH)
}

/// The fill of a field: with litter, or without.
pub(in crate::write) fn ground(idle: bool) -> &'static Pen {
    if idle { IDLE } else { SPREAD }
}
