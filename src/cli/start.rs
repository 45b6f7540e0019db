//! `sward start FOLDER`.

use crate::cli::args::StartArgs;
use crate::cli::exit::Exit;
use crate::cli::whole::{self, NotWritten};
use crate::cli::{out, schema};
use crate::farm::{FIELDS, KEEPOUTS, MAIN};
use crate::write;
use std::path::Path;

/// The schema, which the first line of the new farm.yaml names. That line is
/// read by the language server of YAML that editors use; its form was
/// read in the manual of an editor that runs that server (November 2026).
const SCHEMA: &str = "farm.schema.json";

/// Nothing in them is filled in: no plan can rest on an example.
const FILES: [(&str, &str); 3] = [
    (MAIN, include_str!("start/farm.yaml")),
    ("fields.example.geojson", include_str!("start/fields.example.geojson")),
    ("keepouts.example.geojson", include_str!("start/keepouts.example.geojson")),
];

pub(super) fn run(args: &StartArgs) -> Exit {
    let folder = &args.folder;
    let schema = schema::text();
    let files: Vec<(&str, &str)> = FILES.into_iter().chain([(SCHEMA, schema.as_str())]).collect();
    let held: Vec<&str> = [MAIN, FIELDS, KEEPOUTS].into_iter().filter(|name| folder.join(name).exists()).collect();
    if !held.is_empty() {
        return there(folder, &held.join(", "));
    }
    match whole::save(folder, files.iter().map(|(name, text)| (*name, text.as_bytes())), false) {
        Ok(()) => {
            let text = format!(
                "wrote {MAIN} into {}, with {SCHEMA}, by which an editor checks it as you type, and an example of \
                 {FIELDS} and of {KEEPOUTS}. No plan is made of an example: fill in {MAIN} and draw the two files, \
                 then: sward check {}",
                folder.display(),
                folder.display()
            );
            out::say(&write::wrapped(&text, "", "", out::width()));
            Exit::Done
        }
        Err(NotWritten::There(names)) => there(folder, &names.join(", ")),
        Err(NotWritten::Failed(e)) => {
            out::say(&format!("{} cannot be written: {e}\n", folder.display()));
            Exit::Errors
        }
    }
}

fn there(folder: &Path, names: &str) -> Exit {
    let line = format!("{} holds {names} already; nothing was written", folder.display());
    out::say(&write::wrapped(&line, "", "  ", out::width()));
    Exit::Usage
}
