//! How sure the rates are: bands that are held to sums of variances worked out apart, and what must
//! hold of them whatever the farm.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Dice, Farm, NC, PLACES, flat, made, some_farm, sward};
use serde_json::{Value, json};
use sward::pipeline::Planned;
use sward::plan;
use sward::plan::answer::{Band, FieldSure, LotSure, SpreadFrom, Sure};

/// z of 0.90.
const Z: f64 = 1.2816;

fn sure_of(made: &Planned) -> Sure {
    plan::how_sure(&made.ready, &made.tables, &made.balance, made.audited.plan(), None).unwrap()
}

fn sure(farm: &Farm) -> Sure {
    sure_of(&made(farm))
}

fn field<'a>(sure: &'a Sure, id: &str) -> &'a FieldSure {
    sure.fields.iter().find(|field| field.id == id).unwrap()
}

fn lot<'a>(sure: &'a Sure, id: &str) -> &'a LotSure {
    sure.lots.iter().find(|lot| lot.id == id).unwrap_or_else(|| panic!("{id} is spread"))
}

/// A scatter laid over the tables.
fn spread(farm: Farm, id: &str, applies: &str, percent: f64) -> Farm {
    let topic = id.split('.').next().unwrap();
    farm.figure_in(
        "us",
        format!(
            "{id}:\n  topic: {topic}\n  what: \"a scatter of the test's own\"\n  unit: \"%\"\n  applies: {applies}\n  \
             from:\n    1990-01-01:\n      value: {percent}\n      source: trade\n      at: \"no source\"\n      \
             known: common practice\n  seen: 2026-11-29\n"
        ),
    )
}

/// All scatters, of contents, yields, rate and spot.
fn scattering(mut farm: Farm, [contents, yields, rate, spot]: [f64; 4]) -> Farm {
    for nutrient in ["total_n", "ammonium_n", "p2o5", "k2o"] {
        farm = spread(farm, &format!("sample_spread.{nutrient}"), &format!("{{nutrient: {nutrient}}}"), contents);
    }
    farm = spread(farm, "yield_spread.tall_fescue", "{forage: tall_fescue}", yields);
    farm = spread(farm, "rate_spread", "{}", rate);
    spread(farm, "placement_spread", "{}", spot)
}

fn width(band: Band) -> f64 {
    band.high - band.low
}

/// Holds a band to a mean and a standard deviation; `slack` in standard deviations.
fn held(band: Band, mean: f64, sd: f64, slack: f64) {
    for (end, wanted) in [(band.low, mean - Z * sd), (band.high, mean + Z * sd)] {
        assert!((end - wanted).abs() <= slack * sd + 1e-9, "{band:?}: {end} for {wanted}, {sd}");
    }
}

/// A farm of one field whose litter falls short of its need: what goes on is rate times content.
fn short_farm() -> Farm {
    short_farm_in(&NC)
}

fn short_farm_in(place: &'static kit::Place) -> Farm {
    Farm::new(place).with("litter.heap.on_hand", "16 tons").with("spreader.most", "2 tons/ac")
}

/// Available nitrogen of a ton and the shares behind it, by the printed steps.
fn steps(made: &Planned) -> impl Fn(&str) -> Option<f64> {
    let notes = made.balance.fields[0].notes.clone();
    move |what: &str| {
        let step = notes.steps().iter().find(|step| step.what.starts_with(what))?;
        serde_json::to_value(&step.value).unwrap().as_f64()
    }
}

