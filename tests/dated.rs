//! What a farm says with a day: soil tests, analyses, ratings, forages and ids of
//! fields. An entry of the log counts by what was in force on its own day.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Farm, GA, NC, Place, asked, checked, planned, sward};
use serde_json::{Value, json};
use std::collections::BTreeSet;
use sward::units::Quantity;

const AR: Place = Place {
    key: "us-ar",
    region: "rest_of_state",
    extractant: "mehlich-3",
    unit: "ppm",
    asks_needs: true,
    at: (-92.44, 35.09),
};
const KY: Place =
    Place { key: "us-ky", region: "", extractant: "mehlich-3", unit: "lb/ac", asks_needs: false, at: (-84.9, 38.2) };
const PLACES: [&Place; 4] = [kit::PLACES[0], kit::PLACES[1], &AR, &GA];

fn sure(mut block: Value) -> Value {
    block["sure"] = json!({"by": "a planner", "on": "2026-11-09"});
    block
}

fn analysis(sampled: &str, total_n: &str, p2o5: &str) -> Value {
    sure(json!({"lab": "a laboratory", "sampled": sampled, "basis": "as received", "moisture": "25 %",
        "total_n": total_n, "ammonium_n": "4 lb/ton", "p2o5": p2o5, "k2o": "1 lb/ton"}))
}

fn soil_test(place: &Place, sampled: &str, p: u32) -> Value {
    sure(json!({"lab": "a laboratory", "sampled": sampled, "extractant": place.extractant,
        "p": format!("{p} {}", place.unit), "k": format!("60 {}", place.unit), "ph": "6.0"}))
}

fn rating(on: &str, rating: &str) -> Value {
    json!({"rating": rating, "by": "a planner", "on": on})
}

/// A farm of last year's papers, with litter of last year on it.
fn last_year(place: &'static Place) -> Farm {
    Farm::new(place)
        .with("litter.heap.analysis", json!([analysis("2026-01-20", "20 lb/ton", "2 lb/ton")]))
        .with("fields.A.soil_test", json!([soil_test(place, "2025-10-06", 40)]))
        .with("fields.A.phosphorus_rating", json!([rating("2025-11-09", "low")]))
        .logged("2026-03-20", "spread", "heap", "A", "20")
        .logged("2026-05-02", "cut", "", "A", "15")
        .logged("2026-09-20", "spread", "heap", "A", "12")
}

/// What `sward tally --year` prints, as JSON.
fn year_tally(farm: &Farm, year: i16) -> String {
    let (texts, log) = (farm.texts(), farm.log_text());
    let then = asked(&texts, &log, farm).open().check_record().weigh_year(year, None);
    let then = then.unwrap_or_else(|f| panic!("{}\n{:?}", farm.main(), f.sorted())).unwrap();
    sward::write::year_tally_json(&sward::plan::tally_of_year(&then.ready, &then.tables, &then.balance, &then.findings))
}

/// The same page and data, byte for byte, but for the lines of farm.yaml that a
/// finding points to, which move as it grows.
fn bytes(farm: &Farm, year: i16) -> String {
    let text = year_tally(farm, year);
    let mut json = value(&text);
    for finding in json["findings"].as_array_mut().unwrap() {
        finding.as_object_mut().unwrap().remove("also");
    }
    let page = {
        let (texts, log) = (farm.texts(), farm.log_text());
        let then = asked(&texts, &log, farm).open().check_record().weigh_year(year, None).unwrap().unwrap();
        sward::write::year_tally(
            &sward::plan::tally_of_year(&then.ready, &then.tables, &then.balance, &then.findings),
            80,
        )
    };
    format!("{page}{json:#}")
}

fn value(text: &str) -> Value {
    serde_json::from_str(text).unwrap()
}

