//! Properties of a GeoJSON feature that the program does not read. Other
//! programs write many of their own; one that reads as if it moved a setback is
//! an error, the rest is named once a file.

use crate::farm::words::is_neighbor;
use crate::findings::{Finding, Findings, Place, nearest};
use crate::text::{self, Kind, Node};
use std::collections::BTreeMap;

/// Words for a distance to keep, in the names of foreign properties.
const DISTANCES: &[&str] = &[
    "buf",
    "buff",
    "buffer",
    "buffers",
    "clearance",
    "dist",
    "distance",
    "feet",
    "foot",
    "ft",
    "keepaway",
    "keepoff",
    "meters",
    "metres",
    "nospread",
    "offset",
    "radius",
    "setback",
    "standoff",
    "wide",
    "width",
    "yards",
];

/// Words that mean a distance to keep even on a field, where nothing has one.
/// How wide or long a field is, offices write down for reasons of their own.
const SETBACKS: &[&str] = &["buf", "buff", "keepaway", "keepoff", "nospread"];

/// Foreign names for what a property of ours says.
const MEANT: &[(&str, &[&str])] = &[
    ("kind", &["category", "class", "feature", "featuretype", "ftype", "type"]),
    ("owner", &["neighbor", "neighbour", "landowner", "own", "ownedby", "ownership"]),
    ("vegetated_strip", &["filterstrip", "grass", "grassed", "strip", "vegetated", "vegetation"]),
    ("consent", &["agreement", "easement", "permission", "signed", "waiver"]),
    ("above", &["downhill", "upgradient", "uphill", "upslope", "upstream"]),
    ("setback_by", &["askedby", "by", "requiredby", "who"]),
    ("field", &["of", "opensto"]),
    ("lot", &["litter", "of"]),
];

/// Names that mapping programs write on their own: numbers of rows, sizes,
/// colors.
const MAPPING: &[&str] = &[
    "area",
    "color",
    "colour",
    "created",
    "date",
    "description",
    "edited",
    "fid",
    "fill",
    "gid",
    "globalid",
    "id",
    "layer",
    "marker",
    "modified",
    "oid",
    "opacity",
    "path",
    "perimeter",
    "shape",
    "stroke",
    "style",
    "styleurl",
    "timestamp",
    "tessellate",
    "uuid",
    "visibility",
    "objectid",
    "ogcfid",
    "length",
    "leng",
];

/// A name with nothing but its letters and digits, small.
fn squeezed(name: &str) -> String {
    name.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

/// The words of a name: parted by signs, digits, or a capital after a small letter.
fn parts(name: &str) -> Vec<String> {
    let mut words = vec![String::new()];
    let mut small = false;
    for c in name.chars() {
        if !c.is_alphabetic() || (small && c.is_uppercase()) {
            words.push(String::new());
        }
        small = c.is_lowercase();
        if let (true, Some(word)) = (c.is_alphabetic(), words.last_mut()) {
            word.extend(c.to_lowercase());
        }
    }
    words.retain(|word| !word.is_empty());
    words
}

fn a_distance(name: &str) -> bool {
    a_setback(name) || parts(name).iter().any(|part| DISTANCES.contains(&part.as_str()))
}

fn a_setback(name: &str) -> bool {
    let whole = squeezed(name);
    ["buffer", "setback", "standoff", "clearance"].iter().any(|word| whole.contains(word))
        || parts(name).iter().any(|part| SETBACKS.contains(&part.as_str()))
}

/// Whether a value can say anything: a distance that is no distance, or an
/// owner who is a person's name, is an office's own remark.
fn may_be(key: Option<&str>, value: Option<&Node>) -> bool {
    let Some(value) = value else { return true };
    let text = value.scalar().map(str::trim);
    match (key, text) {
        (_, Some("")) => false,
        (None | Some("setback"), Some(text)) => text.chars().any(|c| ('1'..='9').contains(&c)),
        (Some("owner"), Some(text)) => is_neighbor(&text.to_lowercase()).is_some(),
        _ => value.kind != Kind::Empty,
    }
}

/// The known property that a foreign one slipped from: the same but for case
/// and signs, or nearly the same.
fn slip_of<'a>(name: &str, known: &[&'a str]) -> Option<&'a str> {
    let whole = squeezed(name);
    let same = known.iter().find(|key| squeezed(key) == whole).copied();
    let near = |key: &&&str| whole.len() > 3 && nearest(&whole, [squeezed(key).as_str()]).is_some();
    same.or_else(|| known.iter().filter(|key| key.len() > 3).find(near).copied())
}

