//! The audit must refuse a plan that was tampered with. The plan of the demo
//! farm is good; each change below makes it bad in one way.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod demo;
mod kit;

use kit::at_root;
use std::sync::LazyLock;
use sward::check::Ready;
use sward::plan::Plan;
use sward::plan::answer::{Application, FieldPlan};
use sward::tables::Tables;
use sward::units::Pounds;

struct Demo {
    tables: Tables,
    ready: Ready,
    plan: Plan,
}

static DEMO: LazyLock<Demo> = LazyLock::new(|| {
    let tables = demo::tables_with("");
    let demo::Made { ready, audited, .. } = demo::made_with(&demo::texts(), &tables);
    Demo { tables, ready, plan: audited.plan().clone() }
});

/// Step of the demo farm's spreader, tons/ac.
const STEP: f64 = 0.25;

/// The first field for which `wanted` holds.
fn pick(plan: &mut Plan, wanted: impl Fn(&FieldPlan) -> bool) -> &mut FieldPlan {
    plan.fields.iter_mut().find(|f| wanted(f)).expect("the demo farm has such a field")
}

/// The first field that gets litter.
fn spread(plan: &mut Plan) -> &mut FieldPlan {
    pick(plan, |f| !f.applications.is_empty())
}

/// A field and its rate changed with everything that follows from the rate, so
/// that only the limits can notice.
fn at_rate(field: &mut FieldPlan, i: usize, rate: f64) {
    let load = 16_000;
    let pounds = (rate * field.acres * 2_000.0 + 1e-6).floor() as i64;
    let loads = (pounds + load - 1) / load;
    let a = &mut field.applications[i];
    a.rate = rate;
    a.pounds = Pounds(pounds);
    a.loads = loads;
    a.last_load = Pounds(pounds - (loads - 1).max(0) * load);
}

/// The lots' tallies made to agree with the fields again.
fn tallied(plan: &mut Plan) {
    for lot in &mut plan.lots {
        lot.planned =
            plan.fields.iter().flat_map(|f| &f.applications).filter(|a| a.lot == lot.id).map(|a| a.pounds).sum();
        lot.left = lot.on_hand - lot.planned;
    }
}

type Change = fn(&mut Plan);

/// A ton an acre on a field that gets none.
fn given_litter(p: &mut Plan, of: impl Fn(&FieldPlan) -> bool) {
    let copied: Application = spread(p).applications[0].clone();
    let field = pick(p, of);
    field.applications.push(copied);
    at_rate(field, 0, 1.0);
    tallied(p);
}

