//! What is planned can be done in its days with the chance that the grower asks for.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Dice, Farm, PLACES, fit, made};
use serde_json::json;
use sward::plan::days;

/// Farms whose days run short, drawn by lot: each job gets done by the end of its window in as many
/// of the calendar's runs as are asked for, by draws that know nothing of the plan's own sums.
#[test]
fn each_job_is_done_in_its_days_with_the_chance_asked_for() {
    let (mut jobs, mut short) = (0, 0);
    for case in 0..30 {
        let mut dice = Dice::of_case(case);
        let chance = dice.pick(55, 95);
        let mut farm = Farm::new(PLACES[dice.below(2)]).field("B").field("C");
        for (key, value) in [("total_n", "60 lb/ton"), ("p2o5", "8 lb/ton"), ("k2o", "40 lb/ton")] {
            farm.set(&format!("litter.heap.analysis.{key}"), value);
        }
        farm.set(
            "days",
            json!({"tons_per_day": format!("{} tons", dice.pick(1, 6)), "fit": fit(&format!("{} %", dice.pick(20, 70))),
                "wet_after_wet": format!("{} %", dice.pick(30, 90)), "in_time": format!("{chance} %"),
                "sure": {"by": "a planner", "on": "2026-11-09"}}),
        );
        let made = made(&farm);
        let plan = made.audited.plan();
        let calendar = days::days(plan, &made.ready, plan.from, &[]).unwrap();
        for row in calendar.rows.iter().filter(|row| row.pounds.0 > 0) {
            jobs += 1;
            // Four spreads of a share of so many draws.
            let slack = 4.0 * 0.5 / f64::from(days::RUNS).sqrt();
            let inside = row.chance.inside;
            assert!(inside >= chance as f64 / 100.0 - slack, "case {case}: {inside} of {chance} %\n{}", farm.main());
        }
        let in_time = plan.choice.in_time.unwrap();
        assert!((in_time.chance - chance as f64 / 100.0).abs() < 1e-9 && in_time.costs >= 0.0);
        short += usize::from(in_time.costs > 0.0);
    }
    assert!(jobs > 20 && short > 5, "{jobs} jobs, {short} farms short of days");
}
