//! What was written, held against the tables and against itself.
//!
//! Lives here: `Written` x `Happened` x `Tables` -> `Ready`, one named
//! function a check, all findings at once. Never here: arithmetic of
//! nutrients, choices.

mod aged;
mod alike;
mod bar;
mod broken;
mod calibration;
mod carried;
mod coming;
mod counted;
pub mod county;
mod crops;
mod days;
mod done_ground;
mod done_parts;
mod drawn;
mod entry;
mod field_use;
mod fields;
mod figures;
mod hayed;
mod in_year;
mod keepouts;
mod laid;
mod large;
mod log;
mod lonlat;
mod lots;
mod names;
mod on_field;
mod on_hand;
mod open_seasons;
mod outlets;
mod pile;
mod place;
mod plausible;
mod points;
mod rated;
mod ready;
mod renamed;
mod reported;
mod room;
mod said;
mod samples;
mod shapes;
mod spells;
mod stacks;
mod stated;
mod stock;
mod stock_on;
mod swath;
mod tickets;
mod untested;
mod unused;
mod used;
mod weather;
mod yield_years;

pub use aged::Aged;
pub use bar::{Bar, Wants};
pub use calibration::{Calibration, Measured, MeasuredWay, SetFor, Thrown, calibration};
pub use coming::SAME_WITHIN;
pub use days::{Brought, CleanOut, House, LitterMade, Pace, Share, Storage, Work};
pub use done_ground::keep_away;
pub use done_parts::DoneGround;
pub use entry::{added_load, entry, fill_in, fill_in_swath};
pub use laid::Laid;
pub use log::{entries, logged};
pub use on_hand::{Counting, on_hand};
pub use open_seasons::OpenSeasons;
pub use rated::{class_of_score, tool_of_another};
pub use ready::{Above, Contents, Detour, Field, KeepOut, Lot, Ready, Typical};
pub use spells::Spell;
pub use stock::{Comes, Coming, Count, Outlet, gains};
pub use used::{CutWait, Cutting, Grazing};

use crate::check::names::{field_there, lot_there};
use crate::farm::{Spreader, Written};
use crate::findings::{Finding, Findings, Origin, Place};
use crate::record::Happened;
use crate::tables::{Book, SaidFigure, Scope, Tables, topic};
use crate::units::{Quantity, number_text};

use geo::MultiPolygon;
use jiff::ToSpan;
use jiff::civil::Date;
use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Checks everything, as of a day. `Ready` comes back only when nothing stops the plan.
#[must_use]
pub fn check(written: &Written, happened: &Happened, tables: &Tables, on: Date) -> (Option<Ready>, Findings) {
    let mut findings = Findings::new();
    let ready = checked(written, happened, tables, on, &mut findings);
    let ready = ready.filter(|_| !findings.has_errors());
    (ready, findings)
}

/// The log by the fields of now, with the ends of grazing that farm.yaml alone says.
fn log_of_now<'a>(
    written: &Written,
    shapes: &BTreeMap<String, MultiPolygon<f64>>,
    happened: &'a Happened,
    findings: &mut Findings,
) -> Cow<'a, Happened> {
    let mut now = renamed::on_fields_of_now(written, shapes, happened);
    stock_on::planned_ends(written, &mut now, findings);
    now
}

