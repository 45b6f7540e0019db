//! What is left of a field that was done in part in a window that is still open.
//!
//! The ground left may get what the last entry put on the ground done: limits count the densest
//! ground of a field, so that what holds for the one holds for the other. Where that entry is
//! over a limit, or its lot may not go on any more, no rate is given.

use crate::balance::{Begun, Limit, LimitKind, begun};
use crate::check::Laid;
use crate::plan::answer::{Application, FieldPart, HeldBy, RestOfField};
use crate::plan::sight::Sight;
use crate::record::Entry;
use crate::units::{Pounds, down_to};

/// Slack of a hundredth, as pounds per acre are shown.
const SHOWN: f64 = 0.05;

impl Sight<'_> {
    /// Acres with fertilizer and fed hay of the growing years, where they are a part of the
    /// field.
    pub(super) fn besides_on(&self) -> Option<f64> {
        let laid = Laid::besides_litter(self.ready, self.field(), self.book?, self.weighed.acres);
        let parts = self.weighed.needs.iter().filter_map(|year| laid.within(year.days).part());
        parts.min_by(f64::total_cmp)
    }

    /// The part that is done; none where no window was begun.
    pub(super) fn part(&self) -> Option<FieldPart> {
        let (weighed, windows) = (self.weighed, &self.weighed.windows);
        let begun = begun(self.ready, self.field(), self.book?, (weighed.acres, windows))?;
        let hundredths = |acres: f64| (acres * 100.0).round() / 100.0;
        let done = hundredths(begun.done);
        let pieces = || begun.windows.iter().filter_map(|at| windows.get(*at));
        let days = || begun.entries.iter().map(|entry| entry.date);
        let last = begun.entries.iter().max_by_key(|entry| entry.date)?;
        let left = hundredths(weighed.acres - done);
        Some(FieldPart {
            done,
            left,
            first: days().min()?,
            last: last.date,
            season: pieces().next()?.season.clone(),
            until: pieces().map(|window| window.last).max()?,
            entries: begun.entries.iter().map(|entry| entry.id.clone()).collect(),
            rest: self.rest(&begun, last, left),
        })
    }

    /// What holds the field: where no trip is left to one without litter, the part that is done.
    pub(super) fn held_in(&self, part: Option<&FieldPart>, applications: &[Application]) -> HeldBy {
        let held = self.held();
        let begun = part.is_some() && applications.is_empty() && held.by == LimitKind::Applications;
        if begun { HeldBy { by: LimitKind::Begun, ..held } } else { held }
    }

    fn rest(&self, begun: &Begun<'_>, last: &Entry, left: f64) -> Option<RestOfField> {
        let (weighed, ready) = (self.weighed, self.ready);
        let lot = ready.lot(last.lot_id())?;
        let rate = down_to(begun.laid.rate(last), 0.01);
        let kept = |row: &Limit| row.done.is_none_or(|on| self.value(on) <= self.value(row.allowed) + SHOWN);
        let mut at_once = weighed.lot(&lot.id)?.limits.iter().filter(|limit| limit.days.is_none());
        let as_then = lot.other_analysis_on(last.date).is_none();
        let may_go = lot.barred.is_none() && lot.good_until.as_ref().is_none_or(|good| ready.as_of <= good.last);
        let same = weighed.bars.is_empty() && as_then && may_go && weighed.limits.iter().all(kept);
        (same && rate > 0.0 && at_once.all(|limit| rate <= limit.rate + SHOWN)).then(|| RestOfField {
            lot: lot.id.clone(),
            rate,
            pounds: Pounds::from_tons_down(rate * left),
        })
    }
}
