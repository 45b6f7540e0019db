//! The map of one field, as the texts that the template draws.

use super::frame::{Frame, short};
use super::labels::{Labels, inside};
use super::runs;
use super::words::xml;
use crate::balance::{Driving, Surveyed};
use crate::check::{Field, Ready};
use crate::plan::answer::FieldPlan;
use crate::units::number_text;
use geo::{Coord, Geometry, LineString, MultiPolygon, coord};

/// Height of the foot: north arrow, scale bar, ways to the stacks.
const FOOT: f64 = 38.0;
/// Height of one line of the foot.
const FOOT_LINE: f64 = 20.0;
/// Width and height of the words NO SPREAD in the picture.
const WORDS: (f64, f64) = (70.0, 13.0);
/// Width and height of the word in the ground alone.
const WORD: (f64, f64) = (72.0, 18.0);
/// Width and height of a zone's number.
const NUMBER: (f64, f64) = (18.0, 18.0);
/// About the width of a letter beside a gate or stack.
const LETTER: f64 = 6.5;
/// At most so many zones carry the words; the others only their number.
const WORDED: usize = 3;

/// A spot of the picture with something to say.
pub(in crate::write) struct Mark {
    pub(in crate::write) x: String,
    pub(in crate::write) y: String,
    pub(in crate::write) text: String,
}

/// A gate or stack, with its word to one side.
pub(in crate::write) struct Pin {
    pub(in crate::write) x: String,
    pub(in crate::write) y: String,
    pub(in crate::write) dx: String,
    pub(in crate::write) dy: String,
    pub(in crate::write) anchor: &'static str,
    pub(in crate::write) text: String,
}

/// The way to a stack outside the picture.
pub(in crate::write) struct Way {
    pub(in crate::write) y: String,
    /// Degrees clockwise from north.
    pub(in crate::write) turn: String,
    pub(in crate::write) text: String,
}

/// The scale bar.
pub(in crate::write) struct Bar {
    pub(in crate::write) half: String,
    pub(in crate::write) length: String,
    pub(in crate::write) text: String,
}

/// What one map is drawn from.
#[derive(Clone, Copy)]
pub(in crate::write) struct Sight<'a> {
    pub(in crate::write) plan: &'a FieldPlan,
    pub(in crate::write) field: &'a Field,
    pub(in crate::write) surveyed: &'a Surveyed,
    pub(in crate::write) ready: &'a Ready,
    pub(in crate::write) driving: Option<&'a Driving>,
}

/// One map.
pub(in crate::write) struct Map {
    /// Id of the hatching, its own in the whole file.
    pub(in crate::write) hatch: String,
    pub(in crate::write) height: String,
    /// Upper edge of the foot.
    pub(in crate::write) foot: String,
    pub(in crate::write) field: String,
    pub(in crate::write) spread: String,
    /// No litter goes on the field.
    pub(in crate::write) idle: bool,
    /// The runs, as many of them as can be told apart.
    pub(in crate::write) runs: String,
    /// Where the first run starts, with its direction in degrees.
    pub(in crate::write) start: Option<Mark>,
    /// Where the last run ends.
    pub(in crate::write) end: Option<Mark>,
    /// Where loads run out.
    pub(in crate::write) loads: Vec<Mark>,
    /// The rate, where the page around the map does not say it.
    pub(in crate::write) rate: String,
    pub(in crate::write) zones: Vec<String>,
    /// Outlines of what the zones belong to.
    pub(in crate::write) things: Vec<String>,
    pub(in crate::write) dots: Vec<Mark>,
    pub(in crate::write) numbers: Vec<Mark>,
    pub(in crate::write) words: Vec<Mark>,
    pub(in crate::write) ground: Option<Mark>,
    pub(in crate::write) gate: Option<Pin>,
    pub(in crate::write) stacks: Vec<Pin>,
    pub(in crate::write) ways: Vec<Way>,
    pub(in crate::write) bar: Bar,
}

/// Draws a field in a picture of at most this height. None when the field has no ground to draw.
/// `index` tells the hatchings of one file apart; `rate` stands in the ground, unless it is empty.
pub(in crate::write) fn map(index: usize, tallest: f64, rate: &str, sight: &Sight<'_>) -> Option<Map> {
    let Sight { plan, field, surveyed, ready, driving } = *sight;
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
    let drawn = driving.map(|d| runs::drawn(&frame, &mut labels, d)).unwrap_or_default();
    let gate = gate.filter(shown).map(|at| pinned(&frame, &mut labels, at, "gate".to_string()));
    let many = stacks.len() > 1;
    let (near, far): (Vec<Stack>, Vec<Stack>) = stacks.into_iter().partition(|s| shown(&s.at));
    // One stack needs no name: the page has it beside the rate.
    let word = |s: &Stack| {
        if many { format!("{} stack", clipped(&s.lot)) } else { "stack".to_string() }
    };
    let stacks: Vec<Pin> = near.iter().map(|s| pinned(&frame, &mut labels, s.at, word(s))).collect();
    let (things, dots) = things(&frame, surveyed, ready);
    let ground = ground(&frame, &mut labels, plan, rate, &cut.spreadable);
    let (numbers, words) = numbers(&frame, &mut labels, surveyed);
    let foot = FOOT.max(FOOT_LINE * far.len() as f64 + 14.0);
    Some(Map {
        hatch: format!("no-spread-{index}"),
        height: short(frame.height + foot),
        foot: short(frame.height),
        field: frame.rings(&cut.boundary),
        spread: frame.rings(&cut.spreadable),
        idle: plan.applications.is_empty(),
        runs: drawn.path,
        start: drawn.start,
        end: drawn.end,
        loads: drawn.loads,
        rate: rate.to_string(),
        zones: cut.zones.iter().map(|z| frame.rings(&z.shape)).collect(),
        things,
        dots,
        numbers,
        words,
        ground,
        gate,
        stacks,
        ways: ways(&frame, &far),
        bar: bar(&frame),
    })
}