fn checked(
    written: &Written,
    happened: &Happened,
    tables: &Tables,
    on: Date,
    findings: &mut Findings,
) -> Option<Ready> {
    let in_force = written.in_force(on);
    let written = in_force.as_ref();
    let (far, shapes) = ground(written, findings);
    let mut now = log_of_now(written, &shapes, happened, findings);
    place::check(written, tables, findings);
    let (from, to) = written.span.clone()?;
    let book = book(written, tables, on.max(from.value).min(to.value), findings)?;
    if !plausible::starts(&from, on, &book, findings) {
        return None;
    }
    plausible::ends(written, on, findings);
    let said = said(written, &book, findings);
    let book = book.with(&said);
    let region = region(written, &book, findings);
    let calibration = measured(written, &book, findings);
    // What is planned goes on no earlier than on this day.
    let open = on.max(from.value);
    let (lots, work, outlets) = litter(written, happened, (&book, open), region.as_deref(), findings);
    houses_bring(&work, happened, (from.value, to.value), findings);
    let mut fields = fields::check(written, &shapes, (&book, open, on), findings);
    fields.iter_mut().for_each(|field| by_log(field, &now, &book, (on, to.value), findings));
    let keepouts = keepouts::check(written, &far, &book, findings);
    done_ground::measure(written, &mut fields, &mut now, &keepouts, findings);
    stacks::check(written, &book, findings);
    ids_named(written, happened, on, findings);
    plausible::check(written, &now, &shapes, &lots, on, &book, findings);
    carried::tell(written, findings);
    let ready = Ready {
        name: written.name.clone(),
        note: written.note.clone(),
        place: book.place().key.clone(),
        place_name: book.place().name.clone(),
        decides: book.place().decides.clone(),
        region,
        county: written.county.clone(),
        large: written.large.as_ref().is_some_and(|l| l.value),
        people: written.people.clone(),
        from: from.value,
        to: to.value,
        as_of: on,
        is_past: false,
        prices: written.prices.clone(),
        shop: written.shop.clone(),
        least_strip_ft: least_strip(written.spreader.as_ref()?, &book),
        spreader: written.spreader.clone()?,
        calibration,
        detour: detour(written, &book),
        coming: coming::check(&work, &lots, happened, (on, from.value), findings),
        lots,
        work,
        outlets,
        fields: fields.into_iter().map(Arc::new).collect(),
        herds: written.herds.clone(),
        keepouts,
        soils_by: written.soil_names.as_ref().map(|n| n.source.clone()),
        soils: written.soils.clone(),
        happened: now.into_owned(),
        said: said.clone(),
    };
    together(written, &ready, &book, findings);
    Some(ready)
}

/// What only the whole farm shows.
fn together(written: &Written, ready: &Ready, book: &Book<'_>, findings: &mut Findings) {
    out_and_in(written, ready, findings);
    log::logged(ready, book, findings);
    samples::check(ready, findings);
    unused::check(ready, written, findings);
}

/// The spreader and what was measured behind it; and whether the houses hold so many
/// birds that other rules are kept.
fn measured(written: &Written, book: &Book<'_>, findings: &mut Findings) -> Option<Calibration> {
    large::check(written, book, findings);
    spreader(written, findings);
    let calibration = calibration(written, book, findings);
    if let Some(calibration) = &calibration {
        swath::differ(calibration, findings);
        swath::changed(calibration, findings);
    }
    calibration
}

/// Figures of the farm's own, and what it says of its crops.
fn said(written: &Written, book: &Book<'_>, findings: &mut Findings) -> Vec<SaidFigure> {
    let figures = figures::check(written, book, findings);
    figures.into_iter().chain(crops::check(written, book, findings)).collect()
}

/// What is drawn: which keep-outs lie far away, and the boundaries.
fn ground(written: &Written, findings: &mut Findings) -> (BTreeSet<usize>, BTreeMap<String, MultiPolygon<f64>>) {
    let far = lonlat::check(written, findings);
    let shapes = shapes::check(written, findings);
    shapes::soils(written, findings);
    drawn::check(written, findings);
    points::check(written, findings);
    (far, shapes)
}

/// What the log says of a field: its cuttings and grazing, and its yields.
fn by_log(field: &mut Field, happened: &Happened, book: &Book<'_>, days: (Date, Date), findings: &mut Findings) {
    field.use_by_log(happened, days.0, days.1);
    yield_years::of_log(field, happened, book, days.0, findings);
    fields::enough_years(&field.written, book, findings);
}

