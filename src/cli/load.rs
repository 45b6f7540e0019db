//! The way through: read, check, measure, weigh, choose, audit.

use crate::audit::{self, Audited};
use crate::balance::{self, Balance, Surveyed};
use crate::check::{self, Ready};
use crate::cli::{Exit, out};
use crate::farm::{self, Change};
use crate::findings::{Findings, Place};
use crate::plan::{self, LeastCost};
use crate::record;
use crate::tables::{self, Tables};
use crate::write;
use jiff::civil::Date;
use std::path::{Path, PathBuf};

/// A farm that was read and checked.
pub(super) struct Checked {
    pub(super) tables: Tables,
    pub(super) ready: Option<Ready>,
    pub(super) ground: Vec<Surveyed>,
    pub(super) findings: Findings,
}

/// Which farm: a folder, its main file, and what is changed in that.
#[derive(Clone, Copy, Debug)]
pub(super) struct Source<'a> {
    pub(super) folder: &'a Path,
    pub(super) main: &'a str,
    pub(super) changes: &'a [Change],
}

impl<'a> Source<'a> {
    /// A farm folder as it is.
    pub(super) fn folder(folder: &'a Path) -> Source<'a> {
        Source { folder, main: farm::MAIN, changes: &[] }
    }

    /// A farm folder, or a farm file in one.
    pub(super) fn at(path: &'a Path) -> Source<'a> {
        let name = path.file_name().and_then(|n| n.to_str()).filter(|_| path.is_file());
        let folder = path.parent().map(|p| if p.as_os_str().is_empty() { Path::new(".") } else { p });
        match (name, folder) {
            (Some(main), Some(folder)) => Source { folder, main, changes: &[] },
            _ => Source::folder(path),
        }
    }
}

/// A farm with its finished plan.
pub(super) struct Planned {
    pub(super) tables: Tables,
    pub(super) ready: Ready,
    pub(super) ground: Vec<Surveyed>,
    pub(super) balance: Balance,
    pub(super) audited: Audited,
}

/// The tables, of one place or of all: the built-in ones and the user's own.
pub(super) fn tables(own: Option<&Path>, place: Option<&str>) -> (Tables, Findings) {
    let mut files = tables::built_in();
    if let Some(folder) = own {
        match tables::read_folder(folder) {
            Ok(more) => files.extend(more),
            Err(finding) => {
                let mut findings = Findings::new();
                findings.push(*finding);
                return (Tables::default(), findings);
            }
        }
    }
    match place {
        Some(place) => tables::load_for(&files, place),
        None => tables::load(&files),
    }
}

/// Reads and checks a farm folder.
pub(super) fn checked(folder: &Path, own: Option<&PathBuf>) -> Checked {
    checked_from(Source::folder(folder), own, None)
}

/// The same of any source, with the log as it stood at the end of a day.
fn checked_from(source: Source<'_>, own: Option<&PathBuf>, on: Option<Date>) -> Checked {
    let (written, found) = farm::read_with(source.folder, source.main, source.changes);
    let place = written.place.as_ref().map(|place| place.value.as_str());
    let (tables, mut findings) = self::tables(own.map(PathBuf::as_path), place);
    findings.extend(found);
    let (happened, found) = record::read(source.folder);
    findings.extend(found);
    let happened = on.map_or(happened.clone(), |day| happened.until(day));
    let (ready, found) = check::check(&written, &happened, &tables);
    findings.extend(found);
    let mut ground = Vec::new();
    if let Some(ready) = &ready {
        let (surveyed, found) = balance::survey(ready);
        findings.extend(found);
        ground = surveyed;
    }
    let ready = ready.filter(|_| !findings.has_errors());
    Checked { tables, ready, ground, findings }
}

/// Makes the plan of a farm folder, or prints what stands in its way.
pub(super) fn planned(folder: &Path, own: Option<&PathBuf>, json: bool) -> Result<Planned, Exit> {
    planned_on(folder, own, json, None)
}

/// The same with the log as it stood at the end of a day.
pub(super) fn planned_on(folder: &Path, own: Option<&PathBuf>, json: bool, on: Option<Date>) -> Result<Planned, Exit> {
    made_on(Source::folder(folder), own, on).map_err(|findings| refuse(&findings, folder, json))
}

/// Makes the plan, or says what stands in its way.
pub(super) fn made(source: Source<'_>, own: Option<&PathBuf>) -> Result<Planned, Findings> {
    made_on(source, own, None)
}

fn made_on(source: Source<'_>, own: Option<&PathBuf>, on: Option<Date>) -> Result<Planned, Findings> {
    let Checked { tables, ready, ground, mut findings } = checked_from(source, own, on);
    let Some(ready) = ready else {
        return Err(findings);
    };
    let (balance, found) = balance::weigh(&ready, &tables, &ground);
    findings.extend(found);
    let made = plan::make(&ready, &tables, &ground, &balance, &LeastCost::default(), &findings);
    audit::audit(made, &ready, &tables).map(|audited| Planned { tables, ready, ground, balance, audited })
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
        let bytes = std::fs::read(folder.join(&place.file)).ok()?;
        let text = crate::text::decode(&place.file, bytes).ok()?;
        text.lines().nth(place.line.checked_sub(1)?).map(str::to_string)
    }
}
