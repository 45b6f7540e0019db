//! The balance of a farm: types, and what is read off them.

use crate::balance::{Counts, Lack, Lime, Limit, LimitKind, LotLimit, Notebook, Npk, Over, Phosphorus, StepId};
use crate::balance::{
    Held, HerdPart, Needed, PutOn, RestGround, Supply, Surveyed, Trips, UndrawnPart, Window, YearNeed,
};
use crate::check::{Bar, Field, Laid};
use crate::farm::{MadeFor, Rated};
use crate::findings::{Cite, listed};
use crate::record::Entry;
use jiff::civil::Date;
use std::collections::BTreeMap;

/// The balance of the whole farm; fields and lots in the order written.
#[derive(Clone, Debug)]
pub struct Balance {
    /// The fields.
    pub fields: Vec<FieldBalance>,
}

/// The balance of one field.
#[derive(Clone, Debug)]
pub struct FieldBalance {
    /// The field as it was measured.
    pub surveyed: Surveyed,
    /// All steps, in the order they were taken.
    pub notes: Notebook,
    /// Acres to spread on, down to the hundredth.
    pub acres: f64,
    /// The yield goal, tons of dry hay per acre.
    pub goal: StepId,
    /// What the crop asks for in the first of the years that the plan touches, lb/ac.
    pub need: Npk<StepId>,
    /// The growing years that the plan touches, what each asks for and got.
    pub needs: Vec<YearNeed>,
    /// The same of growing years that no window touches any more, in which the log has litter
    /// since the plan's first day.
    pub over: Vec<YearNeed>,
    /// What the forage carries off, lb/ac.
    pub removed: Npk<StepId>,
    /// Phosphate of that which a limit by removal counts, lb/ac.
    pub counted_off: StepId,
    /// The herds that graze it.
    pub stock: Vec<HerdPart>,
    /// Class, basis and allowance of phosphorus.
    pub phosphorus: Phosphorus,
    /// Phosphate of earlier years that the forage has not carried off yet, with what the
    /// log shows in the calendar years of the plan, lb/ac.
    pub p2o5_on: f64,
    /// The first and the last calendar year that the plan touches.
    pub calendar: (i16, i16),
    /// What a ton of each spreading of the log held, by the entry's id.
    pub held: BTreeMap<String, Held>,
    /// Phosphate that fertilizer may still bring besides the litter of the plan, as if
    /// it went on at once, lb/ac; none where it is not limited.
    pub p2o5_to_buy: Option<f64>,
    /// How often litter may still go on, by calendar year.
    pub trips: Vec<Trips>,
    /// The figure that says how often in a year; none where the place has none.
    pub trips_by: Option<Cite>,
    /// How often in a window that was cut in pieces, in a season over New Year, and on all of
    /// the field in a window that was begun.
    pub openings: Vec<Trips>,
    /// What is left of the field in a window that was begun, where that is known.
    pub rest: Option<RestGround>,
    /// What is done of it, where nobody knows which ground is left.
    pub undrawn: Option<UndrawnPart>,
    /// Every limit on litter, whatever the lot.
    pub limits: Vec<Limit>,
    /// What bars the field outright.
    pub bars: Vec<Bar>,
    /// Figures that are not known and stop nothing: no limit goes by them.
    pub lacks: Vec<Lack>,
    /// Lime, where the soil test and the place say how much.
    pub lime: Option<Lime>,
    /// Soil loss, where the farm gives slope and soil.
    pub soil_loss: Option<StepId>,
    /// When litter may go on.
    pub windows: Vec<Window>,
    /// Days that were open and are over on the day of the plan.
    pub past: Vec<Window>,
    /// Per lot, what a ton supplies and what caps its rate.
    pub lots: Vec<LotBalance>,
}

/// One lot on one field.
#[derive(Clone, Debug)]
pub struct LotBalance {
    /// Id of the lot.
    pub id: String,
    /// What a ton supplies in the first year.
    pub supply: Supply,
    /// Available nitrogen of a ton in each of the field's windows, those that are
    /// over last.
    pub n_in: Vec<StepId>,
    /// What every limit allows of it on this field, smallest first.
    pub limits: Vec<LotLimit>,
}

