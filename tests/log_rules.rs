//! What should not have been done is told by `check`, `tally` and `log` alike: stock
//! and litter on one field, lots where they may not go, papers too old, rain, closed
//! days, cuttings, tickets that stand twice, a record that was emptied.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Farm, NC, PLACES, Place, asked, checked, demo_on, figure, flat, planned, sward};
use serde_json::json;
use sward::{findings, record};

/// Days after spreading on which the place of these tests lets stock graze.
fn farm(place: &'static Place) -> Farm {
    Farm::new(place)
        .figure(figure("graze_wait", "days", "use: hay", "value: 21"))
        .figure(figure("litter_sample_age", "days", "operation: ordinary", "value: 60"))
        .figure(figure("soil_sample_age", "days", "operation: ordinary", "value: 180"))
}

/// Lines with the columns that these tests fill.
fn lines(text: &str) -> String {
    format!("date,what,lot,field,tons,until,inches,ticket_number,head\n{text}")
}

const RULES: [&str; 12] = [
    "log-closed",
    "log-rain",
    "log-onto-stock",
    "log-grazed-early",
    "log-grazing-planned",
    "log-kept-off",
    "log-analysis-old",
    "log-soil-test-old",
    "log-cutting-day",
    "log-cut-early",
    "log-ticket-twice",
    "log-empty",
];

/// The rules that a log breaks, by check; the tally says the same of every one.
fn broken(farm: Farm, log: &str) -> Vec<&'static str> {
    let farm = farm.lines(&lines(log));
    let codes = checked(&farm).codes();
    let told = planned(&farm).tally_codes();
    let found: Vec<&str> = RULES.into_iter().filter(|code| codes.contains(*code)).collect();
    for code in &found {
        assert!(told.contains(*code), "the tally does not tell {code}: {told:?}");
    }
    found
}

#[test]
fn stock_and_litter_on_one_field() {
    let spread = "2027-03-01,spread,heap,A,10,,,,\n";
    for place in PLACES {
        for (log, code) in [
            ("2027-03-21,graze,,A,,2027-04-01,,,\n", Some("log-grazed-early")),
            ("2027-03-22,graze,,A,,2027-04-01,,,\n", None),
            ("2027-02-20,graze,,A,,2027-02-28,,,\n", None),
            ("2027-02-20,graze,,A,,2027-03-01,,,\n", Some("log-onto-stock")),
            // Stock that went in and never left.
            ("2027-02-20,graze,,A,,,,,\n", Some("log-onto-stock")),
            ("2027-02-20,graze,,A,,,,,\n2027-02-26,head,,A,,,,,0\n", None),
            ("2027-02-20,graze,,A,,,,,\n2027-02-26,head,,A,,,,,5\n", Some("log-onto-stock")),
            ("2027-03-10,graze,,A,,,,,\n", Some("log-grazed-early")),
        ] {
            let found = broken(farm(place), &format!("{spread}{log}"));
            assert_eq!(found, Vec::from_iter(code), "{}: {log}", place.key);
        }
        let planned = |first: &str, last: &str| {
            let grazed = serde_json::json!([{"from": first, "to": last}]);
            broken(farm(place).with("fields.A.grazed", grazed), spread)
        };
        assert_eq!(planned("2027-03-21", "2027-05-01"), ["log-grazing-planned"]);
        assert!(planned("2027-03-22", "2027-05-01").is_empty());
        assert_eq!(planned("2027-02-20", "2027-03-01"), ["log-grazing-planned"]);
        assert!(planned("2027-02-20", "2027-02-28").is_empty());
    }
}

