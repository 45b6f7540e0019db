//! Cautions on animals stand where plan or log makes them matter, with field and days.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Farm, PLACES, Place, own_figure, planned};
use serde_json::{Value, json};

/// The field and the days at which a caution matters; none where it is not given.
fn at(farm: &Farm, about: &str) -> Vec<(String, String, String)> {
    let plan = planned(farm);
    let cautions = plan.json["cautions"].as_array().unwrap();
    let Some(own) = cautions.iter().find(|c| c["about"] == about) else { return Vec::new() };
    let word = |at: &Value, key: &str| at[key].as_str().unwrap().to_string();
    let at = own["at"].as_array().expect("it says where");
    at.iter().map(|at| (word(at, "field"), word(at, "first"), word(at, "last"))).collect()
}

/// The days of the plan on field A, as a caution names them.
fn spread(farm: &Farm) -> Vec<(String, String, String)> {
    let plan = planned(farm);
    let days = plan.days("A").into_iter().map(|(first, last)| ("A".to_string(), first.to_string(), last.to_string()));
    let days: Vec<_> = days.collect();
    assert!(!days.is_empty(), "nothing is spread on A");
    days
}

fn said(field: &str, day: &str) -> Vec<(String, String, String)> {
    vec![(field.to_string(), day.to_string(), day.to_string())]
}

fn log(lines: &str) -> String {
    format!("date,what,lot,field,tons,until,animal,head\n{lines}")
}

#[test]
fn copper_matters_where_sheep_meet_litter_that_holds_it() {
    for place in PLACES {
        let sheep = json!([{"kind": "ewes", "head": 20, "fields": ["A"]}]);
        let farm = |copper: &str| Farm::new(place).field("B").with("litter.heap.analysis.copper", copper);
        let grazed = farm("300 ppm").with("livestock", sheep.clone());
        assert_eq!(at(&grazed, "copper"), spread(&grazed), "{}", place.key);
        assert!(at(&farm("300 ppm"), "copper").is_empty(), "{}: no sheep", place.key);
        // No more than sheep feed may hold.
        assert!(at(&farm("15 ppm").with("livestock", sheep.clone()), "copper").is_empty(), "{}", place.key);
        // Not analyzed is not none.
        let unsaid = Farm::new(place).with("livestock", sheep);
        assert_eq!(at(&unsaid, "copper"), spread(&unsaid), "{}", place.key);
        // Sheep of the log, whether their last day is written or not; and litter of the log.
        for lines in ["2026-11-02,graze,,A,,2026-12-20,sheep,\n", "2026-11-02,head,,A,,,ewes,20\n"] {
            let logged = farm("300 ppm").lines(&log(lines));
            assert!(at(&logged, "copper").iter().all(|(field, ..)| field == "A"), "{}: {lines}", place.key);
            assert_eq!(at(&logged, "copper").is_empty(), planned(&logged).spread("A").is_empty(), "{lines}");
        }
        let cows = farm("300 ppm").lines(&log("2026-11-02,graze,,A,,2026-12-20,cows,\n"));
        assert!(at(&cows, "copper").is_empty(), "{}", place.key);
        let put_on = grazed.with("fields.A.closed", "wet").lines(&log("2026-10-02,spread,heap,A,5,,,\n"));
        assert_eq!(at(&put_on, "copper"), said("A", "2026-10-02"), "{}", place.key);
    }
}

/// A farm whose soil asks for no potash.
fn rich(place: &'static Place) -> Farm {
    let mut farm = Farm::new(place).with("fields.A.soil_test.k", format!("400 {}", place.unit));
    if place.asks_needs {
        farm.set("figures", json!([own_figure("p2o5_need", "50 lb/ac"), own_figure("k2o_need", "0 lb/ac")]));
    }
    farm
}

