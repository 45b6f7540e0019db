//! A line parted into cells, each with the column where it begins.

use crate::text::composed::composed_in_place;
use std::borrow::Cow;

/// A cell of a line, with the column of its first character, from 1.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cell<'a> {
    /// What stands in it, without the spaces around it; a part of the line wherever it
    /// stands there as it is meant.
    pub text: Cow<'a, str>,
    /// Where it begins.
    pub column: usize,
}

/// Parts a line at `comma`. A cell in quotes may hold it, and doubled quotes.
/// None when a quote is never closed: no cell runs over a line's end.
#[must_use]
pub fn cells(line: &str, comma: char) -> Option<Vec<Cell<'_>>> {
    let mut list = Vec::new();
    part(line, comma, &mut list).then_some(list)
}

/// The same into a list that is used again for every line; false when a quote is never closed.
pub fn part<'a>(line: &'a str, comma: char, cells: &mut Vec<Cell<'a>>) -> bool {
    cells.clear();
    let plain = line.is_ascii();
    let (mut rest, mut column) = (line, 1);
    loop {
        // Of a line with every column most cells are empty.
        let mut chars = rest.chars();
        if chars.next() == Some(comma) {
            cells.push(Cell { text: Cow::Borrowed(""), column });
            (rest, column) = (chars.as_str(), column + 1);
            continue;
        }
        let Some((text, next)) = first_cell(rest, comma) else { return false };
        cells.push(Cell { text: composed_in_place(trimmed(text)), column });
        let Some(next) = next else { return true };
        let (before, after) = rest.split_at(next);
        column += if plain { next } else { before.chars().count() };
        rest = after;
    }
}

/// The first cell of what is left of a line, and where the next one begins; none when its
/// quote is never closed.
fn first_cell(rest: &str, comma: char) -> Option<(Cow<'_, str>, Option<usize>)> {
    let Some(mut inside) = rest.strip_prefix('"') else {
        let (text, next) = upto(rest, comma);
        return Some((Cow::Borrowed(text), next));
    };
    let mut text = Cow::Borrowed("");
    loop {
        let (piece, after) = inside.split_once('"')?;
        if let Some(more) = after.strip_prefix('"') {
            text.to_mut().push_str(piece);
            text.to_mut().push('"');
            inside = more;
            continue;
        }
        let (behind, next) = upto(after, comma);
        if text.is_empty() && behind.is_empty() {
            text = Cow::Borrowed(piece);
        } else {
            text.to_mut().push_str(piece);
            text.to_mut().push_str(behind);
        }
        return Some((text, next.map(|next| rest.len() - after.len() + next)));
    }
}

/// A text up to a comma, and where what follows the comma begins.
fn upto(text: &str, comma: char) -> (&str, Option<usize>) {
    // Most cells are short or empty: byte by byte is quicker than a search.
    let at = match u8::try_from(comma) {
        Ok(byte) if byte.is_ascii() => text.bytes().position(|own| own == byte),
        _ => text.find(comma),
    };
    at.map_or((text, None), |at| (&text[..at], Some(at + comma.len_utf8())))
}

fn trimmed(text: Cow<'_, str>) -> Cow<'_, str> {
    match text {
        Cow::Borrowed(text) => Cow::Borrowed(text.trim()),
        Cow::Owned(text) => Cow::Owned(text.trim().to_string()),
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
    use proptest::prelude::*;

    fn texts(line: &str, comma: char) -> Option<Vec<String>> {
        Some(cells(line, comma)?.into_iter().map(|c| c.text.into_owned()).collect())
    }

    #[test]
    fn a_line_is_parted_at_its_commas() {
        assert_eq!(texts("a,\"b, \"\"c\"\"\",,d ", ',').unwrap(), ["a", "b, \"c\"", "", "d"]);
        assert_eq!(texts("a;\"b;c\";6,2", ';').unwrap(), ["a", "b;c", "6,2"]);
        assert_eq!(texts("", ',').unwrap(), [""]);
        assert_eq!(texts("a,", ',').unwrap(), ["a", ""]);
        assert_eq!(texts("a,\"b", ','), None);
        assert_eq!(texts("a;b,\"c\"\"\" d, e", ','), Some(vec!["a;b".into(), "c\" d".into(), "e".into()]));
        assert_eq!(texts("aøbøc", 'ø').unwrap(), ["a", "b", "c"]);
        assert_eq!(cells("ab,c", ',').unwrap()[1].column, 4);
        let columns = |line| cells(line, ',').unwrap().iter().map(|c| c.column).collect::<Vec<_>>();
        assert_eq!(columns("é,\"a,\"\"ñ\"x,,b"), [1, 3, 12, 13]);
    }

    /// The same character by character, slow and plain.
    fn slowly(line: &str, comma: char) -> Option<Vec<(String, usize)>> {
        let chars: Vec<char> = line.chars().collect();
        let (mut cells, mut at) = (Vec::new(), 0);
        loop {
            let (start, mut text) = (at, String::new());
            if chars.get(at) == Some(&'"') {
                at += 1;
                loop {
                    let c = *chars.get(at)?;
                    at += 1;
                    if c == '"' && chars.get(at) != Some(&'"') {
                        break;
                    }
                    at += usize::from(c == '"');
                    text.push(c);
                }
            }
            while let Some(c) = chars.get(at).filter(|c| **c != comma) {
                text.push(*c);
                at += 1;
            }
            cells.push((text.trim().to_string(), start + 1));
            if at == chars.len() {
                return Some(cells);
            }
            at += 1;
        }
    }

    proptest! {
        #[test]
        fn a_line_is_parted_as_one_character_after_the_other(
            line in proptest::collection::vec(prop::sample::select(vec!['a', ',', '"', ';', 'ß', '\'', ' ', '東']), 0..24),
            comma in prop::sample::select(vec![',', ';', '東']),
        ) {
            let line: String = line.into_iter().collect();
            let quick = cells(&line, comma).map(|list| list.into_iter().map(|c| (c.text.into_owned(), c.column)).collect());
            prop_assert_eq!(quick, slowly(&line, comma));
        }
    }
}
