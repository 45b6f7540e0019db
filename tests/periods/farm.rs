//! Small farms whose limits are counted by their own days, in several states.

use crate::demo;
use jiff::civil::Date;
use std::sync::{Arc, LazyLock};
use sward::audit;
use sward::balance::{Balance, LimitKind};
use sward::check::Ready;
use sward::farm::FarmText;
use sward::findings::Severity;
use sward::pipeline::{Figures, Folder, Planned, Question};
use sward::plan::Plan;
use sward::record::{self, Happened};
use sward::tables::Tables;

pub(crate) static TABLES: LazyLock<Arc<Tables>> = LazyLock::new(|| Arc::new(demo::tables_with("")));

/// Place, region, extractant, unit of the soil test.
pub(crate) const PLACES: [[&str; 4]; 6] = [
    ["us-nc", "piedmont", "mehlich-3", "index"],
    ["us-ga", "piedmont", "mehlich-1", "lb/ac"],
    ["us-va", "piedmont", "mehlich-1", "lb/ac"],
    ["us-md", "piedmont", "mehlich-3", "index"],
    ["us-sc", "piedmont", "mehlich-1", "lb/ac"],
    ["us-al", "north", "mehlich-1", "lb/ac"],
];

/// Longitude and latitude well inside each of them, in their order.
pub(crate) const INSIDE: [(f64, f64); 6] =
    [(-79.5, 35.7), (-83.5, 32.9), (-78.5, 37.4), (-77.3, 39.4), (-81.2, 34.2), (-86.9, 34.5)];

/// A farm of three fields alike; F1 may carry more keys.
pub(crate) fn texts(place: [&str; 4], days: (&str, &str), more: &str) -> FarmText {
    let rating = "    phosphorus_rating: {rating: high, by: a planner, on: 2027-01-10}\n";
    let grounds = [more, "", "    most: 0.9 tons/ac\n"].map(|more| (90, format!("{rating}{more}")));
    texts_of(place, days, &grounds)
}