/// Next year's papers change no figure of this year's tally, byte for byte; and
/// each of them changes the next year's.
#[test]
fn what_is_found_next_year_changes_no_figure_of_this_one() {
    for place in PLACES {
        let farm = last_year(place).logged("2027-03-05", "spread", "heap", "A", "10");
        let before = bytes(&farm, 2026);
        let rows = value(&year_tally(&farm, 2026))["fields"][0]["spread"].as_array().unwrap().len();
        assert_eq!(rows, 2, "{}: {before}", place.key);
        let analyses =
            json!([analysis("2027-01-20", "50 lb/ton", "40 lb/ton"), analysis("2026-01-20", "20 lb/ton", "2 lb/ton")]);
        let tests = json!([soil_test(place, "2027-01-06", 300), soil_test(place, "2025-10-06", 40)]);
        let ratings = json!([rating("2025-11-09", "low"), rating("2027-01-09", "high")]);
        let forage = json!([{"forage": "tall fescue", "yield_goal": "4 tons/ac", "until": "2026-12-31"}]);
        let renamed = json!([{"id": "A", "name": "A", "until": "2027-01-31"}]);
        for (path, new) in [
            ("litter.heap.analysis", analyses),
            ("fields.A.soil_test", tests),
            ("fields.A.phosphorus_rating", ratings),
            ("fields.A.before", forage),
            ("fields.A.before", renamed),
        ] {
            let mut later = farm.clone().with(path, new.clone());
            if path.ends_with("before") && new[0]["forage"].is_string() {
                later = later.with("fields.A.forage", "orchardgrass").with("fields.A.yield_goal", "3 tons/ac");
            } else if path.ends_with("before") {
                // Entries of February on are written under the new name.
                later = renamed_farm(place, new);
            }
            let after = bytes(&later, 2026);
            assert_eq!(after, before, "{}: {path}", place.key);
        }
    }
}

/// The farm with its field under another name, with an accent.
fn renamed_farm(place: &'static Place, before: Value) -> Farm {
    last_year(place).with("fields.A.before", before).with("fields.A.id", "Peña-Nord").logged(
        "2027-03-05",
        "spread",
        "heap",
        "Peña-Nord",
        "10",
    )
}

/// An entry counts by the newest analysis up to its day, before the first by the
/// first: calculated by hand.
#[test]
fn an_entry_counts_by_the_analysis_of_its_day() {
    let lots = json!([
        analysis("2027-02-18", "40 lb/ton", "8 lb/ton"),
        analysis("2027-03-10", "60 lb/ton", "16 lb/ton"),
        analysis("2027-04-20", "80 lb/ton", "32 lb/ton")
    ]);
    for place in PLACES {
        let farm = Farm::new(place)
            .with("plan.as_of", "2027-05-01")
            .with("litter.heap.analysis", lots.clone())
            .logged("2027-02-16", "spread", "heap", "A", "1")
            .logged("2027-03-09", "spread", "heap", "A", "1")
            .logged("2027-03-10", "spread", "heap", "A", "1")
            .logged("2027-03-30", "spread", "heap", "A", "1");
        let made = planned(&farm);
        let rows = made.tally["fields"][0]["spread"].as_array().unwrap();
        let held = |row: &Value, of: &str| row[of].as_f64().unwrap() / row["rate"].as_f64().unwrap();
        let total: Vec<f64> = rows.iter().map(|row| held(row, "total_n").round()).collect();
        assert_eq!(total, [40.0, 40.0, 60.0, 60.0], "{}", place.key);
        let p2o5: Vec<f64> = rows
            .iter()
            .map(|row| (row["on"]["p2o5"].as_f64().unwrap() / row["rate"].as_f64().unwrap()).round())
            .collect();
        assert_eq!(p2o5, [8.0, 8.0, 16.0, 16.0], "{}", place.key);
        // The limits count the same: each ton on all of the field, one after the other.
        let acres = made.number("A", "/acres");
        let done = made.number("A", "/done/p2o5") * acres;
        assert!((done - 48.0).abs() < 0.1, "{}: {done}", place.key);
        assert!(made.tally_codes().contains("tally-sampled-later"), "{:?}", made.tally_codes());
        // What is planned goes by the newest.
        let (supplied, rate) = (made.number("A", "/supplied/p2o5"), made.rate("A"));
        assert!((supplied - 32.0 * rate).abs() < 0.01, "{}: {supplied} of {rate}", place.key);
    }
}

