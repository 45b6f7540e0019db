//! The outlines of the states in `reference/states.yaml`: where a place ends.
//!
//! A plan asks for one outline or a few, so that a record is parsed when it is
//! asked for; [`Outlines::faults`] looks at all of them.

use crate::findings::{At, Finding, Findings, Place};
use crate::text::{self, Node, Walker};
use crate::units::{Miles, Quantity, number};
use geo::{BoundingRect, Coord, LineString, Rect, coord};
use std::collections::BTreeMap;

/// The file's name in `reference/`.
pub(super) const FILE: &str = "states.yaml";
/// The record with the papers of all outlines.
const ABOUT: &str = "about";
/// Degrees by which a `box` may miss its rings: it is written with two decimals.
const BOX_DEGREES: f64 = 0.006;

/// The outline of a state.
#[derive(Clone, Debug, PartialEq)]
pub struct Outline {
    /// Key of the place, as in the folders of `reference/`.
    pub key: String,
    /// Name.
    pub name: String,
    /// The box around its rings.
    pub bounds: Rect<f64>,
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
struct OutlineRecord<'a> {
    key: &'a str,
    line: usize,
    text: &'a str,
}

impl<'a> OutlineRecord<'a> {
    /// Its name, without reading the rest.
    fn name(&self) -> Option<&'a str> {
        let line = self.text.lines().find_map(|line| line.strip_prefix("  name:"))?;
        Some(line.trim().trim_matches(['"', '\'']))
    }

    /// What `read` makes of the record.
    fn read<T>(
        &self,
        what: &str,
        findings: &mut Findings,
        read: impl FnOnce(Walker<'_>, &mut Findings) -> Option<T>,
    ) -> Option<T> {
        let tree = text::parse_part((&format!("reference/{FILE}"), self.line), self.text, findings)?;
        read(Walker::new(what, tree.get(self.key)?, findings)?, findings)
    }
}

/// What holds for all outlines of a file.
struct OutlinePapers {
    source: At<String>,
    /// Miles within which a line may lie wrong.
    true_to: f64,
}

/// The records of a file: from each line that starts with a key to the next.
fn records(text: &str) -> Vec<OutlineRecord<'_>> {
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
    whole
        .map(|(&(key, line, at), end)| OutlineRecord { key, line, text: text.get(at..end).unwrap_or_default() })
        .collect()
}

impl Outlines {
    pub(super) fn of_texts<'a>(texts: impl Iterator<Item = &'a str>) -> Outlines {
        Outlines { texts: texts.map(str::to_string).collect() }
    }

    /// Every record but the papers, the one that counts of each key.
    fn all(&self) -> BTreeMap<&str, OutlineRecord<'_>> {
        let records = self.texts.iter().flat_map(|text| records(text));
        records.filter(|record| record.key != ABOUT).map(|record| (record.key, record)).collect()
    }

    /// The papers of every file that has them.
    fn papers(&self, findings: &mut Findings) -> Vec<OutlinePapers> {
        let records = self.texts.iter().flat_map(|text| records(text)).filter(|record| record.key == ABOUT);
        records.filter_map(|record| record.read("`about`", findings, papers)).collect()
    }

    /// The keys of the sources of the outlines.
    #[must_use]
    pub fn sources(&self) -> Vec<At<String>> {
        self.papers(&mut Findings::new()).into_iter().map(|papers| papers.source).collect()
    }

    /// Miles within which a line may lie wrong.
    #[must_use]
    pub fn true_to(&self) -> f64 {
        self.papers(&mut Findings::new()).iter().map(|papers| papers.true_to).fold(0.0, f64::max)
    }

    /// The outline of a place; a broken one is a finding.
    #[must_use]
    pub fn of(&self, key: &str, findings: &mut Findings) -> Option<Outline> {
        self.all().get(key).and_then(|record| outline(*record, findings))
    }

    /// The key of a place that is said by its key, its code or its name, in capitals or not.
    #[must_use]
    pub fn named(&self, said: &str) -> Option<String> {
        let said = said.trim().to_lowercase();
        let all = self.names();
        let key = |key: &str| key == said || key.split_once('-').is_some_and(|(_, code)| code == said);
        let found = all.iter().find(|(own, name)| key(own) || name.to_lowercase() == said);
        found.map(|(key, _)| (*key).to_string())
    }

    /// The key and the name of every place with an outline.
    pub(super) fn names(&self) -> Vec<(&str, &str)> {
        self.all().into_iter().filter_map(|(key, record)| Some((key, record.name()?))).collect()
    }

    /// Whether there are outlines of parts of a place, as of the states of a country.
    #[must_use]
    pub fn has_parts(&self, key: &str) -> bool {
        self.all().keys().any(|other| other.strip_prefix(key).is_some_and(|rest| rest.starts_with('-')))
    }

    /// Every outline whose box comes within so many degrees of a place.
    #[must_use]
    pub fn around(&self, at: Coord<f64>, degrees: f64, findings: &mut Findings) -> Vec<Outline> {
        let near = |outline: &Outline| {
            let (low, high) = (outline.bounds.min(), outline.bounds.max());
            (low.x - degrees..=high.x + degrees).contains(&at.x) && (low.y - degrees..=high.y + degrees).contains(&at.y)
        };
        self.all().into_values().filter_map(|record| outline(record, findings)).filter(near).collect()
    }

    /// Everything wrong with the outlines.
    #[must_use]
    pub fn faults(&self) -> Findings {
        let mut findings = Findings::new();
        for text in &self.texts {
            if !records(text).iter().any(|record| record.key == ABOUT) {
                let place = Place::file(&format!("reference/{FILE}"));
                let found = "the outlines have no record `about`";
                findings
                    .push(Finding::error("reference", &place, found).accepts("source, at, known, seen and true_to"));
            }
        }
        self.papers(&mut findings);
        for record in self.all().into_values() {
            let _ = outline(record, &mut findings);
        }
        findings
    }
}

