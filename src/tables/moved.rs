//! One figure moved by a stated amount, to see what hangs on it.

use crate::tables::figure::{Figure, Tables};
use crate::tables::p_rule::{PBasis, PRule, PSays};
use crate::tables::topic::Topic;
use crate::tables::value::{ClassStep, MonthDay, Season, Shape};
use crate::units::{Quantity, trimmed};
use jiff::ToSpan;
use jiff::civil::Date;
use std::fmt::Display;

/// Which way a figure is moved.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Move {
    /// A number and the ends of classes larger, a season longer.
    Up,
    /// A number and the ends of classes smaller, a season shorter, the basis of a
    /// phosphorus row the next stricter.
    Down,
}

impl Move {
    /// Both ways.
    pub const BOTH: [Move; 2] = [Move::Up, Move::Down];
}

/// How far a number is moved, percent: the first that its quantity can hold. Our own
/// choice, as are the days.
const PERCENT: [f64; 3] = [20.0, 10.0, 5.0];
/// How far each end of a season is moved.
const SEASON_DAYS: i64 = 14;

impl Tables {
    /// The tables with one figure moved in all its editions, and what was moved, in
    /// words. The figure is named with its place, `us-nc/setback.well`. None where it is
    /// not there, or cannot be moved that way.
    #[must_use]
    pub fn moved(&self, figure: &str, way: Move) -> Option<(Tables, String)> {
        let (place, id) = figure.split_once('/')?;
        let mut tables = self.clone();
        let figure = tables.places.get_mut(place)?.figures.iter_mut().find(|own| own.id == id)?;
        let how = figure.shift(way)?;
        Some((tables, how))
    }
}

impl Figure {
    /// Moves it in all its editions by the same; says how, by the last edition.
    fn shift(&mut self, way: Move) -> Option<String> {
        let (topic, unit) = (self.topic, self.unit.clone());
        let live = |shape: &Shape| *shape != Shape::Withdrawn;
        let all = |percent: f64| -> Option<Vec<(Shape, String)>> {
            let shapes = self.editions.iter().map(|e| &e.shape).filter(|shape| live(shape));
            shapes.map(|shape| shifted(topic, shape, &unit, way, percent)).collect()
        };
        let mut moved = PERCENT.into_iter().find_map(all)?.into_iter();
        let mut how = None;
        for edition in self.editions.iter_mut().filter(|e| live(&e.shape)) {
            let (shape, said) = moved.next()?;
            edition.shape = shape;
            how = Some(said);
        }
        how
    }
}

/// One number of a topic moved, and how; none where its quantity cannot hold so much.
#[must_use]
pub fn moved_number(topic: Topic, value: f64, unit: &str, way: Move) -> Option<(f64, String)> {
    let moved = |percent| shifted(topic, &Shape::Number(value), unit, way, percent);
    match PERCENT.into_iter().find_map(moved)? {
        (Shape::Number(value), how) => Some((value, how)),
        _ => None,
    }
}

/// Moves a quantity, and says how; none of zero, or where it cannot hold so much.
pub fn shift_quantity<Q: Quantity + Display>(value: &mut Q, way: Move) -> Option<String> {
    let moved = |percent: f64| {
        let (word, factor) = factor(way, percent);
        let moved = Q::new(value.get() * factor).ok()?;
        Some((moved, format!("{percent} % {word}, to {moved}")))
    };
    let (moved, how) = PERCENT.into_iter().filter(|_| value.get() != 0.0).find_map(moved)?;
    *value = moved;
    Some(how)
}

/// The word for a move by so many percent, and its factor.
fn factor(way: Move, percent: f64) -> (&'static str, f64) {
    match way {
        Move::Up => ("up", 1.0 + percent / 100.0),
        Move::Down => ("down", 1.0 - percent / 100.0),
    }
}