#[test]
fn tetany_matters_on_spring_grass_where_the_soil_is_rich_in_potash() {
    for place in PLACES {
        let pasture = rich(place).with("fields.A.use", "pasture");
        let found = at(&pasture, "tetany");
        assert!(!found.is_empty() && found.iter().all(|(field, ..)| field == "A"), "{}", place.key);
        assert!(at(&rich(place), "tetany").is_empty(), "{}: hay", place.key);
        let poor = Farm::new(place).with("fields.A.use", "pasture");
        assert!(at(&poor, "tetany").is_empty(), "{}: potash is asked for", place.key);
        // Hay ground that is grazed in spring, and the same in summer.
        let grazed = |from: &str, to: &str| {
            rich(place).with("fields.A.grazed", json!([{"from": from, "to": to}])).with("plan.to", "2027-10-31")
        };
        let days = [("2027-05-20", "2027-05-30", false), ("2027-07-20", "2027-07-30", true)];
        for (from, to, none) in days {
            assert_eq!(at(&grazed(from, to), "tetany").is_empty(), none, "{}: {from}", place.key);
        }
    }
}

#[test]
fn toxic_fescue_says_field_and_days() {
    for place in PLACES {
        let stand = |word: &str| {
            let farm = Farm::new(place).field("B").with("litter.heap.analysis.total_n", "60 lb/ton");
            farm.with("fields.A.endophyte", word)
        };
        let toxic = stand("toxic");
        let found = at(&toxic, "toxic_fescue");
        assert_eq!(found, spread(&toxic), "{}", place.key);
        for word in ["novel", "free"] {
            assert!(at(&stand(word), "toxic_fescue").is_empty(), "{}: {word}", place.key);
        }
        // A stand that nobody had tested is taken for toxic, and the caution says so.
        let unknown = stand("unknown");
        assert_eq!(at(&unknown, "toxic_fescue"), spread(&unknown), "{}", place.key);
        let cautions = planned(&unknown).json["cautions"].to_string();
        assert!(cautions.contains("stand not tested; "), "{}: {cautions}", place.key);
        let little = toxic.clone().with("fields.A.most", "1 ton/ac");
        assert!(at(&little, "toxic_fescue").is_empty(), "{}: a ton brings less", place.key);
        // Fertilizer of the log counts as well, also where no litter lies.
        let urea = "date,what,field,product,grade,rate\n2027-02-20,fertilizer,A,urea,46-0-0,200 lb/ac\n";
        let bags = stand("toxic").with("fields.A.closed", "wet").lines(urea);
        assert_eq!(at(&bags, "toxic_fescue"), said("A", "2027-02-20"), "{}", place.key);
        // And what the plan has the grower buy.
        let shop = json!([{"name": "urea", "analysis": "46-0-0", "price": "520 $/ton"}]);
        let buys = stand("toxic").with("fields.A.closed", "wet").with("fertilizer", shop.clone());
        assert!(!at(&buys, "toxic_fescue").is_empty(), "{}: bought", place.key);
        assert!(at(&stand("free").with("fertilizer", shop), "toxic_fescue").is_empty(), "{}", place.key);
        let lines = "date,what,field,product,grade,rate\n2027-02-20,fertilizer,A,urea,46-0-0,140 lb/ac\n";
        assert!(!at(&little.lines(lines), "toxic_fescue").is_empty(), "{}", place.key);
    }
}

static MO: Place =
    Place { key: "us-mo", region: "", extractant: "bray-1", unit: "lb/ac", asks_needs: true, at: (-92.4, 38.3) };

