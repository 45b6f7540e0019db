//! Published worked examples and handbook tables, held against the program.
//!
//! Every file of `tests/published/` is one source, every case one example of
//! it. The harness only hands the case to the program's own code and compares;
//! it reckons nothing itself, units included. `tests/published/README.md` says
//! how to add a case.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "published/harness/compare.rs"]
mod compare;
#[path = "published/harness/count.rs"]
mod count;
#[path = "published/harness/farm.rs"]
mod farm;
#[path = "published/harness/figure.rs"]
mod figure;
#[path = "published/harness/tool.rs"]
mod tool;

use compare::{Answer, compare, expected, kept};
use geo::{LineString, MultiPolygon, Polygon};
use geographiclib_rs::{DirectGeodesic, Geodesic};
use serde::Deserialize;
use serde_yaml::Value;
use std::collections::BTreeMap;
use std::path::Path;
use sward::findings::{Findings, Severity};
use sward::tables::{self, Tables};
use sward::{ground, units};

type Outcome<T> = Result<T, String>;

/// One file: a source and its cases.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Sheet {
    source: Source,
    cases: Vec<Case>,
}

/// Where the examples stand.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Source {
    title: String,
    publisher: String,
    year: Value,
    #[serde(rename = "address")]
    _address: Option<String>,
    #[serde(rename = "note")]
    _note: Option<String>,
}

/// One example.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    name: String,
    at: String,
    /// The table of which it is a row: the rows of one table count once.
    rows_of: Option<String>,
    known: Known,
    reckon: Reckon,
    given: Value,
    expect: BTreeMap<String, Value>,
    remark: Option<String>,
}

/// `read`: the expected text was seen in the source. `worked`: the rule was
/// seen, and the number worked from it by hand; the remark says how.
#[derive(Deserialize, PartialEq)]
#[serde(rename_all = "snake_case")]
enum Known {
    Read,
    Worked,
}

/// Which part of the program a case is handed to.
#[derive(Deserialize, Clone, Copy, Debug)]
#[serde(rename_all = "snake_case")]
enum Reckon {
    Litter,
    Field,
    Figure,
    Quantity,
    Constant,
    LoadRun,
    LoadRate,
    Sheet,
    Pans,
    Fertilizer,
    Area,
}

/// Answers by name; none for a name that this kind of case does not know.
type Ask = Box<dyn Fn(&str) -> Outcome<Answer>>;

#[test]
fn examples_come_out_as_printed() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/published");
    let files = tables::read_folder(&folder).expect("tests/published can be read");
    let (built_in, faults) = tables::load(&tables::built_in());
    assert!(!faults.has_errors(), "{}", told(&faults));
    let mut report = Report::default();
    for (name, text) in &files {
        report.file(name, text, &built_in);
    }
    report.show();
    assert!(report.cases > 0, "no case was run");
    assert!(report.faults.is_empty(), "{} faults:\n{}", report.faults.len(), report.faults.join("\n"));
    count::held(&report.sheets, &built_in);
}

#[derive(Default)]
struct Report {
    files: usize,
    cases: usize,
    worked: usize,
    lines: Vec<String>,
    faults: Vec<String>,
    /// The sources by name, for the count.
    sheets: BTreeMap<String, Sheet>,
}

impl Report {
    fn file(&mut self, name: &str, text: &str, built_in: &Tables) {
        let sheet = match serde_yaml::from_str::<Sheet>(text) {
            Ok(sheet) => sheet,
            Err(e) => return self.faults.push(format!("{name}: {e}")),
        };
        self.files += 1;
        let papers = [&sheet.source.title, &sheet.source.publisher];
        if papers.iter().any(|t| t.trim().is_empty()) || sheet.source.year.is_null() {
            self.faults.push(format!("{name}: the source lacks title, publisher or year"));
        }
        if sheet.cases.is_empty() {
            self.faults.push(format!("{name}: the file holds no case"));
        }
        for case in &sheet.cases {
            self.cases += 1;
            self.worked += usize::from(case.known == Known::Worked);
            let before = self.faults.len();
            self.case(name, case, built_in);
            for fault in &mut self.faults[before..] {
                *fault = format!("{name}, {} ({}): {fault}", case.name, case.at);
            }
        }
        self.sheets.insert(name.trim_end_matches(".yaml").to_string(), sheet);
    }

    fn case(&mut self, file: &str, case: &Case, built_in: &Tables) {
        if case.at.trim().is_empty() || case.expect.is_empty() {
            self.faults.push("no place in the source, or nothing expected".to_string());
        }
        if case.known == Known::Worked && case.remark.is_none() {
            self.faults.push("a `worked` case says in `remark` what is printed".to_string());
        }
        let ask = match reckon(case.reckon, &case.given, built_in) {
            Ok(ask) => ask,
            Err(fault) => return self.faults.push(fault),
        };
        for (name, value) in &case.expect {
            match expected(value).and_then(|e| compare(&ask(name)?, &e)) {
                Ok(line) => self.lines.push(format!("{file} | {} | {name} | {line}", case.name)),
                Err(fault) => self.faults.push(format!("{name}: {fault}")),
            }
        }
    }

