//! The runs over every field that gets litter.

use crate::balance::{self, Driving, Spreading, Surveyed};
use crate::check::Ready;
use crate::plan::answer::{FieldPlan, Plan};
use std::borrow::Cow;

/// How each field is driven, in the order of farm.yaml; none for a field that
/// gets no litter, or whose jobs go on different ground.
#[must_use]
pub fn driving(plan: &Plan, ready: &Ready, ground: &[Surveyed]) -> Vec<Option<Driving>> {
    let one = |surveyed: &Surveyed| {
        let plan = plan.fields.iter().find(|plan| plan.id == surveyed.field.id())?;
        let spreadings = plan.applications.iter().map(|a| Spreading { rate: a.rate, pounds: a.pounds });
        let surveyed = on_its_ground(plan, surveyed)?;
        balance::driving(ready, &surveyed, &spreadings.collect::<Vec<_>>())
    };
    ground.iter().map(one).collect()
}

/// The field as its jobs go over it: without the part that is done, where they leave that out.
fn on_its_ground<'a>(plan: &FieldPlan, surveyed: &'a Surveyed) -> Option<Cow<'a, Surveyed>> {
    let on_rest = plan.applications.iter().filter(|job| job.rest_acres.is_some()).count();
    match (on_rest, &plan.part) {
        (0, _) => Some(Cow::Borrowed(surveyed)),
        (jobs, Some(part)) if jobs == plan.applications.len() => {
            Some(Cow::Owned(surveyed.without_done(&part.entries)?))
        }
        _ => None,
    }
}
