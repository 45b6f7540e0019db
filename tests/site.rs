//! What lies under a field, beside it and on the way to it: mapped soils,
//! setbacks with conditions, and the haul.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod demo;

use sward::farm::{self, FarmText};
use sward::plan::answer::{FieldPlan, GoalFrom};
use sward::units::Pounds;

fn field<'a>(made: &'a demo::Made, id: &str) -> &'a FieldPlan {
    made.plan().fields.iter().find(|f| f.id == id).unwrap()
}

/// The whole farm over one or more soils, side by side west to east: (eastern
/// edge, hay yield, slope, drainage).
fn soils(strips: &[(f64, &str, &str, &str)]) -> String {
    let mut west = -79.49;
    let features: Vec<String> = strips
        .iter()
        .map(|(east, hay, slope, drainage)| {
            let text = format!(
                "{{\"type\": \"Feature\", \"properties\": {{\"soil\": \"to {east}\", \"fescue_hay\": {hay}, \"bermuda_hay\": {hay}, \
                 \"slope_pct\": {slope}, \"drainage\": \"{drainage}\", \"group\": \"B\"}}, \"geometry\": {{\"type\": \"Polygon\", \
                 \"coordinates\": [[[{west}, 35.70], [{east}, 35.70], [{east}, 35.75], [{west}, 35.75], [{west}, 35.70]]]}}}}"
            );
            west = *east;
            text
        })
        .collect();
    format!("{{\"type\": \"FeatureCollection\", \"features\": [{}]}}", features.join(","))
}

fn over(soils: String) -> FarmText {
    FarmText { soils: Some(soils), ..demo::texts() }
}

#[test]
fn soils_give_the_yield_by_their_acres() {
    let one = demo::made(&over(soils(&[(-79.45, "3.2", "4", "Well drained")])));
    let n2 = field(&one, "N2");
    assert_eq!((n2.goal.from, n2.soils.len()), (GoalFrom::Soils, 1));
    assert!((n2.goal.tons - 3.2).abs() < 1e-9);
    assert!((n2.soils[0].acres - n2.gross_acres).abs() < 1e-3);
    // Two soils part the field somewhere: the mean lies where their acres put it.
    let two = demo::made(&over(soils(&[(-79.4690, "2", "4", "Well drained"), (-79.45, "4", "9", "Poorly drained")])));
    let n2 = field(&two, "N2");
    let acres: f64 = n2.soils.iter().map(|s| s.acres).sum();
    let mean = n2.soils.iter().map(|s| s.acres * s.tons.unwrap()).sum::<f64>() / acres;
    assert!((acres - n2.gross_acres).abs() < 1e-3, "{acres} of {}", n2.gross_acres);
    assert!((n2.goal.tons - mean).abs() < 1e-9 && mean > 2.1 && mean < 3.9, "{mean}");
    let wet = n2.soils.iter().find(|s| s.wet).unwrap();
    assert!((n2.wet_acres() - wet.acres).abs() < 1e-9 && wet.tons == Some(4.0));
    let text = sward::write::plan(&two.audited, 80);
    assert!(text.contains("No yield goal is written") && text.contains("Poorly drained by the soil map"), "{text}");
    // A field whose grower says what it makes is not touched.
    assert!(two.plan().fields.iter().filter(|f| f.id != "N2").all(|f| f.goal.from != GoalFrom::Soils));
}

#[test]
fn soils_give_the_slope_where_the_erosion_block_does_not() {
    let texts = FarmText {
        soils: Some(soils(&[(-79.45, "3.2", "7", "Well drained")])),
        ..demo::with_main(|main| demo::instead(&main, "erosion: {slope: 7 %, ", "erosion: {"))
    };
    let (mapped, said) = (demo::made(&texts), demo::made(&demo::texts()));
    let loss = |made: &demo::Made| field(made, "D1").soil_loss.unwrap();
    assert!((loss(&mapped) - loss(&said)).abs() < 1e-9 && loss(&said) > 0.0);
}

#[test]
fn ground_under_two_soils_counts_once() {
    let twice = soils(&[(-79.45, "3.2", "4", "Well drained"), (-79.4501, "5", "4", "Well drained")]);
    // The second strip starts east of the farm; draw it over the first.
    let twice = twice
        .replace("[[[-79.45, 35.70]", "[[[-79.49, 35.70]")
        .replace("[-79.45, 35.75], [-79.45, 35.70]]]", "[-79.49, 35.75], [-79.49, 35.70]]]");
    let made = demo::made(&over(twice));
    assert!((field(&made, "N2").goal.tons - 3.2).abs() < 1e-9);
}

