//! Where a place says that not all phosphate and potash of litter is of use in the first year,
//! needs and dollars go by what is, and every limit by all of it.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Farm, PLACES, Place, figure, flat, made, planned, verdict_texts};
use serde_json::json;

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-6
}

/// Litter of 30-20-40 lb a ton on a field that asks for 50 lb of phosphate and 80 of potash,
/// and gets at most two tons.
fn farm(place: &'static Place) -> Farm {
    Farm::new(place)
        .with("litter.heap.analysis.total_n", "30 lb/ton")
        .with("litter.heap.analysis.p2o5", "20 lb/ton")
        .with("litter.heap.analysis.k2o", "40 lb/ton")
        .with("fields.A.most", "2 tons/ac")
        .with("fields.A.soil_test.recommended", json!({"crop": "tall fescue", "p2o5": "50 lb/ac", "k2o": "80 lb/ac"}))
}

/// With shares of 0.8 and 0.9.
fn shared(farm: Farm) -> Farm {
    let of = |topic: &str, share: f64| figure(topic, "share", "", &format!("value: {share}"));
    farm.figure(of("p_available", 0.8)).figure(of("k_available", 0.9))
}

#[test]
fn the_need_goes_by_the_share_and_the_books_by_all() {
    for place in PLACES {
        let (bare, with) = (planned(&farm(place)), planned(&shared(farm(place))));
        let of = |plan: &kit::Planned, at: &str| plan.number("A", at);
        let (p2o5_need, k2o_need) = (of(&bare, "/need/p2o5"), of(&bare, "/need/k2o"));
        assert!(p2o5_need > 40.0 && k2o_need >= 80.0, "{}: {p2o5_need}, {k2o_need}", place.key);
        assert!(near(of(&bare, "/supplied/p2o5"), 40.0) && near(of(&bare, "/short/p2o5"), p2o5_need - 40.0));
        assert!(near(of(&with, "/supplied/p2o5"), 40.0) && near(of(&with, "/supplied/k2o"), 80.0));
        assert!(near(of(&with, "/years/0/supplied_usable/p2o5"), 32.0));
        assert!(near(of(&with, "/short/p2o5"), p2o5_need - 32.0), "{}", place.key);
        assert!(near(of(&with, "/short/k2o"), k2o_need - 72.0), "{}", place.key);
        // What it replaces is worth less by that much.
        let replaced = |plan: &kit::Planned| plan.json["money"]["replaced"].as_f64().unwrap();
        let less = of(&with, "/acres") * (8.0 * 0.60 + (80.0_f64.min(k2o_need) - 72.0) * 0.40);
        assert!((replaced(&bare) - replaced(&with) - less).abs() < 1.5, "{}: {less}", place.key);
        // The plan says so, with the source.
        let said = "Of the P2O5 in heap, 80 % counts toward the need; every limit counts all of it";
        let with = made(&shared(farm(place))).audited;
        let page = flat(&sward::write::plan(&with, 80));
        assert!(page.contains(said) && page.contains("p_available.of_a_test_, common practice"), "{page}");
        assert!(flat(&sward::write::limits(&with, 80)).contains(said));
        assert!(!flat(&sward::write::plan(&made(&farm(place)).audited, 80)).contains("counts toward the need"));
    }
}

/// By removal, by rating and by the soil test all phosphate counts: a share loosens no limit.
#[test]
fn no_limit_is_loosened() {
    for place in PLACES {
        let rate = |farm: &Farm| planned(farm).rate("A");
        for (rating, most) in [("high", "6 tons/ac"), ("low", "6 tons/ac")] {
            let farm = farm(place).with("fields.A.phosphorus_rating.rating", rating).with("fields.A.most", most);
            assert!(rate(&shared(farm.clone())) <= rate(&farm), "{}: {rating}", place.key);
        }
        let high = farm(place).with("fields.A.phosphorus_rating.rating", "high");
        let row = |farm: &Farm| planned(farm).field("A")["phosphorus"].clone();
        assert_eq!(row(&shared(high.clone()))["allowed"], row(&high)["allowed"]);
        assert_eq!(row(&shared(high.clone()))["planned"], row(&high)["planned"]);
        let unrated = farm(place).with("fields.A.phosphorus_rating", json!(null));
        assert_eq!(row(&shared(unrated.clone()))["allowed"], row(&unrated)["allowed"]);
    }
}

