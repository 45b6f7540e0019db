//! The nitrogen of one field: what goes on, what is needed, in every draw.

use crate::balance::{Counts, FieldBalance, How, Notebook, Op, StepId};
use crate::check::Ready;
use crate::plan::answer::{Application, FieldPlan, Plan, SHORT_BY, YearBudget, YearSure};
use crate::plan::draws::Bell;
use crate::plan::jobs;
use crate::plan::scatter::band::{DRAWS, band, mean, share};
use crate::plan::scatter::content::{LotDraws, PerTon};
use crate::plan::scatter::spread::{self, Cited};
use crate::record::What;
use crate::tables::Book;
use jiff::civil::Date;

/// What every field is looked at with.
pub(super) struct Desk<'a> {
    pub(super) ready: &'a Ready,
    pub(super) book: &'a Book<'a>,
    pub(super) plan: &'a Plan,
    pub(super) bell: &'a Bell,
    pub(super) lots: &'a [LotDraws],
    pub(super) rate: &'a Cited,
    pub(super) placement: &'a Cited,
}

/// Litter on a field: planned, or by the log.
pub(super) struct Piece {
    pub(super) lot: usize,
    pub(super) per_ton: PerTon,
    /// Tons per acre of the field.
    pub(super) tons: f64,
    /// Whether the spreader is still to put it down.
    planned: bool,
    /// How thick it lies on a spot.
    spot: Vec<f64>,
}

/// A field with its draws.
pub(super) struct Site<'a> {
    pub(super) desk: &'a Desk<'a>,
    pub(super) field: &'a FieldPlan,
    pub(super) weighed: &'a FieldBalance,
    pub(super) yields: Cited,
    by_rate: Vec<f64>,
    by_yield: Vec<f64>,
}

/// The nitrogen of one growing year.
pub(super) struct YearDraws<'a> {
    site: &'a Site<'a>,
    year: &'a YearBudget,
    pieces: Vec<Piece>,
    /// What is put on and counted as exact.
    exact: f64,
    fertilizer: f64,
    /// What is taken off the crop's whole need, whatever it yields.
    taken_off: f64,
}

