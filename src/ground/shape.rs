//! The kinds of thing that can be wrong with a boundary, and how each is said.
//!
//! How they are found is in [`faults`](mod@super::faults).

use std::fmt;

use geo::Coord;

use super::plane::{MOST_LATITUDE, MOST_SPAN_DEGREES};
use crate::units::coordinate_text;

/// Which ring of a boundary: part (polygon) of the multipolygon, and ring in it, 0 = the outer
/// one, 1 and up = holes. Both count from 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct RingPlace {
    /// Which polygon.
    pub part: usize,
    /// Which ring in it.
    pub ring: usize,
}

/// One thing wrong with a boundary. Places are longitude and latitude in degrees.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ShapeFault {
    /// There is no ring at all.
    Empty,
    /// The boundary spans more than [`MOST_SPAN_DEGREES`].
    TooWide,
    /// A ring has fewer than three different corners.
    TooFewPoints {
        /// Which ring.
        ring: RingPlace,
    },
    /// A coordinate is not a finite number.
    NotFinite {
        /// Which ring.
        ring: RingPlace,
        /// Which corner of it, from 0.
        corner: usize,
    },
    /// A corner is no longitude and latitude, or beyond [`MOST_LATITUDE`].
    OutOfRange {
        /// Which ring.
        ring: RingPlace,
        /// The corner as written.
        at: Coord<f64>,
    },
    /// A corner is repeated right after itself. Harmless; acres do not change.
    DuplicatePoint {
        /// Which ring.
        ring: RingPlace,
        /// The corner.
        at: Coord<f64>,
    },
    /// The ring runs out to a corner and straight back on itself.
    Spike {
        /// Which ring.
        ring: RingPlace,
        /// The tip.
        at: Coord<f64>,
    },
    /// The ring crosses or runs along itself: a bow-tie.
    SelfCrossing {
        /// Which ring.
        ring: RingPlace,
        /// Where.
        at: Coord<f64>,
    },
    /// The ring comes back to a place where it has been, without crossing over. Acres are right.
    SelfTouch {
        /// Which ring.
        ring: RingPlace,
        /// Where.
        at: Coord<f64>,
    },
    /// A hole reaches outside its outer ring.
    HoleOutside {
        /// Which hole.
        ring: RingPlace,
        /// A corner of the ground that is outside.
        at: Coord<f64>,
    },
    /// Two holes of a part lie over each other.
    HolesOverlap {
        /// The one hole.
        ring: RingPlace,
        /// The other, further on.
        other: RingPlace,
        /// A corner of the ground that is in both.
        at: Coord<f64>,
    },
    /// Two parts lie over each other: some ground is drawn twice.
    PartsOverlap {
        /// Outer ring of the one part.
        ring: RingPlace,
        /// Outer ring of the other, further on.
        other: RingPlace,
        /// A corner of the ground that is in both.
        at: Coord<f64>,
    },
    /// Holes leave next to nothing of a part.
    HolesFill {
        /// Outer ring of the part.
        ring: RingPlace,
        /// Acres inside of it.
        inside: f64,
        /// Acres that the holes leave.
        left: f64,
    },
    /// A ring encloses no ground.
    ZeroArea {
        /// Which ring.
        ring: RingPlace,
    },
}

impl ShapeFault {
    /// Whether acres may come out wrong because of it. The others may be passed over.
    #[must_use]
    pub fn serious(&self) -> bool {
        !matches!(self, ShapeFault::DuplicatePoint { .. } | ShapeFault::SelfTouch { .. })
    }

    /// How to fix it in a field's boundary.
    #[must_use]
    pub fn fix(&self) -> &'static str {
        match self {
            ShapeFault::HolesFill { .. } => "take the hole out, or draw it where no litter goes",
            _ => "draw the boundary again, corner by corner around the field",
        }
    }

    /// Where it is, if it is at one place that can be shown on a map.
    #[must_use]
    pub fn at(&self) -> Option<Coord<f64>> {
        use ShapeFault as F;
        match *self {
            F::OutOfRange { at, .. }
            | F::DuplicatePoint { at, .. }
            | F::Spike { at, .. }
            | F::SelfCrossing { at, .. }
            | F::SelfTouch { at, .. }
            | F::HoleOutside { at, .. }
            | F::HolesOverlap { at, .. }
            | F::PartsOverlap { at, .. } => Some(at),
            F::Empty
            | F::TooWide
            | F::TooFewPoints { .. }
            | F::NotFinite { .. }
            | F::HolesFill { .. }
            | F::ZeroArea { .. } => None,
        }
    }
}

impl fmt::Display for ShapeFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        use ShapeFault as F;
        match *self {
            F::Empty => write!(f, "the boundary has no corners"),
            F::TooWide => write!(f, "the boundary spans more than {MOST_SPAN_DEGREES} degrees"),
            F::TooFewPoints { .. } => write!(f, "a ring needs at least three different corners"),
            F::NotFinite { corner, .. } => write!(f, "corner {} is not a number", corner + 1),
            F::OutOfRange { .. } => {
                write!(
                    f,
                    "a corner is not a longitude (-180 to 180) and latitude (-{MOST_LATITUDE} to {MOST_LATITUDE})"
                )
            }
            F::DuplicatePoint { .. } => write!(f, "a corner is there twice"),
            F::Spike { .. } => write!(f, "the line runs out to a point and straight back"),
            F::SelfCrossing { .. } => write!(f, "the line crosses itself"),
            F::SelfTouch { .. } => write!(f, "the line touches itself"),
            F::HoleOutside { .. } => write!(f, "a hole reaches outside the boundary"),
            F::HolesOverlap { .. } => write!(f, "two holes overlap"),
            F::PartsOverlap { .. } => write!(f, "two parts overlap"),
            F::HolesFill { inside, left, .. } if left < 0.005 => {
                write!(f, "a hole takes all of the {inside:.2} ac inside the line")
            }
            F::HolesFill { inside, left, .. } => {
                write!(f, "a hole takes all but {left:.2} of the {inside:.2} ac inside the line")
            }
            F::ZeroArea { .. } => write!(f, "a ring encloses no ground"),
        }?;
        match self.at() {
            // Numbers that are no degrees are shown as they were written.
            Some(at) if matches!(self, F::OutOfRange { .. }) => {
                write!(f, " at longitude {}, latitude {}", coordinate_text(at.x), coordinate_text(at.y))
            }
            Some(at) => write!(f, " at longitude {:.6}, latitude {:.6}", at.x, at.y),
            None => Ok(()),
        }
    }
}
