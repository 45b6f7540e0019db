//! Choosers and balances with a fault in them: each leaves one limit out, and
//! the auditor refuses what comes of it, in two places each.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod demo;

use jiff::civil::date;
use std::sync::Arc;
use sward::balance::LimitKind;
use sward::farm::FarmText;
use sward::findings::Findings;
use sward::pipeline::{Figures, Question, Weighed};
use sward::plan::{Choose, Chosen, LeastCost, Problem};
use sward::tables::{self, Tables};
use sward::units::SoilScale;

/// A chooser that sees another question than it was asked.
struct Blind<F: Fn(&mut Problem) + Sync>(F);

impl<F: Fn(&mut Problem) + Sync> Choose for Blind<F> {
    fn choose(&self, problem: &Problem) -> Chosen {
        let mut other = problem.clone();
        (self.0)(&mut other);
        LeastCost::default().choose(&other)
    }
}

/// A farm of one fescue field in a place, on a fine grid of rates.
fn farm(place: &str, region: &str, test: &str, span: &str) -> FarmText {
    let said = if place == "us-nc" { String::new() } else { demo::said_needs() };
    let main = format!(
        "farm: Any Farm\nplace: {place}\nregion: {region}\nplan: {{{span}, as_of: 2027-02-01}}\n\
         prices: {{n: 1 $/lb, p2o5: 1 $/lb, k2o: 1 $/lb, litter_sold: 1 $/ton, loading_spreading: 1 $/ton, \
         hauling: 0.10 $/ton-mile}}\n\
         spreader: {{swath: 30 ft, load: 8 tons, step: 0.05 tons/ac, least: 0.1 tons/ac, most: 8 tons/ac}}\n\
         litter:\n  - lot: shed\n    kind: broiler litter\n    on_hand: 4000 tons\n    stored: shed\n    analysis:\n      \
         lab: state lab\n      sampled: 2027-01-20\n      basis: as received\n      moisture: 25 %\n      \
         total_n: 38 lb/ton\n      ammonium_n: 6 lb/ton\n      p2o5: 13 lb/ton\n      k2o: 40 lb/ton\n\
         {said}fields:\n  - id: F1\n    forage: tall fescue\n    use: hay\n    texture: fine\n    yield_goal: 5 tons/ac\n    \
         phosphorus_rating: {{rating: low, by: a planner, on: 2027-01-10}}\n    soil_test: {{lab: state lab, \
         sampled: 2026-12-20, {test}}}\n"
    );
    // Within the place, as the check asks.
    let (west, south) = match place {
        "us-al" => (-86.8, 32.9),
        "us-va" => (-79.5, 37.7),
        _ => (-79.5, 35.7),
    };
    let (east, north) = (west + 0.0033, south + 0.0027);
    let square = format!(
        r#"{{"type":"FeatureCollection","features":[{{"type":"Feature","properties":{{"id":"F1"}},"geometry":{{"type":"Polygon","coordinates":[[[{west:.6},{south:.6}],[{east:.6},{south:.6}],[{east:.6},{north:.6}],[{west:.6},{north:.6}],[{west:.6},{south:.6}]]]}}}}]}}"#
    );
    let none = r#"{"type":"FeatureCollection","features":[]}"#;
    FarmText { main: Some(main), fields: Some(square), keepouts: Some(none.into()), ..FarmText::default() }
}

const YEAR: &str = "from: 2027-02-16, to: 2027-10-31";
const LB: &str = "extractant: mehlich-1, p: 10 lb/ac, k: 60 lb/ac";
const INDEX: &str = "extractant: mehlich-3, p: 20 index, k: 20 index";

/// The built-in tables, with one figure more in a place.
fn tables(place: &str, topic: &str, unit: &str, value: &str) -> Arc<Tables> {
    let source = demo::any_source();
    let mut files = tables::built_in();
    let figure = format!(
        "{topic}.made_up:\n  topic: {topic}\n  what: made up\n  unit: {unit}\n  from:\n    2000-01-01:\n      \
         {value}\n      source: {source}\n      at: made up\n      known: memory\n  seen: 2026-11-01\n"
    );
    files.push((format!("{place}/zz_more.yaml"), figure));
    let (tables, found) = tables::load(&files);
    assert!(!found.has_errors(), "{:?}", found.sorted());
    Arc::new(tables)
}

fn built_in() -> Arc<Tables> {
    Arc::new(demo::tables_with(""))
}

