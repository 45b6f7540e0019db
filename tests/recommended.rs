//! What the laboratory recommends on the soil report is the need of its field, in two
//! states: one with tables of its own for it, one without.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Farm, NC, PLACES, Place, VA, checked, figure, planned};
use serde_json::{Value, json};
use sward::findings::Severity;

/// What a report recommends, lb/ac.
fn report(n: f64, p2o5: f64, k2o: f64) -> Value {
    json!({"crop": "tall fescue", "yield": "4 tons/ac", "n": format!("{n} lb/ac"), "p2o5": format!("{p2o5} lb/ac"),
        "k2o": format!("{k2o} lb/ac")})
}

fn advised(farm: Farm, advice: Value) -> Farm {
    farm.with("fields.A.soil_test.recommended", advice)
}

fn need(farm: &Farm) -> [f64; 3] {
    let need = planned(farm).json["fields"][0]["need"].clone();
    ["n", "p2o5", "k2o"].map(|key| need[key].as_f64().unwrap())
}

#[test]
fn the_report_is_the_need_and_never_more_than_the_place_has() {
    for place in PLACES {
        let farm = || read_for_the_crop(place);
        let [n, p2o5, _] = need(&farm());
        // Below what the place has: the report's own.
        assert_eq!(need(&advised(farm(), report(n - 7.0, 3.0, 41.0))), [n - 7.0, p2o5.min(3.0), 41.0]);
        // Just there, and a pound above: the place's. Potash is a need and no limit.
        assert_eq!(need(&advised(farm(), report(n, p2o5, 300.0))), [n, p2o5, 300.0]);
        let above = advised(farm(), report(n + 1.0, p2o5 + 1.0, 300.0));
        assert_eq!(need(&above), [n, p2o5, 300.0]);
        let held = planned(&above).findings.sorted().iter().filter(|f| f.code == "report-held").count();
        assert_eq!(held, 2, "{}", place.key);
        // A figure of the grower's own is not called one of the tables.
        let own = planned(&above).findings.sorted().iter().any(|f| f.found.contains("your own figure has"));
        assert_eq!(own, place.asks_needs, "{}", place.key);
        assert!(!planned(&advised(farm(), report(n, p2o5, 300.0))).codes().contains("report-held"));
    }
}

/// A farm of a place whose nitrogen and phosphate for tall fescue were read; Virginia asks the
/// farm for phosphate.
fn read_for_the_crop(place: &'static Place) -> Farm {
    let n = figure("n_per_ton", "lb/ton", "forage: tall_fescue, use: hay", "value: 40");
    let farm = Farm::new(place).figure(n.replace("known: common practice", "known: read"));
    if place.asks_needs { farm } else { farm.figure(phosphate("known: read")) }
}

fn phosphate(known: &str) -> String {
    let text = figure("p2o5_need.tall_fescue", "lb/ac", "forage: tall_fescue", "value: 58");
    text.replace("known: common practice", &format!("{known}\n      note: \"applied: hay of an invented grass.\""))
}

/// A report is lowered by what the place prints for the crop, and by nothing that was recalled,
/// printed for something else or is taken from a wider place.
#[test]
fn a_report_gives_way_to_no_figure_that_was_not_read_for_the_place() {
    for known in ["known: applied", "known: memory", "known: common practice"] {
        let farm = advised(Farm::new(&NC).figure(phosphate(known)), report(90.0, 77.0, 80.0));
        let plan = planned(&farm);
        assert_eq!(need(&farm)[1], 77.0, "{known}");
        let told = plan.findings.sorted().into_iter().find(|f| f.code == "report-over").unwrap();
        assert_eq!(told.severity, Severity::Warning);
        assert!(told.found.contains("77 lb/ac of P2O5") && told.found.contains("58 lb/ac"), "{}", told.found);
    }
    // A wider place's figure for nitrogen; Virginia's own are taken out by a place without any.
    for (key, at, goal) in [("us-ar", (-93.0, 35.0), 3.5), ("us-wv", (-80.5, 38.8), 3.5)] {
        let place: &'static Place =
            Box::leak(Box::new(Place { key, region: "", extractant: "mehlich-3", unit: "ppm", asks_needs: false, at }));
        let farm = Farm::new(place)
            .with("fields.A.forage", "orchardgrass")
            .with("fields.A.yield_goal", format!("{goal} tons/ac"))
            .with(
                "fields.A.soil_test.recommended",
                json!({"crop": "orchardgrass", "yield": "3.5 tons/ac",
                "n": "150 lb/ac", "p2o5": "60 lb/ac", "k2o": "120 lb/ac"}),
            );
        let farm = if key == "us-ar" { farm.with("region", "rest of state") } else { farm };
        let plan = planned(&farm);
        assert_eq!(need(&farm)[..2], [150.0, 60.0], "{key}: {:?}", plan.findings.sorted());
        assert!(plan.codes().contains("report-over"), "{key}");
    }
}

