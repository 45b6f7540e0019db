//! What nothing in a plan goes by, or what does not fit together, is named.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Checked, Farm, MD, NC, PLACES, checked, figure, own_figure, planned, rule, sward, weighed_codes};
use serde_json::{Value, json};
use sward::findings::Finding;

/// Findings of a code.
fn coded(checked: &Checked, code: &str) -> Vec<Finding> {
    checked.findings.sorted().into_iter().filter(|f| f.code == code).cloned().collect()
}

#[test]
fn a_shed_too_small_for_what_lies_in_it_is_reported() {
    for place in PLACES {
        let shed = |room: &str| json!([{"name": "shed", "room": room, "lots": ["heap"]}]);
        let told = checked(&Farm::new(place).with("storage", shed("10 tons")));
        let [over] = &coded(&told, "storage-over")[..] else { panic!("{:?}", told.codes()) };
        for figure in ["room for 10.00 tons", "500.00 tons are on hand", "490.00 tons too much", "(heap)"] {
            assert!(over.found.contains(figure), "{figure}: {}", over.found);
        }
        assert!(told.ready.is_some(), "it stops no plan");
        assert!(coded(&checked(&Farm::new(place).with("storage", shed("500 tons"))), "storage-over").is_empty());
        let just = checked(&Farm::new(place).with("storage", shed("499.99 tons")));
        assert_eq!(coded(&just, "storage-over").len(), 1);
    }
}

#[test]
fn a_carry_over_of_nothing_is_named() {
    let said = json!({"keeps": "80 %", "by": "a planner", "on": "2026-11-09"});
    for place in PLACES {
        let told = |farm: &Farm| {
            let plan = planned(farm).json;
            let findings = plan["findings"].as_array().unwrap().clone();
            findings.iter().any(|f| f["found"].as_str().unwrap().starts_with("`carry_over` changes nothing"))
        };
        let farm = Farm::new(place).with("carry_over", said.clone());
        assert!(!told(&farm), "{}: 500 tons are more than one field takes", place.key);
        let none = farm.clone().with("litter.heap.on_hand", "0 tons");
        assert!(told(&none), "{}", place.key);
        assert!(told(&farm.with("prices", Value::Null)), "{}: nothing says what it is worth", place.key);
    }
}

#[test]
fn a_sure_that_covers_nothing_is_named() {
    for place in PLACES {
        let sure = json!({"by": "Avery", "on": "2026-11-09"});
        let farm = |goal: &str| Farm::new(place).with("fields.A.yield_goal", goal).with("fields.A.sure", sure.clone());
        let named = |farm: &Farm| {
            let told = checked(farm);
            let notes = coded(&told, "no-effect");
            notes.iter().filter(|f| f.found.starts_with("`sure` by Avery changes nothing")).count()
        };
        assert_eq!(named(&farm("4 tons/ac")), 1, "{}: a usual goal", place.key);
        assert_eq!(named(&farm("11 tons/ac")), 0, "{}: a goal far from usual", place.key);
    }
}

#[test]
fn why_a_change_changes_nothing_is_in_the_json_and_audited() {
    for place in PLACES {
        let folder = Farm::new(place).folder();
        let with = ["plan", ".", "--json", "--with", "fields.A.soil_test.ph=6.1"];
        let done = sward(folder.path(), &with);
        assert_eq!(done.code, 0, "{}", done.err);
        let plan: Value = serde_json::from_str(&done.out).unwrap();
        let idle = plan["with"]["idle"].as_array().unwrap();
        assert_eq!(idle.len(), 1, "{idle:?}");
        assert!(idle[0].as_str().unwrap().starts_with("fields.A.soil_test.ph: "), "{idle:?}");
        let audit = |text: &str| {
            std::fs::write(folder.path().join("plan.json"), text).unwrap();
            sward(folder.path(), &["audit", "plan.json", "."]).code
        };
        assert_eq!(audit(&done.out), 0);
        let altered = done.out.replace(idle[0].as_str().unwrap(), "fields.A.soil_test.ph: because");
        assert_ne!(altered, done.out);
        assert_ne!(audit(&altered), 0, "a reason that is not the plan's own");
        // A change that changes something has no such reason.
        let done = sward(folder.path(), &["plan", ".", "--json", "--with", "fields.A.yield_goal=2 tons/ac"]);
        let plan: Value = serde_json::from_str(&done.out).unwrap();
        assert_eq!(plan["with"]["idle"], json!([]));
    }
}