fn weighed(texts: &FarmText, tables: &Arc<Tables>) -> Weighed {
    let question = Question { figures: Figures::Loaded(Arc::clone(tables)), ..demo::asked(texts) };
    question.check().weigh().unwrap_or_else(|f| panic!("{:?}", f.sorted()))
}

/// What the auditor says of a plan; the same farm without the fault must pass,
/// and spread something unless zinc stops it.
fn refused(texts: &FarmText, tables: &Arc<Tables>, fault: impl Fn(&mut Weighed), chooser: &dyn Choose) -> String {
    let sound = weighed(texts, tables).plan(&LeastCost::default());
    let sound = sound.unwrap_or_else(|f| panic!("the farm has a plan: {:?}", f.sorted()));
    let field = &sound.audited.plan().fields[0];
    let stopped = field.bars.iter().any(|bar| bar.why.contains("zinc"));
    assert!(stopped || !field.applications.is_empty(), "it spreads nothing: {:?} {:?}", field.held, field.bars);
    let mut bad = weighed(texts, tables);
    fault(&mut bad);
    let found: Findings = match bad.plan(chooser) {
        Err(found) => found,
        Ok(planned) => {
            let field = &planned.audited.plan().fields[0];
            panic!("the plan passes the audit: {:#?} {:?} {:?}", field.applications, field.held, field.limits)
        }
    };
    found.sorted().iter().map(|f| format!("{}\n", f.found)).collect()
}

#[test]
fn closed_days_that_the_windows_leave_out() {
    // Made up, within a season: the places' own lie outside of all seasons.
    let closed = |opens: &str, closes: &str| format!("season: {{opens: {opens}, closes: {closes}}}");
    let cases = [
        (farm("us-nc", "piedmont", INDEX, YEAR), tables("us-nc", "closed_days", "none", &closed("03-01", "03-10"))),
        (farm("us-va", "piedmont", LB, YEAR), tables("us-va", "closed_days", "none", &closed("03-01", "03-10"))),
    ];
    for (texts, tables) in cases {
        let whole_season = |weighed: &mut Weighed| {
            for window in weighed.balance.fields.iter_mut().flat_map(|f| &mut f.windows) {
                (window.first, window.last) = window.season_days;
            }
        };
        let told = refused(&texts, &tables, whole_season, &LeastCost::default());
        assert!(told.contains("meets closed days"), "{told}");
    }
}

#[test]
fn the_most_tons_at_once_passed_over() {
    let no_most = Blind(|p: &mut Problem| p.lift(LimitKind::ApplicationMost));
    for (texts, tables) in [
        // Alabama's own, for one kind of litter.
        (farm("us-al", "central", LB, YEAR), built_in()),
        (farm("us-nc", "piedmont", INDEX, YEAR), tables("us-nc", "rate_most", "tons/ac", "value: 1")),
        (farm("us-va", "piedmont", LB, YEAR), tables("us-va", "rate_most", "tons/ac", "value: 1")),
    ] {
        let told = refused(&texts, &tables, |_| {}, &no_most);
        assert!(told.contains("tons/ac at once"), "{told}");
    }
}

/// Alabama's most at once is that of broiler litter: the plan keeps it.
#[test]
fn a_most_for_one_kind_of_litter_holds_for_it() {
    let question = farm("us-al", "central", LB, YEAR);
    let planned = demo::asked(&question).plan().unwrap_or_else(|f| panic!("{:?}", f.sorted()));
    let field = &planned.audited.plan().fields[0];
    assert!(
        field.limits[0].limits.iter().any(|l| l.kind.word() == "most at once" && l.rate == 3.0),
        "{:?}",
        field.limits
    );
    assert!(field.applications.iter().all(|a| a.rate <= 3.0) && !field.applications.is_empty());
}

#[test]
fn five_pounds_more_than_a_season_may_take() {
    let slack = Blind(|p: &mut Problem| {
        p.lift(LimitKind::NAtOnce);
        let caps = p.fields.iter_mut().flat_map(|f| &mut f.caps);
        caps.filter(|cap| cap.kind == LimitKind::SeasonShare).for_each(|cap| cap.allowed += 5.0);
    });
    for texts in [
        farm("us-nc", "piedmont", INDEX, "from: 2027-02-16, to: 2027-04-30"),
        farm("us-va", "piedmont", LB, "from: 2027-02-16, to: 2027-04-30"),
    ] {
        let told = refused(&texts, &built_in(), |_| {}, &slack);
        assert!(told.contains("where the season may take"), "{told}");
    }
}

