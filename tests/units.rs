//! Units: a figure or a line of the farm in another unit gives the same plan or
//! is refused, never another plan without a word; and what a field's placement
//! changes.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Farm, NC, PLACES, Place, checked, figure, planned};
use serde_json::{Value, json};
use std::collections::BTreeSet;
use sward::tables::{self, Figure, Shape};
use sward::units::{Feet, LbPerAcre, LbPerTon, Percent, Ppm, Quantity, Tons, TonsPerAcre};

/// Units of which most are foreign to any one topic or line.
const UNITS: [&str; 16] = [
    "lb/ac", "lb/ton", "tons/ac", "tons", "%", "share", "ft", "days", "ppm", "years", "times", "index", "pH", "months",
    "$/ton", "miles",
];

/// A unit and another one, with how many of that one are one of the first.
const SAME: [(&str, &str, f64); 12] = [
    ("lb/ton", "kg/t", 0.5),
    ("lb/ac", "kg/ha", 1.120_851_156),
    ("tons/ac", "lb/ac", 2_000.0),
    ("tons", "lb", 2_000.0),
    ("ft", "m", 0.3048),
    ("days", "hours", 24.0),
    ("%", "percent", 1.0),
    ("$/lb", "$/kg", 2.204_622_622),
    ("$/ton", "$/t", 1.102_311_311),
    ("ppm", "mg/kg", 1.0),
    ("share", "%", 100.0),
    ("years", "months", 12.0),
];

/// Whether two plans say the same, but for what a conversion rounds and for
/// the marks of what they were made from.
fn same(a: &Value, b: &Value) -> bool {
    match (a, b) {
        (Value::Number(x), Value::Number(y)) => {
            let (x, y) = (x.as_f64().unwrap(), y.as_f64().unwrap());
            (x - y).abs() <= 1e-6 * x.abs().max(1.0)
        }
        (Value::Array(x), Value::Array(y)) => x.len() == y.len() && x.iter().zip(y).all(|(x, y)| same(x, y)),
        (Value::Object(x), Value::Object(y)) => {
            x.len() == y.len() && x.iter().all(|(key, x)| key == "made" || y.get(key).is_some_and(|y| same(x, y)))
        }
        _ => a == b,
    }
}

/// A farm on which many figures have their say.
fn farm(place: &'static Place) -> Farm {
    let unit = place.unit;
    let farm = Farm::new(place).keepout(200.0, json!({"kind": "well", "name": "the well"}));
    farm.with("litter.heap.analysis.zinc", "300 ppm")
        .with("litter.heap.analysis.copper", "200 ppm")
        .with("fields.A.soil_test.zinc", format!("90 {unit}"))
        .with("fields.A.soil_test.copper", format!("80 {unit}"))
        .with("fields.A.other_n", "10 lb/ac")
        .with("fields.A.legume", "5 %")
        .with("fields.A.most", "5 tons/ac")
        .with(
            "fields.A.erosion",
            json!({"slope": "3 %", "length": "100 ft", "erodibility": "0.24", "rain": "150",
            "cover": "97 %"}),
        )
}

/// A value in a unit of which so many are one of its own; none for what has no unit.
fn turned(shape: &Shape, times: f64) -> Option<String> {
    match shape {
        Shape::Number(number) => Some(format!("value: {}", number * times)),
        Shape::Steps(steps) => {
            let end = |up_to: Option<f64>| up_to.map_or(String::new(), |end| format!("up_to: {}, ", end * times));
            let steps: Vec<String> = steps.iter().map(|s| format!("{{{}is: \"{}\"}}", end(s.up_to), s.is)).collect();
            Some(format!("steps: [{}]", steps.join(", ")))
        }
        Shape::Curve { a, b, c, over } => {
            let over = over.map_or("sine", |scale| scale.word());
            Some(format!("curve: {{a: {}, b: {}, c: {}, over: {over}}}", a * times, b * times, c * times))
        }
        _ => None,
    }
}

