//! A window that is still open and in which a part of a field was done, by entries that say
//! their ground: that ground is not gone over again in it, and the rest of the field is ground
//! of its own.

use crate::balance::Window;
use crate::balance::desk::Desk;
use crate::check::{Laid, OpenSeasons};
use crate::record::Entry;
use crate::units::acres_left;
use jiff::civil::Date;

/// The ground of a field that is left in a window that was begun.
#[derive(Clone, Debug, PartialEq)]
pub struct RestGround {
    /// Its spreadable acres, to the hundredth.
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

/// A part of a field that was done in a window that was begun, where nobody knows which.
#[derive(Clone, Debug, PartialEq)]
pub struct UndrawnPart {
    /// Spreadable acres that are done.
    pub done: f64,
    /// Spreadable acres that are left, to the hundredth.
    pub left: f64,
    /// The pieces of the window, by their places in the list of open windows.
    pub windows: Vec<usize>,
    /// The spreadings of the window that do not say their ground, by their ids.
    pub entries: Vec<String>,
    /// Day of the first spreading of the window.
    pub first: Date,
    /// Day of the last of them.
    pub last: Date,
}

/// What is known of a window that was begun: what is left, where every entry says its ground, and
/// what is done, where an entry does not.
pub(super) type Begun = (Option<RestGround>, Option<UndrawnPart>);

impl RestGround {
    /// Whether a spreading of the log is one of the window, which lies beside this ground.
    #[must_use]
    pub fn is_beside(&self, entry: &Entry) -> bool {
        self.entries.contains(&entry.id)
    }
}

/// What is known of a window that was begun; nothing where none was, or where all of it is done.
pub(super) fn begun(desk: &Desk<'_>, on: (&Laid<'_>, f64), open: &[Window]) -> Begun {
    known(desk, on, open).unwrap_or_default()
}

fn known(desk: &Desk<'_>, (laid, acres): (&Laid<'_>, f64), open: &[Window]) -> Option<Begun> {
    let (ready, field, book) = (desk.ready, desk.field, desk.book);
    let all = laid.within((Date::MIN, ready.as_of));
    let seasons = OpenSeasons::of(ready, field, book);
    let of = |window: &Window| all.in_window_of(window.first, field, &seasons);
    let each: Vec<Vec<&Entry>> = open.iter().map(of).collect();
    let own = each.iter().find(|entries| !entries.is_empty())?;
    let ids = |entries: &mut dyn Iterator<Item = &&Entry>| -> Vec<String> { entries.map(|e| e.id.clone()).collect() };
    let undrawn = ids(&mut own.iter().filter(|entry| !field.done.knows(entry)));
    let entries = ids(&mut own.iter());
    let is_own = |entry: &Entry| entries.contains(&entry.id);
    let done = all.only(is_own).part()?;
    let left = acres_left(acres, done);
    let is_it = |own: &[&Entry]| own.iter().any(|entry| is_own(entry));
    let windows = each.iter().enumerate().filter(|(_, own)| is_it(own)).map(|(at, _)| at).collect();
    let days = || own.iter().map(|entry| entry.date);
    let (first, last) = (days().min()?, days().max()?);
    if left <= 0.0 {
        return None;
    }
    Some(match undrawn.is_empty() {
        true => (Some(RestGround { acres: left, windows, entries, first, last }), None),
        false => (None, Some(UndrawnPart { done, left, windows, entries: undrawn, first, last })),
    })
}
