//! `sward schema`: what farm.yaml may hold, for editors.

use crate::cli::args::SchemaArgs;
use crate::cli::exit::Exit;
use crate::cli::whole;
use crate::farm;

pub(super) fn run(args: &SchemaArgs) -> Exit {
    whole::text(args.output.as_deref(), &text(), None, args.force)
}

/// The schema as it is printed.
pub(super) fn text() -> String {
    format!("{:#}\n", farm::schema())
}
