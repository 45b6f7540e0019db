//! Asks the pipeline, and prints what stands in the way of a plan.

use crate::cli::args::BasisArgs;
use crate::cli::{Exit, clock, out};
use crate::findings::{Findings, Place};
use crate::pipeline::{Day, Figures, Folder, Planned, Question};
use crate::write;
use std::path::Path;

/// What is asked of a farm folder, as the command line has it.
pub(super) fn question<'a>(folder: Folder<'a>, basis: &'a BasisArgs) -> Question<'a> {
    Question { figures: figures(basis.reference.as_deref()), ..Question::of(folder, day(basis)) }
}

/// The built-in figures, and the user's own.
pub(super) fn figures(own: Option<&Path>) -> Figures<'_> {
    own.map_or(Figures::BuiltIn, Figures::With)
}

fn day(basis: &BasisArgs) -> Day {
    basis.on.map_or_else(|| Day::Stated { today: clock::today() }, Day::Asked)
}

/// Makes the plan of a farm folder, or prints what stands in its way.
pub(super) fn planned(folder: &Path, basis: &BasisArgs, json: bool) -> Result<Planned, Exit> {
    question(Folder::disk(folder), basis).plan().map_err(|findings| refuse(&findings, folder, json))
}

/// Prints what stands in the way.
pub(super) fn refuse(findings: &Findings, folder: &Path, json: bool) -> Exit {
    if json {
        out::result(&write::findings_json(findings));
    } else {
        out::say(&write::findings(findings, &line_of(folder), out::width()));
    }
    Exit::Errors
}

/// A line of a file of the farm folder, to be shown beside a finding.
pub(super) fn line_of(folder: &Path) -> impl Fn(&Place) -> Option<String> {
    let folder = folder.to_path_buf();
    move |place| {
        if place.file.contains(['/', '\\']) {
            return None;
        }
        let bytes = crate::text::file::read(&folder.join(&place.file), crate::text::file::MOST_GROUND).ok()?;
        let text = crate::text::decode(&place.file, bytes).ok()?;
        text.lines().nth(place.line.checked_sub(1)?).map(str::to_string)
    }
}
