//! Checks of the figures that the farm gives itself: they count only where
//! the tables hold none.

use crate::check::said;
use crate::farm::{FEATURES, MONTHS, OWNERS, Rating, Texture, Use, Written, WrittenField, WrittenFigure};
use crate::findings::{Finding, Findings};
use crate::tables::{Book, SaidFigure, Scope, Shape, TOPICS, Topic, ValueForm};
use crate::text::key_of;
use std::collections::{BTreeMap, BTreeSet};

pub(super) fn check(written: &Written, book: &Book<'_>, findings: &mut Findings) -> Vec<SaidFigure> {
    twice(&written.figures, findings);
    written.figures.iter().filter_map(|f| figure(f, written, book, findings)).collect()
}

/// Two figures of one topic for the same things: nobody knows which holds.
fn twice(figures: &[WrittenFigure], findings: &mut Findings) {
    let of = |figure: &WrittenFigure| -> (String, BTreeMap<String, String>) {
        let applies = figure.applies.iter().map(|(key, value)| (key.value.clone(), value.clone()));
        (figure.topic.value.clone(), applies.collect())
    };
    let mut seen: BTreeMap<_, &WrittenFigure> = BTreeMap::new();
    for figure in figures {
        match seen.get(&of(figure)) {
            Some(first) => findings.push(
                Finding::error(
                    "figure-twice",
                    &figure.topic.place,
                    format!("two figures are given of {} for the same", figure.topic.value),
                )
                .accepts("one figure of a topic for the same `applies`")
                .fix("take one of them out, or say with `applies` what each is for")
                .also(&first.topic.place, "the first one"),
            ),
            None => drop(seen.insert(of(figure), figure)),
        }
    }
}

/// Words that a scope key may hold besides those of the tables: the farm's own,
/// and those that every farm chooses from.
fn words(key: &str, farm: &Written, book: &Book<'_>) -> BTreeSet<String> {
    let keys = |words: &[&str]| words.iter().map(|word| key_of(word)).collect();
    let own: Vec<String> = match key {
        "forage" => farm.fields.iter().flat_map(forages).collect(),
        "material" => farm.lots.iter().map(|lot| lot.kind.value.clone()).collect(),
        "extractant" => {
            farm.fields.iter().flat_map(|f| f.soil_tests.iter()).map(|test| test.extractant.value.clone()).collect()
        }
        "region" => book.place().regions.clone(),
        "use" => keys(Use::WORDS),
        "texture" => keys(Texture::WORDS),
        "rating" => keys(Rating::WORDS),
        "feature" => keys(FEATURES),
        "owner" => keys(OWNERS),
        "month" => keys(&MONTHS),
        // How many years ago litter went on: a place may name the first alone.
        "year" => (1..=5).map(|year| year.to_string()).collect(),
        "operation" => keys(&["large", "ordinary"]),
        "strip" | "consent" => keys(&["yes", "no"]),
        _ => Vec::new(),
    };
    let mut words = book.words_of(key);
    words.extend(own);
    words
}

/// What grows on a field, and what grew on it before.
fn forages(field: &WrittenField) -> Vec<String> {
    let before = field.before.iter().filter_map(|before| before.forage.as_ref());
    before.chain([&field.stand.forage]).map(|forage| forage.value.clone()).collect()
}

/// The scope of a figure; what is no key of its topic or a word that nobody
/// knows is reported, because such a figure would never be asked for.
fn scope<'a>(
    written: &'a WrittenFigure,
    topic: Topic,
    farm: &Written,
    book: &Book<'_>,
    findings: &mut Findings,
) -> Scope<'a> {
    let mut scope = Scope::new();
    for (key, value) in &written.applies {
        if !topic.scope().contains(&key.value.as_str()) {
            let found = format!("the figure: a figure of {} cannot be given by `{}`", topic.key(), key.value);
            let accepts = match topic.scope() {
                [] => "no `applies`: it holds for the whole farm".to_string(),
                keys => format!("`applies` with any of {}", keys.join(", ")),
            };
            findings.push(Finding::error("figure-scope", &key.place, found).accepts(accepts));
            continue;
        }
        let known = words(&key.value, farm, book);
        if !known.is_empty() && !known.contains(value) {
            let found = format!("the figure: neither the tables nor the farm know the {} `{value}`", key.value);
            let finding = Finding::error("figure-word", &key.place, found)
                .accepts(known.iter().map(String::as_str).collect::<Vec<_>>().join(", "));
            findings.push(finding.near(value, known.iter().map(String::as_str)));
        }
        scope = scope.with(&key.value, value);
    }
    scope
}

fn figure(written: &WrittenFigure, farm: &Written, book: &Book<'_>, findings: &mut Findings) -> Option<SaidFigure> {
    let topic = topic(written, findings)?;
    let scope = scope(written, topic, farm, book, findings);
    let shape = Shape::Number(written.value.value);
    if !topic.takes(&shape, &written.unit) {
        let found = format!("the figure: it is {} {}", written.value.value, written.unit);
        findings.push(Finding::error("figure-unit", &written.value.place, found).accepts(topic.accepts()));
    }
    let applies = written.applies.iter().map(|(key, word)| (key.value.clone(), word.clone())).collect();
    let whose = (&written.topic.place, written.by.as_str(), written.on.value);
    let figure = said::figure((topic, "said"), whose, &written.unit, applies, shape);
    if let Some(there) = book.shape(topic, &scope) {
        said::told_there(&there.cite, &figure, book, findings);
    }
    Some(figure)
}

/// A topic whose figures are numbers.
fn topic(written: &WrittenFigure, findings: &mut Findings) -> Option<Topic> {
    let numbers =
        || TOPICS.iter().filter(|t| matches!(t.form(), ValueForm::Number | ValueForm::NumberOrCurve)).map(|t| t.key());
    let topic = Topic::named(&written.topic.value).filter(|t| numbers().any(|n| n == t.key()));
    if topic.is_none() {
        let found = format!("the figure: `{}` is not a topic with numbers", written.topic.value);
        let finding = Finding::error("topic-unknown", &written.topic.place, found)
            .accepts(numbers().collect::<Vec<_>>().join(", "));
        findings.push(finding.near(&written.topic.value, numbers()));
    }
    topic
}
