//! Entries of the log that say their ground: what lies beside each other does not add up, what
//! lies on each other does, and ground where no litter may go is told.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Dice, Farm, NC, PLACES, Place, checked, flat, planned, sward, verdict_codes};
use serde_json::json;
use std::collections::BTreeMap;
use std::fs;

/// Litter with 30 lb of phosphate a ton, on a field of 660 by 660 ft that is held to removal.
fn farm(place: &'static Place) -> Farm {
    Farm::new(place).with("litter.heap.analysis.p2o5", "30 lb/ton").with("fields.A.phosphorus_rating.rating", "high")
}

const SOUTH: [f64; 4] = [0.0, 0.0, 660.0, 330.0];
const NORTH: [f64; 4] = [0.0, 330.0, 660.0, 660.0];
/// Over the line between the two.
const ACROSS: [f64; 4] = [0.0, 264.0, 660.0, 396.0];

/// The farm with tons on some areas of the field, a day each.
fn spread(place: &'static Place, areas: &[([f64; 4], f64)]) -> Farm {
    areas.iter().enumerate().fold(farm(place), |farm, (day, (area, tons))| {
        let ground = farm.area(*area);
        farm.on_ground(&format!("2027-03-{:02}", day + 1), &format!("{tons:.3}"), &ground, "")
    })
}

fn acres([west, south, east, north]: [f64; 4]) -> f64 {
    (east - west) * (north - south) / 43_560.0
}

/// Phosphate on the ground that got most.
fn densest(farm: &Farm) -> f64 {
    planned(farm).number("A", "/done/p2o5")
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() < 0.01 * a.max(b).max(10.0)
}

#[test]
fn halves_beside_each_other_do_not_add_up_and_a_strip_over_both_does() {
    for place in PLACES {
        let halves = [(SOUTH, 5.0), (NORTH, 5.0)];
        assert!(near(densest(&spread(place, &halves)), 30.0), "{}", place.key);
        // A third entry: without ground three halves are more than the field.
        let strip = [(SOUTH, 5.0), (NORTH, 5.0), (ACROSS, 2.0)];
        assert!(near(densest(&spread(place, &strip)), 30.0 + 30.0), "{}", place.key);
        let again = [(SOUTH, 5.0), (NORTH, 4.0), (SOUTH, 4.0)];
        assert!(near(densest(&spread(place, &again)), 54.0), "{}", place.key);
        let unknown = farm(place).part("2027-03-01", "heap", "A", "5", "5").part("2027-03-02", "heap", "A", "4", "5");
        assert!(near(densest(&unknown.part("2027-03-03", "heap", "A", "4", "5")), 78.0), "{}", place.key);
    }
}

/// Before and after a cutting: the windows are not added where their ground is another.
#[test]
fn halves_of_two_windows_do_not_add_up() {
    for place in PLACES {
        let cut = |farm: Farm| farm.with("fields.A.cuttings", json!(["2027-03-01"]));
        let ground = |farm: &Farm, area| farm.area(area);
        let both = cut(farm(place));
        let (south, north) = (ground(&both, SOUTH), ground(&both, NORTH));
        let both = both.on_ground("2027-02-16", "5", &south, "").on_ground("2027-03-20", "5", &north, "");
        assert!(near(densest(&both.clone().on_ground("2027-03-21", "1", &north, "")), 36.0), "{}", place.key);
        assert!(near(densest(&both), 30.0), "{}", place.key);
    }
}

/// What nobody says may lie on what is known: beside it where there is room, else on it.
#[test]
fn an_entry_without_ground_lies_where_it_counts_most() {
    for place in PLACES {
        let south = spread(place, &[(SOUTH, 5.0)]);
        let beside = south.clone().part("2027-03-02", "heap", "A", "4.9", "4.9");
        assert!(near(densest(&beside), 30.0), "{}", place.key);
        let over = south.clone().part("2027-03-02", "heap", "A", "6", "6");
        assert!(near(densest(&over), 60.0), "{}", place.key);
        assert!(near(densest(&south.logged("2027-03-02", "spread", "heap", "A", "10")), 60.0), "{}", place.key);
    }
}

