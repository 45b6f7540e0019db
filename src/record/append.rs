//! Writing entries behind the others: locked, whole, and on the disk before
//! anybody is told so.

use crate::findings::{Finding, Findings, Place};
use crate::record::cells::{Cells, header, line};
use crate::record::columns::{COLUMNS, LOG};
use crate::record::id;
use crate::record::lines::{SET_ASIDE, about, half_line, half_line_found, holds_names, lines, lines_of, not_utf8};
use crate::record::loads::numbers_in;
use crate::record::replay::LogLine;
use crate::record::tickets::ScaleTicket;
use crate::text;
use memchr::memmem;
use std::collections::BTreeSet;
use std::fs::{File, OpenOptions};
use std::io::{self, Write};
use std::path::Path;
use std::time::Duration;

/// How often a lock that another program holds is tried.
const TRIES: u32 = 300;
/// Wait between two tries.
const WAIT: Duration = Duration::from_millis(50);

/// The code of an entry that names one which another entry changed in the meantime.
pub const OVERTAKEN: &str = "log-overtaken";

type NotAppended = Box<Finding>;

/// Appends an entry; its id comes back. `salt` is any number that another
/// run does not have; it keeps the ids of two people apart.
///
/// # Errors
/// A finding that says why nothing was written.
pub fn append(folder: &Path, cells: &Cells, salt: u64) -> Result<String, NotAppended> {
    append_knowing(folder, cells, salt, &[]).map(|(id, _)| id)
}

/// The same of an entry that was held against a log; and whether others wrote into it meanwhile.
///
/// # Errors
/// A finding that says why nothing was written.
pub fn append_knowing(folder: &Path, cells: &Cells, salt: u64, known: &[u8]) -> Result<(String, bool), NotAppended> {
    let mut file = open(folder)?;
    let before = all_of(&mut file)?;
    let (id, text) = addition(&before, cells, salt)?;
    write_whole(&mut file, folder, before.len() as u64, text.as_bytes())?;
    Ok((id, before != known))
}

/// What is written behind a log to add an entry, with the entry's id. Only the lines
/// that are about it are read, so that a long log costs no more than a short one.
///
/// # Errors
/// A finding that says why nothing may be written.
pub fn addition(before: &[u8], cells: &Cells, salt: u64) -> Result<(String, String), NotAppended> {
    if let Some(line) = half_line(before) {
        return Err(Box::new(half_line_found(line)));
    }
    if let Some(old) = cells.get("corrects") {
        let log = String::from_utf8_lossy(before);
        let known = lines(about(&log, old).as_bytes(), &mut Findings::new());
        let newer = known.iter().find(|l| l.cells().get("corrects") == Some(old));
        if let Some(newer) = newer {
            let by = newer.id().unwrap_or("a later line");
            let found = format!("nothing was logged: the entry `{old}` was changed meanwhile, by `{by}`");
            let finding = Finding::error(OVERTAKEN, &newer.at(), found).accepts("an entry in force");
            return Err(Box::new(finding.fix("see what it says now, and enter it again")));
        }
    }
    let (id, text) = with_id(cells, salt, &mut |id| memmem::find(before, id.as_bytes()).is_some());
    reads_back(&text)?;
    Ok((id, as_added(before, text)))
}

/// What became of a ticket.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Appended {
    /// Logged under this id.
    New(String),
    /// It was in the log already, under this id.
    There(String),
}

/// Appends the entries of scale tickets in one write, but those whose number
/// is in the log already. All of them or none.
///
/// # Errors
/// Findings that say why nothing was written.
pub fn append_tickets(folder: &Path, tickets: &[ScaleTicket], salt: u64) -> Result<Vec<Appended>, Vec<Finding>> {
    let one = |finding: NotAppended| vec![*finding];
    let mut file = open(folder).map_err(one)?;
    let before = all_of(&mut file).map_err(one)?;
    if let Some(line) = half_line(&before) {
        return Err(vec![half_line_found(line)]);
    }
    let known = lines(&before, &mut Findings::new());
    let mut ids = taken(&known);
    let (mut done, mut wrong, mut text) = (Vec::new(), Vec::new(), String::new());
    for ticket in tickets {
        match there(ticket, &known) {
            Ok(Some(id)) => done.push(Appended::There(id)),
            Ok(None) => {
                let (id, line) = with_id(&ticket.cells, salt, &mut |id| !ids.insert(id.to_string()));
                if let Err(finding) = reads_back(&line) {
                    wrong.push(Finding { place: ticket.place.clone(), ..*finding });
                    continue;
                }
                text.push_str(&line);
                done.push(Appended::New(id));
            }
            Err(finding) => wrong.push(*finding),
        }
    }
    if !wrong.is_empty() {
        return Err(wrong);
    }
    if !text.is_empty() {
        let text = as_added(&before, text);
        write_whole(&mut file, folder, before.len() as u64, text.as_bytes()).map_err(one)?;
    }
    Ok(done)
}

