//! How the columns of a foreign table are called, and the unit of each: a map
//! that stands in farm.yaml, so that nothing about the table is guessed.

use crate::findings::{Finding, Findings, Place};
use crate::text::{Kind, Node, Sheet, Walker, same_name};

/// A column of a foreign table: what it is to us, and what the table calls it.
#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    /// What it is to us.
    pub key: &'static str,
    /// Its name in the table.
    pub name: String,
    /// The unit of its numbers; empty where none is stated.
    pub unit: String,
    /// The whole of what is written, should the table's own name hold ` in `.
    whole: String,
    /// Where that is written.
    pub place: Place,
}

/// `P-I in index`: a name, and a unit; the unit is empty when none is stated.
#[must_use]
pub fn name_in_unit(text: &str) -> (&str, &str) {
    text.rsplit_once(" in ").map_or((text.trim(), ""), |(name, unit)| (name.trim(), unit.trim()))
}

/// Reads the block `columns:`; any key that is not `known` is an error.
pub fn columns(node: &Node, known: &[&'static str], findings: &mut Findings) -> Option<Vec<Column>> {
    let walk = Walker::new("the columns", node, findings)?;
    let mut columns: Vec<Column> = Vec::new();
    for key in known {
        let Some(text) = walk.text(key, findings) else { continue };
        let (name, unit) = name_in_unit(&text.value);
        columns.push(Column {
            key,
            name: name.to_string(),
            unit: unit.to_string(),
            whole: text.value.clone(),
            place: text.place,
        });
    }
    let sound =
        matches!(&node.kind, Kind::Map(entries) if entries.iter().all(|(key, _, _)| known.contains(&key.as_str())));
    walk.finish(findings);
    sound.then_some(columns)
}

impl Column {
    /// Where the column stands in a table, counted from 0, and the unit of its
    /// numbers.
    pub fn find(&self, sheet: &Sheet, findings: &mut Findings) -> Option<(usize, &str)> {
        for (wanted, unit) in [(&self.whole, ""), (&self.name, self.unit.as_str())] {
            let mut hits = sheet.names.iter().enumerate().filter(|(_, n)| same_name(&n.value, wanted));
            let Some((at, first)) = hits.next() else { continue };
            if let Some((_, second)) = hits.next() {
                let found = format!("two columns of {} are called `{wanted}`", sheet.file);
                findings.push(
                    Finding::error("column-twice", &second.place, found)
                        .accepts("one column of a name that farm.yaml uses")
                        .fix("give one of them another name")
                        .also(&first.place, "the first of them"),
                );
                return None;
            }
            return Some((at, unit));
        }
        let names = || sheet.names.iter().map(|n| n.value.as_str()).filter(|n| !n.is_empty());
        let found = format!("`{}`: {} has no column `{}`", self.key, sheet.file, self.name);
        findings.push(
            Finding::error("column-missing", &self.place, found)
                .accepts(format!("a name of its first line: {}", names().collect::<Vec<_>>().join(", ")))
                .fix(format!("write the column's name as it is in the first line of {}", sheet.file))
                .near(&self.name, names()),
        );
        None
    }
}
