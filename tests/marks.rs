//! A number shows how the figures behind it are known: on the terminal, in the binder and
//! in JSON, at the number itself; and what hangs on those that are known least is what
//! comes out when they are moved.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod demo;
mod kit;

use kit::{Farm, GA, MD, NC, PLACES, Place, VA, asked, at_root, binder, figure, flat, made, page, planned};
use serde_json::{Value, json};
use std::collections::BTreeSet;
use sward::findings::Cite;
use sward::pipeline;
use sward::plan::{Doubts, Outcome};
use sward::write;

/// What an applied figure of these tests was printed for.
const PRINTED_FOR: &str = "applied: hay of an invented grass.";

/// A figure of the test's own, known in some way.
fn known(topic: &str, unit: &str, applies: &str, value: &str, known: &str) -> String {
    let as_known = format!("known: {known}\n      note: \"{PRINTED_FOR}\"");
    figure(topic, unit, applies, value).replace("known: common practice", &as_known)
}

/// What is printed of a farm: the table of limits, its JSON, `why` of field A.
fn shown(farm: &Farm) -> (String, Value, String) {
    let made = made(farm);
    let limits = write::limits(&made.audited, 80);
    let json = serde_json::from_str(&write::limits_json(&made.audited, &[])).unwrap();
    let field = &made.audited.plan().fields[0];
    let why = write::why(field, made.balance.field("A").unwrap(), 80);
    page(&limits);
    page(&why);
    (limits, json, why)
}

/// The row of field A in the table of limits, column by column.
fn row(limits: &str) -> Vec<String> {
    let row = limits.lines().find(|line| line.starts_with("A ")).unwrap();
    row.split_whitespace().map(str::to_string).collect()
}

/// Every way to know a figure less than from its own source, with its sign.
#[test]
fn a_number_shows_how_its_figures_are_known() {
    for place in PLACES {
        let mut farm = Farm::new(place);
        for (word, sign, says) in [
            ("applied", "~", "~ printed for another use, place or condition"),
            ("common practice", "^", "^ common practice"),
            ("memory", "?", "? from memory, not read"),
        ] {
            farm = farm.figure(known("p2o5_per_ton.tall_fescue", "lb/ton", "forage: tall_fescue", "value: 13", word));
            let (limits, json, why) = shown(&farm);
            // 4 tons of 13 lb.
            assert!(row(&limits).contains(&format!("52{sign}")), "{limits}");
            assert!(flat(&limits).contains(says), "{limits}");
            let key = word.replace(' ', "_");
            assert_eq!(json["fields"][0]["known"]["removed"]["p2o5"], key.as_str(), "{json}");
            assert!(why.contains(&format!("P2O5 carried off per ton of hay = 13 lb/ton{sign}\n")), "{why}");
            // What is calculated from it is known no better.
            assert!(why.contains(&format!("P2O5 carried off = 52 lb/ac{sign}\n")), "{why}");
            assert_eq!(flat(&why).contains("[applied: hay of an invented grass]"), word == "applied", "{why}");
            assert!(flat(&why).contains(says), "{why}");
        }
        farm = farm.figure(known("p2o5_per_ton.tall_fescue", "lb/ton", "forage: tall_fescue", "value: 13", "read"));
        let (limits, json, why) = shown(&farm);
        assert!(row(&limits).contains(&"52".to_string()), "{limits}");
        assert_eq!(json["fields"][0]["known"]["removed"]["p2o5"], "read");
        assert!(why.contains("P2O5 carried off = 52 lb/ac\n"), "{why}");
    }
}

/// What the farm gives itself is marked too, and the plan names it.
#[test]
fn a_figure_of_the_farms_own_is_marked() {
    let [_, asking] = PLACES;
    let farm = Farm::new(asking).with("fields.A.phosphorus_rating", Value::Null);
    let plan = planned(&farm);
    assert_eq!(plan.field("A")["known"]["need"]["p2o5"], "said");
    let (_, _, why) = shown(&farm);
    assert!(why.contains("P2O5 the soil test calls for = 50 lb/ac@\n"), "{why}");
    assert!(why.contains("@ given by the farm"), "{why}");
}