/// A shape moved; a number by so many percent.
fn shifted(topic: Topic, shape: &Shape, unit: &str, way: Move, percent: f64) -> Option<(Shape, String)> {
    let (word, factor) = factor(way, percent);
    let said = format!("{percent} % {word}");
    let (shape, said) = match shape {
        Shape::Number(value) if *value != 0.0 => {
            (Shape::Number(value * factor), format!("{said}, to {}", trimmed(value * factor)))
        }
        Shape::Curve { a, b, c, over } => {
            let [a, b, c] = [a, b, c].map(|of| of * factor);
            (Shape::Curve { a, b, c, over: *over }, format!("{said} at every value"))
        }
        Shape::Steps(steps) if steps.iter().any(|step| step.up_to.is_some()) => {
            let step = |step: &ClassStep| ClassStep { up_to: step.up_to.map(|end| end * factor), is: step.is.clone() };
            (Shape::Steps(steps.iter().map(step).collect()), format!("ends of its classes {said}"))
        }
        Shape::Season(season) => {
            let (season, said) = moved_season(season, way)?;
            (Shape::Season(season), said)
        }
        Shape::Rule(rule) => {
            let (rule, said) = shifted_rule(rule, way, factor, &said)?;
            (Shape::Rule(Box::new(rule)), said)
        }
        _ => return None,
    };
    topic.takes(&shape, unit).then_some((shape, said))
}

/// A row of a phosphorus rule: its basis the next stricter. Up, and where it forbids
/// already, the ends of its soil test or its factor move like numbers.
fn shifted_rule(rule: &PRule, way: Move, factor: f64, said: &str) -> Option<(PRule, String)> {
    let mut moved = rule.clone();
    let stricter = match rule.says.basis {
        PBasis::Nitrogen => Some(PBasis::Removal),
        PBasis::Removal | PBasis::Need => Some(PBasis::None),
        PBasis::None | PBasis::Ask | PBasis::Warn | PBasis::Cap => None,
    };
    if let (Move::Down, Some(basis)) = (way, stricter) {
        moved.says = PSays { basis, times: 1.0, or: None, years: 1, ..rule.says };
        return Some((moved, format!("{} instead of {}", basis.word(), rule.says.in_words())));
    }
    let by_soil = moved.when.soil.iter_mut().chain(&mut moved.when.saturation);
    let mut ends: Vec<&mut f64> =
        by_soil.flat_map(|ends| ends.low.iter_mut().chain(&mut ends.high)).map(|(end, _)| end).collect();
    if ends.is_empty() {
        let counts = matches!(rule.says.basis, PBasis::Removal | PBasis::Need);
        let times = counts.then_some(rule.says.times * factor)?;
        moved.says.times = times;
        let said = format!("{said}, to {}", moved.says.in_words());
        return Some((moved, said));
    }
    ends.iter_mut().for_each(|end| **end *= factor);
    (rule.says.basis != PBasis::Warn).then(|| (moved, format!("ends of its soil test {said}")))
}

