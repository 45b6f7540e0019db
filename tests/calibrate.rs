//! Spreader calibration: published sheets and formulas, the derived patterns,
//! laws that hold for any pattern, and `sward calibrate` as people use it.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod demo;
mod kit;

use kit::{at_root, demo_folder};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use std::sync::Arc;
use sward::calibrate::{
    Certainty, Overlap, Pattern, Run, acres_run, bucket_density, load_rate, over_width, pounds_per_minute, setting,
    sheet_rate,
};
use sward::farm::FarmText;
use sward::findings::Severity;
use sward::ground::feet_per_load;
use sward::pipeline::{Figures, Question};
use sward::tables::{self, Scope};
use sward::units::Quantity;
use sward::write;

/// A number to the digits that are printed.
fn printed(value: f64, text: &str) {
    let decimals = text.split_once('.').map_or(0, |(_, d)| d.len());
    assert_eq!(format!("{value:.decimals$}"), text, "{value}");
}

// --- sheets -----------------------------------------------------------------

/// Iowa State 2001: on a sheet of 56 x 56 in, pounds are tons per acre.
#[test]
fn a_sheet_of_56_inches_reads_tons_per_acre() {
    let feet = 56.0 / 12.0;
    for pounds in [0.5, 1.0, 2.0, 3.75] {
        printed(sheet_rate(pounds, feet * feet).unwrap(), &format!("{pounds:.3}"));
    }
}

/// Sizes of sheets as printed: NCDA&CS 2004, Jefferson conservation district,
/// and the factors that NDSU's and Missouri's sizes come to (worked out).
#[test]
fn sheets_have_the_acres_that_are_printed() {
    printed(acres_run(11.5, 19.0).unwrap(), "0.005");
    printed(acres_run(12.0, 12.0).unwrap(), "0.003306");
    for (square_feet, factor) in
        [(22.0, "0.990"), (36.0, "0.605"), (64.0, "0.3403"), (100.0, "0.2178"), (218.5, "0.0997")]
    {
        printed(sheet_rate(1.0, square_feet).unwrap(), factor);
    }
}

// --- loads ------------------------------------------------------------------

/// North Carolina operator manual, formula 16: tons = bucket lb x 1.5 x ft3 /
/// 2,000; the factor is a record of the tables, read in its source.
#[test]
fn a_load_by_its_bucket() {
    let tables = demo::tables_with("");
    let book = tables.book("us-nc", jiff::civil::date(2027, 2, 15)).unwrap();
    let factor = book.get(tables::topic::BUCKET_FACTOR, &Scope::new()).unwrap();
    assert_eq!((factor.value.get(), factor.cite.known.word()), (1.5, "read"));
    let density = bucket_density(20.0, factor.value.get()).unwrap();
    printed(density, "30");
    // Five gallons of 231 cubic inches: the exact factor is 1.496.
    printed(1.0 / (5.0 * 231.0 / 1_728.0), "1.496");
    printed(density * 533.0 / 2_000.0, "7.995");
}

/// Derived from the definitions: O11 and O12 of the project's worked examples.
#[test]
fn a_load_runs_out_and_a_spreader_pours() {
    printed(feet_per_load(8.0, 2.0, 30.0).unwrap(), "5808");
    printed(load_rate(8.0, acres_run(30.0, 5_808.0).unwrap()).unwrap(), "2.000");
    for (rate, swath, mph, pounds) in [(2.0, 30.0, 10.0, "2424"), (1.0, 30.0, 10.0, "1212"), (3.0, 40.0, 8.0, "3879")] {
        printed(pounds_per_minute(rate, swath, mph).unwrap(), pounds);
    }
    printed(over_width(2.0, 30.0, 40.0).unwrap(), "1.50");
}

// --- patterns ---------------------------------------------------------------

fn at(pattern: &Pattern, swath: f64) -> Overlap {
    *pattern.overlaps().iter().find(|o| (o.swath_ft - swath).abs() < 1e-9).unwrap()
}

