//! `sward audit`: a plan from a file. The demo farm's own plan passes; each
//! figure changed in the text of it is found; damaged text is told and never
//! ends the program.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod demo;
mod kit;

use kit::{Dice, at_root};
use serde_json::{Value, json};
use std::sync::LazyLock;
use sward::pipeline::{Figures, Folder, PrintedPlan, Question, Remade};

static TEXT: LazyLock<String> = LazyLock::new(|| sward::write::plan_json(&demo::made(&demo::texts()).audited));

/// The demo's plan made anew, once for all that is held against it.
static REMADE: LazyLock<Remade> = LazyLock::new(|| {
    let printed = PrintedPlan::read("plan.json", &TEXT).unwrap();
    Remade::of(&printed, Folder::memory(&demo::texts()), &Figures::BuiltIn).unwrap()
});

/// Audits a text through the command: exit code and standard output and error.
fn audit(text: &[u8], more: &[&str]) -> (i32, String, String) {
    let file = tempfile::NamedTempFile::new().unwrap();
    std::fs::write(file.path(), text).unwrap();
    let today: &[&str] = if more.contains(&"--today") { &[] } else { &["--today", "2027-02-01"] };
    at_root(&[&["audit", file.path().to_str().unwrap(), "fields"], today, more].concat())
}

#[test]
fn the_untouched_plan_passes() {
    let (code, out, err) = audit(TEXT.as_bytes(), &[]);
    assert_eq!((code, err.as_str()), (0, ""), "{out}");
    assert!(
        out.contains("pass B1 Creek Bottom") && out.ends_with("The plan passes.\n") && !out.contains("FAIL"),
        "{out}"
    );
    assert!(out.lines().all(|l| l.chars().count() <= 80 && l == l.trim_end()));
    let (code, out, _) = audit(TEXT.as_bytes(), &["--json"]);
    let verdicts: Value = serde_json::from_str(&out).unwrap();
    assert_eq!((code, &verdicts["passes"]), (0, &json!(true)));
    assert_eq!(verdicts["fields"].as_array().unwrap().len(), 11);
}

/// A plan that papers or days have gone by since passes as what it was made as, and says that it
/// is none to spread by today.
#[test]
fn a_plan_that_grew_old_says_so() {
    let on = |day: &str| audit(TEXT.as_bytes(), &["--today", day]);
    for day in ["2027-02-01", "2027-03-12"] {
        assert!(on(day).1.ends_with("The plan passes.\n"), "{day}");
    }
    let (code, out, _) = on("2027-05-20");
    let out = kit::flat(&out);
    assert_eq!(code, 0, "{out}");
    assert!(out.contains("The plan passes. IT IS OLD: this audit goes by 2027-02-01"), "{out}");
    assert!(
        out.contains("today is 2027-05-20. Spread by a new plan.") && out.contains("made 108 days before"),
        "{out}"
    );
    let json =
        |day: &str| -> Value { serde_json::from_str(&audit(TEXT.as_bytes(), &["--today", day, "--json"]).1).unwrap() };
    assert_eq!(json("2027-02-01").get("grown_old"), None);
    // Papers expire each on a day of its own: until it they are not named, from the day after they are.
    let plan: Value = serde_json::from_str(&TEXT).unwrap();
    let spread: Vec<&str> = plan["fields"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|field| !field["applications"].as_array().unwrap().is_empty())
        .filter_map(|field| field["id"].as_str())
        .collect();
    let late = json("2032-01-01");
    let since = late["grown_old"]["since"].as_array().unwrap().clone();
    let of = |code: &str| since.iter().filter(|reason| reason["code"] == code).collect::<Vec<_>>();
    assert_eq!(of("soil-test-old").len(), spread.len(), "{since:?}");
    assert!(!of("analysis-old").is_empty() && !of("rating-old").is_empty() && of("plan-over").len() == 1, "{since:?}");
    for code in ["soil-test-old", "analysis-old", "rating-old"] {
        let found = of(code)[0]["found"].as_str().unwrap();
        let last: jiff::civil::Date = found.rsplit(' ').next().unwrap().parse().unwrap();
        let named = |day: jiff::civil::Date| json(&day.to_string())["grown_old"].to_string().contains(found);
        assert!(!named(last) && named(last.tomorrow().unwrap()), "{found}");
    }
}

