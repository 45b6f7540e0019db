//! Loads of a job that is in the log: one that stands by itself beside its job, and one
//! that is taken back.

use crate::findings::{Finding, Place};
use crate::record::cells::Cells;
use crate::record::draft::{in_loads, no_tons, short, weight_of};
use crate::record::entry::Entry;
use crate::record::kinds::What;
use crate::record::values::{acres, mass};
use crate::units::number_text;

/// What a load says of itself, whatever its job says.
const OF_A_LOAD: [&str; 14] = [
    "id",
    "date",
    "corrects",
    "tons",
    "acres",
    "ground",
    "swath",
    "loads",
    "load",
    "tickets",
    "ticket_number",
    "after",
    "sure",
    "note",
];
/// What holds on one day.
const OF_A_DAY: [&str; 4] = ["weather", "before", "wind", "soil"];
/// What the farm folder says of a spreading's day.
const PAPERS: [&str; 3] = ["analysis", "soil_test", "calibrated"];

/// Whether a load was driven on another day than its job.
#[must_use]
pub fn is_of_another_day(old: &Entry, load: &Cells) -> bool {
    load.get("date").is_some_and(|day| *day != old.date.to_string())
}

/// Tons as an entry may write them.
#[must_use]
pub fn tons(words: &str) -> Option<f64> {
    mass(words).map(|weight| weight.tons())
}

/// How many loads an entry holds, as far as it says.
#[must_use]
pub fn loads_of(entry: &Entry) -> f64 {
    entry.loads.unwrap_or(entry.tickets.len() as f64)
}

/// A load as an entry of its own beside its job, which stays as it is: what the load does
/// not say of itself is the job's. Of another day, neither weather nor papers are.
///
/// # Errors
/// Why it cannot be an entry.
pub fn load_by_itself(old: &Entry, load: &Cells) -> Result<Cells, String> {
    in_loads(old)?;
    let another_day = is_of_another_day(old, load);
    let is_of_the_day =
        |column: &str| OF_A_DAY.contains(&column) || (old.what == What::Spread && PAPERS.contains(&column));
    let own = |column: &str| OF_A_LOAD.contains(&column) || (another_day && is_of_the_day(column));
    let mut cells: Cells = old.cells.iter().filter(|(column, _)| !own(column)).collect();
    cells.insert("date", old.date.to_string());
    for (column, words) in load.iter() {
        cells.insert(column, words);
    }
    if load.contains_key("tickets") {
        return Ok(cells);
    }
    if !old.tickets.is_empty() {
        return Err(format!("`{}` is weighed by scale tickets: give --ticket", old.id));
    }
    cells.insert("tons", short(weight_of(load.get("tons"), old)?.tons()));
    cells.insert("loads", "1");
    Ok(cells)
}

/// That a job stays on its acres with one more load, which does not say them.
#[must_use]
pub fn same_acres(old: &Entry, load: &Cells) -> Option<String> {
    let acres = old.acres.filter(|_| old.ground.is_none() && !load.contains_key("acres"))?;
    Some(format!(
        "the job stays on {} acres: where this load went beyond them, give `--acres`, all that the job has covered by now",
        number_text(acres, 2)
    ))
}

/// Acres of a job that are fewer with one more load.
#[must_use]
pub fn fewer_acres(old: &Entry, load: &Cells) -> Option<Finding> {
    let (before, now) = (old.acres?, acres(load.get("acres")?)?);
    let found = format!(
        "the job had covered {} acres, and with this load it covers {}",
        number_text(before, 2),
        number_text(now, 2)
    );
    let finding = Finding::warning("load-acres", &Place::file("sward log load"), found);
    let finding = finding.accepts("`--acres`, all that the job has covered by now, and not those of this load alone");
    (now < before)
        .then(|| finding.fix("if it covered more, `sward log correct ID --set acres=...`, with the id of this entry"))
}

