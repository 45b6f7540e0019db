//! The lines between the runs of a field along which it may be done in parts.

use crate::balance::driving::pieces;
use crate::balance::survey::Surveyed;
use crate::check::Ready;
use crate::ground::{RunLine, halves};
use crate::units::Quantity;

/// A line between two runs, and the heading along which it lies.
#[derive(Clone, Copy, Debug)]
pub struct HeadedLine {
    /// Degrees clockwise from north.
    pub heading: f64,
    /// The line.
    pub line: RunLine,
}

/// The lines between runs of a field, both sides of which are large enough; none of a field that
/// the grower keeps whole.
#[must_use]
pub fn run_lines(ready: &Ready, surveyed: &Surveyed) -> Vec<HeadedLine> {
    let cut = &surveyed.cut;
    if surveyed.field.written.whole.as_ref().is_some_and(|whole| whole.value) {
        return Vec::new();
    }
    let Some(heading) = heading(ready, surveyed) else { return Vec::new() };
    let all = halves::lines(&cut.spreadable, heading, ready.spreader.swath.value.get()).unwrap_or_default();
    let least = ready.least_part();
    let fits = |line: &RunLine| line.left_acres >= least && cut.acres - line.left_acres >= least;
    all.into_iter().filter(fits).map(|line| HeadedLine { heading, line }).collect()
}

/// The line of a field after so many of its runs.
#[must_use]
pub fn line_after(ready: &Ready, surveyed: &Surveyed, runs: usize) -> Option<HeadedLine> {
    let heading = heading(ready, surveyed)?;
    let swath = ready.spreader.swath.value.get();
    let line = halves::line_after(&surveyed.cut.spreadable, heading, swath, runs).ok()??;
    Some(HeadedLine { heading, line })
}

/// The heading of the runs on the largest piece of a field.
fn heading(ready: &Ready, surveyed: &Surveyed) -> Option<f64> {
    let pieces = pieces(ready, surveyed, None);
    let longest = pieces.iter().max_by(|a, b| a.run_ft.total_cmp(&b.run_ft))?;
    Some(longest.heading_deg)
}
