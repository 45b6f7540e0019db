//! Nine fields of ordinary forages with a laboratory's report, in every place and region
//! that there are tables of, and in states without any: the plan gives each field a rate
//! or a lawful reason, and the check is clean.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use geo::coord;
use jiff::ToSpan;
use jiff::civil::{Date, date};
use kit::Dice;
use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::sync::{Arc, LazyLock};
use sward::balance::{Basis, LimitKind, LotLimit};
use sward::check::Wants;
use sward::cores;
use sward::farm::FarmText;
use sward::findings::{Findings, Known, Severity};
use sward::ground;
use sward::pipeline::{self, Day, Figures, Folder, Planned, Question};
use sward::plan::{self, LeastCost};
use sward::tables::p_rule::PBasis;
use sward::tables::{self, PlaceTable, Tables};
use sward::units::{self, SoilScale};
use sward::write;

mod kit;

static TABLES: LazyLock<Arc<Tables>> = LazyLock::new(|| Arc::new(tables::load(&tables::built_in()).0));

/// States without a folder.
const BARE: [&str; 2] = ["us-ks", "us-or"];

/// Forage, use, yield goal, and what the report recommends of N, P2O5 and K2O.
const FIELDS: [(&str, &str, f64, [f64; 3]); 9] = [
    ("hybrid bermudagrass", "hay", 5.0, [200.0, 40.0, 120.0]),
    ("common bermudagrass", "hay", 4.0, [150.0, 40.0, 100.0]),
    ("common bermudagrass", "pasture", 3.0, [100.0, 30.0, 60.0]),
    ("tall fescue", "hay", 3.0, [100.0, 40.0, 90.0]),
    ("tall fescue", "pasture", 2.5, [80.0, 30.0, 60.0]),
    ("tall fescue", "hay then grazed", 3.0, [90.0, 30.0, 80.0]),
    ("bahiagrass", "hay", 3.0, [100.0, 30.0, 60.0]),
    ("orchardgrass", "hay", 3.0, [100.0, 40.0, 90.0]),
    ("cool season grass with clover", "hay", 3.0, [40.0, 40.0, 120.0]),
];

/// A spot well inside a place; that of a state of it where the place is a country.
fn spot(key: &str) -> (f64, f64) {
    let mut findings = Findings::new();
    let Some(outline) = TABLES.outlines.of(key, &mut findings) else { return (-79.51, 35.72) };
    let (low, high) = (outline.bounds.min(), outline.bounds.max());
    let spots = (1..12).flat_map(|x| (1..12).map(move |y| (f64::from(x) / 12.0, f64::from(y) / 12.0)));
    let spots = spots.map(|(x, y)| coord! { x: low.x + x * (high.x - low.x), y: low.y + y * (high.y - low.y) });
    let inside = spots.map(|at| (ground::lie(at, &outline.rings), at)).filter(|(lie, _)| lie.inside);
    let best = inside.max_by(|(a, _), (b, _)| a.edge_miles.total_cmp(&b.edge_miles)).unwrap();
    (best.1.x, best.1.y)
}

/// A square of ten acres, the n-th of a row.
fn square((lon, lat): (f64, f64), n: usize) -> Value {
    let (tall, wide) = (660.0 / 364_000.0, 660.0 / 364_000.0 / lat.to_radians().cos());
    let west = lon + 1.5 * wide * n as f64;
    json!([[[west, lat], [west + wide, lat], [west + wide, lat + tall], [west, lat + tall], [west, lat]]])
}

/// A stream along the west side of the first field.
fn stream((lon, lat): (f64, f64)) -> Value {
    let west = lon - 50.0 / 364_000.0;
    json!({"type": "Feature", "properties": {"kind": "perennial stream", "name": "the branch", "vegetated_strip": false,
            "setback": "300 ft", "setback_by": "Avery Lunsford, 2026-12-01"},
        "geometry": {"type": "LineString", "coordinates": [[west, lat], [west, lat + 0.002]]}})
}