/// What reading, checking or measuring says against a farm.
fn told(texts: &FarmText) -> String {
    demo::told(texts).sorted().iter().map(|f| format!("{}: {}\n", f.code, f.found)).collect()
}

#[test]
fn soils_that_do_not_serve_are_told() {
    let half = told(&over(soils(&[(-79.4690, "2", "4", "Well drained")])));
    assert!(half.contains("yield-unknown: field N2: no yield goal, and soils with a yield lie under"), "{half}");
    let none = told(&over(soils(&[(-79.45, "null", "4", "Well drained")])));
    assert!(none.contains("lie under 0 % of it"), "{none}");
    let bad = told(&over(soils(&[(-79.45, "\"lots\"", "4", "Well drained")])));
    assert!(bad.contains("soil-value: the soil: `fescue_hay` is `lots`"), "{bad}");
    let other = told(&over(soils(&[(-79.45, "3", "4", "Well drained")]).replace("fescue_hay", "hay")));
    assert!(other.contains("soil-attribute: no soil of soils.geojson has an attribute `fescue_hay`"), "{other}");
    let missing = told(&FarmText { soils: None, ..demo::texts() });
    assert!(missing.contains("the soils are named, and the folder has no soils.geojson"), "{missing}");
    let unnamed = FarmText {
        soils: demo::texts().soils,
        ..demo::with_main(|main| main.replace("\nsoils:\n  source", "\n# soils:\n#  source"))
    };
    assert!(!told(&unnamed).is_empty());
    let far = told(&over(soils(&[(-79.45, "3", "4", "Well drained")]).replace("35.7", "45.7")));
    assert!(far.contains("the soil to -79.45"), "{far}");
}

