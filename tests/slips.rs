//! Slips of the pen: one value of a farm that is sound is changed, and what
//! comes of it must be an error, or a warning that names the value; or it is
//! truly fine, and the list says why. The rows stand in `tests/slips/`.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use jiff::civil::Date;
use kit::root;
use serde::Deserialize;
use std::path::PathBuf;
use std::sync::{Arc, LazyLock};
use sward::farm::{self, FarmText};
use sward::findings::{Finding, Severity};
use sward::pipeline::{Day, Figures, Folder, Question};
use sward::record;
use sward::tables::{self, Scope, Shape, Tables, Thing, topic};
use sward::units::{Quantity, SoilScale};

static TABLES: LazyLock<Arc<Tables>> = LazyLock::new(|| Arc::new(tables::load(&tables::built_in()).0));

/// The day of a farm that states none.
const TODAY: Date = jiff::civil::date(2027, 2, 10);

/// The codes by which a value is called far from what is usual.
const BANDS: [&str; 3] = ["implausible", "unusual", "sure"];

/// One slip.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Slip {
    /// What slipped.
    what: String,
    /// Pieces of the file, and what each becomes.
    from: Vec<String>,
    to: Vec<String>,
    /// The code that must come of it.
    #[serde(default)]
    error: Option<String>,
    #[serde(default)]
    warning: Option<String>,
    #[serde(default)]
    note: Option<String>,
    /// Words that the message must hold: the value, and what is usual.
    #[serde(default)]
    says: Vec<String>,
    /// Why nothing is to be said.
    #[serde(default)]
    fine: Option<String>,
    /// The file that is changed.
    #[serde(default)]
    file: Option<String>,
}

/// A farm: its files, with the name of each.
struct Farm {
    folder: PathBuf,
}

impl Farm {
    fn file(&self, name: &str) -> Option<String> {
        std::fs::read_to_string(self.folder.join(name)).ok()
    }

    /// What is found of the farm with one file changed.
    fn findings(&self, changed: &str, text: &str) -> Vec<Finding> {
        let get = |name: &str| if name == changed { Some(text.to_string()) } else { self.file(name) };
        let sheets = ["soil-tests.csv", "litter.csv"].into_iter();
        let texts = FarmText {
            main: get(farm::MAIN),
            fields: get(farm::FIELDS),
            keepouts: get(farm::KEEPOUTS),
            soils: get(farm::SOILS),
            calibration: get(farm::CALIBRATION),
            sheets: sheets.filter_map(|name| Some((name.to_string(), get(name)?))).collect(),
        };
        let log = get(record::LOG).unwrap_or_default();
        let folder = Folder::Memory { texts: &texts, log: &log };
        let figures = Figures::Loaded(Arc::clone(&TABLES));
        // A farm is looked at once its log was written.
        let days = self.file(record::LOG).unwrap_or_default();
        let days = days.split([',', '\n']).filter_map(|cell| cell.parse::<Date>().ok());
        let question = Question { figures, ..Question::of(folder, Day::Stated { today: days.fold(TODAY, Date::max) }) };
        question.check().findings.sorted().into_iter().cloned().collect()
    }
}

