//! A planner's rating with its worksheet: what is shown of it, what is asked, what is held to
//! the bounds of the place; nitrogen leaching beside it; how many years may be banked.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Farm, MD, NC, PLACES, Place, VA, binder, checked, figure, flat, made, page, planned, rule, weighed_codes};
use serde_json::{Value, json};
use sward::findings::Severity;
use sward::write;

static WV: Place =
    Place { key: "us-wv", region: "", extractant: "mehlich-3", unit: "ppm", asks_needs: true, at: (-80.63, 38.64) };

/// A farm of a place, with its rating put in.
fn rated(place: &'static Place, rating: Value) -> Farm {
    Farm::new(place).with("fields.A.phosphorus_rating", rating)
}

fn rating(word: &str, more: Value) -> Value {
    let mut rating = json!({"rating": word, "by": "Avery Lunsford", "on": "2026-11-09"});
    rating.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
    rating
}

#[test]
fn the_worksheet_of_a_rating_is_shown_in_three_places() {
    for place in [&NC, &WV, &MD] {
        let sheet = json!({"tool": "index of the state", "version": "3.1", "score": 10, "n_leaching": "high"});
        let farm = rated(place, rating("medium", sheet));
        let made = made(&farm);
        let plan = made.audited.plan();
        let limits = write::limits(&made.audited, 80);
        page(&limits);
        let said = "medium, by Avery Lunsford, 2026-11-09, with index of the state, 3.1: A (score 10";
        assert!(flat(&limits).contains(said), "{}: {limits}", place.key);
        let why = flat(&write::why(&plan.fields[0], made.balance.field("A").unwrap(), 80));
        let json: Value = serde_json::from_str(&write::plan_json(&made.audited)).unwrap();
        let row = &json["fields"][0]["phosphorus"]["rated"];
        assert_eq!(row["tool"], "index of the state, 3.1", "{row}");
        assert_eq!((row["score"].as_f64(), row["n_leaching"].as_str()), (Some(10.0), Some("high")), "{row}");
        assert_eq!((row["by"].as_str(), row["on"].as_str()), (Some("Avery Lunsford"), Some("2026-11-09")));
        // The bounds stand with how they are known, at the score.
        let class = row["score_class"].as_object().unwrap();
        let known = class["cite"]["known"].as_str().unwrap();
        assert_eq!(known, if place.key == "us-wv" { "read" } else { "memory" }, "{}", place.key);
        let sign = if known == "memory" { "?" } else { "" };
        let class = class["class"].as_str().unwrap();
        // Where it is the class that the planner wrote, the table does not say it again.
        let bounds = format!("score 10, by the bounds of the place {class} ({}/p_score, {known})", place.key);
        assert_eq!(flat(&limits).contains(&bounds), class != "medium", "{}: {limits}", place.key);
        let said = format!("score 10, by the bounds of the place {class}{sign}, nitrogen leaching high");
        assert!(why.contains(&said), "{}: {why}", place.key);
        // Nothing is calculated from them.
        for list in ["from_memory", "applied", "common_practice"] {
            assert!(!json[list].to_string().contains("p_score"), "{}", place.key);
        }
        assert!(json["rates_with"]["words"].as_str().unwrap().contains("rated by"), "{}", json["rates_with"]);
        // In the binder.
        let html = binder(&farm);
        for cell in [format!("10, {class}{sign}"), "index of the state, 3.1".to_string(), "high".to_string()] {
            assert!(html.contains(&format!("<td>{cell}</td>")), "{}: no {cell}", place.key);
        }
        assert!(!html.contains("the nitrogen leaching risk of"), "{}", place.key);
    }
}

