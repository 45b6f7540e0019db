//! A farm folder once its files are read: what checks, plans and log entries
//! start from.

use crate::balance::{self, Surveyed};
use crate::check::{self, Ready};
use crate::farm::{CALIBRATION, Written};
use crate::findings::{Finding, Findings, Severity};
use crate::pipeline::judged::ground_of;
use crate::pipeline::question::{Day, Question};
use crate::pipeline::stages::{Checked, Planned};
use crate::plan::answer::{Made, TablesMark};
use crate::plan::{self, Trail};
use crate::record::LOG;
use crate::record::{self, Entry, Happened, Struck};
use crate::tables::Tables;
use crate::text::Mark;
use jiff::ToSpan;
use jiff::civil::Date;
use std::sync::Arc;

/// Of entries that were declared void so many are named.
const MOST_NAMED: usize = 5;

/// What is said of an entry that repeats another one.
const REPEATS: [&str; 2] = ["log-twice", "log-ticket-twice"];

/// A farm whose files are read, with the figures of its place.
#[derive(Clone, Debug)]
pub struct Opened {
    /// The tables.
    pub tables: Arc<Tables>,
    /// What the farm's files say.
    pub written: Written,
    /// What was found in them.
    pub findings: Findings,
    /// Everything that the log shows.
    pub happened: Happened,
    /// The log as it is; none where nothing was done yet.
    log: Option<Vec<u8>>,
    /// What was found in the tables.
    beside: Findings,
    /// What was found in the log as it is.
    in_log: Findings,
    /// The day as of which the farm is looked at.
    on: Date,
    /// Whether that day was asked for.
    asked: bool,
    /// Lines of the farm's files that were to be read otherwise.
    changes: Vec<String>,
}

impl Question<'_> {
    /// Reads the farm's files and the figures of its place.
    #[must_use]
    pub fn open(&self) -> Opened {
        let (written, findings) = self.folder.written(self.changes);
        let place = written.place.as_ref().map(|place| place.value.as_str());
        let (tables, mut beside) = self.figures.load(place);
        let log = self.folder.log().unwrap_or_else(|finding| {
            beside.push(*finding);
            None
        });
        let (happened, mut in_log) = record::read_bytes(log.as_deref().unwrap_or_default());
        if log.is_some() && in_log.is_empty() && happened == Happened::default() {
            in_log.push(record::emptied());
        }
        let (on, asked) = match self.day {
            Day::Asked(day) => (day, true),
            Day::Stated { today } => (written.as_of.as_ref().map_or(today, |day| day.value), false),
        };
        let changes = self.changes.iter().map(ToString::to_string).collect();
        Opened { tables, written, findings, happened, log, beside, in_log, on, asked, changes }
    }

    /// Reads, checks and measures the farm.
    #[must_use]
    pub fn check(&self) -> Checked {
        self.open().check()
    }

    /// Makes the plan and audits it.
    ///
    /// # Errors
    /// Everything that was found, when there is no plan.
    pub fn plan(&self) -> Result<Planned, Findings> {
        self.open().plan()
    }
}

impl Opened {
    /// The same farm without a calibration that cannot be read: what was done is told without it.
    #[must_use]
    pub fn without_broken_calibration(mut self) -> Opened {
        let of_it = |finding: &&Finding| finding.place.file.as_str() == CALIBRATION;
        let found = self.findings.sorted();
        if found.iter().copied().filter(of_it).any(|finding| finding.severity == Severity::Error) {
            self.findings = found.into_iter().filter(|finding| !of_it(finding)).cloned().collect();
            self.written.calibration = None;
        }
        self
    }

    /// Checks and measures the farm as it stands on its day: what the log shows of later
    /// days has not happened yet.
    #[must_use]
    pub fn check(&self) -> Checked {
        let mut checked = self.check_of(&self.happened.until(self.on), &[]);
        checked.findings.extend(self.later().into_iter().chain(self.voided_since()).collect());
        checked
    }

    /// The same to look back: with the whole of the log, unless a day was asked for.
    #[must_use]
    pub fn check_record(&self) -> Checked {
        if self.asked { self.check() } else { self.check_of(&self.happened, &[]) }
    }

    /// What is said of an entry in the log that repeats another one.
    #[must_use]
    pub fn repeated(&self, id: &str) -> Vec<Finding> {
        let Some(entry) = self.happened.entry(id) else { return Vec::new() };
        let of_it = |found: &&Finding| REPEATS.contains(&found.code.as_ref()) && found.place == entry.place;
        self.check_record().findings.sorted().into_iter().filter(of_it).cloned().collect()
    }

    /// The same with the whole of the log and entries that are not in it yet.
    pub(super) fn check_with(&self, new: &[Entry]) -> Checked {
        self.check_of(&self.happened.with(new), new)
    }

    /// The farm as it stands on its day, its ground not measured; none with errors.
    pub(super) fn ready(&self) -> Option<Ready> {
        let (ready, found) = check::check(&self.written, &self.happened.until(self.on), &self.tables, self.on);
        ready.filter(|_| !found.has_errors())
    }

    /// The farm on the ground of a plan, where what differs moves no fence; none with errors.
    pub(super) fn ready_on(&self, planned: &Planned) -> Option<(Ready, Vec<Surveyed>)> {
        let ready = self.ready()?;
        let ground = ground_of(&ready, &planned.ready, &planned.ground);
        Some((ready, ground))
    }

