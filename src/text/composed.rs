//! One form for letters with accents: `é` may be one character or an `e` with
//! an accent behind it, and a reader cannot see which.

use std::borrow::Cow;
use unicode_normalization::UnicodeNormalization;

/// Whether two names are one, however their letters are written, those with accents too, and
/// whatever spaces stand around them.
#[must_use]
pub fn same_name(one: &str, other: &str) -> bool {
    one == other || one.trim().to_lowercase() == other.trim().to_lowercase()
}

/// The text with its accents composed (Unicode NFC), as names are compared.
/// Everything that is read in goes through here.
#[must_use]
pub fn composed<'a>(text: impl Into<Cow<'a, str>>) -> String {
    composed_in_place(text.into()).into_owned()
}

/// The same, as it is where nothing is to compose.
pub(super) fn composed_in_place(text: Cow<'_, str>) -> Cow<'_, str> {
    if text.is_ascii() { text } else { text.nfc().collect() }
}
