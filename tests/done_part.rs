//! A field that is done in part, by entries of the log that say their ground: what is left is
//! told everywhere, and nothing is planned a second time on the ground that is done.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use geo::{Contains, Point, Polygon};
use kit::{Farm, PLACES, Place, Planned, figure, fit, flat, planned, sward, verdict_codes};
use serde_json::{Value, json};
use std::fs;

/// Litter with 30 lb of phosphate a ton, on a field of 660 by 660 ft.
fn farm(place: &'static Place) -> Farm {
    Farm::new(place).with("litter.heap.analysis.p2o5", "30 lb/ton").with("fields.A.phosphorus_rating.rating", "high")
}

const SOUTH: [f64; 4] = [0.0, 0.0, 660.0, 330.0];
const NORTH: [f64; 4] = [0.0, 330.0, 660.0, 660.0];
/// Half of it lies on the south.
const MIDDLE: [f64; 4] = [0.0, 198.0, 660.0, 462.0];
/// Season of both places in which the entries lie.
const DAY: &str = "2027-03-01";

/// The farm with tons on some areas, all on one day.
fn spread(place: &'static Place, areas: &[([f64; 4], f64)]) -> Farm {
    areas.iter().fold(farm(place), |farm, (area, tons)| {
        let ground = farm.area(*area);
        farm.on_ground(DAY, &format!("{tons:.3}"), &ground, "")
    })
}

fn part(farm: &Farm) -> Value {
    planned(farm).field("A").get("part").cloned().unwrap_or_default()
}

/// The job on what is left.
fn rest_job(plan: &Planned) -> Option<Value> {
    plan.spread("A").iter().find(|job| job["rest_acres"].is_number()).cloned()
}

/// Acres done and acres left.
fn is(part: &Value, done: f64, left: f64) -> bool {
    let near = |at: &str, wanted: f64| (part[at].as_f64().unwrap() - wanted).abs() < 0.06;
    near("done", done) && near("left", left)
}

#[test]
fn what_is_left_is_the_field_less_the_ground_that_is_done() {
    for place in PLACES {
        let one = part(&spread(place, &[(SOUTH, 5.0)]));
        assert!(is(&one, 5.0, 5.0), "{}: {one}", place.key);
        // A strip lies on the south with half of its ground.
        let two = part(&spread(place, &[(SOUTH, 2.0), (MIDDLE, 2.0)]));
        assert!(is(&two, 7.0, 3.0), "{}: {two}", place.key);
        // A way of 435.6 ft with 40 ft is 0.4 ac.
        let way = farm(place).way(&[[100.0, 330.0], [535.6, 330.0]]);
        let way = part(&farm(place).on_ground(DAY, "0.4", &way, "40 ft"));
        assert!(is(&way, 0.4, 9.6), "{}: {way}", place.key);
        // All of it: nothing is left.
        assert_eq!(part(&spread(place, &[(SOUTH, 2.0), (NORTH, 2.0)])), Value::Null, "{}", place.key);
        assert_eq!(part(&farm(place)), Value::Null, "{}", place.key);
    }
}

/// The ground that is left is planned as if nothing had been done on the field, whatever the
/// other part got: its rate, pounds, days, and the litter of its lot.
#[test]
fn the_rest_of_a_field_is_a_job() {
    for place in PLACES {
        let untouched = planned(&farm(place).with("plan.as_of", DAY));
        for tons in [2.0, 5.0, 40.0] {
            let plan = planned(&spread(place, &[(SOUTH, tons)]));
            let job = rest_job(&plan).unwrap_or_else(|| panic!("{} {tons}: {}", place.key, plan.field("A")["part"]));
            assert_eq!(job["rate"], untouched.spread("A")[0]["rate"], "{} {tons}", place.key);
            let (rate, acres) = (job["rate"].as_f64().unwrap(), job["rest_acres"].as_f64().unwrap());
            assert_eq!(job["rest_acres"], plan.field("A")["part"]["left"], "{}", place.key);
            let pounds = job["pounds"].as_f64().unwrap();
            assert!((pounds - rate * acres * 2000.0).abs() <= 1.0, "{}: {job}", place.key);
            assert_eq!(plan.lot("heap")["planned"], job["pounds"], "{}", place.key);
            let until = plan.field("A")["part"]["until"].clone();
            assert!(job["first"] == DAY && job["last"].as_str() <= until.as_str(), "{}: {job}", place.key);
        }
    }
}

