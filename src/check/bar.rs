//! Why a field or a lot is left out of the plan, and what it is wanting. Types only.

use crate::findings::Origin;

/// What a field that gets no litter is wanting.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Wants {
    /// The grower's word: he closed it.
    Opening,
    /// Nothing that anybody could write: a rule forbids it.
    Nothing,
    /// A soil test.
    SoilTest,
    /// A newer soil test.
    NewerTest,
    /// What its rating allows.
    RatingRule,
    /// A rating of its phosphorus risk.
    Rating,
    /// The word of whoever decides by the place's rule.
    Decision,
    /// A figure of this topic, for this class of the soil test.
    Figure(&'static str, Option<String>),
}

impl Wants {
    /// In a few words.
    #[must_use]
    pub fn word(&self) -> &'static str {
        match self {
            Wants::Opening => "closed by the grower",
            Wants::Nothing => "not allowed here",
            Wants::SoilTest | Wants::NewerTest => "new soil test",
            Wants::RatingRule => "no rule for its rating",
            Wants::Rating => "phosphorus rating",
            Wants::Decision => "to be decided",
            Wants::Figure(..) => "missing figures",
        }
    }

    /// Whether what is wanting can be written into the farm folder.
    #[must_use]
    pub fn can_be_given(&self) -> bool {
        matches!(self, Wants::SoilTest | Wants::NewerTest | Wants::RatingRule | Wants::Rating | Wants::Figure(..))
    }
}

/// Why a field gets no litter at all.
#[derive(Clone, Debug, PartialEq)]
pub struct Bar {
    /// What is wanting.
    pub wants: Wants,
    /// The reason.
    pub why: String,
    /// What would lift it.
    pub fix: String,
    /// Who or what says so.
    pub origin: Origin,
}

impl Bar {
    /// Whether it holds for an entry of the log too. How old a soil test was is judged by
    /// the entry's own day.
    #[must_use]
    pub fn is_of_the_log(&self) -> bool {
        self.wants != Wants::NewerTest
    }
}
