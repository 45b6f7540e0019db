//! What a year's log of a farm holds: stock that nobody took off, several entries of one
//! day, clean-outs that are done or whose year is over.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Farm, PLACES, Place, checked, flat, houses, made, own_figure, planned, sward};
use serde_json::{Value, json};

/// Fescue over spring and fall, on a day.
fn farm(place: &'static Place, as_of: &str) -> Farm {
    Farm::new(place).with("plan.to", "2027-11-30").with("plan.as_of", as_of)
}

/// The same with so much nitrogen at once, by the planner.
fn capped(place: &'static Place, at_once: f64) -> Farm {
    let mut said = Vec::new();
    if place.asks_needs {
        said.extend(["p2o5_need", "k2o_need"].map(|topic| own_figure(topic, "50 lb/ac")));
    }
    said.push(own_figure("n_at_once", &format!("{at_once} lb/ac")));
    farm(place, "2027-04-30").with("figures", said)
}

#[test]
fn stock_that_nobody_took_off_is_planned_with_in_later_years() {
    for place in PLACES {
        for lines in ["2027-06-20,graze,,A,,,,\n", "2027-06-20,head,,A,,,12,cows\n"] {
            let log = format!("date,what,lot,field,tons,until,head,animal\n{lines}");
            let folder = farm(place, "2027-06-22").field("B").lines(&log).folder();
            let ended = sward(folder.path(), &["plan", "--years", "3"]);
            assert_eq!(ended.code, 0, "{}: {}{}", place.key, ended.out, ended.err);
            assert!(flat(&ended.out).contains("off it after the first plan's last day"), "{}", ended.out);
        }
    }
}

/// What is told of nitrogen at once on a day, by check and by the audit.
fn at_once(farm: &Farm) -> (Vec<String>, Vec<String>) {
    let made = made(farm);
    let plan = made.audited.plan();
    let told = plan.findings.iter().filter(|f| f.code == "logged-at-once").map(|f| f.found.clone()).collect();
    let verdicts = serde_json::to_value(sward::audit::verdicts(plan, &made.ready, &made.tables)).unwrap();
    let over =
        verdicts["fields"].as_array().unwrap().iter().flat_map(|f| f["log_over"].as_array().into_iter().flatten());
    let by_audit = over.map(Value::to_string).filter(|found| found.contains("at once on")).collect();
    (told, by_audit)
}

#[test]
fn what_goes_on_in_one_day_goes_on_at_once() {
    const NAMES: &str = "date,what,lot,field,tons,acres,grade,rate,product\n";
    for place in PLACES {
        let bare = planned(&farm(place, "2027-02-15"));
        let acres = bare.number("A", "/acres");
        // Tons over the whole field that bring 40 lb/ac.
        let tons = acres * 40.0 / bare.figures().available(20.0, 4.0);
        let litter = |day: &str, acres: &str| format!("{day},spread,heap,A,{tons:.2},{acres},,,\n");
        let urea = |day: &str| format!("{day},fertilizer,,A,,,46-0-0 %,87 lb/ac,urea\n");
        let half = format!("{:.2}", acres / 2.0);
        for (lines, over) in [
            (litter("2027-03-02", ""), false),
            (urea("2027-03-02"), false),
            (litter("2027-03-02", "") + &litter("2027-03-02", ""), true),
            (litter("2027-03-02", "") + &litter("2027-03-03", ""), false),
            (litter("2027-03-02", "") + &urea("2027-03-02"), true),
            (urea("2027-03-02") + &litter("2027-03-02", ""), true),
            (urea("2027-03-02") + &litter("2027-03-03", ""), false),
            (urea("2027-03-02") + &urea("2027-03-02"), true),
            // Half by half: 80 lb/ac on each, not 160.
            (litter("2027-03-02", &half), true),
        ] {
            let (told, by_audit) = at_once(&capped(place, 60.0).lines(&format!("{NAMES}{lines}")));
            assert_eq!(
                (told.len(), by_audit.len()),
                (usize::from(over), usize::from(over)),
                "{}: {lines} {told:?} {by_audit:?}",
                place.key
            );
            assert!(
                told.iter().all(|found| found.contains("shows 80.0 lb/ac")
                    || found.contains("shows 79.9 lb/ac")
                    || found.contains("shows 80.1 lb/ac")),
                "{told:?}"
            );
        }
        // Halves that lie beside each other are not added.
        let halves = litter("2027-03-02", &half) + &litter("2027-03-02", &half);
        let (told, by_audit) = at_once(&capped(place, 90.0).lines(&format!("{NAMES}{halves}")));
        assert_eq!((told, by_audit), (Vec::new(), Vec::new()), "{}", place.key);
    }
}

