//! KML, as phones and web maps write it (OGC 07-147r2, 12-007r2).
//!
//! Read event by event: what is not a placemark with a polygon or a line is passed over. A
//! document type is refused, so that no entity is ever unfolded.

use crate::exchange::given::{Bundle, Corners, Given};
use crate::exchange::kml_numbers;
use crate::exchange::place::Lines;
use crate::findings::{Finding, Findings};
use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};

/// Deepest nesting that is read.
const DEEPEST: usize = 128;

/// What may hold or show ground and is not read, and what becomes of it.
const UNREAD: [(&str, &str, &str); 5] = [
    ("NetworkLink", "network link", "points to another file, which is not read"),
    ("GroundOverlay", "picture over the ground", "has no boundary in it, and is not read"),
    ("ScreenOverlay", "picture over the screen", "has no boundary in it, and is not read"),
    ("PhotoOverlay", "photograph", "has no boundary in it, and is not read"),
    ("Tour", "tour", "has no boundary in it, and is not read"),
];

/// Reads the text of a KML file. `None` when its form is broken.
pub(super) fn read(name: &str, text: &str, findings: &mut Findings) -> Option<Bundle> {
    let mut state = State {
        lines: Lines::new(name, text),
        file: Bundle { name: name.to_string(), ..Bundle::default() },
        path: Vec::new(),
        folders: Vec::new(),
        opened: Vec::new(),
        homes: Vec::new(),
        open: None,
        text: String::new(),
        text_at: 0,
        key: String::new(),
        spaced: false,
        unread: None,
        refused: false,
        findings,
    };
    let mut reader = Reader::from_str(text);
    loop {
        let before = offset(reader.buffer_position());
        let going = match reader.read_event() {
            Ok(Event::Start(start)) => state.start(&start, before),
            Ok(Event::Empty(start)) => state.start(&start, before) && state.end(),
            Ok(Event::End(_)) => state.end(),
            Ok(Event::Text(text)) => state.add(&text.xml10_content(), before),
            Ok(Event::CData(text)) => state.add(&text.xml10_content(), before),
            Ok(Event::GeneralRef(entity)) => {
                let own = entity.xml10_content();
                let letter = match own.as_ref() {
                    "amp" => Some('&'),
                    "lt" => Some('<'),
                    "gt" => Some('>'),
                    "quot" => Some('"'),
                    "apos" => Some('\''),
                    _ => entity.resolve_char_ref().ok().flatten(),
                };
                state.add(&letter.unwrap_or('\u{fffd}').to_string(), before)
            }
            Ok(Event::DocType(_)) => state.refuse(before, "a document type (DTD) is here, which is not read"),
            Ok(Event::Eof) => break,
            Ok(_) => true,
            Err(e) => {
                let at = offset(reader.error_position());
                state.refuse(at, &format!("the file is not whole XML: {e}"))
            }
        };
        if !going {
            return None;
        }
    }
    state.finish(text.len())
}

fn offset(position: u64) -> usize {
    usize::try_from(position).unwrap_or(usize::MAX)
}

struct State<'a> {
    lines: Lines<'a>,
    file: Bundle,
    /// Names of the open elements, without prefix.
    path: Vec<String>,
    /// All folders.
    folders: Vec<FolderRead>,
    /// The folders that are open.
    opened: Vec<usize>,
    /// The folder of each placemark.
    homes: Vec<Option<usize>>,
    /// The placemark that is being read.
    open: Option<Given>,
    text: String,
    text_at: usize,
    /// Name of the piece of data that is being read.
    key: String,
    spaced: bool,
    /// Where something of [`UNREAD`] starts, and its name.
    unread: Option<(usize, String)>,
    /// Whether the placemark that is being read was refused already.
    refused: bool,
    findings: &'a mut Findings,
}

