//! Litter that is sold and that must leave: what is said of it holds day by day, and in
//! the money.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Dice, Farm, LOTS, PLACES, Planned, checked, fit, houses, made, planned, trading};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use sward::findings::Severity;
use sward::plan::answer::MustGo;
use sward::plan::days::{self, FlagKind};

#[test]
fn what_goes_out_before_a_day_has_come_by_then() {
    let mut seen = [0; 6];
    let farms = std::env::var_os("SWARD_CASES").map_or(10, |farms| farms.to_str().unwrap().parse().unwrap());
    for seed in 0..farms {
        let mut dice = Dice::of_case(seed);
        let (farm, come) = trading(&mut dice);
        let plan = planned(&farm);
        let sum = |list: &Value, key: &str| -> i64 {
            list.as_array().unwrap().iter().map(|row| row[key].as_i64().unwrap()).sum()
        };
        let sold_in_all = sum(&plan.json["sales"], "pounds");
        let used_in_all = sum(&plan.json["lots"], "planned");
        let mut gone = [0; 2];
        for row in plan.json["by_when"].as_array().unwrap() {
            let lots: &[usize] = match row["about"].as_str().unwrap() {
                "shed" => &[1],
                "barn" => &[0],
                _ => &[0, 1],
            };
            let by = row["by"].as_str().unwrap();
            let before = |day: &String| day.as_str() <= by;
            let came: i64 =
                lots.iter().flat_map(|lot| &come[*lot]).filter(|(day, _)| before(day)).map(|(_, lb)| lb).sum();
            let [spread, sold, lying, room, must, waits] =
                ["spread", "sold", "lying", "room", "must_leave", "waits"].map(|key| row[key].as_i64().unwrap());
            assert!(spread + sold <= came, "seed {seed}: {row} of {came}\n{}", plan.text);
            assert!(spread <= used_in_all && sold <= sold_in_all, "seed {seed}: {row}");
            assert_eq!(must + waits, (lying - room - spread - sold).max(0), "seed {seed}: {row}");
            for part in row["from_lots"].as_array().unwrap() {
                let lot = LOTS.iter().position(|lot| part["lot"] == *lot).unwrap();
                gone[lot] += part["pounds"].as_i64().unwrap();
            }
            seen[0] += 1;
            seen[1] += usize::from(sold > 0);
            seen[2] += usize::from(spread > 0);
        }
        // Tons in are spread, sold, got rid of or kept, each of them once.
        for (at, lot) in plan.json["lots"].as_array().unwrap().iter().enumerate() {
            let [on_hand, coming, planned, sold, left] =
                ["on_hand", "coming", "planned", "sold", "left"].map(|key| lot[key].as_i64().unwrap());
            let kept = on_hand + coming - planned - sold - gone[at];
            assert!(kept >= 0 && kept == left - gone[at], "seed {seed}: {lot}, {} must leave", gone[at]);
        }
        let must: i64 = gone.iter().sum();
        assert_eq!(plan.json["leftover"]["over"].as_i64(), Some(must), "seed {seed}");
        seen[4] += usize::from(must > 0);
        let codes = kit::verdict_texts(&plan.text, &farm);
        assert!(codes.is_empty(), "seed {seed}: {codes}");
        seen[5] += claims(&plan, &farm, seed);
        seen[3] += told_alike(&plan, seed);
    }
    assert!(seen.iter().all(|n| *n > 2), "{seen:?}");
}

