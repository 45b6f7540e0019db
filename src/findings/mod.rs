//! What was found wrong, missing or worth knowing, and where it stands.
//!
//! Lives here: one finding, its place in a file, the papers of a figure, the
//! list that collects and sorts findings, the nearest known word, words in a
//! row, and hidden characters. Never here: control flow; a finding is data, whoever holds the list decides.

mod finding;
mod hidden;
mod list;
mod listed;
mod nearest;
mod origin;

pub use finding::{Finding, Severity};
pub use hidden::{hidden, is_hidden, visible};
pub use list::Findings;
pub use listed::{distinct, listed, together, with_article, without_litter};
pub use nearest::{nearest, or_near};
pub use origin::{APPLIED, At, Cite, FileName, Known, NO_YEAR, Origin, Place};