/// The lots as counted, what makes litter, and who takes it.
fn litter(
    written: &Written,
    happened: &Happened,
    (book, open): (&Book<'_>, Date),
    region: Option<&str>,
    findings: &mut Findings,
) -> (Vec<Lot>, Work, Vec<Outlet>) {
    let mut lots = lots::check(written, book, open, findings);
    counted::check(written, happened, &mut lots, findings);
    let work = days::check(written, region, book, findings);
    let outlets = outlets::check(written, happened, &lots, findings);
    (lots, work, outlets)
}

/// What goes into storages, and who still takes what.
fn out_and_in(written: &Written, ready: &Ready, findings: &mut Findings) {
    coming::kept_in_houses(ready, findings);
    room::check(written, ready, findings);
    outlets::ended(ready, findings);
}

/// Houses whose last clean-out lies a year and more back before the plan ends: a plan that was moved on
/// to another year, and its clean-outs were not.
fn houses_bring(work: &Work, happened: &Happened, (from, to): (Date, Date), findings: &mut Findings) {
    for house in work.houses.iter().filter(|house| house.lot.is_none()) {
        let mut outs: Vec<stock::Coming> = house.comes().collect();
        // What is wrong with a put-off is told where the work to come is read.
        coming::put_off(&mut outs, happened, &mut Findings::new());
        let mut days: Vec<Date> = outs.iter().map(|out| out.day).collect();
        days.sort_unstable();
        // One that was cleaned out less than a year before may well wait.
        let a_year_on = |day: &Date| day.checked_add(1.year()).unwrap_or(Date::MAX);
        let within = days.iter().any(|day| *day <= to && to < a_year_on(day));
        let last = days.iter().rfind(|day| **day <= to).map(|day| format!("the last is of {day}"));
        let named = last.or_else(|| days.first().map(|day| format!("the next is of {day}")));
        let (Some(named), Some(out), false) = (named, house.clean_outs.first(), within) else { continue };
        let makes = house
            .a_year
            .as_ref()
            .map_or(String::new(), |made| format!("; it makes {} tons a year", number_text(made.tons, 0)));
        // One on the first day of a plan of a whole year lies a year before its end.
        let found = format!(
            "house `{}`: no clean-out is in the year to {to}, nor in the plan's days after {from}; {named}{makes}",
            house.name
        );
        findings.push(
            Finding::warning("no-clean-out", &out.place, found)
                .accepts("a clean-out or cake-out within the plan's days")
                .fix("add the clean-outs of this plan's days; where there are none, nothing needs to be done"),
        );
    }
}

/// The tables of the farm's place on a day.
fn book<'a>(written: &Written, tables: &'a Tables, on: Date, findings: &mut Findings) -> Option<Book<'a>> {
    let place = written.place.as_ref()?;
    let book = tables.book(&tables.key_of(&place.value), on);
    book.iter().for_each(|book| bare(written, book, findings));
    if book.is_none() {
        let known: Vec<&str> = tables.places.keys().map(String::as_str).collect();
        let found = format!("`{}` is no place that is known", place.value);
        let names = tables.places.values().chain(tables.bare.values()).map(|place| place.name.as_str());
        let finding = Finding::error("place-unknown", &place.place, found)
            .accepts(format!("the name or the code of any state; tables are held of {}", known.join(", ")));
        findings.push(
            finding
                .fix("a new place is a folder of data: reference/about.md says how to add one")
                .near(&place.value, known.iter().copied().chain(names)),
        );
    }
    book
}

/// Of a state without tables nothing is known but what holds in the whole country.
fn bare(written: &Written, book: &Book<'_>, findings: &mut Findings) {
    let (place, Some(line)) = (book.place(), written.place.as_ref().filter(|_| book.place().bare)) else { return };
    let found = format!(
        "no tables of {0} are held here, and the federal baseline serves: what {0} itself says of nitrogen rates, of \
         phosphorus by soil test or rating, of seasons, setbacks, sampling and records is not known",
        place.name
    );
    findings.push(Finding::warning("place-bare", &line.place, found).fix(format!(
        "ask the state's nutrient management office and a planner before you spread; write what {} asks for under \
         `figures:`, in the soil report's `recommended:` and as `setback` in keepouts.geojson",
        place.name
    )));
}

