//! What is left of a field in closed form, held against the shape that is drawn of it.
//!
//! The closed form cannot see a ring of edges that is lost whole, nor the overlay engine a piece
//! that was never handed to it. Two ways that share no code do not both lose the same.

use super::plane::SQUARE_FEET_PER_ACRE;
use super::refused::CutRefused;

/// Acres, and share of a field, by which two ways to count may differ.
const AGREE_ACRES: f64 = 0.01;
const AGREE_SHARE: f64 = 1e-4;

/// What is left of a field.
#[derive(Debug, Clone, Copy)]
pub(super) struct Left {
    pub(super) square_feet: f64,
    /// By how much less that is where arcs are drawn with edges, as shapes are.
    pub(super) drawn: f64,
}

impl Left {
    /// Holds it against the square feet of the shape that is drawn of it, of a field of so many.
    pub(super) fn agrees(&self, drawn: f64, gross: f64) -> Result<(), CutRefused> {
        let most = AGREE_ACRES * SQUARE_FEET_PER_ACRE + AGREE_SHARE * gross;
        let off = drawn - self.square_feet;
        if (-most - self.drawn..=most).contains(&off) {
            return Ok(());
        }
        let acres = |feet: f64| feet / SQUARE_FEET_PER_ACRE;
        Err(CutRefused::Differ { closed: acres(self.square_feet), drawn: acres(drawn) })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_ways_that_differ_by_a_setback_are_refused_with_both_figures() {
        let acre = SQUARE_FEET_PER_ACRE;
        // Of a field of 40 acres, with rounds that take up to 0.005 ac more when drawn.
        let left = Left { square_feet: 30.0 * acre, drawn: 0.005 * acre };
        for off in [0.0, 0.0139, -0.0139, -0.0189] {
            assert_eq!(left.agrees((30.0 + off) * acre, 40.0 * acre), Ok(()), "{off}");
        }
        for off in [0.0141, -0.0191, 0.7, -0.7] {
            let refused = left.agrees((30.0 + off) * acre, 40.0 * acre).unwrap_err();
            assert!(refused.to_string().contains(&format!("30.000 by arcs and straight lines, but {:.3}", 30.0 + off)));
        }
        assert!(left.agrees(f64::NAN, 40.0 * acre).is_err());
    }
}
