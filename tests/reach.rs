//! Every row of every place can be used, or this test says why not.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::collections::BTreeSet;
use sward::tables::{Inherits, Scope, Shape, built_in, load, topic};

/// A day on which every table of today is in force.
const ON: jiff::civil::Date = jiff::civil::date(2027, 2, 15);

/// Rows that a look-up never gives, and why.
const NEVER: &[(&str, &str)] = &[];

/// Rows of pools of nitrogen that no farm's litter goes by as the tables are,
/// and why.
const NO_POOLS: &[(&str, &str)] = &[(
    "us-md/n_organic_available.broiler.year1",
    "no ammonium share could be read for Maryland: the wider place's share of the total holds until the planner \
     gives `n_ammonium_kept`",
)];

#[test]
fn every_own_row_is_found_by_its_own_scope() {
    let (tables, _) = load(&built_in());
    let mut never = BTreeSet::new();
    for place in tables.places.values() {
        let book = tables.book(&place.key, ON).unwrap();
        for figure in &place.figures {
            let id = format!("{}/{}", figure.of, figure.id);
            if figure.editions.iter().all(|e| e.from > ON || e.shape == Shape::Withdrawn) {
                never.insert(id);
                continue;
            }
            let scope: Scope<'_> = figure.applies.iter().collect();
            let found = book.shape(figure.topic, &scope).map(|found| found.cite.figure);
            // Of two limits the stricter holds, whoever wrote it.
            let stricter = place.inherits.get(&figure.topic) == Some(&Inherits::StricterOf);
            if found.as_ref() != Some(&id) && !(stricter && found.is_some()) {
                never.insert(id);
            }
            for (key, value) in scope.words().filter(|(key, _)| *key == "region") {
                assert!(place.regions.iter().any(|r| r == value), "{}: no {key} {value}", figure.id);
            }
        }
    }
    let known: BTreeSet<String> = NEVER.iter().map(|(id, _)| (*id).to_string()).collect();
    assert_eq!(never, known);
}

#[test]
fn an_own_share_of_a_part_is_not_hidden_by_a_wider_share_of_the_whole() {
    let (tables, _) = load(&built_in());
    let mut hidden = BTreeSet::new();
    for place in tables.places.values() {
        let book = tables.book(&place.key, ON).unwrap();
        let parts = [topic::N_ORGANIC_AVAILABLE.into(), topic::N_AMMONIUM_KEPT.into()];
        for figure in place.figures.iter().filter(|f| parts.contains(&f.topic)) {
            // Later years go by the organic part alone, whatever the first does.
            if figure.applies.get("year").is_some_and(|year| year != "1") {
                continue;
            }
            let usual = Scope::new().material("broiler_litter").placement("surface").days("none").year("1");
            let scope = figure.applies.iter().fold(usual, |scope, (key, word)| scope.with(key, word));
            if !book.by_pools(&scope) {
                hidden.insert(format!("{}/{}", figure.of, figure.id));
            }
        }
    }
    let known: BTreeSet<String> = NO_POOLS.iter().map(|(id, _)| (*id).to_string()).collect();
    assert_eq!(hidden, known);
}
