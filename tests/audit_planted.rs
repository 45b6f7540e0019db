//! Faults planted into a printed plan: each is reported, with what was altered,
//! on the demo farm and on a farm of another state. And plans that are lawful
//! but not what they claim, and folders and tables that are not as they were.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod demo;
#[path = "planted/faults.rs"]
mod faults;
mod kit;

use faults::{FAULTS, with_litter};
use kit::{at_root, flat};
use serde_json::{Value, json};
use std::path::Path;
use std::sync::LazyLock;
use sward::audit::{Standing, Verdicts};
use sward::farm::FarmText;
use sward::pipeline::{Figures, Folder, PrintedPlan, Question, Remade, audit};
use sward::plan::{Choose, Chosen, LeastCost, Problem};
use sward::text::sum_of;
use sward::write::plan_json;

/// A farm with its printed plan, and a new plan.
struct Farm {
    texts: FarmText,
    plan: Value,
    remade: Remade,
}

impl Farm {
    fn new(texts: FarmText) -> Farm {
        let planned = demo::asked(&texts).plan().unwrap_or_else(|f| panic!("{:?}", f.sorted()));
        let text = plan_json(&planned.audited);
        let printed = PrintedPlan::read("plan.json", &text).unwrap();
        let remade = Remade::of(&printed, Folder::memory(&texts), &Figures::BuiltIn).unwrap();
        Farm { plan: serde_json::from_str(&text).unwrap(), remade, texts }
    }

    fn judge(&self, plan: &Value) -> Verdicts {
        let printed = PrintedPlan::read("plan.json", &plan.to_string()).unwrap_or_else(|f| panic!("{f:?}"));
        self.remade.judge(&printed)
    }
}

static DEMO: LazyLock<Farm> = LazyLock::new(|| Farm::new(demo::texts()));
static VIRGINIA: LazyLock<Farm> = LazyLock::new(|| Farm::new(virginia()));

