//! The phosphorus rules of the places: how a row is read, and what each place's rows come
//! to, held against cases that were reached by hand from the texts.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Farm, NC, VA, checked, figure, flat, passed_limits, planned, root, rule, weighed_codes};
use serde_json::json;
use serde_yaml::{Mapping, Value};
use std::collections::BTreeSet;
use sward::tables;

/// Places whose own rows alone count.
const REPLACES: [&str; 4] = ["us-de", "us-md", "us-pa", "us-va"];

fn read(place: &str) -> Mapping {
    let text = std::fs::read_to_string(root().join(format!("reference/{place}/p_rule.yaml"))).unwrap();
    serde_yaml::from_str::<Value>(&text).unwrap().as_mapping().unwrap().clone()
}

fn word(value: &Value) -> String {
    match value {
        Value::String(text) => text.clone(),
        Value::Number(number) => number.to_string(),
        _ => String::new(),
    }
}

fn words(value: &Value) -> Vec<String> {
    value.as_sequence().map_or_else(|| vec![word(value)], |all| all.iter().map(word).collect())
}

/// The rows of a place on a day, as a text that takes the place of every other row: the
/// edition in force, from long ago on.
fn laid(place: &str, on: &str) -> String {
    let mut all = Mapping::new();
    let own = read(place);
    let ids = |rows: &Mapping| rows.keys().filter(|key| word(key).starts_with("p_rule")).cloned().collect::<Vec<_>>();
    let wider = ids(&read("us"));
    // What no row of the place says goes out.
    let others: Vec<Value> = ids(&read("us-nc")).into_iter().chain(wider).collect();
    let inherits = !REPLACES.contains(&place);
    let us = read("us");
    for id in ids(&own).into_iter().chain(others) {
        let record = own.get(&id).or_else(|| us.get(&id).filter(|_| inherits));
        let edition = record.and_then(|record| {
            let dated = record["from"].as_mapping().unwrap().iter();
            dated.filter(|(from, _)| word(from).as_str() <= on).max_by_key(|(from, _)| word(from)).map(|(_, e)| e)
        });
        let made = record.or_else(|| us.get(&id)).cloned().unwrap_or_else(|| read("us-nc")[&id].clone());
        let none = serde_yaml::from_str("{value: null, source: trade, at: a test, known: common practice}").unwrap();
        let mut made = made.as_mapping().unwrap().clone();
        let from = Mapping::from_iter([("1990-01-01".into(), edition.cloned().unwrap_or(none))]);
        made.insert("from".into(), from.into());
        all.insert(id, made.into());
    }
    serde_yaml::to_string(&all).unwrap()
}

/// Pounds of a text such as `60 lb`.
fn pounds(value: &Value) -> Option<f64> {
    word(value).split_whitespace().next()?.parse().ok()
}

/// The words that some rows ask for under a condition.
fn asked(rows: &str, key: &str) -> BTreeSet<String> {
    let rows: Mapping = serde_yaml::from_str(rows).unwrap();
    let editions = rows.values().flat_map(|row| row["from"].as_mapping().unwrap().values());
    editions.filter_map(|edition| edition.get("when")?.get(key)).flat_map(words).collect()
}

/// The farm of a case; none where a farm cannot be in that case.
fn farm(case: &Value) -> Option<Farm> {
    let place = word(&case["place"]);
    let rows = laid(&place, &word(&case["on"]));
    let mut farm = Farm::new(&NC).figure(rows.clone());
    farm.set("region", "mountains");
    let removal = pounds(&case["removal"])?;
    farm = farm.figure(figure(
        "p2o5_per_ton.tall_fescue",
        "lb/ton",
        "forage: tall_fescue",
        &format!("value: {}", removal / 4.0),
    ));
    let need = pounds(&case["need"])?;
    farm = farm.figure(figure("p2o5_need.tall_fescue", "lb/ac", "forage: tall_fescue", &format!("value: {need}")));
    match word(&case["rating"]).as_str() {
        "unrated" | "" => farm.set("fields.A.phosphorus_rating", json!(null)),
        rating => farm.set("fields.A.phosphorus_rating.rating", rating),
    }
    if word(&case["from"]).contains("no_test") {
        farm.set("fields.A.soil_test", json!(null));
    }
    if let Some(soil) = pounds(&case["soil"]) {
        farm.set("fields.A.soil_test.p", format!("{soil} index"));
    }
    let mut said = json!({"by": "a planner", "on": "2026-11-09"});
    for key in ["plan", "way", "farm"] {
        let asked = asked(&rows, key);
        match case.get(key).map(word).as_deref() {
            None => {}
            Some("large") => farm.set("large_operation", "yes"),
            // A word that no row asks for is as none.
            Some(word) if key == "farm" || asked.contains(word) => said[key] = json!(word),
            Some(_) => {}
        }
    }
    let areas: Vec<String> = case.get("region").map(words).unwrap_or_default();
    let asked = asked(&rows, "region");
    let areas: Vec<String> = areas.into_iter().filter(|area| asked.contains(area)).collect();
    if !areas.is_empty() {
        said["areas"] = json!(areas);
    }
    if let Some(stated) = case.get("stated") {
        said["stated"] = json!(words(stated));
    }
    if let Some(share) = pounds(&case["saturation"]) {
        said["saturation"] = json!(format!("{share} %"));
    }
    if said.as_object().unwrap().len() > 2 {
        farm.set("fields.A.phosphorus_rule", said);
    }
    Some(farm)
}