/// Without its worksheet a rating is asked for it, in one note.
#[test]
fn what_a_place_asks_of_a_rating_is_asked_once() {
    for (place, keys) in [(&NC, "`tool`, `score`"), (&WV, "`tool`, `score`, `made_for`"), (&VA, "`tool`, `score`")] {
        let farm = rated(place, rating("low", json!({}))).field("B");
        let told = checked(&farm);
        assert_eq!(
            told.found("rating-papers"),
            [format!("not written with the phosphorus ratings: {keys} of A, B")],
            "{}",
            place.key
        );
        let whole = json!({"tool": "an index", "score": 2, "n_leaching": 4.5, "made_for": "9 tons/ac"});
        let farm = rated(place, rating("low", whole.clone()))
            .field("B")
            .with("fields.B.phosphorus_rating", rating("low", whole));
        assert!(checked(&farm).found("rating-papers").is_empty(), "{}", place.key);
        let farm = rated(place, Value::Null);
        assert!(checked(&farm).found("rating-papers").is_empty(), "{}: nobody rated", place.key);
    }
    // A state without tables of its own goes by the federal rule, which asks for nitrogen too.
    let bare: &'static Place = Box::leak(Box::new(Place { key: "us-ks", region: "", at: (-98.4, 38.5), ..WV }));
    let told = checked(&rated(bare, rating("low", json!({"tool": "an index"})))).found("rating-papers");
    assert_eq!(told, ["not written with the phosphorus ratings: `n_leaching` of A"]);
    // Fields that lack different things are told apart.
    let farm = rated(&NC, rating("low", json!({"tool": "an index"}))).field("B");
    let farm = farm.with("fields.B.phosphorus_rating", rating("low", json!({"score": 4})));
    let told = checked(&farm).found("rating-papers");
    assert_eq!(told, ["not written with the phosphorus ratings: `tool` of B; `score` of A"]);
}

#[test]
fn a_score_is_held_to_its_class_and_never_replaces_it() {
    let told = |place: &'static Place, class: &str, score: f64| {
        let farm = rated(place, rating(class, json!({"score": score})));
        let found = checked(&farm).findings;
        let severity = found.sorted().iter().find(|f| f.code == "rating-score").map(|f| f.severity);
        (severity, planned(&farm).field("A")["phosphorus"]["rating"].as_str().unwrap().to_string())
    };
    // Bounds that were read: under 8 low, 8 to 14 medium, 15 to 32 high, over 32 very high.
    let rows = [
        ("low", [0.0, 7.0, 7.5], 8.0),
        ("medium", [8.0, 14.0, 14.5], 15.0),
        ("high", [15.0, 20.0, 32.0], 33.0),
        ("very high", [32.5, 33.0, 900.0], 32.0),
    ];
    for (class, within, outside) in rows {
        for score in within {
            assert_eq!(told(&WV, class, score), (None, class.to_string()), "{score}");
        }
        assert_eq!(told(&WV, class, outside), (Some(Severity::Warning), class.to_string()), "{outside}");
    }
    // Bounds from memory warn too: what contradicts a class of none at all is no small thing.
    assert_eq!(told(&NC, "low", 25.0).0, None);
    assert_eq!(told(&NC, "low", 26.0), (Some(Severity::Warning), "low".to_string()));
    assert_eq!(told(&MD, "high", 99.0).0, Some(Severity::Warning));
    assert_eq!(told(&MD, "high", 101.0).0, None);
    // In the plan, and beside the verdict of the audit, which passes.
    for (score, doubted) in [(90, true), (5, false)] {
        let farm = rated(&WV, rating("low", json!({"score": score})));
        let plan = planned(&farm);
        assert_eq!(plan.codes().contains("rating-score"), doubted, "{score}");
        assert_eq!(doubts(&farm, &plan.text).contains("which the bounds of the place call very high"), doubted);
    }
}

/// Litter that went on before anybody rated is judged so, and that is said.
#[test]
fn litter_before_the_first_rating_is_judged_as_unrated_and_says_so() {
    for place in PLACES {
        let farm = |on: &str| {
            let low = rule("low", "rating: low", &["basis: nitrogen"]);
            let unrated = rule("unrated", "rating: unrated", &["basis: none"]);
            let farm = rated(place, rating("low", json!({}))).figure(low).figure(unrated);
            let farm = farm.with("fields.A.phosphorus_rating.on", on).with("plan.as_of", "2027-03-10");
            farm.logged("2027-03-01", "spread", "heap", "A", "5")
        };
        let told = |on: &str| {
            let made = made(&farm(on));
            made.findings
                .sorted()
                .iter()
                .filter(|f| f.code == "logged-over")
                .map(|f| f.found.clone())
                .collect::<String>()
        };
        let said = "judged as on a field that nobody had rated, since its first rating is of 2027-03-05";
        assert!(told("2027-03-05").contains(said), "{}: {}", place.key, told("2027-03-05"));
        assert_eq!(told("2027-03-01"), "", "{}", place.key);
    }
}