fn slips(name: &str) -> Vec<Slip> {
    let path = root().join("tests/slips").join(name);
    serde_yaml::from_str(&std::fs::read_to_string(&path).unwrap()).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

/// A file with the pieces of a slip put in.
fn slipped(text: &str, slip: &Slip) -> String {
    assert!(!slip.from.is_empty() && slip.from.len() == slip.to.len(), "{}: pieces", slip.what);
    slip.from.iter().zip(&slip.to).fold(text.to_string(), |text, (from, to)| {
        assert!(text.contains(from.as_str()), "{}: the farm holds no `{from}`", slip.what);
        text.replacen(from, to, 1)
    })
}

/// What is wrong with what came of a slip; none when it is as listed.
fn fault(slip: &Slip, new: &[&Finding]) -> Option<String> {
    let seen =
        || new.iter().map(|f| format!("\n    {} [{}] {}", f.severity.word(), f.code, f.found)).collect::<String>();
    let (severity, code) = match (&slip.error, &slip.warning, &slip.note, &slip.fine) {
        (Some(code), None, None, None) => (Severity::Error, code),
        (None, Some(code), None, None) => (Severity::Warning, code),
        (None, None, Some(code), None) => (Severity::Note, code),
        (None, None, None, Some(why)) => {
            let told = !new.is_empty() || why.len() < 20;
            return told.then(|| format!("should be fine ({why}), and got{}", seen()));
        }
        _ => return Some("one of error, warning, note, fine".to_string()),
    };
    if slip.says.is_empty() {
        return Some("says what the message must hold".to_string());
    }
    let whole = |f: &Finding| {
        [Some(&f.found), f.accepted.as_ref(), f.fix.as_ref()].map(|t| t.cloned().unwrap_or_default()).join(" ")
    };
    let fits = new.iter().any(|f| {
        f.severity == severity
            && f.code == code.as_str()
            && f.place.line > 0
            && slip.says.iter().all(|w| whole(f).contains(w))
    });
    (!fits).then(|| format!("should be {} [{code}] with {:?}, and got{}", severity.word(), slip.says, seen()))
}

/// Every row of a list against its farm.
fn held(list: &str, folder: &str, fewest: usize) {
    let farm = Farm { folder: root().join(folder) };
    let main = farm.file(farm::MAIN).unwrap();
    let before = farm.findings(farm::MAIN, &main);
    assert!(before.iter().all(|f| f.severity != Severity::Error), "{before:?}");
    assert!(before.iter().all(|f| !BANDS.contains(&f.code.as_ref())), "a false alarm: {before:?}");
    let list = slips(list);
    assert!(list.len() >= fewest, "only {} slips", list.len());
    let mut wrong = Vec::new();
    for slip in &list {
        let file = slip.file.as_deref().unwrap_or(farm::MAIN);
        let text = slipped(&farm.file(file).unwrap(), slip);
        let after = farm.findings(file, &text);
        let known =
            |f: &Finding| before.iter().any(|b| (b.severity, &b.code, &b.found) == (f.severity, &f.code, &f.found));
        let new: Vec<&Finding> = after.iter().filter(|f| !known(f)).collect();
        if let Some(fault) = fault(slip, &new) {
            wrong.push(format!("{}: {fault}", slip.what));
        }
    }
    assert!(wrong.is_empty(), "{} of {}:\n{}", wrong.len(), list.len(), wrong.join("\n"));
}

#[test]
fn the_demo_farm() {
    held("demo.yaml", "fields", 100);
}

#[test]
fn more_on_the_demo_farm() {
    held("demo_more.yaml", "fields", 25);
}

#[test]
fn a_farm_in_georgia_with_a_laboratorys_files_and_a_log() {
    held("georgia.yaml", "tests/slips/georgia", 25);
}

#[test]
fn a_farm_in_virginia_in_metric_units() {
    held("virginia.yaml", "tests/slips/virginia", 15);
}

/// What is printed as typical of a kind of litter is usual: a false alarm
/// teaches people to read past warnings.
#[test]
fn no_printed_litter_is_called_unusual() {
    let within = |band: sward::tables::Band, value: f64| value >= band.usual.0 && value <= band.usual.1;
    let things = [
        ("total_n", Thing::LitterTotalN),
        ("p2o5", Thing::LitterP2o5),
        ("k2o", Thing::LitterK2o),
        ("zinc", Thing::LitterZinc),
        ("copper", Thing::LitterCopper),
    ];
    let mut seen = 0;
    for place in TABLES.places.keys() {
        let book = TABLES.book(place, Date::MAX).unwrap();
        let figures = book.all(Some(topic::LITTER_TYPICAL.into()));
        for (figure, edition, _) in &figures {
            let Some((_, thing)) = things.iter().find(|(n, _)| *n == figure.applies["nutrient"]) else { continue };
            let band = book.band(*thing, &figure.unit, &Scope::new().material(&figure.applies["material"])).unwrap();
            let Shape::Number(own) = edition.shape else { panic!("{}", figure.id) };
            let others = figure.others.iter().filter_map(|o| o.value.parse::<f64>().ok());
            for value in others.chain([own]) {
                assert!(within(band.value, value), "{place}: {} is {value}, usual {:?}", figure.id, band.value.usual);
                seen += 1;
            }
        }
        let kinds = book.values_of(topic::LITTER_TYPICAL, "material");
        for kind in kinds {
            let scope = Scope::new().material(&kind);
            let typical = |nutrient: &str| {
                book.get(topic::LITTER_TYPICAL, &scope.clone().nutrient(nutrient.to_string())).map(|f| f.value.get())
            };
            let (Some(n), Some(p), Some(k)) = (typical("total_n"), typical("p2o5"), typical("k2o")) else { continue };
            let ratio = book.band(Thing::P2o5PerN, "times", &scope).unwrap().value;
            assert!(within(ratio, p / n), "{place}, {kind}: {}", p / n);
            let sum = n + p + k;
            let together = book.band(Thing::LitterNutrients, "lb/ton", &scope).unwrap().value;
            assert!(within(together, sum), "{place}, {kind}: {sum}");
        }
    }
    assert!(seen > 30, "only {seen} figures");
}

/// Ordinary farms of every place, with every forage that it knows.
#[test]
fn no_ordinary_farm_is_called_unusual() {
    let farm = Farm { folder: root().join("tests/slips/georgia") };
    let mut seen = 0;
    for place in TABLES.places.values() {
        let book = TABLES.book(&place.key, Date::MAX).unwrap();
        let region = place.regions.first().map_or(String::new(), |r| format!("region: {r}\n"));
        let extractant = place.extractant.as_deref().unwrap_or("mehlich_3").replace('_', "-");
        let unit = place.p_unit.map_or("ppm", SoilScale::word);
        let mut forages = book.values_of(topic::N_PER_TON, "forage");
        forages.extend(book.values_of(topic::N_RATE, "forage"));
        for forage in &forages {
            for (p, k, goal, moisture) in [(8, 40, 2.0, 18), (60, 110, 3.5, 25), (220, 300, 5.0, 35)] {
                let text = format!(
                    "farm: Any\nplace: {}\n{region}plan: {{from: 2027-02-15, to: 2027-10-31}}\n\
                     spreader: {{swath: 32 ft, load: 10 tons, step: 0.5 tons/ac, least: 1 ton/ac, most: 5 tons/ac}}\n\
                     litter:\n  - lot: shed\n    kind: broiler litter\n    on_hand: 220 tons\n    stored: shed\n    \
                     analysis: {{lab: any, sampled: 2027-01-20, basis: as received, moisture: {moisture} %, \
                     total_n: 61 lb/ton, ammonium_n: 12 lb/ton, p2o5: 48 lb/ton, k2o: 55 lb/ton}}\n\
                     fields:\n  - id: COAST\n    forage: {forage}\n    use: hay\n    yield_goal: {goal} tons/ac\n    \
                     soil_test: {{lab: any, sampled: 2026-10-20, extractant: {extractant}, p: {p} {unit}, k: {k} {unit}, ph: 6.1}}\n",
                    place.key,
                );
                let found = farm.findings(farm::MAIN, &text);
                let alarms: Vec<&Finding> = found.iter().filter(|f| BANDS.contains(&f.code.as_ref())).collect();
                assert!(alarms.is_empty(), "{} {forage}: {alarms:?}", place.key);
                seen += 1;
            }
        }
    }
    assert!(seen > 40, "only {seen} farms");
}

/// Every quantity has a band in every place, in each of its units.
#[test]
fn every_quantity_has_its_band_in_every_place() {
    for place in TABLES.places.keys() {
        let book = TABLES.book(place, Date::MAX).unwrap();
        for thing in Thing::ALL {
            for unit in thing.units().iter().filter(|_| *thing != Thing::SaidFigure) {
                let band = book.band(*thing, unit, &Scope::new());
                assert!(band.is_some_and(|b| b.unit == *unit), "{place}: {} in {unit}", thing.key());
            }
        }
    }
}

/// Every figure that a farm may give has a band in the units in which values of
/// its topic are kept, and what the tables print of it is usual.
#[test]
fn every_figure_of_a_farms_own_has_its_band() {
    let numbers = tables::TOPICS
        .iter()
        .filter(|t| matches!(t.form(), tables::ValueForm::Number | tables::ValueForm::NumberOrCurve));
    let book = TABLES.book("us", Date::MAX).unwrap();
    let band = |topic: tables::Topic, unit: &str| {
        let unit = unit.split(" per ").next().unwrap();
        book.band(Thing::SaidFigure, unit, &Scope::new().topic(topic.key())).map(|band| band.value.usual)
    };
    let mut seen = 0;
    for topic in numbers {
        let units = topic.units();
        let scales = units.iter().any(|(name, _)| *name == "index");
        let kept: Vec<&str> = match scales {
            true => vec!["index", "ppm", "lb/ac"],
            false => units.iter().filter(|(_, factor)| *factor == 1.0).map(|(name, _)| *name).collect(),
        };
        assert!(kept.iter().any(|unit| band(*topic, unit).is_some()), "{}", topic.key());
        assert!(!scales || kept.iter().all(|unit| band(*topic, unit).is_some()), "{}", topic.key());
        for figure in TABLES.places.values().flat_map(|place| &place.figures).filter(|f| f.topic == *topic) {
            let factor = sward::units::factor(topic.units(), &figure.unit).unwrap();
            let own = Some(figure.unit.as_str()).filter(|_| scales).and_then(|unit| band(*topic, unit));
            let usual = own.or_else(|| kept.iter().find_map(|unit| band(*topic, unit))).unwrap();
            for edition in &figure.editions {
                let Shape::Number(value) = edition.shape else { continue };
                let value = value * factor;
                assert!(usual.0 <= value && value <= usual.1, "{}: {value}, usual {usual:?}", figure.id);
                seen += 1;
            }
        }
    }
    assert!(seen > 200, "only {seen} figures");
}
