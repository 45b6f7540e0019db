//! The jobs of a plan, with their ground.

use crate::audit::Audited;
use crate::balance::Surveyed;
use crate::check::Ready;
use crate::plan::answer::Application;
use crate::write::map::degrees::{in_degrees, to_hundredths};
use crate::write::map::sights;
use crate::write::sheet::map::Sight;
use geo::MultiPolygon;

/// One application on one field.
pub(super) struct Job<'a> {
    pub(super) sight: Sight<'a>,
    pub(super) on: &'a Application,
    /// Where it goes, longitude and latitude in degrees.
    pub(super) ground: MultiPolygon<f64>,
}

impl Job<'_> {
    /// Acres that the plan spreads on.
    pub(super) fn acres(&self) -> f64 {
        to_hundredths(self.sight.plan.acres)
    }
}

/// Every field, in the order of farm.yaml.
pub(super) fn fields<'a>(audited: &'a Audited, ready: &'a Ready, ground: &'a [Surveyed]) -> Vec<Sight<'a>> {
    sights(audited, ready, ground, &[])
}

/// The jobs, field by field in the order of farm.yaml, each field's by day.
pub(super) fn jobs<'a>(audited: &'a Audited, ready: &'a Ready, ground: &'a [Surveyed]) -> Vec<Job<'a>> {
    let mut jobs = Vec::new();
    for sight in fields(audited, ready, ground) {
        let cut = &sight.surveyed.cut;
        let ground = in_degrees(&cut.plane, &cut.spreadable);
        jobs.extend(sight.plan.applications.iter().map(|on| Job { sight, on, ground: ground.clone() }));
    }
    jobs
}
