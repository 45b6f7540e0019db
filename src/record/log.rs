//! Reading and replaying `log.csv`.

use crate::findings::{At, Finding, Findings, Place, nearest};
use crate::text;
use crate::units::{Pounds, Quantity, Tons, quantity};
use jiff::civil::Date;
use std::path::Path;

/// The log's file name.
pub const LOG: &str = "log.csv";

/// Its columns, in order.
const COLUMNS: [&str; 6] = ["date", "what", "lot", "field", "tons", "note"];

/// What an entry says was done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum What {
    /// Litter of a lot went onto a field.
    Spread,
    /// Litter of a lot left the farm.
    Haul,
    /// Litter came to a lot.
    Bring,
}

/// One line of the log.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// The day.
    pub date: Date,
    /// What was done.
    pub what: What,
    /// Which lot.
    pub lot: At<String>,
    /// Which field; only for spreading.
    pub field: Option<At<String>>,
    /// How much.
    pub amount: Pounds,
}

/// Everything that happened, in the order written.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Happened {
    /// The entries.
    pub entries: Vec<Entry>,
}

/// Reads the log of a farm folder; a farm without one has done nothing yet.
#[must_use]
pub fn read(folder: &Path) -> (Happened, Findings) {
    let mut findings = Findings::new();
    match std::fs::read(folder.join(LOG)) {
        Ok(bytes) => match text::decode(LOG, bytes) {
            Ok(text) => return read_text(&text),
            Err(finding) => findings.push(*finding),
        },
        Err(e) if e.kind() == std::io::ErrorKind::NotFound => {}
        Err(e) => findings.push(Finding::error("cannot-read", &Place::file(LOG), format!("{LOG} cannot be read: {e}"))),
    }
    (Happened::default(), findings)
}

/// Reads the log from its text.
#[must_use]
pub fn read_text(text: &str) -> (Happened, Findings) {
    let mut findings = Findings::new();
    let mut happened = Happened::default();
    let mut reader =
        csv::ReaderBuilder::new().has_headers(false).flexible(true).trim(csv::Trim::All).from_reader(text.as_bytes());
    let mut seen_header = false;
    for record in reader.records() {
        let record = match record {
            Ok(record) => record,
            Err(e) => {
                findings.push(Finding::error("log-line", &Place::file(LOG), format!("the log cannot be read: {e}")));
                break;
            }
        };
        let line = record.position().map_or(0, |p| usize::try_from(p.line()).unwrap_or(0));
        let place = Place { file: LOG.to_string(), line, column: 1 };
        if !seen_header {
            seen_header = true;
            if record.iter().ne(COLUMNS) {
                let found = format!("the first line is `{}`", record.iter().collect::<Vec<_>>().join(","));
                findings.push(
                    Finding::error("log-header", &place, found)
                        .accepts(COLUMNS.join(","))
                        .mend("put the names of the columns into the first line"),
                );
                break;
            }
            continue;
        }
        happened.entries.extend(entry(&record, &place, &mut findings));
    }
    (happened, findings)
}

fn entry(record: &csv::StringRecord, place: &Place, findings: &mut Findings) -> Option<Entry> {
    let mut fault = |found: String, accepts: &str| {
        findings.push(
            Finding::error("log-line", place, found)
                .accepts(accepts)
                .mend("correct this line; the rest of the log stands"),
        );
    };
    let get = |i: usize| record.get(i).unwrap_or("");
    if record.len() < 5 || record.len() > COLUMNS.len() {
        fault(format!("the line has {} cells", record.len()), &COLUMNS.join(","));
        return None;
    }
    let date = get(0).parse::<Date>().ok();
    if date.is_none() {
        fault(format!("the date is `{}`", get(0)), "a date, written as 2027-03-15");
    }
    let what = match get(1) {
        "spread" => Some(What::Spread),
        "haul" => Some(What::Haul),
        "bring" => Some(What::Bring),
        other => {
            let near =
                nearest(other, ["spread", "haul", "bring"]).map_or(String::new(), |n| format!("; did you mean `{n}`?"));
            fault(format!("the entry is a `{other}`{near}"), "spread, haul or bring");
            None
        }
    };
    let tons = quantity::<Tons>(get(4)).or_else(|_| quantity::<Tons>(&format!("{} tons", get(4))));
    if tons.is_err() {
        fault(format!("the tons are `{}`", get(4)), "tons of litter, not below 0");
    }
    let fits = match (what, get(3).is_empty()) {
        (Some(What::Spread), true) => Some("litter was spread, and the line does not say on which field"),
        (Some(What::Haul | What::Bring), false) => Some("litter was hauled or brought, and the line names a field"),
        _ => None,
    };
    if let Some(found) = fits {
        fault(found.to_string(), "a field in the line of litter that was spread, none in any other");
    }
    if get(2).is_empty() {
        fault("the line names no lot".to_string(), "the lot that was moved");
    }
    if fits.is_some() || get(2).is_empty() {
        return None;
    }
    let at = |text: &str| At { value: text.to_string(), place: place.clone() };
    let field = (!get(3).is_empty()).then(|| at(get(3)));
    Some(Entry { date: date?, what: what?, lot: at(get(2)), field, amount: Pounds::from_tons_down(tons.ok()?.get()) })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_log_is_read_line_by_line() {
        let (happened, findings) =
            read_text("date,what,lot,field,tons,note\n2027-03-01,spread,shed,B1,12.5,\n2027-03-02,haul,shed,,8,sold\n");
        assert!(findings.is_empty(), "{findings:?}");
        assert_eq!(happened.entries.len(), 2);
        assert_eq!(happened.entries[0].amount, Pounds(25_000));
    }

    #[test]
    fn every_bad_line_is_named_and_the_good_ones_stay() {
        let (happened, findings) = read_text(
            "date,what,lot,field,tons,note\n2027-13-01,spred,shed,B1,-4,\n2027-03-02,haul,shed,,8,\n2027-03-02,haul\n",
        );
        assert_eq!(happened.entries.len(), 1);
        assert_eq!(findings.sorted().iter().filter(|f| f.place.line == 2).count(), 3);
        assert_eq!(findings.sorted().iter().filter(|f| f.place.line == 4).count(), 1);
    }
}
