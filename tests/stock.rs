//! What lies in a lot on a day: the last count, the log after it, and what is to
//! come; nothing is used before it is there, and nothing is kept that has no room.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Farm, PLACES, Planned, checked, houses, planned};
use serde_json::{Value, json};

/// 400 tons counted on the last day of January; two fields of some ten acres.
fn farm(place: &'static kit::Place) -> Farm {
    Farm::new(place)
        .field("B")
        .with("plan.to", "2027-11-30")
        .with("litter.heap.on_hand", "400 tons")
        .with("litter.heap.counted_on", "2027-01-31")
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
        let june = none.clone().with("houses", houses(json!([out("2027-06-14", "120 tons")])));
        let plan = planned(&june);
        let [_, on_hand, coming, used, left] = lot(&plan);
        assert_eq!((on_hand, coming, used + left), (0, 240_000, 240_000), "{}", place.key);
        assert!(used > 0, "{}: the fall takes some of it", place.key);
        let days: Vec<_> = ["A", "B"].iter().flat_map(|id| plan.days(id)).collect();
        assert!(days.iter().all(|(_, last)| *last >= "2027-06-14"), "{}: {days:?}", place.key);
        // A day after the last window closes is a day too late.
        let late = none.with("houses", houses(json!([out("2027-11-29", "120 tons")])));
        let last = days.iter().map(|(_, last)| *last).max().unwrap();
        assert!(last < "2027-11-29" && lot(&planned(&late))[3] == 0, "{}", place.key);
        // On the last day of a window it is in time.
        let just = late.with("houses", houses(json!([out(last, "120 tons")])));
        let plan = planned(&just);
        assert!(lot(&plan)[3] > 0, "{}: {last}", place.key);
        let waits = plan.spread("A").iter().chain(plan.spread("B")).all(|a| a["litter_from"] == last);
        assert!(waits, "{}", plan.text);
    }
}

/// A job whose litter comes after its window opens has that day as its first on every page and in
/// every file that whoever spreads takes along, and the pages say why.
#[test]
fn what_waits_for_litter_says_so_to_whoever_spreads() {
    let farm = farm(&kit::NC).with("litter.heap.on_hand", "0 tons");
    // A day in the middle of the fall.
    let plan = planned(&farm.clone().with("houses", houses(json!([out("2027-06-14", "120 tons")]))));
    let (first, last) = plan.days("A").pop().unwrap();
    let middle: jiff::civil::Date = first.parse().unwrap();
    let middle = middle.saturating_add(jiff::Span::new().days(20)).to_string();
    assert!(*middle < *last);
    let farm = farm.with("houses", houses(json!([out(&middle, "120 tons")])));
    let plan = planned(&farm);
    assert_eq!(plan.spread("A")[0]["litter_from"], middle.as_str(), "{}", plan.text);
    let folder = farm.folder();
    let run = |args: &[&str]| {
        let ended = kit::sward(folder.path(), args);
        assert_eq!(ended.code, 0, "{args:?}: {}{}", ended.out, ended.err);
        ended.out
    };
    run(&["sheets", "-o", "sheets"]);
    run(&["map", "-o", "maps"]);
    let read = |file: &str| kit::flat(&std::fs::read_to_string(folder.path().join(file)).unwrap());
    let sheets = read("sheets/sheets.html");
    assert!(sheets.contains("Waits for litter to come: A heap from "), "{sheets}");
    assert!(sheets.contains("litter for it is still to come"), "{sheets}");
    assert!(read("maps/field-A.svg").contains("still to come"));
    let made: Value = serde_json::from_str(&run(&["map", "--geojson"])).unwrap();
    assert_eq!(made["features"][0]["properties"]["first"], middle.as_str(), "{made}");
    run(&["export", "csv", "-o", "out"]);
    assert!(read("out/plan.csv").contains(&format!(",{middle},")));
    // No page has the day on which the window opens as the first of the job.
    let day: jiff::civil::Date = first.parse().unwrap();
    assert!(!sheets.contains(&day.strftime("%b %-d to").to_string()), "{sheets}");
}