#[test]
fn a_way_covers_its_swath() {
    for place in PLACES {
        let way = farm(place).way(&[[100.0, 330.0], [535.6, 330.0]]);
        let acres = |swath: &str| {
            let plan = planned(&farm(place).on_ground("2027-03-01", "1", &way, swath));
            plan.tally["fields"][0]["spread"][0]["acres"].as_f64().unwrap()
        };
        // 435.6 ft by 40 ft, and by the 30 ft of the spreader.
        assert!(near(10.0 * acres("40 ft"), 4.0), "{}", acres("40 ft"));
        assert!(near(10.0 * acres(""), 3.0), "{}", acres(""));
        let plan = planned(&farm(place).on_ground("2027-03-01", "1", &way, "40"));
        assert!(near(plan.number("A", "/done/p2o5"), 75.0), "{}", plan.field("A"));
        assert!(plan.codes().contains("logged-part"), "{:?}", plan.codes());
    }
}

/// Spots along each side of the field, every 5 ft.
const SPOTS: u32 = 132;

/// Rectangles by chance, against every spot where other rectangles lie than elsewhere.
#[test]
fn the_densest_ground_is_that_of_a_grid() {
    for (place, seed) in [(PLACES[0], 5), (PLACES[1], 11)] {
        let mut dice = Dice::of_case(seed);
        for _ in 0..8 {
            let count = 2 + dice.below(4);
            let mut side = || {
                let (a, b) = (dice.below(33), dice.below(33));
                let (low, high) = (a.min(b), a.max(b) + 1);
                (low as f64 * 20.0, high as f64 * 20.0)
            };
            let one = |side: &mut dyn FnMut() -> (f64, f64)| {
                let ((west, east), (south, north)) = (side(), side());
                [west, south, east, north]
            };
            let areas: Vec<[f64; 4]> = (0..count).map(|_| one(&mut side)).collect();
            let tons: Vec<f64> =
                areas.iter().enumerate().map(|(at, area)| acres(*area) * (0.3 + 0.1 * at as f64)).collect();
            let list: Vec<([f64; 4], f64)> = areas.iter().copied().zip(tons.iter().copied()).collect();
            // What lies five feet and more inside of its edges.
            let sure =
                |[w, s, e, n]: [f64; 4], x: f64, y: f64| w + 5.0 < x && x < e - 5.0 && s + 5.0 < y && y < n - 5.0;
            let mut by: BTreeMap<Vec<usize>, u32> = BTreeMap::new();
            for spot in 0..SPOTS * SPOTS {
                let (x, y) = ((spot % SPOTS) as f64 * 5.0 + 2.5, (spot / SPOTS) as f64 * 5.0 + 2.5);
                let on: Vec<usize> = (0..count).filter(|at| sure(areas[*at], x, y)).collect();
                *by.entry(on).or_default() += 1;
            }
            // Seams: no two jobs on each other on more than a twentieth of the field in all.
            let most = SPOTS * SPOTS / 20;
            let small = |(on, spots): &(&Vec<usize>, &u32)| on.len() > 1 && **spots <= most;
            let seams: u32 = by.iter().filter(small).map(|(_, spots)| *spots).sum();
            let put = |on: &Vec<usize>| on.iter().map(|at| 30.0 * tons[*at] / acres(areas[*at])).sum::<f64>();
            let counts = by.iter().filter(|part| !small(part) || seams > most).map(|(on, _)| put(on));
            let most = (0..count).map(|at| put(&vec![at])).chain(counts).fold(0.0, f64::max);
            let got = densest(&spread(place, &list));
            assert!(near(got, most), "{}: {got} {most} {list:?}", place.key);
        }
    }
}

