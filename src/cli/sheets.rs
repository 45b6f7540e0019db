//! `sward sheets -o FOLDER`.

use crate::cli::args::SheetsArgs;
use crate::cli::{Exit, load, out};
use crate::plan;
use crate::write;
use std::io::Write;

pub(super) fn run(args: &SheetsArgs) -> Exit {
    let planned = match load::planned(&args.folder, args.reference.as_ref(), false) {
        Ok(planned) => planned,
        Err(exit) => return exit,
    };
    let driving = plan::driving(planned.audited.plan(), &planned.ready, &planned.ground);
    let html = write::sheets(&planned.audited, &planned.ready, &planned.ground, &driving);
    let path = args.output.join("sheets.html");
    if path.exists() && !args.force {
        out::say(&format!("{} is there already; --force writes over it\n", path.display()));
        return Exit::Usage;
    }
    match save(&path, &html) {
        Ok(()) => {
            out::say(&format!("wrote {}: open it in a browser to read it on a phone or print it\n", path.display()));
            Exit::Done
        }
        Err(e) => {
            out::say(&format!("{} cannot be written: {e}\n", path.display()));
            Exit::Errors
        }
    }
}

/// Writes the whole file or none of it: first beside its place, then into it.
fn save(path: &std::path::Path, text: &str) -> std::io::Result<()> {
    let folder = path.parent().unwrap_or(std::path::Path::new("."));
    std::fs::create_dir_all(folder)?;
    let mut file = tempfile::NamedTempFile::new_in(folder)?;
    file.write_all(text.as_bytes())?;
    file.as_file().sync_all()?;
    file.persist(path).map(|_| ()).map_err(|e| e.error)
}
