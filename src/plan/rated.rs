//! What a plan puts on with the log against the rate that each field's rating was made for.

use crate::balance::rated::{CODE, amount, told};
use crate::balance::{Balance, FieldBalance, YearNeed};
use crate::farm::MadeFor;
use crate::findings::Finding;
use crate::plan::answer::{Application, FieldPlan};

/// Slack of rounding.
const SLACK: f64 = 1e-6;

/// Whether a finding is what limits alone let on: a plan says what it puts on instead.
pub(super) fn is_of_limits(finding: &Finding) -> bool {
    finding.code == CODE
}

/// A warning for each field that gets more in a growing year than its rating was made for.
pub(super) fn warnings(balance: &Balance, fields: &[FieldPlan]) -> Vec<Finding> {
    let one = |plan: &FieldPlan| {
        let weighed = balance.field(&plan.id)?;
        let (rated, made_for) = weighed.made_for()?;
        let years = weighed.needs.iter().map(|year| (on(weighed, plan, year, made_for), year));
        let (most, year) = years.max_by(|(a, _), (b, _)| a.total_cmp(b))?;
        let (from, to) = year.days;
        let what = format!("log and plan put on {} from {from} to {to}", amount(made_for, most));
        (most > made_for.amount() + SLACK).then(|| told(weighed, rated, &what))
    };
    fields.iter().filter_map(one).collect()
}

/// What log and plan put on in a growing year, on the ground that gets most.
fn on(weighed: &FieldBalance, plan: &FieldPlan, year: &YearNeed, made_for: MadeFor) -> f64 {
    let counted = made_for.counts();
    let put = |own: &dyn Fn(&Application) -> bool| {
        let jobs = plan.applications.iter().filter(|a| year.days.0 <= a.first && a.first <= year.days.1 && own(a));
        let one = |a: &Application| {
            a.rate * weighed.lot(&a.lot).and_then(|l| weighed.per_ton(l, counted, None)).unwrap_or(0.0)
        };
        jobs.map(one).fold(0.0, |sum, one| sum + one)
    };
    let whole = weighed.on_by_log(year, counted) + put(&|a| a.rest_acres.is_none());
    whole.max(weighed.on_rest_of(year, counted) + put(&|_| true))
}
