//! Fertilizer is bought for days on which it can go on: while a season of the forage is
//! open and the plan still runs. The rest waits, and is in no sum.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use jiff::ToSpan;
use jiff::civil::Date;
use kit::{Farm, PLACES, Planned, made, planned};
use serde_json::{Value, json};

/// Two fields, urea and potash on offer, and litter so weak that much is short.
fn farm(place: &'static kit::Place, to: &str, as_of: &str) -> Farm {
    let products = json!([{"name": "urea", "analysis": "46-0-0", "price": "520 $/ton"},
        {"name": "potash", "analysis": "0-0-60", "price": "410 $/ton"}]);
    Farm::new(place)
        .field("B")
        .with("plan.to", to)
        .with("plan.as_of", as_of)
        .with("litter.heap.on_hand", "30 tons")
        .with("fertilizer", products)
        .with("fertilizer_spreading", "7 $/ac")
}

fn bought<'a>(plan: &'a Planned, id: &str) -> Option<&'a Value> {
    plan.json["buy"]["fields"].as_array().unwrap().iter().find(|field| field["id"] == id)
}

/// The days of the forage's seasons, by the tables.
fn open(plan: &Planned, id: &str) -> Vec<(Date, Date)> {
    let field = plan.ready.fields.iter().find(|field| field.id() == id).unwrap();
    let book = plan.ready.book(&plan.tables).unwrap();
    let seasons = book.seasons(&plan.ready.scope(field));
    let years = [2026, 2027, 2028];
    seasons.iter().flat_map(|(_, season)| years.iter().filter_map(|year| season.value.days_in(*year))).collect()
}

fn page(farm: &Farm) -> String {
    kit::flat(&sward::write::plan(&made(farm).audited, 80))
}

#[test]
fn what_is_bought_can_go_on() {
    let (mut waited, mut gone, mut lost) = (0, 0, [0; 2]);
    for place in PLACES {
        for (to, weeks) in [("2027-07-31", 24), ("2027-12-15", 42)] {
            for week in (0..weeks).step_by(3) {
                let as_of = kit::later("2027-02-15", 7 * week);
                let plan = planned(&farm(place, to, &as_of));
                let seasons = open(&plan, "A");
                let (first, last): (Date, Date) = (as_of.parse().unwrap(), to.parse().unwrap());
                let is_open = |day: Date| seasons.iter().any(|(opens, closes)| (*opens..=*closes).contains(&day));
                for id in ["A", "B"] {
                    let Some(buy) = bought(&plan, id) else { continue };
                    let years = plan.field(id)["years"].as_array().unwrap();
                    let bought_for = |day: Date| {
                        let within = |of: &Value, key: &str| of[key].as_str().unwrap().parse::<Date>().unwrap();
                        let own = |y: &&Value| within(y, "first") <= day && day <= within(y, "last");
                        years.iter().find(own).is_none_or(|year| year["bought_for"] == true)
                    };
                    let mut days = first.series(1.day()).take_while(|day| *day <= last);
                    let left = days.any(|day| is_open(day) && bought_for(day));
                    let number = |at: &str| buy.pointer(at).and_then(Value::as_f64).unwrap_or(0.0);
                    let at = format!("{} {as_of} to {to}: {buy}", place.key);
                    for go in buy["goes"].as_array().unwrap() {
                        let day = go["from"].as_str().or(go["after_cutting"].as_str()).expect(&at);
                        let day: Date = day.parse().unwrap();
                        assert!(is_open(day) && first <= day && day <= last, "{at}");
                        gone += 1;
                    }
                    if !left {
                        assert!(buy["mix"].as_array().unwrap().is_empty(), "{at}");
                        assert_eq!(number("/waits/n"), number("/short/n"), "{at}");
                        let next: Date = buy["next_season"].as_str().expect(&at).parse().unwrap();
                        assert!(next > first && is_open(next), "{at}");
                        waited += 1;
                    }
                    assert!(number("/waits/n") <= number("/short/n") + 1e-9, "{at}");
                    // What belongs to a growing year waits for no season of another one.
                    if let Some(next) = buy["next_season"].as_str().map(|next| next.parse::<Date>().unwrap()) {
                        let ends = years.iter().filter(|year| year["bought_for"] == true).map(|year| &year["last"]);
                        let ends: Date =
                            ends.max_by_key(|last| last.as_str()).unwrap().as_str().unwrap().parse().unwrap();
                        assert_eq!(buy["lost"] == true, ends < next, "{at}");
                        lost[usize::from(ends < next)] += 1;
                    }
                    assert!(!left || number("/waits/k2o") == 0.0, "{at}");
                }
                let spread: f64 = ["A", "B"]
                    .iter()
                    .filter_map(|id| bought(&plan, id))
                    .flat_map(|buy| {
                        buy["goes"].as_array().unwrap().iter().map(|go| (buy["acres"].as_f64().unwrap(), go))
                    })
                    .map(|(acres, go)| 7.0 * acres * go["times"].as_f64().unwrap())
                    .sum();
                let bill = plan.json["buy"]["with_litter"]["fertilizer_spreading"].as_f64().unwrap();
                assert!((bill - spread).abs() <= 0.51, "{bill} {spread}");
            }
        }
    }
    assert!(waited > 3 && gone > 20 && lost.iter().all(|n| *n > 0), "{waited} {gone} {lost:?}");
}