impl LotBalance {
    /// Available nitrogen of a ton in one of the field's windows, or over the year.
    fn n_in_window(&self, window: Option<usize>) -> StepId {
        window.and_then(|at| self.n_in.get(at)).copied().unwrap_or(self.supply.per_ton.n)
    }

    /// The steps of what of a ton counts toward the need in one of the field's windows.
    #[must_use]
    pub fn usable_in_window(&self, window: Option<usize>) -> Npk<StepId> {
        Npk { n: self.n_in_window(window), ..self.supply.usable }
    }

    /// The steps of what a ton puts on in one of the field's windows.
    #[must_use]
    pub fn npk_in_window(&self, window: Option<usize>) -> Npk<StepId> {
        Npk { n: self.n_in_window(window), ..self.supply.per_ton }
    }
}

impl Balance {
    /// The field with this id.
    #[must_use]
    pub fn field(&self, id: &str) -> Option<&FieldBalance> {
        self.fields.iter().find(|own| own.field().id() == id)
    }
}

impl FieldBalance {
    /// The field, as it was checked.
    #[must_use]
    pub fn field(&self) -> &Field {
        &self.surveyed.field
    }

    /// The number of a step.
    #[must_use]
    pub fn value(&self, step: StepId) -> f64 {
        self.notes.value(step)
    }

    /// A limit that there is one of on a field.
    #[must_use]
    pub fn limit(&self, kind: LimitKind) -> Option<&Limit> {
        self.limits.iter().find(|limit| limit.kind == kind)
    }

    /// The days whose spreadings are listed beside these sums: some days, and the growing
    /// years that they touch.
    #[must_use]
    pub fn listed(&self, (from, to): (Date, Date)) -> (Date, Date) {
        let years = || self.needs.iter().map(|need| need.days);
        (years().map(|days| days.0).fold(from, Date::min), years().map(|days| days.1).fold(to, Date::max))
    }

    /// What the log put on of something in the growing years that the plan touches, per
    /// acre of the densest ground.
    #[must_use]
    pub fn done_of(&self, counted: Counts) -> f64 {
        self.needs.iter().map(|need| self.done_in(need, counted)).fold(0.0, |sum, one| sum + one)
    }

    /// Whether the analyses of all that was logged in them tell it.
    #[must_use]
    pub fn told(&self, counted: Counts) -> bool {
        self.needs.iter().all(|need| need.done.told(counted))
    }

    fn done_in(&self, need: &YearNeed, counted: Counts) -> f64 {
        need.done.get(counted).map_or(0.0, |step| self.value(step))
    }

    /// What the log put on of something in a growing year on the ground that is left of a window
    /// that was begun, lb/ac: on a field without one, what it put on at all.
    #[must_use]
    pub fn on_rest_of(&self, year: &YearNeed, counted: Counts) -> f64 {
        let on: &PutOn = year.on_rest.as_ref().unwrap_or(&year.done);
        on.get(counted).map_or(0.0, |step| self.value(step))
    }

    /// What the log put on of something in a growing year, on the ground that got most, lb/ac.
    #[must_use]
    pub fn on_by_log(&self, year: &YearNeed, counted: Counts) -> f64 {
        self.done_in(year, counted)
    }

    /// The rating by which the field's phosphorus goes and the rate it was made for, where it says.
    #[must_use]
    pub fn made_for(&self) -> Option<(&Rated, MadeFor)> {
        let rated = self.field().written.rating.as_ref().filter(|_| self.field().rating.is_some())?;
        Some((rated, rated.made_for.as_ref()?.value))
    }

    /// The nutrients that it put on there.
    #[must_use]
    pub fn on_rest(&self, year: &YearNeed) -> Npk<f64> {
        Npk { n: Counts::N, p2o5: Counts::P2o5, k2o: Counts::K2o }.map(|counted| self.on_rest_of(year, counted))
    }

