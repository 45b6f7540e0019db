//! Rounding, always by name and always to the safe side of a limit.

/// Guards against a quotient such as 2.9999999996 that should be 3: far
/// smaller than any step in use, far larger than the error of one division.
const SLACK: f64 = 1e-9;

/// The largest multiple of `step` that is not above `value`. Zero for a
/// value or step that is not positive.
#[must_use]
pub fn down_to(value: f64, step: f64) -> f64 {
    if !(value > 0.0 && step > 0.0) {
        return 0.0;
    }
    (value / step + SLACK).floor() * step
}

/// Acres that are left of a field where some are done. Both are shown to the hundredth: what is
/// left is the field less what is shown as done, so that the two make up the field wherever one
/// of them is read.
#[must_use]
pub fn acres_left(acres: f64, done: f64) -> f64 {
    let hundredths = |acres: f64| (acres * 100.0).round();
    (hundredths(down_to(acres, 0.01)) - hundredths(done)).max(0.0) / 100.0
}

/// The whole number at or below `value`; zero when it is negative.
#[must_use]
pub fn whole_down(value: f64) -> i64 {
    // Saturating by definition of `as`; quantities are bounded far below it.
    (value + 1e-6).floor().max(0.0) as i64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn down_never_goes_above() {
        assert_eq!(down_to(2.99, 0.25), 2.75);
        assert_eq!(down_to(3.0, 0.25), 3.0);
        assert_eq!(down_to(0.1 + 0.2, 0.1), 0.30000000000000004);
        assert_eq!(down_to(-1.0, 0.25), 0.0);
        assert_eq!(down_to(f64::NAN, 0.25), 0.0);
    }
}