/// A line added above moves every other line of farm.yaml: the plan is the same.
#[test]
fn lines_that_only_moved_change_no_plan() {
    let folder = kit::demo_on("2027-02-15");
    let path = folder.path();
    let plan = kit::sward(path, &["plan", "--json"]).out;
    std::fs::write(path.join("plan.json"), &plan).unwrap();
    let main = path.join("farm.yaml");
    let text = std::fs::read_to_string(&main).unwrap();
    let audit = || kit::sward(path, &["audit", path.join("plan.json").to_str().unwrap()]);
    let audit = |text: String| {
        std::fs::write(&main, text).unwrap();
        audit()
    };
    let moved = audit(format!("# Walked with the planner.\n{text}"));
    assert!(moved.out.ends_with("The plan passes.\n"), "{}{}", moved.out, moved.err);
    // What stands in a line still counts.
    let other = audit(text.replacen("60 tons", "61 tons", 1).replacen("450 tons", "451 tons", 1));
    assert!(!other.out.ends_with("The plan passes.\n"), "{}", other.out);
}

/// Where in the plan, what is put there, and what the audit must say.
type Fault = (&'static str, Value, &'static str);

fn faults() -> Vec<Fault> {
    vec![
        ("/farm", json!("Another Farm"), "shown"),
        ("/place", json!("us-va"), "shown"),
        ("/from", json!("2027-02-14"), "shown"),
        ("/to", json!("2027-12-31"), "shown"),
        ("/fields/0/id", json!("B9"), "whole"),
        ("/fields/0/name", json!("Somewhere"), "shown"),
        ("/fields/0/forage", json!("timothy"), "shown"),
        ("/fields/0/usage", json!("pasture"), "shown"),
        ("/fields/0/acres", json!(26.0), "acres"),
        ("/fields/0/acres", json!(0.0), "number"),
        ("/fields/0/acres", json!(-3.0), "number"),
        ("/fields/0/gross_acres", json!(40.0), "acres"),
        ("/fields/0/goal/tons", json!(5.0), "nutrients"),
        ("/fields/0/need/n", json!(200.0), "shown"),
        ("/fields/0/need/p2o5", json!(99.0), "shown"),
        ("/fields/0/need/k2o", json!(0.0), "shown"),
        ("/fields/0/n_allowed", json!(500.0), "shown"),
        ("/fields/0/done/n", json!(20.0), "shown"),
        ("/fields/0/supplied/n", json!(1.0), "shown"),
        ("/fields/0/supplied/p2o5", json!(1.0), "shown"),
        ("/fields/0/supplied/k2o", json!(1.0), "shown"),
        ("/fields/0/short/n", json!(0.0), "shown"),
        ("/fields/0/over/p2o5", json!(0.0), "shown"),
        ("/fields/1/phosphorus/allowed", json!(500.0), "shown"),
        ("/fields/0/phosphorus/planned", json!(0.0), "shown"),
        ("/fields/0/cuttings", json!([]), "shown"),
        ("/fields/0/cuttings/0", json!("2027-06-14"), "shown"),
        ("/fields/6/grazed", json!([]), "shown"),
        ("/fields/0/applications/0/rate", json!(9.0), "setting"),
        ("/fields/0/applications/0/rate", json!(1e300), "setting"),
        ("/fields/0/applications/0/pounds", json!(1), "setting"),
        ("/fields/0/applications/0/pounds", json!(i64::MAX), "setting"),
        ("/fields/0/applications/0/loads", json!(i64::MIN), "setting"),
        ("/fields/0/applications/0/loads", json!(i64::MAX), "setting"),
        ("/fields/0/applications/0/last_load", json!(-1), "setting"),
        ("/fields/0/applications/0/lot", json!("crust"), "tally"),
        ("/fields/0/applications/0/lot", json!("none"), "tally"),
        ("/fields/0/applications/0/season", json!("winter"), "season"),
        ("/fields/0/applications/0/first", json!("2027-01-01"), "season"),
        ("/fields/0/applications/0/first", json!("-009999-01-01"), "season"),
        ("/fields/0/applications/0/last", json!("9999-12-31"), "season"),
        ("/fields/0/applications/0/last", json!("2027-05-20"), "season"),
        ("/fields/0/applications/0/after_cutting", json!("2027-02-01"), "shown"),
        ("/fields/0/applications/0/haul/miles", json!(40.0), "shown"),
        ("/fields/3/applications/0/haul/miles", json!(0.1), "shown"),
        ("/fields/10/bars", json!([]), "shown"),
        ("/lots/0/id", json!("heap"), "whole"),
        ("/lots/0/opening", json!(i64::MAX), "tally"),
        ("/lots/0/hauled", json!(i64::MIN), "tally"),
        ("/lots/0/planned", json!(0), "tally"),
        ("/lots/0/left", json!(0), "tally"),
        ("/lots/0/analysis_good_until", json!("2030-01-01"), "shown"),
        ("/leftover/pounds", json!(0), "shown"),
        ("/leftover/lots/0/pounds", json!(5), "shown"),
        ("/leftover/sale_value", json!(99999.0), "money"),
        ("/money", json!(null), "money"),
        ("/money/still_to_buy", json!(1.0), "money"),
        ("/money/spreading", json!(1.0), "money"),
        ("/money/without_litter", json!(1.0), "money"),
        ("/money/replaced", json!(1.0), "money"),
        ("/money/leftover", json!(1.0), "money"),
        ("/buy", json!(null), "buy"),
        ("/buy/products/0/price", json!(1.0), "buy"),
        ("/buy/products/0/tons", json!(1.0), "buy"),
        ("/buy/products/0/dollars", json!(1.0), "buy"),
        ("/buy/products/0/analysis/n", json!(82.0), "buy"),
        ("/buy/products/0/name", json!("gold"), "buy"),
        ("/buy/fields", json!([]), "buy"),
        ("/buy/fields/1/acres", json!(1.0), "buy"),
        ("/buy/fields/1/mix/0/pounds", json!(1.0), "buy"),
        ("/buy/fields/1/mix/0/pounds", json!(-1.0), "buy"),
        ("/buy/fields/1/mix/0/product", json!("gold"), "buy"),
        ("/buy/fields/1/goes", json!([]), "buy"),
        ("/buy/fields/2/goes/0/times", json!(0), "buy"),
        ("/buy/fields/1/unmet/n", json!(100.0), "buy"),
        ("/buy/fields/0/left_out", json!(["urea"]), "buy"),
        ("/buy/with_litter/total", json!(1.0), "buy"),
        ("/buy/without_litter/total", json!(1.0), "buy"),
        ("/buy/with_litter/litter_left", json!(99999.0), "buy"),
        ("/buy/saved", json!(99999.0), "buy"),
    ]
}

