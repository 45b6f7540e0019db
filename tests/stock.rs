//! What lies in a lot on a day: the last count, the log after it, and what is to
//! come; nothing is used before it is there, and nothing is kept that has no room.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Farm, PLACES, Planned, checked, planned};
use serde_json::{Value, json};

/// 400 tons counted on the last day of January; two fields of some ten acres.
fn farm(place: &'static kit::Place) -> Farm {
    Farm::new(place)
        .field("B")
        .with("plan.to", "2027-11-30")
        .with("litter.heap.on_hand", "400 tons")
        .with("litter.heap.counted_on", "2027-01-31")
}

fn house(outs: Value) -> Value {
    json!([{"name": "north", "kind": "broiler litter", "number": 2, "birds": 24000, "flocks": 5.5, "clean_outs": outs}])
}

fn out(date: &str, tons: &str) -> Value {
    json!({"date": date, "tons": tons, "lot": "heap"})
}

fn lot(plan: &Planned) -> [i64; 5] {
    ["opening", "on_hand", "coming", "planned", "left"].map(|key| plan.lot("heap")[key].as_i64().unwrap())
}

fn by_when(plan: &Planned) -> &Vec<Value> {
    plan.json["by_when"].as_array().unwrap()
}

#[test]
fn a_new_first_day_changes_nothing_on_hand() {
    for place in PLACES {
        let log = farm(place)
            .logged("2027-01-15", "haul", "heap", "", "50 tons")
            .logged("2027-02-02", "haul", "heap", "", "30 tons")
            .logged("2027-02-03", "bring", "heap", "", "10 tons");
        for from in ["2027-02-01", "2027-02-15", "2027-05-01"] {
            let plan = planned(&log.clone().with("plan.from", from));
            // What was hauled before the count is in it.
            assert_eq!(lot(&plan)[..2], [800_000, 760_000], "{}: {from}", place.key);
            assert!(plan.codes().contains("count-holds"), "{:?}", plan.codes());
        }
    }
}

#[test]
fn a_count_without_a_day_counts_every_entry_and_says_so() {
    let log = farm(&kit::NC).with("litter.heap.counted_on", Value::Null);
    let plan = planned(&log.clone().logged("2026-11-15", "haul", "heap", "", "50 tons"));
    assert_eq!(lot(&plan)[..2], [800_000, 700_000]);
    assert!(plan.codes().contains("count-undated"));
    assert!(!planned(&log).codes().contains("count-undated"));
    // Since when it lies there is the day of the count where no other is given.
    let since = log.with("litter.heap.since", "2026-12-01").logged("2026-11-15", "haul", "heap", "", "50 tons");
    assert_eq!(lot(&planned(&since))[..2], [800_000, 800_000]);
}

#[test]
fn an_entry_of_the_counts_day_is_asked_about() {
    for (what, less, more) in [("haul", 780_000, 800_000), ("clean-out", 800_000, 820_000)] {
        let log = farm(&kit::NC).logged("2027-01-31", what, "heap", "", "10 tons");
        let plan = planned(&log);
        assert_eq!(lot(&plan)[1], less, "{what}: what may not be there is not planned");
        let told = checked(&log).found("count-same-day");
        let tons = |pounds: i64| format!("{:.2} tons", pounds as f64 / 2_000.0);
        assert!(told[0].contains(&tons(less)) && told[0].contains(&tons(more)), "{told:?}");
        for (order, pounds) in [("before", less.min(more) + more - 800_000), ("after", 800_000)] {
            let plan = planned(&log.clone().with("litter.heap.count_order", order));
            let want = if order == "after" {
                800_000
            } else if what == "haul" {
                780_000
            } else {
                820_000
            };
            assert_eq!(lot(&plan)[1], want, "{what} {order} {pounds}");
            assert!(!plan.codes().contains("count-same-day"));
        }
    }
}

#[test]
fn litter_is_used_only_from_the_day_it_is_there() {
    for place in PLACES {
        let none = farm(place).with("litter.heap.on_hand", "0 tons");
        assert_eq!(planned(&none).rate("A") + planned(&none).rate("B"), 0.0);
        // 120 tons come in June: nothing in spring, everything in fall.
        let june = none.clone().with("houses", house(json!([out("2027-06-14", "120 tons")])));
        let plan = planned(&june);
        let [_, on_hand, coming, used, left] = lot(&plan);
        assert_eq!((on_hand, coming, used + left), (0, 240_000, 240_000), "{}", place.key);
        assert!(used > 0, "{}: the fall takes some of it", place.key);
        let days: Vec<_> = ["A", "B"].iter().flat_map(|id| plan.days(id)).collect();
        assert!(days.iter().all(|(_, last)| *last >= "2027-06-14"), "{}: {days:?}", place.key);
        // A day after the last window closes is a day too late.
        let late = none.with("houses", house(json!([out("2027-11-29", "120 tons")])));
        let last = days.iter().map(|(_, last)| *last).max().unwrap();
        assert!(last < "2027-11-29" && lot(&planned(&late))[3] == 0, "{}", place.key);
        // On the last day of a window it is in time.
        let just = late.with("houses", house(json!([out(last, "120 tons")])));
        let plan = planned(&just);
        assert!(lot(&plan)[3] > 0, "{}: {last}", place.key);
        let waits = plan.spread("A").iter().chain(plan.spread("B")).all(|a| a["litter_from"] == last);
        assert!(waits, "{}", plan.text);
    }
}