#[test]
fn lots_papers_cuttings_and_tickets() {
    let on = |day: &str| format!("{day},spread,heap,A,10,,,,\n");
    for place in PLACES {
        assert!(broken(farm(place), &on("2027-03-01")).is_empty());
        // Sampled 2027-01-20 and good for 60 days.
        assert!(broken(farm(place), &on("2027-03-21")).is_empty());
        assert_eq!(broken(farm(place), &on("2027-03-22")), ["log-analysis-old"]);
        // Sampled 2026-10-06 and good for 180 days, to 2027-04-04.
        let young = || farm(place).with("litter.heap.analysis.sampled", "2027-02-14");
        assert!(broken(young(), &on("2027-04-04")).is_empty());
        assert_eq!(broken(young(), &on("2027-04-05")), ["log-soil-test-old"]);
        for (path, value) in [("litter.heap.not_on", "A"), ("fields.A.only_lots", "other")] {
            let kept = farm(place).lot("other").with(path, serde_json::json!([value]));
            assert_eq!(broken(kept, &on("2027-03-01")), ["log-kept-off"], "{path}");
        }
        let cut = |day: &str| broken(farm(place), &format!("{}{day},cut,,A,5,,,,\n", on("2027-03-01")));
        assert_eq!(cut("2027-03-01"), ["log-cutting-day"]);
        // The days to keep before a cutting are 21.
        assert_eq!(cut("2027-03-02"), ["log-cut-early"]);
        assert_eq!(cut("2027-03-21"), ["log-cut-early"]);
        assert!(cut("2027-03-22").is_empty());
        let tickets = |one: &str, other: &str| {
            let line = |day: &str, number: &str| format!("{day},spread,heap,A,2,,,\"{number}\",\n");
            broken(farm(place), &(line("2027-03-01", one) + &line("2027-03-02", other)))
        };
        assert_eq!(tickets("1201, 1202", "1202"), ["log-ticket-twice"]);
        assert!(tickets("1201, 1202", "1203").is_empty());
    }
}

#[test]
fn closed_days_and_rain() {
    for place in PLACES {
        let closed = || farm(place).figure(figure("closed_days", "none", "", "season: {opens: 03-02, closes: 03-10}"));
        for (day, code) in
            [("03-01", None), ("03-02", Some("log-closed")), ("03-10", Some("log-closed")), ("03-11", None)]
        {
            let found = broken(closed(), &format!("2027-{day},spread,heap,A,10,,,,\n"));
            assert_eq!(found, Vec::from_iter(code), "{} {day}", place.key);
        }
        let rain = |day: &str, inches: &str| {
            broken(farm(place), &format!("2027-03-01,spread,heap,A,10,,,,\n{day},rain,,,,,{inches},,\n"))
        };
        // Both have spreading stop in rain.
        assert_eq!(rain("2027-03-01", "0.4"), ["log-rain"], "{}", place.key);
        assert!(rain("2027-03-02", "0.4").is_empty() && rain("2027-03-01", "0").is_empty());
    }
}

/// A rule is told where it is logged, and again by check and tally.
#[test]
fn log_check_and_tally_say_the_same() {
    let folder = demo_on("2027-11-30");
    let path = folder.path();
    let log = |args: &[&str]| sward(path, &[&["log"], args, &["--today", "2027-11-30"]].concat());
    let spread = |field: &str, day: &str| {
        log(&[
            "spread",
            "--lot",
            "clean-out",
            "--field",
            field,
            "--acres",
            "5",
            "--tons",
            "10",
            "--loads",
            "2",
            "--method",
            "surface",
            "--weather",
            "clear",
            "--before",
            "dry",
            "--wind",
            "none",
            "--soil",
            "moist",
            "--operator",
            "RH",
            "--basis",
            "plan",
            "--date",
            day,
        ])
    };
    assert!(!spread("R1", "2027-03-01").err.contains("log-grazed-early"));
    let early = log(&["graze", "--field", "R1", "--date", "2027-03-10"]);
    assert!(early.err.contains("log-grazed-early"), "{}{}", early.out, early.err);
    let onto = spread("R1", "2027-03-12");
    assert!(onto.err.contains("log-onto-stock"), "{}{}", onto.out, onto.err);
    for command in ["check", "tally"] {
        let ended = sward(path, &[command, "--on", "2027-11-30"]);
        let said = flat(&format!("{}{}", ended.out, ended.err));
        for words in ["stock grazed R1 from 2027-03-10, 9 days after", "while stock grazed there (since 2027-03-10)"] {
            assert!(said.contains(words), "{command}: {words}: {said}");
        }
    }
    // Whatever the tally alone knew, check tells too.
    assert_eq!(spread("B1", "2027-10-30").code, 0);
    assert!(flat(&sward(path, &["check"]).out).contains("outside every season"));
}

