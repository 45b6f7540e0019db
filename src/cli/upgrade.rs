//! `sward upgrade`: older forms of the folder's files, written as they are now.

use crate::cli::args::UpgradeArgs;
use crate::cli::exit::Exit;
use crate::cli::whole::{self, NotWritten};
use crate::cli::{load, out};
use crate::farm::{self, Upgraded};
use crate::findings::Findings;
use crate::text::file;
use crate::write;
use std::io;
use std::path::Path;

pub(super) fn run(args: &UpgradeArgs) -> Exit {
    let (texts, found) = farm::texts(&args.folder);
    // Boundaries may still be missing while farm.yaml is filled in.
    let mut findings = if texts.main.is_none() { found } else { Findings::new() };
    let files = farm::upgrade(&texts, &mut findings);
    if findings.has_errors() {
        out::say("nothing was changed\n\n");
        return load::refuse(&findings, &args.folder, false);
    }
    let due: Vec<&Upgraded> = files.iter().filter(|file| !file.steps.is_empty()).collect();
    if due.is_empty() {
        out::say("every file is written in the present form; nothing to change\n");
        return Exit::Done;
    }
    for file in &due {
        out::result(&shown(file));
    }
    let open = due.iter().flat_map(|file| &file.steps).any(|step| step.edit.is_none());
    if open {
        out::say("what has no new line above is yours to write; nothing was changed\n");
        return Exit::Errors;
    }
    if !args.write {
        out::say("nothing was changed: `sward upgrade --write` writes it and keeps the file of before\n");
        return Exit::Done;
    }
    saved(&args.folder, &due)
}

/// The changes in one file, old lines and new.
fn shown(file: &Upgraded) -> String {
    let mut page = String::new();
    for step in &file.steps {
        page.push_str(&format!("{}\n", step.place));
        let (old, new) = file.lines(step);
        let marked = old.iter().map(|line| format!("  - {line}")).chain(new.iter().map(|line| format!("  + {line}")));
        for line in marked {
            page.push_str(&format!("{}\n", write::plain(&line)));
        }
        page.push_str(&write::wrapped(&write::plain(&step.says), "  ", "  ", out::width()));
    }
    page
}

/// Writes the new files; the old ones are kept beside them.
fn saved(folder: &Path, due: &[&Upgraded]) -> Exit {
    if !again(due) {
        out::say("the new form could not be read again, so nothing was changed; please report it with the folder\n");
        return Exit::Errors;
    }
    let mut old = Vec::new();
    for file in due {
        match kept(folder, file.file) {
            Ok(copy) => old.push(copy),
            Err(e) => return failed(folder, &e),
        }
    }
    match whole::save(folder, due.iter().map(|file| (file.file, file.after.as_bytes())), true) {
        Ok(()) => {
            for (file, old) in due.iter().zip(old) {
                out::say(&format!("wrote {}; the file of before is {old}\n", file.file));
            }
            Exit::Done
        }
        Err(NotWritten::There(names)) => failed(folder, &io::Error::other(names.join(", "))),
        Err(NotWritten::Failed(e)) => failed(folder, &e),
    }
}

fn failed(folder: &Path, e: &io::Error) -> Exit {
    out::say(&format!("the files in {} cannot be written: {e}; nothing was changed\n", folder.display()));
    Exit::Errors
}

/// Whether the new texts need no upgrade any more.
fn again(due: &[&Upgraded]) -> bool {
    let after = |name: &str| due.iter().find(|file| file.file == name).map(|file| file.after.clone());
    let texts =
        farm::FarmText { main: after(farm::MAIN), keepouts: after(farm::KEEPOUTS), ..farm::FarmText::default() };
    let mut findings = Findings::new();
    let left = farm::upgrade(&texts, &mut findings);
    !findings.has_errors() && left.iter().all(|file| file.steps.is_empty())
}

/// A copy of a file beside it, under the first free number.
fn kept(folder: &Path, name: &str) -> io::Result<String> {
    let bytes = file::read(&folder.join(name), file::MOST_GROUND)?;
    for number in 1..=u32::MAX {
        let copy = format!("{name}.{number}");
        match whole::save(folder, [(&copy, bytes.as_slice())], false) {
            Ok(()) => return Ok(copy),
            Err(NotWritten::There(_)) => {}
            Err(NotWritten::Failed(e)) => return Err(e),
        }
    }
    Err(io::Error::from(io::ErrorKind::AlreadyExists))
}
