//! Shapefiles: the shapes of the `.shp`, the properties of the `.dbf`, the projection of the
//! `.prj` (ESRI Shapefile Technical Description, 1998).
//!
//! Every count in the file is held against the bytes that are there before anything is set aside
//! for it.

use crate::exchange::dbf::DbfTable;
use crate::exchange::given::{Bundle, Corners, Given, Source};
use crate::exchange::phrase::counted;
use crate::exchange::prj::{self, ACCEPTED};
use crate::findings::{Finding, Findings, Place};
use geo::{Coord, coord};

/// Bytes of the head of the file.
const HEAD: usize = 100;
/// Code that a shapefile begins with.
const CODE: u32 = 9994;
/// Most rings in one record: the rings are held against each other to tell which is a hole.
const MOST_RINGS: usize = 500;

/// Whether some bytes begin as a shapefile does.
pub(super) fn is_shapefile(bytes: &[u8]) -> bool {
    big(bytes, 0) == Some(CODE)
}

/// Reads a shapefile with what lies beside it. `None` when nothing of it can be used.
pub(super) fn read(source: &Source, findings: &mut Findings) -> Option<Bundle> {
    let place = Place::file(&source.name);
    let system = match source.beside("prj") {
        None => {
            let found = "no .prj file lies beside it, so nothing says what its numbers are";
            findings.push(
                Finding::warning("import-prj", &place, found)
                    .accepts("longitude and latitude in degrees (WGS84), which is what they are read as")
                    .fix("ask the office for the .prj file, or hold the map against the ground"),
            );
            None
        }
        Some(bytes) => match prj::read(&String::from_utf8_lossy(bytes)) {
            Ok(system) => Some(system),
            Err(refused) => {
                findings.push(
                    Finding::error("import-prj", &place, format!("its .prj file cannot be used: {}", refused.why))
                        .accepts(ACCEPTED)
                        .fix(refused.fix),
                );
                return None;
            }
        },
    };
    let records = records(&source.bytes, &place, findings)?;
    let table = table(source, records.len(), findings)?;
    let name = table.as_ref().and_then(|t| t.names.iter().position(|n| n.eq_ignore_ascii_case("name")));
    let mut file = Bundle { name: source.name.clone(), system, clockwise: true, ..Bundle::default() };
    for (i, mut given) in records.into_iter().enumerate() {
        given.place = place.clone();
        given.label = format!("record {}", i + 1);
        if let Some((table, row)) = table.as_ref().and_then(|t| Some((t, t.rows.get(i)?))) {
            given.properties = table.names.iter().cloned().zip(row.iter().cloned()).collect();
            let called = name.and_then(|n| row.get(n)).filter(|called| !called.is_empty());
            if let Some(called) = called {
                given.label = format!("{called} (record {})", i + 1);
            }
        }
        file.features.push(given);
    }
    Some(file)
}

/// The properties, when they fit the shapes. `None` when they do not.
#[expect(clippy::option_option, reason = "no table is one answer, a wrong table another")]
fn table(source: &Source, records: usize, findings: &mut Findings) -> Option<Option<DbfTable>> {
    let place = Place::file(&source.name);
    let Some(bytes) = source.beside("dbf") else {
        let found = "no .dbf file lies beside it: the fields have no names";
        findings.push(
            Finding::warning("import-dbf", &place, found).fix("ask for the .dbf file; until then ids are made up"),
        );
        return Some(None);
    };
    let wrong = match DbfTable::read(bytes, source.beside("cpg")) {
        Ok(table) if table.rows.len() == records => {
            if table.unread > 0 {
                let found = format!(
                    "letters of {} in the .dbf file are in a code page that is not read; a mark stands in their place",
                    counted(table.unread, "cell")
                );
                let finding =
                    Finding::warning("import-letters", &place, found).accepts("UTF-8, Windows-1252 or Latin-1");
                findings.push(finding.fix("ask for the table in UTF-8, with its .cpg file, or fix the names by hand"));
            }
            return Some(Some(table));
        }
        Ok(table) => format!("the .dbf file has {} rows and the .shp file {records} shapes", table.rows.len()),
        Err(why) => format!("the .dbf file cannot be read: {why}"),
    };
    findings.push(
        Finding::error("import-dbf", &place, wrong)
            .accepts("one row for every shape, in the same order")
            .fix("copy all files of the set again; names could end up on other fields"),
    );
    None
}