/// What went on today lies beside the rest, so the rest has all of its window, also where a limit
/// binds what goes on at once; with today's litter on all of the field, today adds up.
#[test]
fn the_rest_keeps_its_whole_window_on_the_day_of_an_entry() {
    for place in PLACES {
        let most = |farm: Farm| {
            farm.with("plan.as_of", DAY).figure(figure(
                "n_at_once",
                "lb/ac",
                "forage: tall_fescue, use: hay",
                "value: 60",
            ))
        };
        let windows = |plan: &Planned| plan.field("A")["windows"].as_array().unwrap().len();
        let untouched = windows(&planned(&most(farm(place))));
        let plan = planned(&most(spread(place, &[(SOUTH, 5.0)])));
        let job = rest_job(&plan).unwrap_or_else(|| panic!("{}: {}", place.key, plan.field("A")["part"]));
        assert!(job["first"] == DAY && job["last"] == plan.field("A")["part"]["until"], "{}: {job}", place.key);
        assert!(job["last"].as_str() > Some(DAY), "{}: {job}", place.key);
        assert_eq!(windows(&plan), untouched, "{}", place.key);
        let all_of_it = most(farm(place)).logged(DAY, "spread", "heap", "A", "5");
        assert_eq!(windows(&planned(&all_of_it)), untouched + 1, "{}", place.key);
    }
}

/// A rate that is off its limit by a step on ground that got nothing, on ground that got what all
/// of the field got before, and the bill of the two.
#[test]
fn the_rest_counts_what_all_of_the_field_got() {
    for place in PLACES {
        let rate = |farm: &Farm| rest_job(&planned(farm)).map_or(0.0, |job| job["rate"].as_f64().unwrap());
        let half = spread(place, &[(SOUTH, 5.0)]);
        let alone = rate(&half);
        // Hardly any litter on all of it in winter, when no season is open: 20 lb/ac of phosphate.
        let before = farm(place).logged("2027-01-12", "spread", "heap", "A", "6.7").with("plan.from", "2027-01-01");
        let ground = before.area(SOUTH);
        let both = before.on_ground(DAY, "5", &ground, "");
        let less = rate(&both);
        assert!(less < alone, "{}: {less} of {alone}", place.key);
        let plan = planned(&both);
        let years = plan.field("A")["years"].as_array().unwrap();
        let of = |at: usize| {
            years.iter().map(|year| year["parted"][at]["done_usable"]["p2o5"].as_f64().unwrap()).sum::<f64>()
        };
        assert!(of(0) > of(1) + 25.0 && (of(1) - 20.0).abs() < 0.1, "{}: {years:?}", place.key);
    }
}

/// Finishing a field is worth what litter replaces on the ground that is left: half of what it
/// replaces on all of it.
#[test]
fn the_bill_counts_the_ground_that_is_left() {
    for place in PLACES {
        let replaced = |farm: &Farm| planned(farm).json["money"]["replaced"].as_f64().unwrap();
        let all = replaced(&farm(place).with("plan.as_of", DAY));
        let rest = replaced(&spread(place, &[(SOUTH, 5.0)]));
        assert!(all > 50.0 && (rest - all / 2.0).abs() <= 2.0, "{}: {rest} of {all}", place.key);
    }
}

/// Two phones log the same part, not quite by the same edge: it is done once.
#[test]
fn a_part_that_is_logged_twice_is_done_once() {
    for place in PLACES {
        let other = [0.0, 0.0, 657.0, 333.0];
        let twice = part(&spread(place, &[(SOUTH, 2.0), (other, 2.0)]));
        assert!(is(&twice, 5.05, 4.95), "{}: {twice}", place.key);
    }
}

