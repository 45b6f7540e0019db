//! What every page has: headings, stop conditions, whom to call, the foot.

use super::ink::{INK, Ink, LINE, PLUM, RED, SOFT, Side, Type, WHITE};
use crate::write::sheet::Sheets;
use crate::write::sheet::cover::Call;
use crate::write::sheet::words::Said;

/// Height of the foot.
pub(super) const FOOT: f32 = 14.0;

/// A small heading; where what it heads begins.
pub(super) fn heading(ink: &mut Ink, x: f32, top: f32, size: f32, text: &str) -> f32 {
    let set = Type::bold(9.0 * size.max(0.6)).color(PLUM);
    ink.text(x, top + set.size, set, Side::Left, &text.to_uppercase());
    top + set.size + 3.0
}

fn sentence(said: &Said) -> String {
    format!("{}{}", said.text, said.known)
}

/// Sentences with a dash before each, in two columns where there is room.
pub(super) fn said(ink: &mut Ink, list: &[Said], x: f32, top: f32, wide: f32, set: Type) -> f32 {
    let texts: Vec<String> = list.iter().map(sentence).collect();
    dashed(ink, &texts, x, top, wide, set)
}

/// The same of any texts.
pub(super) fn dashed(ink: &mut Ink, texts: &[String], x: f32, top: f32, wide: f32, set: Type) -> f32 {
    let columns = if wide > 400.0 && texts.len() > 1 { 2 } else { 1 };
    let gap = 14.0;
    let column = (wide - gap * (columns as f32 - 1.0)) / columns as f32;
    let each = texts.len().div_ceil(columns).max(1);
    let mut end = top;
    for (n, part) in texts.chunks(each).enumerate() {
        let left = x + n as f32 * (column + gap);
        let mut y = top;
        for text in part {
            ink.text(left, y + set.size, set, Side::Left, "–");
            y = ink.paragraph(left + set.size, y, column - set.size, set, text) + 1.0;
        }
        end = end.max(y);
    }
    end
}

/// The stop conditions in their frame, in large type.
pub(super) fn stops(ink: &mut Ink, list: &[Said], x: f32, top: f32, wide: f32, size: f32) -> f32 {
    if list.is_empty() {
        return top;
    }
    let sign = 40.0 * size.max(0.6);
    let set = Type::bold(11.5 * size);
    let inner = x + sign + 16.0;
    let end = said(ink, list, inner, top + 5.0, wide - sign - 22.0, set);
    let tall = (end - top + 4.0).max(sign + 10.0);
    octagon(ink, x + 8.0 + sign / 2.0, top + tall / 2.0, sign / 2.0);
    ink.frame(x, top, wide, tall, 2.2, RED);
    top + tall
}

fn octagon(ink: &mut Ink, x: f32, y: f32, radius: f32) {
    let corner = |n: i32| {
        let (sin, cos) = (n as f32 * 45.0 + 22.5).to_radians().sin_cos();
        (x + radius * cos, y + radius * sin)
    };
    ink.polygon(&(0..8).map(corner).collect::<Vec<_>>(), RED, INK, 1.2);
    let set = Type::bold(radius * 0.6).color(WHITE);
    ink.text(x, y + set.size * 0.36, set, Side::Middle, "STOP");
}

const CALL: Type = Type { size: 9.5, face: super::widths::Face::Plain, color: INK };

fn call_text(people: &[Call]) -> String {
    let mut parts = vec!["Emergency 911".to_string()];
    parts.extend(people.iter().map(|p| {
        let phone = if p.phone.is_empty() { String::new() } else { format!(" {}", p.phone) };
        format!("{} {}{phone}", p.part, p.name)
    }));
    parts.join("  ·  ")
}

/// Height that whom to call takes.
pub(super) fn call_height(people: &[Call], wide: f32) -> f32 {
    CALL.lines(&call_text(people), wide).len() as f32 * CALL.leading() + 4.0
}

/// Whom to call.
pub(super) fn call(ink: &mut Ink, people: &[Call], x: f32, top: f32, wide: f32) {
    ink.paragraph(x, top, wide, CALL, &call_text(people));
}

/// The foot of a page.
pub(super) fn foot(ink: &mut Ink, sheets: &Sheets, x: f32, top: f32, wide: f32) {
    let set = Type::plain(8.0).color(SOFT);
    ink.rule((x, top), (x + wide, top), 0.6, LINE);
    let Sheets { farm, place, span, as_of, .. } = sheets;
    let farm = format!("{farm} · rules of {place} · plan {span}, as of {as_of}");
    let who = "Local codes and the certified planner decide.";
    let room = wide - super::widths::width(who, set.face, set.size) - 12.0;
    let farm = set.lines(&farm, room).into_iter().next().unwrap_or_default();
    ink.text(x, top + 10.0, set, Side::Left, &farm);
    ink.text(x + wide, top + 10.0, set, Side::Right, who);
}
