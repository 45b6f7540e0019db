//! Older forms of a farm folder's files and how each is written now. A further
//! form is one entry of `FORMS`; the version goes up with it.

use crate::farm::files::{FarmText, KEEPOUTS, MAIN};
use crate::findings::{Finding, Findings, Place};
use crate::text::{self, Edit, Kind, Node};
use jiff::civil::Date;
use serde_json::json;

/// The version of the forms that this program reads, as `version:` in farm.yaml.
pub const VERSION: u32 = 2;

/// One place that changes.
#[derive(Clone, Debug, PartialEq)]
pub struct UpgradeStep {
    /// Where.
    pub place: Place,
    /// The change of the text; none where only a person can make it.
    pub edit: Option<Edit>,
    /// What changes, and what is to be seen to.
    pub says: String,
}

/// A file with what changes in it.
#[derive(Clone, Debug, PartialEq)]
pub struct Upgraded {
    /// The file.
    pub file: &'static str,
    /// What it holds now.
    pub before: String,
    /// What it is to hold.
    pub after: String,
    /// The changes, by line.
    pub steps: Vec<UpgradeStep>,
}

/// A line longer than this is shown by the piece that changes.
const LONGEST: usize = 70;

impl Upgraded {
    /// The lines around a change, as they are and as they are to be.
    #[must_use]
    pub fn lines(&self, step: &UpgradeStep) -> (Vec<String>, Vec<String>) {
        let Some(edit) = &step.edit else { return (Vec::new(), Vec::new()) };
        let start = self.before[..edit.from].rfind('\n').map_or(0, |end| end + 1);
        let end = self.before[edit.to..].find('\n').map_or(self.before.len(), |end| edit.to + end);
        let long = end - start > LONGEST;
        let (start, end) = if long { (edit.from, edit.to) } else { (start, end) };
        let old = &self.before[start..end];
        let shifted = Edit { from: edit.from - start, to: edit.to - start, with: edit.with.clone() };
        let lines = |text: &str| -> Vec<String> {
            text.lines().map(|line| line.trim_end().to_string()).filter(|line| !line.is_empty()).collect()
        };
        (lines(old), lines(&text::edited(old, &[shifted])))
    }
}

/// A form that was taken up to some version.
struct OldForm {
    file: &'static str,
    /// The version from which on it is written otherwise.
    since: u32,
    find: fn(&str, &Node) -> Vec<UpgradeStep>,
}

const FORMS: &[OldForm] = &[
    OldForm { file: MAIN, since: 2, find: birds_of_each_house },
    OldForm { file: KEEPOUTS, since: 2, find: consent },
    // The last of the list: it says that all of the above is done.
    OldForm { file: MAIN, since: VERSION, find: version },
];

/// What an upgrade changes in the files of a farm folder.
pub fn upgrade(texts: &FarmText, findings: &mut Findings) -> Vec<Upgraded> {
    let files = [(MAIN, &texts.main), (KEEPOUTS, &texts.keepouts)];
    let trees: Vec<(&str, &str, Node)> = files
        .into_iter()
        .filter_map(|(file, text)| Some((file, text.as_deref()?)))
        .filter_map(|(file, text)| Some((file, text, text::parse(file, text, findings)?)))
        .collect();
    // The version of farm.yaml is that of the folder.
    let main = trees.iter().find(|(file, ..)| *file == MAIN);
    let written = main.map_or(1, |(.., tree)| version_of(tree));
    let node = main.and_then(|(.., tree)| tree.get("version"));
    if let Some(finding) = node.and_then(|node| too_new(written, &node.place)) {
        findings.push(finding);
    }
    trees.iter().map(|(file, text, tree)| one(file, text, tree, written)).collect()
}

fn one(file: &'static str, text: &str, tree: &Node, written: u32) -> Upgraded {
    let due = FORMS.iter().filter(|form| form.file == file && form.since > written);
    let mut steps: Vec<UpgradeStep> = due.flat_map(|form| (form.find)(text, tree)).collect();
    steps.sort_by_key(|step| (step.place.line, step.place.column));
    let edits: Vec<Edit> = steps.iter().filter_map(|step| step.edit.clone()).collect();
    Upgraded { file, before: text.to_string(), after: text::edited(text, &edits), steps }
}