/// All records in order.
fn records(bytes: &[u8], place: &Place, findings: &mut Findings) -> Option<Vec<Given>> {
    let mut broken = |what: String| {
        findings.push(
            Finding::error("import-shp", place, what)
                .accepts("a whole .shp file")
                .fix("copy or download the file again; it was cut off or damaged on the way"),
        );
    };
    let told = big(bytes, 24).map(|words| u64::from(words) * 2);
    if bytes.len() < HEAD || !is_shapefile(bytes) {
        broken(format!("the file has {} bytes and no head of a shapefile", bytes.len()));
        return None;
    }
    if told.is_some_and(|told| told > bytes.len() as u64) {
        broken(format!("the file says it has {} bytes, and has {}", told.unwrap_or(0), bytes.len()));
        return None;
    }
    let mut all = Vec::new();
    let mut at = HEAD;
    while at < bytes.len() {
        let number = all.len() + 1;
        let length = big(bytes, at + 4).and_then(|words| usize::try_from(u64::from(words) * 2).ok());
        let end = length.and_then(|length| (at + 8).checked_add(length));
        let Some(content) = end.and_then(|end| bytes.get(at + 8..end)) else {
            broken(format!("record {number} runs beyond the end of the file"));
            return None;
        };
        match shape(content) {
            Ok(given) => all.push(given),
            Err(why) => {
                broken(format!("record {number}: {why}"));
                return None;
            }
        }
        at += 8 + content.len();
    }
    Some(all)
}

/// One shape.
fn shape(content: &[u8]) -> Result<Given, String> {
    let mut given = Given::default();
    let kind = little(content, 0).ok_or("it is empty")?;
    match kind {
        0 => {}
        1 | 11 | 21 => given.spots.push(corner(content, 4)?),
        8 | 18 | 28 => given.spots = spots(content)?,
        3 | 13 | 23 => given.lines = rings(content)?,
        5 | 15 | 25 => given.loose = rings(content)?,
        31 => return Err("it is a surface in space (MultiPatch), not a boundary".to_string()),
        other => return Err(format!("its kind is {other}, which the format does not know")),
    }
    if matches!(kind, 11 | 13 | 15 | 18) {
        given.heights = given.corners().count();
    }
    Ok(given)
}

/// The rings or lines of a record.
fn rings(content: &[u8]) -> Result<Vec<Corners>, String> {
    let count = |at| little(content, at).and_then(|n| usize::try_from(n).ok()).ok_or("it is cut off");
    let (parts, points) = (count(36)?, count(40)?);
    let fits = |count: usize, size: usize| count.checked_mul(size).filter(|bytes| *bytes <= content.len());
    let room = fits(parts, 4).zip(fits(points, 16)).and_then(|(a, b)| (44 + a).checked_add(b));
    if room.is_none_or(|room| room > content.len()) {
        return Err(format!("it says {parts} rings with {points} corners, which are not there"));
    }
    if parts > MOST_RINGS {
        return Err(format!("it has {parts} rings, more than {MOST_RINGS}"));
    }
    let mut starts: Vec<usize> = (0..parts).map(|i| count(44 + 4 * i)).collect::<Result<_, _>>()?;
    starts.push(points);
    let from = 44 + 4 * parts;
    let mut all = Vec::new();
    for (start, end) in starts.iter().zip(starts.iter().skip(1)) {
        if start > end || *end > points {
            return Err("its rings do not follow each other".to_string());
        }
        all.push((*start..*end).map(|i| corner(content, from + 16 * i)).collect::<Result<_, _>>()?);
    }
    Ok(all)
}

/// The points of a record of many.
fn spots(content: &[u8]) -> Result<Corners, String> {
    let points = little(content, 36).and_then(|n| usize::try_from(n).ok()).ok_or("it is cut off")?;
    if points.checked_mul(16).is_none_or(|bytes| bytes > content.len()) {
        return Err(format!("it says {points} points, which are not there"));
    }
    (0..points).map(|i| corner(content, 40 + 16 * i)).collect()
}

fn corner(content: &[u8], at: usize) -> Result<Coord<f64>, String> {
    let pair = double(content, at).zip(double(content, at.saturating_add(8)));
    pair.map(|(x, y)| coord! { x: x, y: y }).ok_or_else(|| "it is cut off".to_string())
}

fn four(bytes: &[u8], at: usize) -> Option<[u8; 4]> {
    bytes.get(at..at.checked_add(4)?)?.try_into().ok()
}

fn big(bytes: &[u8], at: usize) -> Option<u32> {
    four(bytes, at).map(u32::from_be_bytes)
}

fn little(bytes: &[u8], at: usize) -> Option<u32> {
    four(bytes, at).map(u32::from_le_bytes)
}

fn double(bytes: &[u8], at: usize) -> Option<f64> {
    let eight: [u8; 8] = bytes.get(at..at.checked_add(8)?)?.try_into().ok()?;
    Some(f64::from_le_bytes(eight))
}
