//! Carcass compost is a kind of its own: never where stock grazes or will, never sold
//! or brought as litter, never without an analysis.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Farm, GA, NC, PLACES, Place, checked, flat, passed_limits, planned, sward};
use serde_json::{Value, json};

/// The farm's one lot is carcass compost.
fn farm(place: &'static Place) -> Farm {
    Farm::new(place).with("litter.heap.kind", "carcass compost")
}

fn lines(text: &str) -> String {
    format!("date,what,lot,field,tons,until,to,from\n{text}")
}

#[test]
fn compost_goes_on_hay_and_never_where_stock_grazes() {
    for place in [PLACES[0], PLACES[1], &GA] {
        let hay = planned(&farm(place));
        assert!(hay.rate("A") > 0.0, "{}: hay takes it", place.key);
        let grazed = [
            farm(place).with("fields.A.use", "pasture"),
            farm(place).with("fields.A.use", "hay then grazed"),
            farm(place).with("fields.A.grazed", json!([{"from": "2027-05-25", "to": "2027-05-31"}])),
            farm(place).with("livestock", json!([{"kind": "steers", "head": 20, "fields": ["A"]}])),
            farm(place).lines(&lines("2026-11-02,graze,,A,,2026-12-20,,\n")),
        ];
        for (i, grazed) in grazed.into_iter().enumerate() {
            let plan = planned(&grazed);
            assert!(plan.spread("A").is_empty(), "{}, {i}: {:?}", place.key, plan.spread("A"));
            // A plan for hay is caught by the audit of what is grazed.
            assert!(passed_limits(&hay.text, &grazed).contains("lot"), "{}, {i}", place.key);
            // Litter may go there, but for the days of grazing.
            assert!(planned(&grazed.with("litter.heap.kind", "broiler litter")).rate("A") > 0.0, "{}, {i}", place.key);
        }
        // Grazed long ago: it is hay now.
        let once = farm(place).lines(&lines("2024-11-02,graze,,A,,2024-12-20,,\n"));
        assert!(planned(&once).rate("A") > 0.0, "{}", place.key);
    }
}

#[test]
fn compost_in_the_log_on_grazed_ground_is_told() {
    for place in PLACES {
        let told = |farm: Farm, log: &str| -> Vec<&str> {
            let farm = farm.lines(&lines(log));
            let (codes, tally) = (checked(&farm).codes(), planned(&farm).tally_codes());
            ["log-kept-off", "log-never-sold"]
                .into_iter()
                .filter(|c| codes.contains(*c) && tally.contains(*c))
                .collect()
        };
        let none: Vec<&str> = Vec::new();
        let spread = "2027-03-01,spread,heap,A,10,,,\n";
        assert_eq!(told(farm(place), spread), none, "{}", place.key);
        assert_eq!(told(farm(place).with("fields.A.use", "pasture"), spread), ["log-kept-off"], "{}", place.key);
        // Grazed weeks later, as the log shows.
        assert_eq!(told(farm(place), &format!("{spread}2027-05-01,graze,,A,,2027-05-20,,\n")), ["log-kept-off"]);
        assert_eq!(told(farm(place), "2027-03-01,haul,heap,,10,,a neighbor,\n"), ["log-never-sold"], "{}", place.key);
        assert_eq!(told(farm(place), "2027-03-01,bring,heap,,10,,,a neighbor\n"), ["log-never-sold"], "{}", place.key);
    }
}

