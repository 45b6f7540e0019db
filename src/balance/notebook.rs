//! The notebook: every number with what it is, its unit, and where it comes
//! from. The arithmetic is done here, so that what is shown is what was
//! calculated.

use crate::check::Laid;
use crate::findings::{At, Cite, Known, Origin};
use crate::record::Entry;
use crate::tables::{Rate, Sourced, curve_at};
use crate::units::Quantity;
use serde::Serialize;
use std::collections::BTreeMap;

/// A step's number in its notebook.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, serde::Deserialize)]
#[serde(transparent)]
pub struct StepId(usize);

impl StepId {
    /// The step's number as people see it, from 1.
    #[must_use]
    pub fn number(self) -> usize {
        self.0 + 1
    }
}

/// What a step came to.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Worth {
    /// A number.
    Number(f64),
    /// A word.
    Word(String),
}

/// How steps are put together.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Op {
    /// All added.
    Sum,
    /// The first less all others, never below zero.
    Less,
    /// All multiplied.
    Times,
    /// The first over the second.
    Over,
    /// The smallest.
    Least,
    /// The largest.
    Greatest,
    /// The whole less a share in percent, as a share of one.
    Rest,
    /// The first to the power of the second.
    Power,
    /// The sine of a slope in percent.
    Sine,
    /// The first, as the second lets it count.
    By,
    /// The first, which all others say too.
    Alike,
}

/// Where a step's value comes from.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum How {
    /// Written, published, measured or defined.
    From(Origin),
    /// Put together from earlier steps.
    Reckoned {
        /// How.
        op: Op,
        /// From which steps.
        of: Vec<StepId>,
    },
    /// The most on any acre that some spreadings can make: `check::Laid`.
    Densest {
        /// What each put on its own acres.
        of: Vec<StepId>,
    },
    /// Read off a curve at an earlier step.
    Curve {
        /// Factor of the square.
        a: f64,
        /// Factor taken off.
        b: f64,
        /// Value at zero.
        c: f64,
        /// The step it is read at.
        at: StepId,
        /// The figure.
        cite: Cite,
    },
    /// Found in classes by an earlier step.
    Class {
        /// The step that was looked up.
        at: StepId,
        /// The figure.
        cite: Cite,
    },
}

/// The word of a number that nobody knows.
pub const NOT_KNOWN: &str = "not known";

/// One line of the notebook.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Step {
    /// What it is.
    pub what: String,
    /// What it came to.
    pub value: Worth,
    /// Its unit; empty for words.
    pub unit: &'static str,
    /// Where it comes from.
    pub how: How,
}

/// How each step of a notebook is known: as the worst known figure that it comes from,
/// by whatever way.
#[derive(Clone, Debug, PartialEq)]
pub struct StepsKnown(Vec<Known>);

impl StepsKnown {
    /// That of a step.
    #[must_use]
    pub fn of(&self, id: StepId) -> Known {
        self.0.get(id.0).copied().unwrap_or_default()
    }

    /// Those of all steps, in order.
    pub fn iter(&self) -> impl Iterator<Item = Known> {
        self.0.iter().copied()
    }
}

/// The steps of one field.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
#[serde(transparent)]
pub struct Notebook {
    steps: Vec<Step>,
}

impl Notebook {
    fn push(&mut self, what: impl Into<String>, value: Worth, unit: &'static str, how: How) -> StepId {
        self.steps.push(Step { what: what.into(), value, unit, how });
        StepId(self.steps.len() - 1)
    }

    /// All steps in order.
    #[must_use]
    pub fn steps(&self) -> &[Step] {
        &self.steps
    }

    /// One step.
    #[must_use]
    pub fn step(&self, id: StepId) -> &Step {
        &self.steps[id.0]
    }

    /// The number of a step; zero for a word.
    #[must_use]
    pub fn value(&self, id: StepId) -> f64 {
        match self.step(id).value {
            Worth::Number(value) => value,
            Worth::Word(_) => 0.0,
        }
    }

    /// How each step is known.
    #[must_use]
    pub fn known(&self) -> StepsKnown {
        let mut all: Vec<Known> = Vec::with_capacity(self.steps.len());
        for step in &self.steps {
            // A step comes from earlier ones alone.
            let of = |id: &StepId| all.get(id.0).copied().unwrap_or_default();
            let known = match &step.how {
                How::From(Origin::Figure(cite)) => cite.known,
                How::From(Origin::Said { .. }) => Known::Said,
                How::From(Origin::Elsewhere { .. }) => Known::Applied,
                How::From(Origin::Line(_) | Origin::Measured | Origin::Definition(_)) => Known::Read,
                How::Reckoned { of: from, .. } | How::Densest { of: from } => {
                    from.iter().map(of).max().unwrap_or_default()
                }
                How::Curve { at, cite, .. } | How::Class { at, cite } => of(at).max(cite.known),
            };
            all.push(known);
        }
        StepsKnown(all)
    }

    /// A number that stands somewhere. A published one that is written down already is not
    /// written a second time.
    pub fn given(&mut self, what: impl Into<String>, value: f64, unit: &'static str, origin: Origin) -> StepId {
        let step = Step { what: what.into(), value: Worth::Number(value), unit, how: How::From(origin) };
        let published = matches!(step.how, How::From(Origin::Figure(_)));
        if let Some(at) = self.steps.iter().position(|own| published && *own == step) {
            return StepId(at);
        }
        self.push(step.what, step.value, step.unit, step.how)
    }

