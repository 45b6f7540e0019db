//! The template of a place: every kind of figure, in a form that loads.

use crate::made::file;
use crate::root;
use std::collections::BTreeMap;
use sward::tables::{self, ReferenceFile, TOPICS, Topic, ValueForm, topic};

/// The files of the template and their texts.
pub(crate) fn files() -> Vec<ReferenceFile> {
    let mut files: Vec<ReferenceFile> = std::fs::read_dir(root().join("reference/_template"))
        .unwrap()
        .map(|entry| entry.unwrap())
        .map(|entry| (entry.file_name().into_string().unwrap(), std::fs::read_to_string(entry.path()).unwrap()))
        .collect();
    files.sort();
    files
}

/// The built-in files, and the template copied as a place.
fn copied(change: impl Fn(&str) -> String) -> Vec<ReferenceFile> {
    let place = files().into_iter().map(|(name, text)| file(&format!("us-xx/{name}"), &change(&text)));
    tables::built_in().into_iter().chain(place).collect()
}

#[test]
fn every_kind_of_figure_is_shown_and_loads_once_its_source_is_named() {
    let (tables, findings) =
        tables::load(&copied(|text| text.replace("source: example\n", "source: xx_bulletin_12\n")));
    let said: Vec<String> = findings.sorted().iter().map(|f| format!("{}: {}", f.place, f.found)).collect();
    assert!(findings.is_empty(), "{}", said.join("\n"));
    let mut shown: BTreeMap<Topic, usize> = BTreeMap::new();
    for figure in &tables.places["us-xx"].figures {
        *shown.entry(figure.topic).or_default() += 1;
        // The keys of a topic stand in its row, each with a word.
        let keys: Vec<&str> = figure.applies.keys().map(String::as_str).collect();
        let mut known = figure.topic.scope().to_vec();
        known.sort_unstable();
        assert_eq!(keys, known, "{}", figure.id);
    }
    // The rows of a phosphorus rule stand side by side.
    let once = |(topic, rows): (&Topic, &usize)| *rows == 1 || *topic == Topic::from(topic::P_RULE);
    assert!(shown.iter().all(once), "{shown:?}");
    assert!(shown.keys().eq(TOPICS), "{shown:?}");
    let forms = TOPICS.iter().map(|topic| topic.form()).collect::<Vec<_>>();
    for form in [
        ValueForm::Number,
        ValueForm::Steps,
        ValueForm::NumberOrCurve,
        ValueForm::Season,
        ValueForm::Words,
        ValueForm::Band,
        ValueForm::Rule,
        ValueForm::Rating,
    ] {
        assert!(forms.contains(&form));
    }
}

/// The numbers of the template are nobody's: a row that is left as it was is
/// refused, each at its line, and so is the source that shows how one is written.
#[test]
fn what_is_left_of_the_template_is_refused() {
    let (_, findings) = tables::load(&copied(str::to_string));
    let all = findings.sorted();
    let rows = all.iter().filter(|f| f.found == "source `example` is not in sources.yaml").count();
    let of_the_rule = files().iter().map(|(_, text)| text.matches("topic: p_rule\n").count()).sum::<usize>();
    assert_eq!(rows, TOPICS.len() + of_the_rule - 1);
    assert!(all.iter().any(|f| f.found == "no figure uses the source `xx_bulletin_12`"));
    assert_eq!(all.len(), rows + 1);
}

/// The template itself is no place.
#[test]
fn the_template_is_not_loaded() {
    assert!(tables::built_in().iter().all(|(path, _)| !path.starts_with('_')));
    let disk = tables::read_folder(&root().join("reference")).unwrap();
    assert!(disk.iter().all(|(path, _)| !path.starts_with('_')));
}