/// A figure as `reference/` has it, in another unit and with other numbers.
fn rewritten(figure: &Figure, unit: &str, times: f64) -> String {
    let edition = figure.editions.last().unwrap();
    let applies: Vec<String> = figure.applies.iter().map(|(key, word)| format!("{key}: \"{word}\"")).collect();
    let note = edition.note.as_ref().map(|note| format!("      note: \"{}\"\n", note.replace('"', "'")));
    format!(
        "{}:\n  topic: {}\n  what: of a test\n  unit: \"{unit}\"\n  applies: {{{}}}\n  from:\n    {}:\n      \
         {}\n      source: {}\n      at: \"{}\"\n      known: {}\n{}  seen: 2026-11-25\n",
        figure.id,
        figure.topic.key(),
        applies.join(", "),
        edition.from,
        turned(&edition.shape, times).unwrap(),
        edition.source,
        edition.at.replace('"', "'"),
        edition.known.word(),
        note.unwrap_or_default(),
    )
}

/// Every figure with a unit that the plan of a farm goes by: of its own place and of the wider
/// ones from which that takes figures over.
fn used(plan: &kit::Planned) -> Vec<&Figure> {
    let text = plan.json.to_string();
    let named = |figure: &&Figure| {
        let key = format!("{}/{}", figure.of, figure.id);
        plan.used.contains(&key) || text.contains(&format!("\"{key}\""))
    };
    let measured = |figure: &&Figure| turned(&figure.editions.last().unwrap().shape, 1.0).is_some();
    plan.tables.places.values().flat_map(|place| &place.figures).filter(named).filter(measured).collect()
}

/// Every unit of the topic in turn, with the numbers turned by its factor: the same plan.
/// On another scale of soil tests, to which nothing can be turned: the same plan, or a word.
#[test]
fn a_figure_in_another_unit_gives_the_same_plan() {
    let (mut numbers, mut others, mut taken_over, mut refused) = (0, 0, 0, 0);
    for place in PLACES {
        let farm = farm(place);
        let before = planned(&farm);
        for figure in used(&before) {
            let units = figure.topic.units();
            let own = units.iter().find(|(name, _)| *name == figure.unit).unwrap().1;
            let on_a_scale = units.iter().any(|(name, _)| name.ends_with("index"));
            for (unit, factor) in units.iter().filter(|(name, _)| *name != figure.unit) {
                let now = farm.clone().figure_in(&figure.of, rewritten(figure, unit, own / factor));
                if on_a_scale && checked(&now).findings.has_errors() {
                    refused += 1;
                    continue;
                }
                let same = same(&before.json, &planned(&now).json);
                assert!(same || on_a_scale, "{}/{}: {} in {unit}", figure.of, figure.id, figure.unit);
                let number = matches!(figure.editions.last().unwrap().shape, Shape::Number(_));
                *if number { &mut numbers } else { &mut others } += 1;
                taken_over += usize::from(figure.of != place.key);
            }
        }
    }
    let seen = (numbers, others, taken_over, refused);
    assert!(numbers > 60 && others > 3 && taken_over > 10 && refused > 3, "{seen:?}");
}

/// In a unit that the topic is not measured in, the tables are refused: with
/// the figure's line and what is accepted.
#[test]
fn a_figure_in_a_foreign_unit_is_refused() {
    let (all, _) = tables::load(&tables::built_in());
    let source = ("sources.yaml".to_string(), "book: {title: A, publisher: B, year: 2020}\n".to_string());
    let place = ("zz/place.yaml".to_string(), "name: Z\ndecides: a test\n".to_string());
    let mut seen = BTreeSet::new();
    for figure in all.places.values().flat_map(|place| &place.figures) {
        if !matches!(figure.editions.last().map(|e| &e.shape), Some(Shape::Number(_))) || !seen.insert(figure.topic) {
            continue;
        }
        let accepted = figure.topic.units();
        let foreign = UNITS.iter().filter(|unit| !accepted.iter().any(|(name, _)| name == *unit));
        for unit in foreign {
            let text = rewritten(figure, unit, 1.0);
            let (_, found) = tables::load(&[source.clone(), place.clone(), ("zz/a.yaml".to_string(), text)]);
            let told = found.sorted().into_iter().find(|f| f.code == "unit-unknown");
            let told = told.unwrap_or_else(|| panic!("{} in {unit} passes", figure.id));
            assert_eq!((told.place.line, told.place.column), (4, 9), "{}", figure.id);
            assert!(told.accepted.is_some());
        }
    }
    assert!(seen.len() > 40, "only {} topics", seen.len());
}

