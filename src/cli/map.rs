//! `sward map`: pictures, ground for other programs, measures.

use crate::cli::args::MapArgs;
use crate::cli::exit::Exit;
use crate::cli::whole::{self, NotWritten};
use crate::cli::{companions, load, out};
use crate::plan;
use crate::write;

pub(super) fn run(args: &MapArgs) -> Result<Exit, Exit> {
    let planned = load::planned(&args.farm, args.json)?;
    let (audited, ready, ground) = (&planned.audited, &planned.ready, &planned.ground);
    let driving = plan::driving(audited.plan(), ready, ground);
    let Some(folder) = &args.output else {
        out::result(&if args.geojson {
            for told in write::left_out(audited, ready, ground) {
                out::say(&write::wrapped(&told, "", "  ", out::width()));
            }
            write::map_geojson(audited, ready, ground, &driving)
        } else {
            write::map_json(audited, ready, ground, &driving)
        });
        return Ok(Exit::Done);
    };
    let pictures = write::maps(audited, ready, ground, &driving);
    let names: Vec<&str> = pictures.iter().map(|p| p.name.as_str()).collect();
    Ok(match whole::reports(folder, pictures.iter().map(|p| (p.name.as_str(), p.svg.as_bytes())), args.force) {
        Ok(()) => {
            out::say(&format!("wrote {} maps into {}: start with farm.svg\n", pictures.len(), folder.display()));
            companions::maps(folder, &names);
            Exit::Done
        }
        Err(NotWritten::There(there)) => {
            let (at, names) = (folder.display(), there.join(", "));
            let told = format!("{at} holds {names} already; nothing was written. --force writes over them");
            out::say(&write::wrapped(&told, "", "  ", out::width()));
            Exit::Usage
        }
        Err(NotWritten::Failed(e)) => {
            out::say(&format!("the maps cannot be written into {}: {e}; nothing was changed\n", folder.display()));
            Exit::Errors
        }
    })
}