#[test]
fn every_figure_changed_in_the_file_is_found() {
    let plan: Value = serde_json::from_str(&TEXT).unwrap();
    let mut missed = Vec::new();
    for (pointer, value, code) in faults() {
        let mut bad = plan.clone();
        let at = bad.pointer_mut(pointer).unwrap_or_else(|| panic!("the plan has no {pointer}"));
        assert_ne!(*at, value, "{pointer} is that already");
        *at = value.clone();
        let printed = PrintedPlan::read("plan.json", &bad.to_string()).unwrap_or_else(|e| panic!("{pointer}: {e:?}"));
        let verdicts = serde_json::to_value(REMADE.judge(&printed)).unwrap();
        let reasons = verdicts["fields"].as_array().unwrap().iter().flat_map(|f| f["reasons"].as_array().unwrap());
        let reasons: Vec<&Value> = reasons.chain(verdicts["whole"].as_array().unwrap()).collect();
        if verdicts["passes"] != json!(false) || !reasons.iter().any(|r| r["code"] == code) {
            missed.push(format!("{pointer} = {value}: wanted {code}, {reasons:?}"));
        }
    }
    assert!(missed.is_empty(), "{} missed\n{}", missed.len(), missed.join("\n"));
}

/// Plans of the same form that this program could have printed still pass.
#[test]
fn plans_with_a_log_or_without_prices_pass() {
    let tables = demo::tables_with("");
    let main = demo::file("farm.yaml");
    let bare = main.split("\n# What the dealer").next().unwrap().to_string();
    let bare = demo::instead(&bare, "\nprices:", "\n# prices:");
    let bare: String = bare
        .lines()
        .map(|l| {
            let priced =
                ["  n: ", "  p2o5: 0.58", "  k2o: 0.42", "  litter_sold:", "  loading_spreading:", "  hauling:"];
            if priced.iter().any(|p| l.starts_with(p)) { format!("#{l}\n") } else { format!("{l}\n") }
        })
        .collect();
    let run = demo::made(&demo::with_main(|_| bare.clone()));
    assert!(run.plan().money.is_none() && run.plan().buy.is_none());
    let (read, _) = sward::audit::read("plan.json", &sward::write::plan_json(&run.audited)).unwrap();
    assert!(sward::audit::verdicts(&read, &run.ready, &tables).passes);

    let texts = demo::texts();
    let log = "date,what,lot,field,tons,note\n2027-03-01,spread,clean-out,B1,24,\n2027-03-02,haul,clean-out,,30,\n";
    let day = sward::pipeline::Day::Asked(jiff::civil::date(2027, 3, 2));
    let question = Question { folder: Folder::Memory { texts: &texts, log }, day, ..demo::asked(&texts) };
    let logged = question.plan().unwrap_or_else(|f| panic!("{:?}", f.sorted()));
    assert_eq!(logged.ready.happened.entries.len(), 2);
    let (read, _) = sward::audit::read("plan.json", &sward::write::plan_json(&logged.audited)).unwrap();
    let verdicts = sward::audit::verdicts(&read, &logged.ready, &tables);
    assert!(verdicts.passes, "{verdicts:#?}");
    // The same plan without that log does not.
    let unlogged = demo::asked(&texts).check().ready.unwrap();
    assert!(!sward::audit::verdicts(&read, &unlogged, &tables).passes);
}

