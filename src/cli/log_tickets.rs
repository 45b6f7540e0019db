//! `sward log tickets`: a scale's file of tickets into `log.csv`.

use crate::cli::args_log::{TicketKind, TicketsArgs};
use crate::cli::exit::Exit;
use crate::cli::log_cells::{self, Given};
use crate::cli::{clock, input, load, log, out};
use crate::farm::{self, TicketNames, Written};
use crate::findings::{Finding, Findings, Place};
use crate::pipeline::{Day, Folder, Judged, Question};
use crate::record::{self, Appended, Cells, LOG, Ticket, What};
use crate::text::{self, file::MOST_TABLE};
use crate::units::{Pounds, number_text};
use crate::write;
use jiff::civil::Date;

pub(super) fn run(args: &TicketsArgs) -> Exit {
    let what = match args.kind {
        TicketKind::Haul => What::Haul,
        TicketKind::Bring => What::Bring,
        TicketKind::Spread => What::Spread,
    };
    let today = args.today.unwrap_or_else(clock::today);
    let mut common = log_cells::cells(given(args));
    log_cells::sure_since(today, &mut common);
    let strange: Vec<String> = common
        .keys()
        .filter(|column| !["note", "sure"].contains(*column) && !what.columns().contains(column))
        .map(|column| format!("--{column}"))
        .collect();
    if !strange.is_empty() {
        let said = format!("nothing was logged: a `{}` ticket says nothing of {}", what.word(), strange.join(", "));
        out::say(&write::wrapped(&said, "", "  ", out::width()));
        return Exit::Usage;
    }
    let (written, found) = farm::read(&args.folder);
    if written.lots.is_empty() && written.fields.is_empty() && written.unread.is_empty() {
        return refuse(found, args);
    }
    let names = match &written.tickets {
        Some(names) => names,
        None => return refuse(no_names(found), args),
    };
    let mut findings = Findings::new();
    let tickets = read(args, names, what, &mut findings);
    let tickets: Vec<Ticket> = tickets.into_iter().map(|t| entry(t, &common, &written, today, &mut findings)).collect();
    if findings.has_errors() {
        return refuse(findings, args);
    }
    let judged = judge(args, &tickets, today);
    if judged.refuses() {
        judged.findings.into_iter().for_each(|f| findings.push(f));
        return refuse(findings, args);
    }
    match record::append_tickets(&args.folder, &tickets, clock::salt()) {
        Ok(done) => {
            let stands = format!("the tickets are in {LOG}: {}\n", ids(&done).join(", "));
            out::done(&told(&tickets, &done, args, what), &stands);
            afterwards(&tickets, &done, &written);
            with_lines(args, |line| log::beside(judged, line));
            Exit::Done
        }
        Err(list) => refuse(list.into_iter().collect(), args),
    }
}

/// The entries of the log in which the tickets stand.
fn ids(done: &[Appended]) -> Vec<&str> {
    done.iter()
        .map(|d| match d {
            Appended::New(id) | Appended::There(id) => id.as_str(),
        })
        .collect()
}

/// The cells that the options give to every ticket.
fn given(args: &TicketsArgs) -> Given {
    vec![
        ("lot", args.lot.clone()),
        ("field", args.field.clone()),
        ("operator", args.operator.clone()),
        ("to", args.to.clone()),
        ("from", args.from.clone()),
        ("address", args.address.clone()),
        ("use", args.usage.clone()),
        ("land", args.land.clone()),
        ("permit", args.permit.clone()),
        ("analysis", args.analysis.clone()),
        ("basis", args.basis.clone()),
        ("method", args.method.clone()),
        ("certificate", args.certificate.clone()),
        ("note", args.note.clone()),
        ("sure", args.sure.clone()),
    ]
}

/// Why the columns of the file are not known: `tickets:` is missing, or wrong.
fn no_names(found: Findings) -> Findings {
    if found.has_errors() {
        return found;
    }
    let mut findings = Findings::new();
    findings.push(
        Finding::error("tickets-unnamed", &Place::file(farm::MAIN), "farm.yaml does not say what the file calls its columns")
            .accepts("a block `tickets:` with `columns: {ticket: Ticket, date: Date in month/day/year, lot: Material, gross: Gross in lb, tare: Tare in lb, net: Net in lb}`")
            .fix("write the names as they are in the first line of the file"),
    );
    findings
}

/// The tickets of the file that are sound so far; the findings tell the rest.
fn read(args: &TicketsArgs, names: &TicketNames, what: What, findings: &mut Findings) -> Vec<Ticket> {
    let name = input::name(&args.file);
    let bytes = match input::read(&args.file, MOST_TABLE) {
        Ok(bytes) => bytes,
        Err(e) => {
            let found = format!("the file cannot be read: {e}");
            findings.push(Finding::error("cannot-read", &Place::file(&name), found));
            return Vec::new();
        }
    };
    let text = text::decode(&name, bytes).map_err(|f| findings.push(*f)).ok();
    let Some((sheet, sound)) = text.and_then(|text| text::sheet(&name, &text, findings)) else { return Vec::new() };
    if sheet.rows.is_empty() && sound {
        let finding = Finding::error("sheet-empty", &Place::file(&name), "the file has no ticket");
        findings.push(finding.accepts("a line for each ticket below the line of names"));
    }
    record::tickets(&sheet, &names.columns, what, (&names.lots, &names.fields), findings)
}

