//! What people see: whole screens at 80 columns, held as text.
//!
//! `UPDATE_EXPECTED=1 cargo test --test screens` writes `tests/screens/*.txt`
//! again: read every one of them before it is kept.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;
#[path = "kit/listed.rs"]
mod listed;

use kit::{Ended, change, command, demo_folder, root, sward};
use std::io::Read;
use std::path::{Path, PathBuf};
use std::process::Stdio;

/// A page that a person reads: narrow, clean, without spaces at line ends.
fn readable(name: &str, text: &str) {
    for (i, line) in text.lines().enumerate() {
        let n = i + 1;
        assert!(line.chars().count() <= 80, "{name}, line {n} is too wide: {line}");
        assert_eq!(line, line.trim_end(), "{name}, line {n} has spaces at its end");
        assert!(!line.chars().any(char::is_control), "{name}, line {n} has a control character: {line:?}");
    }
    assert!(text.is_empty() || text.ends_with('\n'), "{name}: the last line does not end");
}

/// Holds a screen against its file.
fn held(name: &str, folder: &Path, args: &[&str], code: i32) -> Ended {
    let ended = sward(folder, args);
    assert_eq!(ended.code, code, "{args:?}\n{}{}", ended.out, ended.err);
    readable(name, &ended.out);
    readable(name, &ended.err);
    let mut now = format!("$ sward {}\nexit {}\n\n{}", args.join(" "), ended.code, ended.out);
    if !ended.err.is_empty() {
        let err = if ended.err.contains("\nplaces: ") { listed::places_cut(&ended.err) } else { ended.err.clone() };
        now.push_str(&format!("\non standard error:\n{err}"));
    }
    let path = root().join("tests/screens").join(format!("{name}.txt"));
    if std::env::var_os("UPDATE_EXPECTED").is_some() {
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(&path, &now).unwrap();
    }
    let kept = std::fs::read_to_string(&path).unwrap_or_default().replace("\r\n", "\n");
    let first = kept
        .lines()
        .zip(now.lines())
        .position(|(a, b)| a != b)
        .unwrap_or_else(|| kept.lines().count().min(now.lines().count()));
    assert!(
        kept == now,
        "{name}.txt differs from line {}:\nexpected: {}\nnow:      {}\n\n{now}",
        first + 1,
        kept.lines().nth(first).unwrap_or("(end)"),
        now.lines().nth(first).unwrap_or("(end)"),
    );
    ended
}

#[test]
fn the_demo_farm_on_the_screen() {
    for (name, args, code) in [
        ("plan", &["plan", "fields"][..], 0),
        ("days", &["days", "fields"], 0),
        ("days-from", &["days", "fields", "--from", "2027-03-20"], 0),
        ("limits", &["limits", "fields"], 0),
        ("check", &["check", "fields"], 0),
        ("sure", &["sure", "fields"], 0),
        ("help-sure", &["sure", "--help"], 0),
        ("calibrate", &["calibrate", "fields", "--rate", "6 tons/ac"], 0),
        ("why-B1", &["why", "B1", "fields"], 0),
        ("why-D1", &["why", "D1", "fields"], 0),
        ("tables-setback", &["tables", "setback", "--on", "2027-02-01"], 0),
        ("help", &["--help"], 0),
        ("help-plan", &["plan", "--help"], 0),
        ("help-calibrate", &["calibrate", "--help"], 0),
        ("help-days", &["days", "--help"], 0),
        ("today", &["today", "fields", "--on", "2027-03-10", "--ground", "moist", "--wind", "light"], 0),
        ("today-all", &["today", "fields", "--on", "2027-03-10", "--ground", "moist", "--wind", "light", "--all"], 0),
        ("today-frozen", &["today", "fields", "--on", "2027-02-03", "--ground", "frozen"], 0),
        ("help-why", &["why", "--help"], 0),
        ("help-map", &["map", "--help"], 0),
        ("help-export", &["export", "--help"], 0),
        ("help-compare", &["compare", "--help"], 0),
        ("help-audit", &["audit", "--help"], 0),
        ("help-schema", &["schema", "--help"], 0),
        ("help-completions", &["completions", "--help"], 0),
        ("help-log-tickets", &["log", "tickets", "--help"], 0),
        ("compare", &["compare", "fields", "fields/farm.yaml"], 0),
        ("plan-with-bad-key", &["plan", "fields", "--with", "price.n=0.7 $/lb"], 1),
    ] {
        held(name, root(), args, code);
    }
}

