//! A figure and the tables that hold it.

use crate::findings::{Known, Place};
use crate::tables::outlines::Outlines;
use crate::tables::topic::Topic;
use crate::tables::value::Shape;
use crate::text::Mark;
use crate::units::SoilScale;
use jiff::civil::Date;
use std::collections::BTreeMap;

/// A source, kept once.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Source {
    /// Title as printed.
    pub title: String,
    /// Who published it.
    pub publisher: String,
    /// Year, or a span of years; `NO_YEAR` where it prints none.
    pub year: String,
    /// Address where it can be found, when it has one.
    pub address: Option<String>,
    /// What else finds it: volume and page, the number of a bulletin, the section of
    /// a code.
    pub number: Option<String>,
}

/// A figure from one date on.
#[derive(Clone, Debug, PartialEq)]
pub struct Edition {
    /// First day in force.
    pub from: Date,
    /// The value.
    pub shape: Shape,
    /// Key of the source.
    pub source: String,
    /// Where in the source.
    pub at: String,
    /// How it is known.
    pub known: Known,
    /// A remark.
    pub note: Option<String>,
}

/// What another source says; kept, not used.
#[derive(Clone, Debug, PartialEq)]
pub struct Other {
    /// What it says.
    pub value: String,
    /// Key of the source.
    pub source: String,
    /// Where in the source.
    pub at: String,
    /// How it is known.
    pub known: Known,
    /// Why it is not the one in force.
    pub why_not: String,
}

/// A published figure with its papers.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// Id, unique in its place.
    pub id: String,
    /// Key of the place whose folder it stands in.
    pub of: String,
    /// What kind of figure.
    pub topic: Topic,
    /// What it is, in words.
    pub what: String,
    /// Unit of the value.
    pub unit: String,
    /// What it applies to.
    pub applies: BTreeMap<String, String>,
    /// Its values by date, oldest first.
    pub editions: Vec<Edition>,
    /// Last day that somebody looked and it still stood.
    pub seen: Date,
    /// What other sources say.
    pub others: Vec<Other>,
    /// Where it stands in `reference/`.
    pub line: Place,
}

/// The tables of one place.
#[derive(Clone, Debug)]
pub struct PlaceTable {
    /// Key, as in `us-nc`.
    pub key: String,
    /// Name for people.
    pub name: String,
    /// Key of the place it lies within.
    pub within: Option<String>,
    /// Who decides there.
    pub decides: String,
    /// Regions that a farm must choose from; empty when there are none.
    pub regions: Vec<String>,
    /// Extractant of the place's soil tests, when it has one.
    pub extractant: Option<String>,
    /// Unit of soil-test phosphorus.
    pub p_unit: Option<SoilScale>,
    /// Unit of soil-test potassium.
    pub k_unit: Option<SoilScale>,
    /// The topics that do not come from `within` as most do; see [`PlaceTable::inherits`].
    pub exceptions: BTreeMap<Topic, Inherits>,
    /// Topics of which the grower is asked where no figure answers, besides
    /// those of which the wider place asks.
    pub asks: Vec<Topic>,
    /// Names of the published examples that hold the program to this place.
    pub checks: Vec<String>,
    /// Its figures, those of one topic side by side.
    pub figures: Vec<Figure>,
    /// Where it is described in `reference/`.
    pub line: Place,
    /// Whether there is no folder of it: nothing is known of it but where it ends.
    pub bare: bool,
}

impl PlaceTable {
    /// A place of which nothing is known but its outline: all comes from the wider place.
    pub(super) fn bare(key: &str, name: &str, within: &PlaceTable) -> PlaceTable {
        PlaceTable {
            key: key.to_string(),
            name: name.to_string(),
            within: Some(within.key.clone()),
            decides: within.decides.clone(),
            regions: Vec::new(),
            extractant: None,
            p_unit: None,
            k_unit: None,
            exceptions: BTreeMap::new(),
            asks: Vec::new(),
            checks: Vec::new(),
            figures: Vec::new(),
            line: within.line.clone(),
            bare: true,
        }
    }

    /// How a topic stands to the place it lies within: where nothing else is
    /// said, a figure that is missing here comes from there.
    #[must_use]
    pub fn inherits(&self, topic: Topic) -> Inherits {
        self.exceptions.get(&topic).copied().unwrap_or(Inherits::FromWithin)
    }

    /// Its figures of a topic, in the order of the files.
    pub(super) fn of(&self, topic: Topic) -> &[Figure] {
        let start = self.figures.partition_point(|figure| figure.topic < topic);
        let figures = self.figures.get(start..).unwrap_or_default();
        figures.get(..figures.partition_point(|figure| figure.topic == topic)).unwrap_or_default()
    }
}

/// How a topic of a place stands to the place it lies within.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Inherits {
    /// The wider place's figure is used where this one has none.
    FromWithin,
    /// Where both have a figure the stricter holds.
    StricterOf,
    /// Only this place's own figures count.
    Replaces,
}

/// All places and sources.
#[derive(Clone, Debug, Default)]
pub struct Tables {
    /// Places by key.
    pub places: BTreeMap<String, PlaceTable>,
    /// Places without a folder, by key: nothing but their outlines is known.
    pub bare: BTreeMap<String, PlaceTable>,
    /// Sources by key.
    pub sources: BTreeMap<String, Source>,
    /// Where the states end.
    pub outlines: Outlines,
    /// The files they were read from, by their marks.
    pub files: Vec<Mark>,
    /// Whether some of those are the user's own.
    pub own: bool,
}

impl Tables {
    /// A place by its key, with a folder or without.
    #[must_use]
    pub fn place(&self, key: &str) -> Option<&PlaceTable> {
        self.places.get(key).or_else(|| self.bare.get(key))
    }

    /// The key of a place that is said by its key, its code or its name; what is said where
    /// it is none.
    #[must_use]
    pub fn key_of(&self, said: &str) -> String {
        if self.place(said).is_some() {
            return said.to_string();
        }
        let plain = said.trim().to_lowercase();
        let named = |place: &&PlaceTable| place.name.to_lowercase() == plain || place.key == plain;
        let place = self.places.values().chain(self.bare.values()).find(named);
        place.map(|place| place.key.clone()).or_else(|| self.outlines.named(said)).unwrap_or_else(|| said.to_string())
    }
}
