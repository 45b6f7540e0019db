//! Acres as other programs get them.

/// Hundredths, without the dust of the last bits.
pub(in crate::write) fn to_hundredths(acres: f64) -> f64 {
    (acres * 100.0).round() / 100.0
}
