//! `sward export FORMAT [FOLDER] -o FILE`: the plan for other programs.

use crate::cli::args::{ExportArgs, Format, TableOption};
use crate::cli::exit::Exit;
use crate::cli::whole::{self, NotWritten};
use crate::cli::{companions, input, load, out};
use crate::exchange::{self, CutShort, Layer, TableCell};
use crate::pipeline::{Planned, Weighed};
use crate::write::{self, CsvTable};
use std::path::{Path, PathBuf};

/// Name of a shapefile where the user gives none.
const STEM: &str = "spread";
/// Letters of a text that was cut, to know it by.
const BEGINS: usize = 24;

/// Files to write, and what is to be told of them.
struct ExportFiles {
    folder: PathBuf,
    files: Vec<(String, Vec<u8>)>,
    remarks: Vec<String>,
}

pub(super) fn run(args: &ExportArgs) -> Result<Exit, Exit> {
    if let Err(wrong) = aim(args) {
        return Err(tell(&wrong, Exit::Usage));
    }
    let planned = load::planned(&args.farm, false)?;
    let made = made(args, &planned).map_err(|why| tell(&format!("nothing was written: {why}"), Exit::Errors))?;
    let exit = match args.output.as_ref().filter(|output| !input::is_standard(output)) {
        Some(output) => save(output, &made, args.force),
        None => {
            let text: Vec<_> = made.files.iter().map(|(_, bytes)| String::from_utf8_lossy(bytes)).collect();
            out::result(&text.concat());
            Exit::Done
        }
    };
    if exit == Exit::Done {
        made.remarks.iter().for_each(|remark| {
            tell(remark, exit);
        });
    }
    Ok(exit)
}

fn tell(text: &str, exit: Exit) -> Exit {
    out::say(&write::wrapped(&write::plain(text), "", "  ", out::width()));
    exit
}

/// Whether the format can go where the user wants it, before anything is read.
fn aim(args: &ExportArgs) -> Result<(), String> {
    let several = args.format == Format::Shapefile || args.format == Format::Csv && args.table.is_none();
    if args.table.is_some() && args.format != Format::Csv {
        return Err("--table works with csv only".to_string());
    }
    let name = args.output.as_ref().and_then(|output| output.file_name());
    if name.is_some_and(|name| name.to_str().is_none()) {
        return Err("the name of the file to write is not UTF-8 text".to_string());
    }
    match args.output.as_ref().filter(|output| !input::is_standard(output)) {
        None if several => Err("several files are written: say with -o into which folder".to_string()),
        Some(output) if !several && (output.is_dir() || output.file_name().is_none()) => {
            Err(format!("{} is a folder; -o names the file to write", output.display()))
        }
        _ => Ok(()),
    }
}

/// A file in its folder, as the user names it.
fn split(output: Option<&PathBuf>) -> (PathBuf, String) {
    let parent = output.and_then(|path| path.parent()).filter(|parent| !parent.as_os_str().is_empty());
    let name = output.and_then(|path| path.file_name()).map(|name| name.to_string_lossy().into_owned());
    (parent.unwrap_or(Path::new(".")).to_path_buf(), name.unwrap_or_default())
}

fn made(args: &ExportArgs, planned: &Planned) -> Result<ExportFiles, String> {
    let Planned { weighed: Weighed { ready, ground, balance, .. }, audited } = planned;
    let output = args.output.as_ref();
    let one = |bytes: Vec<u8>| {
        let (folder, name) = split(output);
        ExportFiles { folder, files: vec![(name, bytes)], remarks: Vec::new() }
    };
    let mut made = match args.format {
        Format::Csv => {
            let csv = |table: TableOption| write::csv_table(table.rows(), audited, ready, ground, balance);
            match args.table {
                Some(table) => one(csv(table)?),
                None => {
                    let files = TableOption::ALL.map(|table| Ok((table.file().to_string(), csv(table)?)));
                    let files = files.into_iter().collect::<Result<_, String>>()?;
                    ExportFiles { folder: output.cloned().unwrap_or_default(), files, remarks: Vec::new() }
                }
            }
        }
        Format::Geojson => one(write::map_geojson(audited, ready, ground, &[]).into_bytes()),
        Format::Kml => one(write::phone(audited, ready, ground)?),
        Format::Shapefile => shapefile(output, &write::rates(audited, ready, ground))?,
    };
    let plan = audited.plan();
    if args.format != Format::Csv {
        made.remarks.extend(write::left_out(audited, ready, ground));
    }
    let table = args.table.unwrap_or(TableOption::Plan);
    if table == TableOption::Plan && plan.fields.iter().all(|field| field.applications.is_empty()) {
        made.remarks.push("the plan spreads nothing, so that there is no job in it".to_string());
    }
    let fertilizer = args.format == Format::Csv && args.table.is_none_or(|t| t == TableOption::Fertilizer);
    if fertilizer && plan.buy.is_none() {
        made.remarks.push("farm.yaml names no fertilizer, so that the table of it is empty".to_string());
    }
    Ok(made)
}