/// Missouri holds nitrogen back on toxic fescue in spring, however little it is.
#[test]
fn spring_nitrogen_on_toxic_fescue_matters_where_the_place_says_so() {
    let farm = |place: &'static Place, word: &str| {
        Farm::new(place).with("fields.A.endophyte", word).with("fields.A.most", "1 ton/ac")
    };
    let toxic = farm(&MO, "toxic");
    let days =
        spread(&toxic).into_iter().map(|(field, first, last)| (field, first.max("2027-03-01".to_string()), last));
    assert_eq!(at(&toxic, "toxic_fescue"), days.collect::<Vec<_>>());
    for word in ["novel", "free"] {
        assert!(at(&farm(&MO, word), "toxic_fescue").is_empty(), "{word}");
    }
    for place in PLACES {
        assert!(at(&farm(place, "toxic"), "toxic_fescue").is_empty(), "{}: no such days are printed", place.key);
    }
    // The days of it: from the first of March to mid June.
    for (day, told) in [("2027-02-28", false), ("2027-03-01", true), ("2027-06-15", true), ("2027-06-16", false)] {
        let done = farm(&MO, "toxic").with("fields.A.closed", "done for the year").with("plan.from", "2027-01-01");
        let done = done.with("plan.to", "2027-12-31").lines(&log(&format!("{day},spread,heap,A,10,,,\n")));
        let found = at(&done, "toxic_fescue");
        assert_eq!(found.iter().any(|(_, first, last)| first == day && last == day), told, "{day}: {found:?}");
    }
}

/// A stand with less than a quarter of legumes lives on its grass.
#[test]
fn a_thin_stand_of_clover_is_planned_as_its_grass() {
    for place in PLACES {
        let need = |forage: &str, legume: &str| {
            let farm = Farm::new(place).with("fields.A.forage", forage).with("fields.A.legume", legume);
            (planned(&farm).number("A", "/need/n"), kit::checked(&farm).codes().contains("legume-thin"))
        };
        let grass = planned(&Farm::new(place)).number("A", "/need/n");
        for (share, wants, thin) in
            [("24 %", grass, true), ("24.9 %", grass, true), ("25 %", 0.0, false), ("26 %", 0.0, false)]
        {
            assert_eq!(need("tall fescue", share), (wants, false), "{}: {share}", place.key);
            // The word for the mixed stand names no grass: the tables do, and that is told.
            assert_eq!(need("cool season grass with clover", share), (wants, thin), "{}: {share}", place.key);
        }
    }
}

/// Where nobody says the share it is asked, and no nitrogen is planned.
#[test]
fn a_mixed_stand_of_unknown_share_is_asked_about() {
    for place in PLACES {
        let farm = Farm::new(place).with("fields.A.forage", "cool season grass with clover");
        assert_eq!(planned(&farm).number("A", "/need/n"), 0.0, "{}", place.key);
        let found = kit::checked(&farm).found("legume-unsaid");
        assert!(found.len() == 1 && found[0].contains("planned without nitrogen"), "{}: {found:?}", place.key);
        for (forage, share) in [("cool season grass with clover", "30 %"), ("tall fescue", "30 %")] {
            let said = farm.clone().with("fields.A.forage", forage).with("fields.A.legume", share);
            assert!(kit::checked(&said).found("legume-unsaid").is_empty(), "{}: {forage}", place.key);
        }
        assert!(kit::checked(&Farm::new(place)).found("legume-unsaid").is_empty(), "{}", place.key);
    }
}

/// The rest of the plan goes by the grass too, also on days before the plan.
#[test]
fn a_thin_stand_is_that_grass_in_all_the_plan() {
    for place in PLACES {
        let farm = |forage: &str| {
            let farm = Farm::new(place).with("fields.A.forage", forage).with("fields.A.legume", "10 %");
            farm.logged("2026-09-10", "spread", "heap", "A", "10")
        };
        let (mixed, grass) = (planned(&farm("cool season grass with clover")), planned(&farm("tall fescue")));
        assert_eq!(mixed.field("A"), grass.field("A"), "{}", place.key);
    }
}

