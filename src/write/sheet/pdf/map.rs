//! The map of a field on paper: the drawing of the sheets, stroke by stroke.

use super::ink::{Color, GREY, INK, Ink, LINE, PLUM, STRAW, Side, Type, WHITE};
use crate::write::sheet::frame::WIDTH;
use crate::write::sheet::map::{Map, Mark, Pin};

const THING: Color = [0.322, 0.376, 0.416];
const RUN: Color = [0.490, 0.455, 0.353];
/// Between the lines of the hatching, in units of the picture.
const HATCH: f32 = 8.5;

/// From units of the picture to points of the page.
#[derive(Clone, Copy)]
struct Onto {
    x: f32,
    top: f32,
    times: f32,
}

impl Onto {
    fn at(self, x: f32, y: f32) -> (f32, f32) {
        (self.x + x * self.times, self.top + y * self.times)
    }

    fn mark(self, mark: &Mark) -> (f32, f32) {
        self.at(number(&mark.x), number(&mark.y))
    }
}

/// A number of the picture: it was written by this program.
fn number(text: &str) -> f32 {
    text.parse().unwrap_or(0.0)
}

/// Draws the map; where it ends.
pub(super) fn draw(ink: &mut Ink, map: &Map, x: f32, top: f32, wide: f32) -> f32 {
    let times = wide / WIDTH as f32;
    let onto = Onto { x, top, times };
    let tall = number(&map.height) * times;
    ink.frame(x, top, wide, tall, 0.6, LINE);
    ground(ink, map, onto);
    for thing in &map.things {
        ink.content.save_state();
        ink.stroke(THING, 2.0 * times);
        ink.content.set_dash_pattern([7.0, 3.0, 1.5, 3.0].map(|d| d * times), 0.0);
        path(ink, &map_path(thing), onto);
        ink.content.stroke().restore_state();
    }
    for dot in &map.dots {
        let (x, y) = onto.mark(dot);
        let r = 4.0 * times;
        ink.rule((x - r, y - r), (x + r, y + r), 2.4 * times, THING);
        ink.rule((x - r, y + r), (x + r, y - r), 2.4 * times, THING);
    }
    runs(ink, map, onto);
    words(ink, map, onto);
    foot(ink, map, onto);
    top + tall
}

/// A step of a path: a corner to begin at, a corner to go to, or the way back.
enum Step {
    From(f32, f32),
    To(f32, f32),
    Close,
}

/// Reads `M1 2L3 4Z`, as `frame` writes it.
fn map_path(text: &str) -> Vec<Step> {
    let mut steps = Vec::new();
    let mut rest = text;
    while let Some(head) = rest.chars().next() {
        let body = &rest[head.len_utf8()..];
        let end = body.find(['M', 'L', 'Z']).unwrap_or(body.len());
        let mut numbers = body[..end].split(' ').map(number);
        let (x, y) = (numbers.next().unwrap_or(0.0), numbers.next().unwrap_or(0.0));
        steps.push(match head {
            'M' => Step::From(x, y),
            'L' => Step::To(x, y),
            _ => Step::Close,
        });
        rest = &body[end..];
    }
    steps
}

fn path(ink: &mut Ink, steps: &[Step], onto: Onto) {
    for step in steps {
        match step {
            Step::From(x, y) => {
                let (x, y) = onto.at(*x, *y);
                let y = ink.up(y);
                ink.content.move_to(x, y);
            }
            Step::To(x, y) => {
                let (x, y) = onto.at(*x, *y);
                let y = ink.up(y);
                ink.content.line_to(x, y);
            }
            Step::Close => {
                ink.content.close_path();
            }
        }
    }
}