#[test]
fn bands_are_the_sums_of_variances() {
    let (mut limits, mut near) = (0, 0);
    for place in PLACES {
        for [contents, yields, rate, spot] in [
            [8.0, 20.0, 5.0, 28.0],
            [19.0, 0.0, 0.0, 0.0],
            [0.0, 0.0, 5.0, 0.0],
            [0.0, 29.0, 0.0, 0.0],
            [5.0, 9.0, 9.0, 15.0],
        ] {
            // Some needs are so small that the litter comes near them, by as much as the rate's step.
            for goal in ["4 tons/ac", "0.95 tons/ac", "0.8 tons/ac"] {
                let farm = short_farm_in(place).with("fields.A.yield_goal", goal);
                let made = made(&scattering(farm, [contents, yields, rate, spot]));
                let sure = sure_of(&made);
                let year = &field(&sure, "A").years[0];
                let on = year.on_the_field.planned;
                assert!(on > 5.0, "{}: {year:?}", place.key);
                // By pools, organic and ammonium nitrogen scatter each by its own; else all by the total.
                let step = steps(&made);
                let [c, y, r, s] = [contents, yields, rate, spot].map(|percent| percent / 100.0);
                let by_share = step("share of total N available this year");
                let content = match (by_share, step("share of organic N released"), step("share of ammonium N kept")) {
                    (None, Some(released), Some(kept)) => {
                        let [total, ammonium]: [f64; 2] = [20.0, 4.0];
                        let available = (total - ammonium) * released + ammonium * kept;
                        let variance = (released * total * c).powi(2) + ((kept - released) * ammonium * c).powi(2);
                        variance.sqrt() / available
                    }
                    _ => c,
                };
                let product = |of: &[f64]| (of.iter().map(|cv| 1.0 + cv * cv).product::<f64>() - 1.0).sqrt();
                // The error of a tenth of 4,000 draws is 0.027 standard deviations; a product leans a little.
                held(year.on_the_field, on, on * product(&[content, r]), 0.06);
                held(year.on_a_spot, on, on * product(&[content, r, s]), 0.12);
                let need = year.needed.planned;
                held(year.needed, need, need * y, 0.01);
                let both = ((on * product(&[content, r])).powi(2) + (need * y).powi(2)).sqrt();
                held(year.over, on - need, both, 0.06);
                // So does the chance to be short by over 20.
                let short = if both > 0.0 { below((need - on - 20.0) / both) } else { f64::from(need - on > 20.0) };
                assert!((year.short - short).abs() < 0.02, "{}: {} for {short}", place.key, year.short);
                for limit in &field(&sure, "A").limits {
                    let of = if limit.unit == "tons/ac" {
                        0.0
                    } else if limit.counts == "available N" {
                        content
                    } else {
                        c
                    };
                    let (put, sd) = (limit.put_on.planned, limit.put_on.planned * product(&[of, r]));
                    let over = if sd > 0.0 { below((put - limit.allowed) / sd) } else { 0.0 };
                    assert!((limit.over - over).abs() < 0.02, "{}: {limit:?} for {over}", place.key);
                    held(limit.put_on, put, sd, 0.06);
                    limits += 1;
                    near += usize::from((0.02..0.48).contains(&over));
                }
            }
        }
    }
    assert!(limits >= 20 && near >= 4, "{limits} {near}");
}

fn height(x: f64) -> f64 {
    (-x * x / 2.0).exp() / (2.0 * std::f64::consts::PI).sqrt()
}

/// The share of the bell curve below x, by Simpson's rule.
fn below(x: f64) -> f64 {
    let (steps, x) = (2_000, x.clamp(-9.0, 9.0));
    let h = x / f64::from(steps);
    let inner = |n: i32| f64::from(if n % 2 == 0 { 2 } else { 4 }) * height(h * f64::from(n));
    0.5 + h / 3.0 * (height(0.0) + height(x) + (1..steps).map(inner).sum::<f64>())
}

/// The mean of |x| where x lies around d by s, in closed form.
fn mean_off(d: f64, s: f64) -> f64 {
    s * (2.0 * height(d / s) + 2.0 * (d / s) * (below(d / s) - 0.5))
}

