//! What stands on the field sheets and in the binder, whatever they are written
//! as: leaves of parts. HTML and PDF are both set from it, so that they say the
//! same. No number, and no word of a farm, is made here.

mod html;

pub(super) use html::html;

use crate::write::drawing::Drawing;
use crate::write::drawing::signs::Swatch;
use crate::write::words::line::Line;

/// All leaves.
pub(super) struct Document {
    pub(super) title: String,
    /// How HTML of it looks.
    pub(super) style: String,
    pub(super) leaves: Vec<Leaf>,
    /// What stands at the foot of each sheet.
    pub(super) foot: [String; 3],
}

/// One sheet of paper, where a list without end runs on to more; or a section of
/// the binder, which has no head.
pub(super) struct Leaf {
    /// Its name for links.
    pub(super) id: String,
    /// How close it is set, to stay one sheet of paper.
    pub(super) dense: Option<&'static str>,
    /// Whether it runs on to another sheet where even that is not enough.
    pub(super) runs_on: bool,
    pub(super) head: Option<SheetHead>,
    pub(super) blocks: Vec<Part>,
}

/// The head of a sheet; empty parts are left out.
#[derive(Default)]
pub(super) struct SheetHead {
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
    /// The title of the binder, and the lines below it.
    Front(String, [String; 2]),
    /// The title of a section.
    Title(&'static str),
    /// An item of a list that must be met: its number, its title, its state.
    Item(usize, String, Line),
    /// Something that is missing, with room to write it in.
    Wanting(String),
    /// A picture, by an address that holds it whole.
    Picture {
        address: String,
        shows: String,
        /// Whether it takes the width of the page, as the overview does.
        wide: bool,
    },
    /// Text set as the terminal sets it.
    Set(String),
    /// The stop conditions.
    Stops(Vec<Line>),
    Spreading(Spreading),
    Facts(Vec<Fact>),
    Map {
        label: String,
        drawing: Drawing,
    },
    MapKey(MapKey),
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

/// A table, under its title where it has one.
pub(super) struct Table {
    pub(super) title: &'static str,
    pub(super) columns: Vec<Column>,
    pub(super) rows: Vec<Vec<Line>>,
    /// The last row is a sum.
    pub(super) sum: bool,
    pub(super) ruled: Ruled,
}

/// How a table is ruled.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Ruled {
    Sheet,
    /// With more room, as on a list that is worked through.
    Route,
    /// In the binder.
    Binder,
    /// Boxes to fill in by hand.
    Form,
}

impl Table {
    /// A table of the binder; heads that end in `>` stand over numbers.
    pub(super) fn grid<C: Into<Line>>(
        title: &'static str,
        heads: &[&'static str],
        rows: impl IntoIterator<Item = Vec<C>>,
    ) -> Table {
        let column = |head: &&'static str| {
            let kind = if head.ends_with('>') { ColumnKind::Number } else { ColumnKind::Text };
            Column { head: head.trim_end_matches('>'), label: "", share: 1.0 / heads.len() as f32, kind }
        };
        let rows = rows.into_iter().map(|row| row.into_iter().map(Into::into).collect()).collect();
        Table { title, columns: heads.iter().map(column).collect(), rows, sum: false, ruled: Ruled::Binder }
    }

    /// An empty form of so many rows.
    pub(super) fn form(title: &'static str, heads: &[&'static str], rows: usize) -> Table {
        let rows = vec![vec![Line::default(); heads.len()]; rows];
        Table { ruled: Ruled::Form, ..Table::grid(title, heads, rows) }
    }
}

/// A column of a table.
pub(super) struct Column {
    pub(super) head: &'static str,
    /// What a phone, which shows no heads, puts before each; may be empty.
    pub(super) label: &'static str,
    /// Its share of the width of paper.
    pub(super) share: f32,
    pub(super) kind: ColumnKind,
}

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum ColumnKind {
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
pub(super) struct MapKey {
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_stand_to_the_right() {
        let table = Table::grid("", &["Field", "Acres>"], [vec!["B1".to_string(), "2.00".to_string()]]);
        assert_eq!(table.columns[1].head, "Acres");
        assert_eq!([ColumnKind::Text, ColumnKind::Number], [0, 1].map(|n| table.columns[n].kind));
        assert_eq!(Table::form("", &["Date"], 3).rows.len(), 3);
    }
}