fn with_house(farm: Farm, outs: Value) -> Farm {
    let farm = farm.with("litter.heap.counted_on", "2027-01-31");
    farm.with("houses", houses(outs))
}

const OUTS: &str = "date,what,lot,field,tons,house,planned,new_day\n";

#[test]
fn a_clean_out_that_was_done_comes_no_second_time() {
    for place in PLACES {
        let out = json!([{"date": "2027-06-14", "tons": "100 tons", "lot": "heap"}]);
        let coming = |lines: &str| {
            let farm = with_house(farm(place, "2027-08-20"), out.clone()).lines(&format!("{OUTS}{lines}"));
            let checked = checked(&farm);
            (checked.ready.as_ref().map(|ready| ready.coming.len()), checked.codes())
        };
        let done = "2027-06-15,clean-out,heap,,98,north,,\n";
        let late = "2027-08-10,put-off,,,,north,2027-06-14,2027-10-10\n";
        for lines in [format!("{done}{late}"), format!("{late}{done}")] {
            let (left, codes) = coming(&lines);
            assert!(left == Some(0) && codes.contains("put-off-done"), "{}: {left:?} {codes:?}", place.key);
        }
        // One that was put off before it was done, about its new day, is the one put off.
        let (left, codes) =
            coming("2027-06-10,put-off,,,,north,2027-06-14,2027-06-28\n2027-06-29,clean-out,heap,,98,north,,\n");
        assert!(left == Some(0) && !codes.contains("put-off-done"), "{}: {left:?} {codes:?}", place.key);
        let (left, codes) = coming(late);
        assert!(left == Some(1) && !codes.contains("put-off-done"), "{}: {left:?} {codes:?}", place.key);
    }
}

#[test]
fn a_put_off_of_a_clean_out_that_farm_yaml_no_longer_has_stops_nothing_once_it_is_over() {
    for place in PLACES {
        let out = json!([{"date": "2027-10-14", "tons": "100 tons", "lot": "heap"}]);
        let codes = |as_of: &str| {
            let line = "2027-05-10,put-off,,,,north,2027-05-14,2027-06-10\n";
            let checked = checked(&with_house(farm(place, as_of), out.clone()).lines(&format!("{OUTS}{line}")));
            (checked.ready.is_some(), checked.findings.has_errors(), checked.codes().contains("log-put-off"))
        };
        assert_eq!(codes("2027-08-20"), (true, false, true), "{}", place.key);
        // Before its new day somebody may have named the wrong one.
        assert!(codes("2027-05-20").1, "{}", place.key);
    }
}

const STOCK: &str = "date,what,lot,field,tons,until,head,animal,protein,moisture\n";

/// A farm with 20 cow-calf pairs on two fields.
fn with_herd(place: &'static Place, as_of: &str, lines: &str) -> Farm {
    let herd = json!([{"kind": "cow-calf pairs", "head": 20, "fields": ["A", "B"]}]);
    farm(place, as_of).field("B").with("livestock", herd).lines(&format!("{STOCK}{lines}"))
}