/// The farm folder of a place, as it is `said`; with what the reports recommend or without.
fn farm(place: &PlaceTable, region: Option<&str>, said: &str, advised: bool) -> FarmText {
    let extractant = place.extractant.as_deref().unwrap_or("mehlich_3");
    let unit = |unit: Option<SoilScale>| unit.map_or("ppm", |scale| scale.word());
    let book = TABLES.book(&place.key, date(2027, 2, 15)).unwrap();
    let words = book.rules().into_iter().flat_map(|(_, row)| row.value.when.rating).filter(|word| word != "unrated");
    let ratings: Vec<String> = words.collect::<BTreeSet<_>>().into_iter().collect();
    // Where an area asks for a rating before anything goes on, every field has one.
    let asks = book.rules().into_iter().any(|(_, row)| {
        let when = &row.value.when;
        let here = when.region.iter().any(|area| Some(area.as_str()) == region);
        here && row.value.says.basis == PBasis::Ask && when.rating.iter().any(|word| word == "unrated")
    });
    // Where an area goes by a tool of its own, its plan sets the rate.
    let ways = book
        .rules()
        .into_iter()
        .filter(|(_, row)| row.value.when.rating.is_empty() && row.value.says.basis == PBasis::Ask);
    let ways = ways.filter(|(_, row)| row.value.when.region.iter().any(|area| Some(area.as_str()) == region));
    let own_plan = ways.flat_map(|(_, row)| row.value.unless).find(|way| way.with_most);
    let mut fields = Vec::new();
    for (n, (forage, usage, goal, [n_lb, p2o5, k2o])) in FIELDS.iter().enumerate() {
        let mut test = json!({"lab": "state lab", "sampled": "2026-11-05", "extractant": extractant,
            "p": format!("40 {}", unit(place.p_unit)), "k": format!("90 {}", unit(place.k_unit)), "ph": 6.0});
        if advised {
            test["recommended"] = json!({"crop": forage, "yield": format!("{goal} tons/ac"), "n": format!("{n_lb} lb/ac"),
                "p2o5": format!("{p2o5} lb/ac"), "k2o": format!("{k2o} lb/ac")});
        }
        let mut field = json!({"id": format!("A{n}"), "forage": forage, "use": usage, "texture": "fine",
            "yield_goal": format!("{goal} tons/ac"), "soil_test": test});
        if forage.contains("clover") {
            field["legume"] = json!("30 %");
        }
        // Every other field was rated, as the tables know ratings.
        if let Some(rating) = ratings.get(n % ratings.len().max(1)).filter(|_| asks || n % 2 == 0) {
            field["phosphorus_rating"] =
                json!({"rating": rating.replace('_', " "), "by": "Avery Lunsford", "on": "2026-12-01"});
        }
        if let Some(way) = &own_plan {
            field["most"] = json!("2 tons/ac");
            field["phosphorus_rule"] = json!({"stated": [way.stated], "by": "Avery Lunsford", "on": "2026-12-01"});
        }
        fields.push(field);
    }
    let mut top = json!({
        "version": 2, "farm": "Nine Fields", "place": said, "plan": {"from": "2027-02-15", "to": "2027-10-31", "as_of": "2027-02-15"},
        "spreader": {"swath": "30 ft", "load": "8 tons", "step": "0.25 tons/ac", "least": "1 ton/ac", "most": "4 tons/ac",
            "calibrated": "2026-09-14"},
        "litter": [{"lot": "shed", "kind": "broiler litter", "on_hand": "240 tons", "stored": "shed",
            "analysis": {"lab": "state lab", "sampled": "2027-02-01", "basis": "as received", "moisture": "24 %",
                "total_n": "60 lb/ton", "ammonium_n": "9 lb/ton", "p2o5": "55 lb/ton", "k2o": "56 lb/ton"}}],
        "fields": fields,
    });
    if let Some(region) = region {
        top["region"] = json!(region);
    }
    let at = spot(&place.key);
    let features = (0..FIELDS.len()).map(|n| {
        json!({"type": "Feature", "properties": {"id": format!("A{n}")},
            "geometry": {"type": "Polygon", "coordinates": square(at, n)}})
    });
    let collection = |features: Vec<Value>| json!({"type": "FeatureCollection", "features": features}).to_string();
    FarmText {
        main: Some(top.to_string()),
        fields: Some(collection(features.collect())),
        keepouts: Some(collection(vec![stream(at)])),
        ..FarmText::default()
    }
}

fn question(texts: &FarmText) -> Question<'_> {
    let figures = Figures::Loaded(Arc::clone(&TABLES));
    let day = Day::Stated { today: date(2027, 2, 15) };
    Question { figures, ..Question::of(Folder::Memory { texts, log: "" }, day) }
}