/// Derived (O13): a triangle of 60 ft lies dead even at 30 ft, half its throw.
#[test]
fn a_triangle_is_even_at_half_its_throw() {
    let pattern = Pattern::new(5.0, vec![0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 5.0, 4.0, 3.0, 2.0, 1.0, 0.0]).unwrap();
    for (swath, mean, less_one, n) in [
        (20.0, "9.00", "9.1", "7.9"),
        (25.0, "7.20", "6.2", "5.6"),
        (30.0, "6.00", "0.0", "0.0"),
        (35.0, "5.14", "7.3", "6.8"),
        (40.0, "4.50", "16.8", "15.7"),
        (45.0, "4.00", "28.0", "26.4"),
        (50.0, "3.60", "39.7", "37.7"),
    ] {
        let row = at(&pattern, swath);
        printed(row.mean, mean);
        printed(row.round.percent_n, n);
        // 7.349 was cut to 7.3 and 27.95 rounded up: both within half a digit.
        assert!((row.round.percent - less_one.parse::<f64>().unwrap()).abs() <= 0.051, "{swath}: {row:?}");
    }
    assert_eq!(at(&pattern, 30.0).worse(), 0.0);
    assert_eq!((pattern.widest(15.0), pattern.half_rate()), (Some(35.0), Some(30.0)));
    assert_eq!(pattern.sides(), (50.0, 50.0));
}

/// Derived (O14): a pattern that leans to the left.
#[test]
fn a_skewed_pattern_tells_the_ways_of_driving_apart() {
    let pattern = Pattern::new(5.0, vec![0.0, 0.4, 1.1, 2.3, 3.6, 4.4, 4.8, 4.1, 2.9, 1.5, 0.7, 0.2, 0.0]).unwrap();
    printed(pattern.sum(), "26.0");
    for (swath, mean, round, back) in [
        (20.0, "6.50", "2.2", "7.8"),
        (25.0, "5.20", "2.4", "10.8"),
        (30.0, "4.33", "8.7", "14.0"),
        (35.0, "3.71", "21.2", "22.8"),
        (40.0, "3.25", "35.2", "34.9"),
    ] {
        let row = at(&pattern, swath);
        printed(row.mean, mean);
        printed(row.round.percent, round);
        printed(row.back_and_forth.percent, back);
    }
    assert_eq!(pattern.widest(15.0), Some(30.0));
    // 14.2 left of the middle pan's half, 11.8 right of it.
    let (left, right) = pattern.sides();
    printed(left, "54.6");
    printed(right, "45.4");
}

/// Ohio State Bulletin 817: half the rate at 6 ft on each side makes 12 ft.
#[test]
fn the_half_rate_rule() {
    let spread = Pattern::new(3.0, vec![0.0, 4.0, 8.0, 8.0, 8.0, 4.0, 0.0]).unwrap();
    assert_eq!(spread.half_rate(), Some(12.0));
    // An even number of pans: the middle lies between two.
    let even = Pattern::new(4.0, vec![2.0, 4.0, 8.0, 8.0, 4.0, 2.0]).unwrap();
    assert_eq!(even.half_rate(), Some(12.0));
    let flat = Pattern::new(4.0, vec![5.0; 6]).unwrap();
    assert_eq!(flat.half_rate(), None, "no side falls to half");
}

/// The widest swath at a limit: a row that just keeps it counts, one that is a
/// hair more uneven does not.
#[test]
fn the_widest_swath_keeps_its_limit_to_the_last() {
    let spread = Pattern::new(5.0, vec![1.0, 4.0, 7.0, 9.0, 8.0, 6.0, 3.0, 1.0]).unwrap();
    let rows = spread.overlaps();
    assert!(rows.len() > 3);
    for row in rows.iter().filter(|row| row.worse() > 1.0) {
        assert!(spread.widest(row.worse()).unwrap() >= row.swath_ft, "{row:?}");
        let below = spread.widest(row.worse() * 0.999_999).unwrap_or(0.0);
        assert!(rows.iter().all(|r| r.swath_ft != below || r.worse() < row.worse()), "{row:?}: {below}");
        assert_ne!(below, row.swath_ft);
    }
}

