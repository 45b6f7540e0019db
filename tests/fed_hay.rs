//! Hay that is fed on a field brings its nutrients, against needs and limits like
//! fertilizer of the log; by sums worked out beside the program's.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Farm, PLACES, Place, checked, passed_limits, planned, verdict_codes, verdict_texts};

/// Phosphate is held to what the hay carries off, and the litter brings much of it.
fn farm(place: &'static Place) -> Farm {
    let farm = Farm::new(place).with("fields.A.phosphorus_rating.rating", "high");
    farm.with("litter.heap.analysis.p2o5", "20 lb/ton").with("spreader.least", "0.25 tons/ac")
}

fn fed(farm: Farm, lines: &str) -> Farm {
    farm.lines(&format!("date,what,lot,field,tons,protein\n{lines}"))
}

#[test]
fn hay_brings_what_it_holds_less_what_the_stock_keeps() {
    for place in PLACES {
        // N, P2O5 and K2O of a ton, as printed; 10 % where nobody says the protein.
        let rows = [
            ("", [29.0, 11.0, 38.0]),
            ("10 %", [29.0, 11.0, 38.0]),
            ("6 %", [17.0, 9.0, 30.0]),
            ("6.5 %", [23.0, 10.0, 34.0]),
            ("12 %", [35.0, 12.0, 42.0]),
            ("18 %", [35.0, 12.0, 42.0]),
        ];
        for (protein, [n, p2o5, k2o]) in rows {
            let farm = fed(farm(place), &format!("2027-02-20,feed-hay,,A,12,{protein}\n"));
            let plan = planned(&farm);
            let acres = plan.number("A", "/acres");
            let worked = [("n", n * 0.94 * 0.35), ("p2o5", p2o5 * 0.90), ("k2o", k2o * 0.99)];
            for (nutrient, a_ton) in worked {
                let done = plan.number("A", &format!("/done/{nutrient}"));
                assert!((done - 12.0 * a_ton / acres).abs() < 1e-6, "{}: {protein} {nutrient} {done}", place.key);
            }
        }
    }
}

/// All of its nitrogen stands in the total, whether grass can use it this year or not; the
/// audit adds it up by itself.
#[test]
fn all_nitrogen_of_hay_stands_in_the_total() {
    for place in PLACES {
        let farm = fed(farm(place).with("fields.A.most", "0 tons/ac"), "2027-02-20,feed-hay,,A,12,10 %\n");
        let plan = planned(&farm);
        let worked = 12.0 * 29.0 * 0.94 / plan.number("A", "/acres");
        assert!((plan.number("A", "/total_n") - worked).abs() < 1e-6, "{}", place.key);
        let mut json = plan.json.clone();
        json["fields"][0]["total_n"] = serde_json::json!(worked * 0.35);
        assert!(verdict_texts(&json.to_string(), &farm).contains("all the N put on"), "{}", place.key);
        assert!(verdict_texts(&plan.text, &farm).is_empty(), "{}", place.key);
    }
}

#[test]
fn hay_takes_its_phosphate_from_the_litter() {
    for place in PLACES {
        let without = planned(&farm(place));
        let hay = fed(farm(place), "2027-02-20,feed-hay,,A,12,10 %\n");
        let with = planned(&hay);
        let acres = with.number("A", "/acres");
        let on = 12.0 * 11.0 * 0.9 / acres;
        let put = |plan: &kit::Planned| plan.number("A", "/supplied/p2o5");
        assert!(on > 5.0 && put(&without) - put(&with) > on - 20.0 * 0.25 - 1e-6, "{}: {on}", place.key);
        let allowed = with.number("A", "/phosphorus/allowed");
        assert!(put(&with) + on <= allowed + 1e-6, "{}", place.key);
        // The audit counts it by itself.
        assert!(passed_limits(&without.text, &hay).contains("nutrients"), "{}", place.key);
        assert!(passed_limits(&with.text, &hay).is_empty(), "{}", place.key);
        // Hay of another field, or of none, changes nothing here.
        let other = fed(farm(place).field("B"), "2027-02-20,feed-hay,,B,12,10 %\n");
        assert_eq!(planned(&other).number("A", "/done/p2o5"), 0.0, "{}", place.key);
    }
}

#[test]
fn hay_lies_on_litter_and_bags_wherever_they_went() {
    for place in PLACES {
        let lines = "date,what,lot,field,tons,grade,rate\n\
                     2027-02-20,feed-hay,,A,10,,\n\
                     2027-02-21,feed-hay,,A,5,,\n\
                     2027-03-02,fertilizer,,A,,18-46-0,50 lb/ac\n\
                     2027-03-05,spread,heap,A,10,,\n";
        let plan = planned(&farm(place).lines(lines));
        let acres = plan.number("A", "/acres");
        let worked = 15.0 * 11.0 * 0.9 / acres + 50.0 * 0.46 + 10.0 * 20.0 / acres;
        assert!((plan.number("A", "/done/p2o5") - worked).abs() < 1e-6, "{}", place.key);
    }
}

