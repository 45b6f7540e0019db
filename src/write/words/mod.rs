//! Days, tons and places in the words of the sheets.

pub(in crate::write) mod en;
pub(in crate::write) mod line;

use crate::balance::Haul;
use crate::findings::{Known, Origin, is_hidden};
use crate::plan::answer::{Application, Caution, FieldPlan, Plan};
use crate::units::{number_text, trimmed};
use geo::Coord;
use jiff::civil::Date;
use line::{Line, Look};

/// A place, linked as `geo:35.734143,-79.470350` (RFC 5870: latitude first).
pub(in crate::write) fn spot(at: Coord<f64>) -> Line {
    Line::of(Look::Link(format!("geo:{:.6},{:.6}", at.y, at.x)), format!("{:.5}, {:.5}", at.y, at.x))
}

/// How long the road is known to be.
pub(in crate::write) fn way(haul: &Haul) -> String {
    match (haul.straight, haul.detour) {
        (_, None) => en::OWN_COUNT.to_string(),
        (Some(straight), Some(times)) if times > 1.0 => en::by_road(number_text(straight, 2), trimmed(times)),
        _ => en::STRAIGHT.to_string(),
    }
}

/// `Feb 15, 2027`.
pub(in crate::write) fn day(date: Date) -> String {
    date.strftime("%b %-d, %Y").to_string()
}

/// `Feb 15 to Mar 31, 2027`.
pub(in crate::write) fn days(first: Date, last: Date) -> String {
    if first.year() == last.year() {
        format!("{} to {}", first.strftime("%b %-d"), day(last))
    } else {
        format!("{} to {}", day(first), day(last))
    }
}

/// The name of a field for one of its jobs: with the days, where it has several.
pub(in crate::write) fn title(field: &FieldPlan, on: &Application) -> String {
    match field.applications.as_slice() {
        [_, _, ..] => format!("{}, {}", field.name, days(on.starts(), on.last)),
        _ => field.name.clone(),
    }
}

/// The year of a plan that stays within one: pages name it once, at the top.
pub(in crate::write) fn one_year(plan: &Plan) -> Option<i16> {
    (plan.from.year() == plan.to.year()).then(|| plan.from.year())
}

/// A day without the year, where that is the plan's own.
pub(in crate::write) fn day_of(year: Option<i16>, date: Date) -> String {
    if year == Some(date.year()) { date.strftime("%b %-d").to_string() } else { day(date) }
}

/// The same for a span of days.
pub(in crate::write) fn days_of(year: Option<i16>, first: Date, last: Date) -> String {
    if year == Some(first.year()) && year == Some(last.year()) {
        format!("{} to {}", first.strftime("%b %-d"), last.strftime("%b %-d"))
    } else {
        days(first, last)
    }
}

/// Text without what XML forbids or what could turn the letters after it
/// around: control characters, non-characters, marks of direction.
pub(in crate::write) fn xml(text: &str) -> String {
    text.chars().filter(|c| !c.is_control() && !is_hidden(*c)).collect()
}

/// Text fit to stand in HTML or SVG, without what could not be seen there.
pub(in crate::write) fn escaped(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' | '<' | '>' | '"' | '\'' => safe += &format!("&#{};", u32::from(letter)),
            hidden if hidden != '\n' && (hidden.is_control() || is_hidden(hidden)) => {}
            _ => safe.push(letter),
        }
    }
    safe
}

/// A caution with the fields and days at which it matters.
pub(in crate::write) fn said(caution: &Caution) -> Line {
    with_known(caution.sentence(), caution)
}

/// A caution on the sheet of a field, which carries its days.
pub(in crate::write) fn told(caution: &Caution) -> Line {
    with_known(caution.text.clone(), caution)
}

/// A text, with how it is known where that is not from its source.
fn with_known(text: String, caution: &Caution) -> Line {
    let known = match &caution.origin {
        Origin::Figure(cite) if cite.known == Known::Memory => en::FROM_MEMORY,
        Origin::Figure(cite) if cite.known == Known::Applied => en::APPLIED,
        Origin::Figure(cite) if cite.known == Known::CommonPractice => en::COMMON_PRACTICE,
        _ => "",
    };
    Line::plain(text).and(Line::of(Look::Small, known))
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn a_link_names_latitude_first() {
        let spot = spot(geo::coord! { x: -79.47035, y: 35.734143 });
        assert_eq!(spot.0[0].0, Look::Link("geo:35.734143,-79.470350".to_string()));
        assert_eq!(spot.text(), "35.73414, -79.47035");
    }

    #[test]
    fn the_year_is_named_once_where_once_will_do() {
        assert_eq!(days(date(2027, 2, 15), date(2027, 3, 31)), "Feb 15 to Mar 31, 2027");
        assert_eq!(days(date(2026, 11, 1), date(2027, 2, 28)), "Nov 1, 2026 to Feb 28, 2027");
    }
}
