//! Everything in `reference/`: the loader finds nothing, every figure can be
//! reached, every question has an answer or is asked of the grower, every
//! source is named and used; and what the loader refuses, by a table of small
//! broken records.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::panic)]

#[path = "reference/inheritance.rs"]
mod inheritance;
#[path = "reference/made.rs"]
mod made;
#[path = "reference/refusals.rs"]
mod refusals;

use jiff::civil::{Date, date};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::process::Command;
use sward::findings::Known;
use sward::tables::{
    self, Answer, Book, CHECKS_NEEDED, Figure, Form, Inherits, Safe, Scope, Season, Shape, Status, Tables, Topic, topic,
};

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// The built-in tables, which must load without a finding.
fn built_in() -> Tables {
    let (tables, findings) = tables::load(&tables::built_in());
    let said: Vec<String> = findings.sorted().iter().map(|f| format!("{}: {}", f.place, f.found)).collect();
    assert!(findings.is_empty(), "{}", said.join("\n"));
    assert!(tables.places.len() >= 7, "only {} places", tables.places.len());
    tables
}

fn scope(figure: &Figure) -> Scope<'_> {
    figure.applies.iter().collect()
}

fn book<'a>(tables: &'a Tables, place: &str, on: Date) -> Book<'a> {
    tables.book(place, on).unwrap_or_else(|| panic!("no tables of {place}"))
}

/// Every figure of every place, with the place's key.
fn figures(tables: &Tables) -> impl Iterator<Item = (&str, &Figure)> {
    tables.places.iter().flat_map(|(key, place)| place.figures.iter().map(move |f| (key.as_str(), f)))
}

fn said(figure: &Figure) -> String {
    format!("{}/{}", figure.of, figure.id)
}

#[test]
fn the_built_in_files_are_those_on_disk() {
    let disk = tables::read_folder(&root().join("reference")).unwrap();
    assert_eq!(disk, tables::built_in());
    built_in();
}

/// A figure asked for in its own scope, on the day it came into force, is the
/// answer; or the wider place has a stricter one and the topic says so.
#[test]
fn every_figure_is_reachable() {
    let tables = built_in();
    let mut seen = 0;
    for (key, figure) in figures(&tables) {
        for edition in figure.editions.iter().filter(|e| e.shape != Shape::Withdrawn) {
            let book = book(&tables, key, edition.from);
            let found =
                book.shape(figure.topic, &scope(figure)).unwrap_or_else(|| panic!("{}: not found", said(figure)));
            seen += 1;
            if found.cite.figure == said(figure) {
                assert_eq!(found.value, edition.shape, "{}", said(figure));
                continue;
            }
            let how = tables.places[key].inherits.get(&figure.topic);
            assert_eq!(how, Some(&Inherits::StricterOf), "{} is hidden by {}", said(figure), found.cite.figure);
            let (Shape::Number(held), Shape::Number(own)) = (&found.value, &edition.shape) else {
                panic!("{}: hidden, and not a number", said(figure));
            };
            let stricter = match figure.topic.safe() {
                Safe::Larger => held > own,
                Safe::Smaller => held < own,
                Safe::Neither => false,
            };
            assert!(stricter, "{}: {own} is hidden by {held} of {}", said(figure), found.cite.figure);
        }
    }
    assert!(seen > 600, "only {seen} editions were asked for");
}

/// What a place takes over from the wider one answers there too: by itself, or
/// behind a figure of the place's own.
#[test]
fn what_is_taken_over_answers() {
    let tables = built_in();
    let mut taken = 0;
    for place in tables.places.values() {
        let Some(within) = &place.within else { continue };
        for figure in &tables.places[within].figures {
            let takes = matches!(place.inherits.get(&figure.topic), Some(Inherits::FromWithin | Inherits::StricterOf));
            let found = book(&tables, &place.key, Date::MAX).shape(figure.topic, &scope(figure));
            if takes {
                let found = found.unwrap_or_else(|| panic!("{}: no {}", place.key, figure.id));
                let from = found.cite.figure.split('/').next().unwrap();
                assert!([place.key.as_str(), within.as_str()].contains(&from), "{}", found.cite.figure);
                taken += usize::from(found.cite.figure == said(figure));
            } else if let Some(found) = found {
                assert_eq!(found.cite.figure.split('/').next(), Some(place.key.as_str()), "{}", figure.id);
            }
        }
    }
    assert!(taken > 200, "only {taken} figures are taken over");
}

#[test]
fn before_its_first_day_a_figure_does_not_answer() {
    let tables = built_in();
    for (key, figure) in figures(&tables) {
        let first = figure.editions.first().unwrap().from;
        let before = first.yesterday().unwrap();
        if let Some(found) = book(&tables, key, before).shape(figure.topic, &scope(figure)) {
            assert_ne!(found.cite.figure, said(figure), "answers on {before}");
        }
    }
}

