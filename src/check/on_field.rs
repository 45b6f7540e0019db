//! What is said of a spreading on a field, until it is known on which parts of one it is so.

use crate::findings::{Finding, Findings, Place, distinct, listed};
use crate::record::Entry;
use std::collections::BTreeMap;

/// What to do about something that was done.
pub(super) const DONE: &str = "tell the planner; a slip of the pen is corrected with `sward log correct`";

/// Stands in a sentence for the field, until it is known for which parts of one it is so; it is
/// in no text that was read.
pub(super) const FIELD: &str = "\u{0}";

/// What was found on a field, by its id, with [`FIELD`] in its sentence.
pub(super) type OnField<'a> = (&'a str, Finding);

/// Litter that was spread on a field, and why that is told.
pub(super) fn spread(entry: &Entry, code: &'static str, why: &str) -> Finding {
    let found = format!("litter was spread on {FIELD} on {}, {why}", entry.date);
    Finding::warning(code, &entry.place, found).fix(DONE)
}

/// What an entry broke on several parts of a field that was split is told once, with all of them.
pub(super) fn by_parts(told: Vec<OnField<'_>>) -> Findings {
    let mut groups: BTreeMap<(String, Place, String), (Finding, Vec<&str>)> = BTreeMap::new();
    for (id, finding) in told {
        let key = (finding.code.to_string(), finding.place.clone(), finding.found.clone());
        groups.entry(key).or_insert_with(|| (finding, Vec::new())).1.push(id);
    }
    let one = |(finding, ids): (Finding, Vec<&str>)| {
        let found = finding.found.replace(FIELD, &listed(&distinct(ids)));
        Finding { found, ..finding }
    };
    groups.into_values().map(one).collect()
}
