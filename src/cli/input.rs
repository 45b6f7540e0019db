//! What a command is given to read: a file, or standard input as `-`; and the
//! words of the command line that stand for more than themselves.

use crate::findings::{Finding, Place};
use crate::text::{self, file};
use crate::units::{self, Quantity, TonsPerAcre};
use geo::Coord;
use std::io;
use std::path::Path;
use std::sync::OnceLock;

/// The name of standard input on the command line.
const STANDARD: &str = "-";

/// Standard input, which can be read once only; or why it cannot be read.
static READ: OnceLock<Result<Vec<u8>, String>> = OnceLock::new();

/// Reads a file or standard input.
pub(super) fn read(path: &Path, most: u64) -> io::Result<Vec<u8>> {
    if !is_standard(path) {
        return file::read(path, most);
    }
    let read = READ.get_or_init(|| file::limited(io::stdin().lock(), most).map_err(|e| e.to_string()));
    read.clone().map_err(io::Error::other)
}

/// What is said of a file that cannot be read.
pub(super) fn unreadable(name: &str, why: impl std::fmt::Display) -> Finding {
    Finding::error("cannot-read", &Place::file(name), format!("the file cannot be read: {why}"))
}

/// Reads a file of boundaries or keep-outs.
pub(super) fn ground(path: &Path) -> io::Result<Vec<u8>> {
    read(path, file::MOST_GROUND)
}

/// A line of a file, counted from 1.
pub(super) fn line_in(bytes: &[u8], line: usize) -> Option<String> {
    let line = bytes.split(|b| *b == b'\n').nth(line.checked_sub(1)?)?;
    std::str::from_utf8(line).ok().map(str::to_string)
}

/// What a file is called in messages.
pub(super) fn name(path: &Path) -> String {
    if is_standard(path) { "standard input".to_string() } else { path.display().to_string() }
}

/// Whether `-` is given: standard input, or standard output for what is written.
pub(super) fn is_standard(path: &Path) -> bool {
    path.as_os_str() == STANDARD
}

/// Words of the command line that name something, accents composed. A folder or
/// a file keeps the name that the disk has.
pub(super) fn name_given(given: &str) -> Result<String, std::convert::Infallible> {
    Ok(text::composed(given))
}

/// A rate on the command line.
pub(super) fn rate(text: &str) -> Result<f64, String> {
    let read = units::quantity::<TonsPerAcre>(text).map(Quantity::get);
    read.ok().filter(|rate| *rate > 0.0).ok_or_else(|| units::accepted::<TonsPerAcre>() + ", above 0")
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
