//! The figures of a place for a reader: scope, value, source, how known; and
//! what the tables of each place answer.

use crate::findings::{Cite, Known};
use crate::tables::p_rule::PWins;
use crate::tables::{
    Band, Book, CHECKS_NEEDED, Coverage, CoverageAnswer, CoverageQuestion, Edition, Figure, Shape, Status, Tables,
    Topic,
};
use crate::units::trimmed;
use crate::write::page::Page;
use serde::Serialize;
use std::collections::BTreeMap;

/// One figure as it is listed.
#[derive(Clone, Debug, Serialize)]
pub struct Listed {
    /// Topic key.
    pub topic: &'static str,
    /// What it is.
    pub what: String,
    /// What it applies to, in words.
    pub applies: String,
    /// What it applies to, key by key.
    pub scope: BTreeMap<String, String>,
    /// Its value in words.
    pub value: String,
    /// Its value as numbers, with the words of classes and sentences.
    pub shape: ListedShape,
    /// Its unit; absent for words and seasons.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unit: Option<String>,
    /// In force since.
    pub from: String,
    /// Last day that somebody looked and it still stood.
    pub seen: String,
    /// Its papers.
    pub cite: Cite,
    /// Where the source can be found.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub address: Option<String>,
    /// A remark.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// Whether a row of the phosphorus rule counts here, and beside which others.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stands: Option<&'static str>,
    /// What other sources say.
    pub others: Vec<ListedOther>,
}

/// What another source says.
#[derive(Clone, Debug, Serialize)]
pub struct ListedOther {
    /// What it says.
    pub value: String,
    /// Its papers.
    pub cite: Cite,
    /// Why it is not the one in force.
    pub why_not: String,
}

/// The value of a figure, for other programs.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ListedShape {
    /// One number.
    Number(f64),
    /// `a x^2 - b x + c`, never below zero and flat past its lowest point.
    Curve {
        /// Factor of the square.
        a: f64,
        /// Factor of the value, taken off.
        b: f64,
        /// Value at zero.
        c: f64,
    },
    /// Classes: at or below `up_to`, the last one above the others.
    Classes(Vec<ListedClass>),
    /// Days of the year, `02-15`.
    Days {
        /// First day.
        opens: String,
        /// Last day.
        closes: String,
    },
    /// A word or sentence.
    Words(String),
    /// What is usual, and what can be at all.
    Band(Band),
}

/// One class.
#[derive(Clone, Debug, Serialize)]
pub struct ListedClass {
    /// At or below; absent in the last class.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub up_to: Option<f64>,
    /// The class.
    pub is: String,
}

/// The figures in force, of one topic or of all.
#[must_use]
pub fn listed(tables: &Tables, book: &Book<'_>, topic: Option<Topic>) -> Vec<Listed> {
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
            scope: figure.applies.clone(),
            value: shape(&edition.shape, &figure.unit),
            shape: numbers(&edition.shape),
            unit: unit(figure),
            from: edition.from.to_string(),
            seen: figure.seen.to_string(),
            cite,
            address: tables.sources.get(&edition.source).and_then(|s| s.address.clone()),
            note: edition.note.clone(),
            stands: stands(book, figure, edition),
            others: others(tables, figure),
        })
        .collect()
}

