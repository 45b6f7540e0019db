//! Days: every application inside a season of its forage and inside what is
//! left of the plan on its day.

use crate::audit::fault::fault;
use crate::audit::period::{self, JANUARY};
use crate::check::{Field, Ready};
use crate::findings::Findings;
use crate::plan::answer::FieldPlan;
use crate::tables::{Book, Scope, topic};
use crate::units::Quantity;
use jiff::civil::Date;

pub(super) fn check(plan: &FieldPlan, field: &Field, ready: &Ready, book: &Book<'_>, findings: &mut Findings) {
    let seasons = book.seasons(&ready.scope(field));
    for a in &plan.applications {
        let season = seasons.iter().find(|(name, _)| *name == a.season).map(|(_, s)| s.value);
        let inside = season.is_some_and(|s| period::open_on(s, a.first) && period::open_on(s, a.last));
        if !inside || a.first < ready.from.max(ready.as_of) || a.last > ready.to || a.last < a.first {
            findings.push(fault(
                "season",
                format!("field {}: {} to {} lies outside the season `{}`", plan.id, a.first, a.last, a.season),
            ));
        }
        let years = [Some(JANUARY), period::growing(field, ready, book), period::of_phosphorus(field, ready, book)];
        if years.into_iter().flatten().any(|year| period::year_around(a.first, year).1 < a.last) {
            let found = format!("field {}: {} to {} lies in two years, whose limits differ", plan.id, a.first, a.last);
            findings.push(fault("period", found));
        }
        let closed = book.get(topic::CLOSED_DAYS, &Scope::new().region(ready.region.as_ref())).map(|c| c.value);
        if closed
            .is_some_and(|c| days(a.first.max(ready.from), a.last.min(ready.to)).any(|day| period::open_on(c, day)))
        {
            findings.push(fault("season", format!("field {}: {} to {} meets closed days", plan.id, a.first, a.last)));
        }
        for cut in field.written.cuttings.iter().filter(|c| (a.first..=a.last).contains(&c.value)) {
            findings.push(fault(
                "season",
                format!("field {}: {} to {} spans the cutting of {}", plan.id, a.first, a.last, cut.value),
            ));
        }
        let wait = book.get(topic::GRAZE_WAIT, &ready.scope(field)).map_or(0.0, |f| f.value.get());
        for (from, to) in &field.written.grazed {
            let days_before = f64::from((from.value - a.last).get_days());
            if days_before < wait && a.first <= to.value {
                let (from, to) = (from.value, to.value);
                findings.push(fault(
                    "grazing",
                    format!("field {}: spread to {}, grazed {from} to {to}, a wait of {wait} days", plan.id, a.last),
                ));
            }
        }
    }
}

/// Every day from the first to the last.
fn days(first: Date, last: Date) -> impl Iterator<Item = Date> {
    std::iter::successors(Some(first), |day| day.tomorrow().ok()).take_while(move |day| *day <= last)
}