#[test]
fn what_waits_is_told_with_the_day_and_is_in_no_sum() {
    for place in PLACES {
        // In summer, of a plan that ends before fall.
        let summer = farm(place, "2027-07-31", "2027-07-01");
        let plan = planned(&summer);
        assert!(
            open(&plan, "A").iter().all(
                |(opens, closes)| *closes < "2027-07-01".parse().unwrap() || *opens > "2027-07-31".parse().unwrap()
            )
        );
        let bill = &plan.json["buy"]["with_litter"];
        assert_eq!((bill["fertilizer"].as_f64(), bill["fertilizer_spreading"].as_f64()), (Some(0.0), Some(0.0)));
        let page = page(&summer);
        let told = "Not bought, lb/ac, since it waits for the next season of its forage: A: ";
        assert!(page.contains(told), "{page}");
        assert!(
            page.contains("need that a season left in the plan can take is met with commercial fertilizer"),
            "{page}"
        );
        // To the end of the year the fall takes some of it.
        let fall = planned(&farm(place, "2027-12-15", "2027-07-01"));
        assert!(fall.json["buy"]["with_litter"]["fertilizer"].as_f64().unwrap() > 0.0, "{}", fall.json["buy"]);
    }
}

#[test]
fn stock_keeps_litter_off_and_not_the_bag() {
    for place in PLACES {
        let grazed = farm(place, "2027-05-31", "2027-02-15")
            .with("fields.A.use", "pasture")
            .with("fields.A.grazed", json!([{"from": "2027-02-01", "to": "2027-12-01"}]));
        let plan = planned(&grazed);
        assert!(plan.spread("A").is_empty());
        let buy = bought(&plan, "A").unwrap();
        let goes = buy["goes"].as_array().unwrap();
        let opens = open(&plan, "A").iter().map(|days| days.0).filter(|day| day.year() == 2027).min().unwrap();
        let first = opens.max("2027-02-15".parse().unwrap()).to_string();
        assert_eq!(goes[0]["from"], first, "{}: {buy}", place.key);
    }
}

/// An audit by its own code notices fertilizer on dormant grass, and what waits without a
/// reason.
#[test]
fn the_audit_knows_the_seasons_of_fertilizer() {
    for place in PLACES {
        let spring = farm(place, "2027-07-31", "2027-02-15");
        let summer = spring.clone().with("plan.as_of", "2027-07-01");
        assert!(kit::verdict_codes(&planned(&spring).text, &spring).is_empty());
        // The mix of spring, and what waits in summer, each said of the other day.
        let swapped = |of: &Farm, by: &Farm| {
            let (mut plan, other) = (planned(of).json, planned(by).json);
            let fields = plan["buy"]["fields"].as_array_mut().unwrap();
            for (field, other) in fields.iter_mut().zip(other["buy"]["fields"].as_array().unwrap()) {
                for key in ["goes", "mix", "waits"] {
                    match other.get(key) {
                        Some(value) => field[key] = value.clone(),
                        None => drop(field.as_object_mut().unwrap().remove(key)),
                    }
                }
            }
            kit::verdict_codes(&plan.to_string(), of)
        };
        assert!(swapped(&summer, &spring).contains("buy"), "{}", place.key);
        assert!(swapped(&spring, &summer).contains("buy"), "{}", place.key);
    }
}

