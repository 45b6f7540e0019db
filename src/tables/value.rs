//! What the values of a topic are: a quantity of its own unit, a soil-test
//! value on its scale, classes, a curve, days, words or a band. A figure keeps
//! its value and unit as written ([`Shape`]); here they become one of these, or
//! nothing.

use crate::tables::p_rule::{PRating, PRule};
use crate::units::{self, LbPerAcre, Quantity, SoilScale, SoilValue};
use jiff::civil::Date;

/// One class of a stepped figure.
#[derive(Clone, Debug, PartialEq)]
pub struct ClassStep {
    /// At or below this value; none for the last class.
    pub up_to: Option<f64>,
    /// The class.
    pub is: String,
}

/// A day of any year.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct MonthDay {
    /// Month, 1 to 12.
    pub month: i8,
    /// Day of the month.
    pub day: i8,
}

/// The days of a year between which litter may go on; may run over new year.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Season {
    /// First day.
    pub opens: MonthDay,
    /// Last day.
    pub closes: MonthDay,
}

/// What a value usually is, and what it can be at all; ends included.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Band {
    /// Least and most of what is usual; the papers of the figure are for these.
    pub usual: (f64, f64),
    /// Least and most of what is taken without somebody being sure of it.
    pub wide: (f64, f64),
}

/// The value of a figure.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// One number.
    Number(f64),
    /// Classes in ascending order.
    Steps(Vec<ClassStep>),
    /// `a x^2 - b x + c`, never below zero and flat past its lowest point.
    Curve {
        /// Factor of the square.
        a: f64,
        /// Factor of the value, taken off.
        b: f64,
        /// Value at zero.
        c: f64,
        /// The scale of the soil test it is over; none for one over a plain number.
        over: Option<SoilScale>,
    },
    /// Days of the year.
    Season(Season),
    /// A word or sentence.
    Words(String),
    /// What is usual, and what can be at all.
    Band(Band),
    /// A row of a phosphorus rule.
    Rule(Box<PRule>),
    /// How phosphorus is rated.
    Rating(Box<PRating>),
    /// The figure no longer holds from this date.
    Withdrawn,
}

impl Season {
    /// First and last day of the season that opens in `year`. A season that
    /// closes before it opens runs over new year.
    ///
    /// Returns none only past the end of the calendar.
    #[must_use]
    pub fn days_in(&self, year: i16) -> Option<(Date, Date)> {
        // February 29 is the last of February in other years.
        let day = |y: i16, d: MonthDay| {
            let exact = Date::new(y, d.month, d.day).ok();
            exact.or_else(|| Date::new(y, d.month, 1).ok().map(Date::last_of_month))
        };
        let opens = day(year, self.opens)?;
        let over = self.closes < self.opens;
        let closes = day(if over { year.checked_add(1)? } else { year }, self.closes)?;
        Some((opens, closes))
    }

    /// Whether it and another have a day in common.
    #[must_use]
    pub fn meets(self, other: Season) -> bool {
        self.holds(other.opens) || other.holds(self.opens)
    }

    fn holds(self, day: MonthDay) -> bool {
        let Season { opens, closes } = self;
        if opens <= closes { (opens..=closes).contains(&day) } else { opens <= day || day <= closes }
    }

    /// Its first and last day around a day on which it is open; one over New Year
    /// opened in the year before.
    #[must_use]
    pub fn around(&self, day: Date) -> Option<(Date, Date)> {
        let mut openings = (day.year().saturating_sub(1)..=day.year()).filter_map(|year| self.days_in(year));
        openings.find(|(opens, closes)| (*opens..=*closes).contains(&day))
    }
}

/// A year of twelve months that begins on a day of its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct GrowingYear {
    /// Its first day.
    pub opens: MonthDay,
}

impl GrowingYear {
    /// The year that begins with January.
    pub const CALENDAR: GrowingYear = GrowingYear { opens: MonthDay { month: 1, day: 1 } };

    /// First and last day of the year that a day lies in.
    #[must_use]
    pub fn around(self, day: Date) -> (Date, Date) {
        let MonthDay { month, day: first } = self.opens;
        let begins = |year: i16| Date::new(year, month, first).ok();
        let last = |year: i16| year.checked_add(1).and_then(begins).and_then(|next| next.yesterday().ok());
        let year = if begins(day.year()).is_some_and(|begins| begins <= day) { day.year() } else { day.year() - 1 };
        (begins(year).unwrap_or(Date::MIN), last(year).unwrap_or(Date::MAX))
    }

    /// Every such year that some days touch.
    #[must_use]
    pub fn touched(self, (first, last): (Date, Date)) -> Vec<(Date, Date)> {
        let next = |year: &(Date, Date)| year.1.tomorrow().ok().map(|day| self.around(day));
        std::iter::successors(Some(self.around(first)), next).take_while(|year| year.0 <= last).collect()
    }
}

