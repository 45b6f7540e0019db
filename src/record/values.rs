//! What the cells of an entry say, as numbers in the log's own units.

use crate::units::{
    Acres, Days, LbPerAcre, POUNDS_PER_TON, Percent, Pounds, Quantity, Tons, TonsPerAcre, in_unit, number, quantity,
};

/// A quantity; a bare number is in the unit that is named.
fn or_bare<Q: Quantity>(text: &str, unit: &str) -> Option<Q> {
    if let Some(number) = number(text) {
        return in_unit(number, unit).ok();
    }
    quantity(text).or_else(|_| quantity(&format!("{text} {unit}"))).ok()
}

/// A mass: a bare number is tons.
pub(super) fn mass(text: &str) -> Option<Pounds> {
    Some(Pounds::from_tons_down(or_bare::<Tons>(text, "tons")?.get()))
}

pub(super) fn positive(text: &str) -> Option<f64> {
    number(text).filter(|n| *n > 0.0 && *n <= 1_000_000.0)
}

pub(super) fn inches(text: &str) -> Option<f64> {
    let bare = ["inches", "inch", "in", "\""].iter().find_map(|unit| text.strip_suffix(unit)).unwrap_or(text);
    number(bare.trim()).filter(|n| (0.0..=100.0).contains(n))
}

/// Days that one rain can cost at most: those of a year, as long as a plan runs.
const MOST_DAYS: f64 = 366.0;

pub(super) fn days(text: &str) -> Option<f64> {
    Some(or_bare::<Days>(text, "days")?.get()).filter(|days| *days <= MOST_DAYS)
}

pub(super) fn acres(text: &str) -> Option<f64> {
    Some(or_bare::<Acres>(text, "ac")?.get()).filter(|a| *a >= LEAST_ACRES)
}

/// Least ground that an entry can cover: acres are shown to the hundredth.
const LEAST_ACRES: f64 = 0.01;

/// Pounds of a product per acre. The unit is asked for: fertilizer is known by
/// the pound, lime by the ton.
pub(super) fn rate(text: &str) -> Option<f64> {
    let by_ton = || quantity::<TonsPerAcre>(text).map(|rate| rate.get() * POUNDS_PER_TON as f64);
    let rate = quantity::<LbPerAcre>(text).map(LbPerAcre::get).or_else(|_| by_ton()).ok()?;
    Some(rate).filter(|rate| (LEAST_RATE..=MOST_RATE).contains(rate))
}

/// Pounds per acre that one trip can put on: 20 tons of lime at most.
const MOST_RATE: f64 = 40_000.0;
/// A tenth of a pound per acre is less than any spreader can hold.
const LEAST_RATE: f64 = 0.1;

pub(super) fn percent(text: &str) -> Option<f64> {
    Some(or_bare::<Percent>(text, "%")?.get()).filter(|percent| *percent < 100.0)
}

pub(super) fn head(text: &str) -> Option<f64> {
    number(text).filter(|n| (0.0..=100_000.0).contains(n) && n.fract() == 0.0)
}

/// What a cell says, where it is of a form of its own.
pub(super) fn parsed<T: std::str::FromStr>(text: &str) -> Option<T> {
    text.parse().ok()
}