/// The units in which a line that is written in this one may be written too.
fn spellings(unit: &str) -> Vec<&'static str> {
    fn of<Q: Quantity>() -> Vec<&'static str> {
        Q::SPELLINGS.iter().map(|(name, _)| *name).collect()
    }
    match unit {
        "lb/ton" => of::<LbPerTon>(),
        "lb/ac" => of::<LbPerAcre>(),
        "tons/ac" | "ton/ac" => of::<TonsPerAcre>(),
        "tons" => of::<Tons>(),
        "ft" => of::<Feet>(),
        "%" => of::<Percent>(),
        "ppm" => of::<Ppm>(),
        _ => vec![],
    }
}

/// Every line of the farm that is a number with its unit: its path and text.
fn lines(here: &Value, path: &str, all: &mut Vec<(String, String)>) {
    match here {
        Value::Object(map) => map.iter().for_each(|(key, value)| lines(value, &format!("{path}.{key}"), all)),
        Value::Array(list) => {
            for entry in list {
                if let Some(id) = entry["id"].as_str().or(entry["lot"].as_str()) {
                    lines(entry, &format!("{path}.{id}"), all);
                }
            }
        }
        Value::String(text) if text.split_once(' ').is_some_and(|(number, _)| number.parse::<f64>().is_ok()) => {
            all.push((path.trim_start_matches('.').to_string(), text.clone()));
        }
        _ => {}
    }
}

#[test]
fn a_line_of_the_farm_in_another_unit_gives_the_same_plan_or_a_word() {
    let (mut converted, mut refused) = (0, 0);
    for place in PLACES {
        let farm = farm(place);
        let before = planned(&farm);
        let mut all = Vec::new();
        lines(&serde_json::from_str(&farm.main()).unwrap(), "", &mut all);
        for (path, text) in all {
            let (number, unit) = text.split_once(' ').unwrap();
            if let Some((_, other, factor)) = SAME.iter().find(|(known, _, _)| *known == unit) {
                let number = number.parse::<f64>().unwrap() * factor;
                let now = farm.clone().with(&path, format!("{number} {other}"));
                if !checked(&now).findings.has_errors() {
                    assert!(same(&before.json["fields"], &planned(&now).json["fields"]), "{path}: {number} {other}");
                    converted += 1;
                }
            }
            // A soil test has its laboratory's scale, which no other is taken for.
            let known = if path.contains("soil_test") { Vec::new() } else { spellings(unit) };
            for foreign in UNITS.iter().filter(|foreign| **foreign != unit && !known.contains(foreign)) {
                let now = farm.clone().with(&path, format!("{number} {foreign}"));
                assert!(checked(&now).findings.has_errors(), "{path}: `{text}` in {foreign} passes");
                refused += 1;
            }
        }
    }
    assert!(converted > 20 && refused > 400, "{converted} converted, {refused} refused");
}

/// Seen: a limit of 50 ppm beside a test of 900 lb/ac stopped nothing.
#[test]
fn a_limit_on_another_scale_than_the_test_is_named() {
    for place in PLACES {
        for metal in ["zinc", "copper"] {
            let stop = figure(&format!("soil_{metal}_stop"), "ppm", "forage: tall_fescue", "value: 50");
            let key = format!("fields.A.soil_test.{metal}");
            let farm = Farm::new(place).figure(stop).with(&key, format!("900 {}", place.unit));
            let found = checked(&farm).found("soil-unit");
            assert_eq!(found, [format!("field A: soil-test `{metal}` is 900 {}", place.unit)], "{}", place.key);
            let same_scale = farm.with(&key, "900 ppm");
            assert_eq!(planned(&same_scale).bars("A"), 1, "{}", place.key);
        }
    }
}