    /// The day as of which the farm is looked at.
    pub(super) fn day(&self) -> Date {
        self.on
    }

    fn check_of(&self, happened: &Happened, new: &[Entry]) -> Checked {
        let mut findings = self.beside.clone();
        findings.extend(self.found_in_log(new));
        findings.extend(self.findings.clone());
        let (ready, found) = check::check(&self.written, happened, &self.tables, self.on);
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
        // No plan is made of entries that may never stand in the log.
        let made = if happened.asks_of_new() { Made::default() } else { self.made() };
        Checked { tables: Arc::clone(&self.tables), ready, ground, findings, made }
    }

    /// What a plan of the farm is made from and by.
    fn made(&self) -> Made {
        let marked = self.log.as_deref().map(|log| Mark::of(LOG, &String::from_utf8_lossy(log)));
        let files: Vec<Mark> = self.written.files.iter().cloned().chain(marked).collect();
        let place = self.written.place.as_ref().map(|place| place.value.as_str());
        let key = place.map(|place| self.tables.mark(&self.tables.key_of(place)));
        Made {
            program: env!("CARGO_PKG_VERSION").to_string(),
            tables: TablesMark { own: self.tables.own, sha256: key.unwrap_or_default() },
            changes: self.changes.clone(),
            folder: Mark::over(&files),
            files,
            sum: String::new(),
        }
    }

    /// The bytes of the log, as it was read.
    #[must_use]
    pub fn log(&self) -> &[u8] {
        self.log.as_deref().unwrap_or_default()
    }

    /// Entries of the log after the day of the farm, which do not count on it.
    fn later(&self) -> Option<Finding> {
        let later = || self.happened.iter().filter(|entry| entry.date > self.on);
        let (first, last) = (later().min_by_key(|entry| entry.date)?, later().map(|entry| entry.date).max()?);
        let found = match later().count() {
            1 => format!("1 entry of the log lies after the day of the plan, {}, and does not count yet", self.on),
            n => format!("{n} entries of the log lie after the day of the plan, {}, and do not count yet", self.on),
        };
        let fix = match &self.written.as_of {
            Some(_) => format!("move `plan.as_of` in farm.yaml to {last}, or give `--on {last}`"),
            None => format!("give `--on {last}`; correct a wrong date with `sward log correct`"),
        };
        Some(Finding::warning("log-later", &first.place, found).fix(fix))
    }

    /// Entries up to the day of the farm that were declared void after it. They count on no
    /// day; whoever compares with what was printed on that day must know why.
    fn voided_since(&self) -> Option<Finding> {
        let voided: Vec<&Struck> = self.happened.voided_after(self.on).collect();
        let last = voided.last()?;
        let ids: Vec<&str> = voided.iter().map(|struck| struck.id.as_str()).take(MOST_NAMED).collect();
        let more = if voided.len() > MOST_NAMED { ", ..." } else { "" };
        let (many, they) = match voided.len() {
            1 => ("1 entry".to_string(), "was declared void after that day"),
            n => (format!("{n} entries"), "were declared void after that day"),
        };
        let found = format!(
            "{many} up to {} {they} ({}{more}): a void counts on every day, so that what was printed then may show more",
            self.on,
            ids.join(", ")
        );
        let finding = Finding::warning("log-voided-since", &last.place, found);
        Some(finding.fix("nothing needs to be done: a void says that the entry never happened"))
    }

    /// The day that farm.yaml states for the plan, where it is before another.
    #[must_use]
    pub fn stated_before(&self, day: Date) -> Option<Date> {
        self.written.as_of.as_ref().map(|stated| stated.value).filter(|stated| *stated < day)
    }

    /// Where a truck, or whoever drove it, was by the log: in so many days before the
    /// day of the question, or in all of them.
    ///
    /// # Errors
    /// What is wrong with the log: a line that cannot be read may name the truck.
    pub fn trail(&self, of: &str, within: Option<u16>) -> Result<Trail, Findings> {
        if self.in_log.has_errors() {
            return Err(self.in_log.clone());
        }
        let from = within.map(|days| self.on.saturating_sub(i64::from(days).days()));
        Ok(plan::trail(&self.happened, &self.written.name, of, (from, self.on)))
    }

    /// What is found in the log once these entries stand in it. They add nothing to a
    /// sound log, and may well mend one that is not.
    fn found_in_log(&self, new: &[Entry]) -> Findings {
        if new.is_empty() || self.in_log.is_empty() {
            return self.in_log.clone();
        }
        let mut log = self.log().to_vec();
        for entry in new {
            // What cannot be added is refused when it is to be written.
            let Ok((_, text)) = record::addition(&log, &entry.cells, 0) else { return self.in_log.clone() };
            log.extend(text.bytes());
        }
        record::read_bytes(&log).1
    }

    /// Whether nothing of the farm could be read that an entry could be about.
    pub(super) fn is_unread(&self) -> bool {
        let Written { lots, fields, unread, .. } = &self.written;
        lots.is_empty() && fields.is_empty() && unread.is_empty()
    }

    /// First and last day of the plan, where a day lies outside of them.
    #[must_use]
    pub fn days_without(&self, day: Date) -> Option<(Date, Date)> {
        let span = self.written.span.as_ref().map(|(from, to)| (from.value, to.value));
        span.filter(|(from, to)| !(*from..=*to).contains(&day))
    }
}
