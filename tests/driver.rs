//! What a driver reads on the sheets and a grower on `check` and `why`: days of litter to come, stock
//! without days, trips that are made.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Farm, PLACES, flat, sward};
use serde_json::json;
use std::fs;

/// The words of the sheets, without their signs.
fn sheets(farm: &Farm) -> String {
    let folder = farm.folder();
    let ended = sward(folder.path(), &["sheets", "-o", "sheets"]);
    assert_eq!(ended.code, 0, "{}{}", ended.out, ended.err);
    let html = fs::read_to_string(folder.path().join("sheets/sheets.html")).unwrap();
    let words = html.split('<').map(|piece| piece.split_once('>').map_or(piece, |(_, words)| words));
    flat(&words.collect::<Vec<_>>().join(" "))
}

fn ran(farm: &Farm, args: &[&str]) -> String {
    let folder = farm.folder();
    let ended = sward(folder.path(), args);
    assert_eq!(ended.code, 0, "{args:?}: {}{}", ended.out, ended.err);
    flat(&ended.out)
}

#[test]
fn litter_to_come_has_its_day_on_the_cover() {
    for place in PLACES {
        let farm = Farm::new(place);
        assert!(!sheets(&farm).contains(" from Apr 20"), "{}", place.key);
        let brought = json!([{"date": "2027-04-20", "lot": "heap", "tons": "12 tons"},
            {"date": "2027-05-10", "lot": "heap", "tons": "3 tons"}]);
        let page = sheets(&farm.with("brought", brought));
        assert!(page.contains("15.00 from Apr 20"), "{}: {page}", place.key);
    }
}

/// The column says how long an analysis is good; where none says anything it is left out.
#[test]
fn an_empty_column_of_analyses_is_left_out() {
    let heads =
        |page: &str| page.split("The work, in the order").nth(1).unwrap().split("Done").next().unwrap().to_string();
    for place in PLACES {
        let farm = Farm::new(place);
        let page = heads(&sheets(&farm));
        let aged = ran(&farm, &["plan", "--json"]).contains("\"analysis_good_until\": \"");
        assert_eq!(page.contains("Analysis"), aged, "{}: {page}", place.key);
        // Virginia has no typical contents to plan by.
        if place.key == "us-nc" {
            let typical = sheets(&farm.with("litter.heap.analysis", json!(null)));
            assert!(heads(&typical).contains("Analysis") && typical.contains("not analyzed"), "{typical}");
        }
    }
}

/// Ewes on a field whose days nobody wrote: `check` asks, and the sheet says what to do instead of
/// that no grazing is planned.
#[test]
fn stock_without_days_is_asked_for() {
    for place in PLACES {
        for (usage, kind) in [("pasture", "ewes"), ("hay then grazed", "ewes"), ("pasture", "stocker cattle")] {
            let herd = json!([{"kind": kind, "head": 20, "fields": ["A"]}]);
            let farm = Farm::new(place).with("livestock", herd).with("fields.A.use", usage);
            let asked = "stock of `livestock:` grazes A, and no days of it are written";
            let (checked, page) = (ran(&farm, &["check"]), sheets(&farm));
            assert!(checked.contains(asked) && checked.contains("[grazed-unsaid]"), "{}: {checked}", place.key);
            assert!(
                page.contains("days unknown: keep stock off 21 days after litter"),
                "{} {usage}: {page}",
                place.key
            );
            assert!(!page.contains("Grazed none planned"), "{}: {page}", place.key);
            let days = json!([{"from": "2027-05-20", "to": "2027-05-31"}]);
            let farm = farm.with("fields.A.grazed", days);
            let (checked, page) = (ran(&farm, &["check"]), sheets(&farm));
            assert!(!checked.contains("[grazed-unsaid]"), "{}: {checked}", place.key);
            assert!(
                page.contains("Grazed May 20 to May 31") && !page.contains("days unknown"),
                "{}: {page}",
                place.key
            );
        }
        let hay = sheets(&Farm::new(place));
        assert!(hay.contains("Grazed none planned"), "{}: {hay}", place.key);
    }
}

/// How many trips a year has, how many the log has left, and what helps where none is.
#[test]
fn trips_stand_with_the_limits() {
    for place in PLACES {
        let farm = Farm::new(place);
        let page = ran(&farm, &["why", "A"]);
        assert!(page.contains("trips in a year; 2 left in 2027 by the log"), "{}: {page}", place.key);
        let made = farm.logged("2027-02-16", "spread", "heap", "A", "3 tons");
        let made = made.logged("2027-02-20", "spread", "heap", "A", "3 tons").with("plan.to", "2027-12-31");
        let page = ran(&made, &["why", "A"]);
        assert!(page.contains("trips in a year; 0 left in 2027 by the log"), "{}: {page}", place.key);
        assert!(!page.contains("a heavier rate in the trips there are"), "{}: {page}", place.key);
        assert!(page.contains("the next year: the trips of this one are made"), "{}: {page}", place.key);
    }
}

