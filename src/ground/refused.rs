//! Why ground could not be cut or counted, and how each reason is said.

use std::fmt;

use geo::CoordsIter;

use super::grid::{Broken, MOST_MEETINGS};
use super::plane::{MOST_LATITUDE, MOST_SPAN_DEGREES, in_range};
use super::setback::{KeepAway, MOST_FEET, MOST_PIECES};

/// Why a field could not be cut.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum CutRefused {
    /// No corner, or no ground inside the boundary.
    Empty,
    /// A coordinate of the boundary is not a finite number.
    NotFinite,
    /// A coordinate of the boundary is no longitude and latitude, or beyond [`MOST_LATITUDE`].
    OutOfRange,
    /// The boundary spans more than [`MOST_SPAN_DEGREES`] (so does one across the date line).
    TooWide,
    /// A coordinate of the thing with this index is not finite or out of range.
    KeepOutPlace {
        /// [`KeepAway::index`].
        index: usize,
    },
    /// The distance of the thing with this index is not between 0 and [`MOST_FEET`].
    KeepOutDistance {
        /// [`KeepAway::index`].
        index: usize,
        /// The distance as given, in feet.
        feet: f64,
    },
    /// The sliver width is not between 0 and [`MOST_FEET`].
    SliverWidth {
        /// The width as given, in feet.
        feet: f64,
    },
    /// More than [`MOST_PIECES`] stretches are within reach of the field.
    TooMany,
    /// Corners within reach are so close together that the work would not end soon.
    Close,
    /// Lines near the field cross each other more often than there is room for.
    Crowded,
    /// Two ways to count the acres that are left differ.
    Differ {
        /// Acres in closed form.
        closed: f64,
        /// Acres of the shapes.
        drawn: f64,
    },
    /// The overlay engine failed, or its parts did not add up to the field.
    Broken,
}

impl fmt::Display for CutRefused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            CutRefused::Empty => write!(f, "the boundary encloses no ground"),
            CutRefused::NotFinite => write!(f, "a corner of the boundary is not a number"),
            CutRefused::OutOfRange => write!(
                f,
                "a corner of the boundary is not a longitude (-180 to 180) and latitude (-{MOST_LATITUDE} to {MOST_LATITUDE})"
            ),
            CutRefused::TooWide => write!(f, "the boundary spans more than {MOST_SPAN_DEGREES} degrees"),
            CutRefused::KeepOutPlace { .. } => write!(
                f,
                "a corner of the thing to stay away from is not a longitude (-180 to 180) and latitude (-{MOST_LATITUDE} to {MOST_LATITUDE})"
            ),
            CutRefused::KeepOutDistance { feet, .. } => {
                write!(f, "the distance {feet} ft is not between 0 and {MOST_FEET} ft")
            }
            CutRefused::SliverWidth { feet } => {
                write!(f, "the sliver width {feet} ft is not between 0 and {MOST_FEET} ft")
            }
            CutRefused::TooMany => {
                write!(f, "the keep-outs have more than {MOST_PIECES} corners within reach of the field")
            }
            CutRefused::Close => {
                write!(f, "the keep-outs within reach of the field have very many corners very close together")
            }
            CutRefused::Crowded => write!(
                f,
                "lines of the boundary, or of a keep-out near it, cross each other more than {MOST_MEETINGS} times"
            ),
            CutRefused::Differ { closed, drawn } => write!(
                f,
                "its spreadable acres are {closed:.3} by arcs and straight lines, but {drawn:.3} by the shapes drawn"
            ),
            CutRefused::Broken => write!(f, "the shape could not be cut"),
        }
    }
}

impl std::error::Error for CutRefused {}

impl CutRefused {
    /// How to fix it.
    #[must_use]
    pub fn fix(&self) -> &'static str {
        match self {
            CutRefused::TooMany | CutRefused::Close => {
                "thin out the corners of the keep-outs: one every few feet is enough"
            }
            CutRefused::Crowded => "draw the boundary, and the keep-outs near it, without lines that cross",
            CutRefused::KeepOutPlace { .. } | CutRefused::KeepOutDistance { .. } => "correct the keep-out",
            CutRefused::Differ { .. } => {
                "a setback may be missing from one of the two: draw the boundary again, or the keep-outs near it, and report this"
            }
            _ => "draw the boundary again, or the keep-out near it",
        }
    }
}

impl From<Broken> for CutRefused {
    fn from(broken: Broken) -> Self {
        match broken {
            Broken::Engine => CutRefused::Broken,
            Broken::Crowded => CutRefused::Crowded,
            Broken::TooMany => CutRefused::TooMany,
            Broken::Close => CutRefused::Close,
        }
    }
}

/// Refuses a thing whose place or distance cannot be used.
pub(super) fn check_keep(&KeepAway { index, geometry, feet }: &KeepAway) -> Result<(), CutRefused> {
    if !(0.0..=MOST_FEET).contains(&feet) {
        return Err(CutRefused::KeepOutDistance { index, feet });
    }
    if !geometry.coords_iter().all(in_range) {
        return Err(CutRefused::KeepOutPlace { index });
    }
    Ok(())
}
