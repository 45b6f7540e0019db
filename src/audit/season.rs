//! Days: every application inside a season of its forage and inside what is
//! left of the plan on its day.

use crate::audit::fault::fault;
use crate::audit::period::{self, JANUARY, days};
use crate::audit::{log, p_rule};
use crate::check::{Contents, Field, Ready};
use crate::findings::Findings;
use crate::plan::answer::{Application, FieldPlan};
use crate::record::What;
use crate::tables::{Book, Scope, topic};
use crate::units::{Days, Quantity};
use jiff::ToSpan;
use jiff::civil::Date;

pub(super) fn check(plan: &FieldPlan, field: &Field, ready: &Ready, book: &Book<'_>, findings: &mut Findings) {
    let seasons = book.seasons(&ready.scope(field));
    let without = p_rule::goes_without_test(field, ready, book);
    let later = p_rule::untested_from(field, ready, book);
    let test = period::test_good_until(field, ready, book).filter(|_| !without && later.is_none());
    if field.written.soil_test.is_none() && !without && !plan.applications.is_empty() {
        let found = format!("field {}: it gets litter without a soil test", plan.id);
        findings.push(fault("soil-test", found));
    }
    for a in &plan.applications {
        if let Some(until) = planned_until(a, ready, book).filter(|until| *until < a.last) {
            let found = format!(
                "field {}: spread to {}, and no plan may rely on the analysis of {} after {until}",
                plan.id, a.last, a.lot
            );
            findings.push(fault("analysis", found));
        }
        if later.is_some_and(|from| a.first < from && from <= a.last) {
            let found = format!(
                "field {}: {} to {} lies before and after the last day of its soil test",
                plan.id, a.first, a.last
            );
            findings.push(fault("soil-test", found));
        }
        if let Some(until) = test.filter(|until| *until < a.last) {
            let found = format!("field {}: spread to {}, and its soil test expires {until}", plan.id, a.last);
            findings.push(fault("soil-test", found));
        }
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
        cuttings(plan, a, field, ready, book, findings);
        grazing(plan, a, field, ready, book, findings);
    }
}

/// The last day on which a plan may rely on the analysis of what goes on.
fn planned_until(a: &Application, ready: &Ready, book: &Book<'_>) -> Option<Date> {
    let days = book.get(topic::LITTER_SAMPLE_STOP, &Scope::new().large(ready.large))?.value.get();
    let Contents::Analysis(analysis) = &ready.lot(&a.lot)?.contents else { return None };
    analysis.sampled.value.checked_add((days as i64).days()).ok()
}

/// No cutting, logged or still planned, falls into the days of an application or into
/// the days to keep after them.
fn cuttings(plan: &FieldPlan, a: &Application, field: &Field, ready: &Ready, book: &Book<'_>, findings: &mut Findings) {
    let keep = cut_wait(field, ready, book);
    for cut in cut_days(field, ready) {
        let found = if (a.first..=a.last).contains(&cut) {
            format!("field {}: {} to {} spans the cutting of {cut}", plan.id, a.first, a.last)
        } else if a.last < cut && f64::from((cut - a.last).get_days()) < keep {
            format!("field {}: spread to {}, cut {cut}, and {keep} days are to lie between", plan.id, a.last)
        } else {
            continue;
        };
        findings.push(fault("season", found));
    }
}

/// Whether a season of the forage is open on one of the days that are left of those that
/// fertilizer is bought for; none where the place names no season.
pub(super) fn left(plan: &FieldPlan, field: &Field, ready: &Ready, book: &Book<'_>) -> Option<bool> {
    let seasons = book.seasons(&ready.scope(field));
    let bought = || plan.years.iter().filter(|year| year.bought_for);
    let first = bought().map(|year| year.first).min().unwrap_or(Date::MIN);
    let last = bought().map(|year| year.last).max().unwrap_or(Date::MAX);
    let mut days = days(first.max(ready.from).max(ready.as_of), last.min(ready.to));
    let open = |day: Date| seasons.iter().any(|(_, season)| period::open_on(season.value, day));
    (!seasons.is_empty()).then(|| days.any(open))
}

/// Days to keep between spreading and a cutting.
fn cut_wait(field: &Field, ready: &Ready, book: &Book<'_>) -> f64 {
    let figure = || book.get(topic::CUT_WAIT, &ready.scope(field)).map(|f| f.value);
    field.written.cut_wait.as_ref().map(|own| own.value).or_else(figure).map_or(0.0, Days::get)
}