/// What the check says, its last line, and the plan.
fn planned(texts: &FarmText) -> (Findings, Option<String>, Result<Planned, Findings>) {
    let weighed = match question(texts).check().weigh() {
        Ok(weighed) => weighed,
        Err(findings) => return (findings.clone(), None, Err(findings)),
    };
    (weighed.with_record(), weighed.without_litter(), weighed.plan(&LeastCost::default()))
}

/// Every place with each of its regions.
fn places() -> Vec<(&'static PlaceTable, Option<&'static str>)> {
    let all = TABLES.places.values().chain(BARE.iter().map(|key| TABLES.place(key).unwrap()));
    all.flat_map(|place| {
        let regions = place.regions.iter().map(|region| Some(region.as_str()));
        let none = place.regions.is_empty().then_some(None);
        regions.chain(none).map(move |region| (place, region)).collect::<Vec<_>>()
    })
    .collect()
}

/// The field of a number in farm.yaml, to be changed.
fn fields(texts: &FarmText, change: impl Fn(usize, &mut Value)) -> FarmText {
    let mut top: Value = serde_json::from_str(texts.main.as_ref().unwrap()).unwrap();
    let all = top["fields"].as_array_mut().unwrap();
    all.iter_mut().enumerate().for_each(|(n, field)| change(n, field));
    FarmText { main: Some(top.to_string()), ..texts.clone() }
}

/// Fields of a plan that are barred for want of a figure, or of a row that says what their
/// rating allows.
fn for_want_of_a_figure(plan: &Planned) -> Vec<String> {
    let bars = plan.balance.fields.iter().flat_map(|f| f.bars.iter().map(|bar| (f.field().id().to_string(), bar)));
    let wanting = bars.filter(|(_, bar)| matches!(bar.wants, Wants::Figure(..) | Wants::RatingRule));
    wanting.map(|(id, bar)| format!("{id}: {}", bar.why)).collect()
}

/// Every place at every level of the soil test, rated every way and not at all: each field has
/// another level and rating in each round.
fn rated_every_way() -> Vec<(String, Findings, Result<Planned, Findings>)> {
    let ratings = [None, Some("low"), Some("medium"), Some("high"), Some("very high")];
    let all = places().into_iter().flat_map(|at| (0..ratings.len()).map(move |round| (at, round)));
    let one = |((place, region), round): &((&PlaceTable, Option<&str>), usize)| {
        let levels = [2.0, 15.0, 40.0, 110.0, 400.0];
        let texts = fields(&farm(place, *region, &place.key, true), |n, field| {
            let (level, rating) = (levels[n % levels.len()], ratings[(n + n / levels.len() + round) % ratings.len()]);
            for key in ["p", "k"] {
                let unit = field["soil_test"][key].as_str().unwrap().split_once(' ').unwrap().1.to_string();
                field["soil_test"][key] = json!(format!("{level} {unit}"));
            }
            match rating {
                None => drop(field.as_object_mut().unwrap().remove("phosphorus_rating")),
                Some(word) => {
                    field["phosphorus_rating"] = json!({"rating": word, "by": "Avery Lunsford", "on": "2026-12-01"});
                }
            }
        });
        let (found, _, plan) = planned(&texts);
        (format!("{} {} round {round}", place.key, region.unwrap_or_default()), found, plan)
    };
    cores::each(&all.collect::<Vec<_>>(), one)
}

#[test]
fn no_field_lacks_a_figure_at_any_soil_test_or_rating() {
    let mut wrong = Vec::new();
    let (mut farms, mut rates, mut signs) = (0, 0, BTreeSet::new());
    for (whose, found, plan) in rated_every_way() {
        let plan = match plan {
            Ok(plan) => plan,
            Err(findings) => {
                wrong.extend(findings.sorted().into_iter().map(|f| format!("{whose}: {}", f.found)));
                continue;
            }
        };
        farms += 1;
        rates += plan.audited.plan().fields.iter().filter(|field| !field.applications.is_empty()).count();
        wrong.extend(for_want_of_a_figure(&plan).into_iter().map(|bar| format!("{whose}: {bar}")));
        wrong.extend(lost_signs(&plan, &mut signs).into_iter().map(|lost| format!("{whose}: {lost}")));
        // What stops a field, a rating that is asked for first, stands in the check.
        let told = |id: &str| {
            let named = |text: &str| {
                let of = text.split_once(": no litter").map_or("", |(of, _)| of);
                of.split(|c: char| !c.is_alphanumeric()).any(|word| word == id)
            };
            found.sorted().iter().any(|f| f.severity == Severity::Warning && named(&f.found))
        };
        let silent = plan.balance.fields.iter().filter(|f| !f.bars.is_empty() && !told(f.field().id()));
        wrong.extend(silent.map(|f| format!("{whose}: {} is barred, and the check is silent", f.field().id())));
    }
    assert!(wrong.is_empty(), "{} faults\n{}", wrong.len(), wrong.join("\n"));
    assert!(farms == 5 * places().len() && rates > 10 * places().len(), "{rates} rates in {farms} farms");
    // Each way to know a basis was met.
    assert!(signs.len() > 3, "{signs:?}");
}