/// What holds a field is known as the figures that make it, the basis among them.
#[test]
fn what_holds_a_field_is_known_as_its_worst_figure() {
    let rating = json!({"rating": "high", "by": "a planner", "on": "2026-11-09"});
    let strong = json!({"lab": "a laboratory", "sampled": "2027-01-20", "basis": "as received", "moisture": "25 %",
        "total_n": "20 lb/ton", "ammonium_n": "4 lb/ton", "p2o5": "40 lb/ton", "k2o": "1 lb/ton",
        "sure": {"by": "a planner", "on": "2026-11-09"}});
    let farm = Farm::new(&NC)
        .with("fields.A.phosphorus_rating", rating)
        .with("litter.heap.analysis", strong)
        .figure(known("p2o5_per_ton.tall_fescue", "lb/ton", "forage: tall_fescue", "value: 13", "read"))
        .figure(known("p_rule.high", "none", "", "when: {rating: high}\n      basis: removal", "applied"));
    let plan = planned(&farm);
    let field = plan.field("A");
    assert_eq!(field["held"]["by"], "phosphorus", "{field}");
    for key in ["basis", "p2o5_allowed", "held"] {
        assert_eq!(field["known"][key], "applied", "{key}: {field}");
    }
    assert_eq!(field["known"]["removed"]["p2o5"], "read");
    assert!(plan.json["applied"].as_array().unwrap().iter().any(|c| c["figure"] == "us-nc/p_rule.high"));
    let (limits, ..) = shown(&farm);
    assert!(flat(&limits).contains("removal~") && flat(&limits).contains("phosphorus~"), "{limits}");
    assert!(flat(&limits).contains("us-nc/p_rule (1)"), "{limits}");
}

fn sign(known: &Value) -> &'static str {
    match known.as_str().unwrap() {
        "read" => "",
        "said" => "@",
        "applied" => "~",
        "common_practice" => "^",
        "memory" => "?",
        other => panic!("{other}"),
    }
}

/// In three states, by their own figures: what JSON says of how a number is known stands as a
/// sign at that number on the terminal and in the binder, and `why` has it at the step.
#[test]
fn every_number_carries_its_sign_in_three_states() {
    let mut signs = BTreeSet::new();
    for place in [&NC, &GA, &MD] {
        let farm = Farm::new(place).with("litter.heap.analysis.total_n", "60 lb/ton");
        let (limits, _, why) = shown(&farm);
        let plan = planned(&farm);
        let field = plan.field("A");
        let known = &field["known"];
        let worse = |a: &Value, b: &Value| if sign(a).is_empty() { sign(b) } else { sign(a) };
        let cells = row(&limits);
        // Field, soil P, class, rated, basis, P2O5 allowed, planned, off, N allowed, planned.
        let expected = [
            (2, sign(&known["class"])),
            (4, sign(&known["basis"])),
            (7, sign(&known["removed"]["p2o5"])),
            (8, sign(&known["need"]["n"])),
            (9, worse(&known["done"]["n"], &known["supplied"]["n"])),
        ];
        for (at, sign) in expected {
            let own = cells[at].trim_start_matches(|c: char| c.is_alphanumeric() || c == '.' || c == ',' || c == '-');
            assert!(own == sign || cells[at] == "-", "{}: {} for {sign}: {limits}", place.key, cells[at]);
            signs.insert(sign);
        }
        // Each step that is a weak figure itself.
        let made = made(&farm);
        let notes = &made.balance.field("A").unwrap().notes;
        let (mut weak, told) = (0, flat(&why));
        for (step, known) in notes.steps().iter().zip(notes.known().iter()) {
            let sign = sign(&serde_json::to_value(known).unwrap());
            if let sward::balance::How::From(sward::findings::Origin::Figure(cite)) = &step.how {
                assert_eq!(cite.known, known, "{}", step.what);
                weak += usize::from(!sign.is_empty());
                assert!(sign != "?" || told.contains("[from memory"), "{}: {}", place.key, step.what);
            }
            let lead = flat(&format!("{} = ", step.what));
            let line = told.split(&lead).nth(1).unwrap_or_else(|| panic!("{}: no step {lead}", place.key));
            let value = line.split(' ').take(6).collect::<Vec<_>>().join(" ");
            assert!(sign.is_empty() || value.contains(sign), "{}: {lead}{value} without {sign}", place.key);
        }
        assert!(weak > 0, "{}", place.key);
        // The binder's budget.
        let html = binder(&farm);
        for (amount, known) in
            [("need", &known["need"]), ("removed", &known["removed"]), ("supplied", &known["supplied"])]
        {
            for nutrient in ["n", "p2o5", "k2o"] {
                let Some(lb) = field[amount][nutrient].as_f64() else { continue };
                let cell =
                    format!("<td class=\"r\">{}{}</td>", sward::units::number_text(lb, 0), sign(&known[nutrient]));
                assert!(html.contains(&cell), "{}: {amount} {nutrient}: no {cell}", place.key);
            }
        }
    }
    assert!(signs.len() > 2, "{signs:?}");
}

