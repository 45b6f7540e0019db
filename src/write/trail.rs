//! Where a truck was, on a terminal: farms first, then entry by entry, then what
//! this log cannot know.

use crate::plan::{TouchedFarm, Trail, TruckStop};
use crate::write::page::Page;

/// Ids that are listed; more are counted.
const MOST_IDS: usize = 8;

/// The farms that a truck or driver was on.
#[must_use]
pub fn trail(trail: &Trail, width: usize) -> String {
    let days = match trail.from {
        Some(from) => format!("{from} to {}", trail.to),
        None => format!("all days to {}", trail.to),
    };
    let mut page = Page::titled(format!("{}: where {} was, {days}", trail.farm, trail.of), width);
    page.heading("FARMS, the latest first");
    if trail.farms.is_empty() {
        page.item("no entry of these days names it");
    }
    trail.farms.iter().for_each(|farm| page.item(touched(farm)));
    if !trail.stops.is_empty() {
        page.heading("ENTRIES");
    }
    trail.stops.iter().for_each(|one| page.item(stop(one)));
    page.heading("WHAT THIS LOG CANNOT TELL");
    page.item("This is the log of one farm. Where a truck went between these entries is not in it: ask the driver, and the farms it works for.");
    if !trail.unnamed.is_empty() {
        page.item(unnamed(trail));
    }
    page.done()
}

fn touched(farm: &TouchedFarm) -> String {
    let name = if farm.own { format!("{} (this farm)", farm.farm) } else { farm.farm.clone() };
    let days =
        if farm.first == farm.last { format!("on {}", farm.last) } else { format!("{} to {}", farm.first, farm.last) };
    let cleaned = match farm.cleaned {
        None => "no cleaning logged since".to_string(),
        Some(day) if day == farm.last => "cleaned that last day; the log does not say in which order".to_string(),
        Some(day) => format!("cleaned {day}"),
    };
    format!("{name}: {days}; {cleaned}")
}

fn stop(stop: &TruckStop) -> String {
    let mut line = format!("{} {}: {} {}", stop.date, stop.id, stop.what.word(), stop.about);
    if !stop.others.is_empty() {
        line.push_str(&format!("; names {}", stop.others.join(", ")));
    }
    let who = [("truck ", &stop.truck), ("driver ", &stop.operator)];
    for (word, name) in who.into_iter().filter(|(_, name)| !name.is_empty() && **name != stop.about) {
        line.push_str(&format!("; {word}{name}"));
    }
    line
}

fn unnamed(trail: &Trail) -> String {
    let count = trail.unnamed.len();
    let entries = if count == 1 {
        "1 entry of these days names".to_string()
    } else {
        format!("{count} entries of these days name")
    };
    let ids = trail.unnamed.iter().take(MOST_IDS).cloned().collect::<Vec<_>>().join(", ");
    let more = if count > MOST_IDS { ", ..." } else { "" };
    format!("{entries} no truck: {ids}{more}. `sward log correct ID --set truck=NAME` adds it.")
}
