//! The outlines of the states in `reference/states.yaml`: where a place ends.
//!
//! A plan asks for one outline or a few, so that a record is parsed when it is
//! asked for; [`Outlines::faults`] looks at all of them.

use crate::findings::{Finding, Findings, Place};
use crate::text::{self, Kind, Node};
use crate::units::{self, Miles, Quantity, number};
use geo::{Coord, Rect, coord};
use std::collections::BTreeMap;

/// The file's name in `reference/`.
pub(super) const FILE: &str = "states.yaml";
/// The record with the papers of all outlines.
const ABOUT: &str = "about";
/// What that record must say.
const PAPERS: &str = "source, at, known, seen and true_to";
/// Degrees by which a `box` may miss its rings: it is written with two decimals.
const BOX_DEGREES: f64 = 0.006;

/// The outline of a state.
#[derive(Clone, Debug, PartialEq)]
pub struct Outline {
    /// Key of the place, as in the folders of `reference/`.
    pub key: String,
    /// Name.
    pub name: String,
    /// Its rings in longitude and latitude; ground in an odd number of them is in it.
    pub rings: Vec<Vec<Coord<f64>>>,
}

/// The outlines as text, and how true they are.
#[derive(Clone, Debug, Default)]
pub struct Outlines {
    /// The files, the built-in one first; a record of a later one counts before
    /// the same of an earlier one.
    texts: Vec<String>,
}

/// A record of the file: its key, its line, and its text.
#[derive(Clone, Copy)]
struct Record<'a> {
    key: &'a str,
    line: usize,
    text: &'a str,
}

impl Record<'_> {
    fn place(&self) -> Place {
        Place { file: format!("reference/{FILE}"), line: self.line, column: 1 }
    }

    fn fault(&self, found: &str, accepts: &str) -> Finding {
        Finding::error("reference", &self.place(), format!("outline `{}`: {found}", self.key)).accepts(accepts)
    }

    /// The line of a plain value, without a look at all the rest.
    fn value(&self, name: &str) -> Option<&str> {
        let line = self.text.lines().find_map(|line| line.strip_prefix("  ")?.strip_prefix(name)?.strip_prefix(':'))?;
        Some(line.trim().trim_matches('"'))
    }

    /// Miles within which a line may lie wrong; 0 when that is not said.
    fn true_to(&self) -> f64 {
        self.value("true_to").and_then(|text| units::quantity::<Miles>(text).ok()).map_or(0.0, Quantity::get)
    }

    fn bounds(&self) -> Option<Rect<f64>> {
        let ends: Vec<f64> = self.value("box")?.split_whitespace().map(number).collect::<Option<_>>()?;
        let [west, south, east, north] = ends.as_slice() else { return None };
        let right = west <= east && south <= north;
        right.then(|| Rect::new(coord! { x: *west, y: *south }, coord! { x: *east, y: *north }))
    }
}

/// The records of a file: from each line that starts with a key to the next.
fn records(text: &str) -> Vec<Record<'_>> {
    let mut starts = Vec::new();
    let mut at = 0;
    for (number, line) in text.split_inclusive('\n').enumerate() {
        if let Some(key) = line.trim_end().strip_suffix(':').filter(|_| !line.starts_with([' ', '#', '-'])) {
            starts.push((key, number + 1, at));
        }
        at += line.len();
    }
    let ends = starts.iter().skip(1).map(|(_, _, at)| *at).chain([text.len()]).collect::<Vec<_>>();
    let whole = starts.iter().zip(ends);
    whole.map(|(&(key, line, at), end)| Record { key, line, text: text.get(at..end).unwrap_or_default() }).collect()
}

