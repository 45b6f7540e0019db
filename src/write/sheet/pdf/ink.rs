//! One page as it is drawn: from the upper left corner down, in points.

use super::widths::{Face, coded, width};
use pdf_writer::types::{LineJoinStyle, TextRenderingMode};
use pdf_writer::{Content, Name, Rect, Str};

/// A colour: red, green, blue, 0 to 1.
pub(super) type Color = [f32; 3];

pub(super) const INK: Color = [0.106, 0.102, 0.090];
pub(super) const PLUM: Color = [0.290, 0.145, 0.271];
pub(super) const SOFT: Color = [0.420, 0.404, 0.369];
pub(super) const LINE: Color = [0.725, 0.702, 0.635];
pub(super) const STRAW: Color = [0.945, 0.902, 0.741];
pub(super) const RED: Color = [0.561, 0.114, 0.078];
pub(super) const WHITE: Color = [1.0, 1.0, 1.0];
pub(super) const GREY: Color = [0.788, 0.788, 0.769];

/// How a line of text stands to its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Side {
    Left,
    Middle,
    Right,
}

/// How text is set.
#[derive(Clone, Copy, Debug)]
pub(super) struct Type {
    pub(super) size: f32,
    pub(super) face: Face,
    pub(super) color: Color,
}

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

    /// Text broken at spaces to lines of at most this width; a word that is
    /// wider by itself is broken where it must be.
    pub(super) fn lines(self, text: &str, wide: f32) -> Vec<String> {
        let mut lines: Vec<String> = Vec::new();
        let mut line = String::new();
        for word in text.split_whitespace() {
            let joined = if line.is_empty() { word.to_string() } else { format!("{line} {word}") };
            if width(&joined, self.face, self.size) <= wide {
                line = joined;
                continue;
            }
            if !line.is_empty() {
                lines.push(std::mem::take(&mut line));
            }
            for letter in word.chars() {
                line.push(letter);
                if line.chars().count() > 1 && width(&line, self.face, self.size) > wide {
                    line.pop();
                    lines.push(std::mem::take(&mut line));
                    line.push(letter);
                }
            }
        }
        if !line.is_empty() || lines.is_empty() {
            lines.push(line);
        }
        lines
    }
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
    height: f32,
}

impl Ink {
    pub(super) fn new(height: f32) -> Ink {
        let mut content = Content::new();
        content.set_line_join(LineJoinStyle::RoundJoin);
        Ink { content, links: Vec::new(), height }
    }

    /// From the top of the page to the file's own count, from its bottom.
    pub(super) fn up(&self, y: f32) -> f32 {
        self.height - y
    }

    /// One line of text with its foot at `y`; the width it takes.
    pub(super) fn text(&mut self, x: f32, y: f32, set: Type, side: Side, text: &str) -> f32 {
        self.lettered(x, y, set, side, text, TextRenderingMode::Fill)
    }

    /// The same over a rim that keeps it clear of what lies below.
    pub(super) fn rimmed(&mut self, x: f32, y: f32, set: Type, side: Side, rim: Color, text: &str) {
        self.content.save_state();
        self.stroke(rim, set.size * 0.22);
        self.lettered(x, y, set, side, text, TextRenderingMode::Stroke);
        self.content.restore_state();
        self.text(x, y, set, side, text);
    }

    fn lettered(&mut self, x: f32, y: f32, set: Type, side: Side, text: &str, mode: TextRenderingMode) -> f32 {
        let wide = width(text, set.face, set.size);
        let left = match side {
            Side::Left => x,
            Side::Middle => x - wide / 2.0,
            Side::Right => x - wide,
        };
        let font = match set.face {
            Face::Plain => Name(b"F1"),
            Face::Bold => Name(b"F2"),
        };
        let y = self.up(y);
        self.content.begin_text().set_font(font, set.size).set_text_rendering_mode(mode);
        self.fill(set.color);
        self.content.set_text_matrix([1.0, 0.0, 0.0, 1.0, left, y]).show(Str(&coded(text))).end_text();
        wide
    }

    /// Text in lines from `top` down; where it ends.
    pub(super) fn paragraph(&mut self, x: f32, top: f32, wide: f32, set: Type, text: &str) -> f32 {
        let mut y = top;
        for line in set.lines(text, wide) {
            self.text(x, y + set.size, set, Side::Left, &line);
            y += set.leading();
        }
        y
    }

    /// A line of text that leads to a place.
    pub(super) fn linked(&mut self, x: f32, y: f32, set: Type, text: &str, to: &str) {
        let wide = self.text(x, y, set, Side::Left, text);
        let over = Rect::new(x, self.up(y + set.size * 0.25), x + wide, self.up(y - set.size));
        self.links.push(Link { over, to: to.to_string() });
    }

    /// From here on shapes are filled with a colour.
    pub(super) fn fill(&mut self, [r, g, b]: Color) {
        self.content.set_fill_rgb(r, g, b);
    }

    /// From here on lines are drawn in a colour, so thick.
    pub(super) fn stroke(&mut self, [r, g, b]: Color, thick: f32) {
        self.content.set_stroke_rgb(r, g, b).set_line_width(thick);
    }

    /// A filled shape with a rim.
    pub(super) fn polygon(&mut self, corners: &[(f32, f32)], fill: Color, rim: Color, thick: f32) {
        self.fill(fill);
        self.stroke(rim, thick);
        for (i, (x, y)) in corners.iter().enumerate() {
            let y = self.up(*y);
            if i == 0 {
                self.content.move_to(*x, y)
            } else {
                self.content.line_to(*x, y)
            };
        }
        self.content.close_fill_nonzero_and_stroke();
    }

    /// A straight line.
    pub(super) fn rule(&mut self, from: (f32, f32), to: (f32, f32), thick: f32, color: Color) {
        let (a, b) = (self.up(from.1), self.up(to.1));
        self.stroke(color, thick);
        self.content.move_to(from.0, a).line_to(to.0, b).stroke();
    }

    /// A frame.
    pub(super) fn frame(&mut self, x: f32, top: f32, wide: f32, tall: f32, thick: f32, color: Color) {
        let y = self.up(top + tall);
        self.stroke(color, thick);
        self.content.rect(x, y, wide, tall).stroke();
    }

    /// A filled box.
    pub(super) fn filled(&mut self, x: f32, top: f32, wide: f32, tall: f32, color: Color) {
        let y = self.up(top + tall);
        self.fill(color);
        self.content.rect(x, y, wide, tall).fill_nonzero();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_keep_to_their_width_and_lose_no_letter() {
        let set = Type::plain(10.0);
        let text = "Keep stock off the field for at least 21 days Donaudampfschifffahrtsgesellschaft";
        let lines = set.lines(text, 60.0);
        assert!(lines.iter().all(|l| width(l, set.face, set.size) <= 60.0), "{lines:?}");
        let letters = |t: &str| t.chars().filter(|c| !c.is_whitespace()).collect::<String>();
        assert_eq!(letters(&lines.concat()), letters(text));
        assert_eq!(set.lines("", 60.0).len(), 1);
    }
}
