//! How numbers are written for people.

use crate::units::round::down_to;

/// Dollars to the cent with a comma between thousands: `12,345.60`.
#[must_use]
pub fn to_cents(dollars: f64) -> String {
    let cents = (dollars * 100.0).round() as i64;
    let sign = if cents < 0 { "-" } else { "" };
    format!("{sign}{}.{:02}", grouped((cents / 100).abs()), (cents % 100).abs())
}

/// A whole number with a comma between thousands: `12,345`.
#[must_use]
pub fn grouped(n: i64) -> String {
    let digits = n.unsigned_abs().to_string();
    let mut text = String::new();
    if n < 0 {
        text.push('-');
    }
    for (i, c) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) {
            text.push(',');
        }
        text.push(c);
    }
    text
}

/// A number with a fixed count of decimals and commas between thousands.
/// A negative zero is written without its sign.
#[must_use]
pub fn number_text(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return "-".to_string();
    }
    let plain = format!("{:.*}", decimals, halves_up(value.abs(), decimals));
    let (whole, rest) = plain.split_once('.').map_or((plain.as_str(), ""), |(w, r)| (w, r));
    let whole = whole.parse::<i64>().map_or_else(|_| whole.to_string(), grouped);
    let zero = plain.chars().all(|c| matches!(c, '0' | '.'));
    let sign = if value < 0.0 && !zero { "-" } else { "" };
    if rest.is_empty() { format!("{sign}{whole}") } else { format!("{sign}{whole}.{rest}") }
}

/// A change, rounded as every number is: what rises has a plus, unless nothing is left of it.
#[must_use]
pub fn change_text(value: f64, decimals: usize) -> String {
    let shown = number_text(value, decimals);
    let rises = value > 0.0 && shown.contains(|c| matches!(c, '1'..='9'));
    if rises { format!("+{shown}") } else { shown }
}

/// Slack of a hundredth, as limits are kept.
const HUNDREDTH: f64 = 0.01;

/// A number with so many decimals that never shows more than there is: who goes by it keeps the
/// limit that made it.
#[must_use]
pub fn at_most(value: f64, decimals: u8) -> String {
    number_text(down_to(value, 1.0 / 10_f64.powi(decimals.into())), decimals.into())
}

/// What is allowed, never more than there is, and what is on beside it: with one digit more where
/// whole numbers would say that more is on than is allowed, and it is not.
#[must_use]
pub fn within(allowed: f64, on: f64) -> (String, String) {
    let shown = |decimals: u8| (at_most(allowed, decimals), number_text(on, decimals.into()));
    let passes = |(allowed, on): &(String, String)| {
        let number = |text: &str| text.replace(',', "").parse::<f64>().unwrap_or(0.0);
        number(on) > number(allowed)
    };
    if on > allowed + HUNDREDTH || !passes(&shown(0)) {
        return shown(0);
    }
    let tenths = shown(1);
    if passes(&tenths) { (tenths.0.clone(), tenths.0) } else { tenths }
}

/// A rate with two decimals, more only where the setting has more.
#[must_use]
pub fn rate_text(rate: f64) -> String {
    let (two, all) = (number_text(rate, 2), trimmed(rate));
    if all.len() > two.len() { all } else { two }
}

/// The next larger number that is shown for one that lies half way between two: the way of
/// every desk calculator, where the usual one goes up and down by turns.
fn halves_up(value: f64, decimals: usize) -> f64 {
    let scale = 10_f64.powi(i32::try_from(decimals).unwrap_or(0));
    let scaled = value * scale;
    if scaled.fract() == 0.5 { scaled.ceil() / scale } else { value }
}

/// So many whole days: `1 day`, `21 days`.
#[must_use]
pub fn in_days(days: impl Into<i64>) -> String {
    match days.into() {
        1 => "1 day".to_string(),
        days => format!("{} days", grouped(days)),
    }
}

/// A coordinate as it was written, with seven decimals at most; one that is far beyond all maps,
/// by its power of ten.
#[must_use]
pub fn coordinate_text(value: f64) -> String {
    if !value.is_finite() {
        return "not a number".to_string();
    }
    if value.abs() >= 1e12 {
        return format!("{value:.1e}");
    }
    let text = format!("{value:.7}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_string() } else { text.to_string() }
}

/// A number with as many decimals as it needs, four at most: `0.5`, `58`.
#[must_use]
pub fn trimmed(value: f64) -> String {
    let text = number_text(value, 4);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_string() } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_allowance_is_never_shown_as_more() {
        for (value, decimals, text) in [
            (52.5, 0, "52"),
            (45.99, 0, "45"),
            (0.999, 2, "0.99"),
            (6.6667, 2, "6.66"),
            (3.0, 2, "3.00"),
            (12.1, 1, "12.1"),
            (0.0, 0, "0"),
            (1234.56, 1, "1,234.5"),
        ] {
            assert_eq!(at_most(value, decimals), text);
        }
    }

    #[test]
    fn people_can_read_them() {
        for (value, text) in [
            (-79.5, "-79.5"),
            (35.701_123_4, "35.7011234"),
            (-77.405_123_000_1, "-77.405123"),
            (1_850_000.0, "1850000"),
            (-1e-9, "0"),
            (1e200, "1.0e200"),
            (f64::NAN, "not a number"),
        ] {
            assert_eq!(coordinate_text(value), text);
        }
        assert_eq!(grouped(-1_234_567), "-1,234,567");
        assert_eq!(grouped(0), "0");
        assert_eq!(number_text(1_234.5, 2), "1,234.50");
        assert_eq!(number_text(-0.001, 1), "0.0");
        // Halves go one way, whatever stands before them.
        assert_eq!([52.5, 45.5, -52.5].map(|half| number_text(half, 0)), ["53", "46", "-53"]);
        assert_eq!([0.125, 0.375].map(|half| number_text(half, 2)), ["0.13", "0.38"]);
        assert_eq!(trimmed(58.0), "58");
        assert_eq!(trimmed(0.00016), "0.0002");
        assert_eq!(trimmed(1e6 / 3.0), "333,333.3333");
    }

    #[test]
    fn a_rate_keeps_its_decimals() {
        assert_eq!(rate_text(1.0), "1.00");
        assert_eq!(rate_text(2.125), "2.125");
    }

    #[test]
    fn a_limit_is_never_shown_above_it() {
        assert_eq!(at_most(81.52, 0), "81");
        assert_eq!(at_most(2.345, 2), "2.34");
        assert_eq!(at_most(2.35, 2), "2.35");
    }

    #[test]
    fn what_is_on_never_seems_to_pass_a_limit_that_it_keeps() {
        for (allowed, on, shown) in [
            (52.5, 52.5, ("52.5", "52.5")),
            (52.97, 52.96, ("52.9", "52.9")),
            (52.9, 52.6, ("52.9", "52.6")),
            (53.2, 52.9, ("53", "53")),
            (52.5, 53.4, ("52", "53")),
            (0.0, 0.0, ("0", "0")),
            (1_052.7, 1_052.6, ("1,052.7", "1,052.6")),
        ] {
            assert_eq!(within(allowed, on), (shown.0.to_string(), shown.1.to_string()), "{allowed}, {on}");
        }
    }
}