/// What an audit says of the ratings, and that the plan passes all the same.
fn doubts(farm: &Farm, text: &str) -> String {
    let kit::Checked { tables, ready, .. } = checked(farm);
    let (plan, _) = sward::audit::read("plan.json", text).unwrap();
    let found = sward::audit::verdicts(&plan, &ready.unwrap(), &tables);
    assert!(found.passes, "{found:?}");
    let page = write::audited(&found, 80);
    let any = found.fields.iter().any(|field| !field.rating.is_empty());
    assert_eq!(flat(&page).contains("ASK THE PLANNER about the rating of A"), any, "{page}");
    flat(&page)
}

/// A tool of another state says nothing in the words of this one's rule, nor do its bounds of it.
#[test]
fn a_tool_of_another_state_is_named() {
    static AR: Place = Place {
        key: "us-ar",
        region: "rest of state",
        extractant: "mehlich-3",
        unit: "ppm",
        asks_needs: true,
        at: (-93.0, 35.0),
    };
    for (place, tool, other) in [
        (&AR, "Oklahoma Phosphorus Assessment Worksheet", Some("Oklahoma")),
        (&AR, "Arkansas Phosphorus Index of 2010", None),
        (&AR, "index of Washington County", None),
        (&WV, "West Virginia phosphorus index of the NRCS", None),
        (&VA, "West Virginia phosphorus index", Some("West Virginia")),
        (&WV, "Virginia Phosphorus Index", Some("Virginia")),
        (&VA, "Virginia Phosphorus Index", None),
        (&NC, "an index", None),
    ] {
        let farm = rated(place, rating("low", json!({"tool": tool, "score": 90})));
        let found = checked(&farm).found("rating-tool");
        let said = other.map(|other| format!("field A: rated low with `{tool}`, a tool of {other};"));
        assert_eq!(found.len(), usize::from(other.is_some()), "{tool}: {found:?}");
        assert!(said.is_none_or(|said| found[0].starts_with(&said)), "{tool}: {found:?}");
        let plan = planned(&farm);
        assert!(other.is_none() || !plan.codes().contains("rating-score"), "{tool}: {:?}", plan.codes());
        assert_eq!(doubts(&farm, &plan.text).contains("was made with a tool of"), other.is_some(), "{tool}");
    }
}

/// A rating holds for the rate it was made for: more is told by the check, the plan, the limits,
/// the binder and the audit, to the step.
#[test]
fn a_rating_holds_for_the_rate_it_was_made_for() {
    for place in [&NC, &WV, &VA] {
        let farm = |made_for: &str| {
            rated(place, rating("low", json!({"made_for": made_for}))).with("fields.A.most", Value::Null)
        };
        let free = planned(&rated(place, rating("low", json!({}))));
        let rate = free.rate("A");
        assert!(rate >= 1.0, "{}: {rate}", place.key);
        for (made_for, above) in [
            (format!("{rate} tons/ac"), false),
            (format!("{} tons/ac", rate - 0.1), true),
            (format!("{} lb/ac", free.number("A", "/supplied/p2o5") + 0.1), false),
            (format!("{} lb/ac", free.number("A", "/supplied/p2o5") - 0.1), true),
        ] {
            let farm = farm(&made_for);
            let plan = planned(&farm);
            assert_eq!(plan.rate("A"), rate, "{}: {made_for}", place.key);
            let told = |plan: &kit::Planned| plan.findings.sorted().iter().filter(|f| f.code == "rating-rate").count();
            assert_eq!(told(&plan), usize::from(above), "{}: {made_for}: {:?}", place.key, plan.codes());
            assert!(!above || weighed_codes(&farm).contains("rating-rate"), "{}: {made_for}", place.key);
            let made = made(&farm);
            let (limits, html) = (flat(&write::limits(&made.audited, 80)), binder(&farm));
            assert_eq!(limits.contains("for that nobody has rated the field"), above, "{}: {limits}", place.key);
            assert_eq!(html.contains("for that nobody has rated the field"), above, "{}", place.key);
            assert!(limits.contains("a year)") && limits.contains("A (for "), "{}: {limits}", place.key);
            assert_eq!(
                doubts(&farm, &plan.text).contains("its rating was made for"),
                above,
                "{}: {made_for}",
                place.key
            );
        }
        // What the log has on counts with it.
        let logged = farm("0.4 tons/ac").logged("2027-02-20", "spread", "heap", "A", "5");
        assert!(weighed_codes(&logged).contains("rating-rate"), "{}", place.key);
        for wrong in ["0 tons/ac", "3", "3 bushels"] {
            assert!(checked(&farm(wrong)).codes().contains("made-for"), "{}: {wrong}", place.key);
        }
    }
    // Asked where the place's tool takes the rate as a factor, in the note on its papers.
    let papers =
        |place: &'static Place| checked(&rated(place, rating("low", json!({})))).found("rating-papers").join("");
    assert!(papers(&WV).contains("`made_for`") && !papers(&NC).contains("`made_for`"));
}

