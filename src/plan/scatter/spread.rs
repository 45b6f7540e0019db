//! How far things scatter: the farm's own values before the tables.

use crate::check::{Field, Ready};
use crate::farm::{Measure, YieldYear};
use crate::findings::{Cite, Known};
use crate::plan::answer::{Spread, SpreadFrom};
use crate::plan::draws::normal_quantile;
use crate::tables::{Book, Of, Scope, topic};
use crate::units::{POUNDS_PER_TON, Percent, Quantity};

/// A scatter with the papers of its figure.
pub(super) struct Cited {
    pub(super) spread: Spread,
    pub(super) cite: Option<Cite>,
}

impl Cited {
    /// The standard deviation as a share of the mean; nothing where nobody knows it.
    pub(super) fn share(&self) -> f64 {
        self.spread.percent.unwrap_or(0.0) / 100.0
    }
}

/// The farm's own values, where two or more tell it; else the tables'.
pub(super) fn of(
    what: impl Into<String>,
    own: &[f64],
    book: &Book<'_>,
    (topic, scope): (Of<Percent>, &Scope<'_>),
) -> Cited {
    let of = what.into();
    if let Some(share) = of_own(own) {
        let (percent, from) = (Some(share * 100.0), SpreadFrom::Own);
        return Cited { spread: Spread { of, percent, from, values: own.len(), known: Known::Read }, cite: None };
    }
    let figure = book.get(topic, scope);
    let (percent, known) = (figure.as_ref().map(|f| f.value.get()), figure.as_ref().map(|f| f.cite.known));
    let from = if percent.is_some() { SpreadFrom::Tables } else { SpreadFrom::Nobody };
    let spread = Spread { of, percent, from, values: 0, known: known.unwrap_or_default() };
    Cited { spread, cite: figure.map(|figure| figure.cite) }
}

/// The standard deviation of some values over their mean, made wider where they are few; none of
/// fewer than two, or where their mean is nothing.
fn of_own(values: &[f64]) -> Option<f64> {
    let many = values.len() as f64;
    let mean = values.iter().sum::<f64>() / many;
    if values.len() < 2 || mean <= 0.0 || !mean.is_finite() {
        return None;
    }
    let squares: f64 = values.iter().map(|value| (value - mean) * (value - mean)).sum();
    Some((squares / (many - 1.0)).sqrt() / mean * few(values.len()))
}

/// How much wider a band must be that holds 80 of 100 where the scatter is that of few values:
/// Student's t over the bell curve's (its 90 % points; those of up to ten values less one were
/// calculated by adding up its curve, beyond that by the first term of its series).
fn few(values: usize) -> f64 {
    const T: [f64; 10] = [3.0777, 1.8856, 1.6377, 1.5332, 1.4759, 1.4398, 1.4149, 1.3968, 1.3830, 1.3722];
    let z = normal_quantile(0.9);
    let free = values.saturating_sub(1).max(1);
    let t = T.get(free - 1).copied().unwrap_or(z + (z * z * z + z) / (4.0 * free as f64));
    t / z
}

/// Of a field's yield.
pub(super) fn of_yields(field: &Field, book: &Book<'_>) -> Cited {
    let own: Vec<f64> = field.written.yields.iter().map(tons).collect();
    let scope = Scope::new().forage(&field.written.forage.value);
    of("yield", &own, book, (topic::YIELD_SPREAD, &scope))
}

/// Tons of dry hay an acre.
fn tons(year: &YieldYear) -> f64 {
    match &year.measure {
        Measure::Tons(tons) => tons.value.get(),
        Measure::Rolls { rolls, weight, moisture, acres } => {
            let dry = 1.0 - moisture.value.get() / 100.0;
            rolls.value * weight.value.get() * dry / POUNDS_PER_TON as f64 / acres.value.get()
        }
        Measure::Logged { cuttings, acres } => {
            cuttings.iter().map(|hay| hay.tons.value * (1.0 - hay.moisture / 100.0)).sum::<f64>() / acres
        }
    }
}

/// Of the rate on a field as a whole.
pub(super) fn of_rate(book: &Book<'_>) -> Cited {
    of("rate of the field", &[], book, (topic::RATE_SPREAD, &Scope::new()))
}

/// Of what lies on a spot: as the newest row of pans has it at the swath that is driven.
pub(super) fn of_placement(ready: &Ready, book: &Book<'_>) -> Cited {
    let published = of("litter on a spot", &[], book, (topic::PLACEMENT_SPREAD, &Scope::new()));
    let Some(calibration) = &ready.calibration else { return published };
    let newest = calibration.patterns.iter().max_by_key(|thrown| thrown.date);
    let off = |swath: f64| (swath - calibration.swath_ft).abs();
    let overlaps = newest.iter().flat_map(|thrown| &thrown.overlaps);
    let Some(own) = overlaps.min_by(|a, b| off(a.swath_ft).total_cmp(&off(b.swath_ft))) else { return published };
    let pans = newest.map_or(0, |thrown| thrown.pans);
    let spread = Spread {
        percent: Some(own.worse()),
        from: SpreadFrom::Own,
        values: pans,
        known: Known::Read,
        ..published.spread
    };
    Cited { spread, cite: None }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn few_values_make_a_wider_band() {
        // By hand: 8 and 12 lie 2.83 apart from their mean of 10 by n - 1; t is 3.078.
        let two = of_own(&[8.0, 12.0]).unwrap_or_default();
        assert!((two - 0.282_843 * 3.0777 / 1.281_552).abs() < 1e-5, "{two}");
        let wide: Vec<f64> = (2..40).map(few).collect();
        assert!(wide.windows(2).all(|pair| pair[0] > pair[1]) && wide[37] > 1.0, "{wide:?}");
        for none in [&[][..], &[3.0], &[0.0, 0.0], &[f64::NAN, 1.0], &[f64::INFINITY, 1.0]] {
            assert_eq!(of_own(none), None, "{none:?}");
        }
        assert_eq!(of_own(&[4.0, 4.0, 4.0]), Some(0.0));
    }
}
