//! A figure that the farm gives itself, as the tables hold theirs.

use crate::farm::MAIN;
use crate::findings::{Cite, Finding, Findings, Known, Place};
use crate::tables::{Book, Edition, Figure, SaidFigure, Shape, Topic};
use jiff::civil::Date;
use std::collections::BTreeMap;

/// A figure of the farm's own, named, with its line, who said so and when.
pub(super) fn figure(
    (topic, name): (Topic, &str),
    (line, by, on): (&Place, &str, Date),
    unit: &str,
    applies: BTreeMap<String, String>,
    shape: Shape,
) -> SaidFigure {
    let cite = Cite {
        figure: format!("farm/{}", topic.key()),
        title: line.to_string(),
        publisher: by.to_string(),
        year: on.to_string(),
        at: MAIN.to_string(),
        known: Known::Said,
        note: None,
    };
    let edition =
        Edition { from: Date::MIN, shape, source: String::new(), at: String::new(), known: Known::Said, note: None };
    let figure = Figure {
        id: format!("{}.{name}", topic.key()),
        of: "farm".to_string(),
        topic,
        what: format!("given by {by}"),
        unit: unit.to_string(),
        applies,
        editions: vec![edition],
        seen: on,
        others: Vec::new(),
        line: line.clone(),
    };
    SaidFigure { figure, cite }
}

/// A figure that the tables have too.
pub(super) fn told_there(there: &Cite, figure: &SaidFigure, book: &Book<'_>, findings: &mut Findings) {
    let found = format!("the tables of {} have {} for this already", book.place().name, figure.figure.topic.key());
    findings.push(
        Finding::warning("figure-there", &figure.figure.line, found).accepts(there.to_string()).fix(
            "the tables' own figure is used; to use another, keep a folder of tables and name it with --reference",
        ),
    );
}
