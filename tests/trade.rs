//! Litter that is sold and that must leave: what is said of it holds day by day, and in
//! the money.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Dice, Farm, PLACES, planned};
use serde_json::{Value, json};

const LOTS: [&str; 2] = ["heap", "cake"];

/// A farm of two lots, clean-outs on random days, storages and outlets, with or without
/// days of work; with what comes to each lot, day by day.
fn trading(dice: &mut Dice) -> (Farm, [Vec<(String, i64)>; 2]) {
    let day = |n: usize| kit::later("2027-02-15", i32::try_from(n).unwrap());
    let mut come: [Vec<(String, i64)>; 2] = Default::default();
    let mut outs: Vec<Value> = Vec::new();
    for _ in 0..dice.below(5) {
        let (lot, on, tons) = (dice.below(2), day(dice.below(280)), 5 + dice.below(90));
        come[lot].push((on.clone(), tons as i64 * 2_000));
        outs.push(json!({"date": on, "tons": format!("{tons} tons"), "lot": (LOTS[lot])}));
    }
    let houses = json!([{"name": "north", "kind": "broiler litter", "number": 2, "birds": 24000, "flocks": 5.5,
        "clean_outs": outs}]);
    let farm = Farm::new(PLACES[dice.below(2)]).field("B").lot("cake").with("plan.to", "2027-11-30");
    let mut farm = farm.with("houses", houses).with("prices.loading_spreading", "2 $/ton");
    for (lot, come) in LOTS.iter().zip(&mut come) {
        let tons = dice.below(80);
        come.push(("2027-02-15".to_string(), tons as i64 * 2_000));
        farm = farm
            .with(&format!("litter.{lot}.on_hand"), format!("{tons} tons"))
            .with(&format!("litter.{lot}.counted_on"), "2027-01-31")
            .with(&format!("litter.{lot}.analysis.total_n"), format!("{} lb/ton", 20 + 10 * dice.below(4)));
    }
    let outlets: Vec<Value> = (0..1 + dice.below(3))
        .map(|n| {
            let first = dice.below(200);
            let mut outlet = json!({"name": format!("outlet {n}"), "price": format!("{} $/ton", 2 + dice.below(12))});
            if dice.below(2) == 0 {
                outlet["most"] = json!(format!("{} tons", 1 + dice.below(120)));
            }
            if dice.below(2) == 0 {
                (outlet["from"], outlet["to"]) = (json!(day(first)), json!(day(first + dice.below(100))));
            }
            if dice.below(3) == 0 {
                outlet["lots"] = json!([(LOTS[dice.below(2)])]);
            }
            outlet
        })
        .collect();
    let room = |dice: &mut kit::Dice| format!("{} tons", 5 + dice.below(120));
    let both = dice.below(2) == 0;
    let stores = if both {
        json!([{"name": "yard", "room": room(dice), "lots": ["heap", "cake"]}])
    } else {
        json!([{"name": "barn", "room": room(dice), "lots": ["heap"]},
            {"name": "shed", "room": room(dice), "lots": ["cake"]}])
    };
    farm = farm.with("outlets", outlets).with("storage", stores).with("prices.disposal", "4 $/ton");
    if dice.below(2) == 0 {
        let fit: serde_json::Map<String, Value> =
            sward::farm::MONTHS.iter().map(|month| ((*month).to_string(), json!("40 %"))).collect();
        farm = farm.with("days", json!({"tons_per_day": format!("{} tons", 4 + dice.below(40)), "fit": fit}));
    }
    (farm, come)
}

#[test]
fn what_goes_out_before_a_day_has_come_by_then() {
    let mut seen = [0; 3];
    for seed in 0..12 {
        let mut dice = Dice::of_case(seed);
        let (farm, come) = trading(&mut dice);
        let plan = planned(&farm);
        let sum = |list: &Value, key: &str| -> i64 {
            list.as_array().unwrap().iter().map(|row| row[key].as_i64().unwrap()).sum()
        };
        let sold_in_all = sum(&plan.json["sales"], "pounds");
        let used_in_all = sum(&plan.json["lots"], "planned");
        for row in plan.json["by_when"].as_array().unwrap() {
            let lots: &[usize] = match row["about"].as_str().unwrap() {
                "shed" => &[1],
                "barn" => &[0],
                _ => &[0, 1],
            };
            let by = row["by"].as_str().unwrap();
            let before = |day: &String| day.as_str() < by || by == "2027-02-15";
            let came: i64 =
                lots.iter().flat_map(|lot| &come[*lot]).filter(|(day, _)| before(day)).map(|(_, lb)| lb).sum();
            let [spread, sold, lying, room, must] =
                ["spread", "sold", "lying", "room", "must_leave"].map(|key| row[key].as_i64().unwrap());
            assert!(spread + sold <= came, "seed {seed}: {row} of {came}\n{}", plan.text);
            assert!(spread <= used_in_all && sold <= sold_in_all, "seed {seed}: {row}");
            assert_eq!(must, (lying - room - spread - sold).max(0), "seed {seed}: {row}");
            seen[0] += 1;
            seen[1] += usize::from(sold > 0);
            seen[2] += usize::from(spread > 0);
        }
        assert!(kit::verdict_codes(&plan.text, &farm).is_empty(), "seed {seed}");
        claims(&plan, &farm, seed);
    }
    assert!(seen.iter().all(|n| *n > 2), "{seen:?}");
}

/// What is said of the choice is true in the money that is shown, and no other way to
/// sell is worth more than it says.
fn claims(plan: &kit::Planned, farm: &Farm, seed: u64) {
    let money = |of: &str| plan.json["money"][of].as_f64().unwrap();
    let proof = |plan: &kit::Planned, of: &str| plan.json["choice"]["proof"][of].as_f64().unwrap();
    let worth = money("replaced") - money("spreading") + money("sold") - money("disposal");
    assert!((worth - proof(plan, "worth")).abs() < 1.5, "seed {seed}: {worth} is not {}", proof(plan, "worth"));
    if plan.json["sales"].as_array().unwrap().is_empty() {
        return;
    }
    for only in LOTS.into_iter().filter(|_| seed % 4 == 0) {
        let main: Value = serde_json::from_str(&farm.main()).unwrap();
        let mut outlets = main["outlets"].clone();
        outlets.as_array_mut().unwrap().iter_mut().for_each(|outlet| outlet["lots"] = json!([only]));
        let other = planned(&farm.clone().with("outlets", outlets));
        let (other, bound) = (proof(&other, "worth"), proof(plan, "bound"));
        assert!(other <= bound + 0.02, "seed {seed}: {only} alone is worth {other}, over {bound}");
    }
}