#[test]
fn the_binder_marks_the_numbers_and_says_what_the_signs_mean() {
    let place = "us-nc";
    let text = known("p2o5_per_ton.tall_fescue", "lb/ton", "forage: tall_fescue", "value: 15", "applied");
    let folder = tempfile::tempdir().unwrap();
    std::fs::create_dir(folder.path().join(place)).unwrap();
    std::fs::write(folder.path().join(place).join("a.yaml"), text).unwrap();
    let out = folder.path().join("out");
    let [tables, to] = [folder.path(), &out].map(|path| path.display().to_string());
    let (code, _, err) = at_root(&["binder", "fields", "--reference", &tables, "-o", &to]);
    assert_eq!(code, 0, "{err}");
    let html = std::fs::read_to_string(out.join("binder.html")).unwrap();
    // B1: 3.4041 tons of 15 lb.
    assert!(html.contains("<td class=\"r\">51~</td>"), "no sign in the budget");
    assert!(html.contains("~ printed for another use, place or condition"), "no legend");
    assert!(html.contains("applied: hay of an invented grass."), "the sources do not say for what");
}

/// What hangs on the figures of a farm, as the program finds it.
fn doubts(farm: &Farm) -> Doubts {
    pipeline::doubts(&asked(&farm.texts(), &farm.log_text(), farm)).unwrap()
}

/// A farm on which nitrogen alone binds, by one figure from memory.
fn by_nitrogen(per_ton: f64) -> Farm {
    let text = known("n_per_ton", "lb/ton", "forage: tall_fescue, use: hay", &format!("value: {per_ton}"), "memory");
    Farm::new(&NC).figure(text).with("litter.heap.analysis.total_n", "60 lb/ton")
}

