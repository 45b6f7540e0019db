//! Sentences that a person meets read as plain American English: none of them
//! holds a phrase of `words/refused.txt`.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "words/sentences.rs"]
mod sentences;

use sentences::Sentence;
use std::collections::BTreeSet;

/// A phrase that is refused, and what to write instead.
struct Refused {
    phrase: String,
    better: String,
}

fn refused() -> Vec<Refused> {
    let lines = include_str!("words/refused.txt").lines().filter(|l| !l.is_empty() && !l.starts_with('#'));
    lines
        .map(|line| {
            let (phrase, better) = line.split_once(" => ").unwrap_or_else(|| panic!("no ` => ` in `{line}`"));
            Refused { phrase: phrase.to_lowercase(), better: better.to_string() }
        })
        .collect()
}

/// A text in one case and without line breaks.
fn flat(text: &str) -> String {
    text.to_lowercase().split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Whether a flat text holds a phrase as whole words.
fn holds(text: &str, phrase: &str) -> bool {
    text.match_indices(phrase).any(|(at, _)| {
        let before = text[..at].chars().next_back();
        let after = text[at + phrase.len()..].chars().next();
        // A key of a file or a name in the code is no word of a sentence.
        let inside = |c: char| c.is_alphanumeric() || "_-`".contains(c);
        !before.is_some_and(inside) && !after.is_some_and(inside)
    })
}

/// Every refused phrase in the sentences, with its place and the better one.
fn faults(sentences: &[Sentence]) -> Vec<String> {
    let list = refused();
    let mut faults = Vec::new();
    for s in sentences {
        let text = flat(&s.text);
        for r in list.iter().filter(|r| holds(&text, &r.phrase)) {
            faults.push(format!("{}:{}: `{}`: write: {}\n    {}", s.file, s.line, r.phrase, r.better, s.text.trim()));
        }
    }
    faults
}

#[test]
fn no_sentence_reads_foreign() {
    let all = sentences::all();
    let faults = faults(&all);
    assert!(faults.is_empty(), "\n{}\n", faults.join("\n"));
    // Every kind of place where a sentence is written is really read.
    for (part, least) in [
        ("src/check/", 200),
        ("src/write/", 400),
        ("src/write/words/en.rs", 10),
        ("src/cli/start/farm.yaml", 10),
        ("reference/us/", 200),
        ("README.md", 20),
    ] {
        let n = all.iter().filter(|s| s.file.starts_with(part)).count();
        assert!(n >= least, "only {n} sentences of {part} were read");
    }
}

#[test]
fn the_list_is_kept_well() {
    let list = refused();
    let once: BTreeSet<&str> = list.iter().map(|r| r.phrase.as_str()).collect();
    assert_eq!(once.len(), list.len(), "a phrase is listed twice");
    for r in &list {
        let again = list.iter().find(|other| holds(&flat(&r.better), &other.phrase));
        assert!(again.is_none(), "`{}` is itself refused", r.better);
    }
}

#[test]
fn a_refused_phrase_is_found_wherever_it_is_written() {
    let code = "fn f() {\n    // mend\n    let _ = format!(\"the field \\\n        rests on it {told}\");\n    g(r#\"mend: \"this\"\"#, '\"', \"mender\");\n}\n";
    let found = faults(&sentences::of_code("a.rs", code));
    assert_eq!(found.len(), 2, "{found:?}");
    assert!(found[0].starts_with("a.rs:3: `rests on`"), "{found:?}");
    assert!(found[1].starts_with("a.rs:5: `mend`"), "{found:?}");
    let page = "<p class=\"told\">Was it <b>reckoned</b>?</p>\n{% if told %}\n<p>{{ told }}</p>\n";
    assert_eq!(faults(&sentences::of_page("a.html", page)).len(), 1);
    let figures = "- id: told\n  what: rate from which none goes on, reckoned\n  quote: \"held to 3 tons\"\n# mend\n";
    assert_eq!(faults(&sentences::of_figures("a.yaml", figures)).len(), 1);
    assert!(!holds("the `told` key, unmended", "told") && !holds("unmended", "mended"));
}

/// Examples of YAML that messages print within braces: a comma in a figure would part it.
#[test]
fn printed_examples_read_back() {
    let mut seen = 0;
    for Sentence { file, line, text } in sentences::all() {
        for example in text.replace("{{", "{").replace("}}", "}").replace("\\\"", "\"").split('`').skip(1).step_by(2) {
            let first = example.find('{');
            let Some(first) = first.filter(|at| example[*at..].contains(": ")) else { continue };
            let Some(last) = example.rfind('}') else { continue };
            let block = &example[first..=last];
            // A part that the program fills in is no example yet.
            let filled = block.replace("...", "1");
            let Ok(value) = serde_yaml::from_str::<serde_json::Value>(&filled) else { continue };
            seen += 1;
            assert!(!has_empty(&value), "{file}:{line}: `{example}` reads back as {value}");
        }
    }
    assert!(seen >= 8, "only {seen} examples were read");
}

/// Whether a key has no value: what is left of a figure that a comma has parted.
fn has_empty(value: &serde_json::Value) -> bool {
    match value {
        serde_json::Value::Null => true,
        serde_json::Value::Array(list) => list.iter().any(has_empty),
        serde_json::Value::Object(map) => map.values().any(has_empty),
        _ => false,
    }
}
