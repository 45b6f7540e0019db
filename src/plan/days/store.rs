//! What lies where while the calendar runs: piles outside past their days,
//! and storage that fills up.

use crate::check::Ready;
use crate::farm::Stored;
use crate::plan::answer::{ByWhen, MustGo, Plan};
use crate::plan::days::calendar::{DayRow, Flag, FlagKind};
use crate::units::{Pounds, number_text};

/// Lots that still lie outside uncovered when they may no longer.
pub(super) fn piles(ready: &Ready, plan: &Plan, rows: &[DayRow], by_when: &[ByWhen]) -> Vec<Flag> {
    let mut flags = Vec::new();
    for lot in ready.lots.iter().filter(|l| l.stored == Stored::OutsideUncovered) {
        let (Some(aged), Some(tally)) = (&lot.uncovered_until, plan.lots.iter().find(|t| t.id == lot.id)) else {
            continue;
        };
        let own = |row: &&ByWhen| row.why == MustGo::Uncovered && row.about == lot.id;
        let there = by_when.iter().find(own).map_or(Pounds(0), |row| row.must_leave);
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
/// spreading is done as expected, and every one on which it fits only once some is sold.
pub(super) fn full(rows: &[ByWhen]) -> Vec<Flag> {
    let told = |row: &&ByWhen| row.why == MustGo::Room && (row.presses() || row.sold.0 > 0);
    let fix = |row: &ByWhen| match (row.must_leave.0 > 0, row.waits.0 > 0) {
        (true, _) => "sell or haul it off, put the clean-out off, or find more room".to_string(),
        (false, true) => "find dry room for it until it is used, or put the clean-out off".to_string(),
        (false, false) => format!("it fits where the sales are done by {}", row.by),
    };
    let flag = |row: &ByWhen| Flag {
        kind: FlagKind::Storage,
        about: row.about.clone(),
        found: row.sentence(),
        fix: fix(row),
        by: Some(row.by),
    };
    rows.iter().filter(told).map(flag).collect()
}
