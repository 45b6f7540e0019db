//! What a paper that a field or a lot is wanting would bring: the plan with it, beside the plan
//! as it is.

use crate::balance::FieldBalance;
use crate::check::{Ready, Wants};
use crate::plan::answer::Plan;
use crate::plan::doubt::Outcome;
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
    /// Papers that were not priced, since those priced stand for more ground.
    pub others: usize,
}

/// The papers that a farm is wanting and that can be taken as if they were there, those that
/// most hangs on first.
#[must_use]
pub fn wanted(ready: &Ready, fields: &[FieldBalance], plan: &Plan) -> Vec<(Paper, String)> {
    let tons = |lot: &str| plan.lots.iter().find(|row| row.id == lot).map_or(0.0, |row| row.left.tons());
    let lots = ready.lots.iter().filter(|lot| lot.barred.is_some() && tons(&lot.id) > 0.0);
    let lots = lots.map(|lot| (Paper::Sample, lot.id.clone()));
    let paper = |field: &FieldBalance| {
        let wants = |one: &Wants| field.bars.iter().any(|bar| bar.wants == *one);
        let known = |bar: &crate::check::Bar| matches!(bar.wants, Wants::NewerTest | Wants::Rating);
        if !field.bars.iter().all(known) {
            return None;
        }
        match (wants(&Wants::NewerTest), wants(&Wants::Rating)) {
            (true, true) => Some(Paper::SoilTestAndRating),
            (true, false) => Some(Paper::SoilTest),
            (false, true) => Some(Paper::Rating),
            (false, false) => None,
        }
    };
    let mut fields: Vec<(f64, Paper, String)> =
        fields.iter().filter_map(|field| Some((field.acres, paper(field)?, field.field().id().to_string()))).collect();
    fields.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.2.cmp(&b.2)));
    lots.chain(fields.into_iter().map(|(_, paper, of)| (paper, of))).collect()
}

impl Mends {
    /// Sorts what was found for each paper; `others` were not looked at.
    #[must_use]
    pub fn of(plan: &Plan, mut priced: Vec<Mend>, others: usize) -> Mends {
        let gain = |mend: &Mend| match mend.then {
            Outcome::Plan { gain, tons } => (gain, tons),
            Outcome::NoPlan(_) => (f64::NEG_INFINITY, 0.0),
        };
        priced.sort_by(|a, b| {
            let ((gain_a, tons_a), (gain_b, tons_b)) = (gain(a), gain(b));
            gain_b.total_cmp(&gain_a).then(tons_b.total_cmp(&tons_a)).then_with(|| a.of.cmp(&b.of))
        });
        Mends { in_dollars: plan.choice.in_dollars, priced, others }
    }
}
