//! One more load of a job that is in the log, or one less.

use crate::findings::Finding;
use crate::record::{self, Cells, Entry, What};
use jiff::civil::Date;

/// The entry that a load makes.
#[derive(Debug)]
pub struct LoadEntry {
    /// The command that makes it, behind `sward log`.
    pub command: &'static str,
    /// What kind of entry it is.
    pub what: What,
    /// Its cells.
    pub cells: Cells,
    /// Whether the record must ask for what its job says of another day.
    pub asks: bool,
    /// What must be said of it, a line each.
    pub told: Vec<String>,
    /// What somebody must look at.
    pub doubts: Vec<Finding>,
    /// Tons that the load weighs, where the entry holds only the sum of it and others.
    pub added: Option<f64>,
}

/// Adds a load to a job. One that says its ground, or was driven on another day, is an
/// entry of its own: loads on one spot add up there, and each day is judged by itself.
///
/// # Errors
/// Why the load cannot be added.
pub fn with_load(old: &Entry, load: &Cells, today: Date) -> Result<LoadEntry, String> {
    let another_day = record::is_of_another_day(old, load);
    if load.contains_key("ground") || another_day {
        let cells = record::load_by_itself(old, load)?;
        let whose = if another_day { "another day" } else { "which the ground is known" };
        let told = format!("a load of {whose} is an entry of its own; `{}` stays as it is", old.id);
        return Ok(LoadEntry {
            command: "load",
            what: old.what,
            cells,
            asks: another_day,
            told: vec![told],
            doubts: Vec::new(),
            added: None,
        });
    }
    let mut told = Vec::new();
    if old.ground.is_some() {
        told.push(
            "the ground of this load is not known: its tons count on the ground that the job says so far; \
             `--ground` of a load makes it an entry with its own"
                .to_string(),
        );
    }
    if old.date != today && !load.contains_key("date") {
        told.push(format!(
            "this load counts on {}, the day of its job; for a load of another day give `--date`",
            old.date
        ));
    }
    let cells = record::with_load(old, load)?;
    told.extend(record::same_acres(old, load));
    // A job without scale tickets takes in the weight of a ticket like any other.
    let weight = load.get("tickets").or(load.get("tons"));
    let added = weight.and_then(record::tons).filter(|_| old.tickets.is_empty());
    Ok(LoadEntry {
        command: "load",
        what: old.what,
        cells,
        asks: false,
        told,
        doubts: record::fewer_acres(old, load).into_iter().collect(),
        added,
    })
}

/// Takes a load of a job back.
///
/// # Errors
/// Why it cannot be taken back.
pub fn without_load(old: &Entry, load: &Cells) -> Result<LoadEntry, String> {
    let cells = record::without_load(old, load)?;
    Ok(LoadEntry {
        command: "unload",
        what: old.what,
        cells,
        asks: false,
        told: Vec::new(),
        doubts: Vec::new(),
        added: None,
    })
}
