//! What a plan is asked of, and what it goes by.

use crate::farm::Change;
use crate::findings::Findings;
use crate::pipeline::folder::Folder;
use crate::tables::{self, Tables};
use jiff::civil::Date;
use std::path::Path;
use std::sync::Arc;

/// What a plan is asked of, and what it goes by.
#[derive(Clone, Debug)]
pub struct Question<'a> {
    /// Where the farm's files are.
    pub folder: Folder<'a>,
    /// Lines of its main file that read otherwise.
    pub changes: &'a [Change],
    /// The published figures.
    pub figures: Figures<'a>,
    /// The day as of which the plan is made.
    pub day: Day,
}

/// The day that a question goes by; what the log shows of later days has not happened
/// yet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Day {
    /// That of farm.yaml, or else this one, which is today.
    Stated {
        /// Today, as the front knows it.
        today: Date,
    },
    /// This one, whatever farm.yaml states.
    Asked(Date),
}

/// Where the published figures come from.
#[derive(Clone, Debug)]
pub enum Figures<'a> {
    /// Those that are built in.
    BuiltIn,
    /// Those, and a folder that adds to them or takes their place.
    With(&'a Path),
    /// Tables that were loaded before.
    Loaded(Arc<Tables>),
}

impl<'a> Question<'a> {
    /// A farm folder as it stands, with the built-in figures.
    #[must_use]
    pub fn of(folder: Folder<'a>, day: Day) -> Question<'a> {
        Question { folder, changes: &[], figures: Figures::BuiltIn, day }
    }
}

impl Figures<'_> {
    /// Loads what one place needs, or everything.
    #[must_use]
    pub fn load(&self, place: Option<&str>) -> (Arc<Tables>, Findings) {
        let mut files = tables::built_in();
        match self {
            Figures::Loaded(tables) => return (Arc::clone(tables), Findings::new()),
            Figures::BuiltIn => {}
            Figures::With(folder) => match tables::read_folder(folder) {
                Ok(more) => files.extend(more),
                Err(finding) => {
                    let mut findings = Findings::new();
                    findings.push(*finding);
                    return (Arc::default(), findings);
                }
            },
        }
        let (tables, findings) = place.map_or_else(|| tables::load(&files), |place| tables::load_for(&files, place));
        (Arc::new(Tables { own: matches!(self, Figures::With(_)), ..tables }), findings)
    }
}
