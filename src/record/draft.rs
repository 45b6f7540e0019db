//! An entry on its way into the log: what it lacks, how its line is written,
//! and an earlier one with some of its cells put right.

use crate::findings::or_near;
use crate::record::cells::{Cells, tidy};
use crate::record::columns::COLUMNS;
use crate::record::entry::{Entry, LogSure};
use crate::record::kinds::{Asked, Need, What, asked};
use crate::record::values::mass;
use crate::units::Pounds;
use jiff::civil::Date;

/// What an entry needs and does not have. `all` asks for what the record needs
/// beyond the tally too.
#[must_use]
pub fn missing(what: What, cells: &Cells, all: bool) -> Vec<Asked> {
    let has = |column: &str| cells.contains_key(column);
    let said = |need: &&Need| has(need.column) || need.or.iter().any(|other| other.iter().all(|c| has(c)));
    let needs = what.needs().iter().filter(|need| !said(need));
    let mut list: Vec<Asked> = needs.map(|need| (need.column, need.item, need.accepts)).collect();
    if what == What::Void {
        list.push(("note", "", "why it does not hold"));
    }
    if all {
        list.extend(asked(what).iter().filter(|(column, _, _)| !known_by(column, &has)));
    }
    list.retain(|(column, _, _)| !has(column));
    list
}

/// Whether another cell says what a column does: scale tickets count the loads, and the
/// acres follow from the ground.
pub fn known_by(column: &str, has: &dyn Fn(&str) -> bool) -> bool {
    [("loads", "tickets"), ("acres", "ground")].iter().any(|(own, by)| *own == column && has(by))
}

/// Writes masses in tons and ground in acres, without a unit; the tons always
/// stand in the line, so that a person can read it.
pub fn in_house_units(entry: &Entry, cells: &mut Cells) {
    let tons = |p: Pounds| short(p.tons());
    if entry.what.weighs_litter() || entry.amount.0 > 0 {
        cells.insert("tons", tons(entry.amount));
    }
    if let Some(load) = entry.load {
        cells.insert("load", tons(load));
    }
    if !entry.tickets.is_empty() {
        cells.insert("tickets", entry.tickets.iter().map(|t| tons(*t)).collect::<Vec<_>>().join(" + "));
    }
    if let Some(acres) = entry.acres {
        cells.insert("acres", short(acres));
    }
    if let Some(swath) = entry.ground.as_ref().and_then(|ground| ground.swath) {
        cells.insert("swath", format!("{} ft", short(swath)));
    }
    if let Some(rate) = entry.rate {
        cells.insert("rate", format!("{} lb/ac", short(rate)));
    }
    if let Some(grade) = entry.grade {
        cells.insert("grade", grade.to_string());
    }
}

