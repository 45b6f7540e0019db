//! What several commands say of one thing is one story: a lot out of which more went than
//! was there, nitrogen at once, the row of a rule that binds, fescue that makes stock sick.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Farm, NC, PLACES, Place, VA, figure, flat, made, planned, sward};
use serde_json::{Value, json};

const TN: Place =
    Place { key: "us-tn", region: "", extractant: "mehlich-1", unit: "lb/ac", asks_needs: true, at: (-86.61, 35.41) };

const MO: Place =
    Place { key: "us-mo", region: "", extractant: "bray-1", unit: "lb/ac", asks_needs: true, at: (-93.29, 37.21) };

fn told(folder: &tempfile::TempDir, args: &[&str]) -> String {
    let ended = sward(folder.path(), args);
    flat(&format!("{}{}", ended.out, ended.err))
}

/// Ten tons were counted, and 28 went out since.
fn overdrawn(place: &'static Place) -> Farm {
    Farm::new(place).with("litter.heap.on_hand", "10 tons").with("litter.heap.counted_on", "2027-02-01").logged(
        "2027-02-20",
        "spread",
        "heap",
        "A",
        "28",
    )
}

#[test]
fn an_overdrawn_lot_is_overdrawn_in_plan_and_tally() {
    for place in PLACES {
        let farm = overdrawn(place);
        let plan = planned(&farm);
        for lot in [plan.lot("heap"), &plan.tally["lots"][0]] {
            assert_eq!(lot["on_hand"], -36_000, "{lot}");
            assert_eq!((&lot["planned"], &lot["left"]), (&json!(0), &json!(0)), "{lot}");
        }
        let folder = farm.folder();
        for command in ["plan", "tally"] {
            let said = told(&folder, &[command, "."]);
            assert!(said.contains("heap is overdrawn by 36,000 lb"), "{}: {command}: {said}", place.key);
        }
    }
}

/// Litter that comes makes up for it first, logged or still to come alike.
#[test]
fn what_comes_makes_up_for_an_overdraft_first() {
    for place in PLACES {
        let brought = json!([{"date": "2027-03-01", "tons": "50 tons", "lot": "heap", "from": "a neighbor"}]);
        let to_come = planned(&overdrawn(place).with("brought", brought));
        let came = overdrawn(place).with("plan.as_of", "2027-03-01").logged("2027-03-01", "bring", "heap", "", "50");
        let came = planned(&came);
        let sum = |plan: &kit::Planned| {
            let lot = plan.lot("heap");
            ["on_hand", "coming"].map(|what| lot[what].as_i64().unwrap()).iter().sum::<i64>()
        };
        assert_eq!((sum(&to_come), sum(&came)), (64_000, 64_000), "{}", place.key);
        for plan in [&to_come, &came] {
            let lot = plan.lot("heap");
            let [planned, left] = ["planned", "left"].map(|what| lot[what].as_i64().unwrap());
            assert_eq!(planned + left, 64_000, "{}: {lot}", place.key);
        }
    }
}

fn bags() -> Value {
    json!([{"name": "urea", "analysis": "46-0-0", "price": "520 $/ton"},
        {"name": "DAP", "analysis": "18-46-0", "price": "700 $/ton"},
        {"name": "potash", "analysis": "0-0-60", "price": "450 $/ton"}])
}

/// Litter takes a part of what may go on at once, and a bag the rest of the season.
fn both_at_once(place: &'static Place, most: f64) -> Farm {
    Farm::new(place)
        .figure(figure("n_at_once", "lb/ac", "forage: tall_fescue, use: hay", &format!("value: {most}")))
        .with("fertilizer", bags())
        .with("litter.heap.on_hand", "16 tons")
        .with("litter.heap.analysis.total_n", "50 lb/ton")
}

