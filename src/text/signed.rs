//! Who says so, and when: a name and a date in one line of text.

use crate::text::day;
use jiff::civil::Date;

/// Words that stand where a name should, and name nobody.
const NOBODY: &[&str] = &[
    "a", "an", "and", "by", "the", "on", "of", "in", "at", "as", "is", "it", "from", "me", "i", "we", "us", "he",
    "she", "they", "him", "her", "them", "someone", "somebody", "nobody", "anyone", "no", "not", "none", "never",
    "yes", "ok", "true", "false", "null", "nil", "na", "tbd", "todo", "unknown", "pending", "later", "name", "date",
    "who", "when", "refused", "denied", "declined", "given", "granted", "signed", "agreed", "verbal", "oral",
    "written", "writing", "consent", "mr", "mrs", "ms", "dr",
];

/// Words that say that something was not given.
const REFUSED: &[&str] = &[
    "no",
    "not",
    "none",
    "never",
    "false",
    "refused",
    "refuses",
    "refuse",
    "denied",
    "denies",
    "declined",
    "declines",
    "withdrawn",
    "withdrew",
    "revoked",
    "expired",
    "unsigned",
    "pending",
    "asked",
    "waiting",
    "against",
    "nobody",
    "won't",
    "didn't",
    "doesn't",
    "hasn't",
    "without",
    "unknown",
    "tbd",
];

/// What a line lacks to say who and when.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unsigned {
    /// Neither a name nor a date.
    Both,
    /// No name.
    Name,
    /// No date written as year-month-day.
    Date,
}

impl Unsigned {
    /// The words after "without".
    #[must_use]
    pub fn missing(self) -> &'static str {
        match self {
            Unsigned::Both => "a name and a date",
            Unsigned::Name => "a name",
            Unsigned::Date => "a date written as YYYY-MM-DD",
        }
    }
}

/// The date of a line that also names somebody, as in "Dell Farrow, 2026-10-20;
/// the bank caves".
///
/// # Errors
/// What the line lacks.
pub fn signed(text: &str) -> Result<Date, Unsigned> {
    let words = text.split(|c: char| c.is_whitespace() || ",;:()".contains(c));
    let date = words.filter_map(|word| day(word.trim_end_matches('.'))).next();
    match (date, names_somebody(text)) {
        (Some(date), true) => Ok(date),
        (Some(_), false) => Err(Unsigned::Name),
        (None, true) => Err(Unsigned::Date),
        (None, false) => Err(Unsigned::Both),
    }
}

/// Whether a text holds a word that can be somebody's name.
#[must_use]
pub fn names_somebody(text: &str) -> bool {
    words(text).any(|word| word.chars().filter(|c| c.is_alphabetic()).count() >= 2 && !NOBODY.contains(&&*word))
}

/// Whether a text says that something was refused, or not given yet.
#[must_use]
pub fn refuses(text: &str) -> bool {
    words(text).any(|word| REFUSED.contains(&&*word))
}

/// The words of a text in small letters.
fn words(text: &str) -> impl Iterator<Item = String> {
    let apart = |c: char| !c.is_alphanumeric() && c != '\'' && c != '’';
    text.split(apart).filter(|word| !word.is_empty()).map(|word| word.to_lowercase().replace('’', "'"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_and_a_date_are_found_and_nothing_less_is_taken() {
        let date = "2026-10-20".parse().unwrap();
        for good in [
            "Dell Farrow (grower), 2026-10-20; wider than the table asks",
            "2026-10-20 the district",
            "R. Swink in writing, 2026-10-20.",
            "Ngô, 2026-10-20",
        ] {
            assert_eq!(signed(good), Ok(date), "{good}");
        }
        for (bad, lacks) in [
            ("", Unsigned::Both),
            ("me, 2026", Unsigned::Both),
            ("2026-10-20", Unsigned::Name),
            ("n/a, 2026-10-20", Unsigned::Name),
            ("?, 2026-10-20", Unsigned::Name),
            ("Dell Farrow", Unsigned::Date),
            ("Dell Farrow, 10/20/2026", Unsigned::Date),
            ("Dell Farrow, 2026-13-20", Unsigned::Date),
        ] {
            assert_eq!(signed(bad), Err(lacks), "{bad}");
        }
    }

    #[test]
    fn a_refusal_is_no_consent() {
        assert!(refuses("R. Swink did not sign") && refuses("Refused") && refuses("no") && refuses("won’t sign"));
        assert!(!refuses("Nora Nott, in writing"));
    }
}
