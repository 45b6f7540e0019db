//! What the log is over by is one list: every command that tells of it names the same, at
//! the entry that put it on.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Farm, NC, Place, VA, change, flat, sward};
use serde_json::Value;
use std::collections::BTreeSet;
use std::path::Path;

const TN: Place =
    Place { key: "us-tn", region: "", extractant: "mehlich-1", unit: "lb/ac", asks_needs: true, at: (-86.61, 35.41) };

const LOG: &str = "date,what,lot,field,tons,grade,rate,acres
2026-04-20,spread,heap,A,20,,,
2026-10-05,spread,heap,A,20,,,
2027-03-20,spread,heap,A,25,,,
2027-04-10,fertilizer,,A,,46-0-0,250 lb/ac,
2027-03-20,spread,heap,B,30,,,
2027-03-20,fertilizer,,B,,18-46-0,100 lb/ac,
2027-04-20,fertilizer,,B,,46-0-0,50 lb/ac,
2026-09-20,spread,heap,C,12,,,
2027-02-20,spread,heap,C,40,,,
";

/// Field A goes by its soil test, B by what is carried off, C by nitrogen alone.
fn over(place: &'static Place) -> tempfile::TempDir {
    let farm = Farm::new(place)
        .field("B")
        .field("C")
        .with("plan.to", "2027-10-31")
        .with("plan.as_of", "2027-08-20")
        .with("litter.heap.analysis.p2o5", "55 lb/ton")
        .with("litter.heap.analysis.total_n", "58 lb/ton")
        .with("fields.B.phosphorus_rating.rating", "high")
        .with("fields.C.phosphorus_rating.rating", "low")
        .lines(LOG);
    let folder = farm.folder();
    let field = |main: &mut Value, id: &str, of: &dyn Fn(&mut Value)| {
        let fields = main["fields"].as_array_mut().unwrap();
        of(fields.iter_mut().find(|field| field["id"] == id).unwrap());
    };
    change(folder.path(), "farm.yaml", |text| {
        let mut main: Value = serde_json::from_str(&text).unwrap();
        field(&mut main, "A", &|a| drop(a.as_object_mut().unwrap().remove("phosphorus_rating")));
        for id in ["A", "B", "C"] {
            field(&mut main, id, &|field| {
                field["soil_test"]["sampled"] = "2026-01-10".into();
                if let Some(rating) = field.get_mut("phosphorus_rating") {
                    rating["on"] = "2026-01-12".into();
                }
            });
        }
        main.to_string()
    });
    std::fs::write(folder.path().join("log.csv"), LOG).unwrap();
    folder
}

/// Field, what is counted, what is on and what is allowed.
type Told = (String, String, f64, f64);

fn number(text: &str) -> f64 {
    text.replace(',', "")
        .trim_end_matches(['?', '~', '^', '@'])
        .parse()
        .unwrap_or_else(|_| panic!("{text:?} is no number"))
}

/// `field A: the log shows 12.0 lb/ac of P2O5 in 2027, and 3.0 are allowed: 9.0 too much`.
fn of_finding(finding: &Value) -> Told {
    let found = finding["found"].as_str().unwrap();
    let (field, rest) = found.strip_prefix("field ").unwrap().split_once(": the log shows ").unwrap();
    if rest.starts_with("litter, and none is allowed") {
        return (field.to_string(), "none".to_string(), 0.0, 0.0);
    }
    let (on, rest) = rest.split_once(' ').unwrap();
    let what = ["available N", "P2O5", "litter", "zinc", "copper"].into_iter().find(|what| rest.contains(what));
    let allowed = rest.split(", and ").last().unwrap().split(' ').next().unwrap();
    let what = what.unwrap_or_else(|| panic!("{found}")).replace("available N", "nitrogen");
    (field.to_string(), what, number(on), number(allowed))
}

/// `the log puts on 12.00 lb/ac of P2O5 in ... where the most is 3.00`.
fn of_audit(field: &str, found: &str) -> Option<Told> {
    let rest = found.strip_prefix("the log puts on ")?;
    if rest == "litter where none is allowed" {
        return Some((field.to_string(), "none".to_string(), 0.0, 0.0));
    }
    let (on, rest) = rest.split_once(' ')?;
    let what = ["nitrogen", "P2O5", "zinc", "copper"].into_iter().find(|what| rest.contains(what)).unwrap_or("litter");
    Some((field.to_string(), what.to_string(), on.parse().ok()?, number(rest.rsplit(' ').next()?)))
}

