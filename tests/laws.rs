//! Laws that hold on every farm. Random farms are written as text and go the
//! whole way: read, check, measure, weigh, choose, audit. What a limit is, the
//! test reckons a second time from `reference/` (`laws/figures.rs`).
//!
//! The seed is fixed: a run on another day tries the same farms.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "laws/farm.rs"]
mod farm;
#[path = "laws/figures.rs"]
mod figures;

use farm::{Farm, SPANS, Style};
use figures::figures;
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use std::sync::{Arc, LazyLock};
use sward::balance::{self, Balance, LimitKind, Surveyed};
use sward::check::Ready;
use sward::farm::FarmText;
use sward::pipeline::{Checked, Day, Figures, Folder, Planned, Question, Weighed};
use sward::plan::answer::{FieldPlan, LotLimits};
use sward::plan::{LeastCost, Plan};
use sward::tables::Tables;
use sward::units::Pounds;

static TABLES: LazyLock<Arc<Tables>> = LazyLock::new(|| {
    let (tables, findings) = sward::tables::load(&sward::tables::built_in());
    assert!(!findings.has_errors(), "{findings:?}");
    Arc::new(tables)
});

fn cases(cases: u32, seed: u64) -> ProptestConfig {
    ProptestConfig { cases, rng_seed: RngSeed::Fixed(seed), failure_persistence: None, ..ProptestConfig::default() }
}

struct Run {
    ready: Ready,
    ground: Vec<Surveyed>,
    balance: Balance,
    plan: Plan,
}

/// Reads, checks and measures; the farm must be sound.
fn measured(text: &FarmText) -> Checked {
    let today = jiff::civil::date(2027, 2, 1);
    let question = Question::of(Folder::memory(text), Day::Stated { today });
    let checked = Question { figures: Figures::Loaded(Arc::clone(&TABLES)), ..question }.check();
    let errors = checked.findings.has_errors();
    assert!(!errors, "{:?}\n{}", checked.findings.sorted(), text.main.as_deref().unwrap_or(""));
    checked
}

fn run(text: &FarmText) -> Run {
    let weighed = measured(text).weigh().expect("nothing stands in its way");
    assert!(!weighed.findings.has_errors(), "{:?}", weighed.findings);
    let Planned { weighed: Weighed { ready, ground, balance, .. }, audited } =
        weighed.plan(&LeastCost::default()).expect("the plan passes the audit");
    Run { ready, ground, balance, plan: audited.plan().clone() }
}

fn plain(farm: &Farm) -> Run {
    run(&farm.text(Style::default()))
}

impl Run {
    fn field(&self, id: &str) -> &FieldPlan {
        self.plan.fields.iter().find(|f| f.id == id).unwrap()
    }
}

/// A sum of a few products may stray by this many pounds an acre.
const SLACK: f64 = 1e-3;

fn lot_index(id: &str) -> usize {
    id.trim_start_matches("lot").parse().unwrap()
}

