//! The house rules that the compiler does not hold: which room may import
//! which, how long a file and a function may be, what stands nowhere.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "tidy/imports.rs"]
mod imports;

use imports::Crate;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// What each room may import, besides itself. The table of DEVELOPERS.md.
const MAY_IMPORT: &[(&str, &[&str])] = &[
    ("units", &[]),
    ("findings", &["units"]),
    ("text", &["units", "findings"]),
    ("farm", &["units", "findings", "text"]),
    ("record", &["cores", "units", "findings", "text"]),
    ("tables", &["cores", "units", "findings", "text"]),
    ("ground", &["units", "findings"]),
    ("exchange", &["units", "findings", "text", "ground"]),
    ("calibrate", &["units", "findings"]),
    ("solve", &[]),
    // Of `solve` only the pool.
    ("proof", &["solve"]),
    ("cores", &[]),
    ("check", &["units", "findings", "text", "farm", "record", "tables", "ground", "calibrate"]),
    ("balance", &["units", "findings", "text", "farm", "record", "tables", "check", "ground"]),
    ("plan", &["cores", "units", "findings", "text", "farm", "record", "tables", "check", "balance", "solve", "proof"]),
    // Of `plan` only the answer's types; never balance or ground.
    ("audit", &["cores", "units", "findings", "text", "farm", "record", "tables", "check", "plan", "proof"]),
    ("write", &["units", "findings", "tables", "calibrate", "check", "ground", "exchange", "balance", "plan", "audit"]),
    (
        "pipeline",
        &[
            "cores", "findings", "text", "farm", "record", "tables", "ground", "exchange", "check", "balance", "plan",
            "audit",
        ],
    ),
    (
        "cli",
        &[
            "units",
            "findings",
            "text",
            "farm",
            "record",
            "tables",
            "calibrate",
            "check",
            "ground",
            "exchange",
            "balance",
            "plan",
            "audit",
            "pipeline",
            "write",
        ],
    ),
];

/// Longest file, in lines.
const FILE_LINES: usize = 500;
/// Longest function, in lines.
const FUNCTION_LINES: usize = 70;

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// Every Rust file below a folder, with its text.
fn sources(folder: &str) -> Vec<(String, String)> {
    fn walk(folder: &Path, found: &mut Vec<PathBuf>) {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            // What a build left behind is nobody's source.
            if path.is_dir() && path.ends_with("target") {
                continue;
            }
            if path.is_dir() {
                walk(&path, found);
            } else if path.extension().is_some_and(|e| e == "rs") {
                found.push(path);
            }
        }
    }
    let mut found = Vec::new();
    walk(&root().join(folder), &mut found);
    found.sort();
    assert!(!found.is_empty(), "no source found in {folder}");
    found
        .into_iter()
        .map(|p| {
            let name = p.strip_prefix(root()).unwrap().to_string_lossy().replace('\\', "/");
            (name, std::fs::read_to_string(&p).unwrap())
        })
        .collect()
}

/// The room a source file belongs to; none for `lib.rs` and `main.rs`.
fn room_of(path: &str) -> Option<&str> {
    path.strip_prefix("src/")?.split_once('/').map(|(room, _)| room)
}

/// A text without what a test of the file does.
fn without_tests((name, text): (String, String)) -> (String, String) {
    let code = text.split("\n#[cfg(test)]\nmod tests").next().unwrap_or_default();
    (name, code.to_string())
}

/// The checker of proofs shares nothing with the search: of `solve` it knows the pool alone.
#[test]
fn the_checker_of_proofs_reads_the_pool_and_nothing_else_of_the_solver() {
    for (path, text) in sources("src/proof") {
        for line in text.lines().filter(|line| line.contains("solve::")) {
            assert_eq!(line.trim_start_matches("pub "), "use crate::solve::Pool;", "{path}");
        }
    }
}

