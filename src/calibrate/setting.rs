//! The setting for a rate, from the settings that were measured. Gate and
//! chain stay as they were: only the speed changes.

use serde::{Deserialize, Serialize};

/// A measured setting.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// Everything that is set but the speed, such as `gate 6 in`.
    pub words: String,
    /// Speed in miles an hour.
    pub mph: f64,
    /// Tons per acre at the farm's swath.
    pub rate: f64,
}

/// How sure a setting is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Certainty {
    /// Measured just so, to a tenth of a mile an hour.
    Measured,
    /// Reckoned, at a speed between two that were measured at that setting.
    Between,
    /// Reckoned, at a speed that lies beyond what was measured.
    Beyond,
}

/// The setting for a rate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Setting {
    /// Place of the run that it rests on.
    pub run: usize,
    /// The speed to drive, in miles an hour.
    pub mph: f64,
    /// How sure it is.
    pub sure: Certainty,
}

/// The setting for `wanted` tons per acre: new speed = old speed x measured
/// rate / wanted rate. Of several runs the surest is taken, then the one whose
/// rate lies nearest, then the first.
#[must_use]
pub fn setting(wanted: f64, runs: &[Run]) -> Option<Setting> {
    let good = |v: f64| v.is_finite() && v > 0.0;
    let sound = |run: &Run| good(run.mph) && good(run.rate);
    let one = |(i, run): (usize, &Run)| {
        let mph = run.mph * (run.rate / wanted);
        if !good(mph) || !sound(run) {
            return None;
        }
        let alike = || runs.iter().filter(|r| r.words == run.words && sound(r)).map(|r| r.mph);
        let (slow, fast) = (alike().fold(f64::INFINITY, f64::min), alike().fold(0.0, f64::max));
        let sure = if tenths(mph) == tenths(run.mph) {
            Certainty::Measured
        } else if (slow..=fast).contains(&mph) {
            Certainty::Between
        } else {
            Certainty::Beyond
        };
        Some(((run.rate / wanted).ln().abs(), Setting { run: i, mph, sure }))
    };
    let all = runs.iter().enumerate().filter(|_| good(wanted)).filter_map(one);
    all.min_by(|(far, a), (other, b)| a.sure.cmp(&b.sure).then(far.total_cmp(other)).then(a.run.cmp(&b.run)))
        .map(|(_, setting)| setting)
}

/// A speed as it is shown.
fn tenths(mph: f64) -> f64 {
    (mph * 10.0).round()
}