/// A season longer or shorter at both ends; none that would fill the year or vanish.
#[must_use]
pub fn moved_season(season: &Season, way: Move) -> Option<(Season, String)> {
    // A year without a February 29, so that every day stays one of any year.
    let (opens, closes) = season.days_in(2001)?;
    let days = opens.until(closes).ok()?.get_days();
    let (by, said) = match way {
        Move::Up => (SEASON_DAYS, "longer"),
        Move::Down => (-SEASON_DAYS, "shorter"),
    };
    let after = i64::from(days) + 1 + 2 * by;
    if !(1..365).contains(&after) {
        return None;
    }
    let day = |date: Date| MonthDay { month: date.month(), day: date.day() };
    let opens = day(opens.checked_sub(by.days()).ok()?);
    let closes = day(closes.checked_add(by.days()).ok()?);
    let said = format!(
        "{SEASON_DAYS} days {said} at both ends, {:02}-{:02} to {:02}-{:02}",
        opens.month, opens.day, closes.month, closes.day
    );
    Some((Season { opens, closes }, said))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tables::p_rule::{PEnds, PWhen, PWins};
    use crate::tables::topic;

    fn of(topic: Topic, shape: &Shape, unit: &str, way: Move) -> Option<(Shape, String)> {
        PERCENT.into_iter().find_map(|percent| shifted(topic, shape, unit, way, percent))
    }

    fn said(topic: Topic, shape: &Shape, unit: &str, way: Move) -> Option<String> {
        of(topic, shape, unit, way).map(|(_, said)| said)
    }

    #[test]
    fn a_number_moves_by_a_fifth_or_as_far_as_its_quantity_goes() {
        let share = |value, way| of(topic::N_AVAILABLE.into(), &Shape::Number(value), "share", way);
        assert_eq!(share(0.5, Move::Up), Some((Shape::Number(0.6), "20 % up, to 0.6".to_string())));
        assert_eq!(share(0.5, Move::Down), Some((Shape::Number(0.4), "20 % down, to 0.4".to_string())));
        // More than the whole is no share.
        assert_eq!(share(0.9, Move::Up).map(|(_, said)| said).as_deref(), Some("10 % up, to 0.99"));
        assert_eq!(share(1.0, Move::Up), None);
        assert_eq!(share(0.0, Move::Up), None);
    }

    #[test]
    fn a_row_of_a_phosphorus_rule_moves_to_the_next_stricter_basis_and_no_further() {
        let row = |basis, soil| {
            let when = PWhen { soil, ..PWhen::default() };
            let says = PSays { basis, times: 1.0, or: None, years: 3, most: None, n_most: None };
            Shape::Rule(Box::new(PRule { when, says, unless: Vec::new(), by: None, wins: PWins::Fewest, words: None }))
        };
        let moved = |basis, soil, way| said(topic::P_RULE.into(), &row(basis, soil), "none", way);
        assert_eq!(moved(PBasis::Nitrogen, None, Move::Down).as_deref(), Some("removal instead of nitrogen"));
        assert_eq!(moved(PBasis::Removal, None, Move::Down).as_deref(), Some("none instead of removal"));
        assert_eq!(moved(PBasis::Removal, None, Move::Up).as_deref(), Some("20 % up, to 1.2 x removal"));
        for (basis, way) in [(PBasis::None, Move::Down), (PBasis::Nitrogen, Move::Up), (PBasis::Ask, Move::Up)] {
            assert_eq!(moved(basis, None, way), None);
        }
        let over = Some(PEnds { low: Some((200.0, false)), high: None });
        assert_eq!(moved(PBasis::None, over, Move::Down).as_deref(), Some("ends of its soil test 20 % down"));
        assert_eq!(moved(PBasis::Warn, over, Move::Down), None);
    }

    #[test]
    fn a_season_keeps_within_the_year_also_over_new_year() {
        let md = |month, day| MonthDay { month, day };
        let season =
            |opens, closes, way| said(topic::SEASON_OPEN.into(), &Shape::Season(Season { opens, closes }), "none", way);
        let spring = (md(2, 15), md(3, 31));
        let longer = "14 days longer at both ends, 02-01 to 04-14";
        assert_eq!(season(spring.0, spring.1, Move::Up).as_deref(), Some(longer));
        let winter = (md(11, 20), md(1, 10));
        let shorter = "14 days shorter at both ends, 12-04 to 12-27";
        assert_eq!(season(winter.0, winter.1, Move::Down).as_deref(), Some(shorter));
        assert_eq!(season(md(3, 1), md(3, 20), Move::Down), None);
        assert_eq!(season(md(1, 1), md(12, 31), Move::Up), None);
    }

    #[test]
    fn classes_move_by_their_ends() {
        let step = |up_to: Option<f64>, is: &str| ClassStep { up_to, is: is.to_string() };
        let classes = Shape::Steps(vec![step(Some(50.0), "low"), step(None, "high")]);
        let moved = of(topic::SOIL_P_CLASS.into(), &classes, "ppm", Move::Up);
        let expected = Shape::Steps(vec![step(Some(60.0), "low"), step(None, "high")]);
        assert_eq!(moved, Some((expected, "ends of its classes 20 % up".to_string())));
    }
}
