//! A drawing on paper, shape by shape.

use super::ink::{Ink, Type, WHITE};
use super::widths::Face;
use crate::write::drawing::{Drawing, Fill, Path, Pen, RIM, Shape, around};
use geo::Coord;

/// Between the lines of the hatching, in units of the picture.
const HATCH: f32 = 8.5;

/// Where a drawing lies, and how many points its unit takes.
struct Onto {
    x: f32,
    top: f32,
    times: f32,
}

impl Onto {
    fn at(&self, at: Coord<f64>) -> (f32, f32) {
        (self.x + at.x as f32 * self.times, self.top + at.y as f32 * self.times)
    }

    fn path(&self, path: &Path) -> Vec<Vec<(f32, f32)>> {
        path.iter().map(|part| part.iter().map(|at| self.at(*at)).collect()).collect()
    }
}

/// Draws it so wide; where it ends.
pub(super) fn draw(ink: &mut Ink, drawing: &Drawing, x: f32, top: f32, wide: f32) -> f32 {
    let onto = Onto { x, top, times: wide / drawing.wide as f32 };
    for shape in &drawing.shapes {
        match shape {
            Shape::Area(path, pen) => drawn(ink, &onto, path, pen, true),
            Shape::Lines(path, pen) => drawn(ink, &onto, path, pen, false),
            Shape::Disc(at, radius, pen) => {
                let corner = |n: i32| (f64::from(n) * 15.0).to_radians().sin_cos();
                let corners: Vec<(f64, f64)> = (0..24).map(corner).map(|(x, y)| (x * radius, y * radius)).collect();
                drawn(ink, &onto, &around(*at, 0.0, &corners), pen, true);
            }
            Shape::Text(at, side, letters, text) => {
                let face = if letters.bold { Face::Bold } else { Face::Plain };
                let set = Type { size: letters.size as f32 * onto.times, face, color: letters.color };
                let (x, y) = onto.at(*at);
                match letters.rim {
                    Some(rim) => ink.rimmed(x, y, set, *side, (rim, RIM as f32 * onto.times), text),
                    None => {
                        ink.text(x, y, set, *side, text);
                    }
                }
            }
        }
    }
    top + drawing.tall as f32 * onto.times
}

fn drawn(ink: &mut Ink, onto: &Onto, path: &Path, pen: &Pen, closed: bool) {
    let path = onto.path(path);
    let fill = match pen.fill {
        Fill::Flat(color) if closed => Some(color),
        _ => None,
    };
    if pen.fill == Fill::Hatch {
        hatch(ink, onto, &path, pen);
    }
    ink.content.save_state();
    if !pen.dash.is_empty() {
        ink.content.set_dash_pattern(pen.dash.iter().map(|d| *d as f32 * onto.times), 0.0);
    }
    ink.shape(&path, closed, fill, (pen.color, pen.wide as f32 * onto.times));
    ink.content.restore_state();
}

/// White, with slanting lines.
fn hatch(ink: &mut Ink, onto: &Onto, path: &[Vec<(f32, f32)>], pen: &Pen) {
    let edge = |pick: fn(&(f32, f32)) -> f32, fold: fn(f32, f32) -> f32| {
        path.iter().flatten().map(pick).reduce(fold).unwrap_or_default()
    };
    let (left, right) = (edge(|c| c.0, f32::min), edge(|c| c.0, f32::max));
    let (top, bottom) = (edge(|c| c.1, f32::min), edge(|c| c.1, f32::max));
    ink.content.save_state();
    ink.path(path, true);
    ink.content.clip_even_odd().end_path();
    ink.filled(left, top, right - left, bottom - top, WHITE);
    // The lines of neighboring zones meet: all count from the corner of the drawing.
    let apart = HATCH * onto.times;
    let from = |x: f32, y: f32| (x - onto.x) + (y - onto.top);
    let first = (from(left, top) / apart).floor() as i32;
    let last = (from(right, bottom) / apart).ceil() as i32;
    for n in first..=last {
        let sum = n as f32 * apart + onto.x + onto.top;
        ink.rule((sum - top, top), (sum - bottom, bottom), 2.2 * onto.times, pen.color);
    }
    ink.content.restore_state();
}