/// The known property that a foreign name means by another word.
fn meant_by<'a>(name: &str, known: &[&'a str]) -> Option<&'a str> {
    let whole = squeezed(name);
    let means = |key: &&&str| MEANT.iter().any(|(ours, theirs)| ours == *key && theirs.contains(&whole.as_str()));
    known.iter().find(means).copied()
}

/// A feature whose properties were read.
pub(super) struct PropertyReader<'a> {
    /// What it is called in messages.
    pub(super) what: &'a str,
    /// Properties that nobody asked for, each with its value where that is kept.
    pub(super) unread: text::Unread<'a>,
    /// Properties that are known.
    pub(super) known: &'a [&'static str],
    /// Those of them that the feature has.
    pub(super) given: Vec<&'static str>,
}

/// The harmless properties of a file, gathered to be told once.
#[derive(Default)]
pub(super) struct UnreadProperties {
    names: BTreeMap<String, (usize, Place)>,
}

impl UnreadProperties {
    /// Sorts the unread properties of a feature: loud ones are findings now.
    pub(super) fn of(&mut self, read: &PropertyReader<'_>, findings: &mut Findings) {
        for (name, place, value) in &read.unread {
            let slip = slip_of(name, read.known);
            let meant = slip.or_else(|| meant_by(name, read.known));
            let label = |key: &str| key == "name";
            let has_distances = read.known.contains(&"setback");
            let distance = slip.is_none() && if has_distances { a_distance(name) } else { a_setback(name) };
            let fix = match meant {
                _ if !may_be(meant.filter(|_| !distance), *value) && (distance || meant.is_some()) => {
                    self.gather(name, place);
                    continue;
                }
                _ if distance => distance_fix(read.known),
                Some(key) if !label(key) && !read.given.contains(&key) => format!("did you mean `{key}`?"),
                Some(key) if slip.is_some() && a_distance(key) => {
                    format!("did you mean `{key}`? It is given already; take `{name}` out")
                }
                _ => {
                    self.gather(name, place);
                    continue;
                }
            };
            let found = format!("{}: the property `{name}` is not read", read.what);
            let known = format!("one of {}", read.known.join(", "));
            findings.push(Finding::error("property-unknown", place, found).accepts(known).fix(fix));
        }
    }

    fn gather(&mut self, name: &str, place: &Place) {
        let told = self.names.entry(name.to_string()).or_insert_with(|| (0, place.clone()));
        told.0 += 1;
    }