#[test]
fn a_planned_clean_out_is_done_once() {
    let planned_out = farm(&kit::NC).with("houses", house(json!([out("2027-06-14", "100 tons")])));
    let with = |day: &str, as_of: &str| {
        let log = planned_out.clone().with("plan.as_of", as_of);
        planned(&if day.is_empty() { log } else { log.logged(day, "clean-out", "heap", "", "90 tons") })
    };
    assert_eq!(lot(&with("", "2027-02-15"))[1..3], [800_000, 200_000]);
    // Logged within three weeks it is that one, of the tons that were logged.
    let early = with("2027-05-24", "2027-05-30");
    assert_eq!(lot(&early)[1..3], [980_000, 0]);
    assert!(early.codes().contains("coming-done"));
    // Four weeks off it is another one.
    assert_eq!(lot(&with("2027-05-17", "2027-05-30"))[1..3], [980_000, 200_000]);
    // Its day has come and nobody wrote it down: told, and not counted.
    let due = with("", "2027-06-15");
    assert_eq!(lot(&due)[1..3], [800_000, 0]);
    assert!(due.codes().contains("coming-overdue"));
    assert_eq!(lot(&with("", "2027-06-14"))[2], 200_000, "on its own day it may still come");
    // Before the count it is in it.
    let counted = planned(&planned_out.with("litter.heap.counted_on", "2027-06-20").with("plan.as_of", "2027-06-25"));
    assert_eq!(lot(&counted)[1..3], [800_000, 0]);
    assert!(counted.codes().contains("coming-counted") && !counted.codes().contains("coming-overdue"));
}

#[test]
fn an_entry_that_names_its_house_is_of_that_house() {
    let mut two = house(json!([out("2027-06-14", "100 tons")]));
    let mut south = two[0].clone();
    (south["name"], south["clean_outs"]) = (json!("south"), json!([out("2027-06-20", "70 tons")]));
    two.as_array_mut().unwrap().push(south);
    let farm = farm(&kit::NC).with("houses", two).with("plan.as_of", "2027-06-10");
    let texts = |house: &str| -> Vec<String> {
        let made = with_log(&farm, &format!("date,what,lot,tons,house\n2027-06-09,clean-out,heap,65,{house}\n"));
        made.ready.coming.iter().map(|c| c.from.clone()).collect()
    };
    assert_eq!(texts("south"), ["north"]);
    assert_eq!(texts("north"), ["south"]);
    // Unnamed it is the nearest.
    assert_eq!(texts(""), ["south"]);
}

/// A farm with a log of its own columns, as of a day.
fn with_log(farm: &Farm, log: &str) -> sward::pipeline::Planned {
    let texts = farm.texts();
    let question = sward::pipeline::Question {
        figures: sward::pipeline::Figures::Loaded(farm.tables()),
        ..sward::pipeline::Question::of(
            sward::pipeline::Folder::Memory { texts: &texts, log },
            sward::pipeline::Day::Stated { today: jiff::civil::date(2027, 6, 10) },
        )
    };
    let weighed = question.check().weigh().unwrap_or_else(|f| panic!("{:?}", f.sorted()));
    weighed.plan(&sward::plan::LeastCost::default()).unwrap_or_else(|f| panic!("{:?}", f.sorted()))
}

#[test]
fn a_clean_out_that_moves_is_one_entry() {
    let farm =
        farm(&kit::NC).with("houses", house(json!([out("2027-06-14", "100 tons")]))).with("plan.as_of", "2027-06-10");
    let days = |log: &str| -> Vec<String> {
        let made = with_log(&farm, &format!("date,what,house,planned,new_day\n{log}"));
        made.ready.coming.iter().map(|c| c.day.to_string()).collect()
    };
    assert_eq!(days(""), ["2027-06-14"]);
    assert_eq!(days("2027-06-09,put-off,north,2027-06-14,2027-07-05\n"), ["2027-07-05"]);
    for again in ["2027-07-05", "2027-06-14"] {
        let twice =
            format!("2027-06-08,put-off,north,2027-06-14,2027-07-05\n2027-06-09,put-off,north,{again},2027-08-01\n");
        assert_eq!(days(&twice), ["2027-08-01"]);
    }
    // One that was due counts again once it is put off.
    let due = farm.clone().with("houses", house(json!([out("2027-06-01", "100 tons")])));
    let coming = |log: &str| with_log(&due, &format!("date,what,house,planned,new_day\n{log}")).ready.coming.len();
    assert_eq!((coming(""), coming("2027-06-09,put-off,north,2027-06-01,2027-06-22\n")), (0, 1));
}

