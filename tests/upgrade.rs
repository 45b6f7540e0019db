//! `sward upgrade`: a folder of an earlier form becomes one of the present
//! form, and nothing else in its files changes.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod demo;
mod kit;

use demo::{file, instead, made, texts, with_main};
use kit::{at_root, names};
use sward::farm::{self, FarmText, Upgraded};
use sward::findings::Findings;

/// The demo farm as it was written in the first form.
fn earlier() -> String {
    let now = file(farm::MAIN);
    let now = instead(&now, "    number: 3\n    birds: 24000 ", "    birds: 72000 ");
    instead(&now, "\nversion: 2\n", "\n")
}

fn upgraded(main: &str) -> (Vec<Upgraded>, Findings) {
    let mut findings = Findings::new();
    let texts = FarmText { main: Some(main.to_string()), ..FarmText::default() };
    let files = farm::upgrade(&texts, &mut findings);
    (files, findings)
}

/// What `main` becomes; every step can be made.
fn after(main: &str) -> String {
    let (files, findings) = upgraded(main);
    assert!(!findings.has_errors() && files[0].steps.iter().all(|s| s.edit.is_some()), "{:?}", files[0].steps);
    let (again, _) = upgraded(&files[0].after);
    assert_eq!(again[0].steps, [], "nothing is left to do");
    files[0].after.clone()
}

#[test]
fn the_demo_farm_of_the_first_form_keeps_every_other_byte_and_its_plan() {
    let before = earlier();
    let after = after(&before);
    let added = ["version: 2\n", "    number: 1\n"];
    let back = added.iter().fold(after.clone(), |text, line| instead(&text, line, ""));
    assert_eq!(back, before);

    let (old, new) = (made(&with_main(|_| after.clone())), made(&texts()));
    let houses = |made: &demo::Made| -> Vec<_> {
        made.ready.work.houses.iter().map(|h| (h.birds, h.a_year.as_ref().map(|m| m.tons))).collect()
    };
    assert_eq!(houses(&old), houses(&new));
    assert!(!houses(&old).is_empty());
    let tons = |made: &demo::Made| -> Vec<_> { made.plan().lots.iter().map(|l| (l.planned, l.left)).collect() };
    assert_eq!(tons(&old), tons(&new));
}

#[test]
fn braces_quotes_line_ends_and_an_older_version_are_kept_as_written() {
    for (before, want) in [
        (
            "farm: A # mine\r\nhouses:\r\n  - birds: 10\r\n    name: a\r\n",
            "version: 2\r\nfarm: A # mine\r\nhouses:\r\n  - number: 1\r\n    birds: 10\r\n    name: a\r\n",
        ),
        (
            "# é\nversion: '1' # of the form\nhouses: [{name: é, \"birds\": 10}]\n",
            "# é\nversion: 2 # of the form\nhouses: [{name: é, number: 1, \"birds\": 10}]\n",
        ),
        ("{\"farm\": \"A\"}", "{version: 2, \"farm\": \"A\"}"),
        ("farm: A", "version: 2\nfarm: A"),
        ("version: 2\nhouses:\n  - {name: a, birds: 10}\n", "version: 2\nhouses:\n  - {name: a, birds: 10}\n"),
    ] {
        assert_eq!(after(before), want);
    }
}

#[test]
fn what_only_a_person_can_write_is_listed() {
    let (files, _) = upgraded("farm: A\nhouses:\n  - name: a\n    number:\n    birds: 10\n");
    let open: Vec<_> = files[0].steps.iter().filter(|s| s.edit.is_none()).collect();
    assert_eq!(open.len(), 1);
    assert_eq!(open[0].place.to_string(), "farm.yaml:5:5");
}

/// A consent of one line becomes who and when; one that says more is a person's to write.
#[test]
fn a_consent_says_by_whom_and_on_which_day() {
    let of = |consent: &str| {
        let keepouts = file(farm::KEEPOUTS);
        let kind = "\"kind\": \"dwelling\"";
        let keepouts = instead(&keepouts, kind, &format!("{kind}, \"consent\": {consent}"));
        let mut findings = Findings::new();
        let texts = FarmText { main: Some(earlier()), keepouts: Some(keepouts.clone()), ..FarmText::default() };
        let files = farm::upgrade(&texts, &mut findings);
        assert!(!findings.has_errors());
        (keepouts, files[1].clone())
    };
    let (before, done) = of("\"R. \\\"Ray\\\" Swink, 2026-10-01\"");
    let now = r#""consent": {"by":"R. \"Ray\" Swink","on":"2026-10-01"}"#;
    assert_eq!(done.after, instead(&before, "\"consent\": \"R. \\\"Ray\\\" Swink, 2026-10-01\"", now));
    for open in ["\"R. Swink\"", "\"R. Swink, 2026-10-01; to 60 ft\"", "\"refused by R. Swink, 2026-10-01\"", "true"] {
        let (before, done) = of(open);
        assert!(done.steps.len() == 1 && done.steps[0].edit.is_none(), "{open}");
        assert_eq!(done.after, before);
    }
    let (before, done) = of("{\"by\": \"R. Swink\", \"on\": \"2026-10-01\"}");
    assert!(done.steps.is_empty() && done.after == before);
}