/// Up to four decimals: a pound is 0.0005 tons.
pub(super) fn short(value: f64) -> String {
    let text = format!("{value:.4}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

/// Whoever is sure of an entry is so since a day: today, unless one is given.
pub fn sure_since(today: Date, cells: &mut Cells) {
    if let Some(sure) = cells.get("sure").filter(|sure| sure.parse::<LogSure>().is_err()) {
        let since = format!("{sure}, {today}");
        cells.insert("sure", since);
    }
}

/// The cells of an entry with some of them put right, each a column and its new
/// words; no words empty it.
///
/// # Errors
/// What is wrong with the name of a column.
pub fn corrected(old: &Entry, set: &[(&str, &str)]) -> Result<Cells, String> {
    let mut cells = old.cells.clone();
    cells.remove("id");
    cells.insert("corrects", &old.id);
    let may: Vec<&'static str> =
        COLUMNS.into_iter().filter(|column| !["id", "what", "corrects"].contains(column)).collect();
    let mut touched: Vec<&'static str> = Vec::new();
    for (name, words) in set {
        let name = name.trim().to_lowercase();
        let Some(column) = may.iter().copied().find(|column| *column == name) else {
            let near = or_near(&name, may.iter().copied());
            return Err(format!("`{name}` is no column that can be set{near} (columns: {})", may.join(", ")));
        };
        let words = tidy(words);
        if words.is_empty() {
            cells.remove(column);
        } else {
            cells.insert(column, words);
        }
        touched.push(column);
    }
    // Tons that came from loads or tickets follow them.
    let (by_loads, by_scale) = old.counted();
    let derived = [by_scale, by_loads].contains(&Some(old.amount));
    let weighed = touched.iter().any(|c| ["loads", "load", "tickets"].contains(c));
    // And so do acres that follow from the ground.
    if touched.iter().any(|c| ["ground", "swath"].contains(c)) && !touched.contains(&"acres") {
        cells.remove("acres");
    }
    // Nobody was sure yet of what is new.
    let words = ["sure", "note", "after", "operator", "certificate"];
    if !touched.contains(&"sure") && touched.iter().any(|c| !words.contains(c)) {
        cells.remove("sure");
    }
    if weighed && derived && !touched.contains(&"tons") {
        cells.remove("tons");
    }
    Ok(cells)
}

/// Only litter comes in loads.
pub(super) fn in_loads(old: &Entry) -> Result<(), String> {
    match old.what.moves_litter() {
        true => Ok(()),
        false => Err(format!("`{}` is a `{}`, and only litter comes in loads", old.id, old.what.word())),
    }
}

/// A weight that is none.
pub(super) fn no_tons() -> String {
    "the load weighs no tons above 0, as in 8.1".to_string()
}

/// What a load weighs by its words; a load without words weighs as much as each of the others.
pub(super) fn weight_of(words: Option<&str>, old: &Entry) -> Result<Pounds, String> {
    match words {
        Some(words) => mass(words).filter(|weight| weight.0 > 0).ok_or_else(no_tons),
        None => old.load.ok_or_else(|| "say what it weighed: --tons".to_string()),
    }
}

/// An entry with one more load of its day, on ground that the load does not say: by its
/// scale ticket, by its tons, or one more of the weight that the entry gives for each.
///
/// # Errors
/// Why the load cannot be added.
pub fn with_load(old: &Entry, load: &Cells) -> Result<Cells, String> {
    in_loads(old)?;
    let mut cells = old.cells.clone();
    cells.insert("corrects", &old.id);
    cells.remove("id");
    cells.remove("sure");
    let given = |column: &str| load.get(column);
    if cells.contains_key("ground") && given("acres").is_some() {
        return Err(format!("`{}` says which ground was done: give --ground, that of this load", old.id));
    }
    let by_scale = !old.tickets.is_empty();
    match (given("tickets"), given("tons")) {
        (None, Some(_)) if by_scale => {
            return Err(format!("`{}` is weighed by scale tickets: give --ticket", old.id));
        }
        (Some(ticket), _) if by_scale => {
            cells.insert("tickets", format!("{} + {ticket}", old.word("tickets")));
            cells.remove("tons");
        }
        (Some(weight), _) | (None, Some(weight)) => {
            let weight = weight_of(Some(weight), old)?;
            cells.insert("tons", short((old.amount + weight).tons()));
            if old.load != Some(weight) {
                cells.remove("load");
            }
        }
        (None, None) => {
            let each = old.load.filter(|_| !by_scale);
            let each =
                each.ok_or_else(|| format!("say what it weighed: --{}", if by_scale { "ticket" } else { "tons" }))?;
            cells.insert("tons", short((old.amount + each).tons()));
        }
    }
    if let Some(loads) = old.loads {
        cells.insert("loads", short(loads + 1.0));
    }
    if let Some(number) = given("ticket_number") {
        let before = old.word("ticket_number");
        cells.insert(
            "ticket_number",
            if before.is_empty() { number.to_string() } else { format!("{before}, {number}") },
        );
    }
    // What the whole job has covered by now, and what is to be said of it.
    for column in ["acres", "swath", "weather", "before", "wind", "soil", "sure", "note"] {
        if let Some(words) = given(column) {
            cells.insert(column, words);
        }
    }
    Ok(cells)
}
