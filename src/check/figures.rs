//! Checks of the figures that the farm gives itself: they count only where
//! the tables hold none.

use crate::farm::{Written, WrittenFigure};
use crate::findings::{Cite, Finding, Findings, Known, nearest};
use crate::tables::{Book, Edition, Figure, Form, Said, Scope, Shape, TOPICS, Topic};
use jiff::civil::Date;

pub(super) fn check(written: &Written, book: &Book<'_>, findings: &mut Findings) -> Vec<Said> {
    written.figures.iter().filter_map(|f| figure(f, book, findings)).collect()
}

fn figure(written: &WrittenFigure, book: &Book<'_>, findings: &mut Findings) -> Option<Said> {
    let topic = topic(written, findings)?;
    let mut scope = Scope::new();
    for (key, value) in &written.applies {
        if topic.scope().contains(&key.value.as_str()) {
            scope = scope.with(&key.value, value);
        } else {
            let found = format!("the figure: `{}` is not a scope of {}", key.value, topic.key());
            findings.push(Finding::error("figure-scope", &key.place, found).accepts(topic.scope().join(", ")));
        }
    }
    let shape = Shape::Number(written.value.value);
    if !topic.takes(&shape, &written.unit) {
        let found = format!("the figure: it is {} {}", written.value.value, written.unit);
        findings.push(Finding::error("figure-unit", &written.value.place, found).accepts(topic.accepts()));
    }
    if let Some(there) = book.shape(topic, &scope) {
        let found = format!("the tables of {} have {} for this already", book.place().name, topic.key());
        findings.push(
            Finding::warning("figure-there", &written.topic.place, found).accepts(there.cite.to_string()).fix(
                "the tables' own figure is used; to use another, keep a folder of tables and name it with --reference",
            ),
        );
    }
    let cite = Cite {
        figure: format!("farm/{}", topic.key()),
        title: written.topic.place.to_string(),
        publisher: written.by.clone(),
        year: written.on.value.to_string(),
        at: "farm.yaml".to_string(),
        known: Known::Said,
    };
    let edition =
        Edition { from: Date::MIN, shape, source: String::new(), at: String::new(), known: Known::Said, note: None };
    let figure = Figure {
        id: format!("{}.said", topic.key()),
        of: "farm".to_string(),
        topic,
        what: format!("given by {}", written.by),
        unit: written.unit.clone(),
        applies: written.applies.iter().map(|(k, v)| (k.value.clone(), v.clone())).collect(),
        editions: vec![edition],
        seen: written.on.value,
        others: Vec::new(),
        line: written.topic.place.clone(),
    };
    Some(Said { figure, cite })
}

/// A topic whose figures are numbers.
fn topic(written: &WrittenFigure, findings: &mut Findings) -> Option<Topic> {
    let numbers = || TOPICS.iter().filter(|t| matches!(t.form(), Form::Number | Form::NumberOrCurve)).map(|t| t.key());
    let topic = Topic::named(&written.topic.value).filter(|t| numbers().any(|n| n == t.key()));
    if topic.is_none() {
        let found = format!("the figure: `{}` is not a topic with numbers", written.topic.value);
        let finding = Finding::error("topic-unknown", &written.topic.place, found)
            .accepts(numbers().collect::<Vec<_>>().join(", "));
        findings.push(match nearest(&written.topic.value, numbers()) {
            Some(near) => finding.fix(format!("did you mean `{near}`?")),
            None => finding,
        });
    }
    topic
}
