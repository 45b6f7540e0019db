//! What is stated for one year of a rotation holds for that year: a plan of another year, and the
//! years after, go by the rule as it stands without it, and that is said.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Farm, NC, PLACES, checked, flat, passed_limits, planned, rule, sward};
use serde_json::{Value, json};

/// A rule of removal, but nitrogen where the planner states it; `lasts` stands in the row.
fn row(lasts: &str) -> String {
    let way = format!(
        "unless:\n        - {{stated: nitrogen_year, words: this is the year of nitrogen, by: the planner, {lasts}then: {{basis: nitrogen}}}}"
    );
    rule("low", "rating: low", &["basis: removal", &way])
}

fn stated(year: Option<i16>, on: &str) -> Value {
    let mut said = json!({"stated": ["nitrogen_year"], "by": "a planner", "on": on});
    if let Some(year) = year {
        said["year"] = json!(year);
    }
    said
}

fn allowed(farm: &Farm) -> Option<f64> {
    planned(farm).field("A")["phosphorus"]["allowed"].as_f64()
}

#[test]
fn a_statement_of_one_year_holds_in_its_year() {
    for place in PLACES {
        let farm = Farm::new(place).figure(row("one_year: \"yes\", "));
        let with = |year, on| farm.clone().with("fields.A.phosphorus_rule", stated(year, on));
        let found = |farm: &Farm| checked(farm).found("stated-year").concat();
        assert!(allowed(&farm).is_some(), "{}", place.key);
        let held = with(Some(2027), "2026-11-09");
        assert!(allowed(&held).is_none() && found(&held).is_empty(), "{}", place.key);
        // Without its year it counts for the plan of the twelve months after it, and that is said.
        let silent = with(None, "2026-11-09");
        assert!(allowed(&silent).is_none(), "{}", place.key);
        assert!(found(&silent).contains("it counts for 2027 alone"), "{}", found(&silent));
        for (year, on) in [(Some(2026), "2026-11-09"), (Some(2028), "2026-11-09"), (None, "2025-03-01")] {
            let other = with(year, on);
            assert_eq!(allowed(&other), allowed(&farm), "{}: {year:?}", place.key);
            assert!(found(&other).contains("does not count in this plan"), "{}", found(&other));
        }
        // The audit goes by the year too.
        assert_eq!(
            passed_limits(&planned(&held).text, &with(Some(2026), "2026-11-09")).contains("nutrients"),
            planned(&held).rate("A") > planned(&farm).rate("A"),
            "{}",
            place.key
        );
        // What holds until somebody says otherwise holds in every year, but where its year is named.
        let lasting = Farm::new(place).figure(row(""));
        let any = lasting.clone().with("fields.A.phosphorus_rule", stated(None, "2025-03-01"));
        assert!(allowed(&any).is_none() && found(&any).is_empty());
        let named = lasting.with("fields.A.phosphorus_rule", stated(Some(2026), "2025-03-01"));
        assert!(allowed(&named).is_some() && found(&named).contains("is stated for 2026"));
    }
}

#[test]
fn a_year_goes_with_a_statement() {
    let said = json!({"farm": "buyer", "year": 2027, "by": "a planner", "on": "2026-11-09"});
    let codes = checked(&Farm::new(&NC).with("fields.A.phosphorus_rule", said)).codes();
    assert!(codes.contains("year-of-nothing"), "{codes:?}");
}

