//! The runs over every field that gets litter.

use crate::balance::{self, Driving, Spreading, Surveyed};
use crate::check::Ready;
use crate::plan::answer::{Application, FieldPlan, Plan};

/// How each field is driven, in the order of farm.yaml; nothing for a field that gets no litter.
/// Jobs that go on different ground are driven differently: first those on what is left of a
/// field that is done in part, then those on all of it.
#[must_use]
pub fn driving(plan: &Plan, ready: &Ready, ground: &[Surveyed]) -> Vec<Vec<Driving>> {
    let one = |surveyed: &Surveyed| {
        let plan = plan.fields.iter().find(|plan| plan.id == surveyed.field.id());
        plan.map_or_else(Vec::new, |plan| of_field(plan, ready, surveyed))
    };
    ground.iter().map(one).collect()
}

fn of_field(plan: &FieldPlan, ready: &Ready, surveyed: &Surveyed) -> Vec<Driving> {
    let on = |rest: bool| {
        let jobs = plan.applications.iter().enumerate().filter(|(_, job)| job.rest_acres.is_some() == rest);
        let spreading = |(at, job): (usize, &Application)| Spreading { job: at, rate: job.rate, pounds: job.pounds };
        let spreadings: Vec<Spreading> = jobs.map(spreading).collect();
        if !rest {
            return balance::driving(ready, surveyed, &spreadings);
        }
        let (left, done) = surveyed.without_done(&plan.part.as_ref()?.entries)?;
        balance::driving_beside(ready, &left, &spreadings, Some(&done))
    };
    [true, false].into_iter().filter_map(on).collect()
}
