//! The cells of a table that goes out: texts, numbers, days.

use jiff::civil::Date;

/// One cell.
#[derive(Clone, Debug, PartialEq)]
pub enum TableCell {
    /// A text of the grower or of this program.
    Text(String),
    /// A number with so many decimals at most.
    Number(f64, usize),
    /// A day.
    Day(Date),
    /// Nothing.
    Empty,
}

impl TableCell {
    /// A text.
    #[must_use]
    pub fn text(text: &str) -> TableCell {
        TableCell::Text(text.to_string())
    }

    /// A number that may not be there.
    #[must_use]
    pub fn maybe(number: Option<f64>, decimals: usize) -> TableCell {
        number.map_or(TableCell::Empty, |number| TableCell::Number(number, decimals))
    }
}

/// A number with a point and a fixed count of decimals; never -0.
pub(super) fn fixed(number: f64, decimals: usize) -> Option<String> {
    let text = format!("{number:.decimals$}");
    let zeros = text.trim_start_matches('-').chars().all(|c| matches!(c, '0' | '.'));
    number.is_finite().then(|| if zeros { text.trim_start_matches('-').to_string() } else { text })
}