#[test]
fn the_most_of_a_kind_of_litter_counts_the_log() {
    let most = || figure("rate_most_year", "tons/ac", "material: broiler_litter", "value: 3");
    let late = |tons| {
        let farm = Farm::new(&NC).figure(most()).with("plan.from", "2027-03-15");
        planned(&farm.logged("2027-03-01", "spread", "heap", "A", tons)).rate("A")
    };
    // Ten acres: 29 tons leave a tenth of a ton an acre.
    assert!(late("29") <= 0.1 + 1e-9 && late("5") > 0.1, "{} {}", late("29"), late("5"));
}

#[test]
fn metals_of_all_years_are_counted() {
    for place in PLACES {
        // 400 ppm of zinc in litter as received: 0.8 lb a ton.
        let total = |value: &str| figure("metal_load_total", "lb/ac", "nutrient: zinc", value);
        let farm = Farm::new(place)
            .with("litter.heap.analysis.zinc", "400 ppm")
            .logged("2019-03-01", "spread", "heap", "A", "50")
            .logged("2021-03-01", "spread", "heap", "A", "50");
        // 100 tons on ten acres: some 8 lb/ac.
        let told = planned(&farm.clone().figure(total("value: 7")));
        let over = told.json["findings"].as_array().unwrap().clone();
        let over: Vec<&str> =
            over.iter().filter(|f| f["code"] == "metal-total").filter_map(|f| f["found"].as_str()).collect();
        assert!(
            over.len() == 1
                && over[0].contains("8.0 lb/ac of zinc over all years, and 7^ may ever go on (^ common practice)"),
            "{over:?}"
        );
        // 8 lb/ac are on: told where the most of one more year would pass what may ever go on.
        for (year, told) in [("value: 0.5", false), ("value: 2", true)] {
            let year = figure("zinc_load_year", "lb/ac", "", year);
            let plan = planned(&farm.clone().figure(total("value: 9")).figure(year));
            assert_eq!(plan.codes().contains("metal-total"), told, "{}", place.key);
        }
        assert!(!planned(&farm.figure(total("value: 900"))).codes().contains("metal-total"), "{}", place.key);
    }
}

/// `bank_years` stands on a rule of the place: what earlier years put on beyond a
/// year's removal is taken off, at each edge of the years.
#[test]
fn banked_years_go_by_the_place() {
    for place in PLACES {
        let banks = |most: &str| {
            Farm::new(place)
                .figure(rule("low", "rating: low", &["basis: removal", most]))
                .with("fields.A.bank_years", 2)
                .with("litter.heap.analysis.p2o5", "30 lb/ton")
        };
        // 60 tons on ten acres are more phosphate than a year's hay carries off.
        for (day, less) in [("2026-01-01", true), ("2026-12-31", true), ("2027-01-01", false)] {
            let bare = planned(&banks("years: 2")).number("A", "/phosphorus/allowed");
            let farm = banks("years: 2").logged(day, "spread", "heap", "A", "60");
            let allowed = planned(&farm).number("A", "/phosphorus/allowed");
            assert_eq!(allowed < bare - 1.0, less, "{} {day}: {allowed} of {bare}", place.key);
        }
        // The place allows one year at a time: the key is an error of its own.
        assert!(weighed_codes(&banks("years: 1")).contains("banked-too-long"), "{}", place.key);
        assert!(!weighed_codes(&banks("years: 2")).contains("banked-too-long"), "{}", place.key);
    }
}

