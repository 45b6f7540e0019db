//! When the spreading gets done: types only.

use crate::check::Spell;
use crate::findings::{Finding, Origin};
use crate::units::{Pounds, number_text};
use jiff::civil::Date;
use serde::Serialize;

/// How often the season is run through.
pub const RUNS: u32 = 4_000;

/// When the spreading gets done.
#[derive(Clone, Debug, Serialize)]
pub struct Days {
    /// Version of the answer's form.
    pub schema: u32,
    /// Name of the farm.
    pub farm: String,
    /// The day the plan goes by.
    pub as_of: Date,
    /// First day of the calendar.
    pub from: Date,
    /// Last day of the plan.
    pub to: Date,
    /// Tons spread in a day's work beside the stack.
    pub tons_per_day: f64,
    /// Whether a longer haul takes more time.
    pub haul_counts: bool,
    /// Days of the week on which nothing is spread.
    pub not_on: Vec<String>,
    /// Days lost to rain, by the log.
    pub lost: Vec<Date>,
    /// Every application, in the order of work.
    pub rows: Vec<DayRow>,
    /// The applications of each season together, by their first day.
    pub seasons: Vec<SeasonChance>,
    /// All of them together.
    pub all: Chance,
    /// How often the season was run through for the chances.
    pub runs: u32,
    /// What to do something about.
    pub flags: Vec<Flag>,
    /// What the checks warn of.
    pub warnings: Vec<Finding>,
    /// Shares of fit days of the months of the calendar.
    pub shares: Vec<MonthShare>,
    /// Litter that the houses make.
    pub made: Vec<HouseMade>,
}

/// One application with its dates.
#[derive(Clone, Debug, Serialize)]
pub struct DayRow {
    /// Field.
    pub field: String,
    /// Its name.
    pub name: String,
    /// Lot.
    pub lot: String,
    /// Season of its window.
    pub season: String,
    /// First day of its window.
    pub first: Date,
    /// Last day of its window.
    pub last: Date,
    /// Litter planned.
    pub pounds: Pounds,
    /// Loads.
    pub loads: i64,
    /// Miles from the stack, where known.
    pub miles: Option<f64>,
    /// Tons spread in a day's work at that distance.
    pub tons_per_day: f64,
    /// Days of work.
    pub work_days: f64,
    /// First day on which it is expected to be worked on.
    pub begins: Option<Date>,
    /// Day on which it is expected to be done, or broken off.
    pub ends: Option<Date>,
    /// What is expected to get onto the field on each day. With `unfit` it
    /// adds up to `pounds`.
    pub by_day: Vec<DayPiece>,
    /// What does not fit into its window.
    pub unfit: Pounds,
    /// The chance of it.
    pub chance: Chance,
}

/// What is expected to be spread on a day.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct DayPiece {
    /// The day.
    pub date: Date,
    /// How much.
    pub pounds: Pounds,
}

/// How sure a date is.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Chance {
    /// Day by which it is done with 50 % chance; none when the chance of
    /// getting it done in its window at all is less.
    pub half: Option<Date>,
    /// Day by which it is done with 80 % chance.
    pub four_in_five: Option<Date>,
    /// Chance that it is done in its window, 0 to 1.
    pub inside: f64,
}

impl Chance {
    /// The chance for people, wherever it stands: never 100 % nor 0 %, since runs alone make
    /// nothing certain.
    #[must_use]
    pub fn percent(&self) -> String {
        match self.inside * 100.0 {
            of if of > 99.0 => "over 99 %".to_string(),
            of if of < 1.0 => "under 1 %".to_string(),
            of => format!("{} %", number_text(of, 0)),
        }
    }
}

/// All applications of a season.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SeasonChance {
    /// Its name.
    pub season: String,
    /// The chance of getting all of them done.
    pub chance: Chance,
}

/// Something to do something about.
#[derive(Clone, Debug, Serialize)]
pub struct Flag {
    /// What kind.
    pub kind: FlagKind,
    /// The field, lot or storage.
    pub about: String,
    /// What is the matter.
    pub found: String,
    /// What would help.
    pub fix: String,
    /// The day by which it must be done.
    pub by: Option<Date>,
}

/// Kinds of flags.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum FlagKind {
    /// More tons than fit into the window.
    Unfit,
    /// It fits, but the chance is less than four in five.
    Tight,
    /// A pile that lies uncovered too long.
    Pile,
    /// A storage that fills up.
    Storage,
}

/// Share of a month's days that are fit.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MonthShare {
    /// The month.
    pub month: &'static str,
    /// The share, 0 to 1.
    pub share: f64,
    /// Who says so.
    pub origin: Origin,
    /// How the others follow each other; none where nobody says.
    pub spell: Option<Spell>,
}

/// Litter that a house makes.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct HouseMade {
    /// The house.
    pub name: String,
    /// Tons a year.
    pub tons: f64,
    /// Who says so.
    pub origin: Origin,
}

/// Days lost to rain or anything else, from a day on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Lost {
    /// The first of them.
    pub date: Date,
    /// How many.
    pub days: u16,
}

impl Lost {
    pub(super) fn on(&self, day: Date) -> bool {
        let gone = (day - self.date).get_days();
        gone >= 0 && gone < i32::from(self.days)
    }

    /// Whether the last of them is a day or lies behind it.
    pub(super) fn reaches(&self, day: Date) -> bool {
        (day - self.date).get_days() < i32::from(self.days)
    }
}