#[test]
fn a_record_that_was_emptied_is_told() {
    let folder = demo_on("2027-11-30");
    assert!(!sward(folder.path(), &["check"]).out.contains("log-empty"));
    for text in ["", "date,what,field\n", "\n\n"] {
        std::fs::write(folder.path().join("log.csv"), text).unwrap();
        let ended = sward(folder.path(), &["check"]);
        assert!(ended.out.contains("log-empty") && ended.code == 0, "{text:?}: {}", ended.out);
        let tally = sward(folder.path(), &["tally"]);
        assert!(flat(&tally.err).contains("log-empty") || flat(&tally.out).contains("was it emptied"), "{}", tally.out);
    }
    // The first entry goes into it as into a new file.
    assert_eq!(
        sward(folder.path(), &["log", "rain", "--days", "1", "--date", "2027-03-01", "--today", "2027-11-30"]).code,
        0
    );
    assert!(!sward(folder.path(), &["check"]).out.contains("log-empty"));
}

#[test]
fn what_was_done_in_the_year_before_the_plan_is_told_too() {
    for place in PLACES {
        let rained = |day: &str| broken(farm(place), &format!("{day},rain,,,,,0.6,,\n{day},spread,heap,A,1,,,,\n"));
        for (day, told) in [("2026-11-12", true), ("2027-11-20", true), ("2025-11-12", false)] {
            assert_eq!(rained(day).contains(&"log-rain"), told, "{}: {day}", place.key);
        }
    }
}

/// What was typed differently says the same: a figure with more zeros, a name in other letters.
#[test]
fn the_same_entry_in_other_letters_is_told() {
    let twice = |lines: &str| {
        let farm = Farm::new(&NC).lines(&format!("date,what,field,inches,lot,to,tons\n{lines}"));
        checked(&farm.with("plan.as_of", "2027-05-01")).codes().contains("log-twice")
    };
    assert!(twice("2027-03-01,rain,,1.5,,,\n2027-03-01,rain,,1.50,,,\n"));
    assert!(!twice("2027-03-01,rain,,1.5,,,\n2027-03-01,rain,,1.6,,,\n"));
    assert!(twice("2027-03-01,haul,,,heap,Peña,4\n2027-03-01,haul,,,heap,PEÑA,4\n"));
}

