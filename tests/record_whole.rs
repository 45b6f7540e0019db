//! What the record says is said once: the sums of a calendar year are those of its
//! entries, a field over its limit is named by every report, and what is far from usual
//! is asked where it is entered.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Ended, Farm, PLACES, Place, asked, checked, flat, planned, sward};
use serde_json::Value;
use std::path::Path;
use sward::plan::YearTally;
use sward::write;

fn year_tally(farm: &Farm, year: i16) -> YearTally {
    let (texts, log) = (farm.texts(), farm.log_text());
    let then = asked(&texts, &log, farm).open().check_record().weigh_year(year, None);
    let then = then.unwrap_or_else(|f| panic!("{:?}", f.sorted())).unwrap();
    sward::plan::tally_of_year(&then.ready, &then.tables, &then.balance, &then.findings)
}

/// A farm with litter of usual strength.
fn strong(place: &'static Place) -> Farm {
    Farm::new(place).with("litter.heap.analysis.total_n", "60 lb/ton")
}

/// Day, kind, lot, field and tons.
type Moved = (&'static str, &'static str, &'static str, &'static str, i64);

const MOVED: [Moved; 12] = [
    ("2026-03-20", "spread", "heap", "A", 8),
    ("2026-05-01", "haul", "heap", "", 40),
    ("2026-08-30", "spread", "pile", "B", 5),
    ("2026-09-07", "count", "heap", "", 452),
    ("2026-09-07", "haul", "heap", "", 7),
    ("2026-09-20", "spread", "heap", "B", 9),
    ("2026-10-02", "clean-out", "pile", "", 60),
    ("2026-11-05", "bring", "pile", "", 11),
    ("2027-02-20", "spread", "heap", "B", 6),
    ("2027-03-01", "haul", "pile", "", 13),
    ("2027-03-05", "count", "pile", "", 553),
    ("2027-03-08", "spread", "pile", "A", 4),
];

fn farm(place: &'static Place) -> Farm {
    let mut farm = Farm::new(place).lot("pile").field("B");
    farm.set("litter.heap.counted_on", "2025-12-01");
    farm.set("litter.pile.counted_on", "2025-12-01");
    let line = |(day, what, lot, field, tons): &Moved| {
        let order = if *what == "count" { "before" } else { "" };
        format!("{day},{what},{lot},{field},{tons},{order}\n")
    };
    let lines: String = MOVED.iter().map(line).collect();
    farm.lines(&format!("date,what,lot,field,tons,order\n{lines}"))
}

/// A count in the year takes nothing out of its sums, and no other year's entry is in
/// them: calculated here line by line.
#[test]
fn a_years_sums_are_those_of_its_entries() {
    for place in PLACES {
        let farm = farm(place);
        for year in [2025_i16, 2026, 2027, 2028] {
            let tally = year_tally(&farm, year);
            let sum = |lot: &str, what: &str| -> i64 {
                let mine = MOVED.iter().filter(|m| m.0.starts_with(&year.to_string()) && m.1 == what);
                mine.filter(|m| lot == "all" || m.2 == lot).map(|m| m.4 * 2_000).sum()
            };
            for row in tally.lots.iter().chain([&tally.all_lots]) {
                let own = [row.made.0, row.brought.0, row.spread.0, row.hauled.0];
                assert_eq!(
                    own,
                    ["clean-out", "bring", "spread", "haul"].map(|what| sum(&row.id, what)),
                    "{year} {}",
                    row.id
                );
            }
            let page = write::year_tally(&tally, 80);
            let on = sum("all", "spread");
            let farm = format!("The farm: {}.00 tons on", on / 2_000);
            assert_eq!(page.contains(&farm), on > 0, "{} {year}: {page}", place.key);
            assert_eq!(page.contains("APPLIED"), on > 0, "{page}");
        }
        // The tally of the plan's days says since when a lot's row goes, and sums what it lists.
        let plan = planned(&farm);
        let spread: i64 = plan.tally["fields"].as_array().unwrap().iter().map(|f| f["pounds"].as_i64().unwrap()).sum();
        let tally: Value = plan.tally.clone();
        assert_eq!(tally["since"][0]["counted_on"], "2026-09-07");
        assert_eq!(tally["since"][1]["counted_on"], "2027-03-05");
        assert_eq!(tally["all_lots"]["spread"], 38_000, "since the counts: 9, 6 and 4 tons");
        assert!(spread >= 20_000, "those of the plan's days: {spread}");
    }
}