impl Outlines {
    pub(super) fn of_texts<'a>(texts: impl Iterator<Item = &'a str>) -> Outlines {
        Outlines { texts: texts.map(str::to_string).collect() }
    }

    /// Every record but the papers, the one that counts of each key.
    fn all(&self) -> BTreeMap<&str, Record<'_>> {
        let records = self.texts.iter().flat_map(|text| records(text));
        records.filter(|record| record.key != ABOUT).map(|record| (record.key, record)).collect()
    }

    /// The papers of every file.
    fn papers(&self) -> Vec<Record<'_>> {
        self.texts.iter().flat_map(|text| records(text)).filter(|record| record.key == ABOUT).collect()
    }

    /// The keys of the sources of the outlines.
    #[must_use]
    pub fn sources(&self) -> Vec<(String, Place)> {
        let named = |about: Record<'_>| Some((about.value("source")?.to_string(), about.place()));
        self.papers().into_iter().filter_map(named).collect()
    }

    /// Miles within which a line may lie wrong.
    #[must_use]
    pub fn true_to(&self) -> f64 {
        self.papers().iter().map(Record::true_to).fold(0.0, f64::max)
    }

    /// The outline of a place; a broken one is a finding.
    #[must_use]
    pub fn of(&self, key: &str, findings: &mut Findings) -> Option<Outline> {
        self.all().get(key).and_then(|record| outline(*record, findings))
    }

    /// Whether there are outlines of parts of a place, as of the states of a country.
    #[must_use]
    pub fn has_parts(&self, key: &str) -> bool {
        self.all().keys().any(|other| other.strip_prefix(key).is_some_and(|rest| rest.starts_with('-')))
    }

    /// Every outline whose box comes within so many degrees of a place.
    #[must_use]
    pub fn around(&self, at: Coord<f64>, degrees: f64, findings: &mut Findings) -> Vec<Outline> {
        let near = |record: &Record<'_>| {
            record.bounds().is_none_or(|bounds| {
                let (low, high) = (bounds.min(), bounds.max());
                (low.x - degrees..=high.x + degrees).contains(&at.x)
                    && (low.y - degrees..=high.y + degrees).contains(&at.y)
            })
        };
        self.all().into_values().filter(near).filter_map(|record| outline(record, findings)).collect()
    }

    /// Everything wrong with the outlines.
    #[must_use]
    pub fn faults(&self) -> Findings {
        let mut findings = Findings::new();
        for text in &self.texts {
            let _ = text::parse(&format!("reference/{FILE}"), text, &mut findings);
        }
        let papers = self.papers();
        if papers.len() < self.texts.len() {
            let place = Place::file(&format!("reference/{FILE}"));
            let found = "the outlines have no record `about`";
            findings.push(Finding::error("reference", &place, found).accepts(PAPERS));
        }
        for about in papers {
            for name in ["source", "at", "known", "seen", "true_to"] {
                if about.value(name).is_none_or(str::is_empty) {
                    findings.push(about.fault(&format!("no `{name}`"), PAPERS));
                }
            }
            if about.true_to() <= 0.0 {
                findings.push(about.fault("`true_to` is no distance", "miles, as in `3 miles`"));
            }
        }
        for record in self.all().into_values() {
            let _ = outline(record, &mut findings);
        }
        findings
    }
}

/// Reads a record; every fault is a finding.
fn outline(record: Record<'_>, findings: &mut Findings) -> Option<Outline> {
    let mut sound = true;
    let mut fault = |found: &str, accepts: &str| {
        sound = false;
        findings.push(record.fault(found, accepts));
    };
    let mut quiet = Findings::new();
    let tree = text::parse(FILE, record.text, &mut quiet);
    let node = tree.as_ref().and_then(|tree| tree.get(record.key));
    let Some(Kind::Map(entries)) = node.map(|node| &node.kind) else {
        fault("is no block of keys", "name, box and rings");
        return None;
    };
    for (key, _, _) in entries.iter().filter(|(key, _, _)| !["name", "box", "rings"].contains(&key.as_str())) {
        fault(&format!("the key `{key}`"), "name, box and rings");
    }
    let code = record.key.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-');
    if !code {
        fault("is no key of a place", "the key of its folder, as in us-xx");
    }
    let name = node.and_then(|n| n.get("name")?.scalar()).unwrap_or_default().trim();
    if name.is_empty() {
        fault("no `name`", "the name of the place");
    }
    let lists = node.and_then(|n| n.get("rings")).map(Node::items).unwrap_or_default();
    let rings: Vec<Option<Vec<Coord<f64>>>> = lists.iter().map(|list| ring(list.scalar()?)).collect();
    if rings.is_empty() || rings.iter().any(Option::is_none) {
        let which = rings.iter().position(Option::is_none).map_or_else(String::new, |n| format!(" {}", n + 1));
        fault(
            &format!("ring{which} cannot be read"),
            "three corners or more, each longitude and latitude, as in \"-84.3 34.9, -84.2 34.9, -84.2 35\"",
        );
    }
    let rings: Vec<Vec<Coord<f64>>> = rings.into_iter().flatten().collect();
    if !record.bounds().is_some_and(|bounds| bounds_fit(bounds, &rings)) {
        fault("`box` does not fit the rings", "west, south, east and north end of all rings");
    }
    sound.then(|| Outline { key: record.key.to_string(), name: name.to_string(), rings })
}

fn ring(text: &str) -> Option<Vec<Coord<f64>>> {
    let corner = |corner: &str| {
        let (lon, lat) = corner.trim().split_once(' ')?;
        let at = coord! { x: number(lon)?, y: number(lat.trim())? };
        (at.x.abs() <= 180.0 && at.y.abs() <= 90.0).then_some(at)
    };
    let corners: Vec<Coord<f64>> = text.split(',').map(corner).collect::<Option<_>>()?;
    (corners.len() >= 3).then_some(corners)
}

fn bounds_fit(bounds: Rect<f64>, rings: &[Vec<Coord<f64>>]) -> bool {
    let far = f64::INFINITY;
    let (low, high) = rings.iter().flatten().fold(
        (coord! { x: far, y: far }, coord! { x: -far, y: -far }),
        |(low, high): (Coord<f64>, Coord<f64>), at| {
            (coord! { x: low.x.min(at.x), y: low.y.min(at.y) }, coord! { x: high.x.max(at.x), y: high.y.max(at.y) })
        },
    );
    let near = |a: f64, b: f64| (a - b).abs() <= BOX_DEGREES;
    near(bounds.min().x, low.x)
        && near(bounds.min().y, low.y)
        && near(bounds.max().x, high.x)
        && near(bounds.max().y, high.y)
}