/// Stock keeps litter out of a season; the bag still gets no more than the season's share
/// leaves after what the log has in it.
#[test]
fn the_bag_keeps_to_a_season_that_stock_is_on() {
    let mut held = 0;
    for place in PLACES {
        let farm = farm(place, "2027-12-15", "2027-08-20")
            .with("fields.A.use", "pasture")
            .with("fields.A.grazed", json!([{"from": "2027-08-21", "to": "2027-12-15"}]))
            .lines("date,what,field,product,grade,rate\n2027-08-18,fertilizer,A,urea,46-0-0,20 lb/ac\n");
        let plan = planned(&farm);
        assert!(plan.spread("A").is_empty());
        assert!(kit::verdict_codes(&plan.text, &farm).is_empty(), "{}: {}", place.key, plan.text);
        let field = plan.ready.fields.iter().find(|field| field.id() == "A").unwrap();
        let book = plan.ready.book(&plan.tables).unwrap();
        let scope = plan.ready.scope(field).season("fall");
        let Some(share) = book.get(sward::tables::topic::N_SPLIT, &scope) else { continue };
        let left = plan.number("A", "/need/n") * sward::units::Quantity::get(share.value) - 20.0 * 0.46;
        let Some(buy) = bought(&plan, "A") else { continue };
        let fall = buy["goes"].as_array().unwrap().iter().filter(|go| go["season"] == "fall");
        let urea = |go: &Value| go["amounts"].as_array().unwrap().iter().find(|a| a["product"] == "urea").cloned();
        let n: f64 = fall.filter_map(urea).map(|a| a["pounds"].as_f64().unwrap() * 0.46).sum();
        assert!(n > 1.0 && n <= left + 1e-6, "{}: {n} of {left}: {buy}", place.key);
        held += 1;
        // The audit refuses a pound more, by its own sums.
        let mut more = plan.json.clone();
        let own = more["buy"]["fields"].as_array_mut().unwrap().iter_mut().find(|f| f["id"] == "A").unwrap();
        let pounds = own.pointer_mut("/goes/0/amounts/0/pounds").unwrap();
        *pounds = json!(pounds.as_f64().unwrap() + 10.0);
        own["mix"][0]["pounds"] = json!(own["mix"][0]["pounds"].as_f64().unwrap() + 10.0);
        let faults = kit::verdict_texts(&more.to_string(), &farm);
        assert!(faults.contains("of nitrogen is bought for fall"), "{}: {faults}", place.key);
    }
    assert!(held > 0);
}

/// Where nobody knows how long stock stays, the need of its next year is told all the same,
/// and nothing is bought for it.
#[test]
fn nothing_is_bought_where_nobody_knows_when_the_stock_leaves() {
    for place in PLACES {
        let stays = farm(place, "2028-02-10", "2027-10-01")
            .with("fields.A.use", "pasture")
            .lines("date,what,field,head,animal\n2027-09-20,graze,A,30,cows\n");
        let left = stays.clone().lines("2027-09-30,head,A,0,\n");
        let (plan, off) = (planned(&stays), planned(&left));
        let years = |plan: &Planned| -> Vec<(Value, Value, Value)> {
            let years = plan.field("A")["years"].as_array().unwrap();
            years.iter().map(|y| (y["last"].clone(), y["need"].clone(), y["bought_for"].clone())).collect()
        };
        assert_eq!(years(&plan).last(), years(&off).last(), "{}", place.key);
        let buy = bought(&plan, "A").unwrap();
        assert!(buy["goes"].as_array().unwrap().is_empty() && buy["waits"] == buy["short"], "{}: {buy}", place.key);
        assert!(bought(&off, "A").is_some(), "{}", place.key);
        let page = page(&stays);
        assert!(page.contains("Not bought, lb/ac, since stock is on it and nobody knows until when: A: "), "{page}");
        assert!(page.contains("(since 2027-09-20)"), "{page}");
        assert!(kit::verdict_codes(&plan.text, &stays).is_empty(), "{}", place.key);
        // What would be bought once it is off is refused while it is on.
        let mut early = plan.json.clone();
        let of = |json: &Value| json["buy"]["fields"].as_array().unwrap().iter().position(|f| f["id"] == "A").unwrap();
        let (at, from) = (of(&early), of(&off.json));
        for key in ["goes", "mix", "waits"] {
            early["buy"]["fields"][at][key] = off.json["buy"]["fields"][from][key].clone();
        }
        early["buy"]["fields"][at]["waits"] = json!({"n": 0.0, "p2o5": 0.0, "k2o": 0.0});
        assert!(kit::verdict_codes(&early.to_string(), &stays).contains("buy"), "{}", place.key);
    }
}