/// Every case, by the binary's own way from a folder to an audited plan. Cases of bought
/// phosphorus, of a field without a soil test and of a class are held elsewhere.
#[test]
fn every_place_allows_what_its_text_says() {
    let cases: Vec<Value> = serde_yaml::from_str(include_str!("p_rule/cases.yaml")).unwrap();
    let (mut held, mut faults, mut places) = (0, Vec::new(), BTreeSet::new());
    for case in &cases {
        let said = serde_yaml::to_string(case).unwrap().replace('\n', ", ");
        // Where no test is needed by common practice alone, the field gets nothing.
        let no_test = word(&case["from"]).contains("no_test") && word(&case["place"]) != "us-pa";
        if case.get("of").is_some() || case.get("class").is_some() || no_test {
            continue;
        }
        let Some(farm) = farm(case) else { continue };
        let farm = if case.get("placement").map(word).as_deref() == Some("worked_in") {
            farm.with("fields.A.worked_in", "1 days")
        } else {
            farm
        };
        held += 1;
        places.insert(word(&case["place"]));
        let plan = planned(&farm);
        let field = plan.field("A").clone();
        let (basis, allowed) = (field["phosphorus"]["basis"].clone(), field["phosphorus"]["allowed"].as_f64());
        let bars = field["bars"].as_array().map_or(0, Vec::len);
        let expect = &case["expect"];
        let right = match word(&expect["p2o5"]).as_str() {
            "ask" => bars > 0 && allowed == Some(0.0),
            "none" => basis == "none" && bars == 0 && allowed == Some(0.0),
            "unbounded" => basis == "nitrogen" && allowed.is_none(),
            _ => {
                let lb = pounds(&expect["p2o5"]).unwrap();
                bars == 0 && allowed.is_some_and(|allowed| (allowed - lb).abs() < 1e-6)
            }
        };
        if !right {
            faults.push(format!("{said}: {basis}, {allowed:?}, {bars} bars"));
            continue;
        }
        // Years' worth at once: so many, and not one more.
        let Some(years) = expect["years"].as_u64().filter(|_| basis == "removal") else { continue };
        let lb = pounds(&expect["p2o5"]).unwrap();
        let banked = |years: u64| {
            let farm = farm.clone().with("fields.A.bank_years", years);
            match weighed_codes(&farm).contains("banked-too-long") {
                true => None,
                false => Some(planned(&farm).number("A", "/phosphorus/allowed")),
            }
        };
        let all = if years > 1 { banked(years) } else { Some(lb) };
        let more = banked(years + 1).unwrap_or(lb * years as f64);
        if lb > 0.0
            && (all.is_none_or(|all| (all - lb * years as f64).abs() > 1e-6) || (more - lb * years as f64).abs() > 1e-6)
        {
            faults.push(format!("{said}: {years} years give {all:?}, one more {more}"));
        }
    }
    assert!(faults.is_empty(), "{} of {held}:\n{}", faults.len(), faults.join("\n"));
    assert!(held > 130 && places.len() == 19, "{held} cases of {} places", places.len());
}

/// A row with a fault in it, and what is said of it.
#[test]
fn each_fault_of_a_row_is_named_at_its_key() {
    let faults = |row: &str| -> String {
        let papers = "source: trade\n      at: a test\n      known: common practice";
        let text = format!(
            "p_rule.x:\n  topic: p_rule\n  what: x\n  unit: none\n  from:\n    2020-01-01:\n      {row}\n      {papers}\n  seen: 2026-11-25\n"
        );
        let mut files = tables::built_in();
        files.push(("us-nc/zz_test.yaml".to_string(), text));
        let (_, found) = tables::load_for(&files, "us-nc");
        found
            .sorted()
            .iter()
            .map(|f| format!("{}: {} ({}); ", f.place, f.found, f.accepted.clone().unwrap_or_default()))
            .collect()
    };
    assert_eq!(faults("basis: removal"), "");
    for (row, said) in [
        ("when: {}", "basis"),
        ("basis: phosphorus", "the basis `phosphorus` is not known"),
        ("basis: ask", "`ask` without `by`"),
        ("basis: warn", "`warn` without words"),
        ("basis: removal\n      times: 0", "`times` is 0"),
        ("basis: removal\n      times: -1", "`times` is -1"),
        ("basis: nitrogen\n      times: 2", "go with pounds"),
        ("basis: removal\n      years: 1.5", "`years` is 1.5"),
        ("basis: removal\n      years: 20", "`years` is 20"),
        ("basis: removal\n      or: {greater: removal}", "names no other basis"),
        ("basis: removal\n      or: {greater: need, lesser: need}", "names no other basis"),
        ("basis: removal\n      or: {most: need}", "the key `most` is not known"),
        ("basis: removal\n      most: {p2o5: 20, litter: 2}", "not one amount"),
        ("basis: removal\n      most: {litter: 0}", "`litter` is 0"),
        ("basis: removal\n      most: {litter: 2, total_n: 100}", "not one amount"),
        ("basis: cap", "has no cap"),
        ("basis: removal\n      n_most: {lb: 100}", "the key `lb` is not known"),
        ("basis: nitrogen\n      n_most: {share: 0}", "`share` is 0"),
        ("basis: nitrogen\n      n_most: {share: 2.5}", "`share` is 2.5"),
        ("basis: removal\n      wins: always", "`always` is not known"),
        ("basis: removal\n      when: {rating: severe}", "`severe` is not known"),
        ("basis: removal\n      when: {farm: [large, tiny]}", "`tiny` is not known"),
        ("basis: removal\n      when: {soil: {}}", "no end"),
        ("basis: removal\n      when: {soil: {from: 5, over: 4}}", "two of one side"),
        ("basis: removal\n      when: {soil: {from: 5, below: 5}}", "nothing between"),
        ("basis: removal\n      when: {soil: {scale: ppm, from: 5}}", "`ppm` is not known"),
        ("basis: removal\n      when: {near: {within: 150}}", "feet above 0, and what is near"),
        ("basis: removal\n      when: {near: {within: 0, of: ditch}}", "feet above 0, and what is near"),
        ("basis: removal\n      when: {near: {within: 9, of: ditch, side: east}}", "the key `side` is not known"),
        ("basis: removal\n      when: {moon: full}", "the key `moon` is not known"),
        ("basis: removal\n      unless:\n        - {stated: x, words: y, by: z}", "then"),
        (
            "basis: removal\n      unless:\n        - {stated: x, words: y, by: z, then: {basis: all}}",
            "the basis `all`",
        ),
        ("basis: removal\n      word: 3", "the key `word` is not known"),
    ] {
        let found = faults(row);
        assert!(found.contains(said) && found.contains("reference/us-nc/zz_test.yaml:"), "{row}: {found}");
    }
}

