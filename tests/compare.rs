//! Two farms side by side, and a plan with one line changed.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod demo;
mod kit;

use kit::{at_root, change, demo_folder};
use serde_json::Value;

fn json(args: &[&str]) -> Value {
    let (code, out, err) = at_root(args);
    assert_eq!((code, err.as_str()), (0, ""), "{args:?} {out}");
    serde_json::from_str(&out).unwrap()
}

/// The demo farm in a folder of its own, its main file changed.
fn farm(other: impl Fn(String) -> String) -> tempfile::TempDir {
    let folder = demo_folder();
    change(folder.path(), "farm.yaml", other);
    folder
}

fn find<'a>(list: &'a Value, of: Option<&str>, what: &str, unit: &str) -> Option<&'a Value> {
    list.as_array()
        .unwrap()
        .iter()
        .find(|d| d["of"].as_str() == of && d["what"].as_str() == Some(what) && d["unit"].as_str() == Some(unit))
}

#[test]
fn a_farm_does_not_differ_from_itself() {
    let found = json(&["compare", "fields", "fields/farm.yaml", "--json"]);
    let differs = &found["differs"];
    for part in ["about", "fields", "lots"] {
        assert_eq!(differs[part].as_array().unwrap().len(), 0, "{part}");
    }
    for sum in differs["sums"].as_array().unwrap() {
        assert_eq!(sum["a"], sum["b"]);
    }
    let (code, out, _) = at_root(&["compare", "fields", "fields"]);
    assert!(code == 0 && out.contains("do not differ"), "{out}");
}

#[test]
fn only_what_differs_is_told() {
    let other = farm(|text| demo::instead(&text, "on_hand: 430 tons", "on_hand: 200 tons"));
    let path = other.path().display().to_string();
    let differs = &json(&["compare", "fields", &path, "--json"])["differs"];
    let on_hand = find(&differs["lots"], Some("clean-out"), "on hand", "tons").unwrap();
    assert_eq!((&on_hand["a"], &on_hand["b"]), (&Value::from(430.0), &Value::from(200.0)));
    assert!(find(&differs["lots"], Some("crust"), "on hand", "tons").is_none());
    assert!(!differs["fields"].as_array().unwrap().is_empty());
    assert!(find(&differs["fields"], Some("D1"), "acres", "ac").is_none());
    // Each side is what its own plan says.
    for (side, folder) in [("a", "fields"), ("b", path.as_str())] {
        let plan = json(&["plan", folder, "--json"]);
        let left = plan["leftover"]["pounds"].as_f64().unwrap() / 2_000.0;
        let sum = find(&differs["sums"], None, "litter left", "tons").unwrap();
        assert!((sum[side].as_f64().unwrap() - left).abs() < 1e-9);
        let total = find(&differs["sums"], None, "total, less litter left", "$").unwrap();
        assert_eq!(total[side], plan["buy"]["with_litter"]["total"]);
        for differ in differs["fields"].as_array().unwrap().iter().filter(|d| d["what"] == "N short") {
            let field = plan["fields"].as_array().unwrap().iter().find(|f| f["id"] == differ["of"]).unwrap();
            assert_eq!(differ[side], field["short"]["n"]);
        }
    }
}

#[test]
fn two_farm_files_in_one_folder() {
    let folder = farm(|text| text);
    let dry = demo::instead(&demo::file("farm.yaml"), "least: 1 ton/ac", "least: 2 tons/ac");
    std::fs::write(folder.path().join("heavy.yaml"), dry).unwrap();
    let at = |name: &str| folder.path().join(name).display().to_string();
    let differs = &json(&["compare", &at("farm.yaml"), &at("heavy.yaml"), "--json"])["differs"];
    assert!(!differs["fields"].as_array().unwrap().is_empty());
    // A broken one is told by its own name.
    std::fs::write(folder.path().join("broken.yaml"), "farm: [").unwrap();
    let (code, _, err) = at_root(&["compare", &at("farm.yaml"), &at("broken.yaml")]);
    assert!(code == 1 && err.contains("broken.yaml:") && err.starts_with("B, "), "{err}");
    let (code, _, err) = at_root(&["compare", "nowhere", "fields"]);
    assert!(code == 1 && err.contains("A, nowhere"), "{err}");
}

/// What a plan says, without the places and papers of what it rests on.
fn said(plan: &Value) -> Value {
    let mut plan = plan.clone();
    for field in plan["fields"].as_array_mut().unwrap() {
        for application in field["applications"].as_array_mut().unwrap() {
            application["haul"]["origin"] = Value::Null;
        }
    }
    let counted = plan["lots"].as_array_mut().unwrap().iter_mut().filter_map(|lot| lot.get_mut("counting"));
    counted.for_each(|counting| counting["origins"] = Value::Null);
    let fields = plan["fields"].as_array().unwrap().iter().map(|f| {
        let keys =
            ["id", "acres", "applications", "need", "done", "supplied", "short", "over", "held", "cuttings", "goal"];
        Value::from_iter(keys.map(|k| (k.to_string(), f[k].clone())))
    });
    let fields: Value = fields.collect();
    Value::from_iter(
        [("fields", fields)]
            .into_iter()
            .chain(["lots", "money", "buy", "leftover", "from", "to"].map(|k| (k, plan[k].clone())))
            .map(|(k, v)| (k.to_string(), v)),
    )
}

