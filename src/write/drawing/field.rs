//! The map of one field, as a list of shapes.

use super::frame::Frame;
use super::labels::{Labels, inside};
use super::{ALL, BIG_IDLE, BIG_ON, BY, DONE, Drawing, EDGE, FOOT, NO, OFF, RATE_ON, RUN, Shape, Side, THING, text};
use super::{runs, signs};
use crate::balance::Surveyed;
use crate::check::Ready;
use crate::ground::Cut;
use crate::plan::answer::FieldPlan;
use crate::units::number_text;
use crate::write::sight::{FieldSight, PartGround};
use crate::write::words::{en, xml};
use geo::{Coord, Geometry, LineString, coord};

/// Height of the foot: north arrow, scale bar, ways to the stacks.
const FOOT_TALL: f64 = 38.0;
/// Height of one line of the foot.
const FOOT_LINE: f64 = 20.0;
/// Width and height of the words NO SPREAD in the picture.
const WORDS: (f64, f64) = (70.0, 13.0);
/// Width and height of the word in the ground and of its acres.
const BOTH: (f64, f64) = (104.0, 38.0);
/// Width and height of the word in the ground alone.
const WORD: (f64, f64) = (72.0, 18.0);
/// Width and height of a zone's number.
const DISC: (f64, f64) = (18.0, 18.0);
/// About the width of a letter beside a gate or stack.
const LETTER_WIDE: f64 = 6.5;
/// At most so many zones carry the words; the others only their number.
const WORDED: usize = 3;

/// Draws a field in a picture of at most this height. None when the field has no ground to draw.
/// `index` tells the hatchings of one file apart; `rate` stands in the ground, unless it is empty.
pub(in crate::write) fn map(index: usize, tallest: f64, rate: &str, sight: &FieldSight<'_>) -> Option<Drawing> {
    let FieldSight { plan, field, surveyed, ready, .. } = *sight;
    let cut = &surveyed.cut;
    let gate = field.gate.map(|g| cut.plane.to_feet(g));
    let stacks = stacks(plan, ready, surveyed);
    let spots: Vec<Coord<f64>> = gate.into_iter().chain(stacks.iter().map(|s| s.at)).collect();
    let frame = Frame::around(&cut.boundary, &spots, tallest)?;
    let mut labels = Labels::new(&frame);
    let shown = |at: &Coord<f64>| frame.holds(frame.at(*at));
    for spot in spots.iter().filter(|at| shown(at)) {
        labels.take(frame.at(*spot), 20.0, 20.0);
    }
    let (runs, marks) = sight.driving().map(|d| runs::drawn(&frame, &mut labels, d)).unwrap_or_default();
    let gate = gate.filter(shown).map(|at| {
        let at = frame.at(at);
        [signs::gate(at, 8.5), vec![beside_pin(&mut labels, at, en::GATE_HERE)]].concat()
    });
    let many = stacks.len() > 1;
    let (near, far): (Vec<Stack>, Vec<Stack>) = stacks.into_iter().partition(|s| shown(&s.at));
    let mut pins: Vec<Shape> = Vec::new();
    for stack in &near {
        // One stack needs no name: the page has it beside the rate.
        let word = if many { en::stack_of(clipped(&stack.lot)) } else { en::STACK_HERE.to_string() };
        let at = frame.at(stack.at);
        pins.extend(signs::stack(at));
        pins.push(beside_pin(&mut labels, at, &word));
    }
    let part = sight.part();
    let words = match &part {
        Some(part) => part_words(&frame, &mut labels, plan, (part, cut)),
        None => ground_words(&frame, &mut labels, plan, rate, cut),
    };
    let numbers = numbers(&frame, &mut labels, surveyed);
    // What is left of a field is not ground without litter.
    let idle = plan.applications.is_empty() && part.is_none();
    let zones = cut.zones.iter().map(|z| Shape::Area(frame.rings(&z.shape), OFF));
    let mut shapes = vec![
        Shape::Area(frame.rings(&cut.boundary), ALL),
        Shape::Area(frame.rings(&cut.spreadable), signs::ground(idle)),
        Shape::Lines(runs, RUN),
    ];
    shapes.extend(part.iter().map(|part| Shape::Area(frame.rings(&part.done), DONE)));
    shapes.extend(zones);
    shapes.push(Shape::Area(frame.rings(&cut.boundary), EDGE));
    shapes.extend(things(&frame, surveyed, ready));
    shapes.extend(words.into_iter().chain(marks).chain(numbers).chain(pins).chain(gate.into_iter().flatten()));
    shapes.extend(signs::foot(&frame).into_iter().chain(ways(&frame, &far)));
    let foot = FOOT_TALL.max(FOOT_LINE * far.len() as f64 + 14.0);
    Some(Drawing { index, wide: frame.width, tall: frame.height + foot, shapes })
}

