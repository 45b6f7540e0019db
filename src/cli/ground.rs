//! `sward ground import FILE...`; `ground acres` is in `acres`.

use crate::cli::args::{GroundCommand, ImportArgs};
use crate::cli::exit::Exit;
use crate::cli::{acres, input, out, whole};
use crate::exchange::{self, Imported, Options, Source, Take};
use crate::farm::{FIELDS, KEEPOUTS};
use crate::findings::{Findings, Place};
use crate::plan::answer::SCHEMA;
use crate::write;
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
    let bytes = match input::ground(path) {
        Ok(bytes) => bytes,
        Err(e) => {
            findings.push(input::unreadable(&name, e));
            return None;
        }
    };
    let shapefile = path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("shp"));
    let beside = exchange::BESIDE.iter().filter(|_| shapefile).filter_map(|ending| {
        let spellings = [(*ending).to_string(), ending.to_uppercase()];
        let bytes = spellings.iter().find_map(|own| input::ground(&path.with_extension(own)).ok())?;
        Some(((*ending).to_string(), bytes))
    });
    Some(Source { beside: beside.collect(), name, bytes })
}

/// A line of a source, to be shown beside a finding.
fn line_of(sources: &[Source], place: &Place) -> Option<String> {
    let source = sources.iter().find(|source| source.name == *place.file)?;
    input::line_in(&source.bytes, place.line)
}