/// What is read back is what was printed.
#[test]
fn a_plan_comes_back_as_it_was() {
    let (read, _) = sward::audit::read("plan.json", &TEXT).unwrap();
    let first: Value = serde_json::from_str(&TEXT).unwrap();
    let again = serde_json::to_value(&read).unwrap();
    let near =
        |a: &Value, b: &Value| (a.as_f64().unwrap() - b.as_f64().unwrap()).abs() <= 1e-12 * a.as_f64().unwrap().abs();
    fn held(a: &Value, b: &Value, path: &str, near: &dyn Fn(&Value, &Value) -> bool) {
        match (a, b) {
            (Value::Object(x), Value::Object(y)) => {
                assert!(x.keys().eq(y.keys()), "{path}");
                x.iter().for_each(|(k, v)| held(v, &y[k], &format!("{path}/{k}"), near));
            }
            (Value::Array(x), Value::Array(y)) => {
                assert_eq!(x.len(), y.len(), "{path}");
                x.iter().zip(y).enumerate().for_each(|(i, (v, w))| held(v, w, &format!("{path}/{i}"), near));
            }
            (Value::Number(_), Value::Number(_)) => assert!(near(a, b), "{path}: {a} {b}"),
            _ => assert_eq!(a, b, "{path}"),
        }
    }
    held(&first, &again, "", &near);
}

#[test]
fn damaged_text_is_told() {
    let whole = TEXT.as_str();
    let cut = &whole[..whole.len() / 2];
    let deep = "[".repeat(200_000);
    let deep_in = format!("{{\"schema\": 5, \"farm\": {deep}");
    let other = whole.replacen("\"schema\": 5", "\"schema\": 1", 1);
    let none = whole.replacen("\"schema\": 5,", "", 1);
    let twice = whole.replacen("\"schema\": 5,", "\"schema\": 5, \"farm\": \"x\",", 1);
    let word = whole.replacen("\"acres\": 24.0", "\"acres\": \"24\"", 1);
    let huge = whole.replacen("\"acres\": 24.0", "\"acres\": 1e999", 1);
    let nan = whole.replacen("\"acres\": 24.0", "\"acres\": NaN", 1);
    let null = whole.replacen("\"acres\": 24.0", "\"acres\": null", 1);
    let day = whole.replacen("2027-02-15", "2027-02-30", 1);
    let frac = whole.replacen("\"pounds\": 108000", "\"pounds\": 108000.5", 1);
    for (text, code) in [
        ("", "plan-form"),
        ("{", "plan-form"),
        ("null", "plan-data"),
        ("[]", "plan-data"),
        ("[5]", "plan-data"),
        ("{}", "plan-schema"),
        ("farm: Two Chimney Farm", "plan-form"),
        ("{\"schema\": 5}", "plan-data"),
        ("{\"schema\": \"2\"}", "plan-schema"),
        ("{\"schema\": 5.5}", "plan-schema"),
        ("{\"schema\": 18446744073709551616}", "plan-schema"),
        ("{\"schema\": 5, \"errors\": true, \"findings\": []}", "plan-data"),
        (cut, "plan-form"),
        (&deep, "plan-"),
        (&deep_in, "plan-"),
        (&other, "plan-schema"),
        (&none, "plan-schema"),
        (&twice, "plan-data"),
        (&word, "plan-data"),
        (&huge, "plan-data"),
        (&nan, "plan-form"),
        (&null, "plan-data"),
        (&day, "plan-data"),
        (&frac, "plan-data"),
    ] {
        let shown: String = text.chars().take(60).collect();
        assert!(text != whole, "{code}: nothing was damaged");
        let (exit, out, err) = audit(text.as_bytes(), &[]);
        assert_eq!((exit, out.as_str()), (1, ""), "{shown}");
        assert!(err.contains(&format!("error [{code}")) && err.contains("fix: "), "{shown}: {err}");
        assert!(err.lines().all(|l| !l.chars().any(char::is_control)), "{shown}: {err}");
    }
    let (exit, _, err) = audit(b"\xff\xfe\xfd\x00{", &[]);
    assert!(exit == 1 && err.contains("error ["), "{err}");
}