/// The stack of a lot that this field gets.
struct Stack {
    lot: String,
    at: Coord<f64>,
    /// In a straight line, as the arrow on the map points.
    miles: Option<f64>,
}

fn stacks(plan: &FieldPlan, ready: &Ready, surveyed: &Surveyed) -> Vec<Stack> {
    let mut found: Vec<Stack> = Vec::new();
    for a in &plan.applications {
        let stack = ready.lot(&a.lot).and_then(|l| l.stack);
        if let Some(at) = stack.filter(|_| !found.iter().any(|s| s.lot == a.lot)) {
            let at = surveyed.cut.plane.to_feet(at);
            found.push(Stack { lot: a.lot.clone(), at, miles: a.haul.as_ref().and_then(|h| h.straight) });
        }
    }
    found
}

/// The word of a gate or stack, on whichever side is free.
pub(in crate::write) fn beside_pin(labels: &mut Labels, at: Coord<f64>, word: &str) -> Shape {
    let wide = LETTER_WIDE * word.chars().count() as f64;
    let sides =
        [(12.0, 4.0, Side::Left), (-12.0, 4.0, Side::Right), (0.0, 22.0, Side::Middle), (0.0, -14.0, Side::Middle)];
    let middle = |(dx, dy, side): &(f64, f64, Side)| {
        let off = match *side {
            Side::Left => dx + wide / 2.0,
            Side::Right => dx - wide / 2.0,
            Side::Middle => *dx,
        };
        at + coord! { x: off, y: dy - 4.0 }
    };
    let free = labels.first_free(sides.iter().map(middle), wide, 13.0);
    let (dx, dy, side) = sides.iter().find(|s| Some(middle(s)) == free).copied().unwrap_or(sides[0]);
    text(at + coord! { x: dx, y: 0.0 }, dy, side, BY, word)
}

/// The ways to stacks outside the picture.
fn ways(frame: &Frame, far: &[Stack]) -> Vec<Shape> {
    let way = |(i, stack): (usize, &Stack)| {
        let at = coord! { x: 204.0, y: frame.height + 17.0 + FOOT_LINE * i as f64 };
        let lot = clipped(&stack.lot);
        let word = match stack.miles {
            Some(miles) => en::stack_miles(lot, number_text(miles, 2)),
            None => en::stack_of(lot),
        };
        let beside = at + coord! { x: 14.0, y: 0.0 };
        [signs::away(at, frame.bearing(stack.at)), text(beside, 4.0, Side::Left, FOOT, &word)]
    };
    far.iter().enumerate().flat_map(way).collect()
}

/// A name short enough for the picture; the page gives it in full.
fn clipped(name: &str) -> String {
    const MOST: usize = 16;
    let name = &xml(name);
    if name.chars().count() <= MOST {
        return name.to_string();
    }
    name.chars().take(MOST - 1).chain(['…']).collect()
}

