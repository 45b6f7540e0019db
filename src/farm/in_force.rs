//! What of a farm is in force on a day, and what an id names on it.

use crate::farm::before::Before;
use crate::farm::crops::Bushels;
use crate::farm::dated::HasDay;
use crate::farm::hay::HayAnalysis;
use crate::farm::rated::Rated;
use crate::farm::words::Use;
use crate::farm::written::{Analysis, RuleSaid, SoilTest, Written, WrittenField};
use crate::findings::At;
use crate::units::{Quantity, Yield};
use jiff::ToSpan;
use jiff::civil::Date;
use std::borrow::Cow;

impl HasDay for SoilTest {
    fn day(&self) -> &At<Date> {
        &self.sampled
    }
}

impl HasDay for Analysis {
    fn day(&self) -> &At<Date> {
        &self.sampled
    }
}

impl HasDay for RuleSaid {
    fn day(&self) -> &At<Date> {
        &self.on
    }
}

impl HasDay for Rated {
    fn day(&self) -> &At<Date> {
        &self.on
    }
}

impl RuleSaid {
    /// Whether it states a condition for the year of some days: what holds for one year holds for no
    /// other, and for no more days than a year has.
    #[must_use]
    pub fn states(&self, word: &str, one_year: bool, (from, to): (Date, Date)) -> Option<&At<String>> {
        let year = self.year.as_ref().map(|year| year.value);
        let year = year.or(self.counted_for.filter(|_| one_year));
        let over = || from.checked_add(1.year()).is_ok_and(|next| next <= to);
        let holds = year.map_or(!one_year, |year| year == from.year() && !over());
        self.stated.iter().find(|at| at.value == word).filter(|_| holds)
    }
}

impl WrittenField {
    /// The field as it stood on one day, by what was known on another.
    #[must_use]
    pub fn as_of(&self, stood: Date, known: Date) -> WrittenField {
        let before = |day| self.before.iter().filter(move |b| day <= b.until.value);
        WrittenField {
            soil_test: self.soil_tests.on(known).cloned(),
            rating: self.ratings.on(known).cloned(),
            rule_said: self.rules_said.on(known).cloned(),
            hay: self.hay_on(stood, known).cloned(),
            name: before(stood).find_map(|b| b.name.clone()).unwrap_or_else(|| self.stand.name.clone()),
            forage: self.forage_on(stood).clone(),
            usage: before(stood).find_map(|b| b.usage.clone()).unwrap_or_else(|| self.stand.usage.clone()),
            yield_goal: self.yield_goal_on(stood).cloned(),
            bushels: self.bushels_on(stood).cloned(),
            ..self.clone()
        }
    }

    /// What grew on a day.
    #[must_use]
    pub fn forage_on(&self, day: Date) -> &At<String> {
        let before = self.before.iter().filter(|b| day <= b.until.value);
        before.filter_map(|b| b.forage.as_ref()).next().unwrap_or(&self.stand.forage)
    }

    /// The share of the growth that is cut, where stock grazes the rest and the farm says so.
    #[must_use]
    pub fn hayed_of(&self, usage: Use) -> Option<f64> {
        let share = self.hayed.as_ref().filter(|_| usage == Use::HayThenGrazed)?;
        Some(share.value.get() / 100.0)
    }

    /// What became of it on a day.
    #[must_use]
    pub fn usage_on(&self, day: Date) -> Use {
        let before = self.before.iter().filter(|b| day <= b.until.value);
        before.filter_map(|b| b.usage.as_ref()).next().unwrap_or(&self.stand.usage).value
    }

    /// The yield goal that was stated on a day, where one was.
    #[must_use]
    pub fn yield_goal_on(&self, day: Date) -> Option<&At<Yield>> {
        let before = self.before.iter().filter(|b| day <= b.until.value);
        before.filter_map(|b| b.yield_goal.as_ref()).next().or(self.stand.yield_goal.as_ref())
    }

    /// The analysis of what grew on a day, by what was known on another; that of another
    /// crop says nothing of it.
    fn hay_on(&self, stood: Date, known: Date) -> Option<&HayAnalysis> {
        let crop = &self.forage_on(stood).value;
        let own = || self.hays.iter().filter(|hay| &self.forage_on(hay.sampled.value).value == crop);
        own().rfind(|hay| hay.sampled.value <= known).or_else(|| own().next())
    }

    /// The bushels of that yield goal, where it is written so.
    #[must_use]
    pub fn bushels_on(&self, day: Date) -> Option<&Bushels> {
        let mut before = self.before.iter().filter(|b| day <= b.until.value && b.yield_goal.is_some());
        before.next().map_or(self.stand.bushels.as_ref(), |before| before.bushels.as_ref())
    }

