//! Reading `reference/`: which files, and what only the whole of them shows.

use crate::cores;
use crate::findings::{At, Finding, Findings, Place};
use crate::tables::figure::{Edition, Figure, PlaceTable, Tables};
use crate::tables::outlines::{self, Outlines};
use crate::tables::read::{Records, SOURCES};
use crate::tables::topic::{self, Topic};
use crate::tables::value::Shape;
use crate::text::{self, Mark};
use std::collections::{BTreeMap, BTreeSet};
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
            if let (true, Some(text)) = (is_read(&path), file.contents_utf8()) {
                files.push((path, text.to_string()));
            }
        }
    }
    files.sort();
    files
}

/// Whether a file below `reference/` holds figures: YAML, and not of the
/// template of a place.
fn is_read(path: &str) -> bool {
    path.ends_with(".yaml") && !path.starts_with('_')
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
                continue;
            }
            let label = format!("{below}{name}");
            if is_read(&label) {
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
    let key = key_of(files, place);
    let folder = |key: &str| files.iter().any(|(path, _)| path.strip_suffix("/place.yaml") == Some(key));
    // Of a state without a folder its country is all that is known.
    let bare = key.split_once('-').map(|(country, _)| country).filter(|country| !folder(&key) && folder(country));
    let mut needed: Vec<&str> = Vec::new();
    let mut next = Some(bare.filter(|_| outlined(files, &key)).unwrap_or(&key));
    while let Some(folder) = next.take().filter(|folder| !needed.contains(folder)) {
        let about = files.iter().rev().find(|(path, _)| path.strip_suffix("/place.yaml") == Some(folder));
        let Some((_, text)) = about else { return load(files) };
        needed.push(folder);
        next = text.lines().find_map(|line| line.strip_prefix("within:")).map(str::trim);
    }
    // A place may name a source that another one keeps.
    let needed =
        |path: &str| path.rsplit_once('/').is_none_or(|(folder, file)| file == SOURCES || needed.contains(&folder));
    let files: Vec<&ReferenceFile> = files.iter().filter(|(path, _)| needed(path)).collect();
    Loader { part: true, ..Loader::default() }.all(&files)
}

/// Where the states end, by the files.
fn outlines_of(files: &[ReferenceFile]) -> Outlines {
    Outlines::of_texts(files.iter().filter(|(path, _)| path == outlines::FILE).map(|(_, text)| text.as_str()))
}

/// Whether a place has an outline.
fn outlined(files: &[ReferenceFile], key: &str) -> bool {
    outlines_of(files).names().iter().any(|(own, _)| *own == key)
}

/// The key of a place that is said by its key, its code or its name; what is said where it
/// is none. A folder comes first, since a user's own needs no outline.
fn key_of(files: &[ReferenceFile], said: &str) -> String {
    let folders = || files.iter().filter_map(|(path, text)| Some((path.strip_suffix("/place.yaml")?, text)));
    if folders().any(|(key, _)| key == said) {
        return said.to_string();
    }
    let plain = said.trim().to_lowercase();
    let name = |text: &str| text.lines().find_map(|line| line.strip_prefix("name:")).map(|n| n.trim().to_lowercase());
    let own = folders().find(|(key, text)| *key == plain || name(text).is_some_and(|name| name == plain));
    own.map(|(key, _)| key.to_string()).or_else(|| outlines_of(files).named(said)).unwrap_or_else(|| said.to_string())
}

#[derive(Default)]
struct Loader {
    /// Whether only some places are read.
    part: bool,
    tables: Tables,
    findings: Findings,
    /// Every source that is named, where it is.
    used: Vec<At<String>>,
    source_lines: BTreeMap<String, Place>,
    /// Figures whose place has no `place.yaml` (yet).
    waiting: Vec<Figure>,
}

impl Loader {
    fn all(mut self, files: &[&ReferenceFile]) -> (Tables, Findings) {
        self.tables.files = cores::each(files, |(path, text)| Mark::of(path, text));
        let (outlines, files): (Vec<_>, Vec<_>) = files.iter().copied().partition(|(path, _)| path == outlines::FILE);
        for records in cores::each(&files, |(path, text)| Records::of(path, text)) {
            self.take(records);
        }
        self.outlines(&outlines);
        self.cross_check();
        (self.tables, self.findings)
    }

    fn take(&mut self, records: Records) {
        self.findings.extend(records.findings);
        for (key, line, source) in records.sources {
            self.source_lines.insert(key.clone(), line);
            self.tables.sources.insert(key, source);
        }
        self.used.extend(records.used);
        self.tables.places.extend(records.place.map(|table| (table.key.clone(), table)));
        self.waiting.extend(records.figures);
    }

    /// The outlines, looked at as a whole only where everything is.
    fn outlines(&mut self, files: &[&ReferenceFile]) {
        self.tables.outlines = Outlines::of_texts(files.iter().map(|(_, text)| text.as_str()));
        self.used.extend(self.tables.outlines.sources());
        if !self.part {
            self.findings.extend(self.tables.outlines.faults());
        }
        let names = self.tables.outlines.names();
        let bare = names.into_iter().filter_map(|(key, name)| {
            let country = self.tables.places.get(key.split_once('-')?.0)?;
            (!self.tables.places.contains_key(key)).then(|| (key.to_string(), PlaceTable::bare(key, name, country)))
        });
        self.tables.bare = bare.collect();
    }

