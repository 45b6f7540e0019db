//! Every mistake that a grower can make in a farm folder, with the whole
//! message. A folder of `tests/errors/` is one smallest broken farm;
//! `expected.txt` in it is what `sward check` says, with its exit code.
//!
//! `UPDATE_EXPECTED=1 cargo test --test errors` writes the expectations and
//! the list in `tests/errors/README.md` again: read every one of them before
//! it is kept.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;
#[path = "kit/listed.rs"]
mod listed;

use kit::sward;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::LazyLock;

/// Fewest mistakes that must be held; a run over an empty folder proves nothing.
const FEWEST: usize = 100;

fn errors() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/errors")
}

fn updating() -> bool {
    std::env::var_os("UPDATE_EXPECTED").is_some()
}

/// The folders with a mistake, by name.
fn mistakes() -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(errors())
        .unwrap()
        .map(|e| e.unwrap())
        .filter(|e| e.path().is_dir())
        .map(|e| e.file_name().into_string().unwrap())
        .collect();
    names.sort();
    assert!(names.len() >= FEWEST, "only {} mistakes", names.len());
    names
}

/// What `sward check` says of every folder, asked once.
static CHECKED: LazyLock<BTreeMap<String, String>> = LazyLock::new(|| said_of_all("check"));

/// A command on every folder, on as many threads as there are.
fn said_of_all(command: &str) -> BTreeMap<String, String> {
    let names = mistakes();
    let threads = std::thread::available_parallelism().map_or(1, |n| n.get());
    std::thread::scope(|scope| {
        let workers: Vec<_> = names
            .chunks(names.len().div_ceil(threads))
            .map(|part| {
                scope.spawn(move || part.iter().map(|name| (name.clone(), said(command, name))).collect::<Vec<_>>())
            })
            .collect();
        workers.into_iter().flat_map(|w| w.join().unwrap()).collect()
    })
}

/// What `sward` says of a folder, with the exit code on top.
fn said(command: &str, name: &str) -> String {
    // A farm that states no day is held on the first of its plan, or where it
    // has a log, on one after all that is dated in it.
    let folder = errors().join(name);
    let stated = std::fs::read_to_string(folder.join("farm.yaml")).is_ok_and(|t| t.contains("as_of:"));
    let logged = folder.join("log.csv").exists();
    let day: &[&str] = match (stated, logged) {
        (true, _) => &[],
        (_, true) => &["--on", "2027-03-15"],
        _ => &["--on", "2027-02-15"],
    };
    let (code, out, err) = sward(&errors(), &[&[command, name], day].concat()).parts();
    assert!(code <= 2, "{command} {name}: {err}");
    if command == "check" {
        assert_eq!(err, "", "{name}: `check` prints on standard output");
    }
    let out = if out.contains("[place-unknown]") { listed::places_cut(&out) } else { out };
    format!("exit {code}\n\n{out}")
}

/// The expectation, or the file written when that was asked for.
fn expected(path: &Path, now: &str) -> String {
    if updating() {
        std::fs::write(path, now).unwrap();
    }
    std::fs::read_to_string(path).unwrap_or_default().replace("\r\n", "\n")
}

#[test]
fn every_mistake_gets_its_message() {
    let mut wrong = Vec::new();
    for (name, now) in CHECKED.iter() {
        let kept = expected(&errors().join(name).join("expected.txt"), now);
        if *now != kept {
            wrong.push(format!("--- {name}, expected\n{kept}\n--- {name}, now\n{now}"));
        }
    }
    assert!(wrong.is_empty(), "{} differ\n{}", wrong.len(), wrong.join("\n"));
}

/// A message names its file, says what was found, and fits the page.
#[test]
fn every_message_is_whole() {
    for (name, text) in CHECKED.iter() {
        let mut blocks = text.split("\n\n").skip(1).peekable();
        let mut findings = 0;
        while let Some(block) = blocks.next() {
            if blocks.peek().is_none() {
                // The counts, and below them the fields that get no litter.
                let counts = block.lines().next().unwrap();
                assert!(counts.ends_with(['r', 's', 'g', 'e']), "{name}: {block}");
                break;
            }
            findings += 1;
            let head = block.lines().next().unwrap();
            assert!(
                ["farm.yaml", "fields.geojson", "keepouts.geojson", "calibration.yaml", "log.csv", "soil-tests.csv"]
                    .iter()
                    .any(|f| head.starts_with(f)),
                "{name}: no file in `{head}`"
            );
            assert!(head.ends_with(']'), "{name}: no code in `{head}`");
            let found = block.lines().skip(1).find(|l| {
                let line = l.trim_start();
                !line.contains(" | ") && !line.starts_with('|')
            });
            assert!(found.is_some(), "{name}: says nothing\n{block}");
            let helps = ["  accepted: ", "  fix: "];
            assert!(
                block.lines().any(|l| helps.iter().any(|h| l.starts_with(h))),
                "{name}: neither says what is accepted nor how to fix it\n{block}"
            );
        }
        assert!(findings > 0, "{name}: the mistake is not noticed");
        for line in text.lines() {
            assert!(line.chars().count() <= 80, "{name}: too wide: {line}");
            assert!(!line.chars().any(char::is_control), "{name}: control character: {line:?}");
            assert_eq!(line, line.trim_end(), "{name}: spaces at the end");
        }
    }
}

/// `check` and `plan` agree on what stops the plan.
#[test]
fn a_plan_is_refused_just_where_the_check_fails() {
    let plans = said_of_all("plan");
    for (name, check) in CHECKED.iter() {
        let plan = &plans[name];
        assert_eq!(check.starts_with("exit 0\n"), plan.starts_with("exit 0\n"), "{name}");
    }
}

#[test]
fn several_mistakes_are_told_at_once() {
    let text = &CHECKED["several-at-once"];
    for code in
        ["region-unknown", "spreader", "unit-missing", "out-of-range", "date", "boundary", "setback-asked", "log-line"]
    {
        assert!(text.contains(&format!("error [{code}]")), "no {code}");
    }
}

/// The list of mistakes is made from the folders.
#[test]
fn the_list_of_mistakes_is_current() {
    let mut list = String::from(
        "# Mistakes, and what `sward check` says of them\n\n\
         Made from the folders beside it by `UPDATE_EXPECTED=1 cargo test --test errors`.\n",
    );
    for (name, kept) in CHECKED.iter() {
        list.push_str(&format!("\n## {}\n\n```text\n", name.replace('-', " ")));
        list.push_str(kept.trim_end());
        list.push_str("\n```\n");
    }
    let kept = expected(&errors().join("README.md"), &list);
    assert!(kept == list, "tests/errors/README.md is not current; run with UPDATE_EXPECTED=1");
}