/// No question is left open: the place answers it, or takes the answer over,
/// or says that it asks the grower. The status follows from that.
#[test]
fn every_required_question_has_an_answer() {
    for coverage in built_in().coverage(Date::MAX) {
        let place = &coverage.place;
        let open: Vec<String> = coverage
            .questions
            .iter()
            .filter(|q| q.answer == Answer::Nothing)
            .map(|q| format!("{place}: {} {:?}", q.topic, q.scope))
            .collect();
        assert!(open.is_empty(), "{}", open.join("\n"));
        assert!(coverage.questions.len() > 200, "{place}: only {} questions", coverage.questions.len());
        for question in &coverage.questions {
            let given = matches!(question.answer, Answer::Own | Answer::Wider);
            assert_eq!(given, question.figure.is_some() && question.known.is_some(), "{place}: {question:?}");
        }
        let memory = coverage.questions.iter().any(|q| q.known == Some(Known::Memory));
        let whole = !memory && coverage.checks.len() >= CHECKS_NEEDED;
        assert_eq!(coverage.status == Status::Complete, whole, "{place}");
    }
}

/// An answer of the wider place is one that the place says it takes over; a
/// question asked of the grower is one that he can answer.
#[test]
fn a_fallback_is_named() {
    let tables = built_in();
    for coverage in tables.coverage(Date::MAX) {
        let place = &tables.places[&coverage.place];
        for question in &coverage.questions {
            let Some(figure) = question.figure.as_ref().filter(|_| question.answer == Answer::Wider) else { continue };
            let id = figure.split('/').nth(1).unwrap();
            let topic = Topic::named(id.split('.').next().unwrap()).unwrap();
            let how = place.inherits.get(&topic);
            assert!(matches!(how, Some(Inherits::FromWithin | Inherits::StricterOf)), "{}: {figure}", place.key);
        }
        for topic in &place.asks {
            let numbers = matches!(topic.form(), Form::Number | Form::NumberOrCurve);
            assert!(numbers, "{}: a farm cannot say {}", place.key, topic.key());
        }
    }
}

#[test]
fn no_two_figures_answer_one_question() {
    let tables = built_in();
    let mut seen: BTreeMap<(&str, Topic, &BTreeMap<String, String>), &str> = BTreeMap::new();
    let mut ids = BTreeSet::new();
    for (key, figure) in figures(&tables) {
        let first = seen.insert((key, figure.topic, &figure.applies), &figure.id);
        assert_eq!(first, None, "{key}: {}", figure.id);
        assert!(ids.insert((key, &figure.id)), "{key}: {} twice", figure.id);
        let named = figure.id.split('.').next();
        assert_eq!(named, Some(figure.topic.key()), "the id of a figure starts with its topic");
    }
}

#[test]
fn every_source_is_named_and_used() {
    let tables = built_in();
    let mut used = BTreeSet::new();
    for (_, figure) in figures(&tables) {
        used.extend(figure.editions.iter().map(|e| &e.source));
        used.extend(figure.others.iter().map(|o| &o.source));
    }
    let outlines = tables.outlines.sources();
    used.extend(outlines.iter().map(|source| &source.value));
    let there: BTreeSet<&String> = tables.sources.keys().collect();
    assert_eq!(used, there);
    for (_, figure) in figures(&tables) {
        for edition in &figure.editions {
            let trade = edition.source == "trade" || edition.source.ends_with("_trade");
            assert_eq!(trade, edition.known == Known::CommonPractice, "{}: {}", said(figure), edition.source);
            let note = edition.note.as_deref().unwrap_or_default();
            let honest = edition.known != Known::Memory || note.starts_with("from memory; not read");
            assert!(honest, "{}: the note of a figure from memory says so first", said(figure));
        }
    }
}

/// A slip in a scope word would make a figure that nobody ever asks for.
#[test]
fn scope_words_are_known() {
    let tables = built_in();
    for topic in tables::TOPICS {
        assert!(topic.scope().iter().all(|key| tables::KEYS.contains(key)), "{}", topic.key());
    }
    let mut known: BTreeMap<&str, BTreeSet<String>> = BTreeMap::new();
    for coverage in tables.coverage(Date::MAX) {
        for (key, value) in coverage.questions.iter().flat_map(|q| q.scope.words()) {
            known.entry(key).or_default().insert(value.to_string());
        }
    }
    for (key, more) in [
        ("strip", vec!["yes"]),
        ("owner", vec!["own"]),
        ("operation", vec!["large"]),
        ("placement", vec!["incorporated", "directed"]),
        ("nutrient", vec!["ammonium_n", "zinc", "copper"]),
    ] {
        known.entry(key).or_default().extend(more.into_iter().map(String::from));
    }
    for (place, figure) in figures(&tables) {
        for (key, value) in &figure.applies {
            let fits = match key.as_str() {
                "region" => tables.places[place].regions.contains(value),
                "season" => ["spring", "summer", "fall"].contains(&value.as_str()),
                "forage" | "use" | "material" | "feature" | "strip" | "owner" | "operation" | "placement"
                | "nutrient" | "rating" => known[key.as_str()].contains(value),
                _ => true,
            };
            assert!(fits, "{}: {key} {value}", said(figure));
        }
    }
}