/// A plan that was handed out beside the log, the tally of some days, and that of the
/// year with a count in the middle.
#[test]
fn the_record_on_the_screen() {
    let folder = kit::demo_folder();
    let path = folder.path();
    std::fs::write(path.join("plan.json"), sward(path, &["plan", "--json"]).out).unwrap();
    let log = "date,what,lot,field,tons,acres,order\n\
               2027-02-20,spread,clean-out,R2,10.9,,\n\
               2027-03-02,spread,clean-out,B1,30,15,\n\
               2027-03-05,spread,crust,N2,11.5,,\n\
               2027-03-06,count,clean-out,,395,,after\n\
               2027-03-12,haul,clean-out,,25,,\n\
               2027-03-18,spread,clean-out,H2,12,,\n";
    std::fs::write(path.join("log.csv"), log).unwrap();
    held("tally-against", path, &["tally", "--against", "plan.json"], 0);
    held("tally", path, &["tally", "--on", "2027-03-18"], 0);
    held("tally-year", path, &["tally", "--year", "2027"], 0);
    held("check-log-later", path, &["check", "--on", "2027-03-03"], 0);
}

#[test]
fn wrong_use_is_told_with_code_2() {
    for (name, args) in [
        ("why-no-such-field", &["why", "B9", "fields"][..]),
        ("tables-no-such-topic", &["tables", "setbak"]),
        ("tables-no-such-place", &["tables", "setback", "--place", "nowhere"]),
        ("no-such-command", &["plann", "fields"]),
        ("days-after-the-plan", &["days", "fields", "--from", "2028-01-01"]),
        ("start-over-a-farm", &["start", "fields"]),
    ] {
        held(name, root(), args, 2);
    }
    assert_eq!(sward(root(), &[]).code, 2, "no command at all");
}

#[test]
fn a_folder_without_a_farm_is_told_with_code_1() {
    held("plan-no-such-folder", root(), &["plan", "nowhere"], 1);
}

/// What a person would write into a new folder: every example of its farm.yaml
/// but one, and the two example files as they are.
fn filled_in(farm: &Path, template: &str, left_out: Option<usize>) {
    let lines = template.lines().enumerate().map(|(i, line)| match line.split_once("# for example: ") {
        Some((key, rest)) if left_out != Some(i) => format!("{} {}", key.trim_end(), rest.split(';').next().unwrap()),
        _ => line.to_string(),
    });
    std::fs::write(farm.join("farm.yaml"), lines.collect::<Vec<_>>().join("\n") + "\n").unwrap();
    for name in ["fields", "keepouts"] {
        std::fs::copy(farm.join(format!("{name}.example.geojson")), farm.join(format!("{name}.geojson"))).unwrap();
    }
}

/// A new folder says what is to be filled in, and no plan can be made before.
#[test]
fn start_makes_a_farm_that_plans_only_when_it_is_filled_in() {
    let folder = tempfile::tempdir().unwrap();
    held("start", folder.path(), &["start", "my-farm"], 0);
    held("start-check", folder.path(), &["check", "my-farm", "--on", "2027-02-01"], 1);
    let empty = sward(folder.path(), &["plan", "my-farm", "--on", "2027-02-01"]);
    assert!(empty.code == 1 && empty.out.is_empty(), "{}", empty.out);
    let farm = folder.path().join("my-farm");
    let template = std::fs::read_to_string(farm.join("farm.yaml")).unwrap();
    // A farm may do without these; everything else is asked for, by its line.
    let free = ["region", "name", "texture", "ammonium_n", "ph"];
    let mut blanks = 0;
    for (i, line) in template.lines().enumerate().filter(|(_, line)| line.contains("# for example: ")) {
        filled_in(&farm, &template, Some(i));
        let said = sward(folder.path(), &["check", "my-farm", "--on", "2027-02-01"]);
        let key = line.trim().split(':').next().unwrap();
        let named = [format!("farm.yaml:{}:", i + 1), format!("`{key}`")].iter().any(|name| said.out.contains(name));
        assert!(free.contains(&key) || said.code == 1 && named, "`{key}` left blank\n{}{}", said.out, said.err);
        blanks += 1;
    }
    assert!(blanks > 25, "{blanks} blanks");
    filled_in(&farm, &template, None);
    held("start-filled-check", folder.path(), &["check", "my-farm", "--on", "2027-02-01"], 0);
    held("start-plan", folder.path(), &["plan", "my-farm", "--on", "2027-02-01"], 0);
    held("start-days", folder.path(), &["days", "my-farm", "--on", "2027-02-01"], 1);
    let again = sward(folder.path(), &["start", "my-farm"]);
    assert_eq!(again.code, 2, "an existing farm is not written over");
}

/// Every key of a JSON text, as a path; the items of a list share one.
fn keys(value: &serde_json::Value, path: &str, found: &mut std::collections::BTreeSet<String>) {
    match value {
        serde_json::Value::Object(map) => {
            for (key, inner) in map {
                let path = format!("{path}.{key}");
                keys(inner, &path, found);
                found.insert(path);
            }
        }
        serde_json::Value::Array(items) => {
            for item in items {
                keys(item, &format!("{path}[]"), found);
            }
        }
        _ => {}
    }
}