/// `--with` says the same as the line changed in the file.
#[test]
fn a_change_is_as_if_it_stood_in_the_file() {
    let cases: &[(&str, &str, &str)] = &[
        ("prices.n=0.50 $/lb", "n: 0.74 $/lb", "n: 0.50 $/lb"),
        ("fields.B2.yield_goal=3 tons/ac", "yield_goal: 3.5 tons/ac", "yield_goal: 3 tons/ac"),
        ("litter.clean-out.on_hand=200 tons", "on_hand: 430 tons", "on_hand: 200 tons"),
        ("litter.crust.analysis.moisture=45 %", "moisture: 38 %", "moisture: 45 %"),
        ("spreader.least=2 tons/ac", "least: 1 ton/ac", "least: 2 tons/ac"),
        ("plan.to=2027-07-31", "to: 2027-10-31", "to: 2027-07-31"),
        ("fertilizer.DAP.price=900 $/ton", "price: 790 $/ton", "price: 900 $/ton"),
        ("fields.B1.yields.2026.tons=3.4 tons/ac", "tons: 2.6 tons/ac", "tons: 3.4 tons/ac"),
        // Allowed, and not in the file.
        ("fields.B1.most=1 ton/ac", "    name: Creek Bottom\n", "    name: Creek Bottom\n    most: 1 ton/ac\n"),
        ("detour=1.9", "region: piedmont\n", "region: piedmont\ndetour: 1.9\n"),
        // A list, and a key taken away.
        ("fields.B1.cuttings=[2027-06-01]", "cuttings: [2027-05-14, 2027-07-20]", "cuttings: [2027-06-01]"),
        ("fields.N1.most=", "    most: 3 tons/ac", "    # most: 3 tons/ac"),
    ];
    for (change, old, new) in cases {
        let other = farm(|text| demo::instead(&text, old, new));
        let file = json(&["plan", &other.path().display().to_string(), "--json"]);
        let with = json(&["plan", "fields", "--json", "--with", change]);
        assert_eq!(said(&with), said(&file), "{change}");
        assert_eq!(with["with"]["changes"][0], *change);
        assert_ne!(said(&json(&["plan", "fields", "--json"])), said(&with), "{change} changes nothing");
    }
}

#[test]
fn several_changes_go_one_after_the_other() {
    let one = json(&["plan", "fields", "--json", "--with", "prices.n=0.5 $/lb", "--with", "spreader.least=2 tons/ac"]);
    let file = farm(|text| {
        demo::instead(&demo::instead(&text, "n: 0.74 $/lb", "n: 0.5 $/lb"), "least: 1 ton/ac", "least: 2 tons/ac")
    });
    assert_eq!(said(&one), said(&json(&["plan", &file.path().display().to_string(), "--json"])));
    let (code, out, _) = at_root(&["plan", "fields", "--with", "litter.clean-out.on_hand=200 tons"]);
    assert_eq!(code, 0);
    let (head, plan) = out.split_once("\nTwo Chimney Farm: litter plan").unwrap();
    assert!(head.contains("TONS AND DOLLARS") && head.contains("B is the plan with litter.clean-out.on_hand=200 tons"));
    assert!(plan.contains("WHAT GOES WHERE"));
}

#[test]
fn a_change_that_cannot_be_is_told_by_its_key() {
    for (change, code, words) in [
        ("price.n=1 $/lb", "key-unknown", "did you mean `prices`?"),
        ("prices.m=1 $/lb", "key-unknown", "did you mean `n`?"),
        ("fields.B1.yeild_goal=2 tons/ac", "key-unknown", "did you mean `yield_goal`?"),
        ("fields.B9.most=1 ton/ac", "with-entry", "B1, B2"),
        ("litter.cleanout.on_hand=3 tons", "with-entry", "did you mean `clean-out`?"),
        ("farm.name=x", "with-path", "inside `Two Chimney Farm`"),
        ("plan.to=2027-13-01", "date", "2027-13-01"),
        ("prices.n=0.5", "unit-missing", "without a unit"),
        ("spreader.least=900 tons/ac", "out-of-range", "900"),
        ("spreader.least=", "key-missing", "`least:`"),
        ("plan.from=[", "form", "cannot be read"),
        ("region=delta", "region-unknown", "delta"),
        ("fields.B1.cuttings=2027-06-01", "not-a-list", "a list"),
    ] {
        let (exit, _, err) = at_root(&["plan", "fields", "--with", change]);
        let key = change.split('=').next().unwrap();
        assert_eq!(exit, 1, "{change}: {err}");
        assert!(err.contains(&format!("--with {key}: error [{code}]")), "{change}: {err}");
        assert!(err.replace("\n    ", " ").replace("\n  ", " ").contains(words), "{change}: {err}");
    }
    for wrong in ["prices.n", "=3", "a..b=1", ".=1"] {
        assert_eq!(at_root(&["plan", "fields", "--with", wrong]).0, 2, "{wrong}");
    }
}
