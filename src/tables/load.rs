//! Reading `reference/`: every record is checked, every fault reported.

use crate::cores;
use crate::findings::{Finding, Findings, Place};
use crate::tables::figure::{Edition, Figure, Inherits, Other, PlaceTable, Season, Shape, Source, Step, Tables};
use crate::tables::outlines::{self, Outlines};
use crate::tables::thing::Thing;
use crate::tables::topic::{Form, Topic};
use crate::tables::written::{
    WrittenEdition, WrittenFigure, WrittenOther, WrittenPlace, WrittenSource, known, month_day, scalar_text,
};
use crate::text::{self, Kind, Mark, Node};
use jiff::civil::Date;
use std::collections::BTreeMap;
use std::path::Path;

static REFERENCE: include_dir::Dir<'_> = include_dir::include_dir!("$CARGO_MANIFEST_DIR/reference");

/// One file of `reference/`: its path below that folder, and its text.
pub type ReferenceFile = (String, String);

/// The files of `reference/` as they were when the program was built.
#[must_use]
pub fn built_in() -> Vec<ReferenceFile> {
    let mut files: Vec<ReferenceFile> = Vec::new();
    let mut folders = vec![&REFERENCE];
    while let Some(folder) = folders.pop() {
        folders.extend(folder.dirs());
        for file in folder.files() {
            let path = file.path().to_string_lossy().replace('\\', "/");
            if let (true, Some(text)) = (path.ends_with(".yaml"), file.contents_utf8()) {
                files.push((path, text.to_string()));
            }
        }
    }
    files.sort();
    files
}

/// The YAML files of a folder laid out as `reference/`, to be used with or
/// in place of the built-in ones.
///
/// # Errors
/// A finding when the folder or a file in it cannot be read.
pub fn read_folder(folder: &Path) -> Result<Vec<ReferenceFile>, Box<Finding>> {
    let fail = |path: &Path, e: std::io::Error| {
        let place = Place::file(&path.display().to_string());
        Box::new(Finding::error("cannot-read", &place, format!("cannot be read: {e}")))
    };
    let mut files = Vec::new();
    let mut folders = vec![(folder.to_path_buf(), String::new())];
    while let Some((at, below)) = folders.pop() {
        for entry in std::fs::read_dir(&at).map_err(|e| fail(&at, e))? {
            let path = entry.map_err(|e| fail(&at, e))?.path();
            let name = path.file_name().unwrap_or_default().to_string_lossy().to_string();
            if path.is_dir() && below.is_empty() {
                folders.push((path, format!("{name}/")));
            } else if name.ends_with(".yaml") {
                let label = format!("{below}{name}");
                let bytes = text::file::read(&path, text::file::MOST_FIGURES).map_err(|e| fail(&path, e))?;
                files.push((label.clone(), text::decode(&label, bytes)?));
            }
        }
    }
    files.sort();
    Ok(files)
}

/// Reads and checks all files. A later figure of the same place and id takes
/// the place of an earlier one, so that a user's own folder can follow the
/// built-in files.
#[must_use]
pub fn load(files: &[ReferenceFile]) -> (Tables, Findings) {
    Loader::default().all(&files.iter().collect::<Vec<_>>())
}

/// As [`load`], but only what one place needs: its own folder and those it lies
/// within. Everything where there is no such place, so that it can be said
/// which there are. What only the whole shows is not checked.
#[must_use]
pub fn load_for(files: &[ReferenceFile], place: &str) -> (Tables, Findings) {
    let mut needed: Vec<&str> = Vec::new();
    let mut next = Some(place);
    while let Some(folder) = next.take().filter(|folder| !needed.contains(folder)) {
        let about = files.iter().rev().find(|(path, _)| path.strip_suffix("/place.yaml") == Some(folder));
        let Some((_, text)) = about else { return load(files) };
        needed.push(folder);
        next = text.lines().find_map(|line| line.strip_prefix("within:")).map(str::trim);
    }
    let needed = |path: &str| path.rsplit_once('/').is_none_or(|(folder, _)| needed.contains(&folder));
    let files: Vec<&ReferenceFile> = files.iter().filter(|(path, _)| needed(path)).collect();
    Loader { part: true, ..Loader::default() }.all(&files)
}

