//! Samples that the log shows and of which farm.yaml has no report yet. They lift
//! nothing: the plan goes by the reports.

use crate::check::ready::{Contents, Lot, Ready};
use crate::check::stock::gains;
use crate::findings::{Finding, Findings, Place};
use crate::record::{Entry, What};
use crate::units::Pounds;
use jiff::civil::Date;

/// Share of a lot that may have come since its sample before that is told. Our own measure.
const MIXED: f64 = 0.1;

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
        findings.extend(refilled(lot, ready).into_iter().collect());
        let sampled = ready.happened.on_lot(&lot.id, What::LotSample);
        if let Some(entry) = unreported(sampled, analysis, ready.as_of) {
            findings.push(told(entry, &format!("lot `{}`", lot.id), ("analysis", "analysis"), analysis));
        }
    }
}

/// Litter that came to a lot after it was sampled: the analysis tells nothing of it.
fn refilled(lot: &Lot, ready: &Ready) -> Option<Finding> {
    let Contents::Analysis(analysis) = &lot.contents else { return None };
    let came = ready.happened.moves_of(&lot.id).filter(|entry| gains(entry));
    let since: Vec<&Entry> = came.filter(|e| analysis.sampled.value < e.date && e.date <= ready.as_of).collect();
    let pounds: Pounds = since.iter().map(|entry| entry.amount).sum();
    let last = since.into_iter().max_by_key(|entry| entry.date)?;
    if pounds.tons() <= MIXED * (lot.on_hand + pounds).tons() {
        return None;
    }
    let found = format!(
        "lot `{}`: {} came after its sample of {}, the last of it on {}, and are spread and sold by that analysis",
        lot.id,
        pounds.in_tons(),
        analysis.sampled.value,
        last.date
    );
    let finding = Finding::warning("sample-before-litter", &analysis.sampled.place, found)
        .accepts(format!("a sample of what lies there now, of {} or later", last.date))
        .fix("sample the lot again, log it with `sward log lot-sample`, and write the report under `analysis:`");
    Some(finding.also(&last.place, "the last that came"))
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
