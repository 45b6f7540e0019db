//! Slips and quiet omissions in `fields.geojson` and `keepouts.geojson`, each
//! made in a copy of the demo farm: every one is an error or a warning that
//! names the value, or is truly fine, and then the row says why.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod demo;

use serde_json::{Value, json};
use std::sync::{Arc, LazyLock};
use sward::farm::{self, FarmText};
use sward::findings::{Finding, Findings, Severity};
use sward::pipeline::{Figures, Question};
use sward::tables::Tables;

static TABLES: LazyLock<Arc<Tables>> = LazyLock::new(|| Arc::new(demo::tables_with("")));

/// The two map files of the demo farm.
struct Maps {
    fields: Value,
    keepouts: Value,
}

impl Maps {
    fn demo() -> Maps {
        let read = |name| serde_json::from_str(&demo::file(name)).unwrap();
        Maps { fields: read(farm::FIELDS), keepouts: read(farm::KEEPOUTS) }
    }

    /// The keep-out with this name.
    fn keep(&mut self, name: &str) -> &mut Value {
        feature(&mut self.keepouts, "name", name)
    }

    /// The properties of the keep-out with this name.
    fn says(&mut self, name: &str) -> &mut Value {
        &mut self.keep(name)["properties"]
    }

    /// The boundary of a field.
    fn field(&mut self, id: &str) -> &mut Value {
        feature(&mut self.fields, "id", id)
    }

    fn gate(&mut self, of: &str) -> &mut Value {
        feature(&mut self.fields, "field", of)
    }

    fn stack(&mut self, of: &str) -> &mut Value {
        feature(&mut self.fields, "lot", of)
    }
}

fn feature<'a>(file: &'a mut Value, key: &str, value: &str) -> &'a mut Value {
    let all = file["features"].as_array_mut().unwrap();
    all.iter_mut().find(|f| f["properties"][key] == value).unwrap_or_else(|| panic!("no feature with {key} {value}"))
}

/// A property under another name, its value kept.
fn rename(properties: &mut Value, old: &str, new: &str) {
    let value = properties.as_object_mut().unwrap().remove(old).unwrap();
    properties[new] = value;
}

fn remove(properties: &mut Value, key: &str) {
    properties.as_object_mut().unwrap().remove(key).unwrap();
}

fn shape(kind: &str, coordinates: Value) -> Value {
    json!({"type": kind, "coordinates": coordinates})
}

/// Every number of the coordinates of a file, longitude or latitude, changed.
fn each_corner(value: &mut Value, change: &dyn Fn(f64, f64) -> (f64, f64)) {
    match value {
        Value::Array(items) if items.first().is_some_and(Value::is_number) => {
            let (x, y) = change(items[0].as_f64().unwrap(), items[1].as_f64().unwrap());
            (items[0], items[1]) = (json!(x), json!(y));
        }
        Value::Array(items) => items.iter_mut().for_each(|item| each_corner(item, change)),
        Value::Object(map) => {
            for key in ["features", "geometry", "coordinates"] {
                if let Some(inner) = map.get_mut(key) {
                    each_corner(inner, change);
                }
            }
        }
        _ => {}
    }
}

fn moved(feature: &mut Value, east: f64, north: f64) {
    each_corner(feature, &|x, y| (x + east, y + north));
}

/// What `check` says of a farm with these maps.
fn told(maps: &Maps, main: Option<String>) -> Findings {
    let mut texts =
        FarmText { fields: Some(maps.fields.to_string()), keepouts: Some(maps.keepouts.to_string()), ..demo::texts() };
    if main.is_some() {
        texts.main = main;
    }
    let figures = Figures::Loaded(TABLES.clone());
    Question { figures, ..demo::asked(&texts) }.check().findings
}

