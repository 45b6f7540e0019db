//! What a ton of litter supplies in its first year.

use crate::balance::desk::Desk;
use crate::balance::{Counts, Notebook, Npk, Op, StepId};
use crate::check::{Contents, Lot};
use crate::farm::{Analysis, Basis, Content};
use crate::findings::{At, Origin};
use crate::record::{Entry, What};
use crate::tables::{Of, Scope, Sourced, topic};
use crate::units::{K2O_PER_K, LbPerTon, P2O5_PER_P, Ppm, Quantity, Share};
use jiff::civil::Date;
use std::borrow::Cow;
use std::collections::BTreeMap;

/// What a ton of one lot supplies, in lb per ton as spread.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Supply {
    /// Available nitrogen, phosphate, potash: steps of the notebook.
    pub per_ton: Npk<StepId>,
    /// What of it counts toward a need: less where the place says that not all phosphate and
    /// potash are of use in the first year. Limits count all of it.
    pub usable: Npk<StepId>,
    /// Total nitrogen.
    pub total_n: StepId,
    /// Zinc, where the analysis gives it.
    pub zinc: Option<StepId>,
    /// Copper, where the analysis gives it.
    pub copper: Option<StepId>,
}

impl Supply {
    /// What a ton holds of something that a limit counts, nitrogen as over the year;
    /// none where the analysis does not tell, and of the tons themselves.
    #[must_use]
    pub fn of(&self, counted: Counts) -> Option<StepId> {
        match counted {
            Counts::N => Some(self.per_ton.n),
            Counts::TotalN | Counts::LitterN => Some(self.total_n),
            Counts::UsableP2o5 => Some(self.usable.p2o5),
            Counts::UsableK2o => Some(self.usable.k2o),
            Counts::P2o5 => Some(self.per_ton.p2o5),
            Counts::K2o => Some(self.per_ton.k2o),
            Counts::Zinc => self.zinc,
            Counts::Copper => self.copper,
            Counts::Tons => None,
        }
    }
}

/// A lot with what it supplies on one field.
pub(super) struct Supplied<'a> {
    pub(super) lot: Cow<'a, Lot>,
    pub(super) supply: Supply,
    /// The same by other analyses, those that entries of the log count by.
    by_others: Vec<(Date, Supplied<'a>)>,
    /// Available nitrogen per ton in the seasons that the place tells apart.
    pub(super) by_season: BTreeMap<String, StepId>,
}

impl<'a> Supplied<'a> {
    /// What every lot of the farm supplies.
    pub(super) fn of_lots(desk: &mut Desk<'a>) -> Vec<Supplied<'a>> {
        let ready = desk.ready;
        ready.lots.iter().filter_map(|lot| Supplied::of_lot(desk, lot)).collect()
    }

    /// What a lot supplies, also by the analyses that were in force when litter of it
    /// went on the field. None when the tables say nothing of its nitrogen; `check`
    /// refuses such a lot.
    pub(super) fn of_lot(desk: &mut Desk<'_>, lot: &'a Lot) -> Option<Supplied<'a>> {
        let ready = desk.ready;
        let mut own = Supplied::new(desk, Cow::Borrowed(lot))?;
        let spread = ready.happened.on_field(desk.field.id(), What::Spread);
        for entry in spread.filter(|e| e.lot.as_ref().is_some_and(|of| of.value == lot.id)) {
            let Some(analysis) = lot.other_analysis_on(entry.date) else { continue };
            let sampled = analysis.sampled.value;
            if own.by_others.iter().any(|(day, _)| *day == sampled) {
                continue;
            }
            let contents = Contents::Analysis(Box::new(analysis.clone()));
            let then = Lot { id: format!("{}, sampled {sampled}", lot.id), contents, ..lot.clone() };
            own.by_others.push((sampled, Supplied::new(desk, Cow::Owned(then))?));
        }
        Some(own)
    }

    fn new(desk: &mut Desk<'_>, lot: Cow<'a, Lot>) -> Option<Supplied<'a>> {
        let supply = of(desk, &lot)?;
        Some(Supplied { lot, supply, by_others: Vec::new(), by_season: BTreeMap::new() })
    }

    /// Writes down the nitrogen of these seasons.
    pub(super) fn in_seasons(&mut self, desk: &mut Desk<'_>, seasons: &[String]) {
        self.by_season = by_season(desk, &self.lot, &self.supply, seasons);
        self.by_others.iter_mut().for_each(|(_, other)| other.in_seasons(desk, seasons));
    }

    /// Available nitrogen per ton in a season, or where none is known.
    pub(super) fn n_in(&self, season: Option<&str>) -> StepId {
        season.and_then(|season| self.by_season.get(season)).copied().unwrap_or(self.supply.per_ton.n)
    }

    /// That of the lot of an entry of the log, by the analysis of the entry's day.
    pub(super) fn of_entry<'s>(all: &'s [Supplied<'a>], entry: &Entry) -> Option<&'s Supplied<'a>> {
        let id = &entry.lot.as_ref()?.value;
        let own = all.iter().find(|own| own.lot.id == *id)?;
        let then = own.lot.other_analysis_on(entry.date).map(|analysis| analysis.sampled.value);
        let other = own.by_others.iter().find(|(day, _)| Some(*day) == then);
        Some(other.map_or(own, |(_, other)| other))
    }
}