/// Days on which the field was cut by the log, or is still to be cut.
fn cut_days(field: &Field, ready: &Ready) -> Vec<Date> {
    let logged: Vec<Date> = ready.happened.on_field(field.id(), What::Cut).map(|e| e.date).collect();
    // A planned cutting that was dropped has one in the log within three weeks.
    let near = |day: Date| logged.iter().any(|cut| (*cut - day).get_days().abs() <= 21);
    let kept = |day: Date| field.cuttings.iter().any(|c| c.day == day && !c.logged);
    let planned = field.written.cuttings.iter().map(|c| c.value).filter(|day| kept(*day) || !near(*day));
    logged.iter().copied().chain(planned).collect()
}

/// First and last days of grazing, planned or logged.
fn grazed_days(field: &Field, ready: &Ready) -> Vec<(Date, Date)> {
    let planned = field.written.grazed.iter().map(|(from, to)| (from.value, to.value));
    // Stock that nobody saw leave is there yet.
    let logged = ready.happened.grazings(field.id()).into_iter().map(|(from, to)| (from, to.unwrap_or(Date::MAX)));
    planned.chain(logged).collect()
}

/// No grazing, logged or planned, falls into the days of an application or into the wait.
fn grazing(plan: &FieldPlan, a: &Application, field: &Field, ready: &Ready, book: &Book<'_>, findings: &mut Findings) {
    let wait = book.get(topic::GRAZE_WAIT, &ready.scope(field)).map_or(0.0, |f| f.value.get());
    for (from, to) in grazed_days(field, ready) {
        let days_before = f64::from((from - a.last).get_days());
        if days_before < wait.max(1.0) && a.first <= to {
            let found =
                format!("field {}: spread to {}, grazed {from} to {to}, a wait of {wait} days", plan.id, a.last);
            findings.push(fault("grazing", found));
        }
    }
}

/// Where a plan goes over a field again in one window, whatever years lie in it, or more
/// often in an opening over New Year than in a year.
pub(super) fn gone_over_again(plan: &FieldPlan, field: &Field, ready: &Ready, book: &Book<'_>) -> Vec<String> {
    let seasons = book.seasons(&ready.scope(field));
    let mut found = Vec::new();
    let whole = || plan.applications.iter().filter(|a| a.rest_acres.is_none());
    for (at, a) in whole().enumerate() {
        let Some((_, season)) = seasons.iter().find(|(name, _)| *name == a.season) else { continue };
        let opening = period::opening_around(season.value, a.first);
        let inside = |b: &&Application| b.season == a.season && opening.0 <= b.first && b.last <= opening.1;
        let earlier = || whole().take(at).filter(inside);
        if let Some(b) = earlier().find(|b| is_one_window(a, b, field, ready, book)) {
            let days = (a.first.min(b.first), a.last.max(b.last));
            found.push(format!("field {}: two applications in one window, {} to {}", plan.id, days.0, days.1));
        }
        let over_new_year = opening.0.year() < opening.1.year() && earlier().next().is_none();
        let logged = log::trips(&log::spread(field, plan.acres, opening, ready, book));
        let (planned, most) = (whole().filter(inside).count(), field.applications.saturating_sub(logged));
        if over_new_year && planned > most {
            let (first, last) = opening;
            found.push(format!(
                "field {}: {planned} applications from {first} to {last} where {most} may follow",
                plan.id
            ));
        }
    }
    found
}

/// Whether no day on which the field is closed lies between two applications of an
/// opening.
fn is_one_window(a: &Application, b: &Application, field: &Field, ready: &Ready, book: &Book<'_>) -> bool {
    let (one, other) = if a.first <= b.first { (a, b) } else { (b, a) };
    let wait = book.get(topic::GRAZE_WAIT, &ready.scope(field)).map_or(0.0, |f| f.value.get());
    let closed = book.get(topic::CLOSED_DAYS, &Scope::new().region(ready.region.as_ref())).map(|c| c.value);
    let keep = cut_wait(field, ready, book);
    let (cuttings, grazings) = (cut_days(field, ready), grazed_days(field, ready));
    let is_closed = |day: Date| {
        let within = |from: Date, days: f64| f64::from((from - day).get_days()) < days;
        cuttings.iter().any(|cut| day <= *cut && within(*cut, keep.max(1.0)))
            || grazings.iter().any(|(from, to)| within(*from, wait.max(1.0)) && day <= *to)
            || closed.is_some_and(|closed| period::open_on(closed, day))
    };
    !days(one.last, other.first).any(is_closed)
}