#[test]
fn rooms_import_only_what_the_table_allows() {
    let table: BTreeMap<&str, &[&str]> = MAY_IMPORT.iter().copied().collect();
    let mut wrong = Vec::new();
    let sources = sources("src");
    let all = Crate::read(&sources);
    for (path, text) in &sources {
        assert!(!text.contains("super::super"), "{path}: super::super");
        let Some(room) = room_of(path) else { continue };
        let allowed = table.get(room).unwrap_or_else(|| panic!("{path}: the room `{room}` is not in the table"));
        for import in all.imports(path) {
            let Some(named) = import.to.first().map(String::as_str).filter(|named| table.contains_key(named)) else {
                continue;
            };
            if named != room && !allowed.contains(&named) {
                wrong.push(format!("{path}:{}: `{room}` imports `{named}`", import.line));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn the_auditor_sees_only_the_answer_of_the_plan() {
    let sources = sources("src/audit");
    let all = Crate::read(&sources);
    for (path, _) in &sources {
        for import in all.imports(path).iter().filter(|import| import.to.first().is_some_and(|room| room == "plan")) {
            assert!(import.to.get(1).is_some_and(|file| file == "answer"), "{path}:{}", import.line);
        }
    }
}

/// What a file uses stands below it, so that it can be read from below.
#[test]
fn no_files_of_a_room_use_each_other() {
    let sources: Vec<(String, String)> = sources("src").into_iter().map(without_tests).collect();
    let all = Crate::read(&sources);
    let mut wrong = Vec::new();
    for (room, _) in MAY_IMPORT {
        for circle in all.circles(room) {
            wrong.push(format!("{room}: these files use each other: {}", circle.join(", ")));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn imports_are_read_in_every_form() {
    let source = |name: &str, text: &str| (name.to_string(), text.to_string());
    let sources = [
        source("src/a/mod.rs", "mod x;\nmod y;\npub use x::{One, Two};\nfn top() { y::run() }\n"),
        source("src/a/x.rs", "use crate::{\n    b::{self, c::Three},\n    a::y,\n};\n// use crate::d;\n"),
        source("src/a/y.rs", "fn run() -> super::One { crate::b::four() }\n"),
        source("src/b/mod.rs", "use crate::a::Two as Other;\n"),
    ];
    let all = Crate::read(&sources);
    let to = |name: &str| all.imports(name).iter().map(|i| i.to.join("::")).collect::<Vec<_>>();
    assert_eq!(to("src/a/mod.rs"), ["a::x::One", "a::x::Two", "a::y::run"]);
    assert_eq!(to("src/a/x.rs"), ["b", "b::c::Three", "a::y"]);
    assert_eq!(to("src/a/y.rs"), ["a::One", "b::four"]);
    assert_eq!(to("src/b/mod.rs"), ["a::Two"]);
    assert_eq!(all.circles("a"), [["src/a/x.rs", "src/a/y.rs"]]);
    assert!(all.circles("b").is_empty());
}

/// One way from a folder to a plan: no front and no test takes the steps by
/// itself.
#[test]
fn only_the_pipeline_takes_the_steps() {
    let steps = ["check::check(", "balance::survey(", "balance::weigh(", "plan::make(", "audit::audit("];
    for (path, text) in sources("src").into_iter().chain(sources("tests")).chain(sources("benches")) {
        if path.starts_with("src/pipeline/") || path == "tests/tidy.rs" {
            continue;
        }
        for (i, line) in text.lines().enumerate() {
            let taken = steps.iter().find(|step| line.contains(*step));
            // The auditor is tried by itself on plans that no chooser makes.
            let tried = path == "tests/audit_catches.rs" && taken == Some(&"audit::audit(");
            assert!(tried || taken.is_none(), "{path}:{}: {line}", i + 1);
        }
    }
}

#[test]
fn files_and_functions_stay_short() {
    let mut wrong = Vec::new();
    for (path, text) in sources("src") {
        let lines: Vec<&str> = text.lines().collect();
        if lines.len() > FILE_LINES {
            wrong.push(format!("{path}: {} lines", lines.len()));
        }
        for (i, line) in lines.iter().enumerate() {
            let start = line.trim_start();
            let indent = line.len() - start.len();
            let is_fn = ["fn ", "pub fn ", "pub(super) fn ", "pub(crate) fn ", "const fn "]
                .iter()
                .any(|p| start.starts_with(p));
            if !is_fn {
                continue;
            }
            // rustfmt closes a function with a brace at its own indent.
            let close = format!("{}}}", " ".repeat(indent));
            let length = lines[i..].iter().position(|l| *l == close).map_or(1, |n| n + 1);
            if length > FUNCTION_LINES {
                wrong.push(format!("{path}:{}: function of {length} lines", i + 1));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_file_says_what_it_is() {
    for (path, text) in sources("src").into_iter().chain(sources("tests")) {
        assert!(text.starts_with("//!"), "{path} does not open with a `//!` line");
    }
}

#[test]
fn nothing_forbidden_stands_in_the_source() {
    let places: Vec<String> = std::fs::read_dir(root().join("reference"))
        .unwrap()
        .map(|e| e.unwrap().file_name().to_string_lossy().to_string())
        .filter(|n| n.starts_with("us-"))
        .collect();
    assert!(!places.is_empty());
    for (path, text) in sources("src") {
        let tests = text.lines().position(|line| line == "#[cfg(test)]").unwrap_or(usize::MAX);
        for (i, line) in text.lines().enumerate() {
            let at = format!("{path}:{}: {line}", i + 1);
            for word in ["TODO", "FIXME", "XXX", "unimplemented!", "todo!", "HashMap", "HashSet"] {
                assert!(!line.contains(word), "{at}");
            }
            // What a test of the file does is not what the program does.
            let code = if i < tests { line.split("//").next().unwrap_or("") } else { "" };
            let reads_clock = ["SystemTime", "Instant::now", "Zoned::now", "ZonedDateTime::now", "Timestamp::now"];
            let may_read_clock = path == "src/cli/clock.rs";
            assert!(may_read_clock || !reads_clock.iter().any(|w| code.contains(w)), "{at}");
            if room_of(&path) != Some("cli") {
                for word in ["std::env", "println!", "eprintln!", "std::process::exit", "terminal_size"] {
                    assert!(!code.contains(word), "{at}");
                }
            }
            let io = code.contains("std::fs") || code.contains("File::");
            let may_io = ["record", "tables", "cli"];
            // One reader of files, which waits for no pipe and fills no memory.
            let reader = path == "src/text/file.rs";
            assert!(!io || reader || room_of(&path).is_some_and(|r| may_io.contains(&r)), "{at}");
            assert!(reader || !["fs::read(", "read_to_string("].iter().any(|w| code.contains(w)), "{at}");
            // A place is data. The default of `tables --place` and the help
            // texts of the farm file are the only spots that name one.
            let names_place = places.iter().any(|p| code.contains(p.as_str()));
            let may_name = ["src/cli/args.rs", "src/farm/main_file.rs"].contains(&path.as_str());
            assert!(!names_place || may_name, "{at}");
        }
    }
}

#[test]
fn the_documents_name_commands_that_exist() {
    let args = std::fs::read_to_string(root().join("src/cli/args.rs")).unwrap();
    let known: Vec<String> = args
        .lines()
        .skip_while(|l| !l.contains("enum Command"))
        .filter_map(|l| l.trim().split_once(['(', ',']).map(|(name, _)| name.to_lowercase()))
        .collect();
    for file in ["README.md", "DEVELOPERS.md"] {
        let text = std::fs::read_to_string(root().join(file)).unwrap();
        for part in text.split("sward ").skip(1).filter(|p| p.starts_with(|c: char| c.is_ascii_lowercase())) {
            let word: String = part.chars().take_while(char::is_ascii_lowercase).collect();
            let code = text.contains(&format!("`sward {word}"))
                || text.contains(&format!("\nsward {word}"))
                || text.contains(&format!("$ sward {word}"));
            if code {
                assert!(known.contains(&word), "{file}: `sward {word}` is no command");
            }
        }
    }
}