#[test]
fn nothing_is_planned_a_second_time_on_ground_that_is_done() {
    for place in PLACES {
        // So thin that every limit has room.
        let thin = spread(place, &[(SOUTH, 3.0)]).with("fields.A.phosphorus_rating", Value::Null);
        let plan = planned(&thin);
        let until = plan.field("A")["part"]["until"].as_str().unwrap_or_else(|| panic!("{}", plan.field("A")));
        let whole = |farm: &Farm| {
            let jobs = planned(farm).spread("A").clone();
            jobs.iter().any(|job| job["last"].as_str().unwrap() <= until && job["rest_acres"].is_null())
        };
        assert!(!whole(&thin), "{}: {:?}", place.key, plan.days("A"));
        // As many acres that nobody drew may be gone over again.
        let acres = farm(place).part(DAY, "heap", "A", "3", "5").with("fields.A.phosphorus_rating", Value::Null);
        assert!(whole(&acres), "{}: {:?}", place.key, planned(&acres).days("A"));
        // Where an entry does not say its ground nobody knows what is left.
        let unknown = thin.clone().part("2027-03-02", "heap", "A", "1", "1");
        assert_eq!(part(&unknown), Value::Null, "{}", place.key);
    }
}

/// Where nothing goes on what is left the plan says why.
#[test]
fn the_plan_says_why_the_rest_gets_nothing() {
    for place in PLACES {
        let half = spread(place, &[(SOUTH, 5.0)]);
        for (at, value, why) in [
            ("litter.heap.on_hand", json!("5.5 tons"), "tons on hand"),
            ("fields.A.most", json!("0.5 tons/ac"), "lowest even rate"),
            ("prices.loading_spreading", json!("90 $/ton"), "cost more than it saves"),
        ] {
            let plan = planned(&half.clone().with(at, value));
            assert!(rest_job(&plan).is_none(), "{} {at}", place.key);
            let told = plan.field("A")["part"]["why_not"].as_str().unwrap().to_string();
            assert!(told.contains(why), "{} {at}: {told}", place.key);
        }
    }
}

#[test]
fn the_audit_holds_what_is_told_to_the_log() {
    for place in PLACES {
        let half = spread(place, &[(SOUTH, 5.0)]);
        let plan = planned(&half);
        assert!(!verdict_codes(&plan.text, &half).contains("part"), "{}", place.key);
        let more = plan.number("A", "/applications/0/rate") + 0.25;
        for (code, at, value) in [
            ("part", "/part/left", json!(6.0)),
            ("part", "/part/entries", json!([])),
            ("part", "/part/why_not", json!("limited by phosphorus")),
            ("part", "/applications/0/rest_acres", json!(5.5)),
            ("part", "/applications/0/rest_acres", Value::Null),
            ("nutrients", "/applications/0/rate", json!(more)),
            ("setting", "/applications/0/pounds", json!(20_000)),
            ("shown", "/years/0/parted/1/supplied_usable/p2o5", json!(1.0)),
            ("shown", "/years/0/parted/0/done_usable/n", json!(1.0)),
            ("shown", "/supplied/n", json!(99.0)),
        ] {
            let mut changed = plan.json.clone();
            let field = changed["fields"].as_array_mut().unwrap().iter_mut().find(|f| f["id"] == "A").unwrap();
            let (of, key) = at.rsplit_once('/').unwrap();
            field.pointer_mut(of).unwrap()[key] = value;
            let codes = verdict_codes(&changed.to_string(), &half);
            assert!(codes.contains(code), "{} {at}: {codes:?}", place.key);
        }
        // More acres than are left, as if less were done.
        let text = [("left", "6.02"), ("rest_acres", "6.02"), ("done", "4.02")]
            .iter()
            .fold(plan.text, |text, (key, acres)| {
                text.replace(&format!("\"{key}\": 5.02"), &format!("\"{key}\": {acres}"))
            });
        assert!(text.contains("\"rest_acres\": 6.02"), "{}", place.key);
        assert!(verdict_codes(&text, &half).contains("part"), "{}", place.key);
    }
}

