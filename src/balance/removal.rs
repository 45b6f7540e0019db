//! Phosphate that the forage carries off in a calendar year: by the forage, the use and
//! the yield goal that were in force in it.

use crate::balance::desk::Desk;
use crate::balance::{Op, StepId, goal, hay};
use crate::farm::Use;
use crate::tables::topic;
use jiff::civil::Date;
use std::collections::BTreeMap;

/// What is carried off, year by year.
pub(super) struct Removal {
    /// By what is in force in the plan.
    pub(super) now: StepId,
    /// What the rule allows for a year of it.
    pub(super) a_year: StepId,
    /// The factor of the rule, where it has one.
    pub(super) times: Option<StepId>,
    /// The yield goal of the plan.
    goal: StepId,
    /// The first calendar year in which the plan can put something on.
    from: i16,
    /// What was found of the years before it.
    before: BTreeMap<i16, Then>,
}

/// A year before the plan.
#[derive(Clone, Copy)]
struct Then {
    /// What was carried off, by the smaller of what was in force in it.
    off: StepId,
    /// What the rule allows for it, the smaller and the larger.
    least: StepId,
    most: StepId,
}

impl Removal {
    pub(super) fn new(now: StepId, (a_year, times): (StepId, Option<StepId>), goal: StepId, from: i16) -> Removal {
        Removal { now, a_year, times, goal, from, before: BTreeMap::new() }
    }

    /// What the rule allows for a year. Where something changed within it, the smaller
    /// holds.
    pub(super) fn in_year(&mut self, desk: &mut Desk<'_>, year: i16) -> StepId {
        self.then(desk, year).least
    }

    /// The larger of that year: a limit on one of its days may have gone by it.
    pub(super) fn most_in_year(&mut self, desk: &mut Desk<'_>, year: i16) -> StepId {
        self.then(desk, year).most
    }

    /// Of what went on in a year, with nothing left of earlier ones or with some, how much
    /// is done with when it ends: what the forage carried off, and what was within the rule
    /// of that year. More than the rule allows is not, and a factor above 1 carries nothing
    /// off where less went on.
    pub(super) fn done_with(&mut self, desk: &mut Desk<'_>, year: i16, put: Option<StepId>) -> StepId {
        let Then { off, least, .. } = self.then(desk, year);
        let value = |step: StepId| desk.notes.value(step);
        let within = put.filter(|put| value(off) < value(*put) && value(*put) < value(least));
        within.unwrap_or(if put.is_none_or(|put| value(put) <= value(off)) && value(off) < value(least) {
            off
        } else {
            least
        })
    }

    /// What each more year of the plan adds while something is left of earlier ones.
    pub(super) fn one_more(&self, desk: &Desk<'_>) -> StepId {
        if desk.notes.value(self.now) < desk.notes.value(self.a_year) { self.now } else { self.a_year }
    }

    fn then(&mut self, desk: &mut Desk<'_>, year: i16) -> Then {
        if year >= self.from || desk.field.written.before.is_empty() {
            return Then { off: self.now, least: self.a_year, most: self.a_year };
        }
        if let Some(found) = self.before.get(&year) {
            return *found;
        }
        let stood: Vec<StepId> =
            desk.field.written.changes_in(year).into_iter().map(|day| self.on(desk, (year, day))).collect();
        let value = |step: &StepId| desk.notes.value(*step);
        let off = stood.iter().copied().min_by(|a, b| value(a).total_cmp(&value(b))).unwrap_or(self.now);
        let most = stood.into_iter().max_by(|a, b| value(a).total_cmp(&value(b))).unwrap_or(self.now);
        let then = Then { off, least: self.allowed(desk, year, off), most: self.allowed(desk, year, most) };
        self.before.insert(year, then);
        then
    }

    /// What the rule allows of what was carried off in a year.
    fn allowed(&self, desk: &mut Desk<'_>, year: i16, off: StepId) -> StepId {
        match self.times {
            _ if off == self.now => self.a_year,
            Some(times) => {
                desk.notes.reckon(format!("P2O5 that the rule allows in {year}"), "lb/ac", Op::Times, &[off, times])
            }
            None => off,
        }
    }

    /// That of a whole year by what was in force on one of its days.
    fn on(&self, desk: &mut Desk<'_>, (year, day): (i16, Date)) -> StepId {
        let written = &desk.field.written;
        let (forage, usage, goal) = (written.forage_on(day), written.usage_on(day), written.yield_goal_on(day));
        let stated = |goal: Option<&crate::findings::At<crate::units::Yield>>| goal.map(|goal| goal.value);
        let same_goal = stated(goal) == stated(written.yield_goal.as_ref());
        if same_goal && (&forage.value, usage) == (&written.forage.value, written.usage.value) {
            return self.now;
        }
        let scope = desk.ready.scope_on(desk.field, day);
        let tons = match goal.filter(|_| !same_goal) {
            Some(goal) => goal::stated(desk, format!("yield goal in {year}"), goal, written.bushels_on(day)),
            None => self.goal,
        };
        let what = format!("P2O5 carried off in {year}");
        let own = (forage.value == written.forage.value).then(|| hay::per_ton(desk, "P2O5")).flatten();
        let Some(per_ton) = hay::counted(desk, own, &scope, &format!("{what} per ton of {}", usage.yields())) else {
            return desk.notes.unknown(what, crate::findings::Origin::Definition("no figure in the tables".into()));
        };
        let mut of = vec![tons, per_ton];
        let keeps = desk.book.get(topic::GRAZING_KEEPS, &scope.nutrient("p2o5").usage(Use::Pasture.key()));
        let cut = written.hayed_of(usage);
        if let Some(keeps) = keeps.filter(|_| usage == Use::Pasture || cut.is_some()) {
            let kept = desk.notes.figure("share of P2O5 that grazing animals keep", &keeps);
            of.push(match cut {
                None => kept,
                Some(cut) => {
                    let share = cut + (1.0 - cut) * desk.notes.value(kept);
                    let by = crate::findings::Origin::Figure(keeps.cite);
                    desk.notes.given("share of P2O5 that leaves as hay and with animals", share, "", by)
                }
            });
        }
        let off = desk.notes.reckon(what.clone(), "lb/ac", Op::Times, &of);
        // No record says how many head there were: not more than leaves with those of now.
        match usage == Use::Pasture && written.usage.value == Use::Pasture {
            true => desk.notes.reckon(what, "lb/ac", Op::Least, &[off, self.now]),
            false => off,
        }
    }
}
