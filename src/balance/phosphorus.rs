//! Phosphorus: class, basis and what is allowed.

use crate::balance::desk::Desk;
use crate::balance::loosened::{self, Loosened};
use crate::balance::need::{self, Tested};
use crate::balance::p_rules::{self, Holding, RuleRow};
use crate::balance::periods;
use crate::balance::{Counts, Op, StepId};
use crate::check::{Bar, Wants};
use crate::findings::Origin;
use crate::tables::p_rule::{PBasis, PMost, PMostOf, POf};
use crate::tables::{Topic, topic};
use jiff::civil::Date;
use std::collections::BTreeSet;

/// What caps phosphate on a field.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Basis {
    /// Nitrogen alone caps the rate.
    Nitrogen,
    /// What the forage carries off, or a part or a multiple of it.
    Removal,
    /// What the soil test asks for.
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
    /// What the rows that bind say: of several that allow the same, each.
    pub binding: Vec<StepId>,
    /// Every row of the place's rule that holds, with what it allows.
    pub rows: Vec<RuleRow>,
    /// What may go on in a year of its own by those rows, lb/ac.
    pub a_year: Option<StepId>,
    /// The factor on what is carried off, where there is one.
    pub times: Option<StepId>,
    /// Years' worth that may go on at once.
    pub years: u16,
    /// Phosphate allowed in the year in which the plan begins, lb/ac, less what
    /// earlier years left; none where nitrogen alone caps the rate.
    pub allowed: Option<StepId>,
    /// The same before what earlier years left.
    pub at_once: Option<StepId>,
    /// Caps of the rows beside their basis.
    pub most: Vec<(StepId, PMost)>,
    /// The rows for bought phosphorus alone.
    pub for_bought: Vec<RuleRow>,
    /// What it may bring in a year by them, lb/ac.
    pub bought: Option<StepId>,
    /// What somebody stated, where it loosens the rule.
    pub loosened: Option<Loosened>,
    /// Rows that only say something: what for, and the words.
    pub cautions: Vec<(String, String)>,
}

/// What the rows come to.
struct Outcome {
    basis: Basis,
    why: StepId,
    binding: Vec<StepId>,
    a_year: Option<StepId>,
    times: Option<StepId>,
    years: u16,
    rows: Vec<RuleRow>,
}

/// Slack of rounding, lb/ac.
const SLACK: f64 = 1e-9;