/// The records of a file as serde reads them.
type Records = Result<serde_yaml::Mapping, String>;

/// A file read as YAML: a tree that knows its places, and serde's values.
struct Parsed {
    tree: Option<Node>,
    records: Records,
    findings: Findings,
}

fn parsed((path, text): &ReferenceFile) -> Parsed {
    let mut findings = Findings::new();
    let tree = text::parse(&format!("reference/{path}"), text, &mut findings);
    let records = serde_yaml::from_str(text).map_err(|e: serde_yaml::Error| e.to_string());
    Parsed { tree, records, findings }
}

#[derive(Default)]
struct Loader {
    /// Whether only some places are read.
    part: bool,
    tables: Tables,
    findings: Findings,
    /// Sources that some figure names, with the first line that does.
    used: BTreeMap<String, Place>,
    source_lines: BTreeMap<String, Place>,
    /// Figures whose place has no `place.yaml` (yet).
    waiting: Vec<Figure>,
}

impl Loader {
    fn fault(&mut self, place: &Place, found: impl Into<String>, accepts: &str) {
        self.findings.push(Finding::error("reference", place, found).accepts(accepts));
    }

    fn all(mut self, files: &[&ReferenceFile]) -> (Tables, Findings) {
        self.tables.files = files.iter().map(|(path, text)| Mark::of(path, text)).collect();
        let (outlines, files): (Vec<_>, Vec<_>) = files.iter().copied().partition(|(path, _)| path == outlines::FILE);
        for ((path, text), parsed) in files.iter().zip(cores::each(&files, |file| parsed(file))) {
            self.file(path, text, parsed);
        }
        self.outlines(&outlines);
        self.cross_check();
        (self.tables, self.findings)
    }

    /// The outlines, looked at as a whole only where everything is.
    fn outlines(&mut self, files: &[&ReferenceFile]) {
        self.tables.outlines = Outlines::of_texts(files.iter().map(|(_, text)| text.as_str()));
        for (source, place) in self.tables.outlines.sources() {
            self.used.entry(source).or_insert(place);
        }
        if !self.part {
            self.findings.extend(self.tables.outlines.faults());
        }
    }

    fn file(&mut self, path: &str, text: &str, parsed: Parsed) {
        let shown = format!("reference/{path}");
        self.findings.extend(parsed.findings);
        let Some(tree) = parsed.tree else {
            return;
        };
        match path.rsplit_once('/') {
            None if path == "sources.yaml" => self.sources(&tree, parsed.records),
            None => self.fault(
                &Place::file(&shown),
                "a file beside the places",
                "sources.yaml, states.yaml, or a folder a place",
            ),
            Some((place, "place.yaml")) => self.place(place, &shown, text),
            Some((place, _)) => self.figures(place, &tree, parsed.records),
        }
    }

    /// The records of a file, each with its key and place. Serde reads the
    /// values; the tree tells where they stand.
    fn records(&mut self, tree: &Node, records: Records) -> Vec<(String, Place, serde_yaml::Value)> {
        let Kind::Map(entries) = &tree.kind else {
            self.fault(&tree.place, "the file is not a block of records", "records, each under its own key");
            return Vec::new();
        };
        match records {
            Ok(map) => entries
                .iter()
                .filter_map(|(key, place, _)| Some((key.clone(), place.clone(), map.get(key.as_str())?.clone())))
                .collect(),
            Err(e) => {
                self.fault(&tree.place, format!("cannot be read: {e}"), "YAML");
                Vec::new()
            }
        }
    }