/// What the plan says of full storages and what it warns of, `days` says too: so many
/// days on which something must be done.
fn told_alike(plan: &Planned, seed: u64) -> usize {
    let (made, _) = sward::audit::read("plan.json", &plan.text).unwrap_or_else(|f| panic!("{f:?}"));
    let calendar = days::days(&made, &plan.ready, made.from, &days::lost(&plan.ready));
    let Some(calendar) = calendar else { return 0 };
    let flags = calendar.flags.iter().filter(|flag| flag.kind == FlagKind::Storage).map(|flag| flag.found.clone());
    let due = made.by_when.iter().filter(|row| row.why == MustGo::Room && (row.presses() || row.sold.0 > 0));
    let rows: Vec<String> = due.map(|row| row.sentence()).collect();
    assert_eq!(flags.collect::<Vec<_>>(), rows, "seed {seed}");
    let warned = made.findings.iter().filter(|found| found.severity == Severity::Warning);
    let page = kit::flat(&sward::write::days(&calendar, 80));
    let all = warned.map(|found| found.found.as_str()).chain(rows.iter().map(String::as_str));
    for said in all {
        assert!(page.contains(said), "seed {seed}: {said}\n{page}");
    }
    rows.len()
}

/// What is said of the choice is true in the money that is shown, and no other way to
/// sell is worth more than it says; how many other ways were tried.
fn claims(plan: &kit::Planned, farm: &Farm, seed: u64) -> usize {
    let money = |of: &str| plan.json["money"][of].as_f64().unwrap();
    let proof = |plan: &kit::Planned, of: &str| plan.json["choice"]["proof"][of].as_f64().unwrap();
    // What no plan is worth more than: of those in whole fields, or in parts too.
    let bound_of = |plan: &kit::Planned, parted: bool| proof(plan, if parted { "in_parts" } else { "bound" });
    let worth = money("replaced") - money("spreading") + money("sold") - money("disposal");
    assert!((worth - proof(plan, "worth")).abs() < 1.5, "seed {seed}: {worth} is not {}", proof(plan, "worth"));
    let mut tried = 0;
    if plan.json["sales"].as_array().unwrap().is_empty() {
        return tried;
    }
    for only in LOTS.into_iter().filter(|_| seed.is_multiple_of(4)) {
        let main: Value = serde_json::from_str(&farm.main()).unwrap();
        // An outlet that never took the lot is left out: what this farm may not sell is no
        // other way to sell on it. Nor is a farm without outlets, on which nobody pays to get
        // rid of litter.
        let mut outlets: Vec<Value> = main["outlets"].as_array().unwrap().clone();
        outlets.retain(|outlet| outlet["lots"].as_array().is_none_or(|lots| lots.contains(&json!(only))));
        if outlets.is_empty() {
            continue;
        }
        outlets.iter_mut().for_each(|outlet| outlet["lots"] = json!([only]));
        let other = planned(&farm.clone().with("outlets", outlets));
        // What waits in a full storage costs nothing by the money, and in the bound as much as
        // what leaves; the page says so.
        // One that does fields in parts is no better than what those may gain.
        let parted = other.json["in_parts"].is_object();
        let (other, bound) = (proof(&other, "worth") - 4.0 * waiting(&other), bound_of(plan, parted));
        assert!(other <= bound + 0.02, "seed {seed}: {only} alone is worth {other}, over {bound}");
        tried += 1;
    }
    if seed.is_multiple_of(4) {
        let other = planned(&apart(farm));
        let parted = other.json["in_parts"].is_object();
        let (worth, bound) = (proof(&other, "worth") - 4.0 * waiting(&other), bound_of(plan, parted));
        assert!(worth <= bound + 0.02, "seed {seed}: apart is worth {worth}, over {bound}");
    }
    tried
}

/// The same farm on which every outlet takes a part of its most from each lot, no more.
fn apart(farm: &Farm) -> Farm {
    let main: Value = serde_json::from_str(&farm.main()).unwrap();
    let of = |outlet: &Value| -> Vec<Value> {
        let tons = |most: &Value| most.as_str().unwrap().split(' ').next().unwrap().parse::<f64>().unwrap();
        let share = |(n, lot): (usize, &str)| {
            let mut part = outlet.clone();
            (part["name"], part["lots"]) = (json!(format!("{} {n}", outlet["name"].as_str().unwrap())), json!([lot]));
            if let Some(most) = outlet.get("most") {
                part["most"] = json!(format!("{} tons", tons(most) * [0.4375, 0.5625][n]));
            }
            part
        };
        match outlet.get("lots") {
            Some(_) => vec![outlet.clone()],
            None => LOTS.into_iter().enumerate().map(share).collect(),
        }
    };
    let outlets: Vec<Value> = main["outlets"].as_array().unwrap().iter().flat_map(of).collect();
    farm.clone().with("outlets", outlets)
}

