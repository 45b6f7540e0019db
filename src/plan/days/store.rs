//! What lies where while the calendar runs: piles outside past their days,
//! and storage that fills up.

use crate::check::Ready;
use crate::farm::Stored;
use crate::plan::answer::{ByWhen, MustGo, Plan};
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

/// Every day on which more would lie in a storage than goes in, although the plan's
/// spreading is done as expected.
pub(super) fn full(rows: &[ByWhen]) -> Vec<Flag> {
    let over = rows.iter().filter(|row| row.why == MustGo::Room && row.must_leave.0 > 0);
    over.map(|row| Flag {
        kind: FlagKind::Storage,
        about: row.about.clone(),
        found: row.sentence(),
        fix: "sell or haul it off, put the clean-out off, or find more room".to_string(),
        by: Some(row.by),
    })
    .collect()
}
