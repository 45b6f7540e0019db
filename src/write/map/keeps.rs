//! What litter keeps away from, on the overview: drawn by its kind, named
//! where there is room, lettered where there is not.

use super::field::{cut_to, keep_off, thing};
use super::legend::Legend;
use super::whole::Whole;
use crate::check::{KeepOut, Ready};
use crate::findings::Origin;
use crate::units::number_text;
use crate::write::drawing::field::parts;
use crate::write::drawing::labels::Labels;
use crate::write::drawing::signs::{house, spot, well};
use crate::write::drawing::{
    BOUNDARY, BRANCH, DITCH, HOUSE, NAME, POND, ROAD, ROAD_IN, ROCK, STREAM, Shape, Side, text,
};
use crate::write::words::xml;
use geo::{BoundingRect, Coord, Geometry, LineString, coord};

/// About the width of a letter of a name.
const LETTER_WIDE: f64 = 6.4;
/// Longest name on the picture.
const LONGEST: usize = 36;
/// Height of a name.
const TALL: f64 = 14.0;
/// Places tried along a line.
const TRIED: usize = 24;

/// How a kind is drawn: the class of its line or area, and the sign of a point.
fn looks(kind: &str) -> (&'static str, &'static str) {
    match kind {
        "perennial_stream" => ("stream", "spot"),
        "intermittent_stream" => ("branch", "spot"),
        "ditch" => ("ditch", "spot"),
        "pond" | "wetland" => ("pond", "spot"),
        "well" => ("house", "well"),
        "dwelling" | "public_building" => ("house", "house"),
        "road" => ("road", "spot"),
        "property_line" => ("line", "spot"),
        _ => ("rock", "spot"),
    }
}

/// Whether a kind is marked with a sign even where it is drawn as an outline.
fn signed(kind: &str) -> bool {
    matches!(looks(kind).1, "house" | "well")
}

/// Places of what the picture should hold whole, in longitude and latitude:
/// points and outlines. Lines may run out of it.
pub(super) fn spots(ready: &Ready) -> Vec<Coord<f64>> {
    ready.keepouts.iter().filter_map(middle).collect()
}

/// The middle of a point or an outline; none for a line.
fn middle(keep: &KeepOut) -> Option<Coord<f64>> {
    match &keep.geometry {
        Geometry::LineString(_) | Geometry::MultiLineString(_) | Geometry::Line(_) => None,
        other => other.bounding_rect().map(|b| b.center()),
    }
}

/// The parts of a keep-out on the plane of the farm.
fn drawn(whole: &Whole<'_>, keep: &KeepOut) -> (Vec<LineString<f64>>, Vec<Coord<f64>>) {
    let (mut lines, mut points) = (Vec::new(), Vec::new());
    parts(&whole.plane.geometry_to_feet(&keep.geometry), &mut lines, &mut points);
    (lines, points)
}

/// Lines and outlines, areas first so that no line is hidden.
pub(super) fn lines(whole: &Whole<'_>) -> Vec<Shape> {
    let (mut areas, mut lines) = (Vec::new(), Vec::new());
    for keep in &whole.ready.keepouts {
        let area = matches!(keep.geometry, Geometry::Polygon(_) | Geometry::MultiPolygon(_));
        let path = whole.frame.lines(drawn(whole, keep).0.iter());
        // A road or creek drawn as an area has no middle line to draw twice.
        match (looks(&keep.kind).0, area) {
            ("stream" | "branch" | "ditch" | "pond", true) => areas.push(Shape::Lines(path, POND)),
            ("road" | "line" | "rock", true) => areas.push(Shape::Lines(path, ROCK)),
            ("house", true) => areas.push(Shape::Lines(path, HOUSE)),
            ("stream", false) => lines.push(Shape::Lines(path, STREAM)),
            ("branch" | "pond", false) => lines.push(Shape::Lines(path, BRANCH)),
            ("ditch", false) => lines.push(Shape::Lines(path, DITCH)),
            ("road", false) => lines.extend([Shape::Lines(path.clone(), ROAD), Shape::Lines(path, ROAD_IN)]),
            _ => lines.push(Shape::Lines(path, BOUNDARY)),
        }
    }
    areas.extend(lines);
    areas
}

