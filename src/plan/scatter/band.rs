//! Bands of draws.

use crate::plan::answer::Band;

/// So many draws are made of everything.
pub(super) const DRAWS: usize = 4_000;
/// Below the lower end of a band, and above the upper one, lies this share of the draws.
const BESIDE: f64 = 0.1;

/// The band of some draws around what is planned.
pub(super) fn band(planned: f64, mut draws: Vec<f64>) -> Band {
    let (low, high) = (ranked(&mut draws, BESIDE), ranked(&mut draws, 1.0 - BESIDE));
    Band { planned, low, high }
}

/// The value that a share of the draws lies below, each draw standing in the middle of its slice.
fn ranked(draws: &mut [f64], share: f64) -> f64 {
    if draws.is_empty() {
        return 0.0;
    }
    let last = draws.len() - 1;
    let rank = (share * draws.len() as f64 - 0.5).clamp(0.0, last as f64);
    let at = rank.floor() as usize;
    let (_, low, above) = draws.select_nth_unstable_by(at, f64::total_cmp);
    let low = *low;
    let next = above.iter().copied().fold(f64::INFINITY, f64::min);
    // Equal ends stay as they are, to the last digit.
    if next.is_finite() && next > low { low + (next - low) * (rank - at as f64) } else { low }
}

/// The share of the draws for which something holds.
pub(super) fn share(holds: impl Fn(usize) -> bool) -> f64 {
    (0..DRAWS).filter(|draw| holds(*draw)).count() as f64 / DRAWS as f64
}

/// The mean of the draws.
pub(super) fn mean(of: impl Fn(usize) -> f64) -> f64 {
    (0..DRAWS).map(of).sum::<f64>() / DRAWS as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_band_leaves_a_tenth_below_and_a_tenth_above() {
        // By hand: of 1 to 10 the first tenth ends between 1 and 2.
        let band = band(5.0, (1..=10).map(f64::from).collect());
        assert!((band.low - 1.5).abs() < 1e-12 && (band.high - 9.5).abs() < 1e-12, "{band:?}");
        assert_eq!(super::band(3.0, vec![3.0; 7]), Band { planned: 3.0, low: 3.0, high: 3.0 });
        assert_eq!(super::band(0.0, Vec::new()), Band::default());
    }
}
