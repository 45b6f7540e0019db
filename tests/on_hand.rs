//! Tons on hand by scale tickets, counted loads, a measured pile and the
//! houses: published examples, closed forms, what is refused.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod demo;

use sward::check::Counting;
use sward::farm::FarmText;
use sward::findings::{Known, Origin};
use sward::units::Pounds;
use sward::{plan, write};

/// The demo farm whose clean-out is counted in another way.
fn counted(how: &str) -> FarmText {
    demo::with_main(|main| demo::instead(&main, "on_hand: 430 tons", &format!("on_hand: {{{how}}}")))
}

/// What the first lot opens with.
fn opens(how: &str) -> (Pounds, Counting) {
    let made = demo::made(&counted(how));
    let lot = made.ready.lots[0].clone();
    let books = &made.plan().lots[0];
    assert_eq!(books.opening, lot.on_hand, "the books open with what was counted");
    assert_eq!(books.counting, lot.counting);
    let counting = lot.counting.unwrap();
    assert!(counting.low <= lot.on_hand && lot.on_hand <= counting.high);
    (lot.on_hand, counting)
}

fn codes(how: &str) -> Vec<String> {
    let found = demo::told(&counted(how));
    assert!(found.has_errors(), "{how} is refused");
    found.sorted().iter().filter(|f| f.severity.word() == "error").map(|f| f.code.to_string()).collect()
}

fn close(pounds: Pounds, tons: f64) {
    assert!((pounds.tons() - tons).abs() < 0.001, "{} tons for {tons}", pounds.tons());
}

// --- published --------------------------------------------------------------

/// The registration form of Arkansas, its own example: 100,000 birds of 4 lb,
/// five flocks: 500 tons. It is the low end of Alabama's 0.5 to 0.7 lb.
#[test]
fn the_states_form_is_the_low_end() {
    let (pounds, counting) = opens("houses: {number: 4, birds: 25000, flocks: 5, weight: 4 lb, taken: whole}");
    assert_eq!(pounds, Pounds(1_000_000));
    assert_eq!(counting.range(), Some((Pounds(1_000_000), Pounds(1_400_000))));
    assert!(counting.sure.contains("0.5 to 0.7 lb"), "{}", counting.sure);
    assert_eq!(counting.from, "4 houses of 25,000 birds, 5 flocks at 4 lb, whole litter");
    let read = |o: &Origin| matches!(o, Origin::Figure(cite) if cite.known == Known::Read);
    assert_eq!(counting.origins.iter().filter(|o| read(o)).count(), 2);
}

/// NRAES 1999 in P3601: 1.25 tons of whole litter and 0.4 of cake for 1,000
/// birds; the cake of a house of 24,000 and eleven flocks is worked out.
#[test]
fn without_a_weight_the_published_tons_hold() {
    let (whole, counting) = opens("houses: {number: 1, birds: 1000, flocks: 1, taken: whole}");
    close(whole, 1.25);
    assert_eq!(counting.range(), None);
    let (cake, _) = opens("houses: {number: 1, birds: 24000, flocks: 11, weight: 6.5 lb, taken: cake}");
    close(cake, 105.6);
}

/// Alberta's guide: 203 m3 at 974 kg/m3 make 197.7 metric tons (its sum takes
/// 975 and prints 198).
#[test]
fn a_pile_in_metric_measures() {
    let (pounds, _) = opens("pile: {shape: bin, width: 7 m, length: 29 m, height: 1 m, density: 974 kg/m3}");
    let tonnes = pounds.0 as f64 * 0.453_592_37 / 1_000.0;
    assert!((tonnes - 197.722).abs() < 0.001, "{tonnes}");
}

