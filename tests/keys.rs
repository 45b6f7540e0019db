//! Every key that farm.yaml may leave out matters: `keys/how.txt` says how, and
//! a key that the schema gets without a line there fails.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod demo;

use demo::{asked, file, texts};
use serde_json::Value;
use std::collections::BTreeSet;
use std::str::FromStr;
use sward::farm::{self, Change, FarmText};
use sward::findings::Findings;
use sward::pipeline::{Planned, Question, Weighed};
use sward::plan::{self, Mends, days};
use sward::write;

/// One line of the list.
struct How {
    key: String,
    effect: String,
    change: String,
}

fn list() -> Vec<How> {
    let lines = include_str!("keys/how.txt").lines().filter(|line| !line.is_empty() && !line.starts_with('#'));
    lines
        .map(|line| {
            let parts: Vec<&str> = line.splitn(3, " | ").collect();
            let [key, effect, change] = parts[..] else { panic!("not three parts: {line}") };
            How { key: key.to_string(), effect: effect.to_string(), change: change.to_string() }
        })
        .collect()
}

/// Every key that a block of the schema does not need, by its path.
fn optional(form: &Value, path: &str, found: &mut BTreeSet<String>) {
    if let Some(properties) = form["properties"].as_object() {
        let needed: Vec<&str> = form["required"].as_array().into_iter().flatten().filter_map(Value::as_str).collect();
        for (key, inner) in properties.iter().filter(|(_, inner)| inner["type"] != "null") {
            let path = if path.is_empty() { key.clone() } else { format!("{path}.{key}") };
            if !needed.contains(&key.as_str()) {
                found.insert(path.clone());
            }
            optional(inner, &path, found);
        }
        return;
    }
    optional_if(&form["items"], &format!("{path}[]"), found);
    for one in form["anyOf"].as_array().into_iter().flatten() {
        optional(one, path, found);
    }
}

fn optional_if(form: &Value, path: &str, found: &mut BTreeSet<String>) {
    if form.is_object() {
        optional(form, path, found);
    }
}

/// What the columns of other people's tables are called is held where those
/// tables are.
fn of_a_table(key: &str) -> bool {
    ["analyses", "soil_tests", "tickets"]
        .iter()
        .any(|block| key.starts_with(&format!("{block}.")) || key.starts_with(&format!("{block}[]")))
}

#[test]
fn every_optional_key_has_a_line_and_every_line_a_key() {
    let mut keys = BTreeSet::new();
    optional(&farm::schema(), "", &mut keys);
    keys.retain(|key| !of_a_table(key));
    // A record in a list matters as one that stands alone.
    let alone = keys.clone();
    keys.retain(|key| {
        !key.match_indices("[]").any(|(at, _)| alone.contains(&format!("{}{}", &key[..at], &key[at + 2..])))
    });
    let listed: Vec<String> = list().into_iter().map(|how| how.key).collect();
    let once: BTreeSet<String> = listed.iter().cloned().collect();
    assert_eq!(once.len(), listed.len(), "a key is listed twice");
    let (new, gone): (Vec<_>, Vec<_>) = (keys.difference(&once).collect(), once.difference(&keys).collect());
    assert!(new.is_empty() && gone.is_empty(), "say in tests/keys/how.txt how these matter: {new:?}; gone: {gone:?}");
    assert!(keys.len() > 100, "{}", keys.len());
}

/// One of the things that a key may change; none for a word that is none of them.
fn shown(planned: &Planned, effect: &str) -> Option<String> {
    let Planned { weighed: Weighed { tables, ready, ground, balance, .. }, audited } = planned;
    let of = audited.plan();
    let calendar = || days::days(of, ready, of.from, &days::lost(ready));
    match effect {
        "days" => Some(calendar().map(|days| nowhere(&write::days_json(&days))).unwrap_or_default()),
        "page" => Some(nowhere(&write::plan_with(
            audited,
            &write::Beside { days: calendar().as_ref(), mends: &Mends::default() },
            80,
        ))),
        "sheets" => Some(write::sheets(audited, ready, ground, &plan::driving(of, ready, ground))),
        "binder" => {
            let calendar = calendar();
            let papers = write::Papers {
                audited,
                ready,
                balance,
                ground,
                driving: &plan::driving(of, ready, ground),
                days: calendar.as_ref(),
                tally: &plan::tally(ready, tables, balance, of),
                actual: &plan::actual(ready, balance),
                cites: &plan::cites(ready, balance),
            };
            Some(nowhere(&write::binder(&papers)))
        }
        _ => None,
    }
}

