//! The table beside a shapefile (dBase III), all values as text.

/// Most columns that are read; the format holds 255.
const MOST_COLUMNS: usize = 255;

/// A table.
#[derive(Debug, Default)]
pub(super) struct Table {
    /// Names of the columns.
    pub(super) names: Vec<String>,
    /// The rows, each with one text a column. Rows marked as deleted are rows: their shapes are
    /// still there.
    pub(super) rows: Vec<Vec<String>>,
}

impl Table {
    /// Reads a table.
    ///
    /// # Errors
    /// Says what is wrong with its form.
    pub(super) fn read(bytes: &[u8]) -> Result<Table, String> {
        let short = || "it is cut off".to_string();
        let pair = |at: usize| Some(usize::from(u16::from_le_bytes(bytes.get(at..at + 2)?.try_into().ok()?)));
        let rows: [u8; 4] = bytes.get(4..8).and_then(|b| b.try_into().ok()).ok_or_else(short)?;
        let rows = u32::from_le_bytes(rows) as usize;
        let (head, width) = pair(8).zip(pair(10)).ok_or_else(short)?;
        let mut table = Table::default();
        let mut columns = Vec::new();
        let mut start = 1;
        for column in 0..=MOST_COLUMNS {
            let at = 32 + 32 * column;
            if at >= head || bytes.get(at).is_none_or(|b| *b == 0x0D) {
                break;
            }
            let own = bytes.get(at..at + 32).ok_or_else(short)?;
            let name: Vec<u8> = own.iter().take(11).copied().take_while(|b| *b != 0).collect();
            let length = own.get(16).copied().map_or(0, usize::from);
            table.names.push(text_of(&name));
            columns.push(start..start + length);
            start += length;
        }
        if start > width {
            return Err("its columns are wider than its rows".to_string());
        }
        let there = bytes.len().saturating_sub(head) / width.max(1);
        if rows > there {
            return Err(format!("it says it has {rows} rows, and has {there}"));
        }
        for row in 0..rows {
            let own = bytes.get(head + row * width..head + (row + 1) * width).ok_or_else(short)?;
            table.rows.push(columns.iter().map(|c| own.get(c.clone()).map_or_else(String::new, text_of)).collect());
        }
        Ok(table)
    }
}

/// The text of a value: UTF-8, or else one byte a letter as Western Windows has it, where all
/// letters of the older set (Latin-1) stand at their own number.
fn text_of(bytes: &[u8]) -> String {
    let text = match std::str::from_utf8(bytes) {
        Ok(text) => text.to_string(),
        Err(_) => bytes.iter().map(|b| char::from(*b)).collect(),
    };
    text.trim_matches(|c: char| c.is_whitespace() || c == '\0').to_string()
}
