//! The ground of an entry as it is given: in words, or in a GeoJSON file.

use crate::cli::input;
use crate::exchange;
use crate::record::Cells;
use crate::text;
use std::path::Path;

/// Reads the file that a cell names instead of a shape.
pub(super) fn from_file(cells: &mut Cells) -> Result<(), String> {
    let Some(given) = cells.get("ground") else { return Ok(()) };
    let shape = in_words(given)?;
    cells.insert("ground", shape);
    Ok(())
}

/// The shape in words; a text without a bracket is the name of a file.
fn in_words(given: &str) -> Result<String, String> {
    if given.contains('(') || given.is_empty() {
        return Ok(given.to_string());
    }
    let path = Path::new(given);
    let name = input::name(path);
    let bytes = input::ground(path).map_err(|e| format!("the ground in `{name}` cannot be read: {e}"))?;
    let text = text::decode(&name, bytes).map_err(|finding| format!("the ground in `{name}`: {}", finding.found))?;
    let shape = exchange::one_shape(&text).map_err(|why| format!("the ground in `{name}`: {why}"))?;
    text::drawn_text(&shape).ok_or_else(|| format!("the ground in `{name}` is neither an area nor a line"))
}