#[test]
fn a_sample_more_is_worth_what_the_mean_off_the_need_falls_by() {
    assert!((mean_off(0.0, 1.0) - 0.797_885).abs() < 1e-5 && (mean_off(3.0, 0.5) - 3.0).abs() < 1e-6);
    // Without shop: a pound short and one over both cost the written price.
    // Two seasons, so that what goes on comes near the need.
    let farm = scattering(Farm::new(&NC), [30.0, 0.0, 0.0, 0.0]).with("fields.A.yield_goal", "2 tons/ac");
    let farm = farm.with("plan.to", "2027-10-31").with("litter.heap.analysis.total_n", "40 lb/ton");
    let made = made(&farm);
    let sure = sure_of(&made);
    let (year, heap) = (&field(&sure, "A").years[0], lot(&sure, "heap"));
    let sd = (year.on_the_field.high - year.on_the_field.low) / (2.0 * Z);
    let d = year.on_the_field.planned - year.needed.planned;
    let acres = made.audited.plan().fields[0].acres;
    let [now, with] = [sd, sd / 2.0_f64.sqrt()].map(|sd| 0.80 * acres * mean_off(d, sd));
    assert!(sd > 1.0 && d.abs() < 2.0 * sd, "{d} {sd}");
    assert!((heap.costs - now).abs() < 0.02 * now, "{} for {now}", heap.costs);
    assert!((heap.costs_with_one_more - with).abs() < 0.02 * with, "{} for {with}", heap.costs_with_one_more);
    assert!((heap.one_more - (heap.costs - heap.costs_with_one_more)).abs() < 1e-9 && heap.one_more > 1.0);
    for own in &heap.contents {
        assert!((own.with_one_more - own.now / 2.0_f64.sqrt()).abs() < 1e-9, "{own:?}");
    }
    // Without prices in pounds of nitrogen.
    let pounds = self::sure(&farm.with("prices", Value::Null));
    assert!(!pounds.in_dollars && lot(&pounds, "heap").costs > 0.0);
}

#[test]
fn what_does_not_scatter_has_no_band_and_is_never_over_a_limit() {
    for place in PLACES {
        let farm = scattering(Farm::new(place).field("B").with("fields.B.most", "1 ton/ac"), [0.0; 4]);
        let sure = sure(&farm);
        assert!(sure.lots.iter().all(|lot| lot.one_more == 0.0));
        for field in &sure.fields {
            for year in &field.years {
                for band in [year.on_the_field, year.on_a_spot, year.needed, year.over] {
                    let end = band.planned;
                    assert!(width(band) == 0.0 && (band.low - end).abs() < 1e-6, "{}: {year:?}", place.key);
                }
                assert!(year.short == 0.0 || year.over.planned < -20.0, "{year:?}");
            }
            assert!(field.limits.iter().all(|limit| limit.over == 0.0), "{}: {:?}", place.key, field.limits);
        }
        // A limit that is used to the last hundredth, though.
        let used = field(&sure, "B").limits.iter().any(|limit| limit.put_on.planned == limit.allowed);
        assert!(used, "{}: {:?}", place.key, field(&sure, "B").limits);
    }
}

#[test]
fn a_limit_that_is_used_up_is_passed_half_of_the_time() {
    let farm = scattering(Farm::new(&NC).with("fields.A.most", "1 ton/ac"), [8.0, 20.0, 5.0, 28.0]);
    let sure = sure(&farm);
    let own = field(&sure, "A").limits.iter().find(|limit| limit.unit == "tons/ac" && limit.allowed == 1.0).unwrap();
    assert!((own.over - 0.5).abs() < 1e-3, "{own:?}");
    // Of the others, by the bell curve: allowed lies so many standard deviations above.
    let n = field(&sure, "A").limits.iter().find(|limit| limit.counts.contains('N')).unwrap();
    assert!(n.over <= 0.5 && n.put_on.planned < n.allowed, "{n:?}");
    let at = field(&sure, "A").most_at_risk.unwrap();
    assert!(field(&sure, "A").limits.iter().all(|limit| limit.over <= field(&sure, "A").limits[at].over));
}