/// Moving a figure is the same as writing it otherwise and planning again.
#[test]
fn what_hangs_on_a_figure_is_what_another_figure_makes_of_the_plan() {
    let spread = |farm: &Farm| planned(farm).rate("A") * planned(farm).number("A", "/acres");
    let gain = |farm: &Farm| planned(farm).json["choice"]["proof"]["worth"].as_f64().unwrap();
    // Lower than the place's own rate, so that the smaller of the two is this one.
    let (as_it_is, up, down) = (by_nitrogen(20.0), by_nitrogen(24.0), by_nitrogen(16.0));
    let doubts = doubts(&as_it_is);
    let at = doubts.figures.iter().position(|d| d.cite.figure.contains("n_per_ton")).expect("it relies on it");
    let doubt = &doubts.figures[at];
    assert_eq!(doubt.moved.iter().map(|m| m.how.as_str()).collect::<Vec<_>>(), ["20 % up, to 24", "20 % down, to 16"]);
    assert!(doubt.matters());
    for (moved, other) in doubt.moved.iter().zip([&up, &down]) {
        let Outcome::Plan { tons, gain: dollars } = moved.then else { panic!("{moved:?}") };
        assert!((tons - (spread(other) - spread(&as_it_is))).abs() < 0.011, "{moved:?}");
        assert!((dollars - (gain(other) - gain(&as_it_is))).abs() <= 0.501, "{moved:?}");
    }
    // Most first.
    let most = |d: &sward::plan::Doubt| {
        d.moved.iter().fold(0.0_f64, |most, moved| match &moved.then {
            Outcome::Plan { gain, .. } => most.max(gain.abs()),
            Outcome::NoPlan(_) => f64::INFINITY,
        })
    };
    assert!(doubts.figures.windows(2).all(|two| most(&two[0]) >= most(&two[1])), "{doubts:?}");
    // A figure that was read as it is used is not among them, and the same is said twice.
    assert!(doubts.figures.iter().all(|d| d.cite.known.is_weak()));
    let again = pipeline::doubts(&asked(&as_it_is.texts(), "", &as_it_is)).unwrap();
    assert_eq!(doubts, again);
}

/// The same in two other states, with what a ton of hay carries off, by which phosphate is held.
#[test]
fn what_hangs_on_a_figure_in_other_states_is_what_another_makes_of_the_plan() {
    for place in [&GA, &MD] {
        let farm = |per_ton: f64| {
            let text = known("p2o5_per_ton", "lb/ton", "forage: tall_fescue", &format!("value: {per_ton}"), "memory");
            Farm::new(place)
                .figure(text.replace("p2o5_per_ton.of_a_test_foragetall_fescue", "p2o5_per_ton.tall_fescue"))
                .figure(kit::rule("low", "rating: low", &["basis: removal"]))
                .with("litter.heap.analysis.p2o5", "30 lb/ton")
        };
        let tons = |farm: &Farm| planned(farm).rate("A") * planned(farm).number("A", "/acres");
        let gain = |farm: &Farm| planned(farm).json["choice"]["proof"]["worth"].as_f64().unwrap();
        let as_it_is = farm(15.0);
        let found = doubts(&as_it_is);
        let own = found.figures.iter().find(|d| d.cite.figure.ends_with("/p2o5_per_ton.tall_fescue"));
        let own = own.unwrap_or_else(|| panic!("{}: {found:?}", place.key));
        assert_eq!(
            own.moved.iter().map(|m| m.how.as_str()).collect::<Vec<_>>(),
            ["20 % up, to 18", "20 % down, to 12"]
        );
        for (moved, other) in own.moved.iter().zip([farm(18.0), farm(12.0)]) {
            let Outcome::Plan { tons: more, gain: dollars } = moved.then else { panic!("{moved:?}") };
            assert!((more - (tons(&other) - tons(&as_it_is))).abs() < 0.011, "{}: {moved:?}", place.key);
            assert!((dollars - (gain(&other) - gain(&as_it_is))).abs() <= 0.501, "{}: {moved:?}", place.key);
            assert!(more != 0.0 && dollars != 0.0, "{}: {moved:?}", place.key);
        }
    }
}

/// A row of the phosphorus rule moves to the next stricter basis, and a figure of the farm's own by its line.
#[test]
fn rows_of_a_rule_and_the_farms_own_figures_are_moved_too() {
    let farm =
        Farm::new(&NC).figure(known("p_rule.low", "none", "", "when: {rating: low}\n      basis: nitrogen", "memory"));
    let rated = doubts(&farm);
    let rated = rated.figures.iter().find(|d| d.cite.figure == "us-nc/p_rule.low").unwrap();
    assert_eq!(rated.moved.len(), 1);
    assert_eq!(rated.moved[0].how, "removal instead of nitrogen");
    let [_, asking] = PLACES;
    // Nobody rated the field: its soil test asks for the 50 lb that the farm gives.
    let farm = Farm::new(asking)
        .with("fields.A.phosphorus_rating", Value::Null)
        .with("litter.heap.analysis.p2o5", "40 lb/ton");
    let own = doubts(&farm);
    let own = own.figures.iter().find(|d| d.cite.figure == "farm/p2o5_need").expect("it relies on it");
    let how: Vec<&str> = own.moved.iter().map(|m| m.how.as_str()).collect();
    assert_eq!(how, ["20 % up, to 60", "20 % down, to 40"]);
}