/// Where a figure, a row or a limit shows less than the mark of what it comes from.
fn lost_signs(plan: &Planned, signs: &mut BTreeSet<Known>) -> Vec<String> {
    let mut lost = Vec::new();
    let html = binder(plan);
    for (field, weighed) in plan.audited.plan().fields.iter().zip(&plan.balance.fields) {
        let (steps, known, p) = (weighed.notes.known(), &field.known, &field.phosphorus);
        let mut at_least = |what: String, has: Known, least: Known| {
            if has < least {
                lost.push(format!("{}: {what} is {has:?}, and rests on {least:?}", field.id));
            }
        };
        signs.insert(known.basis);
        let rows = p.rows.iter().filter(|row| row.binds);
        let tied = rows.map(|row| row.cite.known).max().unwrap_or_default();
        at_least(format!("the basis {:?}", p.basis), known.basis, tied);
        at_least("what is allowed".to_string(), known.p2o5_allowed, known.basis);
        at_least("what comes with nitrogen".to_string(), known.with_n, known.basis);
        for row in &weighed.phosphorus.rows {
            let pounds = row.pounds.map_or(Known::Memory, |pounds| steps.of(pounds));
            at_least(format!("what `{}` allows", row.what), pounds, row.cite.known);
        }
        let capped = !matches!(p.basis, Basis::Nitrogen | Basis::Rests);
        for step in weighed.phosphorus.allowed.into_iter().filter(|_| capped) {
            at_least("the step of what is allowed".to_string(), steps.of(step), tied);
        }
        let of_rule = |limit: &&LotLimit| limit.kind == LimitKind::Phosphorus && weighed.phosphorus.most.is_empty();
        for limit in field.limits.iter().flat_map(|lot| &lot.limits).filter(of_rule).filter(|_| capped) {
            at_least(format!("the limit {}", limit.when), steps.of(limit.step), tied);
        }
        let sign = |known: Known| match known {
            Known::Read => "",
            Known::Said => "@",
            Known::Applied => "~",
            Known::CommonPractice => "^",
            Known::Memory => "?",
        };
        let mut cells = vec![format!("{}{}", p.basis.word(), sign(known.basis))];
        cells.extend(p.class.as_ref().map(|class| format!("{class}{}", sign(known.class))));
        let whole = p.allowed.map(|lb| units::number_text((lb + 1e-6).floor(), 0));
        cells.extend(whole.map(|lb| format!("{lb}{}", sign(known.p2o5_allowed))));
        let missing = cells.into_iter().filter(|cell| !html.contains(&format!(">{cell}</td>")));
        lost.extend(missing.map(|cell| format!("{}: not in the binder: {cell}", field.id)));
    }
    lost
}

/// The binder of a plan.
fn binder(planned: &Planned) -> String {
    let Planned { weighed, audited } = planned;
    let pipeline::Weighed { tables, ready, ground, balance, .. } = weighed;
    let plan = audited.plan();
    write::binder(&write::Papers {
        audited,
        ready,
        balance,
        ground,
        driving: &plan::driving(plan, ready, ground),
        days: None,
        tally: &plan::tally(ready, tables, balance, plan),
        actual: &plan::actual(ready, balance),
        cites: &plan::cites(ready, balance),
    })
}

