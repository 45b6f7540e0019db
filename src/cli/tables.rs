//! `sward tables`.

use crate::cli::args::TablesArgs;
use crate::cli::{Exit, load, out};
use crate::findings::nearest;
use crate::tables::{TOPICS, Topic};
use crate::write;
use jiff::civil::Date;

pub(super) fn run(args: &TablesArgs) -> Exit {
    let (tables, findings) = load::tables(args.common.reference.as_deref());
    if findings.has_errors() {
        out::say(&write::findings(&findings, &|_| None, out::width()));
        return Exit::Errors;
    }
    let topic = match &args.topic {
        None => None,
        Some(key) => match Topic::named(&crate::text::key_of(key)) {
            Some(topic) => Some(topic),
            None => {
                let keys: Vec<&str> = TOPICS.iter().map(|t| t.key()).collect();
                let near =
                    nearest(key, keys.iter().copied()).map_or(String::new(), |n| format!("; did you mean `{n}`?"));
                out::say(&format!("no topic is called `{key}`{near}\ntopics: {}\n", keys.join(", ")));
                return Exit::Usage;
            }
        },
    };
    let Some(book) = tables.book(&args.place, args.on.unwrap_or(Date::MAX)) else {
        let keys: Vec<&str> = tables.places.keys().map(String::as_str).collect();
        out::say(&format!("there are no tables for `{}`\nplaces: {}\n", args.place, keys.join(", ")));
        return Exit::Usage;
    };
    let list = write::listed(&book, topic);
    out::result(&if args.common.json { write::tables_json(&list) } else { write::tables(&book, &list, out::width()) });
    Exit::Done
}
