//! Checks of the fields: names, forages, soil tests and their age.

use crate::check::lots::last_day;
use crate::check::ready::{Bar, Field};
use crate::check::{twice, unknown_id};
use crate::farm::{SoilTest, SoilValue, Written, WrittenField};
use crate::findings::{At, Finding, Findings, Origin, nearest};
use crate::tables::{Book, Topic};
use geo::MultiPolygon;
use std::collections::BTreeMap;

/// Words that say that a herd is sheep, which copper harms most.
const SHEEP: [&str; 6] = ["sheep", "ewe", "lamb", "ram", "wether", "hogget"];

pub(super) fn check(
    written: &Written,
    shapes: &BTreeMap<String, MultiPolygon<f64>>,
    book: &Book<'_>,
    findings: &mut Findings,
) -> Vec<Field> {
    twice("fields", written.fields.iter().map(|f| &f.id), findings);
    for point in written.points.iter().filter(|p| !p.stack) {
        let known =
            || written.fields.iter().map(|f| f.id.value.as_str()).chain(written.unread.iter().map(String::as_str));
        if !known().any(|id| id == point.of.value) {
            findings.push(unknown_id("field", &point.of.value, &point.of.place, known()));
        }
    }
    written.fields.iter().filter_map(|f| field(f, written, shapes, book, findings)).collect()
}

fn field(
    written: &WrittenField,
    farm: &Written,
    shapes: &BTreeMap<String, MultiPolygon<f64>>,
    book: &Book<'_>,
    findings: &mut Findings,
) -> Option<Field> {
    forage_known(written, book, findings);
    let mut bars = Vec::new();
    if let Some(closed) = &written.closed {
        bars.push(Bar {
            why: format!("closed by the grower: {}", closed.value),
            mend: "take `closed` out of farm.yaml".to_string(),
            origin: Origin::Line(closed.place.clone()),
        });
    }
    let large = farm.large.as_ref().is_some_and(|l| l.value);
    match &written.soil_test {
        Some(test) => {
            as_the_place_reports(written, test, book, findings);
            bars.extend(stale(written, test, large, book, findings));
        }
        None if written.closed.is_some() => {}
        None => findings.push(
            Finding::error("soil-test-missing", &written.place, format!("field {} has no soil test", written.id.value))
                .accepts("`soil_test:` with lab, sampled, extractant, p and k")
                .mend("write the laboratory's report in; or close the field with `closed: no soil test yet`"),
        ),
    }
    rated_before_the_plan(written, book, findings);
    let gate = farm.points.iter().find(|p| !p.stack && p.of.value == written.id.value).map(|p| p.at);
    Some(Field {
        written: written.clone(),
        shape: shapes.get(&written.id.value)?.clone(),
        gate,
        bars,
        sheep: grazed_by_sheep(written, farm),
        rating: written.rating.as_ref().map(|r| r.rating.value),
    })
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
        "the tables of {} hold no nitrogen need of `{}` as {}",
        book.place().name,
        field.forage.value.replace('_', " "),
        field.usage.value.word()
    );
    let shown: Vec<String> = known.iter().map(|k| k.replace('_', " ")).collect();
    let finding = Finding::error("forage-unknown", &field.forage.place, found).accepts(shown.join(", "));
    findings.push(match nearest(&field.forage.value, known.iter().map(String::as_str)) {
        Some(near) => finding.mend(format!("did you mean `{}`?", near.replace('_', " "))),
        None => finding,
    });
}

/// The report must use the extractant and the units of the place's tables.
fn as_the_place_reports(field: &WrittenField, test: &SoilTest, book: &Book<'_>, findings: &mut Findings) {
    let place = book.place();
    if let Some(wanted) = place.extractant.as_ref().filter(|w| **w != test.extractant.value) {
        let found =
            format!("field {}: the soil test used `{}`", field.id.value, test.extractant.value.replace('_', "-"));
        findings.push(Finding::error("extractant", &test.extractant.place, found).accepts(format!(
            "{}, on which the tables of {} stand",
            wanted.replace('_', "-"),
            place.name
        )));
    }
    let mut unit = |key: &str, value: &At<SoilValue>, wanted: &Option<String>| {
        if let Some(wanted) = wanted.as_ref().filter(|w| **w != value.value.unit) {
            let found = format!("field {}: soil-test `{key}` is in {}", field.id.value, value.value.unit);
            findings.push(
                Finding::error("soil-unit", &value.place, found)
                    .accepts(format!("{wanted}, as the tables of {} have it", place.name)),
            );
        }
    };
    unit("p", &test.p, &place.p_unit);
    unit("k", &test.k, &place.k_unit);
    for (key, value) in [("zinc", &test.zinc), ("copper", &test.copper)] {
        if let Some(value) = value {
            unit(key, value, &place.p_unit);
        }
    }
}

/// A soil test older than the place takes bars the field until it is sampled
/// again; one dated after the plan's start cannot be.
fn stale(field: &WrittenField, test: &SoilTest, large: bool, book: &Book<'_>, findings: &mut Findings) -> Option<Bar> {
    let sampled = &test.sampled;
    if sampled.value > book.on() {
        let found =
            format!("field {}: the soil test is dated {}, after the plan starts", field.id.value, sampled.value);
        findings.push(Finding::warning("sampled-later", &sampled.place, found).mend("check the year"));
    }
    let aged = last_day(sampled.value, Topic::SoilSampleAge, if large { "large" } else { "ordinary" }, book)?;
    if aged.last >= book.on() {
        return None;
    }
    let found = format!("field {}: the soil test of {} was good to {}", field.id.value, sampled.value, aged.last);
    findings.push(
        Finding::warning("soil-test-old", &sampled.place, found)
            .accepts(format!("at most {} days: {}", aged.days, aged.cite))
            .mend("sample the field again; until then it gets no litter"),
    );
    Some(Bar {
        why: format!("soil test of {} is too old (good to {})", sampled.value, aged.last),
        mend: "sample the soil again".to_string(),
        origin: Origin::Figure(aged.cite),
    })
}

fn rated_before_the_plan(field: &WrittenField, book: &Book<'_>, findings: &mut Findings) {
    if let Some(rated) = field.rating.as_ref().filter(|r| r.on.value > book.on()) {
        let found = format!(
            "field {}: the phosphorus rating is dated {}, after the plan starts",
            field.id.value, rated.on.value
        );
        findings.push(Finding::warning("rated-later", &rated.on.place, found).mend("check the year"));
    }
}