/// What is on is rounded to a tenth, and what is allowed down to one.
fn same(a: &Told, b: &Told) -> bool {
    (&a.0, &a.1) == (&b.0, &b.1) && (a.2 - b.2).abs() < 0.051 && (a.3 - b.3).abs() < 0.101
}

fn json(folder: &Path, args: &[&str]) -> Value {
    let ended = sward(folder, args);
    serde_json::from_str(&ended.out).unwrap_or_else(|why| panic!("{args:?}: {why}: {}", ended.err))
}

fn findings(of: &Value) -> Vec<Value> {
    let list = of["findings"].as_array().unwrap().iter();
    let codes = ["logged-over", "logged-at-once", "logged-barred"];
    list.filter(|f| codes.contains(&f["code"].as_str().unwrap())).cloned().collect()
}

#[test]
fn every_command_names_every_limit_that_the_log_is_over() {
    for place in [&NC, &VA, &TN] {
        let folder = over(place);
        assert!(alike(place, folder.path()).len() > 3, "{}", place.key);
    }
}

/// What each command says the log is over by, which must be the same.
fn alike(place: &Place, at: &Path) -> Vec<Told> {
    let text = sward(at, &["plan", ".", "--json"]).out;
    std::fs::write(at.join("plan.json"), &text).unwrap();
    let plan: Value = serde_json::from_str(&text).unwrap();
    let of_plan: Vec<Told> = findings(&plan).iter().map(of_finding).collect();
    let audit = json(at, &["audit", "plan.json", ".", "--json"]);
    let mut audited: Vec<Told> = Vec::new();
    for field in audit["fields"].as_array().unwrap() {
        for reason in field["log_over"].as_array().into_iter().flatten() {
            let id = field["id"].as_str().unwrap();
            audited.push(of_audit(id, reason["found"].as_str().unwrap()).unwrap());
        }
    }
    let missing = |of: &[Told], by: &[Told]| -> Vec<Told> {
        of.iter().filter(|one| !by.iter().any(|other| same(one, other))).cloned().collect()
    };
    assert_eq!(missing(&of_plan, &audited), [], "{}: the audit leaves them out", place.key);
    assert_eq!(missing(&audited, &of_plan), [], "{}: the plan leaves them out", place.key);
    // The others say it in the same words.
    let found: BTreeSet<String> = findings(&plan).iter().map(|f| f["found"].as_str().unwrap().to_string()).collect();
    let binder = sward(at, &["binder", ".", "-o", "out"]);
    assert_eq!(binder.code, 0, "{}", binder.err);
    let binder = std::fs::read_to_string(at.join("out/binder.html")).unwrap();
    for (name, out) in ["check", "plan", "limits", "tally"]
        .map(|name| (name, sward(at, &[name, "."]).out))
        .into_iter()
        .chain([("binder", binder)])
    {
        let out = flat(&out);
        for found in &found {
            // The tally says at every entry why none is allowed there.
            let found = match found.split_once("litter, and none is allowed: ") {
                Some((_, why)) if name == "tally" => format!("the plan allows no litter there: {why}"),
                _ => found.clone(),
            };
            assert!(out.contains(&found), "{}: {name} leaves out: {found}", place.key);
        }
    }
    of_plan
}

const GA: Place = Place {
    key: "us-ga",
    region: "piedmont",
    extractant: "mehlich-1",
    unit: "lb/ac",
    asks_needs: true,
    at: (-83.39, 33.95),
};
const SC: Place = Place {
    key: "us-sc",
    region: "piedmont",
    extractant: "mehlich-1",
    unit: "lb/ac",
    asks_needs: true,
    at: (-81.03, 34.7),
};