/// What is expected of a slip.
enum Outcome {
    /// An error with this code that names these.
    Error(&'static str, &'static [&'static str]),
    /// A warning with this code that names these; the plan is made.
    Warning(&'static str, &'static [&'static str]),
    /// No error or warning that the demo farm has not, because of this.
    Fine(&'static str),
}

use Outcome::{Error, Fine, Warning};

type Slip = (&'static str, fn(&mut Maps), Outcome);

fn matches(finding: &Finding, code: &str, names: &[&str]) -> bool {
    let text = format!(
        "{} {} {}",
        finding.found,
        finding.accepted.as_deref().unwrap_or_default(),
        finding.fix.as_deref().unwrap_or_default()
    );
    finding.code == code && names.iter().all(|name| text.contains(name))
}

fn hold(slips: &[Slip]) {
    let plain: Vec<Finding> = told(&Maps::demo(), None).sorted().into_iter().cloned().collect();
    assert!(plain.iter().all(|f| f.severity != Severity::Error), "{plain:?}");
    let mut wrong = Vec::new();
    for (name, change, outcome) in slips {
        let mut maps = Maps::demo();
        change(&mut maps);
        let found = told(&maps, None);
        // Places move with every change; what is said does not.
        let said = |f: &Finding| !plain.iter().any(|p| p.code == f.code && p.found == f.found);
        let said = |f: &Finding| said(f) && f.severity != Severity::Note;
        let new: Vec<Finding> = found.sorted().into_iter().filter(|f| said(f)).cloned().collect();
        let holds = match outcome {
            Error(code, names) => new.iter().any(|f| f.severity == Severity::Error && matches(f, code, names)),
            Warning(code, names) => {
                !found.has_errors() && new.iter().any(|f| f.severity == Severity::Warning && matches(f, code, names))
            }
            Fine(why) => !why.is_empty() && new.is_empty(),
        };
        if !holds {
            let lines: Vec<String> =
                new.iter().map(|f| format!("  {}[{}] {}", f.severity.word(), f.code, f.found)).collect();
            wrong.push(format!("{name}:\n{}", lines.join("\n")));
        }
    }
    assert!(wrong.is_empty(), "{} of {} rows\n{}", wrong.len(), slips.len(), wrong.join("\n"));
}

/// Names of features of the demo farm.
const CREEK: &str = "Little Quillen Creek";
const POND: &str = "Lower Pond";
const WELL: &str = "House well";
const HOUSE: &str = "Swink house";

#[test]
fn words_of_a_keepout_mean_something() {
    hold(&[
        (
            "setback_by -> setbackby",
            |m| rename(m.says(CREEK), "setback_by", "setbackby"),
            Error("property-unknown", &["`setbackby`", "`setback_by`"]),
        ),
        (
            "setback -> set_back",
            |m| rename(m.says(CREEK), "setback", "set_back"),
            Error("property-unknown", &["`set_back`", "`setback`"]),
        ),
        (
            "setback -> buffer, setback_by -> buffer_by",
            |m| {
                rename(m.says(CREEK), "setback", "buffer");
                rename(m.says(CREEK), "setback_by", "buffer_by");
            },
            Error("property-unknown", &["`buffer`", "\"setback\""]),
        ),
        (
            "setback -> setbak, setback_by -> setbak_by",
            |m| {
                rename(m.says(CREEK), "setback", "setbak");
                rename(m.says(CREEK), "setback_by", "setbak_by");
            },
            Error("property-unknown", &["`setbak`", "`setback`"]),
        ),
        (
            "vegetated_strip -> vegetatedstrip",
            |m| rename(m.says("Dam Pond"), "vegetated_strip", "vegetatedstrip"),
            Error("property-unknown", &["`vegetatedstrip`", "`vegetated_strip`"]),
        ),
        (
            "owner -> Owner",
            |m| rename(m.says(WELL), "owner", "Owner"),
            Error("property-unknown", &["`Owner`", "`owner`"]),
        ),
        (
            "owner of a well omitted",
            |m| remove(m.says(WELL), "owner"),
            Fine("the place's rule asks 100 ft of every well, whosever it is"),
        ),
        (
            "owner of a house omitted",
            |m| remove(m.says(HOUSE), "owner"),
            Warning("keepout-unsaid", &[HOUSE, "neighbor", "200 ft"]),
        ),
        (
            "a neighbor's house called own",
            |m| m.says(HOUSE)["owner"] = json!("own"),
            Fine("no map says whose a house is; the sheet prints 0 ft beside its name"),
        ),
        ("kind Well", |m| m.says(WELL)["kind"] = json!("Well"), Fine("case does not count")),
        (
            "kind creek",
            |m| m.says(CREEK)["kind"] = json!("creek"),
            Error("word-unknown", &["`creek`", "perennial stream"]),
        ),
        (
            "kind sinkhole without setback",
            |m| m.says(WELL)["kind"] = json!("sinkhole"),
            Error("setback-asked", &["sinkhole"]),
        ),
        (
            "kind spring without setback",
            |m| m.says(WELL)["kind"] = json!("spring"),
            Error("setback-asked", &["spring"]),
        ),
        ("kind -> type", |m| rename(m.says(CREEK), "kind", "type"), Error("property-unknown", &["`type`", "`kind`"])),
        (
            "setback and setback_by removed",
            |m| {
                remove(m.says(POND), "setback");
                remove(m.says(POND), "setback_by");
            },
            Error("setback-asked", &[POND]),
        ),
        ("setback 100 without a unit", |m| m.says(POND)["setback"] = json!(100), Error("unit-missing", &["100"])),
        ("setback \"100\"", |m| m.says(POND)["setback"] = json!("100"), Error("unit-missing", &["100"])),
        ("setback 1 ft", |m| m.says(POND)["setback"] = json!("1 ft"), Warning("setback-unusual", &["1 ft"])),
        ("setback 100 in", |m| m.says(POND)["setback"] = json!("100 in"), Error("unit-unknown", &["100 in"])),
        (
            "setback 4 ft, narrower than the table",
            |m| m.says(CREEK)["setback"] = json!("4 ft"),
            Warning("setback-narrow", &["4 ft", "25 ft"]),
        ),
        (
            "setback 400 ft",
            |m| m.says(CREEK)["setback"] = json!("400 ft"),
            Warning("setback-unusual", &["400 ft", "perennial stream"]),
        ),
        ("setback 40 m", |m| m.says(CREEK)["setback"] = json!("40 m"), Fine("meters are taken, and shown in feet")),
        ("consent empty", |m| m.says(HOUSE)["consent"] = json!(""), Error("consent", &[HOUSE, "``"])),
        ("consent no", |m| m.says(HOUSE)["consent"] = json!("no"), Error("consent", &[HOUSE, "`no`"])),
        ("consent false", |m| m.says(HOUSE)["consent"] = json!(false), Error("consent", &[HOUSE, "`false`"])),
        (
            "above a field that is not there",
            |m| {
                m.says(WELL)["above"] = json!(["X9"]);
                m.says(WELL)["above_by"] = json!("A. Lunsford, 2026-11-01");
            },
            Error("id-unknown", &["`X9`"]),
        ),
        (
            "above all fields, where no rule asks",
            |m| {
                m.says(WELL)["above"] = json!(["N1", "N2", "B1", "B2"]);
                m.says(WELL)["above_by"] = json!("A. Lunsford, 2026-11-01");
            },
            Warning("no-exception", &[WELL, "100 ft"]),
        ),
    ]);
}

#[test]
fn kin_of_the_words() {
    hold(&[
        ("consent refused", |m| m.says(HOUSE)["consent"] = json!("refused"), Error("consent", &["`refused`"])),
        (
            "consent refused with name and date",
            |m| m.says(HOUSE)["consent"] = json!("R. Swink refused, 2026-10-01"),
            Error("consent", &["refusal"]),
        ),
        (
            "consent with a name alone",
            |m| m.says(HOUSE)["consent"] = json!("R. Swink"),
            Error("consent", &["R. Swink", "a date"]),
        ),
        ("consent a list", |m| m.says(HOUSE)["consent"] = json!(["R. Swink"]), Error("consent", &[HOUSE])),
        (
            "consent by nobody",
            |m| m.says(HOUSE)["consent"] = json!({"by": "?", "on": "2026-10-01"}),
            Error("name-missing", &["`?`"]),
        ),
        (
            "consent without a day",
            |m| m.says(HOUSE)["consent"] = json!({"by": "R. Swink"}),
            Error("key-missing", &["`on:`"]),
        ),
        (
            "consent to a bare number",
            |m| m.says(HOUSE)["consent"] = json!({"by": "R. Swink", "on": "2026-10-01", "to": 100}),
            Error("unit-missing", &["100"]),
        ),
        (
            "consent of a later year",
            |m| m.says(HOUSE)["consent"] = json!({"by": "R. Swink", "on": "2036-10-01"}),
            Error("who-when", &["2036-10-01"]),
        ),
        (
            "consent with a word of its own",
            |m| m.says(HOUSE)["consent"] = json!({"by": "R. Swink", "on": "2026-10-01", "feet": 100}),
            Error("key-unknown", &["`feet`"]),
        ),
        (
            "consent where the rule takes none",
            |m| m.says(HOUSE)["consent"] = json!({"by": "R. Swink", "on": "2026-10-01"}),
            Warning("no-exception", &[HOUSE, "200 ft"]),
        ),
        (
            "consent null",
            |m| m.says(HOUSE)["consent"] = json!(null),
            Fine("nothing written is no consent: the full 200 ft hold"),
        ),
        (
            "setback_by a name alone",
            |m| m.says(CREEK)["setback_by"] = json!("Dell Farrow"),
            Error("who-when", &["Dell Farrow", "a date"]),
        ),
        (
            "setback_by a date alone",
            |m| m.says(CREEK)["setback_by"] = json!("2026-10-20"),
            Error("who-when", &["2026-10-20", "a name"]),
        ),
        ("setback_by empty", |m| m.says(CREEK)["setback_by"] = json!(""), Error("empty-text", &["`setback_by`"])),
        ("setback_by true", |m| m.says(CREEK)["setback_by"] = json!(true), Error("who-when", &["`true`"])),
        (
            "setback_by of a later year",
            |m| m.says(CREEK)["setback_by"] = json!("Dell Farrow, 2062-10-20"),
            Error("who-when", &["2062-10-20"]),
        ),
        (
            "setback_by of a year in the distant past",
            |m| m.says(CREEK)["setback_by"] = json!("Dell Farrow, 0206-10-20"),
            Error("who-when", &["0206-10-20"]),
        ),
        (
            "setback removed, setback_by kept",
            |m| remove(m.says(CREEK), "setback"),
            Error("setback-by", &[CREEK, "`setback`"]),
        ),
        (
            "setback_by removed, setback kept",
            |m| remove(m.says(CREEK), "setback_by"),
            Error("setback-by", &[CREEK, "`setback_by`"]),
        ),
        (
            "above_by without above",
            |m| m.says(WELL)["above_by"] = json!("A. Lunsford, 2026-11-01"),
            Error("above-by", &[WELL, "`above`"]),
        ),
        ("above a single word", |m| m.says(WELL)["above"] = json!("B1"), Error("not-a-list", &["`above`"])),
        ("vegetated_strip maybe", |m| m.says(CREEK)["vegetated_strip"] = json!("maybe"), Error("yes-no", &["`maybe`"])),
        ("vegetated_strip 35", |m| m.says(CREEK)["vegetated_strip"] = json!(35), Error("yes-no", &["`35`"])),
        (
            "vegetated_strip a list",
            |m| m.says(CREEK)["vegetated_strip"] = json!([true]),
            Error("not-text-value", &["vegetated_strip"]),
        ),
        (
            "vegetated_strip \"yes\"",
            |m| m.says(CREEK)["vegetated_strip"] = json!("yes"),
            Fine("yes and no are taken as true and false"),
        ),
        ("owner 1", |m| m.says(HOUSE)["owner"] = json!(1), Error("word-unknown", &["`1`", "neighbor"])),
        (
            "owner a person",
            |m| m.says(HOUSE)["owner"] = json!("R. Swink"),
            Error("word-unknown", &["`R. Swink`", "own, neighbor"]),
        ),
        ("setback -5 ft", |m| m.says(CREEK)["setback"] = json!("-5 ft"), Error("out-of-range", &["-5 ft"])),
        ("setback 0 ft", |m| m.says(POND)["setback"] = json!("0 ft"), Warning("setback-unusual", &["0 ft"])),
        ("setback 40 miles", |m| m.says(CREEK)["setback"] = json!("40 miles"), Error("unit-unknown", &["miles"])),
        (
            "setback 4000 ft",
            |m| m.says(CREEK)["setback"] = json!("4000 ft"),
            Warning("setback-unusual", &["4,000 ft", "wide"]),
        ),
        ("setback a list", |m| m.says(CREEK)["setback"] = json!(["40 ft"]), Error("not-text-value", &["setback"])),
        (
            "distance beside a setback",
            |m| m.says(CREEK)["distance"] = json!(60),
            Error("property-unknown", &["`distance`"]),
        ),
        ("width", |m| m.says(CREEK)["width"] = json!("12 ft"), Error("property-unknown", &["`width`"])),
        ("BUFF_DIST", |m| m.says(CREEK)["BUFF_DIST"] = json!(30), Error("property-unknown", &["`BUFF_DIST`"])),
        ("setback_ft", |m| m.says(CREEK)["setback_ft"] = json!(60), Error("property-unknown", &["`setback_ft`"])),
        ("waiver", |m| m.says(HOUSE)["waiver"] = json!("yes"), Error("property-unknown", &["`waiver`", "`consent`"])),
        (
            "neighbor: yes for the owner",
            |m| {
                remove(m.says(HOUSE), "owner");
                m.says(HOUSE)["neighbor"] = json!("yes");
            },
            // The distance from a neighbor's house holds all the same.
            Warning("properties-unread", &["`neighbor`"]),
        ),
        ("type beside kind", |m| m.says(CREEK)["type"] = json!("NHD 460"), Warning("properties-unread", &["`type`"])),
        ("properties null", |m| m.keep(CREEK)["properties"] = json!(null), Error("keepout-kind", &["does not say"])),
        ("no properties at all", |m| m.keep(CREEK)["properties"] = json!({}), Error("key-missing", &["kind"])),
        (
            "kind well of a house",
            |m| m.says(HOUSE)["kind"] = json!("house"),
            Error("word-unknown", &["`house`", "dwelling"]),
        ),
        ("kind empty", |m| m.says(HOUSE)["kind"] = json!(""), Error("empty-text", &["`kind`"])),
        (
            "name empty",
            |m| m.says(WELL)["name"] = json!(""),
            Fine("a name is for the map only; the kind stands in its place"),
        ),
    ]);
}

#[test]
fn keepouts_lie_and_are_drawn_as_what_they_are() {
    hold(&[
        ("a well 3 km off", |m| moved(m.keep(WELL), 0.034, 0.0), Warning("keepouts-idle", &[WELL, "miles off"])),
        (
            "a well 0.2 degrees off",
            |m| moved(m.keep(WELL), 0.2, 0.0),
            Warning("keepouts-idle", &[WELL, "10.7 miles off"]),
        ),
        ("a well 1 degree off", |m| moved(m.keep(WELL), 1.02, 0.0), Warning("far-away", &[WELL, "57 miles"])),
        (
            "a stream in web Mercator",
            |m| each_corner(m.keep(CREEK), &|x, y| (x * 111_319.49, y * 118_000.0)),
            Error("off-the-map", &[CREEK, "web Mercator"]),
        ),
        (
            "keep-outs said to be NAD83",
            |m| m.keepouts["crs"] = json!({"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::4269"}}),
            Fine("degrees of NAD83 lie within some feet of WGS84's"),
        ),
        (
            "no features",
            |m| m.keepouts["features"] = json!([]),
            Warning("keepouts-none", &["nothing to keep away from"]),
        ),
        ("geometry null", |m| m.keep(CREEK)["geometry"] = json!(null), Error("geojson", &["no geometry"])),
        (
            "a line without points",
            |m| m.keep(CREEK)["geometry"] = shape("LineString", json!([])),
            Error("geojson", &["a single corner or none"]),
        ),
        (
            "a line of one point",
            |m| m.keep(CREEK)["geometry"] = shape("LineString", json!([[-79.470111, 35.731111]])),
            Error("geojson", &["a single corner"]),
        ),
        (
            "a stream as a point",
            |m| m.keep(CREEK)["geometry"] = shape("Point", json!([-79.470111, 35.731111])),
            Error("keepout-drawn", &[CREEK, "perennial stream", "a Point"]),
        ),
        (
            "a pond as a line",
            |m| {
                let ring = m.keep(POND)["geometry"]["coordinates"][0].clone();
                m.keep(POND)["geometry"] = shape("LineString", ring);
            },
            Error("keepout-drawn", &[POND, "a LineString", "a Polygon"]),
        ),
        (
            "a pond as points",
            |m| {
                let ring = m.keep(POND)["geometry"]["coordinates"][0].clone();
                m.keep(POND)["geometry"] = shape("MultiPoint", ring);
            },
            Error("keepout-drawn", &[POND, "a MultiPoint"]),
        ),
        (
            "a well as large as a county",
            |m| {
                m.keep(WELL)["geometry"] = shape(
                    "Polygon",
                    json!([[
                        [-79.700001, 35.600001],
                        [-79.300001, 35.600001],
                        [-79.300001, 35.900001],
                        [-79.700001, 35.900001],
                        [-79.700001, 35.600001]
                    ]]),
                );
            },
            Error("keepout-area", &[WELL, "acres", "a Point"]),
        ),
    ]);
}

#[test]
fn kin_of_how_keepouts_are_drawn() {
    hold(&[
        (
            "a line of one place twice",
            |m| {
                m.keep(CREEK)["geometry"] =
                    shape("LineString", json!([[-79.470111, 35.731111], [-79.470111, 35.731111]]))
            },
            Error("geojson", &["a single corner"]),
        ),
        (
            "a polygon without rings",
            |m| m.keep(POND)["geometry"] = shape("Polygon", json!([])),
            Error("geojson", &["no corner"]),
        ),
        (
            "a pond of two corners",
            |m| {
                m.keep(POND)["geometry"] = shape(
                    "Polygon",
                    json!([[[-79.470511, 35.726111], [-79.470111, 35.726111], [-79.470511, 35.726111]]]),
                )
            },
            Error("keepout-shape", &[POND]),
        ),
        (
            "a property line as an area",
            |m| {
                let line = m.keep("Property line north of Tin Cup Road")["geometry"]["coordinates"].clone();
                m.keep("Property line north of Tin Cup Road")["geometry"] = shape("Polygon", json!([line]));
            },
            Error("keepout-drawn", &["property line", "a Polygon"]),
        ),
        (
            "a road as a point",
            |m| m.keep("Tin Cup Road")["geometry"] = shape("Point", json!([-79.470111, 35.731111])),
            Error("keepout-drawn", &["Tin Cup Road"]),
        ),
        (
            "a house of 200 acres",
            |m| {
                m.keep(HOUSE)["geometry"] = shape(
                    "Polygon",
                    json!([[
                        [-79.480001, 35.725001],
                        [-79.470001, 35.725001],
                        [-79.470001, 35.735001],
                        [-79.480001, 35.735001],
                        [-79.480001, 35.725001]
                    ]]),
                );
            },
            Error("keepout-area", &[HOUSE, "acres"]),
        ),
        (
            "a well drawn as its casing",
            |m| {
                m.keep(WELL)["geometry"] = shape(
                    "Polygon",
                    json!([[
                        [-79.471415, 35.728709],
                        [-79.471405, 35.728709],
                        [-79.471405, 35.728719],
                        [-79.471415, 35.728719],
                        [-79.471415, 35.728709]
                    ]]),
                );
            },
            Fine("a small area around a well is the well"),
        ),
        (
            "a corner of the creek 0.01 degrees off",
            |m| {
                let at = m.keep(CREEK)["geometry"]["coordinates"][40][1].as_f64().unwrap();
                m.keep(CREEK)["geometry"]["coordinates"][40][1] = json!(at + 0.01);
            },
            Warning("corner-sharp", &[CREEK]),
        ),
        (
            "a well with two decimals",
            |m| m.keep(WELL)["geometry"] = shape("Point", json!([-79.47, 35.73])),
            Warning("coordinates-rough", &[WELL, "2 decimals", "2,348 ft"]),
        ),
        (
            "all keep-outs with four decimals",
            |m| {
                each_corner(&mut m.keepouts, &|x, y| ((x * 1e4).round() / 1e4, (y * 1e4).round() / 1e4));
            },
            Warning("coordinates-rough", &["corners are written with 4 decimals", "23 ft", "and 11 more"]),
        ),
        (
            "what a mapping program adds",
            |m| {
                for (i, feature) in m.keepouts["features"].as_array_mut().unwrap().iter_mut().enumerate() {
                    feature["properties"]["fid"] = json!(i);
                    feature["properties"]["acct_no"] = json!("A-17");
                }
            },
            Warning("properties-unread", &["`acct_no` (15 features)"]),
        ),
        (
            "the house well twice",
            |m| {
                let twin = m.keep(WELL).clone();
                m.keepouts["features"].as_array_mut().unwrap().push(twin);
            },
            Fine("the same ground is taken once, however often a thing is drawn"),
        ),
    ]);
}

#[test]
fn fields_gates_and_stacks() {
    hold(&[
        ("a field without id", |m| remove(&mut m.field("B1")["properties"], "id"), Error("boundary-id", &["`id`"])),
        ("id -> ID", |m| rename(&mut m.field("B1")["properties"], "id", "ID"), Error("boundary-id", &["`ID`", "B1"])),
        (
            "two polygons with one id",
            |m| {
                let twin = m.field("B1").clone();
                m.fields["features"].as_array_mut().unwrap().push(twin);
            },
            Error("boundary-twice", &["B1"]),
        ),
        ("a gate of field X", |m| m.gate("B1")["properties"]["field"] = json!("X"), Error("id-unknown", &["`X`"])),
        (
            "all gates removed",
            |m| m.fields["features"].as_array_mut().unwrap().retain(|f| f["properties"]["kind"] != "gate"),
            Warning("gate-missing", &["fields have no gate", "B1", "middle"]),
        ),
        ("a gate 1 degree off", |m| moved(m.gate("B1"), 1.0, 0.0), Error("gate-far", &["B1", "miles"])),
        (
            "a stack of no lot",
            |m| m.stack("crust")["properties"]["lot"] = json!("crusts"),
            Error("id-unknown", &["`crusts`", "`crust`"]),
        ),
        ("a stack 2 degrees off", |m| moved(m.stack("crust"), 2.0, 0.0), Error("stack-far", &["crust", "miles"])),
        (
            "a hole in B1",
            |m| {
                m.field("B1")["geometry"]["coordinates"].as_array_mut().unwrap().push(json!([
                    [-79.475011, 35.732211],
                    [-79.474811, 35.732211],
                    [-79.474811, 35.732311],
                    [-79.475011, 35.732211]
                ]));
            },
            Fine("a hole is ground that is no part of the field, such as a pond; its acres are taken off"),
        ),
        (
            "a hole outside of B1",
            |m| {
                m.field("B1")["geometry"]["coordinates"].as_array_mut().unwrap().push(json!([
                    [-79.485011, 35.742211],
                    [-79.484811, 35.742211],
                    [-79.484811, 35.742311],
                    [-79.485011, 35.742211]
                ]));
            },
            Error("boundary", &["B1", "hole"]),
        ),
        ("geometry of B1 null", |m| m.field("B1")["geometry"] = json!(null), Error("geojson", &["no geometry"])),
        (
            "one corner of B1 with its decimal point slipped",
            |m| {
                m.field("B1")["geometry"]["coordinates"][0][3][0] = json!(-7.9475);
            },
            Error("boundary", &["B1"]),
        ),
        (
            "one corner of B1 0.001 degrees off, into its neighbor",
            |m| {
                let at = m.field("B1")["geometry"]["coordinates"][0][3][1].as_f64().unwrap();
                m.field("B1")["geometry"]["coordinates"][0][3][1] = json!(at - 0.001);
            },
            Warning("corner-sharp", &["B1"]),
        ),
    ]);
}

#[test]
fn kin_of_fields_gates_and_stacks() {
    hold(&[
        (
            "the id beside the properties",
            |m| {
                let field = m.field("B1");
                remove(&mut field["properties"], "id");
                field["id"] = json!("B1");
            },
            Error("boundary-id", &["from the feature into its properties"]),
        ),
        ("the id empty", |m| m.field("B1")["properties"]["id"] = json!(""), Error("boundary-id", &["`id`"])),
        (
            "a setback on a field",
            |m| m.field("B1")["properties"]["setback"] = json!("100 ft"),
            Error("property-unknown", &["`setback`", "keepouts.geojson"]),
        ),
        (
            "a buffer on a field",
            |m| m.field("B1")["properties"]["buffer_ft"] = json!(35),
            Error("property-unknown", &["`buffer_ft`"]),
        ),
        (
            "acres of an office",
            |m| m.field("B1")["properties"]["acres"] = json!(24.1),
            Warning("properties-unread", &["`acres` (1 feature)"]),
        ),
        (
            "a pond among the fields",
            |m| m.field("B1")["properties"]["kind"] = json!("pond"),
            Error("boundary-kind", &["`pond`", "keepouts.geojson"]),
        ),
        (
            "a field as a point",
            |m| m.field("B1")["geometry"] = shape("Point", json!([-79.4750, 35.7320])),
            Error("key-missing", &["`kind:`"]),
        ),
        (
            "a field as points",
            |m| m.field("B1")["geometry"] = shape("MultiPoint", json!([[-79.4750, 35.7320]])),
            Error("boundary-shape", &["Polygon"]),
        ),
        (
            "two gates of one field",
            |m| {
                let twin = m.gate("B1").clone();
                m.fields["features"].as_array_mut().unwrap().push(twin);
            },
            Warning("point-twice", &["B1", "two gates"]),
        ),
        (
            "two stacks of one lot",
            |m| {
                let twin = m.stack("crust").clone();
                m.fields["features"].as_array_mut().unwrap().push(twin);
            },
            Warning("point-twice", &["crust", "two stacks"]),
        ),
        ("a gate at another field", |m| moved(m.gate("B1"), 0.006, 0.0), Warning("gate-far", &["B1", "ft"])),
        (
            "a gate of nothing",
            |m| remove(&mut m.gate("B1")["properties"], "field"),
            Error("key-missing", &["`field:`"]),
        ),
        ("gate -> Gate", |m| m.gate("B1")["properties"]["kind"] = json!("Gate"), Fine("case does not count")),
        (
            "field -> Field",
            |m| rename(&mut m.gate("B1")["properties"], "field", "Field"),
            Error("property-unknown", &["`Field`", "`field`"]),
        ),
        ("a stack 30 miles off", |m| moved(m.stack("crust"), 0.55, 0.0), Warning("stack-far", &["crust", "miles"])),
        (
            "a gate with three decimals",
            |m| m.gate("B1")["geometry"] = shape("Point", json!([-79.472, 35.732])),
            Warning("coordinates-rough", &["gate of B1", "3 decimals", "235 ft"]),
        ),
        (
            "a field moved onto its neighbor",
            |m| moved(m.field("N2"), -0.001, 0.0),
            Error("boundary-overlap", &["N1", "N2"]),
        ),
        (
            "a boundary of an unknown field",
            |m| m.field("B1")["properties"]["id"] = json!("B9"),
            Error("boundary-missing", &["B1"]),
        ),
    ]);
}

/// Whoever says something in farm.yaml has a name, and says when.
#[test]
fn who_and_when_in_the_farm_file() {
    let main = demo::file(farm::MAIN);
    let rated = "rating: medium, by: Avery Lunsford, on: 2026-11-09";
    let figure = |by: &str| format!("\nfigures:\n  - {{topic: fit_share, value: 40 %, by: {by}, on: 2026-11-01}}\n");
    let rows = [
        ("a rating by `?`", demo::instead(&main, rated, "rating: medium, by: \"?\", on: 2026-11-09"), "name-missing"),
        ("a rating by nobody", demo::instead(&main, rated, "rating: medium, by: none, on: 2026-11-09"), "name-missing"),
        ("a rating by \"\"", demo::instead(&main, rated, "rating: medium, by: \"\", on: 2026-11-09"), "empty-text"),
        (
            "a rating by a day",
            demo::instead(&main, rated, "rating: medium, by: 2026-11-09, on: 2026-11-09"),
            "name-missing",
        ),
        ("a rating without a day", demo::instead(&main, rated, "rating: medium, by: Avery Lunsford"), "key-missing"),
        ("a figure by tbd", main.clone() + &figure("tbd"), "name-missing"),
        (
            "a carry-over by yes",
            demo::instead(&main, "\nlitter:\n", "\ncarry_over: {keeps: 80 %, by: yes, on: 2026-11-01}\nlitter:\n"),
            "name-missing",
        ),
        ("a grower called ?", demo::instead(&main, "name: Dell Farrow", "name: \"?\""), "name-missing"),
    ];
    for (name, main, code) in rows {
        let found = told(&Maps::demo(), Some(main));
        let codes: Vec<String> = found.sorted().iter().map(|f| format!("{}: {}", f.code, f.found)).collect();
        assert!(found.has_errors() && codes.iter().any(|line| line.starts_with(code)), "{name}: {codes:?}");
    }
}
