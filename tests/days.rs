//! When the spreading gets done: dates worked out by hand, chances against
//! the exact distribution, laws that hold for any farm, stores and piles, and
//! wrong input.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod demo;

use demo::{Made, instead, made};
use jiff::ToSpan;
use jiff::civil::{Date, date};
use proptest::prelude::*;
use std::sync::LazyLock;
use sward::check::{Pace, Ready};
use sward::farm::FarmText;
use sward::findings::Severity;
use sward::plan::days::{Days, FlagKind, Lost, RUNS, capacity, days, sure_capacity};
use sward::units::Pounds;

/// A farm with fields of 20 acres or so side by side, and one window: the
/// spring season of fescue, February 15 to March 31.
fn farm(fields: &[&str], more: &str) -> FarmText {
    let one = |id: &str| {
        format!(
            "  - id: {id}
    forage: tall fescue
    use: hay
    texture: fine
    yield_goal: 3.5 tons/ac
    soil_test: {{lab: l, sampled: 2026-10-20, extractant: mehlich-3, p: 30 index, k: 40 index}}
    phosphorus_rating: {{rating: low, by: a planner, on: 2026-11-01}}
"
        )
    };
    let main = format!(
        "farm: Days Farm
place: us-nc
region: piedmont
plan: {{from: 2027-02-15, to: 2027-03-31}}
spreader: {{swath: 30 ft, load: 8 tons, step: 0.25 tons/ac, least: 1 ton/ac, most: 4 tons/ac}}
litter:
  - lot: shed
    kind: broiler litter
    on_hand: 400 tons
    stored: shed
    since: 2027-01-01
    analysis: {{lab: l, sampled: 2027-01-20, basis: as received, moisture: 25 %, total_n: 58 lb/ton, ammonium_n: 10 lb/ton, p2o5: 55 lb/ton, k2o: 56 lb/ton}}
fields:
{}{more}",
        fields.iter().map(|id| one(id)).collect::<String>()
    );
    let shapes: Vec<String> = fields
        .iter()
        .map(|id| {
            let n = f64::from(id.trim_start_matches('F').parse::<u32>().unwrap());
            let (west, east) = (-79.5 + n * 0.005, -79.4967 + n * 0.005);
            format!(
                r#"{{"type":"Feature","properties":{{"id":"{id}"}},"geometry":{{"type":"Polygon","coordinates":[[[{west},35.7],[{east},35.7],[{east},35.7027],[{west},35.7027],[{west},35.7]]]}}}}"#
            )
        })
        .collect();
    let all = |inner: &str| Some(format!(r#"{{"type":"FeatureCollection","features":[{inner}]}}"#));
    FarmText { main: Some(main), fields: all(&shapes.join(",")), keepouts: all(""), ..FarmText::default() }
}

/// The block `days:` in one line.
fn block(tons_per_day: f64, fit: &str) -> String {
    format!("days: {{tons_per_day: {tons_per_day} tons, fit: {fit}}}\n")
}

static ONE: LazyLock<Made> = LazyLock::new(|| made(&farm(&["F1"], &block(10.0, "100 %"))));
static DEMO: LazyLock<Made> = LazyLock::new(|| made(&demo::texts()));

/// A farm ready to be calculated with at another pace and another share of days.
fn at(made: &Made, tons_per_day: f64, share: Option<f64>) -> Ready {
    let mut ready = made.ready.clone();
    let pace: &mut Pace = ready.work.pace.as_mut().unwrap();
    pace.tons_per_day = tons_per_day;
    if let Some(share) = share {
        pace.not_on.clear();
        pace.shares.iter_mut().flatten().for_each(|s| s.share = share);
        pace.spells.clear();
    }
    ready
}

fn calculated(made: &Made, ready: &Ready, lost: &[Lost]) -> Days {
    days(made.plan(), ready, made.plan().from, lost).unwrap()
}

/// The one field at so many days of work.
fn one_field(work: f64, share: f64) -> Days {
    let tons = ONE.plan().fields[0].applications[0].pounds.tons();
    let got = calculated(&ONE, &at(&ONE, tons / work, Some(share)), &[]);
    assert_eq!(got.rows.len(), 1);
    got
}

fn after(days: i64) -> Date {
    date(2027, 2, 15).checked_add(days.days()).unwrap()
}

#[test]
fn every_day_fit_means_exact_dates() {
    let got = one_field(5.0, 1.0);
    let row = &got.rows[0];
    assert_eq!((row.begins, row.ends), (Some(after(0)), Some(after(4))));
    assert_eq!(row.by_day.len(), 5);
    assert_eq!((row.chance.half, row.chance.four_in_five, row.chance.inside), (row.ends, row.ends, 1.0));
    assert_eq!(got.all, row.chance);
    // A day and a half is done on the second day.
    assert_eq!(one_field(1.5, 1.0).rows[0].ends, Some(after(1)));
}

#[test]
fn half_the_days_fit_doubles_the_time() {
    for (work, share, last) in [(5.0, 0.5, 9), (10.0, 0.5, 19), (3.0, 0.25, 11)] {
        assert_eq!(one_field(work, share).rows[0].ends, Some(after(last)), "{work} days of work, {share}");
    }
}

/// Chance that `needed` fit days fall into the first `days`: the distribution
/// function of the negative binomial, by its terms.
fn done_by(needed: u32, share: f64, days: u32) -> f64 {
    let mut term = share.powi(i32::try_from(needed).unwrap());
    let mut sum = 0.0;
    for day in needed..=days {
        sum += term;
        // From C(day-1, needed-1) to C(day, needed-1).
        term *= (1.0 - share) * f64::from(day) / f64::from(day + 1 - needed);
    }
    sum
}

#[test]
fn the_chances_are_those_of_the_negative_binomial() {
    assert!((done_by(1, 0.5, 3) - 0.875).abs() < 1e-12 && (done_by(2, 0.5, 3) - 0.5).abs() < 1e-12);
    // Four times the error of a share of a half in so many runs.
    let error = 4.0 * 0.5 / f64::from(RUNS).sqrt();
    for (needed, share) in [(1, 0.3), (5, 0.5), (10, 0.45), (10, 0.3), (12, 0.3), (20, 0.7)] {
        let chance = one_field(f64::from(needed), share).rows[0].chance;
        let exact = done_by(needed, share, 45);
        assert!((chance.inside - exact).abs() < error, "{needed} at {share}: {} for {exact}", chance.inside);
        for (wanted, got) in [(0.5, chance.half), (0.8, chance.four_in_five)] {
            let Some(got) = got else {
                assert!(exact < wanted + error, "{needed} at {share}: no date for {wanted}");
                continue;
            };
            let days = u32::try_from((got - after(0)).get_days()).unwrap() + 1;
            let (to, before) = (done_by(needed, share, days), done_by(needed, share, days - 1));
            assert!(to > wanted - error && before < wanted + error, "{needed} at {share}: {before} {wanted} {to}");
        }
    }
}

#[test]
fn a_longer_haul_takes_longer() {
    let with = "days: {tons_per_day: 60 tons, speed: 20 mph, loading: 10 minutes, emptying: 14 minutes, fit: 50 %}\n";
    let pace = made(&farm(&["F1"], with)).ready.work.pace.unwrap();
    assert_eq!(pace.tons_at(Some(0.0)), 60.0);
    assert_eq!(pace.tons_at(None), 60.0);
    // 4 miles: there and back 24 minutes on top of 24.
    assert!((pace.tons_at(Some(4.0)) - 30.0).abs() < 1e-9);
}

#[test]
fn lost_days_and_sundays_move_the_rest() {
    let tons = ONE.plan().fields[0].applications[0].pounds.tons();
    let ready = at(&ONE, tons / 5.0, Some(1.0));
    let lost = [Lost { date: after(1), days: 2 }];
    let got = calculated(&ONE, &ready, &lost);
    assert_eq!(got.rows[0].ends, Some(after(6)));
    assert_eq!(got.lost, [after(1), after(2)]);
    assert!(got.rows[0].by_day.iter().all(|p| !got.lost.contains(&p.date)));
    // The plan starts on a Monday: the seventh day is the Sunday.
    let mut ready = at(&ONE, tons / 7.0, Some(1.0));
    ready.work.pace.as_mut().unwrap().not_on.push(jiff::civil::Weekday::Sunday);
    assert_eq!(calculated(&ONE, &ready, &[]).rows[0].ends, Some(after(7)));
    // Started later: the same work, as much later.
    let late = days(ONE.plan(), &at(&ONE, tons / 5.0, Some(1.0)), after(10), &[]).unwrap();
    assert_eq!((late.rows[0].begins, late.rows[0].ends), (Some(after(10)), Some(after(14))));
}

#[test]
fn what_does_not_fit_is_told_with_what_would() {
    // 90 days of work at every other day: half of 45 days get done.
    let got = one_field(90.0, 0.5);
    let row = &got.rows[0];
    assert_eq!((row.chance.inside, row.chance.half), (0.0, None));
    assert!((row.unfit.tons() - row.pounds.tons() * 0.75).abs() < 0.01, "{}", row.unfit);
    let flag = got.flags.iter().find(|f| f.kind == FlagKind::Unfit).unwrap();
    assert!(flag.fix.contains("not enough"), "{}", flag.fix);
    // As many tons a day as the flag says are enough; one fewer are not.
    let enough: f64 = flag.fix.split_whitespace().next().unwrap().replace(',', "").parse().unwrap();
    let left = |tons| calculated(&ONE, &at(&ONE, tons, Some(0.5)), &[]).rows[0].unfit;
    assert_eq!(left(enough), Pounds(0));
    assert!(left(enough - 1.0).0 > 0);
    // After its last day nothing helps.
    let never = one_field(5.0, 0.0);
    assert_eq!((never.rows[0].begins, never.rows[0].unfit), (None, never.rows[0].pounds));
    assert!(never.flags[0].fix.contains("none of its days"), "{}", never.flags[0].fix);
}

#[test]
fn capacity_is_days_times_share_times_tons() {
    let ready = at(&ONE, 40.0, Some(0.5));
    assert_eq!(capacity(&ready, date(2027, 3, 1), date(2027, 3, 10)), Some(200.0));
    assert_eq!(capacity(&ready, date(2027, 3, 10), date(2027, 3, 1)), Some(0.0));
    let without = made(&farm(&["F1"], ""));
    assert_eq!(capacity(&without.ready, date(2027, 3, 1), date(2027, 3, 10)), None);
    assert!(days(without.plan(), &without.ready, date(2027, 3, 1), &[]).is_none());
}

/// The days counted on, by hand: of 10 days at one half, drawn by themselves, 4 or more come with 82.8 %
/// and 5 or more with 62.3 % (binomial); 3 or more with 94.5 %.
#[test]
fn fewer_days_are_counted_on_the_surer_a_job_must_be() {
    let (first, last) = (date(2027, 3, 1), date(2027, 3, 10));
    let mut ready = at(&ONE, 40.0, Some(0.5));
    let mut by = |chance: f64, stays: f64| {
        let pace = ready.work.pace.as_mut().unwrap();
        pace.in_time = chance;
        pace.spells = vec![None; 12];
        if stays > 0.0 {
            let origin = sward::findings::Origin::Measured;
            pace.spells = vec![Some(sward::check::Spell { stays, wet_after_wet: stays, origin }); 12];
        }
        sure_capacity(&ready, first, &[first, last]).unwrap()
    };
    for (chance, days) in [(0.5, 5.0), (0.62, 5.0), (0.63, 4.0), (0.8, 4.0), (0.83, 3.0), (0.94, 3.0), (0.95, 2.0)] {
        assert_eq!(by(chance, 0.0)[1], days * 40.0, "{chance}");
    }
    // The first day alone is fit with one half.
    assert_eq!((by(0.5, 0.0)[0], by(0.51, 0.0)[0]), (40.0, 0.0));
    // Where every day is as the day before, all ten are fit with one half, else none.
    assert_eq!((by(0.5, 1.0)[1], by(0.51, 1.0)[1]), (400.0, 0.0));
    // Wet spells make fewer days sure.
    assert!(by(0.8, 0.7)[1] < by(0.8, 0.0)[1]);
    assert!(said_codes("days: {tons_per_day: 9 tons, fit: 40 %, in_time: 0 %}\n", "out-of-range"));
}

/// What holds of any calendar.
fn sound(got: &Days) {
    for row in &got.rows {
        let done: Pounds = row.by_day.iter().map(|p| p.pounds).sum();
        assert_eq!(done + row.unfit, row.pounds, "{}", row.field);
        assert!(row.by_day.iter().all(|p| p.pounds.0 > 0 && (row.first..=row.last).contains(&p.date)));
        assert!(row.by_day.is_sorted_by(|a, b| a.date < b.date));
        for day in row.chance.half.into_iter().chain(row.chance.four_in_five) {
            assert!((row.first..=row.last).contains(&day), "{} on {day}", row.field);
        }
        assert!(row.chance.half <= row.chance.four_in_five || row.chance.four_in_five.is_none());
        assert!(row.unfit.0 == 0 || got.flags.iter().any(|f| f.kind == FlagKind::Unfit && f.about == row.field));
    }
    for share in &got.shares {
        assert!((0.0..=1.0).contains(&share.share));
    }
}

/// A date that is never earlier than another; none is the latest.
fn not_later(a: Option<Date>, b: Option<Date>) -> bool {
    a.unwrap_or(Date::MAX) <= b.unwrap_or(Date::MAX)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn more_tons_a_day_are_never_later(tons in 2.0..80.0f64, more in 1.0..3.0f64, start in 0i64..60) {
        let from = after(start);
        let (slow, fast) = (at(&DEMO, tons, None), at(&DEMO, tons * more, None));
        let slow = days(DEMO.plan(), &slow, from, &[]).unwrap();
        let fast = days(DEMO.plan(), &fast, from, &[]).unwrap();
        sound(&slow);
        sound(&fast);
        let planned: Pounds = DEMO.plan().lots.iter().map(|l| l.planned).sum();
        prop_assert_eq!(slow.rows.iter().map(|r| r.pounds).sum::<Pounds>(), planned);
        for (a, b) in fast.rows.iter().zip(&slow.rows) {
            prop_assert_eq!((&a.field, a.first), (&b.field, b.first));
            prop_assert!(a.unfit <= b.unfit);
            prop_assert!(a.unfit.0 > 0 || b.unfit.0 > 0 || a.ends <= b.ends);
            prop_assert!(not_later(a.chance.half, b.chance.half));
            prop_assert!(not_later(a.chance.four_in_five, b.chance.four_in_five));
            prop_assert!(a.chance.inside >= b.chance.inside);
        }
        prop_assert!(fast.all.inside >= slow.all.inside);
    }

    #[test]
    fn a_day_lost_is_never_earlier(tons in 5.0..80.0f64, at_day in 0i64..200, lost in 0u16..20) {
        let ready = at(&DEMO, tons, None);
        let dry = calculated(&DEMO, &ready, &[]);
        let wet = calculated(&DEMO, &ready, &[Lost { date: after(at_day), days: lost }]);
        sound(&wet);
        for (a, b) in dry.rows.iter().zip(&wet.rows) {
            prop_assert!(a.unfit <= b.unfit);
            prop_assert!(not_later(a.chance.half, b.chance.half));
        }
    }
}

#[test]
fn the_order_of_the_file_does_not_matter() {
    // Where a warning stands in the file is of its order.
    let told = |mut days: Days| {
        days.warnings.clear();
        sward::write::days_json(&days)
    };
    let json = |made: &Made| told(calculated(made, &made.ready, &[]));
    let block = block(9.0, "{february: 30 %, march: 40 %}");
    let (one, other) = (made(&farm(&["F1", "F2", "F3"], &block)), made(&farm(&["F3", "F1", "F2"], &block)));
    let (one, other) = (json(&one), json(&other));
    assert_eq!(one, other);
    let mut plan = DEMO.plan().clone();
    let straight = told(days(&plan, &DEMO.ready, plan.from, &[]).unwrap());
    plan.fields.reverse();
    plan.lots.reverse();
    let reversed = told(days(&plan, &DEMO.ready, plan.from, &[]).unwrap());
    assert_eq!(straight, reversed);
    assert_eq!(straight, json(&DEMO), "the same twice");
}

/// Never 100 % of what can fail, nor 0 % of what can happen.
#[test]
fn a_chance_is_rounded_to_no_certainty() {
    let sure = calculated(&DEMO, &DEMO.ready, &[]);
    for (inside, shown) in [(0.9999, "over 99 %"), (0.0001, "under 1 %"), (1.0, "over 99 %"), (0.0, "under 1 %")] {
        let mut days = sure.clone();
        days.all.inside = inside;
        days.rows.iter_mut().for_each(|row| row.chance.inside = inside);
        days.seasons.iter_mut().for_each(|season| season.chance.inside = inside);
        let text = sward::write::days(&days, 80);
        let other = ["over 99 %", "under 1 %", " 100 %", " 0 %"].into_iter().filter(|other| *other != shown);
        assert!(text.contains(shown), "{inside}: {text}");
        assert!(other.into_iter().all(|other| !text.contains(other)), "{inside}: {text}");
    }
}

#[test]
fn the_window_that_closes_first_comes_first() {
    let got = calculated(&DEMO, &DEMO.ready, &[]);
    assert!(got.rows.is_sorted_by(|a, b| (a.last, a.first) <= (b.last, b.first)));
    // The dam pasture must be clear three weeks before the steers.
    assert_eq!(got.rows[0].field, "R1");
}

#[test]
fn a_pile_outside_is_held_against_its_last_day() {
    let outside = |since: &str, tons: f64| {
        let text = farm(&["F1"], &block(tons, "100 %"));
        let lies = format!("stored: outside uncovered\n    since: {since}");
        let main = instead(text.main.as_ref().unwrap(), "stored: shed\n    since: 2027-01-01", &lies);
        let made = made(&FarmText { main: Some(main), ..text });
        let got = calculated(&made, &made.ready, &[]);
        let last = made.ready.lots[0].uncovered_until.as_ref().unwrap().last;
        (got, last, made)
    };
    let (got, last, made) = outside("2027-02-10", 1.0);
    let flag = got.flags.iter().find(|f| f.kind == FlagKind::Pile).unwrap();
    assert_eq!(flag.by, Some(last));
    assert!(flag.fix.contains(&last.to_string()) && flag.found.contains("are still there"), "{}", flag.found);
    // One ton a day from February 15 on: what is left on the last day.
    let gone = f64::from((last - after(0)).get_days() + 1);
    let there = made.plan().lots[0].on_hand.tons() - gone;
    assert!(flag.found.contains(&format!("{there:.1} tons are still there")), "{}", flag.found);
    // Under a cover nothing is flagged.
    assert!(calculated(&ONE, &at(&ONE, 1.0, Some(1.0)), &[]).flags.iter().all(|f| f.kind != FlagKind::Pile));
}

#[test]
fn a_storage_is_full_on_a_day() {
    let stored = |room: &str, house: &str| {
        let more = format!(
            "{}storage: [{{name: litter shed, room: {room}, lots: [shed]}}]\nhouses:\n  - {house}\n",
            block(10.0, "100 %")
        );
        let text = farm(&["F1"], &more);
        // Made on its first day.
        let main = instead(text.main.as_ref().unwrap(), "to: 2027-03-31}", "to: 2027-03-31, as_of: 2027-02-15}");
        let made = made(&FarmText { main: Some(main), ..text });
        let got = calculated(&made, &made.ready, &[]);
        got.flags.into_iter().find(|f| f.kind == FlagKind::Storage)
    };
    let clean_out = "{name: \"1\", clean_outs: [{date: 2027-02-17, tons: 60 tons, lot: shed}]}";
    // 400 tons, 30 of them gone by the evening of the 17th, on which 60 come in.
    let flag = stored("429 tons", clean_out).unwrap();
    assert_eq!(flag.by, Some(date(2027, 2, 17)));
    assert!(
        flag.found.contains("30.0 tons are spread by then (F1); 1.0 tons more of shed must leave"),
        "{}",
        flag.found
    );
    assert!(stored("430 tons", clean_out).is_none());
    let first = stored("389 tons", clean_out).unwrap();
    assert!(
        first.by == Some(date(2027, 2, 15)) && first.found.contains("10.0 tons are spread by then"),
        "{}",
        first.found
    );
    // 3,650 tons a year are 10 a day; as many go out, so it stays at 390 until
    // the field is done, and is over 400 two days later.
    let planned = ONE.plan().lots[0].planned.tons();
    let flag = stored("400 tons", "{name: \"1\", made: 3650 tons, lot: shed}").unwrap();
    assert_eq!(flag.by, Some(after((planned / 10.0).floor() as i64 + 1)));
    // Twice that gains 10 a day: 420 on the evening of the fourth day.
    let flag = stored("415 tons", "{name: \"1\", made: 7300 tons, lot: shed}").unwrap();
    assert_eq!(flag.by, Some(date(2027, 2, 18)));
}

#[test]
fn litter_made_comes_from_the_grower_before_the_tables() {
    let a_year = |house: &str| {
        let made = made(&farm(&["F1"], &format!("houses:\n  - {house}\n")));
        made.ready.work.houses[0].a_year.as_ref().map(|m| m.tons)
    };
    let base = "name: \"1\", number: 1, birds: 24000, flocks: 5.5";
    assert_eq!(a_year(&format!("{{{base}, tons_per_1000: 1 ton}}")), Some(132.0));
    assert_eq!(a_year(&format!("{{{base}, tons_per_1000: 1 ton, made: 120 tons}}")), Some(120.0));
    // 1.25 and 0.4 tons for 1,000 birds, as the extension sheet prints them.
    assert!((a_year(&format!("{{{base}, kind: broiler litter}}")).unwrap() - 165.0).abs() < 1e-9);
    assert!((a_year(&format!("{{{base}, kind: broiler cake}}")).unwrap() - 52.8).abs() < 1e-9);
    assert_eq!(a_year("{name: \"1\"}"), None);
}

/// What the reading and the checks say of a farm with more text.
fn said(more: &str) -> Vec<(String, Severity, String)> {
    demo::told(&farm(&["F1"], more))
        .sorted()
        .into_iter()
        .map(|f| (f.code.to_string(), f.severity, f.found.clone()))
        .collect()
}

#[test]
fn wrong_input_is_named() {
    for (text, code) in [
        ("days: 90 tons\n", "not-a-block"),
        ("days: {fit: 40 %}\n", "key-missing"),
        ("days: {tons_per_day: 90, fit: 40 %}\n", "unit-missing"),
        ("days: {tons_per_day: 0 tons, fit: 40 %}\n", "days-tons"),
        ("days: {tons_per_day: -3 tons, fit: 40 %}\n", "out-of-range"),
        ("days: {tons_per_day: nan tons, fit: 40 %}\n", "not-a-number"),
        ("days: {tons_per_day: 90 acres, fit: 40 %}\n", "unit-unknown"),
        ("days: {tons_per_day: 90 tons}\n", "fit-missing"),
        ("days: {tons_per_day: 90 tons, fit: {march: 40 %}}\n", "fit-missing"),
        ("days: {tons_per_day: 90 tons, fit: 140 %}\n", "out-of-range"),
        ("days: {tons_per_day: 90 tons, fit: [40 %]}\n", "not-text-value"),
        ("days: {tons_per_day: 90 tons, fit: {febuary: 40 %}}\n", "month-unknown"),
        ("days: {tons_per_day: 90 tons, fit: 40 %, speed: 15 mph}\n", "days-haul"),
        (
            "days: {tons_per_day: 9 tons, fit: 4 %, speed: 15 mph, loading: 0 minutes, emptying: 0 minutes}\n",
            "days-load",
        ),
        (
            "days: {tons_per_day: 9 tons, fit: 4 %, speed: 0 mph, loading: 9 minutes, emptying: 9 minutes}\n",
            "out-of-range",
        ),
        ("days: {tons_per_day: 90 tons, fit: 40 %, not_on: [sonday]}\n", "weekday-unknown"),
        ("days: {tons_per_day: 90 tons, fit: 40 %, not_on: sunday}\n", "not-a-list"),
        (
            "days: {tons_per_day: 90 tons, fit: 40 %, not_on: [monday, tuesday, wednesday, thursday, friday, saturday, sunday]}\n",
            "days-none",
        ),
        ("days: {tons_per_day: 90 tons, fit: 40 %, spreaders: 2}\n", "key-unknown"),
        ("storage: [{name: s, room: 100 tons}]\n", "storage-lots"),
        ("storage: [{name: s, room: 100 tons, lots: [shad]}]\n", "id-unknown"),
        ("storage: [{name: s, room: 100 tons, lots: [[shed]]}]\n", "not-text-value"),
        (
            "storage: [{name: s, room: 1 ton, lots: [shed]}, {name: t, room: 1 ton, lots: [shed]}]\n",
            "storage-lot-twice",
        ),
        ("storage: [{name: s, room: 1 ton, lots: [shed]}, {name: s, room: 1 ton, lots: [shed]}]\n", "id-twice"),
        ("storage: [{name: s, room: 100 cows, lots: [shed]}]\n", "unit-unknown"),
        ("houses: [{name: a, number: 1, birds: many}]\n", "whole-number"),
        ("houses: [{name: a, number: 1, birds: 24000, flocks: 0}]\n", "plain-number"),
        ("houses: [{name: a, number: 1, birds: 24000}]\n", "house-litter"),
        ("houses: [{name: a, number: 1, birds: 24000, flocks: 5, kind: ostrich litter}]\n", "house-litter"),
        ("houses: [{name: a, lot: shed}]\n", "house-litter"),
        ("houses: [{name: a, made: 10 tons, lot: nowhere}]\n", "id-unknown"),
        ("houses: [{name: a, clean_outs: [{date: 2027-13-01, tons: 1 ton, lot: shed}]}]\n", "date"),
        ("houses: [{name: a, clean_outs: [{date: 2027-03-01, lot: shed}]}]\n", "clean-out-tons"),
        ("houses: [{name: a, cake_outs: [{date: 2027-03-01, lot: shed}]}]\n", "clean-out-tons"),
        ("houses: [{name: a, clean_outs: [{date: 2027-03-01, tons: 1 ton}]}]\n", "key-missing"),
        ("brought: [{date: 2027-03-01, lot: shad, tons: 1 ton}]\n", "id-unknown"),
        ("brought: [{date: 2027-03-01, lot: shed, tons: 0 tons}]\n", "zero"),
        ("brought: [{date: 2027-03-01, lot: shed, tons: 1 ton, price: 3 cows}]\n", "unit-unknown"),
        ("outlets: [{name: a, price: 3 $/ton, lots: [shad]}]\n", "id-unknown"),
        ("outlets: [{name: a, price: 3 $/ton, most: much}]\n", "not-a-number"),
        ("outlets: [{name: a, price: 3 $/ton, from: 2027-05-01, to: 2027-04-01}]\n", "outlet-days"),
        ("outlets: [{name: a, price: 3 $/ton}, {name: a, price: 4 $/ton}]\n", "id-twice"),
        (
            "houses: [{name: a, made: 1 ton, lot: shed, clean_outs: [{date: 2027-03-01, tons: 1 ton, lot: shed}]}]\n",
            "house-both",
        ),
    ] {
        let said = said(text);
        assert!(said.iter().any(|(c, s, _)| *c == code && *s == Severity::Error), "{text}: no {code} in {said:?}");
    }
    let past = said("houses: [{name: a, clean_outs: [{date: 2026-12-31, tons: 1 ton, lot: shed}]}]\n");
    assert!(past.iter().any(|(c, s, _)| *c == "coming-counted" && *s == Severity::Note), "{past:?}");
}

/// Only the months of the plan are asked for, and each by name.
#[test]
fn a_month_without_a_share_is_named() {
    let said = said("days: {tons_per_day: 90 tons}\n");
    let (_, _, found) = said.iter().find(|(c, ..)| *c == "fit-missing").unwrap();
    assert!(found.contains("february") && !found.contains("march") && !found.contains("april"), "{found}");
}

#[test]
fn rain_in_the_log_moves_the_rest() {
    let mut made = made(&demo::texts());
    let dry = days(made.plan(), &made.ready, made.plan().from, &sward::plan::days::lost(&made.ready)).unwrap();
    let log = "date,what,inches,days\n2027-02-20,rain,,10\n2027-03-05,rain,0.4,\n";
    let (happened, found) = sward::record::read_text(log);
    assert!(!found.has_errors(), "{:?}", found.sorted());
    made.ready.happened = happened;
    let lost = sward::plan::days::lost(&made.ready);
    assert_eq!(lost, [Lost { date: date(2027, 2, 20), days: 10 }, Lost { date: date(2027, 3, 5), days: 1 }]);
    let wet = days(made.plan(), &made.ready, made.plan().from, &lost).unwrap();
    let ends = |days: &Days, id: &str| days.rows.iter().filter(|r| r.field == id).filter_map(|r| r.ends).min();
    let later = |id: &&str| ends(&wet, id) > ends(&dry, id);
    let fields = ["B1", "B2", "N2", "R1", "R2", "J1"];
    assert!(fields.iter().all(|id| ends(&wet, id) >= ends(&dry, id)) && fields.iter().any(later));
    assert!(wet.rows.iter().flat_map(|r| &r.by_day).all(|piece| !lost.iter().any(|l| {
        let gone = (piece.date - l.date).get_days();
        gone >= 0 && gone < i32::from(l.days)
    })));
}

/// Chance that so many days of a window are fit, by powers of the matrix of a chain of
/// two states beside the count: a day that is not fit is followed by one that is not
/// with the chance that the grower gives.
fn in_the_chain(needed: usize, days: usize, fit: f64, wet_after_wet: f64) -> f64 {
    let wet = 1.0 - fit;
    // So that the share of wet days is kept from day to day.
    let wet_after_fit = wet * (1.0 - wet_after_wet) / fit;
    let states = 2 * (needed + 1);
    let mut matrix = vec![vec![0.0; states]; states];
    for count in 0..=needed {
        let more = (count + 1).min(needed);
        for (from, to_wet) in [(2 * count, wet_after_wet), (2 * count + 1, wet_after_fit)] {
            matrix[from][2 * count] += to_wet;
            matrix[from][2 * more + 1] += 1.0 - to_wet;
        }
    }
    let times = |a: &[Vec<f64>], b: &[Vec<f64>]| -> Vec<Vec<f64>> {
        let cell = |row: &Vec<f64>, to: usize| (0..states).map(|k| row[k] * b[k][to]).sum();
        a.iter().map(|row| (0..states).map(|to| cell(row, to)).collect()).collect()
    };
    let mut power = matrix.clone();
    for _ in 2..days {
        power = times(&power, &matrix);
    }
    let done = |start: usize| power[start][2 * needed] + power[start][2 * needed + 1];
    wet * done(0) + fit * done(2 * 1.min(needed) + 1)
}

#[test]
fn wet_spells_by_the_growers_own_count() {
    // By hand: two days, both fit: 0.5 x 0.7.
    assert!((in_the_chain(2, 2, 0.5, 0.7) - 0.35).abs() < 1e-12);
    let error = 4.0 * 0.5 / f64::from(RUNS).sqrt();
    for (work, fit, wet) in [(14.0, 50, 70), (17.0, 50, 90), (3.0, 20, 85)] {
        let days_block = format!("days: {{tons_per_day: 1 ton, fit: {fit} %, wet_after_wet: {wet} %}}\n");
        let own = made(&farm(&["F1"], &days_block));
        let tons = ONE.plan().fields[0].applications[0].pounds.tons();
        let got = calculated(&ONE, &at_pace(&own, tons / work), &[]);
        let exact = in_the_chain(work as usize, 45, f64::from(fit) / 100.0, f64::from(wet) / 100.0);
        let inside = got.rows[0].chance.inside;
        assert!((inside - exact).abs() < error, "{work} at {fit} %, {wet} %: {inside} for {exact}");
        let text = sward::write::days(&got, 80);
        let said = text.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(said.contains(&format!("March {wet} %")) && !said.contains("independently"), "{text}");
    }
}

/// A farm's own days at another pace.
fn at_pace(made: &Made, tons_per_day: f64) -> Ready {
    let mut ready = made.ready.clone();
    ready.work.pace.as_mut().unwrap().tons_per_day = tons_per_day;
    ready
}

/// A place's figure is taken where the grower gives none; where neither says, the page
/// says that days are drawn independently.
#[test]
fn spells_come_from_the_place_or_are_said_to_be_left_out() {
    let text = farm(&["F1"], &block(10.0, "{february: 40 %, march: 50 %}"));
    let with = made(&text);
    let got = calculated(&with, &with.ready, &[]);
    let march = got.shares.iter().find(|s| s.month == "march").unwrap().spell.clone().unwrap();
    // us-nc: rain after rain 0.45, after a dry day 0.27; half the days are not fit.
    assert!((march.stays - 0.18).abs() < 1e-9 && (march.wet_after_wet - (0.5 + 0.18 * 0.5)).abs() < 1e-9, "{march:?}");
    let mut without = with.ready.clone();
    without.work.pace.as_mut().unwrap().spells.clear();
    let page = sward::write::days(&calculated(&with, &without, &[]), 80);
    let said = page.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.contains("drawn independently"), "{page}");
    assert!(!page.contains("100 %"), "{page}");
}

#[test]
fn a_spell_shorter_than_chance_is_told() {
    let said = said("days: {tons_per_day: 9 tons, fit: 40 %, wet_after_wet: 50 %}\n");
    let (_, severity, found) = said.iter().find(|(c, ..)| c == "wet-after-wet").unwrap();
    assert!(*severity == Severity::Warning && found.contains("60 % of february, 60 % of march"), "{found}");
    assert!(said_codes("days: {tons_per_day: 9 tons, fit: 40 %, wet_after_wet: {febuary: 70 %}}\n", "month-unknown"));
    assert!(said_codes("days: {tons_per_day: 9 tons, fit: 40 %, wet_after_wet: 170 %}\n", "out-of-range"));
}

fn said_codes(more: &str, code: &str) -> bool {
    said(more).iter().any(|(c, ..)| c == code)
}

/// A wet week in the log takes its days from the choice as from the calendar.
#[test]
fn rain_in_the_log_takes_days_from_the_choice() {
    let ready = at(&ONE, 40.0, Some(0.5));
    let mut wet = ready.clone();
    wet.happened = sward::record::read_text("date,what,inches,days\n2027-03-03,rain,,4\n").0;
    assert_eq!(capacity(&ready, date(2027, 3, 1), date(2027, 3, 10)), Some(200.0));
    assert_eq!(capacity(&wet, date(2027, 3, 1), date(2027, 3, 10)), Some(120.0));
}
