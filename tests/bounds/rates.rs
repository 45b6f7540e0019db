//! Limits on the rate. Each is set so that it allows a given rate: the plan
//! takes that rate; a hundredth of a ton less, and it takes one step less and
//! the audit refuses the plan made before; a hundredth more changes nothing.

use crate::kit::{Farm, PLACES, PlaceFigures, figure, passed_limits, planned};
use sward::tables::topic;

/// A setting of the spreader and one below, tons/ac.
const AT: f64 = 3.5;
const STEP: f64 = 0.25;
/// So little that no setting lies between.
const HAIR: f64 = 0.01;
/// Total and ammonium nitrogen of a ton of every lot of the kit, lb.
const HELD: (f64, f64) = (20.0, 4.0);

/// What a limit is set by: the farm as it is, the figures of its place, and the
/// tons per acre that the limit is to allow.
type Set = fn(Farm, &PlaceFigures<'_>, f64) -> Farm;

fn n_per_ton(figures: &PlaceFigures<'_>) -> f64 {
    figures.available(HELD.0, HELD.1)
}

/// Nitrogen that a ton supplies, times the rate, left of the need.
fn by_other_n(farm: Farm, figures: &PlaceFigures<'_>, share: f64, rate: f64) -> Farm {
    let other = figures.need(4.0) - rate * n_per_ton(figures) / share;
    assert!(other > 0.0, "the limit is not to be had so");
    farm.with("fields.A.other_n", format!("{other} lb/ac"))
}

fn split(farm: Farm, season: &str, share: f64) -> Farm {
    let scope = format!("forage: tall_fescue, season: {season}, use: hay");
    farm.figure(figure("n_split", "share", &scope, &format!("value: {share}")))
}

fn metal(farm: Farm, metal: &str, rate: f64) -> Farm {
    // 500 ppm of a ton are a pound.
    farm.with(&format!("litter.heap.analysis.{metal}"), "500 ppm").figure(figure(
        &format!("{metal}_load_year"),
        "lb/ac",
        "",
        &format!("value: {rate}"),
    ))
}

/// Limits on what one year may bring.
const OF_A_YEAR: &[(&str, Set)] = &[
    ("the nitrogen need", |farm, figures, rate| by_other_n(farm, figures, 1.0, rate)),
    ("a year's phosphate by the rating", |farm, figures, rate| {
        let allowed = 4.0 * figures.hay(topic::P2O5_PER_TON, &[]).unwrap();
        let farm = farm.with("fields.A.phosphorus_rating.rating", "high");
        farm.with("litter.heap.analysis.p2o5", format!("{} lb/ton", allowed / rate))
    }),
    ("the place's most in a year", |farm, _, rate| {
        farm.figure(figure("rate_most_year", "tons/ac", "forage: tall_fescue", &format!("value: {rate}")))
    }),
    ("the grower's own most", |farm, _, rate| farm.with("fields.A.most", format!("{rate} tons/ac"))),
    ("zinc in a year", |farm, _, rate| metal(farm, "zinc", rate)),
    ("copper in a year", |farm, _, rate| metal(farm, "copper", rate)),
];

/// Limits on one application or one season.
const AT_ONCE: &[(&str, Set)] = &[
    ("a season's share of nitrogen", |farm, figures, rate| by_other_n(split(farm, "spring", 0.5), figures, 0.5, rate)),
    ("nitrogen at once", |farm, figures, rate| {
        let most = rate * n_per_ton(figures);
        farm.figure(figure("n_at_once", "lb/ac", "forage: tall_fescue, use: hay", &format!("value: {most}")))
    }),
    ("the place's most at once", |farm, _, rate| {
        farm.figure(figure("rate_most", "tons/ac", "forage: tall_fescue, use: hay", &format!("value: {rate}")))
    }),
    ("the spreader's most", |farm, _, rate| farm.with("spreader.most", format!("{rate} tons/ac"))),
];

/// The farm on which nothing else binds, and the rates that it then gets.
fn loose(farm: Farm) -> Farm {
    split(split(farm, "spring", 1.0), "fall", 1.0)
}

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-9
}

