//! `sward ground import FILE...`; `ground acres` is in `acres`.

use crate::cli::args::{GroundCommand, ImportArgs};
use crate::cli::{Exit, acres, input, out, whole};
use crate::exchange::{self, Imported, Options, Source, Take};
use crate::farm::{FIELDS, KEEPOUTS};
use crate::findings::{Finding, Findings, Place};
use crate::plan::answer::SCHEMA;
use crate::text::{self, file::MOST_GROUND};
use crate::write;
use geo::Coord;
use std::path::Path;

pub(super) fn run(command: &GroundCommand) -> Exit {
    match command {
        GroundCommand::Import(args) => import(args),
        GroundCommand::Acres(args) => acres::run(args),
    }
}

fn import(args: &ImportArgs) -> Exit {
    let mut unread = Findings::new();
    let sources: Vec<Source> = args.files.iter().filter_map(|path| source(path, &mut unread)).collect();
    let take = match (&args.farm, args.keepouts) {
        (Some(_), _) => Take::Both,
        (None, true) => Take::KeepOuts,
        (None, false) => Take::Fields,
    };
    let options = Options {
        id_from: args.id_from.clone(),
        near: args.near,
        fix: args.fix,
        close: args.close,
        take,
        kinds: args.kinds.clone(),
        rest: args.rest.clone(),
        only: args.only.clone(),
        leave_out: args.leave_out.clone(),
    };
    let Imported { fields, things, findings } = exchange::import(&sources, &options);
    unread.extend(findings);
    let failed = unread.has_errors();
    if args.json {
        let report = serde_json::json!({
            "schema": SCHEMA,
            "errors": failed,
            "fields": if failed { &[] } else { fields.as_slice() },
            "things": if failed { &[] } else { things.as_slice() },
            "findings": unread.sorted(),
        });
        out::result(&format!("{report:#}\n"));
    } else {
        if !unread.is_empty() {
            out::say(&write::findings(&unread, &|place| line_of(&sources, place), out::width()));
            out::say("\n");
        }
        out::say(&if failed { "nothing was written\n".to_string() } else { exchange::talk(&fields, &things) });
    }
    if failed {
        return Exit::Errors;
    }
    let boundaries = || exchange::fields_geojson(&fields, &things);
    let keepouts = || exchange::keepouts_geojson(&things);
    if let Some(folder) = &args.farm {
        let mut files = Vec::new();
        // An empty file of keep-outs would say that there is nothing to keep away from.
        if things.iter().any(|thing| !thing.with_fields) {
            files.push((KEEPOUTS, keepouts()));
        }
        if !fields.is_empty() || things.iter().any(|thing| thing.with_fields) {
            files.push((FIELDS, boundaries()));
        }
        let files: Vec<(&str, &[u8])> = files.iter().map(|(name, text)| (*name, text.as_bytes())).collect();
        return whole::into(folder, &files, "", args.force);
    }
    let (name, text) = if args.keepouts { (KEEPOUTS, keepouts()) } else { (FIELDS, boundaries()) };
    whole::text(args.output.as_deref(), &text, Some(name), args.force)
}

/// A file with what lies beside it.
fn source(path: &Path, findings: &mut Findings) -> Option<Source> {
    let name = input::name(path);
    let bytes = match read(path) {
        Ok(bytes) => bytes,
        Err(e) => {
            findings.push(Finding::error("cannot-read", &Place::file(&name), format!("the file cannot be read: {e}")));
            return None;
        }
    };
    let shapefile = path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("shp"));
    let beside = exchange::BESIDE.iter().filter(|_| shapefile).filter_map(|ending| {
        let spellings = [(*ending).to_string(), ending.to_uppercase()];
        let bytes = spellings.iter().find_map(|own| read(&path.with_extension(own)).ok())?;
        Some(((*ending).to_string(), bytes))
    });
    Some(Source { beside: beside.collect(), name, bytes })
}

pub(super) fn read(path: &Path) -> std::io::Result<Vec<u8>> {
    input::read(path, MOST_GROUND)
}

/// A line of a source, to be shown beside a finding.
fn line_of(sources: &[Source], place: &Place) -> Option<String> {
    let source = sources.iter().find(|source| source.name == place.file)?;
    line_in(&source.bytes, place.line)
}

/// A line of a file, counted from 1.
pub(super) fn line_in(bytes: &[u8], line: usize) -> Option<String> {
    let line = bytes.split(|b| *b == b'\n').nth(line.checked_sub(1)?)?;
    std::str::from_utf8(line).ok().map(str::to_string)
}

/// Reads `LON,LAT`.
pub(super) fn lonlat(text: &str) -> Result<Coord<f64>, String> {
    let numbers: Option<Vec<f64>> = text.split(',').map(|n| n.trim().parse().ok()).collect();
    match numbers.as_deref() {
        Some(&[x, y]) if x.abs() <= 180.0 && y.abs() <= 85.0 => Ok(Coord { x, y }),
        Some([x, y]) if x.abs() <= 85.0 && y.abs() <= 180.0 => Err(format!("longitude comes first: --near={y},{x}")),
        _ => Err("longitude and latitude in degrees, as in --near=-79.5,35.7".to_string()),
    }
}

/// Reads `NAME=KIND`; a name may have a `=` of its own.
pub(super) fn name_and_kind(given: &str) -> Result<(String, String), String> {
    match given.rsplit_once('=') {
        Some((name, kind)) if !name.trim().is_empty() && !kind.trim().is_empty() => {
            Ok((text::composed(name.trim()), kind.trim().to_string()))
        }
        _ => Err("a name and a kind, as in --kind \"Old cabin=dwelling\"".to_string()),
    }
}
