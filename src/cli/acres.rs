//! `sward ground acres`: very many fields at once.

use crate::cli::args::AcresArgs;
use crate::cli::exit::Exit;
use crate::cli::{input, load, out};
use crate::findings::{Findings, Place};
use crate::ground::Acres;
use crate::pipeline::{self, FeatureFile};
use crate::plan::answer::SCHEMA;
use crate::units::number_text;
use crate::write;
use jiff::civil::Date;
use std::path::Path;

pub(super) fn run(args: &AcresArgs) -> Exit {
    let (tables, found) = match args.place {
        Some(_) => load::figures(args.common.reference.as_deref()).load(None),
        None => Default::default(),
    };
    if found.has_errors() {
        return refuse(&found, args);
    }
    let book = match &args.place {
        None => None,
        Some(place) => match tables.book(place, args.on.unwrap_or(Date::MAX)) {
            Some(book) => Some(book),
            None => return load::no_tables(&tables, place),
        },
    };
    let (rows, findings) = pipeline::acres(&file(&args.fields), &file(&args.keepouts), book, args.large);
    if findings.has_errors() {
        return refuse(&findings, args);
    }
    print(&rows, &findings, args);
    Exit::Done
}

fn file(path: &Path) -> FeatureFile<'_> {
    FeatureFile { name: input::name(path), read: Box::new(move || input::ground(path)) }
}

fn refuse(findings: &Findings, args: &AcresArgs) -> Exit {
    if args.common.json {
        out::result(&write::findings_json(findings));
    } else {
        tell(findings, args);
    }
    Exit::Errors
}

fn tell(findings: &Findings, args: &AcresArgs) {
    let files = [&args.fields, &args.keepouts].map(|path| (input::name(path), input::ground(path).unwrap_or_default()));
    let line_of = |place: &Place| {
        let (_, bytes) = files.iter().find(|(name, _)| **name == *place.file)?;
        input::line_in(bytes, place.line)
    };
    out::say(&write::findings(findings, &line_of, out::width()));
}

/// The table, and the totals.
fn print(rows: &[(String, Acres)], findings: &Findings, args: &AcresArgs) {
    let fields = || rows.iter().map(|(id, acres)| (id.as_str(), *acres));
    let gross: f64 = fields().map(|(_, acres)| acres.gross).sum();
    let spreadable: f64 = fields().map(|(_, acres)| acres.spreadable).sum();
    if args.common.json {
        let field = |(id, acres): (&str, Acres)| serde_json::json!({"id": id, "gross_acres": acres.gross, "spreadable_acres": acres.spreadable});
        let report = serde_json::json!({
            "schema": SCHEMA,
            "errors": false,
            "gross_acres": gross,
            "spreadable_acres": spreadable,
            "fields": fields().map(field).collect::<Vec<_>>(),
            "findings": findings.sorted(),
        });
        out::result(&format!("{report:#}\n"));
        return;
    }
    let mut table = csv::Writer::from_writer(Vec::new());
    // Writing into memory does not fail.
    let _ = table.write_record(["field", "gross_acres", "spreadable_acres"]);
    for (id, acres) in fields() {
        let _ = table.write_record([id, &format!("{:.4}", acres.gross), &format!("{:.4}", acres.spreadable)]);
    }
    let table = table.into_inner().unwrap_or_default();
    out::result(&String::from_utf8_lossy(&table));
    if !findings.is_empty() {
        tell(findings, args);
    }
    let count = fields().count();
    let acres = |acres: f64| number_text(acres, 1);
    out::say(&format!("{count} fields, {} ac gross, {} spreadable ac\n", acres(gross), acres(spreadable)));
}