/// Whether a row of the phosphorus rule counts in a place, and beside which others: what holds on
/// a field is for its plan to say.
fn stands(book: &Book<'_>, figure: &Figure, edition: &Edition) -> Option<&'static str> {
    let Shape::Rule(rule) = &edition.shape else { return None };
    let name = format!("{}/{}", figure.of, figure.id);
    let rows = book.rules();
    if !rows.iter().any(|(_, row)| row.cite.figure == name) {
        return Some("not in force here: the place's own row of this name takes its place");
    }
    if rule.words.is_some() {
        return Some("in force: a caution, no limit");
    }
    let first = rows.iter().any(|(_, row)| row.value.wins == PWins::First);
    Some(match (rule.wins, figure.of == book.place().key, first) {
        (PWins::First, ..) => "in force: where it holds, rows that do not stand first are left out",
        (PWins::Last, ..) => "in force only where no other row says anything",
        (PWins::Fewest, true, false) => "in force",
        (PWins::Fewest, true, true) => "in force, except where a row that stands first holds",
        (PWins::Fewest, false, false) => "of the wider place, in force beside the place's own: the fewest pounds hold",
        (PWins::Fewest, false, true) => {
            "of the wider place, in force beside the place's own except where a row that stands first holds"
        }
    })
}

fn unit(figure: &Figure) -> Option<String> {
    Some(figure.unit.clone()).filter(|u| !matches!(u.as_str(), "none" | "words" | "season" | "month-day"))
}

fn others(tables: &Tables, figure: &Figure) -> Vec<ListedOther> {
    let cite = |other: &crate::tables::Other| {
        let source = tables.sources.get(&other.source);
        Cite {
            figure: format!("{}/{}", figure.of, figure.id),
            title: source.map(|s| s.title.clone()).unwrap_or_default(),
            publisher: source.map(|s| s.publisher.clone()).unwrap_or_default(),
            year: source.map(|s| s.year.clone()).unwrap_or_default(),
            at: other.at.clone(),
            known: other.known,
            note: None,
        }
    };
    figure
        .others
        .iter()
        .map(|o| ListedOther { value: o.value.clone(), cite: cite(o), why_not: o.why_not.clone() })
        .collect()
}

fn numbers(shape: &Shape) -> ListedShape {
    match shape {
        Shape::Number(n) => ListedShape::Number(*n),
        Shape::Curve { a, b, c, .. } => ListedShape::Curve { a: *a, b: *b, c: *c },
        Shape::Steps(steps) => {
            ListedShape::Classes(steps.iter().map(|s| ListedClass { up_to: s.up_to, is: s.is.clone() }).collect())
        }
        Shape::Season(s) => ListedShape::Days { opens: month_day(s.opens), closes: month_day(s.closes) },
        Shape::Words(words) => ListedShape::Words(words.clone()),
        Shape::Band(band) => ListedShape::Band(*band),
        Shape::Rule(rule) => ListedShape::Words(rule.in_words()),
        Shape::Rating(rating) => ListedShape::Words(rating.in_words()),
        Shape::Withdrawn => ListedShape::Words("withdrawn".to_string()),
    }
}

fn month_day(day: crate::tables::MonthDay) -> String {
    format!("{:02}-{:02}", day.month, day.day)
}

fn shape(shape: &Shape, unit: &str) -> String {
    match shape {
        Shape::Number(n) => format!("{} {unit}", trimmed(*n)),
        Shape::Curve { a, b, c, .. } => {
            let sign = if *b < 0.0 { '+' } else { '-' };
            format!("{a} x^2 {sign} {} x + {c} {unit}", b.abs())
        }
        Shape::Steps(steps) => {
            let one = |s: &crate::tables::ClassStep| {
                s.up_to.map_or_else(|| format!("above: {}", s.is), |u| format!("to {} {unit}: {}", trimmed(u), s.is))
            };
            steps.iter().map(one).collect::<Vec<_>>().join(", ")
        }
        Shape::Season(s) => format!("{} to {}", month_day(s.opens), month_day(s.closes)),
        Shape::Words(words) => words.clone(),
        Shape::Rule(rule) => rule.in_words(),
        Shape::Rating(rating) => rating.in_words(),
        Shape::Band(Band { usual, wide }) => format!(
            "usually {} to {} {unit}, at all {} to {}",
            trimmed(usual.0),
            trimmed(usual.1),
            trimmed(wide.0),
            trimmed(wide.1)
        ),
        Shape::Withdrawn => "withdrawn".to_string(),
    }
}

/// The list as text, how many figures are known in which way, and what the
/// place's tables answer.
#[must_use]
pub fn tables(book: &Book<'_>, list: &[Listed], coverage: Option<&Coverage>, width: usize) -> String {
    let on = day_of(book).map_or("the latest figures".to_string(), |day| format!("figures in force on {day}"));
    let mut page = Page::new(width);
    page.line(format!("{} ({}), {on}", book.place().name, book.place().key));
    let mut topic = "";
    for figure in list {
        if figure.topic != topic {
            topic = figure.topic;
            page.heading(topic.to_uppercase());
        }
        one(&mut page, figure);
    }
    let count = |known| list.iter().filter(|f| f.cite.known == known).count();
    page.heading(format!(
        "{} figures: {} read, {} applied, {} common practice, {} from memory",
        list.len(),
        count(Known::Read),
        count(Known::Applied),
        count(Known::CommonPractice),
        count(Known::Memory)
    ));
    coverage.into_iter().for_each(|coverage| page.say(line(coverage)));
    page.done()
}

/// The day that was asked for; none for the latest figures.
pub(super) fn day_of(book: &Book<'_>) -> Option<String> {
    Some(book.on()).filter(|on| *on != jiff::civil::Date::MAX).map(|on| on.to_string())
}

fn one(page: &mut Page, figure: &Listed) {
    let applies = if figure.applies.is_empty() { String::new() } else { format!(" ({})", figure.applies) };
    page.item(format!("{}: {}{applies}", figure.value, figure.what));
    let mut under = |line: String| page.wrapped(line, "    ", "    ");
    under(format!("{}: {}, since {}", figure.cite.figure, figure.cite, figure.from));
    if let Some(stands) = figure.stands {
        under(stands.to_string());
    }
    if let Some(note) = &figure.note {
        under(format!("note: {note}"));
    }
    for other in &figure.others {
        under(format!("not used: {} ({}). {}", other.value, other.cite, other.why_not));
    }
}

/// What one place answers, in a line.
fn line(coverage: &Coverage) -> String {
    format!(
        "{}: {}. Of {} questions {} are answered here, {} by the wider place, {} are asked of the grower and {} stop a field until the grower answers, {} have no answer; {} answers are from memory, {} were printed for something else, {} of {} published checks.",
        coverage.name,
        status(coverage.status),
        coverage.questions.len(),
        coverage.count(CoverageAnswer::Own),
        coverage.count(CoverageAnswer::Wider),
        coverage.count(CoverageAnswer::Asked),
        coverage.count(CoverageAnswer::Stops),
        coverage.count(CoverageAnswer::Nothing),
        coverage.known(Known::Memory).len(),
        coverage.known(Known::Applied).len(),
        coverage.checks.len().min(CHECKS_NEEDED),
        CHECKS_NEEDED,
    )
}

fn status(status: Status) -> &'static str {
    match status {
        Status::Complete => "complete",
        Status::Partial => "partial",
    }
}

