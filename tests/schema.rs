//! The schema of farm.yaml against the program that reads it: the same keys,
//! the same needed ones, the same units; neither takes what the other refuses.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "schema/walk.rs"]
mod walk;

mod kit;

use jsonschema::Validator;
use kit::root;
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use sward::farm::{self, FarmText};
use sward::findings::Severity;
use walk::{Block, Leaf, Step, samples, shown, with, with_stranger, without};

fn validator() -> Validator {
    jsonschema::draft7::new(&farm::schema()).unwrap()
}

/// Codes of the errors that the reader has for a text; whether other files are
/// there is no matter of the text.
fn errors(text: &str) -> BTreeSet<String> {
    let (written, found) = farm::read_text(&FarmText { main: Some(text.to_string()), ..FarmText::default() });
    let mut codes: BTreeSet<String> = found
        .sorted()
        .into_iter()
        .filter(|f| f.severity == Severity::Error && f.code != "file-missing")
        .map(|f| f.code.to_string())
        .collect();
    // A farm without litter is refused by the checks, not by the reader.
    if written.lots.is_empty() && written.unread.is_empty() {
        codes.insert("no-litter".to_string());
    }
    codes
}

fn accepted(value: &Value) -> bool {
    errors(&value.to_string()).is_empty()
}

/// The made farm, with its blocks and values.
fn made() -> (Value, Vec<Block>, Vec<Leaf>) {
    let schema = farm::schema();
    // The forms of one value lie in different farms; lists hold all of them.
    let farm = samples(&schema).swap_remove(0);
    let mut found = (Vec::new(), Vec::new());
    walk::walk(&schema, &farm, "farm", &mut Vec::new(), &mut found);
    let (blocks, leaves) = walk::distinct(&farm, found);
    (farm, blocks, leaves)
}

/// All made farms: where a value at the top has several forms, one of each.
fn all_made() -> Vec<(Value, Vec<Block>, Vec<Leaf>)> {
    let schema = farm::schema();
    let farms = samples(&schema);
    assert!(farms.len() > 1);
    farms
        .into_iter()
        .map(|farm| {
            let mut found = (Vec::new(), Vec::new());
            walk::walk(&schema, &farm, "farm", &mut Vec::new(), &mut found);
            let (blocks, leaves) = walk::distinct(&farm, found);
            (farm, blocks, leaves)
        })
        .collect()
}

#[test]
fn the_made_farms_are_sound_to_both() {
    let validator = validator();
    for (farm, blocks, leaves) in all_made() {
        assert!(blocks.len() > 30 && leaves.len() > 150, "{} blocks, {} values", blocks.len(), leaves.len());
        let told: Vec<String> = validator.iter_errors(&farm).map(|e| format!("{}: {e}", e.instance_path())).collect();
        assert!(told.is_empty(), "{told:#?}");
        assert_eq!(errors(&farm.to_string()), BTreeSet::new(), "{farm:#}");
    }
}

/// Keys that the reader knows are learned from what it says of a strange one.
#[test]
fn the_schema_has_just_the_keys_that_the_reader_knows() {
    let stranger = "qqqqq";
    let validator = validator();
    let mut known: BTreeMap<String, (BTreeSet<String>, BTreeSet<String>)> = BTreeMap::new();
    for (farm, blocks, _) in all_made() {
        for block in blocks {
            let changed = with_stranger(&farm, &block.at, stranger);
            assert!(!validator.is_valid(&changed), "{}: the schema takes any key", block.name);
            let (_, found) = farm::read_text(&FarmText { main: Some(changed.to_string()), ..FarmText::default() });
            let told = found.sorted().into_iter().find(|f| f.code == "key-unknown" && f.found.contains(stranger));
            let told = told.unwrap_or_else(|| panic!("{}: the reader takes any key", block.name));
            let list = told.accepted.as_ref().unwrap().strip_prefix("one of ").unwrap();
            let both = known.entry(block.name.clone()).or_default();
            both.0.extend(block.keys.iter().cloned());
            both.1.extend(list.split(", ").map(str::to_string));
        }
    }
    assert!(known.len() > 30, "{}", known.len());
    for way in ["", ".tickets[]", ".loads", ".pile", ".houses"] {
        assert!(known.contains_key(&format!("farm.litter[].on_hand{way}")), "on_hand{way} is walked");
    }
    for (block, (schema, reader)) in known {
        assert_eq!(schema, reader, "{block}: schema left, reader right");
    }
}