/// An audit of a plan that took the newest analysis for all of the log notices.
#[test]
fn the_audit_counts_the_log_by_its_own_days() {
    let weak =
        json!([analysis("2027-02-14", "20 lb/ton", "2 lb/ton"), analysis("2027-03-10", "20 lb/ton", "40 lb/ton")]);
    let farm = Farm::new(&NC).with("plan.as_of", "2027-03-15").logged("2027-03-01", "spread", "heap", "A", "10");
    let by_newest = farm.clone().with("litter.heap.analysis", weak[1].clone());
    let dated = farm.with("litter.heap.analysis", weak);
    let wrong = planned(&by_newest);
    assert!(kit::verdict_codes(&planned(&dated).text, &dated).is_empty());
    assert!(kit::verdict_codes(&wrong.text, &dated).contains("shown"));
}

/// Kentucky tells seasons apart: what went on outside the plan's days counts by its
/// own season.
#[test]
fn an_entry_outside_the_plans_days_counts_by_its_own_season() {
    let farm = Farm::new(&KY)
        .with("litter.heap.analysis", json!([analysis("2026-01-20", "40 lb/ton", "2 lb/ton")]))
        .logged("2026-03-01", "spread", "heap", "A", "20")
        .logged("2026-09-20", "spread", "heap", "A", "20");
    let tally = value(&year_tally(&farm, 2026));
    let rows = tally["fields"][0]["spread"].as_array().unwrap();
    let ready = checked(&farm).ready.unwrap();
    let tables = farm.tables();
    let book = ready.book(&tables).unwrap();
    let field = &ready.fields[0];
    let mut shares = BTreeSet::new();
    for row in rows {
        let day: jiff::civil::Date = row["date"].as_str().unwrap().parse().unwrap();
        let seasons = book.seasons(&ready.scope(field));
        let open = seasons.iter().find(|(_, season)| {
            let (first, last) = season.value.days_in(day.year()).unwrap();
            (first..=last).contains(&day)
        });
        let season = open.map(|(name, _)| name.as_str());
        let scope = field.availability(&ready.lots[0], ready.large, season);
        let share = book.get(sward::tables::topic::N_AVAILABLE, &scope).unwrap().value.get();
        let n = row["on"]["n"].as_f64().unwrap() / row["total_n"].as_f64().unwrap();
        assert!((n - share).abs() < 1e-6, "{day}: {n}, {share}");
        shares.insert(share.to_string());
    }
    assert_eq!(shares.len(), 2, "the two seasons differ");
}

/// A split field: an entry on the whole goes on each part by its acres, or on the
/// part that it names; the pounds add up.
#[test]
fn a_split_field_keeps_the_entries_of_the_whole() {
    for place in PLACES {
        let parts = json!([{"id": "Whole", "until": "2027-01-31"}]);
        let farm = last_year(place)
            .field("B")
            .with("fields.B.yield_goal", "3 tons/ac")
            .with("fields.A.before", parts.clone())
            .with("fields.B.before", parts)
            .logged("2026-04-02", "spread", "heap", "Whole", "33.333");
        let tally = value(&year_tally(&farm, 2026));
        let fields = tally["fields"].as_array().unwrap();
        let of = |id: &str| fields.iter().find(|f| f["field"] == id).unwrap();
        let piece = |id: &str| {
            let rows = of(id)["spread"].as_array().unwrap();
            rows.iter().find(|row| row["date"] == "2026-04-02").unwrap()["pounds"].as_i64().unwrap()
        };
        assert_eq!(piece("A") + piece("B"), 66_666, "{tally:#}");
        assert!((piece("A") - piece("B")).abs() < 100, "{tally:#}");
        assert_eq!(tally["lots"][0]["spread"], 66_666 + 2 * 32_000);
        let gaps = tally["gaps"].as_array().unwrap();
        assert_eq!(gaps.len(), 3, "each entry lacks it once: {tally:#}");
        assert!(!checked(&farm).codes().contains("log-twice"));
        // The part alone, on a day before it was one.
        let alone = farm.logged("2026-04-03", "spread", "heap", "B", "7");
        let tally = value(&year_tally(&alone, 2026));
        let rows = tally["fields"].as_array().unwrap().iter().flat_map(|f| f["spread"].as_array().unwrap());
        let alone: Vec<_> = rows.filter(|row| row["date"] == "2026-04-03").map(|row| row["pounds"].clone()).collect();
        assert_eq!(alone, [14_000], "{tally:#}");
    }
}