impl<'a> Site<'a> {
    pub(super) fn of(desk: &'a Desk<'a>, field: &'a FieldPlan, weighed: &'a FieldBalance) -> Site<'a> {
        let named = |what: &str| desk.bell.named(&format!("field {} {what}", field.id));
        let yields = spread::of_yields(weighed.field(), desk.book);
        Site { desk, field, weighed, yields, by_rate: named("rate"), by_yield: named("yield") }
    }

    /// What the spreader puts down as a whole, over what it was set for.
    fn rate(&self, draw: usize) -> f64 {
        factor(self.desk.rate.share(), &self.by_rate, draw)
    }

    /// What a piece puts on in a draw, of the litter of one lot as known with one sample more.
    pub(super) fn put(&self, piece: &Piece, draw: usize, more: Option<usize>) -> f64 {
        let lot = &self.desk.lots[piece.lot];
        let rate = if piece.planned { self.rate(draw) } else { 1.0 };
        piece.tons * rate * piece.per_ton.in_draw(lot, draw, more == Some(piece.lot))
    }

    /// A planned job as a piece.
    pub(super) fn job(&self, job: &Application, per_ton: PerTon, tons: f64) -> Option<Piece> {
        let lot = self.desk.ready.lots.iter().position(|lot| lot.id == job.lot)?;
        Some(Piece { lot, per_ton, tons, planned: true, spot: Vec::new() })
    }

    /// What the log's litter of some days put on, lot by lot, of something; no more than all that
    /// was counted.
    pub(super) fn logged(&self, counts: Counts, (first, last): (Date, Date), done: f64) -> Vec<Piece> {
        let ready = self.desk.ready;
        let mut pieces: Vec<Piece> = Vec::new();
        for entry in ready.happened.on_field(self.weighed.field().id(), What::Spread) {
            let lot = entry.lot.as_ref().and_then(|own| ready.lots.iter().position(|lot| lot.id == own.value));
            let held = self.weighed.held.get(&entry.id);
            let (Some(lot), Some(held)) = (lot, held) else { continue };
            let step = match counts {
                Counts::N => Some(held.usable.n),
                Counts::TotalN | Counts::LitterN => Some(held.total_n),
                Counts::P2o5 => Some(held.per_ton.p2o5),
                Counts::K2o => Some(held.per_ton.k2o),
                Counts::UsableP2o5 => Some(held.usable.p2o5),
                Counts::UsableK2o => Some(held.usable.k2o),
                Counts::Tons | Counts::Zinc | Counts::Copper => None,
            };
            let Some(per_ton) = step.and_then(|step| PerTon::of(counts, self.weighed.value(step))) else { continue };
            if !(first..=last).contains(&entry.date) || self.weighed.acres <= 0.0 {
                continue;
            }
            let tons = entry.amount.tons() / self.weighed.acres;
            pieces.push(Piece { lot, per_ton, tons, planned: false, spot: Vec::new() });
        }
        let all = planned(&pieces);
        // Tons of the log may lie on more ground than is spreadable now.
        let share = if all > done { done.max(0.0) / all } else { 1.0 };
        pieces.iter_mut().for_each(|piece| piece.tons *= share);
        pieces
    }

    /// Nitrogen that fertilizer of the plan brings in a year, lb/ac: where it is bought for
    /// several, by what each is short of.
    fn fertilizer(&self, year: &YearBudget) -> f64 {
        let Some(buy) = &self.desk.plan.buy else { return 0.0 };
        let n_of = |name: &str| buy.products.iter().find(|p| p.name == name).map_or(0.0, |p| p.analysis.n / 100.0);
        let mixes = buy.fields.iter().filter(|own| own.id == self.field.id);
        let pounds: f64 =
            mixes.map(|own| own.acres * own.mix.iter().map(|a| a.pounds * n_of(&a.product)).sum::<f64>()).sum();
        let bought_for = self.field.years.iter().filter(|year| year.bought_for);
        let (count, short) = bought_for.fold((0.0, 0.0), |(count, short), year| (count + 1.0, short + year.short.n));
        let share = if short > 0.0 { year.short.n / short } else { 1.0 / f64::max(count, 1.0) };
        // Not the `-0` of an empty sum.
        if self.field.acres > 0.0 { pounds / self.field.acres * share + 0.0 } else { 0.0 }
    }

    /// The growing years that fertilizer is bought for and whose need is known.
    pub(super) fn years(&'a self) -> Vec<YearDraws<'a>> {
        let years = self.field.years.iter().filter(|year| year.bought_for && year.need.known().n);
        years.map(|year| self.year(year)).collect()
    }

    fn year(&'a self, year: &'a YearBudget) -> YearDraws<'a> {
        let (ready, book) = (self.desk.ready, self.desk.book);
        let mut pieces: Vec<Piece> = Vec::new();
        for job in self.field.applications.iter().filter(|job| (year.first..=year.last).contains(&job.first)) {
            let Some(lot) = ready.lot(&job.lot) else { continue };
            let per_ton = PerTon::of_n((ready, book), self.weighed, lot, jobs::window(self.weighed, job));
            pieces.extend(self.job(job, per_ton, job.rate));
        }
        // Of a field that is done in part the plan counts the ground that gets most.
        let all = planned(&pieces);
        let share = if all > 0.0 { year.supplied_usable.n / all } else { 1.0 };
        pieces.iter_mut().for_each(|piece| piece.tons *= share);
        let done = year.done_usable.n;
        let logged = self.logged(Counts::N, (year.first, year.last), done);
        let fertilizer = self.fertilizer(year);
        let exact = (done - planned(&logged)).max(0.0) + fertilizer;
        pieces.extend(logged);
        for (at, piece) in pieces.iter_mut().enumerate() {
            piece.spot = self.desk.bell.named(&format!("field {} {} spot {at}", self.field.id, year.first));
        }
        let own = self.weighed.needs.iter().find(|own| own.days.0 == year.first);
        let taken_off = own.map_or(0.0, |own| taken_off(&self.weighed.notes, own.n));
        YearDraws { site: self, year, pieces, exact, fertilizer, taken_off }
    }
}

