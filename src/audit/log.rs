//! What the log put on a field, counted again: the densest ground that its entries
//! can make, and the trips. The rule stands in DEVELOPERS.md.

use crate::audit::period::open_on;
use crate::audit::spots::{FieldSpots, Spots};
use crate::check::{Contents, Field, Lot, Ready};
use crate::farm::Analysis;
use crate::record::What;
use crate::tables::{Book, Scope, Season, Sourced, topic};
use crate::units::{Percent, Quantity};
use jiff::civil::Date;
use std::borrow::Cow;
use std::cell::LazyCell;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Acres that are two in a hundred more than a field's are still the field's.
const WHOLE: f64 = 1.02;

/// No more than this share of a field's spots can lie at seams: the 5 % of the rule, and what so
/// many spots can miss by.
const SEAM: f64 = 0.06;

/// What log and plan put on, against what one limit allows.
pub(super) struct LimitLoad {
    /// How the two numbers are joined in a sentence.
    pub(super) what: String,
    /// The day of the last entry of those days that it counts.
    pub(super) last: Option<Date>,
    pub(super) logged: f64,
    pub(super) planned: f64,
    pub(super) allowed: f64,
}

/// A spreading of the log.
#[derive(Clone, Debug)]
pub(super) struct LoggedSpread {
    pub(super) id: String,
    pub(super) lot: String,
    pub(super) date: Date,
    /// The season that was open.
    pub(super) season: Option<String>,
    /// Tons per acre on its own acres; of fertilizer, pounds.
    pub(super) rate: f64,
    /// Percent of nitrogen, phosphate and potash in fertilizer.
    grade: [f64; 3],
    /// Percent of all its nitrogen, available or not.
    pub(super) all_n: f64,
    /// Its own acres as a share of the field's.
    share: f64,
    /// The spots of the field under it, where it says its ground.
    spots: Option<Spots>,
    /// The same without the seams between jobs, at which the field was not gone over twice.
    wide: Option<Spots>,
    /// The field that it names, of those that were put together into this one since, with
    /// their last day.
    part: Option<(Date, String)>,
    window: LogWindow,
}

/// Season, year of its opening, cuttings and grazings before: what is the same in all of these
/// is one window.
pub(super) type LogWindow = (Option<String>, i16, usize, usize);

/// The window of a field that a day lies in.
pub(super) fn window_on(field: &Field, day: Date, ready: &Ready, book: &Book<'_>) -> LogWindow {
    Seasons::of(field, ready, book).window_on(field, day)
}

type NamedSeasons = Vec<(String, Sourced<Season>)>;

/// The seasons of what grows on a field, and of what grew there until a day.
struct Seasons {
    now: NamedSeasons,
    before: Vec<(Date, NamedSeasons)>,
}

impl Seasons {
    fn of(field: &Field, ready: &Ready, book: &Book<'_>) -> Seasons {
        let grew = field.written.before.iter().map(|before| before.until.value);
        let before = grew.map(|until| (until, book.seasons(&then(field, until, ready)))).collect();
        Seasons { now: book.seasons(&ready.scope(field)), before }
    }

    fn window_on(&self, field: &Field, day: Date) -> LogWindow {
        let seasons = self.before.iter().find(|(until, _)| *until >= day).map_or(&self.now, |(_, seasons)| seasons);
        let open = seasons.iter().find(|(_, s)| open_on(s.value, day));
        // A season over New Year opened in the year before.
        let since = |s: Season| (day.month(), day.day()) < (s.opens.month, s.opens.day);
        let opened = open.map_or(0, |(_, s)| day.year() - i16::from(since(s.value)));
        let cut = field.cuttings.iter().filter(|c| c.day < day).count();
        let grazed = field.grazed.iter().filter(|g| g.first < day).count();
        (open.map(|(name, _)| name.clone()), opened, cut, grazed)
    }
}

/// The spreadings of a field in the days from first to last.
pub(super) fn spread(
    field: &Field,
    acres: f64,
    days: (Date, Date),
    ready: &Ready,
    book: &Book<'_>,
) -> Vec<LoggedSpread> {
    entries(What::Spread, (field, acres), days, ready, book)
}

