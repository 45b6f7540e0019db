//! Entries of the log that are judged by what was in force on their own day: another soil
//! test, rating, forage or year than the plan goes by.

use crate::balance::{self, Surveyed};
use crate::check::Ready;
use crate::findings::{Finding, Findings, Place};
use crate::plan;
use crate::record::Entry;
use crate::tables::Tables;
use jiff::ToSpan;
use jiff::civil::Date;
use std::collections::BTreeSet;
use std::ops::RangeInclusive;
use std::sync::Arc;

/// A farm of the plan's day, or of the end of a year, with its ground.
pub(super) struct Judge<'a> {
    pub(super) ready: &'a Ready,
    pub(super) tables: &'a Tables,
    pub(super) ground: &'a [Surveyed],
}

impl Judge<'_> {
    /// What the log shows by what was in force on the days of its entries: every limit that it
    /// is over, of a year that is looked back at, else of the whole log, and what lies before
    /// the changes of its field. No other list of overs is printed anywhere, and none goes by
    /// the days of the plan.
    pub(super) fn of_the_log(&self) -> Findings {
        let years =
            if self.ready.is_past { self.ready.from.year()..=self.ready.to.year() } else { i16::MIN..=i16::MAX };
        let (overs, rest): (Vec<Finding>, Vec<Finding>) =
            self.of_years(years).into_iter().partition(plan::is_of_its_year);
        let before = self.before_changes();
        let told = plan::told_before(&rest).filter(|finding| before.contains(&finding.place));
        told.cloned().chain(overs).collect()
    }

    /// The entries that lie before what their field goes by now: those of a year that is
    /// looked back at, else of the last twelve months.
    fn before_changes(&self) -> BTreeSet<&Place> {
        let open = self.ready.open_from();
        let counted = if self.ready.is_past { open } else { open.checked_sub(1.year()).unwrap_or(Date::MIN) };
        let years = counted.year()..=self.ready.to.year();
        if !self.ready.fields.iter().any(|field| years.contains(&field.in_force_since.year())) {
            return BTreeSet::new();
        }
        let since =
            |entry: &Entry| entry.field.as_ref().and_then(|id| self.ready.field(&id.value)).map(|f| f.in_force_since);
        let counts = |entry: &Entry| entry.date >= counted && years.contains(&entry.date.year());
        let entries = self.ready.happened.iter().filter(|entry| counts(entry));
        entries.filter(|e| since(e).is_some_and(|since| e.date < since)).map(|entry| &entry.place).collect()
    }

    /// Everything that the entries of some years show.
    pub(super) fn of_years(&self, years: RangeInclusive<i16>) -> Vec<Finding> {
        let mut shown = Vec::new();
        for (first, last) in self.ready.judging_days(years) {
            let entries = self.ready.happened.iter();
            let places: BTreeSet<&Place> =
                entries.filter(|e| (first..=last).contains(&e.date)).map(|entry| &entry.place).collect();
            // The farm as it was is put together only where something is asked of it.
            if places.is_empty() {
                continue;
            }
            let Some(then) = self.ready.on_day(last) else { continue };
            let (balance, found) = balance::weigh(&then, self.tables, &ground_of(&then, self.ready, self.ground));
            let of_day = plan::shown_of_year(&then, self.tables, &balance, &found);
            shown.extend(of_day.sorted().into_iter().filter(|finding| places.contains(&finding.place)).cloned());
        }
        shown
    }
}

/// The ground of a farm as it was, whose fields stand in the order of those of now.
pub(super) fn ground_of(then: &Ready, now: &Ready, ground: &[Surveyed]) -> Vec<Surveyed> {
    let field_then = |surveyed: &Surveyed| {
        let at = now.fields.iter().position(|field| field.id() == surveyed.field.id());
        let field = at.and_then(|at| then.fields.get(at)).cloned();
        Surveyed { field: field.unwrap_or_else(|| Arc::clone(&surveyed.field)), ..surveyed.clone() }
    };
    ground.iter().map(field_then).collect()
}
