//! `sward schema`: what farm.yaml may hold, for editors.

use crate::cli::args::SchemaArgs;
use crate::cli::{Exit, ground, out};
use crate::farm;

pub(super) fn run(args: &SchemaArgs) -> Exit {
    let text = text();
    let Some(path) = &args.output else {
        out::result(&text);
        return Exit::Done;
    };
    if path.exists() && !args.force {
        out::say(&format!("{} is there already; --force writes over it\n", path.display()));
        return Exit::Usage;
    }
    ground::saved(path, &text, args.force)
}

/// The schema as it is printed.
pub(super) fn text() -> String {
    format!("{:#}\n", farm::schema())
}