/// Signs of houses, wells and other points.
pub(super) fn signs(whole: &Whole<'_>, labels: &mut Labels) -> Vec<Shape> {
    let mut found = Vec::new();
    for keep in &whole.ready.keepouts {
        let mut at: Vec<Coord<f64>> = drawn(whole, keep).1.into_iter().map(|p| whole.frame.at(p)).collect();
        if at.is_empty() && signed(&keep.kind) {
            at.extend(middle(keep).map(|place| whole.at(place)));
        }
        for at in at.into_iter().filter(|at| whole.frame.holds(*at)) {
            labels.take(at, 14.0, 14.0);
            found.extend(match looks(&keep.kind).1 {
                "house" => house(at),
                "well" => well(at),
                _ => spot(at),
            });
        }
    }
    found
}

/// Names on the picture, and by keep-out the letter of those without room.
pub(super) fn names(whole: &Whole<'_>, labels: &mut Labels) -> (Vec<Shape>, Vec<String>) {
    let mut names = Vec::new();
    let mut letters = Vec::new();
    let mut next = 0;
    for keep in &whole.ready.keepouts {
        let places = places(whole, keep);
        let mut letter = String::new();
        if !places.is_empty() {
            let name = cut_to(&xml(&keep.name), LONGEST);
            let wide = LETTER_WIDE * name.chars().count() as f64;
            let free = labels.first_free(around(&places, wide).into_iter(), wide, TALL);
            if free.is_none() {
                letter = letter_of(next);
                next += 1;
            }
            let spot = free.or_else(|| labels.first_free(around(&places, 12.0).into_iter(), 12.0, TALL));
            let what = if letter.is_empty() { &name } else { &letter };
            let at = spot.or_else(|| places.first().copied());
            names.extend(at.map(|at| text(at, 4.0, Side::Middle, NAME, what)));
        }
        letters.push(letter);
    }
    (names, letters)
}

/// `a` to `z`, then `a1` and so on: small, as ids of fields mostly are not.
fn letter_of(number: usize) -> String {
    let letter = char::from(b'a' + (number % 26) as u8);
    if number < 26 { letter.to_string() } else { format!("{letter}{}", number / 26) }
}

/// Spots of a keep-out in the picture, evenly along its lines, or its points.
fn places(whole: &Whole<'_>, keep: &KeepOut) -> Vec<Coord<f64>> {
    if let Some(at) = middle(keep).map(|place| whole.at(place)) {
        return Some(at).filter(|at| whole.frame.holds(*at)).into_iter().collect();
    }
    let (lines, _) = drawn(whole, keep);
    let corners = lines.iter().flat_map(|l| l.0.iter()).map(|p| whole.frame.at(*p));
    let seen: Vec<Coord<f64>> = corners.filter(|at| whole.frame.holds(*at)).collect();
    let step = seen.len().div_ceil(TRIED).max(1);
    seen.into_iter().step_by(step).collect()
}

/// Places for words around spots: below, above, right, left, and further off.
fn around(spots: &[Coord<f64>], wide: f64) -> Vec<Coord<f64>> {
    let side = wide / 2.0 + 10.0;
    let ways = [
        (0.0, 15.0),
        (0.0, -15.0),
        (side, 0.0),
        (-side, 0.0),
        (side, 12.0),
        (-side, 12.0),
        (side, -12.0),
        (-side, -12.0),
    ];
    ways.iter().flat_map(|(x, y)| spots.iter().map(|at| *at + coord! { x: *x, y: *y })).collect()
}

/// Rows of the legend: every keep-out with its distance and the acres that it
/// takes of all fields.
pub(super) fn rows(legend: &mut Legend, whole: &Whole<'_>, letters: &[String]) {
    if whole.ready.keepouts.is_empty() {
        return;
    }
    legend.head("NO SPREAD AROUND", "acres taken");
    for ((index, keep), letter) in whole.ready.keepouts.iter().enumerate().zip(letters) {
        let zones = whole.sights.iter().flat_map(|s| &s.surveyed.cut.zones).filter(|z| z.index == index);
        let acres: f64 = zones.map(|z| z.acres).sum();
        let taken = match acres {
            none if none <= 0.0 => "none".to_string(),
            little if little < 0.005 => "under 0.01".to_string(),
            some => number_text(some, 2),
        };
        let kind = keep.kind.replace('_', " ");
        let what = thing(&keep.name, &kind);
        let feet = keep_off(keep.feet);
        let feet = match &keep.origin {
            Origin::Said { by, .. } => format!("{feet}, set by {by}"),
            _ => feet,
        };
        let area = matches!(keep.geometry, Geometry::Polygon(_) | Geometry::MultiPolygon(_));
        let (line, point) = looks(&keep.kind);
        let sign = match line {
            "house" => point,
            "rock" if area => "area",
            "rock" => "spot",
            line => line,
        };
        legend.push(sign, letter, &[(&what, true), (&feet, false)], &taken);
    }
}
