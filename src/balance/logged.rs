//! What the log put on a field, per acre of its densest ground: each amount a step
//! that rests on the log's line.
//!
//! Fertilizer lies on the litter, wherever that went, and so does hay that is fed: what
//! they put on is added, but for what surely lies on other ground: where every entry says its
//! own, what lies on one acre counts. On the ground that is left of a window that was begun lies all but the
//! litter of that window.
//!
//! The log is one record over all years. What a limit counts of it is asked by the days
//! of the limit.

use crate::balance::desk::Desk;
use crate::balance::periods::{Span, days_in_words, plan_days};
use crate::balance::supply::Supplied;
use crate::balance::{Counts, Npk, Op, RestGround, StepId, UndrawnPart, Window, begun, fed_hay};
use crate::check::Laid;
use crate::findings::Origin;
use crate::record::{Entry, What};
use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet};

/// What the log put on in all, by what is counted. Nothing is nowhere.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PutOn {
    steps: Vec<(Counts, StepId)>,
    /// What the analysis of a logged lot does not tell.
    untold: Vec<Counts>,
}

impl PutOn {
    /// So much on an acre of the densest ground; none where nothing was logged.
    #[must_use]
    pub fn get(&self, counted: Counts) -> Option<StepId> {
        let of = |counted| self.steps.iter().find(|(own, _)| *own == counted).map(|(_, step)| *step);
        of(counted).or_else(|| of(counted.whole()))
    }

    /// Whether the analyses of all that was logged tell it.
    #[must_use]
    pub fn told(&self, counted: Counts) -> bool {
        !self.untold.contains(&counted)
    }
}

/// Which ground of a field is asked about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum On {
    /// The ground that got most.
    Densest,
    /// The ground that is left of a window that was begun.
    Rest,
}

/// Some entries, each with what it put on its own acres, and the most that they put on one acre.
type Lying<'l, 'a> = (&'l Laid<'a>, &'l [(&'a Entry, StepId)], StepId);

/// Entries by their ids, and what of them is counted.
type Asked<'a> = (Counts, Vec<&'a str>);

/// What the log put on a field, over all years.
pub(super) struct Logged<'a> {
    pub(super) laid: Laid<'a>,
    /// Its spreadable acres.
    pub(super) acres: f64,
    /// What an entry put on its own acres, by its id; none where the analysis of its
    /// lot does not tell.
    put: BTreeMap<(&'a str, Counts), Option<StepId>>,
    /// What was asked before.
    densest: BTreeMap<Asked<'a>, StepId>,
    fertilizer: Fertilized<'a>,
    /// What was added up before.
    both: BTreeMap<(StepId, StepId), StepId>,
    /// What is left of a window that was begun.
    pub(super) rest: Option<RestGround>,
    /// What is done of the field in such a window, where nobody knows which ground is left.
    pub(super) undrawn: Option<UndrawnPart>,
}

impl<'a> Logged<'a> {
    /// Every entry of the log on a field of so many acres; of which nothing is known to be left.
    pub(super) fn of(desk: &Desk<'a>, acres: f64) -> Logged<'a> {
        let laid = Laid::of(desk.ready, desk.field, desk.book, acres, (Date::MIN, Date::MAX));
        let (put, densest, both) = Default::default();
        Logged { laid, acres, put, densest, fertilizer: Fertilized::new(desk, acres), both, rest: None, undrawn: None }
    }

    /// The days of every entry that put some of it on.
    pub(super) fn dates(&self, counted: Counts) -> impl Iterator<Item = Date> {
        self.laid.entries().map(|(_, entry)| entry).chain(self.fertilized(counted)).map(|entry| entry.date)
    }

    /// The days of every entry that put nitrogen or phosphate on.
    pub(super) fn all_dates(&self) -> BTreeSet<Date> {
        [Counts::N, Counts::P2o5].into_iter().flat_map(|counted| self.dates(counted)).collect()
    }

    /// Whether all that went on the first open day lies beside what is left to do in every window
    /// that is open on it: then nothing goes on at once with it.
    pub(super) fn lies_beside(&self, desk: &Desk<'_>, open: &[Window]) -> bool {
        let (Some(rest), _) = begun::begun(desk, (&self.laid, self.acres), open) else { return false };
        let day = plan_days(desk.ready).0;
        let is_open = |(_, window): &(usize, &Window)| window.first <= day && day <= window.last;
        let own = open.iter().enumerate().filter(is_open).all(|(at, _)| rest.windows.contains(&at));
        let litter = self.laid.entries().map(|(_, entry)| entry);
        let all = litter.chain(Counts::ALL.into_iter().flat_map(|counted| self.fertilized(counted)));
        own && all.filter(|entry| entry.date == day).all(|entry| rest.is_beside(entry))
    }

    /// The entries of fertilizer and fed hay that put some of it on.
    pub(super) fn fertilized(&self, counted: Counts) -> impl Iterator<Item = &'a Entry> {
        self.fertilizer.laid.entries().map(|(_, entry)| entry).filter(move |entry| brings(entry, counted))
    }

