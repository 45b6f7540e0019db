//! Each thing that a place may lack or have wrong is told, once, at its line.

use crate::data;
use crate::made::{SOURCES, figure, file, place, sound};
use sward::tables::ReferenceFile;

const MEMORY: &str = "known: memory\n      note: by heart";
const APPLIED: &str = "known: applied\n      note: \"applied: of ponds\"";

/// A place beside the built-in ones, and what is told of it: what was found,
/// and how to fix it.
fn slips() -> Vec<(Vec<ReferenceFile>, &'static str, &'static str)> {
    let all = |more: &str, sources: &str, figures: &str| {
        let place = place("us-zz", &format!("within: us\n{more}"));
        vec![place, file("us-zz/sources.yaml", sources), file("us-zz/a.yaml", figures)]
    };
    let at = |more: &str, figures: String| all(more, SOURCES, &figures);
    let of = |sources: &str, figures: String| all("", sources, &figures);
    let well = || figure("setback.well", "setback", "ft", "feature: well", "value: 100");
    let season = |id: &str, topic: &str, applies: &str, days: &str| figure(id, topic, "none", applies, days);
    vec![
        (
            at("", well().replace("setback.well:", "distance.well:")),
            "does not begin with its topic",
            "call it `setback.`",
        ),
        (
            at("", well().replace("known: read", "known: common practice")),
            "`common practice` of the source",
            "name where",
        ),
        (at("", well().replace("known: read", MEMORY)), "its note does not begin so", "where to look"),
        (at("", well().replace("known: read", "known: applied")), "its note says otherwise", "what it was printed for"),
        (
            at("", well().replace("known: read", "known: read\n      note: \"applied: a dairy rule\"")),
            "is `read`, and its note says otherwise",
            "what it was printed for",
        ),
        (
            of(&SOURCES.replace(", address: example.org", ""), well()),
            "its source `book` has neither address nor number",
            "say that it is from memory",
        ),
        (
            of(&SOURCES.replace("year: 2020", "year: about then"), well().replace("known: read", APPLIED)),
            "its year is `about then`",
            "`year not given` where none is",
        ),
        (
            at("", figure("n_per_ton.rye", "n_per_ton", "lb/ton", "forage: rye", "value: 40")),
            "applies to forage `rye`, which no farm has",
            "a new forage needs `p2o5_per_ton`",
        ),
        (at("asks: [p_period]\n", well()), "`asks` names `p_period`", "take the word out"),
        (at("checks: [nowhere]\n", well()), "tests/published/nowhere.yaml is not there", "write the example"),
        (
            at("", figure("n_ammonium_kept.x", "n_ammonium_kept", "share", "material: broiler_litter", "value: 0.5")),
            "the share of the other part",
            "ask the grower for it",
        ),
        (
            at("inherits: {season: replaces}\n", well()),
            "no figure of `season` for forage tall_fescue",
            "reference/_template/seasons.yaml shows, or take `season: replaces` out",
        ),
        (
            at("inherits: {detour: replaces, n_per_ton: replaces}\n", well()),
            "no figure of `n_per_ton`",
            "add `n_per_ton` to `asks:`",
        ),
        (
            at(
                "regions: [hills]\n",
                season("closed_days", "closed_days", "region: hills", "season: {opens: 01-01, closes: 12-31}"),
            ),
            "is open on 2028-",
            "cut the season",
        ),
    ]
}

#[test]
fn each_slip_is_told_with_its_fix() {
    for (files, found, fix) in slips() {
        let all: Vec<ReferenceFile> = sward::tables::built_in().into_iter().chain(files).collect();
        let findings = data::findings(&sound(&all));
        let told = findings.sorted();
        let lines: Vec<&str> = told.iter().map(|f| f.found.as_str()).collect();
        let hit = told.iter().find(|f| f.found.contains(found)).unwrap_or_else(|| panic!("`{found}`: {lines:?}"));
        assert!(hit.fix.as_ref().is_some_and(|f| f.contains(fix)), "{:?}", hit.fix);
        assert!(hit.place.file.starts_with("reference/us-zz/") && hit.place.line > 0 && hit.accepted.is_some());
    }
    assert!(data::findings(&sound(&sward::tables::built_in())).is_empty());
}
