//! What the log put on a field in the plan's days, per acre of its densest ground.

use crate::balance::desk::Desk;
use crate::balance::{Npk, StepId, Supply};
use crate::check::Laid;
use jiff::civil::Date;
use std::collections::BTreeMap;

/// What a ton of an entry holds, lb.
#[derive(Clone, Copy, Default)]
struct Holds {
    npk: Npk<f64>,
    zinc: Option<f64>,
    copper: Option<f64>,
}

/// What the log put on a field.
pub(super) struct Logged<'a> {
    pub(super) laid: Laid<'a>,
    pub(super) acres: f64,
    /// By the id of the entry.
    holds: BTreeMap<&'a str, Holds>,
}

impl<'a> Logged<'a> {
    /// The entries of the plan's days on so many acres.
    pub(super) fn of(desk: &Desk<'a>, acres: f64) -> Logged<'a> {
        let days = (desk.ready.from, desk.ready.to);
        let laid = Laid::of(desk.ready, desk.field, desk.book, acres, days);
        Logged { laid, acres, holds: BTreeMap::new() }
    }

    /// The seasons in which something was logged.
    pub(super) fn seasons(&self) -> impl Iterator<Item = &str> {
        self.laid.entries().filter_map(|(season, _)| season)
    }

    /// Looks up what every entry holds. Nitrogen counts as in the season that
    /// was open when it went on, lot by lot in `n_in`.
    pub(super) fn look_up(&mut self, desk: &Desk<'_>, supplies: &[Supply], n_in: &[BTreeMap<String, StepId>]) {
        let value = |step: StepId| desk.notes.value(step);
        for (season, entry) in self.laid.entries() {
            let lot = desk.ready.lot_of(entry);
            let Some((supply, n_in)) = lot.and_then(|i| Some((supplies.get(i)?, n_in.get(i)?))) else { continue };
            let n = season.and_then(|s| n_in.get(s)).copied().unwrap_or(supply.per_ton.n);
            let npk = Npk { n, ..supply.per_ton }.map(value);
            self.holds.insert(&entry.id, Holds { npk, zinc: supply.zinc.map(value), copper: supply.copper.map(value) });
        }
    }

    /// Available nitrogen that an entry put on its own acres, lb/ac.
    pub(super) fn n_of(&self, id: &str, rate: f64) -> f64 {
        rate * self.holds.get(id).map_or(0.0, |holds| holds.npk.n)
    }

    fn most(&self, laid: &Laid<'_>, of: fn(&Holds) -> f64) -> f64 {
        laid.densest(&|entry| self.holds.get(entry.id.as_str()).map_or(0.0, of))
    }

    /// Nutrients put on, lb/ac.
    pub(super) fn npk(&self) -> Npk<f64> {
        let most = |of| self.most(&self.laid, of);
        Npk { n: most(|h| h.npk.n), p2o5: most(|h| h.npk.p2o5), k2o: most(|h| h.npk.k2o) }
    }

    /// Zinc and copper put on, lb/ac; none where an analysis does not say.
    pub(super) fn metals(&self) -> [Option<f64>; 2] {
        let most = |of: fn(&Holds) -> Option<f64>| {
            self.holds
                .values()
                .all(|h| of(h).is_some())
                .then(|| self.laid.densest(&|entry| self.holds.get(entry.id.as_str()).and_then(of).unwrap_or_default()))
        };
        [most(|h| h.zinc), most(|h| h.copper)]
    }

    /// Litter put on, tons/ac.
    pub(super) fn tons(&self) -> f64 {
        self.laid.densest(&|_| 1.0)
    }

    /// Available nitrogen put on in some days, lb/ac.
    pub(super) fn n_within(&self, desk: &Desk<'_>, days: (Date, Date)) -> f64 {
        self.most(&Laid::of(desk.ready, desk.field, desk.book, self.acres, days), |h| h.npk.n)
    }
}