    /// The days of a calendar year from which on something else may have been in force.
    #[must_use]
    pub fn changes_in(&self, year: i16) -> Vec<Date> {
        let next = self.before.iter().filter_map(|b| b.until.value.tomorrow().ok());
        Date::new(year, 1, 1).into_iter().chain(next.filter(|day| day.year() == year)).collect()
    }

    /// The days from which on something else was in force than before them: a newer soil
    /// test, a rating, another forage, use or yield goal.
    pub fn changed_on(&self) -> impl Iterator<Item = Date> {
        // Before the first soil test the first one counts; nobody had rated the field
        // before the first rating, nor stated anything before the first statement.
        let tests = self.soil_tests.iter().skip(1).map(|test| test.sampled.value);
        let next = self.before.iter().filter_map(|b| b.until.value.tomorrow().ok());
        let tests = tests.chain(self.hays.iter().skip(1).map(|hay| hay.sampled.value));
        let stated = self.rules_said.iter().map(|said| said.on.value);
        tests.chain(self.ratings.iter().map(|rated| rated.on.value)).chain(stated).chain(next)
    }

    /// The first day of what is in force: of what stood on one day, by what was known on
    /// another.
    #[must_use]
    pub fn in_force_since(&self, stood: Date, known: Date) -> Date {
        let last = stood.max(known);
        self.changed_on().filter(|day| *day <= last).max().unwrap_or(Date::MIN)
    }

    /// The id that an entry of a day gives it.
    #[must_use]
    pub fn id_on(&self, day: Date) -> &str {
        let before = self.before.iter().filter(|b| day <= b.until.value);
        &before.filter_map(|b| b.id.as_ref()).next().unwrap_or(&self.id).value
    }

    /// The ids of the fields that it was put together of, on a day: two or more that
    /// end together.
    #[must_use]
    pub fn parts_on(&self, day: Date) -> Vec<&str> {
        let ids: Vec<&Before> = self.before.iter().filter(|b| day <= b.until.value && b.id.is_some()).collect();
        let ends = ids.iter().map(|b| b.until.value).min();
        let together = ids.into_iter().filter(|b| Some(b.until.value) == ends);
        let parts: Vec<&str> = together.filter_map(|b| b.id.as_ref()).map(|id| id.value.as_str()).collect();
        if parts.len() > 1 { parts } else { Vec::new() }
    }

    /// Whether an entry of the log under some id, of some day, is about this field.
    fn was(&self, id: &str, day: Date) -> bool {
        self.id.value == id
            || self.before.iter().any(|b| day <= b.until.value && b.id.as_ref().is_some_and(|was| was.value == id))
    }
}

impl Written {
    /// Ids of all lots, also of those that could not be read.
    pub fn lot_ids(&self) -> impl Iterator<Item = &str> {
        self.lots.iter().map(|l| l.id.value.as_str()).chain(self.unread.iter().map(String::as_str))
    }

    /// Ids of all fields, also of those that could not be read.
    pub fn field_ids(&self) -> impl Iterator<Item = &str> {
        self.fields.iter().map(|f| f.id.value.as_str()).chain(self.unread.iter().map(String::as_str))
    }

    /// The farm with what is in force as of a day: papers up to it, and what grows on
    /// the first day that can be planned.
    #[must_use]
    pub fn in_force(&self, on: Date) -> Cow<'_, Written> {
        let stood = self.span.as_ref().map_or(on, |(from, _)| on.max(from.value));
        let changing = |field: &WrittenField| {
            !field.before.is_empty()
                || field.soil_tests.iter().len() > 1
                || field.ratings.iter().len() > 1
                || field.rules_said.iter().len() > 1
                || field.hays.iter().len() > 1
        };
        if !self.fields.iter().any(changing) && self.lots.iter().all(|lot| lot.analyses.iter().len() < 2) {
            return Cow::Borrowed(self);
        }
        let mut now = self.clone();
        for field in &mut now.fields {
            *field = field.as_of(stood, on);
        }
        for lot in &mut now.lots {
            lot.analysis = lot.analyses.on(on).cloned();
        }
        Cow::Owned(now)
    }

    /// The fields that an entry of the log is about: one, or after a split all
    /// that were parts of it.
    #[must_use]
    pub fn logged_fields(&self, id: &str, day: Date) -> Vec<&WrittenField> {
        self.fields.iter().filter(|field| field.was(id, day)).collect()
    }

    /// Entries of `before:` that know an id, whatever the day.
    pub fn once_called<'a>(&'a self, id: &'a str) -> impl Iterator<Item = (&'a WrittenField, &'a Before)> {
        let of = |field: &'a WrittenField| field.before.iter().map(move |before| (field, before));
        let named = move |before: &Before| before.id.as_ref().is_some_and(|was| was.value == id);
        self.fields.iter().flat_map(of).filter(move |(_, before)| named(before))
    }
}
