//! A window that is still open and in which a part of a field was done, by entries that say
//! their ground: the field is not gone over again in it.

use crate::balance::Window;
use crate::check::{Field, Laid, OpenSeasons, Ready};
use crate::record::Entry;
use crate::tables::Book;
use jiff::civil::Date;
use std::collections::BTreeSet;

/// A window that was begun.
#[derive(Clone, Debug)]
pub struct Begun<'a> {
    /// Its pieces, by their places in the list of open windows.
    pub windows: Vec<usize>,
    /// The spreadings in it.
    pub entries: Vec<&'a Entry>,
    /// The same, as they lie on the field.
    pub laid: Laid<'a>,
    /// Spreadable acres that they cover together.
    pub done: f64,
}

/// The window of a field that was begun; none where all of it is done, or where an entry does
/// not say its ground, so that nobody knows what is left.
#[must_use]
pub fn begun<'a>(
    ready: &'a Ready,
    field: &'a Field,
    book: &Book<'_>,
    (acres, open): (f64, &[Window]),
) -> Option<Begun<'a>> {
    if field.done.is_empty() {
        return None;
    }
    let all = Laid::of(ready, field, book, acres, (Date::MIN, ready.as_of));
    let seasons = OpenSeasons::of(ready, field, book);
    let of = |window: &Window| all.in_window_of(window.first, field, &seasons);
    let each: Vec<Vec<&'a Entry>> = open.iter().map(of).collect();
    let entries = each.iter().find(|entries| !entries.is_empty())?.clone();
    if !entries.iter().all(|entry| field.done.knows(entry)) {
        return None;
    }
    let ids: BTreeSet<&str> = entries.iter().map(|entry| entry.id.as_str()).collect();
    let laid = all.only(|entry| ids.contains(entry.id.as_str()));
    let done = laid.part()?;
    let is_it = |own: &[&Entry]| own.iter().any(|entry| ids.contains(entry.id.as_str()));
    let windows = each.iter().enumerate().filter(|(_, own)| is_it(own)).map(|(at, _)| at).collect();
    Some(Begun { windows, entries, laid, done })
}