#[test]
fn stock_that_an_entry_ends_unsaid_is_told() {
    for place in PLACES {
        for (lines, code) in [
            ("2027-04-01,graze,,A,,,20,cows,,\n2027-06-01,cut,,A,12,,,,,15 %\n", "log-cut-stock"),
            ("2027-04-01,graze,,A,,2027-07-01,20,cows,,\n2027-06-01,cut,,A,12,,,,,15 %\n", "log-cut-stock"),
            ("2027-04-01,head,,A,,,20,cows,,\n2027-06-01,cut,,A,12,,,,,15 %\n", "log-cut-stock"),
            ("2027-04-01,graze,,A,,,20,cows,,\n2027-06-01,head,,A,,,0,,,\n2027-06-01,cut,,A,12,,,,,15 %\n", ""),
            ("2027-04-01,graze,,A,,2027-05-01,20,cows,,\n2027-06-01,cut,,A,12,,,,,15 %\n", ""),
            ("2027-04-01,graze,,A,,,20,cows,,\n2027-05-05,graze,,A,,2027-05-12,10,cows,,\n", "log-graze-ends"),
            ("2027-04-01,graze,,A,,,20,cows,,\n2027-05-05,graze,,A,,,10,cows,,\n", ""),
            ("2027-04-01,graze,,A,,2027-05-01,20,cows,,\n2027-05-05,graze,,A,,2027-05-12,10,cows,,\n", ""),
            ("2027-04-01,graze,,A,,,20,cows,,\n2027-05-01,graze,,B,,,5,cows,,\n", "log-head"),
            ("2027-04-01,graze,,A,,,400,cows,,\n", "log-head"),
            ("2027-04-01,graze,,A,,,15,cows,,\n2027-05-01,graze,,B,,,5,cows,,\n", ""),
            // On one day from one field onto the other, in either order of the lines.
            ("2027-04-01,graze,,A,,,20,cows,,\n2027-05-01,graze,,B,,,20,cows,,\n2027-05-01,head,,A,,,0,,,\n", ""),
            ("2027-04-01,graze,,A,,2027-05-01,20,cows,,\n2027-05-01,graze,,B,,,20,cows,,\n", ""),
            // It was so, and is over.
            ("2027-04-01,graze,,A,,,20,cows,,\n2027-05-01,graze,,B,,,20,cows,,\n2027-05-03,head,,A,,,0,,,\n", ""),
        ] {
            let codes = checked(&with_herd(place, "2027-07-10", lines)).codes();
            let told: Vec<&str> =
                ["log-cut-stock", "log-graze-ends", "log-head"].into_iter().filter(|c| codes.contains(*c)).collect();
            let wanted: Vec<&str> = [code].into_iter().filter(|code| !code.is_empty()).collect();
            assert_eq!(told, wanted, "{}: {lines}", place.key);
        }
    }
}

#[test]
fn hay_whose_protein_is_not_in_the_table_is_told() {
    for place in PLACES {
        for (protein, wanted) in
            [("10 %", None), ("12 %", None), ("18 %", Some("18.0 % on")), ("", Some("without its protein"))]
        {
            let checked =
                checked(&with_herd(place, "2027-07-10", &format!("2027-03-01,feed-hay,,A,5,,,,{protein},\n")));
            let found = checked.found("hay-protein");
            assert_eq!(found.len(), usize::from(wanted.is_some()), "{}: {protein} {found:?}", place.key);
            assert!(wanted.is_none_or(|words| found[0].contains(words)), "{found:?}");
        }
        // Thirty tons to an acre are no feeding.
        let most = checked(&with_herd(place, "2027-07-10", "2027-03-01,feed-hay,,A,300,,,,10 %,\n"));
        assert!(most.findings.has_errors(), "{}: {:?}", place.key, most.codes());
    }
}

#[test]
fn a_cake_out_soon_after_a_clean_out_and_litter_that_nobody_plans_are_told() {
    for place in PLACES {
        for (cake, soon) in [("2027-07-02", true), ("2027-08-20", false)] {
            let out = json!([{"date": "2027-06-14", "tons": "100 tons", "lot": "heap"}]);
            let mut houses = houses(out);
            houses[0]["cake_outs"] = json!([{"date": cake, "tons": "10 tons", "lot": "heap"}]);
            let farm = farm(place, "2027-06-01").with("litter.heap.counted_on", "2027-01-31").with("houses", houses);
            let checked = checked(&farm);
            assert_eq!(checked.codes().contains("cake-soon"), soon, "{}: {:?}", place.key, checked.codes());
            let kept = checked.found("house-keeps");
            assert!(kept.len() == 1 && kept[0].contains("bring 110:"), "{}: {kept:?}", place.key);
            // What came out counts as it was logged, and not as it was planned.
            let farm = farm.with("plan.as_of", "2027-06-20");
            let done = kit::checked(&farm.logged("2027-06-12", "clean-out", "heap", "", "60"));
            let kept = done.found("house-keeps");
            assert!(kept.len() == 1 && kept[0].contains("bring 70:"), "{}: {kept:?}", place.key);
        }
    }
}

#[test]
fn today_tells_of_stock_and_of_a_clean_out_that_is_late() {
    for place in PLACES {
        let out = json!([{"date": "2027-03-01", "tons": "100 tons", "lot": "heap"}]);
        let farm =
            with_house(farm(place, "2027-03-10"), out).lines(&format!("{STOCK}2027-03-02,graze,,A,,,20,cows,,\n"));
        let folder = farm.folder();
        let said = flat(&sward(folder.path(), &["today"]).out);
        assert!(said.contains("WATCH: A: stock has been on it since 2027-03-02"), "{}: {said}", place.key);
        assert!(
            said.contains("planned for 2027-03-01") && said.contains("log it or put it off"),
            "{}: {said}",
            place.key
        );
        // Grazing that began before the plan's first day is in the tally.
        let farm = farm.with("plan.from", "2027-03-05").with("litter.heap.counted_on", "2027-03-01");
        let tally = flat(&sward(farm.folder().path(), &["tally"]).out);
        assert!(tally.contains("grazed from 2027-03-02"), "{}: {tally}", place.key);
    }
}