impl State<'_> {
    fn refuse(&mut self, at: usize, found: &str) -> bool {
        self.findings.push(
            Finding::error("import-kml", &self.lines.place(at), found)
                .accepts("a KML file as a map program writes it")
                .fix("export the file again, and do not edit it by hand"),
        );
        false
    }

    fn add(&mut self, text: &str, at: usize) -> bool {
        if self.text.is_empty() {
            self.text_at = at;
        }
        self.text.push_str(text);
        true
    }

    fn inside(&self, name: &str) -> bool {
        self.path.iter().any(|own| own == name)
    }

    fn start(&mut self, start: &BytesStart<'_>, at: usize) -> bool {
        let name = start.local_name().into_inner().to_string();
        if self.path.is_empty() && name == "gpx" {
            return self.refuse(at, "the file is GPX, which carries points and tracks but no boundary");
        }
        if self.path.len() >= DEEPEST {
            return self.refuse(at, "elements are nested too deep");
        }
        self.text.clear();
        match name.as_str() {
            "Placemark" if self.open.is_some() => return self.refuse(at, "a placemark is inside a placemark"),
            "Placemark" => {
                let label = format!("placemark {}", self.file.features.len() + 1);
                self.refused = false;
                self.open = Some(Given { label, place: self.lines.place(at), ..Given::default() });
            }
            "Data" | "SimpleData" => {
                let named = start.attributes().flatten().find(|a| a.key.local_name().into_inner() == "name");
                self.key = named.map_or_else(String::new, |a| a.value.to_string());
            }
            unread if UNREAD.iter().any(|(own, ..)| *own == unread) => self.unread = Some((at, String::new())),
            "Polygon" => {
                if let Some(open) = &mut self.open {
                    open.parts.push(Vec::new());
                }
            }
            "Track" => {
                if let Some(open) = &mut self.open {
                    open.lines.push(Vec::new());
                }
            }
            "Folder" | "Document" => {
                self.folders.push(FolderRead { within: self.opened.last().copied(), name: String::new() });
                self.opened.push(self.folders.len() - 1);
            }
            _ => {}
        }
        self.path.push(name);
        true
    }

    fn end(&mut self) -> bool {
        let name = self.path.pop().unwrap_or_default();
        let text = std::mem::take(&mut self.text);
        let parent = self.path.last().map_or("", String::as_str);
        match name.as_str() {
            "name" if parent == "Placemark" => self.property("name", &text),
            "name" if UNREAD.iter().any(|(own, ..)| *own == parent) => {
                if let Some((_, name)) = &mut self.unread {
                    *name = text.trim().to_string();
                }
            }
            "value" if parent == "Data" => self.property(&self.key.clone(), &text),
            "SimpleData" => self.property(&self.key.clone(), &text),
            "coordinates" => return self.coordinates(&text),
            "name" if parent == "Folder" || parent == "Document" => {
                if let Some(folder) = self.opened.last().and_then(|i| self.folders.get_mut(*i)) {
                    folder.name = text.trim().to_string();
                }
            }
            "Folder" | "Document" => {
                self.opened.pop();
            }
            "coord" => return self.coordinates(&text.split_whitespace().collect::<Vec<_>>().join(",")),
            "Placemark" => {
                if let Some(mut given) = self.open.take() {
                    given.parts.retain(|part| !part.is_empty());
                    given.lines.retain(|line| !line.is_empty());
                    self.homes.push(self.opened.last().copied());
                    if let Some(called) = given.property("name").map(str::to_string) {
                        given.label = called;
                    }
                    if self.refused {
                        self.homes.pop();
                    } else {
                        self.file.features.push(given);
                    }
                }
            }
            other => self.pass_over(other),
        }
        true
    }

    /// Reports what is not read, where an element of it ends.
    fn pass_over(&mut self, element: &str) {
        let Some((_, what, why)) = UNREAD.iter().find(|(own, ..)| *own == element) else { return };
        let Some((at, name)) = self.unread.take() else { return };
        let named = if name.is_empty() { String::new() } else { format!(" `{name}`") };
        let fix = match element {
            "NetworkLink" => "open it in a map program, save what it shows as a KML file, and import that file too",
            _ => "where a boundary shows in it, draw it in a map program and export it again",
        };
        let found = format!("the {what}{named} {why}");
        self.findings.push(Finding::warning("import-unread", &self.lines.place(at), found).fix(fix));
    }

    fn property(&mut self, key: &str, value: &str) {
        if let Some(open) = self.open.as_mut().filter(|_| !key.is_empty()) {
            open.properties.push((key.to_string(), value.trim().to_string()));
        }
    }

    fn coordinates(&mut self, text: &str) -> bool {
        let numbers = match kml_numbers::read(text) {
            Ok(numbers) => numbers,
            Err((at, why)) => {
                let label = self.open.as_ref().map_or("a shape outside of any placemark", |o| o.label.as_str());
                let name = self.open.as_ref().and_then(|o| o.property("name")).unwrap_or(label);
                let found = format!("{name}: {why}");
                let place = self.lines.place(self.text_at + at);
                self.refused = true;
                self.findings.push(
                    Finding::error("import-numbers", &place, found)
                        .accepts("longitude,latitude or longitude,latitude,height, corners parted by spaces"),
                );
                return true;
            }
        };
        self.spaced |= numbers.spaced;
        let (hole, polygon, ring) = (self.inside("innerBoundaryIs"), self.inside("Polygon"), self.inside("LinearRing"));
        let (line, track) = (self.inside("LineString"), self.inside("Track"));
        let Some(open) = &mut self.open else { return true };
        if numbers.corners.is_empty() {
            return true;
        }
        if polygon || ring || line {
            open.heights += numbers.heights;
        }
        if polygon {
            keep_ring(open, hole, numbers.corners);
        } else if ring {
            open.parts.push(vec![numbers.corners]);
        } else if line {
            open.lines.push(numbers.corners);
        } else if let Some(track) = open.lines.last_mut().filter(|_| track) {
            track.extend(numbers.corners);
        } else {
            open.spots.extend(numbers.corners);
        }
        true
    }

    fn finish(mut self, length: usize) -> Option<Bundle> {
        if !self.path.is_empty() {
            let name = self.path.last().cloned().unwrap_or_default();
            self.refuse(length, &format!("the file ends inside of <{name}>: it was cut off"));
            return None;
        }
        if self.spaced {
            let found = "spaces stand around the commas between numbers; they were passed over";
            self.findings.push(Finding::note("import-numbers", &self.lines.place(0), found));
        }
        // A folder may say its name after what is in it.
        for (given, home) in self.file.features.iter_mut().zip(&self.homes) {
            let mut at = *home;
            while let Some(folder) = at.and_then(|i| self.folders.get(i)) {
                given.within.extend(Some(folder.name.clone()).filter(|name| !name.is_empty()));
                // The whole document is named like a file.
                if folder.within.is_some() {
                    given.folders = given.within.len();
                }
                at = folder.within;
            }
        }
        Some(self.file)
    }
}

/// A folder or the whole document.
struct FolderRead {
    /// Which folder it lies in.
    within: Option<usize>,
    name: String,
}

/// A ring of a polygon: a hole, or the outer ring; a second outer ring begins a part of its own.
fn keep_ring(open: &mut Given, hole: bool, corners: Corners) {
    match open.parts.last_mut() {
        // A hole that comes before its outer ring waits behind an empty one.
        Some(part) if hole && part.is_empty() => part.extend([Vec::new(), corners]),
        Some(part) if hole => part.push(corners),
        Some(part) if part.first().is_none_or(Vec::is_empty) => {
            part.drain(..part.len().min(1));
            part.insert(0, corners);
        }
        _ => open.parts.push(vec![corners]),
    }
}
