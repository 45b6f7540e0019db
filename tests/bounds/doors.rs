//! At the door: the smallest and the largest value that is taken, and the first
//! that is not; names that are nearly right.

use crate::kit::{Farm, NC, PLACES, checked};
use serde_json::{Value, json};
use sward::findings::Severity;

/// A path of farm.yaml, values that are taken and values that are not.
type Door = (&'static str, &'static [&'static str], &'static [&'static str]);

const DOORS: &[Door] = &[
    ("fields.A.legume", &["0 %", "100 %"], &["-0.1 %", "100.1 %"]),
    ("fields.A.yield_goal", &["0 tons/ac", "20 tons/ac", "40000 lb/ac"], &["20.1 tons/ac", "-1 tons/ac"]),
    ("fields.A.most", &["0 tons/ac", "100 tons/ac"], &["100.1 tons/ac", "-0.1 tons/ac"]),
    ("fields.A.other_n", &["0 lb/ac", "10000 lb/ac"], &["10001 lb/ac", "-1 lb/ac"]),
    ("fields.A.worked_in", &["0 days", "3660 days"], &["3661 days", "-1 days"]),
    ("fields.A.heading", &["0", "180", "180 deg", "long side"], &["-1", "180.1", "short side"]),
    ("fields.A.bank_years", &["1"], &["0", "11", "1.5"]),
    ("fields.A.banked_until", &["1950", "2200"], &["1949", "2201"]),
    ("fields.A.soil_test.ph", &["2", "11"], &["1.9", "11.1"]),
    ("fields.A.soil_test.buffer_ph", &["2", "9"], &["1.9", "9.1"]),
    ("fields.A.soil_test.acidity", &["0", "50"], &["-0.1", "50.1"]),
    ("fields.A.soil_test.p", &["0 index", "20000 index"], &["-1 index", "20001 index", "40", "40 lb/ton"]),
    ("litter.heap.analysis.moisture", &["0 %", "99.9 %"], &["100 %", "100.1 %", "-1 %"]),
    ("litter.heap.analysis.total_n", &["4 lb/ton", "2000 lb/ton", "100 %"], &["3.9 lb/ton", "2001 lb/ton"]),
    ("litter.heap.analysis.p2o5", &["0 lb/ton", "2000 lb/ton"], &["2000.1 lb/ton", "-1 lb/ton"]),
    ("litter.heap.on_hand", &["0 tons", "1000000 tons"], &["1000001 tons", "-1 tons"]),
    ("spreader.step", &["0.01 tons/ac", "6 tons/ac"], &["0.009 tons/ac", "0 tons/ac"]),
    ("spreader.least", &["0.01 tons/ac", "6 tons/ac"], &["0 tons/ac", "6.01 tons/ac"]),
    ("spreader.most", &["1 ton/ac", "100 tons/ac"], &["0.99 tons/ac", "100.1 tons/ac"]),
    ("spreader.load", &["0.1 tons"], &["0 tons", "-1 tons"]),
    ("spreader.swath", &["1 ft"], &["0 ft", "-1 ft"]),
    ("detour", &["1", "5"], &["0.9", "5.1"]),
    ("prices.n", &["0 $/lb", "1000 $/lb"], &["1000.1 $/lb", "-0.1 $/lb", "0.8"]),
    ("plan.to", &["2027-02-15", "2027-12-31"], &["2027-02-14", "2027-02-29"]),
];

#[test]
fn a_value_is_taken_to_its_bounds_and_no_further() {
    let mut wrong = Vec::new();
    for (path, taken, refused) in DOORS {
        let errors = |value: &str| checked(&Farm::new(&NC).with(path, value)).findings.has_errors();
        wrong.extend(taken.iter().filter(|v| errors(v)).map(|v| format!("{path}: `{v}` is refused")));
        wrong.extend(refused.iter().filter(|v| !errors(v)).map(|v| format!("{path}: `{v}` is taken")));
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// The ways in which a key is misspelt most: a letter lost, two swapped, one
/// twice.
fn misspelt(key: &str) -> [String; 3] {
    let middle = key.len() / 2;
    let (head, tail) = key.split_at(middle);
    let (second, rest) = (&tail[..1], &tail[1..]);
    let swapped = format!("{}{second}{}{rest}", &head[..middle - 1], &head[middle - 1..]);
    [format!("{head}{rest}"), swapped, format!("{head}{second}{tail}")]
}

/// A key nearly right is told, never passed over: a distance lost would be
/// ground spread on.
#[test]
fn a_misspelt_key_of_a_keepout_is_told() {
    let whole = json!({"kind": "perennial stream", "name": "the run", "vegetated_strip": "no", "owner": "own",
        "consent": "the neighbor, 2026-11-09", "above": ["A"], "above_by": "a planner, 2026-11-09",
        "setback": "150 ft", "setback_by": "a planner, 2026-11-09"});
    for place in PLACES {
        // More than a note that names the key.
        let told = |properties: &Value, key: &str| {
            let found = checked(&Farm::new(place).keepout(0.0, properties.clone())).findings;
            found.sorted().iter().any(|f| f.severity != Severity::Note && f.found.contains(key))
        };
        for key in whole.as_object().unwrap().keys() {
            for wrong in misspelt(key).iter().filter(|wrong| *wrong != key) {
                let mut properties = whole.clone();
                let value = properties.as_object_mut().unwrap().remove(key).unwrap();
                properties[wrong] = value;
                assert!(told(&properties, wrong), "{}: `{wrong}` for `{key}`", place.key);
                assert!(!told(&whole, wrong), "{}: `{wrong}`", place.key);
            }
        }
        // What offices add is theirs.
        let mut foreign = whole.clone();
        foreign["OBJECTID"] = json!(17);
        assert!(!told(&foreign, "OBJECTID"), "{}", place.key);
    }
}

/// The points of `fields.geojson`: a gate that is not known as one is told.
#[test]
fn a_point_nearly_right_is_told() {
    let errors = |properties: Value| checked(&Farm::new(&NC).point(properties)).findings.has_errors();
    assert!(!errors(json!({"kind": "gate", "field": "A"})));
    assert!(!errors(json!({"kind": "stack", "lot": "heap"})));
    for wrong in [
        json!({"kind": "gaet", "field": "A"}),
        json!({"knid": "gate", "field": "A"}),
        json!({"kind": "gate", "feild": "A"}),
        json!({"kind": "gate", "field": "B"}),
        json!({"kind": "stack", "lto": "heap"}),
        json!({"kind": "stack", "lot": "heep"}),
    ] {
        assert!(errors(wrong.clone()), "{wrong}");
    }
}

/// Stock may come and go on one day; it never goes before it came.
#[test]
fn grazing_in_the_log_ends_no_earlier_than_it_begins() {
    let errors = |until: &str| {
        let line = format!("date,what,field,until\n2027-04-10,graze,A,{until}\n");
        sward::record::read_text(&line).1.has_errors()
    };
    assert_eq!(["2027-04-09", "2027-04-10", "2027-04-11"].map(errors), [true, false, false]);
}