#[test]
fn a_stop_that_the_balance_left_out() {
    // Above the stop in its own unit.
    let zinc = |test: &str, value: &str| format!("{test}, zinc: {value}");
    let cases = [
        (farm("us-nc", "piedmont", &zinc(INDEX, "3200 index"), YEAR), built_in()),
        (
            farm("us-va", "piedmont", &zinc(LB, "300 lb/ac"), YEAR),
            tables("us-va", "soil_zinc_stop", "lb/ac", "value: 240"),
        ),
    ];
    for (texts, tables) in cases {
        let no_bars = |weighed: &mut Weighed| weighed.balance.fields.iter_mut().for_each(|f| f.bars.clear());
        let told = refused(&texts, &tables, no_bars, &LeastCost::default());
        assert!(told.contains("gets litter where none is allowed"), "{told}");
    }
}

/// A test in another unit than the stop is told before anything is planned; a
/// plan that puts litter there all the same is refused.
#[test]
fn a_stop_in_another_unit_is_no_stop_passed_over() {
    let stop = tables("us-va", "soil_zinc_stop", "ppm", "value: 120");
    let cases = [
        (farm("us-nc", "piedmont", &format!("{INDEX}, zinc: 110 index"), YEAR), built_in(), "ppm", "index"),
        (farm("us-va", "piedmont", &format!("{LB}, zinc: 100 ppm"), YEAR), stop, "lb/ac", "ppm"),
    ];
    for (texts, tables, other, own) in cases {
        let question = Question { figures: Figures::Loaded(Arc::clone(&tables)), ..demo::asked(&texts) };
        let mut planned = question.plan().unwrap_or_else(|f| panic!("{:?}", f.sorted()));
        let field = Arc::make_mut(&mut planned.weighed.ready.fields[0]);
        let zinc = field.written.soil_test.as_mut().unwrap().zinc.as_mut().unwrap();
        zinc.value.scale = SoilScale::named(other).unwrap();
        let faults = sward::audit::faults(planned.audited.plan(), &planned.ready, &tables);
        assert!(
            faults.sorted().iter().any(|f| f.found.contains("gets litter where none is allowed")),
            "{:?}",
            faults.sorted()
        );
        let main = texts.main.as_ref().unwrap();
        let zinc = main.split("zinc: ").nth(1).unwrap().split('}').next().unwrap().to_string();
        let wrong = zinc.replace(own, other);
        let texts = FarmText { main: Some(main.replace(&zinc, &wrong)), ..texts.clone() };
        let question = Question { figures: Figures::Loaded(tables), ..demo::asked(&texts) };
        let told = question.check().findings;
        let unit = told.sorted().into_iter().find(|f| f.code == "soil-unit").map(|f| f.accepted.clone().unwrap());
        assert!(unit.is_some_and(|accepted| accepted.contains(own)), "{:?}", told.sorted());
    }
}

/// The log's nitrogen of a season counts too: the auditor refuses a chooser
/// that starts the season over.
#[test]
fn a_season_started_over_after_the_log() {
    let spring = "from: 2027-02-16, to: 2027-04-30";
    for texts in [farm("us-nc", "piedmont", INDEX, spring), farm("us-va", "piedmont", LB, spring)] {
        let log = "date,what,lot,field,tons\n2027-03-05,spread,shed,F1,30\n";
        let folder = sward::pipeline::Folder::Memory { texts: &texts, log };
        let day = sward::pipeline::Day::Asked(date(2027, 3, 6));
        let question = Question { folder, figures: Figures::Loaded(built_in()), day, ..demo::asked(&texts) };
        let forgets = Blind(|p: &mut Problem| {
            p.lift(LimitKind::NAtOnce);
            p.lift(LimitKind::SeasonShare);
            let need = p.fields[0].caps.iter_mut().find(|cap| cap.kind == LimitKind::Nitrogen).unwrap();
            need.allowed *= 2.0;
        });
        let weighed = question.check().weigh().unwrap_or_else(|f| panic!("{:?}", f.sorted()));
        assert!(weighed.ready.from <= date(2027, 3, 5) && !weighed.ready.happened.entries.is_empty());
        let told = weighed.plan(&forgets).err().unwrap_or_else(|| panic!("the plan passes the audit"));
        assert!(told.sorted().iter().any(|f| f.found.contains("of nitrogen")), "{:?}", told.sorted());
    }
}
