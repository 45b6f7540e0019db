//! The phosphorus rule of a place: one record is one row. Every row whose conditions
//! hold says what may go on, and the fewest pounds of them hold.

use crate::units::trimmed;

/// A row.
#[derive(Clone, Debug, PartialEq)]
pub struct PRule {
    /// When it holds.
    pub when: PWhen,
    /// What it says.
    pub says: PSays,
    /// What it says instead, where the grower states a condition.
    pub unless: Vec<PUnless>,
    /// Who rates, decides or is to be asked.
    pub by: Option<String>,
    /// How it stands to the other rows that hold.
    pub wins: PWins,
    /// What a row of words only says.
    pub words: Option<String>,
}

/// The conditions of a row: all of them hold. An empty list asks for nothing.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PWhen {
    /// The site risk rating, `unrated` among them.
    pub rating: Vec<String>,
    /// Soil-test phosphorus, in the place's own unit.
    pub soil: Option<PEnds>,
    /// Phosphorus saturation of the soil in percent.
    pub saturation: Option<PEnds>,
    /// Class of the soil test.
    pub class: Vec<String>,
    /// Where the field lies.
    pub region: Vec<String>,
    /// What kind of farm: `large`, `permitted`, `buyer`, `unsaid`.
    pub farm: Vec<String>,
    /// Under which plan, in words of the place.
    pub plan: Vec<String>,
    /// Which way the grower chose where the rule lets him.
    pub way: Vec<String>,
    /// Where litter ends up.
    pub placement: Vec<String>,
    /// How close the field lies to something.
    pub near: Option<PNear>,
    /// Whether it is about fields without a soil test that still counts: they are planned by it.
    pub untested: bool,
    /// What goes on.
    pub of: POf,
}

/// The word of a row for farms, plans and ways of which farm.yaml says nothing.
pub const UNSAID: &str = "unsaid";

/// Something of the farm's map within so many feet of the field.
#[derive(Clone, Debug, PartialEq)]
pub struct PNear {
    /// Feet from the edge of the field.
    pub within: f64,
    /// Kinds of it, as keys.
    pub of: Vec<String>,
}

/// What a row is about.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum POf {
    /// Litter.
    #[default]
    Litter,
    /// Phosphorus that is bought.
    Fertilizer,
    /// Both.
    All,
}

/// A range of numbers; an end that is not there is open.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PEnds {
    /// The lower end, and whether it lies within.
    pub low: Option<(f64, bool)>,
    /// The upper end, and whether it lies within.
    pub high: Option<(f64, bool)>,
}

impl PEnds {
    /// Whether a number lies within.
    #[must_use]
    pub fn hold(self, number: f64) -> bool {
        let above = self.low.is_none_or(|(end, within)| number > end || within && number >= end);
        above && self.high.is_none_or(|(end, within)| number < end || within && number <= end)
    }
}

/// On what a row bases phosphate.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PBasis {
    /// Nitrogen alone sets the rate.
    Nitrogen,
    /// What the forage carries off.
    Removal,
    /// What the soil test asks for.
    Need,
    /// Nothing goes on.
    None,
    /// Nothing goes on until somebody has rated or decided.
    Ask,
    /// Words only.
    Warn,
    /// A cap beside the other rows, which says nothing of phosphate.
    Cap,
}

/// A second basis beside the first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum POr {
    /// The greater of both holds.
    Greater(PBasis),
    /// The lesser of both holds.
    Lesser(PBasis),
}

/// What a row says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PSays {
    /// The basis.
    pub basis: PBasis,
    /// A factor on it.
    pub times: f64,
    /// A second basis.
    pub or: Option<POr>,
    /// So many years' worth may go on at once.
    pub years: u16,
    /// A cap beside the basis.
    pub most: Option<PMost>,
    /// Most nitrogen, as a share of the need.
    pub n_most: Option<f64>,
}

/// A cap over some years.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PMost {
    /// So much an acre.
    pub amount: f64,
    /// Of what.
    pub of: PMostOf,
    /// Over a calendar year, or any so many years.
    pub over: u16,
}

/// What a cap counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PMostOf {
    /// Pounds of phosphate, of whatever goes on.
    P2o5,
    /// Tons of litter.
    Litter,
    /// Pounds of nitrogen that the litter holds, available or not.
    TotalN,
}

/// What holds instead where something is stated.
#[derive(Clone, Debug, PartialEq)]
pub struct PUnless {
    /// The word that farm.yaml states.
    pub stated: String,
    /// What that says.
    pub words: String,
    /// Who may say so.
    pub by: String,
    /// Whether it holds for one year of a rotation alone.
    pub one_year: bool,
    /// In how many years together there is one such year, where the rule says.
    pub once_in: Option<u16>,
    /// Whether it holds only where the field's own `most` carries the rate that was allowed.
    pub with_most: bool,
    /// What the row then says.
    pub then: PSays,
}

