//! A planner's rating of a field: the class, and what stands beside it on the worksheet.

use crate::farm::numbers::plain;
use crate::farm::words::Rating;
use crate::findings::{At, Finding, Findings};
use crate::text::{Node, Walker};
use crate::units::{self, LbPerAcre, Quantity, TonsPerAcre, number, trimmed};
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
    /// The rate that it was made for, in a year.
    pub made_for: Option<At<MadeFor>>,
    /// What was found of nitrogen leaching beside it.
    pub n_leaching: Option<At<Leaching>>,
    /// Who gave it.
    pub by: String,
    /// When.
    pub on: At<Date>,
}

/// The rate that a rating was made for: a tool takes the rate as one of its factors.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum MadeFor {
    /// Litter.
    Litter(TonsPerAcre),
    /// Phosphate, whatever brings it.
    P2o5(LbPerAcre),
}

impl MadeFor {
    /// `3 tons/ac of litter`.
    #[must_use]
    pub fn in_words(self) -> String {
        match self {
            MadeFor::Litter(rate) => format!("{} tons/ac of litter", trimmed(rate.get())),
            MadeFor::P2o5(rate) => format!("{} lb/ac of P2O5", trimmed(rate.get())),
        }
    }

    /// The number alone.
    #[must_use]
    pub fn amount(self) -> f64 {
        match self {
            MadeFor::Litter(rate) => rate.get(),
            MadeFor::P2o5(rate) => rate.get(),
        }
    }
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
    let made_for = match walk.text("made_for", findings) {
        Some(text) => made_for(text, findings).map(Some),
        None => Some(None),
    };
    let n_leaching = match walk.text("n_leaching", findings) {
        Some(text) => leaching(text, findings).map(Some),
        None => Some(None),
    };
    let by = walk.need_name("by", "the planner who rated the field", findings);
    let on = walk.need_date("on", findings);
    walk.finish(findings);
    Some(Rated {
        rating: rating?,
        tool,
        version,
        score,
        made_for: made_for?,
        n_leaching: n_leaching?,
        by: by?.value,
        on: on?,
    })
}

/// A rate of litter or of phosphate; 0 is none, and nothing is rated for it.
fn made_for(text: At<String>, findings: &mut Findings) -> Option<At<MadeFor>> {
    let phosphate = units::quantity::<LbPerAcre>(&text.value).map(MadeFor::P2o5);
    let read = phosphate.or_else(|_| units::quantity::<TonsPerAcre>(&text.value).map(MadeFor::Litter));
    match read.ok().filter(|read| read.amount() > 0.0) {
        Some(read) => Some(text.map(|_| read)),
        None => {
            let found = format!("the phosphorus rating: `made_for` is `{}`", text.value);
            findings.push(
                Finding::error("made-for", &text.place, found)
                    .accepts("a rate above 0: litter in tons/ac or t/ha, or P2O5 in lb/ac or kg/ha")
                    .fix("write the yearly rate on the planner's worksheet, such as `made_for: 3 tons/ac`"),
            );
            None
        }
    }
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