    fn sources(&mut self, tree: &Node, records: Records) {
        for (key, place, value) in self.records(tree, records) {
            let read = match serde_yaml::from_value::<WrittenSource>(value) {
                Ok(read) => read,
                Err(e) => {
                    self.fault(&place, format!("source `{key}`: {e}"), "title, publisher, year, address, note");
                    continue;
                }
            };
            let (Some(title), Some(publisher), Some(year)) = (read.title, read.publisher, read.year) else {
                self.fault(&place, format!("source `{key}` lacks title, publisher or year"), "all three");
                continue;
            };
            self.source_lines.insert(key.clone(), place);
            let year = scalar_text(&year);
            self.tables.sources.insert(key, Source { title, publisher, year, address: read.address });
        }
    }

    fn place(&mut self, key: &str, shown: &str, text: &str) {
        let at = Place::file(shown);
        let read = match serde_yaml::from_str::<WrittenPlace>(text) {
            Ok(read) => read,
            Err(e) => {
                return self.fault(&at, e.to_string(), "name, within, decides, regions, soil_test, inherits");
            }
        };
        let (Some(name), Some(decides)) = (read.name, read.decides) else {
            return self.fault(&at, "the place lacks `name` or `decides`", "both");
        };
        let mut inherits = BTreeMap::new();
        for (topic, how) in read.inherits {
            let parsed = match how.as_str() {
                "from_within" => Some(Inherits::FromWithin),
                "stricter_of" => Some(Inherits::StricterOf),
                "replaces" => Some(Inherits::Replaces),
                _ => None,
            };
            match (Topic::named(&topic), parsed) {
                (Some(topic), Some(how)) => {
                    inherits.insert(topic, how);
                }
                _ => self.fault(
                    &at,
                    format!("inherits: `{topic}: {how}`"),
                    "a topic with from_within, stricter_of or replaces",
                ),
            }
        }
        let asks = self.asks(&at, &read.asks);
        let soil = read.soil_test;
        let part =
            |get: fn(&super::written::WrittenSoilTest) -> &Option<String>| soil.as_ref().and_then(|s| get(s).clone());
        let table = PlaceTable {
            key: key.to_string(),
            name,
            within: read.within,
            decides,
            regions: read.regions.iter().map(|r| text::key_of(r)).collect(),
            extractant: part(|s| &s.extractant).map(|e| text::key_of(&e)),
            p_unit: part(|s| &s.p_unit),
            k_unit: part(|s| &s.k_unit),
            inherits,
            asks,
            checks: read.checks,
            figures: Vec::new(),
        };
        self.tables.places.insert(key.to_string(), table);
    }

    /// The topics of which the place asks the grower.
    fn asks(&mut self, at: &Place, written: &[String]) -> Vec<Topic> {
        let mut asks = Vec::new();
        for key in written {
            match Topic::named(key) {
                Some(topic) => asks.push(topic),
                None => self.fault(at, format!("asks: `{key}`"), "topics of the list in reference/about.md"),
            }
        }
        asks
    }

    fn figures(&mut self, of: &str, tree: &Node, records: Records) {
        for (id, line, value) in self.records(tree, records) {
            let read = match serde_yaml::from_value::<WrittenFigure>(value) {
                Ok(read) => read,
                Err(e) => {
                    self.fault(&line, format!("figure `{id}`: {e}"), "a figure as reference/about.md describes it");
                    continue;
                }
            };
            if let Some(figure) = self.figure(of, &id, line, read) {
                let band = (figure.topic == Topic::Plausible).then(|| Thing::fault(&figure)).flatten();
                if let Some((found, accepts)) = band {
                    self.fault(&figure.line, found, &accepts);
                }
                self.waiting.push(figure);
            }
        }
    }