/// Wet ground, rain around the day, and wind that carries dust are told in the words that stop
/// work on the sheets and in `today`.
#[test]
fn what_stops_work_is_told_in_the_words_of_the_entry() {
    for place in PLACES {
        let told = |column: &str, words: &str| {
            let lines = format!("date,what,lot,field,tons,{column}\n2027-03-01,spread,heap,A,10,\"{words}\"\n");
            let codes = checked(&farm(place).lines(&lines)).codes();
            let of = ["log-soil", "log-rain-near", "log-wind", "log-weather"];
            of.into_iter().filter(|code| codes.contains(*code)).collect::<Vec<_>>()
        };
        for (column, words, code) in [
            ("soil", "wet", Some("log-soil")),
            ("soil", "saturated", Some("log-soil")),
            ("soil", "moist", None),
            ("before", "rain 1.5 in", Some("log-rain-near")),
            ("before", "dry, no rain", None),
            ("after", "thunderstorm", Some("log-rain-near")),
            ("after", "no storms or showers", None),
            ("after", "rain 0", None),
            ("after", "rain: none", None),
            ("after", "0 in rain", None),
            ("after", "rain 0.0 in", None),
            ("after", "rain-free", None),
            ("after", "showers stayed north", None),
            ("after", "0.0 inches of rain", None),
            ("weather", "clear, 50F, rain 0", None),
            ("after", "rain 0.5 in", Some("log-rain-near")),
            ("after", "rain .5 in", Some("log-rain-near")),
            ("after", "0.2 in of rain", Some("log-rain-near")),
            ("after", "rain 0 to 0.2 in", Some("log-rain-near")),
            ("after", "rain, none of it heavy", Some("log-rain-near")),
            ("after", "showers stayed north, then rain", Some("log-rain-near")),
            ("wind", "NE 25 mph, dust to house", Some("log-wind")),
            ("wind", "strong and gusty", Some("log-wind")),
            ("wind", "SW 5 mph, no dust", None),
            ("wind", "W 8 mph toward house", Some("log-wind")),
            ("wind", "E 6 mph, to the branch", Some("log-wind")),
            ("wind", "E 6 mph, away from the branch", None),
            ("wind", "S 8 mph, away from the house", None),
            ("wind", "NW 9 mph, not toward the road", None),
            ("weather", "windy, dust to the house", Some("log-wind")),
            ("weather", "clear, gusts", Some("log-wind")),
            ("weather", "strong sun, no dust to the road", None),
            ("weather", "thunderstorm", Some("log-weather")),
        ] {
            assert_eq!(told(column, words), Vec::from_iter(code), "{} {column}: {words}", place.key);
        }
    }
}

/// Litter that came after the sample is not what was sampled.
#[test]
fn a_lot_refilled_after_its_sample_is_told() {
    for place in PLACES {
        // Sampled 2027-01-20.
        let came = |day: &str, tons: &str| {
            let farm = farm(place).with("litter.heap.on_hand", "50 tons").with("litter.heap.counted_on", "2027-01-10");
            let farm = farm.with("plan.as_of", "2027-04-01").logged(day, "clean-out", "heap", "", tons);
            checked(&farm).codes().contains("sample-before-litter")
        };
        assert!(came("2027-03-01", "40"), "{}", place.key);
        assert!(!came("2027-03-01", "5"), "{}", place.key);
        assert!(!came("2027-01-19", "40"), "{}", place.key);
    }
}

/// The program itself writes no paper of a later day than the entry.
#[test]
fn no_paper_of_a_later_day_is_filled_in() {
    let folder = demo_on("2027-11-30");
    let spread = |day: &str| {
        let words = "log spread --field B1 --lot clean-out --tons 10 --acres 10 --loads 1 --method surface --weather fair \
                     --before dry --wind calm --soil dry --operator RH --basis plan --today 2027-11-30 --date";
        let args: Vec<&str> = words.split_whitespace().chain([day]).collect();
        let ended = sward(folder.path(), &args);
        assert_eq!(ended.code, 0, "{}", ended.err);
        flat(&format!("{}{}", ended.out, ended.err))
    };
    // Sampled 2027-01-11, calibrated later.
    let early = spread("2027-01-08");
    assert!(!early.contains("litter analysis, from") && !early.contains("papers-later"), "{early}");
    assert!(spread("2027-03-15").contains("litter analysis, from farm.yaml: 2027-01-11"));
}

/// A field that was split since: what an entry broke on it is told once, with all of its parts.
#[test]
fn what_is_so_of_every_part_of_a_field_is_told_once() {
    let before = serde_json::json!([{"id": "O", "name": "Old field", "until": "2027-02-20"}]);
    for place in PLACES {
        let farm =
            farm(place).field("B").with("fields.A.before", before.clone()).with("fields.B.before", before.clone());
        let log = "2027-02-16,spread,heap,O,10,,,,\n2027-02-16,rain,,,,,0.5,,\n2027-02-18,graze,,O,,2027-02-19,,,\n";
        let checked = checked(&farm.lines(&lines(log)));
        for code in ["log-rain", "log-grazed-early"] {
            let found = checked.found(code);
            assert!(found.len() == 1 && found[0].contains(" A and B "), "{} {code}: {found:?}", place.key);
        }
    }
}

