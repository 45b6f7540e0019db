//! Phosphorus of one field of the plan: what its rule allows, what the plan makes of it.

use crate::balance::{Basis, LimitKind, Npk, RuleRow};
use crate::plan::answer::{Application, Banking, HeldBy, OtherWay, PhosphorusCaution, PhosphorusRow, PhosphorusRule};
use crate::plan::sight::Sight;
use crate::tables::p_rule::PUnless;

/// Slack, as pounds per acre are shown.
const SHOWN: f64 = 0.05;

impl Sight<'_> {
    /// Phosphorus at a glance, with what log and plan put on of it, and what the plan does.
    pub(super) fn phosphorus(
        &self,
        planned: f64,
        (supplied, n_allowed): (&Npk<f64>, f64),
        held: &HeldBy,
        applications: &[Application],
    ) -> PhosphorusRow {
        let (notes, phosphorus) = (&self.weighed.notes, &self.weighed.phosphorus);
        let caution = |(what, words): &(String, String)| PhosphorusCaution { what: what.clone(), words: words.clone() };
        PhosphorusRow {
            soil: phosphorus.soil.map(|s| self.value(s)),
            unit: phosphorus.soil.map(|s| notes.step(s).unit.to_string()),
            class: phosphorus.class.map(|c| notes.word_of(c)),
            rating: self.field().rating.map(|r| r.word().to_string()),
            basis: phosphorus.basis,
            allowed: phosphorus.allowed.map(|a| self.value(a)),
            with_n: self.with_nitrogen(supplied, n_allowed),
            planned,
            rows: self.rules(&phosphorus.rows),
            for_bought: self.rules(&phosphorus.for_bought),
            cautions: phosphorus.cautions.iter().map(caution).collect(),
            used: self.used(LimitKind::Phosphorus, held, applications),
            bank: self.bank(held),
            rests_through: self.rests_through(supplied.p2o5, self.value(self.weighed.counted_off)),
        }
    }

    /// Rows of the place's phosphorus rule that hold.
    fn rules(&self, rows: &[RuleRow]) -> Vec<PhosphorusRule> {
        let phosphorus = &self.weighed.phosphorus;
        let way = |way: &PUnless| OtherWay {
            stated: way.stated.clone(),
            words: way.words.clone(),
            by: way.by.clone(),
            then: way.then.whole(),
        };
        let shown = |row: &RuleRow| PhosphorusRule {
            what: row.what.clone(),
            says: row.says.in_words(),
            allows: row.pounds.map(|pounds| self.value(pounds)),
            binds: row.why == phosphorus.why,
            cite: row.cite.clone(),
            ways: row.ways.iter().map(way).collect(),
        };
        rows.iter().map(shown).collect()
    }

    /// On a nitrogen basis, the P2O5 that the nitrogen allowed brings along when all of it
    /// comes in litter: as the plan mixes its lots, else of the first one.
    fn with_nitrogen(&self, supplied: &Npk<f64>, n_allowed: f64) -> Option<f64> {
        let weighed = self.weighed;
        if weighed.phosphorus.basis != Basis::Nitrogen || !weighed.bars.is_empty() {
            return None;
        }
        let of = if supplied.n > 0.0 { *supplied } else { weighed.npk_per_ton(weighed.lots.first()?, None) };
        (of.n > 0.0).then(|| n_allowed * of.p2o5 / of.n)
    }

    /// Years' worth at once that would make a rate the spreader can lay, where the rule
    /// allows that and nothing but a year's phosphate keeps the field from it.
    fn bank(&self, held: &HeldBy) -> Option<Banking> {
        let (weighed, phosphorus) = (self.weighed, &self.weighed.phosphorus);
        let [a_year, allowed] = [phosphorus.a_year, phosphorus.allowed].map(|lb| lb.map(|lb| self.value(lb)));
        let fresh = a_year.zip(allowed).is_some_and(|(a_year, allowed)| (a_year - allowed).abs() < SHOWN);
        let banks = self.field().written.bank_years.as_ref().is_some_and(|years| years.value > 1);
        let thin = held.by == LimitKind::Phosphorus && held.below_even;
        if !thin || phosphorus.basis != Basis::Removal || !fresh || banks {
            return None;
        }
        let (rate, least) = (held.rate?, self.question.rate(self.question.least_steps()));
        let lays = |years: &u16| rate * f64::from(*years) >= least - 1e-9;
        let years = (2..=phosphorus.years).find(lays)?;
        let free = |own: &&crate::balance::LotBalance| {
            own.limits.iter().all(|limit| limit.kind == LimitKind::Phosphorus || limit.rate >= least - 1e-9)
        };
        weighed.lots.iter().find(free)?;
        Some(Banking { years, most: phosphorus.years, rate: rate * f64::from(years) })
    }

    /// A field on which several years' phosphate went on rests until it is carried off, by
    /// what the rule lets on each year.
    fn rests_through(&self, supplied: f64, removed: f64) -> Option<i16> {
        let phosphorus = &self.weighed.phosphorus;
        let banks = phosphorus.basis == Basis::Removal || self.field().written.bank_years.is_some();
        let (first, last) = self.weighed.calendar;
        let a_year = removed * phosphorus.times.map_or(1.0, |times| self.value(times));
        let years = ((self.weighed.p2o5_on + supplied) / a_year - 1e-9).ceil().clamp(0.0, 100.0) as i16;
        let through = first.checked_add(years)?.checked_sub(1)?;
        (banks && a_year > 0.0 && through > last).then_some(through)
    }
}