/// What the farm says of a crop that the tables lack is moved as well: what a bushel or a ton
/// carries off, and the days on which litter may go on; in two states.
#[test]
fn what_the_farm_says_of_a_crop_is_moved_too() {
    let corn = |place: &'static Place, p2o5: &str, opens: &str, closes: &str| {
        Farm::new(place)
            .figure(kit::rule("low", "rating: low", &["basis: removal"]))
            .with("figures", Value::Null)
            .with(
                "crops",
                json!([{"crop": "corn", "bushel": "56 lb", "season": {"opens": opens, "closes": closes},
                        "removal": {"n": "0.7 lb/bu", "p2o5": p2o5, "k2o": "9 lb/ton"},
                        "by": "a county agent", "on": "2026-11-20"}]),
            )
            .with("fields.A.forage", "corn")
            .with("fields.A.use", "grain")
            .with("fields.A.yield_goal", "150 bu/ac")
            .with("litter.heap.analysis.p2o5", "40 lb/ton")
            .with(
                "fields.A.soil_test.recommended",
                json!({"crop": "corn", "n": "140 lb/ac", "p2o5": "40 lb/ac", "k2o": "60 lb/ac"}),
            )
    };
    let gain = |farm: &Farm| planned(farm).json["choice"]["proof"]["worth"].as_f64().unwrap();
    for place in PLACES {
        let farm = |p2o5: &str| corn(place, p2o5, "03-01", "04-15");
        let as_it_is = farm("0.35 lb/bu");
        let found = doubts(&as_it_is);
        let of = |figure: &str| {
            let own = found.figures.iter().find(|d| d.cite.figure == figure && !d.moved.is_empty());
            own.unwrap_or_else(|| panic!("{}: {figure}: {found:?}", place.key))
        };
        let how = |figure: &str| of(figure).moved.iter().map(|m| m.how.clone()).collect::<Vec<String>>();
        assert_eq!(how("farm/p2o5_per_ton"), ["20 % up, to 0.42 lb/bu", "20 % down, to 0.28 lb/bu"]);
        let longer = "14 days longer at both ends, 02-15 to 04-29";
        assert_eq!(how("farm/season"), [longer, "14 days shorter at both ends, 03-15 to 04-01"]);
        for (moved, other) in of("farm/p2o5_per_ton").moved.iter().zip([farm("0.42 lb/bu"), farm("0.28 lb/bu")]) {
            let Outcome::Plan { gain: dollars, .. } = moved.then else { panic!("{moved:?}") };
            assert!((dollars - (gain(&other) - gain(&as_it_is))).abs() <= 0.501, "{}: {moved:?}", place.key);
            assert!(dollars != 0.0, "{}: {moved:?}", place.key);
        }
    }
}

