//! The limits of a field, one row each, and what each allows of a lot.
//!
//! A new limit is a row here, its kind and words in `limit`, and its figure's topic;
//! the audit reaches it again by its own code.

use crate::balance::desk::Desk;
use crate::balance::logged::Logged;
use crate::balance::supply::Supplied;
use crate::balance::{Counts, Limit, LimitKind, LotLimit, Op, Over, PutOn, StepId, Window};
use crate::check::Bar;
use crate::findings::Origin;
use crate::tables::{Of, topic};
use crate::units::{LbPerAcre, Quantity};
use jiff::civil::Date;
use std::collections::BTreeMap;

/// Limits that a figure of the place sets, in pounds.
const IN_POUNDS: [(LimitKind, Over, Counts, Of<LbPerAcre>, &str); 3] = [
    (LimitKind::NAtOnce, Over::Once, Counts::N, topic::N_AT_ONCE, "most N in one application"),
    (LimitKind::Zinc, Over::Year, Counts::Zinc, topic::ZINC_LOAD_YEAR, "most zinc in a year"),
    (LimitKind::Copper, Over::Year, Counts::Copper, topic::COPPER_LOAD_YEAR, "most copper in a year"),
];

/// A row before the log is taken off.
struct Draft {
    kind: LimitKind,
    over: Over,
    counts: Counts,
    allowed: StepId,
}

/// Writer as they are written.
struct Writer<'a, 'd> {
    desk: &'a mut Desk<'d>,
    put_on: &'a PutOn,
    rows: Vec<Limit>,
}

/// Every limit of a field, in the order of its kinds.
pub(super) fn rows(
    desk: &mut Desk<'_>,
    logged: &Logged<'_>,
    put_on: &PutOn,
    need: StepId,
    p2o5: Option<StepId>,
    windows: &mut [Window],
) -> Vec<Limit> {
    let mut rows = Writer { desk, put_on, rows: Vec::new() };
    rows.year(LimitKind::Nitrogen, Counts::N, need);
    rows.seasons(logged, need, windows);
    if let Some(allowed) = p2o5 {
        rows.year(LimitKind::Phosphorus, Counts::P2o5, allowed);
    }
    for (kind, over, counts, topic, what) in IN_POUNDS {
        if let Some(most) = rows.desk.get(topic) {
            let allowed = rows.desk.notes.figure(what, &most);
            rows.push(Draft { kind, over, counts, allowed }, None, None);
        }
    }
    rows.of_a_kind_of_litter();
    if let Some(most) = &rows.desk.field.written.most {
        let allowed = rows.desk.notes.written(LimitKind::GrowerMost.word(), most.value.get(), "tons/ac", most);
        rows.year(LimitKind::GrowerMost, Counts::Tons, allowed);
    }
    let most = &rows.desk.ready.spreader.most;
    let kind = LimitKind::SpreaderMost;
    let allowed = rows.desk.notes.written(kind.word(), most.value.get(), "tons/ac", most);
    rows.push(Draft { kind, over: Over::Once, counts: Counts::Tons, allowed }, None, None);
    let mut rows = rows.rows;
    rows.sort_by_key(|row| row.kind);
    rows
}

impl Writer<'_, '_> {
    fn year(&mut self, kind: LimitKind, counts: Counts, allowed: StepId) {
        self.push(Draft { kind, over: Over::Year, counts, allowed }, None, None);
    }

    /// Adds a row; on one season with its name and what the log put on in it.
    fn push(&mut self, row: Draft, season: Option<(&str, Option<StepId>)>, litter: Option<&str>) {
        let Draft { kind, over, counts, allowed } = row;
        let done = match over {
            Over::Year => self.put_on.get(counts),
            Over::Season => season.and_then(|(_, done)| done),
            Over::Once => None,
        };
        let left = done.map_or(allowed, |done| {
            let what = format!("{}, still open", allowance(kind, season.map(|(season, _)| season)));
            self.desk.notes.reckon(what, counts.unit(), Op::Less, &[allowed, done])
        });
        let season = season.map(|(season, _)| season.to_string());
        self.rows.push(Limit { kind, over, season, counts, litter: litter.map(str::to_string), allowed, done, left });
    }

