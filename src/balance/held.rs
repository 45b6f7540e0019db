//! What a ton of each entry of the log held: by the analysis, the season and the
//! forage of its own day, whatever the plan's days are.

use crate::balance::desk::Desk;
use crate::balance::supply::Supplied;
use crate::balance::{Npk, StepId};
use crate::check::OpenSeasons;
use crate::findings::Finding;
use crate::record::{Entry, What};
use std::collections::BTreeMap;

/// What a ton of one entry held, lb.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Held {
    /// Available nitrogen, phosphate, potash.
    pub per_ton: Npk<StepId>,
    /// What of them counts toward the need.
    pub usable: Npk<StepId>,
    /// Total nitrogen.
    pub total_n: StepId,
}

/// The spreadings of a field, each with the season that was open on its day.
pub(super) fn spread<'a>(desk: &Desk<'a>) -> Vec<(&'a Entry, Option<String>)> {
    let (ready, field, book) = (desk.ready, desk.field, desk.book);
    let seasons = OpenSeasons::of(ready, field, book);
    let season = |entry: &Entry| seasons.on(entry.date).map(|(_, season)| season);
    ready.happened.on_field(field.id(), What::Spread).map(|entry| (entry, season(entry))).collect()
}

/// Litter on a field where none of the ground may get any: no limit counts it.
pub(super) fn without_ground(desk: &mut Desk<'_>, spread: &[(&Entry, Option<String>)], acres: f64) {
    let Some((last, _)) = spread.iter().max_by_key(|(entry, _)| entry.date).filter(|_| acres <= 0.0) else { return };
    let found = format!(
        "field {}: the log shows litter, and none of its ground may get any, so that no limit counts it",
        desk.field.id()
    );
    desk.findings.push(
        Finding::warning("logged-no-ground", &last.place, found)
            .fix("see that the field is right and that the setbacks were kept; then tell the planner"),
    );
}

/// What a ton of each held, by the id of the entry.
pub(super) fn of(spread: &[(&Entry, Option<String>)], supplied: &[Supplied<'_>]) -> BTreeMap<String, Held> {
    let held = |(entry, season): &(&Entry, Option<String>)| {
        let own = Supplied::of_entry(supplied, entry)?;
        let n = own.n_in(season.as_deref());
        let (per_ton, usable) = (Npk { n, ..own.supply.per_ton }, Npk { n, ..own.supply.usable });
        Some((entry.id.clone(), Held { per_ton, usable, total_n: own.supply.total_n }))
    };
    spread.iter().filter_map(held).collect()
}