#[test]
fn the_tables_serve_where_the_report_is_silent() {
    for place in PLACES {
        let own = need(&Farm::new(place));
        let lime = json!({"crop": "tall fescue", "lime": "1.5 tons/ac"});
        assert_eq!(need(&advised(Farm::new(place), lime)), own);
        let n = json!({"crop": "tall fescue", "n": "50 lb/ac"});
        assert_eq!(need(&advised(Farm::new(place), n)), [50.0, own[1], own[2]]);
    }
}

/// A share of legumes below the one that feeds the stand is in the walk, with the step it misses.
#[test]
fn legumes_below_the_step_are_in_the_walk() {
    for place in PLACES {
        let why = |share: &str| {
            let made = kit::made(&Farm::new(place).with("fields.A.legume", share).figure(figure(
                "n_legume_none",
                "%",
                "",
                "value: 25",
            )));
            let plan = made.audited.plan();
            let walk = kit::flat(&sward::write::why(&plan.fields[0], made.balance.field("A").unwrap(), 80));
            (walk, plan.fields[0].need.n)
        };
        let (walk, n) = why("24.9 %");
        assert!(
            walk.contains("legume in the stand = 24.9 %") && walk.contains("with no step between = 25 %"),
            "{walk}"
        );
        assert!(n > 0.0, "{}", place.key);
        let (walk, n) = why("25 %");
        assert!(walk.contains("legume in the stand = 25 %") && !walk.contains("no step between"), "{walk}");
        assert_eq!(n, 0.0, "{}", place.key);
    }
}

/// A kind of litter that is refused is not among those that are accepted.
#[test]
fn a_kind_is_accepted_or_refused() {
    let mut met = 0;
    for key in ["us-ar", "us-pa", "us-wv"] {
        let place: &'static Place = Box::leak(Box::new(Place {
            key,
            region: "",
            extractant: "mehlich-3",
            unit: "ppm",
            asks_needs: true,
            at: (-80.5, 38.8),
        }));
        let found = kit::checked(&Farm::new(place).with("fields.A.worked_in", "1 days")).findings;
        for refused in found.sorted().into_iter().filter(|f| f.code == "kind-unknown") {
            met += 1;
            assert!(!refused.accepted.as_ref().unwrap().contains("broiler litter"), "{key}: {refused:?}");
            assert!(refused.fix.as_ref().unwrap().contains("`n_available`"), "{key}: {refused:?}");
        }
    }
    assert!(met > 0);
}

#[test]
fn where_the_tables_lack_it_the_report_plans_the_field() {
    // A field that nobody rated goes by what the soil test asks for.
    let bare = Farm::new(&VA).with("figures", Value::Null).with("fields.A.phosphorus_rating", Value::Null);
    let stopped = planned(&bare);
    assert_eq!(stopped.json["fields"][0]["bars"][0]["wants"], "missing figures");
    let with = planned(&advised(bare, report(100.0, 50.0, 80.0)));
    assert_eq!(with.json["fields"][0]["bars"].as_array().unwrap().len(), 0);
    assert!(!with.json["fields"][0]["applications"].as_array().unwrap().is_empty());
}

#[test]
fn without_a_rating_phosphate_is_held_to_the_report() {
    let farm = |p2o5: f64| {
        let farm = Farm::new(&NC).with("fields.A.phosphorus_rating", Value::Null);
        advised(farm.with("litter.heap.analysis.p2o5", "20 lb/ton"), report(200.0, p2o5, 80.0))
    };
    for allowed in [0.0, 24.0] {
        let plan = planned(&farm(allowed)).json;
        assert_eq!(plan["fields"][0]["phosphorus"]["basis"], "soil_test");
        assert_eq!(plan["fields"][0]["phosphorus"]["allowed"], allowed);
        assert!(plan["fields"][0]["supplied"]["p2o5"].as_f64().unwrap() <= allowed + 1e-6);
    }
}

#[test]
fn lime_of_the_report_comes_before_the_formula() {
    let lime = |farm: &Farm| planned(farm).json["fields"][0]["lime"]["needed"].as_f64();
    let by_formula = Farm::new(&NC).with("fields.A.soil_test.acidity", 1.2);
    let advice = json!({"crop": "tall fescue", "lime": "0.8 tons/ac"});
    assert!(lime(&by_formula).is_some_and(|tons| tons != 0.8));
    assert_eq!(lime(&advised(by_formula, advice.clone())), Some(0.8));
    assert_eq!(lime(&advised(Farm::new(&VA), advice)), Some(0.8));
}