/// Calculates what is allowed. Where no row of the place holds, phosphate is held to what
/// the soil test asks for: a rate above that is what a site risk assessment is asked for.
pub(super) fn of(
    desk: &mut Desk<'_>,
    holding: &[Holding<'_>],
    soil: Option<Tested>,
    (need, removed): (StepId, StepId),
) -> Phosphorus {
    ask(desk, holding);
    p_rules::way_without_a_row(desk, holding);
    p_rules::saturation_unused(desk, holding);
    let rating = p_rules::rating(desk, holding);
    let given = p_rules::Given { need, removed, soil: soil.map(|s| s.value), rating };
    let rows = p_rules::weighed(desk, holding, given);
    let loosened = loosened::of(desk, (holding, &rows), &given);
    let most = caps(desk, holding);
    let found = outcome(desk, rows, need);
    let for_bought = p_rules::weighed(desk, &p_rules::holding(desk, POf::Fertilizer), given);
    let bought = match for_bought.iter().any(p_rules::is_open) {
        true => Some(desk.notes.unknown("P2O5 that may be bought", no_figure())),
        false => fewest(desk, &for_bought, "P2O5 that may be bought"),
    };
    let cautions = p_rules::cautions(desk);
    // Where no year allows any, the rest does not matter.
    let rest = resting(desk).filter(|_| found.basis != Basis::None);
    let (basis, why) = rest.map_or((found.basis, found.why), |rest| (Basis::Rests, rest));
    let allowed = match basis {
        Basis::Nitrogen => None,
        Basis::Removal => found.a_year.map(|a_year| at_once(desk, a_year, found.years, found.why)),
        Basis::Rests => Some(why),
        Basis::SoilTest | Basis::None => found.a_year,
    };
    let (soil, class) = (soil.map(|s| s.value), soil.and_then(|s| s.class));
    let Outcome { rows, a_year, times, years, binding, .. } = found;
    Phosphorus {
        soil,
        class,
        basis,
        why,
        binding,
        rows,
        a_year,
        times,
        years,
        allowed,
        at_once: allowed,
        most,
        for_bought,
        bought,
        loosened,
        cautions,
    }
}

/// What other rows than those of now come to, a year at once: none at all where nobody knows.
pub(super) fn by_rows(desk: &mut Desk<'_>, now: &Phosphorus, rows: Vec<RuleRow>, need: StepId) -> Phosphorus {
    if rows.iter().any(p_rules::is_open) {
        let none = desk.notes.unknown("P2O5 allowed after the soil test", no_figure());
        return Phosphorus { basis: Basis::None, allowed: Some(none), at_once: Some(none), rows, ..now.clone() };
    }
    let Outcome { basis, why, binding, a_year, times, years, rows } = outcome(desk, rows, need);
    let allowed = a_year.filter(|_| basis != Basis::Nitrogen);
    Phosphorus { basis, why, binding, a_year, times, years, rows, allowed, at_once: allowed, ..now.clone() }
}

/// The fewest pounds of the rows hold.
fn outcome(desk: &mut Desk<'_>, rows: Vec<RuleRow>, need: StepId) -> Outcome {
    let pounds = |desk: &Desk<'_>, row: &RuleRow| row.pounds.map(|step| desk.notes.value(step));
    let forbids = |row: &&RuleRow| matches!(row.says.basis, PBasis::None | PBasis::Ask);
    let least = rows.iter().filter(|row| row.pounds.is_some());
    let least = least.min_by(|a, b| pounds(desk, a).partial_cmp(&pounds(desk, b)).unwrap_or(std::cmp::Ordering::Equal));
    let forbidden = rows.iter().find(forbids);
    let none = forbidden.is_some() || least.is_some_and(|row| pounds(desk, row) <= Some(0.0));
    if let Some(open) = rows.iter().find(|row| p_rules::is_open(row)).filter(|_| !none) {
        return not_decided(desk, open.why, rows);
    }
    let Some(binds) = forbidden.or(least).cloned() else {
        // A cap alone says nothing of phosphate.
        let says = || rows.iter().filter(|row| row.says.basis != PBasis::Cap);
        let all_n = says().all(|row| row.says.basis == PBasis::Nitrogen);
        let binding: Vec<StepId> = says().filter(|_| all_n).map(|row| row.why).collect();
        return match tied(desk, &binding) {
            Some(why) => Outcome { basis: Basis::Nitrogen, why, binding, a_year: None, times: None, years: 1, rows },
            None => by_need(desk, rows, need),
        };
    };
    let lb = pounds(desk, &binds).unwrap_or(0.0);
    let basis = match binds.says.basis {
        PBasis::None | PBasis::Ask => Basis::None,
        _ if binds.by_need => Basis::SoilTest,
        _ => Basis::Removal,
    };
    // A recommendation of the soil test is for a year.
    let years = if basis == Basis::Removal && lb > 0.0 { p_rules::years_at_once(desk, &rows, lb) } else { 1 };
    let a_year = fewest(desk, &rows, "P2O5 allowed by every row of the rule");
    let as_few = |row: &&RuleRow| match basis {
        Basis::None => forbids(row),
        _ => pounds(desk, row).is_some_and(|own| own <= lb + SLACK),
    };
    let binding: Vec<StepId> = rows.iter().filter(as_few).map(|row| row.why).collect();
    let why = tied(desk, &binding).unwrap_or(binds.why);
    let by_factor = basis == Basis::Removal && binds.says.basis == PBasis::Removal && binds.says.times != 1.0;
    let times = by_factor.then(|| {
        let origin = Origin::Figure(binds.cite.clone());
        desk.notes.given("factor of the rule", binds.says.times, "", origin)
    });
    Outcome { basis, why, binding, a_year, times, years, rows }
}

/// What rows say that all bind: known no better than the one that is known least.
fn tied(desk: &mut Desk<'_>, binding: &[StepId]) -> Option<StepId> {
    desk.notes.alike("phosphorus basis, by rows that allow the same", binding)
}

/// Where a row holds phosphate to pounds that nobody knows: any pound may be too much, so that
/// none goes on until the figure is there.
fn not_decided(desk: &mut Desk<'_>, why: StepId, rows: Vec<RuleRow>) -> Outcome {
    let rests = desk.field.written.resting(periods::plan_days(desk.ready).0.year()).is_some();
    if !rests {
        let by: Vec<Topic> =
            rows.iter().filter(|row| p_rules::is_open(row)).flat_map(|row| p_rules::goes_by(&row.says)).collect();
        desk.goes_by(&by);
    }
    let a_year = Some(desk.notes.unknown("P2O5 allowed", no_figure()));
    Outcome { basis: Basis::SoilTest, why, binding: vec![why], a_year, times: None, years: 1, rows }
}

fn no_figure() -> Origin {
    Origin::Definition("no figure for what the rule goes by".into())
}

/// Where no row says how much: none speaks of the field.
fn by_need(desk: &mut Desk<'_>, rows: Vec<RuleRow>, need: StepId) -> Outcome {
    if !desk.notes.knows(need) {
        desk.goes_by(&[topic::P2O5_NEED.into()]);
    }
    let silent = |row: &RuleRow| matches!(row.says.basis, PBasis::Cap | PBasis::Nitrogen);
    let binding: Vec<StepId> = rows.iter().filter(|row| !silent(row)).map(|row| row.why).collect();
    let why = tied(desk, &binding).unwrap_or_else(|| {
        let origin = Origin::Definition("no row of the place's phosphorus rule says anything of this field".into());
        desk.notes.word("phosphorus basis", "soil test", origin)
    });
    Outcome { basis: Basis::SoilTest, why, binding, a_year: Some(need), times: None, years: 1, rows }
}

/// How a bar begins that waits for a rating or for a decision; `asked` tells those.
pub(super) const ASKS_FIRST: &str = "the phosphorus rule asks first";

/// Nothing goes on until somebody has rated or decided.
fn ask(desk: &mut Desk<'_>, rows: &[Holding<'_>]) {
    for row in rows.iter().filter(|row| row.says.basis == PBasis::Ask) {
        let by = row.by.as_deref().unwrap_or("the planner");
        let why = format!("{ASKS_FIRST}: {}", row.what);
        let (wants, fix) = match classes(desk, row) {
            _ if row.unrated => {
                (Wants::Rating, format!("have the field rated by {by}, and write `phosphorus_rating` in farm.yaml"))
            }
            Some(classes) => (Wants::Rating, format!("have the field rated by {by}; the classes here are {classes}")),
            None => (Wants::Decision, format!("ask {by}{}", answered(row))),
        };
        desk.bars.push(Bar { wants, why, fix, origin: Origin::Figure(row.cite.clone()) });
    }
}

