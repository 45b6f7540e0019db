//! Nitrogen that the log shows on a stand of toxic fescue, or of one that nobody tested: more
//! than such a stand should get in a year, and any on the days on which it does most harm.
//!
//! No limit of the plan: what is planned has its caution. What was done is told as soon as it
//! is logged.

use crate::balance::Counts;
use crate::balance::desk::Desk;
use crate::balance::logged::Logged;
use crate::balance::periods::{Span, days_in_words};
use crate::balance::supply::Supplied;
use crate::farm::Endophyte;
use crate::findings::Finding;
use crate::record::{Entry, What};
use crate::tables::topic;
use crate::units::{Quantity, at_most, number_text};

/// Slack of a tenth, as pounds per acre are shown.
const SHOWN: f64 = 0.05;
/// What to do about it.
const FIX: &str = "cut or graze it before seed heads and keep pregnant mares off; a slip of the pen is corrected with \
                   `sward log correct`";

/// `years`: the growing years that the plan touches.
pub(super) fn check(desk: &mut Desk<'_>, logged: &mut Logged<'_>, supplied: &[Supplied<'_>], years: &[Span]) {
    let stand = match desk.field.written.endophyte.as_ref().map(|stand| stand.value) {
        Some(Endophyte::Toxic) => "toxic fescue",
        Some(Endophyte::Unknown) => "fescue that nobody tested for its fungus",
        Some(Endophyte::Novel | Endophyte::Free) | None => return,
    };
    let since = desk.field.in_force_since;
    for days in years {
        let within = |entry: &&Entry| days.0 <= entry.date && entry.date <= days.1;
        let entries = entries(logged);
        let last = entries.iter().copied().filter(within).max_by_key(|entry| entry.date);
        let Some(last) = last.filter(|entry| entry.date >= since) else { continue };
        too_much(desk, (logged, supplied), (stand, *days), last);
    }
    let Some(harm) = desk.get(topic::TOXIC_DAYS) else { return };
    let begins = years.iter().map(|days| days.0).min().unwrap_or(desk.ready.from).max(since);
    for entry in entries(logged).into_iter().filter(|entry| entry.date >= begins && entry.what != What::FeedHay) {
        let Some((opens, closes)) = harm.value.days_in(entry.date.year()) else { continue };
        if (opens..=closes).contains(&entry.date) {
            let found = format!(
                "field {}: the {} of {} put nitrogen on {stand} between {opens} and {closes}",
                desk.field.id(),
                entry.what.word(),
                entry.date
            );
            let finding = Finding::warning("logged-toxic", &entry.place, found).accepts(harm.cite.to_string());
            desk.findings.push(finding.fix(FIX));
        }
    }
}

/// Every entry that put nitrogen on.
fn entries<'a>(logged: &Logged<'a>) -> Vec<&'a Entry> {
    let litter = logged.laid.entries().map(|(_, entry)| entry);
    litter.chain(logged.fertilized(Counts::N)).collect()
}

fn too_much(
    desk: &mut Desk<'_>,
    (logged, supplied): (&mut Logged<'_>, &[Supplied<'_>]),
    (stand, days): (&str, Span),
    last: &Entry,
) {
    let Some(most) = desk.get(topic::N_TOXIC_FESCUE) else { return };
    let on = logged.on(desk, supplied, days, Counts::N).map_or(0.0, |step| desk.notes.value(step));
    if on <= most.value.get() + SHOWN {
        return;
    }
    let found = format!(
        "field {}: the log shows {} lb/ac of available N {} on {stand}, which should get at most {} in a year",
        desk.field.id(),
        number_text(on, 1),
        days_in_words(days),
        at_most(most.value.get(), 0)
    );
    let finding = Finding::warning("logged-toxic", &last.place, found).accepts(most.cite.to_string());
    desk.findings.push(finding.fix(FIX));
}
