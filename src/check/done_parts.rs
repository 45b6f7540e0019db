//! The ground of a field by the entries of the log that say where they went: which of
//! them lie on each other, and how much they cover together.

use crate::ground::{AllDone, Covered, GoneOver};
use crate::record::Entry;
use geo::MultiPolygon;
use std::collections::{BTreeMap, BTreeSet};

/// What the log says of the ground that was done on a field.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DoneGround {
    /// The entries that say their ground, by id.
    each: BTreeMap<String, GoneOver>,
    /// The spreadable ground by the entries that cover it.
    covered: Vec<DonePart>,
    /// The field by the entries that surely lie on each other there.
    shared: Vec<DonePart>,
}

/// Ground that the same entries cover.
#[derive(Clone, Debug, PartialEq)]
struct DonePart {
    ids: BTreeSet<String>,
    acres: f64,
}

impl DoneGround {
    /// The grounds of some entries, by their ids.
    pub(super) fn of(ids: &[String], done: AllDone) -> DoneGround {
        let part = |part: &Covered| DonePart {
            ids: part.by.iter().filter_map(|number| ids.get(*number).cloned()).collect(),
            acres: part.acres,
        };
        DoneGround {
            covered: done.covered.iter().map(part).collect(),
            shared: done.shared.iter().map(part).collect(),
            each: ids.iter().cloned().zip(done.each).collect(),
        }
    }

    /// What an entry went over.
    pub(super) fn of_entry(&self, entry: &Entry) -> Option<&GoneOver> {
        self.each.get(&entry.id)
    }

    /// Whether no entry says its ground.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.each.is_empty()
    }

    /// The ground of some entries inside the boundary, in feet on the plane of the field.
    pub fn shapes<'a>(&'a self, ids: &'a [String]) -> impl Iterator<Item = &'a MultiPolygon<f64>> {
        ids.iter().filter_map(|id| self.each.get(id)).map(|gone| &gone.shape)
    }

    /// Whether it is known where an entry lies.
    #[must_use]
    pub fn knows(&self, entry: &Entry) -> bool {
        self.each.contains_key(&entry.id)
    }

    /// Entries that lie on each other, one list of ids for every such ground; an entry alone
    /// is a list too.
    pub fn shared(&self) -> impl Iterator<Item = &BTreeSet<String>> {
        self.shared.iter().map(|part| &part.ids)
    }

    /// Spreadable acres that some entries cover together.
    #[must_use]
    pub fn together(&self, entries: &[&Entry]) -> f64 {
        let any = |part: &&DonePart| entries.iter().any(|entry| part.ids.contains(&entry.id));
        // Not `sum`, which makes -0 of nothing.
        self.covered.iter().filter(any).fold(0.0, |sum, part| sum + part.acres)
    }
}