/// Reads the papers of a file; every fault is a finding.
fn papers(walk: Walker<'_>, findings: &mut Findings) -> Option<OutlinePapers> {
    let source = walk.need_text("source", "a key of sources.yaml", findings);
    walk.need_text("at", "the place in that source", findings);
    walk.need_text("known", "how it is known", findings);
    walk.need_date("seen", findings);
    let true_to = walk.need_quantity::<Miles>("true_to", findings);
    walk.finish(findings);
    if let Some(none) = true_to.as_ref().filter(|miles| miles.value.get() <= 0.0) {
        let found = "`about`: `true_to` is no distance";
        findings.push(Finding::error("reference", &none.place, found).accepts("miles, as in `3 miles`"));
    }
    Some(OutlinePapers { source: source?, true_to: true_to?.value.get() })
}

/// Reads a record; every fault is a finding.
fn outline(record: OutlineRecord<'_>, findings: &mut Findings) -> Option<Outline> {
    let key = record.key;
    record.read(&format!("outline `{key}`"), findings, |walk, findings| {
        let mut fault = |place: &Place, found: &str, accepts: &str| {
            let found = format!("outline `{key}`: {found}");
            findings.push(Finding::error("reference", place, found).accepts(accepts));
        };
        if !key.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-') {
            let place = Place { line: record.line, column: 1, ..walk.place().clone() };
            fault(&place, "is no key of a place", "the key of its folder, as in us-xx");
        }
        let lists = walk.ask("rings").map(Node::items).unwrap_or_default();
        let rings: Vec<Vec<Coord<f64>>> = lists.iter().filter_map(|list| list.scalar().and_then(ring)).collect();
        if rings.is_empty() || rings.len() < lists.len() {
            let bad = lists.iter().position(|list| list.scalar().and_then(ring).is_none());
            let place = bad.and_then(|n| lists.get(n)).map_or_else(|| walk.place(), |list| &list.place);
            let which = bad.map_or_else(String::new, |n| format!(" {}", n + 1));
            let accepts =
                "three corners or more, each longitude and latitude, as in \"-84.3 34.9, -84.2 34.9, -84.2 35\"";
            fault(place, &format!("ring{which} cannot be read"), accepts);
        }
        let name = walk.need_text("name", "the name of the place", findings);
        let written = walk.need_text("box", ENDS, findings);
        walk.finish(findings);
        let bounds = written.as_ref().and_then(|text| bounds(&text.value)).filter(|bounds| bounds_fit(*bounds, &rings));
        if let (Some(text), None) = (&written, bounds) {
            let found = format!("outline `{key}`: `box` does not fit the rings");
            findings.push(Finding::error("reference", &text.place, found).accepts(ENDS));
        }
        let whole = !rings.is_empty() && rings.len() == lists.len();
        whole.then_some(Outline { key: key.to_string(), name: name?.value, bounds: bounds?, rings })
    })
}

/// What a `box` holds.
const ENDS: &str = "west, south, east and north end of all rings";

fn bounds(text: &str) -> Option<Rect<f64>> {
    let ends: Vec<f64> = text.split_whitespace().map(number).collect::<Option<_>>()?;
    let [west, south, east, north] = ends.as_slice() else { return None };
    let right = west <= east && south <= north;
    right.then(|| Rect::new(coord! { x: *west, y: *south }, coord! { x: *east, y: *north }))
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
    let around = rings.iter().flatten().copied().collect::<LineString<f64>>().bounding_rect();
    let near = |a: Coord<f64>, b: Coord<f64>| (a.x - b.x).abs() <= BOX_DEGREES && (a.y - b.y).abs() <= BOX_DEGREES;
    around.is_some_and(|around| near(bounds.min(), around.min()) && near(bounds.max(), around.max()))
}
