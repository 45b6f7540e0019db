//! Files of earlier runs that stay beside those just written, and that would
//! mislead whoever reads both.

use crate::cli::out;
use crate::farm::{CALIBRATION, FIELDS, KEEPOUTS, MAIN, SOILS};
use crate::record::LOG;
use crate::write;
use std::path::Path;

/// What the program writes into a folder, and the command that does.
const DOCUMENTS: [(&str, &str); 4] =
    [("sheets.html", "sheets"), ("sheets.pdf", "sheets --pdf"), ("binder.html", "binder"), ("farm.svg", "map")];
/// Files of other programs beside a shapefile, made from its shapes: indexes of
/// where they lie, statistics, descriptions.
const OF_A_SHAPEFILE: [&str; 12] =
    ["sbn", "sbx", "qix", "fbn", "fbx", "ain", "aih", "atx", "ixs", "mxs", "qpj", "shp.xml"];

/// Reports documents that are older than the farm's files. Those of the same
/// command are reported however young: they were just not renewed.
pub(super) fn documents(folder: &Path, written: &[&str], farm: &Path) {
    let changed = |path: &Path| std::fs::metadata(path).and_then(|of| of.modified()).ok();
    let newest = [MAIN, FIELDS, KEEPOUTS, SOILS, CALIBRATION, LOG].iter().filter_map(|name| changed(&farm.join(name)));
    let newest = newest.max();
    let stem = |name: &str| name.split('.').next().unwrap_or_default().to_string();
    let same = |name: &str| written.iter().any(|own| stem(own) == stem(name));
    for (name, command) in DOCUMENTS.iter().filter(|(name, _)| !written.contains(name)) {
        let Some(day) = changed(&folder.join(name)) else { continue };
        if same(name) || newest.is_some_and(|newest| day < newest) {
            let at = folder.join(name);
            tell(&format!("{} is of an earlier run, and left as found; `sward {command}` renews it", at.display()));
        }
    }
}

/// Reports maps of fields that are no longer there.
pub(super) fn maps(folder: &Path, written: &[&str]) {
    let ours = |name: &str| name.starts_with("field-") && name.ends_with(".svg");
    let old = others(folder, written, &ours);
    if !old.is_empty() {
        tell(&format!("not of this plan, and left as found: {}", old.join(", ")));
    }
}

/// Reports what other programs made from an earlier shapefile of the same name.
pub(super) fn shapefile(folder: &Path, written: &[&str]) {
    let Some(stem) = written.iter().find_map(|name| name.strip_suffix(".shp")) else { return };
    let beside = |name: &str| {
        let ending = name.strip_prefix(stem).and_then(|rest| rest.strip_prefix('.'));
        ending.is_some_and(|ending| OF_A_SHAPEFILE.iter().any(|own| own.eq_ignore_ascii_case(ending)))
    };
    let old = others(folder, written, &beside);
    if !old.is_empty() {
        let (them, were) = if old.len() == 1 { ("it", "was") } else { ("them", "were") };
        let list = old.join(", ");
        tell(&format!("delete {list}: {were} made from an earlier {stem}.shp, and programs would still go by {them}"));
    }
}

/// Files of a folder that were not just written.
fn others(folder: &Path, written: &[&str], wanted: &dyn Fn(&str) -> bool) -> Vec<String> {
    let entries = std::fs::read_dir(folder).into_iter().flatten();
    let names = entries.filter_map(|e| e.ok()?.file_name().into_string().ok());
    let mut names: Vec<String> = names.filter(|n| wanted(n) && !written.contains(&n.as_str())).collect();
    names.sort();
    names
}

fn tell(text: &str) {
    out::say(&write::wrapped(&write::plain(text), "", "  ", out::width()));
}
