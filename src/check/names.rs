//! Ids that name nothing, and ids that name two things.

use crate::farm::Written;
use crate::findings::{At, Finding, Findings};
use std::collections::BTreeMap;

/// Most known ids that a message lists.
const MOST_LISTED: usize = 40;

/// A lot that is named must be there.
pub(super) fn lot_there(lot: &At<String>, written: &Written, findings: &mut Findings) {
    if !written.lot_ids().any(|id| id == lot.value) {
        unknown_id("lot", lot, written.lot_ids(), findings);
    }
}

/// A field that is named must be there.
pub(super) fn field_there(field: &At<String>, written: &Written, findings: &mut Findings) {
    if !written.field_ids().any(|id| id == field.value) {
        unknown_id("field", field, written.field_ids(), findings);
    }
}

/// A house that is named must be there.
pub(super) fn house_there(house: &At<String>, written: &Written, findings: &mut Findings) {
    let known = || written.work.houses.iter().map(|h| h.name.value.as_str());
    if !known().any(|name| name == house.value) {
        unknown_id("house", house, known(), findings);
    }
}

/// Most names that one message shows.
const MOST_NAMES: usize = 5;

/// A few names of many, for a message.
pub(super) fn few(names: &[&str]) -> String {
    let shown = names.iter().take(MOST_NAMES).copied().collect::<Vec<_>>().join(", ");
    match names.len().saturating_sub(MOST_NAMES) {
        0 => shown,
        more => format!("{shown} and {more} more"),
    }
}

/// An id that names nothing.
pub(super) fn unknown_id<'a>(
    what: &str,
    id: &At<String>,
    known: impl Iterator<Item = &'a str>,
    findings: &mut Findings,
) {
    let finding = Finding::error("id-unknown", &id.place, format!("no {what} is called `{}`", id.value));
    if findings.are_many() {
        return findings.push(finding);
    }
    let known: Vec<&str> = known.collect();
    let more = if known.len() > MOST_LISTED { ", ..." } else { "" };
    let listed: Vec<&str> = known.iter().copied().take(MOST_LISTED).collect();
    let finding = finding.accepts(listed.join(", ") + more);
    findings.push(
        finding
            .fix(format!("add the {what} to farm.yaml, or take the name out"))
            .near(&id.value, known.iter().copied()),
    );
}

/// Two entries with one id.
pub(super) fn twice<'a>(what: &str, ids: impl Iterator<Item = &'a At<String>>, findings: &mut Findings) {
    let mut seen: BTreeMap<&str, &At<String>> = BTreeMap::new();
    for id in ids {
        match seen.get(id.value.as_str()) {
            Some(first) => findings.push(
                Finding::error("id-twice", &id.place, format!("two {what} are called `{}`", id.value))
                    .accepts("every id once")
                    .fix("give one of them another id")
                    .also(&first.place, "the first one"),
            ),
            None => drop(seen.insert(&id.value, id)),
        }
    }
}
