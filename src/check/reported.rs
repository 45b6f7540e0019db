//! Whether the soil reports use the extractant and the units that the place's tables are for.
//!
//! A farm sends all its samples to one laboratory: what is foreign to the place is foreign on
//! every field, and is said once for all of them.

use crate::check::ready::words;
use crate::farm::{SoilTest, Written, WrittenField};
use crate::findings::{At, Finding, Findings, Place, listed, together};
use crate::tables::{Book, Classes, Of, Rate, Scope, Sourced, topic};
use crate::units::{Quantity, SoilScale, SoilValue, Times, trimmed};

pub(super) fn check(farm: &Written, book: &Book<'_>, findings: &mut Findings) {
    let tests = farm.fields.iter().filter_map(|field| Some((field, field.soil_test.as_ref()?)));
    let wanted = book.place().extractant.as_ref();
    // The units of a report by another extractant go with it.
    let (foreign, own): (Vec<_>, Vec<_>) =
        tests.partition(|(_, test)| wanted.is_some_and(|wanted| *wanted != test.extractant.value));
    let used = foreign.iter().map(|(field, test)| (&test.extractant.value, (*field, &test.extractant.place)));
    for (extractant, fields) in together(used) {
        let (of, place) = of(&fields);
        let accepted = wanted.map_or(String::new(), |wanted| {
            format!("{}, which the tables of {} are for", wanted.replace('_', "-"), book.place().name)
        });
        findings.push(
            Finding::error("extractant", place, format!("{of}: the soil test used `{}`", extractant.replace('_', "-")))
                .accepts(accepted)
                .fix("one extractant's result cannot be turned into another's: sample again for a laboratory that uses it"),
        );
    }
    let units = own.iter().flat_map(|(field, test)| {
        let asked = scales_asked(field, test, farm, book).into_iter();
        let other = asked.filter(|(_, value, scale, _)| value.value.scale != *scale);
        other.map(|(key, value, scale, whose)| ((key, value.value.scale, scale, whose), (*field, value)))
    });
    for ((key, scale, wanted, whose), values) in together(units.collect::<Vec<_>>()) {
        let fields: Vec<(&WrittenField, &Place)> = values.iter().map(|(field, value)| (*field, &value.place)).collect();
        let (of, place) = of(&fields);
        let is = match values.as_slice() {
            [(_, value)] => value.value.to_string(),
            _ => format!("in {}", scale.word()),
        };
        let (word, accepts) =
            (wanted.word(), format!("{}, as {whose} of {} have it", wanted.word(), book.place().name));
        let turned = turned(scale, (wanted, &values[0].0.soil_test), book);
        let (accepts, fix) = match (turned, values.as_slice()) {
            (None, _) => (accepts, format!("write the report's value in {word}, or ask the laboratory for it")),
            (Some(one), [(_, value)]) => {
                let write = trimmed(value.value.shown().0 * one.value.get());
                let times = times_of(scale, &one, word);
                (format!("{accepts}; {times}"), format!("write `{key}: {write} {word}`"))
            }
            (Some(one), _) => {
                let times = times_of(scale, &one, word);
                let fix = format!("multiply each by {}, and write it as `{key}: ... {word}`", trimmed(one.value.get()));
                (format!("{accepts}; {times}"), fix)
            }
        };
        let found = format!("{of}: soil-test `{key}` is {is}");
        findings.push(Finding::error("soil-unit", place, found).accepts(accepts).fix(fix));
    }
}

/// What one unit of the report is in the place's own, where a laboratory of the place names both:
/// it is told, and nothing is turned.
fn turned(from: SoilScale, (to, test): (SoilScale, &Option<SoilTest>), book: &Book<'_>) -> Option<Sourced<Times>> {
    book.place().p_unit.filter(|own| *own == to)?;
    let topic = match from {
        SoilScale::Ppm => topic::SOIL_PER_PPM,
        SoilScale::LbPerAcre => topic::SOIL_PER_LB_AC,
        SoilScale::Index => return None,
    };
    book.get(topic, &Scope::new().extractant(&test.as_ref()?.extractant.value))
}

fn times_of(from: SoilScale, one: &Sourced<Times>, to: &str) -> String {
    format!("1 {} is {} {to}: {}", from.word(), trimmed(one.value.get()), one.cite)
}

/// `field A` or `fields A and B`, and the first line.
fn of<'a>(fields: &[(&WrittenField, &'a Place)]) -> (String, &'a Place) {
    let ids: Vec<&str> = fields.iter().map(|(field, _)| field.id.value.as_str()).collect();
    let word = if ids.len() == 1 { "field" } else { "fields" };
    (format!("{word} {}", listed(&ids)), fields[0].1)
}

/// The scale in which a figure needs each value of a soil test: the place's
/// own, and that of every figure the value is compared with.
fn scales_asked<'a>(
    field: &WrittenField,
    test: &'a SoilTest,
    farm: &Written,
    book: &Book<'_>,
) -> Vec<(&'static str, &'a At<SoilValue>, SoilScale, &'static str)> {
    let place = book.place();
    let region = farm.region.as_ref().map(|region| &region.value);
    let soil = Scope::new().extractant(&test.extractant.value).region(region);
    let classes = |topic: Of<Classes<SoilValue>>| {
        let ends = book.get(topic, &soil).map(|classes| classes.value);
        ends.and_then(|ends| ends.iter().find_map(|(end, _)| end.map(|end| end.scale)))
    };
    let curve = |topic| match book.get(topic, &words(field)).map(|rate| rate.value) {
        Some(Rate::Curve { over, .. }) => over,
        _ => None,
    };
    let stop = |topic: Of<SoilValue>| book.get(topic, &words(field)).map(|stop| stop.value.scale);
    let (tables, limit) = ("the tables", "the limits");
    let asked = [
        ("p", Some(&test.p), place.p_unit, tables),
        ("p", Some(&test.p), classes(topic::SOIL_P_CLASS), "the classes"),
        ("p", Some(&test.p), curve(topic::P2O5_NEED), "the needs"),
        ("k", Some(&test.k), place.k_unit, tables),
        ("k", Some(&test.k), classes(topic::SOIL_K_CLASS), "the classes"),
        ("k", Some(&test.k), curve(topic::K2O_NEED), "the needs"),
        ("mg", test.mg.as_ref(), classes(topic::SOIL_MG_CLASS), "the classes"),
        ("zinc", test.zinc.as_ref(), stop(topic::SOIL_ZINC_STOP).or(place.p_unit), limit),
        ("copper", test.copper.as_ref(), stop(topic::SOIL_COPPER_STOP).or(place.p_unit), limit),
    ];
    let mut asked: Vec<_> =
        asked.into_iter().filter_map(|(key, value, scale, whose)| Some((key, value?, scale?, whose))).collect();
    // One finding a value and scale.
    asked.dedup_by_key(|(key, _, scale, _)| (*key, *scale));
    asked
}
