//! Whatever `check` would newly find because of an entry is told when it is logged, also
//! where it stands at a line of farm.yaml.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Farm, PLACES, Place, figure, flat, houses, sward};
use serde_json::json;
use std::collections::BTreeMap;
use std::path::Path;

/// A farm with a storage, an outlet and a house with clean-outs.
fn farm(place: &'static Place) -> Farm {
    Farm::new(place)
        .with("plan.as_of", "2027-04-20")
        .with("litter.heap.on_hand", "200 tons")
        .with("litter.heap.counted_on", "2027-02-10")
        .with("storage", json!([{"name": "barn", "room": "250 tons", "lots": ["heap"]}]))
        .with("outlets", json!([{"name": "Oak Farm", "price": "9 $/ton", "most": "40 tons", "to": "2027-04-10"}]))
        .with(
            "houses",
            houses(json!([{"date": "2027-04-02", "tons": "90 tons", "lot": "heap"},
            {"date": "2027-05-20", "tons": "90 tons", "lot": "heap"}])),
        )
        .figure(figure("graze_wait", "days", "use: hay", "value: 21"))
}

/// How often each code stands in a text.
fn codes(text: &str) -> BTreeMap<String, usize> {
    let mut codes = BTreeMap::new();
    for part in text.split(['[', ']']).skip(1).step_by(2) {
        if part.contains('-') && part.bytes().all(|b| b.is_ascii_lowercase() || b == b'-') {
            *codes.entry(part.to_string()).or_insert(0) += 1;
        }
    }
    codes
}

fn check(folder: &Path) -> BTreeMap<String, usize> {
    codes(&sward(folder, &["check"]).out)
}

fn log(folder: &Path, kind: &str, given: &[&str]) -> String {
    let ended = sward(folder, &[&["log", kind, "--today", "2027-04-20"][..], given].concat());
    assert_eq!(ended.code, 0, "{kind} {given:?}: {}", ended.err);
    flat(&ended.err)
}

const HAUL: [&str; 8] = ["--lot", "heap", "--address", "x", "--use", "x", "--analysis", "none given"];
const SPREAD: [&str; 20] = [
    "--lot",
    "heap",
    "--field",
    "A",
    "--loads",
    "1",
    "--acres",
    "8",
    "--method",
    "surface",
    "--weather",
    "fair",
    "--before",
    "dry",
    "--wind",
    "calm",
    "--operator",
    "RH",
    "--basis",
    "plan",
];

#[test]
fn what_check_would_newly_find_is_told_at_the_entry() {
    // What is logged, one after the other, and a code that it must bring.
    let entries: [(&str, Vec<&str>, Option<&str>); 16] = [
        (
            "clean-out",
            vec!["--date", "2027-04-01", "--lot", "heap", "--tons", "95", "--house", "north"],
            Some("storage-over"),
        ),
        ("haul", [&HAUL[..], &["--date", "2027-04-03", "--tons", "39", "--to", "Oak Farm"]].concat(), None),
        (
            "haul",
            [&HAUL[..], &["--date", "2027-04-03", "--tons", "8", "--to", "Oak Farm"]].concat(),
            Some("outlet-over"),
        ),
        (
            "haul",
            [&HAUL[..], &["--date", "2027-04-11", "--tons", "8", "--to", "Oak Farm"]].concat(),
            Some("outlet-late"),
        ),
        ("fertilizer", vec!["--date", "2027-03-20", "--field", "A", "--grade", "34-0-0", "--rate", "50 lb/ac"], None),
        (
            "fertilizer",
            vec!["--date", "2027-03-20", "--field", "A", "--grade", "34-0-0", "--rate", "50 lb/ac"],
            Some("log-twice"),
        ),
        ("lime", vec!["--date", "2027-03-20", "--field", "A", "--rate", "1.5 tons/ac"], None),
        ("lime", vec!["--date", "2027-03-20", "--field", "A", "--rate", "3000 lb/ac"], Some("log-twice")),
        (
            "put-off",
            vec!["--date", "2027-04-18", "--house", "north", "--from", "2027-05-20", "--to", "2027-04-19"],
            Some("coming-overdue"),
        ),
        (
            "count",
            vec!["--date", "2027-04-12", "--lot", "heap", "--tons", "30", "--order", "after"],
            Some("count-apart"),
        ),
        (
            "haul",
            [&HAUL[..], &["--date", "2027-04-12", "--tons", "5", "--to", "Elm Farm"]].concat(),
            Some("count-holds"),
        ),
        ("spread", [&SPREAD[..], &["--date", "2027-04-14", "--soil", "frozen", "--tons", "8"]].concat(), None),
        ("graze", vec!["--field", "A", "--from", "2027-04-15", "--to", "2027-04-18"], Some("log-grazed-early")),
        (
            "spread",
            [&SPREAD[..], &["--date", "2027-04-20", "--soil", "dry", "--tons", "24.1"]].concat(),
            Some("log-overdrawn"),
        ),
        ("rain", vec!["--date", "2027-04-20", "--inches", "1"], None),
        ("cut", vec!["--date", "2027-04-20", "--field", "A"], None),
    ];
    for place in PLACES {
        let folder = farm(place).folder();
        let path = folder.path();
        let mut before = check(path);
        let mut many = 0;
        for (kind, given, must) in &entries {
            let said = log(path, kind, given);
            let (told, after) = (codes(&said), check(path));
            let newly: Vec<&String> = after
                .iter()
                .filter(|(code, n)| before.get(*code).is_none_or(|was| was < n))
                .map(|(code, _)| code)
                .collect();
            many += newly.len();
            for code in &newly {
                assert!(
                    told.contains_key(*code),
                    "{} {kind} {given:?}: check now finds {code}; log said {said}",
                    place.key
                );
            }
            if let Some(must) = must {
                assert!(told.contains_key(*must), "{} {kind} {given:?}: {must}: {said}", place.key);
            }
            before = after;
        }
        assert!(many >= 8, "{}: {many}", place.key);
    }
}

/// Every load off a storage that is too full does not say so again, and what comes does.
#[test]
fn a_full_storage_is_not_told_again_by_what_goes_off() {
    for place in PLACES {
        let folder = farm(place).with("litter.heap.on_hand", "300 tons").folder();
        let said = log(
            folder.path(),
            "haul",
            &[&HAUL[..], &["--date", "2027-04-03", "--tons", "8", "--to", "Oak Farm"]].concat(),
        );
        assert!(!codes(&said).contains_key("storage-over"), "{said}");
        let more = ["--date", "2027-04-04", "--lot", "heap", "--tons", "8", "--from", "Elm Farm"];
        let said = log(folder.path(), "bring", &more);
        assert!(codes(&said).contains_key("storage-over"), "{said}");
    }
}

/// Papers of a later day are told of the entry at hand, and of none that stands in the log.
#[test]
fn later_papers_are_told_of_the_entry_at_hand() {
    for place in PLACES {
        let folder = farm(place).folder();
        let path = folder.path();
        let haul = |day| {
            let given = ["--address", "x", "--use", "x", "--to", "Oak Farm", "--tons", "5", "--date", day];
            let given = [&["--lot", "heap", "--analysis", "2027-03-20, state laboratory"][..], &given].concat();
            codes(&log(path, "haul", &given)).remove("papers-later")
        };
        assert_eq!((haul("2027-03-03"), haul("2027-03-25"), haul("2027-03-04")), (Some(1), None, Some(1)));
        assert_eq!(check(path).remove("papers-later"), Some(2), "{}", place.key);
    }
}