#[test]
fn too_much_hay_is_told_by_the_limit_it_passes() {
    for place in PLACES {
        let much = fed(farm(place), "2027-02-20,feed-hay,,A,100,12 %\n");
        let plan = planned(&much);
        assert!(plan.codes().contains("logged-over"), "{}: {:?}", place.key, plan.codes());
        assert!(!plan.codes().contains("logged-at-once"), "{}: hay is fed over weeks", place.key);
        assert_eq!(plan.rate("A"), 0.0, "{}", place.key);
    }
}

/// Hay that was fed on some acres counts on those, drawn or not.
#[test]
fn hay_that_was_fed_on_some_acres_counts_on_those() {
    for place in PLACES {
        let farm = farm(place).lines("date,what,lot,field,tons,protein,acres\n2027-02-20,feed-hay,,A,12,,4\n");
        let plan = planned(&farm);
        let (done, worked) = (plan.number("A", "/done/p2o5"), 12.0 * 11.0 * 0.9 / 4.0);
        assert!((done - worked).abs() < 1e-6, "{}: {done} {worked}", place.key);
        assert!((plan.number("A", "/besides_on") - 4.0).abs() < 1e-6, "{}", place.key);
        assert!(verdict_codes(&plan.text, &farm).is_empty(), "{}", place.key);
    }
}

/// What leaves with stock goes by `livestock:` alone, and whoever logs stock is told.
#[test]
fn stock_of_the_log_moves_no_removal_and_that_is_told() {
    let herd = serde_json::json!([{"kind": "cow-calf pairs", "head": 20, "fields": ["A"]}]);
    for place in PLACES {
        let pasture = farm(place).with("fields.A.use", "pasture");
        let grazed = pasture.clone().lines("date,what,lot,field,head\n2027-02-20,head,,A,20\n2027-02-24,head,,A,0\n");
        assert_eq!(planned(&pasture).number("A", "/removed/p2o5"), planned(&grazed).number("A", "/removed/p2o5"));
        let found = checked(&grazed).found("log-no-herd");
        assert!(found.len() == 1 && found[0].contains("stock on A"), "{}: {found:?}", place.key);
        assert!(checked(&grazed.with("livestock", herd.clone())).found("log-no-herd").is_empty(), "{}", place.key);
        let hay = farm(place).lines("date,what,lot,field,head\n2027-02-20,head,,A,20\n");
        assert!(checked(&hay).found("log-no-herd").is_empty(), "{}", place.key);
    }
}

/// A stand that feeds itself needs no nitrogen: hay alone is a caution there, and litter with it
/// is over; the audit tells them apart by its own code.
#[test]
fn hay_alone_on_a_stand_that_needs_no_nitrogen_is_a_caution() {
    for place in PLACES {
        let farm = Farm::new(place).with("fields.A.forage", "cool-season grass with clover");
        let farm = farm.with("fields.A.legume", "35 %").with("plan.as_of", "2027-05-01");
        let told = |lines: &str| {
            let farm = fed(farm.clone(), lines);
            let folder = farm.folder();
            let plan = kit::sward(folder.path(), &["plan", "--json"]);
            std::fs::write(folder.path().join("plan.json"), &plan.out).unwrap();
            let audit = kit::sward(folder.path(), &["audit", "plan.json"]);
            let (plan, audit) = (kit::flat(&plan.out), kit::flat(&audit.out));
            assert!(!audit.contains("fault of the program"), "{}: {audit}", place.key);
            let plan: serde_json::Value =
                serde_json::from_str(&plan).unwrap_or_else(|_| panic!("{}: {plan}", place.key));
            let of_n = |code: &str| {
                let findings = plan["findings"].as_array().unwrap().clone();
                findings.iter().any(|f| f["code"] == code && f["found"].as_str().unwrap().contains("available N"))
            };
            (of_n("fed-hay-over"), of_n("logged-over"), audit.contains("lb/ac of available N"))
        };
        let hay = "2027-02-20,feed-hay,,A,3,10 %\n";
        assert_eq!(told(hay), (true, false, false), "{}", place.key);
        let both = format!("{hay}2027-03-10,spread,heap,A,10,\n");
        assert_eq!(told(&both), (false, true, true), "{}", place.key);
    }
}