/// Tons by which more is at one time without room than leaves in all, storage by storage.
fn waiting(plan: &Planned) -> f64 {
    let rows = plan.json["by_when"].as_array().unwrap().iter().filter(|row| row["why"] == "room");
    let mut stores: BTreeMap<&str, (i64, i64)> = BTreeMap::new();
    for row in rows {
        let [must, waits] = ["must_leave", "waits"].map(|key| row[key].as_i64().unwrap());
        let (gone, most) = stores.entry(row["about"].as_str().unwrap()).or_default();
        *gone += must;
        *most = (*most).max(*gone + waits);
    }
    stores.values().map(|(gone, most)| (most - gone) as f64 / 2_000.0).sum()
}

/// A yard for 120 tons with 30 of cake, to which cake comes all year, and 190 of the heap on
/// one day in April: what the heap gives in fall has to lie in it until then.
#[test]
fn what_comes_later_makes_no_room_for_what_lies_there() {
    let place = PLACES[0];
    let cake = |date: &str| json!({"date": date, "tons": "40 tons", "lot": "cake"});
    let mut outs = vec![json!({"date": "2027-04-12", "tons": "190 tons", "lot": "heap"})];
    outs.extend(["2027-06-21", "2027-08-23", "2027-10-25"].map(cake));
    let farm = Farm::new(place).lot("cake").field("B").field("C").field("D");
    let farm = farm
        .with("plan.to", "2027-12-15")
        .with("litter.heap.on_hand", "40 tons")
        .with("litter.cake.on_hand", "30 tons")
        .with("houses", houses(outs.into()))
        .with("storage", json!([{"name": "yard", "room": "120 tons", "lots": ["heap", "cake"]}]))
        .with("outlets", json!([{"name": "the gin", "price": "6 $/ton", "most": "60 tons"}]))
        .with("prices.disposal", "6 $/ton");
    let one = planned(&farm);
    let rows = one.json["by_when"].as_array().unwrap();
    let april = rows.iter().find(|row| row["by"] == "2027-04-12");
    assert!(april.is_none_or(|row| row["waits"] == 0), "{}: {rows:?}", place.key);
    assert!(rows.iter().any(|row| row["must_leave"] != 0));
    let of = |plan: &Planned, of: &str| plan.json["choice"]["proof"][of].as_f64().unwrap();
    let other = planned(&apart(&farm));
    let (worth, bound) = (of(&other, "worth"), of(&one, "bound"));
    assert!(worth - 6.0 * waiting(&other) <= bound + 0.02, "apart is worth {worth}, over {bound}");
    assert!(kit::verdict_codes(&one.text, &farm).is_empty());
}

/// Four tons a day on two days of five never get the cake of a fall job out in time: what
/// the calendar cannot place is still that field's litter, and nothing that must leave.
#[test]
fn what_does_not_fit_into_its_window_is_still_held_for_it() {
    let out = json!([{"date": "2027-09-23", "tons": "86 tons", "lot": "cake"}]);
    let farm = Farm::new(&kit::VA).field("B").lot("cake");
    let farm = farm
        .with("plan.to", "2027-11-30")
        .with("houses", houses(out))
        .with("prices.loading_spreading", "2 $/ton")
        .with("prices.disposal", "4 $/ton")
        .with("litter.heap.on_hand", "28 tons")
        .with("litter.cake.on_hand", "50 tons")
        .with("litter.cake.analysis.total_n", "50 lb/ton")
        .with("storage", json!([{"name": "yard", "room": "11 tons", "lots": ["heap", "cake"]}]))
        .with("outlets", json!([{"name": "the gin", "price": "2 $/ton", "from": "2027-07-09", "to": "2027-09-13"}]))
        .with("days", json!({"tons_per_day": "4 tons", "fit": fit("40 %")}));
    let plan = planned(&farm);
    let (made, _) = sward::audit::read("plan.json", &plan.text).unwrap();
    let calendar = days::days(&made, &plan.ready, made.from, &[]).unwrap();
    assert!(calendar.rows.iter().any(|row| row.unfit.0 > 0 && row.lot == "cake"), "{:?}", calendar.rows);
    let cake = plan.lot("cake");
    let kept = ["on_hand", "coming"].iter().map(|key| cake[*key].as_i64().unwrap()).sum::<i64>()
        - ["planned", "sold"].iter().map(|key| cake[*key].as_i64().unwrap()).sum::<i64>();
    let rows = plan.json["by_when"].as_array().unwrap();
    let parts = rows.iter().flat_map(|row| row["from_lots"].as_array().unwrap());
    let gone: i64 = parts.filter(|part| part["lot"] == "cake").map(|part| part["pounds"].as_i64().unwrap()).sum();
    assert!(gone > 0 && gone <= kept, "{gone} of {kept}: {rows:?}");
    assert!(kit::verdict_codes(&plan.text, &farm).is_empty());
}