/// The demo farm's neighbor with a consent, under tables that hear of one.
#[test]
fn consent_counts_where_the_rule_hears_of_it() {
    let figure = format!(
        "setback.dwelling.consent:
  topic: setback
  what: made up for this test
  unit: ft
  applies: {{feature: dwelling, owner: neighbor, consent: \"yes\"}}
  from:
    2020-01-01: {{value: 60, source: {}, at: made up for this test, known: common practice}}
  seen: 2026-11-25
",
        demo::any_source()
    );
    let signed = "\"name\": \"Swink house\", \"consent\": \"R. Swink in writing, 2026-10-01\"";
    let texts = FarmText {
        keepouts: Some(demo::instead(&demo::file(farm::KEEPOUTS), "\"name\": \"Swink house\"", signed)),
        ..demo::texts()
    };
    let full = demo::made(&demo::texts());
    let eased = demo::made_with(&texts, &demo::tables_with(&figure));
    assert!(field(&eased, "J1").acres > field(&full, "J1").acres + 0.5);
    let told = &field(&eased, "J1").eased;
    assert_eq!((told.len(), told[0].feet, told[0].instead_of), (1, 60.0, 200.0), "{told:?}");
    assert!(told[0].why.contains("R. Swink in writing"), "{told:?}");
    // A consent to a distance holds to that distance, and never to less than the rule eases to.
    let to = |to: &str| {
        let consent = format!(
            "\"name\": \"Swink house\", \"consent\": {{\"by\": \"R. Swink\", \"on\": \"2026-10-01\", \"to\": \"{to}\"}}"
        );
        let keepouts = demo::instead(&demo::file(farm::KEEPOUTS), "\"name\": \"Swink house\"", &consent);
        let texts = FarmText { keepouts: Some(keepouts), ..demo::texts() };
        let made = demo::made_with(&texts, &demo::tables_with(&figure));
        let eased = field(&made, "J1").eased.first().map(|e| (e.feet, e.instead_of));
        (eased, made.plan().findings.iter().any(|f| f.code == "consent-to"))
    };
    assert_eq!(to("100 ft"), (Some((100.0, 200.0)), false));
    assert_eq!(to("10 ft"), (Some((60.0, 200.0)), true));
    assert_eq!(to("400 ft"), (None, true));
    // The place's own tables hear of none: the distance stays, and that is said.
    let deaf = demo::made(&texts);
    assert_eq!(field(&deaf, "J1").acres, field(&full, "J1").acres);
    assert!(deaf.plan().findings.iter().any(|f| f.code == "no-exception"));
}

/// Under the federal rule for large operations only what lies below a field
/// counts; a stream drawn above it takes nothing by that rule.
#[test]
fn water_above_a_field_keeps_the_distance_of_the_rule() {
    let branch = |more: &str| {
        format!(
            "{{\"type\": \"FeatureCollection\", \"features\": [{{\"type\": \"Feature\", \"properties\": \
             {{\"kind\": \"perennial stream\", \"name\": \"Branch\"{more}}}, \"geometry\": {{\"type\": \"LineString\", \
             \"coordinates\": [[-79.4695, 35.7317], [-79.4645, 35.7317]]}}}}]}}"
        )
    };
    let large = |keepouts: String| {
        let main = |main: String| {
            // The baseline knows no share of fit days, so that none may be asked for.
            let (start, end) = (main.find("\ndays:").unwrap(), main.find("\nstorage:").unwrap());
            let main = format!("{}{}", &main[..start], &main[end..]);
            demo::instead(&main, "place: us-nc\nregion: piedmont", "place: us\nlarge_operation: yes")
                .replace("sampled: 2026-11-30", "sampled: 2027-01-30")
        };
        let mut texts = demo::with_main(main);
        texts.keepouts = Some(keepouts);
        let checked = demo::asked(&texts).check();
        let (ready, ground) = (checked.ready?, checked.ground);
        let acres = |id: &str| ground[ready.fields.iter().position(|f| f.id() == id).unwrap()].cut.acres;
        Some((acres("B2"), acres("H1")))
    };
    let Some((b2, h1)) = large(branch("")) else { panic!("the federal baseline does not read the demo farm") };
    let (b2_above, h1_below) =
        large(branch(", \"above\": [\"B2\"], \"above_by\": \"A. Lunsford, 2026-11-01\"")).unwrap();
    assert!(b2_above > b2 + 0.3, "{b2_above} and {b2}");
    assert_eq!(h1_below, h1);
    let nobody = branch(", \"above\": [\"B2\"]");
    let texts = FarmText { keepouts: Some(nobody), ..demo::texts() };
    assert!(told(&texts).contains("above-by"));
    let elsewhere = branch(", \"above\": [\"B9\"], \"above_by\": \"A. Lunsford, 2026-11-01\"");
    assert!(told(&FarmText { keepouts: Some(elsewhere), ..demo::texts() }).contains("no field is called `B9`"));
}

#[test]
fn the_haul_is_the_growers_miles_or_the_straight_line_times_the_detour() {
    let made = demo::made(&demo::texts());
    let haul = |made: &demo::Made, id: &str| field(made, id).applications[0].haul.clone().unwrap();
    let b1 = haul(&made, "B1");
    assert!((b1.miles - b1.straight.unwrap() * 1.4).abs() < 1e-12 && b1.detour == Some(1.4));
    assert_eq!((haul(&made, "N1").miles, haul(&made, "N1").detour), (1.2, None));
    let driven = demo::made(&demo::with_main(|main| demo::instead(&main, "plan:\n", "detour: 1.2\nplan:\n")));
    assert!((haul(&driven, "B1").miles - b1.straight.unwrap() * 1.2).abs() < 1e-12);
    // Dearer hauling costs the money it says.
    let cost = |made: &demo::Made| made.plan().money.as_ref().unwrap().spreading;
    let tons = |made: &demo::Made| -> f64 {
        let all = made.plan().fields.iter().flat_map(|f| &f.applications);
        all.map(|a| a.pounds.tons() * (8.5 + 0.45 * a.haul.as_ref().unwrap().miles)).sum()
    };
    assert!((cost(&made) - tons(&made)).abs() < 1e-6);
    let named = "miles: {clean-out: 2 miles, crust: 3 km}";
    let named = demo::made(&demo::with_main(|main| demo::instead(&main, "miles: 1.2 miles  ", named)));
    assert_eq!(haul(&named, "N1").miles, 2.0);
    let bad = told(&demo::with_main(|main| demo::instead(&main, "miles: 1.2 miles  ", "miles: {shed: 2 miles}")));
    assert!(bad.contains("no lot is called `shed`"), "{bad}");
    assert!(made.plan().fields.iter().flat_map(|f| &f.applications).all(|a| a.pounds > Pounds(0)));
}
