//! A row of pans across the swath: how even the passes are together.

use serde::Serialize;

/// Fewest pans that make a pattern.
pub(crate) const FEWEST_PANS: usize = 3;

/// What fell into pans of equal spacing, left to right; the spreader drove
/// over the middle of the row.
#[derive(Clone, Debug, PartialEq)]
pub struct Pattern {
    spacing_ft: f64,
    weights: Vec<f64>,
}

/// How uneven a row of places is: the coefficient of variation in percent,
/// 100 s / mean.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Uneven {
    /// With s over n - 1, which is what is reported.
    pub percent: f64,
    /// With s over n.
    pub percent_n: f64,
}

/// The overlapped swath at one distance between passes.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Overlap {
    /// Distance between passes.
    pub swath_ft: f64,
    /// What lies on one pan's ground on the average, in the pans' unit.
    pub mean: f64,
    /// Driven round and round: the left of a pass lies on the right of the next.
    pub round: Uneven,
    /// Driven back and forth: left lies on left, right on right.
    pub back_and_forth: Uneven,
}

impl Overlap {
    /// The worse of the two ways of driving, in percent.
    #[must_use]
    pub fn worse(&self) -> f64 {
        self.round.percent.max(self.back_and_forth.percent)
    }
}

impl Pattern {
    /// A pattern; none with fewer than three pans, a spacing or a weight that
    /// is no number of a scale, or nothing caught.
    #[must_use]
    pub fn new(spacing_ft: f64, weights: Vec<f64>) -> Option<Pattern> {
        let good = |w: &f64| w.is_finite() && *w >= 0.0;
        let caught: f64 = weights.iter().sum();
        let sound = weights.len() >= FEWEST_PANS
            && weights.iter().all(good)
            && caught.is_finite()
            && caught > 0.0
            && spacing_ft.is_finite()
            && spacing_ft > 0.0;
        sound.then_some(Pattern { spacing_ft, weights })
    }

    /// Everything caught.
    #[must_use]
    pub fn sum(&self) -> f64 {
        self.weights.iter().sum()
    }

    /// The share that fell left and right of the middle, in percent. The middle
    /// pan counts half on each side.
    #[must_use]
    pub fn sides(&self) -> (f64, f64) {
        let half = self.weights.len() / 2;
        let left: f64 = self.weights.iter().take(half).sum();
        let right: f64 = self.weights.iter().rev().take(half).sum();
        let middle = (self.sum() - left - right) / 2.0;
        let share = |side: f64| (side + middle) / self.sum() * 100.0;
        (share(left), share(right))
    }

    /// What a pan's ground gets on the average when passes lie this far apart:
    /// sum x spacing / swath.
    #[must_use]
    pub fn mean_at(&self, swath_ft: f64) -> Option<f64> {
        let mean = self.sum() * self.spacing_ft / swath_ft;
        (mean.is_finite() && mean > 0.0).then_some(mean)
    }

    /// The overlapped swath at every whole number of spacings, from two up to
    /// the whole row.
    #[must_use]
    pub fn overlaps(&self) -> Vec<Overlap> {
        (2..self.weights.len()).filter_map(|pans| self.overlap(pans)).collect()
    }

    /// The overlapped swath with passes so many pans apart.
    fn overlap(&self, pans: usize) -> Option<Overlap> {
        let round = self.laid(pans, false);
        Some(Overlap {
            swath_ft: pans as f64 * self.spacing_ft,
            mean: round.iter().sum::<f64>() / round.len() as f64,
            round: uneven(&round)?,
            back_and_forth: uneven(&self.laid(pans, true))?,
        })
    }

    /// What lies on each pan's ground over one period: one swath round and
    /// round; two swaths back and forth, every second pass turned about.
    fn laid(&self, pans: usize, turned: bool) -> Vec<f64> {
        let period = if turned { 2 * pans } else { pans };
        let mut ground = vec![0.0; period];
        for (i, weight) in self.weights.iter().enumerate() {
            ground[i % period] += weight;
        }
        if turned {
            for (i, weight) in self.weights.iter().rev().enumerate() {
                ground[(i + pans) % period] += weight;
            }
        }
        ground
    }

    /// The widest swath of `overlaps` whose worse way of driving is not more
    /// uneven than `limit` percent.
    #[must_use]
    pub fn widest(&self, limit: f64) -> Option<f64> {
        self.overlaps().iter().filter(|o| o.worse() <= limit).map(|o| o.swath_ft).reduce(f64::max)
    }

    /// The swath by the half-rate rule: from where half of the middle's rate
    /// falls on the left to where it falls on the right, straight lines between
    /// pans. None where a side does not fall to half within the row.
    #[must_use]
    pub fn half_rate(&self) -> Option<f64> {
        let n = self.weights.len();
        // The middle pan, or both where the middle lies between two.
        let (left, right) = ((n - 1) / 2, n / 2);
        let middle = (self.weights[left] + self.weights[right]) / 2.0;
        let start = (right - left) as f64 / 2.0;
        let to_the_left: Vec<f64> = self.weights[..=left].iter().rev().copied().collect();
        let one_side = |side: &[f64]| fall(side, middle / 2.0, start);
        let spacings = one_side(&to_the_left)? + one_side(&self.weights[right..])?;
        (middle > 0.0).then_some(spacings * self.spacing_ft)
    }
}

/// How many spacings from the middle a side falls to `half`, when its first
/// pan stands `start` spacings from there.
fn fall(side: &[f64], half: f64, start: f64) -> Option<f64> {
    let at = side.iter().position(|w| *w <= half)?;
    let (to, from) = (side[at], at.checked_sub(1).map(|before| side[before]));
    let part = from.map_or(0.0, |from| (from - half) / (from - to) - 1.0);
    Some(start + at as f64 + part)
}

/// The coefficient of variation of some places, weights taken against the
/// largest so that no square runs over. None for fewer than two places or
/// nothing on them.
fn uneven(ground: &[f64]) -> Option<Uneven> {
    let most = ground.iter().copied().fold(0.0, f64::max);
    if ground.len() < 2 || most <= 0.0 || !most.is_finite() {
        return None;
    }
    let n = ground.len() as f64;
    let mean = ground.iter().map(|g| g / most).sum::<f64>() / n;
    let squares: f64 = ground.iter().map(|g| (g / most - mean).powi(2)).sum();
    let percent = |over: f64| 100.0 * (squares / over).sqrt() / mean;
    Some(Uneven { percent: percent(n - 1.0), percent_n: percent(n) })
}
