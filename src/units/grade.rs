//! What a bag of fertilizer holds.

use crate::units::parse::number;
use crate::units::show::number_text;
use std::fmt;
use std::str::FromStr;

/// The grade of a fertilizer: percent of nitrogen, phosphate and potash.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Grade(pub [f64; 3]);

impl FromStr for Grade {
    type Err = ();

    /// Reads `46-0-0`, with or without a percent sign behind it.
    fn from_str(text: &str) -> Result<Grade, ()> {
        let bare = text.trim().trim_end_matches('%').trim_end();
        let shares: Option<Vec<f64>> = bare.split('-').map(|part| number(part.trim())).collect();
        let list = shares.and_then(|list| <[f64; 3]>::try_from(list).ok()).ok_or(())?;
        let sound = list.iter().all(|s| *s >= 0.0) && (0.1..=100.0).contains(&list.iter().sum::<f64>());
        sound.then_some(Grade(list)).ok_or(())
    }
}

impl fmt::Display for Grade {
    /// With the percent sign: a spreadsheet takes `10-10-10` for a date.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let [n, p, k] = self.0.map(|share| {
            let text = number_text(share, 3);
            if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_string() } else { text }
        });
        write!(f, "{n}-{p}-{k} %")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_grade_reads_back_as_it_is_written() {
        for (text, shown) in [("46-0-0", "46-0-0 %"), ("18 - 46 - 0", "18-46-0 %"), ("10-10-10 %", "10-10-10 %")] {
            let grade: Grade = text.parse().unwrap_or(Grade([0.0; 3]));
            assert_eq!(grade.to_string(), shown);
            assert_eq!(grade.to_string().parse::<Grade>(), Ok(grade));
        }
        assert_eq!("0-0-60.5".parse::<Grade>().map(|g| g.to_string()), Ok("0-0-60.5 %".to_string()));
        for bad in ["", "46", "46-0", "46-0-0-0", "0-0-0", "60-30-20", "a-b-c", "46/0/0", "NaN-0-0", "2010-10-10"] {
            assert!(bad.parse::<Grade>().is_err(), "{bad}");
        }
    }
}
