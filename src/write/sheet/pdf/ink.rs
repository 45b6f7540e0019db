//! One page as it is drawn: from the upper left corner down, in points.

use super::widths::{Face, coded, width};
use crate::write::drawing::{Color, INK};
use crate::write::words::line::{Line, Look};
use pdf_writer::types::{LineJoinStyle, TextRenderingMode};
use pdf_writer::{Content, Name, Rect, Str};
use std::collections::BTreeSet;

pub(super) use crate::write::drawing::{LINE, PLUM, Side, WHITE};
pub(super) const SOFT: Color = Color(0x6b675e);
pub(super) const RED: Color = Color(0x8f1d14);

/// How text is set.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Type {
    pub(super) size: f32,
    pub(super) face: Face,
    pub(super) color: Color,
}

/// A piece of a line: how it is set, its letters, and where it leads.
type Piece = (Type, String, String);

impl Type {
    pub(super) fn plain(size: f32) -> Type {
        Type { size, face: Face::Plain, color: INK }
    }

    pub(super) fn bold(size: f32) -> Type {
        Type { size, face: Face::Bold, color: INK }
    }

    pub(super) fn color(self, color: Color) -> Type {
        Type { color, ..self }
    }

    /// From one line to the next.
    pub(super) fn leading(self) -> f32 {
        self.size * 1.22
    }

    pub(super) fn width(self, text: &str) -> f32 {
        width(text, self.face, self.size)
    }

    /// This type at the largest size up to its own at which a text goes into one line.
    pub(super) fn fitted(self, text: &str, room: f32) -> Type {
        let wide = self.width(text);
        if wide <= room { self } else { Type { size: self.size * room / wide, ..self } }
    }

    /// As much of a text as goes into one line.
    pub(super) fn first_line(self, text: &str, room: f32) -> String {
        let lines = self.lines(&Line::plain(text), room);
        lines.first().map(|line| line.iter().map(|(_, text, _)| text.as_str()).collect()).unwrap_or_default()
    }

    /// How a run of words is set among words of this type.
    fn look(self, look: &Look) -> (Type, &str) {
        match look {
            Look::Plain => (self, ""),
            Look::Bold | Look::Mark => (Type { face: Face::Bold, ..self }, ""),
            Look::Small => (Type { face: Face::Plain, size: self.size * 0.92, ..self }, ""),
            Look::Soft => (Type { face: Face::Plain, ..self }.color(SOFT), ""),
            Look::Link(to) => (self, to),
        }
    }

    /// The words of a line, each in the pieces in which it is set.
    fn words(self, line: &Line) -> Vec<Vec<Piece>> {
        let mut words: Vec<Vec<Piece>> = vec![Vec::new()];
        for (look, text) in &line.0 {
            let (set, to) = self.look(look);
            for (n, part) in text.split(char::is_whitespace).enumerate() {
                if n > 0 {
                    words.push(Vec::new());
                }
                if let Some(word) = words.last_mut().filter(|_| !part.is_empty()) {
                    word.push((set, part.to_string(), to.to_string()));
                }
            }
        }
        words.retain(|word| !word.is_empty());
        words
    }

    /// A line broken at spaces to lines of at most this width; a word that is
    /// wider by itself is broken where it must be.
    pub(super) fn lines(self, line: &Line, wide: f32) -> Vec<Vec<Piece>> {
        let (mut lines, mut now): (Vec<Vec<Piece>>, Vec<Piece>) = (Vec::new(), Vec::new());
        for word in self.words(line) {
            let mut joined = now.clone();
            if let Some((_, text, _)) = joined.last_mut() {
                text.push(' ');
            }
            word.iter().for_each(|piece| join(&mut joined, piece));
            if length(&joined) <= wide {
                now = joined;
                continue;
            }
            if !now.is_empty() {
                lines.push(std::mem::take(&mut now));
            }
            for (set, text, to) in word {
                for letter in text.chars() {
                    let piece = (set, letter.to_string(), to.clone());
                    let mut more = now.clone();
                    join(&mut more, &piece);
                    if !now.is_empty() && length(&more) > wide {
                        lines.push(std::mem::replace(&mut now, vec![piece]));
                    } else {
                        now = more;
                    }
                }
            }
        }
        if !now.is_empty() || lines.is_empty() {
            lines.push(now);
        }
        lines
    }
}

/// Adds a piece to a line; pieces that are set alike become one.
fn join(line: &mut Vec<Piece>, piece: &Piece) {
    match line.last_mut().filter(|last| last.0 == piece.0 && last.2 == piece.2) {
        Some(last) => last.1.push_str(&piece.1),
        None => line.push(piece.clone()),
    }
}

fn length(line: &[Piece]) -> f32 {
    line.iter().map(|(set, text, _)| set.width(text)).sum()
}

/// A link to a place, over a part of the page.
pub(super) struct Link {
    pub(super) over: Rect,
    pub(super) to: String,
}

/// A page.
pub(super) struct Ink {
    pub(super) content: Content,
    pub(super) links: Vec<Link>,
    /// Letters that the fonts do not have.
    pub(super) lacking: BTreeSet<char>,
    height: f32,
}

impl Ink {
    pub(super) fn new(height: f32) -> Ink {
        let mut content = Content::new();
        content.set_line_join(LineJoinStyle::RoundJoin);
        Ink { content, links: Vec::new(), lacking: BTreeSet::new(), height }
    }