/// Maryland's own share of organic nitrogen comes before the wider place's
/// share of the total, once the farm gives the share of ammonium that is kept.
#[test]
fn an_own_share_of_organic_nitrogen_comes_before_a_wider_share_of_the_total() {
    let mut figures = vec![own_figure("p2o5_need", "50 lb/ac"), own_figure("k2o_need", "80 lb/ac")];
    let pounds = |figures: &[Value]| {
        let plan = planned(&Farm::new(&MD).with("figures", figures.to_vec()));
        assert!(plan.rate("A") > 0.0);
        plan.number("A", "/supplied/n") / plan.rate("A")
    };
    // 20 lb of nitrogen a ton, 4 of them ammonium.
    let whole = pounds(&figures);
    figures.push(own_figure("n_ammonium_kept", "0.25 share"));
    let parts = pounds(&figures);
    assert!((whole - 20.0 * 0.5).abs() < 1e-9, "the wider place's: {whole}");
    assert!((parts - (16.0 * 0.5 + 4.0 * 0.25)).abs() < 1e-9, "Maryland's own: {parts}");
}

/// Papers are held to the day from which anything is planned: the plan's first,
/// or the day of the plan where that is later.
#[test]
fn papers_that_run_out_before_the_day_of_the_plan_are_old() {
    for place in PLACES {
        let farm = |as_of: &str| {
            Farm::new(place)
                .with("plan.to", "2027-10-31")
                .with("plan.as_of", as_of)
                .figure(figure("soil_sample_age", "days", "operation: ordinary", "value: 200"))
                .figure(figure("litter_sample_age", "days", "operation: ordinary", "value: 100"))
                .figure(figure("litter_sample_stop", "days", "operation: ordinary", "value: 150"))
        };
        // The soil was sampled on 2026-10-06, the litter on 2027-01-20; a rating serves as long as a soil test.
        for (as_of, codes) in [
            // The last day for a sample lies within the plan, which is said on every day.
            ("2027-02-15", &["litter-sample-stop"] as &[&str]),
            ("2027-04-24", &["litter-sample-stop"]),
            ("2027-04-25", &["litter-sample-stop", "soil-test-old"]),
            ("2027-05-01", &["litter-sample-old", "litter-sample-stop", "soil-test-old"]),
            ("2027-06-19", &["litter-sample-old", "litter-sample-stop", "rating-old", "soil-test-old"]),
            ("2027-06-20", &["litter-sample-old", "litter-sample-stop", "rating-old", "soil-test-old"]),
        ] {
            let told = checked(&farm(as_of)).codes();
            let old: Vec<&str> =
                told.iter().map(String::as_str).filter(|c| c.contains("-old") || c.contains("-stop")).collect();
            assert_eq!(old, codes, "{} {as_of}", place.key);
        }
        assert_eq!(planned(&farm("2027-04-24")).bars("A"), 0, "{}", place.key);
        assert_eq!(planned(&farm("2027-04-25")).bars("A"), 1, "{}", place.key);
    }
}

/// What is dry and what is water must leave something that can be spread.
#[test]
fn moisture_at_its_ends_is_never_silent() {
    for place in PLACES {
        let told = |basis: &str, moisture: &str| {
            let farm = Farm::new(place).with("litter.heap.analysis.basis", basis);
            checked(&farm.with("litter.heap.analysis.moisture", moisture))
        };
        for basis in ["as received", "dry"] {
            // The builder's litter has somebody who is sure of its analysis.
            let all = told(basis, "100 %");
            assert!(all.ready.is_none() && all.codes().contains("moisture-all"), "{basis}: {:?}", all.codes());
            for moisture in ["0 %", "99.9 %"] {
                let found = told(basis, moisture).found("sure");
                assert!(found.iter().any(|f| f.contains("`moisture`")), "{basis} {moisture}: {found:?}");
            }
        }
        // A dry report of wet litter: what is left of its nitrogen is reported too.
        let found = told("dry", "90 %").found("sure");
        assert!(found.iter().any(|f| f.contains("`total_n` is 20 lb/ton dry, 2 lb/ton as received")), "{found:?}");
    }
}

/// A rating without a row in the tables must not fall away: the soil test alone
/// would allow more than the rating was made for.
#[test]
fn a_rating_without_a_row_allows_nothing() {
    let farm = Farm::new(&NC).figure(figure("p_rule.low", "none", "", "value: null"));
    let told = checked(&farm);
    assert!(told.codes().contains("rating-without-rule"), "{:?}", told.codes());
    let plan = planned(&farm);
    assert_eq!(plan.rate("A"), 0.0);
    assert!(planned(&Farm::new(&NC)).rate("A") > 0.0);
}
