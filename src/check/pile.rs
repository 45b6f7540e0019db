//! The volume of a pile, in cubic feet. Plain geometry: a foot round or four
//! walls, sides that are straight.

use crate::farm::PileForm;
use crate::findings::At;
use crate::units::{Length, Quantity, trimmed};
use std::f64::consts::PI;

/// Feet of a measure.
fn ft(at: &At<Length>) -> f64 {
    at.value.get()
}

/// Cubic feet of a pile.
///
/// - Cone: pi r2 h / 3 with r = around / (2 pi), hence around2 h / (12 pi).
/// - Windrow: the trapezoid h (foot + top) / 2 along the straight part, which
///   is the length less the width; its round ends make one stump of a cone,
///   pi h (R2 + R r + r2) / 3 with R and r half the widths.
/// - Bin: width x length x height.
pub(super) fn cubic_feet(form: &PileForm) -> f64 {
    match form {
        PileForm::Cone { around, height } => ft(around).powi(2) * ft(height) / (12.0 * PI),
        PileForm::Windrow { width, top, height, length } => {
            let (w, t, h) = (ft(width), top.as_ref().map_or(0.0, ft), ft(height));
            let straight = (ft(length) - w).max(0.0);
            let (foot, peak) = (w / 2.0, t / 2.0);
            let ends = PI * h * (foot * foot + foot * peak + peak * peak) / 3.0;
            h * (w + t) / 2.0 * straight + ends
        }
        PileForm::Bin { width, length, height } => ft(width) * ft(length) * ft(height),
    }
}

/// A pile in words.
pub(super) fn words(form: &PileForm) -> String {
    let ft = |at: &At<Length>| trimmed(ft(at));
    match form {
        PileForm::Cone { around, height } => format!("cone {} ft around, {} ft high", ft(around), ft(height)),
        PileForm::Windrow { width, top, height, length } => {
            let top = top.as_ref().map_or(String::new(), |t| format!(" ({} ft on top)", ft(t)));
            format!("windrow {} ft wide{top}, {} ft high, {} ft long", ft(width), ft(height), ft(length))
        }
        PileForm::Bin { width, length, height } => {
            format!("bin {} x {} ft, {} ft deep", ft(width), ft(length), ft(height))
        }
    }
}
