//! Litter that comes and goes on its days: types only.

use crate::check::Comes;
use crate::units::{Pounds, number_text};
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

/// Litter that is to come to a lot within the plan.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ComingRow {
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
}

/// Litter of a lot that an outlet is to take.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Sale {
    /// Who takes it.
    pub outlet: String,
    /// The lot.
    pub lot: String,
    /// How much.
    pub pounds: Pounds,
    /// Dollars a ton.
    pub price: f64,
    /// First day.
    pub first: Date,
    /// Last day.
    pub last: Date,
}

/// What the log shows as hauled to an outlet that takes no more than so much.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct OutletRow {
    /// Who takes it.
    pub outlet: String,
    /// The calendar year for which the most holds; none where it holds for the outlet's own days.
    pub year: Option<i16>,
    /// The first of those days.
    pub from: Option<Date>,
    /// The last of them.
    pub to: Option<Date>,
    /// Most that it takes.
    pub most: Pounds,
    /// What of that it took by the log; more, where more went there.
    pub taken: Pounds,
    /// What the plan sells it of the rest.
    pub planned: Pounds,
}

impl OutletRow {
    /// In a sentence.
    #[must_use]
    pub fn sentence(&self) -> String {
        let when = match (self.year, self.from, self.to) {
            (Some(year), _, _) => format!(" of {year}"),
            (None, Some(from), Some(to)) => format!(" of {from} to {to}"),
            _ => String::new(),
        };
        let tons = |pounds: Pounds| number_text(pounds.tons(), 2);
        let more = match self.planned.0 {
            0 => "the plan sells it no more of that".to_string(),
            _ => format!("the plan sells it {} tons more", tons(self.planned)),
        };
        format!("{} took {} of its {} tons{when} by the log; {more}", self.outlet, tons(self.taken), tons(self.most))
    }
}

/// What must be gone from a place by a day.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ByWhen {
    /// The day: by its evening no more may lie there.
    pub by: Date,
    /// The storage or, of a pile that may not lie any longer, the lot.
    pub about: String,
    /// What it is.
    pub why: MustGo,
    /// How much may lie there then.
    pub room: Pounds,
    /// What would lie there, were nothing to leave from the day of the plan on and
    /// after what had to leave before.
    pub lying: Pounds,
    /// What of the plan is spread by then.
    pub spread: Pounds,
    /// What outlets can take by then.
    pub sold: Pounds,
    /// What must leave besides: litter that the plan never uses, a part of what it leaves.
    pub must_leave: Pounds,
    /// What of it leaves which lot.
    #[serde(default)]
    pub from_lots: Vec<Leaves>,
    /// What the plan uses later and has no room until then.
    #[serde(default)]
    pub waits: Pounds,
    /// Fields with spreading that helps.
    pub fields: Vec<String>,
}

/// Litter of a lot that must leave.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Leaves {
    /// The lot.
    pub lot: String,
    /// How much.
    pub pounds: Pounds,
}

/// Why litter must be gone.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum MustGo {
    /// No more goes into the storage.
    Room,
    /// A pile may not lie uncovered any longer.
    Uncovered,
}

impl ByWhen {
    /// Whether somebody has to see to it: litter must leave, or has no room until it is used.
    #[must_use]
    pub fn presses(&self) -> bool {
        self.must_leave.0 > 0 || self.waits.0 > 0
    }

    /// The same in a few words.
    #[must_use]
    pub fn in_short(&self) -> String {
        let tons = number_text(self.must_leave.tons(), 1);
        match self.why {
            MustGo::Room if self.must_leave.0 <= 0 => {
                let waits = number_text(self.waits.tons(), 1);
                format!("{}: no room on {} for {waits} tons that the plan uses later", self.about, self.by)
            }
            MustGo::Room => {
                let of = self.of_lots();
                format!("{}: {tons} tons more{of} must leave by {}", self.about, self.by)
            }
            MustGo::Uncovered => format!("lot {}: {tons} tons must be covered or leave by {}", self.about, self.by),
        }
    }

    /// The lots of a storage that it is of, each with its tons where they are several.
    fn of_lots(&self) -> String {
        match self.from_lots.as_slice() {
            [] => String::new(),
            [one] => format!(" of {}", one.lot),
            several => {
                let each = |own: &Leaves| format!("{} of {}", number_text(own.pounds.tons(), 1), own.lot);
                format!(" ({})", several.iter().map(each).collect::<Vec<_>>().join(", "))
            }
        }
    }

    /// What must be gone, in a sentence.
    #[must_use]
    pub fn sentence(&self) -> String {
        let tons = |pounds: Pounds| number_text(pounds.tons(), 1);
        let (lying, room) = (tons(self.lying), tons(self.room));
        let mut text = match self.why {
            MustGo::Room => {
                format!("{} holds {room} tons; on hand and to come by {} are {lying} tons", self.about, self.by)
            }
            MustGo::Uncovered => {
                format!("lot {}: {lying} tons, which may lie uncovered to {}", self.about, self.by)
            }
        };
        let mut helps = Vec::new();
        if self.spread.0 > 0 {
            helps.push(format!("{} tons are spread by then ({})", tons(self.spread), self.fields.join(", ")));
        }
        if self.sold.0 > 0 {
            helps.push(format!("{} tons are sold by then", tons(self.sold)));
        }
        if helps.is_empty() {
            helps.push("the plan moves none of it by then".to_string());
        }
        text.push_str(&format!("; {}", helps.join(", ")));
        if self.must_leave.0 > 0 {
            let verb = if self.why == MustGo::Uncovered { "must be covered or leave" } else { "must leave" };
            text.push_str(&format!("; {} tons more{} {verb} by then", tons(self.must_leave), self.of_lots()));
        }
        if self.waits.0 > 0 {
            let waits = tons(self.waits);
            text.push_str(&format!("; {waits} tons that the plan uses later have no room until then"));
        }
        text
    }
}