/// The field, the ground to spread on, the ground to keep off.
fn ground(ink: &mut Ink, map: &Map, onto: Onto) {
    let fill = if map.idle { GREY } else { STRAW };
    ink.fill(fill);
    ink.stroke(INK, onto.times);
    let spread = map_path(&map.spread);
    if !spread.is_empty() {
        path(ink, &spread, onto);
        ink.content.fill_even_odd_and_stroke();
    }
    if !map.runs.is_empty() {
        ink.stroke(RUN, 0.7 * onto.times);
        path(ink, &map_path(&map.runs), onto);
        ink.content.stroke();
    }
    for zone in &map.zones {
        hatched(ink, &map_path(zone), onto);
    }
    ink.stroke(INK, 2.6 * onto.times);
    path(ink, &map_path(&map.field), onto);
    ink.content.stroke();
}

/// A zone: white, slanting lines inside, a thin rim.
fn hatched(ink: &mut Ink, zone: &[Step], onto: Onto) {
    let corners = zone.iter().filter_map(|s| match s {
        Step::From(x, y) | Step::To(x, y) => Some((*x, *y)),
        Step::Close => None,
    });
    let bounds = corners.fold(None, |b: Option<[f32; 4]>, (x, y)| {
        let [l, t, r, d] = b.unwrap_or([x, y, x, y]);
        Some([l.min(x), t.min(y), r.max(x), d.max(y)])
    });
    let Some([left, top, right, bottom]) = bounds else { return };
    ink.content.save_state();
    path(ink, zone, onto);
    ink.content.clip_even_odd().end_path();
    let (a, b) = (onto.at(left, top), onto.at(right, bottom));
    ink.filled(a.0, a.1, b.0 - a.0, b.1 - a.1, WHITE);
    // The lines of neighbouring zones meet: all count from the same corner.
    let first = ((left - bottom) / HATCH).floor() as i32;
    let last = ((right - top) / HATCH).ceil() as i32;
    for n in first..=last {
        let x = n as f32 * HATCH + bottom;
        ink.rule(onto.at(x - bottom + top, top), onto.at(x, bottom), 2.2 * onto.times, PLUM);
    }
    ink.content.restore_state();
    ink.stroke(PLUM, 0.8 * onto.times);
    path(ink, zone, onto);
    ink.content.stroke();
}

/// Corners around a place, turned clockwise by so many degrees.
fn turned(at: (f32, f32), times: f32, degrees: f32, corners: &[(f32, f32)]) -> Vec<(f32, f32)> {
    let (sin, cos) = degrees.to_radians().sin_cos();
    let turn = |(x, y): &(f32, f32)| (at.0 + (x * cos - y * sin) * times, at.1 + (x * sin + y * cos) * times);
    corners.iter().map(turn).collect()
}

/// Where to start, where loads run out, where the last run ends.
fn runs(ink: &mut Ink, map: &Map, onto: Onto) {
    let times = onto.times;
    for load in &map.loads {
        let at = onto.mark(load);
        let diamond = turned(at, times, 0.0, &[(0.0, -9.0), (9.0, 0.0), (0.0, 9.0), (-9.0, 0.0)]);
        ink.polygon(&diamond, WHITE, INK, 1.3 * times);
        ink.text(at.0, at.1 + 3.4 * times, Type::bold(9.5 * times), Side::Middle, &load.text);
    }
    if let Some(start) = &map.start {
        let arrow = turned(onto.mark(start), times, number(&start.text), &[(0.0, -9.0), (6.0, 5.0), (-6.0, 5.0)]);
        ink.polygon(&arrow, INK, WHITE, times);
    }
    if let Some(end) = &map.end {
        let (x, y) = onto.mark(end);
        ink.filled(x - 4.5 * times, y - 4.5 * times, 9.0 * times, 9.0 * times, INK);
    }
}

