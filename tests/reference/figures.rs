//! Every figure of every place, as a reader sees it: a change of any figure,
//! or of its papers, shows as the lines that changed.
//!
//! Rewrite after a wanted change: `UPDATE_EXPECTED=1 cargo test --test reference`,
//! then read the difference against the sources.

use crate::{loaded, root};
use jiff::civil::Date;
use sward::findings::{Finding, Findings, Place};
use sward::tables::{PlaceTable, Tables};
use sward::write;

/// Own figures only, with every scope, value, date and remark.
fn listing(place: &PlaceTable) -> String {
    let mut whole = String::new();
    let mut own: Vec<_> = place.figures.iter().collect();
    own.sort_by(|a, b| a.id.cmp(&b.id));
    for f in own {
        whole.push_str(&format!("{} | {} | {} | {:?} | seen {}\n", f.id, f.what, f.unit, f.applies, f.seen));
        for e in &f.editions {
            whole.push_str(&format!("    {} {:?} | {} | {} | {}\n", e.from, e.shape, e.source, e.at, e.known.word()));
        }
        for o in &f.others {
            whole.push_str(&format!("    other {} | {} | {} | {}\n", o.value, o.source, o.at, o.why_not));
        }
    }
    whole
}

/// What is not as it was read against the sources, line by line; with
/// `UPDATE_EXPECTED` the lists are written again.
pub(crate) fn changed(tables: &Tables) -> Findings {
    let mut findings = Findings::new();
    let folder = root().join("tests/figures");
    for (key, place) in &tables.places {
        let now = listing(place);
        let path = folder.join(format!("{key}.txt"));
        if std::env::var_os("UPDATE_EXPECTED").is_some() {
            std::fs::write(&path, &now).unwrap();
        }
        let then = std::fs::read_to_string(&path).unwrap_or_default().replace("\r\n", "\n");
        let differ = |one: &str, other: &str| {
            let lines = one.lines().filter(|line| !other.lines().any(|o| o == *line));
            let lines: Vec<&str> = lines.collect();
            let more = if lines.len() > 1 { format!(", and {} more", lines.len() - 1) } else { String::new() };
            lines.first().map_or("nothing".to_string(), |first| format!("`{}`{more}", first.trim()))
        };
        if now != then {
            let found = match then.is_empty() {
                true => format!("no list of the figures of {} is kept yet", place.name),
                false => format!("the figures changed: now {}, before {}", differ(&now, &then), differ(&then, &now)),
            };
            let accepts = format!("those of tests/figures/{key}.txt, which somebody read against the sources");
            let fix = "run `UPDATE_EXPECTED=1 cargo test --test reference nothing_is_missing`, and read the difference";
            findings.push(
                Finding::error("figures", &Place::file(&format!("reference/{key}")), found).accepts(accepts).fix(fix),
            );
        }
    }
    findings
}

/// Every place has its list, and every list its place; a reader is shown them all.
#[test]
fn every_place_has_its_list() {
    let tables = loaded();
    let lists = std::fs::read_dir(root().join("tests/figures")).unwrap().map(|e| e.unwrap().file_name());
    let lists: Vec<String> = lists.map(|name| name.to_string_lossy().trim_end_matches(".txt").to_string()).collect();
    assert!(lists.iter().all(|list| tables.places.contains_key(list)), "{lists:?}");
    for (key, place) in &tables.places {
        let book = tables.book(key, Date::MAX).unwrap();
        let shown = write::listed(&tables, &book, None);
        assert!(shown.len() >= place.figures.len() / 2, "{key}: {} listed", shown.len());
        assert!(shown.iter().all(|l| !l.value.is_empty() && !l.cite.title.is_empty()), "{key}");
    }
}
