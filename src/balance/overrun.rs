//! Limits that the log alone has passed already: whoever checks limits must know. What a plan
//! still puts there in another season or year it says itself.

use crate::balance::desk::Desk;
use crate::balance::logged::{Logged, On};
use crate::balance::periods::Span;
use crate::balance::supply::Supplied;
use crate::balance::{Counts, Limit, LimitKind, Over, StepId};
use crate::check::{Bar, Laid};
use crate::findings::{Finding, Place};
use crate::record::{Entry, What};
use crate::tables::{GrowingYear, Of, topic};
use crate::units::{LbPerAcre, Quantity, at_most, number_text};
use jiff::civil::Date;
use std::collections::BTreeSet;

/// Slack of a hundredth, as pounds per acre are shown.
const SHOWN: f64 = 0.05;

/// What to do about a log that shows too much.
const TELL: &str = "check the entries with `sward tally`; if they are right, tell the planner";

/// What is told of a field's log.
struct Told<'a, 'd> {
    desk: &'a mut Desk<'d>,
    /// The line of the last spreading.
    last: Place,
    /// Another line that has a part in it, and in which way.
    also: Option<(Place, &'static str)>,
    /// Whether a part of the field was done.
    part: bool,
    /// What was done before this day is judged by what was in force then.
    since: Date,
}

/// One warning a limit that the log passes, and one for a field done in part.
pub(super) fn check(
    desk: &mut Desk<'_>,
    log: &mut Logged<'_>,
    supplied: &[Supplied<'_>],
    (limits, implied): (&[Limit], &[Limit]),
    days: Span,
) {
    for (metal, a_year) in [(Counts::Zinc, topic::ZINC_LOAD_YEAR), (Counts::Copper, topic::COPPER_LOAD_YEAR)] {
        total(desk, log, supplied, metal, a_year);
    }
    let laid = log.laid.within(days);
    let any = [Counts::N, Counts::P2o5, Counts::K2o].into_iter();
    let last = any.filter_map(|counted| last_of(log, (Date::MIN, Date::MAX), counted)).max_by_key(|entry| entry.date);
    let Some(last) = last else { return };
    let part = laid.part();
    let since = desk.field.in_force_since;
    let mut told = Told { desk, last: last.place.clone(), also: None, part: part.is_some(), since };
    // What the log is over is judged year by year, by what was in force then (`pipeline::judged`):
    // the days of a plan say nothing of it.
    if told.desk.ready.is_past {
        told.bars(&laid);
        told.limits(log, limits, implied);
        told.at_once(log, &laid, limits, days);
        told.trips(log);
    }
    if let Some(part) = part.map(|done| (done, None)).or_else(|| begun(log)) {
        told.part(part, log, &laid);
    }
}

impl Told<'_, '_> {
    /// Litter where none is allowed.
    fn bars(&mut self, laid: &Laid<'_>) {
        let litter = laid.entries().map(|(_, entry)| entry).filter(|entry| entry.date >= self.since);
        let Some(last) = litter.max_by_key(|entry| entry.date) else { return };
        for bar in self.desk.bars.clone().into_iter().filter(Bar::is_of_the_log) {
            let found =
                format!("field {}: the log shows litter, and none is allowed: {}", self.desk.field.id(), bar.why);
            self.desk.findings.push(Finding::warning("logged-barred", &last.place, found).fix(bar.fix));
        }
    }

    /// The limits that all entries of some days must keep together; of those that others
    /// imply, each that tells of another amount.
    fn limits(&mut self, log: &Logged<'_>, limits: &[Limit], implied: &[Limit]) {
        let ready = self.desk.ready;
        let is_met = |row: &&Limit| {
            let binds = !row.kind.is_at_once() && row.from.is_none();
            let Some(days) = row.over.days().filter(|_| binds) else { return false };
            let litter = log.laid.within(days);
            let mut lots = litter.entries().filter_map(|(_, entry)| ready.lot_of(entry));
            lots.any(|lot| row.is_for(&lot.kind)) || fertilized(log, row.counts, days).next().is_some()
        };
        let rows: Vec<&Limit> = limits.iter().chain(implied).filter(is_met).collect();
        for (at, row) in rows.iter().enumerate() {
            // Of two on the same the smaller is told.
            let (Some(on), Some(days)) = (row.done.filter(|_| self.smallest(row, &rows)), row.over.days()) else {
                continue;
            };
            let told = |other: &&&Limit| self.shown(row) == self.shown(other);
            if implied.iter().any(|other| std::ptr::eq(*row, other)) && rows[..at].iter().any(|other| told(&other)) {
                continue;
            }
            let season = row.season.as_ref().map_or(String::new(), |s| format!(" in {}", s.replace('_', " ")));
            let when = format!("{season} {}", row.when);
            let last = last_of(log, days, row.counts);
            if last.is_some_and(|entry| entry.date < self.since) {
                continue;
            }
            self.last = last.map_or_else(|| self.last.clone(), |entry| entry.place.clone());
            let written_last = self.written_last(log, days, row.counts);
            self.also = written_last.map(|place| (place, "the entry of these days that was written last"));
            // Hay that is fed is no application: where a stand only needs no nitrogen, a caution.
            let none_needed = row.counts == Counts::N && self.desk.notes.value(row.allowed) <= 0.0;
            let hay_alone = none_needed && last.is_some_and(|_| !applied(log, row.counts, days));
            let code = if hay_alone { "fed-hay-over" } else { "logged-over" };
            self.say(code, (row.counts, &when), on, row.allowed);
            self.also = None;
        }
    }

    /// The limits that each day must keep: what is spread on one day, litter and
    /// fertilizer, in however many entries, goes on at once.
    fn at_once(&mut self, log: &mut Logged<'_>, laid: &Laid<'_>, limits: &[Limit], days: Span) {
        let ready = self.desk.ready;
        let bags = fertilized(log, Counts::N, days).filter(|entry| entry.what == What::Fertilizer);
        let dates: BTreeSet<Date> =
            laid.entries().map(|(_, entry)| entry).chain(bags).map(|entry| entry.date).collect();
        // What a machine can do is no limit on what was done.
        let set = |row: &&Limit| row.over == Over::Once && row.kind != LimitKind::SpreaderMost;
        let since = self.since;
        for day in dates.into_iter().filter(|day| *day >= since) {
            for row in limits.iter().filter(set) {
                let is_for = |entry: &Entry| ready.lot_of(entry).is_some_and(|lot| row.is_for(&lot.kind));
                let (Some(on), entries) = log.at_once(self.desk, day, (row.counts, On::Densest), &is_for) else {
                    continue;
                };
                // An entry that is only now to be logged stands in no line yet.
                let order = |entry: &&&Entry| (entry.id.is_empty(), entry.place.line);
                let Some(last) = entries.iter().max_by_key(order) else { continue };
                self.last = last.place.clone();
                let other = entries.iter().find(|entry| entry.place != last.place);
                self.also = other.map(|entry| (entry.place.clone(), "another entry of that day"));
                let by = if other.is_some() { format!(", in {} entries", entries.len()) } else { String::new() };
                self.say("logged-at-once", (row.counts, &format!(" at once on {day}{by}")), on, row.allowed);
                self.also = None;
            }
        }
    }

    /// How often the tables let litter go on in a calendar year.
    fn trips(&mut self, log: &Logged<'_>) {
        let Some((most, known)) = self.desk.get(topic::APPLICATIONS).map(|f| (f.value.get(), f.cite.known)) else {
            return;
        };
        let years: BTreeSet<Span> = log.laid.entries().map(|(_, e)| GrowingYear::CALENDAR.around(e.date)).collect();
        for year in years {
            let laid = log.laid.within(year);
            let last = laid.entries().map(|(_, entry)| entry).max_by_key(|entry| entry.date);
            let Some(last) = last.filter(|entry| entry.date >= self.since) else { continue };
            let trips = laid.trips();
            if trips as f64 <= most + SHOWN {
                continue;
            }
            let (id, most) = (self.desk.field.id(), number_text(most, 0));
            let found = format!(
                "field {id}: the log shows {trips} applications of litter in {}, and {most}{} are allowed{}",
                year.0.year(),
                known.sign(),
                known.in_brackets()
            );
            let finding = Finding::warning("logged-trips", &last.place, found);
            self.desk.findings.push(finding.accepts(format!("at most {most} applications in a year")).fix(TELL));
        }
    }

    /// The entry of some days that was written last, where it is not the one that is named.
    fn written_last(&self, log: &Logged<'_>, days: Span, counted: Counts) -> Option<Place> {
        let litter = log.laid.within(days);
        let all = litter.entries().map(|(_, entry)| entry).chain(fertilized(log, counted, days));
        let ids: BTreeSet<&str> = all.map(|entry| entry.id.as_str()).collect();
        let ready = self.desk.ready;
        let written = ready.happened.iter().rev().find(|entry| ids.contains(entry.id.as_str()));
        written.map(|entry| entry.place.clone()).filter(|place| *place != self.last)
    }

    /// What is told of a row but its days: alike where two of them show the same.
    fn shown<'r>(&self, row: &'r Limit) -> (LimitKind, Option<&'r str>, [Option<String>; 2]) {
        let amount = |step: StepId| number_text(self.desk.notes.value(step), 1);
        (row.kind, row.season.as_deref(), [row.done.map(amount), Some(amount(row.allowed))])
    }

    /// Whether no other limit on the same, over the same days, allows less.
    fn smallest(&self, row: &Limit, rows: &[&Limit]) -> bool {
        let allowed = |row: &Limit| (self.desk.notes.value(row.allowed), row.kind);
        let same = |other: &&&Limit| (other.counts, &other.season, other.over) == (row.counts, &row.season, row.over);
        rows.iter().filter(same).map(|other| allowed(other)).all(|other| other >= allowed(row))
    }

    fn part(&mut self, (part, since): (f64, Option<Date>), log: &Logged<'_>, laid: &Laid<'_>) {
        // What was left in a window of a year that is over is nobody's job any more.
        if self.desk.ready.is_past && log.rest.is_some() {
            return;
        }
        let acres = log.acres;
        let part = log.rest.as_ref().map_or(part, |rest| acres - rest.acres);
        let of_part = |entry: &&Entry| since.is_none_or(|since| since <= entry.date);
        let mut entries = laid.entries().map(|(_, entry)| entry).filter(of_part);
        let somewhere = entries.find(|entry| !self.desk.field.done.knows(entry));
        let since = since.map_or(String::new(), |since| format!(" since {since}"));
        let (what, fix) = match somewhere {
            _ if log.rest.is_some() => {
                ("the plan takes them as ground of their own", "log the rest when it is done".to_string())
            }
            Some(entry) => (
                "not every entry says where, so the plan keeps the limits on the part that was done and plans \
                 nothing for the rest alone",
                format!("draw the ground: `sward log correct {} --set ground=...`; or log the rest", entry.id),
            ),
            None => (
                "the plan keeps the limits on the part that was done",
                "log the rest, or plan the part that is not done as a field of its own".to_string(),
            ),
        };
        let found = format!(
            "field {}: {} of {} ac were done{since}, {} ac are left; {what}",
            self.desk.field.id(),
            number_text(part, 2),
            number_text(acres, 2),
            number_text(acres - part, 2)
        );
        self.desk.findings.push(Finding::warning("logged-part", &self.last, found).fix(fix));
    }

    /// That phosphate is judged as on a field that nobody had rated, where its first rating is of
    /// a later day.
    fn not_rated_yet(&self, counted: Counts) -> String {
        let written = &self.desk.field.written;
        let first = written.ratings.iter().map(|rated| rated.on.value).min();
        let first = first.filter(|_| counted == Counts::P2o5 && self.desk.field.rating.is_none());
        let so =
            |day| format!("; it is judged as on a field that nobody had rated, since its first rating is of {day}");
        first.map_or(String::new(), so)
    }

    fn say(&mut self, code: &'static str, (counted, when): (Counts, &str), on: StepId, allowed: StepId) {
        let (on, limit) = (self.desk.notes.value(on), allowed);
        let allowed = self.desk.notes.value(limit);
        if on <= allowed + SHOWN {
            return;
        }
        let known = self.desk.notes.known().of(limit);
        let (unit, what) = (counted.unit(), format!("{}{when}", counted.word()));
        let decimals: u8 = if counted == Counts::Tons { 2 } else { 1 };
        let amount = |value: f64| number_text(value, usize::from(decimals));
        let most = at_most(allowed, decimals);
        let found = format!(
            "field {}: the log shows {} {unit} of {what}{}, and {most}{} are allowed: {} too much{}",
            self.desk.field.id(),
            amount(on),
            if self.part { " on the part that was done" } else { "" },
            known.sign(),
            amount(on - allowed),
            self.not_rated_yet(counted)
        );
        let (accepts, means) = (format!("at most {most} {unit} of {what}"), known.in_brackets());
        let finding = match code {
            "fed-hay-over" => Finding::note(code, &self.last, format!("{found}, by hay that was fed alone{means}"))
                .fix("the stand needs no added nitrogen: feed hay on other ground where there is some"),
            _ => Finding::warning(code, &self.last, found + &means).fix(TELL),
        };
        let finding = finding.accepts(accepts);
        self.desk.findings.push(match &self.also {
            Some((place, how)) => finding.also(place, *how),
            None => finding,
        });
    }
}

/// What is done in a window that is still open, of a field that was done before, with the first
/// day of it.
fn begun(log: &Logged<'_>) -> Option<(f64, Option<Date>)> {
    let drawn = log.rest.as_ref().map(|rest| (log.acres - rest.acres, Some(rest.first)));
    log.undrawn.as_ref().map(|part| (part.done, Some(part.first))).or(drawn)
}

/// The fertilizer of some days that put some of it on.
fn fertilized<'a>(log: &Logged<'a>, counted: Counts, (first, last): Span) -> impl Iterator<Item = &'a Entry> {
    log.fertilized(counted).filter(move |entry| first <= entry.date && entry.date <= last)
}

