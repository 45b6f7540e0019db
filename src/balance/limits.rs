//! The limits of a field, one row each, and what each allows of a lot.
//!
//! A new limit is a row here, its kind and words in `limit`, its days in `periods`, and
//! its figure's topic; the audit reaches it again by its own code.

use crate::balance::desk::Desk;
use crate::balance::logged::{Logged, On};
use crate::balance::p_spans::{self, Allowed, PGiven};
use crate::balance::periods::{Periods, Span, days_in_words};
use crate::balance::phosphorus;
use crate::balance::supply::Supplied;
use crate::balance::{
    Counts, Limit, LimitKind, LimitOnRest, LotLimit, Op, Over, StepId, Trips, Window, YearNeed, windows,
};
use crate::check::{Bar, Wants};
use crate::findings::Origin;
use crate::record::Entry;
use crate::tables::{Of, topic};
use crate::units::{LbPerAcre, Quantity};
use jiff::civil::Date;
use std::collections::BTreeSet;

/// Limits on a metal in a year, and for ever.
const METALS: [(LimitKind, LimitKind, Counts, Of<LbPerAcre>, &str); 2] = [
    (LimitKind::Zinc, LimitKind::ZincTotal, Counts::Zinc, topic::ZINC_LOAD_YEAR, "most zinc in a year"),
    (LimitKind::Copper, LimitKind::CopperTotal, Counts::Copper, topic::COPPER_LOAD_YEAR, "most copper in a year"),
];

/// A row before the log is taken off.
struct Draft {
    kind: LimitKind,
    over: Over,
    counts: Counts,
    season: Option<String>,
    litter: Option<String>,
    from: Option<Date>,
    allowed: Allowed,
    /// The open windows and the entries that it counts.
    windows: Vec<usize>,
    entries: BTreeSet<String>,
}

/// What the rows of a field are made from.
pub(super) struct Given<'x> {
    pub(super) periods: &'x Periods,
    pub(super) needs: &'x [YearNeed],
    pub(super) phosphorus: PGiven<'x>,
    /// What phosphate is limited to once the soil test has expired, and from when.
    pub(super) after_test: Option<(Date, Vec<(Span, Allowed)>)>,
    pub(super) supplied: &'x [Supplied<'x>],
    /// How many of the windows are still open.
    pub(super) open: usize,
}

/// The rows as they are written.
struct Writer<'w, 'd, 'a> {
    desk: &'w mut Desk<'d>,
    logged: &'w mut Logged<'a>,
    open: Vec<(String, Span)>,
    /// The days that stand for every twelve months in them.
    rolling: &'w [Span],
    /// The same for every so many years.
    in_years: &'w [(u16, Vec<Span>)],
    /// Days of a season that begin before it opens.
    before_it_opens: Vec<Span>,
    /// The open day on which the log shows something already.
    begun: Option<Date>,
    drafts: Vec<Draft>,
}

/// Slack of a hundredth, as pounds per acre are shown.
const SHOWN: f64 = 0.05;

/// The rows of a field.
pub(super) struct Rows {
    /// Those that say something, in the order of their kinds.
    pub(super) limits: Vec<Limit>,
    /// Those that another one implies, where the log is over them: they bind nothing more,
    /// and whoever looks for them must find them.
    pub(super) over: Vec<Limit>,
}