    /// What of that counts toward the need.
    #[must_use]
    pub fn usable_on_rest(&self, year: &YearNeed) -> Npk<f64> {
        let [p2o5, k2o] = Counts::USABLE;
        Npk { n: Counts::N, p2o5, k2o }.map(|counted| self.on_rest_of(year, counted))
    }

    /// Of the need of each year, what the log has not met on that ground, lb/ac.
    #[must_use]
    pub fn left_on_rest(&self) -> Npk<f64> {
        self.needs.iter().fold(Npk::default(), |sum: Npk<f64>, year| {
            let (asked, _) = self.in_year(year);
            sum.with(asked.with(self.usable_on_rest(year), |need, on| (need - on).max(0.0)), |sum, one| sum + one)
        })
    }

    /// Nutrients that the log put on in them, lb/ac.
    #[must_use]
    pub fn done(&self) -> Npk<f64> {
        Npk { n: self.done_of(Counts::N), p2o5: self.done_of(Counts::P2o5), k2o: self.done_of(Counts::K2o) }
    }

    /// What the crop asks for in them, lb/ac.
    #[must_use]
    pub fn needed(&self) -> Npk<f64> {
        self.over_years(|need, _| need)
    }

    /// What the crop asks for in one of them and what of the log counts toward it, lb/ac.
    #[must_use]
    pub fn in_year(&self, year: &YearNeed) -> (Npk<f64>, Npk<f64>) {
        let usable = self.npk_in(year, [Counts::UsableP2o5, Counts::UsableK2o]);
        (Npk { n: year.n, ..self.need }.map(|step| self.value(step)), usable)
    }

    /// What the log put on in one of them, lb/ac.
    #[must_use]
    pub fn on_in_year(&self, year: &YearNeed) -> Npk<f64> {
        self.npk_in(year, [Counts::P2o5, Counts::K2o])
    }

    fn npk_in(&self, year: &YearNeed, [p2o5, k2o]: [Counts; 2]) -> Npk<f64> {
        Npk { n: Counts::N, p2o5, k2o }.map(|counted| self.done_in(year, counted))
    }

    /// Pounds of which those are not known whose need is not.
    #[must_use]
    pub fn as_known(&self, lb: Npk<f64>) -> Needed {
        Needed::new(lb, self.need.map(|step| self.notes.knows(step)))
    }

    /// What is carried off in a year, lb/ac.
    #[must_use]
    pub fn carried_off(&self) -> Needed {
        Needed::new(self.removed.map(|step| self.value(step)), self.removed.map(|step| self.notes.knows(step)))
    }

    /// Of the need of each year, what the log has not met in it, lb/ac.
    #[must_use]
    pub fn left(&self) -> Npk<f64> {
        self.over_years(|need, done| (need - done).max(0.0))
    }

    /// Dollars of the need of each year that the log's litter has met since the plan's first
    /// day, on the ground that got it: what it met with that litter, less what was met without.
    #[must_use]
    pub fn met_by_litter(&self, laid: &Laid<'_>, since: Date, worth: &dyn Fn(Npk<f64>) -> f64) -> f64 {
        let in_year = |year: &YearNeed| -> f64 {
            let (asked, _) = self.in_year(year);
            let met = |of: Npk<f64>| asked.with(of, |asked, on| asked.min(on).max(0.0));
            let litter = laid.within((year.days.0.max(since), year.days.1));
            let put = |entry: &Entry| -> [f64; 3] {
                let held = self.held.get(&entry.id).map(|held| held.usable.map(|step| self.value(step)));
                held.map_or([0.0; 3], |held| [held.n, held.p2o5, held.k2o].map(|lb| lb * litter.rate(entry)))
            };
            let without = met(year.beside);
            let dollars = |(acres, [n, p2o5, k2o]): (f64, [f64; 3])| {
                let with = met(year.beside.with(Npk { n, p2o5, k2o }, |beside, on| beside + on));
                acres * worth(with.with(without, |all, beside| (all - beside).max(0.0)))
            };
            litter.pieces(&put).into_iter().map(dollars).sum()
        };
        self.needs.iter().chain(&self.over).map(in_year).sum()
    }