    #[expect(clippy::print_stdout, reason = "`cargo test -- --nocapture` lists every case")]
    fn show(&self) {
        for line in &self.lines {
            println!("{line}");
        }
        println!(
            "{} cases of {} sources, {} of them worked by hand; {} answers",
            self.cases,
            self.files,
            self.worked,
            self.lines.len()
        );
    }
}

/// Hands a case to the program.
fn reckon(kind: Reckon, given: &Value, built_in: &Tables) -> Outcome<Ask> {
    match kind {
        Reckon::Litter | Reckon::Field => {
            let given: farm::Given = read(given)?;
            if matches!(kind, Reckon::Litter) && given.litter.is_empty() {
                return Err("a `litter` case gives `litter`".to_string());
            }
            farm::weighed(&given, built_in)
        }
        Reckon::Figure => figure::looked_up(&read(given)?, built_in),
        Reckon::Quantity => {
            let given: QuantityGiven = read(given)?;
            let (value, unit) = kept(&given.quantity, &given.text)?;
            Ok(number(value, unit))
        }
        Reckon::Constant => {
            let given: ConstantGiven = read(given)?;
            let (value, unit) = match given.name.as_str() {
                "square_feet_per_acre" => (ground::SQUARE_FEET_PER_ACRE, "square feet"),
                "p2o5_per_p" => (units::P2O5_PER_P, ""),
                "k2o_per_k" => (units::K2O_PER_K, ""),
                other => return Err(format!("no constant is called `{other}`")),
            };
            Ok(number(value, unit))
        }
        Reckon::LoadRun => {
            let given: LoadGiven = read(given)?;
            let load = kept("tons", &given.load)?.0;
            let rate = kept("rate", &given.rate)?.0;
            let swath = kept("distance", &given.swath)?.0;
            let feet = ground::feet_per_load(load, rate, swath).ok_or("the program gives no distance")?;
            Ok(number(feet, "ft"))
        }
        Reckon::LoadRate => tool::load(&read(given)?),
        Reckon::Sheet => tool::sheet(&read(given)?).map(|(value, unit)| number(value, unit)),
        Reckon::Pans => tool::half_rate(&read(given)?).map(|(value, unit)| number(value, unit)),
        Reckon::Fertilizer => tool::fertilizer(&read(given)?),
        Reckon::Area => {
            let given: AreaGiven = read(given)?;
            let cut = ground::cut(&rectangle(&given)?, &[], 0.0).map_err(|e| e.to_string())?;
            Ok(number(cut.acres, "ac"))
        }
    }
}

/// What a case gives; `<<: *name` takes over what an earlier case gave.
fn read<T: serde::de::DeserializeOwned>(given: &Value) -> Outcome<T> {
    let mut given = given.clone();
    given.apply_merge().map_err(|e| format!("given: {e}"))?;
    serde_yaml::from_value(given).map_err(|e| format!("given: {e}"))
}

/// A case with a single answer, asked for as `value`.
fn one(answer: impl Fn() -> Answer + 'static) -> Ask {
    Box::new(move |asked| match asked == "value" {
        true => Ok(answer()),
        false => Err("the only answer here is called `value`".to_string()),
    })
}

fn number(value: f64, unit: &'static str) -> Ask {
    one(move || Answer::Number(value, unit.to_string()))
}

fn told(findings: &Findings) -> String {
    let errors = findings.sorted().into_iter().filter(|f| f.severity == Severity::Error);
    errors.map(|f| format!("{}: {}", f.place, f.found)).collect::<Vec<_>>().join("; ")
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct QuantityGiven {
    text: String,
    quantity: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ConstantGiven {
    name: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct LoadGiven {
    load: String,
    rate: String,
    swath: String,
}

/// A rectangle from its south-west corner, or the half of it on that corner.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct AreaGiven {
    east: String,
    north: String,
    lon: f64,
    lat: f64,
    #[serde(default)]
    half: bool,
}

/// The corners come from another library's geodesics, so that the program's
/// own plane is not measured against itself.
fn rectangle(given: &AreaGiven) -> Outcome<MultiPolygon<f64>> {
    let metre = kept("distance", "1 m")?.0;
    let metres = |text: &str| kept("distance", text).map(|(feet, _)| feet / metre);
    let (east, north) = (metres(&given.east)?, metres(&given.north)?);
    let earth = Geodesic::wgs84();
    let go = |(lat, lon): (f64, f64), azimuth: f64, by: f64| -> (f64, f64) { earth.direct(lat, lon, azimuth, by) };
    let south_west = (given.lat, given.lon);
    let south_east = go(south_west, 90.0, east);
    let (north_west, north_east) = (go(south_west, 0.0, north), go(south_east, 0.0, north));
    let corners = [south_west, south_east, north_east, north_west];
    let left_out = given.half.then_some(2);
    let corners = corners.iter().enumerate().filter(|(i, _)| Some(*i) != left_out);
    let ring: Vec<(f64, f64)> = corners.map(|(_, (lat, lon))| (*lon, *lat)).collect();
    Ok(MultiPolygon(vec![Polygon::new(LineString::from(ring), vec![])]))
}
