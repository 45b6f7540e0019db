//! An entry before it stands in the log, held against the farm as written: its
//! names, its day, its amount; and what the farm says for it.

use crate::check::names::{house_there, lot_there};
use crate::check::plausible;
use crate::check::renamed::field_known;
use crate::check::stock_on::planned_end;
use crate::farm::{CALIBRATION, Written};
use crate::findings::{At, Finding, Findings, Place};
use crate::record::{self, Cells, Entry, What};
use crate::tables::Book;
use crate::text;
use crate::units::Grade;
use jiff::civil::Date;

/// Calendar years before the plan's first from which an entry is still taken: as
/// many as `bank_years` can look back. An earlier one has a slip in its year.
const YEARS_BEFORE: i16 = 9;

/// Reads the cells of a new entry and holds them against the farm. `place` says
/// where a column's cell stands.
#[must_use]
pub fn entry(
    cells: &Cells,
    written: &Written,
    today: Date,
    place: &dyn Fn(&str) -> Place,
    findings: &mut Findings,
) -> Option<Entry> {
    let entry = record::read_cells(cells, place, findings);
    let named = |column: &str| Some(At { value: cells.get(column)?.to_string(), place: place(column) });
    named("lot").iter().for_each(|lot| lot_there(lot, written, findings));
    let day_of = entry.as_ref().map_or(today, |entry| entry.date);
    named("field").iter().for_each(|field| field_known(field, day_of, written, findings));
    named("house").iter().for_each(|house| house_there(house, written, findings));
    let entry = entry?;
    day(&entry, written, today, &place("date"), findings);
    if entry.what.moves_litter() && entry.amount.0 <= 0 {
        let finding = Finding::error("log-line", &place("tons"), "the amount is 0");
        findings.push(finding.accepts("more than 0 tons"));
    }
    Some(entry)
}

/// The day is one on which it can have been done.
fn day(entry: &Entry, written: &Written, today: Date, place: &Place, findings: &mut Findings) {
    let mut fault = |found: String, accepts: String| {
        findings.push(Finding::error("log-date", place, found).accepts(accepts));
    };
    let last = entry.until.unwrap_or(entry.date).max(entry.date);
    if last > today {
        fault(format!("{last} is still to come"), format!("a day up to today, {today}"));
    }
    if let Some((from, _)) = &written.span {
        let earliest = Date::new(from.value.year().saturating_sub(YEARS_BEFORE), 1, 1).unwrap_or(Date::MIN);
        if entry.date < earliest {
            let (day, begins) = (entry.date, from.value);
            fault(
                format!("{day} is more than {YEARS_BEFORE} years before the plan, which begins {begins}"),
                format!("a day from {earliest} on"),
            );
        }
    }
    let lot = entry.lot.as_ref().and_then(|l| written.lots.iter().find(|w| w.id.value == l.value));
    let since = lot.and_then(|l| l.since.as_ref()).filter(|_| matches!(entry.what, What::Spread | What::Haul));
    if let Some(since) = since.filter(|s| entry.date < s.value) {
        fault(
            format!("{} is before the lot was piled, {} ({})", entry.date, since.value, since.place),
            format!("a day from {} on", since.value),
        );
    }
}

/// A load that a job has taken in, held against what is usual: the job keeps the sum alone.
pub fn added_load(entry: &Entry, tons: f64, written: &Written, book: &Book<'_>, findings: &mut Findings) {
    plausible::added_load(entry, tons, written, book, findings);
}

/// Fills in what the farm folder says of the tests and the spreader behind an
/// application, or of a fertilizer's grade; what was filled in comes back, a line each.
pub fn fill_in(what: What, cells: &mut Cells, written: &Written) -> Vec<String> {
    match what {
        What::Spread => papers(cells, written),
        What::Fertilizer => grade(cells, written).into_iter().collect(),
        What::Graze => grazed_until(cells, written).into_iter().collect(),
        _ => Vec::new(),
    }
}

/// How wide the way of a spreading was, where its ground is a way: the spreader's swath of
/// now, which farm.yaml may give otherwise later.
pub fn fill_in_swath(what: What, cells: &mut Cells, written: &Written) -> Option<String> {
    let is_line = cells.get("ground").is_some_and(|text| text.to_ascii_uppercase().contains("LINESTRING"));
    let swath = &written.spreader.as_ref().filter(|_| what == What::Spread && is_line)?.swath;
    if cells.contains_key("swath") {
        return None;
    }
    let filled = format!("swath, from {}: {}", swath.place.file, swath.value);
    cells.insert("swath", swath.value.to_string());
    Some(filled)
}

/// The grade of a product that farm.yaml names.
fn grade(cells: &mut Cells, written: &Written) -> Option<String> {
    let name = cells.get("product").filter(|_| !cells.contains_key("grade"))?;
    let product = written.shop.products.iter().find(|p| text::same_name(&p.name.value, name))?;
    let grade = Grade(product.analysis.value).to_string();
    let filled = format!("grade, from {}: {grade}", product.analysis.place.file);
    cells.insert("grade", grade);
    Some(filled)
}

/// The last day of grazing that farm.yaml plans now, where the entry says none: it stands in the
/// entry from here on, whatever farm.yaml says later, as a day that was planned.
fn grazed_until(cells: &mut Cells, written: &Written) -> Option<String> {
    let said = ["until", "planned"].iter().any(|column| cells.contains_key(column));
    let on = cells.get("date").and_then(text::day).filter(|_| !said)?;
    let field = written.logged_fields(cells.get("field")?, on).first().copied()?;
    let end = planned_end(field, on)?;
    cells.insert("planned", end.value.to_string());
    Some(format!("last day, as {} plans it now: {}; log the last day once it is known", end.place.file, end.value))
}

/// The papers behind a spreading.
fn papers(cells: &mut Cells, written: &Written) -> Vec<String> {
    let lot = written.lots.iter().find(|l| cells.get("lot") == Some(l.id.value.as_str()));
    let on = cells.get("date").and_then(text::day);
    let field = cells.get("field").zip(on).and_then(|(id, on)| written.logged_fields(id, on).first().copied());
    // A paper of a later day is none that the entry can rely on.
    let by_then = |day: Date| on.is_none_or(|on| day <= on);
    let report = |day: &At<Date>, lab: &str| {
        by_then(day.value).then(|| (format!("{}, {lab}", day.value), day.place.file.to_string()))
    };
    let analysis = lot.zip(on).and_then(|(l, on)| l.analyses.on(on)).and_then(|a| report(&a.sampled, &a.lab));
    let soil = field.zip(on).and_then(|(f, on)| f.soil_tests.on(on)).and_then(|t| report(&t.sampled, &t.lab));
    // The later of the day that farm.yaml tells and the last measurement.
    let told = written.spreader.as_ref().and_then(|s| s.calibrated.as_ref());
    let told = told.map(|day| (day.value, day.place.file.to_string()));
    let last = written.calibration.as_ref().and_then(|c| c.last()).map(|day| (day, CALIBRATION.to_string()));
    let days = [told, last].into_iter().flatten().filter(|(day, _)| by_then(*day));
    let calibrated = days.max().map(|(day, file)| (day.to_string(), file));
    let mut filled = Vec::new();
    for (column, words, value) in [
        ("analysis", "litter analysis", analysis),
        ("soil_test", "soil test", soil),
        ("calibrated", "spreader calibrated", calibrated),
    ] {
        let Some((value, file)) = value.filter(|_| !cells.contains_key(column)) else { continue };
        let value = record::tidy(&value);
        filled.push(format!("{words}, from {file}: {value}"));
        cells.insert(column, value);
    }
    filled
}
