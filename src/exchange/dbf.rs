//! The table beside a shapefile (dBase III), all values as text.

/// Most columns that are read; the format holds 255.
const MOST_COLUMNS: usize = 255;

/// A table.
#[derive(Debug, Default)]
pub(super) struct DbfTable {
    /// Names of the columns.
    pub(super) names: Vec<String>,
    /// The rows, each with one text a column. Rows marked as deleted are rows: their shapes are
    /// still there.
    pub(super) rows: Vec<Vec<String>>,
    /// Cells with letters that could not be read.
    pub(super) unread: usize,
}

/// How the letters of a table are written.
#[derive(Clone, Copy, PartialEq)]
enum CodePage {
    /// UTF-8, or else one byte a letter as Western Windows has it.
    Western,
    /// A code page that is not read.
    Other,
}

/// What the `.cpg` file says, or else the mark in the table's head.
fn letters(head: &[u8], cpg: Option<&[u8]>) -> CodePage {
    let said: String = cpg
        .map(|bytes| String::from_utf8_lossy(bytes).to_ascii_lowercase())
        .unwrap_or_default()
        .chars()
        .filter(char::is_ascii_alphanumeric)
        .collect();
    if !said.is_empty() {
        let western = ["utf8", "65001", "1252", "88591", "latin1", "ascii", "885915"];
        return if western.iter().any(|own| said.contains(own)) { CodePage::Western } else { CodePage::Other };
    }
    match head.get(29) {
        None | Some(0 | 3 | 0x57 | 0x58 | 0x59) => CodePage::Western,
        Some(_) => CodePage::Other,
    }
}

impl DbfTable {
    /// Reads a table.
    ///
    /// # Errors
    /// Says what is wrong with its form.
    pub(super) fn read(bytes: &[u8], cpg: Option<&[u8]>) -> Result<DbfTable, String> {
        let letters = letters(bytes, cpg);
        let short = || "it is cut off".to_string();
        let pair = |at: usize| Some(usize::from(u16::from_le_bytes(bytes.get(at..at + 2)?.try_into().ok()?)));
        let rows: [u8; 4] = bytes.get(4..8).and_then(|b| b.try_into().ok()).ok_or_else(short)?;
        let rows = u32::from_le_bytes(rows) as usize;
        let (head, width) = pair(8).zip(pair(10)).ok_or_else(short)?;
        let mut table = DbfTable::default();
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
            table.names.push(text_of(&name, letters).0);
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
            let mut cells = Vec::with_capacity(columns.len());
            for column in &columns {
                let (text, whole) = text_of(own.get(column.clone()).unwrap_or_default(), letters);
                table.unread += usize::from(!whole);
                cells.push(text);
            }
            table.rows.push(cells);
        }
        Ok(table)
    }
}

/// Letters that Western Windows (code page 1252) has where the older set (Latin-1) has none, from
/// 0x80 to 0x9F; a blank stands where there is none.
pub const WINDOWS_1252: &str = "€ ‚ƒ„…†‡ˆ‰Š‹Œ Ž  ‘’“”•–—˜™š›œ žŸ";

/// The text of a value, and whether all of it could be read.
fn text_of(bytes: &[u8], letters: CodePage) -> (String, bool) {
    let western = |byte: &u8| match byte {
        0x80..=0x9F => {
            let letter = WINDOWS_1252.chars().nth(usize::from(*byte - 0x80));
            letter.filter(|letter| *letter != ' ').unwrap_or('\u{fffd}')
        }
        byte => char::from(*byte),
    };
    let text: String = match std::str::from_utf8(bytes) {
        Ok(text) => text.to_string(),
        Err(_) if letters == CodePage::Western => bytes.iter().map(western).collect(),
        Err(_) => bytes.iter().map(|b| if b.is_ascii() { char::from(*b) } else { '\u{fffd}' }).collect(),
    };
    let whole = !text.contains('\u{fffd}');
    (text.trim_matches(|c: char| c.is_whitespace() || c == '\0').to_string(), whole)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_by_their_code_page() {
        let read = |bytes: &[u8], cpg: Option<&[u8]>| text_of(bytes, letters(&[0; 32], cpg));
        assert_eq!(read("Río Seco".as_bytes(), None), ("Río Seco".to_string(), true));
        assert_eq!(read(b"R\xEDo \x93Seco\x94", None), ("Río “Seco”".to_string(), true));
        assert_eq!(read(b"R\xEDo", Some(b"1252")), ("Río".to_string(), true));
        assert_eq!(read("Río".as_bytes(), Some(b"UTF-8\n")), ("Río".to_string(), true));
        assert_eq!(read(b"R\xA1o", Some(b"OEM 850")), ("R\u{fffd}o".to_string(), false));
        assert_eq!(read(b"Rio", Some(b"OEM 850")), ("Rio".to_string(), true));
    }
}
