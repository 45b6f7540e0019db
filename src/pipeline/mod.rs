//! The one way from a farm folder to an audited plan: read, check, measure,
//! weigh, choose, audit.
//!
//! Lives here: the order of the steps, and what they go by: which folder, which
//! figures, which day, which lines changed. Every front calls it, and so do the
//! tests. Never here: a rule, the clock, printing.

mod folder;
mod printed;

pub use folder::Folder;
pub use printed::{Printed, Remade, audit};

use crate::audit::{self, Audited};
use crate::balance::{self, Balance, Surveyed};
use crate::check::{self, Ready};
use crate::farm::Change;
use crate::findings::{Finding, Findings, Place, Severity};
use crate::plan::answer::{Made, TablesMark};
use crate::plan::{self, Choose, LeastCost, Plan};
use crate::record::Entry;
use crate::tables::{self, Tables};
use crate::text::Mark;
use folder::Read;
use jiff::civil::Date;
use std::path::Path;
use std::sync::Arc;

/// What a plan is asked of, and what it goes by.
#[derive(Clone, Debug)]
pub struct Question<'a> {
    /// Where the farm's files are.
    pub folder: Folder<'a>,
    /// Lines of its main file that read otherwise.
    pub changes: &'a [Change],
    /// The published figures.
    pub figures: Figures<'a>,
    /// The day as of which the plan is made.
    pub day: Day,
}

/// The day that a question goes by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Day {
    /// That of farm.yaml, or else this one, which is today.
    Stated {
        /// Today, as the front knows it.
        today: Date,
    },
    /// This one, whatever farm.yaml states; what the log shows of later days
    /// has not happened yet.
    Asked(Date),
}

/// Where the published figures come from.
#[derive(Clone, Debug)]
pub enum Figures<'a> {
    /// Those that are built in.
    BuiltIn,
    /// Those, and a folder that adds to them or takes their place.
    With(&'a Path),
    /// Tables that were loaded before.
    Loaded(Arc<Tables>),
}

/// A farm that was read and checked.
#[derive(Debug)]
pub struct Checked {
    /// The tables.
    pub tables: Arc<Tables>,
    /// The farm, when nothing stands in its way.
    pub ready: Option<Ready>,
    /// Its fields as measured, when they could be.
    pub ground: Vec<Surveyed>,
    /// Everything that was found.
    pub findings: Findings,
    /// What a plan of it is made from and by.
    pub made: Made,
}

/// A farm whose every need, supply and limit is known.
#[derive(Debug)]
pub struct Weighed {
    /// The tables.
    pub tables: Arc<Tables>,
    /// The farm.
    pub ready: Ready,
    /// Its fields as measured.
    pub ground: Vec<Surveyed>,
    /// Every need, supply and limit.
    pub balance: Balance,
    /// Everything that was found.
    pub findings: Findings,
    /// What a plan of it is made from and by.
    pub made: Made,
}

/// A farm with its finished plan.
#[derive(Debug)]
pub struct Planned {
    /// The tables.
    pub tables: Arc<Tables>,
    /// The farm.
    pub ready: Ready,
    /// Its fields as measured.
    pub ground: Vec<Surveyed>,
    /// Every need, supply and limit.
    pub balance: Balance,
    /// The plan.
    pub audited: Audited,
}

/// What is said of entries that are not in the log yet.
#[derive(Clone, Debug, PartialEq)]
pub struct Judged {
    /// What is said of them.
    pub findings: Vec<Finding>,
    /// Whether everything could be judged: nothing else in the farm's files
    /// stands in the way of a plan.
    pub whole: bool,
}

impl Judged {
    /// Whether an entry cannot be as it was given. That a plan's days leave it
    /// out is the plan's fault: what was done is logged.
    #[must_use]
    pub fn refuses(&self) -> bool {
        let of_entry = |f: &&Finding| f.severity == Severity::Error && !check::UNCOUNTED.contains(&f.code.as_ref());
        self.findings.iter().any(|f| of_entry(&f))
    }
}