#[test]
fn a_planned_clean_out_is_done_once() {
    let planned_out = farm(&kit::NC).with("houses", houses(json!([out("2027-06-14", "100 tons")])));
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
    let mut two = houses(json!([out("2027-06-14", "100 tons")]));
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
        farm(&kit::NC).with("houses", houses(json!([out("2027-06-14", "100 tons")]))).with("plan.as_of", "2027-06-10");
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
    let due = farm.clone().with("houses", houses(json!([out("2027-06-01", "100 tons")])));
    let coming = |log: &str| with_log(&due, &format!("date,what,house,planned,new_day\n{log}")).ready.coming.len();
    assert_eq!((coming(""), coming("2027-06-09,put-off,north,2027-06-01,2027-06-22\n")), (0, 1));
}

#[test]
fn the_last_count_holds_and_what_comes_after_it() {
    let on_hand = |log: &str| {
        let farm = farm(&kit::NC).with("plan.as_of", "2027-05-20");
        let made = with_log(&farm, &format!("date,what,lot,tons,order,to\n{log}"));
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
            .with("houses", houses(json!([out("2027-06-14", "100 tons")])));
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

#[test]
fn money_stays_put_when_work_is_logged() {
    let sure = json!({"n": "0.80 $/lb", "p2o5": "0.60 $/lb", "k2o": "0.40 $/lb", "litter_sold": "16 $/ton",
        "loading_spreading": "2 $/ton", "hauling": "0.30 $/ton-mile", "sure": {"by": "a planner", "on": "2026-11-09"}});
    for place in PLACES {
        let base = farm(place).with("prices", sure.clone()).with("fields.A.miles", "2 miles");
        let before = planned(&base);
        let mut log = base.logged("2027-02-16", "haul", "heap", "", "60 tons");
        for id in ["A", "B"] {
            for a in before.spread(id) {
                let (day, tons) = (a["first"].as_str().unwrap(), a["pounds"].as_f64().unwrap() / 2_000.0);
                log = log.logged(day, "spread", "heap", id, &format!("{tons} tons"));
            }
        }
        let all = |plan: &Planned| {
            let money = &plan.json["money"];
            let sum = |of: &Value| {
                let get = |key: &str| of[key].as_f64().unwrap_or(0.0);
                get("replaced") - get("spreading") + get("leftover") + get("sold") - get("bought") - get("disposal")
            };
            (sum(money) + sum(&money["done"]), sum(money))
        };
        let after = planned(&log.with("plan.as_of", "2027-11-30"));
        let ((was, _), (is, to_come)) = (all(&before), all(&after));
        assert!((was - is).abs() <= 1.5, "{}: {was} before, {is} after", place.key);
        assert!(was > 960.0 && to_come < was, "{}: {was} {to_come}", place.key);
        assert!(before.json["money"]["done"].is_null());
    }
}

/// Random counts, moves and clean-outs, each day balanced by hand.
#[test]
fn random_logs_balance_to_the_pound_and_use_nothing_before_it_is_there() {
    for seed in 0..40 {
        let mut dice = kit::Dice::of_case(seed);
        let day = |n: usize| kit::later("2027-02-01", i32::try_from(n).unwrap());
        let as_of = 20 + dice.below(120);
        let counted = dice.below(30);
        let outs: Vec<(usize, usize)> =
            (0..dice.below(4)).map(|_| (as_of + dice.below(150), 1 + dice.below(90))).collect();
        let mut moves: Vec<(usize, &str, usize)> = (0..dice.below(8))
            .map(|_| (dice.below(as_of), ["haul", "bring", "clean-out"][dice.below(3)], 1 + dice.below(30)))
            .collect();
        let listed = |outs: &[(usize, usize)]| -> Vec<Value> {
            outs.iter().map(|(n, tons)| out(&day(*n), &format!("{tons} tons"))).collect()
        };
        let base = farm(PLACES[dice.below(2)])
            .with("litter.heap.on_hand", "150 tons")
            .with("litter.heap.counted_on", day(counted))
            .with("litter.heap.count_order", "before")
            .with("plan.as_of", day(as_of))
            .with("plan.from", "2027-02-01")
            .with("houses", houses(Value::from(listed(&outs))));
        let logged = |moves: &[(usize, &str, usize)]| {
            moves.iter().fold(base.clone(), |farm, (n, what, tons)| {
                farm.logged(&day(*n), what, "heap", "", &format!("{tons} tons"))
            })
        };
        let plan = planned(&logged(&moves));
        // A planned clean-out is done where one is logged within three weeks of it.
        let mut open = outs.clone();
        for (n, what, _) in &moves {
            let near = outs.iter().map(|(o, _)| (o.abs_diff(*n), *o)).min().filter(|(apart, _)| *apart <= 21);
            if let (Some((_, o)), "clean-out") = (near, *what) {
                open.retain(|(other, _)| *other != o);
            }
        }
        let signed = |what: &str, tons: usize| if what == "haul" { -(tons as i64) } else { tons as i64 };
        let now: i64 = 150 + moves.iter().filter(|m| m.0 >= counted).map(|m| signed(m.1, m.2)).sum::<i64>();
        let to = (0..400).find(|n| day(*n) == "2027-11-30").unwrap();
        let coming: i64 = open.iter().filter(|(n, _)| *n <= to).map(|(_, tons)| *tons as i64).sum();
        let [_, on_hand, comes, planned_lb, left] = lot(&plan);
        assert_eq!((on_hand, comes), (now.max(0) * 2_000, coming * 2_000), "seed {seed}: {moves:?} {outs:?}");
        assert_eq!(on_hand + comes, planned_lb + left, "seed {seed}");
        let rows: Vec<&Value> = plan.spread("A").iter().chain(plan.spread("B")).collect();
        for row in &rows {
            let last = row["last"].as_str().unwrap();
            let due = rows.iter().filter(|r| r["last"].as_str().unwrap() <= last);
            let due: i64 = due.map(|r| r["pounds"].as_i64().unwrap()).sum();
            let there: i64 = open.iter().filter(|(n, _)| day(*n).as_str() <= last).map(|(_, tons)| *tons as i64).sum();
            assert!(due <= on_hand + there * 2_000, "seed {seed}: {due} by {last}");
        }
        // Two people's lines in another order say the same.
        moves.reverse();
        assert_eq!(planned(&logged(&moves)).json["lots"], plan.json["lots"], "seed {seed}");
    }
}

#[test]
fn years_go_by_the_days_that_the_farm_names() {
    let outs = json!([out("2027-06-14", "100 tons"), out("2027-12-15", "80 tons")]);
    let made = with_log(&farm(&kit::NC).with("plan.as_of", "2027-02-15").with("houses", houses(outs)), "");
    let years =
        sward::plan::years::years(&made.ready, &made.tables, &made.ground, &sward::plan::LeastCost::default(), 3);
    let rows = sward::plan::years::rows(&years);
    for (n, row) in rows.iter().enumerate() {
        let lot = &row.lots[0];
        assert_eq!(lot.made.0, 200_000, "June alone lies in the plan of year {n}");
        assert_eq!(lot.opening + lot.made, lot.planned + lot.sold + lot.left);
        let faults = sward::audit::faults(&years[n].plan, &years[n].ready, &made.tables);
        assert!(faults.is_empty(), "{:?}", faults.sorted());
    }
    for pair in rows.windows(2) {
        // The winter's clean-out is there when the next plan starts.
        assert_eq!(pair[1].lots[0].opening.0, pair[0].lots[0].left.0 + 160_000);
    }
}

/// A clean-out between the end of one plan and the start of the next comes again too.
#[test]
fn years_have_the_clean_outs_between_two_plans() {
    for named in ["2027-01-10", "2025-01-10"] {
        let farm =
            farm(&kit::NC).with("plan.as_of", "2027-02-15").with("houses", houses(json!([out(named, "80 tons")])));
        let made = with_log(&farm, "");
        let chooser = sward::plan::LeastCost::default();
        let years = sward::plan::years::years(&made.ready, &made.tables, &made.ground, &chooser, 3);
        let rows = sward::plan::years::rows(&years);
        for row in &rows {
            assert_eq!(row.lots[0].comes_after.0, 160_000, "{named}: the year from {}", row.from);
        }
    }
}

/// A clean-out some weeks before the planned one is asked about, and counts twice until
/// somebody says which it is.
#[test]
fn a_clean_out_near_a_planned_one_is_asked_about() {
    for (days, near) in [(21, false), (22, true), (45, true), (46, false)] {
        let day = kit::later("2027-06-14", -days);
        let farm = farm(&kit::NC)
            .with("plan.as_of", "2027-06-01")
            .with("houses", houses(json!([out("2027-06-14", "90 tons")])))
            .logged(&day, "clean-out", "heap", "", "90 tons");
        assert_eq!(kit::checked(&farm).codes().contains("coming-near"), near, "{days} days before");
    }
}

/// A plan of one farm held against another: each finds its own fault.
#[test]
fn the_audit_knows_what_is_there_on_a_day() {
    for place in PLACES {
        let none = farm(place).with("litter.heap.on_hand", "10 tons");
        let june = none.clone().with("houses", houses(json!([out("2027-06-14", "100 tons")])));
        let plan = planned(&june);
        let audited = |farm: &Farm| kit::verdict_codes(&plan.text, farm);
        assert!(audited(&june).is_empty(), "{}: {:?}", place.key, audited(&june));
        assert!(audited(&none).contains("stock"), "{}: {:?}", place.key, audited(&none));
        let late = none.clone().with("houses", houses(json!([out("2027-11-14", "100 tons")])));
        assert!(audited(&late).contains("stock"), "{}: {:?}", place.key, audited(&late));
        let tight = june.clone().with("storage", json!([{"name": "barn", "room": "12 tons", "lots": ["heap"]}]));
        assert!(audited(&tight).contains("room"), "{}: {:?}", place.key, audited(&tight));
        let sold = farm(place)
            .with("prices.litter_sold", "1 $/ton")
            .with("outlets", json!([{"name": "dear", "price": "9 $/ton", "most": "8 tons"}]));
        let plan = planned(&sold);
        let less = sold.with("outlets", json!([{"name": "dear", "price": "9 $/ton", "most": "4 tons"}]));
        assert!(kit::verdict_codes(&plan.text, &less).contains("outlet"), "{}", place.key);
    }
}

/// Two counts of one time that say two things: the smaller counts, whichever stands last, and
/// that is told.
#[test]
fn two_counts_at_one_time_are_told() {
    let line = |tons: &str, order: &str| format!("2027-02-10,count,heap,{tons},{order}\n");
    let log = |lines: &[String]| farm(&kit::NC).lines(&format!("date,what,lot,tons,order\n{}", lines.concat()));
    for order in ["after", "before"] {
        let (more, less) = (line("60", order), line("55", order));
        for lines in [[more.clone(), less.clone()], [less.clone(), more.clone()]] {
            let plan = planned(&log(&lines));
            assert_eq!(lot(&plan)[1], 110_000, "{order}");
            let found = checked(&log(&lines)).found("count-twice");
            assert!(found.len() == 1 && found[0].contains("55.00 tons, 60.00 tons"), "{found:?}");
        }
    }
    // One before and one after its day's entries, or two that agree, are none.
    for lines in [[line("60", "before"), line("55", "after")], [line("55", "after"), line("55", "after")]] {
        assert!(checked(&log(&lines)).found("count-twice").is_empty());
        assert_eq!(lot(&planned(&log(&lines)))[1], 110_000);
    }
}

/// A planned clean-out that is over, in the time that the log holds, has no year to doubt; one
/// before it may have a slip in it.
#[test]
fn a_clean_out_that_is_over_has_no_year_to_doubt() {
    for place in PLACES {
        let farm = farm(place).with("litter.heap.counted_on", "2027-02-01");
        let houses = houses(json!([out("2025-03-01", "60 tons"), out("2017-03-01", "60 tons")]));
        let farm = farm.with("houses", houses).with("plan.as_of", "2027-03-10");
        let told = |farm: &Farm| checked(farm).found("unusual");
        assert_eq!(told(&farm).iter().filter(|found| found.contains("a clean-out is planned")).count(), 2);
        let kept = farm.lines("date,what,inches\n2025-02-21,rain,0.2\n");
        let told = told(&kept);
        assert!(told.iter().any(|found| found.contains("2017-03-01")), "{}: {told:?}", place.key);
        assert!(!told.iter().any(|found| found.contains("2025-03-01")), "{}: {told:?}", place.key);
    }
}