/// A farm thrown by the dice: place, days, forages, soils, ratings, litter.
fn thrown(dice: &mut Dice) -> (FarmText, Date) {
    let all = places();
    let (place, region) = all[dice.below(all.len())];
    let texts = farm(place, region, &place.key, true);
    let mut top: Value = serde_json::from_str(texts.main.as_ref().unwrap()).unwrap();
    let from = date(2027, 1, 1).checked_add(dice.pick(0, 364).days()).unwrap();
    let before = |dice: &mut Dice, most: i64| from.checked_sub(dice.pick(1, most).days()).unwrap().to_string();
    let to = from.checked_add(dice.pick(20, 330).days()).unwrap();
    top["plan"] = json!({"from": from.to_string(), "to": to.to_string(), "as_of": from.to_string()});
    top["spreader"]["calibrated"] = json!(before(dice, 150));
    top["litter"][0]["analysis"]["sampled"] = json!(before(dice, 60));
    if dice.pick(0, 3) == 0 {
        top["prices"] = json!({"n": "0.70 $/lb", "p2o5": "0.60 $/lb", "k2o": "0.45 $/lb", "litter_sold": "8 $/ton",
            "loading_spreading": "7 $/ton", "hauling": "0.20 $/ton-mile"});
    }
    for field in top["fields"].as_array_mut().unwrap() {
        let (forage, usage, goal, _) = FIELDS[dice.below(FIELDS.len())];
        let goal = goal * dice.between(0.6, 1.1);
        let goal = json!(format!("{goal:.1} tons/ac"));
        (field["forage"], field["use"], field["yield_goal"]) = (json!(forage), json!(usage), goal.clone());
        field["texture"] = json!(["fine", "sandy"][dice.below(2)]);
        match forage.contains("clover") {
            true => field["legume"] = json!("30 %"),
            false => drop(field.as_object_mut().unwrap().remove("legume")),
        }
        let test = &mut field["soil_test"];
        test["sampled"] = json!(before(dice, 350));
        for key in ["p", "k"] {
            let unit = test[key].as_str().unwrap().split_once(' ').unwrap().1.to_string();
            test[key] = json!(format!("{} {unit}", dice.pick(1, 20) * dice.pick(1, 16)));
        }
        let lb = |dice: &mut Dice, most: i64| json!(format!("{} lb/ac", 10 * dice.pick(0, most)));
        test["recommended"] =
            json!({"crop": forage, "yield": goal, "n": lb(dice, 20), "p2o5": lb(dice, 9), "k2o": lb(dice, 16)});
        let words = ["low", "medium", "high", "very high"];
        match words.get(dice.below(words.len() + 1)) {
            None => drop(field.as_object_mut().unwrap().remove("phosphorus_rating")),
            Some(word) => {
                field["phosphorus_rating"] = json!({"rating": word, "by": "Avery Lunsford", "on": before(dice, 300)});
            }
        }
    }
    (FarmText { main: Some(top.to_string()), ..texts }, from)
}

/// Where a check has nothing to say, the plan bars nobody, and whatever is planned passes the
/// audit.
#[test]
fn a_clean_check_plans_whatever_the_dice_throw() {
    const FARMS: u64 = 300;
    let cases: Vec<u64> = (0..FARMS).collect();
    let throw = |case: &u64| {
        let (texts, on) = thrown(&mut Dice::of_case(*case));
        let asked = Question {
            figures: Figures::Loaded(Arc::clone(&TABLES)),
            ..Question::of(Folder::Memory { texts: &texts, log: "" }, Day::Stated { today: on })
        };
        let weighed = match asked.check().weigh() {
            Ok(weighed) => weighed,
            Err(found) => return (false, 0, vec![format!("{case}: refused: {:?}", found.sorted().first())]),
        };
        let found = weighed.with_record();
        let warned: Vec<String> = found
            .sorted()
            .into_iter()
            .filter(|f| !matches!(f.code.as_ref(), "place-bare" | "report-over") && f.severity != Severity::Note)
            .map(|f| format!("[{}] {}", f.code, f.found))
            .collect();
        // An error of the check, such as no field at all that can get litter, is no clean check.
        let plan = match weighed.plan(&LeastCost::default()) {
            Ok(plan) => plan,
            Err(found) => return (false, 0, vec![format!("{case}: {:?}", found.sorted().first())]),
        };
        let mut wrong: Vec<String> = Vec::new();
        let barred = plan.balance.fields.iter().filter(|f| !f.bars.is_empty());
        for field in barred {
            let id = field.field().id();
            if !warned.iter().any(|said| said.contains(id)) {
                wrong.push(format!("{case}: {id} is barred, and the check is silent: {:?}", field.bars));
            }
        }
        let got = plan.audited.plan().fields.iter().filter(|f| !f.applications.is_empty()).count();
        (warned.is_empty(), got, wrong)
    };
    let all: Vec<_> = cores::each(&cases, throw);
    let wrong: Vec<&String> = all.iter().flat_map(|(_, _, wrong)| wrong).collect();
    let clean = all.iter().filter(|(clean, ..)| *clean).count();
    let rates: usize = all.iter().map(|(_, got, _)| got).sum();
    assert!(wrong.is_empty(), "{} faults, {clean} clean\n{wrong:#?}", wrong.len());
    assert!(clean > 100 && rates > 300, "{clean} clean farms, {rates} fields with litter");
}

