//! The legend below a picture: rows with a sign, words broken to lines, and a
//! number at the right edge.

use crate::write::drawing::signs;
use crate::write::drawing::{
    BAR, BOUNDARY, BRANCH, DITCH, DONE, HEAD, IDLE, LETTER, Letters, OFF, POND, ROAD, ROAD_IN, ROCK, ROW, RULE, SPREAD,
    STREAM, STRONG, Shape, Side, moved, text,
};
use crate::write::words::xml;
use geo::coord;

/// Height of a line of words.
const LINE: f64 = 15.5;
/// Room between rows.
const GAP: f64 = 5.0;
/// Where words start, and the margin at the right.
const LEFT: f64 = 62.0;
const MARGIN: f64 = 14.0;
/// About the width of a letter of a plain and of a bold line.
const LETTER_WIDE: f64 = 6.4;
const BOLD: f64 = 7.3;

/// A legend as it grows.
pub(super) struct Legend {
    pub(super) shapes: Vec<Shape>,
    /// Width of the picture.
    width: f64,
    /// Where the next row starts.
    pub(super) bottom: f64,
}

impl Legend {
    /// An empty legend below `top`.
    pub(super) fn below(top: f64, width: f64) -> Legend {
        Legend { shapes: Vec::new(), width, bottom: top }
    }

    /// A heading, with a line below it.
    pub(super) fn head(&mut self, words: &str, right: &str) {
        self.bottom += 8.0;
        let below = self.bottom + 17.5;
        self.row(MARGIN, [HEAD, HEAD], &[(words, true)], right);
        let rule = [MARGIN, self.width - MARGIN].map(|x| coord! { x: x, y: below });
        self.shapes.push(Shape::Lines(vec![rule.to_vec()], RULE));
    }

    /// A row after a sign; `mark` is what stands in the sign, a number or a
    /// letter. Every part of its words starts a line, the bold ones first.
    pub(super) fn push(&mut self, sign: &str, mark: &str, parts: &[(&str, bool)], right: &str) {
        let (top, mark) = (coord! { x: 0.0, y: self.bottom }, xml(mark));
        self.shapes.extend(moved(shown(sign, &mark), top));
        self.row(LEFT, [ROW, STRONG], parts, right);
    }

    fn row(&mut self, left: f64, [plain, strong]: [&'static Letters; 2], parts: &[(&str, bool)], right: &str) {
        let (top, right) = (self.bottom, xml(right));
        for (words, bold) in parts.iter().filter(|(words, _)| !words.is_empty()) {
            let letter = if *bold { BOLD } else { LETTER_WIDE };
            let room = |taken: f64| ((self.width - left - MARGIN - taken) / letter).max(10.0) as usize;
            // The number at the right edge stands in the first line only.
            let first = self.bottom <= top && !right.is_empty();
            let number = if first { BOLD * (right.chars().count() as f64 + 2.0) } else { 0.0 };
            for line in broken(&xml(words), room(number), room(0.0)) {
                self.bottom += LINE;
                let at = coord! { x: left, y: self.bottom };
                self.shapes.push(text(at, -4.0, Side::Left, if *bold { strong } else { plain }, &line));
            }
        }
        if !right.is_empty() {
            let edge = coord! { x: self.width - MARGIN, y: top };
            self.shapes.push(text(edge, 11.5, Side::Right, STRONG, &right));
        }
        self.bottom = self.bottom.max(top + LINE) + GAP;
    }
}

/// The sign of a row by its word, with its mark.
fn shown(sign: &str, mark: &str) -> Vec<Shape> {
    let [place, middle] = [17.0, 42.0].map(|x| coord! { x: x, y: 8.0 });
    let line = |pen| Shape::Lines(vec![vec![coord! { x: 30.0, y: 8.0 }, coord! { x: 54.0, y: 8.0 }]], pen);
    let patch = |pen| vec![signs::patch(pen, 30.0)];
    let mut shapes = match sign {
        "spread" => patch(SPREAD),
        "idle" => patch(IDLE),
        "off" => patch(OFF),
        "done" => patch(DONE),
        "blank" => patch(BAR),
        "area" => patch(ROCK),
        "pond" => patch(POND),
        "runs" => signs::patch_with_runs(30.0),
        "load" => signs::load(middle, "1"),
        "go" => vec![signs::start(coord! { x: 34.0, y: 8.0 }, 45.0), signs::end(coord! { x: 49.5, y: 8.0 })],
        "gate" => signs::gate(middle, 7.5),
        "stack" => signs::stack(middle),
        "house" => signs::house(middle),
        "well" => signs::well(middle),
        "spot" => signs::spot(middle),
        "stream" => vec![line(STREAM)],
        "branch" => vec![line(BRANCH)],
        "ditch" => vec![line(DITCH)],
        "road" => vec![line(ROAD), line(ROAD_IN)],
        "line" => vec![line(BOUNDARY)],
        _ => Vec::new(),
    };
    match (sign, mark) {
        (_, "") => {}
        ("off", number) => shapes.extend(signs::number(place, number)),
        (_, letter) => shapes.push(text(place, 4.5, Side::Middle, LETTER, letter)),
    }
    shapes
}

/// Words broken to lines of so many letters, the first one of its own length;
/// a longer word is broken too.
fn broken(text: &str, first: usize, others: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    let mut long = 0;
    for word in text.split_whitespace() {
        let letters: Vec<char> = word.chars().collect();
        for part in letters.chunks(first.min(others)) {
            let room = if lines.is_empty() { first } else { others };
            if long > 0 && long + 1 + part.len() > room {
                lines.push(std::mem::take(&mut line));
                long = 0;
            }
            if long > 0 {
                line.push(' ');
                long += 1;
            }
            line.extend(part);
            long += part.len();
        }
    }
    if long > 0 {
        lines.push(line);
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_keep_to_their_room() {
        let lines = broken("no phosphate allowed: rated very high ffffffffffffffffffffffffffffffffffffff", 16, 16);
        assert!(lines.iter().all(|l| l.chars().count() <= 16), "{lines:?}");
        assert_eq!(lines[0], "no phosphate");
        assert!(broken("  ", 16, 16).is_empty());
    }
}