/// The form stays one that a reader learns at a glance: at most 12 keys over all places, beside the
/// papers that every figure has.
#[test]
fn a_row_has_few_keys() {
    let papers = ["source", "at", "known", "note"];
    let (mut keys, mut rows) = (BTreeSet::new(), 0);
    for folder in std::fs::read_dir(root().join("reference")).unwrap() {
        let place = folder.unwrap().file_name().into_string().unwrap();
        if !root().join(format!("reference/{place}/p_rule.yaml")).exists() {
            continue;
        }
        let all = read(&place);
        for (_, record) in all.iter().filter(|(id, _)| word(id).starts_with("p_rule")) {
            for edition in record["from"].as_mapping().unwrap().values().filter_map(Value::as_mapping) {
                rows += 1;
                keys.extend(edition.keys().map(word).filter(|key| !papers.contains(&key.as_str())));
            }
        }
    }
    assert!(rows > 100, "{rows}");
    assert!(keys.len() > 5 && keys.len() <= 12, "{keys:?}");
}

/// Which rows of a place count stands in its table, its own before those of the wider place.
#[test]
fn the_table_says_which_rows_are_in_force() {
    let table = |place: &str| flat(&kit::sward(root(), &["tables", "p_rule", "--place", place]).out);
    let tx = table("us-tx");
    let at = |words: &str| tx.find(words).unwrap_or_else(|| panic!("{words}: {tx}"));
    assert!(at("us-tx/p_rule.very_high") < at("us/p_rule.high"), "{tx}");
    let after = |id: &str| &tx[at(id)..at(id) + 700];
    assert!(after("us/p_rule.high:").contains("not in force here: the place's own row of this name takes its place"));
    assert!(after("us/p_rule.low:").contains("of the wider place, in force beside the place's own"), "{tx}");
    assert!(after("us/p_rule.large_rest:").contains("in force: a caution, no limit"), "{tx}");
    // Where the place's own rows alone count none of the wider place's stands there.
    assert!(!table("us-md").contains("us/p_rule."));
    // On which day, stands above it: today, where none is asked for.
    assert!(!tx.contains("the latest figures") && tx.contains("figures in force on 20"), "{tx}");
}

/// A place that names no unit of its soil tests has no row by them.
#[test]
fn a_row_by_the_soil_test_needs_the_unit_of_the_place() {
    let mut files = tables::built_in();
    files.push(("us-zz/place.yaml".to_string(), "name: Nowhere\nwithin: us\ndecides: nobody\n".to_string()));
    files.push(("us-zz/rows.yaml".to_string(), rule("steps", "soil: {from: 100}", &["basis: none"])));
    let (_, found) = tables::load(&files);
    assert!(found.sorted().iter().any(|f| f.found.contains("the place names no unit")), "{:?}", found.sorted());
}

/// Pounds are compared in pounds: rows of any basis, in any order.
#[test]
fn the_fewest_pounds_hold() {
    let allowed = |rows: &[(&str, &[&str])], p: &str| {
        let mut farm = Farm::new(&NC).with("fields.A.soil_test.p", format!("{p} index"));
        for (number, (when, says)) in rows.iter().enumerate() {
            let id = if number == 0 { "low".to_string() } else { format!("row_{number}") };
            farm = farm.figure(rule(&id, when, says));
        }
        planned(&farm).field("A")["phosphorus"]["allowed"].as_f64()
    };
    let removal = allowed(&[("rating: low", &["basis: removal"])], "40").unwrap();
    let need = allowed(&[("rating: low", &["basis: need"])], "40").unwrap();
    assert!(removal > 0.0 && need > 0.0 && (removal - need).abs() > 1.0, "{removal}, {need}");
    let (less, more) = (removal.min(need), removal.max(need));
    let near = |found: Option<f64>, lb: f64| assert!((found.unwrap() - lb).abs() < 1e-6, "{found:?} of {lb}");
    near(allowed(&[("rating: low", &["basis: removal"]), ("", &["basis: need"])], "40"), less);
    near(allowed(&[("rating: low", &["basis: removal", "or: {greater: need}"])], "40"), more);
    near(allowed(&[("rating: low", &["basis: need", "or: {lesser: removal}"])], "40"), less);
    near(allowed(&[("rating: low", &["basis: removal", "times: 0.25"])], "40"), removal * 0.25);
    near(allowed(&[("rating: low", &["basis: removal", "times: 3"]), ("", &["basis: nitrogen"])], "40"), removal * 3.0);
    near(allowed(&[("rating: low", &["basis: need"]), ("", &["basis: removal", "wins: first"])], "40"), removal);
    near(allowed(&[("rating: low", &["basis: need"]), ("", &["basis: none", "wins: last"])], "40"), need);
    near(allowed(&[("rating: low", &["basis: removal", "most: {p2o5: 3}"])], "40"), removal);
    assert_eq!(
        allowed(&[("rating: low", &["basis: nitrogen"]), ("", &["basis: warn", "note: mind the slope"])], "40"),
        None
    );
}

/// Rows of a rule, the first by the rating: what each says.
type Rows<'a> = &'a [&'a [&'a str]];

