//! The desk at which one field is calculated: the farm, the tables, and the
//! notebook that fills up.

use crate::balance::{Notebook, StepId};
use crate::check::{Bar, Field, Ready};
use crate::findings::{Finding, Findings, Origin};
use crate::tables::{Book, Of, Scope, Sourced, Topic, Value};

/// Everything a step of one field may look at or write into.
pub(super) struct Desk<'a> {
    pub(super) ready: &'a Ready,
    pub(super) field: &'a Field,
    pub(super) book: &'a Book<'a>,
    pub(super) notes: Notebook,
    pub(super) bars: Vec<Bar>,
    pub(super) findings: &'a mut Findings,
}

impl<'a> Desk<'a> {
    pub(super) fn new(ready: &'a Ready, field: &'a Field, book: &'a Book<'a>, findings: &'a mut Findings) -> Desk<'a> {
        Desk { ready, field, book, notes: Notebook::default(), bars: field.bars.clone(), findings }
    }

    /// A figure for this field.
    pub(super) fn get<T: Value>(&self, topic: Of<T>) -> Option<Sourced<T>> {
        self.book.get(topic, &self.scope())
    }

    /// What questions about this field say.
    pub(super) fn scope(&self) -> Scope<'a> {
        self.ready.scope(self.field)
    }

    /// Bars the field because the tables lack a figure, and takes 0 for it:
    /// nothing is guessed at.
    pub(super) fn lacking(&mut self, topic: impl Into<Topic>, what: &str) -> StepId {
        let topic = topic.into();
        let forage = &self.field.written.forage.place;
        let place = &self.book.place().name;
        let found = format!("field {}: the tables of {place} have no {} for it", self.field.id(), topic.key());
        self.findings.push(
            Finding::warning("figure-missing", forage, found)
                .fix("the field gets no litter until the figure is in reference/"),
        );
        self.bars.push(Bar {
            why: format!("no figure for {what}"),
            fix: format!("add `{}` to the tables of {place}", topic.key()),
            origin: Origin::Line(forage.clone()),
        });
        self.notes.given(what, 0.0, "lb/ac", Origin::Definition("no figure".into()))
    }
}