/// 100 tons and 22 of compost in a barn for 200, into which 300 tons come on a day in June.
fn overfull(place: &'static kit::Place, outlet: Value) -> Farm {
    let out = json!([{"date": "2027-06-14", "tons": "300 tons", "lot": "heap"}]);
    Farm::new(place)
        .lot("dead")
        .with("plan.to", "2027-11-30")
        .with("litter.dead.kind", "carcass compost")
        .with("litter.dead.on_hand", "22 tons")
        .with("litter.heap.on_hand", "100 tons")
        .with("houses", houses(out))
        .with("storage", json!([{"name": "barn", "room": "200 tons", "lots": ["heap", "dead"]}]))
        .with("outlets", json!([outlet]))
        .with("prices.disposal", "5 $/ton")
        .with("fertilizer", json!([{"name": "urea", "analysis": "46-0-0", "price": "520 $/ton"}]))
}

#[test]
fn what_is_sold_in_time_is_not_got_rid_of_as_well() {
    for place in PLACES {
        let plan = planned(&overfull(place, json!({"name": "the yard", "price": "4 $/ton"})));
        let rows = plan.json["by_when"].as_array().unwrap();
        assert!(!rows.is_empty() && rows.iter().all(|row| row["must_leave"] == 0 && row["waits"] == 0), "{rows:?}");
        assert_eq!((&plan.json["money"]["disposal"], plan.lot("heap")["left"].as_i64()), (&json!(0.0), Some(0)));
        // An outlet that takes less leaves a rest, and what must leave is a part of it.
        let farm = overfull(place, json!({"name": "the yard", "price": "4 $/ton", "most": "50 tons"}));
        let plan = planned(&farm);
        let left: i64 = ["heap", "dead"].iter().map(|id| plan.lot(id)["left"].as_i64().unwrap()).sum();
        let over = plan.json["leftover"]["over"].as_i64().unwrap();
        let rid = plan.json["money"]["disposal"].as_f64().unwrap();
        assert!(over > 0 && over <= left && (rid - over as f64 / 400.0).abs() < 0.01, "{over} of {left} for {rid}");
        // Without litter spread, more must leave for the same price.
        let bill = |of: &str| plan.json["buy"][of]["disposal"].as_f64().unwrap();
        assert!(bill("without_litter") > bill("with_litter"), "{}", plan.json["buy"]);
        assert!(kit::verdict_codes(&plan.text, &farm).is_empty());
        let doubled = plan.text.replace(&format!("\"must_leave\": {over}"), &format!("\"must_leave\": {}", left + 2));
        assert!(doubled != plan.text && kit::verdict_codes(&doubled, &farm).contains("room"), "{}", place.key);
    }
}