/// An entry without one of its loads: the last one, or the one whose ticket is named.
///
/// # Errors
/// Why the load cannot be taken back.
pub fn without_load(old: &Entry, load: &Cells) -> Result<Cells, String> {
    in_loads(old)?;
    let mut cells = old.cells.clone();
    cells.insert("corrects", &old.id);
    ["id", "sure", "note"].into_iter().for_each(|column| cells.remove(column));
    let numbers = numbers(old);
    let weighed = old.tickets.len();
    if weighed == 1 || old.loads == Some(1.0) {
        return Err(format!("`{}` has no other load: `sward log void {}` takes it back", old.id, old.id));
    }
    let which = match weighed {
        0 => of_tons(old, load, numbers.len(), &mut cells)?,
        _ => of_tickets(old, load, &numbers, &mut cells)?,
    };
    if let Some(loads) = old.loads {
        cells.insert("loads", short(loads - 1.0));
    }
    let named = load.get("ticket_number");
    let at = match (named, which) {
        (Some(named), _) => Some(
            numbers
                .iter()
                .rposition(|own| *own == named)
                .ok_or_else(|| format!("`{}` has no ticket number `{named}`", old.id))?,
        ),
        (None, which) if !numbers.is_empty() => Some(which.filter(|at| *at < numbers.len()).ok_or_else(|| {
            format!("`{}` has the ticket numbers {}: say which goes, --ticket-number", old.id, numbers.join(", "))
        })?),
        _ => None,
    };
    if let Some(at) = at {
        let rest: Vec<&str> =
            numbers.iter().enumerate().filter(|(own, _)| *own != at).map(|(_, number)| *number).collect();
        match rest.is_empty() {
            true => cells.remove("ticket_number"),
            false => cells.insert("ticket_number", rest.join(", ")),
        }
    }
    // A load whose ticket stands twice was driven once, so the job keeps its acres without it.
    let again = named.is_some_and(|named| numbers.iter().filter(|own| **own == named).count() > 1);
    if cells.contains_key("acres") && old.ground.is_none() && !load.contains_key("acres") && !again {
        return Err(format!("`{}` says how many acres it covered: give --acres, those without this load", old.id));
    }
    for column in ["acres", "sure", "note"] {
        if let Some(words) = load.get(column) {
            cells.insert(column, words);
        }
    }
    Ok(cells)
}

/// The numbers of the scale tickets of an entry, in the order written.
#[must_use]
pub fn numbers(entry: &Entry) -> Vec<&str> {
    numbers_in(&entry.cells).collect()
}

/// The same of cells that may be no entry.
pub(super) fn numbers_in(cells: &Cells) -> impl Iterator<Item = &str> {
    let all = cells.get("ticket_number").unwrap_or_default().split([',', ';', '+']).map(str::trim);
    all.filter(|number| !number.is_empty())
}

/// Takes one scale ticket out; its place among the numbers comes back, where the two
/// lists agree.
fn of_tickets(old: &Entry, load: &Cells, numbers: &[&str], cells: &mut Cells) -> Result<Option<usize>, String> {
    let paired = numbers.len() == old.tickets.len();
    let named = load.get("ticket_number").and_then(|named| numbers.iter().rposition(|own| *own == named));
    let named = named.filter(|_| paired);
    let at = match load.get("tickets").or(load.get("tons")) {
        Some(words) => {
            let weight = mass(words).ok_or_else(no_tons)?;
            let of_weight = |at: &usize| old.tickets.get(*at) == Some(&weight);
            let one = named.filter(of_weight);
            one.or_else(|| (0..old.tickets.len()).rev().find(of_weight))
                .ok_or_else(|| format!("`{}` has no ticket of {}", old.id, weight.in_tons()))?
        }
        None => named.unwrap_or(old.tickets.len().saturating_sub(1)),
    };
    let rest = old.tickets.iter().enumerate().filter(|(own, _)| *own != at).map(|(_, ticket)| short(ticket.tons()));
    cells.insert("tickets", rest.collect::<Vec<_>>().join(" + "));
    cells.remove("tons");
    Ok(paired.then_some(at))
}

/// Takes the tons of one load off; its place among the numbers comes back, where there is
/// one for each load.
fn of_tons(old: &Entry, load: &Cells, many: usize, cells: &mut Cells) -> Result<Option<usize>, String> {
    let weight = weight_of(load.get("tons").or(load.get("tickets")), old)?;
    if weight >= old.amount {
        let (all, load) = (old.amount.in_tons(), weight.in_tons());
        return Err(format!("`{}` holds {all} in all, and the load weighed {load}: void the entry instead", old.id));
    }
    cells.insert("tons", short((old.amount - weight).tons()));
    if old.load != Some(weight) {
        cells.remove("load");
    }
    Ok((old.loads == Some(many as f64)).then(|| many.saturating_sub(1)))
}