/// An invented farm in Virginia: three fields, two lots, prices, fertilizer.
fn virginia() -> FarmText {
    let mut main = "farm: Any Farm\nplace: us-va\nregion: piedmont\n\
         plan: {from: 2027-02-16, to: 2027-10-31, as_of: 2027-02-01}\n\
         prices: {n: 0.70 $/lb, p2o5: 0.60 $/lb, k2o: 0.45 $/lb, litter_sold: 6 $/ton, loading_spreading: 9 $/ton, \
         hauling: 0.50 $/ton-mile}\n\
         fertilizer:\n  - {name: urea, analysis: 46-0-0, price: 600 $/ton, most: 200 lb/ac}\n  \
         - {name: DAP, analysis: 18-46-0, price: 780 $/ton}\n  - {name: potash, analysis: 0-0-60, price: 500 $/ton}\n\
         spreader: {swath: 30 ft, load: 8 tons, step: 0.25 tons/ac, least: 0.5 tons/ac, most: 4 tons/ac}\n\
         litter:\n"
        .to_string();
    for (lot, tons, p) in [("shed", 60, 55), ("stack", 40, 40)] {
        main.push_str(&format!(
            "  - lot: {lot}\n    kind: broiler litter\n    on_hand: {tons} tons\n    stored: shed\n    analysis:\n      \
             lab: state lab\n      sampled: 2027-01-20\n      basis: as received\n      moisture: 25 %\n      \
             total_n: 58 lb/ton\n      ammonium_n: 10 lb/ton\n      p2o5: {p} lb/ton\n      k2o: 56 lb/ton\n"
        ));
    }
    main.push_str(&demo::said_needs());
    main.push_str("fields:\n");
    let mut features = Vec::new();
    for i in 0..3 {
        let west = -79.5 + 0.01 * f64::from(i);
        let east = west + 0.0033;
        let rating = ["high", "medium", "low"][i as usize];
        main.push_str(&format!(
            "  - id: F{}\n    forage: tall fescue\n    use: hay\n    texture: fine\n    yield_goal: 4 tons/ac\n    \
             miles: {{shed: {}.5 miles, stack: 2 miles}}\n    \
             phosphorus_rating: {{rating: {rating}, by: a planner, on: 2027-01-10}}\n    soil_test:\n      lab: state lab\n      \
             sampled: 2026-12-20\n      extractant: mehlich-1\n      p: 20 lb/ac\n      k: 60 lb/ac\n",
            i + 1,
            i + 1
        ));
        features.push(format!(
            r#"{{"type":"Feature","properties":{{"id":"F{}"}},"geometry":{{"type":"Polygon","coordinates":[[[{west:.6},37.7],[{east:.6},37.7],[{east:.6},37.7027],[{west:.6},37.7027],[{west:.6},37.7]]]}}}}"#,
            i + 1
        ));
    }
    let stream = r#"{"type":"Feature","properties":{"kind":"perennial stream","name":"Any Branch"},"geometry":{"type":"LineString","coordinates":[[-79.501,37.7026],[-79.47,37.7026]]}}"#;
    let all = |features: &str| Some(format!(r#"{{"type":"FeatureCollection","features":[{features}]}}"#));
    FarmText { main: Some(main), fields: all(&features.join(",")), keepouts: all(stream), ..FarmText::default() }
}

#[test]
fn the_plans_as_printed_pass() {
    for farm in [&*DEMO, &*VIRGINIA] {
        assert!(with_litter(&farm.plan).len() >= 2, "it must spread something");
        let verdicts = farm.judge(&farm.plan);
        assert!(verdicts.passes, "{verdicts:#?}");
        assert_eq!(verdicts.new_plan.standing, Standing::Same);
        // The same in other words is the same plan: no spaces, keys in another
        // order.
        let mut turned = serde_json::Map::new();
        for (key, value) in farm.plan.as_object().unwrap().iter().rev() {
            turned.insert(key.clone(), value.clone());
        }
        assert!(farm.judge(&Value::Object(turned)).passes);
    }
}

/// Every fault is reported as an alteration, at the value that was altered.
#[test]
fn every_planted_fault_is_reported_with_what_was_altered() {
    let (mut planted, mut missed) = ([0, 0], Vec::new());
    for (n, farm) in [&*DEMO, &*VIRGINIA].into_iter().enumerate() {
        for (what, at, plant) in FAULTS {
            let mut bad = farm.plan.clone();
            if plant(&mut bad).is_none() {
                continue;
            }
            assert_ne!(bad, farm.plan, "{what}: nothing was altered");
            planted[n] += 1;
            let verdicts = farm.judge(&bad);
            let told = verdicts.new_plan.differences.iter().any(|d| d.at.contains(at) && d.shown != d.new);
            if verdicts.passes || verdicts.new_plan.standing != Standing::Altered || !told {
                missed.push(format!("{}: {what}: wanted {at}, {:#?}", verdicts.farm, verdicts.new_plan));
            }
        }
    }
    assert!(missed.is_empty(), "{} missed\n{}", missed.len(), missed.join("\n"));
    assert!(planted[0] >= 60 && planted[1] >= 60, "only {planted:?} planted");
}

/// Not one value of the plan goes unread: each number, word and yes or no of it
/// altered by itself is reported.
#[test]
fn any_single_value_altered_is_reported() {
    fn leaves(value: &Value, path: &str, found: &mut Vec<String>) {
        match value {
            Value::Object(map) => {
                map.iter().for_each(|(k, v)| {
                    leaves(v, &format!("{path}/{}", k.replace('~', "~0").replace('/', "~1")), found)
                });
            }
            Value::Array(list) => list.iter().enumerate().for_each(|(i, v)| leaves(v, &format!("{path}/{i}"), found)),
            _ => found.push(path.to_string()),
        }
    }
    let farm = &*VIRGINIA;
    let mut all = Vec::new();
    leaves(&farm.plan, "", &mut all);
    let (mut read, mut missed) = (0, Vec::new());
    let looked_at = all.iter().filter(|path| !path.starts_with("/made") && *path != "/schema" && *path != "/as_of");
    // One in three, which meets every kind of value: each is a whole audit.
    for path in looked_at.step_by(3) {
        let mut bad = farm.plan.clone();
        let at = bad.pointer_mut(path).unwrap();
        *at = match &*at {
            Value::Bool(yes) => json!(!*yes),
            Value::Number(n) => n.as_i64().map_or_else(|| json!(n.as_f64().unwrap() * 1.001 + 0.001), |n| json!(n + 1)),
            Value::String(text) => json!(format!("{text}.")),
            _ => continue,
        };
        // Words of a fixed list and days do not read with a dot behind them.
        let Ok(printed) = PrintedPlan::read("plan.json", &bad.to_string()) else { continue };
        read += 1;
        if farm.remade.judge(&printed).passes {
            missed.push(path.clone());
        }
    }
    assert!(missed.is_empty(), "{missed:#?}");
    assert!(read > 300, "only {read} values");
}

/// Leaves one field out, and claims the worth and the proof of the best.
struct Without(usize);

impl Choose for Without {
    fn choose(&self, problem: &Problem) -> Chosen {
        let mut chosen = LeastCost::default().choose(problem);
        chosen.entries.retain(|e| problem.choices[e.choice].field != self.0);
        chosen
    }
}

/// A lawful plan that is worth less, summed up without a slip, and says that it
/// is the best.
#[test]
fn a_poorer_plan_is_told_as_such() {
    let farm = &*DEMO;
    let all: Vec<String> = with_litter(&farm.plan);
    assert!(all.contains(&"H1".to_string()));
    let weighed = demo::asked(&farm.texts).check().weigh().unwrap();
    let without = Without(weighed.ready.fields.iter().position(|f| f.id() == "H1").unwrap());
    let planned = weighed.plan(&without).unwrap_or_else(|f| panic!("it is lawful: {:?}", f.sorted()));
    let poorer: Value = serde_json::from_str(&plan_json(&planned.audited)).unwrap();
    assert!(!with_litter(&poorer).contains(&"H1".to_string()));
    assert_eq!(poorer["choice"]["proof"]["proven"], json!(true));
    let verdicts = farm.judge(&poorer);
    assert!(!verdicts.passes);
    assert_eq!(verdicts.new_plan.standing, Standing::Altered);
    let told = verdicts.whole.iter().find(|r| r.code == "poorer").unwrap_or_else(|| panic!("{:#?}", verdicts.whole));
    assert!(
        told.found.contains("proven the best")
            && told.found.contains("the new plan, within the same limits, is worth $8446"),
        "{told:?}"
    );
}

#[test]
fn a_folder_that_changed_since_is_named() {
    let farm = &*DEMO;
    let printed = PrintedPlan::read("plan.json", &farm.plan.to_string()).unwrap();
    let judged = |texts: &FarmText, log: &str| {
        audit(&printed, Folder::Memory { texts, log }, &Figures::BuiltIn, jiff::civil::date(2027, 2, 10)).unwrap()
    };
    let dearer = demo::with_main(|main| demo::instead(&main, "  n: 0.74 $/lb", "  n: 0.75 $/lb"));
    let verdicts = judged(&dearer, "");
    assert!(!verdicts.passes && verdicts.new_plan.standing == Standing::FolderChanged);
    assert_eq!(verdicts.new_plan.files, ["farm.yaml"]);
    // What was done by the plan's day changes it; what was done later does not.
    for (day, passes) in [("2027-02-01", false), ("2027-03-01", true)] {
        let verdicts = judged(&farm.texts, &format!("date,what,lot,field,tons\n{day},haul,clean-out,,10\n"));
        assert_eq!((verdicts.passes, &verdicts.new_plan.files[..]), (passes, &["log.csv".to_string()][..]), "{day}");
    }
    // Line ends of another system are no change; a remark at the end is one
    // that changes no figure.
    let lines = FarmText { keepouts: farm.texts.keepouts.as_ref().map(|t| t.replace('\n', "\r\n")), ..demo::texts() };
    assert!(judged(&lines, "").passes && judged(&lines, "").new_plan.files.is_empty());
    let remark = demo::with_main(|main| main + "\n# a remark\n");
    let verdicts = judged(&remark, "");
    assert!(verdicts.passes && verdicts.new_plan.standing == Standing::Same);
    assert_eq!(verdicts.new_plan.files, ["farm.yaml"]);
}

#[test]
fn other_tables_and_another_program_are_told() {
    let farm = &*DEMO;
    let own = tempfile::tempdir().unwrap();
    std::fs::create_dir(own.path().join("us-nc")).unwrap();
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("reference/us-nc/nitrogen.yaml");
    let text = std::fs::read_to_string(file).unwrap();
    std::fs::write(own.path().join("us-nc/nitrogen.yaml"), text).unwrap();
    let printed = PrintedPlan::read("plan.json", &farm.plan.to_string()).unwrap();
    // The same figures from elsewhere: the plan passes, and it is told.
    let same = audit(&printed, Folder::memory(&farm.texts), &Figures::With(own.path()), jiff::civil::date(2027, 2, 10))
        .unwrap();
    assert!(same.passes && same.new_plan.editions.len() == 1, "{same:#?}");
    let mut old = farm.plan.clone();
    old["made"]["program"] = json!("0.0.1");
    old["fields"][0]["n_allowed"] = json!(1.0);
    old["made"]["sum"] = json!(sum_of(&old));
    let verdicts = farm.judge(&old);
    assert!(!verdicts.passes && verdicts.new_plan.standing == Standing::OtherEdition);
    assert!(verdicts.new_plan.editions[0].contains("0.0.1"), "{:?}", verdicts.new_plan);
}

/// What a plan was made from cannot be altered beside a figure, or alone: the
/// mark over all of it is another's then.
#[test]
fn marks_that_were_altered_are_reported_and_excuse_nothing() {
    for farm in [&*DEMO, &*VIRGINIA] {
        for at in ["/made/folder", "/made/program", "/made/tables/sha256", "/made/files/0/sha256", "/made/files/0/file"]
        {
            let mut bad = farm.plan.clone();
            *bad.pointer_mut(at).unwrap() = json!("0.0.1");
            for rate in [false, true] {
                if rate {
                    bad["fields"][0]["n_allowed"] = json!(1.0);
                }
                let found = farm.judge(&bad);
                assert!(!found.passes && found.new_plan.standing == Standing::Altered, "{at}: {:#?}", found.new_plan);
                assert!(found.new_plan.differences.iter().any(|d| d.at == "made.sum"));
            }
        }
        // The mark itself, altered or taken out, beside values that are all right.
        for sum in [json!(""), json!("0".repeat(64)), Value::Null] {
            let mut bad = farm.plan.clone();
            match &sum {
                Value::Null => drop(bad["made"].as_object_mut().unwrap().remove("sum")),
                sum => bad["made"]["sum"] = sum.clone(),
            }
            let found = farm.judge(&bad);
            let at: Vec<&str> = found.new_plan.differences.iter().map(|d| d.at.as_str()).collect();
            assert!(!found.passes && at == ["made.sum"], "{sum}: {:#?}", found.new_plan);
        }
    }
}

/// A plan under `--with`, or as of a day, is planned again the same way.
#[test]
fn changes_and_day_are_those_of_the_plan() {
    let texts = demo::texts();
    let changes = ["prices.n=0.90 $/lb".parse().unwrap()];
    let day = sward::pipeline::Day::Asked(jiff::civil::date(2027, 2, 10));
    let planned = Question { changes: &changes, day, ..demo::asked(&texts) }.plan().unwrap();
    let mut plan: Value = serde_json::from_str(&plan_json(&planned.audited)).unwrap();
    let judged = |plan: &Value| {
        let printed = PrintedPlan::read("plan.json", &plan.to_string()).unwrap();
        audit(&printed, Folder::memory(&texts), &Figures::BuiltIn, jiff::civil::date(2027, 2, 10)).unwrap()
    };
    // The library prints it without what differs from the plan of the file.
    let only_with = judged(&plan);
    assert_eq!(only_with.new_plan.differences.iter().map(|d| d.at.as_str()).collect::<Vec<_>>(), ["with"]);
    plan["made"]["changes"] = json!([]);
    assert!(!judged(&plan).passes, "the prices are not those of the farm");
    plan["made"]["changes"] = json!(["prices.n"]);
    assert!(PrintedPlan::read("plan.json", &plan.to_string()).is_err());
    // Another day than the one it was made as of.
    let mut other = DEMO.plan.clone();
    other["as_of"] = json!("2027-01-20");
    let found = judged(&other);
    assert!(!found.passes && !found.new_plan.differences.is_empty(), "{:#?}", found.new_plan);
}

/// The command says it in plain words, and ends with 1.
#[test]
fn the_command_tells_and_ends_with_1() {
    let folder = tempfile::tempdir().unwrap();
    let run = |args: &[&str]| {
        let (code, out, _) = at_root(args);
        (code, out)
    };
    let path = folder.path().join("plan.json");
    let name = path.to_str().unwrap();
    let (_, text) = run(&["plan", "fields", "--with", "prices.n=0.90 $/lb", "--json"]);
    std::fs::write(&path, &text).unwrap();
    let (code, told) = run(&["audit", name, "fields"]);
    assert_eq!(code, 0, "{told}");
    assert!(told.contains("It is a plan of what farm.yaml does not say: with prices.n=0.90 $/lb."), "{told}");
    let mut bad: Value = serde_json::from_str(&text).unwrap();
    bad["fields"][1]["phosphorus"]["rating"] = json!("low");
    std::fs::write(&path, bad.to_string()).unwrap();
    let (code, told) = run(&["audit", name, "fields"]);
    assert_eq!(code, 1);
    let said = flat(&told);
    assert!(said.contains("ALTERED. The folder, tables and program are the same, 1 value is not"), "{told}");
    assert!(said.contains("field B2, phosphorus, rating: the plan says low; the new plan says high"), "{told}");
    assert!(said.contains("FAIL B2 Sycamore Bottom"), "{told}");
    bad["with"]["differs"] = json!({});
    std::fs::write(&path, bad.to_string()).unwrap();
    let (code, told) = run(&["audit", name, "fields", "--json"]);
    let verdicts: Value = serde_json::from_str(&told).unwrap();
    assert_eq!((code, &verdicts["passes"], &verdicts["new_plan"]["standing"]), (1, &json!(false), &json!("altered")));
    assert!(verdicts["new_plan"]["differ"].as_u64().unwrap() > 1);
}