#[test]
fn nine_fields_with_a_report_plan_in_every_place() {
    let mut wrong = Vec::new();
    let mut rates = 0;
    for (place, region) in places() {
        let whose = format!("{} {}", place.key, region.unwrap_or_default());
        let (found, _, plan) = planned(&farm(place, region, &place.key, true));
        let known = ["place-bare", "report-over"];
        let told = found.sorted().into_iter().filter(|f| f.severity != Severity::Note && !known.contains(&&*f.code));
        wrong.extend(told.map(|f| format!("{whose}: [{}] {}", f.code, f.found)));
        assert_eq!(place.bare, found.sorted().iter().any(|f| f.code == "place-bare"), "{whose}");
        let Ok(plan) = plan else { continue };
        for (field, (.., [n, p2o5, k2o])) in plan.audited.plan().fields.iter().zip(FIELDS) {
            // The need is the report's where the place has no less; over one growing year or two.
            let years = field.need.k2o / k2o;
            if years.fract() != 0.0 || years < 1.0 || field.need.n > n * years || field.need.p2o5 > p2o5 * years {
                wrong.push(format!("{whose}: {} needs {:?}", field.id, field.need));
            }
            rates += usize::from(!field.applications.is_empty());
            let barred: Vec<&str> = field.bars.iter().map(|bar| bar.wants.as_str()).collect();
            if !barred.is_empty() || field.applications.is_empty() && field.why_none().is_empty() {
                wrong.push(format!("{whose}: {} gets none: {barred:?}", field.id));
            }
        }
    }
    assert!(wrong.is_empty(), "{} faults\n{}", wrong.len(), wrong.join("\n"));
    assert!(rates > 2 * places().len(), "only {rates} rates in {} farms", places().len());
}

#[test]
fn without_a_report_the_check_says_what_to_paste() {
    for (place, region) in places() {
        let (found, last, plan) = planned(&farm(place, region, &place.key, false));
        let missing: Vec<_> = found.sorted().into_iter().filter(|f| f.code == "figure-missing").collect();
        let whose = &place.key;
        let barred = match &plan {
            Ok(plan) => plan.audited.plan().fields.iter().filter(|f| !f.bars.is_empty()).count(),
            Err(findings) => panic!("{whose}: {:?}", findings.sorted()),
        };
        // Each field that lacks a figure is in the last line, and in one group.
        assert_eq!(barred > 0, !missing.is_empty(), "{whose}");
        assert!(missing.iter().all(|f| f.severity == Severity::Warning && !f.lines.is_empty()), "{whose}");
        assert!(missing.len() <= 4, "{whose}: {} groups", missing.len());
        let nowhere = found.sorted().iter().any(|f| f.code == "nowhere");
        assert_eq!(nowhere, barred == FIELDS.len(), "{whose}: {barred} of nine");
        if barred > 0 {
            let last = last.unwrap_or_else(|| panic!("{whose}: the last line does not say so"));
            assert!(last.contains(" of 9 fields cannot get"), "{whose}: {last}");
        }
        for finding in missing.iter().filter(|f| f.found.contains("p2o5_need")) {
            assert_eq!(finding.lines[0], "soil_test:", "{whose}");
            assert!(finding.lines[1].starts_with("  recommended: {crop: "), "{whose}");
            assert!(
                finding.lines.iter().any(|line| line.starts_with("  - {topic: p2o5_need, value: ... lb/ac")),
                "{whose}"
            );
        }
    }
}