// --- settings ---------------------------------------------------------------

fn run(words: &str, mph: f64, rate: f64) -> Run {
    Run { words: words.to_string(), mph, rate }
}

#[test]
fn the_setting_says_how_sure_it_is() {
    let runs = [run("gate 4", 8.0, 1.6), run("gate 4", 12.0, 1.05), run("gate 8", 7.0, 3.0)];
    let set = |rate| setting(rate, &runs).unwrap();
    assert_eq!((set(1.6).run, set(1.6).mph, set(1.6).sure), (0, 8.0, Certainty::Measured));
    let between = set(1.28);
    assert_eq!((between.run, between.sure), (1, Certainty::Between));
    printed(between.mph, "9.84");
    // Slower than anything that was measured on that gate.
    assert_eq!((set(4.0).run, set(4.0).sure), (2, Certainty::Beyond));
    printed(set(4.0).mph, "5.25");
    assert_eq!(setting(2.0, &[]), None);
}

/// Any number at all, and some that can be: of the first hardly one gets past the door.
fn any_number() -> impl Strategy<Value = f64> {
    prop_oneof![any::<f64>(), 0.5..40.0]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, rng_seed: RngSeed::Fixed(17), ..ProptestConfig::default() })]

    /// What falls is what lies: mean x swath = sum x spacing, in both ways.
    #[test]
    fn nothing_is_lost_between_passes(
        weights in prop::collection::vec(0.0..500.0f64, 3..40),
        spacing in 0.5..20.0f64,
    ) {
        prop_assume!(weights.iter().sum::<f64>() > 1.0);
        let pattern = Pattern::new(spacing, weights.clone()).unwrap();
        for row in pattern.overlaps() {
            let fallen = weights.iter().sum::<f64>() * spacing;
            prop_assert!((row.mean * row.swath_ft / fallen - 1.0).abs() < 1e-9);
            prop_assert!((pattern.mean_at(row.swath_ft).unwrap() / row.mean - 1.0).abs() < 1e-9);
        }
    }

    /// An even-sided pattern lies the same whichever way it is driven. With n
    /// as the divisor that is exact; n - 1 counts one swath or two, and parts
    /// the two by just that.
    #[test]
    fn even_sides_know_no_way_of_driving(half in prop::collection::vec(0.0..500.0f64, 2..20), middle in 1.0..500.0f64) {
        let mut weights: Vec<f64> = half.iter().rev().copied().collect();
        weights.push(middle);
        weights.extend(&half);
        for (i, row) in Pattern::new(5.0, weights).unwrap().overlaps().iter().enumerate() {
            let (round, back) = (row.round, row.back_and_forth);
            prop_assert!((round.percent_n - back.percent_n).abs() < 1e-6, "{row:?}");
            let n = (i + 2) as f64;
            let parted = ((2.0 * n - 1.0) / (2.0 * (n - 1.0))).sqrt();
            prop_assert!((round.percent - back.percent * parted).abs() < 1e-6, "{row:?}");
        }
    }

    /// Turned end for end, a pattern lies as before.
    #[test]
    fn left_and_right_may_change_places(weights in prop::collection::vec(0.0..500.0f64, 3..30)) {
        prop_assume!(weights.iter().sum::<f64>() > 1.0);
        let turned: Vec<f64> = weights.iter().rev().copied().collect();
        let (a, b) = (Pattern::new(5.0, weights).unwrap(), Pattern::new(5.0, turned).unwrap());
        for (x, y) in a.overlaps().iter().zip(b.overlaps()) {
            prop_assert!((x.worse() - y.worse()).abs() < 1e-6);
        }
        prop_assert!((a.sides().0 - b.sides().1).abs() < 1e-9);
    }

    /// Half the rate wants twice the speed, never half of it.
    #[test]
    fn half_the_rate_is_twice_the_speed(mph in 1.0..30.0f64, rate in 0.1..20.0f64, wanted in 0.1..20.0f64) {
        let runs = [run("gate 6", mph, rate)];
        let (whole, half) = (setting(wanted, &runs).unwrap(), setting(wanted / 2.0, &runs).unwrap());
        prop_assert!((half.mph / whole.mph - 2.0).abs() < 1e-9);
        prop_assert!((whole.mph * wanted - mph * rate).abs() < 1e-9 * mph * rate);
        prop_assert!((whole.sure == Certainty::Beyond) == ((whole.mph * 10.0).round() != (mph * 10.0).round()));
    }

    /// Whatever the numbers are: an answer that is a number, or none.
    #[test]
    fn no_number_stops_it(
        weights in prop::collection::vec(any_number(), 0..12),
        a in any_number(),
        b in any_number(),
        c in any_number(),
    ) {
        let parts = [
            sheet_rate(a, b), acres_run(a, b), load_rate(a, b), bucket_density(a, b), over_width(a, b, c),
            pounds_per_minute(a, b, c),
        ];
        prop_assert!(parts.into_iter().flatten().all(|v| v.is_finite() && v > 0.0));
        if let Some(set) = setting(a, &[run("x", b, c), run("x", c, a), run("", a, a)]) {
            prop_assert!(set.mph.is_finite() && set.mph > 0.0);
        }
        if let Some(pattern) = Pattern::new(a, weights) {
            prop_assert!(pattern.overlaps().iter().all(|o| o.round.percent.is_finite()));
            let _ = (pattern.half_rate(), pattern.widest(b), pattern.mean_at(c), pattern.sides());
        }
    }
}