/// The classes of the place's own tool, where a row asks of a rating that is none of them.
fn classes(desk: &Desk<'_>, row: &Holding<'_>) -> Option<String> {
    let rating = desk.field.rating.filter(|_| row.by_rating)?;
    let own = desk.get(topic::P_RATING).filter(|own| !own.value.has(&rating.key()))?;
    Some(own.value.classes.join(", ").replace('_', " "))
}

/// Where the answer of whoever is asked goes.
fn answered(row: &Holding<'_>) -> String {
    let Some(way) = row.ways.first() else { return String::new() };
    let (most, stated) = (if way.with_most { "`most: ... tons/ac` and " } else { "" }, &way.stated);
    let year = if way.one_year { ", year: ..." } else { "" };
    let said = format!("`phosphorus_rule: {{stated: [{stated}]{year}, by: ..., on: ...}}`");
    format!("; where {}, write {most}{said} into the field", way.words)
}

/// Caps beside the basis.
fn caps(desk: &mut Desk<'_>, rows: &[Holding<'_>]) -> Vec<(StepId, PMost)> {
    let capped = rows.iter().filter_map(|row| Some((row, row.says.most?)));
    let step = |(row, most): (&Holding<'_>, PMost)| {
        let counts = counted(most);
        let (what, unit) = (counts.word(), counts.unit());
        let over = if most.over > 1 { format!("{} years", most.over) } else { "a year".to_string() };
        let what = format!("most {what} in {over}, {}", row.what);
        (desk.notes.given(what, most.amount, unit, Origin::Figure(row.cite.clone())), most)
    };
    capped.map(step).collect()
}

