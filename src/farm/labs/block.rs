//! The blocks `soil_tests:` and `analyses:`: which file, what is said of all
//! its rows, and how its columns are called.

use crate::farm::labs::cells::Takes;
use crate::farm::tickets;
use crate::farm::words::Basis;
use crate::findings::{At, Finding, Findings, Place};
use crate::text::{Column, Kind, Node, Walker, columns};

/// One of the two kinds of report, and what its file must give.
pub(super) struct ReportForm {
    /// The key in farm.yaml.
    pub(super) key: &'static str,
    /// What the block is called in messages.
    pub(super) what: &'static str,
    /// What a single report is called in messages.
    pub(super) report: &'static str,
    /// The column that says whose the sample is.
    pub(super) id: &'static str,
    /// What is said of all rows, and what is accepted there.
    said: &'static [(&'static str, &'static str)],
    /// Columns of which one each must be named.
    pub(super) needs: &'static [&'static [&'static str]],
    /// Every column that may be named.
    pub(super) columns: &'static [(&'static str, Takes)],
}

/// Soil tests, by field.
pub(super) const SOIL: ReportForm = ReportForm {
    key: "soil_tests",
    what: "the soil tests",
    report: "soil test",
    id: "field",
    said: &[("lab", "the laboratory's name"), ("extractant", "the extractant on the report, for example mehlich-3")],
    needs: &[&["field"], &["sampled"], &["p"], &["k"]],
    columns: &[
        ("field", Takes::Words),
        ("sampled", Takes::Day),
        ("p", Takes::Soil),
        ("k", Takes::Soil),
        ("mg", Takes::Soil),
        ("ph", Takes::Bare),
        ("buffer_ph", Takes::Bare),
        ("acidity", Takes::Acidity),
        ("zinc", Takes::Soil),
        ("copper", Takes::Soil),
        ("recommended_crop", Takes::Words),
        ("recommended_yield", Takes::Yield),
        ("recommended_n", Takes::Nutrient),
        ("recommended_p2o5", Takes::Nutrient),
        ("recommended_k2o", Takes::Nutrient),
        ("recommended_lime", Takes::Lime),
    ],
};

/// Litter analyses, by lot.
pub(super) const LITTER: ReportForm = ReportForm {
    key: "analyses",
    what: "the analyses",
    report: "litter analysis",
    id: "lot",
    said: &[("lab", "the laboratory's name"), ("basis", "as received or dry")],
    needs: &[&["lot"], &["sampled"], &["moisture"], &["total_n"], &["p2o5", "p"], &["k2o", "k"]],
    columns: &[
        ("lot", Takes::Words),
        ("sampled", Takes::Day),
        ("moisture", Takes::Share),
        ("density", Takes::Density),
        ("total_n", Takes::Content),
        ("ammonium_n", Takes::Content),
        ("nitrate_n", Takes::Content),
        ("p2o5", Takes::Content),
        ("p", Takes::Content),
        ("k2o", Takes::Content),
        ("k", Takes::Content),
        ("zinc", Takes::Trace),
        ("copper", Takes::Trace),
    ],
};

/// The files that farm.yaml names.
#[derive(Clone, Debug, Default)]
pub struct Labs {
    pub(super) soil: Files,
    pub(super) litter: Files,
}

/// The files of one kind.
#[derive(Clone, Debug, Default)]
pub(super) struct Files {
    pub(super) list: Vec<LabFile>,
    /// Whether a block could not be read.
    pub(super) lost: bool,
}

/// One file, as farm.yaml names it.
#[derive(Clone, Debug)]
pub struct LabFile {
    /// Its name in the farm folder.
    pub(super) file: At<String>,
    /// What is said of all its rows, as a report would say it.
    pub(super) said: Vec<(String, Place, Node)>,
    /// Its columns.
    pub(super) columns: Vec<Column>,
    /// The sample's name in the file, where it is not the id itself.
    pub(super) samples: Vec<(At<String>, At<String>)>,
}

