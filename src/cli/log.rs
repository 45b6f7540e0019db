//! `sward log ...`: one entry into `log.csv`.

use crate::cli::args_log::{CorrectArgs, EntryArgs, LogCommand, RepairArgs};
use crate::cli::exit::Exit;
use crate::cli::log_told::{beside, not_logged, note, opened, repeated};
use crate::cli::{clock, load, log_ground, log_tickets, out};
use crate::findings::{Cite, Finding};
use crate::pipeline::{LoadEntry, NewEntry, NotLogged, Opened, with_load, without_load};
use crate::record::{self, Asked, Cells, Entry, LOG, What};
use crate::units::number_text;
use crate::write;
use jiff::civil::Date;
use std::path::Path;

pub(super) fn run(command: LogCommand) -> Exit {
    match command {
        LogCommand::Entry(what, args) => entry(what, args),
        LogCommand::Tickets(args) => log_tickets::run(args),
        LogCommand::Load(id, args) => load_of(&id, &args, ("load", with_load)),
        LogCommand::Unload(id, args) => load_of(&id, &args, ("unload", |old, load, _| without_load(old, load))),
        LogCommand::Void(args, whole_job) => void(args, whole_job),
        LogCommand::Correct(args) => correct(&args),
        LogCommand::Repair(args) => repair(&args),
    }
}

fn entry(what: What, args: EntryArgs) -> Exit {
    let EntryArgs { farm, mut cells } = args;
    let (opened, today) = opened(&farm);
    if let Err(why) = log_ground::from_file(&mut cells) {
        return not_logged(&why);
    }
    new_entry((&opened, today), &farm.folder, what, cells)
}

/// An entry that does not hold. One that loads were added to is a whole job, which the id
/// of its last load names as well: whoever means it says so.
fn void(args: EntryArgs, whole_job: bool) -> Exit {
    let EntryArgs { farm, cells } = args;
    let (opened, today) = opened(&farm);
    let id = cells.get("corrects").unwrap_or_default();
    let old = match in_force(&opened, id) {
        Ok(old) => old,
        Err(why) => return not_logged(&why),
    };
    let id = old.id.as_str();
    if !whole_job && opened.happened.gained_loads(old) {
        let all = taken_back(old);
        let (is, unload) = match record::loads_of(old) > 0.0 {
            true => ("is a whole job", format!("`sward log unload {id}` takes its last load back")),
            false => (
                "holds more tons than when it was first logged",
                format!("`sward log unload {id} --tons TONS` takes back a load that weighed so much"),
            ),
        };
        return not_logged(&format!(
            "`{id}` {is}: {all}. {unload}; give --whole-job to take back all of it, which cannot be undone"
        ));
    }
    let mut cells = cells.clone();
    cells.insert("corrects", id);
    new_entry((&opened, today), &farm.folder, What::Void, cells)
}

/// The entry in force that an id stands for: one that was corrected since goes by what
/// corrected it, and that is said.
fn in_force<'a>(opened: &'a Opened, id: &str) -> Result<&'a Entry, String> {
    let old = opened.happened.newest(id)?;
    if old.id != id {
        note(&format!("`{id}` was corrected since: `{}` stands for it now, and is meant", old.id));
    }
    Ok(old)
}

/// An entry as it was given; of today where no day was.
fn new_entry((opened, today): (&Opened, Date), folder: &Path, what: What, mut cells: Cells) -> Exit {
    cells.fill("date", || today.to_string());
    cells.insert("what", what.word());
    log(opened, folder, opened.entry(what, cells, today, true), what.word())
}

/// How often a load is added to a job to which others add loads at the same time.
const TRIES: u32 = 100;

/// What a load makes of its job: the load as given, on a day.
type OfLoad = fn(&Entry, &Cells, Date) -> Result<LoadEntry, String>;

/// One more load of a job that is in the log, or one less.
fn load_of(id: &str, args: &EntryArgs, (command, made): (&str, OfLoad)) -> Exit {
    let mut tries = if command == "load" { TRIES } else { 1 };
    loop {
        tries -= 1;
        let (opened, today) = opened(&args.farm);
        let mut load = args.cells.clone();
        let new = log_ground::from_file(&mut load).and_then(|()| opened.happened.newest(id));
        let load = match new.and_then(|old| made(old, &load, today)) {
            Ok(load) => load,
            Err(why) => return not_logged(&why),
        };
        match try_to_log(&opened, &args.farm.folder, opened.load(load, today), command) {
            Err(overtaken) if tries == 0 => return load::refuse(&(*overtaken).into(), &args.farm.folder, false),
            // Somebody else added a load meanwhile: this one goes on top of it.
            Err(_) => {}
            Ok(exit) => return exit,
        }
    }
}