#[test]
fn an_id_of_before_is_known_until_its_last_day() {
    let farm = renamed_farm(&NC, json!([{"id": "A", "until": "2026-12-31"}]));
    assert_eq!(checked(&farm).found("id-unknown"), Vec::<String>::new());
    let late = farm.logged("2027-03-06", "spread", "heap", "A", "10");
    let found = checked(&late).found("id-unknown");
    assert_eq!(found, ["field `A` was so called until 2026-12-31, and the entry is of 2027-03-06"]);
    let gone = last_year(&NC).logged("2026-06-01", "haul", "old pile", "", "10");
    let findings = checked(&gone).findings;
    let told = findings.sorted().into_iter().find(|f| f.code == "id-unknown").unwrap().clone();
    assert!(told.fix.unwrap().contains("keep it in farm.yaml with `on_hand: 0 tons`"));
}

/// A forage that ends within the plan is told; the plan goes by the one of its
/// first open day.
#[test]
fn a_plan_goes_by_the_forage_of_its_first_open_day() {
    let before = json!([{"forage": "tall fescue", "yield_goal": "4 tons/ac", "until": "2027-04-15"}]);
    let farm = Farm::new(&NC).with("fields.A.forage", "orchardgrass").with("fields.A.before", before);
    let made = planned(&farm);
    assert_eq!(made.field("A")["forage"], "tall fescue");
    assert_eq!(made.number("A", "/goal/tons"), 4.0);
    assert!(made.codes().contains("changes-within"));
    let later = planned(&farm.clone().with("plan.as_of", "2027-04-16"));
    assert_eq!(later.field("A")["forage"], "orchardgrass");
    assert!(!later.codes().contains("changes-within"));
    let by_then = farm.with("plan.to", "2027-04-15");
    assert!(!checked(&by_then).codes().contains("changes-within"));
}

/// Papers of a day after the plan's are told and do not count yet; with none
/// before it the plan stops, as nobody can know them.
#[test]
fn papers_of_a_later_day_do_not_count_yet() {
    let two = json!([soil_test(&NC, "2026-10-06", 40), soil_test(&NC, "2027-03-06", 90)]);
    let farm = Farm::new(&NC).with("fields.A.soil_test", two);
    let now = planned(&farm);
    assert!(now.codes().contains("not-yet-in-force"));
    assert_eq!(now.number("A", "/phosphorus/soil"), 40.0);
    let later = planned(&farm.clone().with("plan.as_of", "2027-03-06"));
    assert!(!later.codes().contains("not-yet-in-force"));
    assert_eq!(later.number("A", "/phosphorus/soil"), 90.0);
    let alone = checked(&Farm::new(&NC).with("fields.A.soil_test", json!([soil_test(&NC, "2027-03-06", 90)])));
    assert!(alone.codes().contains("not-yet-known"), "{:?}", alone.codes());
}

/// The order of a list is no matter, nor whether one record stands in a list.
#[test]
fn a_list_says_the_same_in_any_order() {
    let [old, new] = [soil_test(&NC, "2025-10-06", 30), soil_test(&NC, "2026-10-06", 44)];
    let plan = |tests: Value| planned(&Farm::new(&NC).with("fields.A.soil_test", tests)).json["fields"].clone();
    let alone = plan(new.clone());
    assert_eq!(plan(json!([new.clone()])), alone);
    assert_eq!(plan(json!([old.clone(), new.clone()])), plan(json!([new, old])));
}

