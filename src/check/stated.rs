//! What is stated for the phosphorus rule, held against the year for which it can hold.

use crate::farm::{RuleSaid, WrittenField};
use crate::findings::{At, Finding, Findings};
use crate::tables::Book;
use crate::tables::p_rule::PRule;
use jiff::ToSpan;
use jiff::civil::Date;

/// Says of every statement for which year its conditions of one year are counted, where it does not
/// say so itself: for the plan that begins within a year of it, else for its own year.
pub(super) fn for_its_year(field: &mut WrittenField, days: (Date, Date), book: &Book<'_>, findings: &mut Findings) {
    let rules: Vec<_> = book.rules().into_iter().map(|(_, row)| row.value).collect();
    let ways = || rules.iter().flat_map(|rule| &rule.unless);
    let lasts = |word: &At<String>| {
        let own = || ways().filter(|way| way.stated == word.value);
        own().next().is_some() && own().all(|way| way.one_year)
    };
    let count = |said: &mut RuleSaid| {
        let next = said.on.value.checked_add(1.year()).unwrap_or(Date::MAX);
        let year = if next > days.0 { days.0.year() } else { said.on.value.year() };
        said.counted_for = Some(year);
    };
    field.rule_said.iter_mut().for_each(count);
    let mut all = std::mem::take(&mut field.rules_said).into_list();
    all.iter_mut().for_each(count);
    field.rules_said = crate::farm::Dated::new(all);
    twice_in(field, &rules, findings);
    let Some(said) = &field.rule_said else { return };
    for word in &said.stated {
        if field.most.is_none() && ways().any(|way| way.stated == word.value && way.with_most) {
            findings.push(without_most(field, said, word));
            continue;
        }
        let one_year = lasts(word);
        let words = word.value.replace('_', " ");
        let id = &field.id.value;
        let plan = days.0.year();
        let holds = said.states(&word.value, one_year, days).is_some();
        let year = said.year.as_ref().map(|at| at.value);
        let found = match (year, said.counted_for) {
            (None, Some(year)) if one_year && holds => format!(
                "field {id}: `{words}` holds for one year, and the statement of {} does not say for which: it counts \
                 for {year} alone",
                said.on.value
            ),
            (Some(year), _) | (None, Some(year)) if !holds => format!(
                "field {id}: `{words}` is stated for {year} and does not count in this plan, which goes by the \
                 rule without it"
            ),
            _ => continue,
        };
        let place = said.year.as_ref().map_or(&word.place, |at| &at.place);
        findings.push(
            Finding::warning("stated-year", place, found)
                .accepts("the year in which the plan begins, of a plan that is shorter than a year and a day")
                .fix(format!("where {} says so of that year, write `year: {plan}` beside `stated`", said.by)),
        );
    }
}

/// A condition that holds for one year of some is stated for two years of them: one of the two
/// statements cannot be true, and nothing is planned by either.
fn twice_in(field: &WrittenField, rules: &[PRule], findings: &mut Findings) {
    let ways = rules.iter().flat_map(|rule| &rule.unless);
    let mut once: Vec<(&String, u16)> = ways.filter_map(|way| Some((&way.stated, way.once_in?))).collect();
    once.sort();
    once.dedup();
    for (word, of) in once {
        let year = |said: &RuleSaid| said.year.as_ref().map(|at| at.value).or(said.counted_for);
        let states = |said: &RuleSaid| said.stated.iter().find(|at| at.value == *word).cloned();
        let mut all: Vec<(i16, At<String>)> =
            field.rules_said.iter().filter_map(|said| Some((year(said)?, states(said)?))).collect();
        all.sort_by_key(|(year, _)| *year);
        all.dedup_by_key(|(year, _)| *year);
        for ((before, first), (after, second)) in all.iter().zip(all.iter().skip(1)) {
            if i32::from(*after) - i32::from(*before) >= i32::from(of) {
                continue;
            }
            let found = format!(
                "field {}: `{}` is stated for {before} and for {after}, and the rule has one such year in any {of}",
                field.id.value,
                word.replace('_', " ")
            );
            findings.push(
                Finding::error("stated-twice", &second.place, found)
                    .accepts(format!("years that lie {of} or more apart"))
                    .fix("take out the statement that does not hold, or correct its `year`")
                    .also(&first.place, "the earlier one"),
            );
        }
    }
}

/// A rate was allowed, and nothing says which.
fn without_most(field: &WrittenField, said: &RuleSaid, word: &At<String>) -> Finding {
    let words = word.value.replace('_', " ");
    let found = format!("field {}: `{words}` does not count without the rate that was allowed", field.id.value);
    Finding::warning("stated-rate", &word.place, found)
        .accepts("`most` of the field, in tons/ac for the year")
        .fix(format!("write the rate of {}'s paper into the field: `most: ... tons/ac`", said.by))
}
