//! How densely the entries of the log lie on a field.
//!
//! The log says how many acres an entry covered, not which. So:
//! - entries whose acres together are no more than the field's lie side by side:
//!   the densest of them counts, and those of one window are one application;
//! - where they are more, they may lie on each other: their tons per acre are
//!   added, and each day is an application;
//! - between windows the same holds: where the acres of all entries fit into the
//!   field the densest counts, else the windows are added.
//!
//! An entry without acres covered the whole field. Lives here: which entries lie
//! beside each other. Never here: what a ton holds.

use crate::check::open_seasons::OpenSeasons;
use crate::check::ready::{Field, Ready};
use crate::record::{Entry, What};
use crate::tables::Book;
use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet};

/// Acres this much over a field's are still those of the field.
const FITS: f64 = 1.02;

/// The days between which a field is gone over once: the season with its opening
/// day, the cuttings and grazings before.
type LaidWindow = (Option<(Date, String)>, usize, usize);

/// The spreadings of one field in some days.
#[derive(Clone, Debug)]
pub struct Laid<'a> {
    acres: f64,
    windows: BTreeMap<LaidWindow, Vec<&'a Entry>>,
}

impl<'a> Laid<'a> {
    /// What lies on a field of so many spreadable acres, by the log of some days.
    #[must_use]
    pub fn of(ready: &'a Ready, field: &'a Field, book: &Book<'_>, acres: f64, days: (Date, Date)) -> Laid<'a> {
        let litter = |e: &Entry| e.amount.0 > 0 && (days.0..=days.1).contains(&e.date);
        Laid::of_kind(What::Spread, (ready, field, book), acres, litter)
    }

    /// The commercial fertilizer, and the hay that was fed, by the log of all days.
    #[must_use]
    pub fn besides_litter(ready: &'a Ready, field: &'a Field, book: &Book<'_>, acres: f64) -> Laid<'a> {
        let mut laid = Laid::of_kind(What::Fertilizer, (ready, field, book), acres, |e| e.fertilizer_on().is_some());
        let hay = Laid::of_kind(What::FeedHay, (ready, field, book), acres, |e| e.amount.0 > 0);
        for (window, entries) in hay.windows {
            laid.windows.entry(window).or_default().extend(entries);
        }
        laid
    }

    fn of_kind(
        what: What,
        (ready, field, book): (&'a Ready, &'a Field, &Book<'_>),
        acres: f64,
        counts: impl Fn(&Entry) -> bool,
    ) -> Laid<'a> {
        let seasons = OpenSeasons::of(ready, field, book);
        let mut windows: BTreeMap<LaidWindow, Vec<&Entry>> = BTreeMap::new();
        for entry in ready.happened.on_field(field.id(), what).filter(|e| acres > 0.0 && counts(e)) {
            let cuttings = field.cuttings.iter().filter(|cut| cut.day < entry.date).count();
            let grazings = field.grazed.iter().filter(|grazed| grazed.first < entry.date).count();
            windows.entry((seasons.on(entry.date), cuttings, grazings)).or_default().push(entry);
        }
        Laid { acres, windows }
    }

    /// Those of them that went on in some days.
    #[must_use]
    pub fn within(&self, (first, last): (Date, Date)) -> Laid<'a> {
        self.only(|e| first <= e.date && e.date <= last)
    }

    /// Some of them.
    #[must_use]
    pub fn only(&self, counts: impl Fn(&Entry) -> bool) -> Laid<'a> {
        let inside =
            |entries: &Vec<&'a Entry>| -> Vec<&'a Entry> { entries.iter().copied().filter(|e| counts(e)).collect() };
        let windows = self.windows.iter().map(|(window, entries)| (window.clone(), inside(entries)));
        Laid { acres: self.acres, windows: windows.filter(|(_, entries)| !entries.is_empty()).collect() }
    }

    /// Every entry with the season that was open on its day.
    pub fn entries(&self) -> impl Iterator<Item = (Option<&str>, &'a Entry)> {
        self.windows.iter().flat_map(|((season, _, _), entries)| {
            entries.iter().map(move |entry| (season.as_ref().map(|(_, name)| name.as_str()), *entry))
        })
    }

    /// The most that lies on any acre of what a ton of each entry holds.
    #[must_use]
    pub fn densest(&self, holds: &dyn Fn(&Entry) -> f64) -> f64 {
        self.densest_of(&|entry| self.rate(entry) * holds(entry))
    }

    /// The most that lies on any acre of what each entry put on its own acres.
    #[must_use]
    pub fn densest_of(&self, put: &dyn Fn(&Entry) -> f64) -> f64 {
        let most = |entries: &[&Entry], join: fn(f64, f64) -> f64| entries.iter().map(|e| put(e)).fold(0.0, join);
        if self.fits(self.entries().map(|(_, e)| e)) {
            return self.windows.values().map(|w| most(w, f64::max)).fold(0.0, f64::max);
        }
        let of = |window: &Vec<&Entry>| {
            most(window, if self.fits(window.iter().copied()) { f64::max } else { |sum, one| sum + one })
        };
        self.windows.values().map(of).fold(0.0, |sum, window| sum + window)
    }

    /// Tons per acre of one entry on its own acres.
    #[must_use]
    pub fn rate(&self, entry: &Entry) -> f64 {
        entry.amount.tons() / self.covered(entry)
    }

    /// How often the field was gone over.
    #[must_use]
    pub fn trips(&self) -> usize {
        let days = |window: &Vec<&Entry>| {
            let days: BTreeSet<Date> = window.iter().map(|e| e.date).collect();
            if self.fits(window.iter().copied()) { 1 } else { days.len() }
        };
        self.windows.values().map(days).sum()
    }

    /// Acres that were done, where it is a part of the field.
    #[must_use]
    pub fn part(&self) -> Option<f64> {
        let done: f64 = self.entries().map(|(_, e)| self.covered(e)).sum();
        (done > 0.0 && done * FITS < self.acres).then_some(done)
    }

    /// Acres that an entry covered; those of the field where they are as good as
    /// the whole.
    #[must_use]
    pub fn covered(&self, entry: &Entry) -> f64 {
        entry.acres.filter(|acres| acres * FITS < self.acres).unwrap_or(self.acres)
    }

    fn fits<'e>(&self, entries: impl Iterator<Item = &'e Entry>) -> bool {
        entries.map(|e| self.covered(e)).sum::<f64>() <= self.acres * FITS
    }
}
