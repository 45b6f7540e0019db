//! The figures of a place for a reader: scope, value, source, how known.

use crate::findings::{Cite, Known};
use crate::tables::{Book, Shape, Topic};
use crate::units::trimmed;
use crate::write::page::{plain, wrapped};
use serde::Serialize;

/// One figure as it is listed.
#[derive(Clone, Debug, Serialize)]
pub struct Listed {
    /// Topic key.
    pub topic: &'static str,
    /// What it is.
    pub what: String,
    /// What it applies to.
    pub applies: String,
    /// Its value in words.
    pub value: String,
    /// In force since.
    pub from: String,
    /// Its papers.
    pub cite: Cite,
    /// A remark.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// The figures in force, of one topic or of all.
#[must_use]
pub fn listed(book: &Book<'_>, topic: Option<Topic>) -> Vec<Listed> {
    book.all(topic)
        .into_iter()
        .map(|(figure, edition, cite)| Listed {
            topic: figure.topic.key(),
            what: figure.what.clone(),
            applies: figure
                .applies
                .iter()
                .map(|(k, v)| format!("{k} {}", v.replace('_', " ")))
                .collect::<Vec<_>>()
                .join(", "),
            value: shape(&edition.shape, &figure.unit),
            from: edition.from.to_string(),
            cite,
            note: edition.note.clone(),
        })
        .collect()
}

fn shape(shape: &Shape, unit: &str) -> String {
    match shape {
        Shape::Number(n) => format!("{} {unit}", trimmed(*n)),
        Shape::Curve { a, b, c } => format!("{a} x^2 - {b} x + {c} {unit}"),
        Shape::Steps(steps) => {
            let one = |s: &crate::tables::Step| {
                s.up_to.map_or_else(|| format!("above: {}", s.is), |u| format!("to {} {unit}: {}", trimmed(u), s.is))
            };
            steps.iter().map(one).collect::<Vec<_>>().join(", ")
        }
        Shape::Season(s) => {
            format!("{:02}-{:02} to {:02}-{:02}", s.opens.month, s.opens.day, s.closes.month, s.closes.day)
        }
        Shape::Words(words) => words.clone(),
        Shape::Withdrawn => "withdrawn".to_string(),
    }
}

/// The list as text, and how many figures are known in which way.
#[must_use]
pub fn tables(book: &Book<'_>, list: &[Listed], width: usize) -> String {
    let mut text = format!("{} ({}), figures in force on {}\n", book.place().name, book.place().key, book.on());
    let mut topic = "";
    for figure in list {
        if figure.topic != topic {
            topic = figure.topic;
            text.push_str(&format!("\n{}\n", topic.to_uppercase()));
        }
        let applies = if figure.applies.is_empty() { String::new() } else { format!(" ({})", figure.applies) };
        text.push_str(&wrapped(&plain(&format!("{}: {}{applies}", figure.value, figure.what)), "- ", "  ", width));
        text.push_str(&wrapped(&plain(&format!("{}, since {}", figure.cite, figure.from)), "    ", "    ", width));
        if let Some(note) = &figure.note {
            text.push_str(&wrapped(&plain(&format!("note: {note}")), "    ", "    ", width));
        }
    }
    let count = |known| list.iter().filter(|f| f.cite.known == known).count();
    text.push_str(&format!(
        "\n{} figures: {} read, {} common practice, {} from memory\n",
        list.len(),
        count(Known::Read),
        count(Known::CommonPractice),
        count(Known::Memory)
    ));
    text
}