/// Fertilizer and hay that was fed.
pub(super) const BESIDES: &[What] = &[What::Fertilizer, What::FeedHay];

/// What such days had of some kinds besides litter; fertilizer by the bag.
pub(super) fn besides(
    kinds: &[What],
    of: (&Field, f64),
    days: (Date, Date),
    ready: &Ready,
    book: &Book<'_>,
) -> Vec<LoggedSpread> {
    kinds.iter().flat_map(|what| entries(*what, of, days, ready, book)).collect()
}

/// Pounds of available nitrogen, phosphate and potash that a ton of hay leaves on the ground,
/// and of all its nitrogen, as hundredths, so that they go where the percents of a bag go.
fn of_hay(protein: Option<f64>, book: &Book<'_>) -> Option<([f64; 3], f64)> {
    let usual = || book.get(topic::HAY_PROTEIN, &Scope::new()).map(|f| f.value.get());
    let protein = Percent::new(protein.or_else(usual)?).ok()?;
    let classes = book.get(topic::HAY_CLASS, &Scope::new())?.value;
    let class = classes.class_of(protein)?;
    let used = book.get(topic::DUNG_N_AVAILABLE, &Scope::new()).map_or(1.0, |f| f.value.get());
    let left = |nutrient: &'static str| {
        let holds = book.get(topic::HAY_HOLDS, &Scope::new().class(class).nutrient(nutrient));
        let back = book.get(topic::HAY_RETURNED, &Scope::new().nutrient(nutrient)).map_or(1.0, |f| f.value.get());
        holds.map_or(0.0, |f| f.value.get() * back * 100.0)
    };
    let n = left("n");
    Some(([n * used, left("p2o5"), left("k2o")], n))
}

/// What something brings per acre where it lies.
type Brings<'a> = &'a dyn Fn(&LoggedSpread) -> f64;

/// What litter and all else put on the ground that got most of both, of what each brings per acre.
/// They lie on each other but where every one says its ground.
pub(super) fn with_besides(
    (litter, brings): (&[LoggedSpread], Brings<'_>),
    (besides, bag): (&[LoggedSpread], Brings<'_>),
) -> f64 {
    let of = |list: &[LoggedSpread], brings: Brings<'_>| -> Vec<LoggedSpread> {
        let put = list.iter().map(|s| LoggedSpread { rate: brings(s), ..s.clone() });
        put.filter(|s| s.rate > 0.0).collect()
    };
    let (on, bags) = (of(litter, brings), of(besides, bag));
    let most = |list: &[LoggedSpread]| densest(list, &|s| s.rate);
    let both = [&on[..], &bags[..]].concat();
    match both.iter().all(|s| s.says_ground() && s.part.is_none()) {
        true => most(&both),
        false => most(&on) + most(&bags),
    }
}

/// The last day of some spreadings.
pub(super) fn last_day<'a>(list: impl IntoIterator<Item = &'a LoggedSpread>) -> Option<Date> {
    list.into_iter().map(|s| s.date).max()
}

/// The days on which the log shows nitrogen or phosphate.
pub(super) fn dates(field: &Field, acres: f64, ready: &Ready, book: &Book<'_>) -> Vec<Date> {
    let (all, of) = ((Date::MIN, Date::MAX), (field, acres));
    let bags = besides(BESIDES, of, all, ready, book).into_iter().filter(|s| s.bag(0) > 0.0 || s.bag(1) > 0.0);
    spread(field, acres, all, ready, book).into_iter().chain(bags).map(|s| s.date).collect()
}

