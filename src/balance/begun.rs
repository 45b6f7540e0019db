//! A window that is still open and in which a part of a field was done, by entries that say
//! their ground: that ground is not gone over again in it, and the rest of the field is ground
//! of its own.

use crate::balance::Window;
use crate::balance::desk::Desk;
use crate::check::{Laid, OpenSeasons};
use crate::record::Entry;
use crate::units::down_to;
use jiff::civil::Date;

/// The ground of a field that is left in a window that was begun.
#[derive(Clone, Debug, PartialEq)]
pub struct RestGround {
    /// Its spreadable acres, down to the hundredth.
    pub acres: f64,
    /// The pieces of the window, by their places in the list of open windows.
    pub windows: Vec<usize>,
    /// The spreadings of the window, by their ids: what they put on lies on other ground.
    pub entries: Vec<String>,
    /// Day of the first of them.
    pub first: Date,
    /// Day of the last of them.
    pub last: Date,
}

impl RestGround {
    /// Whether a spreading of the log is one of the window, which lies beside this ground.
    #[must_use]
    pub fn is_beside(&self, entry: &Entry) -> bool {
        self.entries.contains(&entry.id)
    }
}

/// What is left of a field in a window that was begun; none where all of it is done, or where
/// an entry does not say its ground, so that nobody knows what is left.
pub(super) fn rest(desk: &Desk<'_>, (laid, acres): (&Laid<'_>, f64), open: &[Window]) -> Option<RestGround> {
    let (ready, field, book) = (desk.ready, desk.field, desk.book);
    if field.done.is_empty() {
        return None;
    }
    let all = laid.within((Date::MIN, ready.as_of));
    let seasons = OpenSeasons::of(ready, field, book);
    let of = |window: &Window| all.in_window_of(window.first, field, &seasons);
    let each: Vec<Vec<&Entry>> = open.iter().map(of).collect();
    let own = each.iter().find(|entries| !entries.is_empty())?;
    if !own.iter().all(|entry| field.done.knows(entry)) {
        return None;
    }
    let entries: Vec<String> = own.iter().map(|entry| entry.id.clone()).collect();
    let is_own = |entry: &Entry| entries.contains(&entry.id);
    let left = down_to(acres - all.only(is_own).part()?, 0.01);
    let is_it = |own: &[&Entry]| own.iter().any(|entry| is_own(entry));
    let windows = each.iter().enumerate().filter(|(_, own)| is_it(own)).map(|(at, _)| at).collect();
    let days = || own.iter().map(|entry| entry.date);
    let (first, last) = (days().min()?, days().max()?);
    (left > 0.0).then_some(RestGround { acres: left, windows, entries, first, last })
}