/// The words in the ground to spread on.
fn ground_words(frame: &Frame, labels: &mut Labels, plan: &FieldPlan, rate: &str, cut: &Cut) -> Vec<Shape> {
    let spreadable = &cut.spreadable;
    let places = inside(spreadable);
    let (wide, tall) = if rate.is_empty() { (104.0, 38.0) } else { ((7.6 * rate.len() as f64).max(96.0), 54.0) };
    let drawn = || places.iter().map(|p| frame.at(*p));
    let whole = |at: &Coord<f64>| frame.within(spreadable, *at, wide, tall);
    let at = labels.first_free(drawn().filter(whole), wide, tall);
    let clear = |at: &Coord<f64>| off_zones(frame, cut, *at, (wide, tall));
    let at = at.or_else(|| labels.first_free(drawn().filter(clear), wide, tall));
    // Where even that is taken, the one word must do: the page has the acres.
    let clear = |at: &Coord<f64>| off_zones(frame, cut, *at, WORD);
    let small = if at.is_none() { labels.first_free(drawn().filter(clear), WORD.0, WORD.1) } else { None };
    let small = small.or_else(|| if at.is_none() { labels.least_over(drawn(), WORD.0, WORD.1) } else { None });
    let Some(at) = at.or(small) else { return Vec::new() };
    let (set, word) = if plan.applications.is_empty() { (BIG_IDLE, en::NO_LITTER) } else { (BIG_ON, en::SPREAD_HERE) };
    let line = |down: f64, set, what: &str| text(at, down, Side::Middle, set, what);
    if small.is_some() {
        return vec![line(6.0, set, word)];
    }
    let acres = en::acres(number_text(plan.acres, 2));
    if rate.is_empty() {
        return vec![line(-3.0, set, word), line(15.0, set, &acres)];
    }
    vec![line(-9.0, set, word), line(8.0, set, &acres), line(23.0, RATE_ON, rate)]
}

/// Whether a box of the picture lies on no ground that litter keeps off: words there would say the
/// wrong thing.
fn off_zones(frame: &Frame, cut: &Cut, at: Coord<f64>, (wide, tall): (f64, f64)) -> bool {
    !cut.zones.iter().any(|zone| frame.over(&zone.shape, at, wide, tall))
}

/// The words in the ground that is left, and in the ground that is done; none where there is no
/// room on it, since the legend has its acres.
fn part_words(frame: &Frame, labels: &mut Labels, plan: &FieldPlan, (part, cut): (&PartGround, &Cut)) -> Vec<Shape> {
    let mut words = Vec::new();
    let Some(own) = &plan.part else { return words };
    for (shape, word, acres) in [(&part.left, en::LEFT_HERE, own.left), (&part.done, en::DONE_HERE, own.done)] {
        let places = inside(shape);
        let drawn = || places.iter().map(|place| frame.at(*place));
        let whole = |at: &Coord<f64>| frame.within(shape, *at, BOTH.0, BOTH.1);
        let clear = |at: &Coord<f64>| off_zones(frame, cut, *at, BOTH);
        let at = labels.first_free(drawn().filter(whole), BOTH.0, BOTH.1);
        if let Some(at) = at.or_else(|| labels.first_free(drawn().filter(clear), BOTH.0, BOTH.1)) {
            words.push(text(at, -3.0, Side::Middle, BIG_ON, word));
            words.push(text(at, 15.0, Side::Middle, BIG_ON, &en::acres(number_text(acres, 2))));
            continue;
        }
        let clear = |at: &Coord<f64>| off_zones(frame, cut, *at, WORD);
        let small = labels.first_free(drawn().filter(clear), WORD.0, WORD.1);
        words.extend(small.map(|at| text(at, 6.0, Side::Middle, BIG_ON, word)));
    }
    words
}