    fn figure(&mut self, of: &str, id: &str, line: Place, read: WrittenFigure) -> Option<Figure> {
        let what = read.what.filter(|w| !w.trim().is_empty());
        let topic = read.topic.as_deref().and_then(Topic::named);
        let seen = read.seen.as_deref().and_then(|s| s.parse::<Date>().ok());
        if let Some(half) = read.seen.as_ref().filter(|_| seen.is_none()) {
            self.fault(&line, format!("figure `{id}`: seen `{half}` is not a date"), "a full date, 2026-11-25");
        }
        if topic.is_none() {
            let found = format!("figure `{id}`: topic `{}`", read.topic.unwrap_or_default());
            self.fault(&line, found, "a topic of the list in reference/about.md");
        }
        for (missing, name) in [
            (what.is_none(), "what"),
            (read.unit.is_none(), "unit"),
            (read.from.is_empty(), "from"),
            (read.seen.is_none(), "seen"),
        ] {
            if missing {
                self.fault(
                    &line,
                    format!("figure `{id}` has no `{name}`"),
                    "what, unit, from and seen in every figure",
                );
            }
        }
        let (topic, unit) = (topic?, read.unit?);
        if !topic.units().is_empty() && !topic.units().contains(&unit.as_str()) {
            self.fault(&line, format!("figure `{id}`: unit `{unit}`"), &topic.units().join(", "));
        }
        let mut applies = BTreeMap::new();
        for (key, value) in read.applies {
            if !topic.scope().contains(&key.as_str()) {
                self.fault(&line, format!("figure `{id}`: scope key `{key}`"), &topic.scope().join(", "));
            }
            applies.insert(key, text::key_of(&scalar_text(&value)));
        }
        let editions = self.editions(id, &line, topic, read.from);
        let others = read.others.into_iter().filter_map(|o| self.other(id, &line, o)).collect();
        let of = of.to_string();
        Some(Figure { id: id.to_string(), of, topic, what: what?, unit, applies, editions, seen: seen?, others, line })
    }

    fn editions(
        &mut self,
        id: &str,
        line: &Place,
        topic: Topic,
        from: BTreeMap<String, WrittenEdition>,
    ) -> Vec<Edition> {
        let mut editions = Vec::new();
        for (date, read) in from {
            let Ok(date) = date.parse::<Date>() else {
                self.fault(line, format!("figure `{id}`: `{date}` is not a date"), "a full date, 2014-06-01");
                continue;
            };
            let known = read.known.as_deref().and_then(known);
            let shape = self.shape(id, line, topic, &read);
            let missing: Vec<&str> = [
                (shape.is_none(), "value"),
                (read.source.is_none(), "source"),
                (read.at.is_none(), "at"),
                (known.is_none(), "known"),
            ]
            .into_iter()
            .filter_map(|(missing, name)| missing.then_some(name))
            .collect();
            let (Some(source), Some(at), Some(known), Some(shape)) = (read.source, read.at, known, shape) else {
                self.fault(
                    line,
                    format!("figure `{id}` from {date} lacks its papers: {}", missing.join(", ")),
                    "a value of the topic's form, source, at, and known (read, memory, common practice)",
                );
                continue;
            };
            self.used.entry(source.clone()).or_insert_with(|| line.clone());
            editions.push(Edition { from: date, shape, source, at, known, note: read.note });
        }
        editions.sort_by_key(|e| e.from);
        editions
    }

    fn shape(&mut self, id: &str, line: &Place, topic: Topic, read: &WrittenEdition) -> Option<Shape> {
        let written = [
            read.value.is_some(),
            read.steps.is_some(),
            read.curve.is_some(),
            read.season.is_some(),
            read.words.is_some(),
            read.band.is_some(),
        ];
        if written.iter().filter(|w| **w).count() != 1 {
            self.fault(
                line,
                format!("figure `{id}` has no value, or more than one"),
                "one of value, steps, curve, season, words, band",
            );
            return None;
        }
        let shape = match read {
            WrittenEdition { value: Some(serde_yaml::Value::Null), .. } => return Some(Shape::Withdrawn),
            WrittenEdition { value: Some(v), .. } => Shape::Number(v.as_f64().filter(|n| n.is_finite() && *n >= 0.0)?),
            WrittenEdition { steps: Some(steps), .. } => self.steps(id, line, steps)?,
            WrittenEdition { curve: Some(c), .. } => Shape::Curve { a: c.a, b: c.b, c: c.c },
            WrittenEdition { season: Some(s), .. } => {
                Shape::Season(Season { opens: month_day(&s.opens)?, closes: month_day(&s.closes)? })
            }
            WrittenEdition { words: Some(w), .. } => Shape::Words(w.trim().to_string()),
            WrittenEdition { band: Some(b), .. } => Shape::Band(b.band()?),
            _ => return None,
        };
        let form = topic.form();
        let right = match shape {
            Shape::Number(_) => matches!(form, Form::Number | Form::NumberOrCurve),
            Shape::Curve { .. } => form == Form::NumberOrCurve,
            Shape::Steps(_) => form == Form::Steps,
            Shape::Season(_) => form == Form::Season,
            Shape::Words(_) => form == Form::Words,
            Shape::Band(_) => form == Form::Band,
            Shape::Withdrawn => true,
        };
        right.then_some(shape)
    }

