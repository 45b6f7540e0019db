//! A line parted into cells, each with the column where it begins.

use crate::text::composed;

/// A cell of a line, with the column of its first character, from 1.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cell {
    /// What stands in it, without the spaces around it.
    pub text: String,
    /// Where it begins.
    pub column: usize,
}

/// Parts a line at `comma`. A cell in quotes may hold it, and doubled quotes.
/// None when a quote is never closed: no cell runs over a line's end.
#[must_use]
pub fn cells(line: &str, comma: char) -> Option<Vec<Cell>> {
    let mut cells = Vec::new();
    let mut chars = line.chars().enumerate().peekable();
    loop {
        let column = chars.peek().map_or(line.chars().count(), |(i, _)| *i) + 1;
        let mut text = String::new();
        let mut more = false;
        if chars.next_if(|(_, c)| *c == '"').is_some() {
            loop {
                let (_, c) = chars.next()?;
                if c != '"' || chars.next_if(|(_, c)| *c == '"').is_some() {
                    text.push(c);
                } else {
                    break;
                }
            }
        }
        for (_, c) in chars.by_ref() {
            if c == comma {
                more = true;
                break;
            }
            text.push(c);
        }
        cells.push(Cell { text: composed(text.trim()), column });
        if !more {
            return Some(cells);
        }
    }
}

/// The start of a cell, short enough for a message.
#[must_use]
pub fn shown(text: &str) -> String {
    if text.chars().count() <= 60 { text.to_string() } else { text.chars().take(57).chain("...".chars()).collect() }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(line: &str, comma: char) -> Option<Vec<String>> {
        Some(cells(line, comma)?.into_iter().map(|c| c.text).collect())
    }

    #[test]
    fn a_line_is_parted_at_its_commas() {
        assert_eq!(texts("a,\"b, \"\"c\"\"\",,d ", ',').unwrap(), ["a", "b, \"c\"", "", "d"]);
        assert_eq!(texts("a;\"b;c\";6,2", ';').unwrap(), ["a", "b;c", "6,2"]);
        assert_eq!(texts("", ',').unwrap(), [""]);
        assert_eq!(texts("a,", ',').unwrap(), ["a", ""]);
        assert_eq!(texts("a,\"b", ','), None);
        assert_eq!(cells("ab,c", ',').unwrap()[1].column, 4);
    }
}