/// What is done to the plan, and the code of the finding that must come.
const CHANGES: &[(&str, &str, Change)] = &[
    ("one step past the season's share of nitrogen", "nutrients", |p| {
        let field = pick(p, |f| f.id == "B1");
        let rate = field.applications[0].rate;
        at_rate(field, 0, rate + STEP);
        tallied(p);
    }),
    ("one step past the phosphate allowed", "nutrients", |p| {
        let field = pick(p, |f| f.id == "B2");
        let rate = field.applications[0].rate;
        at_rate(field, 0, rate + STEP);
        tallied(p);
    }),
    ("a stand that feeds itself given litter", "nutrients", |p| {
        given_litter(p, |f| f.id == "C1");
    }),
    ("a yield goal that the grower did not write", "nutrients", |p| {
        pick(p, |f| f.id == "B1").goal.tons += 0.1;
    }),
    ("a yield goal that the soils under the field do not make", "nutrients", |p| {
        pick(p, |f| f.id == "N2").goal.tons *= 1.05;
    }),
    ("rate up, pounds left as they were", "setting", |p| {
        spread(p).applications[0].rate += STEP;
    }),
    ("rate between two settings", "setting", |p| {
        let field = spread(p);
        let rate = field.applications[0].rate;
        at_rate(field, 0, rate - 0.1);
        tallied(p);
    }),
    ("rate below the lowest even one", "setting", |p| {
        at_rate(spread(p), 0, 0.75);
        tallied(p);
    }),
    ("rate past the spreader's highest", "setting", |p| {
        at_rate(spread(p), 0, 4.25);
        tallied(p);
    }),
    ("rate that is no number", "number", |p| {
        spread(p).applications[0].rate = f64::NAN;
    }),
    ("a pound too many", "setting", |p| {
        spread(p).applications[0].pounds += Pounds(1);
    }),
    ("a pound too many, tallied", "setting", |p| {
        let a = &mut spread(p).applications[0];
        a.pounds += Pounds(1);
        a.last_load += Pounds(1);
        tallied(p);
    }),
    ("two pounds too few, tallied", "setting", |p| {
        let a = &mut spread(p).applications[0];
        a.pounds -= Pounds(2);
        a.last_load -= Pounds(2);
        tallied(p);
    }),
    ("a load too few", "setting", |p| {
        spread(p).applications[0].loads -= 1;
    }),
    ("the last load too heavy", "setting", |p| {
        let a = &mut spread(p).applications[0];
        a.loads -= 1;
        a.last_load += Pounds(16_000);
    }),
    ("lots swapped", "tally", |p| {
        let other = p.lots[1].id.clone();
        let first = p.lots[0].id.clone();
        let a = p.fields.iter_mut().flat_map(|f| &mut f.applications).find(|a| a.lot == first).unwrap();
        a.lot = other;
    }),
    ("a lot that is not there", "tally", |p| {
        spread(p).applications[0].lot = "nowhere".into();
    }),
    ("a lot that is not there, tallied", "tally", |p| {
        spread(p).applications[0].lot = "nowhere".into();
        tallied(p);
    }),
    ("window a day early", "season", |p| {
        let a = &mut spread(p).applications[0];
        a.first = a.first.yesterday().unwrap();
    }),
    ("window a day late", "season", |p| {
        let a = &mut spread(p).applications[0];
        a.last = a.last.tomorrow().unwrap();
    }),
    ("window turned round", "season", |p| {
        let a = &mut spread(p).applications[0];
        std::mem::swap(&mut a.first, &mut a.last);
    }),
    ("window in another year", "season", |p| {
        let a = &mut spread(p).applications[0];
        a.first = a.first.checked_add(jiff::Span::new().years(1)).unwrap();
        a.last = a.last.checked_add(jiff::Span::new().years(1)).unwrap();
    }),
    ("a season nobody knows", "season", |p| {
        spread(p).applications[0].season = "winter".into();
    }),
    ("acres up 5 %", "acres", |p| {
        // On a field that loses ground to a setback.
        let field = pick(p, |f| !f.applications.is_empty() && !f.kept_off.is_empty());
        field.acres *= 1.05;
        let rate = field.applications[0].rate;
        for i in 0..field.applications.len() {
            at_rate(field, i, rate);
        }
        tallied(p);
    }),
    ("acres inside the boundary down 5 %", "acres", |p| {
        p.fields[0].gross_acres *= 0.95;
    }),
    ("acres that are no number", "number", |p| {
        p.fields[0].acres = f64::NAN;
    }),
    ("a barred field given litter", "nutrients", |p| {
        given_litter(p, |f| !f.bars.is_empty() && f.acres > 0.0);
    }),
    ("a field rated very high given litter", "nutrients", |p| {
        given_litter(p, |f| f.id == "H2");
    }),
    ("an application twice", "twice", |p| {
        // Small enough for every limit: only that it is there twice is wrong.
        let field = pick(p, |f| f.id == "N1");
        at_rate(field, 0, 1.0);
        let copied = field.applications[0].clone();
        field.applications.push(copied);
        tallied(p);
    }),
    ("planned off by a pound", "tally", |p| {
        p.lots[0].planned += Pounds(1);
    }),
    ("left off by a pound", "tally", |p| {
        p.lots[0].left += Pounds(1);
    }),
    ("left below nothing", "tally", |p| {
        p.lots[0].left = Pounds(-1);
    }),
    ("opening off by a pound, all else to match", "tally", |p| {
        p.lots[0].opening += Pounds(1);
        p.lots[0].on_hand += Pounds(1);
        p.lots[0].left += Pounds(1);
    }),
    ("litter brought that the log does not know", "tally", |p| {
        p.lots[0].brought += Pounds(2_000);
        p.lots[0].on_hand += Pounds(2_000);
        p.lots[0].left += Pounds(2_000);
    }),
    ("the grower's own most passed", "nutrients", |p| {
        let field = pick(p, |f| f.id == "R2" && !f.applications.is_empty());
        at_rate(field, 0, 2.0);
        tallied(p);
    }),
    ("a field left out", "whole", |p| {
        p.fields.pop();
    }),
    ("fields in another order", "whole", |p| {
        p.fields.swap(0, 1);
    }),
    ("a lot left out", "whole", |p| {
        p.lots.pop();
    }),
];

#[test]
fn the_plan_of_the_demo_farm_is_good() {
    let faults = sward::audit::faults(&DEMO.plan, &DEMO.ready, &DEMO.tables);
    assert!(faults.is_empty(), "{:?}", faults.sorted());
    assert!(sward::audit::audit(DEMO.plan.clone(), &DEMO.ready, &DEMO.tables).is_ok());
}

#[test]
fn every_change_is_found() {
    let mut missed = Vec::new();
    for (what, code, change) in CHANGES {
        let mut plan = DEMO.plan.clone();
        change(&mut plan);
        let faults = sward::audit::faults(&plan, &DEMO.ready, &DEMO.tables);
        let codes: Vec<&str> = faults.sorted().iter().map(|f| f.code.as_ref()).collect();
        if !codes.contains(code) {
            missed.push(format!("{what}: wanted `{code}`, found {codes:?}"));
        }
        assert!(!faults.has_errors() || sward::audit::audit(plan, &DEMO.ready, &DEMO.tables).is_err());
    }
    assert!(missed.is_empty(), "missed:\n{}", missed.join("\n"));
}

/// The same through the command, from a file: every one fails, for its reason.
/// A number that is none cannot be written in JSON and is refused as such.
#[test]
fn every_change_is_found_in_a_file_too() {
    let mut missed = Vec::new();
    for (what, code, change) in CHANGES {
        let mut plan = DEMO.plan.clone();
        change(&mut plan);
        let file = tempfile::NamedTempFile::new().unwrap();
        std::fs::write(file.path(), serde_json::to_string(&plan).unwrap()).unwrap();
        let (ended, out, err) = at_root(&["audit", file.path().to_str().unwrap(), "fields", "--json"]);
        let code = if *code == "number" { "plan-data" } else { code };
        let told = out.contains(&format!("\"code\": \"{code}\""));
        if ended != 1 || !told || !err.is_empty() {
            missed.push(format!("{what}: wanted `{code}`, {ended}"));
        }
    }
    assert!(CHANGES.len() >= 20);
    assert!(missed.is_empty(), "missed:\n{}", missed.join("\n"));
}