/// What the tables of every place answer: a row a place, then what is missing.
#[must_use]
pub fn coverage(all: &[Coverage], width: usize) -> String {
    let mut page = Page::new(width);
    page.line("What the tables of each place answer");
    page.line("");
    let rows = all.iter().map(|c| {
        let answers = [
            CoverageAnswer::Own,
            CoverageAnswer::Wider,
            CoverageAnswer::Asked,
            CoverageAnswer::Stops,
            CoverageAnswer::Nothing,
        ]
        .map(|a| c.count(a));
        let numbers = answers.into_iter().chain([c.read, c.applied, c.common_practice, c.memory, c.checks.len()]);
        let numbers = numbers.map(|n| n.to_string());
        std::iter::once(c.place.to_string()).chain(numbers).chain([status(c.status).to_string()]).collect()
    });
    let heads = [
        "place", "here>", "wider>", "asked>", "stops>", "none>", "read>", "app.>", "com.>", "mem.>", "cases>", "status",
    ];
    page.table_of(&heads, &[7, 6, 7, 7, 7, 6, 6, 6, 6, 6, 7, 9], rows);
    page.line("");
    page.wrapped(
        "here, wider, asked, none: questions answered by the place, by the place it lies within, by the grower, not answered. stops: asked of the grower too, and a field whose phosphorus rule goes by it gets no litter without the soil report's recommendation or a figure. read, app. (applied: printed for another use, place or condition), com. (common practice), mem. (memory): how the place's own figures are known. cases: published checks.",
        "",
        "",
    );
    page.wrapped(
        format!("Complete: every question has an answer or is asked, no answer is from memory or was printed for something else, and {CHECKS_NEEDED} published examples agree. Anything less is partial."),
        "",
        "",
    );
    for c in all {
        page.heading(format!("{} ({})", c.name, c.place));
        let of = |pick: &dyn Fn(&CoverageQuestion) -> bool| subjects(c.questions.iter().filter(|q| pick(q)));
        page.item(format!("no answer: {}", of(&|q| q.answer == CoverageAnswer::Nothing)));
        page.item(format!("asked of the grower: {}", of(&|q| q.answer == CoverageAnswer::Asked)));
        page.item(format!(
            "stops a field whose phosphorus rule goes by it, until the grower answers: {}",
            of(&|q| q.answer == CoverageAnswer::Stops)
        ));
        page.item(format!("from memory: {}", of(&|q| q.known == Some(Known::Memory))));
        page.item(format!("printed for something else: {}", of(&|q| q.known == Some(Known::Applied))));
    }
    page.done()
}

/// Subjects with the number of their questions, in words.
fn subjects<'a>(questions: impl Iterator<Item = &'a CoverageQuestion>) -> String {
    let mut count: BTreeMap<&str, usize> = BTreeMap::new();
    for question in questions {
        *count.entry(question.subject).or_default() += 1;
    }
    if count.is_empty() {
        return "none".to_string();
    }
    count.iter().map(|(subject, n)| format!("{subject} ({n})")).collect::<Vec<_>>().join(", ")
}
