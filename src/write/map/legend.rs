//! The legend below a picture: rows with a sign, words broken to lines, and a
//! number at the right edge.

use crate::write::sheet::frame::short;
use crate::write::sheet::words::xml;

/// Height of a line of words.
const LINE: f64 = 15.5;
/// Room between rows.
const GAP: f64 = 5.0;
/// Where words start, and the margin at the right.
const LEFT: f64 = 62.0;
const RIGHT: f64 = 14.0;
/// About the width of a letter of a plain and of a bold line.
const LETTER: f64 = 6.4;
const BOLD: f64 = 7.3;

/// One line of words.
pub(super) struct Line {
    pub(super) y: String,
    pub(super) text: String,
    pub(super) bold: bool,
}

/// One row.
pub(super) struct Row {
    /// Which sign stands before it: a word that the template knows.
    pub(super) sign: &'static str,
    /// What stands in the sign, a number or a letter.
    pub(super) mark: String,
    pub(super) y: String,
    pub(super) lines: Vec<Line>,
    /// The number at the right edge.
    pub(super) right: String,
}

/// A legend as it grows.
pub(super) struct Legend {
    pub(super) rows: Vec<Row>,
    /// Width of the picture.
    width: f64,
    /// Where the next row starts.
    pub(super) bottom: f64,
}

impl Legend {
    /// An empty legend below `top`.
    pub(super) fn below(top: f64, width: f64) -> Legend {
        Legend { rows: Vec::new(), width, bottom: top }
    }

    /// A heading.
    pub(super) fn head(&mut self, text: &str, right: &str) {
        self.bottom += 8.0;
        self.push("head", "", &[(text, true)], right);
    }

    /// A row; every part of its words starts a line, the bold ones first.
    pub(super) fn push(&mut self, sign: &'static str, mark: &str, parts: &[(&str, bool)], right: &str) {
        let right = xml(right);
        let left = if sign == "head" { RIGHT } else { LEFT };
        let top = self.bottom;
        let mut lines = Vec::new();
        for (text, bold) in parts.iter().filter(|(text, _)| !text.is_empty()) {
            let letter = if *bold { BOLD } else { LETTER };
            let room = |taken: f64| ((self.width - left - RIGHT - taken) / letter).max(10.0) as usize;
            // The number at the right edge stands in the first line only.
            let number =
                if right.is_empty() || !lines.is_empty() { 0.0 } else { BOLD * (right.chars().count() as f64 + 2.0) };
            for line in broken(&xml(text), room(number), room(0.0)) {
                self.bottom += LINE;
                lines.push(Line { y: short(self.bottom - 4.0), text: line, bold: *bold });
            }
        }
        self.bottom = self.bottom.max(top + LINE) + GAP;
        self.rows.push(Row { sign, mark: xml(mark), y: short(top), lines, right });
    }
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