/// Limits of every other kind: at once, the grower's own most, on a part of a field, zinc, and
/// ground on which no litter is allowed.
#[test]
fn limits_of_every_kind_are_told_alike() {
    const LINES: &str = "date,what,lot,field,tons,grade,rate,acres
2027-03-20,spread,heap,A,20,,,
2027-03-20,fertilizer,,A,,46-0-0,100 lb/ac,
2027-03-20,spread,heap,B,30,,,
2027-03-20,spread,heap,C,16,,,3
";
    let mut kinds: BTreeSet<String> = BTreeSet::new();
    for place in [&NC, &VA, &TN, &GA, &SC] {
        let mut farm = Farm::new(place)
            .field("B")
            .field("C")
            .with("plan.to", "2027-10-31")
            .with("plan.as_of", "2027-04-20")
            .with("litter.heap.analysis.p2o5", "55 lb/ton")
            .with("litter.heap.analysis.total_n", "58 lb/ton")
            .with("litter.heap.analysis.zinc", "900 ppm")
            .with("fields.B.most", "2 tons/ac")
            .with("fields.C.phosphorus_rating.rating", "high");
        let mut own = vec![kit::own_figure("n_at_once", "50 lb/ac"), kit::own_figure("rate_most", "4 tons/ac")];
        if place.asks_needs {
            own.extend([kit::own_figure("p2o5_need", "50 lb/ac"), kit::own_figure("k2o_need", "80 lb/ac")]);
        }
        farm.set("figures", Value::Array(own));
        if place.key == "us-nc" {
            farm.set("fields.B.soil_test.zinc", "4000 index");
        }
        let folder = farm.folder();
        std::fs::write(folder.path().join("log.csv"), LINES).unwrap();
        let told = alike(place, folder.path());
        let of = |field: &str| told.iter().filter(|told| told.0 == field).count();
        assert!(["A", "B", "C"].iter().all(|field| of(field) > 0), "{}: {told:?}", place.key);
        kinds.extend(told.into_iter().map(|told| told.1));
    }
    for kind in ["nitrogen", "P2O5", "litter", "none"] {
        assert!(kinds.contains(kind), "{kind}: {kinds:?}");
    }
}

/// The figure that an over goes by shows on its line how it is known, and the audit tells the
/// same over in the same words and order.
#[test]
fn an_over_shows_how_its_figure_is_known() {
    for (place, signs) in [(&NC, "?^"), (&VA, "?~^"), (&TN, "?~^")] {
        let folder = over(place);
        let at = folder.path();
        let plan = sward(at, &["plan", ".", "--json"]).out;
        std::fs::write(at.join("plan.json"), &plan).unwrap();
        let audit = flat(&sward(at, &["audit", "plan.json", "."]).out);
        let plan: Value = serde_json::from_str(&plan).unwrap();
        let (mut signed, mut last, mut field) = (0, 0, String::new());
        for finding in findings(&plan) {
            let found = finding["found"].as_str().unwrap();
            let (own, words) = found.strip_prefix("field ").unwrap().split_once(": ").unwrap();
            let here = audit.find(&format!("{words} [log-over]")).unwrap_or_else(|| panic!("{words}: {audit}"));
            assert!(own != field || last < here, "{}: in another order: {audit}", place.key);
            (last, field) = (here, own.to_string());
            let Some((_, most)) = found.rsplit_once(", and ") else { continue };
            let most = most.split(' ').next().unwrap();
            let sign = most.chars().last().filter(|last| !last.is_ascii_digit());
            let meaning = sign.map_or("", |sign| match sign {
                '?' => " (? from memory, not read)",
                '~' => " (~ printed for another use, place or condition)",
                _ => " (^ common practice)",
            });
            assert!(found.ends_with(meaning), "{found}");
            assert!(sign.is_none_or(|sign| signs.contains(sign)), "{found}");
            signed += usize::from(sign.is_some());
        }
        assert!(signed > 0, "{}: {}", place.key, plan["findings"]);
        assert!(!audit.contains("the log puts on"), "{}: {audit}", place.key);
    }
}

/// The row of the limits that leaves the least room is the one that the log is over most.
#[test]
fn the_limits_show_the_row_that_is_passed_most() {
    let folder = over(&TN);
    let limits = json(folder.path(), &["limits", ".", "--json"]);
    let field = &limits["fields"][0];
    let used = &field["phosphorus"]["used"];
    let room = used["allowed"].as_f64().unwrap() - used["on"].as_f64().unwrap();
    let rows =
        findings(&limits).iter().map(of_finding).filter(|told| told.0 == "A" && told.1 == "P2O5").collect::<Vec<_>>();
    let least = rows.iter().map(|(_, _, on, allowed)| allowed - on).fold(f64::INFINITY, f64::min);
    assert!((room - least).abs() < 0.1, "{used}: {rows:?}");
}

