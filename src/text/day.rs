//! Days of the calendar in one form alone.

use jiff::civil::Date;

/// What is said of a word that `day` does not take.
pub const NO_DAY: &str = "not a date; write YYYY-MM-DD";

/// A day written as year-month-day in ten characters, and in no other way.
#[must_use]
pub fn day(text: &str) -> Option<Date> {
    let digit = |byte: u8| byte.is_ascii_digit().then(|| i16::from(byte - b'0'));
    let two = |tens: u8, ones: u8| Some(digit(tens)? * 10 + digit(ones)?);
    // A long record has very many: nothing else is ten characters long and is a day.
    let &[a, b, c, d, b'-', e, f, b'-', g, h] = text.as_bytes() else { return None };
    let (month, of_month) = (i8::try_from(two(e, f)?).ok()?, i8::try_from(two(g, h)?).ok()?);
    Date::new(two(a, b)? * 100 + two(c, d)?, month, of_month).ok()
}

#[cfg(test)]
mod tests {
    use super::day;
    use jiff::civil::{Date, date};

    #[test]
    fn a_day_is_read_as_the_calendar_has_it() {
        assert_eq!(day("2027-03-15"), Some(date(2027, 3, 15)));
        for text in ["2028-02-29", "2027-02-29", "0001-01-01", "0000-12-31", "9999-12-31", "2027-13-01", "2027-00-10"] {
            assert_eq!(day(text), text.parse::<Date>().ok(), "{text}");
        }
        for text in
            ["", "2027-3-15", "2027/03/15", "20270315T0", "15-03-2027", "+027-03-15", "2027-03-1é", "2027-0a-15"]
        {
            assert_eq!(day(text), None, "{text}");
        }
    }
}