/// Every limit of a field.
pub(super) fn rows(desk: &mut Desk<'_>, logged: &mut Logged<'_>, given: &Given<'_>, windows: &mut [Window]) -> Rows {
    let open = windows[..given.open].iter().map(|w| (w.season.clone(), (w.first, w.last))).collect();
    let Periods { metals: rolling, in_years, begun, .. } = given.periods;
    let mut rows = Writer {
        desk,
        logged,
        open,
        rolling,
        in_years,
        before_it_opens: Vec::new(),
        begun: *begun,
        drafts: Vec::new(),
    };
    rows.nitrogen(given);
    rows.seasons(given, windows);
    for (days, allowed) in p_spans::of(rows.desk, given.periods, &given.phosphorus) {
        rows.over(LimitKind::Phosphorus, days, Counts::P2o5, allowed);
    }
    rows.after_test(given);
    for (days, most, allowed) in p_spans::capped(given.periods, given.phosphorus.phosphorus) {
        let counts = phosphorus::counted(most);
        let kind = match counts {
            Counts::P2o5 => LimitKind::Phosphorus,
            _ if most.over > 1 => LimitKind::YearsMost,
            _ => LimitKind::YearMost,
        };
        rows.over(kind, days, counts, Allowed::once(allowed));
    }
    if let Some(most) = rows.desk.get(topic::N_AT_ONCE) {
        let allowed = rows.desk.notes.figure("most N in one application", &most);
        rows.at_once(LimitKind::NAtOnce, Counts::N, allowed, None);
    }
    rows.metals(given.periods);
    rows.of_a_kind_of_litter(given.periods);
    if let Some(most) = &rows.desk.field.written.most {
        let allowed = rows.desk.notes.written(LimitKind::GrowerMost.word(), most.value.get(), "tons/ac", most);
        rows.each_year(given.periods, LimitKind::GrowerMost, Counts::Tons, allowed, None);
    }
    let most = &rows.desk.ready.spreader.most;
    let kind = LimitKind::SpreaderMost;
    let allowed = rows.desk.notes.written(kind.word(), most.value.get(), "tons/ac", most);
    rows.at_once(kind, Counts::Tons, allowed, None);
    let mut rows = rows.finish(given.supplied, windows);
    rows.limits.sort_by_key(|row| row.kind);
    rows.over.sort_by_key(|row| row.kind);
    rows
}