/// A rating is made for a year: `check` holds it against all that the limits let on in one, also
/// where every trip by itself stays under it, and never says more than can go on.
#[test]
fn the_limits_of_a_whole_year_are_held_against_the_rate_of_a_rating() {
    let farm = |made_for: &str| {
        let farm = rated(&WV, rating("low", json!({"made_for": made_for}))).with("fields.A.most", Value::Null);
        farm.with("plan.to", "2027-12-31").with("litter.heap.on_hand", "600 tons").with("prices.n", "4 $/lb")
    };
    let told = |made_for: &str| -> String {
        let weighed = kit::weighed(&farm(made_for));
        weighed.into_iter().filter(|f| f.code == "rating-rate").map(|f| f.found).collect()
    };
    let plan = planned(&farm("90 tons/ac"));
    let put: Vec<f64> =
        plan.field("A")["applications"].as_array().unwrap().iter().map(|a| a["rate"].as_f64().unwrap()).collect();
    let (all, most) = (put.iter().sum::<f64>(), put.iter().copied().fold(0.0, f64::max));
    assert!(put.len() > 1, "{put:?}");
    let said = told(&format!("{} tons/ac", most + 0.5));
    assert!(said.contains("on in a growing year"), "{put:?}: {said}");
    let (_, tail) = said.split_once("its limits let ").unwrap();
    let lets: f64 = tail.split(' ').next().unwrap().parse().unwrap();
    assert!(lets >= all - 1e-6 && lets < all + 1.0, "{lets} {put:?}");
    assert_eq!(told(&format!("{} tons/ac", lets + 0.01)), "");
    assert!(!told(&format!("{} tons/ac", lets - 0.01)).is_empty());
}

/// A rating holds for the years that the place prints, the last day counted.
#[test]
fn a_rating_expires_where_the_place_says_so() {
    for place in PLACES {
        let says = "tool: an index\n      by: a planner\n      classes: [low]\n      worksheet: not_read";
        let farm = |years: &str, on: &str| {
            let text =
                figure("p_rating", "none", "", &format!("{says}{years}")).replace("p_rating.of_a_test_", "p_rating");
            Farm::new(place).figure(text).with("fields.A.phosphorus_rating.on", on)
        };
        let old = |farm: &Farm| !checked(farm).found("rating-old").is_empty();
        // The plan opens on 2027-02-15.
        for (on, expired) in [("2025-02-14", true), ("2025-02-15", false), ("2026-11-09", false)] {
            let farm = farm("\n      holds_years: 2", on).with("plan.as_of", "2027-02-15");
            assert_eq!(old(&farm), expired, "{}: {on}", place.key);
        }
        // Where none are printed, as long as the soil test that it goes by may stand.
        let tests = figure("soil_sample_age", "days", "", "value: 1000");
        let farm = |on: &str| farm("", on).figure(tests.replace("soil_sample_age.of_a_test_", "soil_sample_age"));
        for (on, expired) in [("2024-05-20", true), ("2024-05-21", false)] {
            assert_eq!(old(&farm(on).with("plan.as_of", "2027-02-15")), expired, "{}: {on}", place.key);
        }
        // Made before the test that stands: a note.
        let before = |on: &str| !checked(&farm(on)).found("rating-before-test").is_empty();
        assert!(before("2025-01-01") && !before("2027-01-01"), "{}", place.key);
    }
}