#[test]
fn a_key_is_needed_by_both_or_by_neither() {
    let validator = validator();
    let (mut needed, mut free) = (0, 0);
    for (farm, blocks, _) in all_made() {
        for block in blocks {
            let keys: Vec<String> = block.keys.iter().cloned().collect();
            for key in keys.iter().filter(|key| !walk::at(&mut farm.clone(), &block.at)[key.as_str()].is_null()) {
                let changed = without(&farm, &block.at, key);
                let (schema, reader) = (validator.is_valid(&changed), accepted(&changed));
                assert_eq!(schema, reader, "{}: without `{key}`", shown(&block.at));
                *(if schema { &mut free } else { &mut needed }) += 1;
            }
        }
    }
    assert!(needed > 60 && free > 60, "{needed} needed, {free} free");
}

/// A block that has several forms or ways, with a key of another one: as it
/// stands there, and with nothing after it.
#[test]
fn a_key_of_another_form_is_taken_by_both_or_by_neither() {
    let validator = validator();
    let (mut farm, blocks, _) = made();
    let mut values: BTreeMap<(&str, String), Value> = BTreeMap::new();
    for block in &blocks {
        for (key, value) in walk::at(&mut farm, &block.at).as_object().unwrap() {
            values.entry((&block.name, key.clone())).or_insert_with(|| value.clone());
        }
    }
    let (mut taken, mut refused) = (0, 0);
    let mut differ = Vec::new();
    for block in &blocks {
        for ((_, key), value) in values.iter().filter(|((name, _), _)| *name == block.name) {
            let mut changed = farm.clone();
            let entries = walk::at(&mut changed, &block.at).as_object_mut().unwrap();
            if entries.contains_key(key) {
                continue;
            }
            for value in [value.clone(), Value::Null] {
                walk::at(&mut changed, &block.at)[key.as_str()] = value.clone();
                let (schema, reader) = (validator.is_valid(&changed), accepted(&changed));
                if schema != reader {
                    differ.push(format!("{}: with `{key}: {value}`: schema {schema}", shown(&block.at)));
                }
                *(if schema { &mut taken } else { &mut refused }) += 1;
            }
        }
    }
    assert!(differ.is_empty(), "{differ:#?}");
    assert!(taken > 30 && refused > 60, "{taken} taken, {refused} refused");
}

/// Forms of `on_hand` and of what a figure applies to, each as a person may
/// write it or get it wrong.
#[test]
fn a_whole_value_is_taken_by_both_or_by_neither() {
    let ticket = "number: 7, date: 2027-01-06";
    let on_hand = [
        (true, "212 tons".to_string()),
        (true, "{tickets: [{number: A-7, date: 2027-01-06, net: 15940 lb}], pile: }".to_string()),
        (true, format!("{{tickets: [{{{ticket}, gross: 31.5 TONS, tare: 0 lb, net: }}]}}")),
        (true, "{loads: {count: 54, weighed: [7.8 tons, 0.9 tonnes]}}".to_string()),
        (true, "{loads: {count: 54, load: 8 tons, weighed: 0}}".to_string()),
        (true, "{loads: {count: 54, load: 8 tons, weighed: }}".to_string()),
        (true, "{pile: {shape: Cone, around: 22 m, height: 2.2 m, bucket: 20 lb, density: }}".to_string()),
        (true, "{pile: {shape: windrow, width: 20 ft, height: 72 in, length: 50 ft, top: 0 ft}}".to_string()),
        (true, "{pile: {shape: bin, width: 7 m, length: 29 m, height: 1 m, density: 974 kg/m3}}".to_string()),
        (true, "{houses: {number: 3, birds: 24000, flocks: 5, taken: Whole, weight: }}".to_string()),
        (false, "{}".to_string()),
        (false, "[]".to_string()),
        (false, "{pile: }".to_string()),
        (false, format!("{{tickets: [{{{ticket}, net: 9 lb}}], loads: {{count: 1, load: 1 tons}}}}")),
        (false, "{tickets: []}".to_string()),
        (false, format!("{{tickets: {{{ticket}, net: 9 lb}}}}")),
        (false, format!("{{tickets: [{{{ticket}}}]}}")),
        (false, format!("{{tickets: [{{{ticket}, gross: 9 tons}}]}}")),
        (false, format!("{{tickets: [{{{ticket}, net: 9 tons, tare: 9 tons}}]}}")),
        (false, "{loads: {count: 2}}".to_string()),
        (false, "{loads: {count: 2, weighed: []}}".to_string()),
        (false, "{loads: {count: 2, weighed: 2}}".to_string()),
        (false, "{loads: {count: 2, load: 8 tons, weighed: [8 tons]}}".to_string()),
        (false, "{loads: {count: 0, load: 8 tons}}".to_string()),
        (false, "{loads: {count: 100001, load: 8 tons}}".to_string()),
        (false, "{pile: {width: 7 m, length: 29 m, height: 1 m}}".to_string()),
        (false, "{pile: {shape: heap, around: 22 m, height: 2 m}}".to_string()),
        (false, "{pile: {shape: cone, width: 22 m, height: 2 m}}".to_string()),
        (false, "{pile: {shape: bin, width: 7 m, length: 29 m, height: 1 m, top: 1 m}}".to_string()),
        (false, "{pile: {shape: cone, around: 9 ft, height: 5 ft, bucket: 20 lb, density: 30 lb/ft3}}".to_string()),
        (false, "{houses: {number: 3, birds: 24000, flocks: 5, taken: half}}".to_string()),
        (false, "{houses: {number: 3, birds: 1000001, flocks: 5, taken: cake}}".to_string()),
        (false, "{houses: {number: 3, birds: 24000, flocks: 101, taken: cake}}".to_string()),
        (false, "{houses: {number: 1001, birds: 24000, flocks: 5, taken: cake}}".to_string()),
    ];
    let applies = ["{forage: tall_fescue}", "{}", "tall_fescue", "[forage]", "{forage: }", "{forage: [tall_fescue]}"];
    let applies = applies.into_iter().enumerate().map(|(i, text)| (i < 2, text.to_string()));
    let validator = validator();
    let (farm, ..) = made();
    let steps = |list: &str, key: &str| vec![Step::Key(list.into()), Step::Item(0), Step::Key(key.into())];
    let on_hand = on_hand.into_iter().map(|case| (steps("litter", "on_hand"), case));
    for (at, (sound, text)) in on_hand.chain(applies.map(|case| (steps("figures", "applies"), case))) {
        let changed = with(&farm, &at, serde_yaml::from_str(&text).unwrap());
        assert_eq!(validator.is_valid(&changed), sound, "the schema: {text}");
        assert_eq!(accepted(&changed), sound, "the reader: {text}");
    }
}

