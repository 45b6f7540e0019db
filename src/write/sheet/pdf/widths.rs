//! Widths of the letters of Helvetica and Helvetica-Bold, which every reader
//! of PDF has, so that no font travels in the file.
//!
//! Thousandths of the letter's size, by the Windows-1252 code from 32. The
//! widths are those of the Adobe core fonts (from memory), and agree with those
//! of Liberation Sans, a free font cut to the same widths (read).

use crate::exchange::WINDOWS_1252;

/// Plain or bold.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Face {
    Plain,
    Bold,
}

/// Width of a text at a size.
pub(super) fn width(text: &str, face: Face, size: f32) -> f32 {
    let table = match face {
        Face::Plain => &PLAIN,
        Face::Bold => &BOLD,
    };
    let code = |byte: u8| byte.checked_sub(32).and_then(|at| table.get(usize::from(at)));
    let sum: u32 = coded(text).0.into_iter().map(|b| u32::from(code(b).copied().unwrap_or(0))).sum();
    sum as f32 * size / 1000.0
}

/// A text in the fonts' code, and the letters that they lack: each becomes a
/// question mark.
pub(super) fn coded(text: &str) -> (Vec<u8>, Vec<char>) {
    let code = |letter: char| match u32::from(letter) {
        code @ (32..=126 | 160..=255) => u8::try_from(code).ok(),
        _ => WINDOWS_1252.chars().zip(128..).find(|(high, _)| *high == letter).map(|(_, code)| code),
    };
    let lacking = text.chars().filter(|letter| code(*letter).is_none()).collect();
    (text.chars().map(|letter| code(letter).unwrap_or(b'?')).collect(), lacking)
}

/// Helvetica.
#[rustfmt::skip]
const PLAIN: [u16; 224] = [
    278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556, 556, 556, 556, 556,
    556, 556, 556, 556, 278, 278, 584, 584, 584, 556, 1015, 667, 667, 722, 722, 667, 611, 778, 722, 278, 500, 667,
    556, 833, 722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 278, 278, 278, 469, 556, 333, 556,
    556, 500, 556, 556, 278, 556, 556, 222, 222, 500, 222, 833, 556, 556, 556, 556, 333, 500, 278, 556, 500, 722,
    500, 500, 500, 334, 260, 334, 584, 0, 556, 0, 222, 556, 333, 1000, 556, 556, 333, 1000, 667, 333, 1000, 0, 611,
    0, 0, 222, 222, 333, 333, 350, 556, 1000, 333, 1000, 500, 333, 944, 0, 500, 667, 278, 333, 556, 556, 556, 556,
    260, 556, 333, 737, 370, 556, 584, 333, 737, 552, 400, 549, 333, 333, 333, 576, 537, 278, 333, 333, 365, 556,
    834, 834, 834, 611, 667, 667, 667, 667, 667, 667, 1000, 722, 667, 667, 667, 667, 278, 278, 278, 278, 722, 722,
    778, 778, 778, 778, 778, 584, 778, 722, 722, 722, 722, 667, 667, 611, 556, 556, 556, 556, 556, 556, 889, 500,
    556, 556, 556, 556, 278, 278, 278, 278, 556, 556, 556, 556, 556, 556, 556, 549, 611, 556, 556, 556, 556, 500,
    556, 500,
];

/// Helvetica-Bold.
#[rustfmt::skip]
const BOLD: [u16; 224] = [
    278, 333, 474, 556, 556, 889, 722, 238, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556, 556, 556, 556, 556,
    556, 556, 556, 556, 333, 333, 584, 584, 584, 611, 975, 722, 722, 722, 722, 667, 611, 778, 722, 278, 556, 722,
    611, 833, 722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 333, 278, 333, 584, 556, 333, 556,
    611, 556, 611, 556, 333, 611, 611, 278, 278, 556, 278, 889, 611, 611, 611, 611, 389, 556, 333, 611, 556, 778,
    556, 556, 500, 389, 280, 389, 584, 0, 556, 0, 278, 556, 500, 1000, 556, 556, 333, 1000, 667, 333, 1000, 0, 611,
    0, 0, 278, 278, 500, 500, 350, 556, 1000, 333, 1000, 556, 333, 944, 0, 500, 667, 278, 333, 556, 556, 556, 556,
    280, 556, 333, 737, 370, 556, 584, 333, 737, 552, 400, 549, 333, 333, 333, 576, 556, 278, 333, 333, 365, 556,
    834, 834, 834, 611, 722, 722, 722, 722, 722, 722, 1000, 722, 667, 667, 667, 667, 278, 278, 278, 278, 722, 722,
    778, 778, 778, 778, 778, 584, 778, 722, 722, 722, 722, 667, 667, 611, 556, 556, 556, 556, 556, 556, 889, 556,
    556, 556, 556, 556, 278, 278, 278, 278, 611, 611, 611, 611, 611, 611, 611, 549, 611, 611, 611, 611, 611, 556,
    611, 556,
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_have_their_width_and_code() {
        assert_eq!(width("AV i", Face::Plain, 1000.0), 667.0 + 667.0 + 278.0 + 222.0);
        assert_eq!(width("0", Face::Bold, 10.0), 5.56);
        assert_eq!(coded("a·é–…☃"), (vec![b'a', 0xB7, 0xE9, 0x96, 0x85, b'?'], vec!['☃']));
        assert_eq!(WINDOWS_1252.chars().count(), 32);
    }
}