    /// One line of text with its foot at `y`; the width it takes.
    pub(super) fn text(&mut self, x: f32, y: f32, set: Type, side: Side, text: &str) -> f32 {
        self.lettered(x, y, set, side, text, TextRenderingMode::Fill)
    }

    /// The same over a rim that keeps it clear of what lies below.
    pub(super) fn rimmed(&mut self, x: f32, y: f32, set: Type, side: Side, rim: (Color, f32), text: &str) {
        self.content.save_state();
        self.stroke(rim.0, rim.1);
        self.lettered(x, y, set, side, text, TextRenderingMode::Stroke);
        self.content.restore_state();
        self.text(x, y, set, side, text);
    }

    fn lettered(&mut self, x: f32, y: f32, set: Type, side: Side, text: &str, mode: TextRenderingMode) -> f32 {
        let wide = set.width(text);
        let left = match side {
            Side::Left => x,
            Side::Middle => x - wide / 2.0,
            Side::Right => x - wide,
        };
        let font = match set.face {
            Face::Plain => Name(b"F1"),
            Face::Bold => Name(b"F2"),
        };
        self.content.begin_text().set_font(font, set.size).set_text_rendering_mode(mode);
        self.fill(set.color);
        let (codes, lacking) = coded(text);
        self.lacking.extend(lacking);
        self.content.set_text_matrix([1.0, 0.0, 0.0, 1.0, left, self.height - y]).show(Str(&codes)).end_text();
        wide
    }

    /// A line of words from `top` down, in as many lines as it takes; where it
    /// ends. Places are links.
    pub(super) fn paragraph(&mut self, x: f32, top: f32, wide: f32, set: Type, side: Side, line: &Line) -> f32 {
        let mut y = top;
        for pieces in set.lines(line, wide) {
            let mut at = if side == Side::Right { x + wide - length(&pieces) } else { x };
            let foot = y + set.size;
            for (set, text, to) in pieces {
                let end = at + self.text(at, foot, set, Side::Left, &text);
                if to.starts_with("geo:") {
                    let (low, high) = (self.height - foot - set.size * 0.25, self.height - foot + set.size);
                    self.links.push(Link { over: Rect::new(at, low, end, high), to });
                }
                at = end;
            }
            y += set.leading();
        }
        y
    }

    /// From here on shapes are filled with a color.
    fn fill(&mut self, Color(rgb): Color) {
        let [_, r, g, b] = rgb.to_be_bytes().map(|part| f32::from(part) / 255.0);
        self.content.set_fill_rgb(r, g, b);
    }

    /// From here on lines are drawn in a color, so thick.
    fn stroke(&mut self, Color(rgb): Color, thick: f32) {
        let [_, r, g, b] = rgb.to_be_bytes().map(|part| f32::from(part) / 255.0);
        self.content.set_stroke_rgb(r, g, b).set_line_width(thick);
    }

    /// Lays down a path.
    pub(super) fn path(&mut self, path: &[Vec<(f32, f32)>], closed: bool) {
        for part in path {
            for (n, (x, y)) in part.iter().enumerate() {
                let y = self.height - y;
                if n == 0 {
                    self.content.move_to(*x, y);
                } else {
                    self.content.line_to(*x, y);
                }
            }
            if closed {
                self.content.close_path();
            }
        }
    }

    /// A path filled and stroked, as far as either is wanted; a filled one is closed.
    pub(super) fn shape(&mut self, path: &[Vec<(f32, f32)>], closed: bool, fill: Option<Color>, line: (Color, f32)) {
        if let Some(color) = fill {
            self.fill(color);
        }
        let lined = line.1 > 0.0;
        if lined {
            self.stroke(line.0, line.1);
        }
        self.path(path, closed);
        match (fill.is_some(), lined) {
            (true, true) => self.content.fill_even_odd_and_stroke(),
            (true, false) => self.content.fill_even_odd(),
            (false, true) => self.content.stroke(),
            (false, false) => self.content.end_path(),
        };
    }

    /// A straight line.
    pub(super) fn rule(&mut self, from: (f32, f32), to: (f32, f32), thick: f32, color: Color) {
        self.shape(&[vec![from, to]], false, None, (color, thick));
    }

    /// A frame.
    pub(super) fn frame(&mut self, x: f32, top: f32, wide: f32, tall: f32, thick: f32, color: Color) {
        self.shape(&[boxed(x, top, wide, tall)], true, None, (color, thick));
    }

    /// A filled box.
    pub(super) fn filled(&mut self, x: f32, top: f32, wide: f32, tall: f32, color: Color) {
        self.shape(&[boxed(x, top, wide, tall)], true, Some(color), (color, 0.0));
    }
}

fn boxed(x: f32, top: f32, wide: f32, tall: f32) -> Vec<(f32, f32)> {
    vec![(x, top), (x + wide, top), (x + wide, top + tall), (x, top + tall)]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_keep_to_their_width_and_lose_no_letter() {
        let set = Type::plain(10.0);
        let text = "Keep stock off the field for at least 21 days Donaudampfschifffahrtsgesellschaft";
        let lines = set.lines(&Line::plain(text), 60.0);
        assert!(lines.iter().all(|l| length(l) <= 60.0), "{lines:?}");
        let lines: Vec<String> = lines.into_iter().flatten().map(|(_, text, _)| text).collect();
        let letters = |t: &str| t.chars().filter(|c| !c.is_whitespace()).collect::<String>();
        assert_eq!(letters(&lines.concat()), letters(text));
        assert_eq!(set.lines(&Line::default(), 60.0).len(), 1);
    }
}