/// The files of a shapefile: in a folder, under a name of the user's, or packed.
fn shapefile(output: Option<&PathBuf>, layer: &Layer) -> Result<ExportFiles, String> {
    let set = exchange::shapefile(layer)?;
    let remarks = set.cut.iter().map(|cut| cut_short(cut, layer)).collect();
    let ends = |ending: &str| output.and_then(|p| p.extension()).is_some_and(|own| own.eq_ignore_ascii_case(ending));
    let named = |stem: &str| set.files.iter().map(|(end, bytes)| (format!("{stem}.{end}"), bytes.clone())).collect();
    let (folder, name) = split(output);
    if ends("zip") {
        let files: Vec<(String, Vec<u8>)> = named(STEM);
        return Ok(ExportFiles { folder, files: vec![(name, exchange::zip(&files)?)], remarks });
    }
    if ends("shp") {
        let stem = name.rsplit_once('.').map_or(name.as_str(), |(stem, _)| stem);
        return Ok(ExportFiles { folder, files: named(stem), remarks });
    }
    Ok(ExportFiles { folder: output.cloned().unwrap_or_default(), files: named(STEM), remarks })
}

/// What was cut, with the text as it now stands in front.
fn cut_short(cut: &CutShort, layer: &Layer) -> String {
    let CutShort { row, column, had, left } = cut;
    let at = layer.columns.iter().position(|own| own.name == *column);
    let cell = layer.records.get(row.saturating_sub(1)).zip(at).and_then(|(record, at)| record.row.get(at));
    let begins: String = match cell {
        Some(TableCell::Text(text)) => text.chars().take(BEGINS).collect(),
        _ => String::new(),
    };
    format!(
        "record {row}: the {column} `{begins}...` has {had} bytes, more than a shapefile holds; cut to the first {left}"
    )
}

fn save(output: &Path, made: &ExportFiles, force: bool) -> Exit {
    let files = made.files.iter().map(|(name, bytes)| (name.as_str(), bytes.as_slice()));
    let names: Vec<&str> = made.files.iter().map(|(name, _)| name.as_str()).collect();
    let (folder, listed) = (made.folder.display(), names.join(", "));
    match (whole::reports(&made.folder, files, force), names.as_slice()) {
        (Ok(()), [_]) => tell(&format!("wrote {}", output.display()), Exit::Done),
        (Ok(()), _) => {
            tell(&format!("wrote into {folder}: {listed}"), Exit::Done);
            companions::shapefile(&made.folder, &names);
            Exit::Done
        }
        (Err(NotWritten::There(_)), [_]) => {
            tell(&format!("{} is there already; --force writes over it", output.display()), Exit::Usage)
        }
        (Err(NotWritten::There(there)), _) => {
            let there = there.join(", ");
            let text = format!("{folder} holds {there} already; nothing was written. --force writes over them");
            tell(&text, Exit::Usage)
        }
        (Err(NotWritten::Failed(e)), _) => {
            tell(&format!("{} cannot be written: {e}; nothing was changed", output.display()), Exit::Errors)
        }
    }
}

impl TableOption {
    const ALL: [TableOption; 3] = [TableOption::Plan, TableOption::Leftover, TableOption::Fertilizer];

    fn rows(self) -> CsvTable {
        match self {
            TableOption::Plan => CsvTable::Plan,
            TableOption::Leftover => CsvTable::Leftover,
            TableOption::Fertilizer => CsvTable::Fertilizer,
        }
    }

    fn file(self) -> &'static str {
        match self {
            TableOption::Plan => "plan.csv",
            TableOption::Leftover => "leftover.csv",
            TableOption::Fertilizer => "fertilizer.csv",
        }
    }
}