/// Writes the supply of a lot into the notebook.
fn of(desk: &mut Desk<'_>, lot: &Lot) -> Option<Supply> {
    let notes = &mut desk.notes;
    let contents = match &lot.contents {
        Contents::Analysis(analysis) => as_spread(lot, analysis, notes),
        Contents::Typical(typical) => {
            let mut of = |nutrient: &str, figure: &Sourced<LbPerTon>| {
                let what = format!("{nutrient} of {} (typical: no analysis)", lot.id);
                notes.figure(what, figure)
            };
            Npk { n: of("total N", &typical.total_n), p2o5: of("P2O5", &typical.p2o5), k2o: of("K2O", &typical.k2o) }
        }
    };
    let n = available(desk, lot, contents.n, None)?;
    let (zinc, copper) = match &lot.contents {
        Contents::Analysis(analysis) => {
            (metal("zinc", lot, analysis, &analysis.zinc, desk), metal("copper", lot, analysis, &analysis.copper, desk))
        }
        Contents::Typical(_) => (None, None),
    };
    let per_ton = Npk { n, ..contents };
    let p2o5 = usable(desk, lot, (topic::P_AVAILABLE, "P2O5"), contents.p2o5);
    let k2o = usable(desk, lot, (topic::K_AVAILABLE, "K2O"), contents.k2o);
    Some(Supply { per_ton, usable: Npk { n, p2o5, k2o }, total_n: contents.n, zinc, copper })
}

/// What of a content counts toward the need of the first year: all of it where the place
/// names no share.
fn usable(desk: &mut Desk<'_>, lot: &Lot, (topic, nutrient): (Of<Share>, &str), content: StepId) -> StepId {
    let Some(share) = desk.book.get(topic, &Scope::new().material(&lot.kind)) else { return content };
    let share = desk.notes.figure(format!("share of the {nutrient} of {} that counts toward the need", lot.id), &share);
    let what = format!("{nutrient} of {} that counts toward the need", lot.id);
    desk.notes.reckon(what, "lb/ton", Op::Times, &[content, share])
}

/// Available nitrogen of the first year: total N times the place's share; or,
/// where the place works by pools, organic N times the share released plus
/// ammonium N times the share kept on the surface plus nitrate N.
fn available(desk: &mut Desk<'_>, lot: &Lot, total: StepId, season: Option<&str>) -> Option<StepId> {
    let id = &lot.id;
    let scope = desk.field.availability(lot, desk.ready.large, season);
    let put = if desk.field.placement == "surface" { "spread on top" } else { "worked in" };
    let (book, notes) = (desk.book, &mut desk.notes);
    let share = book.get(topic::N_AVAILABLE, &scope);
    let pools = book.by_pools(&scope) && lot.ammonium().is_some();
    if let Some(share) = share.filter(|_| !pools) {
        let share = notes.figure(format!("share of total N available this year, {put}"), &share);
        return Some(notes.reckon(format!("available N of {id}"), "lb/ton", Op::Times, &[total, share]));
    }
    let released = book.get(topic::N_ORGANIC_AVAILABLE, &scope)?;
    let kept = book.get(topic::N_AMMONIUM_KEPT, &scope)?;
    let Contents::Analysis(analysis) = &lot.contents else { return None };
    let dry = dry_share(id, analysis, notes);
    let ammonium = reported(&format!("ammonium N of {id}"), analysis.ammonium_n.as_ref()?, None, dry, notes);
    let nitrate = analysis.nitrate_n.as_ref();
    let nitrate = nitrate.map(|n| reported(&format!("nitrate N of {id}"), n, None, dry, notes));
    let mut mineral = vec![total, ammonium];
    mineral.extend(nitrate);
    let organic = notes.reckon(format!("organic N of {id}"), "lb/ton", Op::Less, &mineral);
    let released = notes.figure("share of organic N released this year", &released);
    let from_organic = notes.reckon("N released from organic N", "lb/ton", Op::Times, &[organic, released]);
    let kept = notes.figure(format!("share of ammonium N kept, {put}"), &kept);
    let from_ammonium = notes.reckon("ammonium N kept", "lb/ton", Op::Times, &[ammonium, kept]);
    let mut parts = vec![from_organic, from_ammonium];
    parts.extend(nitrate);
    Some(notes.reckon(format!("available N of {id}"), "lb/ton", Op::Sum, &parts))
}