#[test]
fn the_audit_finds_what_lies_on_each_other() {
    for place in PLACES {
        let beside = spread(place, &[(SOUTH, 1.0), (NORTH, 1.0)]);
        let plan = planned(&beside);
        assert!(plan.rate("A") > 0.0, "{}: {}", place.key, plan.field("A"));
        assert_eq!(verdict_codes(&plan.text, &beside).len(), 0, "{}", place.key);
        let twice = spread(place, &[(SOUTH, 4.0), (SOUTH, 4.0), (SOUTH, 4.0), (SOUTH, 4.0)]);
        assert!(verdict_codes(&plan.text, &twice).contains("nutrients"), "{}: {}", place.key, plan.field("A"));
    }
}

#[test]
fn ground_where_no_litter_may_go_is_told_in_check_and_tally() {
    for place in PLACES {
        let well = json!({"kind": "well", "name": "House well"});
        let farm = spread(place, &[([0.0, 0.0, 660.0, 660.0], 10.0)]).keepout(0.0, well);
        let told = checked(&farm).found("log-ground-kept-off");
        assert!(told.len() == 1 && told[0].contains("House well") && told[0].contains(" ac within "), "{told:?}");
        let plan = planned(&farm);
        assert!(plan.tally_codes().contains("log-ground-kept-off"), "{}", plan.tally);
        // Its acres are those that may be spread on.
        let row = &plan.tally["fields"][0]["spread"][0]["acres"];
        assert!(near(row.as_f64().unwrap(), plan.number("A", "/acres")), "{row}");
    }
}

/// What the record asks of a spreading.
const WHOLE: [&str; 22] = [
    "--field",
    "A",
    "--lot",
    "heap",
    "--tons",
    "1",
    "--loads",
    "1",
    "--method",
    "surface",
    "--weather",
    "fair",
    "--before",
    "dry",
    "--wind",
    "S 3 mph",
    "--soil",
    "dry",
    "--operator",
    "RH",
    "--basis",
    "plan",
];

/// Logs an entry; exit code and what was said.
fn log_in(folder: &std::path::Path, kind: &str, more: &[&str]) -> (i32, String) {
    let ended = sward(folder, &[&["log", kind][..], more, &["--today", "2027-03-10"]].concat());
    (ended.code, flat(&format!("{}{}", ended.out, ended.err)))
}

