//! What the log is over by goes by the log alone: whatever days a plan is made for, and as of
//! whatever day after the last entry, the list is the same, and the audit has the same by its
//! own sums.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Dice, Farm, GA, Place, asked, own_figure};
use serde_json::{Value, json};
use std::collections::BTreeSet;
use sward::{audit, pipeline, plan};

const TN: Place =
    Place { key: "us-tn", region: "", extractant: "mehlich-1", unit: "lb/ac", asks_needs: true, at: (-86.61, 35.41) };
/// Nothing holds here but the federal baseline.
const BARE: Place =
    Place { key: "us", region: "", extractant: "mehlich-1", unit: "lb/ac", asks_needs: true, at: (-86.61, 35.41) };

/// First and last day of a plan, and the day as of which it is made.
const CUTS: [[&str; 3]; 7] = [
    ["2026-02-15", "2026-10-31", "2027-11-20"],
    ["2026-04-30", "2026-12-31", "2027-11-20"],
    ["2026-05-01", "2027-04-30", "2027-11-20"],
    ["2027-01-01", "2027-12-31", "2027-11-20"],
    ["2027-08-20", "2028-06-30", "2027-11-25"],
    ["2027-11-25", "2028-10-31", "2027-11-25"],
    ["2028-02-15", "2028-10-31", "2028-02-20"],
];

/// A farm with what two years put on, by lot.
fn farm(place: &'static Place, case: u64) -> Farm {
    let mut dice = Dice::of_case(case);
    let mut farm = Farm::new(place).field("B").field("C");
    let mut own = vec![own_figure("p2o5_need", "60 lb/ac"), own_figure("k2o_need", "80 lb/ac")];
    if place.key == "us" {
        own.extend([own_figure("n_at_once", "60 lb/ac"), own_figure("applications", "2 times")]);
    }
    farm.set("figures", Value::Array(own));
    for (key, value) in [("p2o5", "55 lb/ton"), ("total_n", "58 lb/ton"), ("ammonium_n", "10 lb/ton")] {
        farm.set(&format!("litter.heap.analysis.{key}"), value);
    }
    farm.set("litter.heap.analysis.sampled", "2025-12-10");
    farm.set("litter.heap.on_hand", "5000 tons");
    farm.set("litter.heap.counted_on", "2025-12-12");
    for (id, rating) in [("A", None), ("B", Some("high")), ("C", Some("low"))] {
        let mut test = farm_value(&farm, id)["soil_test"].clone();
        test["sampled"] = "2025-11-10".into();
        test["recommended"] = json!({"crop": "tall fescue", "yield": "4 tons/ac", "n": "140 lb/ac"});
        farm.set(&format!("fields.{id}.soil_test"), test);
        let rating =
            rating.map_or(Value::Null, |rating| json!({"rating": rating, "by": "a planner", "on": "2025-11-20"}));
        farm.set(&format!("fields.{id}.phosphorus_rating"), rating);
    }
    if dice.below(2) == 0 {
        let until = ["2026-07-15", "2027-03-31"][dice.below(2)];
        farm.set("fields.A.before", json!([{"yield_goal": "2 tons/ac", "until": until}]));
    }
    if dice.below(2) == 0 {
        farm.set("fields.B.before", json!([{"id": "OLD", "until": "2026-09-30"}]));
    }
    let mut lines = String::from("date,what,lot,field,tons,grade,rate,acres\n");
    for _ in 0..dice.pick(3, 9) {
        let (year, month, day) = (dice.pick(2026, 2027), dice.pick(1, 10), dice.pick(1, 28));
        let (id, date) = (["A", "B", "C"][dice.below(3)], format!("{year}-{month:02}-{day:02}"));
        let acres = if dice.below(4) == 0 { dice.pick(4, 8) } else { 10 };
        let line = match dice.below(4) {
            0 => format!(
                "{date},fertilizer,,{id},,{},{} lb/ac,",
                ["46-0-0", "18-46-0"][dice.below(2)],
                dice.pick(40, 300)
            ),
            _ => format!(
                "{date},spread,heap,{id},{},,,{}",
                dice.pick(acres / 2 + 1, acres * 4),
                if acres < 10 { acres.to_string() } else { String::new() }
            ),
        };
        lines.push_str(&line);
        lines.push('\n');
    }
    farm.lines(&lines)
}

fn farm_value(farm: &Farm, id: &str) -> Value {
    let main: Value = serde_json::from_str(&farm.main()).unwrap();
    main["fields"].as_array().unwrap().iter().find(|field| field["id"] == id).unwrap().clone()
}

/// Field, what is counted, what is on and what is allowed.
type Told = (String, String, String, String);