#[test]
fn what_is_no_pattern_is_refused() {
    for weights in [vec![], vec![1.0, 2.0], vec![0.0; 5], vec![1.0, -1.0, 3.0], vec![f64::MAX; 4], vec![f64::NAN; 4]] {
        assert_eq!(Pattern::new(5.0, weights.clone()), None, "{weights:?}");
    }
    assert_eq!(Pattern::new(0.0, vec![1.0; 4]), None);
}

// --- the file ---------------------------------------------------------------

fn with_calibration(text: &str) -> FarmText {
    FarmText { calibration: Some(text.to_string()), ..demo::texts() }
}

/// Codes of what is said of a calibration, with their lines in that file or in
/// farm.yaml.
fn codes(texts: &FarmText, tables: &sward::tables::Tables) -> Vec<(String, usize)> {
    let question = Question { figures: Figures::Loaded(Arc::new(tables.clone())), ..demo::asked(texts) };
    let found = question.check().findings;
    let about = ["litter-sample-old", "soil-test-old", "keepouts-idle", "hayed-unsaid"];
    let list = found.sorted().into_iter().filter(|f| !about.contains(&f.code.as_ref()));
    list.map(|f| (f.code.to_string(), f.place.line)).collect()
}

fn built_in() -> sward::tables::Tables {
    demo::tables_with("")
}

#[test]
fn the_demo_farm_has_nothing_to_mend() {
    assert_eq!(codes(&demo::texts(), &built_in()), Vec::new());
    let made = demo::made(&demo::texts());
    let calibration = made.ready.calibration.unwrap();
    let pattern = calibration.pattern().unwrap();
    assert!(pattern.widest_ft.unwrap() >= calibration.swath_ft);
    // Three ways at one setting: the sheets go before the pans.
    assert_eq!(calibration.sound().len(), 4);
    for rate in [1.0, 1.25, 2.25, 3.0] {
        let set = calibration.setting_for(rate).unwrap();
        assert!(set.sure != Certainty::Beyond, "{set:?}");
        let run = calibration.runs.iter().find(|r| r.rate_at_swath == Some(set.measured_rate)).unwrap();
        assert!((set.mph * rate - run.mph * set.measured_rate).abs() < 1e-9, "{set:?}");
    }
}