/// How a row stands to the others that hold.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum PWins {
    /// The fewest pounds hold.
    #[default]
    Fewest,
    /// The rows that do not say so are left out.
    First,
    /// Only where no other row says anything.
    Last,
}

/// How the phosphorus risk of a field is rated.
#[derive(Clone, Debug, PartialEq)]
pub struct PRating {
    /// The tool.
    pub tool: String,
    /// Its results.
    pub classes: Vec<String>,
    /// Who may rate.
    pub by: String,
    /// Years that a rating holds, where that is printed.
    pub holds_years: Option<f64>,
    /// Whether nitrogen is rated beside it.
    pub n_rating: bool,
    /// Whether the rate is one of its factors, so that a rating holds for the rate it was made for.
    pub by_rate: bool,
    /// Whether its worksheet is published.
    pub worksheet: String,
}

impl PBasis {
    /// The words of `reference/`.
    pub const WORDS: [(&'static str, PBasis); 7] = [
        ("nitrogen", PBasis::Nitrogen),
        ("removal", PBasis::Removal),
        ("need", PBasis::Need),
        ("none", PBasis::None),
        ("ask", PBasis::Ask),
        ("warn", PBasis::Warn),
        ("cap", PBasis::Cap),
    ];

    /// The word for people.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            PBasis::Nitrogen => "nitrogen",
            PBasis::Removal => "removal",
            PBasis::Need => "soil-test need",
            PBasis::None => "none",
            PBasis::Ask => "none until it is decided",
            PBasis::Warn => "a caution alone",
            PBasis::Cap => "nothing on phosphate",
        }
    }
}

impl PSays {
    /// In words: `1.5 x removal`, `the greater of removal and soil-test need`.
    #[must_use]
    pub fn in_words(self) -> String {
        let first = match self.times {
            1.0 => self.basis.word().to_string(),
            times => format!("{} x {}", trimmed(times), self.basis.word()),
        };
        match self.or {
            Some(POr::Greater(other)) => format!("the greater of {first} and {}", other.word()),
            Some(POr::Lesser(other)) => format!("the lesser of {first} and {}", other.word()),
            None => first,
        }
    }

    /// The same with years and caps.
    #[must_use]
    pub fn whole(self) -> String {
        let years = (self.years > 1).then(|| format!("{} years' worth at once", self.years));
        let most = self.most.map(PMost::in_words);
        let n = self.n_most.map(|share| format!("N up to {} x the need", trimmed(share)));
        std::iter::once(self.in_words()).chain([years, most, n].into_iter().flatten()).collect::<Vec<_>>().join(", ")
    }
}

impl PMost {
    /// In words: `at most 1.5 tons/ac of litter in any 3 years`.
    #[must_use]
    pub fn in_words(self) -> String {
        let unit = match self.of {
            PMostOf::P2o5 => "lb/ac of P2O5",
            PMostOf::Litter => "tons/ac of litter",
            PMostOf::TotalN => "lb/ac of the litter's total N",
        };
        let over = if self.over > 1 { format!(" in any {} years", self.over) } else { " a year".to_string() };
        format!("at most {} {unit}{over}", trimmed(self.amount))
    }
}

impl PUnless {
    /// With what else it holds: for one year, or with a rate.
    #[must_use]
    pub fn with_what(&self) -> String {
        match (self.once_in, self.one_year, self.with_most) {
            (Some(years), ..) => format!(" (for the one year that it names, one of any {years})"),
            (None, true, _) => " (for the one year that it names)".to_string(),
            (None, false, true) => " (with that rate as the field's `most`)".to_string(),
            (None, false, false) => String::new(),
        }
    }
}

impl PRule {
    /// The row in one line.
    #[must_use]
    pub fn in_words(&self) -> String {
        let unless = self.unless.iter().map(|u| format!("; where {}{}: {}", u.words, u.with_what(), u.then.whole()));
        let ask = self.by.as_ref().filter(|_| self.says.basis == PBasis::Ask).map(|by| format!("; ask {by}"));
        format!("{}{}{}", self.says.whole(), ask.unwrap_or_default(), unless.collect::<String>())
    }
}

impl PRating {
    /// Whether a class, by its key, is one of its results.
    #[must_use]
    pub fn has(&self, class: &str) -> bool {
        self.classes.iter().any(|own| own == class)
    }

    /// The record in one line.
    #[must_use]
    pub fn in_words(&self) -> String {
        format!("{}: {}; rated by {}", self.tool, self.classes.join(", ").replace('_', " "), self.by)
    }
}