#[test]
fn more_scatter_never_narrows_a_band() {
    let widths = |scatter: [f64; 4]| -> Vec<f64> {
        let sure = sure(&scattering(short_farm(), scatter));
        let year = &field(&sure, "A").years[0];
        [year.on_the_field, year.on_a_spot, year.needed, year.over].map(width).to_vec()
    };
    let base = [5.0, 10.0, 3.0, 15.0];
    for which in 0..4 {
        let mut before = widths([0.0; 4]);
        for times in [0.0, 0.5, 1.0, 1.5, 2.0] {
            let mut scatter = base;
            scatter[which] *= times;
            let now = widths(scatter);
            // Two factors go together by the luck of their orders, by some hundredths.
            let grows = now.iter().zip(&before).all(|(now, before)| *now >= *before * 0.99 - 1e-9);
            // One alone does so strictly.
            let alone = [now[0] >= before[0] - 1e-9 || which == 2, now[2] >= before[2] - 1e-9];
            assert!(alone == [true; 2] || times == 0.0, "{which} x {times}: {now:?} after {before:?}");
            assert!(grows || times == 0.0, "{which} x {times}: {now:?} after {before:?}");
            before = now;
        }
    }
}

fn sample(of: &str, n: f64) -> Value {
    json!({"lab": "a laboratory", "sampled": of, "basis": "as received", "moisture": "25 %",
        "total_n": format!("{n} lb/ton"), "ammonium_n": "4 lb/ton", "p2o5": "2 lb/ton", "k2o": "1 lb/ton",
        "sure": {"by": "a planner", "on": "2026-11-09"}})
}

#[test]
fn own_samples_come_before_the_tables_and_twice_as_many_make_it_surer() {
    let with = |samples: &[(&str, f64)]| {
        let list: Vec<Value> = samples.iter().map(|(day, n)| sample(day, *n)).collect();
        sure(&short_farm().with("litter.heap.analysis", json!(list)))
    };
    let n_of = |sure: &Sure| lot(sure, "heap").contents.iter().find(|own| own.spread.of == "total N").unwrap().clone();
    let one = with(&[("2027-01-20", 20.0)]);
    assert_eq!((n_of(&one).spread.from, lot(&one, "heap").samples), (SpreadFrom::Tables, 1));
    let two = with(&[("2027-01-19", 22.0), ("2027-01-20", 20.0)]);
    let four = with(&[("2027-01-17", 22.0), ("2027-01-18", 20.0), ("2027-01-19", 22.0), ("2027-01-20", 20.0)]);
    let (n, lb) = (n_of(&two), |sure: &Sure| field(sure, "A").years[0].on_the_field);
    assert_eq!((n.spread.from, n.spread.values), (SpreadFrom::Own, 2));
    // By hand: 22 and 20 lie 1.414 apart from 21, two values make that 3.078 / 1.282 as wide, and the
    // mean of both scatters by the root less; the plan counts with 20.
    let percent = 2.0_f64.sqrt() / 21.0 * 3.0777 / 1.281_55 * 100.0;
    assert!((n.spread.percent.unwrap() - percent).abs() < 0.01, "{n:?}");
    assert!((n.mean - 1.05).abs() < 1e-9 && (n.now - percent * 1.05 / 2.0_f64.sqrt()).abs() < 0.01, "{n:?}");
    assert!(n_of(&four).now < n.now && width(lb(&four)) <= width(lb(&two)));
    // The best guess is the mean of the samples, whatever the plan counts with.
    assert!(lb(&two).low + lb(&two).high > 2.0 * lb(&two).planned);
    // A sample of litter that lay there before tells nothing of this.
    let list = json!([sample("2026-10-01", 40.0), sample("2027-01-20", 20.0)]);
    let moved = short_farm().with("litter.heap.analysis", list).with("litter.heap.since", "2027-01-05");
    let moved = sure(&moved);
    assert_eq!((lot(&moved, "heap").samples, n_of(&moved).spread.from), (1, SpreadFrom::Tables));
}

#[test]
fn litter_without_an_analysis_is_known_as_far_as_farms_are_alike() {
    let sampled = sure(&short_farm());
    let typical = sure(&short_farm().with("litter.heap.analysis", Value::Null).with("plan.as_of", "2027-02-15"));
    let relative = |sure: &Sure| {
        let on = field(sure, "A").years[0].on_the_field;
        width(on) / on.planned
    };
    let heap = lot(&typical, "heap");
    assert_eq!((heap.samples, lot(&sampled, "heap").samples), (0, 1));
    assert!(relative(&typical) > 1.5 * relative(&sampled), "{} {}", relative(&typical), relative(&sampled));
    // The first sample of its own is worth most.
    let n = heap.contents.iter().find(|own| own.spread.of == "total N").unwrap();
    assert!((n.now - 19.0).abs() < 1e-9 && (n.with_one_more - 8.0).abs() < 1e-9, "{n:?}");
}