/// Delaware's own rule, on a farm of one field there; its soil test is counted on a scale that no
/// figure of the place moves.
fn delaware() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let main = json!({
        "version": 2, "farm": "One Field", "place": "us-de",
        "plan": {"from": "2027-02-15", "to": "2027-10-31", "as_of": "2027-02-15"},
        "spreader": {"swath": "30 ft", "load": "8 tons", "step": "0.25 tons/ac", "least": "0.5 ton/ac",
            "most": "5 tons/ac"},
        "litter": [{"lot": "shed", "kind": "broiler litter", "on_hand": "900 tons", "stored": "shed",
            "analysis": {"lab": "state lab", "sampled": "2027-02-01", "basis": "as received", "moisture": "24 %",
                "total_n": "60 lb/ton", "ammonium_n": "9 lb/ton", "p2o5": "55 lb/ton", "k2o": "56 lb/ton"}}],
        "fields": [{"id": "A", "forage": "tall fescue", "use": "hay", "texture": "fine", "yield_goal": "4 tons/ac",
            "soil_test": {"lab": "state lab", "sampled": "2026-11-05", "extractant": "mehlich-3", "p": "200 index",
                "k": "90 index", "ph": 6.0, "recommended": {"crop": "tall fescue", "yield": "4 tons/ac",
                "n": "150 lb/ac", "p2o5": "0 lb/ac", "k2o": "90 lb/ac"}},
            "phosphorus_rating": {"rating": "medium", "by": "a planner", "on": "2026-11-09"},
            "phosphorus_rule": {"stated": ["site_index_allows_nitrogen"], "year": 2027, "by": "a planner",
                "on": "2026-11-09"}}],
    });
    let (w, s, e, n) = (-75.55, 38.80, -75.547, 38.8025);
    let ring = json!([[[w, s], [e, s], [e, n], [w, n], [w, s]]]);
    let field = json!({"type": "Feature", "properties": {"id": "A"},
        "geometry": {"type": "Polygon", "coordinates": ring}});
    let fields = json!({"type": "FeatureCollection", "features": [field]});
    let none = json!({"type": "FeatureCollection", "features": []});
    for (name, text) in [("farm.yaml", main), ("fields.geojson", fields), ("keepouts.geojson", none)] {
        std::fs::write(folder.path().join(name), text.to_string()).unwrap();
    }
    folder
}

#[test]
fn the_years_after_go_without_it() {
    let folder = delaware();
    let run = |args: &[&str]| {
        let ended = sward(folder.path(), args);
        assert_eq!(ended.code, 0, "{}{}", ended.out, ended.err);
        ended.out
    };
    let years: Value = serde_json::from_str(&run(&["plan", "--years", "2", "--json"])).unwrap();
    let of = |year: usize| &years["years"][year]["fields"][0];
    let tons = |year: usize| of(year)["rates"].as_array().unwrap().iter().map(|r| r.as_f64().unwrap()).sum::<f64>();
    assert_eq!(of(0)["no_longer"], json!([]));
    assert!(of(1)["no_longer"][0].as_str().unwrap().contains("site index allows nitrogen"), "{}", of(1));
    assert!(tons(0) > 4.0 && tons(1) < 1.0, "{years}");
    let said = flat(&run(&["plan", "--years", "2"]));
    let without = "A, 2028: planned by the rule without the statement for another year";
    assert!(said.contains(without), "{said}");
    assert!(of(0)["not_forecast"].is_null(), "{}", of(0));
    assert!(of(1)["not_forecast"].as_str().unwrap().contains("no figure for this place"), "{}", of(1));
    assert!(said.contains("soil-test P not forecast, planned as tested: no figure for this place"), "{said}");
}

/// Where the rule has one such year in three, two statements within three years cannot both be true:
/// the later one is refused, with the line of the earlier.
#[test]
fn one_year_of_three_is_stated_once_in_three() {
    for place in PLACES {
        let farm = Farm::new(place).figure(row("one_year: \"yes\", once_in: 3, "));
        let both = |years: [i16; 2]| {
            let all = json!([stated(Some(years[0]), "2024-11-09"), stated(Some(years[1]), "2026-11-09")]);
            checked(&farm.clone().with("fields.A.phosphorus_rule", all)).found("stated-twice").concat()
        };
        for years in [[2026, 2027], [2025, 2027]] {
            let said = both(years);
            assert!(said.contains(&format!("stated for {} and for 2027", years[0])), "{}: {said}", place.key);
            assert!(said.contains("one such year in any 3"), "{said}");
        }
        for years in [[2024, 2027], [2027, 2027]] {
            assert_eq!(both(years), "", "{}: {years:?}", place.key);
        }
        // Where the rule names no number of years, nothing is refused.
        let any = Farm::new(place).figure(row("one_year: \"yes\", "));
        let all = json!([stated(Some(2026), "2024-11-09"), stated(Some(2027), "2026-11-09")]);
        assert!(!checked(&any.with("fields.A.phosphorus_rule", all)).codes().contains("stated-twice"));
    }
}

/// Maryland's rule of 2015 has one year of nitrogen in three.
#[test]
fn maryland_has_one_year_of_nitrogen_in_three() {
    let words = sward(kit::root(), &["tables", "p_rule", "--place", "us-md", "--on", "2016-05-01"]).out;
    assert!(flat(&words).contains("one of any 3"), "{words}");
}