#[test]
fn nitrogen_on_ground_that_leaches_is_named_at_its_field() {
    for place in [&NC, &VA, &MD] {
        let at = |leaching: Value| {
            let farm = rated(place, rating("low", json!({"n_leaching": leaching}))).field("B");
            let plan = planned(&farm);
            assert!(plan.rate("A") > 0.0, "{}", place.key);
            let cautions = plan.json["cautions"].as_array().unwrap().clone();
            cautions.into_iter().find(|caution| caution["about"] == "n_leaching")
        };
        for word in ["high", "very high", "VERY HIGH"] {
            let caution = at(json!(word)).unwrap_or_else(|| panic!("{}: {word}", place.key));
            let at = caution["at"].as_array().unwrap();
            assert!(at.len() == 1 && at[0]["field"] == "A", "{caution}");
            let why = at[0]["why"].as_str().unwrap();
            assert!(why.contains("by Avery Lunsford") && why.contains("application"), "{why}");
            // Maryland prints a duty; elsewhere it is what the trade does.
            let known = caution["origin"].to_string();
            assert_eq!(known.contains("us-md/caution.n_leaching"), place.key == "us-md", "{known}");
        }
        // A number has no class that was printed.
        for word in [json!("low"), json!("medium"), json!(12.5)] {
            assert!(at(word.clone()).is_none(), "{}: {word}", place.key);
        }
    }
    let wrong = checked(&rated(&NC, rating("low", json!({"n_leaching": "hihg"}))));
    let found = wrong.findings.sorted().into_iter().find(|f| f.code == "n-leaching").cloned().unwrap();
    assert!(found.severity == Severity::Error && format!("{found:?}").contains("very high"), "{found:?}");
}

/// Banking goes by the rows that hold on the field, not by its rating alone.
#[test]
fn years_are_banked_by_every_row_that_holds() {
    for place in PLACES {
        let unit = place.unit;
        let own = |soil: &str| {
            Farm::new(place)
                .figure(rule("low", "rating: low, soil: {below: 50}", &["basis: removal", "years: 3"]))
                .figure(rule("medium", "rating: low, soil: {from: 50}", &["basis: removal", "years: 1"]))
                .with("fields.A.soil_test.p", format!("{soil} {unit}"))
        };
        let refused = |farm: Farm, years: u32| {
            weighed_codes(&farm.with("fields.A.bank_years", years)).contains("banked-too-long")
        };
        for (soil, years, wrong) in
            [("49", 3, false), ("49", 4, true), ("50", 3, true), ("50", 2, true), ("50", 1, false)]
        {
            assert_eq!(refused(own(soil), years), wrong, "{}: {years} years at {soil}", place.key);
        }
        // Nitrogen alone leaves nothing to bank under; a field that gets nothing is not judged yet.
        let free = Farm::new(place).figure(rule("low", "rating: low", &["basis: nitrogen"]));
        assert!(refused(free.clone(), 2), "{}", place.key);
        assert!(!refused(free.with("fields.A.soil_test", Value::Null), 2), "{}", place.key);
    }
}

/// A rating in a word that the place's own tool does not have is no class of it: whoever reads
/// that is told the classes, and a row that asks of it asks for a rating.
#[test]
fn a_rating_in_no_class_of_the_place_is_asked_for_again() {
    let farm = Farm::new(&MD).with("fields.A.soil_test.p", "200 index").field("B");
    let farm = farm.with("fields.A.phosphorus_rating.rating", "very high");
    let found = checked(&farm).findings;
    let told = found.sorted().into_iter().find(|f| f.code == "rating-class").unwrap();
    assert_eq!(told.found, "field A: rated very high, and Maryland has no such class");
    assert!(told.accepted.as_ref().unwrap().starts_with("low, medium, high: "), "{told:?}");
    assert!(told.fix.as_ref().unwrap().contains("Phosphorus Management Tool"), "{told:?}");
    let bars = planned(&farm).field("A")["bars"].to_string();
    assert!(bars.contains("the classes here are low, medium, high") && bars.contains("phosphorus rating"), "{bars}");
    // Under 150 the rule lets nitrogen set the rate whatever the rating says: the word is told all the same.
    let low = farm.clone().with("fields.A.soil_test.p", "100 index");
    assert!(planned(&low).rate("A") > 0.0);
    assert_eq!(checked(&low).found("rating-class").len(), 1);
    // In the years of the index before, very high was one of its classes, as it is elsewhere.
    for other in [farm.with("fields.A.phosphorus_rating.rating", "high"), rated(&VA, rating("very high", json!({})))] {
        assert_eq!(checked(&other).found("rating-class"), Vec::<String>::new());
    }
}