const LOAD: &str = "loads:\n- {date: 2026-09-14, setting: {gate: 6 in, speed: 8 mph}, weighed: 8 tons, ";

/// The rate is that of the farm's swath, not of the lane that was driven.
#[test]
fn a_run_at_another_lane_is_turned_into_the_farms_swath() {
    let made = demo::made(&with_calibration(&format!("{LOAD}width: 20 ft, distance: 8712 ft}}\n")));
    let calibration = made.ready.calibration.unwrap();
    printed(calibration.runs[0].rate, "2.00");
    printed(calibration.runs[0].rate_at_swath.unwrap(), "1.33");
    let set = calibration.setting_for(2.0).unwrap();
    printed(set.mph, "5.33");
    assert_eq!((set.setting.as_str(), set.sure), ("gate 6 in", Certainty::Beyond));
    printed(set.load_runs_ft.unwrap(), "5808");
}

/// Every way of measuring, at the swath of that day and after the swath changed: where
/// the run says how it was driven the speed follows, where it does not none is printed.
#[test]
fn a_swath_that_changed_since_over_applies_nowhere() {
    let made = "date: 2026-09-14, setting: {gate: 6 in, speed: 8 mph}";
    let swath = |texts: &mut FarmText, ft: u32| {
        let main = texts.main.take().unwrap();
        assert!(main.contains("swath: 30 ft"));
        texts.main = Some(main.replace("swath: 30 ft", &format!("swath: {ft} ft")));
    };
    let runs = [
        ("loads", "weighed: 8 tons, acres: 4 ac", "width: 30 ft"),
        ("loads", "bucket: 20 lb, box: 533.3333 ft3, acres: 4 ac", "width: 30 ft"),
        ("sheets", "length: 56 in, width: 56 in, passes: 3, runs: [2 lb]", "lane: 30 ft"),
    ];
    for (list, run, lane) in runs {
        for (ft, mph) in [(30, "8.00"), (24, "10.00"), (40, "6.00")] {
            let mut said = with_calibration(&format!("{list}:\n- {{{made}, {run}, {lane}}}\n"));
            swath(&mut said, ft);
            let calibration = demo::made(&said).ready.calibration.unwrap();
            printed(calibration.setting_for(2.0).unwrap().mph, mph);
            let mut silent = with_calibration(&format!("{list}:\n- {{{made}, {run}}}\n"));
            swath(&mut silent, ft);
            assert_eq!(codes(&silent, &built_in())[0], ("calibration-width".to_string(), 2), "{run}");
            let calibration = demo::made(&silent).ready.calibration.unwrap();
            assert_eq!(calibration.setting_for(2.0), None, "{run}");
            assert_eq!(calibration.runs[0].rate_at_swath, None, "{run}");
        }
    }
}

/// Runs of one setting that pour differently say no speed between them.
#[test]
fn runs_of_one_setting_that_differ_are_told() {
    let one = |mph: u32, tons: &str| {
        format!(
            "- {{date: 2026-09-14, setting: {{gate: 6 in, speed: {mph} mph}}, weighed: {tons}, width: 30 ft, distance: 5808 ft}}\n"
        )
    };
    let found = |slow: &str, fast: &str| {
        let text = format!("loads:\n{}{}", one(6, slow), one(8, fast));
        codes(&with_calibration(&text), &built_in())
            .into_iter()
            .filter(|(code, _)| code == "calibration-differs")
            .count()
    };
    // A load of 8 tons at 6 mph pours as much a minute as one of 6 tons at 8.
    assert_eq!((found("8 tons", "6 tons"), found("8 tons", "6.59 tons")), (0, 0));
    assert_eq!((found("8 tons", "6.61 tons"), found("8.9 tons", "6 tons")), (1, 1));
}

