//! A planner's rating against what the place knows of its tool: nothing of it is ever put in
//! the place of what the planner wrote.

use crate::check::aged::last_day;
use crate::check::bar::{Bar, Wants};
use crate::check::names::few;
use crate::farm::{Rated, Written, WrittenField};
use crate::findings::{Finding, Findings, Origin, together};
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
    let with_row = ratings.iter().any(|word| *word == rated.value.key());
    if let Some(own) = book.get(topic::P_RATING, &Scope::new()).filter(|own| !own.value.has(&rated.value.key())) {
        let bar = of_no_class(field, &own, book, findings);
        return bar.filter(|_| !with_row);
    }
    if with_row {
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

/// A rating in a word that the place's own tool does not have: nobody can say what it allows.
fn of_no_class(field: &WrittenField, own: &Sourced<PRating>, book: &Book<'_>, findings: &mut Findings) -> Option<Bar> {
    let rated = field.rating.as_ref()?;
    let (place, word) = (&book.place().name, rated.rating.value.word());
    let classes = own.value.classes.join(", ").replace('_', " ");
    let why = format!("rated {word}, and {place} has no such class");
    let fix = format!("ask {} which class of {} it is, and write that", rated.by, own.value.tool);
    findings.push(
        Finding::warning("rating-class", &rated.rating.place, format!("field {}: {why}", field.id.value))
            .accepts(format!("{classes}: {}", own.cite))
            .fix(fix.clone()),
    );
    let origin = Origin::Line(rated.rating.place.clone());
    Some(Bar { wants: Wants::Rating, why, fix, origin })
}

/// The class that the place's bounds put a score into.
#[must_use]
pub fn class_of_score(rated: &Rated, book: &Book<'_>) -> Option<Sourced<String>> {
    let score = Factor::new(rated.score.as_ref()?.value).ok()?;
    let classes: Sourced<Classes<Factor>> = book.get(topic::P_SCORE, &Scope::new())?;
    let class = classes.value.class_of(score)?.to_string();
    Some(Sourced { value: class, unit: classes.unit, cite: classes.cite })
}

/// The score and the class beside each other, and how long the rating holds; why it is too old,
/// where it is.
pub(super) fn check(field: &WrittenField, (book, open): (&Book<'_>, Date), findings: &mut Findings) -> Option<String> {
    let rated = field.rating.as_ref()?;
    // Bounds of this place say nothing of a score of another one's tool.
    if !with_another_tool(field, rated, book, findings) {
        scored(field, rated, book, findings);
    }
    let old = expired(field, rated, (book, open), findings);
    if old.is_none() {
        before_the_test(field, rated, findings);
    }
    old
}

/// The state that the tool of a rating names, where it is not the place.
#[must_use]
pub fn tool_of_another(rated: &Rated, book: &Book<'_>) -> Option<String> {
    book.names_another(&rated.tool.as_ref()?.value)
}

fn with_another_tool(field: &WrittenField, rated: &Rated, book: &Book<'_>, findings: &mut Findings) -> bool {
    let (Some(tool), Some(other)) = (&rated.tool, tool_of_another(rated, book)) else { return false };
    let place = &book.place().name;
    let found = format!(
        "field {}: rated {} with `{}`, a tool of {other}; the rules of {place} read its class as one of their own tool",
        field.id.value,
        rated.rating.value.word(),
        tool.value
    );
    let own = book.get(topic::P_RATING, &Scope::new());
    let accepts = own.map_or_else(|| format!("a tool of {place}"), |own| format!("{}: {}", own.value.tool, own.cite));
    findings.push(
        Finding::warning("rating-tool", &tool.place, found)
            .accepts(accepts)
            .fix(format!("have the field rated with the tool of {place}, or correct `tool`"))
            .also(&rated.rating.place, "the rating"),
    );
    true
}

/// A rating takes the soil test as one of its factors: one that was made before the test that
/// stands went by another.
fn before_the_test(field: &WrittenField, rated: &Rated, findings: &mut Findings) {
    let Some(test) = field.soil_test.as_ref().filter(|test| rated.on.value < test.sampled.value) else { return };
    let found = format!(
        "field {}: rated {}, before its soil test of {} was taken: the rating went by an older test",
        field.id.value, rated.on.value, test.sampled.value
    );
    findings.push(
        Finding::note("rating-before-test", &rated.on.place, found)
            .fix("ask the planner whether the rating still holds with the new test"),
    );
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
    findings.push(
        Finding::warning("rating-score", &score.place, found)
            .accepts(format!("the class of the score: {}", class.cite))
            .fix("check both on the planner's worksheet; the plan goes by the rating as it is written")
            .also(&rated.rating.place, "the rating"),
    );
}

/// Whether a rating is older than the place takes; where it prints no years for ratings, older
/// than the soil test that it goes by may be.
fn expired(
    field: &WrittenField,
    rated: &Rated,
    (book, open): (&Book<'_>, Date),
    findings: &mut Findings,
) -> Option<String> {
    let place = book.get(topic::P_RATING, &Scope::new());
    let by = place.as_ref().map_or("the planner", |place| place.value.by.as_str());
    let (found, accepts) = match place.as_ref().and_then(|place| Some((place.value.holds_years?, &place.cite))) {
        Some((years, cite)) => {
            let months = i32::try_from(whole_down(years * 12.0)).unwrap_or(i32::MAX);
            let last = rated.on.value.checked_add(months.months()).ok()?;
            if last >= open {
                return None;
            }
            let found = format!("the phosphorus rating of {} expired {last}", rated.on.value);
            (found, format!("at most {} years: {cite}", trimmed(years)))
        }
        None => {
            let aged = last_day(rated.on.value, topic::SOIL_SAMPLE_AGE, false, book)?;
            if aged.last >= open {
                return None;
            }
            let found = format!(
                "the phosphorus rating of {} is older than a soil test may be, and a soil test is one of its factors",
                rated.on.value
            );
            (found, format!("as long as a soil test counts: {}", aged.cite))
        }
    };
    findings.push(
        Finding::warning("rating-old", &rated.on.place, format!("field {}: {found}", field.id.value))
            .accepts(accepts)
            .fix(format!("have the field rated again by {by}")),
    );
    Some(found)
}

/// Whether a key is asked for, the key, and whether a rating lacks it.
type AskedKey = (bool, &'static str, fn(&Rated) -> bool);

/// What the place's way of rating asks for and no rating says, each once for all fields.
pub(super) fn papers(written: &Written, book: &Book<'_>, findings: &mut Findings) {
    let Some(place) = book.get(topic::P_RATING, &Scope::new()) else { return };
    let scored = book.get(topic::P_SCORE, &Scope::new()).is_some();
    let rows: [AskedKey; 4] = [
        (true, "tool", |rated| rated.tool.is_none()),
        (scored, "score", |rated| rated.score.is_none()),
        (place.value.by_rate, "made_for", |rated| rated.made_for.is_none()),
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
