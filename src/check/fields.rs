//! Checks of the fields: names, forages, soil tests and their age.

use crate::check::lots::last_day;
use crate::check::ready::{Bar, Field, operation};
use crate::check::{field_there, twice};
use crate::farm::{Measure, SoilTest, SoilValue, Written, WrittenField};
use crate::findings::{At, Finding, Findings, Origin, nearest};
use crate::tables::{Book, Topic};
use crate::units::{Quantity, number, trimmed};
use geo::MultiPolygon;
use jiff::civil::Date;
use std::collections::BTreeMap;

/// Words that say that a herd is sheep, which copper harms most.
const SHEEP: [&str; 6] = ["sheep", "ewe", "lamb", "ram", "wether", "hogget"];

/// More applications in a year than this are not looked at.
const MOST_APPLICATIONS: u32 = 4;

pub(super) fn check(
    written: &Written,
    shapes: &BTreeMap<String, MultiPolygon<f64>>,
    book: &Book<'_>,
    open: Date,
    findings: &mut Findings,
) -> Vec<Field> {
    twice("fields", written.fields.iter().map(|f| &f.id), findings);
    written.points.iter().filter(|p| !p.stack).for_each(|gate| field_there(&gate.of, written, findings));
    written.fields.iter().filter_map(|f| field(f, written, shapes, (book, open), findings)).collect()
}