/// A sheet without passes at its sides reads the peak: no setting rests on it.
#[test]
fn a_sheet_under_one_pass_makes_no_setting() {
    let text = "sheets:\n- {date: 2026-09-14, setting: {speed: 8 mph}, length: 56 in, width: 56 in, passes: 1, runs: [2 lb]}\n";
    let calibration = demo::made(&with_calibration(text)).ready.calibration.unwrap();
    printed(calibration.runs[0].rate, "2.00");
    assert!(calibration.runs[0].left_out.is_some());
    assert_eq!(calibration.setting_for(2.0), None);
}

/// Of the same setting the later run counts.
#[test]
fn the_last_calibration_counts() {
    let one = |date: &str, tons: &str| {
        format!(
            "- {{date: {date}, setting: {{gate: 6 in, speed: 8 mph}}, weighed: {tons}, acres: 4 ac, width: 30 ft}}\n"
        )
    };
    let text = format!("loads:\n{}{}", one("2026-09-14", "8 tons"), one("2025-03-01", "6 tons"));
    let calibration = demo::made(&with_calibration(&text)).ready.calibration.unwrap();
    assert_eq!(calibration.sound().len(), 1);
    printed(calibration.setting_for(2.0).unwrap().mph, "8.0");
}

fn line_of(text: &str, what: &str) -> usize {
    text.lines().position(|l| l.contains(what)).unwrap() + 1
}

#[test]
fn a_swath_wider_than_the_pattern_carries_is_told() {
    let wide = |main: String| demo::instead(&main, "swath: 30 ft", "swath: 40 ft");
    let line = line_of(&demo::file("farm.yaml"), "swath: 30 ft");
    assert_eq!(codes(&demo::with_main(wide), &built_in()), [("swath-wide".to_string(), line)]);
    let as_wide = |main: String| demo::instead(&main, "swath: 30 ft", "swath: 35 ft");
    assert_eq!(codes(&demo::with_main(as_wide), &built_in()), Vec::new());
    // A pattern with a hole in the middle of both sides is even at no swath.
    let text =
        "pans:\n- {date: 2026-09-14, setting: {speed: 8 mph}, spacing: 5 ft, weights: [0 g, 0 g, 90 g, 0 g, 0 g]}\n";
    assert_eq!(codes(&with_calibration(text), &built_in()), [("swath-wide".to_string(), line)]);
    let made = demo::made(&with_calibration(text));
    assert!(made.plan().findings.iter().any(|f| f.code == "swath-wide" && f.severity == Severity::Warning));
    assert!(write::plan(&made.audited, 80).contains("no swath is as even as"), "the plan says so");
    // And so do those who drive by it.
    let sheets = write::sheets(&made.audited, &made.ready, &made.ground, &made.driving);
    assert!(sheets.contains("no swath is as even as"), "the sheets say so");
    let today = sward::plan::days::today(made.plan(), &made.ready, &built_in(), sward::plan::days::Weather::default());
    assert!(kit::flat(&write::today_in_full(&today, 80)).contains("no swath is as even as"), "today says so");
}