/// `--with` reaches a record of a list by its day; `tally --year` is a command.
#[test]
fn the_program_takes_a_record_by_its_day_and_a_year() {
    let folder = last_year(&NC).folder();
    let with = "fields.A.soil_test.2025-10-06.p=90 index";
    let ended = sward(folder.path(), &["plan", "--with", with]);
    assert_eq!(ended.code, 0, "{}{}", ended.out, ended.err);
    let wrong = sward(folder.path(), &["plan", "--with", "fields.A.soil_test.2025-10-07.p=90 index"]);
    assert!(wrong.code == 1 && wrong.err.contains("2025-10-06"), "{}", wrong.err);
    let tally = sward(folder.path(), &["tally", "--year", "2026"]);
    assert_eq!((tally.code, tally.err.as_str()), (0, ""), "{}", tally.out);
    assert!(tally.out.starts_with("Kettle Run: tally of 2026\n"), "{}", tally.out);
    kit::page(&tally.out);
    assert!(tally.out.contains("64,000"), "{}", tally.out);
    let none = sward(folder.path(), &["tally", "--year", "2025"]);
    assert!(none.code == 0 && !none.out.contains("APPLIED"), "{}", none.out);
    assert_eq!(sward(folder.path(), &["tally", "--year", "26"]).code, 2);
    let codes: BTreeSet<String> = planned(&last_year(&NC)).tally_codes();
    assert!(codes.contains("tally-outside"), "{codes:?}");
}

/// Lists in any order and entries on any day, against a plain count.
#[test]
fn any_entry_counts_by_the_newest_analysis_of_before() {
    for case in 0..12 {
        let mut dice = kit::Dice::of_case(case);
        let mut days: Vec<String> = Vec::new();
        while days.len() < 4 {
            let day = kit::later("2027-02-15", dice.below(80) as i32);
            if !days.contains(&day) {
                days.push(day);
            }
        }
        let n_of = |day: &str| {
            20.0 + f64::from(day[5..7].parse::<u8>().unwrap()) * 5.0 + day[8..].parse::<f64>().unwrap() / 10.0
        };
        let list: Vec<Value> =
            days.iter().map(|day| analysis(day, &format!("{} lb/ton", n_of(day)), "2 lb/ton")).collect();
        let mut farm = Farm::new(&NC).with("plan.as_of", "2027-05-31").with("litter.heap.analysis", list);
        for i in 0..6 {
            let day = kit::later("2027-02-15", dice.below(90) as i32);
            farm = farm.logged(&day, "spread", "heap", "A", &format!("{}", 1 + i));
        }
        days.sort();
        let tally = value(&year_tally(&farm, 2027));
        for row in tally["fields"][0]["spread"].as_array().unwrap() {
            let date = row["date"].as_str().unwrap();
            let by = days.iter().rfind(|day| day.as_str() <= date).unwrap_or(&days[0]);
            let held = row["total_n"].as_f64().unwrap() / row["rate"].as_f64().unwrap();
            assert!((held - n_of(by)).abs() < 1e-6, "{date} of {days:?}: {held}");
        }
    }
}

/// Seasons go by what grew on the day: summer is none of tall fescue's in North
/// Carolina, and one of hybrid bermudagrass.
#[test]
fn an_entry_falls_into_the_season_of_what_grew_then() {
    let farm = last_year(&NC).logged("2026-07-02", "spread", "heap", "A", "10");
    let before = json!([{"forage": "hybrid bermudagrass", "yield_goal": "5 tons/ac", "until": "2026-12-31"}]);
    let outside = |farm: &Farm| {
        let tally = value(&year_tally(farm, 2026));
        let findings = tally["findings"].as_array().unwrap().clone();
        findings
            .iter()
            .filter(|f| f["code"] == "log-window" && f["found"].as_str().unwrap().contains("2026-07-02"))
            .count()
    };
    assert_eq!(outside(&farm), 1);
    assert_eq!(outside(&farm.with("fields.A.before", before)), 0);
}

