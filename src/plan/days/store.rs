//! What lies where while the calendar runs: piles outside past their days,
//! and storage that fills up.

use crate::check::{House, Ready, Storage};
use crate::farm::Stored;
use crate::plan::answer::Plan;
use crate::plan::days::calendar::{DayRow, Flag, FlagKind};
use crate::units::{Pounds, number_text};
use jiff::civil::Date;

/// Pounds of some lots that the calendar has spread by the end of a day.
fn spread_by(rows: &[DayRow], lots: &[String], day: Date) -> Pounds {
    let of = rows.iter().filter(|r| lots.contains(&r.lot)).flat_map(|r| &r.by_day);
    of.filter(|piece| piece.date <= day).map(|piece| piece.pounds).sum()
}

/// Lots that still lie outside uncovered when they may no longer.
pub(super) fn piles(ready: &Ready, plan: &Plan, rows: &[DayRow]) -> Vec<Flag> {
    let mut flags = Vec::new();
    for lot in ready.lots.iter().filter(|l| l.stored == Stored::OutsideUncovered) {
        let (Some(aged), Some(tally)) = (&lot.uncovered_until, plan.lots.iter().find(|t| t.id == lot.id)) else {
            continue;
        };
        let there = tally.on_hand - spread_by(rows, std::slice::from_ref(&lot.id), aged.last);
        if there.0 <= 0 {
            continue;
        }
        let ends = rows.iter().filter(|r| r.lot == lot.id).filter_map(|r| r.ends).max();
        let moved = match ends {
            Some(ends) if tally.left.0 <= 0 => format!("the calendar moves the last of it on {ends}"),
            Some(ends) => {
                format!("the calendar spreads from it to {ends} and leaves {} tons", number_text(tally.left.tons(), 1))
            }
            None => "the plan spreads none of it".to_string(),
        };
        flags.push(Flag {
            kind: FlagKind::Pile,
            about: lot.id.clone(),
            found: format!(
                "lot {} lies outside uncovered since {} and may to {} ({} days: {}); {} tons are still there then: {moved}",
                lot.id,
                aged.since,
                aged.last,
                number_text(aged.days, 0),
                aged.cite,
                number_text(there.tons(), 1)
            ),
            fix: format!("cover it or move it by {}", aged.last),
            by: Some(aged.last),
        });
    }
    flags
}

/// The first day on which more lies in a storage than goes in.
pub(super) fn full(ready: &Ready, plan: &Plan, rows: &[DayRow], dates: &[Date]) -> Vec<Flag> {
    ready.work.storage.iter().filter_map(|storage| one(storage, ready, plan, rows, dates)).collect()
}

fn one(storage: &Storage, ready: &Ready, plan: &Plan, rows: &[DayRow], dates: &[Date]) -> Option<Flag> {
    let held: Pounds = plan.lots.iter().filter(|t| storage.lots.contains(&t.id)).map(|t| t.on_hand).sum();
    let first = *dates.first()?;
    // Litter comes in before any goes out on the same day.
    let lying = |day: Date| {
        let out = day.yesterday().map_or(Pounds(0), |before| spread_by(rows, &storage.lots, before));
        held + brought(ready, storage, first, day) - out
    };
    let day = dates.iter().copied().find(|day| lying(*day) > storage.room)?;
    let room = number_text(storage.room.tons(), 0);
    let tons = number_text(lying(day).tons(), 1);
    let mut found = if held > storage.room {
        format!("{}: {tons} tons lie where {room} tons go in, from the first day on", storage.name)
    } else {
        format!("{}: full on {day}: {tons} tons, and {room} tons go in", storage.name)
    };
    // What is being spread, or the next window that opens.
    let from_it = || rows.iter().filter(|r| storage.lots.contains(&r.lot));
    let next = from_it().filter(|r| r.first > day).min_by_key(|r| (r.first, r.last, &r.field));
    let under_way: Vec<&str> = from_it()
        .filter(|r| r.first <= day && r.ends.is_some_and(|ends| ends >= day))
        .map(|r| r.field.as_str())
        .collect();
    match next {
        _ if !under_way.is_empty() => {
            found.push_str(&format!("; spreading from it is under way ({})", under_way.join(", ")))
        }
        Some(next) => {
            found.push_str(&format!("; the next window for it opens {} ({}, {})", next.first, next.field, next.season))
        }
        None => found.push_str("; no later window in the plan takes any of it"),
    }
    Some(Flag {
        kind: FlagKind::Storage,
        about: storage.name.clone(),
        found,
        fix: "haul off or sell what is too much, put the clean-out off, or find more room".to_string(),
        by: Some(day),
    })
}

/// Pounds carried into a storage from the first day to the end of another.
fn brought(ready: &Ready, storage: &Storage, first: Date, day: Date) -> Pounds {
    ready.work.houses.iter().map(|house| from_house(house, storage, first, day)).sum()
}

fn from_house(house: &House, storage: &Storage, first: Date, day: Date) -> Pounds {
    let on_days: Pounds = house
        .clean_outs
        .iter()
        .filter(|c| storage.lots.contains(&c.lot) && c.date >= first && c.date <= day)
        .map(|c| c.pounds)
        .sum();
    let steadily = match (&house.a_year, &house.lot) {
        (Some(made), Some(lot)) if storage.lots.contains(lot) => {
            let days = f64::from((day - first).get_days());
            // A year's litter, spread evenly over its days.
            Pounds::from_tons_down(made.tons * days / 365.0)
        }
        _ => Pounds(0),
    };
    on_days + steadily
}
