//! Where a truck or spreader was, by the entries that name it or who drove it.
//!
//! Lives here: what the log of one farm shows of it. What it did between those
//! entries is not in this log, and entries that do not name their truck may be its.

use crate::plan::answer::SCHEMA;
use crate::record::{Entry, Happened, What};
use jiff::civil::Date;
use serde::Serialize;
use std::collections::BTreeMap;

/// Where a truck was in some days.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Trail {
    /// Version of this form.
    pub schema: u32,
    /// Name of the farm whose log this is.
    pub farm: String,
    /// The truck or driver that was asked for.
    pub of: String,
    /// First day that was looked at; none where all were.
    pub from: Option<Date>,
    /// Last day that was looked at.
    pub to: Date,
    /// Every farm that it was on, the last one first.
    pub farms: Vec<TouchedFarm>,
    /// What was logged of it, by day.
    pub stops: Vec<TruckStop>,
    /// Ids of the entries of these days that need a truck and do not name one.
    pub unnamed: Vec<String>,
}

/// A farm that a truck was on.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TouchedFarm {
    /// Its name, as written first.
    pub farm: String,
    /// Whether it is the farm whose log this is.
    pub own: bool,
    /// The first day of these on which it was there.
    pub first: Date,
    /// The last one.
    pub last: Date,
    /// The day on which it was cleaned next, as far as the log shows.
    pub cleaned: Option<Date>,
}

/// One entry that names a truck.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TruckStop {
    /// Id of the entry.
    pub id: String,
    /// The day.
    pub date: Date,
    /// spread, haul ...
    pub what: What,
    /// Its field, lot, house or truck.
    pub about: String,
    /// The other farms that it names.
    pub others: Vec<String>,
    /// Which truck, as written.
    pub truck: String,
    /// Who drove.
    pub operator: String,
}

/// A day on a farm, and whether the truck was clean when it came.
struct Visit<'a> {
    farm: &'a str,
    day: Date,
    /// It was cleaned on the way to the farm that day, so not after it.
    cleaned_before: bool,
}

/// Names are the same however they are cased or spaced.
fn folded(name: &str) -> String {
    name.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase()
}

/// Every truck and everybody that an entry names, each once.
#[must_use]
pub fn trucks_and_drivers(happened: &Happened) -> Vec<&str> {
    let words = happened.iter().flat_map(|entry| ["truck", "operator"].map(|column| entry.word(column)));
    let by_name: BTreeMap<String, &str> =
        words.filter(|word| !word.is_empty()).map(|word| (folded(word), word)).collect();
    by_name.into_values().collect()
}

/// Whether an entry names this truck or driver.
#[must_use]
pub fn names_truck(happened: &Happened, of: &str) -> bool {
    let of = folded(of);
    trucks_and_drivers(happened).iter().any(|known| folded(known) == of)
}

/// Where a truck, or whoever drove, was in some days up to the last one, by the log of
/// a farm.
#[must_use]
pub fn trail(happened: &Happened, farm: &str, of: &str, (from, to): (Option<Date>, Date)) -> Trail {
    let name = folded(of);
    let within = |entry: &&Entry| entry.date <= to && from.is_none_or(|from| from <= entry.date);
    let is_it = |entry: &&Entry| ["truck", "operator"].iter().any(|column| folded(entry.word(column)) == name);
    let mut mine: Vec<&Entry> = happened.iter().filter(within).filter(is_it).collect();
    mine.sort_by_key(|entry| entry.date);
    let others = happened.iter().filter(within).filter(|entry| drives(entry.what) && !is_it(entry));
    Trail {
        schema: SCHEMA,
        farm: farm.to_string(),
        of: of.to_string(),
        from,
        to,
        farms: farms(farm, &mine),
        stops: mine.iter().map(|entry| stop(entry)).collect(),
        unnamed: others.filter(|entry| entry.word("truck").is_empty()).map(|entry| entry.id.clone()).collect(),
    }
}

/// Whether a truck or spreader is on the farm for it.
fn drives(what: What) -> bool {
    what.moves_litter() || what.is_put_on()
}

fn stop(entry: &Entry) -> TruckStop {
    TruckStop {
        id: entry.id.clone(),
        date: entry.date,
        what: entry.what,
        about: entry.about().to_string(),
        others: others(entry).map(|(name, _)| name.to_string()).collect(),
        truck: entry.word("truck").to_string(),
        operator: entry.word("operator").to_string(),
    }
}

/// The other farms that an entry names, and whether the truck went there after it.
fn others(entry: &Entry) -> impl Iterator<Item = (&str, bool)> {
    [("from", false), ("to", true)]
        .into_iter()
        .map(|(column, after)| (entry.word(column), after))
        .filter(|(name, _)| !name.is_empty())
}

/// The farms that these entries put the truck on, the last one first.
fn farms(own: &str, entries: &[&Entry]) -> Vec<TouchedFarm> {
    let mut visits: Vec<Visit<'_>> = Vec::new();
    for entry in entries {
        let cleaning = entry.what == What::Clean;
        if drives(entry.what) {
            visits.push(Visit { farm: own, day: entry.date, cleaned_before: false });
        }
        let others = others(entry);
        visits.extend(others.map(|(farm, after)| Visit { farm, day: entry.date, cleaned_before: cleaning && after }));
    }
    let cleanings: Vec<Date> = entries.iter().filter(|e| e.what == What::Clean).map(|e| e.date).collect();
    let next = |visit: &Visit<'_>| {
        let after = |day: &&Date| if visit.cleaned_before { **day > visit.day } else { **day >= visit.day };
        cleanings.iter().filter(after).min().copied()
    };
    let mut list: Vec<(String, TouchedFarm)> = Vec::new();
    for visit in &visits {
        let name = folded(visit.farm);
        let (day, cleaned) = (visit.day, next(visit));
        match list.iter_mut().find(|(own, _)| *own == name) {
            Some((_, farm)) => {
                // Of several visits on the last day, one after which nobody cleaned counts.
                farm.cleaned =
                    if farm.last == day { farm.cleaned.zip(cleaned).map(|(a, b)| a.max(b)) } else { cleaned };
                farm.last = day;
            }
            None => {
                let own = name == folded(own);
                let farm = TouchedFarm { farm: visit.farm.to_string(), own, first: day, last: day, cleaned };
                list.push((name, farm));
            }
        }
    }
    let mut farms: Vec<TouchedFarm> = list.into_iter().map(|(_, farm)| farm).rev().collect();
    farms.sort_by_key(|farm| (std::cmp::Reverse(farm.last), !farm.own));
    farms
}
