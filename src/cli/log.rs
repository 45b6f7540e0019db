//! `sward log ...`: one entry into `log.csv`.

use crate::cli::args_log::{CorrectArgs, EntryArgs, LogCommand, RepairArgs};
use crate::cli::exit::Exit;
use crate::cli::log_told::{beside, not_logged, note, opened};
use crate::cli::{clock, load, log_ground, log_tickets, out};
use crate::findings::Cite;
use crate::pipeline::{NewEntry, NotLogged, Opened, WithLoad, with_load};
use crate::record::{self, Asked, Cells, Entry, LOG, What};
use crate::units::number_text;
use crate::write;
use std::path::Path;

pub(super) fn run(command: LogCommand) -> Exit {
    match command {
        LogCommand::Entry(what, args) => entry(what, args),
        LogCommand::Tickets(args) => log_tickets::run(args),
        LogCommand::Load(id, args) => load_of(&id, &args),
        LogCommand::Correct(args) => correct(&args),
        LogCommand::Repair(args) => repair(&args),
    }
}

fn entry(what: What, args: EntryArgs) -> Exit {
    let EntryArgs { farm, mut cells } = args;
    let (opened, today) = opened(&farm);
    if let Some(Err(why)) = cells.get("corrects").map(|id| opened.happened.standing(id)) {
        return not_logged(&why);
    }
    if let Err(why) = log_ground::from_file(&mut cells) {
        return not_logged(&why);
    }
    cells.fill("date", || today.to_string());
    cells.insert("what", what.word().to_string());
    log(&opened, &farm.folder, opened.entry(what, cells, today, true), what)
}

/// One more load of a job that is in the log.
fn load_of(id: &str, args: &EntryArgs) -> Exit {
    let (opened, today) = opened(&args.farm);
    let mut load = args.cells.clone();
    let new = log_ground::from_file(&mut load).and_then(|()| opened.happened.newest(id));
    match new.and_then(|old| with_load(old, &load)) {
        Ok(WithLoad { what, cells, told }) => {
            let new = opened.entry(what, cells, today, false).map(|mut new| {
                new.filled_in.extend(told);
                new
            });
            log(&opened, &args.farm.folder, new, what)
        }
        Err(why) => not_logged(&why),
    }
}

fn correct(args: &CorrectArgs) -> Exit {
    let (opened, today) = opened(&args.farm);
    let old = match opened.happened.standing(&args.id) {
        Ok(old) => old,
        Err(why) => return not_logged(&why),
    };
    let mut set = Vec::new();
    for one in &args.set {
        match one.split_once('=') {
            Some(pair) => set.push(pair),
            None => return not_logged(&format!("--set takes COLUMN=WORDS, as in --set tons=52.5, not `{one}`")),
        }
    }
    let new = record::corrected(old, &set).and_then(|mut cells| {
        log_ground::from_file(&mut cells)?;
        Ok(cells)
    });
    match new {
        Ok(cells) => log(&opened, &args.farm.folder, opened.entry(old.what, cells, today, false), old.what),
        Err(why) => not_logged(&why),
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
        Err(finding) => load::refuse(&(*finding).into(), &args.folder, false),
    }
}

/// Adds an entry to the log, or says why it cannot be logged.
fn log(opened: &Opened, folder: &Path, new: Result<NewEntry, NotLogged>, what: What) -> Exit {
    let NewEntry { entry, cells, filled_in, judged } = match new {
        Ok(new) => new,
        Err(NotLogged::NoFarm(findings)) => {
            out::say("nothing was logged: the farm cannot be read\n\n");
            return load::refuse(&findings, folder, false);
        }
        Err(NotLogged::Incomplete(missing, asked_by)) => {
            out::say(&incomplete(what, &missing, &asked_by));
            return Exit::Usage;
        }
        Err(NotLogged::Wrong(findings)) => {
            out::say("nothing was logged\n\n");
            load::refuse(&findings, folder, false);
            return Exit::Usage;
        }
    };
    match record::append(folder, &cells, clock::salt()) {
        Ok(id) => {
            let page = |line: &String| write::wrapped(&write::plain(line), "  ", "    ", out::width());
            let text = logged(&id, &entry, &cells) + &filled_in.iter().map(page).collect::<String>();
            out::done(&text, &format!("the entry is in {LOG} as {id}: do not log it again\n"));
            afterwards(&entry, opened);
            beside(judged, &load::line_of(folder));
            Exit::Done
        }
        Err(finding) => load::refuse(&(*finding).into(), folder, false),
    }
}