/// The published examples that a place names are there.
#[test]
fn named_examples_exist() {
    for place in built_in().places.values() {
        for name in &place.checks {
            let file = root().join(format!("tests/published/{name}.yaml"));
            assert!(file.is_file(), "{}: no {}", place.key, file.display());
        }
    }
}

fn holds(season: Season, day: Date) -> bool {
    [day.year() - 1, day.year()]
        .into_iter()
        .filter_map(|year| season.days_in(year))
        .any(|(opens, closes)| opens <= day && day <= closes)
}

/// Where nothing may be spread, no window of any forage is open.
#[test]
fn windows_keep_out_of_closed_days() {
    let tables = built_in();
    let mut closed_days = 0;
    for place in tables.places.values() {
        let book = book(&tables, &place.key, Date::MAX);
        for region in &place.regions {
            let found = book.get(topic::CLOSED_DAYS, &Scope::new().region(region));
            let Some(closed) = found.map(|f| f.value) else { continue };
            for forage in book.values_of(topic::SEASON_OPEN, "forage") {
                for (name, window) in book.seasons(&Scope::new().forage(&forage).usage("hay").region(region)) {
                    let mut day = date(2028, 1, 1);
                    while day.year() == 2028 {
                        let both = holds(closed, day) && holds(window.value, day);
                        assert!(!both, "{} {region}: {forage} {name} is open on {day}", place.key);
                        day = day.tomorrow().unwrap();
                    }
                    closed_days += 1;
                }
            }
        }
    }
    assert!(closed_days > 20, "only {closed_days} windows were held against closed days");
}

/// An invented place, a folder of data, goes through the whole program.
#[test]
fn a_new_place_needs_no_code() {
    let run = |args: &[&str]| {
        let done = Command::new(env!("CARGO_BIN_EXE_sward"))
            .args(args)
            .args(["--reference", "reference", "--json"])
            .current_dir(root().join("tests/places"))
            .output()
            .unwrap();
        let error = String::from_utf8_lossy(&done.stderr).to_string();
        assert!(done.status.success(), "{args:?}: {error}{}", String::from_utf8_lossy(&done.stdout));
        serde_json::from_slice::<serde_json::Value>(&done.stdout).unwrap()
    };
    let plan = run(&["plan", "farm"]);
    assert!(plan["place"].to_string().contains("us-zz"), "{}", plan["place"]);
    let field = &plan["fields"][0];
    assert_eq!(field["applications"].as_array().map(Vec::len), Some(1), "{field}");
    // 3 tons x 44 lb = 132 lb; phosphate 45 lb in the medium class; potash as the grower says.
    assert_eq!((field["need"]["n"].as_f64(), field["need"]["p2o5"].as_f64()), (Some(132.0), Some(45.0)), "{field}");
    assert_eq!(field["need"]["k2o"].as_f64(), Some(120.0), "{field}");
    // 99 lb a ton here, 13 in the wider place: the stricter holds. 3 tons x 13 lb.
    assert_eq!(field["removed"]["p2o5"].as_f64(), Some(39.0), "{field}");
    let why = run(&["why", "F1", "farm"]).to_string();
    for figure in ["us-zz/n_per_ton.tall_fescue", "us-zz/season.spring.upland", "us/k2o_per_ton.tall_fescue"] {
        assert!(why.contains(figure) || plan.to_string().contains(figure), "no {figure}");
    }
    let listed = run(&["tables", "setback", "--place", "us-zz", "--on", "2026-01-01"]);
    assert_eq!(listed["figures"].as_array().map(Vec::len), Some(1), "{listed}");
    assert_eq!(listed["figures"][0]["shape"]["number"].as_f64(), Some(120.0));
}

/// `sward tables --coverage` keeps to the page and says the same in JSON.
#[test]
fn coverage_is_printed() {
    let run = |args: &[&str]| {
        let done = Command::new(env!("CARGO_BIN_EXE_sward")).arg("tables").args(args).output().unwrap();
        assert!(done.status.success());
        String::from_utf8(done.stdout).unwrap()
    };
    let text = run(&["--coverage"]);
    let wide: Vec<&str> = text.lines().filter(|l| l.chars().count() > 80).collect();
    assert!(wide.is_empty(), "{wide:?}");
    let json: serde_json::Value = serde_json::from_str(&run(&["--coverage", "--json"])).unwrap();
    let places = json["places"].as_array().unwrap();
    for place in places {
        assert!(text.contains(place["place"].as_str().unwrap()));
        assert_eq!(place["answered"]["nothing"], 0);
    }
    assert_eq!(places.len(), built_in().places.len());
    assert!(Path::new(&root()).join("reference/about.md").is_file());
}
