//! Boundaries as a file gives them, before anything is fixed.

use crate::exchange::prj::System;
use crate::findings::Place;
use crate::text::composed;
use geo::Coord;

/// A file as it came, and the files that belong to it.
#[derive(Clone, Debug, Default)]
pub struct Source {
    /// Name of the file, for messages.
    pub name: String,
    /// What is in it.
    pub bytes: Vec<u8>,
    /// Files of the same name beside it, by their ending in lower case: `dbf`, `prj`, `cpg`.
    pub beside: Vec<(String, Vec<u8>)>,
}

impl Source {
    /// The file beside it with this ending.
    pub(super) fn beside(&self, ending: &str) -> Option<&[u8]> {
        self.beside.iter().find(|(own, _)| own == ending).map(|(_, bytes)| bytes.as_slice())
    }
}

/// The corners of a ring or a line, in the numbers of the file.
pub(super) type Corners = Vec<Coord<f64>>;

/// Properties that hold a name.
pub(super) const NAMES: [&str; 7] = ["name", "field_name", "fieldname", "field name", "label", "title", "full_name"];

/// One feature of a file.
#[derive(Clone, Debug, Default)]
pub(super) struct Given {
    /// How it is called in messages.
    pub(super) label: String,
    /// Where it stands.
    pub(super) place: Place,
    /// Its properties, as text.
    pub(super) properties: Vec<(String, String)>,
    /// Polygons: the outer ring, then its holes.
    pub(super) parts: Vec<Vec<Corners>>,
    /// Rings of which the file does not say which is a hole in which.
    pub(super) loose: Vec<Corners>,
    /// Lines that are no rings.
    pub(super) lines: Vec<Corners>,
    /// Points.
    pub(super) spots: Corners,
    /// The folders it lies in, the innermost first; then its layer and its file.
    pub(super) within: Vec<String>,
    /// How many of these are folders.
    pub(super) folders: usize,
    /// Whether the user said what it is.
    pub(super) chosen: bool,
    /// How many corners carried a height.
    pub(super) heights: usize,
}

impl Given {
    /// Composes the accents of everything that names it.
    pub(super) fn compose(&mut self) {
        let names = self.properties.iter_mut().flat_map(|(name, value)| [name, value]);
        names.chain(&mut self.within).chain([&mut self.label]).for_each(|text| *text = composed(text.as_str()));
    }

    /// The value of a property, its name in any case.
    pub(super) fn property(&self, name: &str) -> Option<&str> {
        let found = self.properties.iter().find(|(own, _)| own.eq_ignore_ascii_case(name));
        found.map(|(_, value)| value.trim()).filter(|value| !value.is_empty())
    }

    /// Its name, when a property holds one.
    pub(super) fn name(&self) -> Option<&str> {
        NAMES.iter().find_map(|key| self.property(key))
    }

    /// What it is called by where a user names it: its name, or else its number.
    pub(super) fn called(&self) -> &str {
        self.name().unwrap_or(&self.label)
    }

    /// All names by which a user may speak of it, the nearest first.
    pub(super) fn names(&self) -> impl Iterator<Item = &str> {
        let values = self.properties.iter().map(|(_, value)| value.as_str());
        let own = self.name().into_iter().chain([self.label.as_str()]);
        own.chain(values).chain(self.within.iter().map(String::as_str)).filter(|name| !name.trim().is_empty())
    }

    /// Whether this is the name of one of its folders.
    pub(super) fn in_folder(&self, name: &str) -> bool {
        self.within.iter().take(self.folders).any(|own| own == name)
    }

    /// How it is drawn and where it lies, in brackets.
    pub(super) fn lies(&self) -> String {
        let drawn = if self.has_areas() {
            "an area"
        } else if self.lines.is_empty() {
            "a point"
        } else {
            "a line"
        };
        self.within.first().map_or_else(|| format!(" ({drawn})"), |folder| format!(" ({drawn} in {folder})"))
    }

    /// Whether it has areas, with or without lines and points.
    pub(super) fn has_areas(&self) -> bool {
        !self.parts.is_empty() || !self.loose.is_empty()
    }

    /// Whether it has neither areas nor lines.
    pub(super) fn only_points(&self) -> bool {
        !self.has_areas() && self.lines.is_empty()
    }

    /// The option that leaves it out.
    pub(super) fn left_out_by(&self) -> String {
        format!("--leave-out \"{}\"", self.called())
    }

    /// All its corners.
    pub(super) fn corners(&self) -> impl Iterator<Item = Coord<f64>> {
        let rings = self.parts.iter().flatten().chain(&self.loose).chain(&self.lines);
        rings.flatten().chain(&self.spots).copied()
    }

    /// Changes every corner.
    pub(super) fn change(&mut self, change: impl Fn(Coord<f64>) -> Coord<f64>) {
        let rings = self.parts.iter_mut().flatten().chain(&mut self.loose).chain(&mut self.lines);
        for corner in rings.flatten().chain(&mut self.spots) {
            *corner = change(*corner);
        }
    }

    /// Whether it has nothing to draw at all.
    pub(super) fn empty(&self) -> bool {
        self.corners().next().is_none()
    }
}

/// All features of one file.
#[derive(Clone, Debug, Default)]
pub(super) struct Bundle {
    /// Its name.
    pub(super) name: String,
    /// The features.
    pub(super) features: Vec<Given>,
    /// What its numbers stand for, when it says so itself.
    pub(super) system: Option<System>,
    /// Whether outer rings run clockwise by the rule of the format.
    pub(super) clockwise: bool,
}
