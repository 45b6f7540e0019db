//! The ground of a field by the entries of the log that say where they went: which of
//! them lie on each other, and how much they cover together.

use crate::ground::{AllDone, Covered, GoneOver};
use crate::record::Entry;
use geo::MultiPolygon;
use std::collections::{BTreeMap, BTreeSet};

/// Where entries lie on each other on no more than this share of a field in all, that is the
/// seam at which one job meets the next, and no second trip over the field: our own measure. A
/// swath of 30 ft along the side of ten square acres is 5 % of them.
pub(super) const SEAM_SHARE: f64 = 0.05;

/// What the log says of the ground that was done on a field.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DoneGround {
    /// The entries that say their ground, by id.
    each: BTreeMap<String, GoneOver>,
    /// The spreadable ground by the entries that cover it.
    covered: Vec<DonePart>,
    /// The field by the entries that surely lie on each other there.
    shared: Vec<DonePart>,
    /// Those of them that are seams between jobs.
    seams: Vec<BTreeSet<String>>,
}

/// Ground that the same entries cover.
#[derive(Clone, Debug, PartialEq)]
struct DonePart {
    ids: BTreeSet<String>,
    acres: f64,
}

impl DoneGround {
    /// The grounds of some entries, by their ids, on a field of so many acres in all.
    pub(super) fn of(ids: &[String], done: AllDone, gross: f64) -> DoneGround {
        let part = |part: &Covered| DonePart {
            ids: part.by.iter().filter_map(|number| ids.get(*number).cloned()).collect(),
            acres: part.acres,
        };
        let shared: Vec<DonePart> = done.shared.iter().map(part).collect();
        DoneGround {
            covered: done.covered.iter().map(part).collect(),
            seams: seams(&shared, gross * SEAM_SHARE),
            shared,
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

    /// The same without the seams between jobs.
    pub fn shared_but_seams(&self) -> impl Iterator<Item = &BTreeSet<String>> {
        self.shared().filter(|ids| !self.seams.contains(ids))
    }

    /// The seams, each with its spreadable acres as drawn.
    pub fn seams(&self) -> impl Iterator<Item = (&BTreeSet<String>, f64)> {
        let drawn = |ids: &BTreeSet<String>| {
            let own = self.covered.iter().filter(|part| part.ids == *ids);
            own.map(|part| part.acres).fold(0.0, f64::max)
        };
        self.seams.iter().map(move |ids| (ids, drawn(ids)))
    }

    /// Spreadable acres that some entries cover more than once at their seams.
    pub(super) fn twice_at_seams(&self, entries: &[&Entry]) -> f64 {
        let of = |ids: &BTreeSet<String>| entries.iter().filter(|entry| ids.contains(&entry.id)).count();
        let again = |count: usize| count.saturating_sub(1) as f64;
        self.seams().fold(0.0, |sum, (ids, acres)| sum + acres * again(of(ids)))
    }

    /// Spreadable acres that some entries cover together.
    #[must_use]
    pub fn together(&self, entries: &[&Entry]) -> f64 {
        let any = |part: &&DonePart| entries.iter().any(|entry| part.ids.contains(&entry.id));
        // Not `sum`, which makes -0 of nothing.
        self.covered.iter().filter(any).fold(0.0, |sum, part| sum + part.acres)
    }
}

/// Of ground by the entries that lie on it, what is no more than the seam between them: every
/// piece of it, and all of them together, so that many small pieces do not hide a second trip.
fn seams(shared: &[DonePart], most: f64) -> Vec<BTreeSet<String>> {
    let small: Vec<&DonePart> = shared.iter().filter(|part| part.ids.len() > 1 && part.acres <= most).collect();
    let all = small.iter().fold(0.0, |sum, part| sum + part.acres);
    small.into_iter().filter(|_| all <= most).map(|part| part.ids.clone()).collect()
}
