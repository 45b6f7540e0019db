//! Phosphorus of one field of the plan: what its rule allows, what the plan makes of it.

use crate::balance::{Basis, Counts, Limit, LimitKind, Npk, Over, RuleRow, YearNeed};
use crate::check::{class_of_score, tool_of_another};
use crate::plan::answer::{
    Application, Banking, HeldBy, OtherWay, PhosphorusCaution, PhosphorusRow, PhosphorusRule, RatedRow, RatedWith,
    ScoreClass,
};
use crate::plan::jobs;
use crate::plan::sight::Sight;
use crate::tables::p_rule::PUnless;
use crate::tables::{Book, Scope, topic};

/// What comes along up to a limit on nitrogen or litter.
#[derive(Clone, Copy)]
struct WithN {
    lb: f64,
    by: LimitKind,
    /// What log and plan put on over the same days.
    on: f64,
}

/// Slack, as pounds per acre are shown.
const SHOWN: f64 = 0.05;

/// How the place rates the phosphorus risk of a field.
pub(super) fn rates_with(book: &Book<'_>) -> Option<RatedWith> {
    let place = book.get(topic::P_RATING, &Scope::new())?;
    Some(RatedWith { words: place.value.in_words(), cite: place.cite })
}

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
        let with_n = self.with_nitrogen(n_allowed, applications);
        let caution = |(what, words): &(String, String)| PhosphorusCaution { what: what.clone(), words: words.clone() };
        PhosphorusRow {
            soil: phosphorus.soil.map(|s| self.value(s)),
            unit: phosphorus.soil.map(|s| notes.step(s).unit.to_string()),
            class: phosphorus.class.map(|c| notes.word_of(c)),
            rating: self.field().rating.map(|r| r.word().to_string()),
            rated: self.rated(),
            basis: phosphorus.basis,
            allowed: phosphorus.allowed.filter(|a| notes.knows(*a)).map(|a| self.value(a)),
            with_n: with_n.map(|with| with.lb),
            with_n_by: with_n.map(|with| with.by),
            with_n_on: with_n.map(|with| with.on),
            planned,
            rows: self.rules(&phosphorus.rows),
            for_bought: self.rules(&phosphorus.for_bought),
            cautions: phosphorus.cautions.iter().map(caution).collect(),
            used: self.used(LimitKind::Phosphorus, held, applications),
            bank: self.bank(held),
            rests_through: self.rests_through(supplied.p2o5, self.value(self.weighed.counted_off)),
        }
    }

    /// The rating as the planner wrote it.
    fn rated(&self) -> Option<RatedRow> {
        let rated = self.field().written.rating.as_ref()?;
        // Bounds of this place say nothing of a score of another one's tool.
        let own = self.book.filter(|book| tool_of_another(rated, book).is_none());
        let class = own.and_then(|book| class_of_score(rated, book));
        Some(RatedRow {
            tool: rated.made_with(),
            score: rated.score.as_ref().map(|score| score.value),
            score_class: class.map(|own| ScoreClass { class: own.value.replace('_', " "), cite: own.cite }),
            made_for: rated.made_for.as_ref().map(|rate| rate.value.in_words()),
            n_leaching: rated.n_leaching.as_ref().map(|leaching| leaching.value.in_words()),
            by: rated.by.clone(),
            on: rated.on.value,
        })
    }

    /// Rows of the place's phosphorus rule that hold.
    fn rules(&self, rows: &[RuleRow]) -> Vec<PhosphorusRule> {
        let phosphorus = &self.weighed.phosphorus;
        let way = |way: &PUnless| OtherWay {
            stated: way.stated.clone(),
            words: way.words.clone(),
            by: way.by.clone(),
            then: way.then.whole(),
            one_year: way.one_year.then(|| self.ready.from.year()),
        };
        let shown = |row: &RuleRow| PhosphorusRule {
            what: row.what.clone(),
            says: row.says.whole(),
            allows: row.pounds.map(|pounds| self.value(pounds)),
            binds: phosphorus.binding.contains(&row.why),
            cite: row.cite.clone(),
            stated: row.stated.clone(),
            lapsed: row.lapsed.clone(),
            test_expired: row.expired,
            ways: row.ways.iter().map(way).collect(),
        };
        rows.iter().map(shown).collect()
    }

    /// On a nitrogen basis, the P2O5 that is on, and what litter brings when more of it goes on up
    /// to the limit that leaves the least room: as the plan mixes its lots, else of the first one.
    /// What log and plan put on is of the days that this limit counts.
    fn with_nitrogen(&self, n_allowed: f64, applications: &[Application]) -> Option<WithN> {
        let weighed = self.weighed;
        if weighed.phosphorus.basis != Basis::Nitrogen || !weighed.bars.is_empty() {
            return None;
        }
        let several = weighed.needs.len() > 1;
        let row = |row: &Limit| {
            let left = match row.kind {
                LimitKind::Nitrogen if !several => n_allowed - weighed.done_of(Counts::N),
                _ => self.value(row.left),
            };
            let most = self.tons_of(row, left.max(0.0), applications, None)?;
            let counted = |a: &&Application| jobs::window(weighed, a).is_some_and(|at| row.windows.contains(&at));
            Some((most, applications.iter().filter(counted).cloned().collect::<Vec<_>>(), row.kind, row.over.days()))
        };
        let of_year = |row: &&Limit| {
            row.is_met_by(applications.iter().map(|own| own.first))
                && row.over.days().is_some()
                && row.season.is_none()
                && !row.windows.is_empty()
                && !row.kind.is_at_once()
        };
        let by_trips = self.by_trips(applications).map(|(most, by)| (most, applications.to_vec(), by, None));
        let rows = weighed.limits.iter().filter(of_year).filter_map(row).chain(by_trips);
        let tons = |own: &[Application]| own.iter().map(|a| a.rate).fold(0.0, |sum, rate| sum + rate);
        let (most, own, by, days) = rows.min_by(|(a, own, by, _), (b, others, other, _)| {
            // Where nothing is planned, what is allowed is what is left.
            (a - tons(own)).total_cmp(&(b - tons(others))).then(a.total_cmp(b)).then(by.cmp(other))
        })?;
        let in_days = |year: &&YearNeed| days.is_none_or(|(first, last)| year.days.0 <= last && first <= year.days.1);
        let done = weighed.needs.iter().filter(in_days).map(|year| weighed.on_by_log(year, Counts::P2o5));
        let done = done.fold(0.0, |sum, lb| sum + lb);
        let along = most * self.in_the_mix(Counts::P2o5, applications, None)?;
        let put = self.supplied(&own).p2o5;
        Some(WithN { lb: done + along, by, on: done + put })
    }

    /// Tons of all trips that are open: what each season and each trip may still take. A trip that
    /// was begun on a part of the field is no whole one, and nothing is said.
    fn by_trips(&self, applications: &[Application]) -> Option<(f64, LimitKind)> {
        let weighed = self.weighed;
        if weighed.rest.is_some() || weighed.windows.is_empty() {
            return None;
        }
        let tons = |row: &Limit, at: Option<usize>| self.tons_of(row, self.value(row.left), applications, at);
        let at_once = weighed.limits.iter().filter(|row| row.kind.is_at_once() && row.over == Over::Once);
        let at_once = at_once.filter_map(|row| Some((tons(row, None)?, row.kind)));
        let (a_trip, kind) =
            at_once.min_by(|a, b| a.0.total_cmp(&b.0)).unwrap_or((f64::INFINITY, LimitKind::SeasonShare));
        let (mut all, mut by, mut seen) = (0.0, kind, Vec::new());
        for (at, window) in weighed.windows.iter().enumerate() {
            let opening = (&window.season, window.season_days);
            if seen.contains(&opening) {
                continue;
            }
            let trips = weighed.windows.iter().filter(|w| (&w.season, w.season_days) == opening).count();
            let share = weighed.limits.iter().find(|row| row.season.is_some() && row.windows.contains(&at));
            let share = share.and_then(|row| tons(row, Some(at))).unwrap_or(f64::INFINITY);
            if share < a_trip * trips as f64 {
                by = LimitKind::SeasonShare;
            }
            all += share.min(a_trip * trips as f64);
            seen.push(opening);
        }
        let trips: usize = weighed.trips.iter().map(|trips| trips.most).sum();
        let most = a_trip * trips as f64;
        if most < all { Some((most, kind)) } else { Some((all, by)) }
    }

    /// Tons of litter that use up a limit, nitrogen as in a window where one is named.
    fn tons_of(&self, row: &Limit, allowed: f64, applications: &[Application], at: Option<usize>) -> Option<f64> {
        self.in_the_mix(row.counts, applications, at).filter(|used| *used > 0.0).map(|used| allowed / used)
    }

    /// What a ton of the plan's litter on the field holds of something; of the first lot where
    /// none is planned.
    fn in_the_mix(&self, counted: Counts, applications: &[Application], at: Option<usize>) -> Option<f64> {
        let weighed = self.weighed;
        let window = |a: &Application| at.or_else(|| jobs::window(weighed, a));
        let held = |a: &Application| weighed.per_ton(weighed.lot(&a.lot)?, counted, window(a));
        match applications {
            [] => weighed.per_ton(weighed.lots.first()?, counted, at),
            all => {
                let tons: f64 = all.iter().map(|a| a.rate).sum();
                let held = all.iter().map(|a| Some(a.rate * held(a)?)).sum::<Option<f64>>()?;
                Some(held / tons)
            }
        }
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
        let a_year = a_year?;
        let (rate, least) = (held.rate?, self.question.rate(self.question.least_steps()));
        // What is on already counts once, however many years are put on at once.
        let left = self.value(weighed.limit(LimitKind::Phosphorus)?.left);
        let of = |years: u16| rate * (left + f64::from(years - 1) * a_year) / left;
        let years = (2..=phosphorus.years).find(|years| of(*years) >= least - 1e-9)?;
        let free = |own: &&crate::balance::LotBalance| {
            own.limits.iter().all(|limit| limit.kind == LimitKind::Phosphorus || limit.rate >= least - 1e-9)
        };
        weighed.lots.iter().find(free)?;
        Some(Banking { years, most: phosphorus.years, rate: of(years) })
    }

    /// A field on which several years' phosphate went on rests until it is carried off.
    fn rests_through(&self, supplied: f64, removed: f64) -> Option<i16> {
        let phosphorus = &self.weighed.phosphorus;
        let banks = phosphorus.basis == Basis::Removal || self.field().written.bank_years.is_some();
        let (first, last) = self.weighed.calendar;
        // The rule lets on more or less than the forage carries off by its factor in the year of
        // the spreading; in a year without litter no more than what is carried off goes.
        let a_year = removed * phosphorus.times.map_or(1.0, |times| self.value(times));
        let on = self.weighed.p2o5_on + supplied;
        let after = ((on - a_year) / a_year.min(removed) - 1e-9).ceil();
        let years = (1.0 + after).clamp(0.0, 100.0) as i16;
        let through = first.checked_add(years)?.checked_sub(1)?;
        (banks && a_year > 0.0 && through > last).then_some(through)
    }
}
