//! The one way of an entry into the log: read, filled in from the farm, held
//! against it, and judged as check and tally will once it stands.

use crate::check::{self, Ready};
use crate::cores;
use crate::farm::{self, TicketNames};
use crate::findings::{Cite, Finding, Findings, Place, Severity};
use crate::pipeline::load::LoadEntry;
use crate::pipeline::opened::Opened;
use crate::pipeline::parts;
use crate::pipeline::stages::{Checked, said, unsaid};
use crate::plan;
use crate::record::{self, Asked, Cells, Entry, ScaleTicket, What};
use crate::tables::{Book, topic};
use crate::text;
use jiff::civil::Date;
use std::collections::BTreeSet;

/// What is said of the whole log, and not of an entry.
const OF_THE_LOG: [&str; 2] = ["tally-outside", "log-later"];

/// What an entry makes worse, so that it is said again with other numbers.
const GROWS: [&str; 3] = ["storage-over", "outlet-over", "outlet-late"];

/// What takes litter off a lot, and so makes no storage fuller.
const TAKES_OFF: [What; 2] = [What::Spread, What::Haul];

/// An entry that may be added to the log.
#[derive(Debug)]
pub struct NewEntry {
    /// The entry.
    pub entry: Entry,
    /// Its cells, as they are to be written.
    pub cells: Cells,
    /// What the farm folder said for it, a line each.
    pub filled_in: Vec<String>,
    /// What check and tally say of it.
    pub judged: Judged,
}

/// Why nothing can be logged.
#[derive(Debug)]
pub enum NotLogged {
    /// The farm cannot be read.
    NoFarm(Findings),
    /// The entry lacks something; what the record must include, with its source.
    Incomplete(Vec<Asked>, Vec<(String, Cite)>),
    /// Something in it is wrong.
    Wrong(Findings),
}

/// What is said of entries that are not in the log yet.
#[derive(Clone, Debug, PartialEq)]
pub struct Judged {
    /// What is said of them.
    pub findings: Vec<Finding>,
    /// Whether everything could be judged, or what stands in the way is among the
    /// findings: nothing else in the farm's files does.
    pub whole: bool,
}

/// What is found in a farm.
#[derive(Default)]
struct Found {
    findings: Findings,
    /// Whether all of it could be looked at.
    judged: bool,
    /// Acres of the ground that a new entry says.
    acres: Option<f64>,
}

impl Judged {
    /// Whether an entry cannot be as it was given.
    #[must_use]
    pub fn refuses(&self) -> bool {
        self.findings.iter().any(|finding| finding.severity == Severity::Error)
    }
}

impl Opened {
    /// Takes a new entry from its cells. `all` asks for what the record needs
    /// beyond the tally; a correction is not asked again.
    ///
    /// # Errors
    /// Why it cannot be logged.
    pub fn entry(&self, what: What, cells: Cells, today: Date, all: bool) -> Result<NewEntry, NotLogged> {
        self.entry_by(what.word(), what, cells, today, all)
    }

    /// The same by a command of its own.
    fn entry_by(
        &self,
        command: &str,
        what: What,
        mut cells: Cells,
        today: Date,
        all: bool,
    ) -> Result<NewEntry, NotLogged> {
        if self.is_unread() {
            return Err(NotLogged::NoFarm(self.findings.clone()));
        }
        let of_part = parts::on_the_whole(self, what, &mut cells);
        let mut filled_in: Vec<String> = of_part.into_iter().collect();
        if all {
            filled_in.extend(check::fill_in(what, &mut cells, &self.written));
        }
        filled_in.extend(check::fill_in_swath(what, &mut cells, &self.written));
        let missing = record::missing(what, &cells, all);
        if !missing.is_empty() {
            let asked_by = self.asked_by(&missing);
            return Err(NotLogged::Incomplete(missing, asked_by));
        }
        record::sure_since(today, &mut cells);
        let place = Place::file(&format!("sward log {command}"));
        let mut found = Findings::new();
        let entry = check::entry(&cells, &self.written, today, &|_| place.clone(), &mut found);
        let (Some(mut entry), false) = (entry, found.has_errors()) else {
            // What is to be fixed is the entry at hand, not a line of the log.
            let at_hand =
                |f: &Finding| Finding { fix: f.fix.clone().filter(|fix| fix.starts_with("did")), ..f.clone() };
            return Err(NotLogged::Wrong(found.sorted().into_iter().map(at_hand).collect()));
        };
        // It is compared with others as it will stand in the log.
        let mut written = cells.clone();
        record::in_house_units(&entry, &mut written);
        entry.cells = written;
        let (judged, measured) = self.judge_measured(std::slice::from_ref(&entry));
        if judged.refuses() {
            // What it would mean for other entries is nothing to know of one that never stands.
            let own = |f: &Finding| f.severity == Severity::Error || f.place == place;
            return Err(NotLogged::Wrong(judged.findings.into_iter().filter(own).collect()));
        }
        // What was written down beside the ground stays as it was written.
        let said = entry.acres;
        entry.acres = measured.or(said);
        record::in_house_units(&Entry { acres: said.or(measured), ..entry.clone() }, &mut cells);
        Ok(NewEntry { entry, cells, filled_in, judged })
    }

