//! Whether what a farm writes is plausible: every value is a row that is held
//! against the band of its quantity in the tables. Outside `wide` it is an
//! error until somebody is sure of it; outside `usual` a warning.
//!
//! Lives here: which values there are, and what may have slipped. Never here:
//! what is usual; that is data.

mod crops;
mod dates;
mod field;
mod figures;
mod litter;
mod log;
mod rows;
mod work;

use crate::check::ready::Lot;
use crate::check::renamed::drawn;
use crate::farm::{Written, WrittenField};
use crate::findings::{At, Finding, Findings};
use crate::record::{Entry, Happened};
use crate::tables::Book;
use crate::units::Quantity;
use geo::MultiPolygon;
use jiff::civil::Date;
use rows::Judge;
use std::collections::BTreeMap;

/// Whether the plan starts near the day as of which it is made. Where it does
/// not, no table and no day of the farm fits it.
pub(super) fn starts(from: &At<Date>, on: Date, book: &Book<'_>, findings: &mut Findings) -> bool {
    dates::starts(from, on, &mut Judge::new(&book.as_on(on.max(from.value)), findings))
}

/// A plan whose last day is over has nothing left to plan.
pub(super) fn ends(written: &Written, on: Date, findings: &mut Findings) {
    let Some((from, to)) = written.span.as_ref().filter(|(_, to)| to.value < on) else { return };
    let found = format!("the plan ends on {}, and its day is {on}: every window of it is over", to.value);
    findings.push(
        Finding::warning("plan-over", &to.place, found)
            .accepts("a plan whose last day is still to come")
            .fix("set `plan.from` and `plan.to` to the days to plan; `--on` asks for an earlier day")
            .also(&from.place, "the plan's first day"),
    );
}

/// Everything else; what is usual is that of the later of the plan's days.
pub(super) fn check(
    written: &Written,
    happened: &Happened,
    shapes: &BTreeMap<String, MultiPolygon<f64>>,
    lots: &[Lot],
    on: Date,
    book: &Book<'_>,
    findings: &mut Findings,
) {
    dates::planned(written, findings);
    let acres: BTreeMap<&str, f64> =
        shapes.iter().filter_map(|(id, shape)| Some((id.as_str(), drawn(shape)?))).collect();
    let book = &book.as_on(on.max(book.on()));
    let mut rows = Judge::new(book, findings);
    let load = written.spreader.as_ref().and_then(|s| work::machine(s, &mut rows));
    for lot in &written.lots {
        litter::lot(lot, lots, load, &mut rows);
    }
    for written in &written.fields {
        field::field(written, acres.get(written.id.value.as_str()).copied(), &mut rows);
    }
    for figure in &written.figures {
        figures::figure(figure, &mut rows);
    }
    written.crops.iter().for_each(|crop| crops::crop(crop, &mut rows));
    work::all(written, load, &mut rows);
    let since = happened.iter().map(|entry| entry.date).min();
    dates::all(written, (on, since), &mut rows);
    let drawn = |field: &WrittenField| acres.get(field.id.value.as_str()).copied();
    let fields: BTreeMap<&str, (&WrittenField, Option<f64>)> =
        written.fields.iter().map(|field| (field.id.value.as_str(), (field, drawn(field)))).collect();
    for entry in happened.iter() {
        let known = entry.field.as_ref().and_then(|id| fields.get(id.value.as_str()).copied());
        let (field, acres) = known.map_or((None, None), |(field, acres)| (Some(field), acres));
        log::entry(entry, field, (acres, load), &mut rows);
        dates::entry(entry, on, &mut rows);
    }
    happened.asked().for_each(|entry| dates::papers(entry, &mut rows));
    covers_nothing(written, &mut rows);
}

/// A load that an entry has taken in, by itself: the entry keeps the sum of its loads.
pub(super) fn added_load(entry: &Entry, tons: f64, written: &Written, book: &Book<'_>, findings: &mut Findings) {
    let spreader = written.spreader.as_ref().map(|s| s.load.value.get());
    log::added(entry, tons, spreader, &mut Judge::new(book, findings));
}

/// Somebody is sure of a block in which every value is usual: there a slip of
/// later would be let through.
fn covers_nothing(written: &Written, rows: &mut Judge<'_>) {
    for sure in dates::sures(written).into_iter().filter(|sure| !rows.covers.contains(&sure.on.place)) {
        let found = format!("`sure` by {} changes nothing: every value it stands beside is usual", sure.by);
        rows.findings.push(
            Finding::note("no-effect", &sure.on.place, found)
                .fix("take `sure` out, so that a slip made later is still noticed"),
        );
    }
}