    /// Puts the figures into their places, and checks what only the whole
    /// shows: places that do not exist, sources nobody uses, figures that
    /// answer the same question.
    fn cross_check(&mut self) {
        let mut fault = |line: &Place, found: String, accepts: &str| {
            self.findings.push(Finding::error("reference", line, found).accepts(accepts));
        };
        // Of two of one id the later counts, where the later stands.
        let mut seen = BTreeSet::new();
        let mut latest: Vec<Figure> = std::mem::take(&mut self.waiting);
        latest.reverse();
        latest.retain(|figure| seen.insert((figure.of.clone(), figure.id.clone())));
        for figure in latest.into_iter().rev() {
            let Some(place) = self.tables.places.get_mut(&figure.of) else {
                let found = format!("the folder `{}` has no place.yaml", figure.of);
                fault(&figure.line, found, "a place.yaml in every folder");
                continue;
            };
            place.figures.push(figure);
        }
        // A look-up goes to the figures of its topic.
        self.tables.places.values_mut().for_each(|place| place.figures.sort_by_key(|figure| figure.topic));
        let places = &self.tables.places;
        let keys = places.keys().map(String::as_str).collect::<Vec<_>>().join(", ");
        for place in places.values() {
            if let Some(within) = place.within.as_ref().filter(|within| !places.contains_key(*within)) {
                fault(&place.line, format!("within: `{within}` is not a place"), &keys);
            }
            let mut seen: BTreeMap<(Topic, &BTreeMap<String, String>), &Figure> = BTreeMap::new();
            // The rows of a rule hold side by side.
            for figure in place.figures.iter().filter(|figure| figure.topic != topic::P_RULE) {
                if let Some(first) = seen.insert((figure.topic, &figure.applies), figure) {
                    let found = format!("`{}` and `{}` answer the same question", first.id, figure.id);
                    fault(&figure.line, found, "one figure a question; tell them apart under `applies`");
                }
            }
        }
        for (key, line) in &self.source_lines {
            if !self.part && !self.used.iter().any(|used| used.value == *key) {
                fault(line, format!("no figure uses the source `{key}`"), "sources that some figure names");
            }
        }
        self.findings.extend(misspelt(&self.tables.places));
        self.findings.extend(rules_without_a_unit(&self.tables.places));
        for At { value: key, place: line } in &self.used {
            if !self.tables.sources.contains_key(key) {
                let found = format!("source `{key}` is not in sources.yaml");
                self.findings.push(
                    Finding::error("reference", line, found)
                        .accepts("a key of sources.yaml")
                        .fix("add it to sources.yaml, or take the figure out")
                        .near(key, self.tables.sources.keys().map(String::as_str)),
                );
            }
        }
    }
}

/// Keys of a scope whose words are many and open: what is one letter away from a word
/// that more figures use is a misspelling, and its figure would never answer.
const OPEN: [&str; 5] = ["forage", "feature", "material", "season", "extractant"];

/// A row of a phosphorus rule by the soil test means the place's own unit.
fn rules_without_a_unit(places: &BTreeMap<String, PlaceTable>) -> Findings {
    let mut findings = Findings::new();
    for place in places.values().filter(|place| place.p_unit.is_none()) {
        let by_soil = |edition: &Edition| matches!(&edition.shape, Shape::Rule(rule) if rule.when.soil.is_some());
        for figure in place.figures.iter().filter(|figure| figure.editions.iter().any(by_soil)) {
            let found = format!("`{}` goes by the soil test, and the place names no unit of it", figure.id);
            findings.push(
                Finding::error("reference", &figure.line, found).accepts("`soil_test: {p_unit: ...}` in place.yaml"),
            );
        }
    }
    findings
}

/// Words under `applies` that no question of a farm can say.
fn misspelt(places: &BTreeMap<String, PlaceTable>) -> Findings {
    let mut uses: BTreeMap<(&str, &str), usize> = BTreeMap::new();
    let all = || places.values().flat_map(|place| place.figures.iter().map(move |figure| (place, figure)));
    for (key, word) in all().flat_map(|(_, figure)| &figure.applies) {
        *uses.entry((key, word)).or_default() += 1;
    }
    // Many figures share few words: each word is compared once.
    let open = uses.iter().filter(|((key, _), _)| OPEN.contains(key));
    let meant: BTreeMap<(&str, &str), (&str, usize)> = open
        .filter_map(|((key, word), own)| {
            let near = uses.iter().filter(|((of, other), n)| of == key && *n > own && one_letter_apart(other, word));
            let ((_, other), n) = near.max_by_key(|(_, n)| **n)?;
            Some(((*key, *word), (*other, *n)))
        })
        .collect();
    let mut findings = Findings::new();
    for (place, figure) in all() {
        for (key, word) in &figure.applies {
            let tell = |accepts: String| {
                let found = format!("{}: it applies to the {key} `{word}`", figure.id);
                Finding::error("applies-unknown", &figure.line, found).accepts(accepts)
            };
            if key == "region" && !place.regions.contains(word) {
                let known = place.regions.join(", ");
                let finding = tell(format!("a region of place.yaml: {known}"));
                findings.push(finding.near(word, place.regions.iter().map(String::as_str)));
            } else if let Some((other, n)) = meant.get(&(key.as_str(), word.as_str())) {
                let finding = tell(format!("`{other}`, which {n} figures use"));
                findings.push(finding.fix(format!("did you mean `{other}`?")));
            }
        }
    }
    findings
}

/// Whether two words differ by one slip of the pen; one digit for another is another word.
fn one_letter_apart(one: &str, other: &str) -> bool {
    let letters = |word: &str| word.replace(|c: char| c.is_ascii_digit(), "");
    strsim::osa_distance(one, other) == 1 && letters(one) != letters(other)
}