    /// A number that the farm's files give, with the line it stands in.
    pub fn written<T>(&mut self, what: impl Into<String>, value: f64, unit: &'static str, at: &At<T>) -> StepId {
        self.given(what, value, unit, Origin::Line(at.place.clone()))
    }

    /// A word that stands somewhere.
    pub fn word(&mut self, what: impl Into<String>, word: impl Into<String>, origin: Origin) -> StepId {
        self.push(what, Worth::Word(word.into()), "", How::From(origin))
    }

    /// A number that nobody knows, for want of a figure: zero wherever it is counted, and
    /// so is what is calculated from it.
    pub fn unknown(&mut self, what: impl Into<String>, origin: Origin) -> StepId {
        self.word(what, NOT_KNOWN, origin)
    }

    /// Whether a step has a number.
    #[must_use]
    pub fn knows(&self, id: StepId) -> bool {
        !matches!(&self.step(id).value, Worth::Word(word) if word == NOT_KNOWN)
    }

    /// A published number.
    pub fn figure<Q: Quantity>(&mut self, what: impl Into<String>, figure: &Sourced<Q>) -> StepId {
        self.given(what, figure.value.get(), shown::<Q>(), Origin::Figure(figure.cite.clone()))
    }

    /// A published number or curve, the curve read at `at`.
    pub fn rate<Q: Quantity>(&mut self, what: impl Into<String>, rate: &Sourced<Rate<Q>>, at: StepId) -> StepId {
        let cite = rate.cite.clone();
        match rate.value {
            Rate::Flat(value) => self.given(what, value.get(), shown::<Q>(), Origin::Figure(cite)),
            Rate::Curve { a, b, c, .. } => {
                let value = curve_at(a, b, c, self.value(at));
                self.push(what, Worth::Number(value), shown::<Q>(), How::Curve { a, b, c, at, cite })
            }
        }
    }

    /// A class that an earlier step falls into.
    pub fn class(&mut self, what: impl Into<String>, class: impl Into<String>, at: StepId, cite: Cite) -> StepId {
        self.push(what, Worth::Word(class.into()), "", How::Class { at, cite })
    }

    /// A published number of the class that an earlier step is.
    pub fn by_class(
        &mut self,
        what: impl Into<String>,
        value: f64,
        unit: &'static str,
        at: StepId,
        cite: Cite,
    ) -> StepId {
        self.push(what, Worth::Number(value), unit, How::Class { at, cite })
    }

    /// The word of a step; a number is written out.
    #[must_use]
    pub fn word_of(&self, id: StepId) -> String {
        match &self.step(id).value {
            Worth::Word(word) => word.clone(),
            Worth::Number(value) => crate::units::trimmed(*value),
        }
    }

    /// The most on any acre that some spreadings can make, each with the step of
    /// what it put on its own acres.
    pub fn densest(
        &mut self,
        what: impl Into<String>,
        unit: &'static str,
        laid: &Laid<'_>,
        put: &[(&Entry, StepId)],
    ) -> StepId {
        let by_id: BTreeMap<&str, StepId> = put.iter().map(|(entry, step)| (entry.id.as_str(), *step)).collect();
        let of = |entry: &Entry| by_id.get(entry.id.as_str());
        let value = laid.densest_of(&|entry| of(entry).map_or(0.0, |step| self.value(*step)));
        let of = put.iter().map(|(_, step)| *step).collect();
        self.push(what, Worth::Number(value), unit, How::Densest { of })
    }

    /// What several steps say alike: known as the one that is known least. One alone stays itself.
    pub fn alike(&mut self, what: impl Into<String>, of: &[StepId]) -> Option<StepId> {
        let first = *of.first()?;
        if of.len() < 2 {
            return Some(first);
        }
        let Step { value, unit, .. } = self.step(first).clone();
        Some(self.push(what, value, unit, How::Reckoned { op: Op::Alike, of: of.to_vec() }))
    }

    /// Puts earlier steps together.
    pub fn reckon(&mut self, what: impl Into<String>, unit: &'static str, op: Op, of: &[StepId]) -> StepId {
        let values: Vec<f64> = of.iter().map(|id| self.value(*id)).collect();
        let first = values.first().copied().unwrap_or(0.0);
        let rest = values.get(1..).unwrap_or(&[]);
        let value = match op {
            Op::Sum => values.iter().sum(),
            Op::Less => (first - rest.iter().sum::<f64>()).max(0.0),
            Op::Times => values.iter().product(),
            Op::Over => first / rest.first().copied().unwrap_or(1.0),
            Op::Least => values.iter().copied().fold(f64::INFINITY, f64::min),
            Op::Greatest => values.iter().copied().fold(f64::NEG_INFINITY, f64::max),
            Op::Rest => 1.0 - first / 100.0,
            Op::Power => first.powf(rest.first().copied().unwrap_or(1.0)),
            Op::Sine => (first / 100.0).atan().sin(),
            Op::By | Op::Alike => first,
        };
        let how = How::Reckoned { op, of: of.to_vec() };
        if !of.iter().all(|id| self.knows(*id)) {
            return self.push(what, Worth::Word(NOT_KNOWN.to_string()), "", how);
        }
        self.push(what, Worth::Number(value), unit, how)
    }
}

/// The unit of a quantity as the notebook shows it: a plain factor shows none.
fn shown<Q: Quantity>() -> &'static str {
    match Q::UNIT {
        "share" | "times" | "factor" => "",
        unit => unit,
    }
}
