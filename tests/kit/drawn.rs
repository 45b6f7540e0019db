//! Farms drawn by lot.

use super::{Dice, Farm, PLACES, Place, fit, houses, later};
use serde_json::{Value, json};

pub(crate) const LOTS: [&str; 2] = ["heap", "cake"];

/// A field, two lots and a shop, with prices that make trips, doses and mixes matter.
pub(crate) fn some_farm(dice: &mut Dice) -> Farm {
    let place: &'static Place = PLACES[dice.below(2)];
    let lb = |low: i64, high: i64, dice: &mut Dice| format!("{} lb/ton", dice.pick(low, high));
    let mut farm = Farm::new(place)
        .lot("cake")
        .with("plan.to", ["2027-05-31", "2027-10-31"][dice.below(2)])
        .with("spreader.step", "0.5 tons/ac")
        .with("prices.litter_sold", format!("{} $/ton", dice.below(9)))
        .with("prices.loading_spreading", format!("{} $/ton", dice.below(12)))
        .with("fields.A.yield_goal", format!("{} tons/ac", dice.pick(2, 6)))
        .with("fields.A.phosphorus_rating.rating", ["low", "medium", "high"][dice.below(3)])
        .with("fertilizer_spreading", format!("{} $/ac", dice.below(15)));
    for lot in ["heap", "cake"] {
        farm = farm
            .with(&format!("litter.{lot}.analysis.total_n"), lb(20, 60, dice))
            .with(&format!("litter.{lot}.analysis.p2o5"), lb(2, 60, dice))
            .with(&format!("litter.{lot}.analysis.k2o"), lb(1, 60, dice));
    }
    let mut shop =
        vec![json!({"name": "urea", "analysis": "46-0-0", "price": format!("{} $/ton", dice.pick(300, 800))})];
    for (name, bag) in [("DAP", "18-46-0"), ("TSP", "0-46-0"), ("potash", "0-0-60"), ("three nineteens", "19-19-19")] {
        if dice.below(3) > 0 {
            shop.push(json!({"name": name, "analysis": bag, "price": format!("{} $/ton", dice.pick(300, 900))}));
        }
    }
    if dice.below(3) == 0 {
        shop[0]["most"] = json!(format!("{} lb/ac", dice.pick(60, 200)));
    }
    if dice.below(2) == 0 {
        farm = farm.with("fertilizer_least", format!("{} lb/ac", dice.pick(0, 90)));
    }
    if dice.below(3) == 0 {
        farm = farm.with("prices.hay", format!("{} $/ton", dice.pick(30, 160)));
    }
    farm = farm.with("fertilizer", Value::Array(shop));
    if dice.below(2) == 0 {
        farm = farm.with("prices.job", format!("{} $/job", dice.below(120)));
        farm = farm.with("prices.load", format!("{} $/load", dice.below(30)));
    }
    farm
}

/// A farm of two lots, clean-outs on random days, storages and outlets, with or without
/// days of work; with what comes to each lot, day by day.
pub(crate) fn trading(dice: &mut Dice) -> (Farm, [Vec<(String, i64)>; 2]) {
    let day = |n: usize| later("2027-02-15", i32::try_from(n).unwrap());
    let mut come: [Vec<(String, i64)>; 2] = Default::default();
    let mut outs: Vec<Value> = Vec::new();
    for _ in 0..dice.below(5) {
        let (lot, on, tons) = (dice.below(2), day(dice.below(280)), 5 + dice.below(90));
        come[lot].push((on.clone(), tons as i64 * 2_000));
        outs.push(json!({"date": on, "tons": format!("{tons} tons"), "lot": (LOTS[lot])}));
    }
    let farm = Farm::new(PLACES[dice.below(2)]).field("B").lot("cake").with("plan.to", "2027-11-30");
    let mut farm = farm.with("houses", houses(outs.into())).with("prices.loading_spreading", "2 $/ton");
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
    let room = |dice: &mut Dice| format!("{} tons", 5 + dice.below(120));
    let both = dice.below(2) == 0;
    let stores = if both {
        json!([{"name": "yard", "room": room(dice), "lots": ["heap", "cake"]}])
    } else {
        json!([{"name": "barn", "room": room(dice), "lots": ["heap"]},
            {"name": "shed", "room": room(dice), "lots": ["cake"]}])
    };
    farm = farm.with("outlets", outlets).with("storage", stores).with("prices.disposal", "4 $/ton");
    if dice.below(2) == 0 {
        let tons = format!("{} tons", 4 + dice.below(40));
        farm = farm.with("days", json!({"tons_per_day": tons, "fit": fit("40 %")}));
    }
    (farm, come)
}
