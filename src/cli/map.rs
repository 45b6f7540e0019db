//! `sward map`: pictures, ground for other programs, measures.

use crate::cli::args::MapArgs;
use crate::cli::{Exit, load, out, whole};
use crate::plan;
use crate::write::{self, Picture};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use tempfile::NamedTempFile;

pub(super) fn run(args: &MapArgs) -> Exit {
    let planned = match load::planned(&args.folder, args.reference.as_ref(), args.json) {
        Ok(planned) => planned,
        Err(exit) => return exit,
    };
    let (audited, ready, ground) = (&planned.audited, &planned.ready, &planned.ground);
    let driving = plan::driving(audited.plan(), ready, ground);
    let Some(folder) = &args.output else {
        out::result(&if args.geojson {
            write::map_geojson(audited, ready, ground, &driving)
        } else {
            write::map_json(audited, ready, ground, &driving)
        });
        return Exit::Done;
    };
    let pictures = write::maps(audited, ready, ground, &driving);
    let there: Vec<&str> = pictures.iter().map(|p| p.name.as_str()).filter(|n| folder.join(n).exists()).collect();
    if !there.is_empty() && !args.force {
        let names = there.join(", ");
        out::say(&write::wrapped(
            &format!("{} holds {names} already; nothing was written. --force writes over them", folder.display()),
            "",
            "  ",
            out::width(),
        ));
        return Exit::Usage;
    }
    match save(folder, &pictures) {
        Ok(()) => {
            out::say(&format!("wrote {} maps into {}: start with farm.svg\n", pictures.len(), folder.display()));
            tell_strangers(folder, &pictures);
            Exit::Done
        }
        Err(e) => {
            out::say(&format!("the maps cannot be written into {}: {e}; nothing was changed\n", folder.display()));
            Exit::Errors
        }
    }
}

/// Maps of an earlier plan whose fields are no longer there would mislead.
fn tell_strangers(folder: &Path, pictures: &[Picture]) {
    let Ok(entries) = std::fs::read_dir(folder) else { return };
    let names = entries.filter_map(|e| e.ok()?.file_name().into_string().ok());
    let ours = |name: &String| pictures.iter().any(|p| p.name == *name);
    let mut old: Vec<String> = names.filter(|n| n.starts_with("field-") && n.ends_with(".svg") && !ours(n)).collect();
    old.sort();
    if !old.is_empty() {
        let text = format!("not of this plan, and left as found: {}", old.join(", "));
        out::say(&write::wrapped(&text, "", "  ", out::width()));
    }
}

/// Writes all files or none: all of them beside their places first, then each
/// into its own; what went before is put back when one of them fails.
fn save(folder: &Path, pictures: &[Picture]) -> io::Result<()> {
    std::fs::create_dir_all(folder)?;
    let mut ready: Vec<(NamedTempFile, PathBuf)> = Vec::new();
    for picture in pictures {
        let mut file = whole::beside(folder)?;
        file.write_all(picture.svg.as_bytes())?;
        file.as_file().sync_all()?;
        ready.push((file, folder.join(&picture.name)));
    }
    let mut done: Vec<(PathBuf, Option<Vec<u8>>)> = Vec::new();
    for (file, path) in ready {
        let before = if path.exists() { std::fs::read(&path).map(Some) } else { Ok(None) };
        let moved = before.and_then(|before| file.persist(&path).map(|_| before).map_err(|e| e.error));
        match moved {
            Ok(before) => done.push((path, before)),
            Err(e) => {
                put_back(&done);
                return Err(e);
            }
        }
    }
    Ok(())
}

fn put_back(done: &[(PathBuf, Option<Vec<u8>>)]) {
    for (path, before) in done {
        // The first error is the one to tell; this is as far as mending goes.
        let _ = match before {
            Some(bytes) => std::fs::write(path, bytes),
            None => std::fs::remove_file(path),
        };
    }
}