/// Every limit of one field, calculated by the test itself.
fn within_limits(farm: &Farm, i: usize, plan: &FieldPlan) {
    let field = &farm.fields[i];
    let book = figures(farm.span);
    let need = book.n_need(farm, field);
    assert!((plan.need.n - need).abs() < SLACK, "{}: needs {need} lb/ac of N, the plan says {}", plan.id, plan.need.n);
    let allowed = book.p2o5_allowed(farm, field);
    let says = plan.phosphorus.allowed.unwrap_or(f64::INFINITY);
    assert!(
        says == allowed || (says - allowed).abs() < SLACK,
        "{}: {allowed} lb/ac of P2O5 allowed, the plan says {says}",
        plan.id
    );
    if plan.applications.is_empty() {
        return;
    }
    assert!(!field.closed && !field.stale, "{} is barred", plan.id);
    let (mut n, mut p2o5, mut rate) = (0.0, 0.0, 0.0);
    let mut by_season = std::collections::BTreeMap::<&str, f64>::new();
    let mut seen = Vec::new();
    for a in &plan.applications {
        let (n_per_ton, p_per_ton) = book.holds(farm, lot_index(&a.lot));
        n += a.rate * n_per_ton;
        p2o5 += a.rate * p_per_ton;
        rate += a.rate;
        *by_season.entry(&a.season).or_default() += a.rate * n_per_ton;
        let steps = a.rate / farm.step;
        assert!((steps - steps.round()).abs() < 1e-6, "{} off the grid", a.rate);
        assert!(a.rate > farm.least - 1e-6 && a.rate < farm.most + 1e-6, "{} is no even rate", a.rate);
        let pounds = a.rate * plan.acres * 2_000.0;
        assert!((a.pounds.0 as f64) <= pounds + 0.01 && a.pounds.0 as f64 > pounds - 1.01);
        let load = (farm.load * 2_000.0).round() as i64;
        assert_eq!((a.loads - 1) * load + a.last_load.0, a.pounds.0);
        assert!(a.last_load.0 > 0 && a.last_load.0 <= load);
        let (opens, closes) = book.season(farm, field, &a.season);
        let (from, to) = SPANS[farm.span];
        let (first, last) = (a.first.to_string(), a.last.to_string());
        assert!(from <= first.as_str() && first <= last && last.as_str() <= to);
        assert!(
            opens.as_str() <= &first[5..] && &last[5..] <= closes.as_str(),
            "{first} to {last} outside {opens} to {closes}"
        );
        let one = (&a.lot, &a.season, a.first);
        assert!(!seen.contains(&one), "{one:?} twice");
        seen.push(one);
    }
    assert!(n <= need + SLACK, "{}: {n} lb/ac of N over {need}", plan.id);
    assert!(p2o5 <= allowed + SLACK * 10.0, "{}: {p2o5} lb/ac of P2O5 over {allowed}", plan.id);
    for (season, n) in by_season {
        let share = book.season_share(farm, field, season);
        assert!(n <= need * share + SLACK, "{}: {n} lb/ac of N in {season}", plan.id);
    }
    assert!(rate <= field.most.unwrap_or(f64::INFINITY) + 1e-6);
}

/// Acres inside a ring, by the radii of the WGS84 ellipsoid at its middle.
fn acres_inside(ring: &[(f64, f64)]) -> f64 {
    let lat = ring.iter().map(|p| p.1).sum::<f64>() / ring.len() as f64;
    let e2 = 0.006_694_379_99;
    let bend = 1.0 - e2 * lat.to_radians().sin().powi(2);
    let across = 6_378_137.0 / bend.sqrt() * lat.to_radians().cos();
    let along = 6_378_137.0 * (1.0 - e2) / bend.powf(1.5);
    // From a corner, so that nothing large cancels.
    let (lon0, lat0) = ring[0];
    let metres = |p: &(f64, f64)| {
        let x = (p.0 - lon0).to_radians() * across;
        (x, (p.1 - lat0).to_radians() * along)
    };
    let twice: f64 = ring
        .windows(2)
        .map(|w| {
            let ((x1, y1), (x2, y2)) = (metres(&w[0]), metres(&w[1]));
            x1 * y2 - x2 * y1
        })
        .sum();
    twice.abs() / 2.0 / 4_046.856_422_4
}

