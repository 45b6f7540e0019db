//! What the words in a name say that a thing is. The words are data (`kinds.yaml`).

use serde::Deserialize;
use std::sync::LazyLock;

/// How a thing may be drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub(super) enum Drawn {
    Point,
    Line,
    Area,
    /// An area of which the line around it counts.
    Outline,
    /// An area where a point is meant.
    Loose,
}

/// Which file a thing belongs into.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub(super) enum Goes {
    Fields,
    #[default]
    Keepouts,
}

/// A kind of thing.
#[derive(Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Kind {
    /// Its word in the farm's files.
    pub(super) kind: String,
    #[serde(default)]
    pub(super) goes: Goes,
    pub(super) shapes: Vec<Drawn>,
    #[serde(default)]
    pub(super) ask: Vec<String>,
    /// What is reported where its words leave something open.
    pub(super) say: Option<String>,
    /// Words that close it.
    #[serde(default)]
    sure: Vec<String>,
    pub(super) words: Vec<String>,
}

impl Kind {
    /// Whether a name leaves nothing open.
    pub(super) fn surely(&self, name: &str) -> bool {
        let own = tokens(name);
        self.sure.iter().any(|word| own.contains(word))
    }

    /// Whether it is a field.
    pub(super) fn is_field(&self) -> bool {
        self.kind == FIELD
    }
}

/// The kind of a field.
const FIELD: &str = "field";

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
struct KindsFile {
    #[serde(rename = "known")]
    _known: String,
    kinds: Vec<Kind>,
    other: Vec<String>,
}

/// A test holds that the data can be read.
static TABLE: LazyLock<KindsFile> =
    LazyLock::new(|| serde_yaml::from_str(include_str!("kinds.yaml")).unwrap_or_default());

/// All kinds.
pub(super) fn kinds() -> &'static [Kind] {
    &TABLE.kinds
}

/// The words of all kinds, for a reader.
pub(super) fn accepted() -> String {
    kinds().iter().map(|kind| kind.kind.as_str()).collect::<Vec<_>>().join(", ")
}

/// The kind of a word as a grower may write it: `property line`, `Property_Line`.
pub(super) fn named(word: &str) -> Option<&'static Kind> {
    let own = tokens(word);
    kinds().iter().find(|kind| tokens(&kind.kind) == own)
}

/// The kinds that the words of a name speak of, each once, in the order of the table.
pub(super) fn spoken_of(name: &str) -> Vec<&'static Kind> {
    let found = phrases_of(name);
    kinds().iter().filter(|kind| found.contains(&Some(kind.kind.as_str()))).collect()
}

/// Whether the words of a name say that it is something else, and no kind.
pub(super) fn says_else(name: &str) -> bool {
    let found = phrases_of(name);
    !found.is_empty() && found.iter().all(Option::is_none)
}

/// The kinds of the phrases in a name, of several that begin alike the longest; none for
/// those of something else.
fn phrases_of(name: &str) -> Vec<Option<&'static str>> {
    let own = tokens(name);
    let mut found = Vec::new();
    let mut at = 0;
    while let Some(rest) = own.get(at..).filter(|rest| !rest.is_empty()) {
        let longest = phrases().filter(|(words, _)| rest.starts_with(words)).max_by_key(|(words, _)| words.len());
        at += longest.as_ref().map_or(1, |(words, _)| words.len());
        found.extend(longest.map(|(_, kind)| kind));
    }
    found
}

/// All phrases, in words, with the kind they speak of.
fn phrases() -> impl Iterator<Item = (&'static [String], Option<&'static str>)> {
    static PHRASES: LazyLock<Vec<(Vec<String>, Option<&'static str>)>> = LazyLock::new(|| {
        let of_kind = |kind: &'static Kind| kind.words.iter().map(|words| (tokens(words), Some(kind.kind.as_str())));
        let other = TABLE.other.iter().map(|words| (tokens(words), None));
        kinds().iter().flat_map(of_kind).chain(other).collect()
    });
    PHRASES.iter().map(|(words, kind)| (words.as_slice(), *kind))
}

/// The words of a text in lower case and in the singular.
fn tokens(text: &str) -> Vec<String> {
    let lower = text.to_lowercase().replace(['\'', '’'], "");
    lower.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).map(singular).collect()
}

fn singular(word: &str) -> String {
    let cut = |ending: &str, put: &str| {
        word.strip_suffix(ending).filter(|stem| stem.len() > 1).map(|stem| format!("{stem}{put}"))
    };
    if word.ends_with("ss") {
        return word.to_string();
    }
    cut("ies", "y")
        .or_else(|| ["ches", "shes", "xes"].iter().find_map(|e| cut(e, e.trim_end_matches("es"))))
        .or_else(|| cut("s", ""))
        .unwrap_or_else(|| word.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn says(name: &str) -> Vec<&str> {
        spoken_of(name).iter().map(|kind| kind.kind.as_str()).collect()
    }

    #[test]
    fn names_speak_of_kinds() {
        assert!(serde_yaml::from_str::<KindsFile>(include_str!("kinds.yaml")).is_ok());
        assert!(kinds().len() > 10);
        for (name, kinds) in [
            ("Little Quillen Creek", vec!["perennial stream"]),
            ("DITCHES", vec!["ditch"]),
            ("Churches & schools", vec!["public building"]),
            ("Poultry house well", vec!["well"]),
            ("Swink's house", vec!["dwelling"]),
            ("Property line north of Tin Cup Road", vec!["road", "property line"]),
            ("dry_branch", vec!["intermittent stream"]),
            ("Creek Bottom", vec!["field", "perennial stream"]),
            ("Broiler house 3", vec![]),
            ("Spot 4", vec![]),
            ("Peña", vec![]),
            ("Trees across", vec![]),
        ] {
            assert_eq!(says(name), kinds, "{name}");
        }
        assert!(says_else("Poultry house 1") && says_else("Broiler houses"));
        assert!(!says_else("Poultry house well") && !says_else("Swink's house") && !says_else("Spot 4"));
        for kind in kinds() {
            assert_eq!(named(&kind.kind.replace(' ', "_")), Some(kind));
            assert_eq!(says(&kind.kind), [kind.kind.as_str()], "a kind's own word speaks of it");
        }
    }
}