#[test]
fn own_yields_come_before_the_tables() {
    let years = [(2024, 3.0), (2025, 4.0), (2026, 5.0)];
    let years: Vec<Value> = years.map(|(y, t)| json!({"year": y, "tons": format!("{t} tons/ac")})).to_vec();
    let farm = short_farm().with("fields.A.yield_goal", Value::Null).with("fields.A.yields", json!(years));
    let sure = sure(&farm);
    let own = field(&sure, "A");
    // By hand: 3, 4 and 5 scatter by 1 in 4, and three values make that 1.886 / 1.282 as wide.
    let percent = 25.0 * 1.8856 / 1.281_55;
    assert_eq!((own.yields.from, own.yields.values), (SpreadFrom::Own, 3));
    assert!((own.yields.percent.unwrap() - percent).abs() < 0.01, "{:?}", own.yields);
    let needed = own.years[0].needed;
    held(needed, needed.planned, needed.planned * percent / 100.0, 0.01);
}

/// What the log shows scatters as its litter does; its tons are known.
#[test]
fn litter_of_the_log_scatters_as_its_lot() {
    let farm =
        short_farm().logged("2027-03-01", "spread", "heap", "A", "16").with("litter.heap.counted_on", "2027-02-15");
    let sure = sure(&scattering(farm, [8.0, 0.0, 5.0, 0.0]));
    let own = field(&sure, "A");
    let on = own.years[0].on_the_field;
    assert!(own.limits.is_empty() && on.planned > 5.0, "{own:?}");
    let relative = width(on) / on.planned / (2.0 * Z);
    // Total and ammonium nitrogen of a pool each move a part of it; together at most the whole.
    assert!(relative > 0.05 && relative < 0.0801, "{relative}");
    assert_eq!(lot(&sure, "heap").samples, 1);
}

/// Fertilizer is exact, and counts against every limit on what it holds.
#[test]
fn fertilizer_of_the_plan_counts_and_does_not_scatter() {
    let urea = json!([{"name": "urea", "analysis": "46-0-0", "price": "600 $/ton"}]);
    let farm = scattering(short_farm().with("fertilizer", urea).with("plan.to", "2027-10-31"), [8.0, 0.0, 5.0, 0.0]);
    let sure = sure(&farm);
    let (own, year) = (field(&sure, "A"), &field(&sure, "A").years[0]);
    assert!(year.fertilizer > 20.0, "{year:?}");
    let n = own.limits.iter().find(|limit| limit.counts == "available N").unwrap();
    assert!(
        (n.put_on.planned - year.on_the_field.planned).abs() < 1e-6 && n.put_on.planned <= n.allowed + 1e-6,
        "{n:?}"
    );
    let litter = year.on_the_field.planned - year.fertilizer;
    assert!(width(year.on_the_field) < 2.0 * Z * litter * 0.1, "{year:?}");
}

/// One lot is what it is wherever it goes; yields and passes differ by field.
#[test]
fn fields_share_the_draws_of_their_lot() {
    let farm = Farm::new(&NC).field("B").with("fields.A.most", "1 ton/ac").with("fields.B.most", "1 ton/ac");
    let alike = sure(&scattering(farm.clone(), [8.0, 0.0, 0.0, 0.0]));
    let years = |sure: &Sure, id: &str| field(sure, id).years[0].clone();
    assert_eq!(years(&alike, "A"), years(&alike, "B"));
    let apart = sure(&scattering(farm.clone(), [8.0, 20.0, 5.0, 0.0]));
    assert_ne!(years(&apart, "A").over, years(&apart, "B").over);
    // Another lot beside it moves nothing.
    let more = sure(&scattering(farm.lot("other"), [8.0, 20.0, 5.0, 0.0]));
    let spread_alone = |sure: &Sure| sure.lots.iter().map(|lot| lot.id.clone()).collect::<Vec<_>>();
    if spread_alone(&more) == ["heap"] {
        assert_eq!(years(&apart, "A"), years(&more, "A"));
    }
}

