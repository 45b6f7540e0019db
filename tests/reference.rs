//! Everything in `reference/`: what is missing or wrong in it, told as findings;
//! how places take over from wider ones; what the loader refuses, by a table
//! of small broken records; and the template of a place.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::panic)]

#[path = "reference/data.rs"]
mod data;
#[path = "reference/figures.rs"]
mod figures;
#[path = "reference/inheritance.rs"]
mod inheritance;
#[path = "reference/made.rs"]
mod made;
#[path = "reference/refusals.rs"]
mod refusals;
#[path = "reference/slips.rs"]
mod slips;
#[path = "reference/template.rs"]
mod template;

use jiff::civil::Date;
use std::path::{Path, PathBuf};
use std::process::Command;
use sward::findings::{Findings, Known};
use sward::tables::{self, Book, CHECKS_NEEDED, CoverageAnswer, Figure, Inherits, Safe, Scope, Shape, Status, Tables};

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// The tables on disk, whatever is wrong with them: one test tells that.
fn loaded() -> Tables {
    tables::load(&tables::read_folder(&root().join("reference")).unwrap()).0
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

/// Whoever adds a place or a figure reads here what it still needs.
#[test]
fn nothing_is_missing() {
    let (tables, mut findings) = tables::load(&tables::read_folder(&root().join("reference")).unwrap());
    findings.extend(data::findings(&tables));
    if findings.is_empty() {
        findings.extend(figures::changed(&tables));
    }
    assert!(findings.is_empty(), "\n{}", shown(&findings));
    assert!(tables.places.len() >= 7, "only {} places", tables.places.len());
    let editions = figures(&tables).map(|(_, figure)| figure.editions.len()).sum::<usize>();
    assert!(editions > 600, "only {editions} editions");
}

/// Findings as a reader of the terminal sees them, each with its line.
fn shown(findings: &Findings) -> String {
    let line = |place: &sward::findings::Place| {
        let text = std::fs::read_to_string(root().join(place.file.as_str())).ok()?;
        text.lines().nth(place.line.checked_sub(1)?).map(str::to_string)
    };
    sward::write::findings(findings, &line, 110)
}

#[test]
fn the_built_in_files_are_those_on_disk() {
    assert_eq!(tables::read_folder(&root().join("reference")).unwrap(), tables::built_in());
}

/// A figure asked for in its own scope, on the day it came into force, is the
/// answer; or the wider place has a stricter one and the topic says so.
#[test]
fn every_figure_is_reachable() {
    let tables = loaded();
    for (key, figure) in figures(&tables) {
        for edition in figure.editions.iter().filter(|e| e.shape != Shape::Withdrawn) {
            let book = book(&tables, key, edition.from);
            // All rows of a phosphorus rule are handed out.
            if matches!(edition.shape, Shape::Rule(_)) {
                let rules = book.rules();
                assert!(rules.iter().any(|(_, rule)| rule.cite.figure == said(figure)), "{}", said(figure));
                continue;
            }
            let found =
                book.shape(figure.topic, &scope(figure)).unwrap_or_else(|| panic!("{}: not found", said(figure)));
            if found.cite.figure == said(figure) {
                assert_eq!(found.value, edition.shape, "{}", said(figure));
                continue;
            }
            let how = tables.places[key].inherits(figure.topic);
            assert_eq!(how, Inherits::StricterOf, "{} is hidden by {}", said(figure), found.cite.figure);
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
}

/// What a place takes over from the wider one answers there too: by itself, or
/// behind a figure of the place's own.
#[test]
fn what_is_taken_over_answers() {
    let tables = loaded();
    let mut taken = 0;
    for place in tables.places.values() {
        let Some(within) = &place.within else { continue };
        for figure in &tables.places[within].figures {
            let takes = place.inherits(figure.topic) != Inherits::Replaces;
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

/// Before its first day a figure does not answer. What is common practice came into force on
/// no day, and holds in an earlier plan too.
#[test]
fn before_its_first_day_common_practice_alone_answers() {
    let tables = loaded();
    let mut seen = [0; 2];
    for (key, figure) in figures(&tables) {
        let first = figure.editions.first().unwrap();
        let practice = first.known == Known::CommonPractice;
        let before = book(&tables, key, first.from.yesterday().unwrap());
        let edition = before.all(Some(figure.topic)).into_iter().find(|(own, ..)| std::ptr::eq(*own, figure));
        assert_eq!(edition.map(|(_, edition, _)| edition), Some(first).filter(|_| practice), "{}", said(figure));
        let answers = before.shape(figure.topic, &scope(figure)).is_some_and(|found| found.cite.figure == said(figure));
        assert!(practice || !answers, "{}", said(figure));
        seen[usize::from(practice)] += 1;
    }
    assert!(seen.iter().all(|n| *n > 100), "{seen:?}");
}

/// The status of a place follows from the answers.
#[test]
fn the_status_follows_from_the_answers() {
    for coverage in loaded().coverage(Date::MAX) {
        let place = &coverage.place;
        assert!(coverage.questions.len() > 200, "{place}: only {} questions", coverage.questions.len());
        for question in &coverage.questions {
            let given = matches!(question.answer, CoverageAnswer::Own | CoverageAnswer::Wider);
            assert_eq!(given, question.figure.is_some() && question.known.is_some(), "{place}: {question:?}");
        }
        let memory = coverage.questions.iter().any(|q| q.known == Some(Known::Memory));
        let whole = !memory && coverage.count(CoverageAnswer::Nothing) == 0 && coverage.checks.len() >= CHECKS_NEEDED;
        assert_eq!(coverage.status == Status::Complete, whole, "{place}");
    }
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
    assert_eq!(places.len(), loaded().places.len());
    assert!(Path::new(&root()).join("reference/about.md").is_file());
}