#[test]
fn every_page_names_the_acres_that_are_left() {
    for place in PLACES {
        let days = json!({"tons_per_day": "90 tons", "fit": fit("40 %")});
        let farm = spread(place, &[(SOUTH, 5.0)]).with("days", days);
        let folder = farm.folder();
        let run = |args: &[&str]| {
            let ended = sward(folder.path(), args);
            assert_eq!(ended.code, 0, "{args:?}: {}{}", ended.out, ended.err);
            ended.out
        };
        let told = "5.02 of 10.04 acres are done (2027-03-01); keep off them until ";
        for command in ["plan", "today"] {
            let page = flat(&run(&[command]));
            assert!(
                page.contains(told) && page.contains("The plan finishes the other 5.02 acres with "),
                "{command}: {page}"
            );
        }
        for command in ["days", "check"] {
            let page = flat(&run(&[command]));
            assert!(page.contains("5.02 of 10.04 ac were done, 5.02 ac are left"), "{command}: {page}");
        }
        let made: Value = serde_json::from_str(&run(&["map", "--geojson"])).unwrap();
        let acres = |is: &str| {
            let feature = made["features"].as_array().unwrap().iter().find(|f| f["properties"]["is"] == is).unwrap();
            assert_eq!(feature["geometry"]["type"], "Polygon", "{feature}");
            feature["properties"]["acres"].as_f64().unwrap()
        };
        assert_eq!((acres("done"), acres("left")), (5.02, 5.02), "{}", place.key);
        run(&["map", "-o", "maps"]);
        let map = fs::read_to_string(folder.path().join("maps/field-A.svg")).unwrap();
        for words in ["LEFT TO DO", ">DONE<", "Done: keep off", "class=\"done\""] {
            assert!(map.contains(words), "{words}: {map}");
        }
        run(&["sheets", "-o", "sheets"]);
        let sheets = fs::read_to_string(folder.path().join("sheets/sheets.html")).unwrap();
        assert!(sheets.contains("Done in part") && sheets.contains("<b>5.02 ac left</b>, of 10.04"), "{}", place.key);
    }
}

/// Where an entry says its acres and not its ground nobody knows which ground is left: every page
/// says that this is why nothing is planned for it alone, and which line draws it; where litter
/// is lacking, that is the reason.
#[test]
fn a_part_without_ground_says_what_to_do() {
    for place in PLACES {
        let half = farm(place).part(DAY, "heap", "A", "5.0", "5.02");
        let dear = half.clone().with("prices.loading_spreading", json!("90 $/ton"));
        for farm in [&half, &dear] {
            let plan = planned(farm);
            let undrawn = &plan.field("A")["undrawn"];
            assert!(is(undrawn, 5.02, 5.02) && undrawn["entries"].as_array().unwrap().len() == 1, "{undrawn}");
            assert_eq!(plan.field("A").get("part"), None);
            assert!(!verdict_codes(&plan.text, farm).contains("part"), "{}", place.key);
            for (key, value) in [("left", json!(6.0)), ("entries", json!(["270301-aaaaaa"])), ("done", json!(1.0))] {
                let mut changed = plan.json.clone();
                let fields = changed["fields"].as_array_mut().unwrap();
                fields.iter_mut().find(|f| f["id"] == "A").unwrap()["undrawn"][key] = value;
                assert!(verdict_codes(&changed.to_string(), farm).contains("part"), "{} {key}", place.key);
            }
            let folder = farm.folder();
            let run = |args: &[&str]| {
                let ended = sward(folder.path(), args);
                assert_eq!(ended.code, 0, "{args:?}: {}{}", ended.out, ended.err);
                ended.out
            };
            run(&["sheets", "-o", "sheets"]);
            run(&["map", "-o", "maps"]);
            let read = |file: &str| flat(&fs::read_to_string(folder.path().join(file)).unwrap());
            let pages = [
                run(&["plan"]),
                run(&["today"]),
                run(&["why", "A"]),
                read("sheets/sheets.html"),
                read("maps/farm.svg"),
            ];
            for page in pages {
                // What stands between the signs of a page that has some.
                let words = page.split('<').map(|piece| piece.split_once('>').map_or(piece, |(_, words)| words));
                let words = words.collect::<Vec<_>>().join(" ");
                let page = flat(if page.contains("</") { &words } else { &page });
                for words in ["5.02 of 10.04 acres are done (2027-03-01)", "does not say its ground", "ground=..."] {
                    assert!(page.contains(words), "{} {words}: {page}", place.key);
                }
            }
        }
        let plan = planned(&dear);
        assert!(plan.spread("A").is_empty());
        let folder = dear.folder();
        let page = flat(&sward(folder.path(), &["plan"]).out);
        assert!(!page.contains("cost more than it saves"), "{page}");
        let empty = planned(&half.clone().with("litter.heap.on_hand", json!("5.1 tons")));
        let folder = half.with("litter.heap.on_hand", json!("5.1 tons")).folder();
        assert!(empty.spread("A").is_empty());
        let page = flat(&sward(folder.path(), &["plan"]).out);
        // In Virginia a limit on phosphate holds before litter is out.
        let out = empty.field("A")["held"]["by"] == "tons_on_hand";
        assert_eq!(out, place.key == "us-nc");
        assert_eq!(page.contains("; limited by tons on hand"), out, "{page}");
        assert_eq!(page.matches("ground=...").count(), 2, "once of the plan and once of the log: {page}");
        // All of it is done, or ground is drawn: nothing is asked.
        let whole = planned(&farm(place).part(DAY, "heap", "A", "5.0", "10"));
        assert_eq!(whole.field("A").get("undrawn"), None);
        let drawn = planned(&spread(place, &[(SOUTH, 5.0)]));
        assert_eq!(drawn.field("A").get("undrawn"), None);
    }
}

