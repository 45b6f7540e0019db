//! What a limit is: which, over what, what it counts, how much it allows.
//!
//! Every limit on litter is one row of a field (`limits::rows`). The chooser, what
//! is said to hold a field, the price of a limit, the warnings on the log and the
//! fertilizer all go through these rows, so that a new limit is one row more.

use crate::balance::StepId;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

/// What limits a field: a limit on the rate, or what else there is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LimitKind {
    /// Barred outright.
    Barred,
    /// No ground left to spread on.
    NoGround,
    /// No season falls into the plan.
    NoSeason,
    /// The crop's nitrogen need of the year.
    Nitrogen,
    /// The share of nitrogen that one season may take.
    SeasonShare,
    /// The most nitrogen in one application.
    NAtOnce,
    /// Phosphate allowed in the year.
    Phosphorus,
    /// The place's most zinc in a year.
    Zinc,
    /// The place's most copper in a year.
    Copper,
    /// The most zinc that may ever go on.
    ZincTotal,
    /// The most copper that may ever go on.
    CopperTotal,
    /// The place's most tons per acre in a year.
    YearMost,
    /// The most tons per acre in any so many years, by a row of the phosphorus rule.
    YearsMost,
    /// The grower's own most tons per acre.
    GrowerMost,
    /// The place's most tons per acre in one application.
    ApplicationMost,
    /// The spreader's highest even rate.
    SpreaderMost,
    /// The most applications in a year, or one a window.
    Applications,
    /// The days on which litter can be spread.
    Days,
    /// No litter is left.
    TonsOnHand,
    /// There is litter, and it comes after the window.
    LitterLate,
    /// More litter would cost more than it saves.
    Value,
}

impl LimitKind {
    /// The name for people.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            LimitKind::Barred => "no litter",
            LimitKind::NoGround => "no ground left",
            LimitKind::NoSeason => "no season in plan",
            LimitKind::Nitrogen => "nitrogen need",
            LimitKind::SeasonShare => "nitrogen limit for the season",
            LimitKind::NAtOnce => "N at once",
            LimitKind::Phosphorus => "phosphorus",
            LimitKind::Zinc => "zinc in a year",
            LimitKind::Copper => "copper in a year",
            LimitKind::ZincTotal => "zinc in all years",
            LimitKind::CopperTotal => "copper in all years",
            LimitKind::YearMost => "most in a year",
            LimitKind::YearsMost => "most in several years",
            LimitKind::GrowerMost => "grower's own most",
            LimitKind::ApplicationMost => "most at once",
            LimitKind::SpreaderMost => "spreader's most",
            LimitKind::Applications => "trips in a year",
            LimitKind::Days => "days to spread",
            LimitKind::TonsOnHand => "tons on hand",
            LimitKind::LitterLate => "day litter comes",
            LimitKind::Value => "no gain in more",
        }
    }

    /// Whether it caps what goes on at once.
    #[must_use]
    pub fn is_at_once(self) -> bool {
        matches!(self, LimitKind::NAtOnce | LimitKind::ApplicationMost | LimitKind::SpreaderMost)
    }

    /// Whether it caps one season or one application rather than the year.
    #[must_use]
    pub fn in_part_of_the_year(self) -> bool {
        self == LimitKind::SeasonShare || self.is_at_once()
    }
}

/// Over what a limit is counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Over {
    /// All that log and plan put on in these days, whatever days the plan is for.
    Days {
        /// First day.
        first: Date,
        /// Last day.
        last: Date,
    },
    /// Each application by itself.
    Once,
}

impl Over {
    /// Those days; none of a limit on one application.
    #[must_use]
    pub fn days(self) -> Option<(Date, Date)> {
        match self {
            Over::Days { first, last } => Some((first, last)),
            Over::Once => None,
        }
    }

    /// Whether it counts an application that goes on in some days.
    #[must_use]
    pub fn holds(self, (from, to): (Date, Date)) -> bool {
        self.days().is_none_or(|(first, last)| first <= from && to <= last)
    }
}

/// How many times a field may be gone over in some days.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Trips {
    /// First day.
    pub first: Date,
    /// Last day.
    pub last: Date,
    /// How often, after the log.
    pub most: usize,
}