/// Where no soils are mapped, a field needs a yield and a slope.
#[test]
fn what_mapped_soils_give_is_needed_without_them() {
    let (farm, ..) = made();
    let mut bare = without(&farm, &[], "soils");
    let validator = validator();
    assert!(validator.is_valid(&bare) && accepted(&bare));
    let fields = bare["fields"].as_array_mut().unwrap();
    for field in fields.iter_mut() {
        field["erosion"].as_object_mut().unwrap().remove("slope");
    }
    assert!(!validator.is_valid(&bare) && !accepted(&bare));
    for field in bare["fields"].as_array_mut().unwrap() {
        field["erosion"]["slope"] = json!("7 %");
        for key in ["yield_goal", "yields", "survey_yield"] {
            field.as_object_mut().unwrap().remove(key);
        }
    }
    assert!(!validator.is_valid(&bare) && !accepted(&bare));
    bare["soils"] = farm["soils"].clone();
    assert!(validator.is_valid(&bare) && accepted(&bare));
}

/// A foreign unit, no unit, a minus, plain words, nothing, a zero with its
/// unit: what one refuses, so does the other. What stands in a laboratory's columns is seen with its file only.
#[test]
fn values_are_taken_by_both_or_by_neither() {
    let validator = validator();
    let (farm, _, leaves) = made();
    let (mut taken, mut refused) = (0, 0);
    let mut differ = Vec::new();
    for leaf in leaves.iter().filter(|leaf| !leaf.name().contains("columns")) {
        let mut values = vec![json!("4 bushels"), json!("-4"), json!("some words"), json!(4), json!("2027-13-01")];
        values.extend([json!(null), json!(0), json!("0")]);
        values.extend(units_of(leaf).first().map(|unit| json!(format!("0.0 {unit}"))));
        // Total nitrogen of nothing is wrong because of its parts.
        values.retain(|value| !(leaf.name().ends_with("total_n") && *value == "0.0 lb/ton"));
        for value in values {
            let changed = with(&farm, &leaf.at, value.clone());
            let (schema, reader) = (validator.is_valid(&changed), accepted(&changed));
            if schema != reader {
                differ.push(format!("{}: {value}: schema {schema}", leaf.name()));
            }
            *(if schema { &mut taken } else { &mut refused }) += 1;
        }
    }
    assert!(differ.is_empty(), "{differ:#?}");
    assert!(taken > 100 && refused > 400, "{taken} taken, {refused} refused");
}

/// The units that the schema names for a quantity.
fn units_of(leaf: &Leaf) -> Vec<&str> {
    let says = leaf.form["description"].as_str().unwrap_or_default();
    let Some((_, units)) = says.split_once("with its unit: ") else { return Vec::new() };
    units.split(". Example").next().unwrap().split("; or").next().unwrap().split(", ").collect()
}