/// What is written on the map.
fn words(ink: &mut Ink, map: &Map, onto: Onto) {
    let times = onto.times;
    if let Some(mark) = &map.ground {
        let (x, y) = onto.mark(mark);
        let rim = if map.idle { GREY } else { STRAW };
        let big = Type::bold(17.0 * times);
        let first = if mark.text.is_empty() { 6.0 } else { -3.0 };
        let word = if map.idle { "NO LITTER" } else { "SPREAD" };
        ink.rimmed(x, y + first * times, big, Side::Middle, rim, word);
        if !mark.text.is_empty() {
            ink.rimmed(x, y + 15.0 * times, big, Side::Middle, rim, &mark.text);
        }
    }
    for word in &map.words {
        let (x, y) = onto.mark(word);
        let set = Type::bold(11.0 * times).color(PLUM);
        ink.rimmed(x, y + 4.0 * times, set, Side::Middle, WHITE, &word.text);
    }
    for mark in &map.numbers {
        let (x, y) = onto.mark(mark);
        numbered(ink, x, y, times, &mark.text);
    }
    for stack in &map.stacks {
        let at = onto.at(number(&stack.x), number(&stack.y));
        ink.polygon(&turned(at, times, 0.0, &[(-9.0, 7.0), (0.0, -9.0), (9.0, 7.0)]), WHITE, INK, 2.0 * times);
        pin(ink, stack, at, 5.0, "S", times);
    }
    if let Some(gate) = &map.gate {
        let at = onto.at(number(&gate.x), number(&gate.y));
        let square = [(-8.5, -8.5), (8.5, -8.5), (8.5, 8.5), (-8.5, 8.5)];
        ink.polygon(&turned(at, times, 0.0, &square), WHITE, INK, 2.0 * times);
        pin(ink, gate, at, 4.5, "G", times);
    }
}

/// The number of a zone, on its disc.
pub(super) fn numbered(ink: &mut Ink, x: f32, y: f32, times: f32, text: &str) {
    let corners: Vec<(f32, f32)> = (0..24).map(|n| (n as f32 * 15.0).to_radians().sin_cos()).collect();
    let disc = turned((x, y), 8.5 * times, 0.0, &corners);
    ink.polygon(&disc, PLUM, WHITE, 1.6 * times);
    ink.text(x, y + 4.0 * times, Type::bold(11.5 * times).color(WHITE), Side::Middle, text);
}

fn pin(ink: &mut Ink, pin: &Pin, at: (f32, f32), down: f32, letter: &str, times: f32) {
    ink.text(at.0, at.1 + down * times, Type::bold(12.0 * times), Side::Middle, letter);
    let side = match pin.anchor {
        "start" => Side::Left,
        "end" => Side::Right,
        _ => Side::Middle,
    };
    let (x, y) = (at.0 + number(&pin.dx) * times, at.1 + number(&pin.dy) * times);
    ink.rimmed(x, y, Type::bold(12.0 * times), side, WHITE, &pin.text);
}

/// North, the scale bar, the ways to stacks outside.
fn foot(ink: &mut Ink, map: &Map, onto: Onto) {
    let times = onto.times;
    let top = number(&map.foot);
    ink.rule(onto.at(0.0, top), onto.at(WIDTH as f32, top), 0.6, LINE);
    let small = Type::plain(11.5 * times);
    let north = onto.at(20.0, top + 19.0);
    ink.polygon(&turned(north, times, 0.0, &[(0.0, -14.0), (6.0, 10.0), (0.0, 5.0), (-6.0, 10.0)]), INK, INK, 0.3);
    ink.text(north.0 + 9.0 * times, north.1 - 3.0 * times, small, Side::Left, "N");
    let (x, y) = onto.at(46.0, top + 15.0);
    let long = number(&map.bar.length) * times;
    ink.filled(x, y, number(&map.bar.half) * times, 5.0 * times, INK);
    ink.frame(x, y, long, 5.0 * times, 0.6, INK);
    ink.text(x, y + 17.0 * times, small, Side::Left, "0");
    ink.text(x + long, y + 17.0 * times, small, Side::Right, &map.bar.text);
    for way in &map.ways {
        let at = onto.at(204.0, number(&way.y));
        let arrow = [(0.0, -9.0), (6.0, 3.0), (2.0, 2.0), (2.0, 9.0), (-2.0, 9.0), (-2.0, 2.0), (-6.0, 3.0)];
        ink.polygon(&turned(at, times, number(&way.turn), &arrow), INK, INK, 0.3);
        ink.text(at.0 + 14.0 * times, at.1 + 4.0 * times, small, Side::Left, &way.text);
    }
}