#[test]
fn a_bag_and_litter_of_one_day_do_not_pass_what_may_go_on_at_once() {
    let (mut apart, mut together) = (0, 0);
    for place in [&NC, &VA, &TN] {
        for most in [50.0, 60.0, 300.0] {
            let farm = both_at_once(place, most);
            let plan = planned(&farm);
            let litter: f64 = plan.field("A")["supplied"]["n"].as_f64().unwrap();
            let buy = &plan.json["buy"]["fields"][0];
            let n = |go: &Value| -> f64 {
                let amounts = go["amounts"].as_array().unwrap().iter();
                let of = |a: &Value| a["pounds"].as_f64().unwrap() * if a["product"] == "urea" { 0.46 } else { 0.18 };
                let all: f64 = amounts.filter(|a| a["product"] != "potash").map(of).sum();
                all / go["times"].as_f64().unwrap()
            };
            let trip = buy["goes"].as_array().unwrap().iter().map(n).fold(0.0, f64::max);
            assert!(litter > 0.0 && trip > 0.0 && trip <= most + 1e-6, "{}: {litter} {buy}", place.key);
            let passes = litter + trip > most + 1e-6;
            assert_eq!(buy["apart"].as_f64(), passes.then_some(most), "{} {most}: {litter} {trip} {buy}", place.key);
            let said = flat(&sward::write::plan(&made(&farm).audited, 80));
            assert_eq!(said.contains("Not on a day on which litter goes on the field"), passes, "{said}");
            if passes { apart += 1 } else { together += 1 }
        }
    }
    assert!(apart > 1 && together > 1, "{apart} {together}");
}

/// Phosphate that only comes with nitrogen is bought as far as a season has room for that.
#[test]
fn nitrogen_that_comes_with_phosphate_keeps_to_the_season() {
    let farm = Farm::new(&TN)
        .with("fertilizer", bags())
        .with("litter.heap.analysis.total_n", "60 lb/ton")
        .with("figures", json!([kit::own_figure("p2o5_need", "90 lb/ac"), kit::own_figure("k2o_need", "80 lb/ac")]));
    let plan = planned(&farm);
    let buy = &plan.json["buy"]["fields"][0];
    let of = |at: &str| buy.pointer(at).and_then(Value::as_f64).unwrap_or(0.0);
    let pounds = |name: &str| {
        let mix = buy["mix"].as_array().unwrap().iter();
        mix.filter(|a| a["product"] == name).map(|a| a["pounds"].as_f64().unwrap()).sum::<f64>()
    };
    let n = 0.46 * pounds("urea") + 0.18 * pounds("DAP");
    assert!(n > 1.0 && n <= of("/most_n") + 1e-6, "{n}: {buy}");
    assert!(of("/unmet/p2o5") > 10.0 && pounds("potash") > 100.0, "{buy}");
    assert!(buy["goes"].as_array().unwrap().iter().all(|go| !go["season"].is_null()), "{buy}");
    let said = flat(&sward::write::plan(&made(&farm).audited, 80));
    assert!(
        said.contains("since the nitrogen that comes with it would pass what the seasons may still take"),
        "{said}"
    );
    // A phosphate without nitrogen is taken for it.
    let mut products = bags();
    products.as_array_mut().unwrap().push(json!({"name": "TSP", "analysis": "0-46-0", "price": "900 $/ton"}));
    let plan = planned(&farm.with("fertilizer", products));
    assert_eq!(plan.json["buy"]["fields"][0]["unmet"]["p2o5"], 0.0, "{}", plan.json["buy"]["fields"][0]);
}

/// A soil test of so much phosphorus keeps a field of a low rating free of litter: the row of
/// the soil test is named, with its source, and not the rating.
#[test]
fn the_row_that_binds_is_named() {
    let farm = Farm::new(&VA).with("fields.A.soil_test.p", "300 lb/ac");
    let plan = planned(&farm);
    let rows = plan.field("A")["phosphorus"]["rows"].as_array().unwrap();
    let binds: Vec<&Value> = rows.iter().filter(|row| row["binds"] == true).collect();
    assert!(binds.len() == 1 && binds[0]["allows"] == 0.0 && rows.len() > 1, "{rows:?}");
    let folder = farm.folder();
    let what = binds[0]["what"].as_str().unwrap();
    let source = binds[0]["cite"]["publisher"].as_str().unwrap();
    let said = told(&folder, &["plan", "."]);
    assert!(said.contains(&format!("no phosphate allowed: {what} ({source}")), "{said}");
    assert!(!said.contains("rated low"), "{said}");
    assert!(told(&folder, &["limits", "."]).contains(&format!("{what}: none, 0 lb/ac a year, the limit")));
    // Where the rating binds, it is the rating's row.
    let rated = Farm::new(&NC).with("fields.A.phosphorus_rating.rating", "very high").folder();
    let said = told(&rated, &["plan", "."]);
    assert!(said.contains("no phosphate allowed: loss assessment says very high ("), "{said}");
}