    fn over_years(&self, of: fn(f64, f64) -> f64) -> Npk<f64> {
        self.needs.iter().fold(Npk::default(), |sum: Npk<f64>, year| {
            let (asked, done) = self.in_year(year);
            sum.with(asked.with(done, of), |sum, one| sum + one)
        })
    }

    /// In a few words why no litter can go on it, whatever the lot; none where some may.
    #[must_use]
    pub fn without_litter(&self) -> Option<String> {
        let mut wants: Vec<&str> = Vec::new();
        for word in self.bars.iter().map(|bar| bar.wants.word()) {
            if !wants.contains(&word) {
                wants.push(word);
            }
        }
        let of_a_year = |limit: &&Limit| matches!(limit.counts, Counts::N | Counts::P2o5) && limit.season.is_none();
        let none_left: Vec<&Limit> =
            self.limits.iter().filter(of_a_year).filter(|limit| self.value(limit.left) <= 0.0).collect();
        // Each year has its own: all windows must lie in one of which nothing is left.
        let shuts = |limit: &Limit, window: usize| {
            limit.windows.contains(&window) && limit.is_met_by(self.windows.get(window).map(|w| w.first).into_iter())
        };
        let closed = |window: usize| none_left.iter().any(|limit| shuts(limit, window));
        let used_up = none_left.first().filter(|_| (0..self.windows.len()).all(closed));
        match () {
            () if !wants.is_empty() => Some(listed(&wants)),
            () if self.acres <= 0.0 => Some(LimitKind::NoGround.word().to_string()),
            () if self.windows.is_empty() => Some(LimitKind::NoSeason.word().to_string()),
            () => used_up.map(|limit| match (self.value(limit.allowed) > 0.0, limit.counts) {
                (true, counts) => format!("{} limit used up", counts.word()),
                (false, Counts::N) => "needs no added nitrogen".to_string(),
                (false, counts) => format!("no {} allowed", counts.word()),
            }),
        }
    }

    /// Whether what it wants can be written into the farm folder.
    #[must_use]
    pub fn wants_something(&self) -> bool {
        self.bars.iter().any(|bar| bar.wants.can_be_given())
    }

    /// A lot on this field.
    #[must_use]
    pub fn lot(&self, id: &str) -> Option<&LotBalance> {
        self.lots.iter().find(|own| own.id == id)
    }

    /// What a ton of a lot puts on of something in one of the field's windows: 1 of
    /// tons; none where the analysis does not tell.
    #[must_use]
    pub fn per_ton(&self, lot: &LotBalance, counted: Counts, window: Option<usize>) -> Option<f64> {
        match counted {
            Counts::Tons => Some(1.0),
            Counts::N => Some(self.value(lot.n_in_window(window))),
            _ => lot.supply.of(counted).map(|step| self.value(step)),
        }
    }

    /// Nutrients that a ton of a lot puts on in one of the field's windows, lb.
    #[must_use]
    pub fn npk_per_ton(&self, lot: &LotBalance, window: Option<usize>) -> Npk<f64> {
        lot.npk_in_window(window).map(|step| self.value(step))
    }

    /// What of a ton of a lot counts toward the need in one of the field's windows, lb.
    #[must_use]
    pub fn usable_per_ton(&self, lot: &LotBalance, window: Option<usize>) -> Npk<f64> {
        lot.usable_in_window(window).map(|step| self.value(step))
    }

    /// The steps of what the log put on in the growing years that the plan touches.
    pub fn done_steps(&self, counted: Counts) -> impl Iterator<Item = StepId> {
        self.needs.iter().filter_map(move |need| need.done.get(counted))
    }

    /// What a ton of a lot of some kind uses of a limit when it goes on in a window:
    /// nothing where the limit does not bind there.
    #[must_use]
    pub fn use_of(&self, limit: &Limit, lot: &LotBalance, kind: &str, window: usize) -> f64 {
        let binds = limit.binds(kind) && (limit.over == Over::Once || limit.windows.contains(&window));
        self.per_ton(lot, limit.counts, Some(window)).filter(|_| binds).unwrap_or(0.0)
    }
}