/// The dry-stack form of Alabama (AL-ENG-25G): W 39 ft, posts kept clear by
/// 6 ft, 7 ft high, slopes of 1.5 to 1: a section of 115.5 ft2, as that of a
/// windrow 27 ft wide and 6 ft on top. Numbers ours, formula read.
#[test]
fn the_section_of_a_dry_stack() {
    let section = 7.0 * (39.0 - 2.0 * 6.0) - 1.5 * 7.0f64.powi(2);
    assert_eq!(section, 115.5);
    let pile = |length: f64| {
        opens(&format!(
            "pile: {{shape: windrow, width: 27 ft, top: 6 ft, height: 7 ft, length: {length} ft, density: 20 lb/ft3}}"
        ))
        .0
    };
    // Between two lengths only the straight part differs.
    let more = (pile(77.0) - pile(57.0)).0 as f64 / 20.0 / 20.0;
    assert!((more - section).abs() < 0.01, "{more}");
}

/// Alberta's round pile: 22 m around are 7.0 m across.
#[test]
fn a_cone_by_its_foot() {
    let around = 22.0f64;
    assert_eq!(format!("{:.1}", around / std::f64::consts::PI), "7.0");
    let (pounds, counting) = opens("pile: {shape: cone, around: 22 m, height: 2.2 m, bucket: 20 lb}");
    let radius = 22.0 / 0.3048 / 2.0 / std::f64::consts::PI;
    let cubic_feet = std::f64::consts::PI * radius * radius * (2.2 / 0.3048) / 3.0;
    close(pounds, cubic_feet * 30.0 / 2_000.0);
    assert_eq!((counting.sure.as_str(), counting.range()), ("as good as the bucket", None));
    assert!(counting.from.contains("30 lb/ft3 (bucket 20 lb x 1.5)"), "{}", counting.from);
}

// --- closed forms -----------------------------------------------------------

#[test]
fn tickets_are_weighed_to_the_pound() {
    let (pounds, counting) = opens(
        "tickets: [{number: 101, date: 2027-01-06, net: 15940 lb}, {number: 102, date: 2027-01-08, gross: 31.5 tons, tare: 13.52 tons}]",
    );
    assert_eq!(pounds, Pounds(15_940 + 35_960));
    assert_eq!(
        (counting.from.as_str(), counting.sure.as_str()),
        ("2 scale tickets, 2027-01-06 to 2027-01-08", "weighed")
    );
}

/// The weighed loads count as weighed, the rest as their mean.
#[test]
fn loads_are_as_sure_as_the_weighed_ones_are_alike() {
    let (pounds, counting) = opens("loads: {count: 54, weighed: [7.8 tons, 8.1 tons, 7.94 tons, 8 tons]}");
    close(pounds, 54.0 * 7.96);
    let (low, high) = counting.range().unwrap();
    close(low, 31.84 + 50.0 * 7.8);
    close(high, 31.84 + 50.0 * 8.1);
    assert_eq!(counting.from, "54 loads of 7.96 tons, 4 weighed");
    let (pounds, counting) = opens("loads: {count: 54, load: 7.96 tons, weighed: 4}");
    close(pounds, 429.84);
    assert_eq!((counting.from.as_str(), counting.range()), ("54 loads of 7.96 tons, 4 weighed", None));
    let all = opens("loads: {count: 2, weighed: [7 tons, 9 tons]}");
    assert_eq!((all.0, all.1.range()), (Pounds(32_000), None), "all of them were weighed");
    assert!(opens("loads: {count: 12, load: 8 tons}").1.sure.contains("none weighed"));
}

/// A windrow as long as wide is a cone; one with a ridge is half a box and it.
#[test]
fn a_windrow_is_its_ends_and_what_lies_between() {
    let of = |more: &str| opens(&format!("pile: {{{more}, density: 30 lb/ft3}}")).0.0 as f64 / 30.0;
    let around = 20.0 * std::f64::consts::PI;
    let cone = of(&format!("shape: cone, around: {around} ft, height: 6 ft"));
    let short = of("shape: windrow, width: 20 ft, height: 6 ft, length: 20 ft");
    assert!((cone - short).abs() < 0.1, "{cone} {short}");
    let long = of("shape: windrow, width: 20 ft, height: 6 ft, length: 120 ft");
    assert!((long - short - 20.0 * 6.0 * 100.0 / 2.0).abs() < 0.1, "{long}");
    let steep = of("shape: windrow, width: 20 ft, top: 20 ft, height: 6 ft, length: 120 ft");
    let stadium = 6.0 * (20.0 * 100.0 + 100.0 * std::f64::consts::PI);
    assert!((steep - stadium).abs() < 0.1, "{steep} {stadium}");
}

