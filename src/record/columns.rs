//! The columns of the log, the kinds of entries, and which of the one belongs
//! to which of the other.

/// The log's file name.
pub const LOG: &str = "log.csv";

/// Every column, in the order in which the program writes them. A file may
/// hold some of them, in any order.
pub const COLUMNS: [&str; 37] = [
    "id",
    "date",
    "what",
    "lot",
    "field",
    "tons",
    "acres",
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
    "corrects",
    "sure",
    "note",
];

/// What an entry says was done.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum What {
    /// Litter of a lot went onto a field.
    Spread,
    /// Litter of a lot left the farm.
    Haul,
    /// Litter came to a lot.
    Bring,
    /// Houses were cleaned out into a lot.
    CleanOut,
    /// It rained: nothing could be spread.
    Rain,
    /// A field was cut.
    Cut,
    /// Stock grazed a field.
    Graze,
    /// An earlier entry does not hold.
    Void,
}

impl What {
    /// All of them.
    pub const ALL: [What; 8] =
        [What::Spread, What::Haul, What::Bring, What::CleanOut, What::Rain, What::Cut, What::Graze, What::Void];

    /// The word in the log.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            What::Spread => "spread",
            What::Haul => "haul",
            What::Bring => "bring",
            What::CleanOut => "clean-out",
            What::Rain => "rain",
            What::Cut => "cut",
            What::Graze => "graze",
            What::Void => "void",
        }
    }

    /// The kind with this word.
    #[must_use]
    pub fn named(word: &str) -> Option<What> {
        What::ALL.into_iter().find(|w| w.word() == word)
    }

    /// Whether it moves litter.
    #[must_use]
    pub fn moves_litter(self) -> bool {
        matches!(self, What::Spread | What::Haul | What::Bring | What::CleanOut)
    }

    /// The columns that say something of it, besides id, date, what, corrects,
    /// sure and note, which every entry has.
    #[must_use]
    pub fn columns(self) -> &'static [&'static str] {
        match self {
            What::Spread => &[
                "lot",
                "field",
                "tons",
                "acres",
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
            ],
            What::Haul => &[
                "lot",
                "tons",
                "loads",
                "load",
                "tickets",
                "ticket_number",
                "operator",
                "certificate",
                "analysis",
                "to",
                "address",
                "use",
                "land",
                "receipt",
                "basis",
            ],
            What::Bring => &[
                "lot",
                "tons",
                "loads",
                "load",
                "tickets",
                "ticket_number",
                "operator",
                "analysis",
                "from",
                "address",
                "permit",
                "receipt",
            ],
            What::CleanOut => &["lot", "tons", "loads", "load", "tickets", "ticket_number", "operator"],
            What::Rain => &["inches", "days"],
            What::Cut => &["field", "tons", "bales"],
            What::Graze => &["field", "until"],
            What::Void => &[],
        }
    }
}

/// A cell that the record of such an entry needs beyond what the tally needs:
/// its column, the item of the tables that asks for it, and what to write.
pub type Asked = (&'static str, &'static str, &'static str);

/// What is asked of every entry of a kind when it is logged. The weather of
/// the day after is not among it: it is not known yet.
#[must_use]
pub fn asked(what: What) -> &'static [Asked] {
    match what {
        What::Spread => &[
            ("acres", "field_and_acres", "acres covered, for example 24"),
            ("loads", "amount", "how many loads, for example 7"),
            ("method", "method", "surface or incorporated"),
            ("weather", "weather", "weather when spread"),
            ("before", "weather", "weather of the 24 hours before"),
            ("wind", "weather", "wind, for example SW 5 mph"),
            ("soil", "soil_state", "dry, moist, wet, saturated, frozen or snow"),
            ("operator", "applicator", "who spread it"),
            ("basis", "basis", "what the rate is based on: `plan`, or why it differs"),
        ],
        What::Haul => &[
            ("to", "broker", "who received it"),
            ("address", "broker", "address of the receiver"),
            ("use", "use", "what it is to be used for"),
            ("analysis", "receipt", "the analysis given along, or `none given`"),
        ],
        What::Bring => &[("from", "source", "where it came from")],
        What::Graze => &[("until", "crop", "last day of grazing")],
        What::CleanOut | What::Rain | What::Cut | What::Void => &[],
    }
}

/// How litter may be put on.
pub(super) const METHODS: [&str; 2] = ["surface", "incorporated"];
/// States of the soil.
pub(super) const SOILS: [&str; 6] = ["dry", "moist", "wet", "saturated", "frozen", "snow"];

/// Whether a spreadsheet takes a cell for text or a number, never for a
/// formula.
#[must_use]
pub fn spreadsheet_safe(cell: &str) -> bool {
    !cell.starts_with(['=', '+', '-', '@', '\t', '\r', '\n', '\u{ff1d}', '\u{ff0b}', '\u{ff0d}', '\u{ff20}'])
}
