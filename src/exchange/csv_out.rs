//! Tables for a spreadsheet program: comma-separated values as RFC 4180 has
//! them, days as ISO 8601 has them, a point before the decimals.

use crate::exchange::cells::{TableCell, fixed};
use csv::{Terminator, WriterBuilder};

/// Bytes before a text that is not all ASCII: a spreadsheet program that does
/// not see them takes a UTF-8 file for another.
const MARK: &[u8] = b"\xEF\xBB\xBF";

/// A table with a row of names on top.
///
/// # Errors
/// Says what could not be written.
pub fn csv(names: &[&str], rows: &[Vec<TableCell>]) -> Result<Vec<u8>, String> {
    let mut writer = WriterBuilder::new().terminator(Terminator::CRLF).from_writer(Vec::new());
    let broken = |e: csv::Error| e.to_string();
    writer.write_record(names).map_err(broken)?;
    for row in rows {
        writer.write_record(row.iter().map(shown)).map_err(broken)?;
    }
    let table = writer.into_inner().map_err(|e| e.to_string())?;
    Ok(if table.is_ascii() { table } else { [MARK, &table].concat() })
}

fn shown(cell: &TableCell) -> String {
    match cell {
        TableCell::Text(text) => harmless(text),
        TableCell::Number(number, decimals) => fixed(*number, *decimals).map_or_else(String::new, short),
        TableCell::Day(day) => day.to_string(),
        TableCell::Empty => String::new(),
    }
}

/// Without zeros at the end.
fn short(number: String) -> String {
    if number.contains('.') { number.trim_end_matches('0').trim_end_matches('.').to_string() } else { number }
}

/// A text that no spreadsheet program takes for a formula: one that begins
/// like a formula gets an apostrophe in front, which such programs show as text.
fn harmless(text: &str) -> String {
    let formula = |c: char| matches!(c, '=' | '+' | '-' | '@' | '\t' | '\r' | '\n' | '＝' | '＋' | '－' | '＠');
    let begins = text.starts_with(formula) || text.trim_start().starts_with(formula);
    if begins { format!("'{text}") } else { text.to_string() }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn written(cell: TableCell) -> String {
        String::from_utf8(csv(&["a"], &[vec![cell, TableCell::text("z")][..1].to_vec()]).unwrap()).unwrap()
    }

    #[test]
    fn formulas_become_texts_and_numbers_stay_numbers() {
        for text in ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", " =1", "＝1"] {
            let table = written(TableCell::text(text));
            let table = table.trim_start_matches('\u{feff}').trim_start_matches("a\r\n").trim_start_matches('"');
            assert!(table.starts_with('\''), "{text}: {table:?}");
        }
        assert_eq!(written(TableCell::text("Dam Pond")), "a\r\nDam Pond\r\n");
        assert_eq!(written(TableCell::Number(-1.5, 2)), "a\r\n-1.5\r\n");
        assert_eq!(written(TableCell::Number(-0.001, 2)), "a\r\n0\r\n");
        assert_eq!(written(TableCell::Number(1200.0, 0)), "a\r\n1200\r\n");
        assert_eq!(written(TableCell::Day(jiff::civil::date(2027, 3, 5))), "a\r\n2027-03-05\r\n");
    }

    #[test]
    fn quotes_and_letters_keep() {
        assert_eq!(written(TableCell::text("a \"b\", c")), "a\r\n\"a \"\"b\"\", c\"\r\n");
        assert_eq!(written(TableCell::text("Ñ")), "\u{feff}a\r\nÑ\r\n");
    }
}
