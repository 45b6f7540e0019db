//! What a grower writes matters, or he is told that it does not.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod demo;

use demo::{asked, texts, told, with_main};
use std::str::FromStr;
use sward::farm::Change;
use sward::findings::Severity;
use sward::pipeline::Question;
use sward::plan;

/// What is said of changes that leave the plan of the demo farm as it is.
fn idle(changes: &[&str]) -> Vec<String> {
    let texts = texts();
    let changes: Vec<Change> = changes.iter().map(|c| Change::from_str(c).unwrap()).collect();
    let before = asked(&texts).plan().unwrap();
    let under = Question { changes: &changes, ..asked(&texts) }.plan().unwrap();
    let (differs, why) = plan::differs_or_why(before.audited.plan(), under.audited.plan(), &changes);
    assert!(differs.none());
    why
}

#[test]
fn a_change_without_effect_says_what_overrules_it() {
    let reasons = idle(&[
        "fields.D1.most=1 ton/ac",
        "fields.B1.survey_yield=3 tons/ac",
        "houses.1-3.made=500 tons",
        "planner.name=Jo Farlow",
    ]);
    for (reason, says) in reasons.iter().zip([
        "field D1 gets no litter: soil test of 2023-10-05 is too old",
        "`survey_yield` changes nothing, because `yields` comes before it",
        "no limit, choice or sum of this plan depends on it",
        "no limit, choice or sum of this plan depends on it",
    ]) {
        assert!(reason.contains(says), "{reason}");
    }
}

/// The demo farm is measured from stacks and gates and says nothing in vain;
/// without its stacks the price of hauling would buy nothing.
#[test]
fn hauling_that_costs_nothing_is_named_lot_by_lot() {
    let codes = |texts: &sward::farm::FarmText| -> Vec<String> {
        let found = told(texts);
        let of = |f: &&&sward::findings::Finding| ["haul-unknown", "no-effect"].contains(&f.code.as_ref());
        found.sorted().iter().filter(of).map(|f| f.found.clone()).collect()
    };
    assert_eq!(codes(&texts()), Vec::<String>::new());
    let mut bare = with_main(|main| main);
    bare.fields = bare
        .fields
        .map(|text| text.replace("\"stack\"", "\"gate\"").replace("\"lot\": \"clean-out\"", "\"field\": \"B1\""));
    let found = told(&bare);
    assert!(
        found.sorted().iter().any(|f| f.severity == Severity::Warning && f.found.contains("lot `clean-out` is hauled")),
        "{:?}",
        found.sorted()
    );
}
