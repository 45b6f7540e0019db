//! The runs over every field that gets litter.

use crate::balance::{self, Driving, Spreading, Surveyed};
use crate::check::Ready;
use crate::plan::answer::Plan;

/// How each field is driven, in the order of farm.yaml; none for a field that
/// gets no litter.
#[must_use]
pub fn driving(plan: &Plan, ready: &Ready, ground: &[Surveyed]) -> Vec<Option<Driving>> {
    let one = |surveyed: &Surveyed| {
        let plan = plan.fields.iter().find(|plan| plan.id == surveyed.field.id())?;
        let spreadings = plan.applications.iter().map(|a| Spreading { rate: a.rate, pounds: a.pounds });
        balance::driving(ready, surveyed, &spreadings.collect::<Vec<_>>())
    };
    ground.iter().map(one).collect()
}