/// A job of a later window goes over the whole field again: its sheet says where the rest of the
/// earlier window stands, and all limits of the rest count both jobs.
#[test]
fn a_later_job_goes_over_the_whole_field() {
    let farm = spread(PLACES[0], &[(SOUTH, 2.0)]);
    let farm = farm.with("plan.to", "2027-10-31").with("spreader.most", "1 tons/ac");
    let plan = planned(&farm);
    let until = plan.field("A")["part"]["until"].clone();
    let jobs = plan.spread("A");
    let (now, later) = (&jobs[0], &jobs[1]);
    assert!(now["rest_acres"].is_number() && later["rest_acres"].is_null(), "{jobs:?}");
    assert!(later["first"].as_str() > until.as_str(), "{jobs:?} {until}");
    let year = &plan.field("A")["years"][0];
    let [done, rest] = [0, 1].map(|at| year["parted"][at]["supplied_usable"]["n"].as_f64().unwrap());
    assert!(rest > done && done > 0.0, "{year}");
    let folder = farm.folder();
    let ended = sward(folder.path(), &["sheets", "-o", "sheets"]);
    assert_eq!(ended.code, 0, "{}", ended.err);
    let sheets = fs::read_to_string(folder.path().join("sheets/sheets.html")).unwrap();
    assert!(sheets.contains("LEFT TO DO") && sheets.contains("<b>5.02 ac left</b>, of 10.04"), "{sheets}");
    // Each job has a page with the picture, the runs and the acres of its own ground.
    assert_eq!(sheets.matches("<dt>Drive</dt>").count(), 2, "{sheets}");
    let pages: Vec<&str> = sheets.split("<section").filter(|page| page.contains("id=\"sheet-")).collect();
    assert_eq!(pages.len(), 2);
    for (page, acres, left) in [(pages[0], "5.02", true), (pages[1], "10.04", false)] {
        let spread = page.split("<b>Spread</b>").nth(1).unwrap().split("</tr>").next().unwrap();
        assert!(spread.contains(acres), "{acres}: {spread}");
        assert_eq!((page.matches("<dt>Drive</dt>").count(), page.contains("LEFT TO DO")), (1, left), "{page}");
        assert!(page.contains("<b>Runs cover</b>, arrow to square"), "{page}");
    }
    let ended = sward(folder.path(), &["map", "-o", "maps"]);
    assert_eq!(ended.code, 0, "{}", ended.err);
    let [now_map, then_map] = ["field-A.svg", "field-A-then.svg"]
        .map(|name| fs::read_to_string(folder.path().join("maps").join(name)).unwrap());
    assert!(now_map.contains("LEFT TO DO") && !then_map.contains("LEFT TO DO"));
    for map in [&now_map, &then_map] {
        assert!(map.contains("Drive ") && map.matches("tons per acre of heap").count() == 1, "{map}");
    }
    // Other programs get each job on its own ground, with its days in its name.
    let all: Value = serde_json::from_str(&sward(folder.path(), &["map", "--geojson"]).out).unwrap();
    let own: Vec<&Value> =
        all["features"].as_array().unwrap().iter().filter(|f| f["properties"]["job"].is_number()).collect();
    assert_eq!(own.len(), 2, "{all}");
    assert!(own[0]["geometry"] != own[1]["geometry"] && own[0]["properties"]["title"] != own[1]["properties"]["title"]);
    assert_eq!(sward(folder.path(), &["export", "csv", "-o", "tables"]).code, 0);
    let table = fs::read_to_string(folder.path().join("tables/plan.csv")).unwrap();
    let mut rows = table.lines().map(|line| line.split(',').collect::<Vec<_>>());
    let heads = rows.next().unwrap();
    let at = |name: &str| heads.iter().position(|head| *head == name).unwrap();
    let cells: Vec<[&str; 3]> = rows.map(|row| ["job", "acres", "season"].map(|name| row[at(name)])).collect();
    let season = |job: &Value| job["season"].as_str().unwrap().replace('_', " ");
    assert_eq!(cells, [["1", "5.02", &season(now)], ["2", "10.04", &season(later)]], "{table}");
    let map: Value = serde_json::from_str(&sward(folder.path(), &["map", "--json"]).out).unwrap();
    let field = map["fields"].as_array().unwrap().iter().find(|field| field["id"] == "A").unwrap();
    let (first, then) = (&field["driving"], &field["then_driving"]);
    for (driving, acres) in [(first, 5.02), (&then[0], 10.04)] {
        let jobs = driving["applications"].as_array().unwrap();
        assert!(jobs.len() == 1 && !jobs[0]["load_ends"].as_array().unwrap().is_empty(), "{driving}");
        assert!((driving["reached_acres"].as_f64().unwrap() - acres).abs() < 0.05, "{acres}: {driving}");
    }
    assert_eq!((&first["applications"][0]["season"], then.as_array().unwrap().len()), (&now["season"], 1));
}