fn kind(found: &str) -> String {
    let words = ["nitrogen", "available N", "P2O5", "zinc", "copper", "applications", "tons"];
    let word = words.into_iter().find(|word| found.contains(word)).unwrap_or("none");
    word.replace("available N", "nitrogen")
}

fn shown(text: &str) -> String {
    let number: f64 = text
        .replace(',', "")
        .trim_end_matches([':', '?', '~', '^', '@'])
        .parse()
        .unwrap_or_else(|_| panic!("{text:?}"));
    format!("{:.0}", number * 10.0 + 1e-6)
}

/// `field A: the log shows 12.0 lb/ac of P2O5 in 2027, and 3.0 are allowed: 9.0 too much`.
fn of_finding(found: &str) -> Told {
    let (field, rest) = found.strip_prefix("field ").unwrap().split_once(": the log shows ").unwrap();
    let (on, allowed) = match rest.contains("none is allowed") {
        true => ("0", "0"),
        false => (rest.split(' ').next().unwrap(), rest.rsplit(", and ").next().unwrap().split(' ').next().unwrap()),
    };
    (field.to_string(), kind(rest), shown(on), shown(allowed))
}

/// `the log puts on 12.00 lb/ac of P2O5 in ... where the most is 3.00`.
fn of_audit(field: &str, found: &str) -> Told {
    let rest = found.strip_prefix("the log puts on ").unwrap();
    let (on, allowed) = match rest.contains("none is allowed") {
        true => ("0", "0"),
        false => (rest.split(' ').next().unwrap(), rest.rsplit(' ').next().unwrap()),
    };
    (field.to_string(), kind(rest), shown(on), shown(allowed))
}

/// Alike to the last figure that is shown.
fn near(a: &Told, b: &Told) -> bool {
    let close = |a: &str, b: &str| (a.parse::<i64>().unwrap() - b.parse::<i64>().unwrap()).abs() <= 1;
    (&a.0, &a.1) == (&b.0, &b.1) && close(&a.2, &b.2) && close(&a.3, &b.3)
}

fn lacking<'a>(of: &'a BTreeSet<Told>, by: &BTreeSet<Told>) -> Vec<&'a Told> {
    of.iter().filter(|one| !by.iter().any(|other| near(one, other))).collect()
}

/// What the plan of a farm says the log is over by, with the same of the audit.
fn told(farm: &Farm) -> (BTreeSet<(String, String)>, BTreeSet<Told>) {
    let (texts, log) = (farm.texts(), farm.log_text());
    let made: pipeline::Planned = asked(&texts, &log, farm).plan().unwrap_or_else(|f| {
        let errors: Vec<String> = f.sorted().iter().take(3).map(|f| f.found.clone()).collect();
        panic!("{errors:?}\n{}\n{log}", farm.main())
    });
    let overs = made.findings.sorted().into_iter().filter(|finding| plan::is_over(finding));
    let overs = overs.map(|finding| (finding.place.to_string(), finding.found.clone())).collect();
    let verdicts = audit::verdicts(made.audited.plan(), &made.ready, &made.tables);
    let of_field = |field: &audit::Verdict| -> Vec<Told> {
        // A field that had another id then is named by the audit under its id of now.
        field.log_over.iter().map(|reason| of_audit(&field.id, &reason.found)).collect()
    };
    (overs, verdicts.fields.iter().flat_map(of_field).collect())
}

#[test]
fn what_the_log_is_over_by_goes_by_no_days_of_a_plan() {
    let mut overs = 0;
    for place in [&TN, &GA, &BARE] {
        for case in 0..8 {
            let mut first: Option<BTreeSet<(String, String)>> = None;
            for [from, to, as_of] in CUTS {
                let cut = farm(place, case).with("plan", json!({"from": from, "to": to, "as_of": as_of}));
                let (told, audited) = told(&cut);
                let what = format!("{} {case}: {from} to {to} as of {as_of}\n{}", place.key, cut.log_text());
                let by_plan: BTreeSet<Told> = told.iter().map(|(_, found)| of_finding(found)).collect();
                // What the field was called then is what the plan calls it.
                let named = |one: &Told| (one.0.replace("OLD", "B"), one.1.clone(), one.2.clone(), one.3.clone());
                let by_plan: BTreeSet<Told> = by_plan.iter().map(named).collect();
                assert_eq!(lacking(&by_plan, &audited), Vec::<&Told>::new(), "{what}: the audit leaves them out");
                assert_eq!(
                    lacking(&audited, &by_plan),
                    Vec::<&Told>::new(),
                    "{what}: the plan leaves them out: {told:#?}"
                );
                overs += told.len();
                match &first {
                    Some(first) => assert_eq!(first, &told, "{what}"),
                    None => first = Some(told),
                }
            }
        }
    }
    assert!(overs > 200, "{overs}");
}