/// What the log put on counts the same way, beside fertilizer, which counts in full.
#[test]
fn litter_of_the_log_counts_by_the_share() {
    for place in PLACES {
        let logged = |farm: Farm| farm.part("2027-03-01", "heap", "A", "10", "9.9").with("plan.as_of", "2027-03-02");
        let plan = planned(&shared(logged(farm(place))));
        let year = |at: &str| plan.number("A", &format!("/years/0/{at}"));
        assert!(near(year("done_usable/p2o5"), 0.8 * year("done/p2o5")), "{}", place.key);
        assert!(near(year("done_usable/k2o"), 0.9 * year("done/k2o")), "{}", place.key);
        assert!(near(year("done_usable/n"), year("done/n")));
        let open = (year("need/p2o5") - year("done_usable/p2o5") - year("supplied_usable/p2o5")).max(0.0);
        assert!(near(plan.number("A", "/short/p2o5"), open), "{}", place.key);
        // All of the nitrogen, available or not: 30 lb of every ton of log and plan.
        let tons = plan.rate("A") + 10.0 / 9.9;
        assert!((plan.number("A", "/total_n") - 30.0 * tons).abs() < 0.5, "{}", place.key);
    }
}

/// The state that prints it.
#[test]
fn a_place_that_prints_a_share_plans_by_it() {
    let (tables, _) = sward::tables::load(&sward::tables::built_in());
    let book = tables.book("us-ky", jiff::civil::date(2027, 3, 1)).unwrap();
    let scope = sward::tables::Scope::new().material("broiler_litter");
    for topic in [sward::tables::topic::P_AVAILABLE, sward::tables::topic::K_AVAILABLE] {
        let share = book.get(topic, &scope).unwrap();
        assert_eq!(sward::units::Quantity::get(share.value), 0.8);
        assert_eq!(share.cite.known, sward::findings::Known::Read);
    }
}

/// What a pound costs: the dollars of a ton over what of it is of use, parted by the prices.
#[test]
fn a_pound_has_its_price() {
    for place in PLACES {
        let farm = shared(farm(place)).with("prices.litter_sold", "10 $/ton").with(
            "fertilizer",
            json!([{"name": "urea", "analysis": "46-0-0", "price": "460 $/ton"},
                   {"name": "DAP", "analysis": "18-46-0", "price": "640 $/ton"}]),
        );
        let plan = planned(&farm);
        let rows = plan.json["per_pound"].as_array().unwrap();
        let row = |of: &str| rows.iter().find(|row| row["of"] == of).unwrap().clone();
        let number = |of: &str, at: &str| row(of).pointer(at).unwrap().as_f64().unwrap();
        let per_ton = plan.number("A", "/supplied/n") / plan.rate("A");
        // 20 lb of P2O5 at 80 %, 40 lb of K2O at 90 %; 0.50 to spread, and 10 that it would sell for.
        let worth = per_ton * 0.80 + 16.0 * 0.60 + 36.0 * 0.40;
        assert!(near(number("heap", "/a_ton"), 10.5), "{}", row("heap"));
        assert!(near(number("heap", "/all"), 10.5 / (per_ton + 52.0)));
        assert!(near(number("heap", "/each/n"), 10.5 * 0.80 / worth));
        assert!(near(number("heap", "/each/p2o5"), 10.5 * 0.60 / worth));
        assert!(near(number("urea", "/each/n"), 0.5) && row("urea")["each"]["p2o5"].is_null());
        assert!(near(number("DAP", "/each/n") * 360.0 + number("DAP", "/each/p2o5") * 920.0, 640.0));
        // The audit calculates each of them by itself.
        for at in ["a_ton", "all", "usable/n", "usable/p2o5", "usable/k2o", "each/n", "each/p2o5", "each/k2o"] {
            let mut json = plan.json.clone();
            let shown = json.pointer_mut(&format!("/per_pound/0/{at}")).unwrap();
            *shown = json!(shown.as_f64().unwrap() * 1.01);
            assert!(verdict_texts(&json.to_string(), &farm).contains("heap: "), "{}: {at}", place.key);
        }
        let mut json = plan.json.clone();
        json["per_pound"][1]["each"]["p2o5"] = json!(0.2);
        assert!(verdict_texts(&json.to_string(), &farm).contains("urea: dollars of a pound of P2O5 is 0.2000;"));
        json["per_pound"].as_array_mut().unwrap().remove(1);
        assert!(verdict_texts(&json.to_string(), &farm).contains("every product, once"));
        assert!(verdict_texts(&plan.text, &farm).is_empty());
        let page = flat(&sward::write::plan(&made(&farm).audited, 80));
        assert!(page.contains("Dollars a pound") && page.contains("is parted among them by `prices`"), "{page}");
    }
}