/// A log with quarrels of many kinds: entries and tickets that stand twice and thrice, rain,
/// stock, a cutting, more hauled than was there.
const QUARRELS: [&str; 13] = [
    "2027-03-01,spread,heap,A,10,,,1201,\n",
    "2027-03-01,spread,heap,A,10,,,,\n",
    "2027-03-01,spread,heap,A,10,,,,\n",
    "2027-03-01,spread,heap,A,10,,,,\n",
    "2027-03-02,haul,heap,,12,,,1201 + 1203,\n",
    "2027-03-02,haul,heap,,12,,,1203; 1204,\n",
    "2027-03-02,haul,heap,,12,,,1203; 1203,\n",
    "2027-03-01,rain,,,,,0.4,,\n",
    "2027-03-01,rain,,,,,0.4,,\n",
    "2027-03-10,graze,,A,,,,,\n",
    "2027-03-20,cut,,A,30,,,,\n",
    "2027-03-22,haul,heap,,900,,,,\n",
    "2027-03-23,bring,heap,,8,,,1300,\n",
];

/// A new entry is held against all others, which are not judged again beside it: what is
/// said of it is what `check` says of it once it stands.
#[test]
fn a_new_entry_is_judged_as_it_will_be_in_the_log() {
    for place in PLACES {
        for (at, last) in QUARRELS.iter().enumerate() {
            let mut log = QUARRELS.to_vec();
            log.remove(at);
            let others = farm(place).lines(&lines(&log.concat()));
            let mut new = record::read_text(&lines(last)).0.iter().next().unwrap().clone();
            new.id = String::new();
            new.place = findings::Place::file("here");
            let (texts, text) = (others.texts(), others.log_text());
            let judged = asked(&texts, &text, &others).open().judge(&[new]);
            assert!(judged.whole, "{}: {last} {:?}", place.key, judged.findings);

            let all = farm(place).lines(&lines(&(log.concat() + last)));
            let (texts, text) = (all.texts(), all.log_text());
            let told = asked(&texts, &text, &all).open().check_record().weigh().unwrap().with_record();
            let line = text.lines().count();
            let stands = codes(told.sorted(), &|at| at.file == record::LOG && at.line == line);
            assert_eq!(
                codes(judged.findings.iter().collect(), &|at| at.file == "here"),
                stands,
                "{}: {last}",
                place.key
            );
            assert!(!["1201,", "1203; 1203"].iter().any(|word| last.contains(word)) || !stands.is_empty(), "{last}");
        }
    }
}

/// The codes of what is found at a place, or beside it; how many entries a tally leaves out is
/// said of the whole log.
fn codes(found: Vec<&findings::Finding>, here: &dyn Fn(&findings::Place) -> bool) -> Vec<String> {
    let about = |f: &&findings::Finding| here(&f.place) || f.also.as_ref().is_some_and(|(at, _)| here(at));
    let mut codes: Vec<String> = found.into_iter().filter(about).map(|f| f.code.to_string()).collect();
    codes.retain(|code| code != "tally-outside");
    codes.sort();
    codes
}

/// Rain that is logged the day before or after may lie in the 24 hours; two days off it does not.
#[test]
fn rain_of_the_day_before_or_after_is_told() {
    for place in PLACES {
        let told = |day: &str, inches: &str| {
            let log = format!("2027-03-03,spread,heap,A,10,,,,\n2027-03-{day},rain,,,,,{inches},,\n");
            checked(&farm(place).lines(&lines(&log))).found("log-rain-near")
        };
        for day in ["02", "04"] {
            let found = told(day, "0.8");
            assert!(found.len() == 1 && found[0].contains("0.80 inches of rain"), "{} {day}: {found:?}", place.key);
            assert!(told(day, "0").is_empty());
        }
        for day in ["01", "03", "05"] {
            assert!(told(day, "0.8").is_empty(), "{} {day}", place.key);
        }
        // The entry's own words are enough.
        let log = "date,what,lot,field,tons,inches,after\n2027-03-03,spread,heap,A,10,,rain\n2027-03-04,rain,,,,1,\n";
        assert_eq!(checked(&farm(place).lines(log)).found("log-rain-near").len(), 1, "{}", place.key);
    }
}