    /// The same of a load of a job that is in the log: a load that the job only adds to its sum
    /// is held against what is usual by itself.
    ///
    /// # Errors
    /// Why it cannot be logged.
    pub fn load(&self, load: LoadEntry, today: Date) -> Result<NewEntry, NotLogged> {
        let LoadEntry { command, what, cells, asks, told, doubts, added } = load;
        let mut new = self.entry_by(command, what, cells, today, asks)?;
        let mut found = Findings::new();
        if let (Some(added), Some(book)) = (added, self.book()) {
            check::added_load(&new.entry, added, &self.written, &book, &mut found);
        }
        if found.has_errors() {
            return Err(NotLogged::Wrong(found));
        }
        new.judged.findings.extend(found.sorted().into_iter().cloned().chain(doubts));
        new.filled_in.extend(told);
        Ok(new)
    }

    /// The figures of the farm's place as the plan begins.
    fn book(&self) -> Option<Book<'_>> {
        let (place, span) = (self.written.place.as_ref()?, self.written.span.as_ref()?);
        self.tables.book(&place.value, span.0.value)
    }

    /// Takes scale tickets from the text of a scale's file; `common` fills the
    /// cells that a ticket leaves open.
    ///
    /// # Errors
    /// Everything that was found, when one of them cannot be logged.
    pub fn tickets(
        &self,
        (file, text): (&str, Result<String, Box<Finding>>),
        what: What,
        common: &Cells,
        today: Date,
    ) -> Result<(Vec<ScaleTicket>, Judged), Findings> {
        if self.is_unread() {
            return Err(self.findings.clone());
        }
        let Some(names) = &self.written.tickets else { return Err(self.no_ticket_names()) };
        let mut findings = Findings::new();
        let tickets = read_tickets(file, text, names, what, &mut findings);
        let tickets: Vec<ScaleTicket> =
            tickets.into_iter().map(|ticket| self.ticket(ticket, common, today, &mut findings)).collect();
        if findings.has_errors() {
            return Err(findings);
        }
        let new = record::not_there(self.log(), &tickets);
        let entry = |ticket: &&ScaleTicket| record::read_cells(&ticket.cells, &|c| ticket.at(c), &mut Findings::new());
        let new: Vec<Entry> = new.iter().filter_map(entry).collect();
        let judged = self.judge(&new);
        if judged.refuses() {
            findings.extend(judged.findings.into_iter().collect());
            return Err(findings);
        }
        Ok((tickets, judged))
    }

    /// A ticket as an entry of the farm's, checked as when it is logged by hand.
    fn ticket(&self, mut ticket: ScaleTicket, common: &Cells, today: Date, findings: &mut Findings) -> ScaleTicket {
        for (column, value) in common.iter() {
            ticket.cells.fill(column, || value.to_string());
        }
        let Some(what) = ticket.cells.get("what").and_then(What::named) else { return ticket };
        check::fill_in(what, &mut ticket.cells, &self.written);
        let mut found = Findings::new();
        let entry = check::entry(&ticket.cells, &self.written, today, &|column| ticket.at(column), &mut found);
        // What is to be fixed stands in the scale's file, not in the log.
        for finding in found.sorted() {
            let near = finding.fix.as_deref().filter(|fix| fix.starts_with("did"));
            let fix = near.unwrap_or(match finding.code.as_ref() {
                "id-unknown" => "say under `tickets:` in farm.yaml what the scale calls it, in `lots:` or `fields:`",
                "log-line" => "correct the line; what holds for all lines may be given as an option, as in --lot crust",
                _ => "compare it with the paper ticket",
            });
            findings.push(finding.clone().fix(fix));
        }
        if let Some(entry) = entry {
            record::in_house_units(&entry, &mut ticket.cells);
        }
        ticket
    }

    /// What check and tally will say of entries once they stand in the log.
    /// Where the farm has errors of its own, only what check can judge.
    #[must_use]
    pub fn judge(&self, new: &[Entry]) -> Judged {
        self.judge_measured(new).0
    }

    /// The same, with the acres of the ground that the first of them says, as measured.
    fn judge_measured(&self, new: &[Entry]) -> (Judged, Option<f64>) {
        // The farm with the entries, and as it was without them.
        let mut both = cores::each(&[new, &[]], |with| self.found(with, new));
        let before = both.pop().unwrap_or_default();
        let Found { findings, judged, acres } = both.pop().unwrap_or_default();
        let was_whole = before.judged;
        let before = before.findings.sorted();
        let known: BTreeSet<_> = before.iter().copied().map(said).collect();
        let noted: BTreeSet<_> = before.iter().map(|f| (&f.code, &f.place)).collect();
        let places: BTreeSet<&Place> = new.iter().map(|entry| &entry.place).collect();
        let mine = |place: &Place| places.contains(place);
        let about = |f: &Finding| mine(&f.place) || f.also.as_ref().is_some_and(|(place, _)| mine(place));
        let takes_off = new.iter().all(|entry| TAKES_OFF.contains(&entry.what));
        let grows = |f: &Finding| GROWS.contains(&f.code.as_ref()) && !(f.code == "storage-over" && takes_off);
        let told_before = |f: &Finding| noted.contains(&(&f.code, &f.place));
        // What nobody could look for before is not new.
        let is_new = |f: &Finding| judged == was_whole && !known.contains(&said(f)) && (grows(f) || !told_before(f));
        // How many lie outside the plan's days is said of the whole log.
        let told = |f: &&Finding| !OF_THE_LOG.contains(&f.code.as_ref()) && (about(f) || is_new(f));
        let (told, others): (Vec<&Finding>, Vec<&Finding>) = findings.sorted().into_iter().partition(told);
        let whole = judged || others.iter().all(|f| f.severity != Severity::Error);
        (Judged { findings: unsaid(told.iter().copied(), &told).cloned().collect(), whole }, acres)
    }

    /// What check and tally find in the farm with some entries; new ones outside the days
    /// of the plan are judged by their own years.
    fn found(&self, with: &[Entry], new: &[Entry]) -> Found {
        let mut checked = self.check_with(with);
        let acres = checked.ready.as_ref().zip(with.first()).and_then(|(ready, new)| acres_of_ground(ready, new));
        let mut findings = std::mem::take(&mut checked.findings);
        findings.extend(self.judge_years(&checked, new));
        let weighed = checked.weigh();
        let judged = weighed.is_ok();
        match weighed {
            Ok(weighed) => {
                findings.extend(weighed.findings);
                findings.extend(plan::shown_by_record(&weighed.ready, &weighed.balance));
            }
            Err(more) => findings.extend(more),
        }
        Found { findings, judged, acres }
    }

    /// What the tally of their own years says of entries outside the days of the plan.
    fn judge_years(&self, checked: &Checked, new: &[Entry]) -> Findings {
        let years: BTreeSet<i16> = new
            .iter()
            .map(|entry| entry.date)
            .filter(|day| self.days_without(*day).is_some())
            .map(Date::year)
            .collect();
        let mut told = Findings::new();
        for year in years {
            let Ok(Some(then)) = checked.clone().weigh_year(year, None) else { continue };
            told.extend(plan::shown_of_year(&then.ready, &then.tables, &then.balance, &then.findings));
        }
        told
    }

    /// What the record must include of what is missing, in the place's words.
    fn asked_by(&self, missing: &[Asked]) -> Vec<(String, Cite)> {
        let large = self.written.large.as_ref().is_some_and(|large| large.value);
        let items = self.book().map(|book| book.all_words_of(topic::RECORD_ITEM, "item", large)).unwrap_or_default();
        let asking = items.into_iter().filter(|(item, _)| missing.iter().any(|(_, own, _)| own == item));
        asking.map(|(_, words)| (words.value.clone(), words.cite)).collect()
    }

    /// Why the columns of a scale's file are not known: `tickets:` is missing, or wrong.
    fn no_ticket_names(&self) -> Findings {
        if self.findings.has_errors() {
            return self.findings.clone();
        }
        let found = "farm.yaml does not say what the file calls its columns";
        let finding = Finding::error("tickets-unnamed", &Place::file(farm::MAIN), found)
            .accepts("a block `tickets:` with `columns: {ticket: Ticket, date: Date in month/day/year, lot: Material, gross: Gross in lb, tare: Tare in lb, net: Net in lb}`")
            .fix("write the names as they are in the first line of the file");
        [finding].into_iter().collect()
    }
}

/// Acres of the ground that a new entry says, as measured.
fn acres_of_ground(ready: &Ready, new: &Entry) -> Option<f64> {
    new.ground.as_ref()?;
    let mine = ready.happened.iter().filter(|entry| entry.place == new.place);
    let acres: f64 = mine.filter_map(|entry| entry.acres).sum();
    (acres > 0.0).then_some(acres)
}

/// The tickets of a file that are sound so far; the findings tell the rest.
fn read_tickets(
    file: &str,
    text: Result<String, Box<Finding>>,
    names: &TicketNames,
    what: What,
    findings: &mut Findings,
) -> Vec<ScaleTicket> {
    let text = text.map_err(|finding| findings.push(*finding)).ok();
    let Some((sheet, sound)) = text.and_then(|text| text::sheet(file, &text, findings)) else { return Vec::new() };
    if sheet.rows.is_empty() && sound {
        let finding = Finding::error("sheet-empty", &Place::file(file), "the file has no ticket");
        findings.push(finding.accepts("a line for each ticket below the line of names"));
    }
    record::tickets(&sheet, &names.columns, what, (&names.lots, &names.fields), findings)
}