/// What the runs of a rest throw lies outside of the ground that is done, however its edge runs, and what
/// they miss is counted of the rest alone.
#[test]
fn the_runs_of_a_rest_keep_off_what_is_done() {
    use geo::{Area, BooleanOps, MultiPolygon};
    let ways: [(&[[f64; 2]], &str); 4] = [
        (&[[100.0, 0.0], [115.0, 660.0]], "200 ft"),
        (&[[0.0, 0.0], [660.0, 500.0]], "200 ft"),
        (&[[100.0, 0.0], [120.0, 300.0], [300.0, 420.0], [330.0, 660.0]], "160 ft"),
        (&[[100.0, 0.0], [100.0, 400.0], [400.0, 400.0], [400.0, 0.0]], "100 ft"),
    ];
    for place in PLACES {
        let mut met = 0;
        for (way, swath) in ways {
            let ground = farm(place).way(way);
            let made = kit::made(&farm(place).on_ground(DAY, "4", &ground, swath));
            let (plan, ready) = (made.audited.plan(), &made.ready);
            let Some(part) = &plan.fields[0].part else { continue };
            let (rest, done) = made.ground[0].without_done(&part.entries).unwrap();
            let all = sward::plan::driving(plan, ready, &made.ground);
            let Some(driving) = all[0].first() else { continue };
            let thrown: MultiPolygon<f64> = driving.each().map(sward::ground::Run::strip).collect();
            let over: f64 = thrown.iter().map(|strip| done.intersection(strip).unsigned_area()).sum();
            assert!(over <= 10.0, "{} {way:?}: {over} sq ft", place.key);
            let (missed, reached) = (driving.missed_acres.unwrap(), driving.reached_acres.unwrap());
            assert!((missed + reached - rest.cut.acres).abs() < 0.01, "{} {way:?}: {missed} {reached}", place.key);
            assert!((rest.cut.acres - part.left).abs() < 0.02 && missed < 0.2 * part.left, "{way:?}: {missed}");
            met += 1;
        }
        assert_eq!(met, ways.len(), "{}", place.key);
    }
}

