//! Phosphorus: class, basis and what is allowed.

use crate::balance::desk::Desk;
use crate::balance::need::Tested;
use crate::balance::periods;
use crate::balance::{Npk, StepId};
use crate::findings::Origin;
use crate::tables::{Scope, topic};

/// What caps phosphate on a field, in order of strictness.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Basis {
    /// Nitrogen alone caps the rate.
    Nitrogen,
    /// No more phosphate than the forage carries off.
    Removal,
    /// No more phosphate than the soil test asks for, because nobody has
    /// rated the field.
    SoilTest,
    /// None at all.
    None,
    /// None in these years: an earlier spreading carried phosphate for them.
    Rests,
}

impl Basis {
    /// The word for people.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Basis::Nitrogen => "nitrogen",
            Basis::Removal => "removal",
            Basis::SoilTest => "soil test",
            Basis::None => "none",
            Basis::Rests => "rests",
        }
    }
}

/// Phosphorus of one field.
#[derive(Clone, Debug, PartialEq)]
pub struct Phosphorus {
    /// Soil-test value.
    pub soil: Option<StepId>,
    /// Soil-test class.
    pub class: Option<StepId>,
    /// What caps phosphate.
    pub basis: Basis,
    /// The step that says why.
    pub why: StepId,
    /// Phosphate allowed in the year in which the plan begins, lb/ac, less what
    /// earlier years left; none where nitrogen alone caps the rate.
    pub allowed: Option<StepId>,
    /// The same before what earlier years left.
    pub at_once: Option<StepId>,
}

/// Reckons what is allowed. Without a rating, and where the place has no rule
/// by soil test, phosphate is held to what the soil test asks for: a rate above
/// that is what a site risk assessment is asked for.
pub(super) fn of(desk: &mut Desk<'_>, soil: Option<Tested>, need: &Npk<StepId>, removed: &Npk<StepId>) -> Phosphorus {
    let (basis, why) = match (basis(desk, soil), resting(desk)) {
        // Where no year allows any, the rest does not matter.
        ((Basis::None, why), _) => (Basis::None, why),
        (_, Some(rest)) => (Basis::Rests, rest),
        (found, None) => found,
    };
    let allowed = match basis {
        Basis::Nitrogen => None,
        Basis::Removal => Some(of_removal(desk, removed.p2o5)),
        Basis::SoilTest => Some(need.p2o5),
        Basis::Rests => Some(why),
        Basis::None => {
            Some(desk.notes.given("P2O5 allowed", 0.0, "lb/ac", Origin::Definition("the basis allows none".into())))
        }
    };
    Phosphorus { soil: soil.map(|s| s.value), class: soil.and_then(|s| s.class), basis, why, allowed, at_once: allowed }
}

/// Whether phosphate is held to some amount a year. Where none is allowed it does not
/// matter over which days.
pub(super) fn is_capped(desk: &Desk<'_>) -> bool {
    let rated = desk.field.written.rating.as_ref().and_then(|rated| {
        let words = desk.book.get(topic::P_BASIS_RATING, &Scope::new().rating(rated.rating.value.key()))?;
        Some(named(&words.value))
    });
    let tested = desk.field.written.soil_test.as_ref().and_then(|test| {
        let basis = desk.book.get(topic::P_BASIS_TEST, &desk.ready.soil_scope(desk.field))?;
        Some(named(basis.value.class_of(test.p.value).unwrap_or("not known")))
    });
    rated.max(tested).is_none_or(|basis| basis == Basis::Removal)
}

/// Nothing while an earlier spreading is still being carried off, whatever the
/// basis: the grower wrote down until when.
fn resting(desk: &mut Desk<'_>) -> Option<StepId> {
    let until = desk.field.written.resting(periods::plan_days(desk.ready).0.year())?;
    let what = format!("P2O5 allowed while the field rests through {}", until.value);
    Some(desk.notes.written(what, 0.0, "lb/ac", until))
}

/// What the crop needs besides what is in the ground: nothing while the field
/// rests, since the phosphate of these years is there.
pub(super) fn needed(desk: &mut Desk<'_>, asked: StepId) -> StepId {
    let Some(until) = desk.field.written.resting(periods::plan_days(desk.ready).0.year()) else { return asked };
    let what = format!("P2O5 to add while the field rests through {}", until.value);
    desk.notes.written(what, 0.0, "lb/ac", until)
}

/// One year's removal; several at once where the grower banks and the place
/// allows it.
fn of_removal(desk: &mut Desk<'_>, removed: StepId) -> StepId {
    let written = &desk.field.written;
    let Some(years) = &written.bank_years else { return removed };
    let rating = desk.field.rating.map(|r| r.key()).unwrap_or_default();
    let asked = desk.notes.written("years of removal at once", f64::from(years.value), "years", years);
    let most = match desk.book.get(topic::P_BANK_YEARS, &desk.scope().rating(rating)) {
        Some(figure) => desk.notes.figure("most years the place allows", &figure),
        None => {
            desk.notes.given("most years the place allows", 1.0, "years", Origin::Definition("no figure: one".into()))
        }
    };
    let years =
        desk.notes.reckon("years of removal allowed at once", "years", crate::balance::Op::Least, &[asked, most]);
    desk.notes.reckon("P2O5 allowed at once", "lb/ac", crate::balance::Op::Times, &[removed, years])
}

/// By the planner's rating, by the place's rule for the soil test, or the
/// stricter where both say something.
fn basis(desk: &mut Desk<'_>, soil: Option<Tested>) -> (Basis, StepId) {
    match (by_rating(desk), by_test(desk, soil)) {
        (Some(a), Some(b)) if b.0 > a.0 => b,
        (Some(a), _) => a,
        (None, Some(b)) => b,
        (None, None) => {
            let origin = Origin::Definition("no site risk rating in farm.yaml".into());
            (Basis::SoilTest, desk.notes.word("phosphorus basis", "soil test", origin))
        }
    }
}

fn by_rating(desk: &mut Desk<'_>) -> Option<(Basis, StepId)> {
    let rated = desk.field.written.rating.as_ref()?;
    let words = desk.book.get(topic::P_BASIS_RATING, &Scope::new().rating(rated.rating.value.key()))?;
    let what = format!("site risk rating by {}, {}", rated.by, rated.on.value);
    let origin = Origin::Line(rated.rating.place.clone());
    let rating = desk.notes.word(what, rated.rating.value.word(), origin);
    let why = desk.notes.class("phosphorus basis by the rating", words.value.clone(), rating, words.cite);
    Some((named(&words.value), why))
}

fn by_test(desk: &mut Desk<'_>, soil: Option<Tested>) -> Option<(Basis, StepId)> {
    let soil = soil?;
    let basis = desk.book.get(topic::P_BASIS_TEST, &desk.ready.soil_scope(desk.field))?;
    // On another scale nobody can tell: a word nobody knows is the strictest.
    let word = basis.value.class_of(soil.tested).unwrap_or("not known").to_string();
    let why = desk.notes.class("phosphorus basis by the soil test", word.clone(), soil.value, basis.cite);
    Some((named(&word), why))
}

/// A basis by its word; a word nobody knows is taken as the strictest.
fn named(word: &str) -> Basis {
    match word {
        "nitrogen" => Basis::Nitrogen,
        "removal" => Basis::Removal,
        _ => Basis::None,
    }
}
