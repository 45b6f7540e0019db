//! What the stock of a lot is made of: its last count, what comes, and who takes
//! what is left. Types only.

use crate::findings::Place;
use crate::record::{Entry, What};
use crate::text::same_name;
use crate::units::Pounds;
use jiff::civil::{Date, date};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Whether an entry brings litter to its lot.
#[must_use]
pub fn gains(entry: &Entry) -> bool {
    matches!(entry.what, What::Bring | What::CleanOut)
}

/// When a lot was counted.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Count {
    /// The day; none where nobody says, so that every entry comes after it.
    pub day: Option<Date>,
    /// Whether what moved on that day is in the count.
    pub holds_day: bool,
}

impl Count {
    /// Whether an entry of a day is to be added to the count.
    #[must_use]
    pub fn comes_before(&self, day: Date) -> bool {
        self.day.is_none_or(|counted| counted < day || (counted == day && !self.holds_day))
    }
}

/// How litter comes to a lot.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Comes {
    /// A house is cleaned out.
    CleanOut,
    /// The crust of a house is taken out.
    CakeOut,
    /// It is brought to the farm.
    Brought,
}

impl Comes {
    /// The word for people.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Comes::CleanOut => "clean-out",
            Comes::CakeOut => "cake-out",
            Comes::Brought => "litter brought",
        }
    }

    /// The column in which an entry says whose litter it was.
    pub(super) fn named_in(self) -> &'static str {
        if self == Comes::Brought { "from" } else { "house" }
    }

    /// The kind of entry that says it was done.
    pub(super) fn logged_as(self) -> What {
        if self == Comes::Brought { What::Bring } else { What::CleanOut }
    }
}

/// Litter that is to come to a lot on a day.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Coming {
    /// The day.
    pub day: Date,
    /// The lot.
    pub lot: String,
    /// How much.
    pub pounds: Pounds,
    /// How it comes.
    pub what: Comes,
    /// The house, or whose it was.
    pub from: String,
    /// Dollars a ton, where it is bought.
    pub price: Option<f64>,
    /// The line that says so.
    pub place: Place,
}

/// Somebody who takes litter.
#[derive(Clone, Debug, PartialEq)]
pub struct Outlet {
    /// Who.
    pub name: String,
    /// Dollars a ton.
    pub price: f64,
    /// Most that is taken; all there is where none is given.
    pub most: Option<Pounds>,
    /// What of that the log does not show as hauled to it yet.
    pub left: Option<Pounds>,
    /// What the log shows as hauled to it of that, and more where more went there.
    pub taken: Pounds,
    /// What it paid for, by the id of the log's entry.
    pub paid: BTreeMap<String, Pounds>,
    /// First and last day, where there are bounds.
    pub from: Option<Date>,
    /// The last day.
    pub to: Option<Date>,
    /// The calendar year for which `most` holds; none where it holds for the outlet's own
    /// days, or where there is no most. An outlet of two years stands once for each.
    pub year: Option<i16>,
    /// The lots that are taken.
    pub lots: Vec<String>,
    /// Where its entry starts.
    pub place: Place,
}

impl Outlet {
    /// The days on which it takes litter, within others.
    #[must_use]
    pub fn days(&self, first: Date, last: Date) -> (Date, Date) {
        let year = self.year.map(|year| (date(year, 1, 1), date(year, 12, 31)));
        let (first, last) = year.map_or((first, last), |(from, to)| (first.max(from), last.min(to)));
        (self.from.unwrap_or(first).max(first), self.to.unwrap_or(last).min(last))
    }

    /// Whether an entry of the log went to it, in the year for which it stands.
    #[must_use]
    pub fn took(&self, entry: &Entry) -> bool {
        self.has_name(entry) && self.year.is_none_or(|year| year == entry.date.year())
    }

    /// Whether an entry of the log went to somebody of this name.
    pub(super) fn has_name(&self, entry: &Entry) -> bool {
        entry.what == What::Haul && same_name(entry.word("to"), &self.name)
    }

    /// Whether its most holds for days of its own, which have a first and a last one; where it
    /// has no most, there is nothing to hold.
    #[must_use]
    pub fn has_own_span(&self) -> bool {
        self.most.is_none() || (self.from.is_some() && self.to.is_some())
    }
}