/// However a file is cut off or damaged, it ends in a finding or in a text that can be read.
#[test]
fn a_damaged_file_is_refused_or_read() {
    let whole = earlier();
    let (mut refused, mut read) = (0, 0);
    for cut in (0..whole.len()).step_by(61).filter(|cut| whole.is_char_boundary(*cut)) {
        for damaged in [whole[..cut].to_string(), format!("{}\u{1f414}{}", &whole[..cut], &whole[cut..])] {
            let (files, findings) = upgraded(&damaged);
            if findings.has_errors() {
                refused += 1;
                continue;
            }
            read += 1;
            let mut wrong = Findings::new();
            assert!(sward::text::parse("farm.yaml", &files[0].after, &mut wrong).is_some(), "{cut}");
        }
    }
    assert!(refused > 5 && read > 50, "{refused} refused, {read} read");
}

#[test]
fn the_command_shows_first_and_keeps_what_was_there() {
    let folder = tempfile::tempdir().unwrap();
    let (path, at) = (folder.path().join("farm.yaml"), folder.path().to_str().unwrap());
    // The bytes of before are kept, the mark at the front too.
    let before = format!("\u{feff}{}", earlier());
    std::fs::write(&path, &before).unwrap();
    for name in [farm::FIELDS, farm::KEEPOUTS] {
        std::fs::write(folder.path().join(name), file(name)).unwrap();
    }
    std::fs::write(folder.path().join("farm.yaml.1"), "mine").unwrap();

    let (code, shown, said) = at_root(&["upgrade", at]);
    assert_eq!(code, 0, "{said}");
    assert!(shown.contains("  - # The version") || shown.contains("  + version: 2\n"), "{shown}");
    assert!(shown.contains("  -     birds: 72000") && shown.contains("  +     number: 1\n"), "{shown}");
    assert_eq!(std::fs::read_to_string(&path).unwrap(), before, "nothing is written without --write");

    let (code, _, said) = at_root(&["upgrade", at, "--write"]);
    assert!(code == 0 && said.contains("farm.yaml.2"), "{said}");
    assert_eq!(names(folder.path()), ["farm.yaml", "farm.yaml.1", "farm.yaml.2", farm::FIELDS, farm::KEEPOUTS]);
    assert_eq!(std::fs::read_to_string(folder.path().join("farm.yaml.1")).unwrap(), "mine");
    assert_eq!(std::fs::read_to_string(folder.path().join("farm.yaml.2")).unwrap(), before);
    let now = std::fs::read_to_string(&path).unwrap();
    assert_eq!(now, after(&earlier()));

    let (code, shown, said) = at_root(&["upgrade", at, "--write"]);
    assert!(code == 0 && shown.is_empty() && said.contains("nothing to change"), "{said}");
    assert_eq!(std::fs::read_to_string(&path).unwrap(), now);
}

#[test]
fn a_file_that_cannot_be_read_is_left_alone() {
    let folder = tempfile::tempdir().unwrap();
    let (path, at) = (folder.path().join("farm.yaml"), folder.path().to_str().unwrap());
    for name in [farm::FIELDS, farm::KEEPOUTS] {
        std::fs::write(folder.path().join(name), file(name)).unwrap();
    }
    for before in ["farm: [", "farm: A\nhouses:\n  - name: a\n    number:\n    birds: 10\n"] {
        std::fs::write(&path, before).unwrap();
        let (code, _, said) = at_root(&["upgrade", at, "--write"]);
        assert!(code == 1 && said.contains("nothing was changed"), "{said}");
        assert_eq!(std::fs::read_to_string(&path).unwrap(), before);
        assert_eq!(names(folder.path()).len(), 3);
    }
}

#[test]
fn a_file_of_a_newer_form_is_refused() {
    let (_, findings) = upgraded(&instead(&file(farm::MAIN), "\nversion: 2\n", "\nversion: 3\n"));
    assert!(findings.sorted().iter().any(|f| f.code == "version"), "{findings:?}");
}
