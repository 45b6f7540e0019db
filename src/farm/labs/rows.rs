//! From the rows of a laboratory's file to reports: whose sample it is, and
//! the cells as the block that a person would write.

use crate::farm::labs::block::{LabFile, ReportForm};
use crate::farm::labs::cells::{Takes, cell, unit_fits};
use crate::farm::labs::report::{Report, stranger};
use crate::farm::recommended;
use crate::findings::{Finding, Findings, Severity};
use crate::text::{Column, Kind, Node, Row, Sheet, shown};

/// A column that was found in the table.
struct ReportColumn<'a> {
    column: &'a Column,
    takes: Takes,
    at: usize,
    unit: &'a str,
}

/// Reports by id; none for one whose row cannot be read. None when the table
/// lacks a column or a unit. `sound` says whether every line could be read.
pub(super) fn read<R: Report>(
    form: &ReportForm,
    file: &LabFile,
    (sheet, sound): (&Sheet, bool),
    ids: &[String],
    findings: &mut Findings,
) -> Option<Vec<(String, Option<R>)>> {
    let mut mapped = Vec::new();
    for column in &file.columns {
        let takes = form.columns.iter().find(|(key, _)| *key == column.key).map(|(_, takes)| *takes)?;
        let found = column.find(sheet, findings);
        let found = found.filter(|(_, unit)| unit_fits(takes, column, unit, findings));
        mapped.extend(found.map(|(at, unit)| ReportColumn { column, takes, at, unit }));
    }
    if mapped.len() < file.columns.len() {
        return None;
    }
    let whose = mapped.iter().find(|m| m.column.key == form.id)?.at;
    let mut reports = Vec::new();
    for row in &sheet.rows {
        let owners = owners(form, file, row, whose, ids, findings);
        if owners.is_empty() {
            continue;
        }
        let node = block(form, file, sheet, row, &mapped, findings);
        for owner in owners {
            let report = match &node {
                Block::Whole(node) => R::read(node, findings),
                Block::Faulty(node) => {
                    the_rest::<R>(node, findings);
                    None
                }
            };
            reports.push((owner, report));
        }
    }
    // A faulty line may be that of the sample.
    if sound {
        samples_there(file, sheet, whose, findings);
    }
    Some(reports)
}

/// The fields or lots that the sample of a row belongs to.
fn owners(
    form: &ReportForm,
    file: &LabFile,
    row: &Row,
    whose: usize,
    ids: &[String],
    findings: &mut Findings,
) -> Vec<String> {
    let Some(cell) = row.cells.get(whose) else { return Vec::new() };
    let sample = cell.value.as_str();
    let named: Vec<String> =
        file.samples.iter().filter(|(_, name)| name.value == sample).map(|(id, _)| id.value.clone()).collect();
    if !named.is_empty() {
        return named;
    }
    let by_name = |id: &String| file.samples.iter().any(|(mapped, _)| mapped.value == *id);
    if ids.iter().any(|id| id == sample && !by_name(id)) {
        return vec![sample.to_string()];
    }
    // A laboratory's file may hold samples of other ground: told, not refused.
    let found = match sample {
        "" => format!("the line does not say which {} its sample is of, and is not used", form.id),
        _ => format!("the sample `{}` is not a {} of the farm, and is not used", shown(sample), form.id),
    };
    let finding = stranger(form, &cell.place, found, sample, ids);
    let finding = Finding { severity: Severity::Warning, code: "sample-unknown".into(), ..finding };
    let own = ids.first().map_or(form.id, String::as_str);
    let fix = format!("or say whose it is under `samples:`, as in `{{{own}: \"{}\"}}`", shown(sample));
    let fix = finding.fix.as_ref().map_or(fix.clone(), |first| format!("{first} {fix}"));
    findings.push(finding.fix(fix));
    Vec::new()
}

/// A row as a block.
enum Block {
    /// Every cell is sound so far.
    Whole(Node),
    /// Something was told; sound values stand in for it.
    Faulty(Node),
}

fn block(
    form: &ReportForm,
    file: &LabFile,
    sheet: &Sheet,
    row: &Row,
    mapped: &[ReportColumn<'_>],
    findings: &mut Findings,
) -> Block {
    let mut entries = Vec::new();
    let mut sound = true;
    for ReportColumn { column, takes, at, unit } in mapped.iter().filter(|m| m.column.key != form.id) {
        let Some(filled) = row.cells.get(*at) else { continue };
        let needed = form.needs.iter().any(|group| group.contains(&column.key));
        let text = if !filled.value.is_empty() {
            cell(*takes, column, unit, filled, sheet, findings)
        } else if needed {
            let found = format!("`{}` is empty", column.name);
            findings.push(
                Finding::error("cell-empty", &filled.place, found)
                    .accepts(format!("a value: a {} needs its `{}`", form.report, column.key))
                    .fix("fill it in from the report, or take the line out"),
            );
            None
        } else {
            continue;
        };
        sound &= text.is_some();
        let text = text.unwrap_or_else(|| takes.stand_in(unit));
        let node = Node { kind: Kind::Scalar(text), place: filled.place.clone() };
        entries.push((column.key.to_string(), filled.place.clone(), node));
    }
    entries.extend(file.said.iter().cloned());
    let entries = recommended::of_columns(entries);
    let node = Node { kind: Kind::Map(entries), place: row.place.clone() };
    if sound { Block::Whole(node) } else { Block::Faulty(node) }
}

/// What else is wrong in a row of which something was told. Nitrogen and its
/// parts cannot be compared once one of them is a stand-in.
fn the_rest<R: Report>(node: &Node, findings: &mut Findings) {
    let mut more = Findings::new();
    let _ = R::read(node, &mut more);
    for finding in more.sorted().into_iter().filter(|f| f.code != "nitrogen-parts") {
        findings.push(finding.clone());
    }
}

/// Every name under `samples:` is in the file.
fn samples_there(file: &LabFile, sheet: &Sheet, whose: usize, findings: &mut Findings) {
    let there = |name: &str| sheet.rows.iter().any(|row| row.cells.get(whose).is_some_and(|c| c.value == name));
    for (id, name) in file.samples.iter().filter(|(_, name)| !there(&name.value)) {
        let found = format!("{} has no sample `{}` for `{}`", sheet.file, shown(&name.value), id.value);
        let mut names: Vec<&str> =
            sheet.rows.iter().filter_map(|row| row.cells.get(whose)).map(|c| c.value.as_str()).collect();
        names.sort_unstable();
        names.dedup();
        let finding = Finding::error("sample-missing", &name.place, found)
            .accepts(format!("a name of its column: {}", names.join(", ")));
        findings.push(
            finding.fix("correct the name, or take it out until the laboratory's file has it").near(&name.value, names),
        );
    }
}
