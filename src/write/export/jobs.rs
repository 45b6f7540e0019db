//! The jobs of a plan, with their ground.

use crate::audit::Audited;
use crate::balance::Surveyed;
use crate::check::Ready;
use crate::ground::written;
use crate::plan::answer::Application;
use crate::units::number_text;
use crate::write::map::degrees::to_hundredths;
use crate::write::sight::{FieldSight, sights};
use crate::write::words::title;
use geo::MultiPolygon;

/// One application on one field.
pub(super) struct Job<'a> {
    pub(super) sight: FieldSight<'a>,
    pub(super) on: &'a Application,
    /// Its number among the jobs of its field, from 1.
    pub(super) number: usize,
    /// Where it goes, longitude and latitude in degrees.
    pub(super) ground: MultiPolygon<f64>,
}

impl Job<'_> {
    /// The name of the field, with the days of the job where the field has several: its ground may
    /// be the same.
    pub(super) fn title(&self) -> String {
        title(self.sight.plan, self.on)
    }

    /// Acres that the plan spreads on.
    pub(super) fn acres(&self) -> f64 {
        to_hundredths(self.on.acres(self.sight.plan))
    }
}

/// Every field, in the order of farm.yaml.
pub(super) fn fields<'a>(audited: &'a Audited, ready: &'a Ready, ground: &'a [Surveyed]) -> Vec<FieldSight<'a>> {
    sights(audited, ready, ground, &[])
}

/// What is told of ground that an export leaves out, a field a sentence.
#[must_use]
pub fn left_out(audited: &Audited, ready: &Ready, ground: &[Surveyed]) -> Vec<String> {
    let mut told = Vec::new();
    for sight in fields(audited, ready, ground).iter().filter(|sight| !sight.plan.applications.is_empty()) {
        let cut = &sight.surveyed.cut;
        let acres = written(&cut.plane, &cut.spreadable).left_out;
        if acres > 0.0 {
            told.push(format!(
                "field {}: {} ac too narrow to write with seven decimals of a degree were left out",
                sight.plan.id,
                number_text(acres, 3)
            ));
        }
    }
    told
}

/// The jobs, field by field in the order of farm.yaml, each field's by day.
pub(super) fn jobs<'a>(audited: &'a Audited, ready: &'a Ready, ground: &'a [Surveyed]) -> Vec<Job<'a>> {
    let mut jobs = Vec::new();
    for sight in fields(audited, ready, ground) {
        let plane = &sight.surveyed.cut.plane;
        let ground = |on: &Application| written(plane, &sight.ground_of(on)).shape;
        let all = sight.plan.applications.iter().enumerate();
        jobs.extend(all.map(|(at, on)| Job { sight, on, number: at + 1, ground: ground(on) }));
    }
    jobs
}
