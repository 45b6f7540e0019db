//! `sward start FOLDER`.

use crate::cli::args::StartArgs;
use crate::cli::whole::{self, Refused};
use crate::cli::{Exit, out, schema};
use crate::farm::{FIELDS, KEEPOUTS, MAIN};
use crate::write;

/// The schema, which the first line of the new farm.yaml names. That line is
/// read by the language server of YAML that editors use; its form was
/// read in the manual of an editor that runs that server (November 2026).
const SCHEMA: &str = "farm.schema.json";

const FILES: [(&str, &str); 3] = [
    (MAIN, include_str!("start/farm.yaml")),
    (FIELDS, include_str!("start/fields.geojson")),
    (KEEPOUTS, include_str!("start/keepouts.geojson")),
];

pub(super) fn run(args: &StartArgs) -> Exit {
    let folder = &args.folder;
    let schema = schema::text();
    let files: Vec<(&str, &str)> = FILES.into_iter().chain([(SCHEMA, schema.as_str())]).collect();
    match whole::save(folder, files.iter().map(|(name, text)| (*name, text.as_bytes())), false) {
        Ok(()) => {
            out::say(&format!("wrote {MAIN}, {FIELDS} and {KEEPOUTS} into {}\n", folder.display()));
            out::say(&format!("and {SCHEMA}, by which an editor checks {MAIN} as you type\n"));
            out::say(&format!("fill them in, then: sward check {}\n", folder.display()));
            Exit::Done
        }
        Err(Refused::There(names)) => {
            let names = names.join(", ");
            let line = format!("{} holds {names} already; nothing was written", folder.display());
            out::say(&write::wrapped(&line, "", "  ", out::width()));
            Exit::Usage
        }
        Err(Refused::Failed(e)) => {
            out::say(&format!("{} cannot be written: {e}\n", folder.display()));
            Exit::Errors
        }
    }
}