    /// Pounds that each entry of fertilizer and fed hay put on, of those that put some on.
    pub(super) fn besides_litter(&mut self, desk: &mut Desk<'_>, counted: Counts) -> Vec<(&'a Entry, f64)> {
        let entries: Vec<&'a Entry> = self.fertilized(counted).collect();
        let pounds = |entry: &'a Entry| {
            let on = self.fertilizer.of_entry(desk, entry, counted);
            (entry, desk.notes.value(on) * self.fertilizer.laid.covered(entry))
        };
        entries.into_iter().map(pounds).collect()
    }

    /// Writes down what every entry of some days put on its own acres.
    pub(super) fn write(&mut self, desk: &mut Desk<'_>, supplied: &[Supplied<'_>], days: Span, counts: &[Counts]) {
        let laid = self.laid.within(days);
        for (season, entry) in laid.entries() {
            self.write_entry(desk, supplied, (season, entry), counts);
        }
    }

    /// What an entry put on its own acres. Nitrogen counts as in the season that was
    /// open when it went on.
    fn write_entry(
        &mut self,
        desk: &mut Desk<'_>,
        supplied: &[Supplied<'_>],
        (season, entry): (Option<&str>, &'a Entry),
        counts: &[Counts],
    ) {
        let id = entry.id.as_str();
        let rate = match self.put.get(&(id, Counts::Tons)) {
            Some(Some(rate)) => *rate,
            _ => rate(desk, &self.laid, entry),
        };
        self.put.insert((id, Counts::Tons), Some(rate));
        let own = Supplied::of_entry(supplied, entry);
        for counted in counts.iter().copied() {
            if self.put.contains_key(&(id, counted)) {
                continue;
            }
            let per_ton = own.and_then(|own| match counted {
                Counts::N => Some(own.n_in(season)),
                _ => own.supply.of(counted),
            });
            let what = format!("{} that it put on", counted.word());
            let step = per_ton.map(|per_ton| desk.notes.reckon(what, "lb/ac", Op::Times, &[rate, per_ton]));
            self.put.insert((id, counted), step);
        }
    }

    /// What an entry put on its own acres, where that was written down.
    pub(super) fn of_entry(&self, entry: &Entry, counted: Counts) -> Option<StepId> {
        self.put.get(&(entry.id.as_str(), counted)).copied().flatten()
    }

    /// What all entries of some days put on.
    pub(super) fn in_all(&mut self, desk: &mut Desk<'_>, supplied: &[Supplied<'_>], days: Span, on: On) -> PutOn {
        let counts: Vec<Counts> = Counts::ALL.into_iter().chain(usable_apart(supplied)).collect();
        self.write(desk, supplied, days, &counts);
        let laid = self.laid.within(days);
        let untold = |counted: &Counts| laid.entries().any(|(_, entry)| self.of_entry(entry, *counted).is_none());
        PutOn {
            untold: counts.iter().copied().filter(untold).collect(),
            steps: counts
                .into_iter()
                .filter_map(|counted| Some((counted, self.on_ground(desk, supplied, days, (counted, on))?)))
                .collect(),
        }
    }

    /// Of what all entries of some days put on, all but the litter since a day: fertilizer,
    /// and litter before it.
    pub(super) fn beside(
        &mut self,
        desk: &mut Desk<'_>,
        supplied: &[Supplied<'_>],
        (first, last): Span,
        since: Date,
    ) -> Npk<f64> {
        let before = since.yesterday().unwrap_or(since).min(last);
        let mut on = |counted| {
            let asked = (counted, On::Densest);
            let litter = self.litter_of(desk, supplied, (first, before), asked);
            let litter = self.litter_on(desk, (first, before), asked, &litter).filter(|_| first < since);
            let bags = self.fertilizer.of(desk, (first, last), counted);
            let bought = self.fertilizer.on(desk, (first, last), counted, &bags);
            litter.into_iter().chain(bought).map(|step| desk.notes.value(step)).sum()
        };
        let apart = usable_apart(supplied).next().is_some();
        let [p2o5, k2o] = if apart { Counts::USABLE } else { [Counts::P2o5, Counts::K2o] };
        Npk { n: on(Counts::N), p2o5: on(p2o5), k2o: on(k2o) }
    }

    /// The most on any acre of what the entries of some days put on, litter and
    /// fertilizer; none where nothing was logged in them.
    pub(super) fn on(
        &mut self,
        desk: &mut Desk<'_>,
        supplied: &[Supplied<'_>],
        days: Span,
        counted: Counts,
    ) -> Option<StepId> {
        self.on_ground(desk, supplied, days, (counted, On::Densest))
    }

    /// The same on some ground of the field.
    pub(super) fn on_ground(
        &mut self,
        desk: &mut Desk<'_>,
        supplied: &[Supplied<'_>],
        days: Span,
        (counted, on): (Counts, On),
    ) -> Option<StepId> {
        let litter = self.litter_of(desk, supplied, days, (counted, on));
        let bought = self.fertilizer.of(desk, days, counted);
        let what = |by: &str| format!("{} that {by} put on", counted.word());
        let on = self.litter_on(desk, days, (counted, on), &litter);
        let (litter_laid, bought_laid) = (self.laid.within(days), self.fertilizer.laid.within(days));
        match (on, self.fertilizer.on(desk, days, counted, &bought)) {
            (Some(on), Some(bags)) => {
                let of = [(&litter_laid, &litter[..], on), (&bought_laid, &bought[..], bags)];
                Some(self.together(desk, counted, of, &|| what("litter and all else")))
            }
            (on, bags) => on.or(bags),
        }
    }

    /// What litter and all else put on one acre, of the entries with what each put on its own and
    /// the most of either.
    fn together(
        &mut self,
        desk: &mut Desk<'_>,
        counted: Counts,
        [(litter, of_litter, on), (bags, of_bags, bought)]: [Lying<'_, 'a>; 2],
        what: &dyn Fn() -> String,
    ) -> StepId {
        let one_acre = || {
            let asked = |of: &[(&'a Entry, StepId)], entry: &Entry| of.iter().any(|(own, _)| own.id == entry.id);
            let both = litter.only(|e| asked(of_litter, e)).with(&bags.only(|e| asked(of_bags, e)))?;
            Some((both, [of_litter, of_bags].concat()))
        };
        if let Some(known) = self.both.get(&(on, bought)) {
            return *known;
        }
        let step = match one_acre() {
            Some((both, of)) => desk.notes.densest(what(), counted.unit(), &both, &of),
            None => desk.notes.reckon(what(), counted.unit(), Op::Sum, &[on, bought]),
        };
        *self.both.entry((on, bought)).or_insert(step)
    }

    /// The litter of some days that may lie there, with what each put on its own acres.
    fn litter_of(
        &mut self,
        desk: &mut Desk<'_>,
        supplied: &[Supplied<'_>],
        days: Span,
        (counted, on): (Counts, On),
    ) -> Vec<(&'a Entry, StepId)> {
        self.write(desk, supplied, days, &[counted]);
        let laid = self.laid.within(days);
        let mine = laid.entries().map(|(_, entry)| entry).filter(|entry| self.may_lie(entry, on));
        mine.filter_map(|entry| Some((entry, self.of_entry(entry, counted)?))).collect()
    }

    /// The most on any acre of what the litter of some days put on.
    fn litter_on(
        &mut self,
        desk: &mut Desk<'_>,
        days: Span,
        (counted, on): (Counts, On),
        of: &[(&'a Entry, StepId)],
    ) -> Option<StepId> {
        let laid = self.laid.within(days);
        let dates = || of.iter().map(|(entry, _)| entry.date);
        let span = (dates().min()?, dates().max()?);
        let ground = if on == On::Rest { " the ground that is left" } else { "" };
        let what = || format!("{} that the log put on{ground}, {}", counted.word(), days_in_words(span));
        densest(desk, &mut self.densest, (&laid, counted), of, &what)
    }

    /// The most on any acre of what one day put on, some of its litter and all fertilizer,
    /// with the entries that brought it. Hay is fed over weeks, so it is no part of this.
    pub(super) fn at_once(
        &mut self,
        desk: &mut Desk<'_>,
        day: Date,
        (counted, on): (Counts, On),
        counts: &dyn Fn(&Entry) -> bool,
    ) -> (Option<StepId>, Vec<&'a Entry>) {
        let litter = self.laid.within((day, day)).only(|entry| counts(entry) && self.may_lie(entry, on));
        let of: Vec<(&'a Entry, StepId)> =
            litter.entries().filter_map(|(_, entry)| Some((entry, self.of_entry(entry, counted)?))).collect();
        let what = |by: &str| format!("{} that {by} put on, on {day}", counted.word());
        let on = densest(desk, &mut self.densest, (&litter, counted), &of, &|| what("litter"));
        let bags = self.fertilizer.laid.within((day, day));
        let bags = bags.only(|entry| entry.what == What::Fertilizer && brings(entry, counted));
        let bagged: Vec<(&'a Entry, StepId)> =
            bags.entries().map(|(_, entry)| (entry, self.fertilizer.of_entry(desk, entry, counted))).collect();
        let bought = densest(desk, &mut self.fertilizer.densest, (&bags, counted), &bagged, &|| what("fertilizer"));
        let all = match (on, bought) {
            (Some(on), Some(bought)) => {
                let parts = [(&litter, &of[..], on), (&bags, &bagged[..], bought)];
                Some(self.together(desk, counted, parts, &|| what("litter and fertilizer")))
            }
            (on, bought) => on.or(bought),
        };
        (all, of.into_iter().chain(bagged).map(|(entry, _)| entry).collect())
    }

    /// Whether a spreading may lie on some ground of the field.
    fn may_lie(&self, entry: &Entry, on: On) -> bool {
        on == On::Densest || self.rest.as_ref().is_none_or(|rest| !rest.is_beside(entry))
    }

    /// The ids of the entries of some days.
    pub(super) fn ids(&self, days: Span) -> Vec<&'a str> {
        let (litter, bought) = (self.laid.within(days), self.fertilizer.laid.within(days));
        litter.entries().chain(bought.entries()).map(|(_, entry)| entry.id.as_str()).collect()
    }
}

/// What is counted apart where some litter's phosphate and potash count less than all toward
/// the need.
fn usable_apart(supplied: &[Supplied<'_>]) -> impl Iterator<Item = Counts> {
    let apart = supplied.iter().any(|own| own.supply.usable != own.supply.per_ton);
    Counts::USABLE.into_iter().filter(move |_| apart)
}

/// Fertilizer and fed hay that the log shows on a field, over all years.
struct Fertilized<'a> {
    laid: Laid<'a>,
    /// What an entry put on its own acres, by its id.
    put: BTreeMap<(&'a str, Counts), StepId>,
    /// What was asked before.
    densest: BTreeMap<Asked<'a>, StepId>,
}

impl<'a> Fertilized<'a> {
    fn new(desk: &Desk<'a>, acres: f64) -> Fertilized<'a> {
        let laid = Laid::besides_litter(desk.ready, desk.field, desk.book, acres);
        Fertilized { laid, put: BTreeMap::new(), densest: BTreeMap::new() }
    }

    /// The most on any acre of what the fertilizer of some days put on.
    fn on(&mut self, desk: &mut Desk<'_>, days: Span, counted: Counts, of: &[(&'a Entry, StepId)]) -> Option<StepId> {
        let laid = self.laid.within(days).only(|entry| brings(entry, counted));
        let hay = of.iter().any(|(entry, _)| entry.what == What::FeedHay);
        let by = if hay { "fertilizer and fed hay" } else { "fertilizer" };
        let what = || format!("{} that {by} put on", counted.word());
        densest(desk, &mut self.densest, (&laid, counted), of, &what)
    }

    /// Those of some days that put some of it on, each with what it put on its own acres.
    fn of(&mut self, desk: &mut Desk<'_>, days: Span, counted: Counts) -> Vec<(&'a Entry, StepId)> {
        let laid = self.laid.within(days).only(|entry| brings(entry, counted));
        laid.entries().map(|(_, entry)| (entry, self.of_entry(desk, entry, counted))).collect()
    }

    fn of_entry(&mut self, desk: &mut Desk<'_>, entry: &'a Entry, counted: Counts) -> StepId {
        let acres = self.laid.covered(entry);
        *self.put.entry((entry.id.as_str(), counted)).or_insert_with(|| match entry.what {
            What::FeedHay => fed_hay::brought(desk, entry, counted, acres),
            _ => in_fertilizer(desk, entry, counted),
        })
    }
}

/// The most on any acre of what some entries put on; written down once for the same
/// entries, and not at all for one alone.
fn densest<'a>(
    desk: &mut Desk<'_>,
    known: &mut BTreeMap<Asked<'a>, StepId>,
    (laid, counted): (&Laid<'a>, Counts),
    of: &[(&'a Entry, StepId)],
    what: &dyn Fn() -> String,
) -> Option<StepId> {
    match of {
        [] => None,
        [(_, one)] => Some(*one),
        _ => {
            let asked = (counted, of.iter().map(|(entry, _)| entry.id.as_str()).collect());
            let step = || desk.notes.densest(what(), counted.unit(), laid, of);
            Some(*known.entry(asked).or_insert_with(step))
        }
    }
}

/// Whether an entry of fertilizer or fed hay puts some of it on.
fn brings(entry: &Entry, counted: Counts) -> bool {
    match entry.what {
        What::FeedHay => matches!(counted.whole(), Counts::N | Counts::TotalN | Counts::P2o5 | Counts::K2o),
        _ => percent_of(entry, counted) > 0.0,
    }
}

/// Percent of a nutrient in an entry of fertilizer; none of what no bag is sold by.
fn percent_of(entry: &Entry, counted: Counts) -> f64 {
    let [n, p2o5, k2o] = entry.grade.map_or([0.0; 3], |grade| grade.0);
    match counted {
        Counts::N | Counts::TotalN => n,
        Counts::P2o5 | Counts::UsableP2o5 => p2o5,
        Counts::K2o | Counts::UsableK2o => k2o,
        Counts::Zinc | Counts::Copper | Counts::Tons | Counts::LitterN => 0.0,
    }
}

/// What one entry of fertilizer put on an acre of a nutrient: all of it counts at once.
fn in_fertilizer(desk: &mut Desk<'_>, entry: &Entry, counted: Counts) -> StepId {
    let line = || Origin::Line(entry.place.clone());
    let (on, word) = (entry.date, counted.word());
    let rate = desk.notes.given(format!("fertilizer spread on {on}"), entry.rate.unwrap_or_default(), "lb/ac", line());
    let share = desk.notes.given(format!("share of {word} in it"), percent_of(entry, counted) / 100.0, "", line());
    desk.notes.reckon(format!("{word} in fertilizer of {on}"), "lb/ac", Op::Times, &[rate, share])
}

/// Tons per acre of one entry on its own acres.
fn rate(desk: &mut Desk<'_>, laid: &Laid<'_>, entry: &Entry) -> StepId {
    let line = Origin::Line(entry.place.clone());
    let covered = laid.covered(entry);
    let by = if entry.acres == Some(covered) { line.clone() } else { Origin::Measured };
    let tons = desk.notes.given(format!("litter spread on {}", entry.date), entry.amount.tons(), "tons", line);
    let acres = desk.notes.given("ground that it went on", covered, "ac", by);
    desk.notes.reckon(format!("litter spread on {}", entry.date), "tons/ac", Op::Over, &[tons, acres])
}
