//! What stands on the sheets, whatever they are written as: leaves of blocks.
//! The HTML and the PDF are both set from it, so that they say the same.

use super::drawing::Drawing;
use super::signs::Swatch;
use super::words::line::Line;

/// All sheets.
pub(super) struct Sheets {
    pub(super) title: String,
    pub(super) leaves: Vec<Leaf>,
    /// What stands at the foot of each.
    pub(super) foot: [String; 3],
}

/// One sheet of paper; a list without end runs on to more.
pub(super) struct Leaf {
    /// Its name for links.
    pub(super) id: String,
    /// How close it is set to stay one sheet of paper; none where it may run on.
    pub(super) dense: Option<&'static str>,
    pub(super) head: Head,
    pub(super) blocks: Vec<Part>,
}

/// The head of a leaf; empty parts are left out.
#[derive(Default)]
pub(super) struct Head {
    /// Stands white on a colored ground.
    pub(super) tag: String,
    pub(super) title: String,
    pub(super) under: String,
    pub(super) beside: String,
    pub(super) small: String,
}

/// One thing on a leaf.
pub(super) enum Part {
    Heading(&'static str),
    Say(Line),
    /// In small print.
    Note(&'static str),
    /// Sentences; numbered where they are steps.
    List {
        steps: bool,
        lines: Vec<Line>,
    },
    Table(Table),
    /// The stop conditions.
    Stops(Vec<Line>),
    Spreading(Spreading),
    Facts(Vec<Fact>),
    Map {
        label: String,
        drawing: Drawing,
    },
    Key(Key),
    /// So many rows of boxes to fill in by hand.
    Write(usize),
    /// Whom to call; the first is urgent.
    Call(Vec<Line>),
    /// Lines to sign on.
    Sign(&'static [&'static str]),
    Group(Group, Vec<Part>),
}

/// How blocks stand together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Group {
    /// Side by side: the map, and what is to be done.
    Two,
    MapSide,
    JobSide,
    /// Several jobs, side by side.
    Jobs,
    Facts,
    /// Below everything, over the whole width.
    Spare,
}

/// A table.
pub(super) struct Table {
    pub(super) columns: Vec<Column>,
    pub(super) rows: Vec<Vec<Line>>,
    /// The last row is a sum.
    pub(super) sum: bool,
    /// Rows have more room, as on a list that is worked through.
    pub(super) route: bool,
}

/// A column of a table.
pub(super) struct Column {
    pub(super) head: &'static str,
    /// What a phone, which shows no heads, puts before each; may be empty.
    pub(super) label: &'static str,
    /// Its share of the width of paper.
    pub(super) share: f32,
    pub(super) kind: Kind,
}

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    Text,
    /// Kept in one line.
    Short,
    /// The field: a phone shows it first.
    Field,
    Number,
    /// A box to tick.
    Tick,
}

/// One spreading.
pub(super) struct Spreading {
    pub(super) when: String,
    pub(super) lot: Line,
    pub(super) rate: String,
    /// What must not be missed: white on black.
    pub(super) warnings: Vec<String>,
    pub(super) facts: Vec<Fact>,
}

/// A word, and what it is here.
#[derive(Clone, PartialEq, Eq)]
pub(super) struct Fact(pub(super) &'static str, pub(super) Line);

/// The legend of a map.
pub(super) struct Key {
    /// Names the hatching of its map.
    pub(super) index: usize,
    pub(super) ground: Vec<Meaning>,
    pub(super) zones: Vec<Meaning>,
}

/// One row of a legend.
pub(super) struct Meaning {
    pub(super) sign: Swatch,
    pub(super) what: Line,
    pub(super) feet: Line,
    pub(super) acres: Line,
}
