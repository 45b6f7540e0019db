//! A choice of the chooser, and the ways to do a field that are made of such.

use std::sync::Arc;

/// One application that was chosen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pick {
    /// Which choice.
    pub choice: usize,
    /// Setting, in steps of the grid.
    pub steps: i64,
}

/// A way to do a field, whatever there is of anything.
#[derive(Clone, Debug)]
pub struct Way {
    /// The applications, one a window at most.
    pub entries: Arc<[Pick]>,
    /// What it is worth, in dollars (or pounds of nutrient).
    pub worth: f64,
}

/// All ways to do a field.
#[derive(Clone, Debug, Default)]
pub struct Ways {
    /// Those that were found.
    pub all: Vec<Way>,
    /// What one that was left out could be worth at most; none where none was.
    pub most: Option<f64>,
}