/// No trip is made for less than a spreader puts down evenly: it is told, and not paid for.
#[test]
fn no_trip_is_below_what_a_spreader_can_put_down() {
    let mut too_little = 0;
    for place in PLACES {
        for tons in (20..140).step_by(8) {
            let farm = farm(place, "2027-12-15", "2027-02-15").with("litter.heap.on_hand", format!("{tons} tons"));
            let plan = planned(&farm);
            let least = plan.json["buy"]["least"].as_f64().unwrap();
            assert_eq!(least, 25.0);
            for buy in plan.json["buy"]["fields"].as_array().unwrap() {
                let pounds = |go: &Value| -> f64 {
                    go["amounts"].as_array().unwrap().iter().map(|a| a["pounds"].as_f64().unwrap()).sum()
                };
                assert!(buy["goes"].as_array().unwrap().iter().all(|go| pounds(go) >= least - 1e-6), "{buy}");
                let left = buy.pointer("/too_little/n").and_then(Value::as_f64).unwrap_or(0.0);
                too_little += usize::from(left >= 0.5);
            }
            let codes = kit::verdict_texts(&plan.text, &farm);
            assert!(codes.is_empty(), "{} {tons}: {codes}", place.key);
            let told = page(&farm).contains("a trip would spread less than 25 lb/ac of product");
            let some = |f: &Value| {
                ["n", "p2o5", "k2o"].iter().any(|of| f["too_little"][of].as_f64().is_some_and(|lb| lb >= 0.5))
            };
            assert_eq!(told, plan.json["buy"]["fields"].as_array().unwrap().iter().any(some), "{} {tons}", place.key);
        }
    }
    assert!(too_little > 0);
    // A farm whose spreader does better says so.
    let plan = planned(&farm(PLACES[0], "2027-12-15", "2027-02-15").with("fertilizer_least", "5 lb/ac"));
    assert_eq!(plan.json["buy"]["least"], 5.0);
}

/// What is read off the page keeps the limits that made it: a trip is shown in whole pounds and
/// never above what it may bring, and the trips of a product add up to what stands beside them.
#[test]
fn no_dose_is_shown_above_what_may_go_on() {
    let mut below = 0;
    for place in PLACES {
        for rate in ["61 lb/ac", "75 lb/ac", "104 lb/ac"] {
            let farm = farm(place, "2027-12-15", "2027-02-15").with("litter.heap.on_hand", "1 ton").with(
                "figures",
                json!([
                    kit::own_figure("n_rate", rate),
                    kit::own_figure("k2o_need", "80 lb/ac"),
                    kit::own_figure("p2o5_need", "0 lb/ac")
                ]),
            );
            let (plan, page) = (planned(&farm), page(&farm));
            let goes = bought(&plan, "A").unwrap()["goes"].as_array().unwrap().clone();
            for product in ["urea", "potash"] {
                let trips: Vec<f64> = goes
                    .iter()
                    .filter_map(|go| {
                        let amounts = go["amounts"].as_array().unwrap();
                        amounts.iter().find(|own| own["product"] == product)?["pounds"].as_f64()
                    })
                    .collect();
                assert!(goes.iter().all(|go| go["times"] == 1), "{goes:?}");
                below += trips.iter().filter(|lb| lb.fract() >= 0.5 && lb.fract() < 1.0 - 1e-6).count();
                let whole: Vec<i64> = trips.iter().map(|lb| (lb + 1e-6).floor() as i64).collect();
                let (first, all) = (whole[0], whole.iter().sum::<i64>());
                assert!(page.contains(&format!("{product} {all} {first} ")), "{product} {trips:?}\n{page}");
            }
        }
    }
    assert!(below > 0, "no dose lies above the half of a pound");
}

/// A spreader with a finer setting is told that setting, and not the next hundredth.
#[test]
fn a_rate_is_shown_as_it_is_set() {
    for place in PLACES {
        let farm = Farm::new(place)
            .with("plan.as_of", "2027-02-15")
            .with("spreader.step", "0.125 tons/ac")
            .with("spreader.most", "1.125 tons/ac");
        assert_eq!(planned(&farm).spread("A")[0]["rate"], 1.125, "{}", place.key);
        let page = page(&farm);
        let jobs = page.split("NUTRIENTS").next().unwrap();
        assert!(jobs.contains(" 1.125 ") && !jobs.contains("1.13"), "{}: {page}", place.key);
    }
}
