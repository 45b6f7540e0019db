//! Every limit on the rate of one lot on one field, by name.

use crate::balance::desk::Desk;
use crate::balance::field::Open;
use crate::balance::{Op, StepId, Supply, Window};
use crate::check::{Bar, Lot};
use crate::findings::Origin;
use crate::tables::topic;
use crate::units::Quantity;
use serde::{Deserialize, Serialize};

/// Which limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LimitKind {
    /// The crop's nitrogen need of the year.
    Nitrogen,
    /// The share of nitrogen that one season may take.
    SeasonShare,
    /// The most nitrogen in one application.
    NAtOnce,
    /// Phosphate allowed in the year.
    Phosphorus,
    /// The place's most zinc in a year.
    Zinc,
    /// The place's most copper in a year.
    Copper,
    /// The place's most tons per acre in a year.
    YearMost,
    /// The grower's own most tons per acre.
    GrowerMost,
    /// The place's most tons per acre in one application.
    ApplicationMost,
    /// The spreader's highest even rate.
    SpreaderMost,
}

impl LimitKind {
    /// The name for people.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            LimitKind::Nitrogen => "nitrogen need",
            LimitKind::SeasonShare => "nitrogen limit for the season",
            LimitKind::NAtOnce => "N at once",
            LimitKind::Phosphorus => "phosphorus",
            LimitKind::Zinc => "zinc in a year",
            LimitKind::Copper => "copper in a year",
            LimitKind::YearMost => "most in a year",
            LimitKind::GrowerMost => "grower's own most",
            LimitKind::ApplicationMost => "most at once",
            LimitKind::SpreaderMost => "spreader's most",
        }
    }

    /// Whether it caps the year's tons, whatever they hold of N and P2O5.
    #[must_use]
    pub fn tons_in_a_year(self) -> bool {
        matches!(self, LimitKind::Zinc | LimitKind::Copper | LimitKind::YearMost | LimitKind::GrowerMost)
    }

    /// Whether it caps one application rather than the year.
    #[must_use]
    pub fn at_once(self) -> bool {
        matches!(self, LimitKind::ApplicationMost | LimitKind::SpreaderMost)
    }
}

/// One limit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Limit {
    /// Which.
    pub kind: LimitKind,
    /// Most tons per acre that it allows.
    pub rate: f64,
    /// The step it rests on.
    pub step: StepId,
}

/// The limits of a lot on a field, smallest first.
pub(super) fn of(
    desk: &mut Desk<'_>,
    lot: &Lot,
    supply: &Supply,
    need: StepId,
    open: &Open,
    windows: &[Window],
    n_in: &[StepId],
) -> Vec<Limit> {
    let mut limits = Vec::new();
    limits.extend(used_up(desk, LimitKind::Nitrogen, "the N need", open.left.n, supply.per_ton.n));
    let mut seasons: Vec<&str> = Vec::new();
    for (window, per_ton) in windows.iter().zip(n_in).filter(|(w, _)| w.n_share < 1.0) {
        if seasons.contains(&window.season.as_str()) {
            continue;
        }
        seasons.push(&window.season);
        limits.extend(season_share(desk, window, need, *per_ton));
    }
    if let Some(most) = desk.get(topic::N_AT_ONCE) {
        limits.extend(used_up(desk, LimitKind::NAtOnce, "the N allowed at once", most.value.get(), supply.per_ton.n));
    }
    if let Some(left) = open.p2o5_left {
        limits.extend(used_up(desk, LimitKind::Phosphorus, "the P2O5 allowed", left, supply.per_ton.p2o5));
    }
    for (kind, topic) in [(LimitKind::YearMost, topic::RATE_MOST_YEAR), (LimitKind::ApplicationMost, topic::RATE_MOST)]
    {
        if let Some(figure) = desk.book.get(topic, &desk.scope().material(&lot.kind)) {
            let step = desk.notes.figure(kind.word(), &figure);
            limits.push(Limit { kind, rate: figure.value.get(), step });
        }
    }
    for (kind, topic, per_ton) in [
        (LimitKind::Zinc, topic::ZINC_LOAD_YEAR, supply.zinc),
        (LimitKind::Copper, topic::COPPER_LOAD_YEAR, supply.copper),
    ] {
        if let (Some(most), Some(per_ton)) = (desk.get(topic), per_ton)
            && desk.notes.value(per_ton) > 0.0
        {
            let most = desk.notes.figure(format!("most {}", kind.word()), &most);
            let what = format!("rate that uses up the {}", kind.word());
            let step = desk.notes.reckon(what, "tons/ac", Op::Over, &[most, per_ton]);
            limits.push(Limit { kind, rate: desk.notes.value(step), step });
        }
    }
    let own = desk.field.written.most.as_ref().map(|m| (LimitKind::GrowerMost, m));
    let spreader = (LimitKind::SpreaderMost, &desk.ready.spreader.most);
    for (kind, most) in own.into_iter().chain([spreader]) {
        let rate = most.value.get();
        let step = desk.notes.written(kind.word(), rate, "tons/ac", most);
        limits.push(Limit { kind, rate, step });
    }
    limits.sort_by(|a, b| a.rate.total_cmp(&b.rate).then(a.kind.cmp(&b.kind)));
    limits
}

/// The rate that uses up a season's share of the year's nitrogen need.
fn season_share(desk: &mut Desk<'_>, window: &Window, need: StepId, per_ton: StepId) -> Option<Limit> {
    let cite = window.n_share_cite.clone()?;
    if desk.notes.value(per_ton) <= 0.0 {
        return None;
    }
    let season = &window.season;
    let share = desk.notes.given(format!("share of N in {season}"), window.n_share, "", Origin::Figure(cite));
    let mut part = desk.notes.reckon(format!("N in {season}"), "lb/ac", Op::Times, &[need, share]);
    if window.n_done > 0.0 {
        let logged = Origin::Definition("log.csv".into());
        let done = desk.notes.given(format!("N on in {season} already"), window.n_done, "lb/ac", logged);
        part = desk.notes.reckon(format!("N in {season}, still open"), "lb/ac", Op::Less, &[part, done]);
    }
    let what = format!("rate that uses up the N of {season}");
    let step = desk.notes.reckon(what, "tons/ac", Op::Over, &[part, per_ton]);
    Some(Limit { kind: LimitKind::SeasonShare, rate: desk.notes.value(step), step })
}

/// The rate at which what is still open of a nutrient is used up; none for
/// litter that holds nothing of it.
fn used_up(desk: &mut Desk<'_>, kind: LimitKind, what: &str, left: f64, per_ton: StepId) -> Option<Limit> {
    if desk.notes.value(per_ton) <= 0.0 {
        return None;
    }
    let origin = Origin::Definition("after what the log shows".into());
    let left = desk.notes.given(format!("{what}, still open"), left, "lb/ac", origin);
    let what = format!("rate that uses up {what}");
    let step = desk.notes.reckon(what, "tons/ac", Op::Over, &[left, per_ton]);
    Some(Limit { kind, rate: desk.notes.value(step), step })
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
