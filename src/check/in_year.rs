//! The farm as it was in one calendar year: by what was known at the end of it,
//! and with what the log shows until then.

use crate::check::bar::Wants;
use crate::check::ready::{Contents, Field, Lot, Ready};
use crate::farm::{Dated, HasDay};
use crate::record::What;
use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::RangeInclusive;
use std::sync::Arc;

/// What puts something on a field that limits count.
const PUT_ON: [What; 3] = [What::Spread, What::Fertilizer, What::FeedHay];

impl Ready {
    /// The farm in a calendar year, by what was known at its end, or on a day before;
    /// none where no calendar has it.
    #[must_use]
    pub fn in_year(&self, year: i16, known: Option<Date>) -> Option<Ready> {
        let (from, to) = (Date::new(year, 1, 1).ok()?, Date::new(year, 12, 31).ok()?);
        let known = known.unwrap_or(to).min(to).max(from);
        self.then((from, to), to, known)
    }

    /// The farm in the year of a day, as it stood on that day: what was in force and known
    /// on it, with what the log shows until then.
    #[must_use]
    pub fn on_day(&self, day: Date) -> Option<Ready> {
        let (from, to) = (Date::new(day.year(), 1, 1).ok()?, Date::new(day.year(), 12, 31).ok()?);
        self.then((from, to), day, day)
    }

    /// The days by which entries of some years are judged, each with the first day of the
    /// entries that it judges: on all days from one to the other, nothing changed on a
    /// field that has entries in that year.
    #[must_use]
    pub fn judging_days(&self, years: RangeInclusive<i16>) -> Vec<(Date, Date)> {
        let mut changed: BTreeMap<i16, BTreeSet<Date>> = BTreeMap::new();
        for field in &self.fields {
            let put_on = PUT_ON.into_iter().flat_map(|what| self.happened.on_field(field.id(), what));
            let of: BTreeSet<i16> = put_on.map(|entry| entry.date.year()).filter(|year| years.contains(year)).collect();
            let changes: Vec<Date> = if of.is_empty() { Vec::new() } else { field.written.changed_on().collect() };
            for year in of {
                changed.entry(year).or_default().extend(changes.iter().filter(|day| day.year() == year));
            }
        }
        let mut days = Vec::new();
        for (year, changes) in changed {
            let (Ok(mut first), Ok(last)) = (Date::new(year, 1, 1), Date::new(year, 12, 31)) else { continue };
            for change in changes.into_iter().filter(|day| (day.month(), day.day()) != (1, 1)) {
                let Ok(before) = change.yesterday() else { continue };
                days.push((first, before));
                first = change;
            }
            days.push((first, last));
        }
        days
    }

    fn then(&self, (from, to): (Date, Date), stood: Date, known: Date) -> Option<Ready> {
        let happened = self.happened.until(stood);
        let mut then = Ready { from, to, is_past: true, happened, ..self.clone() };
        then.lots.iter_mut().for_each(|lot| lot_then(lot, known));
        let days = (from, to, stood);
        let own = (self.from.year()..=self.to.year()).contains(&from.year());
        let field_then = |field: &mut Arc<Field>| field_then(Arc::make_mut(field), &self.happened, days, (known, own));
        then.fields.iter_mut().for_each(field_then);
        for (was, is) in self.other_ids(to) {
            let field = then.fields.iter_mut().find(|field| field.id() == is)?;
            Arc::make_mut(field).written.id.value.clone_from(&was);
            let mut entries = then.happened.entries.as_ref().clone();
            for entry in entries.iter_mut().filter(|entry| entry.field_id() == is) {
                entry.change(|entry| entry.field.iter_mut().for_each(|id| id.value.clone_from(&was)));
            }
            then.happened = then.happened.of_entries(entries);
        }
        Some(then)
    }

    /// Fields that the log knew under another id on a day, before the id of now. One
    /// that was split or put together since has no ground of its own, and none goes
    /// by an id that is another's now.
    fn other_ids(&self, day: Date) -> Vec<(String, String)> {
        let of = |id: &str| self.fields.iter().filter(|f| f.written.id_on(day) == id || f.id() == id).count();
        let other = |field: &&Arc<Field>| {
            let (was, whole) = (field.written.id_on(day), field.written.parts_on(day).is_empty());
            was != field.id() && whole && of(was) == 1
        };
        let ids = |field: &Arc<Field>| (field.written.id_on(day).to_string(), field.id().to_string());
        self.fields.iter().filter(other).map(ids).collect()
    }
}

/// Bars and last days are those of the plan's day.
fn lot_then(lot: &mut Lot, known: Date) {
    (lot.barred, lot.good_until, lot.planned_until) = (None, None, None);
    if let Some(analysis) = lot.analysis_on(known) {
        lot.contents = Contents::Analysis(Box::new(analysis.clone()));
    }
    lot.analyses = known_by(&lot.analyses, known);
}

/// What the grower says without a date, a cap, a rest or that it is closed, is said of the
/// years of the plan (`own`) and of no other; what was cut and grazed is what the log shows.
fn field_then(
    field: &mut Field,
    happened: &crate::record::Happened,
    (from, to, stood): (Date, Date, Date),
    (known, own): (Date, bool),
) {
    let mut written = field.written.as_of(stood, known);
    field.use_of_log_alone(happened, (from, to));
    (written.cuttings, written.grazed) = (Vec::new(), Vec::new());
    if !own {
        (written.banked_until, written.other_n, written.most, written.closed) = (None, None, None, None);
    }
    let before: Vec<_> = written.yields.iter().filter(|y| y.year.value < from.year()).cloned().collect();
    if !before.is_empty() {
        written.yields = before;
    }
    written.earlier.retain(|earlier| earlier.year.value < from.year());
    // Nobody had rated it before the first rating, nor stated what the rule asks for.
    written.rule_said = written.rule_said.filter(|said| said.on.value <= known);
    written.rating = written.rating.filter(|rated| rated.on.value <= known);
    field.rating = written.rating.as_ref().map(|rated| rated.rating.value);
    // A field that was never sampled had no soil test then either.
    field.bars.retain(|bar| bar.wants == Wants::SoilTest || (own && bar.wants == Wants::Opening));
    (field.good_until, field.test_expired, field.rating_expired) = (None, None, None);
    field.after_test = None;
    field.untested = field.untested.take().filter(|_| field.written.soil_test.is_none());
    field.in_force_since = written.in_force_since(stood, known);
    field.written = written;
}

/// The records up to a day; the first where there is none.
fn known_by<T: HasDay + Clone>(all: &Dated<T>, day: Date) -> Dated<T> {
    let known: Vec<T> = all.iter().filter(|record| record.day().value <= day).cloned().collect();
    if known.is_empty() { Dated::new(all.iter().take(1).cloned().collect()) } else { Dated::new(known) }
}
