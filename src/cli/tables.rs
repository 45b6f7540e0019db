//! `sward tables`.

use crate::cli::args::TablesArgs;
use crate::cli::exit::Exit;
use crate::cli::{clock, load, out};
use crate::pipeline::{self, Day, Folder, Question};
use crate::tables::{Coverage, TOPICS, Tables, Topic};
use crate::write;
use jiff::civil::Date;
use std::path::Path;

pub(super) fn run(args: &TablesArgs) -> Exit {
    if let Some(folder) = &args.doubt {
        return doubt(folder, args);
    }
    let (tables, findings) = load::figures(args.common.reference.as_deref()).load(None);
    if findings.has_errors() {
        out::say(&write::findings(&findings, &|_| None, out::width()));
        return Exit::Errors;
    }
    let on = args.on.unwrap_or(Date::MAX);
    if args.coverage {
        let all = tables.coverage(on);
        out::result(&if args.common.json { write::coverage_json(&all) } else { write::coverage(&all, out::width()) });
        return Exit::Done;
    }
    match &args.topic {
        None => list(args, &tables, None, on),
        Some(key) => match Topic::named(&crate::text::key_of(key)) {
            Some(topic) => list(args, &tables, Some(topic), on),
            None => load::unknown("no topic is called", key, "topics", TOPICS.iter().map(|t| t.key())),
        },
    }
}

/// What hangs on the weakly known figures of a farm.
fn doubt(folder: &Path, args: &TablesArgs) -> Exit {
    let day = args.on.map_or_else(|| Day::Stated { today: clock::today() }, Day::Asked);
    let figures = load::figures(args.common.reference.as_deref());
    let question = Question { figures, ..Question::of(Folder::at(folder), day) };
    match pipeline::doubts(&question) {
        Ok(doubts) => {
            out::result(&if args.common.json {
                write::doubts_json(&doubts)
            } else {
                write::doubts(&doubts, out::width())
            });
            Exit::Done
        }
        Err(findings) => load::refuse(&findings, folder, args.common.json),
    }
}

/// The figures of one place, of one topic or of all. What the place answers
/// is said under the whole list only.
fn list(args: &TablesArgs, tables: &Tables, topic: Option<Topic>, on: Date) -> Exit {
    // A figure that is to hold later holds on no plan of today.
    let on = if args.on.is_some() { on } else { clock::today() };
    let Some(book) = tables.book(&tables.key_of(&args.place), on) else {
        return load::no_tables(tables, &args.place);
    };
    let figures = write::listed(tables, &book, topic);
    let coverage = topic.is_none().then(|| Coverage::of(&book));
    out::result(&if args.common.json {
        write::tables_json(&book, &figures, coverage.as_ref())
    } else {
        write::tables(&book, &figures, coverage.as_ref(), out::width())
    });
    Exit::Done
}
