//! An entry of a record, beside others that were read with it.

use crate::record::entry::Entry;
use std::ops::Deref;
use std::sync::Arc;

/// An entry of a record. A copy costs nothing, and a long log takes no room of its own
/// for each: entries that are read together stand on one page.
#[derive(Clone)]
pub struct KeptEntry {
    page: Arc<Vec<Entry>>,
    at: usize,
}

impl KeptEntry {
    /// All entries of a page.
    pub(super) fn all(page: Vec<Entry>) -> impl Iterator<Item = KeptEntry> {
        let page = Arc::new(page);
        (0..page.len()).map(move |at| KeptEntry { page: Arc::clone(&page), at })
    }

    /// Changes it, and nothing that stands beside it.
    pub fn change(&mut self, change: impl FnOnce(&mut Entry)) {
        let mut own = Entry::clone(self);
        change(&mut own);
        *self = own.into();
    }
}

impl From<Entry> for KeptEntry {
    fn from(entry: Entry) -> KeptEntry {
        KeptEntry { page: Arc::new(vec![entry]), at: 0 }
    }
}

impl Deref for KeptEntry {
    type Target = Entry;

    fn deref(&self) -> &Entry {
        &self.page[self.at]
    }
}

impl PartialEq for KeptEntry {
    fn eq(&self, other: &KeptEntry) -> bool {
        **self == **other
    }
}

impl std::fmt::Debug for KeptEntry {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        (**self).fmt(f)
    }
}