/// Words on a map say what their ground is: none stand over ground that litter keeps off.
#[test]
fn no_word_of_the_ground_stands_over_a_setback() {
    for (east, feet) in [(0.0, 60), (0.0, 160), (0.0, 250), (-200.0, 100), (0.0, 310)] {
        let well = json!({"kind": "well", "name": "Old well", "setback": format!("{feet} ft"), "setback_by": "a test, 2026-10-20"});
        let farm = spread(PLACES[0], &[(SOUTH, 5.0)]).keepout(east, well);
        let folder = farm.folder();
        let ended = sward(folder.path(), &["map", "-o", "maps"]);
        assert_eq!(ended.code, 0, "{}", ended.err);
        let map = fs::read_to_string(folder.path().join("maps/field-A.svg")).unwrap();
        let zone = map.split("<path class=\"off\" d=\"").nth(1).unwrap().split('"').next().unwrap();
        let number = |text: &str| text.parse::<f64>().unwrap();
        let corner = |text: &str| text.split_once(' ').map(|(x, y)| Point::new(number(x), number(y)));
        let ring = zone.trim_matches(['M', 'Z']).split('L').map(|text| corner(text).unwrap()).collect();
        let zone = Polygon::new(ring, vec![]);
        for word in ["LEFT TO DO", "DONE"] {
            let Some((before, _)) = map.split_once(&format!(">{word}<")) else { continue };
            let text = before.rsplit("<text").next().unwrap();
            let at = |name: &str| number(text.split(&format!("{name}=\"")).nth(1).unwrap().split('"').next().unwrap());
            let (x, y) = (at(" x"), at(" y"));
            for (dx, dy) in [(-30.0, -9.0), (0.0, -9.0), (30.0, -9.0), (-30.0, 0.0), (0.0, 0.0), (30.0, 0.0)] {
                assert!(!zone.contains(&Point::new(x + dx, y + dy)), "{feet} ft: {word} at {x} {y}");
            }
        }
    }
}

/// In years to come what the plan puts on the rest lies beside what was done: of the second year as
/// much is left as where all of the field got what the rest gets.
#[test]
fn the_next_year_counts_each_ground_once() {
    for place in PLACES {
        let second = |farm: &Farm| -> Value {
            let folder = farm.folder();
            let ended = sward(folder.path(), &["plan", "--years", "2", "--json"]);
            assert_eq!(ended.code, 0, "{}", ended.err);
            let years: Value = serde_json::from_str(&ended.out).unwrap();
            years["years"][1]["fields"][0]["rates"].clone()
        };
        let (half, all) = (second(&spread(place, &[(SOUTH, 5.0)])), second(&farm(place).with("plan.as_of", DAY)));
        assert!(half == all && half[0].as_f64().unwrap() > 0.0, "{}: {half} {all}", place.key);
    }
}

/// What litter gave a part of a field may be short on the rest, and no sum of fertilizer has it:
/// it is said in pounds and acres, also when the window of the entries is over.
#[test]
fn what_the_rest_of_a_part_without_ground_lacks_is_told() {
    for place in PLACES {
        let urea = json!([{"name": "urea", "analysis": "46-0-0", "price": "520 $/ton"}]);
        let farm = || farm(place).with("fertilizer", urea.clone()).with("plan.to", "2027-12-15");
        let page = |farm: &Farm| flat(&sward::write::plan(&kit::made(farm).audited, 80));
        for as_of in ["2027-03-02", "2027-07-20"] {
            let part = farm().part(DAY, "heap", "A", "8", "4").with("plan.as_of", as_of);
            let plan = planned(&part);
            let own = &plan.json["buy"]["uncounted"][0];
            assert!((own["acres"].as_f64().unwrap() - 6.0).abs() < 0.06 && own["field"] == "A", "{own}");
            let bought = plan.field("A")["years"].as_array().unwrap();
            let bought = bought.iter().filter(|year| year["bought_for"] == true);
            let got: f64 =
                bought.map(|y| y["done_usable"]["n"].as_f64().unwrap().min(y["need"]["n"].as_f64().unwrap())).sum();
            assert!(got > 0.0 && (own["lacks"]["n"].as_f64().unwrap() - got).abs() < 1e-6, "{own} {got}");
            let said = page(&part);
            assert!(said.contains("Short on ground that the log does not show as done"), "{said}");
        }
        // All of it done, or drawn in an open window, is counted whole.
        let whole = farm().part(DAY, "heap", "A", "20", "10").with("plan.as_of", "2027-03-02");
        let drawn = spread(place, &[(SOUTH, 8.0)]).with("fertilizer", urea.clone()).with("plan.as_of", "2027-03-02");
        for farm in [whole, drawn] {
            assert_eq!(planned(&farm).json["buy"].get("uncounted"), None);
        }
    }
}

