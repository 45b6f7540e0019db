//! What a lot truly holds, around what the plan counts with: one draw for all of its fields.

use crate::balance::{Counts, FieldBalance};
use crate::check::{Contents, Lot, Ready, gains};
use crate::farm::{Analysis, Basis, Content};
use crate::plan::answer::{ContentSure, SpreadFrom};
use crate::plan::draws::Bell;
use crate::plan::scatter::spread::{self, Cited};
use crate::tables::{Book, Scope, topic};
use crate::units::{K2O_PER_K, P2O5_PER_P, Quantity};
use jiff::ToSpan;

/// What of a lot scatters by itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Part {
    TotalN,
    AmmoniumN,
    P2o5,
    K2o,
}

impl Part {
    const ALL: [Part; 4] = [Part::TotalN, Part::AmmoniumN, Part::P2o5, Part::K2o];

    fn key(self) -> &'static str {
        ["total_n", "ammonium_n", "p2o5", "k2o"][self as usize]
    }

    fn word(self) -> &'static str {
        ["total N", "ammonium N", "P2O5", "K2O"][self as usize]
    }

    /// Pounds in a ton as spread; none where the report does not tell it.
    fn in_sample(self, analysis: &Analysis) -> Option<f64> {
        let dry = if analysis.basis.value == Basis::Dry { 1.0 - analysis.moisture.value.get() / 100.0 } else { 1.0 };
        let oxide =
            |content: &Content, factor: f64| content.value.value.get() * if content.oxide { 1.0 } else { factor };
        let lb = match self {
            Part::TotalN => analysis.total_n.value.get(),
            Part::AmmoniumN => analysis.ammonium_n.as_ref()?.value.get(),
            Part::P2o5 => oxide(&analysis.p, P2O5_PER_P),
            Part::K2o => oxide(&analysis.k, K2O_PER_K),
        };
        Some(lb * dry)
    }
}

/// What the plan counts with, and what that truly may be times it.
struct Factor {
    mean: f64,
    /// Standard deviation now, and with one more sample.
    sd: [f64; 2],
    draws: Vec<f64>,
}

/// A lot with its draws.
pub(super) struct LotDraws {
    pub(super) samples: usize,
    factors: [Factor; 4],
    pub(super) spreads: [Cited; 4],
}

/// Samples of the litter that lies there: none from before it came, and of one year.
fn samples<'a>(ready: &Ready, lot: &'a Lot) -> Vec<&'a Analysis> {
    let Contents::Analysis(newest) = &lot.contents else { return Vec::new() };
    let last = newest.sampled.value;
    let came = ready.happened.moves_of(&lot.id).filter(|e| gains(e) && e.date <= last).map(|e| e.date);
    let year_ago = last.checked_sub(1.year()).unwrap_or(last);
    let since = came.chain(lot.since.filter(|since| *since <= last)).fold(year_ago, jiff::civil::Date::max);
    lot.analyses.iter().filter(|own| (since..=last).contains(&own.sampled.value)).collect()
}

impl LotDraws {
    pub(super) fn of(ready: &Ready, book: &Book<'_>, lot: &Lot, bell: &Bell) -> LotDraws {
        let samples = samples(ready, lot);
        let spreads = Part::ALL.map(|part| {
            let own: Vec<f64> = samples.iter().filter_map(|sample| part.in_sample(sample)).collect();
            let scope = Scope::new().material(&lot.kind).nutrient(part.key());
            let topic = if samples.is_empty() { topic::FARM_SPREAD } else { topic::SAMPLE_SPREAD };
            spread::of(part.word(), &own, book, (topic, &scope))
        });
        let factors = Part::ALL.map(|part| {
            let cited = &spreads[part as usize];
            let draws = bell.named(&format!("lot {} {}", lot.id, part.key()));
            let own: Vec<f64> = samples.iter().filter_map(|sample| part.in_sample(sample)).collect();
            let many = own.len() as f64;
            let Some(newest) = own.last().copied().filter(|newest| *newest > 0.0) else {
                // What one sample would leave; that cannot be more than nobody's.
                let scope = Scope::new().material(&lot.kind).nutrient(part.key());
                let one = book.get(topic::SAMPLE_SPREAD, &scope).map_or(cited.share(), |own| own.value.get() / 100.0);
                return Factor { mean: 1.0, sd: [cited.share(), one.min(cited.share())], draws };
            };
            let mean = own.iter().sum::<f64>() / many / newest;
            // The mean of one sample more scatters less by the root.
            let sd = [many, many + 1.0].map(|many| cited.share() * mean / many.sqrt());
            Factor { mean, sd, draws }
        });
        LotDraws { samples: samples.len(), factors, spreads }
    }