/// What a cap counts.
pub(super) fn counted(most: PMost) -> Counts {
    match most.of {
        PMostOf::P2o5 => Counts::P2o5,
        PMostOf::Litter => Counts::Tons,
        PMostOf::TotalN => Counts::LitterN,
    }
}

/// The fewest pounds that rows set; none where none sets any.
fn fewest(desk: &mut Desk<'_>, rows: &[RuleRow], what: &str) -> Option<StepId> {
    let of: Vec<StepId> = rows.iter().filter_map(|row| row.pounds).collect();
    match of.as_slice() {
        [] => None,
        [one] => Some(*one),
        _ => Some(desk.notes.reckon(what, "lb/ac", Op::Least, &of)),
    }
}

/// Whether phosphate is held to some amount a year. Where none is allowed it does not
/// matter over which days.
pub(super) fn is_capped(rows: &[Holding<'_>]) -> bool {
    let any = |basis: &[PBasis]| rows.iter().any(|row| basis.contains(&row.says.basis));
    let silent = rows.iter().all(|row| row.says.basis == PBasis::Cap);
    let capped = silent || any(&[PBasis::Removal, PBasis::Need]);
    capped && !any(&[PBasis::None, PBasis::Ask])
}

/// Over how many years together rows cap something, where it is more than one.
pub(super) fn several_years(rows: &[Holding<'_>]) -> BTreeSet<u16> {
    rows.iter().filter_map(|row| row.says.most).map(|most| most.over).filter(|years| *years > 1).collect()
}

/// Whether nitrogen alone capped the rate on a day, by the rating and the statements of that day.
pub(super) fn was_free(desk: &Desk<'_>, day: Date) -> bool {
    let written = &desk.field.written;
    let rated = written.ratings.on(day).filter(|rated| rated.on.value <= day);
    let said = written.rules_said.on(day).filter(|said| said.on.value <= day);
    let rows = p_rules::holding_as_of(desk, POf::Litter, (rated.map(|rated| rated.rating.value), said, (day, day)));
    !rows.is_empty() && rows.iter().all(|row| row.says.basis == PBasis::Nitrogen)
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
pub(super) fn needed(desk: &mut Desk<'_>, soil: Option<Tested>) -> StepId {
    let asked = need::phosphate(desk, soil);
    let Some(until) = desk.field.written.resting(periods::plan_days(desk.ready).0.year()) else { return asked };
    let what = format!("P2O5 to add while the field rests through {}", until.value);
    desk.notes.written(what, 0.0, "lb/ac", until)
}

/// One year's allowance; several at once where the grower banks and every row of the
/// place leaves room for it.
fn at_once(desk: &mut Desk<'_>, a_year: StepId, most: u16, why: StepId) -> StepId {
    let Some(years) = &desk.field.written.bank_years else { return a_year };
    let asked = desk.notes.written("years of removal at once", f64::from(years.value), "years", years);
    let origin = Origin::Definition(format!("by the row at [{}]", why.number()).into());
    let most = desk.notes.given("most years the place allows", f64::from(most), "years", origin);
    let years = desk.notes.reckon("years of removal allowed at once", "years", Op::Least, &[asked, most]);
    desk.notes.reckon("P2O5 allowed at once", "lb/ac", Op::Times, &[a_year, years])
}