fn entries(
    what: What,
    (field, acres): (&Field, f64),
    (first, last): (Date, Date),
    ready: &Ready,
    book: &Book<'_>,
) -> Vec<LoggedSpread> {
    let seasons = Seasons::of(field, ready, book);
    let entries = ready.happened.on_field(field.id(), what);
    let strewn = LazyCell::new(|| FieldSpots::of(field));
    let at_seams = LazyCell::new(|| seams(field, ready, &strewn));
    let some = |e: &&crate::record::Entry| e.amount.0 > 0 || e.rate.is_some();
    let counted = entries.filter(|e| e.date >= first && e.date <= last && acres > 0.0).filter(some);
    let one = |e: &crate::record::Entry| {
        let window = seasons.window_on(field, e.date);
        let share = e.acres.map_or(1.0, |own| own / acres);
        let share = if share * WHOLE < 1.0 { share } else { 1.0 };
        let spots = e.ground.as_ref().and_then(|_| strewn.under(e, ready));
        let off_seams = |on: &Spots| on.iter().enumerate().map(|(at, on)| *on && !at_seams.contains(&at)).collect();
        let wide: Option<Spots> = spots.as_ref().map(|on| Arc::new(off_seams(on)));
        let everywhere = spots.as_ref().is_some_and(|spots| spots.iter().all(|under| *under));
        let (grade, all_n) = match what {
            What::FeedHay => of_hay(e.protein, book).unwrap_or_default(),
            _ => e.grade.map_or(([0.0; 3], 0.0), |grade| (grade.0, grade.0[0])),
        };
        LoggedSpread {
            id: e.id.clone(),
            lot: e.lot.as_ref().map(|l| l.value.clone()).unwrap_or_default(),
            date: e.date,
            rate: e.rate.unwrap_or(e.amount.tons() / (share * acres)),
            grade,
            all_n,
            share: if everywhere { 1.0 } else { share },
            part: joined(field, e).filter(|_| share < 1.0 || spots.is_some()),
            // What was done is judged with its seams; what may still go on is not held to them.
            spots: if ready.is_past { spots } else { wide.clone() },
            wide,
            season: window.0.clone(),
            window,
        }
    };
    counted.map(one).collect()
}

/// The spots of a field that are no more than the seam between jobs: those under exactly the
/// entries that the check calls a seam, as long as so few spots lie there; else none.
fn seams(field: &Field, ready: &Ready, strewn: &FieldSpots) -> BTreeSet<usize> {
    let ids: Vec<&BTreeSet<String>> = field.done.seams().map(|(ids, _)| ids).collect();
    if ids.is_empty() {
        return BTreeSet::new();
    }
    let own = ready.happened.entries.iter().filter(|entry| entry.field_id() == field.id());
    let all: Vec<(&str, Spots)> = own.filter_map(|e| Some((e.id.as_str(), strewn.under(e, ready)?))).collect();
    let spots = all.iter().map(|(_, spots)| spots.len()).max().unwrap_or(0);
    let over = |spot: usize| all.iter().filter(move |(_, on)| lies(on, spot)).map(|(id, _)| *id);
    let same = |spot: &usize| {
        ids.iter().any(|ids| over(*spot).collect::<BTreeSet<&str>>() == ids.iter().map(String::as_str).collect())
    };
    let small: BTreeSet<usize> = (0..spots).filter(same).collect();
    if small.len() as f64 <= SEAM * spots as f64 { small } else { BTreeSet::new() }
}

/// The old field that an entry names, where it ended on one day with others of which the field
/// was put together.
fn joined(field: &Field, entry: &crate::record::Entry) -> Option<(Date, String)> {
    let called = |before: &&crate::farm::Before| before.id.is_some() && before.until.value >= entry.date;
    let ended = field.written.before.iter().filter(called).map(|before| before.until.value).min()?;
    let with: Vec<&str> = field
        .written
        .before
        .iter()
        .filter(|before| before.until.value == ended)
        .filter_map(|before| before.id.as_ref().map(|id| id.value.as_str()))
        .collect();
    let own = entry.word("field");
    (with.len() > 1 && own != field.id() && with.contains(&own)).then(|| (ended, own.to_string()))
}

/// What questions about a field said on a day that lies before a change of it.
pub(super) fn then<'a>(field: &'a Field, day: Date, ready: &'a Ready) -> Scope<'a> {
    let later = || field.written.before.iter().filter(|before| before.until.value >= day);
    let forage = later().find_map(|before| before.forage.as_ref()).unwrap_or(&field.written.stand.forage);
    let usage = later().find_map(|before| before.usage.as_ref()).unwrap_or(&field.written.stand.usage);
    ready.scope(field).forage(&forage.value).usage(usage.value.key())
}

impl LoggedSpread {
    pub(super) fn window(&self) -> &LogWindow {
        &self.window
    }