/// Seen: classes in ppm were applied to a test in lb/ac.
#[test]
fn classes_on_another_scale_than_the_test_are_named() {
    for place in PLACES {
        let scope = format!("extractant: {}", place.extractant.replace('-', "_"));
        let scope = format!("{scope}, region: {}", place.region);
        for (topic, key) in [("soil_p_class.own", "p"), ("soil_k_class.own", "k")] {
            let steps = "steps: [{up_to: 30, is: low}, {is: high}]";
            let farm = Farm::new(place).figure(figure(topic, "ppm", &scope, steps));
            let found = checked(&farm).found("soil-unit");
            assert_eq!(found.len(), 1, "{}: {topic}: {found:?}", place.key);
            assert!(found[0].contains(&format!("`{key}`")), "{found:?}");
        }
    }
}

/// Seen: 3 % of typical litter were taken as 3 lb a ton.
#[test]
fn typical_contents_in_percent_are_percent() {
    let plain = |unit: &str, value: &str| {
        let typical = |nutrient: &str| {
            figure("litter_typical", unit, &format!("material: broiler_litter, nutrient: {nutrient}"), value)
        };
        let farm = ["total_n", "p2o5", "k2o"].iter().fold(Farm::new(&NC), |farm, n| farm.figure(typical(n)));
        planned(&farm.with("litter.heap.analysis", json!(null))).json["fields"].clone()
    };
    let (percent, pounds) = (plain("%", "value: 3"), plain("lb/ton", "value: 60"));
    assert!(same(&percent, &pounds), "{percent} and {pounds}");
    assert!(!percent.is_null());
}

/// A place that asks less of litter that is worked in: each field by its own
/// placement, the wider distance where it is spread on top.
#[test]
fn a_distance_by_placement_is_that_of_the_field() {
    for place in PLACES {
        let of = |placement: &str, feet: u32| {
            let scope =
                format!("feature: spring, placement: {placement}, operation: ordinary, strip: no, owner: neighbor");
            figure("setback", "ft", &scope, &format!("value: {feet}"))
        };
        let farm = Farm::new(place).figure(of("surface", 400)).figure(of("incorporated", 200));
        let farm = farm.field("B").keepout(500.0, json!({"kind": "spring", "name": "the spring"}));
        let feet = |farm: &Farm, field: &str| {
            let plan = planned(farm);
            plan.field(field)["kept_off"][0]["feet"].as_f64().unwrap()
        };
        assert_eq!((feet(&farm, "A"), feet(&farm, "B")), (400.0, 400.0), "{}", place.key);
        let one = farm.clone().with("fields.B.worked_in", "1 days");
        assert_eq!((feet(&one, "A"), feet(&one, "B")), (400.0, 200.0), "{}", place.key);
        let both = one.with("fields.A.worked_in", "1 days");
        assert_eq!((feet(&both, "A"), feet(&both, "B")), (200.0, 200.0), "{}", place.key);
    }
}

/// A soil test in kilograms a hectare is told in pounds an acre, and the elements of a
/// recommendation as the oxides, each with what to write.
#[test]
fn what_is_written_in_another_measure_comes_back_in_the_one_to_write() {
    let fixes = |farm: &Farm, code: &str| -> Vec<String> {
        let found = checked(farm).findings;
        found.sorted().into_iter().filter(|f| f.code == code).map(|f| format!("{:?}", f.fix)).collect()
    };
    for place in PLACES {
        let farm = Farm::new(place).with("fields.A.soil_test.p", "60 kg/ha");
        let said = fixes(&farm, "soil-value");
        assert!(said.len() == 1 && said[0].contains("write `p: 53.5 lb/ac`"), "{}: {said:?}", place.key);
        let report = |key: &str, lb: &str| {
            let advice = json!({"crop": "tall fescue", "yield": "4 tons/ac", "n": "160 lb/ac", key: lb});
            Farm::new(place).with("fields.A.soil_test.recommended", advice)
        };
        for (key, lb, write) in
            [("p", "40 lb/ac", "write `p2o5: 91.7 lb/ac`"), ("k", "100 lb/ac", "write `k2o: 120.5 lb/ac`")]
        {
            let said = fixes(&report(key, lb), "recommended-element");
            assert!(said.len() == 1 && said[0].contains(write), "{}: {said:?}", place.key);
            assert!(!checked(&report(key, lb)).codes().contains("key-unknown"), "{}: {key}", place.key);
        }
        assert!(fixes(&report("p2o5", "40 lb/ac"), "recommended-element").is_empty());
    }
}

