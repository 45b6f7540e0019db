//! The answer for the phosphorus of one field: types only.

use crate::balance::{Basis, LimitKind, Statement};
use crate::findings::Cite;
use crate::units::{number_text, trimmed};
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

/// Phosphorus of a field.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct PhosphorusRow {
    /// Soil-test value.
    pub soil: Option<f64>,
    /// Its unit.
    pub unit: Option<String>,
    /// Its class.
    pub class: Option<String>,
    /// The planner's rating.
    pub rating: Option<String>,
    /// What stands beside it on the worksheet.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rated: Option<RatedRow>,
    /// What caps phosphate.
    pub basis: Basis,
    /// Phosphate allowed, lb/ac; none where nitrogen alone caps the rate, and where nobody knows
    /// what the soil test asks for.
    pub allowed: Option<f64>,
    /// On a nitrogen basis, the P2O5 that comes along when litter goes on up to the first
    /// limit, lb/ac.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub with_n: Option<f64>,
    /// That limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub with_n_by: Option<LimitKind>,
    /// Phosphate of log and plan over the days of that limit, lb/ac.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub with_n_on: Option<f64>,
    /// Phosphate planned, with what is already on, lb/ac.
    pub planned: f64,
    /// The rows of the place's rule that hold, with what each allows.
    #[serde(default)]
    pub rows: Vec<PhosphorusRule>,
    /// Those for bought phosphorus alone.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub for_bought: Vec<PhosphorusRule>,
    /// Rows that only say something.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cautions: Vec<PhosphorusCaution>,
    /// The limit on phosphate that leaves the least room.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub used: Option<Used>,
    /// Several years' worth at once, where a year's is too thin to spread.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bank: Option<Banking>,
    /// Last year in which the field then rests from phosphate, where several
    /// years of removal are on.
    pub rests_through: Option<i16>,
}

impl PhosphorusRow {
    /// Why no phosphate is allowed: the row of the rule that binds, never another that the
    /// field meets too.
    pub(super) fn why_none(&self, removed: f64) -> String {
        let row = self.rows.iter().find(|row| row.binds).map(|row| format!("{} ({})", row.what, row.cite));
        let unrated = if self.rating.is_none() { ", and the field has no risk rating" } else { "" };
        match (self.basis, row) {
            (Basis::SoilTest, Some(row)) => {
                format!("no phosphate allowed: the soil test calls for none, by the row {row}{unrated}")
            }
            (Basis::SoilTest, None) => format!("no phosphate allowed: the soil test calls for none{unrated}"),
            (Basis::Rests, _) => {
                "no phosphate allowed: the field rests after an earlier spreading, by `banked_until`".to_string()
            }
            (Basis::Removal, _) if removed > 0.0 => {
                "no phosphate allowed yet: what earlier years put on still counts".to_string()
            }
            (Basis::Removal, _) => "no phosphate allowed: the forage carries none off".to_string(),
            (Basis::None | Basis::Nitrogen, Some(row)) => format!("no phosphate allowed: {row}"),
            (Basis::None | Basis::Nitrogen, None) => "no phosphate allowed by the place's rule".to_string(),
        }
    }
}

/// A planner's rating, as farm.yaml has it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct RatedRow {
    /// The tool, with its version.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tool: Option<String>,
    /// What the tool came to.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub score: Option<f64>,
    /// The class that the place's bounds put the score into, for comparison alone.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub score_class: Option<ScoreClass>,
    /// The yearly rate that it was made for, in words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub made_for: Option<String>,
    /// What was found of nitrogen leaching, as the planner wrote it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub n_leaching: Option<String>,
    /// Who rated.
    pub by: String,
    /// When.
    pub on: Date,
}

/// How a place rates the phosphorus risk of a field.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct RatedWith {
    /// The tool, its classes and who may rate.
    pub words: String,
    /// The papers.
    pub cite: Cite,
}

/// A class with the papers of its bounds.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ScoreClass {
    /// The class.
    pub class: String,
    /// The papers.
    pub cite: Cite,
}

impl RatedRow {
    /// Who rated, when and with what: `by a planner, 2026-11-09, with a tool`.
    #[must_use]
    pub fn whose(&self) -> String {
        let tool = self.tool.as_ref().map_or(String::new(), |tool| format!(", with {tool}"));
        format!("by {}, {}{tool}", self.by, self.on)
    }

    /// What it came to: `score 41, by the bounds of the place medium, nitrogen leaching low`;
    /// `bounds` puts the class with how it is known.
    #[must_use]
    pub fn found(&self, bounds: impl Fn(&ScoreClass) -> String) -> String {
        let score = self.score.map(|score| format!("score {}", trimmed(score)));
        let class = self.score_class.as_ref().map(|own| format!("by the bounds of the place {}", bounds(own)));
        let leaching = self.n_leaching.as_ref().map(|word| format!("nitrogen leaching {word}"));
        let made_for = self.made_for.as_ref().map(|rate| format!("for {rate} a year"));
        [made_for, score, class, leaching].into_iter().flatten().collect::<Vec<_>>().join(", ")
    }
}

/// Several years' phosphate at once, which the rule allows and nobody asked for.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Banking {
    /// The fewest years that make a rate the spreader can lay.
    pub years: u16,
    /// The most that the rule allows.
    pub most: u16,
    /// Tons per acre of those fewest years.
    pub rate: f64,
}

impl Banking {
    /// What to write, and what comes of it.
    #[must_use]
    pub fn sentence(self) -> String {
        let Banking { years, most, rate } = self;
        format!(
            "the rule lets up to {most} years' worth go on at once: with `bank_years: {years}` it may get {} tons/ac, and \
             then rests until that is carried off",
            number_text(rate, 2)
        )
    }
}

/// A row of the place's phosphorus rule on a field.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct PhosphorusRule {
    /// What it is for.
    pub what: String,
    /// What it says.
    pub says: String,
    /// What it allows in a year, lb/ac; none where it sets no pounds.
    pub allows: Option<f64>,
    /// Whether it binds: of several that allow the same, each does.
    pub binds: bool,
    /// Its papers.
    pub cite: Cite,
    /// What somebody stated, by which it holds or says what it says.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stated: Option<Statement>,
    /// What is stated for another year than this, and so changes nothing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lapsed: Option<String>,
    /// The day on which the soil test expired that it goes by, where it did.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub test_expired: Option<Date>,
    /// What it says instead where somebody states a condition.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub ways: Vec<OtherWay>,
}

/// What a row says instead where somebody states a condition.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct OtherWay {
    /// The word for `stated:` of farm.yaml.
    pub stated: String,
    /// The condition.
    pub words: String,
    /// Who may say so.
    pub by: String,
    /// What the row then says.
    pub then: String,
    /// The year of the plan, where it holds for one year alone.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub one_year: Option<i16>,
}

/// A row of the phosphorus rule that only says something.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PhosphorusCaution {
    /// What it is for.
    pub what: String,
    /// What it says.
    pub words: String,
}

/// What one limit allows over its days, and what log and plan put on in them.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Used {
    /// First day.
    pub first: Date,
    /// Last day.
    pub last: Date,
    /// Allowed, lb/ac.
    pub allowed: f64,
    /// Put on, lb/ac.
    pub on: f64,
}
