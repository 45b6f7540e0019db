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

    /// Bars the field because the tables lack a figure: nothing is guessed at.
    pub(super) fn lacking(&mut self, topic: impl Into<Topic>, what: &str) -> StepId {
        self.lacking_of(topic, what, None)
    }

    /// The same of a figure for a class of the soil test.
    pub(super) fn lacking_of(&mut self, topic: impl Into<Topic>, what: &str, class: Option<&str>) -> StepId {
        let topic = topic.into();
        let line = self.line_to_paste(topic, class);
        let of_class = class.map_or(String::new(), |class| format!(", class {}", class.replace('_', " ")));
        let forage = &self.field.written.forage.place;
        let place = &self.book.place().name;
        let found =
            format!("field {}: the tables of {place} have no {} for it{of_class}", self.field.id(), topic.key());
        self.findings.push(
            Finding::warning("figure-missing", forage, found).accepts("the figure, with who gave it and when").fix(
                format!(
                    "ask the laboratory that tested the soil, or the planner, and write the answer in farm.yaml under \
                 `figures:`, as in `{line}`; until then the field gets no litter"
                ),
            ),
        );
        self.bars.push(Bar {
            why: format!("no figure for {what}"),
            fix: format!(
                "ask the laboratory or the planner, and write it under `figures:` in farm.yaml, as in `{line}`"
            ),
            origin: Origin::Line(forage.clone()),
        });
        self.notes.unknown(what, Origin::Definition(format!("no figure of {} here", topic.key()).into()))
    }

    /// The line of `figures:` that would give a figure.
    fn line_to_paste(&self, topic: Topic, class: Option<&str>) -> String {
        let scope = self.scope().class(class);
        let keys = ["forage", "class"].into_iter().filter(|key| topic.scope().contains(key));
        let applies = keys.filter_map(|key| Some(format!("{key}: {}", scope.get(key)?.replace('_', " "))));
        let applies: Vec<String> = applies.collect();
        let unit = topic.units().first().map_or("", |(unit, _)| *unit);
        let (topic, applies) = (topic.key(), applies.join(", "));
        format!("- {{topic: {topic}, applies: {{{applies}}}, value: ... {unit}, by: \"name\", on: YYYY-MM-DD}}")
    }
}
