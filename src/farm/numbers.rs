//! Numbers of the farm's files that are read in more than one block.

use crate::findings::{At, Finding, Findings};
use crate::text::Walker;
use crate::units::{Quantity, Weight, number};

/// A number that has no unit, such as a pH.
pub(super) fn plain(
    walk: &Walker<'_>,
    key: &'static str,
    bounds: std::ops::RangeInclusive<f64>,
    findings: &mut Findings,
) -> Option<At<f64>> {
    let text = walk.text(key, findings)?;
    match number(&text.value).filter(|v| bounds.contains(v)) {
        Some(value) => Some(At { value, place: text.place }),
        None => {
            let found = format!("`{key}` is `{}`", text.value);
            let accepts = format!("a number from {} to {}, without a unit", bounds.start(), bounds.end());
            findings.push(Finding::error("plain-number", &text.place, found).accepts(accepts));
            None
        }
    }
}

pub(super) fn need_plain(
    walk: &Walker<'_>,
    key: &'static str,
    bounds: std::ops::RangeInclusive<f64>,
    findings: &mut Findings,
) -> Option<At<f64>> {
    walk.need(key, "a number without a unit", findings)?;
    plain(walk, key, bounds, findings)
}

pub(super) fn need_whole<T: TryFrom<i64>>(
    walk: &Walker<'_>,
    key: &'static str,
    least: i64,
    most: i64,
    findings: &mut Findings,
) -> Option<At<T>> {
    walk.need(key, "a whole number", findings)?;
    whole(walk, key, least, most, findings)
}

/// A whole number, such as a year.
pub(super) fn whole<T: TryFrom<i64>>(
    walk: &Walker<'_>,
    key: &'static str,
    least: i64,
    most: i64,
    findings: &mut Findings,
) -> Option<At<T>> {
    let text = walk.text(key, findings)?;
    let read = text.value.parse::<i64>().ok().filter(|n| (least..=most).contains(n)).and_then(|n| T::try_from(n).ok());
    match read {
        Some(value) => Some(At { value, place: text.place }),
        None => {
            let found = format!("`{key}` is `{}`", text.value);
            findings.push(
                Finding::error("whole-number", &text.place, found)
                    .accepts(format!("a whole number from {least} to {most}")),
            );
            None
        }
    }
}

/// A quantity that must not be nothing.
pub(super) fn above_zero<Q: Quantity>(read: Option<At<Q>>, key: &str, findings: &mut Findings) -> Option<At<Q>> {
    let at = read?;
    if at.value.get() > 0.0 {
        return Some(at);
    }
    findings.push(Finding::error("zero", &at.place, format!("`{key}` is 0")).accepts("more than 0"));
    None
}

/// Gross less what it weighs without litter.
pub(super) fn net_of(
    gross: At<Weight>,
    empty: &At<Weight>,
    called: &str,
    findings: &mut Findings,
) -> Option<At<Weight>> {
    let net = gross.value.get() - empty.value.get();
    match Weight::new(net).ok().filter(|n| n.get() > 0.0) {
        Some(value) => Some(At { value, place: gross.place }),
        None => {
            let found = format!("gross {} is not above {called} {}", gross.value, empty.value);
            findings.push(
                Finding::error("gross-below-empty", &gross.place, found)
                    .accepts("a gross weight above the empty one")
                    .fix("compare with the ticket: are the two mixed up?")
                    .also(&empty.place, called),
            );
            None
        }
    }
}
