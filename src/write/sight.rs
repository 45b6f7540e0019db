//! Everything that is known of a field, for whoever draws or exports it.

use crate::audit::Audited;
use crate::balance::{Driving, Loads, Surveyed};
use crate::check::{Field, Ready};
use crate::ground::done_and_left;
use crate::plan::answer::{Application, FieldPlan};
use geo::MultiPolygon;

/// What is known of one field.
#[derive(Clone, Copy)]
pub(super) struct FieldSight<'a> {
    pub(super) plan: &'a FieldPlan,
    pub(super) field: &'a Field,
    pub(super) surveyed: &'a Surveyed,
    pub(super) ready: &'a Ready,
    /// How it is driven, job by job; nothing where it gets no litter.
    pub(super) drivings: &'a [Driving],
    /// Whether the part of it that is done is of no matter here.
    pub(super) whole: bool,
}

/// The ground of a field that is done in part, in feet on its plane.
pub(super) struct PartGround {
    pub(super) done: MultiPolygon<f64>,
    pub(super) left: MultiPolygon<f64>,
}

impl<'a> FieldSight<'a> {
    /// How it is driven on the ground that is spread first: what a map shows.
    pub(super) fn driving(&self) -> Option<&'a Driving> {
        self.drivings.first()
    }

    /// How a job of it is driven, and where its loads run out.
    pub(super) fn driving_of(&self, job: usize) -> Option<(&'a Driving, &'a Loads)> {
        self.drivings.iter().find_map(|driving| Some((driving, driving.loads_of(job)?)))
    }

    /// Ground that is done and ground that is left, where the plan knows of both.
    pub(super) fn part(&self) -> Option<PartGround> {
        let part = self.plan.part.as_ref().filter(|_| !self.whole)?;
        let shapes = self.field.done.shapes(&part.entries);
        let [done, left] = done_and_left(&self.surveyed.cut, shapes).ok()?;
        Some(PartGround { done, left })
    }

    /// The ground that a job goes on, in feet on the plane of the field.
    pub(super) fn ground_of(&self, job: &Application) -> MultiPolygon<f64> {
        let part = job.rest_acres.and_then(|_| self.part());
        part.map_or_else(|| self.surveyed.cut.spreadable.clone(), |part| part.left)
    }
}

/// Every field, in the order of farm.yaml.
pub(super) fn sights<'a>(
    audited: &'a Audited,
    ready: &'a Ready,
    ground: &'a [Surveyed],
    driving: &'a [Vec<Driving>],
) -> Vec<FieldSight<'a>> {
    let sight = |plan: &'a FieldPlan| {
        let surveyed = ground.iter().find(|own| own.field.id() == plan.id)?;
        let drivings = driving.iter().find(|own| own.iter().any(|own| own.field == plan.id));
        let drivings = drivings.map_or(&[][..], Vec::as_slice);
        Some(FieldSight { plan, field: &surveyed.field, surveyed, ready, drivings, whole: false })
    };
    audited.plan().fields.iter().filter_map(sight).collect()
}
