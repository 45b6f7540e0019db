//! Where a number comes from: a line that somebody wrote, or a figure with
//! its papers.

use serde::{Deserialize, Serialize};
use std::borrow::Cow;
use std::sync::Arc;

/// The name of a file, held once for all the places in it.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(from = "String", into = "String")]
pub struct FileName(Arc<str>);

impl FileName {
    /// The name.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl std::ops::Deref for FileName {
    type Target = str;

    fn deref(&self) -> &str {
        &self.0
    }
}

impl PartialEq<&str> for FileName {
    fn eq(&self, name: &&str) -> bool {
        self.as_str() == *name
    }
}

impl From<&str> for FileName {
    fn from(name: &str) -> FileName {
        FileName(name.into())
    }
}

impl From<String> for FileName {
    fn from(name: String) -> FileName {
        FileName(name.into())
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

/// How a figure is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Known {
    /// Seen in the text of the source.
    Read,
    /// A fact of the trade without a published source.
    CommonPractice,
    /// Recalled, not seen in the source.
    Memory,
    /// Given by the farm because the tables hold none, with who said so.
    Said,
}

impl Known {
    /// The word in the tables.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Known::Read => "read",
            Known::CommonPractice => "common practice",
            Known::Memory => "memory",
            Known::Said => "said",
        }
    }
}

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
}

impl Cite {
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
        write!(f, "{}, {} {}, {}", self.publisher, self.title, self.year, self.at)?;
        match self.known {
            Known::Read => Ok(()),
            Known::Memory => write!(f, " [from memory, not read]"),
            Known::CommonPractice => write!(f, " [common practice]"),
            Known::Said => write!(f, " [given by the farm, not published]"),
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
    /// Measured from the boundaries and keep-outs.
    Measured,
    /// True by definition, such as pounds in a ton.
    Definition(Cow<'static, str>),
}
