//! Asks the pipeline, and prints what stands in the way of a plan.

use crate::cli::args::{BasisArgs, FarmArgs, PlannedFarm};
use crate::cli::exit::Exit;
use crate::cli::{clock, out};
use crate::findings::{FileName, Findings, Place, or_near};
use crate::pipeline::{Day, Figures, Folder, Planned, Question};
use crate::tables::Tables;
use crate::text::{self, file};
use crate::write;
use std::cell::RefCell;
use std::collections::BTreeMap;
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
pub(super) fn planned(farm: &PlannedFarm, json: bool) -> Result<Planned, Exit> {
    planned_in(&farm.folder, &farm.basis, json)
}

pub(super) fn planned_in(folder: &Path, basis: &BasisArgs, json: bool) -> Result<Planned, Exit> {
    question(Folder::disk(folder), basis).plan().map_err(|findings| refuse(&findings, folder, json))
}

/// The same for a report, in words or in JSON.
pub(super) fn reported(args: &FarmArgs) -> Result<Planned, Exit> {
    planned(&args.farm, args.json)
}

/// Says what is not known, and lists what is, with the nearest of it.
pub(super) fn unknown<'a>(said: &str, word: &str, what: &str, known: impl IntoIterator<Item = &'a str>) -> Exit {
    let known: Vec<&str> = known.into_iter().collect();
    let near = or_near(word, known.iter().copied());
    out::say(&format!("{said} `{word}`{near}\n"));
    out::say(&write::wrapped(&format!("{what}: {}", known.join(", ")), "", "  ", out::width()));
    Exit::Usage
}

/// There are no tables for a place.
pub(super) fn no_tables(tables: &Tables, place: &str) -> Exit {
    unknown("there are no tables for", place, "places", tables.places.keys().map(String::as_str))
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
    // Each file is read once, however many findings it has.
    let read: RefCell<BTreeMap<FileName, Option<Shown>>> = RefCell::default();
    move |place| {
        if place.file.contains(['/', '\\']) {
            return None;
        }
        let mut read = read.borrow_mut();
        let file = read.entry(place.file.clone()).or_insert_with(|| {
            let bytes = file::read(&folder.join(place.file.as_str()), file::MOST_GROUND).ok()?;
            Some(Shown::of(text::decode(&place.file, bytes).ok()?))
        });
        file.as_ref()?.line(place.line)
    }
}

/// A text, and where its lines start.
struct Shown {
    text: String,
    starts: Vec<usize>,
}

impl Shown {
    fn of(text: String) -> Shown {
        let ends = text.bytes().enumerate().filter(|(_, b)| *b == b'\n').map(|(at, _)| at + 1);
        Shown { starts: std::iter::once(0).chain(ends).collect(), text }
    }

    /// A line, counted from 1.
    fn line(&self, number: usize) -> Option<String> {
        let start = *self.starts.get(number.checked_sub(1)?)?;
        self.text.get(start..)?.lines().next().map(str::to_string)
    }
}