/// Every unit of every quantity, however it is spaced and spelled.
#[test]
fn units_are_spelled_as_the_reader_takes_them() {
    let validator = validator();
    let (farm, _, leaves) = made();
    let mut tried = 0;
    for leaf in &leaves {
        for unit in units_of(leaf) {
            let spellings = [
                format!("20 {unit}"),
                format!(" 20{} ", unit.to_uppercase()),
                format!("20  {}", unit.replace('/', " per ")),
            ];
            for spelled in spellings {
                let changed = with(&farm, &leaf.at, json!(spelled));
                let unit_faults = ["unit-unknown", "unit-missing", "not-a-number"];
                let reader = errors(&changed.to_string()).iter().all(|code| !unit_faults.contains(&code.as_str()));
                assert!(reader && validator.is_valid(&changed), "{}: `{spelled}`", leaf.name());
                tried += 1;
            }
        }
    }
    assert!(tried > 300, "{tried}");
}

/// Every farm.yaml below a folder.
fn farms(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            farms(&path, found);
        } else if path.file_name().is_some_and(|name| name == "farm.yaml") {
            found.push(path);
        }
    }
}

#[test]
fn every_farm_that_the_program_accepts_validates() {
    let mut found = Vec::new();
    for folder in ["fields", "tests", "src"] {
        farms(&root().join(folder), &mut found);
    }
    let validator = validator();
    let mut sound = 0;
    for path in found {
        let Ok(text) = std::fs::read_to_string(&path) else { continue };
        // A laboratory's file beside it may show that the names of its columns
        // are wrong.
        let (_, found) = farm::read(path.parent().unwrap());
        let beside = found.sorted().iter().any(|f| f.code == "column-unit");
        if !errors(&text).is_empty() || beside {
            continue;
        }
        sound += 1;
        let value: Value = serde_yaml::from_str(&text).unwrap();
        let told: Vec<String> = validator.iter_errors(&value).map(|e| format!("{}: {e}", e.instance_path())).collect();
        assert!(told.is_empty(), "{}: {told:#?}", path.display());
    }
    assert!(sound > 40, "{sound} farms");
}

/// Wrong farms of the kept mistakes that are wrong in their form.
#[test]
fn a_foreign_unit_a_strange_key_and_a_missing_one_fail() {
    let validator = validator();
    for mistake in ["unit-foreign", "unit-missing", "key-unknown", "key-misspelt", "spreader-missing", "use-unknown"] {
        let text = std::fs::read_to_string(root().join("tests/errors").join(mistake).join("farm.yaml")).unwrap();
        let value: Value = serde_yaml::from_str(&text).unwrap();
        assert!(!validator.is_valid(&value), "{mistake}");
    }
}

fn sward(folder: &Path, args: &[&str]) -> (i32, String, String) {
    kit::sward(folder, args).parts()
}

#[test]
fn the_schema_is_printed_and_written_whole_or_not_at_all() {
    let folder = tempfile::tempdir().unwrap();
    let (code, printed, said) = sward(folder.path(), &["schema"]);
    assert_eq!((code, said.as_str()), (0, ""));
    let printed_value: Value = serde_json::from_str(&printed).unwrap();
    assert_eq!(printed_value, farm::schema());
    assert_eq!(printed_value["$schema"], "http://json-schema.org/draft-07/schema#");
    assert!(jsonschema::draft7::meta::is_valid(&printed_value));

    let file = folder.path().join("farm.schema.json");
    assert_eq!(sward(folder.path(), &["schema", "-o", "farm.schema.json"]).0, 0);
    assert_eq!(std::fs::read_to_string(&file).unwrap(), printed);
    std::fs::write(&file, "mine").unwrap();
    assert_eq!(sward(folder.path(), &["schema", "-o", "farm.schema.json"]).0, 2);
    assert_eq!(std::fs::read_to_string(&file).unwrap(), "mine");
    assert_eq!(sward(folder.path(), &["schema", "-o", "farm.schema.json", "--force"]).0, 0);
    assert_eq!(std::fs::read_to_string(&file).unwrap(), printed);
    assert_eq!(sward(folder.path(), &["schema", "-o", "nowhere/farm.schema.json"]).0, 1);
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1, "nothing else is left behind");
}

/// A new farm points its editor at the schema that lies beside it.
#[test]
fn a_new_farm_comes_with_its_schema() {
    let folder = tempfile::tempdir().unwrap();
    assert_eq!(sward(folder.path(), &["start", "my-farm"]).0, 0);
    let farm = std::fs::read_to_string(folder.path().join("my-farm/farm.yaml")).unwrap();
    let named = farm.lines().next().unwrap().strip_prefix("# yaml-language-server: $schema=").unwrap();
    let schema = std::fs::read_to_string(folder.path().join("my-farm").join(named)).unwrap();
    assert_eq!(schema, sward(folder.path(), &["schema"]).1);
}
