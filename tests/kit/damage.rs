//! Files damaged on the way, the same on every run: what a test of hostile
//! input throws at a reader.

use super::Dice;

/// One way to damage a file at some place.
#[derive(Clone, Copy)]
pub(crate) enum Blow {
    /// A byte is lost.
    Lose,
    /// A run of bytes is lost.
    LoseRun,
    /// A piece is put in.
    PutIn,
    /// A byte becomes any other.
    Change,
    /// Two bytes trade places.
    Swap,
    /// A piece over what is there: a binary file keeps its length.
    PutOver,
    /// A digit for a digit keeps the file whole and reaches further in.
    Digit,
    /// A line stands twice.
    LineTwice,
    /// A piece stands again somewhere else.
    Again,
}

/// A file after one to four blows; `pieces` damage more than any single byte does.
pub(crate) fn damaged(file: &[u8], dice: &mut Dice, blows: &[Blow], pieces: &[&[u8]]) -> Vec<u8> {
    let mut bytes = file.to_vec();
    for _ in 0..=dice.below(4) {
        if bytes.is_empty() {
            break;
        }
        let at = dice.below(bytes.len());
        match blows[dice.below(blows.len())] {
            Blow::Lose => {
                bytes.remove(at);
            }
            Blow::LoseRun => {
                let end = (at + 1 + dice.below(40)).min(bytes.len());
                bytes.drain(at..end);
            }
            Blow::PutIn => {
                let piece = pieces[dice.below(pieces.len())];
                bytes.splice(at..at, piece.iter().copied());
            }
            Blow::Change => bytes[at] = dice.below(256) as u8,
            Blow::Swap => {
                let other = dice.below(bytes.len());
                bytes.swap(at, other);
            }
            Blow::PutOver => {
                let piece = pieces[dice.below(pieces.len())];
                let end = (at + piece.len()).min(bytes.len());
                bytes[at..end].copy_from_slice(&piece[..end - at]);
            }
            Blow::Digit => {
                let digits: Vec<usize> = (0..bytes.len()).filter(|i| bytes[*i].is_ascii_digit()).collect();
                if !digits.is_empty() {
                    bytes[digits[dice.below(digits.len())]] = b'0' + dice.below(10) as u8;
                }
            }
            Blow::LineTwice => {
                let start = bytes[..at].iter().rposition(|b| *b == b'\n').map_or(0, |i| i + 1);
                let end = bytes[at..].iter().position(|b| *b == b'\n').map_or(bytes.len(), |i| at + i + 1);
                let line = bytes[start..end].to_vec();
                bytes.splice(start..start, line);
            }
            Blow::Again => {
                let piece = bytes[at..at + dice.below(bytes.len() - at)].to_vec();
                let to = dice.below(bytes.len());
                bytes.splice(to..to, piece);
            }
        }
    }
    bytes
}
