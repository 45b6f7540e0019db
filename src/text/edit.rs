//! Changes to a text by the places of its parser, so that everything else in
//! it stays as a person wrote it: comments, order, blank lines.

use crate::findings::Place;

/// A piece of a text and what goes in its place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Edit {
    /// First byte of the piece.
    pub from: usize,
    /// First byte behind it; the same as `from` where something is put in.
    pub to: usize,
    /// What goes there.
    pub with: String,
}

/// The byte at a place of the parser.
#[must_use]
pub fn offset(text: &str, place: &Place) -> Option<usize> {
    let line = place.line.checked_sub(1)?;
    let start: usize = text.split_inclusive('\n').take(line).map(str::len).sum();
    let rest = text.get(start..).filter(|_| text.split_inclusive('\n').nth(line).is_some())?;
    let column = place.column.checked_sub(1)?;
    let end = rest.find('\n').unwrap_or(rest.len());
    let at = rest[..end].char_indices().map(|(at, _)| at).chain([end]).nth(column)?;
    Some(start + at)
}

impl Edit {
    /// Puts a key with its value before another key of the same block: on a
    /// line of its own, or in front of it between braces.
    #[must_use]
    pub fn key_before(text: &str, key: &Place, added: &str) -> Option<Edit> {
        let at = offset(text, key)?;
        let line = text[..at].rfind('\n').map_or(0, |end| end + 1);
        let own_line = text[line..at].chars().all(|c| c == ' ' || c == '-');
        let newline =
            if text[at..].find('\n').is_some_and(|end| text[..at + end].ends_with('\r')) { "\r\n" } else { "\n" };
        let with =
            if own_line { format!("{added}{newline}{}", " ".repeat(key.column - 1)) } else { format!("{added}, ") };
        Some(Edit { from: at, to: at, with })
    }

    /// Puts another value in the place of a scalar, with its quotes.
    #[must_use]
    pub fn value(text: &str, place: &Place, scalar: &str, with: &str) -> Option<Edit> {
        let from = offset(text, place)?;
        let rest = &text[from..];
        let length = match rest.chars().next()? {
            quote @ ('"' | '\'') => closing(&rest[1..], quote)? + 2,
            _ if rest.starts_with(scalar) => scalar.len(),
            _ => return None,
        };
        Some(Edit { from, to: from + length, with: with.to_string() })
    }
}

/// Where a quoted scalar ends.
fn closing(text: &str, quote: char) -> Option<usize> {
    let mut letters = text.char_indices().peekable();
    while let Some((at, c)) = letters.next() {
        let next = letters.peek().map(|(_, c)| *c);
        if quote == '"' && c == '\\' || quote == '\'' && c == quote && next == Some(quote) {
            letters.next();
        } else if c == quote {
            return Some(at);
        }
    }
    None
}

/// A text with edits made; of edits that overlap the first holds.
#[must_use]
pub fn edited(text: &str, edits: &[Edit]) -> String {
    let mut sorted: Vec<&Edit> = edits.iter().collect();
    sorted.sort_by_key(|e| (e.from, e.to));
    let (mut made, mut at) = (String::new(), 0);
    for edit in sorted.into_iter() {
        if edit.from < at {
            continue;
        }
        made.push_str(&text[at..edit.from]);
        made.push_str(&edit.with);
        at = edit.to;
    }
    made.push_str(&text[at..]);
    made
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(line: usize, column: usize) -> Place {
        Place { file: "farm.yaml".into(), line, column }
    }

    #[test]
    fn places_are_found_by_letters_and_lines() {
        let text = "a: é x\r\n\nbc";
        assert_eq!(offset(text, &at(1, 6)), Some(6));
        assert_eq!(offset(text, &at(3, 3)), Some(12));
        assert_eq!(offset(text, &at(3, 4)), None);
        assert_eq!(offset(text, &at(4, 1)), None);
        assert_eq!(offset(text, &at(0, 0)), None);
    }

    #[test]
    fn a_key_goes_on_its_own_line_or_between_braces() {
        for (text, place, want) in [
            ("a:\n  - b: 1\n    c: 2 # no\n", at(2, 5), "a:\n  - n: 1\n    b: 1\n    c: 2 # no\n"),
            ("a: 1\r\nb: 2\r\n", at(2, 1), "a: 1\r\nn: 1\r\nb: 2\r\n"),
            ("a: {x: 1, b: 2}\n", at(1, 11), "a: {x: 1, n: 1, b: 2}\n"),
        ] {
            let edit = Edit::key_before(text, &place, "n: 1").unwrap();
            assert_eq!(edited(text, &[edit]), want);
        }
    }

    #[test]
    fn a_value_goes_with_its_quotes() {
        for (text, scalar) in [("a: 1 # x", "1"), ("a: \"1 \\\" 2\" # x", "1 \" 2"), ("a: 'it''s' # x", "it's")] {
            let edit = Edit::value(text, &at(1, 4), scalar, "2").unwrap();
            assert_eq!(edited(text, &[edit]), "a: 2 # x");
        }
        assert_eq!(Edit::value("a: |\n  1\n", &at(1, 4), "1\n", "2"), None);
    }
}
