//! Everything that is known of a field, for whoever draws or exports it.

use crate::audit::Audited;
use crate::balance::{Driving, Surveyed};
use crate::check::{Field, Ready};
use crate::plan::answer::FieldPlan;

/// What is known of one field.
#[derive(Clone, Copy)]
pub(super) struct FieldSight<'a> {
    pub(super) plan: &'a FieldPlan,
    pub(super) field: &'a Field,
    pub(super) surveyed: &'a Surveyed,
    pub(super) ready: &'a Ready,
    pub(super) driving: Option<&'a Driving>,
}

/// Every field, in the order of farm.yaml.
pub(super) fn sights<'a>(
    audited: &'a Audited,
    ready: &'a Ready,
    ground: &'a [Surveyed],
    driving: &'a [Option<Driving>],
) -> Vec<FieldSight<'a>> {
    let sight = |plan: &'a FieldPlan| {
        let surveyed = ground.iter().find(|own| own.field.id() == plan.id)?;
        let driving = driving.iter().flatten().find(|own| own.field == plan.id);
        Some(FieldSight { plan, field: &surveyed.field, surveyed, ready, driving })
    };
    audited.plan().fields.iter().filter_map(sight).collect()
}
