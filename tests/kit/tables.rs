//! The tables with figures of a test's own, and the figures of a farm's place
//! looked up as a reader of the tables would.

use super::farm::Place;
use std::collections::BTreeMap;
use std::sync::{Arc, LazyLock, Mutex};
use sward::check::Ready;
use sward::tables::{self, Book, Classes, Of, Scope, Tables, topic};
use sward::units::{Quantity, Share, SoilValue};

static BUILT_IN: LazyLock<Vec<tables::ReferenceFile>> = LazyLock::new(tables::built_in);
/// Tables that were loaded once, by place and figures of the tests.
static LOADED: Mutex<BTreeMap<(&str, String), Arc<Tables>>> = Mutex::new(BTreeMap::new());
/// So many are kept: a test that changes every figure would fill the memory.
const MOST_KEPT: usize = 100;
static SOURCE: LazyLock<String> = LazyLock::new(|| tables::load(&BUILT_IN).0.sources.keys().next().unwrap().clone());

/// The text of a figure: topic, unit, scope and the value's line, such as
/// `value: 3`. It holds before those of the tables that name less of a scope; a
/// whole id such as `soil_p_class.own` takes the place of that figure.
pub(crate) fn figure(topic: &str, unit: &str, applies: &str, value: &str) -> String {
    let words: String = applies.chars().filter(|c| c.is_alphanumeric() || *c == '_').collect();
    let (topic, id) = match topic.split_once('.') {
        Some((alone, _)) => (alone, topic.to_string()),
        None => (topic, format!("{topic}.of_a_test_{words}")),
    };
    format!(
        "{id}:\n  topic: {topic}\n  what: made up for a test\n  unit: \"{unit}\"\n  \
         applies: {{{applies}}}\n  from:\n    2020-01-01:\n      {value}\n      source: {}\n      \
         at: a test\n      known: common practice\n  seen: 2026-11-25\n",
        *SOURCE
    )
}

/// The text of a row of the phosphorus rule: its conditions, such as `rating: low`, and the
/// lines of what it says. A row of the tables with this id goes out for it.
pub(crate) fn rule(id: &str, when: &str, says: &[&str]) -> String {
    let value = format!("when: {{{when}}}\n      {}", says.join("\n      "));
    figure(&format!("p_rule.{id}"), "none", "", &value)
}

/// The built-in tables with figures laid over those of a place.
pub(super) fn all_tables(place: &Place, more: &[(String, String)]) -> Arc<Tables> {
    let mut kept = LOADED.lock().unwrap_or_else(|broken| broken.into_inner());
    let mut laid: BTreeMap<&str, String> = BTreeMap::new();
    more.iter().for_each(|(of, text)| *laid.entry(of).or_default() += text);
    let key = (place.key, format!("{laid:?}"));
    if let Some(tables) = kept.get(&key) {
        return tables.clone();
    }
    let mut files = BUILT_IN.clone();
    files.extend(laid.into_iter().map(|(of, text)| (format!("{of}/zz_test.yaml"), text)));
    let (tables, found) = tables::load_for(&files, place.key);
    assert!(more.is_empty() || !found.has_errors(), "{:?}", found.sorted());
    let tables = Arc::new(tables);
    if kept.len() < MOST_KEPT {
        kept.insert(key, tables.clone());
    }
    tables
}

/// The figures of a farm's place.
pub(crate) struct PlaceFigures<'a> {
    book: Book<'a>,
    ready: &'a Ready,
}

impl<'a> PlaceFigures<'a> {
    pub(crate) fn of(ready: &'a Ready, tables: &'a Tables) -> PlaceFigures<'a> {
        PlaceFigures { book: ready.book(tables).unwrap(), ready }
    }

    /// A number for tall fescue hay on fine ground, which must be there.
    pub(crate) fn hay<Q: Quantity>(&self, topic: Of<Q>, more: &[(&str, &str)]) -> Option<f64> {
        let scope = Scope::new().forage("tall_fescue").usage("hay").texture("fine").large(false);
        let scope = scope.region(self.ready.region.as_ref());
        let scope = more.iter().fold(scope, |scope, (key, word)| scope.with(key, *word));
        self.book.get(topic, &scope).map(|f| f.value.get())
    }

    /// A number by its whole scope.
    pub(crate) fn number<Q: Quantity>(&self, topic: Of<Q>, scope: &[(&str, &str)]) -> Option<f64> {
        self.book.get(topic, &scope.iter().copied().collect()).map(|f| f.value.get())
    }

    /// Nitrogen that tall fescue hay needs for a yield goal of so many tons.
    pub(crate) fn need(&self, goal: f64) -> f64 {
        let by_yield = self.hay(topic::N_PER_TON, &[]).map(|per_ton| per_ton * goal);
        let by_rate = self.hay(topic::N_RATE, &[]);
        by_yield.into_iter().chain(by_rate).fold(f64::INFINITY, f64::min)
    }

    /// Available nitrogen in a ton of broiler litter on top, by its total and
    /// ammonium nitrogen.
    pub(crate) fn available(&self, total: f64, ammonium: f64) -> f64 {
        let scope = Scope::new().material("broiler_litter").placement("surface").days("none").year("1");
        let number = |topic: Of<Share>| self.book.get(topic, &scope).map(|f| f.value.get());
        match number(topic::N_AVAILABLE) {
            Some(share) => total * share,
            None => {
                let (organic, kept) = (number(topic::N_ORGANIC_AVAILABLE), number(topic::N_AMMONIUM_KEPT));
                (total - ammonium) * organic.unwrap() + ammonium * kept.unwrap()
            }
        }
    }

    /// The season of tall fescue hay of this name: `02-15`, `03-31`.
    pub(crate) fn season(&self, name: &str) -> (String, String) {
        let scope = Scope::new().forage("tall_fescue").usage("hay").region(self.ready.region.as_ref());
        let seasons = self.book.seasons(&scope);
        let season = seasons.iter().find(|(n, _)| n == name).expect("the season is there").1.value;
        let day = |d: tables::MonthDay| format!("{:02}-{:02}", d.month, d.day);
        (day(season.opens), day(season.closes))
    }

    /// The steps of a topic on the soil test: up to what, and the word.
    pub(crate) fn steps(&self, topic: Of<Classes<SoilValue>>) -> Vec<(Option<f64>, String)> {
        let found = self.book.get(topic, &self.ready.soil_scope(&self.ready.fields[0]));
        let class = |(end, is): (Option<SoilValue>, &str)| (end.map(|end| end.shown().0), is.to_string());
        found.map(|classes| classes.value.iter().map(class).collect()).unwrap_or_default()
    }
}