#[test]
fn the_farm_is_printed_and_a_broken_one_refused() {
    let (code, out, err) = at_root(&["tables", "--doubt", "fields"]);
    assert_eq!((code, err.as_str()), (0, ""));
    page(&out);
    let plan: Value = serde_json::from_str(&at_root(&["plan", "fields", "--json"]).1).unwrap();
    for list in ["from_memory", "applied", "common_practice", "said"] {
        for cite in plan[list].as_array().unwrap() {
            assert!(flat(&out).contains(cite["figure"].as_str().unwrap()), "{cite}: {out}");
        }
    }
    let small = by_nitrogen(20.0).folder();
    let (code, json, _) = at_root(&["tables", "--doubt", &small.path().display().to_string(), "--json"]);
    let json: Value = serde_json::from_str(&json).unwrap();
    assert_eq!((code, json["farm"].as_str(), json["in_dollars"].as_bool()), (0, Some("Kettle Run"), Some(true)));
    assert!(json["figures"].as_array().unwrap().iter().all(|f| f["cite"]["known"] != "read"), "{json}");
    let empty = tempfile::tempdir().unwrap();
    let (code, out, err) = at_root(&["tables", "--doubt", &empty.path().display().to_string()]);
    assert_eq!((code, out.as_str()), (1, ""));
    assert!(err.contains("farm.yaml"), "{err}");
}

/// Every figure that a field of a plan goes by and that is not read as it is used has its sign in
/// `why`, at the number: of the demo, and of farms in two other places with what the demo lacks.
#[test]
fn every_figure_of_a_field_is_marked_where_why_shows_it() {
    let keep = json!({"kind": "well", "name": "A well"});
    let small = |place: &'static Place| {
        let farm = Farm::new(place).point(json!({"kind": "stack", "lot": "heap"}));
        // Georgia's tables leave the distance of a well to the grower.
        let farm = if place.key == GA.key { farm } else { farm.keepout(0.0, keep.clone()) };
        let farm = farm.with("fields.A.cuttings", json!(["2027-05-20"])).with("fields.A.use", "hay then grazed");
        farm.with("fields.A.grazed", json!([{"from": "2027-04-20", "to": "2027-04-30"}])).folder()
    };
    let [one, other] = [&VA, &GA].map(small);
    let mut signs: BTreeSet<String> = BTreeSet::new();
    for folder in ["fields".to_string(), one.path().display().to_string(), other.path().display().to_string()] {
        let (code, out, err) = at_root(&["plan", &folder, "--json"]);
        assert_eq!(code, 0, "{out}{err}");
        let plan: Value = serde_json::from_str(&out).unwrap();
        for field in plan["fields"].as_array().unwrap() {
            let why = at_root(&["why", field["id"].as_str().unwrap(), &folder]).1;
            let why = flat(&why);
            let mut cites = Vec::new();
            ["kept_off", "eased", "windows", "applications"].iter().for_each(|part| cites_in(&field[part], &mut cites));
            for cite in cites.iter().filter(|cite| cite.known.is_weak()) {
                let sign = sign(&serde_json::to_value(cite.known).unwrap());
                let at = why.find(&flat(&cite.to_string()));
                let at = at.unwrap_or_else(|| panic!("{folder} {}: {} is not in {why}", field["id"], cite.figure));
                let before: String = why[..at].chars().rev().take(130).collect();
                assert!(before.contains(sign), "{folder} {}: {} without its sign: {why}", field["id"], cite.figure);
                signs.extend(cite.figure.split('.').next().map(str::to_string));
            }
        }
    }
    assert!(signs.contains("us/detour") && signs.len() > 3, "{signs:?}");
}

/// The papers of figures in a value of a plan.
fn cites_in(value: &Value, cites: &mut Vec<Cite>) {
    if let Ok(cite) = serde_json::from_value::<Cite>(value.clone()) {
        return cites.push(cite);
    }
    match value {
        Value::Array(list) => list.iter().for_each(|one| cites_in(one, cites)),
        Value::Object(map) => map.values().for_each(|one| cites_in(one, cites)),
        _ => {}
    }
}

