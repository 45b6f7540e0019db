//! Everything that is known of one field once the choice is made.

use crate::balance::{FieldBalance, StepId, Surveyed};
use crate::check::{Field, Ready};
use crate::plan::pick::Pick;
use crate::plan::problem::Problem;
use crate::plan::resources::Resource;
use crate::tables::Book;

/// Everything that is known of one field once the choice is made.
#[derive(Clone, Copy)]
pub(super) struct Sight<'a> {
    pub(super) ready: &'a Ready,
    pub(super) weighed: &'a FieldBalance,
    pub(super) book: Option<&'a Book<'a>>,
    pub(super) question: &'a Problem,
    /// What the choices draw on.
    pub(super) resources: &'a [Resource],
    pub(super) entries: &'a [Pick],
    pub(super) index: usize,
}

impl<'a> Sight<'a> {
    /// The field, as it was checked.
    pub(super) fn field(&self) -> &'a Field {
        self.weighed.field()
    }

    /// The field, as it was measured.
    pub(super) fn surveyed(&self) -> &'a Surveyed {
        &self.weighed.surveyed
    }

    /// The number of a step.
    pub(super) fn value(&self, id: StepId) -> f64 {
        self.weighed.notes.value(id)
    }
}