/// The scale bar of a frame.
pub(in crate::write) fn bar(frame: &Frame) -> Bar {
    let (feet, length) = frame.bar();
    Bar { half: short(length / 2.0), length: short(length), text: format!("{} ft", number_text(feet, 0)) }
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

/// A gate or stack with its word on whichever side is free.
pub(in crate::write) fn pinned(frame: &Frame, labels: &mut Labels, feet: Coord<f64>, word: String) -> Pin {
    let at = frame.at(feet);
    let wide = LETTER * word.chars().count() as f64;
    let sides = [(12.0, 4.0, "start"), (-12.0, 4.0, "end"), (0.0, 22.0, "middle"), (0.0, -14.0, "middle")];
    let middle = |(dx, dy, anchor): &(f64, f64, &str)| {
        let off = match *anchor {
            "start" => dx + wide / 2.0,
            "end" => dx - wide / 2.0,
            _ => *dx,
        };
        at + coord! { x: off, y: dy - 4.0 }
    };
    let free = labels.first_free(sides.iter().map(middle), wide, 13.0);
    let side = sides.iter().find(|s| Some(middle(s)) == free);
    let (dx, dy, anchor) = side.copied().unwrap_or(sides[0]);
    Pin { x: short(at.x), y: short(at.y), dx: short(dx), dy: short(dy), anchor, text: word }
}

fn ways(frame: &Frame, far: &[Stack]) -> Vec<Way> {
    far.iter()
        .enumerate()
        .map(|(i, stack)| Way {
            y: short(frame.height + 17.0 + FOOT_LINE * i as f64),
            turn: short(frame.bearing(stack.at)),
            text: match stack.miles {
                Some(miles) => format!("{} stack, {} mi", clipped(&stack.lot), number_text(miles, 2)),
                None => format!("{} stack", clipped(&stack.lot)),
            },
        })
        .collect()
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
fn ground(
    frame: &Frame,
    labels: &mut Labels,
    plan: &FieldPlan,
    rate: &str,
    spreadable: &MultiPolygon<f64>,
) -> Option<Mark> {
    let places = inside(spreadable);
    let best = frame.at(*places.first()?);
    let (wide, tall) = if rate.is_empty() { (104.0, 38.0) } else { ((7.6 * rate.len() as f64).max(96.0), 54.0) };
    let drawn = || places.iter().map(|p| frame.at(*p));
    let whole = |at: &Coord<f64>| frame.within(spreadable, *at, wide, tall);
    let at = labels.first_free(drawn().filter(whole), wide, tall);
    let at = at.or_else(|| labels.first_free(drawn(), wide, tall));
    // Where even that is taken, the one word must do: the page has the acres.
    let small = if at.is_none() { labels.first_free(drawn(), WORD.0, WORD.1) } else { None };
    let text = if small.is_some() { String::new() } else { format!("{} ac", number_text(plan.acres, 2)) };
    let at = at.or(small).unwrap_or(best);
    Some(Mark { x: short(at.x), y: short(at.y), text })
}

/// The number of every zone, and the words of the largest ones.
fn numbers(frame: &Frame, labels: &mut Labels, surveyed: &Surveyed) -> (Vec<Mark>, Vec<Mark>) {
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
            .first_free(drawn(), NUMBER.0, NUMBER.1)
            .or_else(|| labels.first_free(close(), NUMBER.0, NUMBER.1))
            .unwrap_or_else(|| frame.at(*best));
        numbers.push(Mark { x: short(at.x), y: short(at.y), text: (zone + 1).to_string() });
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
        if let Some(p) = spot {
            words.push(Mark { x: short(p.x), y: short(p.y), text: "NO SPREAD".to_string() });
        }
    }
    (numbers, words)
}

/// Places for words around a number: left, right, above, below, corners.
fn beside(at: Coord<f64>) -> Vec<Coord<f64>> {
    let (x, y) = (WORDS.0 / 2.0 + 11.0, WORDS.1 / 2.0 + 10.0);
    [(x, 0.0), (-x, 0.0), (0.0, -y), (0.0, y), (x, -y), (-x, -y), (x, y), (-x, y), (0.0, -2.0 * y), (0.0, 2.0 * y)]
        .into_iter()
        .map(|(x, y)| at + coord! { x: x, y: y })
        .collect()
}

/// What the zones belong to: lines, and spots where it is a point.
fn things(frame: &Frame, surveyed: &Surveyed, ready: &Ready) -> (Vec<String>, Vec<Mark>) {
    let (mut paths, mut dots) = (Vec::new(), Vec::new());
    for zone in &surveyed.cut.zones {
        let Some(keep) = ready.keepouts.get(zone.index) else {
            continue;
        };
        let drawn = surveyed.cut.plane.geometry_to_feet(&keep.geometry);
        let (mut lines, mut points) = (Vec::new(), Vec::new());
        parts(&drawn, &mut lines, &mut points);
        let path = frame.lines(lines.iter());
        if !path.is_empty() {
            paths.push(path);
        }
        let seen = points.into_iter().map(|p| frame.at(p)).filter(|p| frame.holds(*p));
        dots.extend(seen.map(|p| Mark { x: short(p.x), y: short(p.y), text: String::new() }));
    }
    (paths, dots)
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
