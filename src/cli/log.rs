//! `sward log ...`: one entry into `log.csv`.

use crate::cli::args_log::{EntryArgs, LogCommand, RepairArgs};
use crate::cli::exit::Exit;
use crate::cli::log_cells::{self, Given};
use crate::cli::{clock, load, log_tickets, out};
use crate::farm::{self, Written};
use crate::findings::{Finding, Findings, Place, nearest};
use crate::pipeline::{Day, Figures, Folder, Judged, Question};
use crate::record::{self, Cells, Entry, LOG, What};
use crate::tables::topic;
use crate::units::number_text;
use crate::write;
use jiff::civil::Date;
use std::path::Path;

/// Calendar years before the plan's first from which an entry is still taken: as
/// many as `bank_years` can look back. An earlier one has a slip in its year.
const YEARS_BEFORE: i16 = 9;

pub(super) fn run(command: &LogCommand) -> Exit {
    match command {
        LogCommand::Repair(args) => repair(args),
        LogCommand::Tickets(args) => log_tickets::run(args),
        LogCommand::Correct(args) => {
            let today = args.today.unwrap_or_else(clock::today);
            let happened = record::read(&args.folder).0;
            let old = match standing(&happened, &args.id) {
                Ok(old) => old,
                Err(exit) => return exit,
            };
            match log_cells::corrected(old, &args.set) {
                Ok(cells) => log(&args.folder, old.what, cells, today, false),
                Err(said) => {
                    out::say(&write::wrapped(&write::plain(&said), "", "  ", out::width()));
                    Exit::Usage
                }
            }
        }
        LogCommand::Void(args) => {
            let happened = record::read(&args.entry.folder).0;
            if let Err(exit) = standing(&happened, &args.id) {
                return exit;
            }
            let given = vec![("corrects", Some(args.id.clone()))];
            entry(&args.entry, What::Void, given)
        }
        _ => match log_cells::of(command) {
            Some((args, what, given)) => entry(args, what, given),
            None => Exit::Usage,
        },
    }
}

fn repair(args: &RepairArgs) -> Exit {
    match record::set_aside(&args.folder) {
        Ok(true) => {
            let done = format!("the half line at the end of {LOG} is set aside; log its entry again\n");
            out::done(&done, &done);
            Exit::Done
        }
        Ok(false) => {
            out::result(&format!("the last line of {LOG} is whole; nothing was changed\n"));
            Exit::Done
        }
        Err(finding) => refuse(vec![*finding], &args.folder, Exit::Errors),
    }
}

fn entry(args: &EntryArgs, what: What, given: Given) -> Exit {
    let today = args.today.unwrap_or_else(clock::today);
    let mut cells = log_cells::cells(given);
    let date = args.date.as_ref().map(|d| record::tidy(d)).filter(|d| !d.is_empty());
    if let Some(date) = date {
        cells.insert("date", date);
    }
    cells.entry("date").or_insert_with(|| today.to_string());
    if let Some(note) = args.note.as_ref().map(|n| record::tidy(n)).filter(|n| !n.is_empty()) {
        cells.insert("note", note);
    }
    if let Some(sure) = args.sure.as_ref().map(|s| record::tidy(s)).filter(|s| !s.is_empty()) {
        cells.insert("sure", sure);
    }
    cells.insert("what", what.word().to_string());
    log(&args.folder, what, cells, today, true)
}

/// The entry that stands under an id, or why there is none.
fn standing<'a>(happened: &'a record::Happened, id: &str) -> Result<&'a Entry, Exit> {
    if let Some(entry) = happened.entry(id) {
        return Ok(entry);
    }
    let said = match happened.struck.iter().find(|s| s.id == id) {
        Some(s) if s.void => format!("nothing was logged: the entry `{id}` was declared void by `{}`", s.by),
        Some(s) => format!("nothing was logged: the entry `{id}` was corrected by `{}`: name that one", s.by),
        None => {
            let known = happened.entries.iter().map(|e| e.id.as_str());
            let near = nearest(id, known)
                .map_or("`sward tally` lists the ids".to_string(), |n| format!("did you mean `{n}`?"));
            format!("nothing was logged: {LOG} has no entry `{id}` in force; {near}")
        }
    };
    out::say(&write::wrapped(&write::plain(&said), "", "  ", out::width()));
    Err(Exit::Usage)
}