/// A file of a form that is newer than this program.
pub(super) fn too_new(version: u32, place: &Place) -> Option<Finding> {
    let found = format!("the file is of version {version}; this program reads up to version {VERSION}");
    let finding = || Finding::error("version", place, found).accepts(format!("`version: {VERSION}` or lower"));
    (version > VERSION).then(|| finding().fix("use a newer version of the program"))
}

/// The version that a file says; without one it is of the first.
fn version_of(tree: &Node) -> u32 {
    tree.get("version").and_then(Node::scalar).and_then(|text| text.trim().parse().ok()).unwrap_or(1)
}

fn entries(node: &Node) -> &[(String, Place, Node)] {
    match &node.kind {
        Kind::Map(entries) => entries,
        _ => &[],
    }
}

/// Up to version 1 `birds` of `houses:` were those of all houses of the entry.
fn birds_of_each_house(text: &str, tree: &Node) -> Vec<UpgradeStep> {
    let houses = tree.get("houses").map(Node::items).unwrap_or_default();
    let together = houses.iter().filter(|house| house.get("number").is_none_or(|n| n.kind == Kind::Empty));
    together
        .filter_map(|house| {
            let (_, place, birds) = entries(house).iter().find(|(key, _, _)| key == "birds")?;
            let named = house.get("name").and_then(Node::scalar).unwrap_or_default();
            let birds = birds.scalar()?;
            Some(UpgradeStep {
                place: place.clone(),
                // An empty `number` is a line of its own, which a person fills in.
                edit: house.get("number").is_none().then(|| Edit::key_before(text, place, "number: 1")).flatten(),
                says: format!(
                    "house {named}: `birds` now means the birds of each house, and `number` how many houses. One \
                     house of {birds} birds makes what it did before; where these are several houses, write how \
                     many and the birds of each"
                ),
            })
        })
        .collect()
}

/// Up to version 1 a consent was one line of text.
fn consent(text: &str, tree: &Node) -> Vec<UpgradeStep> {
    let features = tree.get("features").map(Node::items).unwrap_or_default();
    let given = features.iter().filter_map(|feature| feature.get("properties")?.get("consent"));
    given
        .filter_map(|node| {
            let said = node.scalar()?;
            let by_and_on =
                signed_at_the_end(said).map(|(by, on)| json!({ "by": by, "on": on.to_string() }).to_string());
            let edit = by_and_on.and_then(|now| Edit::value(text, &node.place, said, &now));
            let says = match edit {
                Some(_) => {
                    "a consent says `by` whom and `on` which day; add `to`, the distance agreed on, where the \
                            paper names one"
                }
                None => {
                    "a consent says `by` whom, `on` which day and `to` which distance: {\"by\": \"R. Swink\", \
                         \"on\": \"2026-10-01\", \"to\": \"100 ft\"}; write it from the paper"
                }
            };
            Some(UpgradeStep { place: node.place.clone(), edit, says: says.to_string() })
        })
        .collect()
}

/// Who signed, and the day, where the line ends with it and says nothing else.
fn signed_at_the_end(said: &str) -> Option<(&str, Date)> {
    let on = text::signed(said).ok().filter(|_| !text::refuses(said))?;
    let by = said.trim().trim_end_matches('.').strip_suffix(&on.to_string())?.trim_end_matches([' ', ',', ';', ':']);
    text::names_somebody(by).then_some((by, on))
}

/// The version itself, in the first line that holds a key.
fn version(text: &str, tree: &Node) -> Vec<UpgradeStep> {
    let now = format!("version: {VERSION}");
    let edit = match entries(tree).iter().find(|(key, _, _)| key == "version") {
        Some((_, _, value)) => value
            .scalar()
            .and_then(|old| Some((&value.place, Edit::value(text, &value.place, old, &VERSION.to_string())?))),
        None => entries(tree).first().and_then(|(_, place, _)| Some((place, Edit::key_before(text, place, &now)?))),
    };
    let (place, edit) = match edit {
        Some((place, edit)) => (place.clone(), Some(edit)),
        None => (tree.place.clone(), None),
    };
    vec![UpgradeStep { place, edit, says: format!("`{now}` says that the file is written in the present form") }]
}
