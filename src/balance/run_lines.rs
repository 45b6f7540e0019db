//! The lines between the runs of a field along which it may be done in parts.

use crate::balance::driving::{Spreading, driving};
use crate::balance::survey::Surveyed;
use crate::check::Ready;
use crate::ground::{RunLine, halves};
use crate::units::{Pounds, Quantity};

/// The smallest part of a field, in acres, where the grower says none. Our own choice.
const LEAST_ACRES: f64 = 2.0;

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
    let least = ready.spreader.least_part.as_ref().map_or(LEAST_ACRES, |acres| acres.value.get());
    let trial = Spreading { job: 0, rate: 1.0, pounds: Pounds::from_tons_down(cut.acres) };
    let Some(driving) = driving(ready, surveyed, &[trial]) else { return Vec::new() };
    let longest = driving.pieces.iter().max_by(|a, b| a.run_ft.total_cmp(&b.run_ft));
    let Some(heading) = longest.map(|piece| piece.heading_deg) else { return Vec::new() };
    let all = halves::lines(&cut.spreadable, heading, ready.spreader.swath.value.get()).unwrap_or_default();
    let fits = |line: &RunLine| line.left_acres >= least && cut.acres - line.left_acres >= least;
    all.into_iter().filter(fits).map(|line| HeadedLine { heading, line }).collect()
}
