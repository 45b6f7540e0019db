//! What a paper that a field or a lot is wanting would bring, whether nothing goes on without it
//! or only less: the plan with it, beside the plan as it is.

use crate::balance::{FieldBalance, RuleRow};
use crate::check::{Ready, Wants};
use crate::farm::Prices;
use crate::plan::answer::Plan;
use crate::plan::doubt::Outcome;
use crate::tables::p_rule::PBasis;
use crate::units::Quantity;
use serde::Serialize;

/// A paper that is too old or missing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Paper {
    /// A new soil test of a field, read like the old one.
    SoilTest,
    /// A phosphorus rating of a field that comes out low.
    Rating,
    /// Both.
    SoilTestAndRating,
    /// A new sample of a lot, read like the old one.
    Sample,
}

/// What a paper would bring.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Mend {
    /// The paper.
    pub paper: Paper,
    /// The field or the lot.
    pub of: String,
    /// What comes out then.
    pub then: Outcome,
}

/// Papers that were priced, the dearest first, and how many more there are.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Mends {
    /// Whether gains are in dollars; else in pounds of needed nutrients.
    pub in_dollars: bool,
    /// The dearest first.
    pub priced: Vec<Mend>,
    /// Papers that were priced too, and gain less than each of those.
    pub less: usize,
    /// Papers that were not priced: their fields are short of less than those that were.
    pub others: usize,
}

/// So many papers are told.
const MOST_TOLD: usize = 5;

/// A paper that a farm is wanting.
#[derive(Clone, Debug, PartialEq)]
pub struct Wanted {
    /// Which.
    pub paper: Paper,
    /// The field or the lot.
    pub of: String,
    /// Whether nothing goes on without it; else the rule only lets less on.
    pub bars: bool,
}

/// The papers that a farm is wanting and that can be taken as if they were there: lots first, then
/// the fields that are short of most.
#[must_use]
pub fn wanted(ready: &Ready, fields: &[FieldBalance], plan: &Plan) -> Vec<Wanted> {
    let tons = |lot: &str| plan.lots.iter().find(|row| row.id == lot).map_or(0.0, |row| row.left.tons());
    let lots = ready.lots.iter().filter(|lot| lot.barred.is_some() && tons(&lot.id) > 0.0);
    let lots = lots.map(|lot| Wanted { paper: Paper::Sample, of: lot.id.clone(), bars: true });
    let mut papers: Vec<(f64, Wanted)> = Vec::new();
    for field in fields {
        let of = field.field().id();
        let bars = !field.bars.is_empty();
        let own = if bars { to_lift(field) } else { to_loosen(ready, field) };
        let short = short(ready, plan, of);
        papers.extend(own.into_iter().map(|paper| (short, Wanted { paper, of: of.to_string(), bars })));
    }
    papers.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.1.of.cmp(&b.1.of)));
    lots.chain(papers.into_iter().map(|(_, paper)| paper)).collect()
}

/// What lifts every bar of a field, alone and with what holds it down then; nothing where papers
/// alone do not.
fn to_lift(field: &FieldBalance) -> Vec<Paper> {
    let wants = |one: &Wants| field.bars.iter().any(|bar| bar.wants == *one);
    if !field.bars.iter().all(|bar| matches!(bar.wants, Wants::NewerTest | Wants::Rating)) {
        return Vec::new();
    }
    match (wants(&Wants::NewerTest), wants(&Wants::Rating)) {
        (true, false) if is_kept_down(field) => vec![Paper::SoilTest, Paper::SoilTestAndRating],
        (true, false) => vec![Paper::SoilTest],
        (false, _) => vec![Paper::Rating],
        (true, true) => vec![Paper::SoilTestAndRating],
    }
}

/// Papers that bar nothing and hold the field: a soil test that expired, or does within the plan,
/// and a rating.
fn to_loosen(ready: &Ready, field: &FieldBalance) -> Vec<Paper> {
    let own = field.field();
    let old = own.test_expired.is_some() || ready.test_ends_within(own).is_some();
    let test = old.then_some(Paper::SoilTest);
    test.into_iter().chain(is_kept_down(field).then_some(Paper::Rating)).collect()
}

/// Whether a row for fields that nobody rated keeps phosphate down.
fn is_kept_down(field: &FieldBalance) -> bool {
    let keeps_down = |row: &RuleRow| row.unrated && !matches!(row.says.basis, PBasis::Nitrogen | PBasis::Cap);
    field.phosphorus.rows.iter().any(keeps_down)
}

/// What a field is short of by the plan: in dollars where there are prices, else in pounds.
fn short(ready: &Ready, plan: &Plan, of: &str) -> f64 {
    let Some(field) = plan.fields.iter().find(|field| field.id == of) else { return 0.0 };
    let price = |get: fn(&Prices) -> f64| ready.prices.as_ref().map_or(1.0, get);
    let short = *field.short;
    let an_acre = short.n * price(|p| p.n.value.get())
        + short.p2o5 * price(|p| p.p2o5.value.get())
        + short.k2o * price(|p| p.k2o.value.get());
    an_acre * field.acres
}

impl Mends {
    /// Sorts what was found for each paper, and keeps the dearest; `others` were not looked at. A
    /// paper that bars nothing is no news where it gains nothing.
    #[must_use]
    pub fn of(plan: &Plan, priced: Vec<(bool, Mend)>, others: usize) -> Mends {
        let gain = |mend: &Mend| match mend.then {
            Outcome::Plan { gain, tons } => (gain, tons),
            Outcome::NoPlan(_) => (f64::NEG_INFINITY, 0.0),
        };
        let news = priced.into_iter().filter(|(bars, mend)| *bars || gain(mend).0 > 0.0);
        let mut priced: Vec<Mend> = news.map(|(_, mend)| mend).collect();
        priced.sort_by(|a, b| {
            let ((gain_a, tons_a), (gain_b, tons_b)) = (gain(a), gain(b));
            gain_b.total_cmp(&gain_a).then(tons_b.total_cmp(&tons_a)).then_with(|| a.of.cmp(&b.of))
        });
        let less = priced.len().saturating_sub(MOST_TOLD);
        priced.truncate(MOST_TOLD);
        Mends { in_dollars: plan.choice.in_dollars, priced, less, others }
    }
}
