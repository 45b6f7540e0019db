//! One finding.

use crate::findings::nearest::nearest;
use crate::findings::origin::Place;
use serde::{Deserialize, Serialize};
use std::borrow::Cow;

/// How much a finding weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Severity {
    /// The plan cannot be made until it is fixed.
    Error,
    /// The plan can be made; somebody must look at it.
    Warning,
    /// Worth knowing.
    Note,
}

impl Severity {
    /// The word shown in front of the message.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Severity::Error => "error",
            Severity::Warning => "warning",
            Severity::Note => "note",
        }
    }
}

/// One finding: what was found, what is accepted, how to fix it, and where.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Finding {
    /// How much it weighs.
    pub severity: Severity,
    /// A stable code, such as `unit-missing`.
    pub code: Cow<'static, str>,
    /// What was found, in one sentence without a final stop.
    pub found: String,
    /// What would be accepted.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub accepted: Option<String>,
    /// How to fix it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fix: Option<String>,
    /// Where it stands.
    pub place: Place,
    /// A second place that matters, with what stands there.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub also: Option<(Place, String)>,
    /// Lines to fill in and paste into farm.yaml.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub lines: Vec<String>,
}

impl Finding {
    fn new(severity: Severity, code: &'static str, place: &Place, found: impl Into<String>) -> Finding {
        Finding {
            severity,
            code: Cow::Borrowed(code),
            found: found.into(),
            accepted: None,
            fix: None,
            place: place.clone(),
            also: None,
            lines: Vec::new(),
        }
    }

    /// Something that stops the plan.
    pub fn error(code: &'static str, place: &Place, found: impl Into<String>) -> Finding {
        Finding::new(Severity::Error, code, place, found)
    }

    /// Something that somebody must look at.
    pub fn warning(code: &'static str, place: &Place, found: impl Into<String>) -> Finding {
        Finding::new(Severity::Warning, code, place, found)
    }

    /// Something worth knowing.
    pub fn note(code: &'static str, place: &Place, found: impl Into<String>) -> Finding {
        Finding::new(Severity::Note, code, place, found)
    }

    /// Adds what would be accepted.
    #[must_use]
    pub fn accepts(mut self, text: impl Into<String>) -> Finding {
        let text = text.into();
        self.accepted = Some(text).filter(|text| !text.is_empty());
        self
    }

    /// Adds how to fix it.
    #[must_use]
    pub fn fix(mut self, text: impl Into<String>) -> Finding {
        self.fix = Some(text.into());
        self
    }

    /// Asks whether the nearest of the known words was meant, where one is near: the better fix.
    #[must_use]
    pub fn near<'a>(self, word: &str, known: impl IntoIterator<Item = &'a str>) -> Finding {
        match nearest(word, known) {
            Some(near) => self.fix(format!("did you mean `{near}`?")),
            None => self,
        }
    }

    /// What was found and how to fix it, in a sentence.
    #[must_use]
    pub fn in_words(&self) -> String {
        let fix = self.fix.as_ref().map_or(String::new(), |fix| format!(": {fix}"));
        format!("{}{fix}.", self.found)
    }

    /// Adds lines to fill in and paste.
    #[must_use]
    pub fn lines(mut self, lines: Vec<String>) -> Finding {
        self.lines = lines;
        self
    }

    /// Adds a second place.
    #[must_use]
    pub fn also(mut self, place: &Place, what: impl Into<String>) -> Finding {
        self.also = Some((place.clone(), what.into()));
        self
    }
}