    fn steps(&mut self, id: &str, line: &Place, written: &[super::written::WrittenStep]) -> Option<Shape> {
        let rising = written.windows(2).all(|w| match (w[0].up_to, w[1].up_to) {
            (Some(a), Some(b)) => a < b,
            (Some(_), None) => true,
            (None, _) => false,
        });
        if !rising || written.last().is_none_or(|s| s.up_to.is_some()) {
            self.fault(
                line,
                format!("figure `{id}`: its steps overlap or leave a gap"),
                "rising `up_to` values and a last step without one",
            );
            return None;
        }
        Some(Shape::Steps(written.iter().map(|s| Step { up_to: s.up_to, is: s.is.clone() }).collect()))
    }

    fn other(&mut self, id: &str, line: &Place, read: WrittenOther) -> Option<Other> {
        let known = read.known.as_deref().and_then(known);
        let (Some(source), Some(at), Some(known), Some(why_not)) = (read.source, read.at, known, read.why_not) else {
            self.fault(
                line,
                format!("figure `{id}`: an entry of `others` lacks its papers"),
                "value, source, at, known, why_not",
            );
            return None;
        };
        self.used.entry(source.clone()).or_insert_with(|| line.clone());
        Some(Other { value: scalar_text(&read.value), source, at, known, why_not })
    }

    /// Puts the figures into their places, and checks what only the whole
    /// shows: places that do not exist, sources nobody uses, figures that
    /// answer the same question.
    fn cross_check(&mut self) {
        for figure in std::mem::take(&mut self.waiting) {
            let Some(place) = self.tables.places.get_mut(&figure.of) else {
                let found = format!("the folder `{}` has no place.yaml", figure.of);
                self.fault(&figure.line, found, "a place.yaml in every folder");
                continue;
            };
            place.figures.retain(|f| f.id != figure.id);
            place.figures.push(figure);
        }
        let mut faults = Vec::new();
        for place in self.tables.places.values() {
            if let Some(within) = place.within.as_ref().filter(|w| !self.tables.places.contains_key(*w)) {
                faults.push((
                    Place::file(&format!("reference/{}/place.yaml", place.key)),
                    format!("within: `{within}` is not a place"),
                ));
            }
            let mut seen: BTreeMap<(Topic, &BTreeMap<String, String>), &Figure> = BTreeMap::new();
            for figure in &place.figures {
                if let Some(first) = seen.insert((figure.topic, &figure.applies), figure) {
                    faults.push((
                        figure.line.clone(),
                        format!("`{}` and `{}` answer the same question", first.id, figure.id),
                    ));
                }
            }
        }
        for (key, line) in &self.source_lines {
            if !self.part && !self.used.contains_key(key) {
                faults.push((line.clone(), format!("no figure uses the source `{key}`")));
            }
        }
        for (key, line) in &self.used {
            if !self.tables.sources.contains_key(key) {
                faults.push((line.clone(), format!("source `{key}` is not in sources.yaml")));
            }
        }
        for (line, found) in faults {
            self.fault(&line, found, "one figure a question, every place and source there and used");
        }
    }
}
