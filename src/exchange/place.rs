//! Lines and columns of places in a text.

use crate::findings::{FileName, Place};

/// Columns up to which letters are counted one by one.
const FAR: usize = 10_000;

/// Letters in some bytes of UTF-8.
fn letters(bytes: &[u8]) -> usize {
    bytes.iter().filter(|b| **b & 0xC0 != 0x80).count()
}

/// Where the lines of a text begin.
pub(super) struct Lines<'a> {
    file: FileName,
    text: &'a str,
    starts: Vec<usize>,
}

impl<'a> Lines<'a> {
    /// Looks for the lines of a text once.
    pub(super) fn new(file: &str, text: &'a str) -> Lines<'a> {
        let after = text.bytes().enumerate().filter(|(_, b)| *b == b'\n').map(|(i, _)| i + 1);
        Lines { file: file.into(), text, starts: std::iter::once(0).chain(after).collect() }
    }

    /// The place of a byte.
    pub(super) fn place(&self, at: usize) -> Place {
        let at = at.min(self.text.len());
        let line = self.starts.partition_point(|start| *start <= at);
        let start = self.starts.get(line.saturating_sub(1)).copied().unwrap_or(0);
        let before = self.text.as_bytes().get(start..at).unwrap_or_default();
        // A line may hold the whole file: far out, bytes stand for letters.
        let column = if before.len() > FAR { before.len() } else { letters(before) } + 1;
        Place { file: self.file.clone(), line, column }
    }
}
