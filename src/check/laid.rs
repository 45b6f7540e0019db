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
//! An entry without acres covered the whole field. Where an entry says its ground, nothing
//! of this is asked: it lies on what its ground overlaps, and on no other ground; entries
//! that do not say theirs lie on or beside it as above. The seam at which two jobs meet
//! ([`DoneGround::shared_but_seams`]) is told, and holds no whole field to what lies on it; what
//! was done is judged with it.
//!
//! Of a field that was put together of others, two entries on one of those lie on each other,
//! unless the ground of both says otherwise, as nobody knows any more how large it was; entries
//! on two of them never do.
//!
//! Lives here: which entries lie
//! beside each other. Never here: what a ton holds.

use crate::check::done_parts::DoneGround;
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

/// The ids of the fields that a field was put together of, and the one of them that is meant.
type LaidPart<'a> = (Vec<&'a str>, &'a str);

/// The spreadings of one field in some days.
#[derive(Clone, Debug)]
pub struct Laid<'a> {
    acres: f64,
    field: &'a Field,
    windows: BTreeMap<LaidWindow, Vec<&'a Entry>>,
    /// Where entries lie that say their ground.
    ground: &'a DoneGround,
    /// Whether the seams between jobs count as ground that got two of them.
    seams: bool,
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
            windows.entry(window_on(field, &seasons, entry.date)).or_default().push(entry);
        }
        Laid { acres, field, windows, ground: &field.done, seams: ready.is_past }
    }

    /// Those of them that went on in some days.
    #[must_use]
    pub fn within(&self, (first, last): (Date, Date)) -> Laid<'a> {
        self.only(|e| first <= e.date && e.date <= last)
    }

    /// Some of them.
    #[must_use]
    pub fn only(&self, counts: impl Fn(&Entry) -> bool) -> Laid<'a> {
        self.only_of(&|entry| counts(entry))
    }

    fn only_of(&self, counts: &dyn Fn(&'a Entry) -> bool) -> Laid<'a> {
        let inside =
            |entries: &Vec<&'a Entry>| -> Vec<&'a Entry> { entries.iter().copied().filter(|e| counts(e)).collect() };
        let windows = self.windows.iter().map(|(window, entries)| (window.clone(), inside(entries)));
        let windows = windows.filter(|(_, entries)| !entries.is_empty()).collect();
        Laid { windows, ..*self }
    }

    /// Both, where every entry says its ground: what lies on other ground is not added. None where
    /// one does not, or names a field that this one was put together of.
    #[must_use]
    pub fn with(&self, other: &Laid<'a>) -> Option<Laid<'a>> {
        let all = || self.entries().chain(other.entries()).map(|(_, entry)| entry);
        if !all().all(|entry| self.ground.knows(entry) && self.part_of(entry).is_none()) {
            return None;
        }
        let mut both = self.only(|_| true);
        for (window, entries) in &other.windows {
            both.windows.entry(window.clone()).or_default().extend(entries);
        }
        Some(both)
    }

    /// The entries that went on in the window in which a day lies.
    #[must_use]
    pub fn in_window_of(&self, day: Date, field: &Field, seasons: &OpenSeasons) -> Vec<&'a Entry> {
        self.windows.get(&window_on(field, seasons, day)).cloned().unwrap_or_default()
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
        let parts = self.parts();
        match parts.is_empty() {
            true => self.densest_on(None, put),
            false => parts.iter().map(|part| self.on(part).densest_on(Some(part), put)).fold(0.0, f64::max),
        }
    }

    /// The same on one part, of the entries that can lie there.
    fn densest_on(&self, part: Option<&LaidPart<'_>>, put: &dyn Fn(&Entry) -> f64) -> f64 {
        let windows: Vec<WindowLoad<'_>> = self.windows.values().map(|window| self.load(window, put)).collect();
        let all: Vec<&Entry> = self.entries().map(|(_, entry)| entry).collect();
        let beside = self.fits(&all);
        let on = |ids: &BTreeSet<String>| {
            let put = |window: &WindowLoad<'_>| {
                let on = window.on(ids);
                if beside { on } else { window.with(on) }
            };
            windows.iter().map(put).fold(0.0, |sum, put| sum + put)
        };
        let named = |ids: &BTreeSet<String>| self.naming(part, &all, ids).map(put).fold(0.0, |sum, put| sum + put);
        let on = |ids: &BTreeSet<String>| on(ids).max(named(ids));
        // Ground that no entry names.
        let most = on(&BTreeSet::new()).max(all.iter().map(|entry| put(entry)).fold(0.0, f64::max));
        self.shared().map(on).fold(most, f64::max)
    }

    /// Entries that lie on each other.
    fn shared(&self) -> impl Iterator<Item = &'a BTreeSet<String>> {
        let (all, seams) = (self.ground.shared(), self.seams);
        let wide: Vec<&BTreeSet<String>> = self.ground.shared_but_seams().filter(|_| !seams).collect();
        all.filter(move |_| seams).chain(wide)
    }

    /// The parts that entries name, each with the parts that were beside it then.
    fn parts(&self) -> BTreeSet<LaidPart<'a>> {
        self.entries().filter_map(|(_, entry)| self.part_of(entry)).collect()
    }

    /// The part of the field that an entry names. One that does not say how much of it was
    /// covered counts as on all of the field, and so on every part.
    fn part_of(&self, entry: &'a Entry) -> Option<LaidPart<'a>> {
        let named = entry.word("field");
        let everywhere = self.covered(entry) >= self.acres && !self.ground.knows(entry);
        if named.is_empty() || named == self.field.id() || everywhere {
            return None;
        }
        let all = self.field.written.parts_on(entry.date);
        all.contains(&named).then_some((all, named))
    }

    /// Without the entries on parts that lay beside one.
    fn on(&self, (all, named): &LaidPart<'_>) -> Laid<'a> {
        self.only_of(&|entry| self.part_of(entry).is_none_or(|(others, own)| others != *all || own == *named))
    }

    /// Of some entries those that name a part: all without ground of their own, and of the
    /// others those with some ids.
    fn naming<'e>(
        &self,
        part: Option<&'e LaidPart<'_>>,
        entries: &'e [&'a Entry],
        ids: &'e BTreeSet<String>,
    ) -> impl Iterator<Item = &'a Entry> {
        let there = move |entry: &&'a Entry| !self.ground.knows(entry) || ids.contains(&entry.id);
        let names = move |entry: &&'a Entry| part.is_some() && self.part_of(entry).as_ref() == part;
        entries.iter().copied().filter(there).filter(names)
    }

    /// What the entries of a window put on.
    fn load(&self, window: &[&'a Entry], put: &dyn Fn(&Entry) -> f64) -> WindowLoad<'a> {
        let (known, rest) = self.by_ground(window);
        let join: fn(f64, f64) -> f64 = if self.fits(&rest) { f64::max } else { |sum, one| sum + one };
        WindowLoad {
            known: known.iter().map(|entry| (entry.id.as_str(), put(entry))).collect(),
            rest: rest.iter().map(|entry| put(entry)).fold(0.0, join),
            beside: self.fits(window),
        }
    }

    /// The ground that got something, by what lies on it of what each entry put on its own
    /// acres: entries that fit lie side by side, all others on each other from one side.
    #[must_use]
    pub fn pieces(&self, put: &dyn Fn(&Entry) -> [f64; 3]) -> Vec<(f64, [f64; 3])> {
        // What lies at a seam is counted once.
        let beside = |entries: &[&'a Entry]| {
            let all = entries.iter().fold(0.0, |sum, e| sum + self.covered(e));
            let once = 1.0 - self.twice_at_seams(entries) / all;
            entries.iter().map(|e| (self.covered(e) * once, put(e))).collect::<Vec<_>>()
        };
        let all: Vec<&Entry> = self.entries().map(|(_, entry)| entry).collect();
        if self.side_by_side(&all) {
            return beside(&all);
        }
        let windows = self.windows.values().flat_map(|window| match self.side_by_side(window) {
            true => vec![beside(window)],
            false => window.iter().map(|entry| beside(&[*entry])).collect(),
        });
        let layers: Vec<Vec<(f64, [f64; 3])>> = windows.collect();
        let ends = layers.iter().flat_map(|layer| {
            layer.iter().scan(0.0, |at, (acres, _)| {
                *at += acres;
                Some(*at)
            })
        });
        let mut ends: Vec<f64> = ends.map(|end: f64| end.min(self.acres)).collect();
        ends.sort_by(f64::total_cmp);
        ends.dedup();
        let at = |layer: &[(f64, [f64; 3])], from: f64| {
            let mut end = 0.0;
            let here = layer.iter().find(|(acres, _)| {
                end += acres;
                end > from
            });
            here.map_or([0.0; 3], |(_, on)| *on)
        };
        let starts = std::iter::once(0.0).chain(ends.iter().copied());
        let piece = |(from, to): (f64, &f64)| {
            let on = layers.iter().map(|layer| at(layer, from));
            (to - from, on.fold([0.0; 3], |sum, on| [0, 1, 2].map(|i| sum[i] + on[i])))
        };
        starts.zip(&ends).map(piece).collect()
    }

    /// Whether no ground got two of some entries, as far as the log tells.
    fn side_by_side(&self, entries: &[&'a Entry]) -> bool {
        let parts: Vec<LaidPart<'a>> = entries.iter().filter_map(|entry| self.part_of(entry)).collect();
        let twice = parts.iter().enumerate().any(|(at, part)| parts[..at].contains(part));
        if twice && !entries.iter().all(|entry| self.ground.knows(entry)) {
            return false;
        }
        let alone = entries.iter().map(|entry| self.covered(entry)).fold(0.0, |sum, acres| sum + acres);
        let alone = alone - self.twice_at_seams(entries);
        alone <= self.acres * FITS && alone <= self.together(entries) * FITS
    }

    /// Acres that some entries cover more than once at their seams, where those do not count.
    fn twice_at_seams(&self, entries: &[&Entry]) -> f64 {
        if self.seams { 0.0 } else { self.ground.twice_at_seams(entries) }
    }

    /// Tons per acre of one entry on its own acres.
    #[must_use]
    pub fn rate(&self, entry: &Entry) -> f64 {
        entry.amount.tons() / self.covered(entry)
    }

    /// How often the field was gone over.
    #[must_use]
    pub fn trips(&self) -> usize {
        let parts = self.parts();
        match parts.is_empty() {
            true => self.trips_on(None),
            false => parts.iter().map(|part| self.on(part).trips_on(Some(part))).max().unwrap_or(0),
        }
    }

    /// The same on one part, of the entries that can lie there.
    fn trips_on(&self, part: Option<&LaidPart<'_>>) -> usize {
        let days = |window: &[&Entry]| window.iter().map(|e| e.date).collect::<BTreeSet<Date>>().len();
        let of = |window: &Vec<&'a Entry>| {
            let (known, rest) = self.by_ground(window);
            let on = |ids: &BTreeSet<String>| {
                days(&known.iter().copied().filter(|e| ids.contains(&e.id)).collect::<Vec<_>>())
            };
            let over = self.ground.shared_but_seams().map(on).max().unwrap_or(0).max(usize::from(!known.is_empty()));
            let rest_over = if self.fits(&rest) { usize::from(!rest.is_empty()) } else { days(&rest) };
            let named = |ids: &BTreeSet<String>| days(&self.naming(part, window, ids).collect::<Vec<_>>());
            let named = self.ground.shared_but_seams().map(named).fold(named(&BTreeSet::new()), usize::max);
            let all = if self.fits(window) { over.max(rest_over) } else { over + rest_over };
            all.max(named)
        };
        self.windows.values().map(of).sum()
    }

    /// Acres that were done, where it is a part of the field.
    #[must_use]
    pub fn part(&self) -> Option<f64> {
        let all: Vec<&Entry> = self.entries().map(|(_, e)| e).collect();
        // Those that name one part lie on each other: the widest covers what all of them cover.
        let wider = |one: &Entry, than: &Entry| (self.covered(one), &one.id) > (self.covered(than), &than.id);
        let same = |one: &'a Entry, other: &'a Entry| one.id != other.id && self.part_of(one) == self.part_of(other);
        let within = |e: &&'a Entry| {
            let unknown = self.part_of(e).is_some() && !self.ground.knows(e);
            unknown && all.iter().any(|other| same(e, other) && wider(other, e))
        };
        let done = self.together(&all.iter().copied().filter(|e| !within(e)).collect::<Vec<_>>());
        (done > 0.0 && done * FITS < self.acres).then_some(done)
    }

    /// Acres that an entry covered; those of the field where they are as good as
    /// the whole.
    #[must_use]
    pub fn covered(&self, entry: &Entry) -> f64 {
        entry.acres.filter(|acres| acres * FITS < self.acres).unwrap_or(self.acres)
    }

    /// Acres that some entries cover: those of ground that is known once, however many lie on it.
    fn together(&self, entries: &[&Entry]) -> f64 {
        let (known, rest) = self.by_ground(entries);
        // One of them may lie where no litter may go, and covers no spreadable ground.
        let known = known.iter().map(|e| self.covered(e)).fold(self.ground.together(&known), f64::max);
        rest.iter().map(|e| self.covered(e)).fold(known, |sum, acres| sum + acres)
    }

    /// Entries that say their ground, and the others.
    fn by_ground<'e>(&self, entries: &[&'e Entry]) -> (Vec<&'e Entry>, Vec<&'e Entry>) {
        entries.iter().copied().partition(|entry| self.ground.knows(entry))
    }

    /// Whether some entries can lie beside each other on the field.
    fn fits(&self, entries: &[&Entry]) -> bool {
        self.together(entries) <= self.acres * FITS
    }
}

fn window_on(field: &Field, seasons: &OpenSeasons, day: Date) -> LaidWindow {
    let cuttings = field.cuttings.iter().filter(|cut| cut.day < day).count();
    let grazings = field.grazed.iter().filter(|grazed| grazed.first < day).count();
    (seasons.on(day), cuttings, grazings)
}

/// What the entries of one window put on.
struct WindowLoad<'a> {
    /// Those that say their ground, by id.
    known: Vec<(&'a str, f64)>,
    /// All others, on the ground of theirs that got most.
    rest: f64,
    /// Whether the others can lie beside those that say their ground.
    beside: bool,
}

impl WindowLoad<'_> {
    /// What those put on that are among these ids.
    fn on(&self, ids: &BTreeSet<String>) -> f64 {
        self.known.iter().filter(|(id, _)| ids.contains(*id)).fold(0.0, |sum, (_, put)| sum + put)
    }

    /// That with what the others may put on the same ground.
    fn with(&self, on: f64) -> f64 {
        if self.beside { on.max(self.rest) } else { on + self.rest }
    }
}
