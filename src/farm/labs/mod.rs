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
mod rows;

pub use block::LabFile;
pub(super) use cells::Takes;

use crate::farm::written::{Analysis, SoilTest, Written, WrittenField, WrittenLot};
use crate::farm::{fields, litter};
use crate::findings::{At, Finding, Findings, Place, nearest};
use crate::text::{self, Node, Walker};
use block::{Files, Form, LITTER, SOIL};
use choice::settled;
use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet};

/// The files that farm.yaml names.
#[derive(Clone, Debug, Default)]
pub struct Labs {
    soil: Files,
    litter: Files,
}

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

/// One laboratory report, of either kind.
trait Report: Sized {
    fn read(node: &Node, findings: &mut Findings) -> Option<Self>;
    fn sampled(&self) -> &At<Date>;
    /// Every value as text, to tell two reports apart.
    fn says(&self) -> Vec<(&'static str, String)>;
}

/// What a report belongs to: a field or a lot.
trait Holder {
    type Of: Report;
    fn id(&self) -> &At<String>;
    fn report(&mut self) -> &mut Option<Self::Of>;
}

impl Holder for WrittenField {
    type Of = SoilTest;
    fn id(&self) -> &At<String> {
        &self.id
    }
    fn report(&mut self) -> &mut Option<SoilTest> {
        &mut self.soil_test
    }
}

impl Holder for WrittenLot {
    type Of = Analysis;
    fn id(&self) -> &At<String> {
        &self.id
    }
    fn report(&mut self) -> &mut Option<Analysis> {
        &mut self.analysis
    }
}

impl Report for SoilTest {
    fn read(node: &Node, findings: &mut Findings) -> Option<SoilTest> {
        fields::soil_test(node, findings)
    }

    fn sampled(&self) -> &At<Date> {
        &self.sampled
    }

    fn says(&self) -> Vec<(&'static str, String)> {
        let values = [
            ("p", Some(&self.p)),
            ("k", Some(&self.k)),
            ("mg", self.mg.as_ref()),
            ("zinc", self.zinc.as_ref()),
            ("copper", self.copper.as_ref()),
        ];
        let bare =
            [("ph", self.ph.as_ref()), ("buffer_ph", self.buffer_ph.as_ref()), ("acidity", self.acidity.as_ref())];
        let values = values.into_iter().filter_map(|(key, v)| {
            let (number, unit) = v?.value.shown();
            Some((key, format!("{number} {unit}")))
        });
        let bare = bare.into_iter().filter_map(|(key, v)| Some((key, v?.value.to_string())));
        std::iter::once(("extractant", self.extractant.value.clone())).chain(values).chain(bare).collect()
    }
}

impl Report for Analysis {
    fn read(node: &Node, findings: &mut Findings) -> Option<Analysis> {
        litter::analysis(node, findings)
    }

    fn sampled(&self) -> &At<Date> {
        &self.sampled
    }

    fn says(&self) -> Vec<(&'static str, String)> {
        let mut all = vec![
            ("basis", self.basis.value.word().to_string()),
            ("moisture", self.moisture.value.to_string()),
            ("total_n", self.total_n.value.to_string()),
            (if self.p.oxide { "p2o5" } else { "p" }, self.p.value.value.to_string()),
            (if self.k.oxide { "k2o" } else { "k" }, self.k.value.value.to_string()),
        ];
        for (key, content) in [("ammonium_n", &self.ammonium_n), ("nitrate_n", &self.nitrate_n)] {
            all.extend(content.as_ref().map(|c| (key, c.value.to_string())));
        }
        for (key, trace) in [("zinc", &self.zinc), ("copper", &self.copper)] {
            all.extend(trace.as_ref().map(|t| (key, t.value.to_string())));
        }
        all
    }
}

/// The blocks `soil_tests:` and `analyses:`.
pub(super) fn blocks(top: &Walker<'_>, findings: &mut Findings) -> Labs {
    Labs { soil: block::files(top, &SOIL, findings), litter: block::files(top, &LITTER, findings) }
}

/// Reads the files and gives every field and lot the report that holds.
pub(super) fn read(written: &mut Written, fetch: Fetch<'_>, findings: &mut Findings) {
    let Labs { soil, litter } = std::mem::take(&mut written.labs);
    let unread = &mut written.unread;
    all(&SOIL, &soil, &mut written.fields, unread, fetch, findings);
    all(&LITTER, &litter, &mut written.lots, unread, fetch, findings);
    written.labs = Labs { soil, litter };
}

fn all<H: Holder>(
    form: &Form,
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
        let own = holder.report().take();
        *holder.report() = settled(form, &id, own, reports.remove(&id).unwrap_or_default(), findings);
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
fn ids_known(form: &Form, file: &LabFile, ids: &[String], findings: &mut Findings) {
    for (id, _) in file.samples.iter().filter(|(id, _)| !ids.contains(&id.value)) {
        findings.push(stranger(form, &id.place, format!("no {} is called `{}`", form.id, id.value), &id.value, ids));
    }
}

/// An id that the farm does not have.
fn stranger(form: &Form, place: &Place, found: String, id: &str, ids: &[String]) -> Finding {
    let finding = Finding::error("id-unknown", place, found).accepts(ids.join(", "));
    match nearest(id, ids.iter().map(String::as_str)) {
        Some(near) => finding.fix(format!("did you mean `{near}`?")),
        None => finding.fix(format!("write the id of a {} in farm.yaml", form.id)),
    }
}