/// The words of the largest zones, then the number of every zone.
fn numbers(frame: &Frame, labels: &mut Labels, surveyed: &Surveyed) -> Vec<Shape> {
    let cut = &surveyed.cut;
    let mut order: Vec<usize> = (0..cut.zones.len()).collect();
    order.sort_by(|a, b| cut.zones[*b].acres.total_cmp(&cut.zones[*a].acres).then(a.cmp(b)));
    let (mut numbers, mut words, mut spots) = (Vec::new(), Vec::new(), Vec::new());
    for zone in order {
        let places = inside(&cut.zones[zone].shape);
        let Some(best) = places.first() else { continue };
        let drawn = || places.iter().map(|p| frame.at(*p));
        // A thin zone under a load's mark or a gate: close by is better than over it.
        let near = || [(0.0, -13.0), (0.0, 13.0), (13.0, 0.0), (-13.0, 0.0)].into_iter();
        let close = || drawn().flat_map(|at| near().map(move |(x, y)| at + coord! { x: x, y: y }));
        let at = labels
            .first_free(drawn(), DISC.0, DISC.1)
            .or_else(|| labels.first_free(close(), DISC.0, DISC.1))
            .unwrap_or_else(|| frame.at(*best));
        numbers.extend(signs::number(at, &(zone + 1).to_string()));
        spots.push(at);
    }
    // All numbers first, so that no word takes the place of one.
    for (rank, at) in spots.into_iter().take(WORDED).enumerate() {
        let beside = || beside(at).into_iter();
        // Words that lie on ground to spread on would say the wrong thing.
        let clear = |p: &Coord<f64>| !frame.over(&cut.spreadable, *p, WORDS.0, WORDS.1);
        let spot = labels
            .first_free(beside().filter(clear), WORDS.0, WORDS.1)
            .or_else(|| labels.first_free(beside().filter(|_| rank == 0), WORDS.0, WORDS.1));
        words.extend(spot.map(|p| text(p, 4.0, Side::Middle, NO, en::NO_SPREAD_HERE)));
    }
    words.extend(numbers);
    words
}

/// Places for words around a number: left, right, above, below, corners.
fn beside(at: Coord<f64>) -> Vec<Coord<f64>> {
    let (x, y) = (WORDS.0 / 2.0 + 11.0, WORDS.1 / 2.0 + 10.0);
    [(x, 0.0), (-x, 0.0), (0.0, -y), (0.0, y), (x, -y), (-x, -y), (x, y), (-x, y), (0.0, -2.0 * y), (0.0, 2.0 * y)]
        .into_iter()
        .map(|(x, y)| at + coord! { x: x, y: y })
        .collect()
}

/// What the zones belong to: lines, then crosses where it is a point.
fn things(frame: &Frame, surveyed: &Surveyed, ready: &Ready) -> Vec<Shape> {
    let (mut paths, mut dots) = (Vec::new(), Vec::new());
    for keep in surveyed.cut.zones.iter().filter_map(|zone| ready.keepouts.get(zone.index)) {
        let drawn = surveyed.cut.plane.geometry_to_feet(&keep.geometry);
        let (mut lines, mut points) = (Vec::new(), Vec::new());
        parts(&drawn, &mut lines, &mut points);
        paths.push(Shape::Lines(frame.lines(lines.iter()), THING));
        dots.extend(points.into_iter().map(|p| frame.at(p)).filter(|p| frame.holds(*p)).map(signs::cross));
    }
    paths.extend(dots);
    paths
}

/// The lines and points of a geometry.
pub(in crate::write) fn parts(
    geometry: &Geometry<f64>,
    lines: &mut Vec<LineString<f64>>,
    points: &mut Vec<Coord<f64>>,
) {
    let mut ring = |p: &geo::Polygon<f64>| {
        lines.push(p.exterior().clone());
        lines.extend(p.interiors().iter().cloned());
    };
    match geometry {
        Geometry::Point(p) => points.push(p.0),
        Geometry::MultiPoint(list) => points.extend(list.iter().map(|p| p.0)),
        Geometry::LineString(line) => lines.push(line.clone()),
        Geometry::MultiLineString(list) => lines.extend(list.iter().cloned()),
        Geometry::Polygon(p) => ring(p),
        Geometry::MultiPolygon(list) => list.iter().for_each(ring),
        Geometry::GeometryCollection(list) => list.iter().for_each(|g| parts(g, lines, points)),
        Geometry::Line(_) | Geometry::Rect(_) | Geometry::Triangle(_) => {}
    }
}