/// A row by what lies near the field: to the foot, by the kinds that it names, and by the audit's
/// own measure too.
#[test]
fn a_row_holds_by_what_lies_near() {
    static PA: kit::Place = kit::Place {
        key: "us-pa",
        region: "",
        extractant: "mehlich-3",
        unit: "ppm",
        asks_needs: true,
        at: (-77.5, 40.5),
    };
    let farm = |kind: &str, feet: f64| {
        let water = json!({"kind": kind, "name": "the branch", "setback": "100 ft",
            "setback_by": "Avery Lunsford, 2026-12-01"});
        Farm::new(&PA)
            .with("fields.A.phosphorus_rating", json!(null))
            .with("fields.A.phosphorus_rule", json!({"plan": "by law", "by": "a planner", "on": "2026-11-09"}))
            .keepout_along(feet, water)
    };
    let asks = |farm: &Farm| planned(farm).field("A")["bars"].to_string().contains("water within 150 ft");
    for (feet, near) in [(148.0, true), (152.0, false), (10.0, true), (-100.0, true), (400.0, false)] {
        for kind in ["perennial stream", "intermittent stream", "ditch"] {
            assert_eq!(asks(&farm(kind, feet)), near, "{kind} at {feet} ft");
        }
        for kind in ["road", "property line"] {
            assert!(!asks(&farm(kind, feet)), "{kind} at {feet} ft");
        }
    }
    // A rating answers, and so does a plan that is not by law.
    let stream = farm("perennial stream", 100.0);
    let rating = json!({"rating": "low", "by": "a planner", "on": "2026-11-09"});
    assert!(!asks(&stream.clone().with("fields.A.phosphorus_rating", rating)));
    assert!(!asks(&stream.clone().with("fields.A.phosphorus_rule", json!(null))));
    assert!(asks(&stream.clone().with("fields.A.phosphorus_rule", json!(null)).with("large_operation", "yes")));
    // The audit finds it without the balance: what was planned without the stream does not pass.
    for (feet, passes) in [(145.0, false), (155.0, true), (-100.0, false)] {
        let (dry, wet) = (farm("perennial stream", 4_000.0), farm("perennial stream", feet));
        let plan = planned(&dry);
        assert!(plan.rate("A") > 0.0);
        assert_eq!(!passed_limits(&plan.text, &wet).contains("nutrients"), passes, "{feet}");
    }
}