proptest! {
    #![proptest_config(cases(256, 1))]

    #[test]
    fn no_limit_is_ever_passed(farm in farm::farm()) {
        let run = plain(&farm);
        let faults = sward::audit::faults(&run.plan, &run.ready, &TABLES);
        prop_assert!(faults.is_empty(), "{:?}", faults.sorted());
        prop_assert_eq!(run.plan.fields.len(), farm.fields.len());
        for (i, field) in run.plan.fields.iter().enumerate() {
            within_limits(&farm, i, field);
            let inside = acres_inside(&farm.ring(i));
            prop_assert!((field.gross_acres - inside).abs() < inside * 1e-4 + 1e-6);
            prop_assert!(field.acres >= 0.0 && field.acres <= inside * 1.0001 + 0.01);
            if farm.keeps.is_empty() {
                prop_assert!(field.acres > inside * 0.9999 - 0.02);
            }
        }
    }

    #[test]
    fn litter_balances_to_the_pound(farm in farm::farm()) {
        let plan = plain(&farm).plan;
        for (i, tally) in plan.lots.iter().enumerate() {
            let tons = (farm.lots[i].tons * 2_000.0).round() as i64;
            prop_assert_eq!(tally.opening, Pounds(tons));
            prop_assert_eq!(tally.on_hand, tally.opening);
            let spread: i64 = plan
                .fields
                .iter()
                .flat_map(|f| &f.applications)
                .filter(|a| a.lot == tally.id)
                .map(|a| a.pounds.0)
                .sum();
            prop_assert_eq!(tally.planned.0, spread);
            prop_assert_eq!(tally.opening.0, tally.planned.0 + tally.left.0);
            prop_assert!(tally.left.0 >= 0);
        }
        let left: i64 = plan.lots.iter().map(|l| l.left.0).sum();
        prop_assert_eq!(plan.leftover.pounds.0, left);
    }

    #[test]
    fn the_same_farm_gets_the_same_plan(farm in farm::farm()) {
        let json = |run: Run| serde_json::to_string(&run.plan).unwrap();
        prop_assert_eq!(json(plain(&farm)), json(plain(&farm)));
    }
}

