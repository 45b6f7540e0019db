//! What a command is given to read: a file, or standard input as `-`.

use crate::text::{self, file};
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