#[test]
fn needs_that_no_fertilizer_meets_are_named_on_either_side() {
    for place in PLACES {
        let urea = json!([{"name": "urea", "analysis": "46-0-0", "price": "540 $/ton"}]);
        let farm = farm(place, "2027-02-15").with("fertilizer", urea);
        let plan = planned(&farm);
        let buy = &plan.json["buy"];
        let acres = plan.number("A", "/acres");
        let left = plan.number("A", "/left/p2o5");
        let without = buy["unmet_without"]["p2o5"].as_f64().unwrap();
        assert!(left > 1.0 && (without - acres * left).abs() < 1e-6, "{}: {buy}", place.key);
        let said = flat(&sward(farm.folder().path(), &["plan"]).out);
        assert!(said.contains("What no fertilizer here meets, lb: without litter"), "{}: {said}", place.key);
        assert!(!said.contains("every need is met"), "{}: {said}", place.key);
    }
}

#[test]
fn years_of_the_log_make_up_what_yields_lack() {
    for place in PLACES {
        let cuts = "2025-06-01,cut,,A,40,,,,,15 %\n2026-06-01,cut,,A,44,,,,,15 %\n";
        let codes = |lines: &str| {
            let yields = json!([{"year": 2024, "tons": "4 tons/ac"}]);
            let farm = with_herd(place, "2027-03-01", lines).with("fields.A.yield_goal", Value::Null);
            checked(&farm.with("fields.A.yields", yields)).codes()
        };
        assert!(codes("2026-06-01,cut,,A,44,,,,,15 %\n").contains("yield-years"), "{}", place.key);
        assert!(!codes(cuts).contains("yield-years"), "{}: {:?}", place.key, codes(cuts));
    }
}

/// What is bought and what stays short are two sums, in the plan as in years to come.
#[test]
fn what_stays_short_is_no_fertilizer_to_buy() {
    for place in PLACES {
        let urea = json!([{"name": "urea", "analysis": "46-0-0", "price": "500 $/ton"}]);
        let folder = farm(place, "2027-02-15").with("fertilizer", urea).with("litter.heap.on_hand", "0 tons").folder();
        let run = |more: &[&str]| {
            let ended = sward(folder.path(), &[&["plan", "--years", "2"][..], more].concat());
            assert_eq!(ended.code, 0, "{}: {}{}", place.key, ended.out, ended.err);
            ended.out
        };
        let (said, rows) = (flat(&run(&[])), serde_json::from_str::<Value>(&run(&["--json"])).unwrap());
        let money = &rows["years"][0]["money"];
        let of = |name: &str| money[name].as_f64().unwrap_or_default();
        let (all, short) = (of("still_to_buy"), of("stays_short"));
        assert!(short > 50.0 && all > short, "{}: {money}", place.key);
        let words = format!("{:.0} of fertilizer is still to buy; what stays short is worth ${short:.0}", all - short);
        assert!(said.replace(',', "").contains(&words), "{}: {words}: {said}", place.key);
    }
}

/// A pound that litter has replaced costs what it costs in the bill, whatever `prices` say.
#[test]
fn what_litter_replaced_has_the_price_of_the_bill() {
    for place in PLACES {
        let of = |n: &str| {
            let products = json!([{"name": "urea", "analysis": "46-0-0", "price": "500 $/ton"},
                {"name": "phosphate", "analysis": "0-46-0", "price": "600 $/ton"},
                {"name": "potash", "analysis": "0-0-60", "price": "500 $/ton"}]);
            let farm = farm(place, "2027-08-20").with("fertilizer", products).with("prices.n", n);
            let plan = planned(&farm.logged("2027-03-01", "spread", "heap", "A", "15"));
            plan.json["money"]["done"]["replaced"].as_f64().unwrap()
        };
        let (low, high) = (of("0.50 $/lb"), of("0.90 $/lb"));
        assert!(low > 50.0 && (low - high).abs() < 1e-6, "{}: {low} {high}", place.key);
    }
}
