//! Characters that nobody sees, or that change how others are shown: they could
//! move the cursor of a terminal, write a name backwards, or make two names
//! look alike.

/// Whether a character is hidden. Line ends and tabs are not.
#[must_use]
pub fn is_hidden(c: char) -> bool {
    match c {
        '\t' | '\n' | '\r' => false,
        // Soft hyphen, joiner, Arabic letter mark, fillers, vowel separator.
        '\u{ad}' | '\u{34f}' | '\u{61c}' | '\u{115f}' | '\u{1160}' | '\u{17b4}' | '\u{17b5}' | '\u{180e}' => true,
        // Of no width, marks of direction, line and paragraph separators.
        '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}' => true,
        '\u{3164}' | '\u{feff}' | '\u{ffa0}' | '\u{fff9}'..='\u{fffb}' | '\u{fffe}' | '\u{ffff}' => true,
        '\u{1bca0}'..='\u{1bca3}' | '\u{1d173}'..='\u{1d17a}' | '\u{e0000}'..='\u{e0fff}' => true,
        other => other.is_control(),
    }
}

/// What to say of the first hidden character of a text, as in `U+202E, which
/// turns the direction of the text`.
#[must_use]
pub fn hidden(text: &str) -> Option<String> {
    // Nearly all texts are plain ASCII, and large ones are boundaries.
    if text.bytes().all(|b| (b' '..=b'~').contains(&b)) {
        return None;
    }
    let first = text.chars().find(|c| is_hidden(*c))?;
    let does = match first {
        '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' => {
            "which turns the direction of the text"
        }
        '\u{2028}' | '\u{2029}' => "which ends the line",
        '\0' => "a zero byte",
        c if c.is_control() => "a control character",
        _ => "which cannot be seen",
    };
    Some(format!("{}, {does}", code_point(first)))
}

/// The text with every hidden character written out, as in `<U+202E>`.
#[must_use]
pub fn visible(text: &str) -> String {
    let mut shown = String::with_capacity(text.len());
    for c in text.chars() {
        if is_hidden(c) {
            shown.push_str(&format!("<{}>", code_point(c)));
        } else {
            shown.push(c);
        }
    }
    shown
}

fn code_point(c: char) -> String {
    format!("U+{:04X}", u32::from(c))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hidden_characters_are_named_and_shown() {
        for (text, what) in [
            ("a\u{202e}b", "U+202E, which turns the direction of the text"),
            ("a\u{1b}[2J", "U+001B, a control character"),
            ("a\u{85}", "U+0085, a control character"),
            ("a\0", "U+0000, a zero byte"),
            ("a\u{200b}b", "U+200B, which cannot be seen"),
            ("a\u{2028}b", "U+2028, which ends the line"),
        ] {
            assert_eq!(hidden(text).as_deref(), Some(what));
            assert_eq!(hidden(&visible(text)), None);
        }
        for plain in ["Dell's 40 ac", "Peña Ñandú — 3½ ac ✓", "東 field", "a\tb\r\nc", ""] {
            assert_eq!(hidden(plain), None);
            assert_eq!(visible(plain), plain);
        }
        assert_eq!(visible("a\u{1b}b"), "a<U+001B>b");
    }
}