fn field(
    written: &WrittenField,
    farm: &Written,
    shapes: &BTreeMap<String, MultiPolygon<f64>>,
    (book, open): (&Book<'_>, Date),
    findings: &mut Findings,
) -> Option<Field> {
    forage_known(written, book, findings);
    let mut bars = Vec::new();
    if let Some(closed) = &written.closed {
        bars.push(Bar {
            why: format!("closed by the grower: {}", closed.value),
            fix: "take `closed` out of farm.yaml".to_string(),
            origin: Origin::Line(closed.place.clone()),
        });
    }
    let large = farm.large.as_ref().is_some_and(|l| l.value);
    match &written.soil_test {
        Some(test) => {
            as_the_place_reports(written, test, book, findings);
            bars.extend(stale(written, test, large, (book, open), findings));
        }
        None if written.closed.is_some() => {}
        None => findings.push(
            Finding::error("soil-test-missing", &written.place, format!("field {} has no soil test", written.id.value))
                .accepts("`soil_test:` with lab, sampled, extractant, p and k")
                .fix("write the laboratory's report in; or close the field with `closed: no soil test yet`"),
        ),
    }
    most_of_nothing(written, findings);
    enough_years(written, book, findings);
    earlier_is_earlier(written, book, findings);
    banked_as_allowed(written, book, findings);
    let (placement, days) = placing(written, book);
    let gate = farm.points.iter().find(|p| !p.stack && p.of.value == written.id.value).map(|p| p.at);
    Some(Field {
        written: written.clone(),
        shape: shapes.get(&written.id.value)?.clone(),
        gate,
        bars,
        applications: applications(written, book),
        placement,
        days,
        sheep: grazed_by_sheep(written, farm),
        rating: written.rating.as_ref().map(|r| r.rating.value),
    })
}

/// Most applications that a field gets in the year; as many as a season has
/// parts where the tables do not say.
fn applications(field: &WrittenField, book: &Book<'_>) -> usize {
    let usage = field.usage.value.key();
    let scope = [("forage", field.forage.value.as_str()), ("use", usage.as_str())];
    let most = book.number(Topic::Applications, &scope).map_or(f64::from(MOST_APPLICATIONS), |f| f.value);
    crate::units::whole_down(most).clamp(1, i64::from(MOST_APPLICATIONS)) as usize
}

fn grazed_by_sheep(field: &WrittenField, farm: &Written) -> bool {
    farm.herds.iter().filter(|h| h.fields.iter().any(|f| f.value == field.id.value)).any(|h| {
        h.kind.to_lowercase().split(|c: char| !c.is_alphabetic()).any(|w| SHEEP.contains(&w.trim_end_matches('s')))
    })
}

/// A forage is known when the tables hold its nitrogen need.
fn forage_known(field: &WrittenField, book: &Book<'_>, findings: &mut Findings) {
    let usage = field.usage.value.key();
    let scope = [("forage", field.forage.value.as_str()), ("use", usage.as_str()), ("texture", "fine")];
    if book.number(Topic::NPerTon, &scope).or_else(|| book.number(Topic::NRate, &scope)).is_some() {
        return;
    }
    let mut known = book.values_of(Topic::NPerTon, "forage");
    known.extend(book.values_of(Topic::NRate, "forage"));
    known.sort();
    known.dedup();
    let found = format!(
        "the tables of {} have no nitrogen rate for `{}` as {}",
        book.place().name,
        field.forage.value.replace('_', " "),
        field.usage.value.word()
    );
    let shown: Vec<String> = known.iter().map(|k| k.replace('_', " ")).collect();
    let finding = Finding::error("forage-unknown", &field.forage.place, found).accepts(shown.join(", "));
    findings.push(match nearest(&field.forage.value, known.iter().map(String::as_str)) {
        Some(near) => finding.fix(format!("did you mean `{}`?", near.replace('_', " "))),
        None => finding,
    });
}

/// The report must use the extractant and the units of the place's tables.
fn as_the_place_reports(field: &WrittenField, test: &SoilTest, book: &Book<'_>, findings: &mut Findings) {
    let place = book.place();
    if let Some(wanted) = place.extractant.as_ref().filter(|w| **w != test.extractant.value) {
        let found =
            format!("field {}: the soil test used `{}`", field.id.value, test.extractant.value.replace('_', "-"));
        findings.push(
            Finding::error("extractant", &test.extractant.place, found)
                .accepts(format!(
                    "{}, which the tables of {} are for",
                    wanted.replace('_', "-"),
                    place.name
                ))
                .fix("one extractant's result cannot be turned into another's: sample again for a laboratory that uses it"),
        );
    }
    let mut unit = |key: &str, value: &At<SoilValue>, wanted: &Option<String>| {
        if let Some(wanted) = wanted.as_ref().filter(|w| **w != value.value.unit) {
            let found = format!(
                "field {}: soil-test `{key}` is {} {}",
                field.id.value,
                trimmed(value.value.value),
                value.value.unit
            );
            findings.push(
                Finding::error("soil-unit", &value.place, found)
                    .accepts(format!("{wanted}, as the tables of {} have it", place.name))
                    .fix(format!("write the report's value in {wanted}, or ask the laboratory for it")),
            );
        }
    };
    unit("p", &test.p, &place.p_unit);
    unit("k", &test.k, &place.k_unit);
    for (key, value, topic) in
        [("zinc", &test.zinc, Topic::SoilZincStop), ("copper", &test.copper, Topic::SoilCopperStop)]
    {
        if let Some(value) = value {
            // A limit in another unit than the test would never be met.
            let stop = book.number(topic, &[("forage", &field.forage.value)]).map(|stop| stop.unit.to_string());
            unit(key, value, &stop.or_else(|| place.p_unit.clone()));
        }
    }
}

/// A soil test older than the place takes bars the field until it is sampled
/// again.
fn stale(
    field: &WrittenField,
    test: &SoilTest,
    large: bool,
    (book, open): (&Book<'_>, Date),
    findings: &mut Findings,
) -> Option<Bar> {
    let sampled = &test.sampled;
    let aged = last_day(sampled.value, Topic::SoilSampleAge, operation(large), book)?;
    if aged.last >= open {
        return None;
    }
    let found = format!("field {}: the soil test of {} expired {}", field.id.value, sampled.value, aged.last);
    findings.push(
        Finding::warning("soil-test-old", &sampled.place, found)
            .accepts(format!("at most {} days: {}", aged.days, aged.cite))
            .fix("sample the field again; until then it gets no litter"),
    );
    Some(Bar {
        why: format!("soil test of {} is too old (expired {})", sampled.value, aged.last),
        fix: "sample the soil again".to_string(),
        origin: Origin::Figure(aged.cite),
    })
}

/// A most of 0 closes a field without saying why.
fn most_of_nothing(field: &WrittenField, findings: &mut Findings) {
    let Some(most) = field.most.as_ref().filter(|m| m.value.get() <= 0.0) else { return };
    let found = format!("field {}: `most` is {}, so no litter goes on it", field.id.value, most.value);
    findings.push(
        Finding::warning("most-zero", &most.place, found)
            .accepts("the most tons per acre for the year, usually 1 or more")
            .fix("if no litter is to go on it, write `closed:` with the reason; else take `most` out"),
    );
}

/// A goal from past years needs as many years as the place asks for, each
/// once, and acres that are not 0.
fn enough_years(field: &WrittenField, book: &Book<'_>, findings: &mut Findings) {
    if field.yield_goal.is_some() || field.yields.is_empty() {
        return;
    }
    let (Some(best), Some(of)) = (book.number(Topic::YieldBest, &[]), book.number(Topic::YieldOf, &[])) else {
        let found = format!(
            "field {}: the tables of {} do not say how a yield goal is calculated",
            field.id.value,
            book.place().name
        );
        findings.push(Finding::error("yield-method", &field.place, found).accepts("`yield_goal: ... tons/ac`"));
        return;
    };
    let latest = field.yields.iter().map(|y| y.year.value).max().unwrap_or_default();
    let mut years: Vec<i16> =
        field.yields.iter().map(|y| y.year.value).filter(|y| f64::from(latest - y) < of.value).collect();
    years.sort_unstable();
    let written = years.len();
    years.dedup();
    if years.len() < written || (years.len() as f64) < best.value {
        let found = format!(
            "field {}: {} yields of different years among the latest {}",
            field.id.value,
            years.len(),
            of.value
        );
        findings.push(
            Finding::error("yield-years", &field.place, found)
                .accepts(format!("the best {} of the latest {} years: {}", best.value, of.value, best.cite))
                .fix("add years, each once, or state a `yield_goal`"),
        );
    }
    for year in &field.yields {
        if let Measure::Rolls { acres, .. } = &year.measure
            && acres.value.get() <= 0.0
        {
            let found = format!("field {}: the rolls of {} came off 0 acres", field.id.value, year.year.value);
            findings.push(Finding::error("yield-acres", &acres.place, found).accepts("more than 0"));
        }
    }
}

/// Litter of earlier years lies before the plan's year.
fn earlier_is_earlier(field: &WrittenField, book: &Book<'_>, findings: &mut Findings) {
    for earlier in field.earlier.iter().filter(|e| e.year.value >= book.on().year()) {
        let found = format!("field {}: litter of {} is listed under `earlier`", field.id.value, earlier.year.value);
        findings.push(
            Finding::error("not-earlier", &earlier.year.place, found)
                .accepts(format!("years before {}", book.on().year()))
                .fix("litter of the plan's own year belongs in log.csv"),
        );
    }
}

/// Phosphate may be banked only for as many years as the place allows.
fn banked_as_allowed(field: &WrittenField, book: &Book<'_>, findings: &mut Findings) {
    let Some(years) = field.bank_years.as_ref().filter(|y| y.value > 1) else { return };
    let rating = field.rating.as_ref().map(|r| r.rating.value.key()).unwrap_or_default();
    let most = book.number(Topic::PBankYears, &[("rating", &rating)]);
    let accepts = match &most {
        Some(most) if f64::from(years.value) <= most.value => return,
        Some(most) => format!("at most {}: {}", most.value, most.cite),
        None => format!("1: the tables of {} have no number of years", book.place().name),
    };
    let found = format!("field {}: phosphate of {} years at once", field.id.value, years.value);
    findings.push(Finding::error("banked-too-long", &years.place, found).accepts(accepts));
}

/// Where litter ends up, and the days until then as the tables step them: the
/// latest step that is not past the days, so that no nitrogen is counted out
/// too early.
fn placing(field: &WrittenField, book: &Book<'_>) -> (&'static str, String) {
    let Some(worked_in) = &field.worked_in else { return ("surface", "none".to_string()) };
    let steps = book.values_of(Topic::NAmmoniumKept, "days");
    let mut steps: Vec<(f64, &String)> = steps.iter().filter_map(|s| Some((number(s)?, s))).collect();
    steps.sort_by(|a, b| a.0.total_cmp(&b.0));
    let within = steps.iter().rev().find(|(days, _)| *days <= worked_in.value.get()).or(steps.first());
    ("incorporated", within.map_or_else(|| "none".to_string(), |(_, key)| (*key).clone()))
}