    pub(super) fn says_ground(&self) -> bool {
        self.spots.is_some()
    }

    /// Pounds of a nutrient per acre that fertilizer put on.
    pub(super) fn bag(&self, nutrient: usize) -> f64 {
        self.rate * self.grade.get(nutrient).copied().unwrap_or(0.0) / 100.0
    }

    /// Its lot, with what a sample of its day or the last one before says of it; the
    /// first sample where none is as old.
    pub(super) fn of_lot<'a>(&self, ready: &'a Ready) -> Option<Cow<'a, Lot>> {
        let lot = ready.lot(&self.lot)?;
        let day = |analysis: &&Analysis| analysis.sampled.value;
        let older = lot.analyses.iter().filter(|analysis| analysis.sampled.value <= self.date).max_by_key(day);
        match older.or_else(|| lot.analyses.iter().min_by_key(day)) {
            Some(analysis) if lot.analyses.iter().len() > 1 => {
                let contents = Contents::Analysis(Box::new(analysis.clone()));
                Some(Cow::Owned(Lot { contents, ..lot.clone() }))
            }
            _ => Some(Cow::Borrowed(lot)),
        }
    }
}

/// The spreadings of one window.
#[derive(Default)]
struct WindowSpreads<'a> {
    /// Those that say their ground, each with the spots under it.
    known: Vec<(&'a LoggedSpread, &'a [bool])>,
    /// All others.
    rest: Vec<&'a LoggedSpread>,
}

impl WindowSpreads<'_> {
    /// The least share of the field that they can cover.
    fn share(&self) -> f64 {
        let widest = self.known.iter().map(|(s, _)| s.share).fold(0.0, f64::max);
        self.rest.iter().fold(widest, |sum, s| sum + s.share)
    }

    /// What those without ground of their own can put on one spot.
    fn rest(&self, brings: &dyn Fn(&LoggedSpread) -> f64) -> f64 {
        let each = self.rest.iter().map(|s| brings(s));
        let share: f64 = self.rest.iter().map(|s| s.share).sum();
        if share <= WHOLE { each.fold(0.0, f64::max) } else { each.fold(0.0, |sum, one| sum + one) }
    }
}

fn by_window(list: &[LoggedSpread]) -> Vec<WindowSpreads<'_>> {
    let mut windows: BTreeMap<_, WindowSpreads<'_>> = BTreeMap::new();
    for one in list {
        let window = windows.entry(&one.window).or_default();
        match &one.spots {
            Some(spots) => window.known.push((one, spots)),
            None => window.rest.push(one),
        }
    }
    windows.into_values().collect()
}

/// One list for each old field that spreadings name, without those on old fields beside it.
fn by_old_field(list: &[LoggedSpread]) -> Vec<((Date, String), Vec<LoggedSpread>)> {
    let named: BTreeSet<&(Date, String)> = list.iter().filter_map(|s| s.part.as_ref()).collect();
    let own = |(ended, id): &(Date, String)| {
        let beside = |s: &LoggedSpread| s.part.as_ref().is_some_and(|part| part.0 == *ended && part.1 != *id);
        list.iter().filter(|s| !beside(s)).cloned().collect()
    };
    named.into_iter().map(|part| (part.clone(), own(part))).collect()
}

/// The most on any acre of something that each spreading brings per acre.
pub(super) fn densest(list: &[LoggedSpread], brings: &dyn Fn(&LoggedSpread) -> f64) -> f64 {
    let parts = by_old_field(list);
    if parts.is_empty() {
        return densest_of_all(list, brings);
    }
    let on = |(part, list): &((Date, String), Vec<LoggedSpread>)| {
        on_old_field(list, part, brings).max(densest_of_all(list, brings))
    };
    parts.iter().map(on).fold(0.0, f64::max)
}

