//! What a plan was made from and by: types only.

use crate::text::Mark;
use serde::{Deserialize, Serialize};

/// What a plan was made from and by, so that it can be made anew.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Made {
    /// Version of the program.
    pub program: String,
    /// The published figures.
    pub tables: TablesMark,
    /// Lines of farm.yaml that read otherwise, as `--with` takes them.
    pub changes: Vec<String>,
    /// One mark over all files of the farm folder that were read.
    pub folder: String,
    /// Those files, each with its own mark.
    pub files: Vec<Mark>,
    /// One mark over the rest of the document, set when it is printed.
    #[serde(default)]
    pub sum: String,
}

/// Which figures a plan was made with.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct TablesMark {
    /// Whether a folder of the user's own stands beside the built-in ones.
    pub own: bool,
    /// One mark over the files of the place and those it lies within.
    pub sha256: String,
}
