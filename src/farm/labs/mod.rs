//! Laboratory results out of CSV files in the farm folder: soil tests by field
//! and litter analyses by lot, through the map of columns in `farm.yaml`.
//!
//! A row is turned into the same block that a person would write under
//! `soil_test:` or `analysis:` and is read by the same reader, so that both
//! are held to the same words, units and bounds. Every value keeps the line of
//! the file it stands in.

mod block;
mod cells;
mod choice;
mod report;
mod rows;

pub use block::{LabFile, Labs};
pub(super) use cells::Takes;

use crate::farm::written::Written;
use crate::findings::{At, Finding, Findings};
use crate::text::{self, Walker};
use block::{Files, LITTER, ReportForm, SOIL};
use choice::settled;
use report::{Holder, stranger};
use std::collections::{BTreeMap, BTreeSet};

/// Every column that `columns:` may name, and what it holds.
pub(super) fn column_keys(soil: bool) -> &'static [(&'static str, Takes)] {
    if soil { SOIL.columns } else { LITTER.columns }
}

/// Columns of which one each must be named.
pub(super) fn needed_columns(soil: bool) -> &'static [&'static [&'static str]] {
    if soil { SOIL.needs } else { LITTER.needs }
}

/// Gets the text of a file of the farm folder.
pub(super) type Fetch<'a> = &'a dyn Fn(&At<String>) -> Result<String, Box<Finding>>;

/// The blocks `soil_tests:` and `analyses:`.
pub(super) fn blocks(top: &Walker<'_>, findings: &mut Findings) -> Labs {
    Labs { soil: block::files(top, &SOIL, findings), litter: block::files(top, &LITTER, findings) }
}

/// Reads the files and gives every field and lot its reports.
pub(super) fn read(written: &mut Written, fetch: Fetch<'_>, findings: &mut Findings) {
    let Labs { soil, litter } = std::mem::take(&mut written.labs);
    let unread = &mut written.unread;
    all(&SOIL, &soil, &mut written.fields, unread, fetch, findings);
    all(&LITTER, &litter, &mut written.lots, unread, fetch, findings);
    written.labs = Labs { soil, litter };
}

fn all<H: Holder>(
    form: &ReportForm,
    files: &Files,
    holders: &mut Vec<H>,
    unread: &mut Vec<String>,
    fetch: Fetch<'_>,
    findings: &mut Findings,
) {
    if files.list.is_empty() && !files.lost {
        return;
    }
    let mut lost = files.lost;
    let ids: Vec<String> = holders.iter().map(|h| h.id().value.clone()).chain(unread.iter().cloned()).collect();
    let mut reports: BTreeMap<String, Vec<H::Of>> = BTreeMap::new();
    let mut broken = BTreeSet::new();
    for file in &files.list {
        ids_known(form, file, &ids, findings);
        let text = fetch(&file.file).map_err(|finding| findings.push(*finding)).ok();
        let sheet = text.and_then(|text| text::sheet(&file.file.value, &text, findings));
        let Some((sheet, sound)) = sheet else {
            lost = true;
            continue;
        };
        let Some(rows) = rows::read::<H::Of>(form, file, (&sheet, sound), &ids, findings) else {
            lost = true;
            continue;
        };
        lost |= !sound;
        for (id, report) in rows {
            match report {
                Some(report) => reports.entry(id).or_default().push(report),
                None => drop(broken.insert(id)),
            }
        }
    }
    for holder in holders.iter_mut() {
        let id = holder.id().value.clone();
        let own = std::mem::take(holder.reports());
        let all = settled(form, &id, own, reports.remove(&id).unwrap_or_default(), findings);
        *holder.report() = all.newest().cloned();
        *holder.reports() = all;
    }
    // Whose report could not be read is not blamed for having none.
    holders.retain_mut(|holder| {
        let id = holder.id().value.clone();
        let drop = broken.contains(&id) || lost && holder.report().is_none();
        if drop {
            unread.push(id);
        }
        !drop
    });
}

/// `samples:` names fields or lots of the farm.
fn ids_known(form: &ReportForm, file: &LabFile, ids: &[String], findings: &mut Findings) {
    for (id, _) in file.samples.iter().filter(|(id, _)| !ids.contains(&id.value)) {
        findings.push(stranger(form, &id.place, format!("no {} is called `{}`", form.id, id.value), &id.value, ids));
    }
}
