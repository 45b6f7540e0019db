//! The two grounds of a field that is done in part, each with its own log and plan: the part that
//! is done never gets the job on the rest, and the rest never got the spreadings of that window.

use crate::audit::log;
use crate::check::{Field, Ready};
use crate::plan::answer::FieldPlan;
use crate::record::KeptEntry;
use crate::tables::Book;
use jiff::civil::Date;
use std::borrow::Cow;

/// What lies on a ground of a field, or on all of it, and what the plan puts there.
pub(super) struct OnGround<'a> {
    pub(super) plan: Cow<'a, FieldPlan>,
    pub(super) ready: Cow<'a, Ready>,
}

/// The grounds of a field: the part that is done and the rest, or all of it.
pub(super) fn grounds<'a>(plan: &'a FieldPlan, field: &Field, ready: &'a Ready) -> Vec<OnGround<'a>> {
    let all = OnGround { plan: Cow::Borrowed(plan), ready: Cow::Borrowed(ready) };
    let Some(part) = &plan.part else { return vec![all] };
    let mut done = plan.clone();
    done.applications.retain(|a| a.rest_acres.is_none());
    let beside = |entry: &&KeptEntry| !(entry.field_id() == field.id() && part.entries.contains(&entry.id));
    let entries: Vec<KeptEntry> = ready.happened.entries.iter().filter(beside).cloned().collect();
    let rest = Ready { happened: ready.happened.of_entries(entries), ..ready.clone() };
    vec![
        OnGround { plan: Cow::Owned(done), ready: Cow::Borrowed(ready) },
        OnGround { plan: Cow::Borrowed(plan), ready: Cow::Owned(rest) },
    ]
}

/// The spreadings of the window that a day lies in, with whether each says its ground.
pub(super) fn in_window_of(
    day: Date,
    plan: &FieldPlan,
    field: &Field,
    ready: &Ready,
    book: &Book<'_>,
) -> Vec<(String, bool)> {
    let own = log::window_on(field, day, ready, book);
    let all = log::spread(field, plan.acres, (Date::MIN, Date::MAX), ready, book);
    all.into_iter().filter(|s| *s.window() == own).map(|s| (s.id.clone(), s.says_ground())).collect()
}
