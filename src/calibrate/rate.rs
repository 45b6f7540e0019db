//! Rates out of weights, lengths and speeds. What does not come to a positive,
//! finite number is none.

/// Square feet in an acre.
const SQUARE_FEET_PER_ACRE: f64 = 43_560.0;
/// Pounds in a short ton.
const POUNDS_PER_TON: f64 = 2_000.0;
/// Feet in a mile over minutes in an hour: a mile an hour in feet a minute.
const FEET_A_MINUTE_PER_MPH: f64 = 5_280.0 / 60.0;

/// A positive, finite number.
fn sound(value: f64) -> Option<f64> {
    (value.is_finite() && value > 0.0).then_some(value)
}

/// Tons per acre of so many pounds on so many square feet: lb x 21.78 / ft2,
/// where 21.78 = 43,560 / 2,000.
#[must_use]
pub fn sheet_rate(pounds: f64, square_feet: f64) -> Option<f64> {
    sound(sound(pounds)? / sound(square_feet)? * (SQUARE_FEET_PER_ACRE / POUNDS_PER_TON))
}

/// Acres of a run: width of a pass x distance / 43,560.
#[must_use]
pub fn acres_run(width_ft: f64, distance_ft: f64) -> Option<f64> {
    sound(sound(width_ft)? * sound(distance_ft)? / SQUARE_FEET_PER_ACRE)
}

/// Tons per acre of a load on the acres it covered.
#[must_use]
pub fn load_rate(tons: f64, acres: f64) -> Option<f64> {
    sound(sound(tons)? / sound(acres)?)
}

/// Pounds in a cubic foot by a bucket: net weight x the published factor.
#[must_use]
pub fn bucket_density(net_lb: f64, factor: f64) -> Option<f64> {
    sound(sound(net_lb)? * sound(factor)?)
}

/// The rate at another distance between passes. The same litter falls on more
/// or less ground: rate and swath are inversely proportional.
#[must_use]
pub fn over_width(rate: f64, width_ft: f64, swath_ft: f64) -> Option<f64> {
    sound(sound(rate)? * sound(width_ft)? / sound(swath_ft)?)
}

/// Pounds that leave the spreader in a minute: t/ac x 2,000 x ft x mph / 495,
/// where 495 = 43,560 / 88 and 88 ft a minute is a mile an hour.
#[must_use]
pub fn pounds_per_minute(rate: f64, swath_ft: f64, mph: f64) -> Option<f64> {
    let per_acre = SQUARE_FEET_PER_ACRE / FEET_A_MINUTE_PER_MPH;
    sound(sound(rate)? * POUNDS_PER_TON * sound(swath_ft)? * sound(mph)? / per_acre)
}