/// The block under the key of the form, or a list of such blocks.
pub(super) fn files(top: &Walker<'_>, form: &ReportForm, findings: &mut Findings) -> Files {
    let nodes: &[Node] = match top.ask(form.key) {
        None => return Files::default(),
        Some(node) => match &node.kind {
            Kind::List(items) => items,
            _ => std::slice::from_ref(node),
        },
    };
    let read: Vec<Option<LabFile>> = nodes.iter().map(|node| file(node, form, findings)).collect();
    let lost = read.iter().any(Option::is_none);
    Files { list: read.into_iter().flatten().collect(), lost }
}

fn file(node: &Node, form: &ReportForm, findings: &mut Findings) -> Option<LabFile> {
    let walk = Walker::new(form.what, node, findings)?;
    let file = walk.need_text("file", ACCEPTS, findings).and_then(|file| in_the_folder(file, findings));
    let mut said = Vec::new();
    for (key, accepts) in form.said {
        let Some(text) = walk.need_text(key, accepts, findings) else { continue };
        // Told here, once, and not at every row.
        if *key == "basis" && Basis::read(text.clone(), findings).is_none() {
            continue;
        }
        let node = Node { kind: Kind::Scalar(text.value), place: text.place.clone() };
        said.push(((*key).to_string(), text.place, node));
    }
    let keys: Vec<&'static str> = form.columns.iter().map(|(key, _)| *key).collect();
    let map = format!("a map of columns, as in `columns: {{{}: Sample, sampled: Date, ...}}`", form.id);
    let columns = walk
        .need("columns", &map, findings)
        .and_then(|node| columns(node, &keys, findings).filter(|list| all_needed(node, list, form, findings)));
    let samples = tickets::named(&walk, "samples", SAMPLES, findings);
    walk.finish(findings);
    if said.len() < form.said.len() {
        return None;
    }
    Some(LabFile { file: file?, said, columns: columns?, samples: samples? })
}

const SAMPLES: &str = "ids and the laboratory's names of their samples, as in `{B1: \"CB-1\"}`";
const ACCEPTS: &str = "the name of a .csv file in the farm folder, without a path";

/// The name of a file in the farm folder itself: nothing outside is read.
fn in_the_folder(file: At<String>, findings: &mut Findings) -> Option<At<String>> {
    let name = &file.value;
    let strange = |c: char| matches!(c, '/' | '\\' | ':') || c.is_control();
    let csv = name.len() > 4 && name.to_lowercase().ends_with(".csv");
    if csv && !name.contains(strange) && !name.starts_with('.') && name.len() <= 200 {
        return Some(file);
    }
    let found = format!("`file` is `{}`", crate::text::shown(name));
    findings.push(
        Finding::error("file-name", &file.place, found)
            .accepts(ACCEPTS)
            .fix("put the file into the farm folder and write its name alone, for example `soil-tests.csv`"),
    );
    None
}

/// Whether every needed column is named, and each of them once.
fn all_needed(node: &Node, list: &[Column], form: &ReportForm, findings: &mut Findings) -> bool {
    let mut sound = true;
    for group in form.needs {
        let named: Vec<&Column> = list.iter().filter(|c| group.contains(&c.key)).collect();
        let either = group.iter().map(|key| format!("`{key}`")).collect::<Vec<_>>().join(" or ");
        match named.as_slice() {
            [_] => continue,
            [first, second, ..] => findings.push(
                Finding::error("given-twice", &second.place, format!("{either}: both columns are named"))
                    .accepts("one of the two, as the laboratory reports it")
                    .also(&first.place, "the other"),
            ),
            [] => findings.push(
                Finding::error("key-missing", &node.place, format!("the columns: {either} is missing"))
                    .accepts("the name of that column in the file, and the unit of its numbers")
                    .fix(format!("add `{}: ... in ...` to the columns", group[0])),
            ),
        }
        sound = false;
    }
    sound
}
