//! The columns of the log, and the words that some of them take.

/// The log's file name.
pub const LOG: &str = "log.csv";

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