/// What of litter a limit counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Counts {
    /// Available nitrogen, by the season that it goes on in.
    N,
    /// All of the nitrogen.
    TotalN,
    /// All of the nitrogen that litter brings.
    LitterN,
    /// Phosphate.
    P2o5,
    /// Potash.
    K2o,
    /// Zinc.
    Zinc,
    /// Copper.
    Copper,
    /// The litter itself.
    Tons,
    /// Phosphate as far as it counts toward the need: no limit goes by it.
    UsableP2o5,
    /// Potash as far as it counts toward the need.
    UsableK2o,
}

impl Counts {
    /// All that is told of every entry.
    pub const ALL: [Counts; 7] =
        [Counts::Tons, Counts::N, Counts::TotalN, Counts::P2o5, Counts::K2o, Counts::Zinc, Counts::Copper];
    /// What counts toward a need, where the place says that not all of it does.
    pub const USABLE: [Counts; 2] = [Counts::UsableP2o5, Counts::UsableK2o];

    /// Of what it is a part; all of it counts where nothing else is known.
    #[must_use]
    pub fn whole(self) -> Counts {
        match self {
            Counts::UsableP2o5 => Counts::P2o5,
            Counts::UsableK2o => Counts::K2o,
            other => other,
        }
    }

    /// The name for people.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Counts::N => "available N",
            Counts::TotalN => "total N",
            Counts::LitterN => "total N of litter",
            Counts::UsableP2o5 => "P2O5 toward the need",
            Counts::UsableK2o => "K2O toward the need",
            Counts::P2o5 => "P2O5",
            Counts::K2o => "K2O",
            Counts::Zinc => "zinc",
            Counts::Copper => "copper",
            Counts::Tons => "litter",
        }
    }

    /// The unit of so much on an acre.
    #[must_use]
    pub fn unit(self) -> &'static str {
        if self == Counts::Tons { "tons/ac" } else { "lb/ac" }
    }
}

/// A limit of one field.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    /// Which.
    pub kind: LimitKind,
    /// Over what it is counted.
    pub over: Over,
    /// The season, where it is counted over the opening of one.
    pub season: Option<String>,
    /// Those days in words; empty of one application.
    pub when: String,
    /// From which day it binds, where it does not before: it counts all of its days as soon as
    /// anything goes on from then on, and nothing else.
    pub from: Option<Date>,
    /// What it counts.
    pub counts: Counts,
    /// The kind of litter that it is set for; none where it is set for all.
    pub litter: Option<String>,
    /// All that it allows.
    pub allowed: StepId,
    /// What the log put on of it; none where that is nothing.
    pub done: Option<StepId>,
    /// What it still allows after the log.
    pub left: StepId,
    /// Both on the ground that is left of a window that was begun, where one was.
    pub on_rest: Option<LimitOnRest>,
    /// The open windows that it counts.
    pub windows: Vec<usize>,
}

/// A limit on the ground that is left of a window that was begun.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LimitOnRest {
    /// What the log put on of it there; none where that is nothing.
    pub done: Option<StepId>,
    /// What it still allows there after the log.
    pub left: StepId,
}

impl Limit {
    /// Whether it limits a kind of litter. One over some days counts every litter, also
    /// where it is set for one kind: the smallest of a farm's kinds holds.
    #[must_use]
    pub fn binds(&self, kind: &str) -> bool {
        self.over != Over::Once || self.is_for(kind)
    }

    /// Whether it binds where something goes on from these first days.
    pub fn is_met_by(&self, mut firsts: impl Iterator<Item = Date>) -> bool {
        let Over::Days { last, .. } = self.over else { return true };
        self.from.is_none_or(|from| firsts.any(|first| from <= first && first <= last))
    }

    /// Whether it is set for a kind of litter.
    #[must_use]
    pub fn is_for(&self, kind: &str) -> bool {
        self.litter.as_ref().is_none_or(|own| own == kind)
    }
}

/// What a limit allows of one lot.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct LotLimit {
    /// Which.
    pub kind: LimitKind,
    /// First and last day over which it is counted; none of one application.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub days: Option<(Date, Date)>,
    /// Those days in words.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub when: String,
    /// The season, where it is counted over the opening of one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub season: Option<String>,
    /// The day from which it binds, where it does not before.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from: Option<Date>,
    /// Most tons per acre that it allows.
    pub rate: f64,
    /// The step it rests on.
    pub step: StepId,
}
