//! The desk at which one field is calculated: the farm, the tables, and the
//! notebook that fills up.

use crate::balance::{Notebook, StepId};
use crate::check::{Bar, Field, Ready, Wants};
use crate::farm::Recommended;
use crate::findings::{At, Findings, Origin};
use crate::tables::{Book, Of, Scope, Sourced, Topic, Value, topic};
use crate::units::Quantity;

/// What a soil report may recommend instead of the tables, by its key there. Where a place
/// has its nitrogen by the yield or by a rate, it is asked for by the yield.
pub(super) fn advisable() -> [(Topic, &'static str); 3] {
    [(topic::N_PER_TON.into(), "n"), (topic::P2O5_NEED.into(), "p2o5"), (topic::K2O_NEED.into(), "k2o")]
}

/// What gives a field the figure that the tables lack.
fn lifted_by(topic: Topic, place: &str) -> String {
    let key = topic.key();
    match advisable().iter().find(|(need, _)| *need == topic) {
        Some((_, advised)) => {
            format!("write `recommended: {{{advised}: ...}}` into its soil test, or give `{key}` under `figures:`")
        }
        None => format!("give `{key}` under `figures:`, or add it to the tables of {place}"),
    }
}

/// A figure that the tables lack and that stops nothing by itself.
#[derive(Clone, Debug, PartialEq)]
pub struct Lack {
    /// Of which topic.
    pub topic: Topic,
    /// For which class of the soil test.
    pub class: Option<String>,
    /// What it would tell.
    pub what: String,
}

/// Everything a step of one field may look at or write into.
pub(super) struct Desk<'a> {
    pub(super) ready: &'a Ready,
    pub(super) field: &'a Field,
    pub(super) book: &'a Book<'a>,
    pub(super) notes: Notebook,
    pub(super) bars: Vec<Bar>,
    /// Figures that are not known and stop nothing so far.
    pub(super) lacks: Vec<Lack>,
    pub(super) findings: &'a mut Findings,
    /// Where the soil report does not speak of what is planned: of what it does.
    pub(super) elsewhere: Option<String>,
}

impl<'a> Desk<'a> {
    pub(super) fn new(ready: &'a Ready, field: &'a Field, book: &'a Book<'a>, findings: &'a mut Findings) -> Desk<'a> {
        Desk {
            ready,
            field,
            book,
            notes: Notebook::default(),
            bars: field.bars.clone(),
            lacks: Vec::new(),
            findings,
            elsewhere: None,
        }
    }

    /// A figure for this field.
    pub(super) fn get<T: Value>(&self, topic: Of<T>) -> Option<Sourced<T>> {
        self.book.get(topic, &self.scope())
    }

    /// What questions about this field say.
    pub(super) fn scope(&self) -> Scope<'a> {
        self.ready.scope(self.field)
    }

    /// Bars the field because the tables lack a figure: nothing is guessed at. What would
    /// lift it is told for all such fields together.
    pub(super) fn lacking(&mut self, topic: impl Into<Topic>, what: &str) -> StepId {
        let topic = topic.into();
        self.bar(Lack { topic, class: None, what: what.to_string() });
        self.no_figure(topic, what)
    }

    /// Writes down that a figure is not known: it stops nothing, unless what limits the field
    /// goes by it.
    pub(super) fn not_known(&mut self, topic: impl Into<Topic>, what: &str, class: Option<String>) -> StepId {
        let topic = topic.into();
        self.lacks.push(Lack { topic, class, what: what.to_string() });
        self.no_figure(topic, what)
    }

    /// Bars the field by those of some topics that are not known, since a limit goes by them.
    pub(super) fn goes_by(&mut self, topics: &[Topic]) {
        let (stop, rest) = std::mem::take(&mut self.lacks).into_iter().partition(|lack| topics.contains(&lack.topic));
        let stop: Vec<Lack> = stop;
        self.lacks = rest;
        stop.into_iter().for_each(|lack| self.bar(lack));
    }

    fn bar(&mut self, Lack { topic, class, what }: Lack) {
        let bar = Bar {
            wants: Wants::Figure(topic.key(), class),
            why: format!("no figure for {what}"),
            fix: lifted_by(topic, &self.book.place().name),
            origin: Origin::Line(self.field.written.forage.place.clone()),
        };
        self.bars.push(bar);
    }

    fn no_figure(&mut self, topic: Topic, what: &str) -> StepId {
        self.notes.unknown(what, Origin::Definition(format!("no figure of {} here", topic.key()).into()))
    }

    /// What the soil report in force recommends.
    pub(super) fn advice(&self) -> Option<&'a Recommended> {
        self.field.written.soil_test.as_ref()?.recommended.as_ref()
    }

    /// Writes down what the report recommends of something, with the laboratory and the
    /// day of sampling.
    pub(super) fn advised<Q: Quantity>(&mut self, what: &str, of: Option<&At<Q>>) -> Option<StepId> {
        let test = self.field.written.soil_test.as_ref()?;
        let at = of?;
        let what = format!("{what} that the soil report recommends ({}, {})", test.lab, test.sampled.value);
        let origin = match &self.elsewhere {
            Some(of) => Origin::Elsewhere { place: at.place.clone(), of: of.clone() },
            None => Origin::Line(at.place.clone()),
        };
        Some(self.notes.given(what, at.value.get(), Q::UNIT, origin))
    }
}