/// A report for another crop or yield is marked at the figures that come from it, everywhere.
#[test]
fn a_report_for_another_crop_or_yield_is_marked_at_the_need() {
    for place in PLACES {
        let by = |crop: &str, tons: &str| {
            let advice = json!({"crop": crop, "yield": tons, "n": "97 lb/ac", "p2o5": "7 lb/ac", "k2o": "5 lb/ac"});
            Farm::new(place).with("fields.A.soil_test.recommended", advice)
        };
        for (crop, tons, of) in [
            ("tall fescue", "4 tons/ac", None),
            ("corn", "4 tons/ac", Some("a report for corn")),
            ("tall fescue", "8 tons/ac", Some("a report for a yield of 8 tons/ac")),
        ] {
            let (limits, json, why) = shown(&by(crop, tons));
            let cell = row(&limits).iter().any(|cell| cell == "97~");
            assert_eq!(cell, of.is_some(), "{}: {crop} {tons}: {limits}", place.key);
            assert_eq!(
                json["fields"][0]["known"]["need"]["n"] == "applied",
                of.is_some(),
                "{}",
                json["fields"][0]["known"]
            );
            assert_eq!(
                flat(&why).contains("N that the soil report recommends (a laboratory, 2026-10-06) = 97 lb/ac~"),
                of.is_some(),
                "{why}"
            );
            if let Some(of) = of {
                assert!(flat(&why).contains(&format!("[applied: {of}]")), "{why}");
                assert!(binder(&by(crop, tons)).contains("97~"), "{}", place.key);
            }
        }
    }
}

/// What a soil test that has expired says is marked wherever it makes a figure: the needs of the
/// tables by it, what its report recommends.
#[test]
fn what_an_expired_soil_test_says_is_marked() {
    let curve = "curve: {a: 0, b: 0.5, c: 70, over: index}";
    let farm = Farm::new(&NC).figure(known("p2o5_need.tall_fescue", "lb/ac", "forage: tall_fescue", curve, "read"));
    let advice = json!({"crop": "tall fescue", "yield": "4 tons/ac", "n": "97 lb/ac"});
    let farm = farm.with("fields.A.soil_test.recommended", advice);
    for (sampled, word, sign) in [("2026-10-06", "read", ""), ("2021-03-01", "applied", "~")] {
        let farm = farm.clone().with("fields.A.soil_test.sampled", sampled);
        let (limits, json, why) = shown(&farm);
        let known = &json["fields"][0]["known"];
        assert_eq!(known["need"]["p2o5"], word, "{known}");
        assert_eq!(known["need"]["n"], word, "{known}");
        assert!(sign.is_empty() || row(&limits).contains(&format!("97{sign}")), "{limits}");
        assert_eq!(binder(&farm).contains("97~"), !sign.is_empty(), "{sampled}");
        assert!(why.contains(&format!("P2O5 the soil test calls for = 50 lb/ac{sign}\n")), "{why}");
        let words = "[applied: a soil test that expired 2024-03-01]";
        assert_eq!(flat(&why).contains(words), !sign.is_empty(), "{why}");
    }
}

/// A rating that is too old still counts, and what it allows is marked.
#[test]
fn what_an_expired_rating_allows_is_marked() {
    let removal = known("p2o5_per_ton.tall_fescue", "lb/ton", "forage: tall_fescue", "value: 13", "read");
    let row_of = known("p_rule.high", "none", "", "when: {rating: high}\n      basis: removal", "read");
    for place in PLACES {
        let farm = Farm::new(place).figure(removal.clone()).figure(row_of.clone());
        for (on, sign) in [("2026-11-09", ""), ("2020-03-01", "~")] {
            let rating = json!({"rating": "high", "by": "a planner", "on": on});
            let farm = farm.clone().with("fields.A.phosphorus_rating", rating);
            let (limits, json, why) = shown(&farm);
            let known = &json["fields"][0]["known"];
            let word = if sign.is_empty() { "read" } else { "applied" };
            assert_eq!((&known["basis"], &known["p2o5_allowed"]), (&json!(word), &json!(word)), "{on}: {known}");
            assert_eq!(flat(&limits).contains("removal~"), !sign.is_empty(), "{}: {limits}", place.key);
            assert_eq!(flat(&why).contains("[applied: the phosphorus rating of 2020-03-01"), !sign.is_empty(), "{why}");
        }
    }
}
