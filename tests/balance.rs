//! Parts of the balance that the demo farm does not use: litter worked in,
//! availability by season, the soil survey's yield.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use sward::balance::{Balance, FieldBalance, Worth};
use sward::check::Ready;
use sward::plan::{BestValueFirst, Plan};
use sward::record::Happened;
use sward::tables::Tables;
use sward::{audit, balance, check, farm, plan, tables};

fn demo(name: &str) -> String {
    std::fs::read_to_string(std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("fields").join(name)).unwrap()
}

/// The demo farm with one change, and with tables of its own laid over.
fn planned(change: (&str, &str), more: &str) -> (Ready, Balance, Plan) {
    let main = demo("farm.yaml");
    assert!(main.contains(change.0), "{}", change.0);
    let texts = farm::FarmText {
        main: Some(main.replacen(change.0, change.1, 1)),
        fields: Some(demo("fields.geojson")),
        keepouts: Some(demo("keepouts.geojson")),
    };
    let mut files = tables::built_in();
    files.push(("us-nc/zz_more.yaml".to_string(), more.to_string()));
    let (tables, found) = tables::load(&files);
    assert!(more.is_empty() || !found.has_errors(), "{:?}", found.sorted());
    let tables: Tables = tables;
    let (written, found) = farm::read_text(&texts);
    assert!(!found.has_errors(), "{:?}", found.sorted());
    let (ready, found) = check::check(&written, &Happened::default(), &tables);
    let ready = ready.unwrap_or_else(|| panic!("{:?}", found.sorted()));
    let (ground, _) = balance::survey(&ready);
    let (weighed, _) = balance::weigh(&ready, &tables, &ground);
    let made = plan::make(&ready, &tables, &ground, &weighed, &BestValueFirst, &found);
    let faults = audit::faults(&made, &ready, &tables);
    assert!(faults.is_empty(), "{:?}", faults.sorted());
    (ready, weighed, made)
}

fn field<'a>(ready: &Ready, weighed: &'a Balance, id: &str) -> &'a FieldBalance {
    let i = ready.fields.iter().position(|f| f.id() == id).unwrap();
    &weighed.fields[i]
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
    let (ready, weighed, _) = planned(("    other_n: 20 lb/ac ", "    worked_in: 1 day\n    other_n: 20 lb/ac "), "");
    let on_top = steps(field(&ready, &weighed, "B1"), "available N of clean-out")[0];
    let worked_in = steps(field(&ready, &weighed, "J1"), "available N of clean-out")[0];
    assert!(worked_in > on_top, "{worked_in} lb/ton worked in, {on_top} on top");
    assert_eq!(steps(field(&ready, &weighed, "J1"), "share of total N available this year, worked in").len(), 2);
}

#[test]
fn a_place_may_tell_seasons_apart() {
    let fall = "n_available.fall:
  topic: n_available
  what: share available when spread in fall
  unit: share
  applies: {placement: surface, season: fall}
  from:
    2020-01-01: {value: 0.3, source: trade, at: made up for this test, known: common practice}
  seen: 2026-11-25
";
    let fall = fall.replace("source: trade", &format!("source: {}", any_source()));
    let (ready, weighed, made) = planned(("note: >", "note: >"), &fall);
    let b1 = field(&ready, &weighed, "B1");
    // 58 lb of total N a ton: half of it counts, three tenths in fall.
    assert_eq!(steps(b1, "available N of clean-out"), [29.0, 29.0, 58.0 * 0.3]);
    let planned = made.fields.iter().find(|f| f.id == "B1").unwrap();
    let of = |season: &str| planned.applications.iter().filter(|a| a.season == season).map(|a| a.rate).sum::<f64>();
    assert!(of("fall") > 0.0 && of("spring") > 0.0, "{:?}", planned.applications);
    assert!((planned.supplied.n - (of("spring") * 29.0 + of("fall") * 17.4)).abs() < 1e-9);
}

/// Some source of the built-in tables.
fn any_source() -> String {
    tables::load(&tables::built_in()).0.sources.keys().next().unwrap().clone()
}

#[test]
fn the_soil_survey_serves_where_nothing_better_is_known() {
    let (ready, weighed, _) = planned(("    yield_goal: 4 tons/ac", "    survey_yield: 2.5 tons/ac"), "");
    assert_eq!(steps(field(&ready, &weighed, "D1"), "yield goal, from the soil survey"), [2.5]);
}

#[test]
fn what_rests_on_typical_contents_says_so_on_every_line() {
    let main = demo("farm.yaml");
    let start = main.find("    analysis:\n      lab: state agronomic lab").unwrap();
    let end = start + main[start..].find("\n\n").unwrap();
    let analysis = main[start..end].to_string();
    let tables = tables::load(&tables::built_in()).0;
    let (ready, _, made) = planned((&analysis, "    # no report yet"), "");
    let audited = audit::audit(made, &ready, &tables).unwrap();
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
    let (_, _, without) = planned(("note: >", "note: >"), "");
    let (_, _, made) = planned(("livestock:", said), "");
    let fescue = |plan: &Plan| -> Vec<f64> {
        let fields = plan.fields.iter().filter(|f| f.forage == "tall fescue");
        fields.flat_map(|f| &f.applications).map(|a| a.rate).collect()
    };
    assert!(fescue(&without).iter().any(|rate| *rate > 1.5));
    assert!(!fescue(&made).is_empty() && fescue(&made).iter().all(|rate| *rate <= 1.5));
    assert!(made.said.iter().any(|c| c.publisher == "the planner"), "{:?}", made.said);
}