/// Whether litter or commercial fertilizer of some days put some of it on.
fn applied(log: &Logged<'_>, counted: Counts, days: Span) -> bool {
    let bag = fertilized(log, counted, days).any(|entry| entry.what == What::Fertilizer);
    bag || log.laid.within(days).entries().next().is_some()
}

/// The last entry of some days that put some of it on.
fn last_of<'a>(log: &Logged<'a>, days: Span, counted: Counts) -> Option<&'a Entry> {
    let litter = log.laid.within(days);
    let bought = fertilized(log, counted, days);
    litter.entries().map(|(_, entry)| entry).chain(bought).max_by_key(|entry| entry.date)
}

/// A metal stays in the soil: the place's most over all years counts every
/// entry of the log, also those outside the plan's days. Reported once the most
/// of one year could pass it.
fn total(desk: &mut Desk<'_>, log: &Logged<'_>, supplied: &[Supplied<'_>], counted: Counts, a_year: Of<LbPerAcre>) {
    let metal = counted.word();
    let Some(most) = desk.book.get(topic::METAL_LOAD_TOTAL, &desk.scope().nutrient(metal)) else { return };
    let (most, cite) = (most.value.get(), most.cite);
    let a_year = desk.get(a_year).map_or(0.0, |figure| figure.value.get());
    let on = log.laid.densest(&|entry| {
        let step = Supplied::of_entry(supplied, entry).and_then(|own| own.supply.of(counted));
        step.map_or(0.0, |step| desk.notes.value(step))
    });
    if on <= 0.0 || on + a_year <= most + SHOWN {
        return;
    }
    let found = format!(
        "field {}: the log shows {} lb/ac of {metal} over all years, and {}{} may ever go on{}",
        desk.field.id(),
        number_text(on, 1),
        at_most(most, 0),
        cite.known.sign(),
        cite.known.in_brackets()
    );
    let place = desk.field.written.place.clone();
    desk.findings.push(
        Finding::warning("metal-total", &place, found)
            .accepts(format!("at most {} lb/ac in all: {}", at_most(most, 0), cite))
            .fix(format!("test the soil for {metal} and ask the planner; litter from before the log counts too")),
    );
}
