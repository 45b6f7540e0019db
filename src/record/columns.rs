//! The columns of the log, and the words that some of them take.

use crate::findings::{FileName, Place};

/// The log's file name.
pub const LOG: &str = "log.csv";

/// A place in the log.
pub(super) fn at(line: usize, column: usize) -> Place {
    Place { file: FileName::own(LOG), line, column }
}

/// Every column, in the order in which the program writes them. A file may
/// hold some of them, in any order.
pub const COLUMNS: [&str; 54] = [
    "id",
    "date",
    "what",
    "lot",
    "field",
    "tons",
    "acres",
    "ground",
    "swath",
    "loads",
    "load",
    "tickets",
    "ticket_number",
    "method",
    "weather",
    "before",
    "after",
    "wind",
    "soil",
    "operator",
    "certificate",
    "basis",
    "analysis",
    "soil_test",
    "calibrated",
    "to",
    "address",
    "use",
    "land",
    "receipt",
    "from",
    "permit",
    "until",
    "inches",
    "days",
    "bales",
    "moisture",
    "protein",
    "head",
    "animal",
    "product",
    "grade",
    "rate",
    "lab",
    "order",
    "truck",
    "where",
    "how",
    "house",
    "planned",
    "new_day",
    "corrects",
    "sure",
    "note",
];

/// A column by its place among them: columns are told apart in one step, and a line has
/// very many questions about its columns.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Column(u8);

impl Column {
    /// How many there are.
    pub(super) const MANY: usize = COLUMNS.len();

    pub(super) const ACRES: Column = Column::of("acres");
    pub(super) const BALES: Column = Column::of("bales");
    pub(super) const CORRECTS: Column = Column::of("corrects");
    pub(super) const DATE: Column = Column::of("date");
    pub(super) const DAYS: Column = Column::of("days");
    pub(super) const FIELD: Column = Column::of("field");
    pub(super) const GRADE: Column = Column::of("grade");
    pub(super) const GROUND: Column = Column::of("ground");
    pub(super) const HEAD: Column = Column::of("head");
    pub(super) const ID: Column = Column::of("id");
    pub(super) const INCHES: Column = Column::of("inches");
    pub(super) const LOAD: Column = Column::of("load");
    pub(super) const LOADS: Column = Column::of("loads");
    pub(super) const LOT: Column = Column::of("lot");
    pub(super) const METHOD: Column = Column::of("method");
    pub(super) const MOISTURE: Column = Column::of("moisture");
    pub(super) const NEW_DAY: Column = Column::of("new_day");
    pub(super) const ORDER: Column = Column::of("order");
    pub(super) const PLANNED: Column = Column::of("planned");
    pub(super) const PROTEIN: Column = Column::of("protein");
    pub(super) const RATE: Column = Column::of("rate");
    pub(super) const SOIL: Column = Column::of("soil");
    pub(super) const SURE: Column = Column::of("sure");
    pub(super) const SWATH: Column = Column::of("swath");
    pub(super) const TICKETS: Column = Column::of("tickets");
    pub(super) const TONS: Column = Column::of("tons");
    pub(super) const UNTIL: Column = Column::of("until");
    pub(super) const WHAT: Column = Column::of("what");

    /// The column of a name that the program knows; no other name compiles in a constant.
    pub(super) const fn of(name: &str) -> Column {
        let mut at = 0;
        while !same(COLUMNS[at].as_bytes(), name.as_bytes()) {
            at += 1;
        }
        Column(at as u8)
    }

    /// The column of a name, where there is one.
    pub(super) fn named(name: &str) -> Option<Column> {
        COLUMNS.iter().position(|own| *own == name).map(|at| Column(at as u8))
    }

    pub(super) fn name(self) -> &'static str {
        COLUMNS[self.at()]
    }

    /// Its place among all.
    pub(super) fn at(self) -> usize {
        usize::from(self.0)
    }
}

const fn same(one: &[u8], other: &[u8]) -> bool {
    let mut at = 0;
    while at < one.len() && at < other.len() && one[at] == other[at] {
        at += 1;
    }
    at == one.len() && at == other.len()
}

/// How litter may be put on.
pub(super) const METHODS: [&str; 2] = ["surface", "incorporated"];
/// States of the soil.
pub(super) const SOILS: [&str; 6] = ["dry", "moist", "wet", "saturated", "frozen", "snow"];

/// Whether a lot was counted before or after the other entries of its day.
pub(super) const ORDERS: [&str; 2] = ["before", "after"];

/// Whether a spreadsheet takes a cell for text or a number, never for a
/// formula.
#[must_use]
pub fn spreadsheet_safe(cell: &str) -> bool {
    !cell.starts_with(['=', '+', '-', '@', '\t', '\r', '\n', '\u{ff1d}', '\u{ff0b}', '\u{ff0d}', '\u{ff20}'])
}
