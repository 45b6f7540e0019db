//! Limits that the log alone has passed already: nothing more is planned
//! there, and whoever checks limits must know.

use crate::balance::desk::Desk;
use crate::balance::{StepId, Supply, Window};
use crate::check::Lot;
use crate::farm::MAIN;
use crate::findings::{Finding, Place};
use crate::tables::{Of, topic};
use crate::units::{LbPerAcre, Quantity, number_text};
use jiff::civil::Date;

/// Slack of a hundredth, as pounds per acre are shown.
const SHOWN: f64 = 0.05;

/// What the log shows on a field of so many acres.
pub(super) struct Logged<'a> {
    pub(super) supplies: &'a [Supply],
    pub(super) acres: f64,
}

impl Logged<'_> {
    /// Pounds an acre within some days, of what a ton of each lot holds.
    pub(super) fn of(
        &self,
        desk: &Desk<'_>,
        within: Option<(Date, Date)>,
        per_ton: impl Fn(&Supply) -> Option<StepId>,
    ) -> f64 {
        self.sum(desk, within, |supply| per_ton(supply).map_or(0.0, |step| desk.notes.value(step)))
    }

    fn sum(&self, desk: &Desk<'_>, within: Option<(Date, Date)>, per_ton: impl Fn(&Supply) -> f64) -> f64 {
        if self.acres <= 0.0 {
            return 0.0;
        }
        let lots = desk.ready.lots.iter().zip(self.supplies);
        let put_on = |(lot, supply): (&Lot, &Supply)| {
            desk.ready.spread_on(desk.field.id(), &lot.id, within).tons() * per_ton(supply)
        };
        lots.map(put_on).sum::<f64>() / self.acres
    }
}

/// One warning a limit of the year or of a season that the log passes.
pub(super) fn check(desk: &mut Desk<'_>, log: &Logged<'_>, need: StepId, p2o5: Option<StepId>, windows: &[Window]) {
    let need = desk.notes.value(need);
    let n = log.of(desk, None, |s| Some(s.per_ton.n));
    say(desk, None, ("available N", "lb/ac"), n, need);
    if let Some(allowed) = p2o5.map(|step| desk.notes.value(step)) {
        let on = log.of(desk, None, |s| Some(s.per_ton.p2o5));
        say(desk, None, ("P2O5", "lb/ac"), on, allowed);
    }
    let mut seasons: Vec<&str> = Vec::new();
    for window in windows.iter().filter(|w| w.n_share < 1.0) {
        if !seasons.contains(&window.season.as_str()) {
            seasons.push(&window.season);
            let what = format!("available N in {}", window.season.replace('_', " "));
            say(desk, Some(window.season_days), (&what, "lb/ac"), window.n_done, need * window.n_share);
        }
    }
    for (what, topic, metal) in [
        ("zinc", topic::ZINC_LOAD_YEAR, (|s| s.zinc) as fn(&Supply) -> Option<StepId>),
        ("copper", topic::COPPER_LOAD_YEAR, |s| s.copper),
    ] {
        if let Some(most) = desk.get(topic) {
            let on = log.of(desk, None, metal);
            say(desk, None, (what, "lb/ac"), on, most.value.get());
        }
        total(desk, log, what, topic, metal);
    }
    let own = desk.field.written.most.as_ref().map(|most| most.value.get());
    let lots = || desk.ready.lots.iter().filter(|l| desk.ready.spread_on(desk.field.id(), &l.id, None).0 > 0);
    let of_place = |l: &Lot| desk.book.get(topic::RATE_MOST_YEAR, &desk.scope().material(&l.kind));
    let of_place = lots().filter_map(of_place).map(|most| most.value.get());
    if let Some(most) = own.into_iter().chain(of_place).min_by(f64::total_cmp) {
        let on = log.sum(desk, None, |_| 1.0);
        say(desk, None, ("litter", "tons/ac"), on, most);
    }
}

/// A metal stays in the soil: the place's most over all years counts every
/// entry of the log, also those outside the plan's days. Reported once the most
/// of one year could pass it.
fn total(
    desk: &mut Desk<'_>,
    log: &Logged<'_>,
    metal: &str,
    a_year: Of<LbPerAcre>,
    per_ton: fn(&Supply) -> Option<StepId>,
) {
    let Some(most) = desk.book.get(topic::METAL_LOAD_TOTAL, &desk.scope().nutrient(metal)) else { return };
    let (most, cite) = (most.value.get(), most.cite);
    let a_year = desk.get(a_year).map_or(0.0, |figure| figure.value.get());
    let id = desk.field.id();
    let lots = desk.ready.lots.iter().zip(log.supplies);
    let pounds: f64 = lots
        .filter_map(|(lot, supply)| {
            Some(desk.ready.spread_ever(id, &lot.id).tons() * desk.notes.value(per_ton(supply)?))
        })
        .sum();
    let on = if log.acres > 0.0 { pounds / log.acres } else { 0.0 };
    if on <= 0.0 || on + a_year <= most + SHOWN {
        return;
    }
    let found = format!(
        "field {id}: the log shows {} lb/ac of {metal} over all years, and {} may ever go on",
        number_text(on, 1),
        number_text(most, 0)
    );
    let place = desk.field.written.place.clone();
    desk.findings.push(
        Finding::warning("metal-total", &place, found)
            .accepts(format!("at most {} lb/ac in all: {}", number_text(most, 0), cite))
            .fix(format!("test the soil for {metal} and ask the planner; litter from before the log counts too")),
    );
}

fn say(desk: &mut Desk<'_>, within: Option<(Date, Date)>, (what, unit): (&str, &str), on: f64, allowed: f64) {
    if on <= allowed + SHOWN {
        return;
    }
    let id = desk.field.id();
    let last = desk.ready.last_spread(id, within);
    let place = last.cloned().unwrap_or_else(|| Place::file(MAIN));
    let amount = |value: f64| number_text(value, if unit == "tons/ac" { 2 } else { 1 });
    let found = format!(
        "field {id}: the log shows {} {unit} of {what}, and {} are allowed: {} too much",
        amount(on),
        amount(allowed),
        amount(on - allowed)
    );
    desk.findings.push(
        Finding::warning("logged-over", &place, found)
            .accepts(format!("at most {} {unit} of {what}", amount(allowed)))
            .fix("check the entries with `sward tally`; if they are right, tell the planner: no more is planned there"),
    );
}
