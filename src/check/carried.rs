//! Cuttings and grazing of earlier years that stand for a year of the plan of which farm.yaml
//! names none: hay is cut and stock goes out at about the same time every year, and a plan that
//! knew of no cutting would spread on the day before one.

use crate::farm::{Written, WrittenField};
use crate::findings::{At, Finding, Findings, Place, listed, together};
use jiff::ToSpan;
use jiff::civil::Date;

/// The days, first and last, that stand for those of a year of the plan, each with the one it is
/// taken from, by its place in the list.
fn of(days: &[(Date, Date)], (from, to): (Date, Date)) -> Vec<(usize, (Date, Date))> {
    let mut all = Vec::new();
    for year in from.year()..=to.year() {
        if days.iter().any(|(first, last)| (first.year()..=last.year()).contains(&year)) {
            continue;
        }
        let before = days.iter().map(|(first, _)| first.year()).filter(|own| *own < year);
        let Some(latest) = before.max() else { continue };
        let later = |day: Date| day.checked_add((year - latest).years()).ok();
        for (at, (first, last)) in days.iter().enumerate().filter(|(_, (first, _))| first.year() == latest) {
            let (Some(first), Some(last)) = (later(*first), later(*last)) else { continue };
            if first <= to && from <= last {
                all.push((at, (first, last)));
            }
        }
    }
    all
}

/// Cuttings and grazing of a field, each with its first and last day.
fn planned(field: &WrittenField) -> [Vec<(Date, Date)>; 2] {
    let cuttings = field.cuttings.iter().map(|cut| (cut.value, cut.value));
    let grazed = field.grazed.iter().map(|(first, last)| (first.value, last.value));
    [cuttings.collect(), grazed.collect()]
}

/// Puts them to the field's own, where the days of the plan are known.
pub(super) fn carry(field: &mut WrittenField, span: Option<(Date, Date)>) {
    let Some(span) = span else { return };
    let [cuttings, grazed] = planned(field).map(|days| of(&days, span));
    let at = |value: Date, old: &At<Date>| At { value, place: old.place.clone() };
    let cuttings: Vec<At<Date>> =
        cuttings.iter().filter_map(|(of, (day, _))| Some(at(*day, field.cuttings.get(*of)?))).collect();
    let old = |of: &usize| field.grazed.get(*of);
    let grazed: Vec<(At<Date>, At<Date>)> = grazed
        .iter()
        .filter_map(|(of, (first, last))| Some((at(*first, &old(of)?.0), at(*last, &old(of)?.1))))
        .collect();
    field.cuttings.extend(cuttings);
    field.grazed.extend(grazed);
}

/// One warning for the cuttings of all fields, and one for their grazing.
pub(super) fn tell(written: &Written, findings: &mut Findings) {
    let Some((from, to)) = &written.span else { return };
    let span = (from.value, to.value);
    let kinds = [("cuttings-carried", "cuttings"), ("grazed-carried", "days of grazing")];
    for (kind, (code, many)) in kinds.into_iter().enumerate() {
        let mut first: Option<&Place> = None;
        let mut all: Vec<((i16, i16), &str)> = Vec::new();
        for field in &written.fields {
            let days = planned(field).into_iter().nth(kind).unwrap_or_default();
            for (at, (day, _)) in of(&days, span) {
                let old = days.get(at).map_or(day, |(day, _)| *day);
                let place = match kind {
                    0 => field.cuttings.get(at).map(|cut| &cut.place),
                    _ => field.grazed.get(at).map(|(first, _)| &first.place),
                };
                first = first.or(place);
                all.push(((old.year(), day.year()), &field.id.value));
            }
        }
        let Some(place) = first else { continue };
        for ((old, new), mut fields) in together(all) {
            fields.dedup();
            let word = if fields.len() == 1 { "field" } else { "fields" };
            let found = format!(
                "{word} {}: no {many} are planned in {new}, so those of {old} stand for it, at the same time of the year",
                listed(&fields)
            );
            let fix = format!("write the days of {new} when you know them; those of {old} may stay");
            findings.push(
                Finding::warning(code, place, found).accepts("days of every year that the plan touches").fix(fix),
            );
        }
    }
}