proptest! {
    #![proptest_config(cases(128, 2))]

    /// Of the plan itself only the limits keep still: the chooser takes what
    /// pays best a ton, first come first served among equals, so that another
    /// order may share scarce litter out another way and at another cost.
    #[test]
    fn the_order_in_the_files_changes_no_need_and_no_limit(farm in farm::farm()) {
        let one = plain(&farm);
        let other = run(&farm.text(Style { backwards: true, ..Style::default() }));
        for field in &one.plan.fields {
            let again = other.field(&field.id);
            prop_assert_eq!(field.need, again.need);
            prop_assert_eq!(field.removed, again.removed);
            prop_assert_eq!(field.phosphorus.allowed, again.phosphorus.allowed);
            prop_assert_eq!(&field.windows, &again.windows);
            prop_assert_eq!(field.bars.len(), again.bars.len());
            prop_assert!((field.acres - again.acres).abs() < 0.0101);
            for lot in &field.limits {
                let there = again.limits.iter().find(|l| l.lot == lot.lot).unwrap();
                let rates = |l: &LotLimits| {
                    l.limits.iter().map(|x| (x.kind, x.rate)).collect::<Vec<_>>()
                };
                prop_assert_eq!(rates(lot), rates(there));
            }
        }
    }

    #[test]
    fn metric_and_customary_words_make_the_same_plan(farm in farm::farm()) {
        let one = plain(&farm).plan;
        let other = run(&farm.text(Style { metric: true, ..Style::default() })).plan;
        for (a, b) in one.fields.iter().zip(&other.fields) {
            prop_assert!((a.acres - b.acres).abs() < 0.0101);
            prop_assert!((a.need.n - b.need.n).abs() < 1e-6);
            prop_assert_eq!(a.held.by, b.held.by);
            prop_assert_eq!(a.applications.len(), b.applications.len());
            for (x, y) in a.applications.iter().zip(&b.applications) {
                prop_assert_eq!((&x.lot, &x.season, x.first), (&y.lot, &y.season, y.first));
                prop_assert!((x.rate - y.rate).abs() < 1e-9, "{} and {}", x.rate, y.rate);
                let apart = 1.0 + 0.0101 * x.rate * 2_000.0;
                prop_assert!(((x.pounds.0 - y.pounds.0).abs() as f64) <= apart);
            }
        }
        match (&one.money, &other.money) {
            (Some(a), Some(b)) => {
                prop_assert!((a.replaced - b.replaced).abs() <= 1.0 + a.replaced.abs() * 1e-3);
            }
            (a, b) => prop_assert_eq!(a.is_some(), b.is_some()),
        }
    }

    #[test]
    fn a_wider_setback_never_adds_acres(farm in farm::farm(), which in 0..5_usize, more in 0..400_i32) {
        prop_assume!(!farm.keeps.is_empty());
        let mut wider = farm.clone();
        let which = which % farm.keeps.len();
        let now = farm.keeps[which].feet;
        wider.keeps[which].feet = Some(now.unwrap_or(35.0) + f64::from(more));
        let before = measured(&farm.text(Style::default())).ground;
        let after = measured(&wider.text(Style::default())).ground;
        for (a, b) in before.iter().zip(&after) {
            prop_assert!(b.cut.acres <= a.cut.acres + 1e-6, "{} then {}", a.cut.acres, b.cut.acres);
        }
    }

    #[test]
    fn a_higher_soil_test_never_allows_more_phosphorus(
        farm in farm::farm(), which in 0..6_usize, more in 0..300_i32,
    ) {
        let which = which % farm.fields.len();
        let mut higher = farm.clone();
        higher.fields[which].p += f64::from(more);
        let (before, after) = (plain(&farm), plain(&higher));
        let allowed = |run: &Run| run.plan.fields[which].phosphorus.allowed.unwrap_or(f64::INFINITY);
        prop_assert!(allowed(&after) <= allowed(&before));
        let rates = |run: &Run| -> Vec<f64> {
            let lots = &run.balance.fields[which].lots;
            let rate = |l: &balance::LotBalance| {
                let found = l.limits.iter().find(|x| x.kind == LimitKind::Phosphorus);
                found.map_or(f64::INFINITY, |x| x.rate)
            };
            lots.iter().map(rate).collect()
        };
        for (a, b) in rates(&before).iter().zip(rates(&after)) {
            prop_assert!(b <= *a);
        }
    }

    #[test]
    fn a_higher_yield_goal_never_lowers_the_nitrogen_limit(
        farm in farm::farm(), which in 0..6_usize, more in 0..100_i32,
    ) {
        let which = which % farm.fields.len();
        let mut higher = farm.clone();
        higher.fields[which].goal += f64::from(more) / 10.0;
        let (before, after) = (plain(&farm), plain(&higher));
        prop_assert!(after.plan.fields[which].n_allowed >= before.plan.fields[which].n_allowed);
    }

    #[test]
    fn a_closed_field_gets_nothing_and_moves_no_other_limit(farm in farm::farm(), which in 0..6_usize) {
        let which = which % farm.fields.len();
        let mut closed = farm.clone();
        closed.fields[which].closed = true;
        let (before, after) = (plain(&farm), plain(&closed));
        let field = &after.plan.fields[which];
        prop_assert!(field.applications.is_empty() && !field.bars.is_empty());
        prop_assert_eq!(before.ground.len(), after.ground.len());
        for (a, b) in before.plan.fields.iter().zip(&after.plan.fields) {
            prop_assert_eq!(a.need, b.need);
            prop_assert_eq!(a.acres, b.acres);
        }
        let faults = sward::audit::faults(&after.plan, &after.ready, &TABLES);
        prop_assert!(faults.is_empty(), "{:?}", faults.sorted());
    }
}

/// The farms that the laws are tried on are worth trying: most get litter,
/// every limit holds some field, no field is like another.
#[test]
fn the_random_farms_are_worth_trying() {
    use proptest::strategy::ValueTree;
    let mut runner = proptest::test_runner::TestRunner::new(cases(1, 1));
    let mut held = std::collections::BTreeSet::new();
    let (mut planned, mut applications) = (0, 0);
    for _ in 0..200 {
        let farm = farm::farm().new_tree(&mut runner).unwrap().current();
        let plan = plain(&farm).plan;
        let count: usize = plan.fields.iter().map(|f| f.applications.len()).sum();
        planned += usize::from(count > 0);
        applications += count;
        held.extend(plan.fields.iter().map(|f| f.held.by));
    }
    assert!(planned > 100, "only {planned} of 200 farms get litter");
    assert!(applications > 250, "only {applications} applications");
    assert!(held.len() >= 9, "only {held:?} hold");
}