#[test]
fn ground_is_logged_from_a_file_and_its_acres_are_written() {
    let farm = farm(&NC).with("plan.as_of", "2027-03-10");
    let folder = farm.folder();
    let way = "[[-79.5095, 35.7209], [-79.5081, 35.7209]]";
    let file = format!(r#"{{"type": "LineString", "coordinates": {way}}}"#);
    fs::write(folder.path().join("drive.geojson"), file).unwrap();
    let log = |kind: &str, more: &[&str]| log_in(folder.path(), kind, more);
    let spread = |more: &[&str]| log("spread", &[&WHOLE[..], more].concat());
    let (code, said) = spread(&["--ground", "drive.geojson"]);
    assert_eq!(code, 0, "{said}");
    assert!(said.contains("swath, from farm.yaml: 30 ft") && said.contains("0.29 acres"), "{said}");
    let text = fs::read_to_string(folder.path().join("log.csv")).unwrap();
    assert!(text.contains("\"LINESTRING(-79.5095 35.7209, -79.5081 35.7209)\"") && text.contains("30 ft"), "{text}");
    let id = text.lines().last().unwrap().split(',').next().unwrap().to_string();
    // The same job goes on.
    let (code, said) = log("load", &[&id, "--tons", "1", "--acres", "0.6"]);
    assert!(code == 2 && said.contains("give --ground"), "{said}");
    let (code, said) = log("load", &[&id, "--tons", "1"]);
    assert!(code == 0 && said.contains("2.00 tons"), "{said}");
    let (code, said) = log("correct", &[&id, "--set", "swath=40"]);
    assert!(code == 0 && said.contains("was corrected since"), "{said}");
    for (ground, wrong) in [
        ("drive.txt", "cannot be read"),
        ("POLYGON((-79.5 35.7))", "single corner"),
        ("LINESTRING(35.7209 -79.5095, 35.7209 -79.5081)", "swapped"),
        ("LINESTRING(-79.7 35.7, -79.71 35.7)", "outside field A"),
        (
            "POLYGON((-79.5095 35.7205, -79.5085 35.721, -79.5085 35.7205, -79.5095 35.721, -79.5095 35.7205))",
            "crosses itself",
        ),
    ] {
        let (code, said) = spread(&["--ground", ground]);
        assert!(code == 2 && said.contains(wrong), "{ground}: {said}");
    }
    let (code, said) = spread(&["--ground", "LINESTRING(-79.5095 35.7213, -79.5081 35.7213)", "--acres", "3"]);
    assert!(code == 0 && said.contains("says 3.00 ac, and its ground has 0.2"), "{said}");
}

/// Hay fed on a part of a field: the row is of that part, and the page says what got none.
#[test]
fn hay_fed_on_a_part_is_told_with_the_acres_that_got_none() {
    for place in PLACES {
        let fed = |east: f64| {
            let ground = farm(place).area([0.0, 0.0, east, 660.0]);
            let line = format!("2027-02-20,feed-hay,A,12,\"{ground}\"\n");
            farm(place).lines(&format!("date,what,field,tons,ground\n{line}"))
        };
        let page = |farm: &Farm| flat(&sward::write::plan(&kit::made(farm).audited, 80));
        let part = planned(&fed(132.0));
        assert!((part.number("A", "/besides_on") - 2.0).abs() < 0.02, "{}", part.field("A")["besides_on"]);
        let told = "A: fertilizer or fed hay of the log lies on 2.01 of 10.04 ac: the row is of those acres. \
                    The other 8.03 ac got none of it";
        assert!(page(&fed(132.0)).contains(told), "{}", page(&fed(132.0)));
        assert!(!page(&fed(660.0)).contains("fed hay of the log lies on"), "{}", place.key);
    }
}

/// Where a driven way turns beyond the fence nothing is to be corrected; an area beyond it is.
#[test]
fn turns_beyond_the_fence_are_a_note() {
    let told = |ground: String| {
        let farm = farm(&NC).on_ground("2027-03-01", "8", &ground, "");
        let told = checked(&farm);
        let found = told.findings.sorted().into_iter().find(|f| f.code == "log-ground-outside").cloned();
        found.map(|found| found.severity)
    };
    let rows = (0..20).map(|row| 15.0 + 30.0 * f64::from(row));
    let turns = rows
        .clone()
        .flat_map(|x| if (x - 15.0) % 60.0 == 0.0 { [[x, 20.0], [x, 672.0]] } else { [[x, 672.0], [x, 20.0]] });
    let way = farm(&NC).way(&turns.collect::<Vec<_>>());
    assert_eq!(told(way), Some(sward::findings::Severity::Note));
    assert_eq!(told(farm(&NC).area([0.0, 0.0, 660.0, 680.0])), Some(sward::findings::Severity::Warning));
    assert_eq!(told(farm(&NC).way(&[[100.0, 100.0], [100.0, 500.0]])), None);
}

/// A driver's seam: what two jobs share along it is told, and closes neither the next window nor
/// takes a trip of the year; a strip as wide as a job does, and so do many seams together.
#[test]
fn a_seam_between_two_jobs_holds_no_whole_field() {
    let over = |feet: f64| [0.0, 330.0 - feet, 660.0, 660.0];
    for place in PLACES {
        let seam = spread(place, &[(SOUTH, 5.0), (over(24.0), 5.0)]);
        let plan = planned(&seam);
        assert!(near(densest(&seam), 30.0), "{}: {}", place.key, densest(&seam));
        let told = plan.findings.sorted();
        let told: Vec<&str> = told.iter().filter(|f| f.code == "log-ground-seam").map(|f| f.found.as_str()).collect();
        assert!(told.len() == 1 && told[0].contains("overlap by 0.37 ac"), "{}: {told:?}", place.key);
        assert_eq!(verdict_codes(&plan.text, &seam).len(), 0, "{}", place.key);
        // Drawn side by side, the plan is the same.
        let beside = planned(&spread(place, &[(SOUTH, 5.0), (NORTH, 5.0)]));
        assert!((plan.rate("A") - beside.rate("A")).abs() < 0.251, "{}: {}", place.key, plan.field("A"));
        assert!(!beside.codes().contains("log-ground-seam"), "{}", place.key);
        let wide = spread(place, &[(SOUTH, 5.0), (over(66.0), 5.0)]);
        assert!(densest(&wide) > 50.0, "{}: {}", place.key, densest(&wide));
        assert!(!planned(&wide).codes().contains("log-ground-seam"), "{}", place.key);
        // Three strips of 4 % each are a tenth of the field, and no seam.
        let strip = |at: f64| ([at, 0.0, at + 35.0, 660.0], 0.5);
        let many = spread(place, &[([0.0, 0.0, 660.0, 660.0], 5.0), strip(100.0), strip(300.0), strip(500.0)]);
        assert!(densest(&many) > 30.0, "{}: {}", place.key, densest(&many));
    }
}

/// What lies on a seam is still judged as it lies there.
#[test]
fn the_record_is_judged_with_its_seams() {
    let seam = spread(&NC, &[(SOUTH, 12.0), ([0.0, 306.0, 660.0, 660.0], 12.0)]);
    let beside = spread(&NC, &[(SOUTH, 12.0), (NORTH, 12.0)]);
    let most = |farm: &Farm| {
        let found = planned(farm).findings;
        let over =
            found.sorted().iter().filter(|f| f.code == "logged-over").map(|f| f.found.clone()).collect::<Vec<_>>();
        over.join("\n")
    };
    assert_ne!(most(&seam), most(&beside), "what is on the seam");
    assert!(!planned(&seam).codes().contains("logged-trips"));
}

/// Bags on one half and litter on the other: each half got its own, in plan, record and audit. Where
/// an entry does not say its ground, the bags may lie on the litter.
#[test]
fn bags_on_other_ground_are_not_added_to_the_litter() {
    for place in PLACES {
        let bags = |farm: Farm, area: Option<[f64; 4]>| {
            let ground = area.map_or(String::new(), |area| format!("\"{}\"", farm.area(area)));
            farm.lines(&format!("2027-03-01,fertilizer,,A,,,,,{ground},,18-46-0,100 lb/ac"))
        };
        // 30 lb with litter, 46 in the bags.
        let south = || spread(place, &[(SOUTH, 5.0)]);
        let half = || farm(place).part("2027-03-01", "heap", "A", "5", "5");
        let cases = [
            (bags(south(), Some(NORTH)), 46.0),
            (bags(south(), Some(SOUTH)), 76.0),
            (bags(south(), Some(ACROSS)), 76.0),
            (bags(south(), None), 76.0),
            (bags(half(), Some(NORTH)), 76.0),
        ];
        for (farm, most) in cases {
            assert!(near(densest(&farm), most), "{}: {} {most}", place.key, densest(&farm));
            let plan = planned(&farm);
            assert_eq!(verdict_codes(&plan.text, &farm).len(), 0, "{} {most}", place.key);
        }
        // What is over on one ground is over by less on two.
        let over = |area| {
            let over = planned(&bags(spread(place, &[(SOUTH, 60.0)]), Some(area))).findings;
            let over = over.sorted().into_iter().filter(|f| f.code == "logged-over").map(|f| f.found.clone());
            over.collect::<Vec<String>>()
        };
        assert_ne!(over(SOUTH), over(NORTH), "{}", place.key);
        assert!(over(SOUTH).len() > 1 && over(SOUTH).len() == over(NORTH).len(), "{}", place.key);
    }
}
