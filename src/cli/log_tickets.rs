//! `sward log tickets`: a scale's file of tickets into `log.csv`.

use crate::cli::args_log::TicketsArgs;
use crate::cli::exit::Exit;
use crate::cli::log_told::{beside, not_logged, note, opened};
use crate::cli::{clock, input, load, out};
use crate::findings::{Finding, Findings, Place};
use crate::pipeline::Opened;
use crate::record::{self, Appended, LOG, ScaleTicket, What};
use crate::text::{self, file::MOST_TABLE};
use crate::units::Pounds;
use crate::write;
use std::path::Path;

pub(super) fn run(args: TicketsArgs) -> Exit {
    let TicketsArgs { of, farm, cells: mut common } = args;
    let (folder, what) = (&farm.folder, of.kind.what());
    let strange: Vec<String> = common
        .iter()
        .map(|(column, _)| column)
        .filter(|column| !["note", "sure"].contains(column) && !what.columns().contains(column))
        .map(|column| format!("--{column}"))
        .collect();
    if !strange.is_empty() {
        return not_logged(&format!("a `{}` ticket says nothing of {}", what.word(), strange.join(", ")));
    }
    let (opened, today) = opened(&farm);
    record::sure_since(today, &mut common);
    let scale = Scale::read(&of.file);
    let (tickets, judged) = match opened.tickets((&scale.name, scale.text()), what, &common, today) {
        Ok(sound) => sound,
        Err(findings) => return scale.refuse(&findings, folder),
    };
    match record::append_tickets(folder, &tickets, clock::salt()) {
        Ok(done) => {
            let stands = format!("the tickets are in {LOG}: {}\n", ids(&done).join(", "));
            out::done(&told(&tickets, &done, &scale.name, what), &stands);
            afterwards(&tickets, &done, &opened, what);
            scale.with_lines(folder, |line| beside(judged, line));
            Exit::Done
        }
        Err(list) => scale.refuse(&list.into_iter().collect(), folder),
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

/// The scale's file.
struct Scale {
    name: String,
    bytes: Result<Vec<u8>, String>,
}

impl Scale {
    fn read(file: &Path) -> Scale {
        Scale { name: input::name(file), bytes: input::read(file, MOST_TABLE).map_err(|e| e.to_string()) }
    }

    fn text(&self) -> Result<String, Box<Finding>> {
        match &self.bytes {
            Ok(bytes) => text::decode(&self.name, bytes.clone()),
            Err(e) => Err(Box::new(input::unreadable(&self.name, e))),
        }
    }

    fn refuse(&self, findings: &Findings, folder: &Path) -> Exit {
        out::say("nothing was logged\n\n");
        self.with_lines(folder, |line| out::say(&write::findings(findings, line, out::width())));
        Exit::Errors
    }

    /// Shows something beside lines of the scale's file and of the farm's.
    fn with_lines(&self, folder: &Path, show: impl FnOnce(&dyn Fn(&Place) -> Option<String>)) {
        let bytes = self.bytes.as_deref().unwrap_or_default();
        let of_farm = load::line_of(folder);
        show(&|place| if *place.file == self.name { input::line_in(bytes, place.line) } else { of_farm(place) });
    }
}

fn count(n: usize) -> String {
    if n == 1 { "1 ticket".to_string() } else { format!("{n} tickets") }
}

/// What was logged, and what was there already.
fn told(tickets: &[ScaleTicket], done: &[Appended], file: &str, what: What) -> String {
    let pairs = || tickets.iter().zip(done);
    let new: Vec<(&ScaleTicket, &String)> =
        pairs().filter_map(|(t, d)| if let Appended::New(id) = d { Some((t, id)) } else { None }).collect();
    let there: Vec<String> = pairs()
        .filter_map(|(t, d)| if let Appended::There(id) = d { Some(format!("{} ({id})", t.number)) } else { None })
        .collect();
    let sum: Pounds = new.iter().map(|(t, _)| t.net).sum();
    let page = |text: &str, first: &str, indent: &str| write::wrapped(&write::plain(text), first, indent, out::width());
    let head = match new.len() {
        0 => format!("nothing new in {file}"),
        n => format!("logged {} of {file}: {}, {}", count(n), what.word(), sum.in_tons()),
    };
    let mut text = page(&head, "", "  ");
    for (ticket, id) in new {
        let word = |column: &str| ticket.cells.get(column).unwrap_or_default();
        let route = [("field", "on"), ("to", "to"), ("from", "from")];
        let route: String = route
            .iter()
            .filter(|(column, _)| !word(column).is_empty())
            .map(|(column, by)| format!(", {by} {}", word(column)))
            .collect();
        let line = format!(
            "{id}: ticket {}, {}, {} of {}{route}",
            ticket.number,
            word("date"),
            ticket.net.in_tons(),
            word("lot")
        );
        text.push_str(&page(&line, "  ", "    "));
    }
    if !there.is_empty() {
        let line = format!("in the log already, and left as it is: {}", there.join(", "));
        text.push_str(&page(&line, "", "  "));
    }
    text
}

/// What to know once the tickets stand.
fn afterwards(tickets: &[ScaleTicket], done: &[Appended], opened: &Opened, what: What) {
    let new: Vec<&ScaleTicket> =
        tickets.iter().zip(done).filter(|(_, d)| matches!(d, Appended::New(_))).map(|(t, _)| t).collect();
    let outside = |t: &&ScaleTicket| opened.days_without(t.cells.get("date")?.parse().ok()?);
    let outside: Vec<_> = new.iter().filter_map(outside).collect();
    if let Some((from, to)) = outside.first() {
        let many = count(outside.len());
        note(&format!("{many} outside the plan's days, {from} to {to}: plan and tally do not count them"));
    }
    let missing: Vec<_> = new.iter().flat_map(|t| record::missing(what, &t.cells, true)).collect();
    let open: Vec<&str> =
        record::asked(what).iter().filter(|asked| missing.contains(asked)).map(|(column, _, _)| *column).collect();
    if !open.is_empty() {
        let list = open.join(", ");
        note(&format!(
            "the record still needs {list}: `sward log correct ID --set ...`; `sward tally` lists what is open"
        ));
    }
}
