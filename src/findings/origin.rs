//! Where a number comes from: a line that somebody wrote, or a figure with
//! its papers.

use serde::{Deserialize, Serialize};
use std::borrow::Cow;
use std::sync::Arc;

/// The name of a file, held once for all the places in it.
#[derive(Clone, Serialize, Deserialize)]
#[serde(from = "String", into = "String")]
pub struct FileName(Held);

/// Who holds a name: a copy of the program's own counts nothing, which tells where a
/// long record has a place in every cell.
#[derive(Clone)]
enum Held {
    Program(&'static str),
    Shared(Arc<str>),
}

impl FileName {
    /// A name that the program itself gives a file.
    #[must_use]
    pub const fn own(name: &'static str) -> FileName {
        FileName(Held::Program(name))
    }

    /// The name.
    #[must_use]
    pub fn as_str(&self) -> &str {
        match &self.0 {
            Held::Program(name) => name,
            Held::Shared(name) => name,
        }
    }
}

impl Default for FileName {
    fn default() -> FileName {
        FileName::own("")
    }
}

impl PartialEq for FileName {
    fn eq(&self, other: &FileName) -> bool {
        self.as_str() == other.as_str()
    }
}

impl Eq for FileName {}

impl PartialOrd for FileName {
    fn partial_cmp(&self, other: &FileName) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for FileName {
    fn cmp(&self, other: &FileName) -> std::cmp::Ordering {
        self.as_str().cmp(other.as_str())
    }
}

impl std::fmt::Debug for FileName {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_tuple("FileName").field(&self.as_str()).finish()
    }
}

impl std::ops::Deref for FileName {
    type Target = str;

    fn deref(&self) -> &str {
        self.as_str()
    }
}

impl PartialEq<&str> for FileName {
    fn eq(&self, name: &&str) -> bool {
        self.as_str() == *name
    }
}

impl From<&str> for FileName {
    fn from(name: &str) -> FileName {
        FileName(Held::Shared(name.into()))
    }
}

impl From<String> for FileName {
    fn from(name: String) -> FileName {
        FileName(Held::Shared(name.into()))
    }
}

impl From<FileName> for String {
    fn from(name: FileName) -> String {
        name.as_str().to_string()
    }
}

impl std::fmt::Display for FileName {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self)
    }
}

/// A place in a file. Lines and columns count from 1; 0 means the whole file.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Place {
    /// File name as the reader knows it, relative to the farm folder.
    pub file: FileName,
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
}

impl Place {
    /// The whole of a file.
    #[must_use]
    pub fn file(name: &str) -> Place {
        Place { file: name.into(), line: 0, column: 0 }
    }
}

impl std::fmt::Display for Place {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        if self.line == 0 {
            write!(f, "{}", self.file)
        } else {
            write!(f, "{}:{}:{}", self.file, self.line, self.column)
        }
    }
}

/// A value together with the place where it was written.
#[derive(Clone, Debug, PartialEq)]
pub struct At<T> {
    /// The value.
    pub value: T,
    /// Where it stands.
    pub place: Place,
}

impl<T> At<T> {
    /// The same place with another value.
    pub fn map<U>(self, change: impl FnOnce(T) -> U) -> At<U> {
        At { value: change(self.value), place: self.place }
    }
}

/// How a figure is known, the best first.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Known {
    /// Seen in the text of the source.
    #[default]
    Read,
    /// Given by the farm because the tables hold none, with who said so.
    Said,
    /// Seen in the text of the source, but printed there for another use, place or
    /// condition, which the note says.
    Applied,
    /// A fact of the trade without a published source.
    CommonPractice,
    /// Recalled, not seen in the source.
    Memory,
}

impl Known {
    /// The word in the tables.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Known::Read => "read",
            Known::Said => "said",
            Known::Applied => "applied",
            Known::CommonPractice => "common practice",
            Known::Memory => "memory",
        }
    }

    /// What stands behind a number; nothing behind one whose figures were all read.
    #[must_use]
    pub fn sign(self) -> &'static str {
        match self {
            Known::Read => "",
            Known::Said => "@",
            Known::Applied => "~",
            Known::CommonPractice => "^",
            Known::Memory => "?",
        }
    }

    /// What the sign means.
    #[must_use]
    pub fn meaning(self) -> &'static str {
        match self {
            Known::Read => "read in its source",
            Known::Said => "given by the farm",
            Known::Applied => "printed for another use, place or condition",
            Known::CommonPractice => "common practice",
            Known::Memory => "from memory, not read",
        }
    }

    /// The sign and what it means, for a line that has no table of signs beneath it.
    #[must_use]
    pub fn in_brackets(self) -> String {
        if self.is_weak() { format!(" ({} {})", self.sign(), self.meaning()) } else { String::new() }
    }

    /// Whether it was not seen as it is used here: such a figure is marked wherever it
    /// stands.
    #[must_use]
    pub fn is_weak(self) -> bool {
        self != Known::Read
    }
}