/// A wind far above what anybody spreads in.
#[test]
fn a_strong_wind_by_its_number_is_told() {
    for (wind, told) in [
        ("NW 120 mph", true),
        ("W 28 mph", true),
        ("SW 15-35mph", true),
        ("S 10–30 mph", true),
        ("NW 20 mph", false),
        ("calm", false),
        ("120 degrees, 5 mph", false),
        ("mph", false),
    ] {
        let log = format!("date,what,lot,field,tons,wind\n2027-03-01,spread,heap,A,10,\"{wind}\"\n");
        let found = checked(&farm(&NC).lines(&log)).found("unusual");
        assert_eq!(found.iter().any(|found| found.contains("a wind of")), told, "{wind}: {found:?}");
    }
}

/// Grazing without a last day ends where farm.yaml has it end, and that is said; the log may end
/// it before, and without a planned day nobody knows when it ends.
#[test]
fn grazing_without_a_last_day_ends_as_planned() {
    for place in PLACES {
        let farm = || {
            let farm = farm(place).with("plan.to", "2027-10-31").with("plan.as_of", "2027-04-25");
            farm.with("litter.heap.analysis.sampled", "2027-04-01")
        };
        let planned_grazing = || {
            let grazed = serde_json::json!([{"from": "2027-04-20", "to": "2027-06-10"}]);
            farm().with("fields.A.grazed", grazed)
        };
        let last_window = |farm: &Farm| {
            let plan = planned(farm);
            let windows = plan.field("A")["windows"].as_array().unwrap().clone();
            windows.iter().map(|window| window["last"].as_str().unwrap().to_string()).max().unwrap_or_default()
        };
        let log = |day: &str| lines(&format!("{day},graze,,A,,,,,\n"));
        for day in ["2027-04-22", "2027-04-10"] {
            let grazed = planned_grazing().lines(&log(day));
            assert!(last_window(&grazed).as_str() > "2027-08-01", "{} {day}", place.key);
            let told = checked(&grazed).found("log-graze-planned");
            assert!(told.len() == 1 && told[0].contains("2027-06-10"), "{} {day}: {told:?}", place.key);
        }
        assert!(last_window(&farm().lines(&log("2027-04-22"))).is_empty(), "{}", place.key);
        // Long before the planned days it is another grazing.
        assert!(checked(&planned_grazing().lines(&log("2027-03-01"))).found("log-graze-planned").is_empty());
        let left = log("2027-04-22") + "2027-04-24,head,,A,,,,,0\n";
        assert!(checked(&planned_grazing().lines(&left)).found("log-graze-planned").is_empty(), "{}", place.key);
    }
}