#[test]
fn nitrate_matters_when_it_is_cut_two_to_four_weeks_after() {
    for place in PLACES {
        let cut = |day: &str| {
            let farm =
                Farm::new(place).with("fields.A.closed", "done for the year").with("fields.A.cuttings", json!([day]));
            farm.lines(&log("2027-03-20,spread,heap,A,20,,,\n"))
        };
        for (day, told) in [("2027-04-02", false), ("2027-04-03", true), ("2027-04-14", true), ("2027-04-15", false)] {
            let found = if told { said("A", day) } else { Vec::new() };
            assert_eq!(at(&cut(day), "nitrate"), found, "{}: {day}", place.key);
        }
        // Stock that is on the field through the worst days, though it came before them, and
        // nitrogen out of a bag.
        for put in ["2027-03-20,spread,heap,A,20,,,,,,\n", "2027-03-20,fertilizer,,A,,,,,urea,46-0-0,150 lb/ac\n"] {
            for (first, last, told) in [
                ("2027-03-22", "2027-04-30", Some(("2027-04-03", "2027-04-14"))),
                ("2027-04-10", "2027-04-30", Some(("2027-04-10", "2027-04-14"))),
                ("2027-03-22", "2027-04-02", None),
                ("2027-04-15", "2027-04-30", None),
            ] {
                let lines = format!(
                    "date,what,lot,field,tons,until,animal,head,product,grade,rate\n{put}{first},graze,,A,,{last},cows,,,,\n"
                );
                let farm =
                    Farm::new(place).with("fields.A.closed", "done").with("plan.as_of", "2027-05-20").lines(&lines);
                let days = told.map(|(first, last)| ("A".to_string(), first.to_string(), last.to_string()));
                assert_eq!(at(&farm, "nitrate"), Vec::from_iter(days), "{}: {put} {first} {last}", place.key);
            }
        }
    }
}

#[test]
fn a_truck_from_another_farm_that_nobody_cleaned_is_named() {
    for place in PLACES {
        let lines = |clean: &str| {
            format!(
                "date,what,lot,field,tons,to,from,truck\n2027-02-18,haul,heap,,10,Neighbor's farm,,Red Truck\n{clean}\
                 2027-02-20,spread,heap,A,5,,,red truck\n2027-02-21,spread,heap,A,5,,,red truck\n"
            )
        };
        let farm = |clean: &str| Farm::new(place).lines(&lines(clean));
        assert_eq!(truck_at(&farm("")), said("A", "2027-02-20"), "{}", place.key);
        for clean in ["2027-02-18,clean,,,,,,Red truck\n", "2027-02-19,clean,,,,,,red truck\n"] {
            assert!(truck_at(&farm(clean)).is_empty(), "{}: {clean}", place.key);
        }
        // Another truck, or one cleaned only after.
        assert!(truck_at(&farm("")).len() == truck_at(&farm("2027-02-19,clean,,,,,,blue truck\n")).len());
        assert!(!truck_at(&farm("2027-02-22,clean,,,,,,red truck\n")).is_empty(), "{}", place.key);
    }
}

/// Where the caution on cleaning says that it matters; the caution itself is on every plan.
fn truck_at(farm: &Farm) -> Vec<(String, String, String)> {
    let plan = planned(farm);
    let cautions = plan.json["cautions"].as_array().unwrap();
    let own = cautions.iter().find(|c| c["about"] == "biosecurity").expect("it is on every plan");
    if own["at"].is_null() { Vec::new() } else { at(farm, "biosecurity") }
}

/// Fertilizer that is still to buy feeds the grass like any other.
#[test]
fn nitrate_counts_fertilizer_to_buy() {
    for place in PLACES {
        let farm = |bag: bool| {
            let farm = Farm::new(place)
                .with("fields.A.closed", "no litter this year")
                .with("fields.A.cuttings", json!(["2027-03-20"]))
                .with("fields.A.grazed", json!([{"from": "2027-02-16", "to": "2027-05-30"}]));
            let urea = json!([{"name": "urea", "analysis": "46-0-0", "price": "520 $/ton"}]);
            if bag { farm.with("fertilizer", urea) } else { farm }
        };
        assert_eq!(at(&farm(false), "nitrate"), [], "{}", place.key);
        assert!(!at(&farm(true), "nitrate").is_empty(), "{}: {}", place.key, planned(&farm(true)).json["buy"]);
    }
}
