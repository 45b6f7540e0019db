//! The farm folder: which files, and reading them all.

use crate::farm::change::Change;
use crate::farm::files::{CALIBRATION, FIELDS, FarmText, KEEPOUTS, MAIN, SOILS};
use crate::farm::written::Written;
use crate::farm::{boundaries, calibration, keepouts, labs, main_file, soils};
use crate::findings::{At, Finding, Findings, Place};
use crate::text::{self, Mark, file};
use std::cell::RefCell;
use std::path::Path;

/// Reads a farm folder.
#[must_use]
pub fn read(folder: &Path) -> (Written, Findings) {
    read_with(folder, MAIN, &[])
}

/// Reads a farm folder whose main file may go by another name, with some
/// lines of it changed.
#[must_use]
pub fn read_with(folder: &Path, main: &str, changes: &[Change]) -> (Written, Findings) {
    let (texts, mut findings) = texts_of(folder, main);
    let sheet = |named: &At<String>| sheet_in(folder, named);
    let (mut written, more) = read_texts(&texts, main, changes, &sheet);
    // The file that is missing was reported already.
    written.boundaries_lost |= texts.fields.is_none();
    findings.extend(more);
    (written, findings)
}

/// The files of a farm folder as text, without the laboratories' tables.
#[must_use]
pub fn texts(folder: &Path) -> (FarmText, Findings) {
    texts_of(folder, MAIN)
}

fn texts_of(folder: &Path, main: &str) -> (FarmText, Findings) {
    let mut findings = Findings::new();
    let mut get = |name: &str, most: u64, fix: &str| match file::read(&folder.join(name), most) {
        Ok(bytes) => text::decode(name, bytes).map_err(|f| findings.push(*f)).ok(),
        Err(e) if e.kind() == std::io::ErrorKind::NotFound => {
            let found = format!("the folder `{}` has no file {name}", folder.display());
            findings.push(Finding::error("file-missing", &Place::file(name), found).fix(fix));
            None
        }
        Err(e) => {
            findings.push(Finding::error("cannot-read", &Place::file(name), format!("{name} cannot be read: {e}")));
            None
        }
    };
    let elsewhere = "name the farm folder: `sward plan FOLDER`; `sward start FOLDER` makes a new one";
    // In a folder with a farm.yaml it is the drawing that is missing.
    let boundaries = if folder.join(main).exists() {
        "draw each field as a polygon with its `id`; `sward ground import FILE -o FOLDER/fields.geojson` makes the \
         file from a phone's KML, a shapefile or another GeoJSON"
    } else {
        elsewhere
    };
    let nothing = "draw the wells, streams, ponds, houses and roads near the fields into it; \
        an empty FeatureCollection says that there is nothing to keep away from";
    let mut texts = FarmText {
        main: get(main, file::MOST_WRITTEN, elsewhere),
        fields: get(FIELDS, file::MOST_GROUND, boundaries),
        keepouts: get(KEEPOUTS, file::MOST_GROUND, nothing),
        ..FarmText::default()
    };
    let may = [(SOILS, file::MOST_GROUND, &mut texts.soils), (CALIBRATION, file::MOST_WRITTEN, &mut texts.calibration)];
    for (name, most, text) in may {
        if folder.join(name).exists() {
            *text = get(name, most, "");
        }
    }
    (texts, findings)
}

/// A laboratory's table in the farm folder; its name holds no path.
fn sheet_in(folder: &Path, named: &At<String>) -> Result<String, Box<Finding>> {
    let name = &named.value;
    match file::read(&folder.join(name), file::MOST_TABLE) {
        Ok(bytes) => text::decode(name, bytes),
        Err(e) if e.kind() == std::io::ErrorKind::NotFound => Err(no_sheet(named)),
        Err(e) => {
            Err(Box::new(Finding::error("cannot-read", &Place::file(name), format!("{name} cannot be read: {e}"))))
        }
    }
}

fn no_sheet(file: &At<String>) -> Box<Finding> {
    let found = format!("the folder has no file {}", file.value);
    let finding = Finding::error("file-missing", &file.place, found);
    Box::new(finding.fix("put the laboratory's file into the farm folder, or correct its name here"))
}

/// Reads a farm from its texts.
#[must_use]
pub fn read_text(texts: &FarmText) -> (Written, Findings) {
    read_text_with(texts, &[])
}

/// The same, with some lines of the main file changed.
#[must_use]
pub fn read_text_with(texts: &FarmText, changes: &[Change]) -> (Written, Findings) {
    read_texts(texts, MAIN, changes, &|file| texts.sheets.get(&file.value).cloned().ok_or_else(|| no_sheet(file)))
}

/// The files that are always read, by their marks.
fn marks(texts: &FarmText, main: &str) -> Vec<Mark> {
    let FarmText { main: farm, fields, keepouts, soils, calibration, .. } = texts;
    let files =
        [(main, farm), (FIELDS, fields), (KEEPOUTS, keepouts), (SOILS, soils), (CALIBRATION, calibration)].into_iter();
    files.filter_map(|(name, text)| Some(Mark::of(name, text.as_ref()?))).collect()
}

fn read_texts(texts: &FarmText, main: &str, changes: &[Change], sheet: labs::Fetch<'_>) -> (Written, Findings) {
    let mut findings = Findings::new();
    let mut written = Written { files: marks(texts, main), ..Written::default() };
    if let Some(text) = &texts.main {
        main_file::read(main, text, changes, &mut written, &mut findings);
        let read = RefCell::new(Vec::new());
        let sheet = |file: &At<String>| {
            let text = sheet(file)?;
            read.borrow_mut().push(Mark::of(&file.value, &text));
            Ok(text)
        };
        labs::read(&mut written, &sheet, &mut findings);
        written.files.extend(read.into_inner());
        written.files.sort();
        written.files.dedup();
    }
    if let Some(text) = &texts.fields {
        boundaries::read(text, &mut written, &mut findings);
    }
    if let Some(text) = &texts.keepouts {
        keepouts::read(text, &mut written, &mut findings);
    }
    if let Some(text) = &texts.calibration {
        written.calibration = calibration::read(CALIBRATION, text, &mut findings);
    }
    match (&texts.soils, &written.soil_names) {
        (Some(text), names) => written.soils = soils::read(text, names.as_ref(), &mut findings),
        (None, Some(names)) => findings.push(
            Finding::error("file-missing", &names.place, format!("the soils are named, and the folder has no {SOILS}"))
                .fix("put the soil survey's polygons into the folder, or take `soils:` out"),
        ),
        (None, None) => {}
    }
    (written, findings)
}