/// Where a laboratory of the place names what its own unit is in another, the value to write is
/// told; nothing is turned by itself, and nothing is told of another extractant.
#[test]
fn a_soil_test_in_another_unit_comes_back_in_that_of_the_place() {
    static OK: Place = Place {
        key: "us-ok",
        region: "rest_of_state",
        extractant: "mehlich-3",
        unit: "index",
        asks_needs: true,
        at: (-95.2, 35.9),
    };
    static PA: Place =
        Place { key: "us-pa", region: "", extractant: "mehlich-3", unit: "ppm", asks_needs: true, at: (-76.3, 40.1) };
    let said = |farm: &Farm| {
        let found = checked(farm).findings;
        found
            .sorted()
            .into_iter()
            .filter(|f| f.code == "soil-unit")
            .map(|f| kit::flat(&format!("{} {:?}", f.in_words(), f.accepted)))
            .collect::<Vec<_>>()
    };
    for (place, written, write) in [
        (&OK, "40 ppm", "write `p: 80 index`"),
        (&OK, "40 lb/ac", "write `p: 40 index`"),
        (&PA, "40 lb/ac", "write `p: 20 ppm`"),
    ] {
        let farm = Farm::new(place).with("fields.A.soil_test.p", written);
        let one = said(&farm);
        assert!(one.len() == 1 && one[0].contains(write) && one[0].contains(" is "), "{written}: {one:?}");
        let two = farm.field("B").with("fields.B.soil_test.p", written);
        let two = said(&two);
        assert!(two.len() == 1 && two[0].contains("multiply each by"), "{written}: {two:?}");
        let other =
            Farm::new(place).with("fields.A.soil_test.p", written).with("fields.A.soil_test.extractant", "mehlich-1");
        assert!(said(&other).is_empty(), "{written}");
    }
    // North Carolina's index is by volume, and no source of it names a factor.
    let nc = said(&Farm::new(&NC).with("fields.A.soil_test.p", "40 ppm"));
    assert!(nc.len() == 1 && nc[0].contains("ask the laboratory"), "{nc:?}");
}

/// A report in bushels is weighed by the crop that it is for.
#[test]
fn bushels_of_a_report_are_those_of_its_crop() {
    let advice = json!({"crop": "corn", "yield": "120 bu/ac", "n": "97 lb/ac"});
    let farm = Farm::new(&NC).with("fields.A.soil_test.recommended", advice);
    let found = checked(&farm).findings;
    let said: Vec<String> =
        found.sorted().into_iter().filter(|f| f.code == "bushel").map(|f| kit::flat(&f.in_words())).collect();
    assert!(
        said.len() == 1 && said[0].contains("write the yield in tons/ac") && said[0].contains("{crop: corn, bushel:"),
        "{said:?}"
    );
}

/// A laboratory that the place's tables are not for is one fault, however many fields it tested.
#[test]
fn a_foreign_extractant_is_one_error_for_all_fields() {
    for place in PLACES {
        let other = if place.extractant == "mehlich-1" { "mehlich-3" } else { "mehlich-1" };
        let ids = ["A", "B", "C"];
        let mut farm = Farm::new(place).field("B").field("C");
        for id in ids {
            farm.set(&format!("fields.{id}.soil_test.extractant"), other);
            farm.set(&format!("fields.{id}.soil_test.p"), "45 ppm");
        }
        let found = checked(&farm);
        assert_eq!(found.found("extractant"), [format!("fields A, B and C: the soil test used `{other}`")]);
        assert!(found.found("soil-unit").is_empty(), "{}: {:?}", place.key, found.found("soil-unit"));
        for id in ids {
            farm.set(&format!("fields.{id}.soil_test.extractant"), place.extractant);
        }
        let units = checked(&farm).found("soil-unit");
        assert!(units.is_empty() || units == ["fields A, B and C: soil-test `p` is in ppm"], "{units:?}");
    }
}