#[test]
fn another_crop_or_yield_is_a_warning() {
    for place in PLACES {
        for (crop, other) in [
            ("tall fescue", false),
            ("Tall Fescue hay", false),
            ("fescue", false),
            ("bermudagrass", true),
            ("hay", true),
            ("corn", true),
        ] {
            let farm = advised(Farm::new(place), json!({"crop": crop, "n": "90 lb/ac"}));
            assert_eq!(planned(&farm).codes().contains("report-crop"), other, "{crop}");
        }
        for (tons, other) in [(4.0, false), (4.4, false), (3.6, false), (4.5, true), (3.5, true), (8.0, true)] {
            let advice = json!({"crop": "fescue", "yield": format!("{tons} tons/ac"), "n": "90 lb/ac"});
            let farm = advised(Farm::new(place), advice);
            assert_eq!(planned(&farm).codes().contains("report-yield"), other, "{tons}");
        }
    }
}

#[test]
fn amounts_that_no_report_prints_are_an_error() {
    for (key, usual, unusual, wrong) in [
        ("n", "300 lb/ac", "301 lb/ac", "500 lb/ac"),
        ("p2o5", "200 lb/ac", "201 lb/ac", "401 lb/ac"),
        ("k2o", "300 lb/ac", "301 lb/ac", "601 lb/ac"),
        ("lime", "4 tons/ac", "4.1 tons/ac", "9 tons/ac"),
    ] {
        // Nobody stands for the block.
        let farm = |amount: &str| {
            let farm = Farm::new(&NC).with("fields.A.soil_test.sure", Value::Null).with("fields.A.sure", Value::Null);
            advised(farm, json!({"crop": "tall fescue", key: amount}))
        };
        let told = |amount: &str| {
            let found = checked(&farm(amount)).findings;
            let own = found.sorted().into_iter().find(|f| f.found.contains("`recommended`")).cloned();
            own.map(|f| f.severity)
        };
        assert_eq!(told(usual), None, "{key}");
        assert_eq!(told(unusual), Some(Severity::Warning), "{key}");
        assert_eq!(told(wrong), Some(Severity::Error), "{key}");
    }
}

#[test]
fn of_several_reports_each_has_its_own() {
    let test = |day: &str, n: f64| {
        json!({"lab": "a laboratory", "sampled": day, "extractant": "mehlich-3", "p": "40 index", "k": "60 index",
            "recommended": {"crop": "tall fescue", "n": format!("{n} lb/ac")}})
    };
    let farm =
        |second: &str| Farm::new(&NC).with("fields.A.soil_test", json!([test("2025-11-01", 70.0), test(second, 45.0)]));
    assert_eq!(need(&farm("2026-11-01"))[0], 45.0);
    // One that nobody knew on the day of the plan does not count.
    let early = farm("2027-03-01").with("plan.as_of", "2027-02-20");
    assert_eq!(need(&early)[0], 70.0);
}

#[test]
fn a_laboratory_s_table_says_the_same() {
    let by_hand =
        advised(Farm::new(&NC), report(61.0, 4.0, 77.0)).with("fields.A.soil_test.recommended.lime", "0.5 tons/ac");
    let mut texts = Farm::new(&NC).with("fields.A.soil_test", Value::Null).texts();
    let mut top: Value = serde_json::from_str(texts.main.as_deref().unwrap()).unwrap();
    top["soil_tests"] = json!({"file": "soil.csv", "lab": "a laboratory", "extractant": "mehlich-3",
        "columns": {"field": "Sample", "sampled": "Date", "p": "P in index", "k": "K in index", "ph": "pH",
            "recommended_crop": "Crop", "recommended_yield": "Goal in tons/ac", "recommended_n": "N in lb/ac",
            "recommended_p2o5": "P2O5 in lb/ac", "recommended_k2o": "K2O in lb/ac", "recommended_lime": "Lime in tons/ac"}});
    texts.main = Some(top.to_string());
    let row = "Sample,Date,P,K,pH,Crop,Goal,N,P2O5,K2O,Lime\nA,2026-10-06,40,60,6.0,Tall fescue,4,61,4,77,0.5\n";
    texts.sheets.insert("soil.csv".to_string(), row.to_string());
    let plan = |texts: &sward::farm::FarmText| {
        let made = kit::asked(texts, "", &by_hand).plan().unwrap_or_else(|f| panic!("{:?}", f.sorted()));
        let field = made.audited.plan().fields[0].clone();
        (field.need, field.lime.map(|lime| lime.needed), field.supplied)
    };
    assert_eq!(plan(&texts), plan(&by_hand.texts()));
    // A row without any amount has no recommendation.
    texts.sheets.insert("soil.csv".to_string(), row.replace("Tall fescue,4,61,4,77,0.5", "Tall fescue,4,,,,"));
    assert_eq!(plan(&texts).0, plan(&Farm::new(&NC).texts()).0);
}
