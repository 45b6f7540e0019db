//! A planner's rating of a field: the class, and what stands beside it on the worksheet.

use crate::farm::numbers::plain;
use crate::farm::words::Rating;
use crate::findings::{At, Finding, Findings};
use crate::text::{Node, Walker};
use crate::units::{number, trimmed};
use jiff::civil::Date;

/// The highest score that any tool gives: our own choice.
pub(super) const MOST_SCORE: f64 = 1_000.0;

/// A planner's rating.
#[derive(Clone, Debug, PartialEq)]
pub struct Rated {
    /// The rating.
    pub rating: At<Rating>,
    /// The tool that it was made with.
    pub tool: Option<At<String>>,
    /// Which version of it.
    pub version: Option<At<String>>,
    /// What the tool came to, before it was put into a class.
    pub score: Option<At<f64>>,
    /// What was found of nitrogen leaching beside it.
    pub n_leaching: Option<At<Leaching>>,
    /// Who gave it.
    pub by: String,
    /// When.
    pub on: At<Date>,
}

/// How much nitrogen a field leaches, as the planner wrote it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Leaching {
    /// A class.
    Class(Rating),
    /// The number of an index; no table says which of them is high.
    Index(f64),
}

impl Leaching {
    /// The word or the number.
    #[must_use]
    pub fn in_words(self) -> String {
        match self {
            Leaching::Class(class) => class.word().to_string(),
            Leaching::Index(index) => trimmed(index),
        }
    }

    /// Whether it was found high.
    #[must_use]
    pub fn is_high(self) -> bool {
        matches!(self, Leaching::Class(Rating::High | Rating::VeryHigh))
    }
}

impl Rated {
    /// The tool with its version, as far as they are written.
    #[must_use]
    pub fn made_with(&self) -> Option<String> {
        let parts = [&self.tool, &self.version].into_iter().flatten().map(|part| part.value.as_str());
        let parts: Vec<&str> = parts.collect();
        (!parts.is_empty()).then(|| parts.join(", "))
    }
}

pub(super) fn read(node: &Node, findings: &mut Findings) -> Option<Rated> {
    let walk = Walker::new("the phosphorus rating", node, findings)?;
    let rating = Rating::need(&walk, "rating", findings);
    let [tool, version] = ["tool", "version"].map(|key| walk.text(key, findings));
    let score = plain(&walk, "score", 0.0..=MOST_SCORE, findings);
    let n_leaching = match walk.text("n_leaching", findings) {
        Some(text) => leaching(text, findings).map(Some),
        None => Some(None),
    };
    let by = walk.need_name("by", "the planner who rated the field", findings);
    let on = walk.need_date("on", findings);
    walk.finish(findings);
    Some(Rated { rating: rating?, tool, version, score, n_leaching: n_leaching?, by: by?.value, on: on? })
}

fn leaching(text: At<String>, findings: &mut Findings) -> Option<At<Leaching>> {
    let index = number(&text.value);
    if let Some(index) = index.filter(|index| (0.0..=MOST_SCORE).contains(index)) {
        return Some(text.map(|_| Leaching::Index(index)));
    }
    match Rating::named(&text.value) {
        Some(class) => Some(text.map(|_| Leaching::Class(class))),
        None => {
            let found = format!("the phosphorus rating: `n_leaching` is `{}`", text.value);
            findings.push(
                Finding::error("n-leaching", &text.place, found)
                    .accepts(format!("{}, or the number of an index from 0 to {MOST_SCORE}", Rating::WORDS.join(", ")))
                    .fix("write what the planner found, such as `n_leaching: high`")
                    .near(&text.value, Rating::WORDS.iter().copied()),
            );
            None
        }
    }
}