/// Where a place limits the age, a calibration past it is told; a farm with
/// none of its own day goes by the file.
#[test]
fn an_old_calibration_is_told_where_the_place_says_so() {
    let aged = |days: u32| {
        demo::tables_with(&format!(
            "calibration_age:\n  topic: calibration_age\n  what: age\n  unit: days\n  from:\n    2000-01-01:\n      \
             value: {days}\n      source: {}\n      at: x\n      known: read\n  seen: 2026-11-25\n",
            demo::any_source()
        ))
    };
    let line = line_of(&demo::file("farm.yaml"), "calibrated: 2026-09-14");
    // 2026-09-14 to 2027-02-15, the plan's first day, are 154 days.
    assert_eq!(codes(&demo::texts(), &aged(153)), [("calibration-old".to_string(), line)]);
    assert_eq!(codes(&demo::texts(), &aged(154)), Vec::new());
    let without = demo::with_main(|main| demo::instead(&main, "  calibrated: 2026-09-14\n", ""));
    assert_eq!(codes(&without, &aged(153))[0].0, "calibration-old");
    let other = demo::with_main(|main| demo::instead(&main, "calibrated: 2026-09-14", "calibrated: 2026-11-02"));
    assert_eq!(codes(&other, &aged(153)), [("calibration-date".to_string(), line)]);
    let south = built_in();
    let book = south.book("us-sc", jiff::civil::date(2027, 2, 15)).unwrap();
    let figure = book.get(tables::topic::CALIBRATION_AGE, &Scope::new().large(false)).unwrap();
    assert_eq!((figure.value.get(), figure.cite.known.word()), (365.0, "read"));
}

/// Several mistakes of the file at once, each with its line; nothing panics.
#[test]
fn mistakes_of_the_file_are_told_with_their_lines() {
    let text = "\
loads:
- date: 2026-13-14
  setting: {gate: 6 in}
  weighed: 8 bushels
  acres: 0 ac
- {date: 2026-09-14, setting: {speed: 8 mph}, weighed: 8 tons, bucket: 20 lb, acres: 4 ac, distance: 300 ft}
- {date: 2026-09-14, setting: {speed: 8 mph}}
sheets:
- {date: 2026-09-14, setting: {speed: 8 mph, gate: [1]}, length: 5 ft, width: 5 ft, passes: 12, runs: []}
- {date: 2026-09-14, setting: {speed: 8 mph}, length: 5 ft, width: 5 ft, passes: 3, runs: [{gross: 2 lb, empty: 3 lb}]}
pans:
- {date: 2026-09-14, setting: {speed: 8 mph}, spacing: 5 ft, weights: [1 g, 2 g]}
- {date: 2026-09-14, setting: {speed: 8 mph}, spacing: 5 ft, weights: [0 g, 0 g, 0 g]}
pan: 3
";
    let mut found = codes(&with_calibration(text), &built_in());
    found.sort_by_key(|(_, line)| *line);
    let now: Vec<String> = found.iter().map(|(code, line)| format!("{line} {code}")).collect();
    let all = [
        "2 date",
        "3 key-missing",
        "4 unit-unknown",
        "5 zero",
        "6 calibration-width",
        "6 given-twice",
        "6 given-twice",
        "7 key-missing",
        "7 key-missing",
        "9 how-many",
        "9 setting-word",
        "9 whole-number",
        "10 gross-below-empty",
        "12 how-many",
        "13 pans-empty",
        "14 key-unknown",
    ];
    let mut sorted = now.clone();
    sorted.sort();
    let mut expected = all.map(String::from).to_vec();
    expected.sort();
    assert_eq!(sorted, expected);
    let long = "{speed: 8 mph, gate height: 8 in, spinner: 650 rpm, chain gear: second}";
    let long = LOAD.replace("{gate: 6 in, speed: 8 mph}", long) + "acres: 4 ac}\n";
    assert_eq!(codes(&with_calibration(&long), &built_in())[0], ("setting-word".to_string(), 2));
    for odd in ["", "[]", "3", "loads: 3\n", "loads: [3]\n", "pans: [{weights: {}}]\n", "sheets: [{runs: 3}]\n"] {
        assert!(!codes(&with_calibration(odd), &built_in()).is_empty(), "{odd:?} is told");
    }
}

// --- the command ------------------------------------------------------------