/// What form the values of a topic have.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ValueForm {
    /// One number.
    Number,
    /// Classes by a value.
    Steps,
    /// One number, or a curve.
    NumberOrCurve,
    /// Days of the year between which something may be done.
    Season,
    /// A word or a sentence.
    Words,
    /// What is usual, and what can be at all.
    Band,
    /// Conditions and what holds under them.
    Rule,
    /// A tool with its results.
    Rating,
}

/// The value of a topic's figures.
pub trait Value: Sized {
    /// The form in which it is written.
    const FORM: ValueForm;

    /// The units in which it may be written, with the factor to its own; none
    /// where they follow from something else.
    const UNITS: &'static [(&'static str, f64)];

    /// What is accepted, for a message.
    #[must_use]
    fn accepts() -> String {
        Self::UNITS.iter().map(|(name, _)| *name).collect::<Vec<_>>().join(", ")
    }

    /// What is written, with its unit, as such a value; none for another form,
    /// another unit or a number out of bounds.
    fn of(shape: &Shape, unit: &str) -> Option<Self>;
}

impl<Q: Quantity> Value for Q {
    const FORM: ValueForm = ValueForm::Number;
    const UNITS: &'static [(&'static str, f64)] = Q::SPELLINGS;

    fn accepts() -> String {
        units::accepted::<Q>()
    }

    fn of(shape: &Shape, unit: &str) -> Option<Q> {
        let Shape::Number(number) = shape else { return None };
        units::in_unit(*number, unit).ok()
    }
}

impl Value for SoilValue {
    const FORM: ValueForm = ValueForm::Number;
    const UNITS: &'static [(&'static str, f64)] = &[("index", 1.0), ("ppm", 1.0), ("mg/kg", 1.0), ("lb/ac", 1.0)];

    fn of(shape: &Shape, unit: &str) -> Option<SoilValue> {
        let Shape::Number(number) = shape else { return None };
        SoilValue::new(*number, SoilScale::named(unit)?)
    }
}

/// Pounds on an acre that move a soil test by one unit of a scale.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PerUnit {
    pounds: LbPerAcre,
    scale: SoilScale,
}

impl PerUnit {
    /// Pounds for one unit of a scale; none on another scale, and none where
    /// nothing moves the test.
    #[must_use]
    pub fn on(self, scale: SoilScale) -> Option<f64> {
        (self.scale == scale && self.pounds.get() > 0.0).then(|| self.pounds.get())
    }
}

impl Value for PerUnit {
    const FORM: ValueForm = ValueForm::Number;
    const UNITS: &'static [(&'static str, f64)] =
        &[("lb/ac per index", 1.0), ("lb/ac per ppm", 1.0), ("lb/ac per lb/ac", 1.0)];

    fn of(shape: &Shape, unit: &str) -> Option<PerUnit> {
        let Shape::Number(number) = shape else { return None };
        let scale = SoilScale::named(unit.strip_prefix("lb/ac per ")?)?;
        Some(PerUnit { pounds: LbPerAcre::new(*number).ok()?, scale })
    }
}

/// A value that has its place among classes.
pub trait Classed: Value + Copy {
    /// Whether it is at or below another; none on another scale.
    fn at_most(self, other: Self) -> Option<bool>;
}

impl<Q: Quantity> Classed for Q {
    fn at_most(self, other: Q) -> Option<bool> {
        Some(self.get() <= other.get())
    }
}

impl Classed for SoilValue {
    fn at_most(self, other: SoilValue) -> Option<bool> {
        Some(self.on(other.scale)? <= other.on(other.scale)?)
    }
}

/// Classes in ascending order, each up to a value; the last without one.
#[derive(Clone, Debug, PartialEq)]
pub struct Classes<T>(Vec<(Option<T>, String)>);

impl<T: Classed> Classes<T> {
    /// Every class with its upper end.
    pub fn iter(&self) -> impl Iterator<Item = (Option<T>, &str)> {
        self.0.iter().map(|(up_to, is)| (*up_to, is.as_str()))
    }

    /// Which class a value is in: the first whose end is not below it. None on
    /// another scale.
    #[must_use]
    pub fn position(&self, value: T) -> Option<usize> {
        let ends = self.0.iter().map(|(up_to, _)| up_to.map_or(Some(true), |end| value.at_most(end)));
        let within: Vec<bool> = ends.collect::<Option<_>>()?;
        within.into_iter().position(|within| within)
    }

    /// The class of a value.
    #[must_use]
    pub fn class_of(&self, value: T) -> Option<&str> {
        self.0.get(self.position(value)?).map(|(_, is)| is.as_str())
    }
}

