//! Characters that nobody sees: refused where they come in, and in no output.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod demo;
mod kit;

use kit::{demo_folder, flat, sward};
use std::path::Path;
use sward::findings::{hidden, is_hidden};

const TRICKS: [char; 10] =
    ['\u{1b}', '\u{7}', '\u{7f}', '\u{9b}', '\u{202e}', '\u{2066}', '\u{200b}', '\u{2028}', '\u{ad}', '\u{e0041}'];

fn run(folder: &Path, args: &[&str]) -> (i32, String) {
    let (code, out, err) = sward(folder, args).parts();
    let said = out + &err;
    assert_eq!(hidden(&said), None, "{args:?}: {said:?}");
    (code, said)
}

#[test]
fn they_are_refused_at_the_door_by_their_code_point() {
    for trick in TRICKS {
        let named = format!("U+{:04X}", u32::from(trick));
        let escape = if trick > '\u{ffff}' {
            format!("\\U{:08X}", u32::from(trick))
        } else {
            format!("\\u{:04x}", u32::from(trick))
        };
        let cases: [(&str, &str, String); 5] = [
            ("farm.yaml", "farm: Two Chimney Farm", format!("farm: \"Two{escape} Farm\"")),
            ("farm.yaml", "from: full clean-out", format!("\"fr{escape}om\": full clean-out")),
            ("farm.yaml", "lab: state agronomic lab", format!("lab: \"state {escape}lab\"")),
            ("fields.geojson", "\"id\": \"B1\"", format!("\"id\": \"B1\", \"name\": \"a{escape}\"")),
            ("keepouts.geojson", "\"name\": \"", format!("\"name\": \"{escape}")),
        ];
        for (file, old, new) in cases {
            // JSON has no escape of eight digits.
            if file != "farm.yaml" && trick > '\u{ffff}' {
                continue;
            }
            let folder = demo_folder();
            let text = demo::instead(&demo::file(file), old, &new);
            std::fs::write(folder.path().join(file), text).unwrap();
            let (code, said) = run(folder.path(), &["check"]);
            assert_eq!(code, 1, "{file} {named}: {said}");
            assert!(said.contains("[hidden-character]") && flat(&said).contains(&named), "{file} {named}: {said}");
        }
        let folder = demo_folder();
        let log = format!("date,what,lot,field,tons,note\n2027-03-01,spread,clean-out,B1,1,a{trick}b\n");
        std::fs::write(folder.path().join("log.csv"), log).unwrap();
        let (code, said) = run(folder.path(), &["check"]);
        assert!(code == 1 && flat(&said).contains(&named), "log {named}: {said}");
    }
}

#[test]
fn none_is_said_again_where_the_command_line_carries_one() {
    let folder = demo_folder();
    for trick in TRICKS {
        let word = format!("F{trick}9");
        let commands: [&[&str]; 5] =
            [&["why", &word], &["check", &word], &[&word], &["audit", &word], &["ground", "import", &word]];
        for args in commands {
            // `run` looks at everything that is said.
            assert_ne!(run(folder.path(), args).0, 0, "{args:?}");
        }
    }
}

#[test]
fn foreign_names_come_in_without_them() {
    let folder = demo_folder();
    for trick in TRICKS {
        let feature = format!(
            r#"{{"type":"FeatureCollection","features":[{{"type":"Feature","properties":{{"name":"Ba{trick}rn"}},"geometry":{{"type":"Polygon","coordinates":[[[-79.5,35.7],[-79.49,35.7],[-79.49,35.71],[-79.5,35.7]]]}}}}]}}"#
        );
        let text = if trick < ' ' { feature.replace(trick, &format!("\\u{:04x}", u32::from(trick))) } else { feature };
        std::fs::write(folder.path().join("in.geojson"), text).unwrap();
        let (code, said) = run(folder.path(), &["ground", "import", "in.geojson", "-o", "out.geojson", "--force"]);
        assert_eq!(code, 0, "{trick:?}: {said}");
        let out = std::fs::read_to_string(folder.path().join("out.geojson")).unwrap();
        assert!(!out.chars().any(is_hidden) && !out.contains("\\u00"), "{trick:?}: {out}");
    }
}

/// Farms that are wrong in very many places. Nobody waits for a fixed time
/// here: before, they took minutes and gigabytes.
#[test]
fn a_farm_wrong_in_very_many_places_is_told_so() {
    let main = demo::file("farm.yaml");
    let field = |id: usize| format!("  - {{id: X{id}, forage: tall fescue, use: hay, yield_goal: 4 tons/ac}}\n");
    let keys: String = (0..16_000).map(|n| format!("key_{n}: {n}\n")).collect();
    let in_one: String = (0..16_000).map(|n| format!("    key_{n}: {n}\n")).collect();
    let same = demo::instead(&main, "\nfields:\n", &format!("\nfields:\n{}", field(1).repeat(20_000)));
    let all: String = (0..20_000).map(field).collect();
    let others = demo::instead(&main, "\nfields:\n", &format!("\nfields:\n{all}"));
    let log: String = (0..20_000).map(|n| format!("2027-03-01,spread,lot{n},Y{n},1\n")).collect();
    let cases = [
        ("unknown keys", main.clone() + &keys, String::new()),
        (
            "unknown keys of a field",
            demo::instead(&main, "  - id: B1\n", &format!("  - id: B1\n{in_one}")),
            String::new(),
        ),
        ("one field", same, String::new()),
        ("fields", others.clone(), String::new()),
        ("entries", others, format!("date,what,lot,field,tons\n{log}")),
    ];
    for (what, text, log) in cases {
        let folder = demo_folder();
        std::fs::write(folder.path().join("farm.yaml"), text).unwrap();
        if !log.is_empty() {
            std::fs::write(folder.path().join("log.csv"), log).unwrap();
        }
        let (code, said) = run(folder.path(), &["check"]);
        assert_eq!(code, 1, "{what}");
        let shown = said.lines().filter(|l| l.contains(": error [") || l.contains(": warning [")).count();
        assert_eq!(shown, 100, "{what}");
        assert!(said.contains(" more, which are not shown"), "{what}");
        assert!(said.len() < 200_000, "{what}: {} bytes", said.len());
    }
}