/// Organic nitrogen in a ton as spread, where the analysis tells it from the rest:
/// total less ammonium and nitrate.
pub(super) fn organic_n(desk: &mut Desk<'_>, id: &str, analysis: &Analysis) -> Option<StepId> {
    let notes = &mut desk.notes;
    let ammonium = analysis.ammonium_n.as_ref()?;
    let dry = dry_share(id, analysis, notes);
    let mut parts = vec![reported(&format!("total N of {id}"), &analysis.total_n, None, dry, notes)];
    parts.push(reported(&format!("ammonium N of {id}"), ammonium, None, dry, notes));
    let nitrate = analysis.nitrate_n.as_ref();
    parts.extend(nitrate.map(|n| reported(&format!("nitrate N of {id}"), n, None, dry, notes)));
    Some(notes.reckon(format!("organic N of {id}"), "lb/ton", Op::Less, &parts))
}

/// Available nitrogen per ton in each season; empty unless the place tells
/// seasons apart.
fn by_season(desk: &mut Desk<'_>, lot: &Lot, supply: &Supply, seasons: &[String]) -> BTreeMap<String, StepId> {
    let topics = [topic::N_AVAILABLE, topic::N_ORGANIC_AVAILABLE, topic::N_AMMONIUM_KEPT];
    if topics.iter().all(|t| desk.book.values_of(*t, "season").is_empty()) {
        return BTreeMap::new();
    }
    let own = |season: &String| Some((season.clone(), available(desk, lot, supply.total_n, Some(season))?));
    seasons.iter().filter_map(own).collect()
}

/// Zinc or copper in a ton as spread.
fn metal(name: &str, lot: &Lot, analysis: &Analysis, ppm: &Option<At<Ppm>>, desk: &mut Desk<'_>) -> Option<StepId> {
    let ppm = ppm.as_ref()?;
    let notes = &mut desk.notes;
    let dry = dry_share(&lot.id, analysis, notes);
    let written = notes.written(format!("{name} of {}, as reported", lot.id), ppm.value.get(), "ppm", ppm);
    let factor = Origin::Definition("2,000 lb in a ton, a millionth each".into());
    let factor = notes.given("lb/ton per ppm", 0.002, "", factor);
    let mut of = vec![written, factor];
    of.extend(dry);
    Some(notes.reckon(format!("{name} of {}", lot.id), "lb/ton", Op::Times, &of))
}

/// The share of a lot that is dry matter, where the laboratory reports dry.
fn dry_share(id: &str, analysis: &Analysis, notes: &mut Notebook) -> Option<StepId> {
    (analysis.basis.value == Basis::Dry).then(|| {
        let wet = &analysis.moisture;
        let moisture = notes.written(format!("moisture of {id}"), wet.value.get(), "%", wet);
        notes.reckon(format!("dry share of {id}"), "", Op::Rest, &[moisture])
    })
}

/// The laboratory's contents turned into lb of N, P2O5 and K2O per ton as
/// spread.
fn as_spread(lot: &Lot, analysis: &Analysis, notes: &mut Notebook) -> Npk<StepId> {
    let id = &lot.id;
    let dry = dry_share(id, analysis, notes);
    let n = reported(&format!("total N of {id}"), &analysis.total_n, None, dry, notes);
    let p2o5 = content(&format!("P2O5 of {id}"), &analysis.p, P2O5_PER_P, "P2O5 per P", dry, notes);
    let k2o = content(&format!("K2O of {id}"), &analysis.k, K2O_PER_K, "K2O per K", dry, notes);
    Npk { n, p2o5, k2o }
}

fn content(
    oxide: &str,
    content: &Content,
    factor: f64,
    name: &'static str,
    dry: Option<StepId>,
    notes: &mut Notebook,
) -> StepId {
    if content.oxide {
        return reported(oxide, &content.value, None, dry, notes);
    }
    let factor = notes.given(name, factor, "", Origin::Definition("atomic weights".into()));
    reported(oxide, &content.value, Some(factor), dry, notes)
}

/// A reported content, times the oxide factor and the dry share where they
/// apply.
fn reported(
    what: &str,
    value: &At<LbPerTon>,
    factor: Option<StepId>,
    dry: Option<StepId>,
    notes: &mut Notebook,
) -> StepId {
    let origin = Origin::Line(value.place.clone());
    let basis = match (factor, dry) {
        (None, None) => return notes.given(what, value.value.get(), "lb/ton", origin),
        (Some(_), Some(_)) => ", element, dry, as reported",
        (Some(_), None) => ", element, as reported",
        (None, Some(_)) => ", dry, as reported",
    };
    let written = notes.given(format!("{what}{basis}"), value.value.get(), "lb/ton", origin);
    let mut of = vec![written];
    of.extend(factor);
    of.extend(dry);
    notes.reckon(what, "lb/ton", Op::Times, &of)
}