fn region(written: &Written, book: &Book<'_>, findings: &mut Findings) -> Option<String> {
    let regions = &book.place().regions;
    let shown: Vec<String> = regions.iter().map(|r| r.replace('_', " ")).collect();
    match &written.region {
        Some(region) if regions.contains(&region.value) => Some(region.value.clone()),
        Some(region) => {
            let found = format!("{} has no region `{}`", book.place().name, region.value.replace('_', " "));
            let finding = Finding::error("region-unknown", &region.place, found);
            if shown.is_empty() {
                findings.push(finding.accepts("no `region:` there").fix("take the line `region:` out"));
                return None;
            }
            let finding = finding.accepts(shown.join(", "));
            findings.push(finding.near(&region.value.replace('_', " "), shown.iter().map(String::as_str)));
            None
        }
        None if regions.is_empty() => None,
        None => {
            let place = written.place.as_ref().map(|p| p.place.clone()).unwrap_or_default();
            let found =
                format!("some figures of {} differ by region, and the farm does not name its own", book.place().name);
            findings.push(
                Finding::error("region-missing", &place, found)
                    .accepts(shown.join(", "))
                    .fix("add a line `region: ...` under `place:`"),
            );
            None
        }
    }
}

fn spreader(written: &Written, findings: &mut Findings) {
    let Some(spreader) = &written.spreader else {
        return;
    };
    let zero: [(&str, f64, &Place); 4] = [
        ("swath", spreader.swath.value.get(), &spreader.swath.place),
        ("load", spreader.load.value.get(), &spreader.load.place),
        ("step", spreader.step.value.get(), &spreader.step.place),
        ("least", spreader.least.value.get(), &spreader.least.place),
    ];
    for (key, value, place) in zero {
        if value <= 0.0 {
            findings
                .push(Finding::error("spreader", place, format!("the spreader: `{key}` is 0")).accepts("more than 0"));
        }
    }
    let step = spreader.step.value.get();
    if step > 0.0 && step < 0.01 {
        findings.push(
            Finding::error(
                "spreader",
                &spreader.step.place,
                format!("the spreader: `step` is {}", spreader.step.value),
            )
            .accepts("0.01 tons/ac or more; no spreader is set finer"),
        );
    }
    if spreader.most.value < spreader.least.value {
        let found =
            format!("the spreader's highest rate {} is below its lowest {}", spreader.most.value, spreader.least.value);
        findings.push(
            Finding::error("spreader", &spreader.most.place, found)
                .accepts("`most` at or above `least`")
                .also(&spreader.least.place, "the lowest even rate"),
        );
    }
}

/// The narrowest strip that gets a run of its own, in feet; any where no figure says so.
fn least_strip(spreader: &Spreader, book: &Book<'_>) -> f64 {
    let share = book.get(topic::LAST_STRIP, &Scope::new()).map_or(0.0, |figure| figure.value.get() / 100.0);
    let throw = book.get(topic::LEAST_THROW, &Scope::new()).map_or(0.0, |figure| figure.value.get());
    throw.max(share * spreader.swath.value.get())
}

/// How much longer the road is: as the grower has driven, else as the tables
/// have it, else not at all.
fn detour(written: &Written, book: &Book<'_>) -> Detour {
    if let Some(times) = &written.detour {
        return Detour { times: times.value, origin: Origin::Line(times.place.clone()) };
    }
    match book.get(topic::DETOUR, &Scope::new()) {
        Some(figure) => Detour { times: figure.value.get(), origin: Origin::Figure(figure.cite) },
        None => Detour { times: 1.0, origin: Origin::Definition("the straight line".into()) },
    }
}

/// Lots that a field names are there, fields that a herd grazes, with what it eats there,
/// and what the log names.
fn ids_named(written: &Written, happened: &Happened, on: Date, findings: &mut Findings) {
    for field in &written.fields {
        let miles_from = field.miles.iter().filter_map(|(lot, _)| lot.as_ref());
        miles_from.chain(&field.only_lots).for_each(|lot| lot_there(lot, written, findings));
    }
    written.herds.iter().flat_map(|h| &h.fields).for_each(|field| field_there(field, written, findings));
    hayed::check(written, findings);
    log::names(written, happened, on, findings);
}
