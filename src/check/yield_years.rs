//! Hay of the log as yields of past years, for the yield goal.

use crate::check::ready::Field;
use crate::check::renamed::drawn;
use crate::farm::{LoggedHay, Measure, YieldYear};
use crate::findings::{At, Finding, Findings};
use crate::record::{Entry, Happened, What};
use crate::tables::{Book, Scope, topic};
use crate::units::Quantity;
use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet};

/// Adds the years of the log to the yields of a field without a stated goal. A year
/// counts once it is over, where nothing else grew, and where the grower does not say
/// it himself.
pub(super) fn of_log(field: &mut Field, happened: &Happened, book: &Book<'_>, on: Date, findings: &mut Findings) {
    let written = &field.written;
    if written.yield_goal.is_some() {
        return;
    }
    let said: BTreeSet<i16> = written.yields.iter().map(|year| year.year.value).collect();
    let mut by_year: BTreeMap<i16, Vec<&Entry>> = BTreeMap::new();
    for cut in happened.on_field(field.id(), What::Cut).filter(|e| e.date.year() < on.year()) {
        by_year.entry(cut.date.year()).or_default().push(cut);
    }
    let same = |cut: &&Entry| written.forage_on(cut.date).value == written.forage.value;
    by_year.retain(|year, cuttings| !said.contains(year) && cuttings.iter().all(same));
    let mut years = written.yields.clone();
    for (year, mut cuttings) in by_year {
        cuttings.sort_by_key(|cut| cut.date);
        match hay(&cuttings, field) {
            Ok(Some(measure)) => {
                let place = cuttings.first().map(|cut| cut.place.clone()).unwrap_or_default();
                years.push(YieldYear { year: At { value: year, place }, measure });
            }
            Ok(None) => {}
            Err(finding) => findings.push(*finding),
        }
    }
    if enough(&years, book) {
        field.written.yields = years;
    }
}

/// The hay of a year's cuttings; none where nobody weighed any.
fn hay(cuttings: &[&Entry], field: &Field) -> Result<Option<Measure>, Box<Finding>> {
    if cuttings.iter().all(|cut| cut.amount.0 <= 0) {
        return Ok(None);
    }
    let mut hay = Vec::new();
    for cut in cuttings {
        let lacks = if cut.amount.0 <= 0 { "tons of hay" } else { "moisture" };
        let (Some(moisture), true) = (cut.moisture, cut.amount.0 > 0) else {
            let found = format!(
                "the hay of {} on {} does not count toward the yield goal: the cutting of {} has no {lacks}",
                cut.date.year(),
                field.id(),
                cut.date
            );
            let finding = Finding::note("log-yield-left-out", &cut.place, found)
                .accepts("every cutting of the year with its tons and its moisture, in percent")
                .fix("add them with `sward log correct`, or write the year under `yields:` of the field");
            return Err(Box::new(finding));
        };
        hay.push(LoggedHay { tons: At { value: cut.amount.tons(), place: cut.place.clone() }, moisture });
    }
    Ok(drawn(&field.shape).map(|acres| Measure::Logged { cuttings: hay, acres }))
}

/// Whether a goal can be made of some years: the log must not take a goal away that
/// the field had without it.
fn enough(years: &[YieldYear], book: &Book<'_>) -> bool {
    let (best, of) = (book.get(topic::YIELD_BEST, &Scope::new()), book.get(topic::YIELD_OF, &Scope::new()));
    let Some((best, of)) = best.zip(of) else { return false };
    let (best, of) = (best.value.get(), of.value.get());
    let Some(latest) = years.iter().map(|year| year.year.value).max() else { return false };
    let looked_at = years.iter().filter(|year| f64::from(latest - year.year.value) < of).count();
    looked_at as f64 >= best
}