/// The fields that a code is said of.
fn fields_over<'a>(findings: impl Iterator<Item = (&'a str, &'a str)>) -> Vec<String> {
    let mut of: Vec<String> = findings
        .filter(|(code, _)| *code == "logged-over")
        .map(|(_, found)| found.strip_prefix("field ").unwrap().split(':').next().unwrap().to_string())
        .collect();
    of.sort();
    of.dedup();
    of
}

/// More than a season's share, than the year's nitrogen, than phosphorus: check, the tally
/// and the tally of the year name the same fields.
#[test]
fn a_field_over_a_limit_is_named_by_every_report() {
    for place in PLACES {
        for tons in ["20", "60", "110"] {
            let farm = strong(place).field("B").logged("2027-03-01", "spread", "heap", "A", tons);
            let by_check = checked(&farm);
            let plan = planned(&farm);
            let codes = |list: &Value| -> Vec<(String, String)> {
                let one =
                    |f: &Value| (f["code"].as_str().unwrap().to_string(), f["found"].as_str().unwrap().to_string());
                list.as_array().unwrap().iter().map(one).collect()
            };
            assert!(by_check.ready.is_some());
            let found: Vec<(String, String)> =
                plan.findings.sorted().iter().map(|f| (f.code.to_string(), f.found.clone())).collect();
            let pairs = |list: &[(String, String)]| fields_over(list.iter().map(|(c, f)| (c.as_str(), f.as_str())));
            let year: Value = serde_json::from_str(&write::year_tally_json(&year_tally(&farm, 2027))).unwrap();
            let (tally, year) = (codes(&plan.tally["findings"]), codes(&year["findings"]));
            assert_eq!(pairs(&tally), pairs(&found), "{} {tons}", place.key);
            assert_eq!(pairs(&year), pairs(&found), "{} {tons}: {year:?} {found:?}", place.key);
            assert_eq!(pairs(&found).len(), usize::from(tons != "20"), "{} {tons}: {found:?}", place.key);
        }
    }
}

/// A spreading out of season is told with one sentence by every report, in the plan's
/// days and in the year before; in season by none.
#[test]
fn spreading_out_of_season_is_told_alike_in_any_year() {
    for (day, out) in [("2027-12-20", true), ("2027-03-01", false), ("2026-12-20", true), ("2026-03-01", false)] {
        let farm = Farm::new(&kit::NC).logged(day, "spread", "heap", "A", "5");
        let sentence =
            format!("litter was spread on A on {day}, outside every season in which litter may go on tall fescue");
        let told = |list: &[String]| list.iter().filter(|found| **found == sentence).count() == usize::from(out);
        assert!(told(&checked(&farm).found("log-window")), "{day}");
        let tally = planned(&farm).tally;
        let found = |list: &Value| -> Vec<String> {
            list.as_array().unwrap().iter().map(|f| f["found"].as_str().unwrap().to_string()).collect()
        };
        assert!(told(&found(&tally["findings"])), "{day}: {tally}");
        let year = year_tally(&farm, day[..4].parse().unwrap());
        assert!(told(&year.done.findings.iter().map(|f| f.found.clone()).collect::<Vec<_>>()), "{day}");
    }
}

/// An entry of litter on ten acres of field A, logged on one day for another, with what
/// a test says itself.
fn spread(folder: &Path, (today, day): (&str, &str), more: &[&str]) -> Ended {
    let what = ["log", "spread", "--lot", "heap", "--field", "A", "--acres", "10", "--method", "surface"];
    let found = ["--before", "dry", "--wind", "none", "--soil", "dry", "--operator", "RH", "--basis", "plan"];
    sward(folder, &[&what[..], &found, &["--today", today, "--date", day], more].concat())
}

/// What an entry does to a year long past is told when it is entered, as by its tally.
#[test]
fn an_entry_of_an_earlier_year_is_judged_by_its_own() {
    let farm = strong(&kit::NC);
    let folder = farm.folder();
    let spread = |day: &str, more: &[&str]| {
        let ended = spread(folder.path(), ("2027-02-20", day), &[&["--loads", "4"][..], more].concat());
        assert_eq!(ended.code, 0, "{}{}", ended.out, ended.err);
        flat(&ended.err)
    };
    let fine = spread("2024-03-05", &["--tons", "8", "--weather", "clear"]);
    assert!(!fine.contains("log-window") && fine.contains("`sward tally --year 2024` lists the entry"), "{fine}");
    let out = spread("2024-12-20", &["--tons", "8", "--weather", "fair"]);
    assert!(out.contains("log-window"), "{out}");
    let over = spread("2024-03-20", &["--tons", "60", "--weather", "fair"]);
    assert!(over.contains("logged-over"), "{over}");
    // Rain in the entry's own words, and words that take it back.
    for (weather, told) in
        [("heavy rain", true), ("Drizzle, wind SW", true), ("no rain, fair", false), ("clear", false)]
    {
        let said = spread("2026-03-12", &["--tons", "8", "--weather", weather, "--note", weather]);
        assert_eq!(said.contains(&format!("its weather is written down as `{weather}`")), told, "{weather}: {said}");
    }
}

