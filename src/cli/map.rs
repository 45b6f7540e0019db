//! `sward map`: pictures, ground for other programs, measures.

use crate::cli::args::MapArgs;
use crate::cli::{Exit, load, out, whole};
use crate::plan;
use crate::write::{self, Picture};
use std::path::Path;

pub(super) fn run(args: &MapArgs) -> Exit {
    let planned = match load::planned(&args.folder, &args.basis, args.json) {
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
    match whole::save(folder, pictures.iter().map(|p| (p.name.as_str(), p.svg.as_bytes()))) {
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