/// A ticket as an entry of the farm's: what the options give filled in, and
/// everything about it checked as when it is logged by hand.
fn entry(mut ticket: Ticket, common: &Cells, written: &Written, today: Date, findings: &mut Findings) -> Ticket {
    for (column, value) in common {
        ticket.cells.entry(column).or_insert_with(|| value.clone());
    }
    let Some(what) = ticket.cells.get("what").and_then(|word| What::named(word)) else { return ticket };
    log_cells::take_from_farm(what, &mut ticket.cells, written);
    let place = |column: &str| at(&ticket, column);
    let mut found = Findings::new();
    let entry = record::read_cells(&ticket.cells, &place, &mut found);
    for column in ["lot", "field"] {
        let one: Cells = ticket.cells.iter().filter(|(c, _)| **c == column).map(|(c, v)| (*c, v.clone())).collect();
        log::names(&one, written, &place(column), &mut found);
    }
    if let Some(entry) = &entry {
        log::days(entry, written, today, &place("date"), &mut found);
    }
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
        log_cells::in_house_units(&entry, &mut ticket.cells);
    }
    ticket
}

/// What check and tally will say of the tickets that are new.
fn judge(args: &TicketsArgs, tickets: &[Ticket], today: Date) -> Judged {
    let entry = |ticket: &Ticket| record::read_cells(&ticket.cells, &|column| at(ticket, column), &mut Findings::new());
    let new: Vec<_> = record::not_there(&args.folder, tickets).into_iter().filter_map(entry).collect();
    Question::of(Folder::disk(&args.folder), Day::Stated { today }).judge(&new)
}

/// Where a cell of a ticket came from.
fn at(ticket: &Ticket, column: &str) -> Place {
    ticket.places.get(column).unwrap_or(&ticket.place).clone()
}

fn refuse(findings: Findings, args: &TicketsArgs) -> Exit {
    out::say("nothing was logged\n\n");
    with_lines(args, |line| out::say(&write::findings(&findings, line, out::width())));
    Exit::Errors
}

/// Shows something beside lines of the scale's file and of the farm's.
fn with_lines(args: &TicketsArgs, show: impl FnOnce(&dyn Fn(&Place) -> Option<String>)) {
    let name = input::name(&args.file);
    let bytes = input::read(&args.file, MOST_TABLE).unwrap_or_default();
    let of_farm = load::line_of(&args.folder);
    show(&|place| if place.file == name { input::line_in(&bytes, place.line) } else { of_farm(place) });
}

fn tons(pounds: Pounds) -> String {
    format!("{} tons", number_text(pounds.tons(), 2))
}

fn count(n: usize) -> String {
    if n == 1 { "1 ticket".to_string() } else { format!("{n} tickets") }
}

/// What was logged, and what was there already.
fn told(tickets: &[Ticket], done: &[Appended], args: &TicketsArgs, what: What) -> String {
    let pairs = || tickets.iter().zip(done);
    let new: Vec<(&Ticket, &String)> =
        pairs().filter_map(|(t, d)| if let Appended::New(id) = d { Some((t, id)) } else { None }).collect();
    let there: Vec<String> = pairs()
        .filter_map(|(t, d)| if let Appended::There(id) = d { Some(format!("{} ({id})", t.number)) } else { None })
        .collect();
    let sum: Pounds = new.iter().map(|(t, _)| t.net).sum();
    let page = |text: &str, first: &str, indent: &str| write::wrapped(&write::plain(text), first, indent, out::width());
    let head = match new.len() {
        0 => format!("nothing new in {}", input::name(&args.file)),
        n => format!("logged {} of {}: {}, {}", count(n), input::name(&args.file), what.word(), tons(sum)),
    };
    let mut text = page(&head, "", "  ");
    for (ticket, id) in new {
        let word = |column: &str| ticket.cells.get(column).map_or("", String::as_str);
        let route = [("field", "on"), ("to", "to"), ("from", "from")];
        let route: String = route
            .iter()
            .filter(|(column, _)| !word(column).is_empty())
            .map(|(column, by)| format!(", {by} {}", word(column)))
            .collect();
        let line =
            format!("{id}: ticket {}, {}, {} of {}{route}", ticket.number, word("date"), tons(ticket.net), word("lot"));
        text.push_str(&page(&line, "  ", "    "));
    }
    if !there.is_empty() {
        let line = format!("in the log already, and left as it is: {}", there.join(", "));
        text.push_str(&page(&line, "", "  "));
    }
    text
}

/// What to know once the tickets stand.
fn afterwards(tickets: &[Ticket], done: &[Appended], written: &Written) {
    let new: Vec<&Ticket> =
        tickets.iter().zip(done).filter(|(_, d)| matches!(d, Appended::New(_))).map(|(t, _)| t).collect();
    if new.is_empty() {
        return;
    }
    if let Some((from, to)) = written.span.as_ref().map(|(from, to)| (from.value.to_string(), to.value.to_string())) {
        let outside = |t: &&&Ticket| t.cells.get("date").is_some_and(|day| *day < from || *day > to);
        let n = new.iter().filter(outside).count();
        if n > 0 {
            log::note(format!(
                "{} outside the plan's days, {from} to {to}: plan and tally do not count them",
                count(n)
            ));
        }
    }
    let what = new.first().and_then(|t| What::named(t.cells.get("what")?));
    let asked = what.map(record::asked).unwrap_or_default();
    let lacks = |column: &str| new.iter().any(|t| !t.cells.contains_key(column));
    let open: Vec<&str> = asked.iter().map(|(column, _, _)| *column).filter(|c| *c != "loads" && lacks(c)).collect();
    if !open.is_empty() {
        let list = open.join(", ");
        log::note(format!(
            "the record still needs {list}: `sward log correct ID --set ...`; `sward tally` lists what is open"
        ));
    }
}
