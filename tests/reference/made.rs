//! Small tables, written in the test.

use sward::findings::Findings;
use sward::tables::{self, ReferenceFile, Tables};

/// One source, under the key `book`.
pub(crate) const SOURCES: &str = "book: {title: A Book, publisher: A Press, year: 2020, address: example.org}\n";

/// A place of the given key.
pub(crate) fn place(key: &str, more: &str) -> ReferenceFile {
    (format!("{key}/place.yaml"), format!("name: {key}\ndecides: the test\n{more}"))
}

/// A figure with all its papers: id, topic, unit, scope and the value's line.
pub(crate) fn figure(id: &str, topic: &str, unit: &str, applies: &str, value: &str) -> String {
    format!(
        "{id}:\n  topic: {topic}\n  what: of a test\n  unit: {unit}\n  applies: {{{applies}}}\n  from:\n    2020-01-01:\n      {value}\n      source: book\n      at: p. 1\n      known: read\n  seen: 2026-11-25\n"
    )
}

/// A distance from wells that is in order.
pub(crate) fn good() -> String {
    figure("setback.well", "setback", "ft", "feature: well", "value: 100")
}

/// Loads files that are in order but for what `findings` say.
pub(crate) fn load(files: &[ReferenceFile]) -> (Tables, Findings) {
    tables::load(files)
}

/// Loads files that must be in order.
pub(crate) fn sound(files: &[ReferenceFile]) -> Tables {
    let (tables, findings) = load(files);
    assert!(findings.is_empty(), "{:?}", findings.sorted());
    tables
}

/// A file of a place.
pub(crate) fn file(path: &str, text: &str) -> ReferenceFile {
    (path.to_string(), text.to_string())
}