/// Without a density of the farm's own the published ends make a range, and
/// the books open with the low one.
#[test]
fn an_unweighed_pile_is_a_range() {
    let (pounds, counting) = opens("pile: {shape: bin, width: 40 ft, length: 60 ft, height: 6 ft}");
    close(pounds, 14_400.0 * 27.0 / 2_000.0);
    let (low, high) = counting.range().unwrap();
    assert_eq!(low, pounds);
    close(high, 14_400.0 * 37.04 / 2_000.0);
    assert_eq!(counting.origins.len(), 3, "the line and two figures");
}

// --- what is shown ----------------------------------------------------------

#[test]
fn plan_tally_and_json_say_where_the_tons_come_from() {
    let made = demo::made(&counted("loads: {count: 54, weighed: [7.8 tons, 8.1 tons]}"));
    let said = "Opening of clean-out: 54 loads of 7.95 tons, 2 weighed; 421.50 to 437.10 tons";
    let flat = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(flat(&write::plan(&made.audited, 80)).contains(said));
    let tally = plan::tally(&made.ready, &demo::tables_with(""), &made.weighed, made.plan());
    let text = write::tally(&tally, 80);
    assert!(flat(&text).contains(said) && text.contains("written in farm.yaml:"), "{text}");
    let json: serde_json::Value = serde_json::from_str(&write::plan_json(&made.audited)).unwrap();
    assert_eq!(json["lots"][0]["counting"]["low"], 843_000);
    let tally: serde_json::Value = serde_json::from_str(&write::tally_json(&tally)).unwrap();
    assert_eq!(tally["counted"][0]["lot"], "clean-out");
}

// --- refused ----------------------------------------------------------------

#[test]
fn what_is_wrong_is_told() {
    let ticket = "{number: 7, date: 2027-01-06, net: 100 lb}";
    for (how, expected) in [
        (String::new(), &["key-missing"][..]),
        (format!("tickets: [{ticket}], loads: {{count: 1, load: 1 tons}}"), &["given-twice"]),
        (format!("tickets: [{ticket}, {ticket}]"), &["ticket-twice"]),
        ("tickets: []".to_string(), &["how-many"]),
        ("tickets: [{number: 7, date: 2027-01-06, gross: 9 tons, tare: 10 tons}]".to_string(), &["gross-below-empty"]),
        ("tickets: [{number: 7, date: x, net: 0 lb}]".to_string(), &["date", "zero"]),
        ("loads: {count: 2, weighed: [1 tons, 1 tons, 1 tons]}".to_string(), &["how-many"]),
        ("loads: {count: 2, weighed: []}".to_string(), &["how-many"]),
        ("loads: {count: 2, load: 8 tons, weighed: 3}".to_string(), &["how-many"]),
        ("loads: {count: 2, load: 8 tons, weighed: [8 tons]}".to_string(), &["given-twice"]),
        ("loads: {count: 0}".to_string(), &["key-missing", "whole-number"]),
        ("pile: {shape: heap, width: 3 ft}".to_string(), &["word-unknown"]),
        (
            "pile: {shape: bin, width: 3 ft, length: 0 ft, height: 1 ft, density: 2}".to_string(),
            &["unit-missing", "zero"],
        ),
        (
            "pile: {shape: windrow, width: 9 ft, top: 12 ft, height: 5 ft, length: 6 ft, bucket: 20 lb}".to_string(),
            &["pile-measures", "pile-measures"],
        ),
        (
            "pile: {shape: cone, around: 9 ft, height: 5 ft, bucket: 20 lb, density: 30 lb/ft3}".to_string(),
            &["given-twice"],
        ),
        ("houses: {number: 1, birds: many, flocks: 2, taken: half}".to_string(), &["whole-number", "word-unknown"]),
        ("heap: 3".to_string(), &["key-missing", "key-unknown"]),
    ] {
        let mut found = codes(&how);
        found.sort();
        assert_eq!(found, expected, "{how}");
    }
}
