//! Parts of the balance that the demo farm does not use: litter worked in,
//! availability by season, the soil survey's yield.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod demo;

use demo::Made;
use sward::balance::{FieldBalance, Worth};
use sward::plan::Plan;

/// The demo farm with one change, and with tables of its own laid over.
fn planned(change: (&str, &str), more: &str) -> Made {
    let texts = demo::with_main(|main| demo::instead(&main, change.0, change.1));
    demo::made_with(&texts, &demo::tables_with(more))
}

fn field<'a>(made: &'a Made, id: &str) -> &'a FieldBalance {
    &made.weighed.fields[made.place_of(id)]
}

/// The values of every step with these words.
fn steps(field: &FieldBalance, what: &str) -> Vec<f64> {
    let number = |worth: &Worth| match worth {
        Worth::Number(n) => *n,
        Worth::Word(word) => panic!("{what} is {word}"),
    };
    field.notes.steps().iter().filter(|s| s.what == what).map(|s| number(&s.value)).collect()
}

#[test]
fn litter_worked_in_keeps_more_of_its_nitrogen() {
    let made = planned(("    other_n: 20 lb/ac ", "    worked_in: 1 day\n    other_n: 20 lb/ac "), "");
    let on_top = steps(field(&made, "B1"), "available N of clean-out")[0];
    let worked_in = steps(field(&made, "J1"), "available N of clean-out")[0];
    assert!(worked_in > on_top, "{worked_in} lb/ton worked in, {on_top} on top");
    assert_eq!(steps(field(&made, "J1"), "share of total N available this year, worked in").len(), 1);
}

#[test]
fn a_place_may_tell_seasons_apart() {
    let fall = "n_available.fall:
  topic: n_available
  what: share available when spread in fall
  unit: share
  applies: {placement: surface, season: fall}
  from:
    2020-01-01: {value: 0.4, source: trade, at: made up for this test, known: common practice}
  seen: 2026-11-25
";
    let fall = fall.replace("source: trade", &format!("source: {}", demo::any_source()));
    let made = planned(("note: >", "note: >"), &fall);
    let b1 = field(&made, "B1");
    // 58 lb of total N a ton: half of it counts, four tenths in fall.
    assert_eq!(steps(b1, "available N of clean-out"), [29.0, 29.0, 58.0 * 0.4]);
    let planned = made.plan().fields.iter().find(|f| f.id == "B1").unwrap();
    let of = |season: &str| planned.applications.iter().filter(|a| a.season == season).map(|a| a.rate).sum::<f64>();
    assert!(of("fall") > 0.0 && of("spring") > 0.0, "{:?}", planned.applications);
    assert!((planned.supplied.n - (of("spring") * 29.0 + of("fall") * 23.2)).abs() < 1e-9);
}

#[test]
fn the_soil_survey_serves_where_nothing_better_is_known() {
    let made = planned(("    yield_goal: 4 tons/ac", "    survey_yield: 2.5 tons/ac"), "");
    assert_eq!(steps(field(&made, "D1"), "yield goal, from the soil survey"), [2.5]);
}

#[test]
fn what_rests_on_typical_contents_says_so_on_every_line() {
    let main = demo::file("farm.yaml");
    let start = main.find("    analysis:\n      lab: state agronomic lab").unwrap();
    let end = start + main[start..].find("\n\n").unwrap();
    let analysis = main[start..end].to_string();
    let Made { audited, .. } = planned((&analysis, "    # no report yet"), "");
    let (plan, limits) = (sward::write::plan(&audited, 80), sward::write::limits(&audited, 80));
    let spread = audited.plan().fields.iter().filter(|f| f.applications.iter().any(|a| a.lot == "clean-out")).count();
    assert!(spread > 0);
    assert!(plan.matches('*').count() > 2 * spread, "{plan}");
    for field in audited.plan().fields.iter().filter(|f| f.applications.iter().any(|a| a.lot == "clean-out")) {
        assert!(plan.contains(&format!("{} {}*", field.id, field.name)), "{plan}");
        assert!(limits.contains(&format!("\n{}*", field.id)), "{limits}");
    }
}

#[test]
fn a_figure_of_the_farms_own_holds_where_the_tables_have_none() {
    let said = "figures:
  - {topic: rate_most, applies: {forage: tall fescue}, value: 1.5 tons/ac, by: the planner, on: 2026-11-09}
livestock:";
    let without = planned(("note: >", "note: >"), "");
    let made = planned(("livestock:", said), "");
    let fescue = |plan: &Plan| -> Vec<f64> {
        let fields = plan.fields.iter().filter(|f| f.forage == "tall fescue");
        fields.flat_map(|f| &f.applications).map(|a| a.rate).collect()
    };
    assert!(fescue(without.plan()).iter().any(|rate| *rate > 1.5));
    assert!(!fescue(made.plan()).is_empty() && fescue(made.plan()).iter().all(|rate| *rate <= 1.5));
    assert!(made.plan().said.iter().any(|c| c.publisher == "the planner"), "{:?}", made.plan().said);
}