/// Bagged nitrogen on fescue with its fungus is told as soon as it is logged.
#[test]
fn nitrogen_of_the_log_on_toxic_fescue_is_told() {
    let line = "2027-04-10,fertilizer,,A,,46-0-0,RATE lb/ac,";
    for (place, stand, rate, over) in [
        (&NC, "toxic", "150", true),
        (&NC, "unknown", "150", true),
        (&VA, "toxic", "150", true),
        (&NC, "toxic", "100", false),
        (&NC, "novel", "150", false),
        (&NC, "none", "150", false),
    ] {
        let mut farm = Farm::new(place).with("plan.as_of", "2027-05-01");
        if stand != "none" {
            farm.set("fields.A.endophyte", stand);
        }
        let folder = farm.folder();
        let log = format!("date,what,lot,field,tons,grade,rate,acres\n{}\n", line.replace("RATE", rate));
        std::fs::write(folder.path().join("log.csv"), log).unwrap();
        for command in ["check", "plan", "tally", "limits"] {
            let said = told(&folder, &[command, "."]);
            let found = said.contains("which should get at most 60 in a year");
            assert_eq!(found, over, "{} {stand} {rate} {command}: {said}", place.key);
        }
    }
    // Where the place names the days on which it does most harm, any of it on one of them.
    for (day, over) in [("2027-04-10", true), ("2027-11-20", false)] {
        let farm = Farm::new(&MO).with("plan.as_of", "2027-11-30").with("plan.to", "2027-12-15");
        let folder = farm.with("fields.A.endophyte", "toxic").folder();
        let log = format!("date,what,lot,field,tons,grade,rate,acres\n{day},fertilizer,,A,,46-0-0,60 lb/ac,\n");
        std::fs::write(folder.path().join("log.csv"), log).unwrap();
        let said = told(&folder, &["check", "."]);
        assert_eq!(said.contains("put nitrogen on toxic fescue between"), over, "{day}: {said}");
    }
    let folder = Farm::new(&NC).with("fields.A.endophyte", "toxic").folder();
    let args = ["log", "fertilizer", "--field", "A", "--grade", "46-0-0", "--rate", "150 lb/ac"];
    let said = told(&folder, &[&args[..], &["--date", "2027-04-10", "--today", "2027-04-10"]].concat());
    assert!(said.contains("which should get at most 60 in a year"), "{said}");
}

/// A void says that the entry never happened: it counts on every day, and a look back at a day
/// before the void says that what was printed then may show more.
#[test]
fn a_void_of_a_later_day_is_told_of_an_earlier_one() {
    let folder = Farm::new(&NC).with("plan.as_of", json!("2027-04-01")).folder();
    let log = "id,date,what,lot,field,tons,corrects,note
270310-aaaaaa,2027-03-10,spread,heap,A,10,,
270312-bbbbbb,2027-03-12,spread,heap,A,5,,
270320-cccccc,2027-03-20,void,,,,270310-aaaaaa,logged twice
";
    std::fs::write(folder.path().join("log.csv"), log).unwrap();
    for command in ["tally", "plan", "check", "limits"] {
        let before = told(&folder, &[command, ".", "--on", "2027-03-15"]);
        let says = "1 entry up to 2027-03-15 was declared void after that day (270310-aaaaaa)";
        assert!(before.contains(says), "{command}: {before}");
        let after = told(&folder, &[command, ".", "--on", "2027-03-20"]);
        assert!(!after.contains("declared void after"), "{command}: {after}");
    }
    let tally = sward(folder.path(), &["tally", ".", "--on", "2027-03-15", "--json"]).out;
    let tally: Value = serde_json::from_str(&tally).unwrap();
    assert_eq!(tally["lots"][0]["spread"], 10_000, "{}", tally["lots"][0]);
}