/// The most that those on one old field put on a spot of it: all that say no ground, and of the
/// others what lies on the spot.
fn on_old_field(list: &[LoggedSpread], part: &(Date, String), brings: &dyn Fn(&LoggedSpread) -> f64) -> f64 {
    let own: Vec<&LoggedSpread> = list.iter().filter(|s| s.part.as_ref() == Some(part)).collect();
    let anywhere = own.iter().filter(|s| s.spots.is_none()).fold(0.0, |sum, s| sum + brings(s));
    let spots = own.iter().filter_map(|s| s.spots.as_ref()).map(|spots| spots.len()).max().unwrap_or(0);
    let here = |spot: usize| {
        let on = own.iter().filter(|s| s.spots.as_ref().is_some_and(|spots| lies(spots, spot)));
        on.fold(anywhere, |sum, s| sum + brings(s))
    };
    (0..spots).map(here).fold(anywhere, f64::max)
}

fn densest_of_all(list: &[LoggedSpread], brings: &dyn Fn(&LoggedSpread) -> f64) -> f64 {
    let windows = by_window(list);
    let widest = list.iter().filter(|s| s.spots.is_some()).map(|s| s.share).fold(0.0, f64::max);
    let all = list.iter().filter(|s| s.spots.is_none()).fold(widest, |sum, s| sum + s.share);
    let rests: Vec<(f64, bool)> = windows.iter().map(|w| (w.rest(brings), w.share() <= WHOLE)).collect();
    let of = |known: &dyn Fn(usize) -> f64| {
        let each = rests.iter().enumerate().map(|(at, (rest, beside))| match (all <= WHOLE, beside) {
            (true, _) => known(at),
            (false, true) => known(at).max(*rest),
            (false, false) => known(at) + rest,
        });
        each.fold(0.0, |sum, one| sum + one)
    };
    let most = list.iter().map(brings).fold(of(&|_| 0.0), f64::max);
    let spots = windows.iter().flat_map(|w| &w.known).map(|(_, spots)| spots.len()).max().unwrap_or(0);
    let mut seen: BTreeSet<Vec<bool>> = BTreeSet::new();
    (0..spots)
        .filter(|spot| seen.insert(windows.iter().flat_map(|w| &w.known).map(|(_, on)| lies(on, *spot)).collect()))
        .map(|spot| {
            of(&|at| windows[at].known.iter().filter(|(_, on)| lies(on, spot)).fold(0.0, |sum, (s, _)| sum + brings(s)))
        })
        .fold(most, f64::max)
}

fn lies(on: &[bool], spot: usize) -> bool {
    on.get(spot).copied().unwrap_or_default()
}

/// How often the field was gone over.
pub(super) fn trips(list: &[LoggedSpread]) -> usize {
    let list: Vec<LoggedSpread> = list.iter().map(|s| LoggedSpread { spots: s.wide.clone(), ..s.clone() }).collect();
    let parts = by_old_field(&list);
    let most = parts.iter().map(|(part, list)| trips_of_all(list, Some(part))).max();
    most.unwrap_or_else(|| trips_of_all(&list, None))
}

fn trips_of_all(list: &[LoggedSpread], part: Option<&(Date, String)>) -> usize {
    let days =
        |spread: &mut dyn Iterator<Item = &LoggedSpread>| spread.map(|s| s.date).collect::<BTreeSet<Date>>().len();
    let of = |window: &WindowSpreads<'_>| {
        let spots = window.known.iter().map(|(_, on)| on.len()).max().unwrap_or(0);
        let on = |spot: usize| days(&mut window.known.iter().filter(|(_, on)| lies(on, spot)).map(|(s, _)| *s));
        let over = (0..spots).map(on).max().unwrap_or(0).max(usize::from(!window.known.is_empty()));
        let share: f64 = window.rest.iter().map(|s| s.share).sum();
        let rest = match share <= WHOLE {
            true => usize::from(!window.rest.is_empty()),
            false => days(&mut window.rest.iter().copied()),
        };
        let is_own = |s: &&LoggedSpread| part.is_some() && s.part.as_ref() == part;
        let named = |spot: usize| {
            let there = window.known.iter().filter(|(_, on)| lies(on, spot)).map(|(s, _)| *s);
            days(&mut there.chain(window.rest.iter().copied()).filter(is_own))
        };
        // A spot that is none lies under no ground.
        let named = (0..=spots).map(named).max().unwrap_or(0);
        let all = if window.share() <= WHOLE { over.max(rest) } else { over + rest };
        all.max(named)
    };
    by_window(list).iter().map(of).sum()
}