/// What the map calls a thing is understood where a wind blows to it.
#[test]
fn a_wind_to_what_the_map_names_is_told() {
    for place in PLACES {
        let told = |wind: &str| {
            let lines = format!("date,what,lot,field,tons,wind\n2027-03-01,spread,heap,A,10,\"{wind}\"\n");
            let kept = json!({"kind": "dwelling", "name": "Odom place", "owner": "neighbor", "setback": "100 ft",
                "setback_by": "a test, 2026-10-20"});
            checked(&Farm::new(place).keepout(2000.0, kept).lines(&lines)).codes().contains("log-wind")
        };
        assert!(told("W 8 mph toward the Odom place") && told("W 8 mph, over to Odom"), "{}", place.key);
        assert!(!told("W 8 mph, away from the Odom place") && !told("W 8 mph toward Baker"), "{}", place.key);
        // A name may be a word of its own.
        let told = |wind: &str| {
            let lines = format!("date,what,lot,field,tons,wind\n2027-03-01,spread,heap,A,10,\"{wind}\"\n");
            let kept = json!({"kind": "dwelling", "name": "Hill house", "owner": "neighbor", "setback": "100 ft",
                "setback_by": "a test, 2026-10-20"});
            checked(&Farm::new(place).keepout(2000.0, kept).lines(&lines)).codes().contains("log-wind")
        };
        for wind in ["toward the hill", "to Hill house", "at the hill", "onto the hill", "over the house"] {
            assert!(told(&format!("W 8 mph, {wind}")), "{} {wind}", place.key);
        }
        for wind in ["calm over the hill", "light air across the hill", "into the hill side"] {
            assert!(!told(wind), "{} {wind}", place.key);
        }
    }
}

/// The last day that farm.yaml plans stands in an entry that says none, with where it is from: it
/// holds when farm.yaml is changed, and stock that left sooner ends it.
#[test]
fn an_entry_of_grazing_keeps_the_planned_last_day() {
    for place in PLACES {
        let grazed = |from: &str, to: &str| serde_json::json!([{"from": from, "to": to}]);
        let farm = farm(place).with("plan.to", "2027-10-31").with("plan.as_of", "2027-04-25");
        let farm = farm.with("litter.heap.analysis.sampled", "2027-04-01");
        let folder = farm.clone().with("fields.A.grazed", grazed("2027-04-20", "2027-06-10")).folder();
        let log = |given: &[&str]| {
            let ended = kit::sward(folder.path(), &[&["log"], given, &["--today", "2027-04-25"]].concat());
            assert_eq!(ended.code, 0, "{} {}", ended.out, ended.err);
            kit::flat(&ended.out)
        };
        let said = log(&["graze", "--field", "A", "--date", "2027-04-22"]);
        assert!(said.contains("planned to 2027-06-10") && said.contains("last day, as farm.yaml plans it"), "{said}");
        // Another year's days in farm.yaml change nothing of it, and the tally has them too.
        let days = || sward::record::read(folder.path()).0.grazings("A");
        let end = |last: &str| vec![("2027-04-22".parse().unwrap(), Some(last.parse().unwrap()))];
        assert_eq!(days(), end("2027-06-10"));
        let changed = farm.with("fields.A.grazed", grazed("2027-09-01", "2027-10-10")).texts().main.unwrap();
        std::fs::write(folder.path().join("farm.yaml"), changed).unwrap();
        let check = kit::flat(&kit::sward(folder.path(), &["check"]).out);
        let told = "2027-06-10, where farm.yaml had it end when it was logged, counts";
        assert!(check.contains(told) && !check.contains("until when"), "{check}");
        // Nobody left on it ends it before.
        log(&["head", "--field", "A", "--date", "2027-04-25", "--head", "0", "--animal", "cows"]);
        assert_eq!(days(), end("2027-04-25"));
        assert!(!kit::flat(&kit::sward(folder.path(), &["check"]).out).contains(told));
    }
}

/// A day of the week on which the farm wants nothing spread is told when something is logged on it.
#[test]
fn litter_on_a_day_that_the_farm_keeps_free_is_told() {
    for place in PLACES {
        let days = json!({"tons_per_day": "90 tons", "fit": "40 %", "not_on": ["sunday"]});
        let farm = Farm::new(place).with("days", days);
        let on = |day: &str| checked(&farm.clone().logged(day, "spread", "heap", "A", "15")).found("log-not-on");
        assert_eq!(on("2027-03-06"), Vec::<String>::new(), "a Saturday");
        let sunday = on("2027-03-07");
        assert!(sunday.len() == 1 && sunday[0].starts_with("2027-03-07 is a Sunday"), "{}: {sunday:?}", place.key);
    }
}
