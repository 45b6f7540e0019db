//! How many published examples hold the program, in all and place by place. The number stands
//! in `tests/published/count.txt`: a change of it is seen.

use crate::{Case, Known, Sheet};
use serde_yaml::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use sward::tables::Tables;

/// Cases and sources of them that count.
#[derive(Default)]
struct Count {
    cases: usize,
    sources: usize,
    inputs: BTreeSet<String>,
}

impl Count {
    /// Of a source: every input that was read and comes out as printed, the rows of one table
    /// once, and none that an earlier source has too.
    fn add(&mut self, sheet: &Sheet) {
        let mut rows = BTreeSet::new();
        let before = self.cases;
        for case in sheet.cases.iter().filter(|case| counts(case)) {
            let new = self.inputs.insert(input(case));
            let row = case.rows_of.as_ref().is_none_or(|table| !rows.contains(table));
            if new && row {
                self.cases += 1;
                rows.extend(case.rows_of.clone());
            }
        }
        self.sources += usize::from(self.cases > before);
    }
}

/// What was seen in its source, and agrees in at least one answer.
fn counts(case: &Case) -> bool {
    case.known == Known::Read && case.expect.values().any(|value| value.get("differs").is_none())
}

/// What a case gives, its anchors taken over.
fn input(case: &Case) -> String {
    let mut given = case.given.clone();
    given.apply_merge().expect("a case that ran can be merged");
    let given = match &given {
        Value::Mapping(map) => map.iter().map(|(key, value)| (text(key), text(value))).collect(),
        other => BTreeMap::from([(String::new(), text(other))]),
    };
    format!("{:?} {given:?}", case.reckon)
}

fn text(value: &Value) -> String {
    serde_yaml::to_string(value).expect("a value that was read can be written")
}

/// Holds the count against `tests/published/count.txt`; `UPDATE_EXPECTED=1` writes it again.
pub(crate) fn held(sheets: &BTreeMap<String, Sheet>, built_in: &Tables) {
    let of = |names: &mut dyn Iterator<Item = &String>| {
        let mut count = Count::default();
        names.filter_map(|name| sheets.get(name)).for_each(|sheet| count.add(sheet));
        count
    };
    let all = of(&mut sheets.keys());
    let mut now = "Published examples that hold the program: read, come out as printed, an input once, the rows of\n\
                   one table once. By place: those of the sources that `checks` in its place.yaml names.\n\n"
        .to_string();
    for place in built_in.places.values().filter(|place| !place.bare) {
        let count = of(&mut place.checks.iter());
        let short = if count.cases < 3 { format!(", {} short of 3", 3 - count.cases) } else { String::new() };
        now += &format!("{:6} {:3} of {} sources{short}\n", place.key, count.cases, count.sources);
    }
    now += &format!("all    {:3} of {} sources\n", all.cases, all.sources);
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/published/count.txt");
    if std::env::var_os("UPDATE_EXPECTED").is_some() {
        std::fs::write(&path, &now).expect("the count can be written");
    }
    let kept = std::fs::read_to_string(&path).unwrap_or_default().replace("\r\n", "\n");
    assert!(kept == now, "tests/published/count.txt, kept:\n{kept}\nnow:\n{now}");
}