#[test]
fn what_may_not_be_sold_stays_from_year_to_year() {
    let made = made(&overfull(&kit::NC, json!({"name": "the yard", "price": "4 $/ton", "most": "50 tons"})));
    let chooser = sward::plan::LeastCost::default();
    let years = sward::plan::years::years(&made.ready, &made.tables, &made.ground, &chooser, 3);
    let rows = sward::plan::years::rows(&years);
    for pair in rows.windows(2) {
        for (lot, next) in pair[0].lots.iter().zip(&pair[1].lots) {
            assert!(lot.leaves <= lot.left + lot.comes_after, "{lot:?}");
            assert_eq!(lot.left + lot.comes_after - lot.leaves, next.opening, "{lot:?}");
        }
        let dead = |row: &sward::plan::answer::YearRow| row.lots.iter().find(|lot| lot.id == "dead").cloned().unwrap();
        assert_eq!(dead(&pair[1]).opening, dead(&pair[0]).left);
        assert!(pair[0].leaving.iter().any(|gone| gone.pounds.0 > 0), "{:?}", pair[0].leaving);
    }
}

/// 400 tons in spring, one outlet that takes 96 of them to the end of April, and urea.
fn selling(place: &'static kit::Place) -> Farm {
    let outlets =
        json!([{"name": "the gin", "price": "9 $/ton", "most": "96 tons", "from": "2027-02-15", "to": "2027-04-30"}]);
    let urea = json!([{"name": "urea", "analysis": "46-0-0", "price": "520 $/ton"}]);
    let farm = Farm::new(place).with("outlets", outlets).with("fertilizer", urea);
    farm.with("litter.heap.on_hand", "400 tons").with("litter.heap.counted_on", "2027-01-31")
}

#[test]
fn outlets_alone_say_what_litter_sells_for() {
    for place in PLACES {
        let (with, alone) = ("4 $/ton".into(), Value::Null);
        let [with, alone] =
            [with, alone].map(|price: Value| planned(&selling(place).with("prices.litter_sold", price)));
        let idle = |farm: &Farm| checked(farm).found("no-effect").iter().any(|found| found.contains("`outlets`"));
        assert!(!idle(&selling(place).with("prices.litter_sold", Value::Null)));
        assert_eq!(alone.json["sales"][0]["pounds"], 192_000, "{}", alone.json["sales"]);
        for of in ["sales", "money", "choice", "leftover"] {
            assert_eq!(alone.json[of], with.json[of], "{}: {of}", place.key);
        }
        // Without outlets the price is needed, and its line is told.
        let neither = selling(place).with("outlets", Value::Null).with("prices.litter_sold", Value::Null);
        assert!(checked(&neither).codes().contains("key-missing"));
        // Outlets that nobody can weigh, because there are no prices, are told.
        assert!(idle(&selling(place).with("prices", Value::Null)));
    }
}

#[test]
fn an_outlet_pays_for_no_more_than_it_takes_and_in_its_days() {
    let hauls = |rows: &[(&str, i64)]| {
        let lines: Vec<String> = rows.iter().map(|(day, tons)| format!("{day},haul,heap,,{tons},,,,the gin")).collect();
        format!("date,what,lot,field,tons,tickets,sure,acres,to\n{}", lines.join("\n"))
    };
    for place in PLACES {
        let plan = |rows: &[(&str, i64)]| planned(&selling(place).lines(&hauls(rows)));
        let sold = |plan: &Planned| plan.json["money"]["done"]["sold"].as_f64().unwrap();
        let to_go = |plan: &Planned| {
            plan.json["sales"].as_array().unwrap().iter().map(|s| s["pounds"].as_i64().unwrap()).sum::<i64>()
        };
        // 60 of 96 tons are gone: 36 may still go.
        let some = plan(&[("2027-03-01", 60)]);
        assert_eq!((sold(&some), to_go(&some)), (540.0, 72_000), "{}", some.json["sales"]);
        let over = plan(&[("2027-03-01", 60), ("2027-03-20", 50)]);
        assert_eq!((sold(&over), to_go(&over)), (864.0, 0));
        assert!(over.codes().contains("outlet-over") && !over.codes().contains("outlet-late"));
        let late = plan(&[("2027-03-01", 60), ("2027-05-05", 50)]);
        assert_eq!((sold(&late), to_go(&late)), (540.0, 0));
        assert!(late.codes().contains("outlet-late") && late.codes().contains("outlet-ended"));
        // What went before its first day was another year's.
        let early = plan(&[("2027-02-02", 60)]);
        assert_eq!(to_go(&early), 192_000);
    }
}