/// A figure that the tables lack stops a field where a row that decides goes by it, and nowhere
/// else: by whatever row, and the audit lets no litter on where the balance lets none on.
#[test]
fn a_field_stops_for_the_figure_that_its_rule_goes_by() {
    let none = |topic: &str, unit: &str| figure(topic, unit, "forage: tall_fescue", "value: null");
    let farm = |rows: &[&[&str]], lacks: &[&str]| {
        let mut farm = Farm::new(&NC);
        for (number, says) in rows.iter().enumerate() {
            let id = if number == 0 { "low".to_string() } else { format!("row_{number}") };
            farm = farm.figure(rule(&id, if number == 0 { "rating: low" } else { "" }, says));
        }
        for topic in lacks {
            let unit = if topic.contains("need") { "lb/ac" } else { "lb/ton" };
            farm = farm.figure(none(&format!("{topic}.tall_fescue"), unit));
            if topic.contains("per_ton") {
                farm = farm.figure_in("us", none(&format!("{topic}.tall_fescue"), unit));
            }
        }
        farm
    };
    let (need, off) = ("p2o5_need", "p2o5_per_ton");
    let cases: [(Rows<'_>, &[&str], bool); 17] = [
        (&[&["basis: nitrogen"]], &[need, off, "k2o_need", "k2o_per_ton"], false),
        (&[&["basis: removal"]], &[need, "k2o_need", "k2o_per_ton"], false),
        (&[&["basis: removal"]], &[off], true),
        (&[&["basis: need"]], &[need], true),
        (&[&["basis: need"]], &[off], false),
        (&[&["basis: removal", "times: 0.5"]], &[need], false),
        (&[&["basis: removal", "or: {greater: need}"]], &[need], false),
        (&[&["basis: removal", "or: {greater: need}"]], &[off], false),
        (&[&["basis: removal", "or: {greater: need}"]], &[need, off], true),
        (&[&["basis: removal", "or: {lesser: need}"]], &[need], true),
        (&[&["basis: need", "or: {lesser: removal}"]], &[off], true),
        (&[&["basis: removal"], &["basis: need"]], &[need], true),
        (&[&["basis: removal"], &["basis: need"]], &[off], true),
        (&[&["basis: nitrogen"], &["basis: need"]], &[need], true),
        (&[&["basis: need"], &["basis: none"]], &[need], false),
        (&[&["basis: nitrogen"], &["basis: removal", "most: {p2o5: 20}"]], &[need], false),
        (&[&["basis: removal"]], &["k2o_per_ton"], false),
    ];
    for (rows, lacks, stops) in cases {
        let free = farm(rows, &[]);
        let lacking = farm(rows, lacks);
        let plan = planned(&lacking);
        let bars: Vec<String> =
            plan.field("A")["bars"].as_array().unwrap().iter().map(|bar| bar["why"].to_string()).collect();
        assert_eq!(!bars.is_empty(), stops, "{rows:?} without {lacks:?}: {bars:?}");
        assert_eq!(plan.codes().contains("figure-missing"), stops, "{rows:?} without {lacks:?}");
        // No figure that stops is a need that is merely not known.
        assert!(stops || plan.codes().contains("need-unknown"), "{rows:?} without {lacks:?}: {:?}", plan.codes());
        let known = |plan: &kit::Planned, key: &str| !plan.field("A")["need"][key].is_null();
        assert_eq!((known(&plan, "p2o5"), known(&plan, "k2o")), (!lacks.contains(&need), !lacks.contains(&"k2o_need")));
        // Whatever goes on where the figure is known passes the audit's limit where it is not.
        let litter = planned(&free);
        if stops && litter.rate("A") > 0.0 {
            assert!(passed_limits(&litter.text, &lacking).contains("nutrients"), "{rows:?} without {lacks:?}");
        }
        if !stops {
            assert_eq!(plan.rate("A") > 0.0, litter.rate("A") > 0.0, "{rows:?} without {lacks:?}");
        }
    }
}

/// Caps beside the basis hold log and plan over their years.
#[test]
fn caps_hold_over_their_years() {
    let farm = |most: &str| Farm::new(&NC).figure(rule("low", "rating: low", &["basis: nitrogen", most]));
    let rate = |farm: &Farm| planned(farm).rate("A");
    let free = rate(&Farm::new(&NC).figure(rule("low", "rating: low", &["basis: nitrogen"])));
    assert!(free > 2.0, "{free}");
    assert!((rate(&farm("most: {litter: 2}")) - 2.0).abs() < 1e-9);
    assert!((rate(&farm("most: {p2o5: 4}")) - 2.0).abs() < 1e-9);
    // Ten acres with a ton each in the year before: counted over two years, not over one.
    let logged = |most: &str| rate(&farm(most).logged("2026-03-10", "spread", "heap", "A", "9.9"));
    assert!((logged("most: {litter: 2}") - 2.0).abs() < 1e-9);
    let over_two = logged("most: {litter: 2, over: 2}");
    assert!((0.75..=1.01).contains(&over_two), "{over_two}");
    assert_eq!(rate(&farm("most: {litter: 2, over: 2}").logged("2026-03-10", "spread", "heap", "A", "19.9")), 0.0);
}

/// A cap on the nitrogen that litter holds, by a row that says nothing of phosphate: of all that
/// goes on as litter in a year, available or not, with bags beside it; the audit holds it too.
#[test]
fn a_cap_alone_holds_the_nitrogen_of_litter() {
    for place in kit::PLACES {
        let farm = |lb: &str| {
            Farm::new(place)
                .figure(rule("low", "rating: low", &["basis: nitrogen"]))
                .figure(rule("capped", "plan: capped", &["basis: cap", &format!("most: {{total_n: {lb}}}")]))
                .with("litter.heap.analysis.total_n", "60 lb/ton")
                .with("fields.A.phosphorus_rule", json!({"plan": "capped", "by": "a planner", "on": "2026-11-09"}))
        };
        let rate = |farm: &Farm| planned(farm).rate("A");
        let free = rate(&farm("900"));
        assert!(free > 1.5, "{}: {free}", place.key);
        // 60 lb a ton: the bound, a step below it and one above.
        for (lb, tons) in [("90", 1.5), ("89.9", 1.25), ("104.9", 1.5)] {
            assert!((rate(&farm(lb)) - tons).abs() < 1e-9, "{}: {lb}: {}", place.key, rate(&farm(lb)));
        }
        let capped = farm("90");
        let bag = "date,what,field,grade,rate\n2027-02-20,fertilizer,A,46-0-0,50 lb/ac\n";
        assert!((rate(&capped.clone().lines(bag)) - 1.5).abs() < 1e-9, "{}", place.key);
        // Ten acres with half a ton each: of 90 lb 60 are left.
        let logged = rate(&capped.clone().logged("2027-02-20", "spread", "heap", "A", "5"));
        assert!((0.9..=1.0).contains(&logged), "{}: {logged}", place.key);
        let said = flat(&sward::write::limits(&kit::made(&capped).audited, 80));
        assert!(said.contains("nothing on phosphate, at most 90 lb/ac of the litter's total N a year"), "{said}");
        assert!(said.contains("most in a year"), "{said}");
        let more = planned(&farm("900"));
        assert!(passed_limits(&more.text, &capped).contains("nutrients"), "{}", place.key);
        // Phosphate is what it is without the row; where nothing else speaks, the soil test.
        let basis = |farm: &Farm| planned(farm).field("A")["phosphorus"]["basis"].as_str().unwrap().to_string();
        assert_eq!(basis(&capped), "nitrogen", "{}", place.key);
        let alone = rule("alone", "plan: capped", &["basis: cap", "most: {total_n: 90}", "wins: first"]);
        assert_eq!(basis(&capped.figure(alone)), "soil_test", "{}", place.key);
    }
}

/// What a farm states for the rule is in the words of its rows, or it is told.
#[test]
fn words_that_no_row_asks_for_are_told() {
    let said = |key: &str, word: serde_json::Value| {
        let mut said = json!({"by": "a planner", "on": "2026-11-09"});
        said[key] = word;
        checked(&Farm::new(&NC).with("fields.A.phosphorus_rule", said)).found("rule-word")
    };
    assert!(said("plan", json!("paid")).is_empty());
    assert!(said("areas", json!(["neuse"])).is_empty());
    for (key, word) in [
        ("plan", json!("payed")),
        ("way", json!("any")),
        ("farm", json!("big")),
        ("areas", json!(["nuese"])),
        ("stated", json!(["dry_litter"])),
    ] {
        assert_eq!(said(key, word).len(), 1, "{key}");
    }
}

/// A field that must be rated first gets nothing, and is told whom to ask.
#[test]
fn a_row_that_asks_bars_the_field_with_whom_to_ask() {
    let farm = Farm::new(&NC).with("large_operation", "yes").with("fields.A.phosphorus_rating", json!(null));
    let plan = planned(&farm);
    assert_eq!(plan.rate("A"), 0.0);
    let bar = plan.field("A")["bars"][0].clone();
    assert!(bar["fix"].as_str().unwrap().contains("phosphorus_rating"), "{bar}");
    assert!(plan.codes().contains("phosphorus-ask"));
    assert!(planned(&farm.with("large_operation", "no")).rate("A") > 0.0);
}

/// A row of `limits` tells all that it says: how many years at once, and its cap on nitrogen.
#[test]
fn a_row_is_shown_with_its_years_and_its_cap_on_nitrogen() {
    let farm =
        Farm::new(&NC).figure(rule("low", "rating: low", &["basis: removal", "years: 2", "n_most: {share: 0.75}"]));
    let said = flat(&sward::write::limits(&kit::made(&farm).audited, 80));
    assert!(said.contains("removal, 2 years' worth at once, N up to 0.75 x the need"), "{said}");
}

/// What a row says besides pounds is shown: words, other ways, and bought phosphorus.
#[test]
fn words_and_other_ways_of_the_rows_are_shown() {
    let way = "unless:\n        - {stated: by_the_county, words: the county agreed, by: the county, then: {basis: removal, years: 2}}";
    let farm = Farm::new(&NC)
        .figure(rule("low", "rating: low", &["basis: nitrogen", way]))
        .figure(rule("bought", "of: fertilizer", &["basis: need"]))
        .figure(rule("wet", "rating: [low, high]", &["basis: warn", "note: \"applied: mind the wet corner\""]))
        .figure(rule("other", "rating: high", &["basis: warn", "note: of no field here"]));
    let limits = |farm: &Farm| flat(&sward::write::limits(&kit::made(farm).audited, 80));
    let said = limits(&farm);
    assert!(said.contains("A: made up for a test: mind the wet corner"), "{said}");
    assert!(!said.contains("of no field here") && !said.contains("applied: mind"), "{said}");
    assert!(said.contains("(us-nc/p_rule.bought, common practice)"), "{said}");
    let other = "removal, 2 years' worth at once instead, where the county states: the county agreed \
                 (`phosphorus_rule: {stated: [by_the_county]}`)";
    assert!(said.contains(other), "{said}");
    // Once it is stated it is no other way, and the line that states it is in the trace.
    let stated = farm
        .with("fields.A.phosphorus_rule", json!({"stated": ["by_the_county"], "by": "a planner", "on": "2026-11-09"}));
    assert!(!limits(&stated).contains("instead, where"));
    let made = kit::made(&stated);
    let why = sward::write::why(&made.audited.plan().fields[0], made.balance.field("A").unwrap(), 300);
    assert!(why.contains("stated by a planner, 2026-11-09: the county agreed (farm.yaml:"), "{why}");
    assert!(limits(&stated).contains("; stated by a planner, 2026-11-09: the county agreed (us-nc/p_rule.low"));
    // So is what a row goes by that asks for a plan, a watershed or another word of the farm.
    let paid = Farm::new(&NC)
        .figure(rule("low", "rating: low, plan: paid", &["basis: removal"]))
        .with("fields.A.phosphorus_rule", json!({"plan": "paid", "by": "Señora Muñoz", "on": "2026-11-09"}));
    assert!(limits(&paid).contains("; stated by Señora Muñoz, 2026-11-09: plan paid ("), "{}", limits(&paid));
    assert!(why.contains("by ["), "{why}");
}

/// A condition counts from the day on which somebody stated it; of several statements each from
/// its own day on.
#[test]
fn a_statement_counts_from_its_day_on() {
    let way =
        "unless:\n        - {stated: by_the_county, words: the county agreed, by: the county, then: {basis: nitrogen}}";
    let says = |on: &str, stated: bool| match stated {
        true => json!({"stated": ["by_the_county"], "by": "a planner", "on": on}),
        false => json!({"plan": "paid", "by": "a planner", "on": on}),
    };
    let paid = rule("paid", "plan: paid, rating: high", &["basis: nitrogen"]);
    let farm = |said: serde_json::Value| {
        Farm::new(&NC)
            .figure(rule("low", "rating: low", &["basis: removal", way]))
            .figure(paid.clone())
            .with("litter.heap.analysis.p2o5", "30 lb/ton")
            .with("litter.heap.analysis.sampled", "2026-01-20")
            .with("fields.A.soil_test.sampled", "2025-10-06")
            .with("fields.A.phosphorus_rating.on", "2025-11-09")
            .with("fields.A.phosphorus_rule", said)
            .logged("2026-09-20", "spread", "heap", "A", "40")
            .with("plan.as_of", "2027-02-15")
    };
    let over = |said: serde_json::Value| planned(&farm(said)).codes().contains("logged-over");
    let basis = |said: serde_json::Value| planned(&farm(said)).field("A")["phosphorus"]["basis"].clone();
    for stated in [says("2026-01-09", true), says("2026-11-09", true)] {
        assert_eq!(basis(stated), "nitrogen");
    }
    assert!(!over(says("2026-01-09", true)));
    assert!(over(says("2026-11-09", true)), "{:?}", planned(&farm(says("2026-11-09", true))).codes());
    // The newest up to the plan's day holds, and one that nobody can know yet is told.
    assert_eq!(basis(json!([says("2026-01-09", true), says("2026-11-09", false)])), "removal");
    let later = farm(json!([says("2026-01-09", true), says("2027-04-09", false)]));
    assert!(checked(&later).codes().contains("not-yet-in-force"));
    assert_eq!(planned(&later).field("A")["phosphorus"]["basis"], "nitrogen");
    assert!(checked(&farm(says("2027-04-09", true))).codes().contains("not-yet-known"));
}

/// Where nitrogen is the basis, the phosphate that comes with litter is told by what truly binds.
#[test]
fn what_comes_with_litter_goes_by_the_limit_that_binds() {
    for place in kit::PLACES {
        let farm = Farm::new(place)
            .figure(rule("low", "rating: low", &["basis: nitrogen"]))
            .with("litter.heap.analysis.p2o5", "30 lb/ton");
        let row = |farm: &Farm| planned(farm).field("A")["phosphorus"].clone();
        let most = row(&farm.clone().with("fields.A.most", "1.5 tons/ac"));
        assert_eq!((most["with_n"].as_f64(), &most["with_n_by"]), (Some(45.0), &json!("grower_most")), "{}", place.key);
        let free = row(&farm.with("litter.heap.analysis.total_n", "60 lb/ton"));
        assert_ne!(free["with_n_by"], "grower_most");
        assert!(free["with_n"].as_f64().unwrap() > 45.0, "{free}");
    }
}

/// A cap on nitrogen as a share of the need holds litter and what is bought, where it is below
/// the need; above it, it is told and changes nothing.
#[test]
fn a_cap_on_nitrogen_holds_the_year() {
    for place in kit::PLACES {
        let farm = |says: &[&str]| {
            Farm::new(place).figure(rule("low", "rating: low", says)).with("litter.heap.analysis.total_n", "60 lb/ton")
        };
        let n = |farm: &Farm, at: &str| planned(farm).number("A", at);
        let free = farm(&["basis: nitrogen"]);
        let (half, over) =
            (farm(&["basis: nitrogen", "n_most: {share: 0.5}"]), farm(&["basis: nitrogen", "n_most: {share: 1.25}"]));
        let need = n(&free, "/n_allowed");
        assert!(need > 50.0 && (n(&half, "/n_allowed") - need / 2.0).abs() < 1e-9, "{}: {need}", place.key);
        let on = |farm: &Farm| n(farm, "/supplied/n") + n(farm, "/short/n");
        assert!((on(&half) - need / 2.0).abs() < 1e-6 && n(&half, "/supplied/n") < n(&free, "/supplied/n"));
        assert_eq!(planned(&over).field("A")["n_allowed"], planned(&free).field("A")["n_allowed"]);
        let made = kit::made(&over);
        let why = sward::write::why(&made.audited.plan().fields[0], made.balance.field("A").unwrap(), 300);
        assert!(
            why.contains("N that the phosphorus rule allows") && why.contains("most N as a share of the need"),
            "{why}"
        );
        // With two rows the smaller holds.
        let both = half.figure(rule("more", "", &["basis: nitrogen", "n_most: {share: 0.4}"]));
        assert!((n(&both, "/n_allowed") - need * 0.4).abs() < 1e-9);
    }
}

/// "Once in three years" is any three years, day by day, and holds on a rated field too.
#[test]
fn a_cap_over_three_years_counts_any_three() {
    let said = json!({"farm": "buyer", "way": "standard rate", "by": "a planner", "on": "2023-11-09"});
    for rating in [json!(null), json!({"rating": "low", "by": "a planner", "on": "2023-11-09"})] {
        let farm = Farm::new(&VA)
            .with("fields.A.phosphorus_rule", said.clone())
            .with("fields.A.phosphorus_rating", rating.clone());
        let fresh = planned(&farm);
        let first = fresh.days("A")[0].0.to_string();
        assert_eq!(fresh.rate("A"), 1.5, "{rating}");
        let after = |day: &str| farm.clone().logged(day, "spread", "heap", "A", "15");
        let opens = |day: &str| {
            let plan = planned(&after(day));
            let opens = plan.days("A").first().map(|days| days.0.to_string());
            // What keeps the plan from it, the audit refuses.
            let refused = passed_limits(&fresh.text, &after(day)).contains("nutrients");
            assert_eq!(refused, opens.as_ref() != Some(&first), "{rating}, {day}");
            opens
        };
        assert_eq!(opens("2024-01-01").as_ref(), Some(&first), "{rating}: more than three years lie between");
        assert_eq!(opens("2024-03-20").as_deref(), Some("2027-03-20"), "{rating}: three years to the day");
        assert_eq!(opens("2024-10-10"), None, "{rating}");
        let over = planned(&after("2026-10-10").logged("2024-10-10", "spread", "heap", "A", "15")).findings;
        let over: Vec<String> =
            over.sorted().iter().filter(|f| f.code == "logged-over").map(|f| f.found.clone()).collect();
        assert!(over.iter().any(|found| found.contains("2.99 tons/ac of litter in any 3 years")), "{rating} {over:?}");
    }
}

/// The rows of Pennsylvania on a farm that is otherwise in order, with a soil test that lets
/// nitrogen alone limit.
fn pennsylvania() -> Farm {
    let removal = figure("p2o5_per_ton.tall_fescue", "lb/ton", "forage: tall_fescue", "value: 15");
    let farm = Farm::new(&NC).figure(laid("us-pa", "2026-11-28")).figure(removal);
    let farm = farm.with("fields.A.phosphorus_rating", json!(null)).with("fields.A.soil_test.p", "100 index");
    farm.with("litter.heap.analysis.p2o5", "40 lb/ton")
}

/// Where the place has a row for fields without a soil test, such a field and one whose test has
/// expired are planned by it, and by nothing that the old test says; plans that go by a soil test
/// get no litter as everywhere else.
#[test]
fn a_field_without_a_soil_test_is_planned_where_the_place_has_a_row_for_it() {
    let farm = pennsylvania();
    assert_eq!(planned(&farm).field("A")["phosphorus"]["basis"], "nitrogen");
    let without = farm.clone().with("fields.A.soil_test", json!(null));
    let expired = farm.clone().with("fields.A.soil_test.sampled", "2021-03-01");
    let steep = expired.clone().with("fields.A.soil_test.p", "900 index");
    let codes = [(&without, "soil-test-missing"), (&expired, "soil-test-old"), (&steep, "soil-test-old")];
    for (farm, code) in codes {
        let plan = planned(farm);
        let field = plan.field("A");
        assert_eq!(field["bars"], json!([]), "{code}");
        assert!(plan.rate("A") > 0.0, "{code}: {field}");
        assert_eq!(field["phosphorus"]["basis"], "removal", "{code}");
        assert_eq!(plan.number("A", "/phosphorus/allowed"), 60.0, "{code}");
        let told = checked(farm).found(code).concat();
        assert!(told.contains("phosphate is limited to removal") && !told.contains("no litter"), "{told}");
        // The binder and its list of what a plan holds still miss the test.
        let items = plan.json["items"].to_string();
        assert!(items.contains(if code == "soil-test-old" { "too old for A" } else { "none for A" }), "{items}");
    }
    // One never hides the other.
    let both = expired.clone().field("B").with("fields.B.soil_test", json!(null));
    let items = planned(&both).json["items"].to_string();
    assert!(items.contains("none for B; too old for A"), "{items}");
    // The audit finds a plan that the old test would have let go by nitrogen alone.
    assert!(passed_limits(&planned(&farm).text, &expired).contains("nutrients"));
    let plans = [
        ("fields.A.phosphorus_rule", json!({"by": "a planner", "on": "2026-11-09", "plan": "by_law"})),
        ("fields.A.phosphorus_rule", json!({"by": "a planner", "on": "2026-11-09", "way": "by_index"})),
        ("large_operation", json!("yes")),
    ];
    for (key, value) in plans {
        for farm in [&without, &expired] {
            let farm = farm.clone().with(key, value.clone());
            let plan = planned(&farm);
            assert_eq!(plan.rate("A"), 0.0, "{value}");
            assert_ne!(plan.field("A")["bars"], json!([]), "{value}");
        }
    }
    // Nowhere else does a field go without.
    let other = Farm::new(&NC).with("fields.A.soil_test", json!(null));
    assert_eq!(planned(&other).rate("A"), 0.0);
    assert!(checked(&other).found("soil-test-missing").concat().contains("gets no litter"));
    // And a plan made for a farm that may go without is no plan where it may not.
    let plan = planned(&without).text;
    assert!(passed_limits(&plan, &without.with("large_operation", "yes")).contains("soil-test"));
}

/// A soil test that expires within the plan counts through its last day; from the next on the field
/// goes by the row for fields without one, with all that is on in the year.
#[test]
fn from_the_day_after_its_soil_test_a_field_goes_by_the_row_for_untested_fields() {
    let farm = pennsylvania().with("plan.to", "2027-12-31");
    let ends = farm.clone().with("fields.A.soil_test.sampled", "2024-07-02");
    let last = jiff::civil::date(2027, 7, 2);
    let put = |farm: &Farm| -> Vec<(jiff::civil::Date, f64)> {
        let plan = planned(farm);
        let field = plan.field("A");
        assert_eq!(field["bars"], json!([]));
        let all = field["applications"].as_array().unwrap();
        all.iter().map(|a| (a["first"].as_str().unwrap().parse().unwrap(), a["rate"].as_f64().unwrap())).collect()
    };
    let p2o5 = |all: &[(jiff::civil::Date, f64)]| all.iter().map(|(_, rate)| rate * 40.0).sum::<f64>();
    // A test that counts all the time: nitrogen sets the rate, spring and fall.
    let free = put(&farm);
    assert!(free.len() > 1 && free.iter().any(|(day, _)| *day > last), "{free:?}");
    // One that ends between: spring as before, and what goes on after it within the year's removal of 60.
    let mixed = put(&ends);
    assert_eq!(mixed.first(), free.first(), "before its last day the field goes by the test");
    assert!(p2o5(&mixed) <= 60.0 + 1e-6 || mixed.iter().all(|(day, _)| *day <= last), "{mixed:?}");
    let said = |farm: &Farm| -> String {
        let findings = planned(farm).findings;
        findings.sorted().into_iter().filter(|f| f.code == "soil-test-ends").map(|f| f.found.clone()).collect()
    };
    let told = said(&ends);
    assert!(told.contains("from the next day on phosphate is limited to removal"), "{told}");
    // Where spring is over, fall gets the removal, where nothing is on yet.
    let summer = ends.clone().with("plan.as_of", "2027-06-01");
    let fall = put(&summer);
    assert!(fall.iter().all(|(day, _)| *day > last), "{fall:?}");
    assert_eq!(p2o5(&fall), 60.0, "{fall:?}");
    assert!(p2o5(&put(&farm.clone().with("plan.as_of", "2027-06-01"))) > 60.0);
    let why = flat(&sward::write::why(
        &kit::made(&summer).audited.plan().fields[0],
        kit::made(&summer).balance.field("A").unwrap(),
        80,
    ));
    assert!(why.contains("field without a soil test = removal"), "{why}");
    // What the log shows of the year is in it, also what went on by the test: 40 lb, and 20 are too thin to spread.
    let logged = summer.clone().logged("2027-03-01", "spread", "heap", "A", "10.04");
    assert_eq!(put(&logged), []);
    // The audit reaches the same by its own code: a plan for a test that counts is none for one that ends.
    let faults = passed_limits(&planned(&farm).text, &ends);
    assert!(faults.contains("nutrients"), "{faults:?}");
    assert!(
        passed_limits(&planned(&farm.clone().with("plan.as_of", "2027-06-01")).text, &summer).contains("nutrients")
    );
    // Elsewhere nothing is planned after that day.
    let other = Farm::new(&NC).with("plan.to", "2027-12-31").with("fields.A.soil_test.sampled", "2024-07-02");
    assert!(put(&other).iter().all(|(day, _)| *day <= last));
    assert!(said(&other).contains("no litter is planned there after that day"));
}

/// Litter of many strengths, and tests that end on many days: what the plan puts on after the last
/// day of a test is within the removal of the year with all that goes on before, it never gains less
/// than without the days after, nor more than with a new test.
#[test]
fn days_after_a_soil_test_never_lose_and_never_pass_the_year() {
    let (mut both, mut after) = (0, 0);
    for (strength, sampled, least) in [
        (5, "2024-03-10", "0.5"),
        (12, "2024-07-02", "0.5"),
        (20, "2024-09-01", "0.5"),
        (20, "2024-03-10", "1"),
        (30, "2024-09-10", "0.5"),
        (60, "2024-07-02", "0.5"),
    ] {
        let fresh = pennsylvania().with("plan.to", "2027-12-31").with("spreader.least", format!("{least} ton/ac"));
        let fresh = fresh.with("litter.heap.analysis.p2o5", format!("{strength} lb/ton"));
        let ends = fresh.clone().with("fields.A.soil_test.sampled", sampled);
        let last = sampled.parse::<jiff::civil::Date>().unwrap().checked_add(jiff::ToSpan::days(1095)).unwrap();
        let shut = ends.clone().with("plan.to", last.to_string());
        let [with, without, new] = [&ends, &shut, &fresh].map(planned);
        let worth = |plan: &kit::Planned| plan.json["choice"]["proof"]["worth"].as_f64().unwrap();
        assert!(worth(&with) >= worth(&without) - 0.005 && worth(&with) <= worth(&new) + 0.005, "{strength} {sampled}");
        let all = with.field("A")["applications"].as_array().unwrap().clone();
        let later = |a: &&serde_json::Value| a["first"].as_str().unwrap() > last.to_string().as_str();
        let on: f64 = all.iter().map(|a| a["rate"].as_f64().unwrap() * f64::from(strength)).sum();
        if all.iter().any(|a| later(&a)) {
            assert!(on <= 60.0 + 1e-6, "{strength} {sampled}: {on}");
            after += 1;
            both += usize::from(!all.iter().all(|a| later(&a)));
        }
    }
    assert!(after > 0 && both > 0, "{after} {both}");
}

/// A row for fields without a soil test goes by what farm.yaml says alone.
#[test]
fn a_row_without_a_soil_test_goes_by_nothing_measured() {
    for more in ["soil: {from: 3}", "region: piedmont", "placement: surface", "of: fertilizer"] {
        let mut files = tables::built_in();
        let when = format!("untested: \"yes\", {more}");
        files.push(("us-nc/zz_test.yaml".to_string(), rule("zz", &when, &["basis: removal"])));
        let (_, found) = tables::load(&files);
        let said: String = found.sorted().iter().map(|f| f.found.clone()).collect();
        assert!(said.contains("planned by what farm.yaml says alone"), "{more}: {said}");
    }
}