/// Water parts a field: the sheet says what lies across it from the gate.
#[test]
fn the_sheet_says_what_lies_across_water_from_the_gate() {
    for (south, way, acres) in [(440.0, "north", 2.0), (200.0, "north", 5.0)] {
        let farm = Farm::new(&NC).point(json!({"kind": "gate", "field": "A"}));
        let line = farm.way(&[[-200.0, south], [860.0, south]]);
        let inside = line.trim_start_matches("LINESTRING(").trim_end_matches(')');
        let corner = |at: &str| -> Vec<f64> { at.split(' ').map(|number| number.parse().unwrap()).collect() };
        let corners: Vec<Vec<f64>> = inside.split(", ").map(corner).collect();
        let folder = farm.folder();
        let creek = |kind: &str| {
            let geometry = json!({"type": "LineString", "coordinates": corners});
            let creek = json!({"type": "Feature", "geometry": geometry, "properties": {"kind": kind, "name": "Mill Creek",
                "setback": "30 ft", "setback_by": "a planner, 2026-11-09"}});
            json!({"type": "FeatureCollection", "features": [creek]}).to_string()
        };
        let sheet = |kind: &str| {
            std::fs::write(folder.path().join("keepouts.geojson"), creek(kind)).unwrap();
            let ended = sward(folder.path(), &["sheets", ".", "-o", "out"]);
            assert_eq!(ended.code, 0, "{}{}", ended.out, ended.err);
            let html = std::fs::read_to_string(folder.path().join("out/sheets.html")).unwrap();
            std::fs::remove_dir_all(folder.path().join("out")).unwrap();
            html
        };
        let html = sheet("perennial stream");
        let said = html.split("of the gate side, across Mill Creek").next().filter(|before| before.len() < html.len());
        let before = said.unwrap_or_else(|| panic!("{html}"));
        let words: Vec<&str> = before.rsplit('>').next().unwrap().split_whitespace().collect();
        let [number, "ac", told] = words.as_slice() else { panic!("{words:?}") };
        assert_eq!(*told, way);
        assert!(number.parse::<f64>().unwrap() > acres, "{number}");
        // A road keeps litter off too, and a truck crosses it.
        assert!(!sheet("road").contains("of the gate side"));
    }
}

/// Nothing is paid for hauling over the own ground: no figure to wonder at.
#[test]
fn hauling_for_nothing_is_nothing_unusual() {
    for (price, told) in [("0 $/ton-mile", false), ("0.01 $/ton-mile", true), ("0.45 $/ton-mile", false)] {
        let checked = kit::checked(&Farm::new(&NC).with("prices.hauling", price));
        let found = checked.findings.sorted().iter().any(|finding| finding.found.contains("`hauling`"));
        assert_eq!(found, told, "{price}");
    }
}

/// Every sign that a number of the limits carries stands in the legend below the table.
#[test]
fn every_sign_of_the_limits_has_its_legend() {
    for place in [&NC, &VA, &TN, &MO] {
        let limits = told(&Farm::new(place).folder(), &["limits", "."]);
        let until = limits.split("FOR THE PLANNER").next().unwrap();
        let legend = until.split("Signs show what a number relies on: ").nth(1).unwrap_or("");
        let legend = legend.split(". ").next().unwrap();
        for (sign, known) in [('?', "? "), ('~', "~ "), ('^', "^ ")] {
            let marked = until.split_whitespace().any(|word| {
                word.strip_suffix(sign).is_some_and(|number| number.replace(',', "").parse::<f64>().is_ok())
            });
            assert!(!marked || legend.contains(known), "{} {sign}: {limits}", place.key);
        }
    }
}

/// A plan goes by the figures of its first day: where the season's begins later, that is the
/// reason, and not that no season lies in its days.
#[test]
fn a_season_that_the_tables_name_later_is_the_reason() {
    let season = |name: &str, days: &str| {
        let applies = format!("forage: tall_fescue, season: {name}");
        let text = figure(&format!("season.tall_fescue.{name}"), "none", &applies, &format!("season: {days}"));
        text.replace("2020-01-01", "2027-03-01").replace("known: common practice", "known: read")
    };
    for (from, late) in [("2027-02-15", true), ("2027-03-01", false)] {
        let farm = Farm::new(&TN)
            .figure(season("spring", "{opens: 02-15, closes: 04-30}"))
            .figure(season("fall", "{opens: 08-15, closes: 10-15}"))
            .with("plan.from", from)
            .with("plan.as_of", from);
        let said = flat(&sward::write::plan(&made(&farm).audited, 80));
        let reason = "A: the tables name a season of its forage from 2027-03-01 on";
        assert_eq!(said.contains(reason), late, "{from}: {said}");
        assert!(!said.contains("no season of its forage falls into the plan"), "{from}: {said}");
    }
}