/// Checks an entry and appends it. `ask` also asks for what the record needs
/// beyond the tally.
fn log(folder: &Path, what: What, mut cells: Cells, today: Date, ask: bool) -> Exit {
    let (written, found) = farm::read(folder);
    if written.lots.is_empty() && written.fields.is_empty() && written.unread.is_empty() {
        out::say("nothing was logged: the farm cannot be read\n\n");
        let list = found.sorted().into_iter().cloned().collect();
        return refuse(list, folder, Exit::Errors);
    }
    let taken = if ask { log_cells::take_from_farm(what, &mut cells, &written) } else { Vec::new() };
    let missing = log_cells::missing(what, &cells, ask);
    if !missing.is_empty() {
        out::say(&wanted(what, &missing, &written));
        return Exit::Usage;
    }
    log_cells::sure_since(today, &mut cells);
    let place = Place::file(&format!("sward log {}", what.word()));
    let mut findings = Findings::new();
    let entry = record::read_cells(&cells, &|_| place.clone(), &mut findings);
    names(&cells, &written, &place, &mut findings);
    if let Some(entry) = &entry {
        days(entry, &written, today, &place, &mut findings);
        if what.moves_litter() && entry.amount.0 <= 0 {
            let found = "the amount is 0";
            findings.push(Finding::error("log-line", &place, found).accepts("more than 0 tons"));
        }
    }
    let (Some(entry), false) = (entry, findings.has_errors()) else {
        out::say("nothing was logged\n\n");
        let put_right = |f: &Finding| Finding { fix: f.fix.clone().filter(|m| m.starts_with("did")), ..f.clone() };
        return refuse(findings.sorted().into_iter().map(put_right).collect(), folder, Exit::Usage);
    };
    log_cells::in_house_units(&entry, &mut cells);
    let judged = Question::of(Folder::disk(folder), Day::Stated { today }).judge(std::slice::from_ref(&entry));
    if judged.refuses() {
        out::say("nothing was logged\n\n");
        return refuse(judged.findings, folder, Exit::Usage);
    }
    match record::append(folder, &cells, clock::salt()) {
        Ok(id) => {
            let page = |line: &String| write::wrapped(&write::plain(line), "  ", "    ", out::width());
            let text = logged(&id, &entry, &cells) + &taken.iter().map(page).collect::<String>();
            out::done(&text, &format!("the entry is in {LOG} as {id}: do not log it again\n"));
            afterwards(&entry, &written);
            beside(judged, &load::line_of(folder));
            Exit::Done
        }
        Err(finding) => refuse(vec![*finding], folder, Exit::Errors),
    }
}

/// What was found of entries that stand now.
pub(super) fn beside(judged: Judged, line: &dyn Fn(&Place) -> Option<String>) {
    if !judged.whole {
        note(
            "the farm has errors elsewhere, so limits, windows and bars were not checked: `sward check` names them"
                .to_string(),
        );
    }
    if !judged.findings.is_empty() {
        let findings: Findings = judged.findings.into_iter().collect();
        out::say(&format!("\n{}", write::findings(&findings, line, out::width())));
    }
}

fn refuse(list: Vec<Finding>, folder: &Path, exit: Exit) -> Exit {
    let findings: Findings = list.into_iter().collect();
    out::say(&write::findings(&findings, &load::line_of(folder), out::width()));
    exit
}

/// Everything that is missing, at once, with who asks for it.
fn wanted(what: What, missing: &[log_cells::Missing], written: &Written) -> String {
    let (tables, _) = Figures::BuiltIn.load(written.place.as_ref().map(|place| place.value.as_str()));
    let book = written
        .place
        .as_ref()
        .zip(written.span.as_ref())
        .and_then(|(place, (from, _))| tables.book(&place.value, from.value));
    let items = book.map(|b| b.all_words(topic::RECORD_ITEM, "item")).unwrap_or_default();
    let count = if missing.len() == 1 { "1 item is".to_string() } else { format!("{} items are", missing.len()) };
    let mut text = format!("nothing was logged: {count} missing for `sward log {}`\n", what.word());
    for one in missing {
        text.push_str(&write::wrapped(&format!("{}: {}", one.option, one.what), "  ", "      ", out::width()));
    }
    let asking: Vec<_> = items.iter().filter(|(item, _)| missing.iter().any(|m| m.item == item)).collect();
    if !asking.is_empty() {
        text.push_str("what the record must include:\n");
    }
    for (_, words) in asking {
        let line = format!("{} ({})", words.value.trim_end_matches('.'), words.cite);
        text.push_str(&write::wrapped(&line, "  ", "      ", out::width()));
    }
    text
}