/// A text without the places where its figures are written: a change is written
/// elsewhere, and that alone must not count.
fn nowhere(text: &str) -> String {
    let mut out = String::new();
    let mut rest = text;
    while let Some(at) = rest.find("farm.yaml:").into_iter().chain(rest.find("--with ")).min() {
        out.push_str(&rest[..at]);
        out.push_str("PLACE");
        let end = rest[at..].find([')', ']', '<', ';', '"', ',']).map_or(rest.len(), |end| at + end);
        rest = &rest[end..];
    }
    out + rest
}

/// The farm of the list, planned, and what is found of it.
struct Before {
    texts: FarmText,
    codes: BTreeSet<String>,
    planned: Planned,
    shown: Vec<(&'static str, String)>,
}

/// The demo farm with the fields that the list changes.
fn before() -> Before {
    let keep = ["B1", "B2", "N1", "N2", "R1"];
    let main = file(farm::MAIN);
    let (head, rest) = main.split_once("\nfields:\n").unwrap();
    let (fields, tail) = rest.split_once("\n# How fast it goes on").unwrap();
    let entries = fields.split("\n  - id: ").map(|entry| entry.trim_start_matches("  - id: "));
    let kept: String = entries
        .filter(|entry| keep.contains(&entry.lines().next().unwrap().trim()))
        .map(|entry| format!("  - id: {entry}\n"))
        .collect();
    let main = format!("{head}\nfields:\n{kept}\n# How fast it goes on{tail}")
        .replace("fields: [R1, J1]", "fields: [R1]")
        .replace("fields: [R2]", "fields: [R1]")
        .replace("not_on: [R2", "not_on: [R1");
    // A feature is a line; what belongs to a field that is left out goes with it.
    let other =
        |line: &&str| keep.iter().any(|id| line.contains(&format!("\"{id}\""))) || !line.contains("\"field\": ");
    let gates = file(farm::FIELDS).lines().filter(other).collect::<Vec<_>>().join("\n");
    let texts = FarmText { main: Some(main), fields: Some(gates), ..texts() };
    let planned = asked(&texts).plan().unwrap_or_else(|f| panic!("{:?}", f.sorted()));
    let shown = ["page", "days", "sheets", "binder"].map(|effect| (effect, shown(&planned, effect).unwrap())).to_vec();
    Before { codes: codes(&asked(&texts).check().findings), texts, planned, shown }
}

fn codes(found: &Findings) -> BTreeSet<String> {
    found.sorted().iter().map(|f| f.code.to_string()).collect()
}

/// Whether a change has an effect; else what is seen instead.
fn has(before: &Before, changes: &str, effect: &str) -> Result<(), String> {
    let changes: Vec<Change> = changes.split(" && ").map(|c| Change::from_str(c).unwrap()).collect();
    let checked = Question { changes: &changes, ..asked(&before.texts) }.check();
    if let Some(code) = effect.strip_prefix("finding ") {
        let new: Vec<String> = codes(&checked.findings).difference(&before.codes).cloned().collect();
        return if new.iter().any(|c| c == code) { Ok(()) } else { Err(format!("the findings {new:?}")) };
    }
    let planned = checked.weigh().and_then(|weighed| weighed.plan(&plan::LeastCost::default()));
    let planned = planned.map_err(|found| format!("{:?}", found.sorted().first()))?;
    let differs = match before.shown.iter().find(|(name, _)| *name == effect) {
        Some((_, was)) => shown(&planned, effect).is_some_and(|now| now != *was),
        None => !plan::differences(before.planned.audited.plan(), planned.audited.plan()).none(),
    };
    if differs { Ok(()) } else { Err("nothing".to_string()) }
}

#[test]
fn every_key_matters_as_the_list_says() {
    let before = before();
    let list = list();
    let tried: Vec<&How> = list.iter().filter(|how| how.effect != "test").collect();
    let threads = std::thread::available_parallelism().map_or(1, |n| n.get());
    let fault = |how: &&How| {
        let seen = has(&before, &how.change, &how.effect).err()?;
        Some(format!("{}: {} should make {} differ; seen: {seen}", how.key, how.change, how.effect))
    };
    let wrong: Vec<String> = std::thread::scope(|scope| {
        let workers: Vec<_> = tried
            .chunks(tried.len().div_ceil(threads))
            .map(|part| scope.spawn(move || part.iter().filter_map(fault).collect::<Vec<_>>()))
            .collect();
        workers.into_iter().flat_map(|worker| worker.join().unwrap()).collect()
    });
    assert!(wrong.is_empty(), "{wrong:#?}");
    // A value that is written again, as it is, makes nothing differ.
    for effect in ["plan", "page", "days", "sheets", "binder", "finding no-effect"] {
        let same = "fields.N1.most=3 tons/ac && county=Hollin && days.speed=18 mph";
        assert!(has(&before, same, effect).is_err(), "{effect} differs by the place of a line alone");
    }
}

/// A key that another test shows to matter names one that is there.
#[test]
fn the_tests_that_are_named_are_there() {
    for how in list().iter().filter(|how| how.effect == "test") {
        let (file, name) = how.change.split_once(' ').unwrap();
        let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests").join(file);
        let text = std::fs::read_to_string(path).unwrap();
        assert!(text.contains(&format!("fn {name}()")), "{}: {file} has no test {name}", how.key);
    }
}

/// Where a place works by pools, nitrate is nitrogen of this year.
#[test]
fn nitrate_counts_where_a_place_works_by_pools() {
    let farm = |nitrate: &str| {
        FarmText {
        main: Some(format!(
            "farm: Ridge Farm\nplace: us-va\nregion: piedmont\nplan: {{from: 2027-02-15, to: 2027-10-31}}\n\
             spreader: {{swath: 30 ft, load: 8 tons, step: 0.25 tons/ac, least: 0.5 tons/ac, most: 4 tons/ac}}\n\
             litter:\n  - lot: shed\n    kind: broiler litter\n    on_hand: 100 tons\n    stored: shed\n    analysis:\n      \
             {{lab: state lab, sampled: 2027-01-20, basis: as received, moisture: 25 %, total_n: 58 lb/ton, ammonium_n: \
             10 lb/ton, {nitrate}p2o5: 55 lb/ton, k2o: 56 lb/ton}}\nfields:\n  - id: F1\n    forage: tall fescue\n    \
             use: hay\n    texture: fine\n    yield_goal: 3.5 tons/ac\n    soil_test: {{lab: state lab, sampled: 2026-10-20, \
             extractant: mehlich-1, p: 40 lb/ac, k: 90 lb/ac, ph: 6.0}}\n"
        )),
        fields: Some(
            r#"{"type": "FeatureCollection", "features": [{"type": "Feature", "properties": {"id": "F1"}, "geometry": {"type": "Polygon",
            "coordinates": [[[-78.600000, 37.350000], [-78.596700, 37.350000], [-78.596700, 37.352700], [-78.600000, 37.352700], [-78.600000, 37.350000]]]}}]}"#.to_string(),
        ),
        keepouts: Some(r#"{"type": "FeatureCollection", "features": []}"#.to_string()),
        ..FarmText::default()
    }
    };
    let n = |nitrate: &str| {
        let made = demo::made(&farm(nitrate));
        let notes = &made.weighed.fields[0].notes;
        let step = notes.steps().iter().find(|s| s.what == "available N of shed").unwrap();
        format!("{:?}", step.value)
    };
    assert_ne!(n(""), n("nitrate_n: 4 lb/ton, "));
}