    fn at(&self, part: Part, draw: usize, with_one_more: bool) -> f64 {
        let own = &self.factors[part as usize];
        let z = own.draws.get(draw).copied().unwrap_or(0.0);
        (own.mean + own.sd[usize::from(with_one_more)] * z).max(0.0)
    }

    /// What the reader sees of it.
    pub(super) fn contents(&self) -> Vec<ContentSure> {
        let one = |(own, cited): (&Factor, &Cited)| ContentSure {
            spread: cited.spread.clone(),
            mean: own.mean,
            now: own.sd[0] * 100.0,
            with_one_more: own.sd[1] * 100.0,
        };
        let all = self.factors.iter().zip(&self.spreads);
        all.filter(|(_, cited)| cited.spread.from != SpreadFrom::Nobody).map(one).collect()
    }
}

/// Pounds in a ton by the plan, and by how much each part that scatters moves them.
#[derive(Clone, Debug, Default)]
pub(super) struct PerTon {
    pub(super) planned: f64,
    slopes: Vec<(Part, f64)>,
}

impl PerTon {
    /// All of it goes with one part.
    fn all(planned: f64, part: Part) -> PerTon {
        PerTon { planned, slopes: vec![(part, planned)] }
    }

    /// In one draw.
    pub(super) fn in_draw(&self, lot: &LotDraws, draw: usize, with_one_more: bool) -> f64 {
        let moved = |(part, slope): &(Part, f64)| slope * (lot.at(*part, draw, with_one_more) - 1.0);
        (self.planned + self.slopes.iter().map(moved).sum::<f64>()).max(0.0)
    }

    /// Of something that a limit counts; none of what nobody knows the scatter of.
    pub(super) fn of(counts: Counts, planned: f64) -> Option<PerTon> {
        Some(match counts {
            Counts::Tons => PerTon { planned, slopes: Vec::new() },
            Counts::N | Counts::TotalN | Counts::LitterN => PerTon::all(planned, Part::TotalN),
            Counts::P2o5 | Counts::UsableP2o5 => PerTon::all(planned, Part::P2o5),
            Counts::K2o | Counts::UsableK2o => PerTon::all(planned, Part::K2o),
            Counts::Zinc | Counts::Copper => return None,
        })
    }

    /// Available nitrogen of a lot in one of a field's windows: where the place works by pools,
    /// total and ammonium nitrogen move it each in its own way.
    pub(super) fn of_n(
        (ready, book): (&Ready, &Book<'_>),
        weighed: &FieldBalance,
        lot: &Lot,
        window: Option<usize>,
    ) -> PerTon {
        let Some(own) = weighed.lot(&lot.id) else { return PerTon::default() };
        let planned = weighed.npk_per_ton(own, window).n;
        let by_total = || PerTon::all(planned, Part::TotalN);
        let Contents::Analysis(analysis) = &lot.contents else { return by_total() };
        let Some(ammonium) = Part::AmmoniumN.in_sample(analysis) else { return by_total() };
        let season = window.and_then(|at| weighed.windows.get(at)).map(|w| w.season.as_str());
        let scope = weighed.field().availability(lot, ready.large, season);
        if book.get(topic::N_AVAILABLE, &scope).is_some() && !book.by_pools(&scope) {
            return by_total();
        }
        let shares = (book.get(topic::N_ORGANIC_AVAILABLE, &scope), book.get(topic::N_AMMONIUM_KEPT, &scope));
        let (Some(released), Some(kept)) = shares else { return by_total() };
        let (released, kept) = (released.value.get(), kept.value.get());
        let total = weighed.value(own.supply.total_n);
        PerTon {
            planned,
            slopes: vec![(Part::TotalN, released * total), (Part::AmmoniumN, (kept - released) * ammonium)],
        }
    }
}