impl<T: Classed> Value for Classes<T> {
    const FORM: ValueForm = ValueForm::Steps;
    const UNITS: &'static [(&'static str, f64)] = T::UNITS;

    fn accepts() -> String {
        T::accepts()
    }

    fn of(shape: &Shape, unit: &str) -> Option<Classes<T>> {
        let Shape::Steps(steps) = shape else { return None };
        let class = |ClassStep { up_to, is }: &ClassStep| match up_to {
            Some(end) => Some((Some(T::of(&Shape::Number(*end), unit)?), is.clone())),
            None => Some((None, is.clone())),
        };
        steps.iter().map(class).collect::<Option<_>>().map(Classes)
    }
}

/// One number, or `a x^2 - b x + c`, never below zero and flat past its lowest
/// point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Rate<Q> {
    /// One number.
    Flat(Q),
    /// A curve over a value.
    Curve {
        /// Factor of the square.
        a: f64,
        /// Factor of the value, taken off.
        b: f64,
        /// Value at zero.
        c: f64,
        /// The scale of the soil test it is over; none for one over a plain number.
        over: Option<SoilScale>,
    },
}

impl<Q> Rate<Q> {
    /// Whether it can be read at a soil-test value: a curve only on its scale.
    #[must_use]
    pub fn takes(&self, value: SoilValue) -> bool {
        match self {
            Rate::Flat(_) => true,
            Rate::Curve { over, .. } => *over == Some(value.scale),
        }
    }
}

impl<Q: Quantity> Value for Rate<Q> {
    const FORM: ValueForm = ValueForm::NumberOrCurve;
    const UNITS: &'static [(&'static str, f64)] = Q::UNITS;

    fn accepts() -> String {
        Q::accepts()
    }

    fn of(shape: &Shape, unit: &str) -> Option<Rate<Q>> {
        let Shape::Curve { a, b, c, over } = *shape else { return Q::of(shape, unit).map(Rate::Flat) };
        let factor = units::factor(Q::SPELLINGS, unit)?;
        Some(Rate::Curve { a: a * factor, b: b * factor, c: c * factor, over })
    }
}

/// Value of a curve at `x`: `a x^2 - b x + c`, flat past its lowest point and
/// never below zero.
#[must_use]
pub(crate) fn curve_at(a: f64, b: f64, c: f64, x: f64) -> f64 {
    // A curve that only rises or only falls has no lowest point to its right.
    let lowest = if a > 0.0 && b > 0.0 { b / (2.0 * a) } else { f64::INFINITY };
    let x = x.clamp(0.0, lowest);
    (a * x * x - b * x + c).max(0.0)
}

impl Value for Season {
    const FORM: ValueForm = ValueForm::Season;
    const UNITS: &'static [(&'static str, f64)] = &[("none", 1.0), ("month-day", 1.0), ("season", 1.0)];

    fn of(shape: &Shape, _: &str) -> Option<Season> {
        let Shape::Season(season) = shape else { return None };
        Some(*season)
    }
}

impl Value for GrowingYear {
    const FORM: ValueForm = ValueForm::Season;
    const UNITS: &'static [(&'static str, f64)] = Season::UNITS;

    /// A whole year: it closes on the day before it opens.
    fn of(shape: &Shape, _: &str) -> Option<GrowingYear> {
        let Shape::Season(year) = shape else { return None };
        let next = year.days_in(2001)?.1.tomorrow().ok()?;
        let opens = MonthDay { month: next.month(), day: next.day() };
        (opens == year.opens).then_some(GrowingYear { opens })
    }
}

impl Value for String {
    const FORM: ValueForm = ValueForm::Words;
    const UNITS: &'static [(&'static str, f64)] = &[("none", 1.0), ("words", 1.0)];

    fn of(shape: &Shape, _: &str) -> Option<String> {
        let Shape::Words(words) = shape else { return None };
        Some(words.clone())
    }
}

impl Value for Band {
    const FORM: ValueForm = ValueForm::Band;

    /// They are those of the thing that the band is for.
    const UNITS: &'static [(&'static str, f64)] = &[];

    fn of(shape: &Shape, _: &str) -> Option<Band> {
        let Shape::Band(band) = shape else { return None };
        Some(*band)
    }
}

impl Value for PRule {
    const FORM: ValueForm = ValueForm::Rule;
    const UNITS: &'static [(&'static str, f64)] = <String as Value>::UNITS;

    fn of(shape: &Shape, _: &str) -> Option<PRule> {
        let Shape::Rule(rule) = shape else { return None };
        Some(rule.as_ref().clone())
    }
}

impl Value for PRating {
    const FORM: ValueForm = ValueForm::Rating;
    const UNITS: &'static [(&'static str, f64)] = <String as Value>::UNITS;

    fn of(shape: &Shape, _: &str) -> Option<PRating> {
        let Shape::Rating(rating) = shape else { return None };
        Some(rating.as_ref().clone())
    }
}