/// The tickets that are not in a log yet.
#[must_use]
pub fn not_there<'a>(log: &[u8], tickets: &'a [ScaleTicket]) -> Vec<&'a ScaleTicket> {
    let known = lines(log, &mut Findings::new());
    tickets.iter().filter(|ticket| matches!(there(ticket, &known), Ok(None))).collect()
}

/// The id under which a ticket is in the log. Lines that were corrected or
/// declared void since count too: the ticket was logged.
fn there(ticket: &ScaleTicket, known: &[LogLine]) -> Result<Option<String>, NotAppended> {
    let names_it = |line: &&LogLine| numbers_in(line.cells()).any(|one| one == ticket.number);
    let mut same = known.iter().filter(names_it).peekable();
    let Some(first) = same.peek().copied() else { return Ok(None) };
    let agrees = |line: &&LogLine| {
        let date = line.cells().get("date") == ticket.cells.get("date");
        let what = line.cells().get("what") == ticket.cells.get("what");
        let entry = line.entry();
        date && what && entry.is_some_and(|e| e.amount == ticket.net || e.tickets.contains(&ticket.net))
    };
    if let Some(line) = same.find(agrees) {
        return Ok(Some(line.id().map_or_else(|| line.at().to_string(), str::to_string)));
    }
    let word = |column: &str| first.cells().get(column).unwrap_or_default();
    let amount = first.entry().map_or("an amount that cannot be read".to_string(), |e| e.amount.to_string());
    let found = format!(
        "the ticket `{}` is in the log with another day, weight or kind: {} {}, {amount}; here {} {}, {}",
        ticket.number,
        word("what"),
        word("date"),
        ticket.cells.get("what").unwrap_or_default(),
        ticket.cells.get("date").unwrap_or_default(),
        ticket.net,
    );
    let finding = Finding::error("ticket-logged", &ticket.place, found)
        .accepts("a number that is not in the log, or the ticket just as it was logged")
        .fix("see which of the two is right; `sward log correct` fixes the log, or give this ticket its own number")
        .also(&first.at(), "the entry in the log");
    Err(Box::new(finding))
}

/// Every id of the log.
fn taken(known: &[LogLine]) -> BTreeSet<String> {
    known.iter().filter_map(|line| line.id().map(str::to_string)).collect()
}

/// An id for an entry that no other has, and the entry's line with it.
fn with_id(cells: &Cells, salt: u64, taken: &mut dyn FnMut(&str) -> bool) -> (String, String) {
    let mut more = salt;
    let mut id = id::of(cells, more);
    while taken(&id) {
        more = more.wrapping_add(1);
        id = id::of(cells, more);
    }
    let mut cells = cells.clone();
    cells.insert("id", &id);
    let text = line(&cells);
    (id, text)
}

/// Nothing is written that could not be read again.
fn reads_back(line: &str) -> Result<(), NotAppended> {
    let mut findings = Findings::new();
    lines((header() + line).as_bytes(), &mut findings);
    let Some(first) = findings.sorted().into_iter().next() else { return Ok(()) };
    let found = format!("nothing was logged: as a line of {LOG}, {}", first.found);
    let accepts = first.accepted.clone().unwrap_or_default();
    Err(Box::new(Finding::error("log-line", &Place::file(LOG), found).accepts(accepts)))
}

/// Lines as they are added behind the others, with the line of names where it is wanted.
fn as_added(before: &[u8], text: String) -> String {
    let text = if last_header_is_ours(before) { text } else { header() + &text };
    if before.is_empty() { text } else { in_their_style(before, text) }
}

/// Marks half a line at the log's end as set aside, so that entries can be
/// written behind it. False when the last line is whole.
///
/// # Errors
/// A finding that says why nothing was written.
pub fn set_aside(folder: &Path) -> Result<bool, NotAppended> {
    let mut file = open(folder)?;
    let before = all_of(&mut file)?;
    if half_line(&before).is_none() {
        return Ok(false);
    }
    let text = format!("{SET_ASIDE}\n");
    write_whole(&mut file, folder, before.len() as u64, text.as_bytes())?;
    Ok(true)
}

/// Lines end as the others of the file do.
fn in_their_style(before: &[u8], text: String) -> String {
    if before.ends_with(b"\r\n") { text.replace('\n', "\r\n") } else { text }
}

