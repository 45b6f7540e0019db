//! Samples that the log shows and of which farm.yaml has no report yet. They lift
//! nothing: the plan goes by the reports.

use crate::check::ready::{Contents, Ready};
use crate::findings::{Finding, Findings, Place};
use crate::record::{Entry, What};
use jiff::civil::Date;

pub(super) fn check(ready: &Ready, findings: &mut Findings) {
    for field in &ready.fields {
        let test = field.written.soil_test.as_ref().map(|test| (test.sampled.value, &test.sampled.place));
        let sampled = ready.happened.on_field(field.id(), What::SoilSample);
        if let Some(entry) = unreported(sampled, test, ready.as_of) {
            findings.push(told(entry, &format!("field {}", field.id()), ("soil_test", "soil test"), test));
        }
    }
    for lot in &ready.lots {
        let analysis = match &lot.contents {
            Contents::Analysis(analysis) => Some((analysis.sampled.value, &analysis.sampled.place)),
            Contents::Typical(_) => None,
        };
        let sampled = ready.happened.on_lot(&lot.id, What::LotSample);
        if let Some(entry) = unreported(sampled, analysis, ready.as_of) {
            findings.push(told(entry, &format!("lot `{}`", lot.id), ("analysis", "analysis"), analysis));
        }
    }
}

/// The last sample, where the report in force is older.
fn unreported<'a>(
    sampled: impl Iterator<Item = &'a Entry>,
    held: Option<(Date, &Place)>,
    as_of: Date,
) -> Option<&'a Entry> {
    let last = sampled.filter(|entry| entry.date <= as_of).max_by_key(|entry| entry.date)?;
    held.is_none_or(|(day, _)| day < last.date).then_some(last)
}

fn told(entry: &Entry, whose: &str, (key, report): (&str, &str), held: Option<(Date, &Place)>) -> Finding {
    let found = format!("{whose} was sampled on {}, and farm.yaml has no report of it", entry.date);
    let until = match held {
        Some((day, _)) => format!("until then the plan goes by the {report} of {day}"),
        None => "the sample alone changes nothing in the plan".to_string(),
    };
    let finding = Finding::note("sample-unreported", &entry.place, found)
        .accepts(format!("a {report} sampled on {} or later", entry.date).replace("a analysis", "an analysis"))
        .fix(format!("when the report comes, write it under `{key}:`; {until}"));
    match held {
        Some((_, place)) => finding.also(place, "the newest report"),
        None => finding,
    }
}