/// A year before a figure was first kept counts by its first edition.
#[test]
fn a_year_before_the_tables_counts_by_their_first_edition() {
    for place in PLACES {
        let farm = Farm::new(place)
            .with(
                "litter.heap.analysis",
                json!([
                    analysis("2019-01-20", "20 lb/ton", "2 lb/ton"),
                    analysis("2027-01-20", "30 lb/ton", "3 lb/ton")
                ]),
            )
            .logged("2019-03-20", "spread", "heap", "A", "20");
        let tally = value(&year_tally(&farm, 2019));
        let row = &tally["fields"][0]["spread"][0];
        let n = row["on"]["n"].as_f64().unwrap();
        assert!(n > 0.0 && n <= row["total_n"].as_f64().unwrap(), "{}: {row}", place.key);
        assert!(!tally["findings"].to_string().contains("tally-barred"), "{}: {}", place.key, tally["findings"]);
    }
}

/// A first rating changes nothing of the year before it.
#[test]
fn a_first_rating_is_none_of_the_year_before() {
    let unrated = last_year(&NC).with("fields.A.phosphorus_rating", Value::Null);
    let rated = unrated.clone().with("fields.A.phosphorus_rating", rating("2027-01-09", "high"));
    assert_eq!(bytes(&rated, 2026), bytes(&unrated, 2026));
}

/// A sample that was logged and not reported yet is told, and lifts nothing.
#[test]
fn a_sample_without_its_report_is_told() {
    let farm = Farm::new(&NC).with("plan.as_of", "2027-03-10");
    let sampled = farm.clone().logged("2027-03-01", "soil-sample", "", "A", "").logged(
        "2027-03-02",
        "lot-sample",
        "heap",
        "",
        "",
    );
    let told = checked(&sampled).found("sample-unreported");
    assert_eq!(
        told,
        [
            "field A was sampled on 2027-03-01, and farm.yaml has no report of it",
            "lot `heap` was sampled on 2027-03-02, and farm.yaml has no report of it"
        ]
    );
    assert_eq!(planned(&sampled).json["fields"], planned(&farm).json["fields"]);
    let tests = json!([soil_test(&NC, "2026-10-06", 40), soil_test(&NC, "2027-03-01", 41)]);
    let reported = sampled.with("fields.A.soil_test", tests);
    assert_eq!(checked(&reported).found("sample-unreported").len(), 1);
    // One that is still to come on the plan's day is not missed.
    let before = farm.with("plan.as_of", "2027-02-20").logged("2027-03-01", "soil-sample", "", "A", "");
    assert!(checked(&before).found("sample-unreported").is_empty());
}

/// Litter that no limit can count, as no ground is left, is told.
#[test]
fn litter_on_a_field_without_ground_is_told() {
    let well = json!({"kind": "well", "name": "a well", "setback": "2000 ft", "setback_by": "a planner, 2026-11-09"});
    let farm = Farm::new(&NC).field("B").keepout(0.0, well).logged("2027-03-01", "spread", "heap", "A", "10");
    let texts = farm.texts();
    let log = farm.log_text();
    let weighed = asked(&texts, &log, &farm).check().weigh().unwrap_or_else(|f| panic!("{:?}", f.sorted()));
    assert!(weighed.findings.sorted().iter().any(|f| f.code == "logged-no-ground"), "{:?}", weighed.findings.sorted());
}

/// `sward log` takes an id of before on its days, and no longer.
#[test]
fn the_log_takes_an_id_of_before_on_its_days() {
    let folder = renamed_farm(&NC, json!([{"id": "A", "until": "2026-12-31"}])).folder();
    let cut = |day: &str| {
        sward(folder.path(), &["log", "cut", "--field", "A", "--tons", "9", "--date", day, "--today", "2027-03-10"])
    };
    let old = cut("2026-09-02");
    assert_eq!(old.code, 0, "{}{}", old.out, old.err);
    let new = cut("2027-03-02");
    assert!(new.code != 0 && new.err.contains("was so called until 2026-12-31"), "{}{}", new.out, new.err);
}