/// An outlet with no days of its own takes its most in every calendar year: the log's hauls of
/// another year leave it whole, and those of the year are named with what is left.
#[test]
fn what_an_outlet_takes_holds_for_its_days_or_for_the_calendar_year() {
    let free = |place, days: Value| {
        let mut outlet = json!({"name": "the gin", "price": "9 $/ton", "most": "96 tons"});
        days.as_object().unwrap().iter().for_each(|(key, day)| outlet[key] = day.clone());
        selling(place).with("outlets", json!([outlet]))
    };
    let log = |rows: &[&str]| format!("date,what,lot,field,tons,tickets,sure,acres,to\n{}", rows.join("\n"));
    let haul = |day: &str, tons: i64| format!("{day},haul,heap,,{tons},,,,the gin");
    let sums = |plan: &Planned| {
        let mut sums: BTreeMap<String, i64> = BTreeMap::new();
        for sale in plan.json["sales"].as_array().unwrap() {
            let year = sale["first"].as_str().unwrap()[..4].to_string();
            assert_eq!(sale["last"].as_str().unwrap()[..4], year, "{sale}");
            *sums.entry(year).or_default() += sale["pounds"].as_i64().unwrap();
        }
        sums
    };
    for place in PLACES {
        // The year before, and the year of the plan.
        let farm = free(place, json!({})).lines(&log(&[&haul("2026-11-12", 96), &haul("2027-03-01", 40)]));
        let plan = planned(&farm);
        assert_eq!(sums(&plan), BTreeMap::from([("2027".to_string(), 112_000)]));
        assert!(!plan.codes().contains("outlet-over"), "{:?}", plan.codes());
        let page = kit::flat(&sward::write::plan(&made(&farm).audited, 80));
        let said = "the gin took 40.00 of its 96.00 tons of 2027 by the log; the plan sells it 56.00 tons more.";
        assert_eq!(page.matches(said).count(), 2, "{page}");
        // A plan that runs into the next year sells the most of each.
        let both = BTreeMap::from([("2027".to_string(), 192_000), ("2028".to_string(), 192_000)]);
        assert_eq!(sums(&planned(&free(place, json!({})).with("plan.to", "2028-02-10"))), both);
        // Days of its own with a first and a last one hold one most, across the years too.
        let own = json!({"from": "2026-11-01", "to": "2027-04-30"});
        let held = planned(&free(place, own).lines(&log(&[&haul("2026-11-12", 60)])));
        assert_eq!(sums(&held).values().sum::<i64>(), 72_000);
        assert_eq!(held.json["outlets"][0]["taken"], 120_000);
        // The audit knows it by itself.
        let codes = |wrong: [&str; 2]| {
            let text = plan.text.replace(wrong[0], wrong[1]);
            assert!(text != plan.text);
            kit::verdict_codes(&text, &farm)
        };
        assert!(codes(["\"taken\": 80000", "\"taken\": 0"]).contains("outlet"));
        assert!(codes(["112000", "192000"]).contains("outlet"));
    }
}

/// Year by year the most is taken once in a calendar year, also where a plan runs over its end.
#[test]
fn years_sell_an_outlet_its_most_of_each_calendar_year_once() {
    for place in PLACES {
        let outlets = json!([{"name": "the gin", "price": "9 $/ton", "most": "60 tons"}]);
        let farm = selling(place).with("outlets", outlets).with("plan.to", "2028-02-10");
        let made = made(&farm);
        let chooser = sward::plan::LeastCost::default();
        let years = sward::plan::years::years(&made.ready, &made.tables, &made.ground, &chooser, 3);
        let mut sold: BTreeMap<i16, i64> = BTreeMap::new();
        for sale in years.iter().flat_map(|year| &year.plan.sales) {
            assert_eq!(sale.first.year(), sale.last.year());
            *sold.entry(sale.first.year()).or_default() += sale.pounds.0;
        }
        assert!(sold.len() > 1 && sold.values().all(|pounds| *pounds <= 120_000), "{}: {sold:?}", place.key);
        assert_eq!((sold[&2027], sold[&2028]), (120_000, 120_000));
    }
}