    /// The shares of nitrogen that seasons may take, where the place sets some, and
    /// what the log shows in the windows' seasons. Every piece of a season shares it.
    fn seasons(&mut self, logged: &Logged<'_>, need: StepId, windows: &mut [Window]) {
        let mut openings: BTreeMap<String, Vec<(Date, Date)>> = BTreeMap::new();
        let mut order: Vec<String> = Vec::new();
        for window in windows.iter() {
            let own = openings.entry(window.season.clone()).or_default();
            if own.is_empty() {
                order.push(window.season.clone());
            }
            if !own.contains(&window.season_days) {
                own.push(window.season_days);
            }
        }
        for season in order {
            let days = openings.remove(&season).unwrap_or_default();
            let done = logged.n_in(self.desk, &season, &days);
            let n_done = done.map_or(0.0, |step| self.desk.notes.value(step));
            let mut share = None;
            for window in windows.iter_mut().filter(|w| w.season == season) {
                window.n_done = n_done;
                share = share.or_else(|| Some((window.n_share, window.n_share_cite.clone()?)));
            }
            let Some((share, cite)) = share else { continue };
            let notes = &mut self.desk.notes;
            let share = notes.given(format!("share of N in {season}"), share, "", Origin::Figure(cite));
            let allowed = notes.reckon(format!("N in {season}"), "lb/ac", Op::Times, &[need, share]);
            let row = Draft { kind: LimitKind::SeasonShare, over: Over::Season, counts: Counts::N, allowed };
            self.push(row, Some((&season, done)), None);
        }
    }

    /// Tons that the place sets for a kind of litter.
    fn of_a_kind_of_litter(&mut self) {
        let mut kinds: Vec<&str> = Vec::new();
        for lot in &self.desk.ready.lots {
            if !kinds.contains(&lot.kind.as_str()) {
                kinds.push(&lot.kind);
            }
        }
        for (kind, over, topic) in [
            (LimitKind::YearMost, Over::Year, topic::RATE_MOST_YEAR),
            (LimitKind::ApplicationMost, Over::Once, topic::RATE_MOST),
        ] {
            for litter in &kinds {
                if let Some(most) = self.desk.book.get(topic, &self.desk.scope().material(*litter)) {
                    let allowed = self.desk.notes.figure(kind.word(), &most);
                    self.push(Draft { kind, over, counts: Counts::Tons, allowed }, None, Some(litter));
                }
            }
        }
    }
}

/// What every limit allows of a lot, smallest first; nothing is said of limits on
/// what its litter does not hold, or on seasons that are over.
pub(super) fn of_lot(desk: &mut Desk<'_>, own: &Supplied<'_>, rows: &[Limit], windows: &[Window]) -> Vec<LotLimit> {
    let mut limits = Vec::new();
    for row in rows.iter().filter(|row| row.is_for(&own.lot.kind)) {
        // A season that is over is no limit on what is planned.
        if row.season.as_ref().is_some_and(|season| !windows.iter().any(|w| w.season == *season)) {
            continue;
        }
        let per_ton = match &row.season {
            Some(season) => Some(own.n_in(Some(season))),
            None => own.supply.of(row.counts),
        };
        let step = match per_ton {
            _ if row.counts == Counts::Tons => row.left,
            Some(per_ton) if desk.notes.value(per_ton) > 0.0 => {
                let what = format!("rate that uses up the {}", allowance(row.kind, row.season.as_deref()));
                desk.notes.reckon(what, "tons/ac", Op::Over, &[row.left, per_ton])
            }
            _ => continue,
        };
        limits.push(LotLimit { kind: row.kind, rate: desk.notes.value(step), step });
    }
    limits.sort_by(|a, b| a.rate.total_cmp(&b.rate).then(a.kind.cmp(&b.kind)));
    limits
}

/// What a limit hands out and a rate uses up.
fn allowance(kind: LimitKind, season: Option<&str>) -> String {
    match (kind, season) {
        (_, Some(season)) => format!("N of {season}"),
        (LimitKind::Nitrogen, _) => "N need".to_string(),
        (LimitKind::NAtOnce, _) => "N allowed at once".to_string(),
        (LimitKind::Phosphorus, _) => "P2O5 allowed".to_string(),
        (kind, _) => kind.word().to_string(),
    }
}

/// Zinc or copper in the soil past the place's limit bars the field.
pub(super) fn metals(desk: &mut Desk<'_>) {
    let Some(test) = &desk.field.written.soil_test else { return };
    for (name, value, topic) in
        [("zinc", &test.zinc, topic::SOIL_ZINC_STOP), ("copper", &test.copper, topic::SOIL_COPPER_STOP)]
    {
        let (Some(value), Some(stop)) = (value, desk.get(topic)) else { continue };
        let (number, unit) = value.value.shown();
        let (most, most_unit) = stop.value.shown();
        desk.notes.written(format!("soil-test {name}"), number, unit, value);
        let what = format!("soil-test {name} at which no litter is allowed");
        desk.notes.given(what, most, most_unit, Origin::Figure(stop.cite.clone()));
        // On another scale nobody can tell, so none is allowed.
        let held = value.value.on(stop.value.scale);
        if held.is_none_or(|held| held >= most) {
            let is = if held.is_some() { "meets or exceeds" } else { "cannot be compared with" };
            desk.bars.push(Bar {
                why: format!("soil-test {name} {} {is} the limit of {}", value.value, stop.value),
                fix: "no litter here; ask the planner".to_string(),
                origin: Origin::Figure(stop.cite),
            });
        }
    }
}