/// Words of a stranger cannot command the terminal, and long ones are cut.
#[test]
fn words_out_of_the_file_are_tame() {
    let mut plan: Value = serde_json::from_str(&TEXT).unwrap();
    plan["farm"] = json!(format!("\u{1b}[2J{}", "x".repeat(5_000)));
    plan["fields"][0]["name"] = json!("\u{1b}[31m\u{202e}");
    plan["fields"][1]["applications"][0]["lot"] = json!("\u{7}\u{9b}");
    let (exit, out, _) = audit(plan.to_string().as_bytes(), &[]);
    assert_eq!(exit, 1);
    assert!(!out.chars().any(|c| (c.is_control() && c != '\n') || c == '\u{202e}'), "{out:?}");
    assert!(out.len() < 8_000);
}

/// Numbers of the plan changed at random: read or told, never an end in a
/// panic. Whatever passes is the plan itself or a change in what no limit sees.
#[test]
fn numbers_changed_at_random_never_end_the_program() {
    let run = demo::made(&demo::texts());
    let tables = demo::tables_with("");
    let mut dice = Dice(41);
    let mut audited = 0;
    let values =
        ["0", "-1", "1e308", "-1e308", "9223372036854775807", "-9223372036854775808", "0.5", "null", "[]", "\"x\""];
    let spots: Vec<(usize, usize)> = {
        let bytes = TEXT.as_bytes();
        let digit = |b: u8| b.is_ascii_digit() || matches!(b, b'.' | b'-');
        (1..bytes.len())
            .filter(|i| bytes[i - 1] == b' ' && digit(bytes[*i]))
            .map(|i| (i, (i..bytes.len()).find(|j| !digit(bytes[*j])).unwrap()))
            .collect()
    };
    assert!(spots.len() > 500);
    for _ in 0..300 {
        let mut text = TEXT.clone();
        let (from, to) = spots[dice.below(spots.len())];
        text.replace_range(from..to, values[dice.below(values.len())]);
        if let Ok((plan, _)) = sward::audit::read("plan.json", &text) {
            let _ = sward::audit::verdicts(&plan, &run.ready, &tables);
            audited += 1;
        }
    }
    assert!(audited > 100, "only {audited} were audited");
}

/// A finding more or fewer moves all that follow it: one is told, not every one that moved.
#[test]
fn a_list_that_only_shifted_is_one_difference() {
    for (list, at) in [("findings", 0), ("findings", 1)] {
        let mut plan: Value = serde_json::from_str(&TEXT).unwrap();
        let all = plan[list].as_array_mut().unwrap();
        assert!(all.len() > 2, "{all:?}");
        all.remove(at);
        let printed = PrintedPlan::read("plan.json", &plan.to_string()).unwrap();
        let told = REMADE.judge(&printed).new_plan;
        // The plan's own sum no longer fits its text either.
        let places: Vec<&str> = told.differences.iter().map(|one| one.at.as_str()).collect();
        assert_eq!((told.differ, places.get(1)), (2, Some(&"made.sum")), "{:?}", told.differences);
        assert!(told.differences[0].at.starts_with(&format!("{list}[{}]", at + 1)), "{:?}", told.differences);
    }
}
