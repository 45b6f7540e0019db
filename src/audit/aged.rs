//! What has gone by since a plan was made: papers that it rests on and that have expired, the
//! plan's own days. No limit is passed by it; but nobody is to spread by it unwarned.

use crate::check::{Contents, Field, Ready};
use crate::plan::answer::{FieldPlan, Plan};
use crate::tables::{Book, Scope, Tables, topic};
use crate::units::{Days, Quantity};
use jiff::ToSpan;
use jiff::civil::Date;
use serde::Serialize;

/// A plan made more days ago than this is told as old: our own measure.
const LONG_AGO: i32 = 60;

/// What makes a plan an old one on the day of its audit: no fault of the plan, and no plan to
/// spread by.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct GrownOld {
    /// The day of the audit.
    pub today: Date,
    /// What has expired since, and what is over.
    pub since: Vec<Reason>,
}

/// One reason.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Reason {
    /// A stable code.
    pub code: String,
    /// The reason, with its figures.
    pub found: String,
}

/// What has gone by on the day of the audit since a plan was made; none where nothing has.
#[must_use]
pub fn grown_old(plan: &Plan, ready: &Ready, tables: &Tables, today: Date) -> Option<GrownOld> {
    let since = since(plan, (ready, &ready.book(tables)?), today);
    (!since.is_empty()).then_some(GrownOld { today, since })
}

/// What a plan is too old for on the day of the audit.
fn since(plan: &Plan, (ready, book): (&Ready, &Book<'_>), today: Date) -> Vec<Reason> {
    let mut told: Vec<Reason> = Vec::new();
    let mut say = |code: &str, found: String| told.push(Reason { code: code.to_string(), found });
    let days = (today - plan.as_of).get_days();
    if ready.to < today {
        say("plan-over", format!("its last day was {}", ready.to));
    } else if days > LONG_AGO {
        say("plan-old", format!("it was made {days} days before, and goes by what was known then"));
    }
    // What had expired on the plan's own day is told by the plan.
    let expired = |last: Date| plan.as_of <= last && last < today;
    for of in plan.fields.iter().filter(|field| !field.applications.is_empty()) {
        let Some(field) = ready.field(&of.id) else { continue };
        if let Some((sampled, last)) = soil_test(field, (ready, book)).filter(|(_, last)| expired(*last)) {
            say("soil-test-old", format!("field {}: its soil test of {sampled} expired {last}", of.id));
        }
        if let Some((on, last)) = rating(field, book).filter(|(_, last)| expired(*last)) {
            say("rating-old", format!("field {}: its phosphorus rating of {on} expired {last}", of.id));
        }
    }
    let spread = |id: &str| plan.fields.iter().any(|field: &FieldPlan| field.applications.iter().any(|a| a.lot == id));
    for lot in ready.lots.iter().filter(|lot| spread(&lot.id)) {
        let Contents::Analysis(analysis) = &lot.contents else { continue };
        let sampled = analysis.sampled.value;
        let days = book.get(topic::LITTER_SAMPLE_AGE, &Scope::new().large(ready.large)).map(|f| f.value);
        if let Some(last) = days.and_then(|days| after(sampled, days)).filter(|last| expired(*last)) {
            say("analysis-old", format!("lot {}: its analysis of {sampled} expired {last}", lot.id));
        }
    }
    told
}

fn after(day: Date, days: Days) -> Option<Date> {
    day.checked_add((days.get() as i64).days()).ok()
}

fn soil_age(large: bool, book: &Book<'_>) -> Option<Days> {
    book.get(topic::SOIL_SAMPLE_AGE, &Scope::new().large(large)).map(|figure| figure.value)
}

/// The day of sampling, and the last day on which the test counts.
fn soil_test(field: &Field, (ready, book): (&Ready, &Book<'_>)) -> Option<(Date, Date)> {
    let sampled = field.written.soil_test.as_ref()?.sampled.value;
    Some((sampled, after(sampled, soil_age(ready.large, book)?)?))
}

/// The day of the rating, and the last day on which it counts: by the years that the place
/// prints, else as long as a soil test, which is one of its factors.
fn rating(field: &Field, book: &Book<'_>) -> Option<(Date, Date)> {
    let on = field.written.rating.as_ref()?.on.value;
    let years = book.get(topic::P_RATING, &Scope::new()).and_then(|place| place.value.holds_years);
    let last = match years {
        Some(years) => on.checked_add(((years * 12.0) as i64).months()).ok()?,
        None => after(on, soil_age(false, book)?)?,
    };
    Some((on, last))
}
