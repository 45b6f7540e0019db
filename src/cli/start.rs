//! `sward start FOLDER`.

use crate::cli::args::StartArgs;
use crate::cli::{Exit, out};
use crate::farm::{FIELDS, KEEPOUTS, MAIN};

const FILES: [(&str, &str); 3] = [
    (MAIN, include_str!("start/farm.yaml")),
    (FIELDS, include_str!("start/fields.geojson")),
    (KEEPOUTS, include_str!("start/keepouts.geojson")),
];

pub(super) fn run(args: &StartArgs) -> Exit {
    let folder = &args.folder;
    if let Some((name, _)) = FILES.iter().find(|(name, _)| folder.join(name).exists()) {
        out::say(&format!("{} holds a {name} already; nothing was written\n", folder.display()));
        return Exit::Usage;
    }
    let written = std::fs::create_dir_all(folder).and_then(|()| {
        FILES.iter().try_for_each(|(name, text)| {
            let mut file = std::fs::File::create_new(folder.join(name))?;
            std::io::Write::write_all(&mut file, text.as_bytes())
        })
    });
    match written {
        Ok(()) => {
            out::say(&format!("wrote {MAIN}, {FIELDS} and {KEEPOUTS} into {}\n", folder.display()));
            out::say(&format!("fill them in, then: sward check {}\n", folder.display()));
            Exit::Done
        }
        Err(e) => {
            out::say(&format!("{} cannot be written: {e}\n", folder.display()));
            Exit::Errors
        }
    }
}