#[test]
fn the_command_prints_the_settings_of_the_plan() {
    let (code, out, err) = at_root(&["calibrate", "fields", "--rate", "6 tons/ac"]);
    assert_eq!((code, err.as_str()), (0, ""));
    for line in out.lines() {
        assert!(line.chars().count() <= 80, "too wide: {line}");
    }
    assert!(out.contains("try it first") && out.contains("n - 1") && out.contains("memory"), "{out}");
    let (code, json, _) = at_root(&["calibrate", "fields", "--json"]);
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert_eq!((code, json["divisor"].as_str()), (0, Some("n - 1")));
    let settings = json["settings"].as_array().unwrap();
    assert!(settings.len() > 2);
    for set in settings {
        let (rate, mph) = (set["wanted"]["rate"].as_f64().unwrap(), set["set"]["mph"].as_f64().unwrap());
        assert!(!set["wanted"]["goes_to"].as_array().unwrap().is_empty() && mph > 0.0);
        assert!((set["set"]["load_runs_ft"].as_f64().unwrap() - 8.0 / rate * 43_560.0 / 30.0).abs() < 1e-6);
    }
}

#[test]
fn a_farm_without_a_calibration_is_told_what_to_do() {
    let folder = demo_folder();
    let (code, out, err) = at_root(&["calibrate", folder.path().to_str().unwrap()]);
    assert_eq!((code, out.as_str()), (1, ""));
    assert!(err.contains("calibration-missing"), "{err}");
    // What is printed as an example can be copied as it is.
    let said = kit::flat(&err);
    let example = said.split('`').find(|part| part.starts_with("loads: [{")).expect(&said);
    std::fs::write(folder.path().join("calibration.yaml"), format!("{example}\n")).unwrap();
    let (code, out, err) = at_root(&["calibrate", folder.path().to_str().unwrap(), "--on", "2027-02-15"]);
    assert!(code == 0 && out.contains("2027-02-01"), "{out}{err}");
    assert_eq!(at_root(&["calibrate", "fields", "--rate", "0 tons/ac"]).0, 2);
    assert_eq!(at_root(&["calibrate", "fields", "--rate", "2"]).0, 2);
}

/// What was done is told whether or not the calibration can be read.
#[test]
fn a_broken_calibration_stops_no_tally() {
    let folder = demo_folder();
    let path = folder.path().to_str().unwrap();
    std::fs::write(folder.path().join("log.csv"), "date,what,field,lot,tons\n2027-03-01,spread,B1,clean-out,20\n")
        .unwrap();
    std::fs::write(folder.path().join("calibration.yaml"), "loads: [{date: 2027-02-01, weight: 8}]\n").unwrap();
    for words in [&["tally"][..], &["tally", "--year", "2027"]] {
        let (code, out, err) = at_root(&[words, &[path, "--on", "2027-04-01"]].concat());
        assert!(code == 0 && out.contains("B1"), "{words:?}: {out}{err}");
    }
    let (code, out, _) = at_root(&["check", path]);
    assert!(code == 1 && out.contains("calibration.yaml"), "{out}");
}

/// The sheets tell the setting of every job, or that there is none on file.
#[test]
fn the_field_sheets_tell_the_setting() {
    let html = |texts: &FarmText| {
        let made = demo::made(texts);
        let jobs: usize = made.plan().fields.iter().map(|f| f.applications.len()).sum();
        (jobs, write::sheets(&made.audited, &made.ready, &made.ground, &made.driving))
    };
    let (jobs, with) = html(&demo::texts());
    assert_eq!(with.matches("<dt>Set</dt>").count(), jobs);
    assert!(with.contains("7.3 mph <small>gate 8 in, spinner 650 rpm</small>"));
    assert!(!with.contains("no calibration on file") && with.contains("last calibrated Sep 14, 2026"));
    let (jobs, without) = html(&FarmText { calibration: None, ..demo::texts() });
    assert_eq!(without.matches("<dt>Set</dt><dd>no calibration on file</dd>").count(), jobs);
    let evil = format!("{LOAD}acres: 4 ac, width: 30 ft}}\n").replace("6 in", "\"<b>&\"");
    let (_, html) = html(&with_calibration(&evil));
    assert!(!html.contains("<b>&,") && html.contains("&#60;b&#62;"), "a word came through");
}
