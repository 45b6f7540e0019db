//! Fields without a soil test that counts: most places plan none of them, some have a row of
//! the phosphorus rule for them.

use crate::check::aged::Aged;
use crate::check::bar::{Bar, Wants};
use crate::check::ready::Field;
use crate::farm::WrittenField;
use crate::findings::{At, Finding, Findings, Origin};
use crate::tables::p_rule::{PBasis, PRule, PWhen, UNSAID};
use crate::tables::{Book, Sourced};
use jiff::civil::Date;

/// The row by which the place plans such a field, were it one.
pub(super) fn row(field: &WrittenField, large: bool, book: &Book<'_>) -> Option<Sourced<PRule>> {
    let mut rules = book.rules().into_iter().map(|(_, row)| row);
    rules.find(|row| row.value.when.untested && speaks_of(field, large, &row.value.when))
}

/// The row by which the place plans a field from the day after its soil test expires, where that
/// is within the plan. One that says more than that phosphate is limited to removal, or to a part
/// or a multiple of it, waits for the new test.
pub(super) fn after(
    good_until: Option<&Aged>,
    by: Option<&Sourced<PRule>>,
    (open, to): (Date, Date),
) -> Option<Sourced<PRule>> {
    let last = good_until?.last;
    let by = by.filter(|_| open <= last && last < to)?;
    let says = by.value.says;
    let plain = says.basis == PBasis::Removal && says.or.is_none() && says.n_most.is_none() && says.most.is_none();
    plain.then(|| by.clone())
}

fn speaks_of(field: &WrittenField, large: bool, when: &PWhen) -> bool {
    let said = field.rule_said.as_ref();
    let word = |own: Option<&At<String>>| own.map_or(UNSAID, |at| at.value.as_str()).to_string();
    let own = said.and_then(|said| said.farm.as_ref());
    // What is asked of a large operation is asked for its own ground, not for a buyer's.
    let farm = match own {
        Some(own) if own.value == "buyer" || !large => own.value.clone(),
        _ if large => "large".to_string(),
        _ => UNSAID.to_string(),
    };
    let rated = field.rating.as_ref().map_or_else(|| "unrated".to_string(), |rated| rated.rating.value.key());
    let lists = [
        (&when.rating, rated),
        (&when.farm, farm),
        (&when.plan, word(said.and_then(|said| said.plan.as_ref()))),
        (&when.way, word(said.and_then(|said| said.way.as_ref()))),
    ];
    lists.iter().all(|(asked, known)| asked.is_empty() || asked.contains(known))
}

/// What keeps litter off a field without a soil test, or off one whose test is too old; with a
/// row of the place for such fields nothing does, and it is said.
pub(super) fn check(
    field: &WrittenField,
    expired: Option<&Aged>,
    by: Option<&Sourced<PRule>>,
    findings: &mut Findings,
) -> Option<Bar> {
    match (&field.soil_test, expired) {
        (Some(_), None) => None,
        (Some(_), Some(aged)) => stale(field, aged, by, findings),
        (None, _) if field.closed.is_some() => None,
        (None, _) => missing(field, by, findings),
    }
}

/// Why a field has no soil test that counts.
const NO_TEST: &str = "no soil test";

/// The same of one that was sampled on a day and counted through another.
fn too_old(sampled: Date, last: Date) -> String {
    format!("soil test of {sampled} is too old (expired {last})")
}

impl Field {
    /// Why no soil test of it counts, whether that keeps litter off it or not.
    #[must_use]
    pub fn lacks_test(&self) -> Option<String> {
        match &self.written.soil_test {
            None => Some(NO_TEST.to_string()),
            Some(test) => self.test_expired.map(|last| too_old(test.sampled.value, last)),
        }
    }
}

/// What a field is planned by all the same.
fn planned_by(row: &Sourced<PRule>) -> String {
    format!("phosphate is limited to {} ({})", row.value.says.in_words(), row.cite)
}

fn missing(field: &WrittenField, by: Option<&Sourced<PRule>>, findings: &mut Findings) -> Option<Bar> {
    let (then, fix) = match by {
        Some(row) => (planned_by(row), "write the laboratory's report in, and the place's rows by the soil test hold"),
        None => (
            "it gets no litter".to_string(),
            "write the laboratory's report in; or close the field with `closed: no soil test yet`",
        ),
    };
    let found = format!("field {} has no soil test, so {then}", field.id.value);
    findings.push(
        Finding::warning("soil-test-missing", &field.place, found)
            .accepts("`soil_test:` with lab, sampled, extractant, p and k")
            .fix(fix),
    );
    by.is_none().then(|| Bar {
        wants: Wants::SoilTest,
        why: NO_TEST.to_string(),
        fix: "sample the soil, and write the report in".to_string(),
        origin: Origin::Line(field.place.clone()),
    })
}

/// A soil test older than the place takes counts no more until the soil is sampled again.
fn stale(field: &WrittenField, aged: &Aged, by: Option<&Sourced<PRule>>, findings: &mut Findings) -> Option<Bar> {
    let sampled = &field.soil_test.as_ref()?.sampled;
    let expired = format!("field {}: the soil test of {} expired {}", field.id.value, sampled.value, aged.last);
    let (found, fix) = match by {
        Some(row) => (format!("{expired}, so {}", planned_by(row)), "sample the field again, and write the report in"),
        None => (expired, "sample the field again; until then it gets no litter"),
    };
    findings.push(
        Finding::warning("soil-test-old", &sampled.place, found)
            .accepts(format!("at most {} days: {}", aged.days, aged.cite))
            .fix(fix),
    );
    by.is_none().then(|| Bar {
        wants: Wants::NewerTest,
        why: too_old(sampled.value, aged.last),
        fix: "sample the soil again".to_string(),
        origin: Origin::Figure(aged.cite.clone()),
    })
}