impl<'a> Question<'a> {
    /// A farm folder as it stands, with the built-in figures.
    #[must_use]
    pub fn of(folder: Folder<'a>, day: Day) -> Question<'a> {
        Question { folder, changes: &[], figures: Figures::BuiltIn, day }
    }

    /// Reads, checks and measures the farm.
    #[must_use]
    pub fn check(&self) -> Checked {
        self.check_with(&[])
    }

    /// What check and tally will say of entries once they stand in the log.
    /// Where the farm has errors of its own, only what check can judge.
    #[must_use]
    pub fn judge(&self, new: &[Entry]) -> Judged {
        let mut checked = self.check_with(new);
        let mut findings = std::mem::take(&mut checked.findings);
        if let Ok(Weighed { tables, ready, balance, findings: found, .. }) = checked.weigh() {
            findings.extend(found);
            findings.extend(plan::shown_by_record(&ready, &tables, &balance));
        }
        let mine = |place: &Place| new.iter().any(|entry| entry.place == *place);
        // How many lie outside the plan's days is said of the whole log.
        let about = |f: &&Finding| {
            f.code != "tally-outside" && (mine(&f.place) || f.also.as_ref().is_some_and(|(place, _)| mine(place)))
        };
        let (mine, others): (Vec<&Finding>, Vec<&Finding>) = findings.sorted().into_iter().partition(about);
        let whole = others.iter().all(|f| f.severity != Severity::Error);
        Judged { findings: mine.into_iter().cloned().collect(), whole }
    }

    fn check_with(&self, new: &[Entry]) -> Checked {
        let Read { written, happened, log, findings: found } = self.folder.read(self.changes);
        let place = written.place.as_ref().map(|place| place.value.as_str());
        let (tables, mut findings) = self.figures.load(place);
        findings.extend(found);
        let (on, log_until) = match self.day {
            Day::Asked(day) => (day, Some(day)),
            Day::Stated { today } => (written.as_of.as_ref().map_or(today, |day| day.value), None),
        };
        let happened = log_until.map_or_else(|| happened.clone(), |day| happened.until(day));
        let happened = new.iter().fold(happened, |happened, entry| happened.with(entry));
        let files: Vec<Mark> = written.files.iter().cloned().chain(log).collect();
        let made = Made {
            program: env!("CARGO_PKG_VERSION").to_string(),
            tables: TablesMark { own: tables.own, sha256: place.map(|p| tables.mark(p)).unwrap_or_default() },
            log_until,
            changes: self.changes.iter().map(ToString::to_string).collect(),
            folder: Mark::over(&files),
            files,
            sum: String::new(),
        };
        let (ready, found) = check::check(&written, &happened, &tables, on);
        findings.extend(found);
        let mut ground = Vec::new();
        if let Some(ready) = &ready {
            let (surveyed, found) = balance::survey(ready);
            findings.extend(found);
            ground = surveyed;
        }
        let ready = ready.filter(|_| !findings.has_errors());
        let idle = ready.as_ref().and_then(|ready| balance::idle_keepouts(ready, &ground));
        let bare = ready.as_ref().and_then(balance::bare_keepouts);
        idle.into_iter().chain(bare).for_each(|finding| findings.push(finding));
        Checked { tables, ready, ground, findings, made }
    }

    /// Makes the plan and audits it.
    ///
    /// # Errors
    /// Everything that was found, when there is no plan.
    pub fn plan(&self) -> Result<Planned, Findings> {
        self.check().weigh()?.plan(&LeastCost::default())
    }
}

impl Checked {
    /// Calculates every need, supply and limit.
    ///
    /// # Errors
    /// Everything that was found, when something stands in the way.
    pub fn weigh(self) -> Result<Weighed, Findings> {
        let Checked { tables, ready, ground, mut findings, made } = self;
        let Some(ready) = ready else {
            return Err(findings);
        };
        let (balance, found) = balance::weigh(&ready, &tables, &ground);
        findings.extend(found);
        Ok(Weighed { tables, ready, ground, balance, findings, made })
    }
}

impl Weighed {
    /// Chooses, and audits what was chosen.
    ///
    /// # Errors
    /// What the audit found, when the plan does not pass.
    pub fn plan(self, chooser: &dyn Choose) -> Result<Planned, Findings> {
        let Weighed { tables, ready, ground, balance, findings, made } = self;
        let plan = Plan { made, ..plan::make(&ready, &tables, &ground, &balance, chooser, &findings) };
        audit::audit(plan, &ready, &tables).map(|audited| Planned { tables, ready, ground, balance, audited })
    }
}

impl Figures<'_> {
    /// Loads what one place needs, or everything.
    #[must_use]
    pub fn load(&self, place: Option<&str>) -> (Arc<Tables>, Findings) {
        let mut files = tables::built_in();
        match self {
            Figures::Loaded(tables) => return (Arc::clone(tables), Findings::new()),
            Figures::BuiltIn => {}
            Figures::With(folder) => match tables::read_folder(folder) {
                Ok(more) => files.extend(more),
                Err(finding) => {
                    let mut findings = Findings::new();
                    findings.push(*finding);
                    return (Arc::default(), findings);
                }
            },
        }
        let (tables, findings) = place.map_or_else(|| tables::load(&files), |place| tables::load_for(&files, place));
        (Arc::new(Tables { own: matches!(self, Figures::With(_)), ..tables }), findings)
    }
}