/// Where many fields are done in part, the cover names some of them and says how many more there
/// are: it stays one sheet of paper.
#[test]
fn the_cover_cuts_a_long_list() {
    for (fields, named, more) in [(5, 5, None), (8, 4, Some("and 4 more: `sward check` names them"))] {
        let ids: Vec<String> = (1..fields).map(|n| format!("F{n}")).collect();
        let all = ids.iter().fold(farm(PLACES[0]), |farm, id| farm.field(id)).part(DAY, "heap", "A", "5.0", "5.02");
        let all = ids.iter().fold(all, |farm, id| farm.part(DAY, "heap", id, "5.0", "5.02"));
        let folder = all.folder();
        let ended = sward(folder.path(), &["sheets", "-o", "sheets"]);
        assert_eq!(ended.code, 0, "{}", ended.err);
        let sheets = fs::read_to_string(folder.path().join("sheets/sheets.html")).unwrap();
        let cover = sheets.split("id=\"cover\"").nth(1).unwrap().split("</section>").next().unwrap();
        assert_eq!(cover.matches("acres are done (2027-03-01)").count(), named, "{cover}");
        assert_eq!(cover.contains("more: `sward check`"), more.is_some(), "{cover}");
        assert!(more.is_none_or(|more| cover.contains(more)), "{cover}");
    }
}

/// Acres that are done are the same number in plan, tally and check, and with what is left they
/// make up the field.
#[test]
fn done_and_left_make_up_the_field_wherever_they_stand() {
    for place in PLACES {
        for feet in [301.0, 307.3, 313.9, 322.2, 341.7] {
            let plan = planned(&spread(place, &[([0.0, 0.0, 660.0, feet], 4.0)]));
            let shown = |acres: &Value| format!("{:.2}", acres.as_f64().unwrap());
            let part = &plan.field("A")["part"];
            let [done, left, all] = [&part["done"], &part["left"], &plan.field("A")["acres"]].map(shown);
            let hundredths = |text: &str| (text.parse::<f64>().unwrap() * 100.0).round() as i64;
            assert_eq!(hundredths(&done) + hundredths(&left), hundredths(&all), "{}: {part}", place.key);
            assert_eq!(shown(&plan.tally["fields"][0]["spread"][0]["acres"]), done, "{}: {part}", place.key);
            let told = plan.findings.sorted().into_iter().find(|f| f.code == "logged-part").unwrap();
            assert!(told.found.contains(&format!("{done} of {all} ac")), "{}: {}", place.key, told.found);
        }
    }
}

/// What is short is counted by the ground: the rest of a field that got less is short of more than
/// the part that was done, in the pounds still to buy and in what no fertilizer meets.
#[test]
fn each_ground_is_short_of_its_own_pounds() {
    let urea = json!([{"name": "urea", "analysis": "46-0-0", "price": "520 $/ton"}]);
    for place in PLACES {
        // The done half has all that it needs; the other half keeps what it lacks.
        let farm = spread(place, &[(SOUTH, 20.0)]).with("fields.A.phosphorus_rating.rating", "low");
        let farm = farm.with("fields.A.most", "0.25 tons/ac");
        let plan = planned(&farm);
        let field = plan.field("A");
        let pounds = ["p2o5", "k2o"].map(|nutrient| {
            let lb = |of: &Value| of[nutrient].as_f64().unwrap();
            let years = field["years"].as_array().unwrap().iter().filter(|year| year["bought_for"] == true);
            let of = |year: &Value| {
                let open = |ground: &Value| {
                    let open = lb(&year["need"]) - lb(&ground["done_usable"]) - lb(&ground["supplied_usable"]);
                    ground["acres"].as_f64().unwrap() * open.max(0.0)
                };
                year["parted"].as_array().unwrap().iter().map(open).sum::<f64>()
            };
            years.map(of).sum::<f64>()
        });
        let densest = field["short"]["p2o5"].as_f64().unwrap() * field["acres"].as_f64().unwrap();
        assert!(pounds[0] > densest + 100.0, "{}: {pounds:?} {densest}", place.key);
        let said = flat(&sward::write::plan(&kit::made(&farm).audited, 80));
        let whole = |lb: f64| sward::units::grouped(lb.round() as i64);
        let wanted = format!("{} lb P2O5, {} lb K2O", whole(pounds[0]), whole(pounds[1]));
        assert!(said.contains(&wanted), "{}: {wanted} in {said}", place.key);
        let buys = planned(&farm.with("fertilizer", urea.clone()));
        let unmet = &buys.json["buy"]["unmet_with"];
        for (at, nutrient) in ["p2o5", "k2o"].into_iter().enumerate() {
            assert!((unmet[nutrient].as_f64().unwrap() - pounds[at]).abs() < 0.5, "{}: {unmet} {pounds:?}", place.key);
        }
    }
}