/// An entry of a day before those that stand is told what it makes of them.
#[test]
fn an_entry_written_later_of_an_earlier_day_is_judged_with_the_rest() {
    let farm = Farm::new(&kit::NC).with("plan.as_of", "2027-03-20");
    let farm = farm.logged("2027-03-15", "spread", "heap", "A", "40");
    let codes = checked(&farm.clone().logged("2027-03-01", "spread", "heap", "A", "60"));
    assert!(codes.ready.is_some());
    let folder = farm.folder();
    let more = ["--loads", "8", "--tons", "60", "--weather", "fair"];
    let ended = spread(folder.path(), ("2027-03-20", "2027-03-01"), &more);
    assert!(ended.err.contains("[logged-over]"), "{}{}", ended.out, ended.err);
}

/// A count far from the record is told with both numbers, until somebody is sure of it.
#[test]
fn a_count_far_from_the_record_is_told() {
    let start = |place| {
        let farm = Farm::new(place).with("litter.heap.counted_on", "2027-02-15").with("plan.as_of", "2027-04-30");
        farm.logged("2027-03-01", "haul", "heap", "", "481")
    };
    for place in PLACES {
        let folder = start(place).folder();
        let count = |tons: &str, more: &[&str]| {
            let entry = ["log", "count", "--lot", "heap", "--tons", tons, "--order", "after", "--how", "measured"];
            let on = ["--date", "2027-03-10", "--today", "2027-03-10"];
            let ended = sward(folder.path(), &[&entry[..], &on, more].concat());
            assert_eq!(ended.code, 0, "{}{}", ended.out, ended.err);
            flat(&ended.err)
        };
        let far = count("600", &[]);
        let words = "lot `heap`: 600.00 tons were counted on 2027-03-10, and the count before it with the log since comes \
                     to 19.00 tons: 581.00 tons apart";
        assert!(far.contains("warning [count-apart]") && far.contains(words) && far.contains("--sure NAME"), "{far}");
        for command in ["check", "tally"] {
            assert!(flat(&sward(folder.path(), &[command]).out).contains("581.00 tons apart"), "{command}");
        }
    }
    for (tons, sure, told) in [("600", "AL", "note"), ("24", "", ""), ("20", "", ""), ("26", "", "warning")] {
        let farm = start(&kit::NC);
        let line = format!(
            "date,what,lot,tons,order,sure\n2027-03-10,count,heap,{tons},after,{}",
            match sure {
                "" => String::new(),
                by => format!("\"{by}, 2027-03-10\""),
            }
        );
        let found = checked(&farm.lines(&line));
        let found: Vec<String> = found
            .findings
            .sorted()
            .iter()
            .filter(|f| f.code == "count-apart")
            .map(|f| f.severity.word().into())
            .collect();
        assert_eq!(found, if told.is_empty() { vec![] } else { vec![told.to_string()] }, "{tons}");
    }
    // One that is near the record says by how much it differs, and the same count again nothing.
    for (tons, told) in [("24", "5.00 tons more"), ("16.5", "2.50 tons less"), ("19", "")] {
        let line = format!("date,what,lot,tons,order\n2027-03-10,count,heap,{tons},after\n");
        let found = checked(&start(&kit::NC).lines(&line)).found("count-differs");
        assert_eq!(found.len(), usize::from(!told.is_empty()), "{tons}: {found:?}");
        assert!(found.iter().all(|found| found.contains(told)), "{found:?}");
    }
}

/// How long a record is kept is one number, the longest asked for since its first day.
#[test]
fn the_years_to_keep_are_the_same_in_every_tally() {
    for place in PLACES {
        let farm = Farm::new(place).logged("2025-03-20", "spread", "heap", "A", "8");
        let keep = |year: i16| year_tally(&farm, year).done.keep.unwrap().years;
        let plain = planned(&farm).tally["keep"]["years"].as_f64().unwrap();
        assert_eq!([keep(2025), keep(2026), keep(2027)], [plain; 3], "{}", place.key);
    }
}