/// Once and a share more or less, not below nothing.
fn factor(share: f64, draws: &[f64], draw: usize) -> f64 {
    (1.0 + share * draws.get(draw).copied().unwrap_or(0.0)).max(0.0)
}

/// What pieces put on by the plan's own figures.
pub(super) fn planned(pieces: &[Piece]) -> f64 {
    pieces.iter().map(|piece| piece.tons * piece.per_ton.planned).sum()
}

/// What was taken off the need of the crop itself: other nitrogen, and what earlier litter leaves.
fn taken_off(notes: &Notebook, need: StepId) -> f64 {
    match &notes.step(need).how {
        How::Reckoned { op: Op::Less, of } => of.iter().skip(1).map(|step| notes.value(*step)).sum(),
        How::Reckoned { op: Op::Least | Op::By | Op::Alike, of } => {
            of.first().map_or(0.0, |first| taken_off(notes, *first))
        }
        _ => 0.0,
    }
}

impl YearDraws<'_> {
    /// What is put on as the mean of the field.
    fn on(&self, draw: usize, more: Option<usize>) -> f64 {
        self.exact + self.pieces.iter().map(|piece| self.site.put(piece, draw, more)).sum::<f64>()
    }

    fn on_a_spot(&self, draw: usize) -> f64 {
        let share = self.site.desk.placement.share();
        let lies = |piece: &Piece| self.site.put(piece, draw, None) * factor(share, &piece.spot, draw);
        self.exact + self.pieces.iter().map(lies).sum::<f64>()
    }

    /// What the crop asks for by the yield that it makes. A stand that asks for nothing does so
    /// whatever it yields.
    fn needed(&self, draw: usize) -> f64 {
        let need = self.year.need.n;
        if need <= 0.0 {
            return 0.0;
        }
        let whole = need + self.taken_off;
        (whole * factor(self.site.yields.share(), &self.site.by_yield, draw) - self.taken_off).max(0.0)
    }

    /// Whether litter of a lot is on it.
    pub(super) fn has(&self, lot: usize) -> bool {
        self.pieces.iter().any(|piece| piece.lot == lot)
    }

    /// What being off the need costs on the mean of the draws, with the dollars of a pound short
    /// and of one over.
    pub(super) fn costs(&self, (short, over): (f64, f64), more: Option<usize>) -> f64 {
        let cost = |draw| {
            let beyond = self.on(draw, more) - self.needed(draw);
            if beyond < 0.0 { -beyond * short } else { beyond * over }
        };
        self.site.field.acres * mean(cost)
    }

    /// The bands.
    pub(super) fn bands(&self) -> YearSure {
        let all = |of: &dyn Fn(usize) -> f64| -> Vec<f64> { (0..DRAWS).map(of).collect() };
        let (on, needed) = (self.exact + planned(&self.pieces), self.year.need.n);
        let draws = all(&|draw| self.on(draw, None));
        let needs = all(&|draw| self.needed(draw));
        let over: Vec<f64> = draws.iter().zip(&needs).map(|(on, need)| on - need).collect();
        let short = share(|draw| over.get(draw).is_some_and(|over| *over < -SHORT_BY - 1e-9));
        YearSure {
            first: self.year.first,
            last: self.year.last,
            needed: band(needed, needs),
            on_the_field: band(on, draws),
            on_a_spot: band(on, all(&|draw| self.on_a_spot(draw))),
            over: band(on - needed, over),
            fertilizer: self.fertilizer,
            short,
        }
    }
}