/// Names of the JSON are a promise: they may be added to, never changed.
#[test]
fn the_names_of_the_json_stay() {
    for (name, args) in [
        ("json-plan", &["plan", "fields", "--json"][..]),
        ("json-days", &["days", "fields", "--json"]),
        ("json-limits", &["limits", "fields", "--json"]),
        ("json-sure", &["sure", "fields", "--json"]),
        ("json-calibrate", &["calibrate", "fields", "--json"]),
        ("json-check", &["check", "fields", "--json"]),
        ("json-map", &["map", "fields", "--json"]),
        ("json-why", &["why", "B1", "fields", "--json"]),
        ("json-tables", &["tables", "setback", "--json"]),
        ("json-compare", &["compare", "fields", "fields", "--json"]),
    ] {
        let ended = sward(root(), args);
        assert_eq!((ended.code, ended.err.as_str()), (0, ""), "{args:?}");
        let value: serde_json::Value =
            serde_json::from_str(&ended.out).unwrap_or_else(|e| panic!("{args:?} prints no JSON: {e}"));
        let mut found = std::collections::BTreeSet::new();
        keys(&value, "", &mut found);
        let now: String = found.iter().map(|k| format!("{k}\n")).collect();
        let path: PathBuf = root().join("tests/screens").join(format!("{name}-keys.txt"));
        if std::env::var_os("UPDATE_EXPECTED").is_some() {
            std::fs::write(&path, &now).unwrap();
        }
        let kept = std::fs::read_to_string(&path).unwrap_or_default().replace("\r\n", "\n");
        assert!(!kept.is_empty(), "{name}-keys.txt is missing");
        let lost: Vec<&str> = kept.lines().filter(|k| !found.contains(*k)).collect();
        assert!(lost.is_empty(), "{args:?} lost {lost:?}");
        let new: Vec<&String> = found.iter().filter(|k| !kept.lines().any(|l| l == k.as_str())).collect();
        assert!(new.is_empty(), "{args:?} has new names: add {new:?}");
    }
}

/// One change to the farm: what differs, then the plan; and its audit.
#[test]
fn a_changed_farm_on_the_screen() {
    let change = "litter.clean-out.on_hand=200 tons";
    held("plan-with", root(), &["plan", "fields", "--with", change], 0);
    let plan = sward(root(), &["plan", "fields", "--json", "--with", change]).out;
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("plan.json"), plan).unwrap();
    for file in ["farm.yaml", "fields.geojson", "keepouts.geojson", "soils.geojson"] {
        std::fs::copy(root().join("fields").join(file), folder.path().join(file)).unwrap();
    }
    // What the plan was made with is told; calibration.yaml is not there.
    held("audit-with", folder.path(), &["audit", "plan.json", "--today", "2027-02-01"], 0);
    let main = std::fs::read_to_string(folder.path().join("farm.yaml")).unwrap();
    std::fs::write(folder.path().join("farm.yaml"), main.replace("most: 4 tons/ac", "most: 2 tons/ac")).unwrap();
    held("audit", folder.path(), &["audit", "plan.json", "--today", "2027-02-01"], 1);
    held("audit-no-plan", folder.path(), &["audit", "farm.yaml"], 1);
}

/// The same command prints the same bytes, from wherever it is run.
#[test]
fn the_same_command_prints_the_same() {
    let once = sward(root(), &["plan", "fields"]);
    let again = sward(&root().join("fields"), &["plan"]);
    assert_eq!(once.out, again.out);
}

/// `sward plan | head -1`: the reader is gone, nobody is shouted at.
#[test]
fn a_closed_pipe_ends_quietly() {
    for args in [&["plan", "fields"][..], &["tables"], &["plan", "fields", "--json"]] {
        let mut child = command(root(), args).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        drop(child.stdout.take());
        let mut said = String::new();
        child.stderr.take().unwrap().read_to_string(&mut said).unwrap();
        let status = child.wait().unwrap();
        assert_eq!(said, "", "{args:?}");
        assert_eq!(status.code(), Some(0), "{args:?}");
    }
}

/// A name out of a file cannot move the cursor or change colors.
#[test]
fn names_cannot_command_the_terminal() {
    let folder = demo_folder();
    change(folder.path(), "farm.yaml", |farm| {
        let farm = farm
            .replace("name: Creek Bottom", r#"name: "Creek\e[2J\a\u009bBottom\u202e\nnext""#)
            .replace("farm: Two Chimney Farm", r#"farm: "Two\e[31m\r Chimney""#);
        assert!(farm.contains(r"\u009b") && farm.contains(r"\r Chimney"));
        farm
    });
    for args in [&["plan"][..], &["days"], &["sure"], &["limits"], &["check"], &["why", "B1"]] {
        let ended = sward(folder.path(), args);
        assert_eq!(ended.code, 1, "{args:?} {}", ended.out);
        let said = ended.out + &ended.err;
        assert!(said.contains("[hidden-character]"), "{args:?}: {said}");
        readable(&args.join(" "), &said);
        assert!(!said.contains('\u{202e}'), "{args:?}");
    }
}