/// Lot and field are the farm's.
pub(super) fn names(cells: &Cells, written: &Written, place: &Place, findings: &mut Findings) {
    let unread = || written.unread.iter().map(String::as_str);
    let lots: Vec<&str> = written.lots.iter().map(|l| l.id.value.as_str()).chain(unread()).collect();
    let fields: Vec<&str> = written.fields.iter().map(|f| f.id.value.as_str()).chain(unread()).collect();
    for (column, known) in [("lot", lots), ("field", fields)] {
        let Some(id) = cells.get(column).filter(|id| !known.contains(&id.as_str())) else { continue };
        let finding = Finding::error("id-unknown", place, format!("no {column} is called `{id}`"));
        let finding = finding.accepts(known.join(", "));
        findings.push(match nearest(id, known.iter().copied()) {
            Some(near) => finding.fix(format!("did you mean `{near}`?")),
            None => finding,
        });
    }
}

/// The day is one on which it can have been done.
pub(super) fn days(entry: &Entry, written: &Written, today: Date, place: &Place, findings: &mut Findings) {
    let mut fault = |found: String, accepts: String| {
        findings.push(Finding::error("log-date", place, found).accepts(accepts));
    };
    let last = entry.until.unwrap_or(entry.date).max(entry.date);
    if last > today {
        fault(format!("{last} is still to come"), format!("a day up to today, {today}"));
    }
    if let Some((from, _)) = &written.span {
        let earliest = Date::new(from.value.year().saturating_sub(YEARS_BEFORE), 1, 1).unwrap_or(Date::MIN);
        if entry.date < earliest {
            fault(
                format!(
                    "{} is more than {YEARS_BEFORE} years before the plan, which begins {}",
                    entry.date, from.value
                ),
                format!("a day from {earliest} on"),
            );
        }
    }
    let lot = entry.lot.as_ref().and_then(|l| written.lots.iter().find(|w| w.id.value == l.value));
    let since = lot.and_then(|l| l.since.as_ref()).filter(|_| matches!(entry.what, What::Spread | What::Haul));
    if let Some(since) = since.filter(|s| entry.date < s.value) {
        fault(
            format!("{} is before the lot was piled, {} ({})", entry.date, since.value, since.place),
            format!("a day from {} on", since.value),
        );
    }
}

fn logged(id: &str, entry: &Entry, cells: &Cells) -> String {
    let tons = || format!("{} tons", number_text(entry.amount.tons(), 2));
    let get = |column: &str| cells.get(column).map_or("", String::as_str);
    let mut line = format!("logged {id}: {} {}", entry.what.word(), entry.date);
    if !get("field").is_empty() {
        line = format!("logged {id}: {} {}, {}", entry.what.word(), get("field"), entry.date);
    }
    if entry.what.moves_litter() {
        line.push_str(&format!(", {} of {}", tons(), get("lot")));
    }
    if let Some(acres) = entry.acres.filter(|_| entry.what == What::Spread) {
        let rate = number_text(entry.amount.tons() / acres, 2);
        line.push_str(&format!(", {} acres: {rate} tons/ac", number_text(acres, 2)));
    }
    if let Some(until) = entry.until {
        line.push_str(&format!(" to {until}"));
    }
    if entry.what == What::Rain {
        let parts = [("inches", get("inches")), ("days lost", get("days"))];
        for (what, words) in parts.iter().filter(|(_, words)| !words.is_empty()) {
            line.push_str(&format!(", {words} {what}"));
        }
    }
    if entry.what == What::Cut && entry.amount.0 > 0 {
        line.push_str(&format!(", {} of hay", tons()));
    }
    if !get("to").is_empty() {
        line.push_str(&format!(", to {}", get("to")));
    }
    if !get("corrects").is_empty() {
        let how = if entry.what == What::Void { "takes back" } else { "in place of" };
        line.push_str(&format!(", {how} {}", get("corrects")));
    }
    write::wrapped(&write::plain(&line), "", "  ", out::width())
}

/// Something to know besides.
pub(super) fn note(text: String) {
    out::say(&write::wrapped(&write::plain(&text), "note: ", "  ", out::width()));
}

/// What to know once an entry stands: a day outside the plan. A void counts on
/// any day, and rain before the plan may cost days of it.
fn afterwards(entry: &Entry, written: &Written) {
    let span = written.span.as_ref().map(|(from, to)| (from.value, to.value));
    let outside = span.filter(|(from, to)| !(*from..=*to).contains(&entry.date));
    let who = match entry.what {
        What::Void => return,
        What::Rain => "the tally does",
        _ => "plan and tally do",
    };
    if let Some((from, to)) = outside {
        note(format!("{} lies outside the plan's days, {from} to {to}: {who} not count it", entry.date));
    }
}