/// Whatever the farm, bands have their ends in order, chances are chances, and nothing is infinite.
#[test]
fn any_farm_has_sound_bands() {
    let mut bands = 0;
    for case in 0..25 {
        let mut dice = Dice::of_case(case);
        let mut farm = some_farm(&mut dice);
        let [a, b, c, d] = [0; 4].map(|_| [0.0, 3.0, 40.0, 100.0][dice.below(4)]);
        farm = scattering(farm, [a, b, c, d]);
        if dice.below(2) == 0 {
            farm = farm.logged("2027-02-20", "spread", "heap", "A", "9").with("plan.as_of", "2027-02-22");
        }
        // Virginia plans no litter whose ammonium nobody knows.
        if dice.below(3) == 0 && farm.place.key == NC.key {
            farm = farm.with("litter.cake.analysis", Value::Null);
        }
        if dice.below(4) == 0 {
            farm = farm
                .with("prices", Value::Null)
                .with("fertilizer", Value::Null)
                .with("fertilizer_spreading", Value::Null);
            farm = farm.with("fertilizer_least", Value::Null);
        }
        let sure = sure(&farm);
        let text = serde_json::to_string(&sure).unwrap();
        // What is no number is `null` in JSON; only those may be that are not known.
        let loose = text.replace("\"percent\":null", "").replace("\"most_at_risk\":null", "");
        let loose = loose.replace("\"note\":null", "");
        assert!(!loose.contains("null"), "case {case}: {loose}");
        for field in &sure.fields {
            for year in &field.years {
                for band in [year.on_the_field, year.on_a_spot, year.needed, year.over] {
                    assert!(band.low <= band.high, "case {case}: {band:?}");
                    bands += 1;
                }
                assert!(year.on_a_spot.low >= 0.0 && year.needed.low >= 0.0 && (0.0..=1.0).contains(&year.short));
            }
            assert!(
                field
                    .limits
                    .iter()
                    .all(|limit| (0.0..=1.0).contains(&limit.over) && limit.put_on.low <= limit.put_on.high),
                "case {case}: {:?}",
                field.limits
            );
        }
        for lot in &sure.lots {
            assert!(lot.contents.iter().all(|own| own.with_one_more <= own.now + 1e-12), "case {case}: {lot:?}");
        }
    }
    assert!(bands > 80, "{bands}");
}

#[test]
fn the_command_says_the_same_twice_and_knows_its_fields() {
    let folder = Farm::new(&NC).field("B").folder();
    let run = |args: &[&str]| sward(folder.path(), args);
    let first = run(&["sure", ".", "--json"]);
    assert_eq!((first.code, &first.out), (0, &run(&["sure", ".", "--json"]).out));
    let one: Value = serde_json::from_str(&run(&["sure", ".", "b", "--json"]).out).unwrap();
    let all: Value = serde_json::from_str(&first.out).unwrap();
    assert_eq!(one["fields"].as_array().unwrap().len(), 1);
    assert_eq!(one["fields"][0], all["fields"][1]);
    let none = run(&["sure", ".", "C"]);
    assert!(none.code == 2 && none.err.contains("no field is called `C`"), "{}", none.err);
    let page = flat(&run(&["sure", "."]).out);
    for said in ["AVAILABLE NITROGEN", "ONE MORE SAMPLE", "one more sample is worth", "us/sample_spread.total_n"] {
        assert!(page.contains(said), "{said}: {page}");
    }
    let why: Value = serde_json::from_str(&run(&["why", "B", ".", "--json"]).out).unwrap();
    assert_eq!(why["sure"], all["fields"][1]);
    assert!(flat(&run(&["why", "B", "."]).out).contains("HOW SURE"));
}