/// A field put together of two: both of their entries count on it, and a year's tally
/// does not go by the id of one of them.
#[test]
fn a_field_put_together_has_the_entries_of_its_parts() {
    let parts = json!([{"id": "Upper", "until": "2026-12-31"}, {"id": "Lower", "until": "2026-12-31"}]);
    let farm = Farm::new(&NC)
        .with("litter.heap.analysis", json!([analysis("2026-01-20", "20 lb/ton", "2 lb/ton")]))
        .with("fields.A.before", parts)
        .part("2026-03-20", "heap", "Upper", "12", "4")
        .logged("2026-03-21", "spread", "heap", "Lower", "10");
    let tally = value(&year_tally(&farm, 2026));
    let field = &tally["fields"][0];
    assert_eq!((field["field"].as_str(), field["entries"].as_u64()), (Some("A"), Some(2)));
    assert_eq!(field["pounds"], 44_000);
    let told = checked(&farm).found("log-part-acres");
    assert!(told.len() == 1 && told[0].contains("covered `Lower`, a part of field A now"), "{told:?}");
}

/// Where nobody says how old a litter analysis may be the grower is asked, until he says it.
#[test]
fn the_age_of_analyses_is_asked_where_the_place_has_none() {
    let ky = Farm::new(&KY);
    assert_eq!(checked(&ky).found("age-unsaid").len(), 1, "{:?}", checked(&ky).codes());
    let mut figures = vec![kit::own_figure("litter_sample_age", "180 days")];
    figures.extend([kit::own_figure("p2o5_need", "50 lb/ac"), kit::own_figure("k2o_need", "80 lb/ac")]);
    assert!(checked(&ky.with("figures", figures)).found("age-unsaid").is_empty());
    assert!(checked(&Farm::new(&NC)).found("age-unsaid").is_empty());
}

/// Next year needs no new days at once: cuttings and grazing of the last year that has some stand
/// for a year that has none, and the plan is that of the same days written out. Days of a later year
/// alone are a slip.
#[test]
fn last_years_cuttings_stand_for_a_year_without_any() {
    let next = |farm: Farm| {
        farm.with("plan.from", "2028-02-15").with("plan.to", "2028-10-31").with("plan.as_of", "2028-02-01")
    };
    for place in PLACES {
        let days = |cuttings: Value, grazed: Value| {
            let farm = Farm::new(place).with("fields.A.use", "hay_then_grazed");
            next(farm.with("fields.A.cuttings", cuttings).with("fields.A.grazed", grazed))
        };
        let graze = |year: i16| json!([{"from": format!("{year}-08-01"), "to": format!("{year}-09-01")}]);
        let old = planned(&days(json!(["2026-05-02", "2027-05-14", "2027-07-20"]), graze(2027)));
        let new = planned(&days(json!(["2028-05-14", "2028-07-20"]), graze(2028)));
        for at in ["cuttings", "grazed", "applications", "windows"] {
            assert_eq!(old.field("A")[at], new.field("A")[at], "{}: {at}", place.key);
        }
        assert!(old.codes().contains("cuttings-carried") && old.codes().contains("grazed-carried"), "{}", place.key);
        assert!(!new.codes().contains("cuttings-carried"), "{}", place.key);
        // A plan that runs on into the next year knows of its cuttings too.
        let long = Farm::new(place).with("fields.A.cuttings", json!(["2027-05-14"])).with("plan.from", "2027-09-01");
        let long = long.with("plan.to", "2028-06-30").with("plan.as_of", "2027-08-20");
        let cuttings = planned(&long).field("A")["cuttings"].clone();
        assert_eq!(cuttings, json!(["2027-05-14", "2028-05-14"]), "{}", place.key);
        let later = checked(&next(Farm::new(place).with("fields.A.cuttings", json!(["2072-05-14"]))));
        assert!(later.findings.sorted().iter().any(|f| f.code == "cutting-year"), "{}", place.key);
    }
}