/// Without a report a field is planned by its nitrogen and by what its phosphorus rule allows:
/// only what that rule goes by stops it. A need that nobody knows is no number anywhere, and
/// nothing is bought for it.
#[test]
fn only_what_a_limit_goes_by_stops_a_field_without_a_report() {
    let mut wrong = Vec::new();
    let (mut got, mut unknown) = (0, 0);
    for (place, region) in places() {
        let (found, _, plan) = planned(&farm(place, region, &place.key, false));
        let whose = format!("{} {}", place.key, region.unwrap_or_default());
        let plan = plan.unwrap_or_else(|found| panic!("{whose}: {:?}", found.sorted().first()));
        let told = |id: &str| found.sorted().iter().any(|f| f.code == "need-unknown" && f.found.contains(id));
        for (field, weighed) in plan.audited.plan().fields.iter().zip(&plan.balance.fields) {
            let p = &weighed.phosphorus;
            let wants =
                |key: &str| weighed.bars.iter().any(|bar| matches!(bar.wants, Wants::Figure(own, _) if own == key));
            let mut say = |what: &str| wrong.push(format!("{whose} {}: {what}", field.id));
            if wants("k2o_need") || wants("k2o_per_ton") {
                say("barred for potash, which limits nothing");
            }
            if wants("p2o5_need") && p.basis != Basis::SoilTest {
                say("barred for a need that its phosphorus rule does not go by");
            }
            let open = p.basis == Basis::SoilTest && weighed.bars.is_empty();
            if open && p.allowed.is_some_and(|allowed| !weighed.notes.knows(allowed)) {
                say("open, and nobody knows what its phosphorus rule allows");
            }
            let known = field.need.known();
            if !(known.p2o5 && known.k2o) && weighed.bars.is_empty() {
                unknown += 1;
                got += usize::from(!field.applications.is_empty());
                if !told(&field.id) {
                    say("a need is not known, and the check is silent");
                }
            }
            for (known, short) in [(known.p2o5, field.short.p2o5), (known.k2o, field.short.k2o)] {
                if !known && short != 0.0 {
                    say("short of what nobody knows");
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{} faults\n{}", wrong.len(), wrong.join("\n"));
    assert!(unknown > 20 && got > 10, "{got} of {unknown} fields with a need that is not known get litter");
}

#[test]
fn a_place_is_said_by_key_code_or_name() {
    let plan = |place: &PlaceTable, said: &str| {
        let (_, _, plan) = planned(&farm(place, place.regions.first().map(String::as_str), said, true));
        let plan = plan.unwrap_or_else(|f| panic!("{said}: {:?}", f.sorted()));
        (plan.audited.plan().place.clone(), plan.audited.plan().place_name.clone(), write::plan(&plan.audited, 80))
    };
    let arkansas = TABLES.place("us-ar").unwrap();
    for said in ["us-ar", "ar", "AR", "Arkansas", "arkansas"] {
        let (key, name, text) = plan(arkansas, said);
        assert_eq!((key.as_str(), name.as_str()), ("us-ar", "Arkansas"), "{said}");
        assert!(text.contains("Rules of Arkansas (us-ar)."), "{said}");
    }
    let kansas = TABLES.place("us-ks").unwrap();
    for said in ["us-ks", "KS", "Kansas"] {
        let (key, name, text) = plan(kansas, said);
        assert_eq!((key.as_str(), name.as_str()), ("us-ks", "Kansas"), "{said}");
        let face = text.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(face.contains("No tables of Kansas are held here: the federal baseline serves."), "{said}: {text}");
    }
    let (found, ..) = planned(&farm(kansas, None, "Kanzas", true));
    let unknown = found.sorted().into_iter().find(|f| f.code == "place-unknown").unwrap();
    assert_eq!(unknown.fix.as_deref(), Some("did you mean `Kansas`?"));
}

#[test]
fn what_is_loaded_for_one_place_plans_as_all_of_it() {
    for (key, said) in [("us-ks", "Kansas"), ("us-or", "OR"), ("us-tn", "tennessee")] {
        let place = TABLES.place(key).unwrap();
        let texts = farm(place, place.regions.first().map(String::as_str), said, true);
        let alone = Question { figures: Figures::BuiltIn, ..question(&texts) }.plan().unwrap();
        let all = question(&texts).plan().unwrap();
        assert_eq!(write::plan(&alone.audited, 80), write::plan(&all.audited, 80), "{said}");
    }
}