fn correct(args: &CorrectArgs) -> Exit {
    let (opened, today) = opened(&args.farm);
    let old = match in_force(&opened, &args.id) {
        Ok(old) => old,
        Err(why) => return not_logged(&why),
    };
    let mut set: Vec<(&str, &str)> = args.note.iter().map(|note| ("note", note.as_str())).collect();
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
        Ok(cells) => log(&opened, &args.farm.folder, opened.entry(old.what, cells, today, false), "correct"),
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
fn log(opened: &Opened, folder: &Path, new: Result<NewEntry, NotLogged>, command: &str) -> Exit {
    let refused = |overtaken: Box<Finding>| load::refuse(&(*overtaken).into(), folder, false);
    try_to_log(opened, folder, new, command).unwrap_or_else(refused)
}

/// The same; where the entry names one that was changed meanwhile, what was found.
fn try_to_log(
    opened: &Opened,
    folder: &Path,
    new: Result<NewEntry, NotLogged>,
    command: &str,
) -> Result<Exit, Box<Finding>> {
    let NewEntry { entry, cells, filled_in, judged } = match new {
        Ok(new) => new,
        Err(NotLogged::NoFarm(findings)) => {
            out::say("nothing was logged: the farm cannot be read\n\n");
            return Ok(load::refuse(&findings, folder, false));
        }
        Err(NotLogged::Incomplete(missing, asked_by)) => {
            out::say(&incomplete(command, &missing, &asked_by));
            return Ok(Exit::Usage);
        }
        Err(NotLogged::Wrong(findings)) => {
            out::say("nothing was logged\n\n");
            load::refuse(&findings, folder, false);
            return Ok(Exit::Usage);
        }
    };
    match record::append_knowing(folder, &cells, clock::salt(), opened.log()) {
        Ok((id, by_others)) => {
            let page = |line: &String| write::wrapped(&write::plain(line), "  ", "    ", out::width());
            let text = logged(&id, &entry, &cells, opened.happened.entry(entry.word("corrects")))
                + &filled_in.iter().map(page).collect::<String>();
            out::done(&text, &format!("the entry is in {LOG} as {id}: do not log it again\n"));
            afterwards(&entry, opened);
            beside(judged, &load::line_of(folder));
            if by_others {
                beside(repeated(folder, &id), &load::line_of(folder));
            }
            Ok(Exit::Done)
        }
        Err(finding) if finding.code == record::OVERTAKEN => Err(finding),
        Err(finding) => Ok(load::refuse(&(*finding).into(), folder, false)),
    }
}

/// Everything that is missing, at once, with who asks for it.
fn incomplete(command: &str, missing: &[Asked], asked_by: &[(String, Cite)]) -> String {
    let count = if missing.len() == 1 { "1 item is".to_string() } else { format!("{} items are", missing.len()) };
    let mut text = format!("nothing was logged: {count} missing for `sward log {command}`\n");
    let line = |line: &str| write::wrapped(line, "  ", "      ", out::width());
    for (column, _, words) in missing {
        let option = match *column {
            "planned" => "from",
            "new_day" => "to",
            column => column,
        };
        let or = match *column {
            "tons" if What::named(command).is_some_and(What::moves_litter) => {
                "; or --loads and --load, or --ticket once a load"
            }
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

/// What an entry holds, for whoever takes it back.
fn taken_back(old: &Entry) -> String {
    let mut said = vec![format!("{} of {}", old.what.word(), old.date)];
    if !old.field_id().is_empty() {
        said.push(old.field_id().to_string());
    }
    let loads = record::loads_of(old);
    if loads > 1.0 {
        said.push(format!("{} loads", number_text(loads, 2).trim_end_matches(".00")));
    }
    if old.what.weighs_litter() {
        said.push(format!("{} of {}", old.amount.in_tons(), old.lot_id()));
    }
    if let Some(acres) = old.acres {
        said.push(format!("{} acres", number_text(acres, 2)));
    }
    said.join(", ")
}

/// What stands in the log now; `old` is the entry that it names.
fn logged(id: &str, entry: &Entry, cells: &Cells, old: Option<&Entry>) -> String {
    let tons = || entry.amount.in_tons();
    let get = |column: &str| cells.get(column).unwrap_or_default();
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
    match (get("corrects"), entry.what, old) {
        ("", ..) => {}
        (id, What::Void, Some(old)) => say(format!("takes back {id}: {}", taken_back(old))),
        (id, What::Void, None) => say(format!("takes back {id}")),
        (id, ..) => say(format!("in place of {id}")),
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