fn bites(base: &Farm, what: &str, set: Set, at: f64) {
    let before = planned(base);
    assert!(before.rate("A") > at + STEP, "{what}: {} without it", before.rate("A"));
    let figures = before.figures();
    let limited = |rate: f64| set(base.clone(), &figures, rate);
    let plan = |rate: f64| planned(&limited(rate));
    let (exact, below, above) = (plan(at), plan(at - HAIR), plan(at + HAIR));
    let place = base.place.key;
    assert!(close(exact.rate("A"), at), "{place}, {what}: {} at the limit of {at}", exact.rate("A"));
    assert!(close(above.rate("A"), at), "{place}, {what}: {} a hair above {at}", above.rate("A"));
    assert!(close(below.rate("A"), at - STEP), "{place}, {what}: {} a hair below {at}", below.rate("A"));
    let audit = |rate: f64| passed_limits(&exact.text, &limited(rate));
    assert!(audit(at).is_empty(), "{place}, {what}: the audit refuses what just fits: {:?}", audit(at));
    assert!(audit(at + HAIR).is_empty(), "{place}, {what}: the audit refuses what fits: {:?}", audit(at + HAIR));
    assert!(!audit(at - HAIR).is_empty(), "{place}, {what}: the audit passes a hundredth of a ton too much");
}

#[test]
fn every_limit_holds_to_the_step() {
    for place in PLACES {
        let base = loose(Farm::new(place));
        for (what, set) in OF_A_YEAR.iter().chain(AT_ONCE) {
            bites(&base, what, *set, AT);
        }
    }
}

/// Two seasons in the plan: a limit of the year holds for both together.
#[test]
fn a_limit_of_the_year_holds_over_its_seasons() {
    for place in PLACES {
        let base = loose(Farm::new(place).with("plan.to", "2027-12-31"));
        for (what, set) in OF_A_YEAR {
            // More than one application may bring.
            bites(&base.clone().with("fields.A.yield_goal", "4 tons/ac"), what, *set, 6.5);
        }
    }
}

/// A cutting parts a season in two: both parts together keep to its share.
#[test]
fn a_seasons_share_holds_over_its_parts() {
    for place in PLACES {
        let whole = loose(Farm::new(place)).with("fields.A.cuttings", serde_json::json!(["2027-03-20"]));
        let whole = whole.with("fields.A.cut_wait", "0 days");
        let base = whole.with("spreader.most", "3 tons/ac");
        bites(&base, "a season's share over two parts", AT_ONCE[0].1, 4.5);
    }
}

/// What the log shows counts against every limit of the year.
#[test]
fn what_was_spread_counts_against_the_year() {
    for place in PLACES {
        let base = loose(Farm::new(place).with("plan.to", "2027-12-31"));
        let tons = planned(&base).number("A", "/acres") * 2.0;
        let base = base.logged("2027-03-10", "spread", "heap", "A", &format!("{tons:.3} tons"));
        for (what, set) in OF_A_YEAR {
            let set_on_top = |farm: Farm, figures: &PlaceFigures<'_>, rate: f64| set(farm, figures, rate + 2.0);
            let figures_of = planned(&base);
            let at = |rate: f64| planned(&set_on_top(base.clone(), &figures_of.figures(), rate)).rate("A");
            assert!(close(at(AT + HAIR), AT), "{}, {what}: {} beside 2 tons that are on", place.key, at(AT + HAIR));
            assert!(close(at(AT - HAIR), AT - STEP), "{}, {what}: {}", place.key, at(AT - HAIR));
            let limited = |rate: f64| set_on_top(base.clone(), &figures_of.figures(), rate);
            let text = planned(&limited(AT + HAIR)).text;
            assert!(passed_limits(&text, &limited(AT + HAIR)).is_empty(), "{}, {what}", place.key);
            assert!(
                !passed_limits(&text, &limited(AT - HAIR)).is_empty(),
                "{}, {what}: the audit forgets the log",
                place.key
            );
        }
    }
}
