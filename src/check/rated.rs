//! A planner's rating against what the place knows of its tool: nothing of it is ever put in
//! the place of what the planner wrote.

use crate::check::bar::{Bar, Wants};
use crate::check::names::few;
use crate::farm::{Rated, Written, WrittenField};
use crate::findings::{Finding, Findings, Known, Origin, together};
use crate::tables::p_rule::PRating;
use crate::tables::{Book, Classes, Scope, Sourced, topic};
use crate::text::key_of;
use crate::units::{Factor, Quantity, trimmed, whole_down};
use jiff::ToSpan;
use jiff::civil::Date;
use std::collections::BTreeSet;

/// A rating of which the place's tables say nothing allows nothing: what it was
/// made for must not fall away for want of a row.
pub(super) fn without_a_rule(field: &WrittenField, book: &Book<'_>, findings: &mut Findings) -> Option<Bar> {
    let rated = &field.rating.as_ref()?.rating;
    let ratings: Vec<String> = book.rules().into_iter().flat_map(|(_, rule)| rule.value.when.rating).collect();
    if ratings.iter().any(|word| *word == rated.value.key()) {
        return None;
    }
    let why = format!("the tables of {} do not say what the rating `{}` allows", book.place().name, rated.value.word());
    let known: BTreeSet<String> = ratings.into_iter().filter(|word| word != "unrated").collect();
    let known = known.into_iter().collect::<Vec<_>>().join(", ").replace('_', " ");
    let fix = "ask the planner, and add the row `p_rule` to the tables";
    findings.push(
        Finding::warning("rating-without-rule", &rated.place, format!("field {}: no litter: {why}", field.id.value))
            .accepts(if known.is_empty() { "no rating at all".to_string() } else { known })
            .fix(fix),
    );
    Some(Bar { wants: Wants::RatingRule, why, fix: fix.to_string(), origin: Origin::Line(rated.place.clone()) })
}

/// The class that the place's bounds put a score into.
#[must_use]
pub fn class_of_score(rated: &Rated, book: &Book<'_>) -> Option<Sourced<String>> {
    let score = Factor::new(rated.score.as_ref()?.value).ok()?;
    let classes: Sourced<Classes<Factor>> = book.get(topic::P_SCORE, &Scope::new())?;
    let class = classes.value.class_of(score)?.to_string();
    Some(Sourced { value: class, unit: classes.unit, cite: classes.cite })
}

/// The score and the class beside each other, and how long the rating holds.
pub(super) fn check(field: &WrittenField, (book, open): (&Book<'_>, Date), findings: &mut Findings) {
    let Some(rated) = &field.rating else { return };
    scored(field, rated, book, findings);
    expired(field, rated, (book, open), findings);
}

fn scored(field: &WrittenField, rated: &Rated, book: &Book<'_>, findings: &mut Findings) {
    let (Some(score), Some(class)) = (&rated.score, class_of_score(rated, book)) else { return };
    if key_of(&class.value) == rated.rating.value.key() {
        return;
    }
    let found = format!(
        "field {}: rated {} with a score of {}, which the bounds of {} call {}",
        field.id.value,
        rated.rating.value.word(),
        trimmed(score.value),
        book.place().name,
        class.value.replace('_', " ")
    );
    // Bounds from memory are no reason to warn.
    let recalled = !matches!(class.cite.known, Known::Read | Known::Applied);
    let finding = if recalled { Finding::note } else { Finding::warning };
    findings.push(
        finding("rating-score", &score.place, found)
            .accepts(format!("the class of the score: {}", class.cite))
            .fix("check both on the planner's worksheet; the plan goes by the rating as it is written")
            .also(&rated.rating.place, "the rating"),
    );
}

fn expired(field: &WrittenField, rated: &Rated, (book, open): (&Book<'_>, Date), findings: &mut Findings) {
    let Some(place) = book.get(topic::P_RATING, &Scope::new()) else { return };
    let Some(years) = place.value.holds_years else { return };
    let months = i32::try_from(whole_down(years * 12.0)).unwrap_or(i32::MAX);
    let Ok(last) = rated.on.value.checked_add(months.months()) else { return };
    if last >= open {
        return;
    }
    let found = format!("field {}: the phosphorus rating of {} expired {last}", field.id.value, rated.on.value);
    findings.push(
        Finding::warning("rating-old", &rated.on.place, found)
            .accepts(format!("at most {} years: {}", trimmed(years), place.cite))
            .fix(format!("have the field rated again by {}", place.value.by)),
    );
}

/// Whether a key is asked for, the key, and whether a rating lacks it.
type AskedKey = (bool, &'static str, fn(&Rated) -> bool);

/// What the place's way of rating asks for and no rating says, each once for all fields.
pub(super) fn papers(written: &Written, book: &Book<'_>, findings: &mut Findings) {
    let Some(place) = book.get(topic::P_RATING, &Scope::new()) else { return };
    let scored = book.get(topic::P_SCORE, &Scope::new()).is_some();
    let rows: [AskedKey; 3] = [
        (true, "tool", |rated| rated.tool.is_none()),
        (scored, "score", |rated| rated.score.is_none()),
        (place.value.n_rating, "n_leaching", |rated| rated.n_leaching.is_none()),
    ];
    let lacking = |lacks: fn(&Rated) -> bool| -> Vec<&WrittenField> {
        written.fields.iter().filter(|field| field.rating.as_ref().is_some_and(lacks)).collect()
    };
    let asked = rows.into_iter().filter(|(asked, ..)| *asked).map(|(_, key, lacks)| (lacking(lacks), key));
    let asked: Vec<(Vec<&WrittenField>, &str)> = asked.filter(|(fields, _)| !fields.is_empty()).collect();
    let Some(first) = asked.first().and_then(|(fields, _)| fields.first()?.rating.as_ref()) else { return };
    let ids = |fields: Vec<&WrittenField>| -> String {
        few(&fields.iter().map(|field| field.id.value.as_str()).collect::<Vec<_>>())
    };
    // Keys that the same fields lack stand together.
    let asked = together(asked.into_iter().map(|(fields, key)| (ids(fields), format!("`{key}`"))));
    let lacks: Vec<String> = asked.into_iter().map(|(ids, keys)| format!("{} of {ids}", keys.join(", "))).collect();
    let found = format!("not written with the phosphorus ratings: {}", lacks.join("; "));
    let PRating { tool, by, .. } = &place.value;
    findings.push(
        Finding::note("rating-papers", &first.rating.place, found)
            .accepts(format!("what the worksheet says; {} rates with: {tool}; who may rate: {by}", book.place().name))
            .fix("add them to `phosphorus_rating` from the planner's worksheet"),
    );
}