#[test]
fn what_is_compared_without_litter_is_said() {
    for place in PLACES {
        let page = |farm: &Farm| {
            let made = made(farm);
            (kit::flat(&sward::write::plan(&made.audited, 80)), made.audited.plan().buy.clone().unwrap())
        };
        let (text, buy) = page(&selling(place));
        assert!(
            text.contains("Without litter, the outlets take what they can of it, the rest brings nothing"),
            "{text}"
        );
        assert_eq!((buy.without_litter.litter_sold, buy.without_litter.litter_left), (Some(864.0), Some(0.0)));
        let shed = selling(place).with("outlets", Value::Null).with("prices.litter_sold", "4 $/ton");
        let (text, buy) = page(&shed);
        assert!(text.contains("Without litter, all of it is sold at the shed"), "{text}");
        assert_eq!((buy.without_litter.litter_sold, buy.without_litter.litter_left), (None, Some(1_600.0)));
        for bill in [buy.with_litter, buy.without_litter] {
            let get = |part: Option<f64>| part.unwrap_or(0.0);
            let fields = bill.fertilizer + bill.fertilizer_spreading + bill.short - bill.ahead;
            let spent = fields + get(bill.litter_spreading) + get(bill.hauling);
            let total = spent - get(bill.litter_left) - get(bill.litter_sold);
            assert!((bill.total - total).abs() < 0.005, "{bill:?}");
        }
    }
}

/// A farm that moved on to another year without its clean-outs is asked about them; one
/// whose next clean-out waits a few months is not.
#[test]
fn houses_without_a_clean_out_in_the_plan_are_asked_about() {
    let codes = |day: &str| {
        let outs = json!([{"date": day, "lot": "heap", "tons": "90 tons"}]);
        checked(&selling(PLACES[0]).with("houses", houses(outs))).codes()
    };
    assert!(codes("2025-06-14").contains("no-clean-out"));
    assert!(!codes("2026-11-10").contains("no-clean-out") && !codes("2027-04-20").contains("no-clean-out"));
    // One that was put off is named by the day that it moved to.
    let outs = json!([{"date": "2025-06-14", "lot": "heap", "tons": "90 tons"}]);
    let put_off = "date,what,house,planned,new_day\n2025-06-15,put-off,north,2025-06-14,2025-07-20\n";
    let told = checked(&selling(PLACES[0]).with("houses", houses(outs)).lines(put_off)).found("no-clean-out");
    assert!(told.len() == 1 && told[0].contains("the last is of 2025-07-20"), "{told:?}");
}

/// Without litter the outlets take what pays most, whichever lot stands first: the dearer one
/// leaves to the other what only that takes of.
#[test]
fn without_litter_outlets_take_what_pays_most() {
    for place in PLACES {
        for (only, other) in [("heap", "cake"), ("cake", "heap")] {
            let outlets = json!([{"name": "the gin", "price": "16 $/ton", "most": "600 tons"},
                {"name": "the dealer", "price": "3 $/ton", "lots": [only]}]);
            let urea = json!([{"name": "urea", "analysis": "46-0-0", "price": "520 $/ton"}]);
            let farm = Farm::new(place).lot("cake").with("outlets", outlets).with("fertilizer", urea);
            let plan = planned(&farm);
            let sold = plan.json["buy"]["without_litter"]["litter_sold"].as_f64().unwrap();
            // 500 tons of each: the gin takes all 500 of the other lot and 100 of this one.
            let by_hand = 600.0 * 16.0 + 400.0 * 3.0;
            assert!((sold - by_hand).abs() < 0.01, "{}, {only} and {other}: {sold}", place.key);
        }
    }
}