/// What fertilizer would cost without litter is the same whatever litter there is, also where litter of
/// the fall feeds a growing year for which nothing is bought yet.
#[test]
fn without_litter_it_would_be_the_same() {
    let mut later = Vec::new();
    for place in PLACES {
        let farm = Farm::new(place).with("fields.A.forage", "bermudagrass overseeded");
        let farm = farm.with("plan.from", "2027-03-01").with("plan.to", "2027-11-15").with("plan.as_of", "2027-06-01");
        let all = ["0 tons", "20 tons", "60 tons", "400 tons"].map(|tons| {
            let farm = farm.clone().with("litter.heap.on_hand", tons);
            let made = kit::planned(&farm);
            let money = made.json["money"].clone();
            let number = |key: &str| money[key].as_f64().unwrap();
            let year = number("without_litter") - number("still_to_buy");
            assert!((number("replaced") - year - number("replaced_later")).abs() < 0.005, "{}: {money}", place.key);
            let said = ran(&farm, &["plan"]).contains(" more of a growing year for which nothing is bought yet.");
            assert_eq!(said, number("replaced_later") > 0.0, "{}: {money}", place.key);
            later.push(number("replaced_later"));
            number("without_litter")
        });
        assert!(all[0] > 0.0 && all.iter().all(|one| (one - all[0]).abs() <= 1.0), "{}: {all:?}", place.key);
    }
    assert!(later.iter().any(|dollars| *dollars > 0.0), "{later:?}");
}

/// A last load that is next to nothing is left, and no way is made for it.
#[test]
fn a_last_load_of_a_few_pounds_is_left() {
    for place in PLACES {
        let of = |load: f64| Farm::new(place).with("spreader.load", &*format!("{load:.4} tons"));
        let first = kit::planned(&of(5.0));
        let pounds = first.spread("A")[0]["pounds"].as_i64().unwrap();
        let (few, half) = (((pounds - 60) / 2) as f64 / 2_000.0, pounds as f64 / 2.5 / 2_000.0);
        let page = sheets(&of(few));
        assert!(page.contains("last one only") && page.contains("stop after load 2"), "{}: {page}", place.key);
        assert!(!sheets(&of(half)).contains("stop after load"), "{}", place.key);
    }
}

/// The list of fields without litter says a long reason once.
#[test]
fn a_reason_that_many_fields_share_is_printed_once() {
    for place in PLACES {
        let why = "leased to a neighbor who grows corn on it until the fall of next year, by the contract of May";
        let two = Farm::new(place).field("B").field("C").with("fields.B.closed", why);
        let page = |farm: &Farm| {
            let page = sheets(farm);
            page.split("No litter on these fields").last().unwrap().to_string()
        };
        let (same, other) =
            (page(&two.clone().with("fields.C.closed", why)), page(&two.with("fields.C.closed", "sold")));
        assert_eq!((same.matches(why).count(), same.matches("the same as B").count()), (1, 1), "{}: {same}", place.key);
        assert_eq!(other.matches("the same as").count(), 0, "{}: {other}", place.key);
    }
}

/// What stands beside the map makes its column longer: the page is set closer, or it prints on two.
#[test]
fn long_facts_beside_the_map_set_the_page_closer() {
    for place in PLACES {
        let class = |farm: &Farm| {
            let folder = farm.folder();
            assert_eq!(sward(folder.path(), &["sheets", "-o", "sheets"]).code, 0);
            let html = fs::read_to_string(folder.path().join("sheets/sheets.html")).unwrap();
            let at = html.find("id=\"sheet-1\"").unwrap();
            let open = html[..at].rfind("class=\"").unwrap();
            html[open..at].to_string()
        };
        let farm = Farm::new(place);
        let half = farm.area([0.0, 0.0, 660.0, 330.0]);
        let half = farm.clone().on_ground("2027-03-01", "5", &half, "");
        let days: Vec<_> =
            (2..9).map(|day| json!({"from": format!("2027-0{day}-02"), "to": format!("2027-0{day}-09")})).collect();
        let (short, long) =
            (class(&farm), class(&half.with("fields.A.use", "pasture").with("fields.A.grazed", json!(days))));
        assert_ne!(short, long, "{}", place.key);
    }
}