    /// One line for the names that mapping programs write, one for all others.
    pub(super) fn tell(self, known: &[&'static str], findings: &mut Findings) {
        let mapping = |name: &str| {
            let whole = squeezed(name);
            MAPPING.contains(&whole.as_str())
                || parts(name).first().is_some_and(|part| MAPPING.contains(&part.as_str()))
        };
        let (theirs, others): (Vec<_>, Vec<_>) = self.names.iter().partition(|(name, _)| mapping(name));
        for (names, ours) in [(theirs, false), (others, true)] {
            let Some((_, (_, first))) = names.first() else { continue };
            let shown: Vec<String> = names.iter().take(MOST_NAMES).map(|(name, (n, _))| counted(name, *n)).collect();
            let more = names.len().saturating_sub(MOST_NAMES);
            let more = if more > 0 { format!(" and {more} more") } else { String::new() };
            let found = format!("properties that are not read: {}{more}", shown.join(", "));
            let accepts = format!("what is read: {}", known.join(", "));
            findings.push(if ours {
                Finding::warning("properties-unread", first, found)
                    .accepts(accepts)
                    .fix("if one of them says something of these, write it under that name; else leave it")
            } else {
                Finding::note("properties-unread", first, found).accepts(accepts)
            });
        }
    }
}

/// A property of a file's features that is not read, met so many times.
#[derive(Clone, Debug)]
pub struct ForeignProperty<'a> {
    /// Its name.
    pub name: &'a str,
    /// How many features have it.
    pub times: usize,
    /// The first of them.
    pub place: Place,
}

/// What is said of the properties of a file that is read feature by feature: those that read as if
/// they moved a distance are an error each, all others are named in one line. `known` are the names
/// that are read, `given` those of them that the file has.
pub fn unread(known: &[&'static str], given: &[&'static str], met: &[ForeignProperty<'_>], findings: &mut Findings) {
    let mut all = UnreadProperties::default();
    for ForeignProperty { name, times, place } in met {
        let what = format!("{times} {}", if *times == 1 { "feature" } else { "features" });
        let read = PropertyReader { what: &what, unread: vec![(name, place, None)], known, given: given.to_vec() };
        all.of(&read, findings);
        if let Some(told) = all.names.get_mut(*name) {
            told.0 = *times;
        }
    }
    all.tell(known, findings);
}

/// Most names that a summary shows.
const MOST_NAMES: usize = 40;

fn counted(name: &str, times: usize) -> String {
    let features = if times == 1 { "feature" } else { "features" };
    format!("`{name}` ({times} {features})")
}

fn distance_fix(known: &[&'static str]) -> String {
    if known.contains(&"setback") {
        "write a distance as \"setback\": \"100 ft\" and who asked for it as \"setback_by\": \"name, date\"".to_string()
    } else {
        "a distance belongs to a feature of keepouts.geojson, as \"setback\": \"100 ft\"; take it out here".to_string()
    }
}

/// A property that may hold a field's id under another name, with its value.
pub(super) fn boundary_id_in(properties: &Node) -> Option<(&str, &str)> {
    let Kind::Map(entries) = &properties.kind else { return None };
    let own = |(name, _, value): &'_ &(String, Place, Node)| {
        let whole = squeezed(name);
        ["id", "fieldid", "field", "fieldname", "fieldno", "fieldnumber", "name"].contains(&whole.as_str())
            && value.scalar().is_some_and(|text| !text.trim().is_empty())
    };
    let (name, _, value) = entries.iter().find(own)?;
    Some((name, value.scalar()?))
}

#[cfg(test)]
mod tests {
    use super::*;

    const KNOWN: &[&str] = &["kind", "name", "vegetated_strip", "owner", "setback", "setback_by"];

    #[test]
    fn slips_and_distances_are_told_from_what_other_programs_write() {
        for (name, key) in
            [("setbackby", "setback_by"), ("SETBACK", "setback"), ("Owner", "owner"), ("setbak", "setback")]
        {
            assert_eq!(slip_of(name, KNOWN), Some(key), "{name}");
        }
        for name in ["buffer", "BUFF_DIST", "bufferFt", "setback_ft", "width", "dist_m", "Radius"] {
            assert!(a_distance(name), "{name}");
        }
        for name in ["OBJECTID", "Shape_Length", "DISTRICT", "gid", "lat", "county", "acres", "color", "note"] {
            assert!(!a_distance(name) && slip_of(name, KNOWN).is_none() && meant_by(name, KNOWN).is_none(), "{name}");
        }
        assert_eq!(meant_by("type", KNOWN), Some("kind"));
    }
}