/// Everything that is missing, at once, with who asks for it.
fn incomplete(what: What, missing: &[Asked], asked_by: &[(String, Cite)]) -> String {
    let count = if missing.len() == 1 { "1 item is".to_string() } else { format!("{} items are", missing.len()) };
    let mut text = format!("nothing was logged: {count} missing for `sward log {}`\n", what.word());
    let line = |line: &str| write::wrapped(line, "  ", "      ", out::width());
    for (column, _, words) in missing {
        let option = match *column {
            "planned" => "from",
            "new_day" => "to",
            column => column,
        };
        let or = match *column {
            "tons" if what.moves_litter() => "; or --loads and --load, or --ticket once a load",
            "inches" => "; or --days lost",
            _ => "",
        };
        text.push_str(&line(&format!("--{option}: {words}{or}")));
    }
    if !asked_by.is_empty() {
        text.push_str("what the record must include:\n");
    }
    for (words, cite) in asked_by {
        text.push_str(&line(&format!("{} ({cite})", words.trim_end_matches('.'))));
    }
    text
}

fn logged(id: &str, entry: &Entry, cells: &Cells) -> String {
    let tons = || entry.amount.in_tons();
    let get = |column: &str| cells.get(column).map_or("", String::as_str);
    let about = if entry.what.moves_litter() { get("field") } else { entry.about() };
    let about = if about.is_empty() { String::new() } else { format!(" {about},") };
    let mut line = format!("logged {id}: {}{about} {}", entry.what.word(), entry.date);
    let mut say = |words: String| line.push_str(&format!(", {words}"));
    if entry.what.moves_litter() {
        say(format!("{} of {}", tons(), get("lot")));
    }
    if let Some(acres) = entry.acres.filter(|_| entry.what == What::Spread) {
        let rate = number_text(entry.amount.tons() / acres, 2);
        say(format!("{} acres: {rate} tons/ac", number_text(acres, 2)));
    }
    if let Some(until) = entry.until {
        say(format!("to {until}"));
    }
    if entry.what == What::Rain {
        let lost = if get("days") == "1" { "day lost" } else { "days lost" };
        let parts = [("inches", get("inches")), (lost, get("days"))];
        parts.iter().filter(|(_, words)| !words.is_empty()).for_each(|(what, words)| say(format!("{words} {what}")));
    }
    match entry.what {
        What::Cut | What::FeedHay if entry.amount.0 > 0 => say(format!("{} of hay", tons())),
        What::Count => say(tons()),
        What::Haul if !get("to").is_empty() => say(format!("to {}", get("to"))),
        _ => {}
    }
    if !entry.said().is_empty() {
        say(entry.said());
    }
    if !get("corrects").is_empty() {
        let how = if entry.what == What::Void { "takes back" } else { "in place of" };
        say(format!("{how} {}", get("corrects")));
    }
    write::wrapped(&write::plain(&line), "", "  ", out::width())
}

/// What to know once an entry stands: a day after that of the plan, or outside its days.
/// A void counts on any day.
fn afterwards(entry: &Entry, opened: &Opened) {
    let day = entry.date;
    if entry.what == What::Void {
        return;
    }
    if let Some(stated) = opened.stated_before(day) {
        note(&format!(
            "the day of the plan is {stated} (`plan.as_of` in farm.yaml): this entry does not count before {day}. Move `plan.as_of`, or give `--on {day}`"
        ));
    }
    if let Some((from, to)) = opened.days_without(day) {
        let year = day.year();
        // Rain is added up day by day.
        let does = if entry.what == What::Rain { "counts" } else { "lists" };
        note(&format!(
            "{day} lies outside the plan's days, {from} to {to}: `sward tally --year {year}` {does} the entry; limits and lots count it by their own days"
        ));
    }
}