#[test]
fn the_last_count_holds_and_what_comes_after_it() {
    let on_hand = |log: &str| {
        let made = with_log(&farm(&kit::NC), &format!("date,what,lot,tons,order,to\n{log}"));
        let lot = &made.audited.plan().lots[0];
        (lot.opening.0, lot.on_hand.0, lot.counted_on.unwrap().to_string())
    };
    let haul = "2027-04-01,haul,heap,20,,neighbor\n2027-05-02,haul,heap,5,,neighbor\n";
    assert_eq!(on_hand(haul), (800_000, 750_000, "2027-01-31".to_string()));
    let count = |order: &str| format!("{haul}2027-05-02,count,heap,300,{order},\n");
    assert_eq!(on_hand(&count("before")), (600_000, 590_000, "2027-05-02".to_string()));
    assert_eq!(on_hand(&count("after")), (600_000, 600_000, "2027-05-02".to_string()));
    // In whatever order two people's lines are put together.
    let mut lines: Vec<String> = count("before").lines().map(str::to_string).collect();
    lines.push("2027-05-20,count,heap,250,after,".to_string());
    for _ in 0..lines.len() {
        lines.rotate_left(1);
        assert_eq!(on_hand(&(lines.join("\n") + "\n")), (500_000, 500_000, "2027-05-20".to_string()));
    }
    // An older count changes nothing.
    let old = format!("{haul}2027-01-15,count,heap,900,after,\n");
    assert_eq!(on_hand(&old).1, 750_000);
}

#[test]
fn cake_is_not_counted_twice() {
    // 48,000 birds: 1.25 tons of whole litter a flock of 1,000, 0.4 of it cake.
    let house = |cake: Value| {
        json!([{"name": "n", "kind": "broiler litter", "number": 2, "birds": 24000, "flocks": 5, "cake_outs": cake,
            "clean_outs": [{"date": "2027-06-14", "flocks": 3, "lot": "heap"}]}])
    };
    let coming = |cake: Value| lot(&planned(&farm(&kit::NC).with("houses", house(cake))))[2];
    assert_eq!(coming(json!([])), 360_000);
    let twice = json!([{"date": "2027-03-01", "lot": "heap"}, {"date": "2027-04-20", "lot": "heap"}]);
    assert_eq!(coming(twice), 360_000, "the crust is a part of the whole litter");
    let weighed =
        json!([{"date": "2027-03-01", "lot": "heap", "tons": "30 tons"}, {"date": "2027-08-20", "lot": "heap"}]);
    assert_eq!(coming(weighed), 360_000 + 38_400, "what comes after the clean-out is not part of it");
}

#[test]
fn what_has_no_room_is_told_and_not_used_later() {
    for place in PLACES {
        let store = |room: &str| json!([{"name": "barn", "room": room, "lots": ["heap"]}]);
        let base = farm(place)
            .with("litter.heap.on_hand", "10 tons")
            .with("houses", house(json!([out("2027-06-14", "100 tons")])));
        let roomy = planned(&base.clone().with("storage", store("900 tons")));
        assert!(by_when(&roomy).is_empty(), "{}", place.key);
        let used = |plan: &Planned| lot(plan)[3];
        // Fall windows open after the clean-out: they get what the barn keeps.
        let tight = planned(&base.with("storage", store("40 tons")));
        let row = &by_when(&tight)[0];
        let spring: i64 = row["spread"].as_i64().unwrap();
        assert_eq!((row["by"].as_str(), row["about"].as_str()), (Some("2027-06-14"), Some("barn")));
        assert_eq!(row["must_leave"].as_i64().unwrap(), 220_000 - 80_000 - spring, "{}", place.key);
        assert!(used(&tight) <= spring + 80_000 && used(&tight) < used(&roomy), "{}: {row}", place.key);
    }
}

#[test]
fn outlets_are_filled_dearest_first() {
    let outlet = |name: &str, price: &str, more: Value| {
        let mut one = json!({"name": name, "price": price});
        more.as_object().unwrap().iter().for_each(|(key, value)| one[key] = value.clone());
        one
    };
    let sold = |outlets: Value| {
        let plan = planned(&farm(&kit::NC).with("prices.litter_sold", "1 $/ton").with("outlets", outlets));
        let sales = plan.json["sales"].as_array().unwrap().clone();
        let left = lot(&plan)[4];
        let row = |s: &Value| (s["outlet"].as_str().unwrap().to_string(), s["pounds"].as_i64().unwrap());
        (sales.iter().map(row).collect::<Vec<_>>(), left)
    };
    let cheap = outlet("cheap", "2 $/ton", json!({}));
    let dear = outlet("dear", "9 $/ton", json!({"most": "96 tons"}));
    let gone = outlet("gone", "20 $/ton", json!({"to": "2027-02-01"}));
    let (sales, left) = sold(json!([cheap, dear, gone]));
    assert_eq!(sales[0], ("dear".to_string(), 192_000));
    assert_eq!(sales[1].0, "cheap");
    assert!(left < 2_000, "whole tons are sold: {left}");
    // What was hauled to it is gone from its bound.
    let texts = sold(json!([dear]));
    assert_eq!(texts.0, [("dear".to_string(), 192_000)]);
}