/// What the note of an applied figure begins with.
pub const APPLIED: &str = "applied:";

/// The year of a source that prints none.
pub const NO_YEAR: &str = "year not given";

/// The papers of one figure: enough to find it again.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Cite {
    /// The figure's id, with its place: `us-nc/setback.well`.
    pub figure: String,
    /// Title of the source.
    pub title: String,
    /// Publisher of the source.
    pub publisher: String,
    /// Year of the source.
    pub year: String,
    /// Section, table or page in the source.
    pub at: String,
    /// How it is known.
    pub known: Known,
    /// What an applied figure was printed for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

impl Cite {
    /// The source and where in it, without how the figure is known.
    #[must_use]
    pub fn source(&self) -> String {
        let apart = if self.year == NO_YEAR { "," } else { "" };
        format!("{}, {}{apart} {}, {}", self.publisher, self.title, self.year, self.at)
    }

    /// Whose word it is, in few words: who published it, or that the trade does so.
    #[must_use]
    pub fn by(&self) -> &str {
        match self.known {
            Known::CommonPractice => "common practice",
            _ => &self.publisher,
        }
    }
}

impl std::fmt::Display for Cite {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.source())?;
        match self.known {
            Known::Read => Ok(()),
            Known::Applied => {
                let note = self.note.as_deref().map(|note| note.strip_prefix(APPLIED).unwrap_or(note));
                let note = note.map(first_sentence).unwrap_or("printed for another use, place or condition");
                write!(f, " [applied: {note}]")
            }
            Known::Memory => write!(f, " [from memory, not read]"),
            Known::CommonPractice => write!(f, " [common practice]"),
            Known::Said => write!(f, " [given by the farm, not published]"),
        }
    }
}

/// The first sentence of a note, without its period; the rest stands in the tables.
fn first_sentence(note: &str) -> &str {
    let ends = |(at, _): &(usize, &str)| note[at + 2..].starts_with(|c: char| c.is_uppercase() || c == '"');
    let end = note.match_indices(". ").find(ends).map_or(note.len(), |(at, _)| at);
    note[..end].trim().trim_end_matches('.')
}

impl Origin {
    /// How a published figure behind it is known; what the farm says or shows needs no mark.
    #[must_use]
    pub fn known(&self) -> Known {
        match self {
            Origin::Figure(cite) => cite.known,
            Origin::Elsewhere { .. } => Known::Applied,
            Origin::Line(_) | Origin::Said { .. } | Origin::Measured | Origin::Definition(_) => Known::Read,
        }
    }
}

/// Where a number of a derivation comes from.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Origin {
    /// A line in the farm folder.
    Line(Place),
    /// A figure in the tables.
    Figure(Cite),
    /// The grower's own word in place of a figure, with who said so.
    Said {
        /// Where it is written.
        place: Place,
        /// Who asked for it.
        by: String,
    },
    /// A line in the farm folder that says something of another crop, yield or time, and what.
    Elsewhere {
        /// Where it is written.
        place: Place,
        /// Of what it says it.
        of: String,
    },
    /// Measured from the boundaries and keep-outs.
    Measured,
    /// True by definition, such as pounds in a ton.
    Definition(Cow<'static, str>),
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_applied_figure_says_in_a_sentence_what_it_was_printed_for() {
        let [figure, title, publisher, at] = ["us/a.b", "A Book", "A Press", "p. 3"].map(str::to_string);
        let note = Some("applied: a rule of 3 Del.C. 2247. Nobody asked.".to_string());
        let cite = Cite { figure, title, publisher, year: NO_YEAR.to_string(), at, known: Known::Applied, note };
        assert_eq!(cite.to_string(), "A Press, A Book, year not given, p. 3 [applied: a rule of 3 Del.C. 2247]");
        let year = "2020".to_string();
        assert_eq!(Cite { known: Known::Read, year, ..cite }.to_string(), "A Press, A Book 2020, p. 3");
    }
}
