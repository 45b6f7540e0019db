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

/// The jobs of a field that go on one and the same ground, as if it had no others: what one
/// picture can show.
pub(super) struct OnGround {
    /// The field with those jobs alone.
    pub(super) plan: FieldPlan,
    /// Whether the field has jobs on what is left of it, and these are not among them.
    after: bool,
    drivings: Vec<Driving>,
}

impl OnGround {
    /// The fields with jobs, a ground at a time: first what is left of one that is done in part.
    pub(super) fn of(sight: &FieldSight<'_>) -> Vec<OnGround> {
        let all = || sight.plan.applications.iter().enumerate();
        let has_rest = sight.plan.rest_job().is_some();
        let on = |rest: bool| {
            let jobs: Vec<usize> = all().filter(|(_, a)| a.rest_acres.is_some() == rest).map(|(at, _)| at).collect();
            if jobs.is_empty() {
                return None;
            }
            let own = jobs.iter().filter_map(|at| sight.plan.applications.get(*at).cloned()).collect();
            let drivings = sight.drivings.iter().filter_map(|driving| driving.of_jobs(&jobs)).collect();
            Some(OnGround {
                plan: FieldPlan { applications: own, ..sight.plan.clone() },
                after: !rest && has_rest,
                drivings,
            })
        };
        [true, false].into_iter().filter_map(on).collect()
    }

    pub(super) fn sight<'a>(&'a self, of: &FieldSight<'a>) -> FieldSight<'a> {
        FieldSight { plan: &self.plan, drivings: &self.drivings, whole: of.whole || self.after, ..*of }
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
