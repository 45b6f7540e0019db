//! The table of a shapefile, out (dBase III).

use crate::exchange::cells::{TableCell, fixed};
use crate::findings::is_hidden;
use jiff::civil::Date;

/// Most bytes of a text: its length stands in one byte, of which 255 is kept free.
const LONGEST: usize = 254;
/// Most digits of a number.
const WIDEST: usize = 20;
/// Bytes of the name of a column.
const NAME: usize = 10;

/// A column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DbfColumn {
    /// Its name: ten ASCII letters at most.
    pub name: &'static str,
    /// What its cells are.
    pub kind: DbfKind,
}

/// What the cells of a column are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DbfKind {
    /// Texts.
    Text,
    /// Numbers with so many decimals.
    Number(u8),
    /// Days.
    Day,
}

/// A text that was cut because the format holds no more.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CutShort {
    /// Number of the row, from 1.
    pub row: usize,
    /// Name of the column.
    pub column: &'static str,
    /// Bytes it had.
    pub had: usize,
    /// Bytes that are left.
    pub left: usize,
}

/// A table; `day` stands in its head as that of the last change.
pub(super) fn dbf(columns: &[DbfColumn], rows: &[&[TableCell]], day: Date) -> Result<(Vec<u8>, Vec<CutShort>), String> {
    let mut cut = Vec::new();
    let mut texts: Vec<Vec<String>> = Vec::new();
    for (i, row) in rows.iter().enumerate() {
        let cells = columns.iter().zip(row.iter());
        texts.push(cells.map(|(column, cell)| shown(column, cell, i + 1, &mut cut)).collect::<Result<_, _>>()?);
    }
    let widths: Vec<usize> = (0..columns.len())
        .map(|c| texts.iter().filter_map(|row| row.get(c)).map(String::len).max().unwrap_or(0))
        .zip(columns)
        .map(|(longest, column)| if column.kind == DbfKind::Day { 8 } else { longest.max(1) })
        .collect();
    let mut bytes = head(columns, &widths, rows.len(), day)?;
    for row in &texts {
        bytes.push(b' ');
        for ((text, width), column) in row.iter().zip(&widths).zip(columns) {
            let pad = " ".repeat(width.saturating_sub(text.len()));
            let (first, last) = if matches!(column.kind, DbfKind::Number(_)) { (&pad, text) } else { (text, &pad) };
            bytes.extend(first.bytes().chain(last.bytes()));
        }
    }
    bytes.push(0x1A);
    Ok((bytes, cut))
}

fn head(columns: &[DbfColumn], widths: &[usize], rows: usize, day: Date) -> Result<Vec<u8>, String> {
    let large = |_| "the table is too large for a shapefile".to_string();
    let year = u8::try_from((day.year() - 1900).clamp(0, 255)).unwrap_or(0);
    let mut bytes = vec![3, year, day.month().unsigned_abs(), day.day().unsigned_abs()];
    bytes.extend(u32::try_from(rows).map_err(large)?.to_le_bytes());
    bytes.extend(u16::try_from(32 + 32 * columns.len() + 1).map_err(large)?.to_le_bytes());
    bytes.extend(u16::try_from(1 + widths.iter().sum::<usize>()).map_err(large)?.to_le_bytes());
    bytes.extend([0; 20]);
    for (column, width) in columns.iter().zip(widths) {
        let mut name: Vec<u8> = column.name.bytes().take(NAME).collect();
        name.resize(NAME + 1, 0);
        bytes.extend(name);
        let (letter, decimals) = match column.kind {
            DbfKind::Text => (b'C', 0),
            DbfKind::Number(decimals) => (b'N', decimals),
            DbfKind::Day => (b'D', 0),
        };
        bytes.extend([letter, 0, 0, 0, 0, u8::try_from(*width).map_err(large)?, decimals]);
        bytes.extend([0; 14]);
    }
    bytes.push(0x0D);
    Ok(bytes)
}

/// A cell as the table has it.
fn shown(column: &DbfColumn, cell: &TableCell, row: usize, cut: &mut Vec<CutShort>) -> Result<String, String> {
    match (column.kind, cell) {
        (_, TableCell::Empty) => Ok(String::new()),
        (DbfKind::Text, TableCell::Text(text)) => {
            // A line end or a zero would end the text for some readers.
            let text: String = text.chars().map(|c| if c.is_control() || is_hidden(c) { ' ' } else { c }).collect();
            let left = (0..=text.len().min(LONGEST)).rev().find(|at| text.is_char_boundary(*at)).unwrap_or(0);
            if left < text.len() {
                cut.push(CutShort { row, column: column.name, had: text.len(), left });
            }
            Ok(text.get(..left).unwrap_or_default().to_string())
        }
        (DbfKind::Number(decimals), TableCell::Number(number, _)) => {
            let text = fixed(*number, usize::from(decimals)).unwrap_or_default();
            if text.len() > WIDEST {
                return Err(format!("{text} in column {} has more than {WIDEST} digits", column.name));
            }
            Ok(text)
        }
        (DbfKind::Day, TableCell::Day(day)) => Ok(day.strftime("%Y%m%d").to_string()),
        (kind, cell) => Err(format!("{cell:?} does not fit into column {} of {kind:?}", column.name)),
    }
}