impl Writer<'_, '_, '_> {
    /// A row on each application, and one on the day on which the log has begun: the sum of
    /// log and plan goes on at once. What a machine can do is no limit on two goes.
    fn at_once(&mut self, kind: LimitKind, counts: Counts, allowed: StepId, litter: Option<&str>) {
        if let Some(day) = self.begun.filter(|_| kind != LimitKind::SpreaderMost) {
            self.over_in(kind, (day, day), counts, Allowed::once(allowed), (None, litter));
        }
        let litter = litter.map(str::to_string);
        let (allowed, windows, entries) = (Allowed::once(allowed), Vec::new(), BTreeSet::new());
        let (season, from) = (None, None);
        self.drafts.push(Draft { kind, over: Over::Once, counts, season, litter, from, allowed, windows, entries });
    }

    /// A row over some days.
    fn over(&mut self, kind: LimitKind, days: Span, counts: Counts, allowed: Allowed) {
        self.over_in(kind, days, counts, allowed, (None, None));
    }

    /// A row over some days, on a season or on a kind of litter alone.
    fn over_in(
        &mut self,
        kind: LimitKind,
        (first, last): Span,
        counts: Counts,
        allowed: Allowed,
        (season, litter): (Option<&str>, Option<&str>),
    ) {
        let over = Over::Days { first, last };
        let counted =
            |(_, (own, days)): &(usize, &(String, Span))| over.holds(*days) && season.is_none_or(|s| s == own);
        let windows = self.open.iter().enumerate().filter(counted).map(|(index, _)| index).collect();
        let entries = self.logged.ids((first, last)).into_iter().map(str::to_string).collect();
        let (season, litter) = (season.map(str::to_string), litter.map(str::to_string));
        let from = None;
        self.drafts.push(Draft { kind, over, counts, season, litter, from, allowed, windows, entries });
    }

    /// A row on each calendar year.
    fn each_year(&mut self, periods: &Periods, kind: LimitKind, counts: Counts, allowed: StepId, litter: Option<&str>) {
        for days in &periods.calendar {
            self.over_in(kind, *days, counts, Allowed::once(allowed), (None, litter));
        }
    }

    /// Rows on what goes on after the soil test: each counts all of its days, once anything does.
    fn after_test(&mut self, given: &Given<'_>) {
        let Some((from, spans)) = &given.after_test else { return };
        for (days, allowed) in spans.iter().filter(|(days, _)| *from <= days.1) {
            self.over(LimitKind::Phosphorus, *days, Counts::P2o5, *allowed);
            let before = |at: &usize| self.open.get(*at).is_some_and(|(_, days)| days.0 < *from);
            let Some(draft) = self.drafts.last_mut() else { continue };
            // Where no window lies before that day it binds as any other.
            let mixed = draft.windows.iter().any(before);
            draft.from = (mixed || !draft.entries.is_empty()).then_some(*from);
        }
    }

    fn nitrogen(&mut self, given: &Given<'_>) {
        for days in &given.periods.nitrogen {
            let need = given.needs.iter().find(|need| need.days == *days).or(given.needs.first());
            if let Some(need) = need {
                self.over(LimitKind::Nitrogen, *days, Counts::N, Allowed::once(need.n));
            }
        }
    }

    /// The share of nitrogen that a season may take, where the place sets one: over the
    /// whole of each opening, also before the plan's first day and over New Year. What the log
    /// put on after the season before, and before this one opened, feeds this one.
    fn seasons(&mut self, given: &Given<'_>, windows: &[Window]) {
        let mut written: Vec<(&str, Span)> = Vec::new();
        let of_windows = windows.iter().map(|w| (w.season.as_str(), w.season_days, w.n_share, w.n_share_cite.clone()));
        let shut = given.periods.openings.iter().filter_map(|o| {
            let share = o.share.as_ref()?;
            Some((o.season.as_str(), o.days, share.value.get(), Some(share.cite.clone())))
        });
        for (season, days, n_share, cite) in of_windows.chain(shut) {
            let opening = (season, days);
            let Some(cite) = cite.filter(|_| !written.contains(&opening)) else { continue };
            let again = written.iter().any(|(own, _)| *own == season);
            written.push(opening);
            // Where an opening lies in two growing years, the smaller need holds.
            let touches = |need: &&YearNeed| need.days.0 <= days.1 && days.0 <= need.days.1;
            let notes = &mut self.desk.notes;
            let of_none = given.needs.first().filter(|_| !given.needs.iter().any(|need| touches(&need)));
            let needs = given.needs.iter().filter(touches).chain(of_none);
            let Some(need) = needs.map(|need| need.n).min_by(|a, b| notes.value(*a).total_cmp(&notes.value(*b))) else {
                continue;
            };
            let named = if again { format!("{season} {}", days_in_words(days)) } else { season.to_string() };
            let share = notes.given(format!("share of N in {season}"), n_share, "", Origin::Figure(cite));
            let allowed = notes.reckon(format!("N in {named}"), "lb/ac", Op::Times, &[need, share]);
            let days = self.with_what_went_on_before(days);
            self.over_in(LimitKind::SeasonShare, days, Counts::N, Allowed::once(allowed), (Some(season), None));
        }
    }

    fn with_what_went_on_before(&mut self, days: Span) -> Span {
        let since = windows::since_season_before(self.desk, days.0);
        if !self.logged.dates(Counts::N).any(|day| since <= day && day < days.0) {
            return days;
        }
        self.before_it_opens.push((since, days.1));
        (since, days.1)
    }

    /// Zinc and copper, in a year and for ever.
    fn metals(&mut self, periods: &Periods) {
        for (year, total, counts, topic, what) in METALS {
            if let Some(most) = self.desk.get(topic) {
                let allowed = self.desk.notes.figure(what, &most);
                periods.metals.iter().for_each(|days| self.over(year, *days, counts, Allowed::once(allowed)));
            }
            let ever = self.desk.book.get(topic::METAL_LOAD_TOTAL, &self.desk.scope().nutrient(counts.word()));
            if let Some(most) = ever {
                let allowed = self.desk.notes.figure(format!("most {} in all years", counts.word()), &most);
                self.over(total, (Date::MIN, Date::MAX), counts, Allowed::once(allowed));
            }
        }
    }

    /// Tons that the place sets for a kind of litter.
    fn of_a_kind_of_litter(&mut self, periods: &Periods) {
        let mut kinds: Vec<&str> = Vec::new();
        for lot in &self.desk.ready.lots {
            if !kinds.contains(&lot.kind.as_str()) {
                kinds.push(&lot.kind);
            }
        }
        for (kind, topic) in
            [(LimitKind::YearMost, topic::RATE_MOST_YEAR), (LimitKind::ApplicationMost, topic::RATE_MOST)]
        {
            for litter in &kinds {
                let Some(most) = self.desk.book.get(topic, &self.desk.scope().material(*litter)) else { continue };
                let allowed = self.desk.notes.figure(kind.word(), &most);
                match kind {
                    LimitKind::YearMost => self.each_year(periods, kind, Counts::Tons, allowed, Some(litter)),
                    _ => self.at_once(kind, Counts::Tons, allowed, Some(litter)),
                }
            }
        }
    }

    /// The rows that say something, with what the log put on.
    fn finish(mut self, supplied: &[Supplied<'_>], windows: &mut [Window]) -> Rows {
        let says = |at: usize| !self.drafts.iter().enumerate().any(|(other, _)| self.implied(at, other));
        let said: Vec<bool> = (0..self.drafts.len()).map(says).collect();
        let drafts = std::mem::take(&mut self.drafts).into_iter().zip(said);
        let (drafts, implied): (Vec<_>, Vec<_>) = drafts.partition(|(_, said)| *said);
        let only = |kind: LimitKind| drafts.iter().filter(|(draft, _)| draft.kind == kind).count() < 2;
        let only: Vec<bool> = drafts.iter().map(|(draft, _)| only(draft.kind)).collect();
        let own = drafts.into_iter().zip(only);
        let limits = own.map(|((draft, _), only)| self.limit(draft, only, supplied, windows)).collect();
        let mut over = Vec::new();
        for (draft, _) in implied {
            if draft.from.is_none() && self.is_over(&draft, supplied) {
                over.push(self.limit(draft, false, supplied, windows));
            }
        }
        Rows { limits, over }
    }

    /// Whether the log alone passes it.
    fn is_over(&mut self, draft: &Draft, supplied: &[Supplied<'_>]) -> bool {
        let days = draft.over.days().filter(|_| !draft.kind.is_at_once());
        let on = days.and_then(|days| self.logged.on(self.desk, supplied, days, draft.counts));
        on.is_some_and(|on| self.desk.notes.value(on) > draft.allowed.value(self.desk) + SHOWN)
    }

    /// Whether another row of the same kind counts all that a row counts and allows no
    /// more.
    fn implied(&self, row: usize, by: usize) -> bool {
        let (row, by, first) = (&self.drafts[row], &self.drafts[by], by < row);
        let same = |draft: &Draft| (draft.kind, draft.counts, draft.from, draft.season.clone(), draft.litter.clone());
        if row.over == Over::Once || row.season.is_some() || same(row) != same(by) {
            return false;
        }
        let (less, more) = (by.allowed.value(self.desk), row.allowed.value(self.desk));
        let all = row.windows.iter().all(|w| by.windows.contains(w)) && row.entries.is_subset(&by.entries);
        let no_more = all && less <= more;
        let alike = row.windows.len() == by.windows.len() && row.entries.len() == by.entries.len() && less >= more;
        no_more && (!alike || first)
    }

    /// The days of a limit in words: twelve months that may end on many days say so, and
    /// so do those since the soil was sampled.
    fn days_of(&self, kind: LimitKind, days: Span) -> String {
        let words = days_in_words(days);
        let years = self.in_years.iter().find(|(_, spans)| spans.contains(&days)).map(|(years, _)| years);
        let sampled = self.desk.field.written.soil_test.as_ref().map(|test| test.sampled.value);
        let rolls = matches!(kind, LimitKind::Nitrogen | LimitKind::Phosphorus | LimitKind::Zinc | LimitKind::Copper);
        match kind {
            LimitKind::SeasonShare if self.before_it_opens.contains(&days) => {
                format!("{words}, with what went on before it opened")
            }
            LimitKind::YearsMost | LimitKind::Phosphorus if let Some(years) = years => {
                format!("in any {years} years {words}")
            }
            _ if rolls && (days.1 - days.0).get_days() > 366 && self.rolling.contains(&days) => {
                format!("in any twelve months {words}")
            }
            LimitKind::Phosphorus if sampled == Some(days.0) => format!("since the soil was sampled, {words}"),
            _ => words,
        }
    }

    fn limit(&mut self, draft: Draft, only: bool, supplied: &[Supplied<'_>], windows: &mut [Window]) -> Limit {
        let done = self.done(&draft, supplied, On::Densest);
        let on_rest = self.logged.rest.is_some().then(|| self.done(&draft, supplied, On::Rest));
        let Draft { kind, over, counts, season, litter, from, allowed, windows: counted, .. } = draft;
        let notes = &mut self.desk.notes;
        if let (Some(days), Some(season)) = (over.days(), &season) {
            let own = |w: &&mut Window| w.season == *season && w.season_days.1 == days.1;
            let on = done.map_or(0.0, |step| notes.value(step));
            windows.iter_mut().filter(own).for_each(|w| w.n_done = on);
        }
        let mut named = allowance(kind, season.as_deref());
        let mut when = over.days().map_or(String::new(), |days| self.days_of(kind, days));
        if let Some(from) = from {
            when += &format!(", where any goes on from {from}, after the soil test expired");
        }
        if !only && !when.is_empty() {
            named = format!("{named} {when}");
        }
        let notes = &mut self.desk.notes;
        let allowed = match allowed.more {
            (_, 0) => allowed.first,
            (year, years) => {
                let of: Vec<StepId> = std::iter::once(allowed.first).chain((0..years).map(|_| year)).collect();
                notes.reckon(named.clone(), counts.unit(), Op::Sum, &of)
            }
        };
        let left = done.map_or(allowed, |done| {
            notes.reckon(format!("{named}, still open"), counts.unit(), Op::Less, &[allowed, done])
        });
        let on_rest = on_rest.map(|on| {
            let left = match on {
                None => allowed,
                on if on == done => left,
                Some(on) => {
                    let what = format!("{named}, still open on the ground that is left");
                    notes.reckon(what, counts.unit(), Op::Less, &[allowed, on])
                }
            };
            LimitOnRest { done: on, left }
        });
        Limit { kind, over, season, when, from, counts, litter, allowed, done, left, on_rest, windows: counted }
    }

    /// What the log put on of what a row counts.
    fn done(&mut self, draft: &Draft, supplied: &[Supplied<'_>], on: On) -> Option<StepId> {
        let days = draft.over.days()?;
        if !draft.kind.is_at_once() {
            return self.logged.on_ground(self.desk, supplied, days, (draft.counts, on));
        }
        let ready = self.desk.ready;
        let is_for = |entry: &Entry| {
            let kind = ready.lot_of(entry).map(|lot| lot.kind.as_str());
            draft.litter.as_deref().is_none_or(|own| kind == Some(own))
        };
        self.logged.at_once(self.desk, days.0, (draft.counts, on), &is_for).0
    }
}

/// What every limit allows of a lot, smallest first; nothing is said of limits on
/// what its litter does not hold, or over days in which nothing is planned any more.
pub(super) fn of_lot(desk: &mut Desk<'_>, own: &Supplied<'_>, rows: &[Limit], windows: &[Window]) -> Vec<LotLimit> {
    let mut limits = Vec::new();
    for row in rows.iter().filter(|row| row.is_for(&own.lot.kind)) {
        let over = row.over != Over::Once && row.windows.is_empty();
        if over && (row.season.is_some() || !windows.is_empty()) {
            continue;
        }
        let per_ton = match &row.season {
            Some(season) => Some(own.n_in(Some(season))),
            None => own.supply.of(row.counts),
        };
        let step = match per_ton {
            _ if row.counts == Counts::Tons => row.left,
            Some(per_ton) if desk.notes.value(per_ton) > 0.0 => {
                let what = format!("rate that uses up the {}", allowance(row.kind, row.season.as_deref()));
                desk.notes.reckon(what, "tons/ac", Op::Over, &[row.left, per_ton])
            }
            _ => continue,
        };
        limits.push(LotLimit {
            kind: row.kind,
            days: row.over.days(),
            when: row.when.clone(),
            season: row.season.clone(),
            from: row.from,
            rate: desk.notes.value(step),
            step,
        });
    }
    limits.sort_by(|a, b| a.rate.total_cmp(&b.rate).then((a.kind, a.days).cmp(&(b.kind, b.days))));
    limits
}

/// Phosphate that fertilizer may bring besides the litter of the plan, lb/ac, whenever
/// it goes on; none where nothing limits it.
pub(super) fn p2o5_to_buy(desk: &mut Desk<'_>, logged: &mut Logged<'_>, given: &Given<'_>) -> Option<f64> {
    let mut spans = p_spans::to_buy(desk, given.periods, &given.phosphorus);
    spans.extend(given.phosphorus.phosphorus.bought.map(|most| (given.periods.year(), Allowed::once(most))));
    let open = spans.into_iter().map(|(days, allowed)| {
        let on = logged.on(desk, given.supplied, days, Counts::P2o5).map_or(0.0, |step| desk.notes.value(step));
        (allowed.value(desk) - on).max(0.0)
    });
    open.min_by(f64::total_cmp)
}

/// How often litter may still go on in each calendar year that the plan touches.
pub(super) fn trips(desk: &Desk<'_>, logged: &Logged<'_>, periods: &Periods) -> Vec<Trips> {
    let left = |days: &Span| desk.field.applications.saturating_sub(logged.laid.within(*days).trips());
    periods.calendar.iter().map(|days| Trips { first: days.0, last: days.1, most: left(days) }).collect()
}

/// How often it may still go on in days that are no calendar year: once in a window,
/// whatever cuts it in pieces; in an opening over New Year as often as in a year; and in one
/// that was begun not at all, but for what is left of the field.
pub(super) fn openings(desk: &Desk<'_>, logged: &Logged<'_>, periods: &Periods, open: &[Window]) -> Vec<Trips> {
    let once = periods.whole.iter().map(|(first, last)| Trips { first: *first, last: *last, most: 1 });
    let mut over_new_year: Vec<Span> = open.iter().map(|w| w.season_days).collect();
    over_new_year.retain(|(opens, closes)| opens.year() < closes.year());
    over_new_year.sort();
    over_new_year.dedup();
    let most = |days: Span| desk.field.applications.saturating_sub(logged.laid.within(days).trips());
    let over_new_year = over_new_year.into_iter().map(|days| Trips { first: days.0, last: days.1, most: most(days) });
    let begun = logged.rest.iter().flat_map(|rest| &rest.windows).filter_map(|at| open.get(*at));
    let begun = begun.map(|window| Trips { first: window.first, last: window.last, most: 0 });
    once.chain(over_new_year).chain(begun).collect()
}

/// What a limit hands out and a rate uses up.
fn allowance(kind: LimitKind, season: Option<&str>) -> String {
    match (kind, season) {
        (_, Some(season)) => format!("N of {season}"),
        (LimitKind::Nitrogen, _) => "N need".to_string(),
        (LimitKind::NAtOnce, _) => "N allowed at once".to_string(),
        (LimitKind::Phosphorus, _) => "P2O5 allowed".to_string(),
        (kind, _) => kind.word().to_string(),
    }
}

/// Zinc or copper in the soil past the place's limit bars the field.
pub(super) fn metals(desk: &mut Desk<'_>) {
    let Some(test) = &desk.field.written.soil_test else { return };
    for (name, value, topic) in
        [("zinc", &test.zinc, topic::SOIL_ZINC_STOP), ("copper", &test.copper, topic::SOIL_COPPER_STOP)]
    {
        let (Some(value), Some(stop)) = (value, desk.get(topic)) else { continue };
        let (number, unit) = value.value.shown();
        let (most, most_unit) = stop.value.shown();
        desk.notes.written(format!("soil-test {name}"), number, unit, value);
        let what = format!("soil-test {name} at which no litter is allowed");
        desk.notes.given(what, most, most_unit, Origin::Figure(stop.cite.clone()));
        // On another scale nobody can tell, so none is allowed.
        let held = value.value.on(stop.value.scale);
        if held.is_none_or(|held| held >= most) {
            let is = if held.is_some() { "meets or exceeds" } else { "cannot be compared with" };
            desk.bars.push(Bar {
                wants: Wants::Nothing,
                why: format!("soil-test {name} {} {is} the limit of {}", value.value, stop.value),
                fix: "no litter here; ask the planner".to_string(),
                origin: Origin::Figure(stop.cite),
            });
        }
    }
}