/// A farm of fields with their soil-test P and more keys.
pub(crate) fn texts_of(
    [place, region, extractant, unit]: [&str; 4],
    (from, to): (&str, &str),
    grounds: &[(u32, String)],
) -> FarmText {
    let mut main = format!(
        "farm: Any Farm\nplace: {place}\nregion: {region}\nplan: {{from: {from}, to: {to}}}\n\
         spreader: {{swath: 30 ft, load: 8 tons, step: 0.05 tons/ac, least: 0.1 tons/ac, most: 4 tons/ac}}\n\
         litter:\n  - lot: shed\n    kind: broiler litter\n    on_hand: 4000 tons\n    stored: shed\n    analysis:\n      \
         lab: state lab\n      sampled: 2027-01-20\n      basis: as received\n      moisture: 25 %\n      \
         total_n: 58 lb/ton\n      ammonium_n: 10 lb/ton\n      p2o5: 55 lb/ton\n      k2o: 56 lb/ton\n\
         fields:\n"
    );
    let mut features = Vec::new();
    let at = PLACES.iter().position(|other| other[0] == place).unwrap();
    let (lon, south) = INSIDE[at];
    let north = south + 0.0027;
    for (i, (p, more)) in grounds.iter().enumerate() {
        main.push_str(&format!(
            "  - id: F{}\n    forage: tall fescue\n    use: hay\n    texture: fine\n    yield_goal: 4 tons/ac\n    \
             soil_test:\n      lab: state lab\n      \
             sampled: 2026-12-20\n      extractant: {extractant}\n      p: {p} {unit}\n      k: 60 {unit}\n{more}",
            i + 1
        ));
        let west = lon + 0.01 * i as f64;
        let east = west + 0.0033;
        features.push(format!(
            r#"{{"type":"Feature","properties":{{"id":"F{}"}},"geometry":{{"type":"Polygon","coordinates":[[[{west},{south}],[{east},{south}],[{east},{north}],[{west},{north}],[{west},{south}]]]}}}}"#,
            i + 1
        ));
    }
    let all = |features: &str| Some(format!(r#"{{"type":"FeatureCollection","features":[{features}]}}"#));
    FarmText { main: Some(main), fields: all(&features.join(",")), keepouts: all(""), ..FarmText::default() }
}

/// One more figure, made up.
pub(crate) fn figure(topic: &str, applies: &str, value: &str) -> String {
    let unit = match topic {
        "growing_year" => "month-day",
        "metal_load_total" | "zinc_load_year" => "lb/ac",
        "applications" => "times",
        _ => "none",
    };
    format!(
        "{topic}.made:\n  topic: {topic}\n  what: made up\n  unit: {unit}\n  applies: {{{applies}}}\n  from:\n    \
         2000-01-01:\n      {value}\n      source: {}\n      at: made up\n      known: memory\n  seen: 2026-11-01\n",
        demo::any_source()
    )
}

/// A row of a test, for a field rated high: three years' removal may go on at once.
pub(crate) fn three_years() -> String {
    format!(
        "p_rule.high:\n  topic: p_rule\n  what: made up\n  unit: none\n  from:\n    2000-01-01: {{when: {{rating: \
         high}}, basis: removal, years: 3, source: {}, at: made up, known: memory}}\n  seen: 2026-11-01\n",
        demo::any_source()
    )
}

/// Tables in which Virginia and Alabama have that row.
pub(crate) static BANKS: LazyLock<Arc<Tables>> =
    LazyLock::new(|| Arc::new(demo::tables_of(&["us-va", "us-al"], &three_years())));

pub(crate) fn with(figures: &str) -> Arc<Tables> {
    Arc::new(demo::tables_with(figures))
}

/// The log as it is read.
pub(crate) fn read(log: &str) -> Happened {
    record::read_text(&format!("id,date,what,lot,field,tons,corrects\n{log}")).0
}

/// The plan of a farm with a log, the farm and its balance.
pub(crate) fn weighed(texts: &FarmText, log: &str, tables: &Arc<Tables>) -> (Plan, Ready, Balance) {
    let log = format!("id,date,what,lot,field,tons,corrects\n{log}");
    let (folder, figures) = (Folder::Memory { texts, log: &log }, Figures::Loaded(Arc::clone(tables)));
    let planned = Question { folder, figures, ..demo::asked(texts) }.plan();
    let Planned { audited, weighed } = planned.unwrap_or_else(|f| {
        panic!("{:?}", f.sorted().iter().filter(|f| f.severity == Severity::Error).collect::<Vec<_>>())
    });
    (audited.plan().clone(), weighed.ready, weighed.balance)
}

pub(crate) fn answer(texts: &FarmText, log: &str, tables: &Arc<Tables>) -> (Plan, Ready) {
    let (plan, ready, _) = weighed(texts, log, tables);
    (plan, ready)
}

/// Fescue with a winter season over New Year in the first field's place.
pub(crate) fn winter() -> String {
    let source = demo::any_source();
    format!(
        "season.tall_fescue.winter:\n  topic: season\n  what: winter, made up\n  unit: month-day\n  \
         applies: {{forage: tall_fescue, season: winter}}\n  from:\n    2000-01-01:\n      \
         season: {{opens: 11-10, closes: 01-20}}\n      source: {source}\n      at: made up\n      known: memory\n  \
         seen: 2026-11-01\n"
    )
}

pub(crate) fn with_winter() -> Arc<Tables> {
    with(&winter_share())
}

/// The same with a share of its own for the winter.
pub(crate) fn winter_share() -> String {
    let source = demo::any_source();
    winter()
        + &format!(
            "n_split.tall_fescue.winter:\n  topic: n_split\n  what: winter share, made up\n  unit: share\n  \
             applies: {{forage: tall_fescue, season: winter}}\n  from:\n    2000-01-01:\n      value: 0.4\n      \
             source: {source}\n      at: made up\n      known: memory\n  seen: 2026-11-01\n"
        )
}

/// The plan as of a day.
pub(crate) fn as_of(texts: &FarmText, day: &str) -> FarmText {
    let main = texts.main.as_ref().map(|main| demo::instead(main, "plan: {", &format!("plan: {{as_of: {day}, ")));
    FarmText { main, ..texts.clone() }
}

/// The same farm, sampled and rated at the end of 2024.
pub(crate) fn early(texts: FarmText) -> FarmText {
    let main = texts.main.as_ref().map(|main| {
        ["2027-01-20", "2027-01-10", "2026-12-20"]
            .iter()
            .fold(main.clone(), |main, day| main.replace(day, "2024-12-20"))
    });
    FarmText { main, ..texts }
}

/// The same farm, its litter sampled on a day.
pub(crate) fn sampled(texts: FarmText, day: &str) -> FarmText {
    let main = texts.main.as_ref().map(|main| demo::instead(main, "sampled: 2027-01-20", &format!("sampled: {day}")));
    FarmText { main, ..texts }
}

/// What is planned on F1, tons per acre.
pub(crate) fn rate(plan: &Plan) -> f64 {
    plan.fields[0].applications.iter().map(|a| a.rate).sum()
}

/// What the rows of a kind on F1 count of the log, by their days.
pub(crate) fn counted(balance: &Balance, kind: LimitKind) -> Vec<((Date, Date), f64)> {
    let field = balance.field("F1").unwrap();
    let rows = field.limits.iter().filter(|row| row.kind == kind);
    rows.map(|row| (row.over.days().unwrap(), row.done.map_or(0.0, |step| field.value(step)))).collect()
}

/// Whether any row of a kind on F1 counts an entry of a day.
pub(crate) fn counts(texts: &FarmText, kind: LimitKind, day: &str, tables: &Arc<Tables>) -> bool {
    let (made, ready, balance) = weighed(texts, &format!(",{day},spread,shed,F1,6,\n"), tables);
    assert!(audit::faults(&made, &ready, tables).is_empty(), "{day}");
    counted(&balance, kind).iter().any(|(_, on)| *on > 0.0)
}