/// Urea puts no phosphate on: the warning on phosphate stands at the litter.
#[test]
fn an_over_is_told_at_an_entry_that_put_it_on() {
    for place in [&NC, &VA, &TN] {
        let folder = over(place);
        let plan = json(folder.path(), &["plan", ".", "--json"]);
        let lines: Vec<&str> = LOG.lines().collect();
        let mut phosphate = 0;
        for finding in findings(&plan).iter().filter(|f| of_finding(f).1 == "P2O5") {
            phosphate += 1;
            let line = usize::try_from(finding["place"]["line"].as_u64().unwrap()).unwrap();
            assert!(!lines[line - 1].contains("46-0-0"), "{}: {finding}", place.key);
            let also = finding["also"][0]["line"].as_u64().and_then(|line| usize::try_from(line).ok());
            assert!(also.is_none_or(|line| !lines[line - 1].contains(",46-0-0")), "{}: {finding}", place.key);
        }
        assert!(phosphate > 0, "{}", place.key);
    }
}

/// Everything that went on since the soil was sampled counts, to the day of the plan.
#[test]
fn phosphate_since_the_soil_test_counts_this_year_too() {
    for place in [&NC, &TN] {
        let folder = over(place);
        let more = "2026-03-01,spread,heap,C,8,,,\n2027-04-01,fertilizer,,C,,18-46-0,100 lb/ac,\n";
        change(folder.path(), "log.csv", |log| log + more);
        let plan = json(folder.path(), &["plan", ".", "--json"]);
        let all = plan["findings"].as_array().unwrap();
        let told = all.iter().find(|f| f["code"] == "spread-since-test");
        let told = told.unwrap_or_else(|| panic!("{}: {all:?}", place.key));
        let found = told["found"].as_str().unwrap();
        let acres = plan["fields"][2]["acres"].as_f64().unwrap();
        let pounds = 60.0 * 55.0 + 46.0 * acres;
        assert!(found.starts_with("field C: "), "{found}");
        let shown = number(found.split(": ").nth(1).unwrap().split(' ').next().unwrap());
        assert!((shown - pounds).abs() < 1.0, "{found}: {pounds}");
        assert!(found.contains("litter and fertilizer"), "{found}");
    }
}

/// What fertilizer and fed hay put on stands in the table of what is on the ground.
#[test]
fn the_ground_shows_fertilizer_too() {
    let folder = over(&TN);
    change(folder.path(), "log.csv", |_| {
        "date,what,lot,field,tons,grade,rate,acres\n2027-04-10,fertilizer,,A,,46-0-0,100 lb/ac,\n".to_string()
    });
    let out = sward(folder.path(), &["limits", "."]).out;
    let table = out.split("ON THE GROUND").nth(1).unwrap_or_else(|| panic!("{out}"));
    assert!(table.lines().any(|line| line.starts_with("A ") && line.contains(" 46.0 ")), "{table}");
    assert_eq!(json(folder.path(), &["limits", ".", "--json"])["fields"][0]["actual"]["densest"]["n"], 46.0);
}

/// What the log shows in no window of the plan is told below the windows that are over.
#[test]
fn litter_outside_every_window_is_told() {
    let folder = over(&TN);
    change(folder.path(), "log.csv", |log| log + "2027-06-25,spread,heap,B,7,,,\n");
    let out = flat(&sward(folder.path(), &["plan", "."]).out);
    assert!(out.contains("outside every window of the plan: B 7.00 tons"), "{out}");
}

/// What check cannot know, it does not say: a field that can get litter may still get none.
#[test]
fn check_says_which_fields_cannot_get_litter() {
    let folder = over(&TN);
    let check = flat(&sward(folder.path(), &["check", "."]).out);
    assert!(check.contains(" of 3 fields cannot get litter: "), "{check}");
    assert!(!check.contains("get no litter:"), "{check}");
}