/// Whether the line of names that holds at the file's end is the program's
/// own, so that a line can follow without another one.
fn last_header_is_ours(before: &[u8]) -> bool {
    let header = |raw: &[u8]| {
        let line = String::from_utf8_lossy(raw);
        let line = line.trim_start_matches('\u{feff}').trim_end();
        let cells: Vec<&str> = line.split(',').map(|c| c.trim().trim_matches('"')).collect();
        let is_header = ["date", "what"].iter().all(|n| cells.iter().any(|c| c.eq_ignore_ascii_case(n)));
        is_header.then(|| line.to_string())
    };
    let last = lines_of(before).filter(|(_, raw)| holds_names(raw)).filter_map(|(_, raw)| header(raw)).last();
    last.is_some_and(|line| line == COLUMNS.join(","))
}

fn refused(code: &'static str, found: String, fix: &str) -> NotAppended {
    Box::new(Finding::error(code, &Place::file(LOG), found).fix(fix))
}

/// Opens the log for adding to it, and holds its lock. An editor may have put
/// another file into its place meanwhile; then that one is opened.
fn open(folder: &Path) -> Result<File, NotAppended> {
    let path = folder.join(LOG);
    let cannot = |e: io::Error| {
        let found = format!("nothing was logged: {} cannot be written: {e}", path.display());
        refused("log-not-written", found, "see that the folder is there and that this user may write in it")
    };
    for _ in 0..TRIES {
        // A pipe or a device of that name is never opened.
        if let Ok(there) = std::fs::metadata(&path) {
            text::file::regular(&there).map_err(cannot)?;
        }
        let file = OpenOptions::new().read(true).append(true).create(true).open(&path).map_err(cannot)?;
        match file.try_lock() {
            Ok(()) if same_file(&file, &path) => return Ok(file),
            Ok(()) => {}
            Err(std::fs::TryLockError::WouldBlock) => std::thread::sleep(WAIT),
            Err(std::fs::TryLockError::Error(e)) => return Err(cannot(e)),
        }
    }
    Err(refused(
        "log-not-written",
        format!("nothing was logged: another program holds {} open for writing", path.display()),
        "close that program, then log the entry again",
    ))
}

#[cfg(unix)]
fn same_file(file: &File, path: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    let key = |m: std::fs::Metadata| (m.dev(), m.ino());
    matches!((file.metadata().map(key), std::fs::metadata(path).map(key)), (Ok(a), Ok(b)) if a == b)
}

#[cfg(not(unix))]
fn same_file(_: &File, _: &Path) -> bool {
    true
}

fn all_of(file: &mut File) -> Result<Vec<u8>, NotAppended> {
    let bytes = text::file::whole(file, text::file::MOST_LOG)
        .map_err(|e| refused("cannot-read", format!("{LOG} cannot be read: {e}"), "see that it is a plain file"))?;
    match not_utf8(&bytes) {
        Some(finding) => Err(Box::new(finding)),
        None => Ok(bytes),
    }
}

/// Writes the bytes and sees them onto the disk, or takes back what was
/// written of them.
fn write_whole(file: &mut File, folder: &Path, length: u64, bytes: &[u8]) -> Result<(), NotAppended> {
    let written = file.write_all(bytes).and_then(|()| file.sync_all());
    let Err(e) = written else {
        // A new file is only found again once its folder is on the disk too.
        if length == 0 {
            let _ = File::open(folder).and_then(|folder| folder.sync_all());
        }
        return Ok(());
    };
    let back = file.set_len(length).and_then(|()| file.sync_all());
    let full =
        matches!(e.kind(), io::ErrorKind::StorageFull | io::ErrorKind::FileTooLarge | io::ErrorKind::QuotaExceeded);
    let fix = if full { "make room on the disk, then log the entry again" } else { "log the entry again" };
    Err(match back {
        Ok(()) => refused(
            "log-not-written",
            format!("nothing was logged: {LOG} cannot be written: {e}; it is as it was before"),
            fix,
        ),
        Err(_) => refused(
            "log-not-written",
            format!("{LOG} cannot be written: {e}; half a line may be at its end"),
            "make room on the disk, then `sward log repair`",
        ),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_own_header_is_known_again() {
        let ours = header();
        assert!(last_header_is_ours(ours.as_bytes()));
        assert!(last_header_is_ours(format!("date,what,lot\n1,2,3\n{ours}x\n").as_bytes()));
        assert!(!last_header_is_ours(format!("{ours}date,what,lot\n").as_bytes()));
        assert!(!last_header_is_ours(b""));
    }
}