#[test]
fn compost_is_never_sold_nor_worth_a_price() {
    for place in PLACES {
        let priced = |farm: Farm| farm.with("prices.litter_sold", "9 $/ton");
        let sold = |farm: &Farm| planned(farm).json["leftover"]["sale_value"].as_f64().unwrap();
        let litter = priced(Farm::new(place));
        assert!(sold(&litter) > 0.0);
        assert!(sold(&priced(farm(place))).abs() < 1e-9, "{}", place.key);
        // Beside litter only the litter counts.
        let both = priced(farm(place)).lot("other");
        let plan = planned(&both);
        let left = |lot: &str| plan.lot(lot)["left"].as_f64().unwrap() / 2_000.0;
        assert!(left("other") > 0.0 && (sold(&both) - left("other") * 9.0).abs() < 1e-6, "{}", place.key);
        let of_lots = plan.json["leftover"]["lots"].as_array().unwrap();
        let asks: Vec<bool> = of_lots.iter().map(|lot| lot["where_to"].is_string()).collect();
        let compost: Vec<bool> = of_lots.iter().map(|lot| lot["lot"] == "heap").collect();
        assert_eq!(asks, compost, "{}", place.key);
        // An outlet takes the litter alone; one that names the compost is refused.
        let outlet = |farm: Farm, more: Value| {
            let mut outlet = json!({"name": "the next farm", "price": "12 $/ton"});
            outlet.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
            farm.with("outlets", json!([outlet]))
        };
        let sales = planned(&outlet(both.clone(), json!({}))).json["sales"].clone();
        let lots: Vec<&Value> = sales.as_array().unwrap().iter().map(|sale| &sale["lot"]).collect();
        assert!(!lots.is_empty() && lots.iter().all(|lot| *lot == "other"), "{}: {lots:?}", place.key);
        assert!(checked(&outlet(both.clone(), json!({"lots": ["heap"]}))).codes().contains("lot-never-sold"));
        assert!(
            checked(&outlet(both.clone(), json!({"kinds": ["carcass compost"]}))).codes().contains("lot-never-sold")
        );
        let brought = json!([{"lot": "heap", "tons": "40 tons", "date": "2027-03-01", "from": "a neighbor"}]);
        assert!(checked(&both.with("brought", brought)).codes().contains("lot-never-sold"));
    }
}

#[test]
fn compost_without_an_analysis_is_asked_for_one() {
    for place in PLACES {
        let told = checked(&farm(place).with("litter.heap.analysis", Value::Null));
        assert!(told.ready.is_none() && told.codes().contains("no-analysis"), "{}: {:?}", place.key, told.codes());
    }
}

#[test]
fn sheet_and_screen_say_what_compost_asks() {
    let folder = farm(&NC).folder();
    assert_eq!(sward(folder.path(), &["sheets", ".", "-o", "out"]).code, 0);
    let sheet = std::fs::read_to_string(folder.path().join("out/sheets.html")).unwrap();
    assert!(sheet.contains("fully broken down"), "the sheet's caution");
    let screen = flat(&sward(folder.path(), &["plan", "."]).out);
    assert!(screen.contains("Carcass compost is not sold"), "{screen}");
    let shop = json!([{"name": "urea", "analysis": "46-0-0", "price": "600 $/ton"}]);
    let folder = farm(&NC).with("fertilizer", shop).folder();
    let screen = flat(&sward(folder.path(), &["plan", "."]).out);
    assert!(screen.contains("all of it that may be sold is sold at the shed"), "{screen}");
    let litter = Farm::new(&NC).folder();
    assert!(!sward(litter.path(), &["plan", "."]).out.contains("arcass compost"), "litter is none");
}

#[test]
fn compost_stays_off_ground_that_becomes_pasture_or_was_pasture_then() {
    for place in PLACES {
        let told = |farm: &Farm| {
            let codes = checked(farm).codes();
            codes.contains("log-kept-off")
        };
        // Hay until June, pasture after: it will be grazed.
        let becomes = farm(place)
            .with("fields.A.use", "pasture")
            .with("fields.A.before", json!([{"use": "hay", "until": "2027-05-20"}]));
        assert!(planned(&becomes).spread("A").is_empty(), "{}", place.key);
        let becomes = farm(place)
            .with("fields.A.use", "hay then grazed")
            .with("fields.A.before", json!([{"use": "hay", "until": "2027-05-20"}]));
        assert!(planned(&becomes).spread("A").is_empty(), "{}", place.key);
        // Hay now, pasture on the day that the log shows.
        let was = farm(place).with("fields.A.before", json!([{"use": "pasture", "until": "2026-12-31"}]));
        assert!(told(&was.clone().lines(&lines("2026-10-01,spread,heap,A,10,,,\n"))), "{}", place.key);
        assert!(!told(&was.lines(&lines("2027-02-20,spread,heap,A,10,,,\n"))), "{}", place.key);
    }
}
